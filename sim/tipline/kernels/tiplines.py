"""Watched while a run is stepped: distances to the tip lines, the point of no return, what a load on the forks needs.

The same definitions as in `assess`: lines between the outer contacts, the balance point of gravity, rope, outside
forces and commanded acceleration, worst values up to the point of no return.

Source: [VukobratovicBorovac2004] (balance point), [Own] (lines, crests)
"""

from math import hypot, isnan, nan, sqrt

from tipline.endings import LINES, RULES
from tipline.kernels import layout as at
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.vector import back_turned, turned

(FRONT, BACK, LEFT, RIGHT, SWING_LEFT, SWING_RIGHT) = range(len(LINES) + 2)
N_LINES = 6

# what does not change in a run; after it 1 for each tyre of the left side, -1 for each of the right
(
    S_FRONT_LEFT, S_FRONT_RIGHT, S_REAR_LEFT, S_REAR_RIGHT, S_PIVOTS,
    S_FIXED, S_X, S_Y, S_Z, S_COS, S_SIN, S_REACH, S_HALF, S_HIGH, S_MU, S_LASTING, S_FLOATING, S_STRAIGHT, S_LIGHT,
) = range(19)  # fmt: skip
N_SHAPE = 19
"""Outermost tyres; 1 where the steer axle pivots; 1 where a load is fixed on the forks, its centre from the carriage's,
tilt of the forks, how far its base reaches ahead and aside, its centre's height, friction; steps for which it must slip
or topple, and hang in the air; S_STRAIGHT: from the hook to a hung load's centre straight below it;
S_LIGHT: `LIGHT` times the weight [N]."""

# crests, a row a tip line: the ends of the line in chassis axes when the truck is balanced on it, the wheel's radius
# there, energy [J] that springs give on the crest
(C_START, C_END, C_RADIUS, C_SOFT) = (0, 3, 6, 7)
N_CREST = 8

# a line: distance now, least; step since which the weight is past it (-1: it is not), 1 once the balance point is too;
# then what was least up to there: distances to the lines, share of the steer axle, state of the lifted load
(D_NOW, D_LEAST, D_SINCE, D_BEYOND, D_KEPT) = range(5)
D_STEER, D_LOAD = D_KEPT + N_LINES, D_KEPT + N_LINES + 1
N_LINE = D_LOAD + 1

(KEPT, SLID, DROPPED) = range(3)  # by their places in `endings.LoadEnd`
# steps for which the load slips, topples, hangs in the air; its state
(J_SLIPS, J_TOPPLES, J_FLOATS, J_STATE) = range(4)
N_JOB = 4

_START = (0, 6, 4, 2, 8, 2)
_END = (2, 4, 0, 6, 0, 8)
_EDGE_START = (0, 6, 5, 3)
_EDGE_END = (2, 4, 1, 7)
"""Rows of the contacts where each line starts and ends: of front left, front right, rear left, rear right the centre of
what the tyres there carry and the outer strip of the outermost, then the pivot. On the edges the truck is balanced when
it goes over. Lines run clockwise seen from above."""
ON_EDGE = 0.1
"""Lean [rad] from which a tyre that is off the floor is taken to come down on its lower strip (our choice)."""
LIGHT = 0.01
"""Share of the weight that a corner is taken to bear where it would come down, so that a line does not jump as the
first part of a tread touches (our choice)."""
LYING, _CARRIED = RULES.lying, RULES.carried
_UPRIGHT_LEAST = 0.05
"""Least part of a wheel's axis that counts as level, so that nothing is divided by none (numerical)."""
NONE = 1e300
"""A distance that is none (numerical) [m]."""
Three = tuple[float, float, float]


def tread(i: int, aside: float, plant: Plant, position: Floats, rot: Floats, level: float, out: Floats) -> None:
    """Fill out (3,) with where a tyre meets the floor or hangs nearest to it, aside [m] left of its middle."""
    tyre = plant.tyre[i]
    b = int(tyre[at.T_BODY])
    r = rot[b]
    ax, ay, az = r[0, 1], r[1, 1], r[2, 1]
    upright = sqrt(max(1.0 - az * az, _UPRIGHT_LEAST * _UPRIGHT_LEAST))
    x, y, z = turned(r, tyre[at.T_X], tyre[at.T_Y] + aside, tyre[at.T_Z])
    x, y, z = x + position[b, 0], y + position[b, 1], z + position[b, 2]
    below = min(max((z - level) / upright, 0.1 * tyre[at.T_R]), tyre[at.T_R]) / upright
    out[0], out[1], out[2] = x + below * az * ax, y + below * az * ay, z - below * (1.0 - az * az)


def level_under(i: int, plant: Plant, mem: Memory, position: Floats, rot: Floats, row: Floats) -> float:
    """Return the level of the floor under a tyre, row: its record."""
    if row[at.R_LOAD] > 0.0:
        pressed: float = row[at.R_CZ]
        return pressed
    tyre, level = plant.tyre[i], 0.0
    b = int(tyre[at.T_BODY])
    hx, hy, _ = turned(rot[b], tyre[at.T_X], tyre[at.T_Y], tyre[at.T_Z])
    for j in range(plant.place.shape[0]):
        p = plant.place[j]
        x, y = position[b, 0] + hx - p[at.P_X], position[b, 1] + hy - p[at.P_Y]
        along, across = p[at.P_COS] * x + p[at.P_SIN] * y, p[at.P_COS] * y - p[at.P_SIN] * x
        if abs(along) < p[at.P_HX] and abs(across) < p[at.P_HY]:
            level = min(level, -mem.depth[j])
    return level


def foot_of(
    outer: int,
    left: float,
    plant: Plant,
    mem: Memory,
    position: Floats,
    rot: Floats,
    shape: Floats,
    tyres: Floats,
    out: Floats,
) -> None:
    """Fill out (3,) with the centre of what the tyres of a corner carry, left +1 or -1; outer: the outermost of them.

    As `statics.lines.feet` has it: a load acts straight below its hub along the wheel, and what is light comes down on
    the middle of its tread, as it leans more on its lower side.
    """
    b = int(plant.tyre[outer, at.T_BODY])
    r = rot[b]
    ax, ay = r[0, 1], r[1, 1]
    flat = max(ax * ax + ay * ay, _UPRIGHT_LEAST * _UPRIGHT_LEAST)
    lower = min(max(-r[2, 1] / ON_EDGE, -1.0), 1.0) / at.STRIPS
    total, x, y, z, count, ux, uy, uz = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    for i in range(plant.tyre.shape[0]):
        tyre, e = plant.tyre[i], i * at.N_TYRE_RECORD
        if int(tyre[at.T_BODY]) != b or (i != outer and shape[N_SHAPE + i] * left <= 0.0):
            continue
        tread(i, lower * tyre[at.T_W], plant, position, rot, level_under(i, plant, mem, position, rot, tyres[e:]), out)
        count, ux, uy, uz = count + 1.0, ux + out[0], uy + out[1], uz + out[2]
        load = tyres[e + at.R_LOAD]
        if load > 0.0:
            hx, hy, _ = turned(r, tyre[at.T_X], tyre[at.T_Y], tyre[at.T_Z])
            hx, hy = hx + position[b, 0], hy + position[b, 1]
            aside = ((tyres[e + at.R_CX] - hx) * ax + (tyres[e + at.R_CY] - hy) * ay) / flat
            total += load
            x, y, z = x + load * (hx + aside * ax), y + load * (hy + aside * ay), z + load * tyres[e + at.R_CZ]
    part = shape[S_LIGHT] / count
    total += shape[S_LIGHT]
    out[0], out[1], out[2] = (x + part * ux) / total, (y + part * uy) / total, (z + part * uz) / total


def contacts(plant: Plant, mem: Memory, shape: Floats, tyres: Floats, foot: Floats) -> None:
    """Fill foot (9, 4) with the ends of the lines and the floor's level there; tyres: the record from its tyres on."""
    position, rot = mem.state, mem.turn
    for corner in range(4):
        i = int(shape[S_FRONT_LEFT + corner])
        level = level_under(i, plant, mem, position, rot, tyres[i * at.N_TYRE_RECORD :])
        foot[2 * corner, 3] = foot[2 * corner + 1, 3] = level
        left = 1.0 if corner % 2 == 0 else -1.0
        foot_of(i, left, plant, mem, position, rot, shape, tyres, foot[2 * corner])
        tread(i, left * plant.tyre[i, at.T_W] / at.STRIPS, plant, position, rot, level, foot[2 * corner + 1])
    x, y, z = turned(rot[at.CHASSIS], plant.axle[at.A_CX], plant.axle[at.A_CY], plant.axle[at.A_CZ])
    foot[8, 0], foot[8, 1], foot[8, 2] = position[0, 0] + x, position[0, 1] + y, position[0, 2] + z


def add_at(x: float, y: float, z: float, fx: float, fy: float, fz: float, sum: Floats) -> None:
    """Add a force at a world point to a sum (6,) of forces and moments about the origin."""
    sum[0] += fx
    sum[1] += fy
    sum[2] += fz
    sum[3] += y * fz - z * fy
    sum[4] += z * fx - x * fz
    sum[5] += x * fy - y * fx


def hook(plant: Plant, mem: Memory) -> Three:
    """Return where a hung load's rope is made fast."""
    c, link = mem.state[at.CARRIAGE], plant.link
    x, y, z = turned(mem.turn[at.CARRIAGE], link[at.L_HX], link[at.L_HY], link[at.L_HZ])
    return c[0] + x, c[1] + y, c[2] + z


def pressing(plant: Plant, cmd: Floats, mem: Memory, rope: float, whole: Floats, frame: Floats) -> None:
    """Fill what presses on the truck (6,), and on all of it but the steer axle: weight, rope, outside, acceleration."""
    position, r = mem.state, mem.turn[at.CHASSIS]
    size = hypot(r[0, 0], r[1, 0])
    push = cmd[at.K_ACC] / size if size > 0.0 else 0.0
    gx, gy, gz = cmd[at.K_GX] - push * r[0, 0], cmd[at.K_GY] - push * r[1, 0], cmd[at.K_GZ]
    whole[:] = 0.0
    frame[:] = 0.0
    for b in range(at.LOAD):
        m, p = plant.mass[b], position[b]
        if m > 0.0 and b != at.AXLE:
            add_at(p[0], p[1], p[2], m * gx, m * gy, m * gz, frame)
    hung = plant.mass[at.LOAD] > 0.0
    if hung:
        hx, hy, hz = hook(plant, mem)
        x, y, z = turned(mem.turn[at.LOAD], plant.link[at.L_TX], plant.link[at.L_TY], plant.link[at.L_TZ])
        x, y, z = x + position[at.LOAD, 0] - hx, y + position[at.LOAD, 1] - hy, z + position[at.LOAD, 2] - hz
        pull = rope / max(sqrt(x * x + y * y + z * z), 1e-9)
        add_at(hx, hy, hz, pull * x, pull * y, pull * z, frame)
    column = at.K_PLACE + plant.place.shape[0]
    for i in range(plant.push.shape[0]):
        b = int(plant.push[i, 0])
        if not (hung and b == at.LOAD):
            x, y, z = turned(mem.turn[b], plant.push[i, 1], plant.push[i, 2], plant.push[i, 3])
            fx, fy, fz = cmd[column], cmd[column + 1], cmd[column + 2]
            x, y, z = x + position[b, 0], y + position[b, 1], z + position[b, 2]
            add_at(x, y, z, fx, fy, fz, whole if b == at.AXLE else frame)
        column += 3
    m, p = plant.mass[at.AXLE], position[at.AXLE]
    add_at(p[0], p[1], p[2], m * gx, m * gy, m * gz, whole)
    for j in range(6):
        whole[j] += frame[j]


def weighing(plant: Plant, cmd: Floats, mem: Memory, whole: Floats) -> None:
    """Fill the weight of all that the truck carries (6,), a hung load's at the hook."""
    gx, gy, gz = cmd[at.K_GX], cmd[at.K_GY], cmd[at.K_GZ]
    whole[:] = 0.0
    for b in range(at.LOAD):
        m, p = plant.mass[b], mem.state[b]
        if m > 0.0:
            add_at(p[0], p[1], p[2], m * gx, m * gy, m * gz, whole)
    m = plant.mass[at.LOAD]
    if m > 0.0 and cmd[at.K_HELD] > 0.0:
        hx, hy, hz = hook(plant, mem)
        add_at(hx, hy, hz, m * gx, m * gy, m * gz, whole)


def distance(start: Floats, end: Floats, sum: Floats) -> float:
    """Return how far within a line a sum of forces meets the floor [m]; nan if nothing presses."""
    ax, ay, az = end[0] - start[0], end[1] - start[1], end[2] - start[2]
    size = sqrt(ax * ax + ay * ay + az * az)
    ax, ay, az = ax / size, ay / size, az / size
    fx, fy, fz = sum[0], sum[1], sum[2]
    mx = sum[3] - (start[1] * fz - start[2] * fy)
    my = sum[4] - (start[2] * fx - start[0] * fz)
    mz = sum[5] - (start[0] * fy - start[1] * fx)
    down = pressing_down(ax, ay, az, sum)
    return (ax * mx + ay * my + az * mz) / down if down > 0.0 else nan


def pressing_down(ax: float, ay: float, az: float, sum: Floats) -> float:
    """Return the part of a force that presses on a line with the direction (ax, ay, az)."""
    flat = sqrt(max(1.0 - az * az, 1e-12))
    down: float = -(sum[2] - az * (sum[0] * ax + sum[1] * ay + sum[2] * az)) / flat
    return down


def frame_centre(plant: Plant, cmd: Floats, mem: Memory) -> Three:
    """Return the centre of mass of all that the truck carries but the steer axle, a hung load's at the hook."""
    total, x, y, z = 0.0, 0.0, 0.0, 0.0
    for b in range(at.LOAD):
        m, p = plant.mass[b], mem.state[b]
        if b != at.AXLE:
            total, x, y, z = total + m, x + m * p[0], y + m * p[1], z + m * p[2]
    m = plant.mass[at.LOAD]
    if m > 0.0 and cmd[at.K_HELD] > 0.0:
        hx, hy, hz = hook(plant, mem)
        total, x, y, z = total + m, x + m * hx, y + m * hy, z + m * hz
    return x / total, y / total, z / total


def onto_stop(side: int, plant: Plant, mem: Memory, foot: Floats, sums: Floats, middle: Three) -> float:
    """Return what the distance to a side gains [m] (below 0: loses) as the frame turns on until it meets the stop.

    As `statics.lines.distances` has it: about the line from front tyre to pivot, as a rigid body. sums (2, 6): what
    presses on the truck, and on its frame, which has its centre of mass at ``middle``.
    """
    sense, front = (1.0, foot[0]) if side == LEFT else (-1.0, foot[2])
    pivot, r, a = foot[8], mem.turn[at.CHASSIS], mem.turn[at.AXLE]
    ux, uy, uz = front[0] - pivot[0], front[1] - pivot[1], front[2] - pivot[2]
    swung = a[0, 1] * r[0, 2] + a[1, 1] * r[1, 2] + a[2, 1] * r[2, 2]
    ahead = ux * r[0, 0] + uy * r[1, 0] + uz * r[2, 0]
    turn = -sense * max(plant.axle[at.A_STOP] - sense * swung, 0.0) / ahead
    dx, dy, dz = middle[0] - pivot[0], middle[1] - pivot[1], middle[2] - pivot[2]
    mx, my, mz = turn * (uy * dz - uz * dy), turn * (uz * dx - ux * dz), turn * (ux * dy - uy * dx)
    start, end, fx, fy, fz = foot[_START[side]], foot[_END[side]], sums[1, 0], sums[1, 1], sums[1, 2]
    ax, ay, az = end[0] - start[0], end[1] - start[1], end[2] - start[2]
    size = sqrt(ax * ax + ay * ay + az * az)
    ax, ay, az = ax / size, ay / size, az / size
    about = ax * (my * fz - mz * fy) + ay * (mz * fx - mx * fz) + az * (mx * fy - my * fx)
    gain: float = about / pressing_down(ax, ay, az, sums[0])
    return gain


def turns_on(line: int, plant: Plant, shape: Floats, light: Floats) -> bool:
    """Whether every tyre away from a line is light; light (n,): the steps for which each has been so."""
    for i in range(plant.tyre.shape[0]):
        braked, left = plant.tyre[i, at.T_BRAKED] > 0.0, shape[N_SHAPE + i] > 0.0
        away = not braked
        if line == BACK:
            away = braked
        elif line == LEFT:
            away = not left
        elif line == RIGHT:
            away = left
        if away and light[i] == 0.0:
            return False
    return True


def leans_to(r: Floats) -> int:
    """Return the line that the chassis leans to most."""
    size = hypot(r[0, 0], r[1, 0])
    cx, cy = (r[0, 0] / size, r[1, 0] / size) if size > 0.0 else (1.0, 0.0)
    ahead, left = r[0, 2] * cx + r[1, 2] * cy, -r[0, 2] * cy + r[1, 2] * cx
    if abs(ahead) > abs(left):
        return FRONT if ahead > 0.0 else BACK
    return LEFT if left > 0.0 else RIGHT


def watch_lines(
    k: int,
    lean: float,
    steer: float,
    plant: Plant,
    cmd: Floats,
    mem: Memory,
    shape: Floats,
    tyres: Floats,
    rope: float,
    light: Floats,
    load: float,
    line: Floats,
    foot: Floats,
    sums: Floats,
) -> None:
    """Keep least distances to the lines and which lines the weight is past, with what was least until it was.

    lean: of the chassis [rad]; steer: least share so far; load: state of the lifted load; foot (9, 4), sums (2, 6):
    scratch. cmd: the row of commands in force.
    """
    contacts(plant, mem, shape, tyres, foot)
    pressing(plant, cmd, mem, rope, sums[0], sums[1])
    for j in range(N_LINES if shape[S_PIVOTS] > 0.0 else SWING_LEFT):
        d = distance(foot[_START[j]], foot[_END[j]], sums[1 if j >= SWING_LEFT else 0])
        line[j, D_NOW] = d
    if shape[S_PIVOTS] > 0.0:
        middle = frame_centre(plant, cmd, mem)
        for j in (LEFT, RIGHT):
            swing = line[SWING_LEFT + j - LEFT, D_NOW]
            if not isnan(line[j, D_NOW]):
                line[j, D_NOW] += onto_stop(j, plant, mem, foot, sums, middle)
            if not isnan(swing) and not line[j, D_NOW] > swing:
                line[j, D_NOW] = swing
    for j in range(N_LINES if shape[S_PIVOTS] > 0.0 else SWING_LEFT):
        if not isnan(line[j, D_NOW]):
            line[j, D_LEAST] = min(line[j, D_LEAST], line[j, D_NOW])
    weighed = False
    for j in range(SWING_LEFT):
        past = lean > LYING and leans_to(mem.turn[at.CHASSIS]) == j
        if not past and turns_on(j, plant, shape, light):
            if not weighed:
                weighing(plant, cmd, mem, sums[0])
                weighed = True
            past = distance(foot[_START[j]], foot[_END[j]], sums[0]) < 0.0
        if not past:
            line[j, D_SINCE] = -1.0
            continue
        if line[j, D_SINCE] < 0.0:
            line[j, D_SINCE], line[j, D_BEYOND] = k, 0.0
            keep(j, steer, load, line)
        # a rope that still pulls inwards keeps the balance point back for a moment
        if line[j, D_BEYOND] == 0.0 and not line[j, D_NOW] > 0.0:
            line[j, D_BEYOND], line[j, D_SINCE] = 1.0, k
            keep(j, steer, load, line)


def keep(j: int, steer: float, load: float, line: Floats) -> None:
    """Keep what was least up to now as what was least before there was no way back over line j."""
    for i in range(N_LINES):
        line[j, D_KEPT + i] = line[i, D_LEAST]
    line[j, D_STEER], line[j, D_LOAD] = steer, load


def past_line(line: Floats) -> int:
    """Return the line that the weight is past now, of several that since longest; -1 if none."""
    found = -1
    for j in range(SWING_LEFT):
        if line[j, D_SINCE] >= 0.0 and (found < 0 or line[j, D_SINCE] < line[found, D_SINCE]):
            found = j
    return found


def within(plant: Plant, cmd: Floats, mem: Memory, foot: Floats, sum: Floats) -> bool:
    """Whether the weight, a hung load's at the hook, is within all tip lines; foot: of `contacts`, sum: scratch."""
    weighing(plant, cmd, mem, sum)
    inside = True
    for j in range(SWING_LEFT):
        inside = inside and distance(foot[_START[j]], foot[_END[j]], sum) > 0.0
    return inside


def energy_left(
    plant: Plant, cmd: Floats, mem: Memory, shape: Floats, crest: Floats, foot: Floats, held: float
) -> float:
    """Return the least energy [J] to tip over a line, less all that moves and all that springs hold.

    As `runs.motion.Motion.energy_left`, from below: what springs hold at rest counts as free, what they give on the
    crest as in C_SOFT. held: kinetic energy less that of driving, and what springs hold; crest (4, N_CREST); foot as
    `contacts` left it.
    """
    gx, gy, gz = cmd[at.K_GX], cmd[at.K_GY], cmd[at.K_GZ]
    total, x, y, z = 0.0, 0.0, 0.0, 0.0
    for b in range(at.LOAD):
        m, p = plant.mass[b], mem.state[b]
        total, x, y, z = total + m, x + m * p[0], y + m * p[1], z + m * p[2]
    m, swing = plant.mass[at.LOAD], 0.0
    if m > 0.0 and cmd[at.K_HELD] > 0.0:
        hx, hy, hz = hook(plant, mem)
        total, x, y, z = total + m, x + m * hx, y + m * hy, z + m * hz
        p, size = mem.state[at.LOAD], sqrt(gx * gx + gy * gy + gz * gz)
        below = ((p[0] - hx) * gx + (p[1] - hy) * gy + (p[2] - hz) * gz) / size
        swing = m * size * max(shape[S_STRAIGHT] - below, 0.0)
    x, y, z, c = x / total, y / total, z / total, mem.state[at.CHASSIS]
    lx, ly, lz = back_turned(mem.turn[at.CHASSIS], x - c[0], y - c[1], z - c[2])
    gx, gy, gz = total * gx, total * gy, total * gz
    least = NONE
    for j in range(SWING_LEFT):
        row, start, end = crest[j], foot[_EDGE_START[j]], foot[_EDGE_END[j]]
        high = row[C_RADIUS] + away(row[0], row[1], row[2], row[3], row[4], row[5], lx, ly, lz)
        ax, ay, az = end[0] - start[0], end[1] - start[1], end[3] - start[3]
        size = sqrt(ax * ax + ay * ay + az * az)
        ax, ay, az = ax / size, ay / size, az / size
        along = gx * ax + gy * ay + gz * az
        wx, wy, wz = gx - along * ax, gy - along * ay, gz - along * az
        rise = sqrt(wx * wx + wy * wy + wz * wz) * high
        rise += wx * (x - start[0]) + wy * (y - start[1]) + wz * (z - start[3])
        least = min(least, rise - row[C_SOFT])
    return least - held - swing


def away(
    sx: float, sy: float, sz: float, ex: float, ey: float, ez: float, x: float, y: float, z: float
) -> float:  # fmt: skip
    """Return how far a point lies from the straight line through two others."""
    ax, ay, az, dx, dy, dz = ex - sx, ey - sy, ez - sz, x - sx, y - sy, z - sz
    share = (dx * ax + dy * ay + dz * az) / (ax * ax + ay * ay + az * az)
    dx, dy, dz = dx - share * ax, dy - share * ay, dz - share * az
    return sqrt(dx * dx + dy * dy + dz * dz)


def pushed(plant: Plant, cmd: Floats) -> bool:
    """Whether an outside force acts, of which the energy to tip knows nothing."""
    first = at.K_PLACE + plant.place.shape[0]
    found = 0.0
    for j in range(3 * plant.push.shape[0]):
        found += abs(cmd[first + j])
    return found > 0.0


def watch_load(
    k: int, dt: float, plant: Plant, cmd: Floats, mem: Memory, shape: Floats, ring: Floats, job: Floats
) -> None:
    """Hold what a load fixed on the forks would need against friction and its base.

    ring (width + 2, 15): speeds of its centre, rotations and gravity of the last steps; the need is a mean over width
    steps. job (N_JOB,): how long it slips, topples, hangs in the air, and its state.
    """
    rows = ring.shape[0]
    width, now = rows - 2, ring[k % rows]
    r, v = mem.turn[at.CARRIAGE], mem.now[at.CARRIAGE]
    x, y, z = turned(r, shape[S_X], shape[S_Y], shape[S_Z])
    now[0] = v[0] + v[4] * z - v[5] * y
    now[1] = v[1] + v[5] * x - v[3] * z
    now[2] = v[2] + v[3] * y - v[4] * x
    for i in range(3):
        for j in range(3):
            now[3 + 3 * i + j] = r[i, j]
        now[12 + i] = cmd[at.K_GX + i]
    if k < width + 1:
        return
    # mean of central differences: only its ends are left
    before, a, b = ring[(k + 1) % rows], ring[(k + 2) % rows], ring[(k - 1 + rows) % rows]
    then = ring[(k - width + width // 2) % rows]
    scale = 0.5 / (width * dt)
    ax = scale * (now[0] + b[0] - a[0] - before[0]) - then[12]
    ay = scale * (now[1] + b[1] - a[1] - before[1]) - then[13]
    az = scale * (now[2] + b[2] - a[2] - before[2]) - then[14]
    x, y, z = back_turned(then[3:12].reshape((3, 3)), ax, ay, az)
    ahead, normal = x * shape[S_COS] + z * shape[S_SIN], -x * shape[S_SIN] + z * shape[S_COS]
    weight = sqrt(then[12] * then[12] + then[13] * then[13] + then[14] * then[14])
    carried = normal > _CARRIED * weight
    slips = carried and hypot(min(ahead, 0.0), y) > shape[S_MU] * normal
    fore, side = -shape[S_HIGH] * ahead, abs(shape[S_HIGH] * y)
    topples = carried and (fore > shape[S_REACH] * normal or side > shape[S_HALF] * normal)
    job[J_SLIPS] = job[J_SLIPS] + 1.0 if slips else 0.0
    job[J_TOPPLES] = job[J_TOPPLES] + 1.0 if topples else 0.0
    job[J_FLOATS] = job[J_FLOATS] + 1.0 if normal <= 0.0 else 0.0
    if job[J_TOPPLES] >= shape[S_LASTING] or job[J_FLOATS] >= shape[S_FLOATING]:
        job[J_STATE] = DROPPED
    elif job[J_SLIPS] >= shape[S_LASTING]:
        job[J_STATE] = max(job[J_STATE], float(SLID))
