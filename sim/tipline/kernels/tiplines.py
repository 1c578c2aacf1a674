"""Tip lines of a truck in any pose, and how far what presses on it stands from them.

A tip line joins the points on which the truck would go over: of each axle the centre of what its tyres on that side
carry now. A distance is then nought exactly where nothing is left on the other side, which is where the equilibrium
ends: a truck as tall as a lift makes it does not stand on the treads of one side. Where the steer axle pivots, the
frame first swings about the line from the front tyre to the pivot. Its distance to the side is taken as with the stop
in: the frame turned about that line until the axle meets its stop; where that leaves less than the swing, the truck
goes over as it swings, and both distances are one.

Source: [VukobratovicBorovac2004] (balance point), [Own] (lines)

Arrays:

start, end (4,) [m]: ends of a line
whole, frame (6,) [N, N m]: weight of all, and of all but the steer axle
"""

from math import hypot, isnan, nan, sqrt

from tipline.kernels import layout as at
from tipline.kernels.joints import stop_of
from tipline.kernels.layout import Floats, Plant
from tipline.kernels.ramp import rise
from tipline.kernels.vector import turned, wheel_axis
from tipline.kernels.watching import (
    BACK,
    FRONT,
    LEFT,
    N_LINES,
    N_OUTLINE,
    O_FRONT_LEFT,
    O_HANGS,
    O_LIGHT,
    O_PIVOTS,
    RIGHT,
    SWING_LEFT,
)

START = (0, 6, 4, 2, 8, 2)
END = (2, 4, 0, 6, 0, 8)
"""Rows of the contacts where each line starts and ends: of front left, front right, rear left, rear right the centre of
what the tyres there carry and the outer strip of the outermost, then the pivot, then the middle of each outermost
tread. Lines run clockwise seen from above, so that a moment about them that holds the truck down is positive."""
PIVOT, MIDDLES = 8, 9
N_FOOT = 13

ON_EDGE = 0.1
"""Lean [rad] from which a tyre that is off the floor is taken to come down on its lower strip (our choice)."""
LIGHT = 0.01
"""Share of the weight that a corner is taken to bear where it would come down, so that a line does not jump as the
first part of a tread touches (our choice)."""
_UPRIGHT_LEAST = 0.05
"""Least part of a wheel's axis that counts as level, so that nothing is divided by none (numerical)."""
Three = tuple[float, float, float]


def tread(i: int, aside: float, plant: Plant, position: Floats, rot: Floats, level: float, out: Floats) -> None:
    """Fill out (3,) with where a tyre meets the floor or hangs nearest to it, aside [m] left of its middle."""
    tyre = plant.tyre[i]
    b = int(tyre[at.T_BODY])
    r = rot[b]
    ax, ay, az = wheel_axis(tyre, r)
    upright = sqrt(max(1.0 - az * az, _UPRIGHT_LEAST * _UPRIGHT_LEAST))
    x, y, z = turned(r, tyre[at.T_X], tyre[at.T_Y], tyre[at.T_Z])
    x, y, z = x + aside * ax + position[b, 0], y + aside * ay + position[b, 1], z + aside * az + position[b, 2]
    below = min(max((z - level) / upright, 0.1 * tyre[at.T_R]), tyre[at.T_R]) / upright
    out[0], out[1], out[2] = x + below * az * ax, y + below * az * ay, z - below * (1.0 - az * az)


def level_under(i: int, plant: Plant, depth: Floats, position: Floats, rot: Floats, row: Floats) -> float:
    """Return the level of the floor under a tyre; depth: of each place, row: the tyre's record."""
    if row[at.R_LOAD] > 0.0:
        pressed: float = row[at.R_CZ]
        return pressed
    tyre, level = plant.tyre[i], 0.0
    b = int(tyre[at.T_BODY])
    hx, hy, _ = turned(rot[b], tyre[at.T_X], tyre[at.T_Y], tyre[at.T_Z])
    hx, hy = position[b, 0] + hx, position[b, 1] + hy
    if plant.ramp.shape[0] > 0:
        level = rise(plant.ramp[0], hx, hy)
    for j in range(plant.place.shape[0]):
        p = plant.place[j]
        x, y = hx - p[at.P_X], hy - p[at.P_Y]
        along, across = p[at.P_COS] * x + p[at.P_SIN] * y, p[at.P_COS] * y - p[at.P_SIN] * x
        if abs(along) < p[at.P_HX] and abs(across) < p[at.P_HY]:
            level = min(level, -depth[j]) if depth[j] >= 0.0 else max(level, -depth[j])
    return level


def foot_of(
    outer: int,
    left: float,
    plant: Plant,
    depth: Floats,
    position: Floats,
    rot: Floats,
    outline: Floats,
    tyres: Floats,
    out: Floats,
) -> None:
    """Fill out (3,) with the centre of what the tyres of a corner carry, left +1 or -1; outer: the outermost of them.

    A load acts straight below its hub along the wheel, whichever part of the tread is pressed. What is off the floor
    counts where it would come down: on the middle of its tread, and as it leans more on its lower side. One that is
    hardly pressed lies between.
    """
    b = int(plant.tyre[outer, at.T_BODY])
    r = rot[b]
    total, x, y, z, count, ux, uy, uz = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    for i in range(plant.tyre.shape[0]):
        tyre, e = plant.tyre[i], i * at.N_TYRE_RECORD
        if int(tyre[at.T_BODY]) != b or (i != outer and outline[N_OUTLINE + i] * left <= 0.0):
            continue
        level = level_under(i, plant, depth, position, rot, tyres[e:])
        ax, ay, az = wheel_axis(tyre, r)
        lower = min(max(-az / ON_EDGE, -1.0), 1.0) / at.STRIPS
        tread(i, lower * tyre[at.T_W], plant, position, rot, level, out)
        count, ux, uy, uz = count + 1.0, ux + out[0], uy + out[1], uz + out[2]
        load = tyres[e + at.R_LOAD]
        if load > 0.0:
            hx, hy, _ = turned(r, tyre[at.T_X], tyre[at.T_Y], tyre[at.T_Z])
            hx, hy = hx + position[b, 0], hy + position[b, 1]
            flat = max(ax * ax + ay * ay, _UPRIGHT_LEAST * _UPRIGHT_LEAST)
            aside = ((tyres[e + at.R_CX] - hx) * ax + (tyres[e + at.R_CY] - hy) * ay) / flat
            total += load
            x, y, z = x + load * (hx + aside * ax), y + load * (hy + aside * ay), z + load * tyres[e + at.R_CZ]
    part = outline[O_LIGHT] / count
    total += outline[O_LIGHT]
    out[0], out[1], out[2] = (x + part * ux) / total, (y + part * uy) / total, (z + part * uz) / total


def contacts(
    plant: Plant, depth: Floats, position: Floats, rot: Floats, outline: Floats, tyres: Floats, foot: Floats
) -> None:
    """Fill foot (N_FOOT, 4), but the middles, with the ends of the lines and the floor's level there.

    tyres: records of the tyres, one after the other, of which load and contact are read.
    """
    for corner in range(4):
        i = int(outline[O_FRONT_LEFT + corner])
        level = level_under(i, plant, depth, position, rot, tyres[i * at.N_TYRE_RECORD :])
        foot[2 * corner, 3] = foot[2 * corner + 1, 3] = level
        left = 1.0 if corner % 2 == 0 else -1.0
        foot_of(i, left, plant, depth, position, rot, outline, tyres, foot[2 * corner])
        tread(i, left * plant.tyre[i, at.T_W] / at.STRIPS, plant, position, rot, level, foot[2 * corner + 1])
    x, y, z = turned(rot[at.CHASSIS], plant.axle[at.A_CX], plant.axle[at.A_CY], plant.axle[at.A_CZ])
    foot[PIVOT, 0], foot[PIVOT, 1], foot[PIVOT, 2] = position[0, 0] + x, position[0, 1] + y, position[0, 2] + z


def add_at(x: float, y: float, z: float, fx: float, fy: float, fz: float, sum: Floats) -> None:
    """Add a force at a world point to a sum (6,) of forces and moments about the origin."""
    sum[0] += fx
    sum[1] += fy
    sum[2] += fz
    sum[3] += y * fz - z * fy
    sum[4] += z * fx - x * fz
    sum[5] += x * fy - y * fx


def hook(plant: Plant, position: Floats, rot: Floats) -> Three:
    """Return where a hung load's rope is made fast."""
    c, link = position[at.CARRIAGE], plant.link
    x, y, z = turned(rot[at.CARRIAGE], link[at.L_HX], link[at.L_HY], link[at.L_HZ])
    return c[0] + x, c[1] + y, c[2] + z


def load_point(plant: Plant, position: Floats, rot: Floats, outline: Floats) -> Three:
    """Return where the weight of a lifted load that is a body of its own acts: at the hook, or where it lies."""
    if outline[O_HANGS] > 0.0:
        return hook(plant, position, rot)
    p = position[at.LOAD]
    return p[0], p[1], p[2]


def weighing(
    gravity: Three,
    load: float,
    plant: Plant,
    position: Floats,
    rot: Floats,
    outline: Floats,
    whole: Floats,
    frame: Floats,
) -> None:
    """Fill the weight of all that the truck carries (6,), and of that but the steer axle; load: the load's mass."""
    gx, gy, gz = gravity
    frame[:] = 0.0
    for b in range(at.LOAD):
        m, p = plant.mass[b], position[b]
        if m > 0.0 and b != at.AXLE:
            add_at(p[0], p[1], p[2], m * gx, m * gy, m * gz, frame)
    if load > 0.0:
        x, y, z = load_point(plant, position, rot, outline)
        add_at(x, y, z, load * gx, load * gy, load * gz, frame)
    m, p = plant.mass[at.AXLE], position[at.AXLE]
    for j in range(6):
        whole[j] = frame[j]
    add_at(p[0], p[1], p[2], m * gx, m * gy, m * gz, whole)


def carried_centre(
    load: float, plant: Plant, position: Floats, rot: Floats, outline: Floats, axle: bool
) -> tuple[float, float, float, float]:
    """Return mass and centre of mass of all that the truck carries, with its steer axle or without."""
    total, x, y, z = 0.0, 0.0, 0.0, 0.0
    for b in range(at.LOAD):
        m, p = plant.mass[b], position[b]
        if axle or b != at.AXLE:
            total, x, y, z = total + m, x + m * p[0], y + m * p[1], z + m * p[2]
    if load > 0.0:
        hx, hy, hz = load_point(plant, position, rot, outline)
        total, x, y, z = total + load, x + load * hx, y + load * hy, z + load * hz
    return total, x / total, y / total, z / total


def distance(start: Floats, end: Floats, sum: Floats) -> float:
    """Return how far within a line a sum of forces meets the floor [m], negative past it; nan if nothing presses.

    It is the moment about the true line in space, divided by the part of the force that presses on it.
    """
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


def balance_point(sum: Floats) -> tuple[float, float]:
    """Return where a sum of forces meets the floor, world x and y [m]; nan if nothing presses."""
    if not sum[2] < 0.0:
        return nan, nan
    return -sum[4] / sum[2], sum[3] / sum[2]


def onto_stop(side: int, plant: Plant, rot: Floats, foot: Floats, sums: Floats, middle: Three) -> float:
    """Return what the distance to a side gains [m] (below 0: loses) as the frame turns on until it meets the stop.

    The frame turns about the line from the front tyre to the pivot, as a rigid body; what the tyres and the mast give
    as it comes to rest there is left out. sums (2, 6): what presses on the truck, and on its frame, which has its
    centre of mass at ``middle``.
    """
    sense, front = (1.0, foot[0]) if side == LEFT else (-1.0, foot[2])
    pivot, r, a = foot[PIVOT], rot[at.CHASSIS], rot[at.AXLE]
    ux, uy, uz = front[0] - pivot[0], front[1] - pivot[1], front[2] - pivot[2]
    swung = a[0, 1] * r[0, 2] + a[1, 1] * r[1, 2] + a[2, 1] * r[2, 2]
    ahead = ux * r[0, 0] + uy * r[1, 0] + uz * r[2, 0]
    turn = -sense * max(stop_of(plant.axle, sense) - sense * swung, 0.0) / ahead
    dx, dy, dz = middle[0] - pivot[0], middle[1] - pivot[1], middle[2] - pivot[2]
    mx, my, mz = turn * (uy * dz - uz * dy), turn * (uz * dx - ux * dz), turn * (ux * dy - uy * dx)
    start, end, fx, fy, fz = foot[START[side]], foot[END[side]], sums[1, 0], sums[1, 1], sums[1, 2]
    ax, ay, az = end[0] - start[0], end[1] - start[1], end[2] - start[2]
    size = sqrt(ax * ax + ay * ay + az * az)
    ax, ay, az = ax / size, ay / size, az / size
    about = ax * (my * fz - mz * fy) + ay * (mz * fx - mx * fz) + az * (mx * fy - my * fx)
    down = pressing_down(ax, ay, az, sums[0])
    gain: float = about / down if down > 0.0 else nan
    return gain


def distances(
    plant: Plant, rot: Floats, outline: Floats, foot: Floats, sums: Floats, middle: Three, out: Floats
) -> None:
    """Fill out (6,) with the distance to each line [m], nan where there is none; as for `onto_stop`."""
    pivots = outline[O_PIVOTS] > 0.0
    for j in range(N_LINES):
        out[j] = nan
        if pivots or j < SWING_LEFT:
            out[j] = distance(foot[START[j]], foot[END[j]], sums[1 if j >= SWING_LEFT else 0])
    if not pivots:
        return
    for j in (LEFT, RIGHT):
        swing = out[SWING_LEFT + j - LEFT]
        out[j] += onto_stop(j, plant, rot, foot, sums, middle)
        if not isnan(swing) and not out[j] > swing:
            out[j] = swing


def leans_to(r: Floats) -> int:
    """Return the line that the chassis, turned by r, leans to most."""
    size = hypot(r[0, 0], r[1, 0])
    cx, cy = (r[0, 0] / size, r[1, 0] / size) if size > 0.0 else (1.0, 0.0)
    ahead, left = r[0, 2] * cx + r[1, 2] * cy, -r[0, 2] * cy + r[1, 2] * cx
    if abs(ahead) > abs(left):
        return FRONT if ahead > 0.0 else BACK
    return LEFT if left > 0.0 else RIGHT
