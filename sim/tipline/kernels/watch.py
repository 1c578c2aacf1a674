"""A run is watched: at each step what its tyres bear, how it leans and moves, how far it is from each tip line.

The balance point takes gravity, the rope's pull, outside forces and the commanded acceleration, not the truck's own
rocking. Beside it stands the weight alone, with a hung load's at the hook: once that is past a line on which the truck
turns, weight carries it on. Least values count up to there.

Arrays:

seen (N_SEEN,) [SI]: columns S_*
least, kept (n, 2) [SI, s]: a value and when it was
line (N_LINES, 2) [s, 1]: since when the weight is past each line
whole, frame (6,) [N, N m]: weight of all, and of all but the steer axle
"""

from math import acos, atan2, hypot, nan, sqrt

from tipline.endings import RULES
from tipline.kernels import layout as at
from tipline.kernels.crests import energies_left, load_carried, pushed, unrest
from tipline.kernels.decide import decide
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.on_forks import counted, watch_fixed, watch_free
from tipline.kernels.tiplines import (
    END,
    START,
    add_at,
    balance_point,
    carried_centre,
    contacts,
    distance,
    distances,
    hook,
    leans_to,
    load_point,
    weighing,
)
from tipline.kernels.vector import turned
from tipline.kernels.watching import (
    BACK,
    D_BEYOND,
    D_SINCE,
    F_KIND,
    FIXED,
    FREE,
    J_LEFT_AT,
    J_LOW,
    J_SLID_AT,
    J_TOPPLED_AT,
    L_DISTANCE,
    L_ENERGY,
    L_STEER,
    LEANS,
    LEFT,
    N_LEAST,
    N_LINES,
    N_LOW,
    N_OUTLINE,
    NOT_YET,
    O_HANGS,
    O_PIVOTS,
    O_X,
    O_Y,
    O_Z,
    R_DURATION,
    R_EVERY,
    R_OFF_STEPS,
    R_QUIET_FROM,
    R_TELLS,
    R_WINDOW,
    RIGHT,
    S_AWAY,
    S_AWAY_AT,
    S_EVER_OFF,
    S_FELL,
    S_HELD,
    S_INSIDE,
    S_LEFT,
    S_LOW,
    S_LOW_BEFORE,
    S_OFF,
    S_ON_BODY,
    S_PITCH_LEAST,
    S_PITCH_MOST,
    S_ROLL_LEAST,
    S_ROLL_MOST,
    S_SINCE,
    S_START_X,
    S_START_Y,
    S_WEIGHT,
    S_WHY,
    SWING_LEFT,
    Y_BACK_AT,
    Y_LIGHT,
    Y_LIMIT,
    Y_OFF_AT,
    Y_PEAK,
    Y_PEAK_AT,
    Y_SWUNG,
    Watch,
)

OFF_SHARE, OFF_LEAST, LYING, FALLEN = RULES.off_share, RULES.off_least, RULES.lying, RULES.fallen
EVEN_HALVES, ROLLED = RULES.even_halves, RULES.rolled
NONE = 1e300
"""Greater than any value of which the least is kept (numerical)."""
_TYRES = 1 + 13 * at.N_BODY


def begin(plant: Plant, cmd: Floats, mem: Memory, watch: Watch) -> None:
    """Set what is watched to its start; cmd: the row of commands in force."""
    seen = watch.seen
    pull = sqrt(cmd[at.K_GX] ** 2 + cmd[at.K_GY] ** 2 + cmd[at.K_GZ] ** 2)
    seen[:] = 0.0
    for b in range(at.N_BODY):
        seen[S_WEIGHT] += plant.mass[b] * pull
    seen[S_WHY], seen[S_AWAY_AT], seen[S_LEFT], seen[S_SINCE] = NOT_YET, -1.0, -NONE, 1.0
    seen[S_ROLL_LEAST] = seen[S_PITCH_LEAST] = NONE
    seen[S_ROLL_MOST] = seen[S_PITCH_MOST] = -NONE
    for j in range(N_LOW):
        seen[S_LOW + j] = seen[S_LOW_BEFORE + j] = NONE
    seen[S_HELD] = mem.energy[at.E_ELASTIC]
    for i in range(watch.least.shape[0]):
        watch.least[i, 0], watch.least[i, 1] = NONE, nan
    for j in range(SWING_LEFT):
        watch.line[j, D_SINCE] = -1.0
    for j in (J_SLID_AT, J_TOPPLED_AT, J_LEFT_AT):
        watch.job[j] = -1.0
    watch.job[J_LOW] = -NONE
    for i in range(plant.tyre.shape[0]):
        watch.tyre[i, Y_OFF_AT] = watch.tyre[i, Y_BACK_AT] = -1.0
        watch.tyre[i, Y_PEAK], watch.tyre[i, Y_PEAK_AT] = -NONE, nan
    x, y, _ = turned(mem.turn[at.CHASSIS], watch.outline[O_X], watch.outline[O_Y], watch.outline[O_Z])
    seen[S_START_X], seen[S_START_Y] = mem.state[at.CHASSIS, 0] + x, mem.state[at.CHASSIS, 1] + y


def watch_step(k: int, dt: float, plant: Plant, cmd: Floats, mem: Memory, watch: Watch, row: Floats) -> int:
    """Watch step k, whose forces are in row and mem; return what decides the ending, NOT_YET if nothing does.

    cmd: the row of commands in force. The last columns of the row are filled with what is told of the step.
    """
    if k == 0:
        begin(plant, cmd, mem, watch)
    rule, seen = watch.rule, watch.seen
    after = _TYRES + at.N_TYRE_RECORD * plant.tyre.shape[0]
    single, columns = row[after:], row[after + at.N_SINGLE + plant.place.shape[0] + 6 :]
    lean = watch_lean(k * dt, cmd, mem, watch)
    watch_tyres(k, dt, lean, plant, watch, row[_TYRES:], columns)
    for j in range(plant.place.shape[0]):
        watch.deepest[j] = max(watch.deepest[j], mem.depth[j])
    seen[S_ON_BODY] = seen[S_ON_BODY] + seen[S_SINCE] if single[at.R_BODY_FORCE] > OFF_SHARE * seen[S_WEIGHT] else 0.0
    if watch.forks[F_KIND] == FIXED:
        watch_fixed(k, dt, plant, cmd, mem, watch)
    elif watch.forks[F_KIND] == FREE:
        watch_free(k, dt, plant, cmd, mem, watch.job, single[at.R_LOAD_FLOOR])
    kinetic = unrest(plant, cmd, mem, watch.outline)
    if rule[R_TELLS] > 0.0 or k % int(rule[R_EVERY]) < seen[S_SINCE]:
        watch_lines(k, k * dt, lean, kinetic, plant, cmd, mem, watch, row[_TYRES:], columns)
    why = decide(k, lean, past_line(watch.line), kinetic, mem, watch)
    seen[S_WHY] = why
    return why


def note(value: float, time: float, least: Floats) -> None:
    """Keep a value and when it was, if it is the least so far; least (2,)."""
    if value < least[0]:
        least[0], least[1] = value, time


def lower(value: float, j: int, seen: Floats) -> None:
    """Keep a value in seen[j] if it is less than what is there; nan is not."""
    seen[j] = min(seen[j], value)


def watch_lean(time: float, cmd: Floats, mem: Memory, watch: Watch) -> float:
    """Keep the extremes of roll and pitch, and how far it went before it fell; return the lean from gravity [rad]."""
    r, seen = mem.turn[at.CHASSIS], watch.seen
    gx, gy, gz = cmd[at.K_GX], cmd[at.K_GY], cmd[at.K_GZ]
    roll, pitch = atan2(r[2, 1], r[2, 2]), atan2(-r[2, 0], hypot(r[0, 0], r[1, 0]))
    seen[S_ROLL_LEAST], seen[S_ROLL_MOST] = min(seen[S_ROLL_LEAST], roll), max(seen[S_ROLL_MOST], roll)
    seen[S_PITCH_LEAST], seen[S_PITCH_MOST] = min(seen[S_PITCH_LEAST], pitch), max(seen[S_PITCH_MOST], pitch)
    lower(roll, S_LOW, seen)
    lower(-roll, S_LOW + 1, seen)
    lower(pitch, S_LOW + 2, seen)
    lower(-pitch, S_LOW + 3, seen)
    up = -(r[0, 2] * gx + r[1, 2] * gy + r[2, 2] * gz) / sqrt(gx * gx + gy * gy + gz * gz)
    angle = acos(min(1.0, max(-1.0, up)))
    if angle < FALLEN and watch.rule[R_TELLS] > 0.0:
        x, y, _ = turned(r, watch.outline[O_X], watch.outline[O_Y], watch.outline[O_Z])
        x, y = mem.state[at.CHASSIS, 0] + x - seen[S_START_X], mem.state[at.CHASSIS, 1] + y - seen[S_START_Y]
        seen[S_AWAY] = hypot(x, y)
        if seen[S_AWAY] > ROLLED and seen[S_AWAY_AT] < 0.0:
            seen[S_AWAY_AT] = time
    return angle


def watch_tyres(
    k: int, dt: float, lean: float, plant: Plant, watch: Watch, tyres: Floats, columns: Floats
) -> None:  # fmt: skip
    """Keep least and greatest tyre loads, the steer axle's share, and how long each tyre has been off the floor."""
    time, steps, since = k * dt, watch.rule[R_OFF_STEPS], int(watch.seen[S_SINCE])
    total, steer = 0.0, 0.0
    for i in range(plant.tyre.shape[0]):
        load, tyre = tyres[i * at.N_TYRE_RECORD + at.R_LOAD], watch.tyre[i]
        if k == 0:
            tyre[Y_LIMIT] = max(OFF_SHARE * load, OFF_LEAST * watch.seen[S_WEIGHT])
        total += load
        if plant.tyre[i, at.T_BRAKED] == 0.0:
            steer += load
        note(load, time, watch.least[N_LEAST + i])
        if lean <= LYING and load > tyre[Y_PEAK]:
            tyre[Y_PEAK], tyre[Y_PEAK_AT] = load, time
        light = load < tyre[Y_LIMIT]
        if not light and tyre[Y_LIGHT] >= steps and tyre[Y_BACK_AT] < 0.0:
            tyre[Y_BACK_AT] = time
        before, tyre[Y_LIGHT] = tyre[Y_LIGHT], counted(light, tyre[Y_LIGHT], since)
        for j in range(since):
            now = watch.swing[(k - j) % watch.swing.shape[0]]
            tyre[Y_SWUNG] += (1.0 if light else 0.0) - now[i]
            now[i] = 1.0 if light else 0.0
        if before < steps <= tyre[Y_LIGHT]:
            watch.seen[S_EVER_OFF] = watch.seen[S_OFF] = 1.0
            if tyre[Y_OFF_AT] < 0.0:
                tyre[Y_OFF_AT] = (k - tyre[Y_LIGHT] + 1.0) * dt
    columns[at.W_STEER] = steer / total if total > 0.0 else nan
    note(columns[at.W_STEER], time, watch.least[L_STEER])


def pressing(plant: Plant, cmd: Floats, mem: Memory, outline: Floats, rope: float, sums: Floats) -> None:
    """Fill sums (2, 6) with what presses on the truck, and on all of it but the steer axle.

    Weight, the rope's pull, outside forces, the commanded acceleration.
    """
    position, r, whole, frame = mem.state, mem.turn[at.CHASSIS], sums[0], sums[1]
    size = hypot(r[0, 0], r[1, 0])
    push = cmd[at.K_ACC] / size if size > 0.0 else 0.0
    gravity = (cmd[at.K_GX] - push * r[0, 0], cmd[at.K_GY] - push * r[1, 0], cmd[at.K_GZ])
    hung = plant.mass[at.LOAD] > 0.0 and outline[O_HANGS] > 0.0
    weighing(gravity, 0.0 if hung else plant.mass[at.LOAD], plant, position, mem.turn, outline, whole, frame)
    if cmd[at.K_CURVE] != 0.0 or cmd[at.K_YAWS] != 0.0:
        swinging_out(0.0 if hung else plant.mass[at.LOAD], plant, cmd, mem, outline, whole, frame)
    if hung:
        hx, hy, hz = hook(plant, position, mem.turn)
        x, y, z = turned(mem.turn[at.LOAD], plant.link[at.L_TX], plant.link[at.L_TY], plant.link[at.L_TZ])
        x, y, z = x + position[at.LOAD, 0] - hx, y + position[at.LOAD, 1] - hy, z + position[at.LOAD, 2] - hz
        pull = rope / max(sqrt(x * x + y * y + z * z), 1e-9)
        add_at(hx, hy, hz, pull * x, pull * y, pull * z, whole)
        add_at(hx, hy, hz, pull * x, pull * y, pull * z, frame)
    column = at.K_PLACE + plant.place.shape[0]
    for i in range(plant.push.shape[0]):
        b = int(plant.push[i, 0])
        if not (hung and b == at.LOAD):
            x, y, z = turned(mem.turn[b], plant.push[i, 1], plant.push[i, 2], plant.push[i, 3])
            fx, fy, fz = cmd[column], cmd[column + 1], cmd[column + 2]
            x, y, z = x + position[b, 0], y + position[b, 1], z + position[b, 2]
            add_at(x, y, z, fx, fy, fz, whole)
            if b != at.AXLE:
                add_at(x, y, z, fx, fy, fz, frame)
        column += 3


def swinging_out(
    load: float, plant: Plant, cmd: Floats, mem: Memory, outline: Floats, whole: Floats, frame: Floats
) -> None:
    """Add to sums (6,) as of `pressing` what a commanded turn takes: each part is led round the middle of the turn."""
    r, c = mem.turn[at.CHASSIS], mem.state[at.CHASSIS]
    size = hypot(r[0, 0], r[1, 0])
    if size == 0.0:
        return
    ex, ey = r[0, 0] / size, r[1, 0] / size
    ox, oy, _ = turned(r, outline[O_X], outline[O_Y], outline[O_Z])
    turning, yaws = cmd[at.K_SPEED] * cmd[at.K_CURVE], cmd[at.K_YAWS]
    for b in range(at.N_BODY):
        m, x, y, z = plant.mass[b], mem.state[b, 0], mem.state[b, 1], mem.state[b, 2]
        if b == at.LOAD:
            m = load
            x, y, z = load_point(plant, mem.state, mem.turn, outline)
        if m == 0.0:
            continue
        # ahead and left of the middle of the drive axle, and the acceleration there
        px, py = x - c[0] - ox, y - c[1] - oy
        ahead, left = px * ex + py * ey, py * ex - px * ey
        along = -turning * turning * ahead - yaws * left
        across = turning * (cmd[at.K_SPEED] - turning * left) + yaws * ahead
        fx, fy = -m * (along * ex - across * ey), -m * (along * ey + across * ex)
        add_at(x, y, z, fx, fy, 0.0, whole)
        if b != at.AXLE:
            add_at(x, y, z, fx, fy, 0.0, frame)


def watch_lines(
    k: int,
    time: float,
    lean: float,
    kinetic: float,
    plant: Plant,
    cmd: Floats,
    mem: Memory,
    watch: Watch,
    tyres: Floats,
    columns: Floats,
) -> None:
    """Look at the tip lines: distances, energy left, the balance point, and which lines the weight is past.

    lean: of the chassis [rad]; kinetic: energy less that of driving [J]; tyres: the record's row from its tyres on,
    columns: its last. Between the looks that decide, at the same times whatever the step, it only tells.
    """
    outline, seen, foot, sums, rule = watch.outline, watch.seen, watch.foot, watch.sums, watch.rule
    at_look = k % int(rule[R_EVERY]) < seen[S_SINCE]
    load, position, rot = load_carried(plant, cmd), mem.state, mem.turn
    rope = tyres[at.N_TYRE_RECORD * plant.tyre.shape[0] + at.R_ROPE]
    contacts(plant, mem.depth, position, rot, outline, tyres, foot)
    pressing(plant, cmd, mem, outline, rope, sums)
    middle = (0.0, 0.0, 0.0)
    if outline[O_PIVOTS] > 0.0:
        _, x, y, z = carried_centre(load, plant, position, rot, outline, False)
        middle = (x, y, z)
    distances(plant, rot, outline, foot, sums, middle, columns[at.W_DISTANCE :])
    if rule[R_TELLS] > 0.0:
        columns[at.W_BALANCE], columns[at.W_BALANCE + 1] = balance_point(sums[0])
    for j in range(N_LINES):
        note(columns[at.W_DISTANCE + j], time, watch.least[L_DISTANCE + j])
        if at_look and j < SWING_LEFT:
            lower(columns[at.W_DISTANCE + j], S_LOW + LEANS + j, seen)
    turns = cmd[at.K_CURVE] != 0.0 and cmd[at.K_SPEED] != 0.0
    decides = k >= rule[R_QUIET_FROM] and not turns and not pushed(plant, cmd)
    least = -NONE
    if decides or rule[R_TELLS] > 0.0:
        energies_left(kinetic, plant, cmd, mem, watch, columns[at.W_ENERGY :])
        least = NONE
        for j in range(SWING_LEFT):
            note(columns[at.W_ENERGY + j], time, watch.least[L_ENERGY + j])
            least = min(least, columns[at.W_ENERGY + j])
    if not at_look:
        return
    seen[S_LEFT] = least if decides else -NONE
    weighed = False
    if k >= rule[R_DURATION] - EVEN_HALVES * rule[R_WINDOW] - rule[R_EVERY]:
        weigh(load, plant, cmd, mem, outline, sums)
        weighed, inside = True, True
        for j in range(SWING_LEFT):
            inside = inside and distance(foot[START[j]], foot[END[j]], sums[0]) > 0.0
        seen[S_INSIDE] = seen[S_INSIDE] + max(rule[R_EVERY], seen[S_SINCE]) if inside else 0.0
    if seen[S_FELL] == 0.0:
        watch_past(time, lean, load, weighed, plant, cmd, mem, watch, columns)


def weigh(load: float, plant: Plant, cmd: Floats, mem: Memory, outline: Floats, sums: Floats) -> None:
    """Fill sums (2, 6) with the weight of what the truck carries, a hung load's at the hook."""
    gravity = (cmd[at.K_GX], cmd[at.K_GY], cmd[at.K_GZ])
    weighing(gravity, load, plant, mem.state, mem.turn, outline, sums[0], sums[1])


def watch_past(
    time: float,
    lean: float,
    load: float,
    weighed: bool,
    plant: Plant,
    cmd: Floats,
    mem: Memory,
    watch: Watch,
    columns: Floats,
) -> None:
    """Keep since when the weight is past each line the truck turns on, and what was least up to then.

    A line counts only while every tyre it turns away from is off the floor, or the truck lies that way; weighed: the
    sums hold the weight already.
    """
    line, foot = watch.line, watch.foot
    for j in range(SWING_LEFT):
        past = lean > LYING and leans_to(mem.turn[at.CHASSIS]) == j
        if not past and turns_on(j, plant, watch):
            if not weighed:
                weigh(load, plant, cmd, mem, watch.outline, watch.sums)
                weighed = True
            past = distance(foot[START[j]], foot[END[j]], watch.sums[0]) < 0.0
        if not past:
            line[j, D_SINCE] = -1.0
            continue
        if line[j, D_SINCE] < 0.0:
            line[j, D_SINCE], line[j, D_BEYOND] = time, 0.0
            keep(watch.least, watch.kept[j])
        # a rope that still pulls inwards keeps the balance point back for a moment
        if line[j, D_BEYOND] == 0.0 and not columns[at.W_DISTANCE + j] > 0.0:
            line[j, D_BEYOND], line[j, D_SINCE] = 1.0, time
            keep(watch.least, watch.kept[j])


def turns_on(line: int, plant: Plant, watch: Watch) -> bool:
    """Whether every tyre away from a line is light."""
    for i in range(plant.tyre.shape[0]):
        braked, left = plant.tyre[i, at.T_BRAKED] > 0.0, watch.outline[N_OUTLINE + i] > 0.0
        away = not braked
        if line == BACK:
            away = braked
        elif line == LEFT:
            away = not left
        elif line == RIGHT:
            away = left
        if away and watch.tyre[i, Y_LIGHT] == 0.0:
            return False
    return True


def keep(least: Floats, kept: Floats) -> None:
    """Keep what was least up to now."""
    for i in range(least.shape[0]):
        kept[i, 0], kept[i, 1] = least[i, 0], least[i, 1]


def past_line(line: Floats) -> int:
    """Return the line that the weight is past now, of several that since longest; -1 if none."""
    line_past = -1
    for j in range(SWING_LEFT):
        if line[j, D_SINCE] >= 0.0 and (line_past < 0 or line[j, D_SINCE] < line[line_past, D_SINCE]):
            line_past = j
    return line_past
