"""How steep the floor can get: one truck followed up a slope in each direction, until it no longer stands.

The slope grows from level; the pose is carried on. Where the frame swings about front tyre and pivot, the truck is put
on the stop of its axle and followed on, if it stands there. What goes on the way is told apart: a tyre lifts, the
frame swings, the truck slides or rolls, the load on the forks slips or topples; at the end it tips.

Source: [Own]

Arrays:

q (8,) [m, rad], k (8, 8) [SI], home (6,) [m, rad]: as in `equilibrium`
tyre, tyre0 (n, 14) [SI]: each tyre's state
way (5,) [SI]: what the slope does to the truck: brake [N], level, more, pull of a stop (2)
forks (7,) [SI]: what holds the load: 1 on the forks, friction, tilt (cosine, sine), height, how far its base reaches
left (n,) [1]: 1 for a tyre on the left
ends (3,) [m, m, rad]: wheelbase, half the outer front track, heading
azimuths (n,) [rad]: where the floor falls to, world
value, value0, value1 (8,) [1]: what must stay above 0
held0, held1 (4,) [1]: loads that hold the truck
out (11,) [rad]: limits, then what goes first
"""

from math import cos, hypot, sin, sqrt, tan

import numpy as np

from tipline.kernels import layout as at
from tipline.kernels.equilibrium import N_Q, Q_AXLE, Q_HEIGHT, Q_MAST_X, Q_PITCH, Q_ROLL, STANDS, solve
from tipline.kernels.joints import stop_of
from tipline.kernels.layout import Floats, Plant
from tipline.kernels.on_forks import spare

# limits found in a direction [rad], nan = not reached before it tips, or not asked
(LIFTS, SWINGS, TIPS, SLIDES, ROLLS, LOAD_SLIPS, LOAD_TOPPLES) = range(7)
(TYRE, SIDE, LINE, ON_STOP) = range(7, 11)
N_LIMIT = 11
"""TYRE: row of the tyre that lifts; SIDE: +1 swings to the left, -1 to the right; LINE: it tips over, in the order
front, back, left, right, -1 = none; ON_STOP: 1 where it stood on the stop before it tipped."""

# values that must stay above zero on the way
(V_LIFT, V_SWING_LEFT, V_SWING_RIGHT, V_DRIVE, V_BRAKE, V_STEER, V_SLIP, V_TOPPLE) = range(8)
N_VALUE = 8
# loads whose vanishing tells the line it goes over
(H_FRONT, H_BACK, H_LEFT, H_RIGHT) = range(4)

# what the slope does to the truck: parking brake [N] (inf: not asked), 1 = a level floor and that much sideways pull
# in place of a slope, how much more of the pull of a stop acts on the load, and a steady stop on the slope: its pull
# along the floor, world x and y, as a share of gravity
(W_BRAKE, W_LEVEL, W_MORE, W_X, W_Y) = range(5)
N_WAY = 5
# the load on the forks: 1 = there is one, friction, cosine and sine of the tilt at set-up, height of centre over the
# forks, base ahead of the centre, half its width
(F_THERE, F_MU, F_COS, F_SIN, F_HEIGHT, F_AHEAD, F_HALF) = range(7)

OFF = 1e-4
"""Share of the weight below which a tyre is off the floor (numerical)."""
STEEPEST = 0.4636476
"""Slopes beyond this, 50 %, are not looked at (our choice: no floor is so steep) [rad]."""
LEAN_MOST = 0.3
"""Roll, pitch or mast rotation beyond which the search counts as tipped (our choice) [rad]."""
STRIDE = 0.04
"""Longest step of the slope (numerical) [rad]."""
CLOSE = 2e-4
"""Width of the bracket at which a search ends (numerical) [rad]."""
NEAR = 3e-4
"""Share of the weight, or friction, that counts as used up (numerical)."""
AT_REST = 1e-6
"""Force left over, as a share of the weight, at which a pose counts as found (numerical)."""


def pull(slope: float, azimuth: float, g: float, way: Floats, out: Floats) -> None:
    """Fill out (3,) with gravity on a floor that falls by a slope towards a world azimuth, or with the same pull.

    The pull of a steady stop comes on top.
    """
    scale = g / cos(slope) if way[W_LEVEL] > 0.0 else g
    out[0] = scale * sin(slope) * cos(azimuth) + g * way[W_X]
    out[1] = scale * sin(slope) * sin(azimuth) + g * way[W_Y]
    out[2] = -scale * cos(slope)


def rest_at(  # noqa: PLR0913 - floats and arrays only: compiled code has a structure unpacked at every call
    slope: float,
    azimuth: float,
    g: float,
    way: Floats,
    q: Floats,
    plant: Plant,
    home: Floats,
    rot: Floats,
    tyre: Floats,
    k: Floats,
    nearby: bool,
) -> bool:
    """Find the pose on a slope from q (8,), in place; fill rot and tyre; return whether it stands.

    nearby: q and its stiffness k (8, 8) are those of a pose close by, and no pose further away is looked for.
    """
    gravity, outside, position = np.zeros(3), np.zeros((at.N_BODY, 6)), np.zeros((at.N_BODY, 3))
    pull(slope, azimuth, g, way, gravity)
    if way[W_MORE] > 0.0:
        more = way[W_MORE] * plant.mass[at.LOAD]
        outside[at.LOAD, 0] = more * (gravity[0] if way[W_LEVEL] > 0.0 else g * way[W_X])
        outside[at.LOAD, 1] = more * (gravity[1] if way[W_LEVEL] > 0.0 else g * way[W_Y])
    depth, command = np.zeros(0), np.zeros(3)
    state, _, _, _, _ = solve(
        q,
        plant,
        gravity,
        outside,
        home,
        depth,
        command,
        position,
        rot,
        tyre,
        k,
        nearby,
        AT_REST,
        LEAN_MOST,
        not nearby,
    )
    return state == STANDS


def watch(  # noqa: PLR0913 - floats and arrays only: compiled code has a structure unpacked at every call
    slope: float,
    azimuth: float,
    way: Floats,
    forks: Floats,
    left: Floats,
    axle: float,
    plant: Plant,
    rot: Floats,
    tyre: Floats,
    value: Floats,
    held: Floats,
) -> None:
    """Fill value (8,) with what must stay above zero, held (4,) with the loads whose vanishing is a fall over a line.

    left (tyres,): 1 for a tyre on the left; axle: angle of the steer axle [rad]. Loads are shares of their sum. While
    a pivoting axle is free, what holds the frame to a side is the other drive tyre alone.
    """
    value[:], held[:] = 1.0, 0.0
    n, total, drive, steer = plant.tyre.shape[0], 0.0, 0.0, 0.0
    drag, spare, spare_steer, least, on_left, on_right = 0.0, 0.0, 0.0, 1e300, 0.0, 0.0
    all_left, all_right = 0.0, 0.0
    for i in range(n):
        load = tyre[i, 0]
        total += load
        least = min(least, load)
        drag += tyre[i, 12]
        over = plant.tyre[i, at.T_MU] * load - hypot(tyre[i, 12], tyre[i, 13])
        all_left, all_right = all_left + load * left[i], all_right + load * (1.0 - left[i])
        if plant.tyre[i, at.T_BRAKED] > 0.0:
            drive, spare = drive + load, spare + over
            on_left, on_right = on_left + load * left[i], on_right + load * (1.0 - left[i])
        else:
            steer, spare_steer = steer + load, spare_steer + over
    value[V_LIFT] = least / total - OFF
    value[V_DRIVE] = spare / total
    if way[W_BRAKE] < 1e300:
        value[V_BRAKE] = (way[W_BRAKE] - abs(drag)) / total
    if steer > 1e-3 * total:
        value[V_STEER] = spare_steer / steer
    held[H_FRONT], held[H_BACK] = steer / total, drive / total
    held[H_LEFT], held[H_RIGHT] = all_right / total, all_left / total
    if plant.axle[at.A_PULLS] == 0.0:
        value[V_SWING_LEFT] = 0.5 * plant.axle[at.A_STOP] - axle
        value[V_SWING_RIGHT] = 0.5 * plant.axle[at.A_STOP_RIGHT] + axle
        if abs(axle) < stop_of(plant.axle, axle):
            held[H_LEFT], held[H_RIGHT] = on_right / total, on_left / total
    if forks[F_THERE] > 0.0:
        hold_load(slope, azimuth, way, forks, rot, value)


def hold_load(slope: float, azimuth: float, way: Floats, forks: Floats, rot: Floats, value: Floats) -> None:
    """Fill in what is left of what holds the load on the forks: friction, and the base it stands on."""
    x, y, z = (
        -tan(slope) * cos(azimuth) - way[W_X] / cos(slope),
        -tan(slope) * sin(azimuth) - way[W_Y] / cos(slope),
        1.0,
    )
    r = rot[at.CARRIAGE]
    cx = r[0, 0] * x + r[1, 0] * y + r[2, 0] * z
    cy = r[0, 1] * x + r[1, 1] * y + r[2, 1] * z
    cz = r[0, 2] * x + r[1, 2] * y + r[2, 2] * z
    value[V_SLIP], value[V_TOPPLE], _ = spare(
        cx, cy, cz, forks[F_COS], forks[F_SIN], forks[F_MU], forks[F_HEIGHT], forks[F_AHEAD], forks[F_HALF]
    )


def vanishing(x0: float, held0: Floats, x1: float, held1: Floats) -> tuple[float, int]:
    """Extrapolate where the first of the loads that hold the truck is gone, and over which line it then goes."""
    first, line, lengthways, axle = 1e300, -1, 1e300, -1
    for i in range(4):
        fall = (held0[i] - held1[i]) / (x1 - x0)
        if fall > 1e-9:
            root = x1 + held1[i] / fall
            if root < first:
                first, line = root, i
            if i < H_LEFT and root < lengthways:
                lengthways, axle = root, i
    # an axle that goes light as a whole is no fall to whichever side is first by a hair
    if axle >= 0 and lengthways <= 1.03 * first:
        line = axle
    # a side that is off the floor already: what is left holds by the width of the tread on the other side
    for i in (H_LEFT, H_RIGHT):
        if held1[i] <= OFF < held1[H_FRONT]:
            return 1e300, i
    return first, line


def put_on_stop(side: float, ends: Floats, plant: Plant, q: Floats) -> None:
    """Turn the frame about the line from its outer front tyre to the pivot until the axle meets its stop.

    ends (3,): wheelbase, half the outer front track, heading; side +1: to the left. q (8,) is changed.
    """
    stop = stop_of(plant.axle, side)
    length = sqrt(ends[0] ** 2 + ends[1] ** 2)
    turn = stop * length / ends[0]
    roll, pitch = -side * turn * ends[0] / length, -turn * ends[1] / length
    c, s = cos(ends[2]), sin(ends[2])
    q[Q_ROLL] += c * roll - s * pitch
    q[Q_PITCH] += s * roll + c * pitch
    q[Q_AXLE] = side * (stop + 1e-3)
    q[Q_HEIGHT] += turn * ends[0] * ends[1] / length


def climb(  # noqa: C901 - one search, whose ways to end are told apart here
    azimuth: float,
    g: float,
    way: Floats,
    forks: Floats,
    left: Floats,
    ends: Floats,
    start: Floats,
    plant: Plant,
    home: Floats,
    out: Floats,
) -> None:
    """Follow the truck up the slope towards a world azimuth and fill out (11,); start (8,): near its level pose."""
    out[:] = np.nan
    out[TYRE], out[SIDE], out[LINE], out[ON_STOP] = -1.0, 0.0, -1.0, 0.0
    n = plant.tyre.shape[0]
    q, k, rot, tyre = start.copy(), np.zeros((N_Q, N_Q)), np.zeros((at.N_BODY, 3, 3)), np.zeros((n, 14))
    value, before, held, earlier = np.zeros(N_VALUE), np.zeros(N_VALUE), np.zeros(4), np.zeros(4)
    if not rest_at(0.0, azimuth, g, way, q, plant, home, rot, tyre, k, False):
        out[TIPS] = 0.0
        return
    watch(0.0, azimuth, way, forks, left, q[Q_AXLE], plant, rot, tyre, value, held)
    for i in range(N_VALUE):
        if value[i] <= 0.0:
            note(i, 0.0, tyre, out)
    x, fails, root, line, aim = 0.0, 1e300, 1e300, -1, STRIDE
    last, near, stiff, tried = tyre.copy(), q.copy(), k.copy(), plant.axle[at.A_PULLS] > 0.0
    rate, jumps = np.zeros(N_Q), 0
    for _ in range(200):
        leapt = False
        near[:], stiff[:, :] = q + rate * (aim - x), k
        ended = fails - x < CLOSE
        stands = not ended and rest_at(aim, azimuth, g, way, near, plant, home, rot, tyre, stiff, True)
        if ended and jumps < 2 and cross_play(q, plant, near):
            jumps, aim = jumps + 1, fails
            stands = rest_at(aim, azimuth, g, way, near, plant, home, rot, tyre, stiff, False)
        if ended and not stands and not tried and line >= H_LEFT:
            tried = True
            side = 1.0 if line == H_LEFT else -1.0
            if np.isnan(out[SWINGS]):
                out[SWINGS], out[SIDE] = x, side
            aim = fails
            for less in range(4):  # a little below it leans on the stop less hard, and is found more easily
                near[:] = q
                put_on_stop(side, ends, plant, near)
                stands = rest_at((1.0 - 0.03 * less) * aim, azimuth, g, way, near, plant, home, rot, tyre, stiff, False)
                if stands and abs(near[Q_AXLE]) >= stop_of(plant.axle, near[Q_AXLE]):
                    stands = rest_at(aim, azimuth, g, way, near, plant, home, rot, tyre, stiff, False)
                    break
                stands = False
        if ended and stands:
            fails, leapt = 1e300, True
        if stands:
            before[:], earlier[:] = value, held
            watch(aim, azimuth, way, forks, left, near[Q_AXLE], plant, rot, tyre, value, held)
            settle(x, before, aim, value, azimuth, g, way, forks, left, q, k, last, plant, home, out)
            root, line = vanishing(x, earlier, aim, held)
            rate[:] = (near - q) / (aim - x)
            if leapt:
                rate[:] = 0.0
            x = aim
            q[:], k[:, :], last[:, :] = near, stiff, tyre
        elif ended:
            break
        else:
            fails = min(fails, aim)
        if x >= STEEPEST:
            return
        aim = x + min(STRIDE, max(0.8 * (root - x), 0.8 * CLOSE)) if root < 1e300 else x + STRIDE
        if aim >= fails:
            aim = 0.5 * (x + fails)
    out[TIPS], out[LINE] = x, float(line)
    if abs(q[Q_AXLE]) >= stop_of(plant.axle, q[Q_AXLE]) and plant.axle[at.A_PULLS] == 0.0:
        out[ON_STOP] = 1.0
    if np.isnan(out[LIFTS]):
        out[LIFTS], out[TYRE] = x, float(lightest(last))


def cross_play(q: Floats, plant: Plant, near: Floats) -> bool:
    """Fill near (8,) with q, the mast fallen through its play, where it is just about to; return whether it is."""
    near[:] = q
    crosses = False
    for i in range(2):
        angle, half = q[Q_MAST_X + i], plant.mast[at.M_PX + i]
        if half > 0.0 and abs(abs(angle) - half) < 0.05 * half:
            near[Q_MAST_X + i] = -angle
            crosses = True
    return crosses


def lightest(tyre: Floats) -> int:
    """Return the row of the tyre with the least load."""
    least = 0
    for i in range(tyre.shape[0]):
        if tyre[i, 0] < tyre[least, 0]:
            least = i
    return least


def settle(  # noqa: PLR0913 - floats and arrays only: compiled code has a structure unpacked at every call
    x0: float,
    value0: Floats,
    x1: float,
    value1: Floats,
    azimuth: float,
    g: float,
    way: Floats,
    forks: Floats,
    left: Floats,
    q: Floats,
    k: Floats,
    tyre0: Floats,
    plant: Plant,
    home: Floats,
    out: Floats,
) -> None:
    """Find where each value that changed its sign between two slopes did so; q, k, tyre0 are those of the first."""
    n = plant.tyre.shape[0]
    rot, tyre, held, value = np.zeros((at.N_BODY, 3, 3)), np.zeros((n, 14)), np.zeros(4), np.zeros(N_VALUE)
    pose, stiff = q.copy(), k.copy()
    for i in range(N_VALUE):
        if not (value0[i] > 0.0 >= value1[i]) or known(i, out):
            continue
        low, high, over, fall = x0, x1, value0[i], (value0[i] - value1[i]) / (x1 - x0)
        near, firm, last = q.copy(), k.copy(), tyre0.copy()
        for step in range(30):
            if high - low < 0.3 * CLOSE:
                break
            # a tyre off the floor bears nothing, and how little tells nothing: carry on from the side that bears
            past = 0.0 if i > V_SWING_RIGHT else 0.02 * over / max(fall, 1e-9)
            x = low + over / fall + past if step < 6 and fall > 0.0 else 0.5 * (low + high)
            if not low < x < high:
                x = 0.5 * (low + high)
            pose[:], stiff[:, :] = near, firm
            if not rest_at(x, azimuth, g, way, pose, plant, home, rot, tyre, stiff, True):
                high = x
                continue
            watch(x, azimuth, way, forks, left, pose[Q_AXLE], plant, rot, tyre, value, held)
            if i > V_SWING_RIGHT or value[i] > 0.0:
                fall = (over - value[i]) / (x - low)
            if value[i] > 0.0:
                low, over = x, value[i]
                near[:], firm[:, :], last[:, :] = pose, stiff, tyre
            else:
                high = x
            if i > V_SWING_RIGHT and abs(value[i]) < NEAR:
                low = x
                break
            if 0.0 < value[i] < 5.0 * NEAR and fall > 0.0:
                low = min(low + over / fall, high)
                break
        note(i, low, last, out)


def known(i: int, out: Floats) -> bool:
    """Whether the limit that a value stands for is found already."""
    if i == V_LIFT:
        return not np.isnan(out[LIFTS])
    if i in (V_SWING_LEFT, V_SWING_RIGHT):
        return not np.isnan(out[SWINGS])
    if i == V_SLIP:
        return not np.isnan(out[LOAD_SLIPS])
    return i == V_TOPPLE and not np.isnan(out[LOAD_TOPPLES])


def note(i: int, x: float, tyre: Floats, out: Floats) -> None:
    """Write down that a value is used up at a slope; what no longer holds along the truck rolls, aside it slides."""
    if i == V_LIFT:
        out[LIFTS], out[TYRE] = x, float(lightest(tyre))
    elif i in (V_SWING_LEFT, V_SWING_RIGHT):
        out[SWINGS], out[SIDE] = x, 1.0 if i == V_SWING_LEFT else -1.0
    elif i == V_SLIP:
        out[LOAD_SLIPS] = x
    elif i == V_TOPPLE:
        out[LOAD_TOPPLES] = x
    else:
        along, aside = 0.0, 0.0
        for j in range(tyre.shape[0]):
            along, aside = along + tyre[j, 12], aside + tyre[j, 13]
        which = ROLLS if abs(along) > abs(aside) else SLIDES
        if not out[which] <= x:
            out[which] = x


def slope_limits(
    azimuths: Floats,
    g: float,
    way: Floats,
    forks: Floats,
    left: Floats,
    ends: Floats,
    starts: Floats,
    plant: Plant,
    home: Floats,
    out: Floats,
) -> None:
    """Fill out (n, 11) with the limits towards n world azimuths [rad] from starts (n, 8) near the level pose."""
    for i in range(azimuths.shape[0]):
        climb(azimuths[i], g, way, forks, left, ends, starts[i], plant, home, out[i])
