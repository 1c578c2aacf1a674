"""A whole run in compiled code: forces, bodies, places that open, when its ending is decided; a row of results."""

from math import acos, atan2, cos, hypot, isfinite, sin, sqrt

from tipline.endings import RULES, Decided, TruckEnd
from tipline.kernels import layout as at
from tipline.kernels.dynamics import advance, quaternion_turn, spread
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.step import forces
from tipline.kernels.tiplines import (
    D_KEPT,
    D_LEAST,
    D_LOAD,
    D_NOW,
    D_SINCE,
    D_STEER,
    J_STATE,
    N_LINES,
    NONE,
    S_FIXED,
    SWING_LEFT,
    energy_left,
    past_line,
    pushed,
    watch_lines,
    watch_load,
    within,
)
from tipline.kernels.vector import turned

# words of an ending, and what decided it, by their places in `endings`
(DOWN, TOO_LIGHT, LIFTED, LEFT_UP, RESTING, OVER, UNDECIDED, FAILED) = range(len(TruckEnd))
(BY_FALL, BY_REST, BY_SWING, BY_ENERGY, BY_CALM, BY_TIME, BY_ERROR) = range(len(Decided))

EVEN_HALVES, ALIKE, NEARER, SLOW = RULES.even_halves, RULES.alike, RULES.nearer, RULES.slow

# result row; after it the greatest load of each tyre, then the least [N], and the greatest depth of each place [m]
(
    O_ENDING, O_WHY, O_TIME, O_LINE, O_ROLL_LEAST, O_ROLL_MOST, O_PITCH_LEAST, O_PITCH_MOST, O_STEER, O_LEDGER, O_STEPS,
    O_NO_RETURN, O_LOAD, O_DISTANCE,
) = range(14)  # fmt: skip
N_RESULT = O_DISTANCE + N_LINES
"""O_LINE: 0 front, 1 back, 2 left, 3 right, -1 none; roll right side down, pitch front down [rad]; O_STEER: least share
of the tyre loads on the steer axle; O_LEDGER: energy missing as a share of what went through; O_NO_RETURN: since when
there was no way back [s], -1 never; O_LOAD: state of a load fixed on the forks; O_DISTANCE: least distances to the four
tip lines and the two swing lines [m], NONE where there is none; these three and O_STEER up to where there was no way
back."""

# rules
(
    F_DURATION, F_CAP, F_QUIET_FROM, F_WINDOW, F_FALLEN, F_STILL, F_QUIET, F_HOLD, F_OFF, F_OFF_STEPS, F_LIGHT,
    F_FASTEST, F_LEDGER_SHARE, F_LEDGER_FLOOR, F_LOOK, F_EARLY,
    F_SINKS, F_EVERY, F_BEGINS, F_MOSTLY,
) = range(20)  # fmt: skip
N_RULE = 20
"""Steps: duration, cap, last commanded change, length of a window, of stillness, of a hold at the end, of a tyre off
the floor, between looks at the ledger. F_FALLEN: lean [rad]; F_STILL: kinetic energy [J]; F_OFF: share of the rest
load; F_LIGHT: steer share; F_EARLY 0: no run ends before its duration but by falling; F_SINKS:
depth that places gain in a step [m] from which the truck is not at rest; F_EVERY: steps between looks at the lines;
F_BEGINS: where the truck stands, the steps before this one, at which commands begin, are left out; 0: none; F_MOSTLY:
share of a swing, two windows, for which a tyre bears nothing that is left up."""

# places to open under tyres
(W_STEP, W_PLACE, W_TYRE, W_ASIDE, W_HX, W_HY, W_LAW, W_SOIL) = range(8)
N_WAIT = 12

# what is watched on the way
(
    V_ON_BODY, V_STILL, V_PEAK, V_PEAK_BEFORE, V_LOW_1, V_HIGH_1, V_LOW_2, V_HIGH_2, V_LOW_1B, V_HIGH_1B, V_LOW_2B,
    V_HIGH_2B, V_WINDOWS, V_OFF, V_START, V_MOST, V_EVER_OFF, V_X, V_Y, V_DEPTH, V_WEIGHT,
    V_DEEP, V_REST, V_CLEAR, V_LEFT, V_EVEN, V_INSIDE, V_CALM,
) = range(28)  # fmt: skip
V_EVENS, V_NEAR, V_NEAR_B, V_MISSING = 28, 29, 33, 37
LOOKS = 4
N_WATCH = V_MISSING + LOOKS
"""V_CLEAR: steps since which energy rules out that it tips; V_LEFT: least energy left at the last look [J];
V_EVEN: even windows running, no tyre off; V_INSIDE: steps since which the weight is within all tip lines;
V_CALM: whether the last window was; V_EVENS: even windows running, tyres off or not; V_NEAR, V_NEAR_B: least
distance to each tip line in this window, and in those before [m]; V_MISSING: energy missing at the last looks.
Then the steps for which each tyre has been light, below which load, whether it was off and came back, and for
how many steps of the last swing it was light."""
_TRAVEL = 0.02
"""A truck that went no farther than this in a window stays (our choice) [m]."""
_SINKING = 2e-4
"""A place that went no deeper than this in a window rests (our choice) [m]."""
_CREEPS = 0.02
"""Part of the speed at which ground sinks under twice what it bears, below which it only creeps (our choice) [1]."""
_RESTS = 1e-7
"""Speed after the first step up to which the truck stood, numerical: an unrest of 5e-5 m/s2 [m/s, rad/s]."""
_EVEN_WINDOWS = 2
"""Windows, half a swing each, that must be even without a tyre off before a run ends early."""


def open_places(k: int, waiting: Floats, raw: Floats, plant: Plant, axes: Floats) -> None:
    """Put the places that begin at step k under their tyres, square to the wheel."""
    for i in range(waiting.shape[0]):
        w = waiting[i]
        if int(w[W_STEP]) != k:
            continue
        tyre = plant.tyre[int(w[W_TYRE])]
        b = int(tyre[at.T_BODY])
        quaternion_turn(raw[b], 3, axes)
        x, y, _ = turned(axes, tyre[at.T_X], tyre[at.T_Y], tyre[at.T_Z])
        heading = atan2(-axes[0, 1], axes[1, 1])
        row = plant.place[int(w[W_PLACE])]
        row[at.P_X] = raw[b, 0] + x - w[W_ASIDE] * sin(heading)
        row[at.P_Y] = raw[b, 1] + y + w[W_ASIDE] * cos(heading)
        row[at.P_COS], row[at.P_SIN] = cos(heading), sin(heading)
        row[at.P_HX], row[at.P_HY], row[at.P_LAW] = w[W_HX], w[W_HY], w[W_LAW]
        for j in range(4):
            row[at.P_YIELD + j] = w[W_SOIL + j]


def watch_tyres(k: int, plant: Plant, row: Floats, rule: Floats, seen: Floats, swing: Floats, out: Floats) -> None:
    """Keep peaks of the tyre loads, the steer axle's share, and how long each tyre has been off.

    swing (steps of a swing, tyres): whether each tyre was light at each, a ring.
    """
    n = plant.tyre.shape[0]
    now = swing[k % swing.shape[0]]
    one = 1 + 13 * at.N_BODY + at.N_TYRE_RECORD * n
    total, steer, off = 0.0, 0.0, False
    for i in range(n):
        load = row[1 + 13 * at.N_BODY + i * at.N_TYRE_RECORD + at.R_LOAD]
        if k == 0:
            seen[N_WATCH + n + i] = max(rule[F_OFF] * load, 1e-3 * rule[F_OFF] * seen[V_WEIGHT])
        total += load
        if plant.tyre[i, at.T_BRAKED] == 0.0:
            steer += load
        out[N_RESULT + i], out[N_RESULT + n + i] = max(out[N_RESULT + i], load), min(out[N_RESULT + n + i], load)
        if load >= seen[N_WATCH + n + i]:
            if seen[N_WATCH + i] >= rule[F_OFF_STEPS]:
                seen[N_WATCH + 2 * n + i] = 1.0
            seen[N_WATCH + i] = 0.0
        else:
            seen[N_WATCH + i] += 1.0
        light = 1.0 if seen[N_WATCH + i] > 0.0 else 0.0
        seen[N_WATCH + 3 * n + i] += light - now[i]
        now[i] = light
        if seen[N_WATCH + i] == rule[F_OFF_STEPS]:
            off = True
    if total > 0.0:
        out[O_STEER] = min(out[O_STEER], steer / total)
    if off:
        seen[V_EVER_OFF] = seen[V_OFF] = 1.0
    for j in range(plant.place.shape[0]):
        out[N_RESULT + 2 * n + j] = max(out[N_RESULT + 2 * n + j], row[one + at.N_SINGLE + j])


def watch_lean(mem: Memory, seen: Floats, out: Floats) -> float:
    """Keep the extremes of roll and pitch; return the chassis' lean from the vertical of gravity [rad]."""
    r, g = mem.turn[at.CHASSIS], mem.gravity
    roll, pitch = atan2(r[2, 1], r[2, 2]), atan2(-r[2, 0], hypot(r[0, 0], r[1, 0]))
    out[O_ROLL_LEAST], out[O_ROLL_MOST] = min(out[O_ROLL_LEAST], roll), max(out[O_ROLL_MOST], roll)
    out[O_PITCH_LEAST], out[O_PITCH_MOST] = min(out[O_PITCH_LEAST], pitch), max(out[O_PITCH_MOST], pitch)
    seen[V_LOW_1], seen[V_HIGH_1] = min(seen[V_LOW_1], roll), max(seen[V_HIGH_1], roll)
    seen[V_LOW_2], seen[V_HIGH_2] = min(seen[V_LOW_2], pitch), max(seen[V_HIGH_2], pitch)
    up = -(r[0, 2] * g[0] + r[1, 2] * g[1] + r[2, 2] * g[2]) / sqrt(g[0] ** 2 + g[1] ** 2 + g[2] ** 2)
    return acos(min(1.0, max(-1.0, up)))


def unrest(plant: Plant, mem: Memory) -> float:
    """Return the kinetic energy [J] less that of driving: speeds count from the chassis' own, wheels not at all."""
    r, v, spinning = mem.turn[at.CHASSIS], mem.now, 0.0
    size = hypot(r[0, 0], r[1, 0])
    ex, ey = (r[0, 0] / size, r[1, 0] / size) if size > 0.0 else (1.0, 0.0)
    # the drive axle's: the chassis' centre less its turning above the floor
    ahead = v[0, 0] * ex + v[0, 1] * ey - (v[0, 4] * ex - v[0, 3] * ey) * mem.state[0, 2]
    mass, along = 0.0, 0.0
    for b in range(at.N_BODY):
        mass += plant.mass[b]
        along += plant.mass[b] * (v[b, 0] * ex + v[b, 1] * ey)
    for i in range(plant.tyre.shape[0]):
        spinning += 0.5 * plant.tyre[i, at.T_IW] * mem.spin[i] ** 2
    left: float = mem.energy[at.E_KINETIC] - spinning - along * ahead + 0.5 * mass * ahead * ahead
    return left


def new_window(plant: Plant, mem: Memory, seen: Floats) -> tuple[bool, bool, bool]:
    """Close a window; return whether it is even, calm, and whether the truck stayed in place, no tyre going off.

    Even: it leans no further and comes no nearer to a tip line than in the windows before, and sinks no more. Calm: so
    were the last ones, and it moves less than in the one before.
    """
    x, y, deep = mem.state[at.CHASSIS, 0], mem.state[at.CHASSIS, 1], 0.0
    for j in range(mem.depth.shape[0]):
        deep += mem.depth[j]
    even = (
        seen[V_WINDOWS] >= 1.0
        and seen[V_LOW_1] >= seen[V_LOW_1B] - ALIKE
        and seen[V_HIGH_1] <= seen[V_HIGH_1B] + ALIKE
        and seen[V_LOW_2] >= seen[V_LOW_2B] - ALIKE
        and seen[V_HIGH_2] <= seen[V_HIGH_2B] + ALIKE
        and deep - seen[V_DEPTH] < _SINKING
    )
    for j in range(SWING_LEFT):
        even = even and seen[V_NEAR + j] >= seen[V_NEAR_B + j] - NEARER
    seen[V_EVENS] = seen[V_EVENS] + 1.0 if even else 0.0
    calm = seen[V_EVENS] >= EVEN_HALVES and seen[V_PEAK] <= max(seen[V_PEAK_BEFORE], SLOW * seen[V_WEIGHT])
    stays = seen[V_OFF] == 0.0 and hypot(x - seen[V_X], y - seen[V_Y]) < _TRAVEL
    if seen[V_WINDOWS] < 0.0:  # what was before the last command does not count
        seen[V_LOW_1B] = seen[V_LOW_2B] = 10.0
        seen[V_HIGH_1B] = seen[V_HIGH_2B] = -10.0
        for j in range(SWING_LEFT):
            seen[V_NEAR_B + j] = NONE
    else:
        for j in range(SWING_LEFT):
            seen[V_NEAR_B + j] = min(seen[V_NEAR_B + j], seen[V_NEAR + j])
        for j in range(0, 4, 2):
            seen[V_LOW_1B + j] = min(seen[V_LOW_1B + j], seen[V_LOW_1 + j])
            seen[V_HIGH_1B + j] = max(seen[V_HIGH_1B + j], seen[V_HIGH_1 + j])
    seen[V_LOW_1] = seen[V_LOW_2] = 10.0
    seen[V_HIGH_1] = seen[V_HIGH_2] = -10.0
    for j in range(SWING_LEFT):
        seen[V_NEAR + j] = NONE
    seen[V_PEAK_BEFORE], seen[V_PEAK] = seen[V_PEAK], 0.0
    seen[V_OFF] = 0.0
    seen[V_WINDOWS] += 1.0
    seen[V_X], seen[V_Y], seen[V_DEPTH] = x, y, deep
    return even, calm, stays


def broken(k: int, mem: Memory, raw: Floats, rule: Floats, seen: Floats, out: Floats) -> bool:
    """Look at speeds and ledger; the loss of a landing is booked late, so energy must be missing at several looks."""
    e = mem.energy
    for b in range(at.N_BODY):
        for j in range(7, 13):
            if not abs(raw[b, j]) <= rule[F_FASTEST]:
                return True
    total = e[at.E_KINETIC] + e[at.E_GRAVITY] + e[at.E_ELASTIC] + e[at.E_DISSIPATED] + e[at.E_FLOOR] - e[at.E_WORK]
    if not isfinite(total):
        return True
    if k == 0:
        seen[V_START] = total
    through = e[at.E_KINETIC] + abs(e[at.E_WORK]) + e[at.E_DISSIPATED] + abs(e[at.E_FLOOR])
    seen[V_MOST] = max(seen[V_MOST], through)
    for j in range(LOOKS - 1):
        seen[V_MISSING + j] = seen[V_MISSING + j + 1]
    seen[V_MISSING + LOOKS - 1] = abs(total - seen[V_START])
    lasting = seen[V_MISSING]
    for j in range(1, LOOKS):
        lasting = min(lasting, seen[V_MISSING + j])
    least = rule[F_LEDGER_FLOOR] / rule[F_LEDGER_SHARE]
    out[O_LEDGER] = max(out[O_LEDGER], lasting / max(seen[V_MOST], least))
    open_still: bool = lasting > rule[F_LEDGER_FLOOR] + rule[F_LEDGER_SHARE] * seen[V_MOST]
    return open_still


def tyre_up(n: int, still: bool, rule: Floats, seen: Floats) -> bool:
    """Whether a tyre is off where nothing moves, or went off and never came back, or was off for most of a swing."""
    for i in range(n):
        stays = still or seen[N_WATCH + 2 * n + i] == 0.0
        if stays and seen[N_WATCH + i] >= rule[F_HOLD]:
            return True
        if not still and seen[N_WATCH + 3 * n + i] >= rule[F_MOSTLY] * 2.0 * rule[F_WINDOW]:
            return True
    return False


def name_ending(why: int, n: int, line: int, rule: Floats, seen: Floats, out: Floats) -> int:
    """Say how it ended: past a line, on its body, undecided, a tyre left up, lifted, too light, down.

    line: that the weight is past, -1 none.
    """
    if why == BY_ERROR:
        return FAILED
    on_body = seen[V_ON_BODY] >= rule[F_HOLD]
    if line >= 0 and (why == BY_FALL or not on_body):
        return OVER
    if on_body:
        return RESTING
    if why == BY_TIME:
        return UNDECIDED
    if tyre_up(n, why == BY_REST, rule, seen):
        return LEFT_UP
    if seen[V_EVER_OFF] > 0.0:
        return LIFTED
    return TOO_LIGHT if out[O_STEER] < rule[F_LIGHT] else DOWN


def decided(k: int, lean: float, line: int, plant: Plant, mem: Memory, rule: Floats, seen: Floats) -> int:
    """Return what decides the ending at step k, or -1; line: that the weight is past, -1 none."""
    early = rule[F_EARLY] > 0.0
    kinetic = unrest(plant, mem)
    seen[V_PEAK] = max(seen[V_PEAK], kinetic)
    deep = 0.0
    for j in range(mem.depth.shape[0]):
        deep += mem.depth[j]
    sinking, seen[V_DEEP] = deep - seen[V_DEEP], deep
    still = kinetic < rule[F_STILL] and k >= rule[F_QUIET_FROM]
    seen[V_REST] = seen[V_REST] + 1.0 if still and sinking < rule[F_SINKS] else 0.0
    # a truck that drives on may meet something: it does not end early
    parked = still and mem.energy[at.E_KINETIC] < rule[F_STILL] and sinking < _CREEPS * rule[F_SINKS]
    seen[V_STILL] = seen[V_STILL] + 1.0 if parked else 0.0
    if line >= 0 and lean > rule[F_FALLEN]:
        return BY_FALL
    if seen[V_STILL] >= rule[F_QUIET] and early:
        return BY_REST
    if k >= rule[F_DURATION] and seen[V_REST] >= rule[F_QUIET]:
        return BY_REST
    since = k - int(rule[F_QUIET_FROM])
    barred = since >= 0 and line < 0 and seen[V_LEFT] > 0.0 and seen[V_ON_BODY] == 0.0 and sinking < rule[F_SINKS]
    seen[V_CLEAR] = seen[V_CLEAR] + 1.0 if barred else 0.0
    if k >= rule[F_DURATION] and seen[V_CLEAR] >= rule[F_HOLD]:
        return BY_ENERGY
    if since >= 0 and since % int(rule[F_WINDOW]) == 0:
        if since == 0:
            seen[V_WINDOWS] = -1.0
        even, calm, stays = new_window(plant, mem, seen)
        seen[V_EVEN] = seen[V_EVEN] + 1.0 if even and stays else 0.0
        if seen[V_EVEN] >= _EVEN_WINDOWS and early and seen[V_CLEAR] >= rule[F_WINDOW]:
            return BY_SWING
        seen[V_CALM] = 1.0 if calm else 0.0
    inside = line < 0 and seen[V_INSIDE] >= EVEN_HALVES * rule[F_WINDOW]
    if k >= rule[F_DURATION] and seen[V_CALM] > 0.0 and inside:
        return BY_CALM
    return BY_TIME if k >= rule[F_CAP] else -1


def roll_out(
    dt: float,
    x: Floats,
    u: Floats,
    plant: Plant,
    cmd: Floats,
    mem: Memory,
    waiting: Floats,
    rule: Floats,
    raw: Floats,
    wrench: Floats,
    scratch: Floats,
    turn: Floats,
    seen: Floats,
    swing: Floats,
    shape: Floats,
    line: Floats,
    foot: Floats,
    sums: Floats,
    ring: Floats,
    job: Floats,
    crest: Floats,
    record: Floats,
    out: Floats,
) -> int:
    """Step a run until its ending is decided; return the steps done.

    x, u: coordinates and speeds, kept up to date; plant: with identity frames; cmd: its last row lasts;
    waiting (n, N_WAIT): places to open; rule (N_RULE,); record: a row a step, or one row for all;
    out (N_RESULT + 2 tyres + places,). Scratch: raw (6, 13), wrench (6, 6), scratch (23, 12), turn (2, 3, 3),
    seen (N_WATCH + 4 tyres,) and swing (steps, tyres) of zeros; of what `tiplines` watches: shape,
    line (6, N_LINE), foot (9, 4), sums (2, 6), ring, job (N_JOB,), crest (4, N_CREST).
    """
    n, one = plant.tyre.shape[0], 1 + 13 * at.N_BODY + at.N_TYRE_RECORD * plant.tyre.shape[0]
    begin(n, plant, cmd, seen, line, out)
    look, every, keep, why, k = int(rule[F_LOOK]), int(rule[F_EVERY]), record.shape[0] > 1, -1, 0
    left_out = 0
    while why < 0:
        spread(x, u, plant.mass, plant.axle, plant.mast, plant.link, turn, raw)
        open_places(k, waiting, raw, plant, mem.axes)
        row, now = record[k if keep else 0], min(k, cmd.shape[0] - 1)
        forces(now, dt, raw, plant, cmd, mem, wrench, row)
        row[0] = k * dt
        watch_tyres(k, plant, row, rule, seen, swing, out)
        lean = watch_lean(mem, seen, out)
        seen[V_ON_BODY] = seen[V_ON_BODY] + 1.0 if row[one + at.R_BODY_FORCE] > rule[F_OFF] * seen[V_WEIGHT] else 0.0
        if shape[S_FIXED] > 0.0:
            watch_load(k, dt, plant, cmd[now], mem, shape, ring, job)
        if k % every == 0:
            watch_lines(
                k, lean, out[O_STEER], plant, cmd[now], mem, shape, row[1 + 13 * at.N_BODY :], row[one + at.R_ROPE],
                seen[N_WATCH:], job[J_STATE], line, foot, sums,
            )  # fmt: skip
            if k >= rule[F_DURATION] - EVEN_HALVES * rule[F_WINDOW] - every:
                inside = within(plant, cmd[now], mem, foot, sums[0])
                seen[V_INSIDE] = seen[V_INSIDE] + every if inside else 0.0
            for j in range(SWING_LEFT):
                seen[V_NEAR + j] = min(seen[V_NEAR + j], line[j, D_NOW])
            seen[V_LEFT] = -NONE
            if k >= rule[F_QUIET_FROM] and not pushed(plant, cmd[now]):
                held = unrest(plant, mem) + mem.energy[at.E_ELASTIC]
                seen[V_LEFT] = energy_left(plant, cmd[now], mem, shape, crest, foot, held)
        why = decided(k, lean, past_line(line), plant, mem, rule, seen)
        if k % look == 0 and broken(k, mem, raw, rule, seen, out):
            why = BY_ERROR
        gravity = (cmd[now, at.K_GX], cmd[now, at.K_GY], cmd[now, at.K_GZ])
        advance(
            dt, gravity, plant.mass, plant.inertia, plant.axle, plant.mast, plant.link, x, u, mem.state, mem.turn,
            mem.now, wrench, scratch,
        )  # fmt: skip
        k += 1
        if k == 1 and rule[F_BEGINS] > 1.0 and not keep and stood(u):
            k, left_out = int(rule[F_BEGINS]), int(rule[F_BEGINS]) - 1
            for j in range(1, ring.shape[0]):
                for i in range(ring.shape[1]):
                    ring[j, i] = ring[0, i]
    over = past_line(line)
    ending = name_ending(why, n, over, rule, seen, out)
    out[O_ENDING], out[O_WHY], out[O_TIME], out[O_STEPS] = ending, why, (k - 1) * dt, k - left_out
    tell_least(dt, over if ending in (OVER, RESTING) else -1, line, job, out)
    return k


def stood(u: Floats) -> bool:
    """Whether the truck stands: nothing has begun to move after the first step."""
    fastest = 0.0
    for j in range(u.shape[0]):
        fastest = max(fastest, abs(u[j]))
    return fastest < _RESTS


def tell_least(dt: float, over: int, line: Floats, job: Floats, out: Floats) -> None:
    """Write what was least, up to where there was no way back over a line (-1: to the end)."""
    out[O_LINE], out[O_LOAD], out[O_NO_RETURN] = over, job[J_STATE], -1.0
    for j in range(N_LINES):
        out[O_DISTANCE + j] = line[j, D_LEAST]
    if over >= 0:
        kept = line[over]
        out[O_NO_RETURN], out[O_STEER], out[O_LOAD] = kept[D_SINCE] * dt, kept[D_STEER], kept[D_LOAD]
        for j in range(N_LINES):
            out[O_DISTANCE + j] = kept[D_KEPT + j]


def begin(n: int, plant: Plant, cmd: Floats, seen: Floats, line: Floats, out: Floats) -> None:
    """Set what is watched to its start."""
    pull = cmd[0, at.K_GX] ** 2 + cmd[0, at.K_GY] ** 2 + cmd[0, at.K_GZ] ** 2
    for b in range(at.N_BODY):
        seen[V_WEIGHT] += plant.mass[b] * sqrt(pull)
    out[:] = 0.0
    out[O_ROLL_LEAST] = out[O_PITCH_LEAST] = seen[V_LOW_1] = seen[V_LOW_2] = 10.0
    out[O_ROLL_MOST] = out[O_PITCH_MOST] = seen[V_HIGH_1] = seen[V_HIGH_2] = -10.0
    out[O_STEER] = 1.0
    for j in range(N_LINES):
        line[j, D_LEAST], line[j, D_SINCE] = NONE, -1.0
    for i in range(n):
        out[N_RESULT + n + i] = NONE
