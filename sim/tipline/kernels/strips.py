"""A strip of the tread on a floor with places: holes, ruts, covers, thresholds.

Its floor is level pieces: the base level and, inside a place, the place's own level, below it or, at a threshold, above
it. All forces are the gradient of one stored energy, so a tread edge at a hole, a wall from the side and a partly
supported patch need no rule of their own.

Source: [Johnson1985] (bed of springs, from memory), [Own] (pieces of the floor)
"""

from math import sqrt

from tipline.kernels import layout as at
from tipline.kernels.layout import Floats
from tipline.kernels.tyre import _G, _H, line_force, part_strip, sunk, whole_strip

MET = 4
"""Places under one strip that are told apart (our choice: ruts of twins, one's own, and a hole)."""

Cut = tuple[float, float, float]
ABSENT: Cut = (0.0, 0.0, -1e3)
"""A place that is not there: of no length, and narrower than any tread (numerical) [m]."""


def mixed_strip(
    tyre: Floats,
    h: float,
    low: float,
    high: float,
    aside: float,
    drift: float,
    half: float,
    width: float,
    within: bool,
) -> tuple[float, float, float, float, float, float, float]:
    """Return what `part_strip` does, weighted by the share of the strip's width inside a place, and the wall's push.

    At s ahead of the hub the strip's middle lies aside + drift * s from the place's middle, half is half the place's
    width. within: the share inside (on the place's level), else the share over the side wall (on the level h).
    The last two: push along the place's side axis [N], and push times s.
    """
    r = tyre[at.T_R]
    if h >= r:
        return 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    h, lifts = sunk(h, r)
    c = sqrt(r * r - h * h)
    a, b = max(low, -c), min(high, c)
    if b <= a:
        return 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    middle, reach = 0.5 * (a + b), 0.5 * (b - a)
    force, energy, moment, push, turn = 0.0, 0.0, 0.0, 0.0, 0.0
    for i in range(3):
        for side in (-1.0, 1.0):
            s = middle + side * reach * _G[i]
            share, slope = share_inside(aside + drift * s, half, width)
            if not within:
                share, slope = 1.0 - share, -slope
            q, u = line_force(tyre, sqrt(r * r - s * s) - h, not within)
            weight = reach * _H[i]
            force += weight * share * q
            energy += weight * share * u
            moment += weight * share * q * s
            push -= weight * slope * u
            turn -= weight * slope * u * s
    at_low, at_high = 0.0, 0.0
    if a > -c:
        share, _ = share_inside(aside + drift * a, half, width)
        share = share if within else 1.0 - share
        at_low = share * line_force(tyre, sqrt(r * r - a * a) - h, not within)[1]
    if b < c:
        share, _ = share_inside(aside + drift * b, half, width)
        share = share if within else 1.0 - share
        at_high = share * line_force(tyre, sqrt(r * r - b * b) - h, not within)[1]
    return lifts * force, energy, at_low, at_high, lifts * moment, push, turn


def share_inside(aside: float, half: float, width: float) -> tuple[float, float]:
    """Return the share of a strip's width inside a side wall, smooth from 0 to 1, and its slope with aside [1/m]."""
    part = (half - abs(aside)) / width + 0.5
    if part >= 1.0:
        return 1.0, 0.0
    if part <= 0.0:
        return 0.0, 0.0
    slope = 6.0 * part * (1.0 - part) / width
    return part * part * (3.0 - 2.0 * part), (-slope if aside > 0.0 else slope)


def place_cut(
    place: Floats, x: float, y: float, ex: float, ey: float, reach: float, width: float
) -> tuple[float, float, float, float, float, float, float, float]:
    """Return where a strip's line crosses a place: from, to [m], aside, drift, half and whether it is reached.

    The ends are where the line crosses the two walls that it meets most squarely; the others are side walls. (x, y) is
    the strip's middle, (ex, ey) its heading, reach [m] half the length looked at. The sixth value is 0 where no part of
    the strip is inside, 1 where all of it is, 0.5 where a side wall cuts it; the last two are 1 over the heading's part
    along the place, and 1 where the place's axes are taken the other way round.
    """
    dx, dy = x - place[at.P_X], y - place[at.P_Y]
    cs, sn = place[at.P_COS], place[at.P_SIN]
    px, py = cs * dx + sn * dy, -sn * dx + cs * dy
    ux, uy = cs * ex + sn * ey, -sn * ex + cs * ey
    hx, hy = place[at.P_HX], place[at.P_HY]
    swap = 0.0
    if abs(uy) > abs(ux):
        px, py, ux, uy, hx, hy, swap = py, px, uy, ux, hy, hx, 1.0
    a, b = (-hx - px) / ux, (hx - px) / ux
    if a > b:
        a, b = b, a
    first, last = py + uy * max(a, -reach), py + uy * min(b, reach)
    nearest = 0.0 if first * last < 0.0 else min(abs(first), abs(last))
    kind = 0.5
    if b <= -reach or a >= reach or nearest >= hy + 0.5 * width:
        kind = 0.0
    elif max(abs(first), abs(last)) <= hy - 0.5 * width:
        kind = 1.0
    return a, b, py, uy, hy, kind, 1.0 / ux, swap


def strip(  # noqa: PLR0913 - floats and arrays only: compiled code has a structure unpacked at every call
    tyre: Floats,
    x: float,
    y: float,
    z: float,
    ex: float,
    ey: float,
    upright: float,
    places: Floats,
    depth: Floats,
    on_place: Floats,
    sunk: bool,
) -> tuple[float, float, float, float, float, float, float, float]:
    """Return one strip's forces and energy.

    In order: vertical force, energy, edge and wall force (world x, y), load-weighted place along and level, moment of
    edge and wall force about the vertical through (x, y), share of the width inside a place.
    (x, y, z) is the strip's middle on the wheel axis, (ex, ey) the heading, upright the cosine of the lean.
    on_place[i] collects the vertical force on each place. The four places that hold first are seen.
    sunk: the strip has been down in a place; where it leaves it sideways it hangs over the wall (see `line_force`).
    """
    first, second, third, fourth = -1, -1, -1, -1
    reach, width = tyre[at.T_R], tyre[at.T_W] / at.STRIPS
    for i in range(places.shape[0]):
        if depth[i] == 0.0:
            continue
        dx, dy = x - places[i, at.P_X], y - places[i, at.P_Y]
        far = reach + width + places[i, at.P_HX] + places[i, at.P_HY]
        if dx * dx + dy * dy > far * far:
            continue
        if place_cut(places[i], x, y, ex, ey, reach, width)[5] > 0.0:
            if holds_before(i, first, places, depth):
                first, second, third, fourth = i, first, second, third
            elif holds_before(i, second, places, depth):
                second, third, fourth = i, second, third
            elif holds_before(i, third, places, depth):
                third, fourth = i, third
            elif holds_before(i, fourth, places, depth):
                fourth = i
    h = z / upright
    if first < 0:
        if sunk:
            force, energy, _, _, _ = part_strip(tyre, h, -reach, reach, True)
        else:
            force, energy = whole_strip(tyre, h)
        return force / upright, energy, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    if second >= 0:
        found = (first, second, third, fourth)
        return several_places(tyre, h, x, y, ex, ey, upright, places, depth, on_place, sunk, found)
    a, b, aside, drift, half, kind, turn, swap = place_cut(places[first], x, y, ex, ey, reach, width)
    cut_x, cut_y, wall_x, wall_y = directions(places[first], turn, swap)
    f, u, _, high, m = part_strip(tyre, h, -4.0 * reach, a, sunk)
    total, energy, moment, push, bend = f, u, m, 0.0, 0.0
    down = h + depth[first] / upright
    if kind == 1.0:
        f1, u1, low1, high1, m1 = part_strip(tyre, down, a, b, False)
        f0, u0, low0, high0, m0 = 0.0, 0.0, 0.0, 0.0, 0.0
    else:
        f1, u1, low1, high1, m1, push1, bend1 = mixed_strip(tyre, down, a, b, aside, drift, half, width, True)
        f0, u0, low0, high0, m0, push0, bend0 = mixed_strip(tyre, h, a, b, aside, drift, half, width, False)
        push, bend = push1 + push0, bend1 + bend0
    back, front = high - low1 - low0, high1 + high0
    f, u, low, _, m = part_strip(tyre, h, b, 4.0 * reach, sunk)
    front -= low
    total, energy, moment = total + f1 + f0 + f, energy + u1 + u0 + u, moment + m1 + m0 + m
    on_place[first] += f1 / upright
    side_x = -(back + front) * cut_x + push * wall_x
    side_y = -(back + front) * cut_y + push * wall_y
    twist = bend * (wall_y * ex - wall_x * ey) - (back * a + front * b) * (cut_y * ex - cut_x * ey)
    inside = share_inside(aside, half, width)[0] if a < 0.0 < b and depth[first] > 0.0 else 0.0
    along = moment / total if total > 0.0 else 0.0
    below = -f1 * depth[first] / total if total > 0.0 else 0.0
    return total / upright, energy, side_x, side_y, along, below, twist, inside


def holds_before(i: int, other: int, places: Floats, depth: Floats) -> bool:
    """Whether the floor where two places lap over is that of the first; other -1: there is none.

    It is that of the deeper one, but for a threshold, which lies on ground that gives way: only a hole takes it away.
    """
    if other < 0:
        return True
    if depth[i] < 0.0 and gives_way(places[other]):
        return True
    return bool(depth[i] > depth[other] and not (depth[other] < 0.0 and gives_way(places[i])))


def gives_way(place: Floats) -> bool:
    """Whether a place is one of ground that yields or creeps, not a hole."""
    law = place[at.P_LAW]
    return bool(law in (at.LAW_YIELDING, at.LAW_CREEPING))


def directions(place: Floats, turn: float, swap: float) -> tuple[float, float, float, float]:
    """Return how far a cut moves ahead when the wheel moves in world x, y, and the direction of the side walls' axis.

    turn, swap: as from `place_cut`. Cuts move against the wheel along one of the place's axes; walls push along the
    other.
    """
    cs, sn = place[at.P_COS], place[at.P_SIN]
    if swap > 0.0:
        return sn * turn, -cs * turn, cs, sn
    return -cs * turn, -sn * turn, -sn, cs


def shares(s: float, cuts: tuple[Cut, Cut, Cut, Cut], width: float, level: int, by: int) -> tuple[float, float]:
    """Return the share of a strip's width at s ahead of its hub on a level, and how it changes as its middle moves.

    cuts: aside, drift, half of each place as from `place_cut`, in the order in which they hold; level: 1 to 4 for
    these, 0 for the floor beside them all. The next fills what the one before leaves. The second value: by how much
    the share changes by moving along the side axis of place `by` [1/m].
    """
    left, sloping = 1.0, 0.0
    for n in range(MET):
        cut = cuts[n]
        part, slope = share_inside(cut[0] + cut[1] * s, cut[2], width)
        if n != by:
            slope = 0.0
        if part >= left:
            part, slope = left, sloping
        if level == n + 1:
            return part, slope
        left, sloping = left - part, sloping - slope
    return left, sloping


def level_strip(
    tyre: Floats,
    h: float,
    low: float,
    high: float,
    cuts: tuple[Cut, Cut, Cut, Cut],
    walls: tuple[Cut, Cut, Cut, Cut],
    width: float,
    level: int,
    hangs: bool,
) -> tuple[float, float, float, float, float, float, float, float]:
    """Return what `part_strip` does, weighted by the share of one level where places overlap, and the walls' push.

    cuts, level: as in `shares`; no end of a place lies between low and high. walls: of each place the world's x and y
    of the way its side walls push, and how far that turns the heading. hangs: over a wall, `line_force`. The last
    three: push of the walls along world x, y [N], and its moment about the vertical.
    """
    r = tyre[at.T_R]
    if h >= r:
        return 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    h, lifts = sunk(h, r)
    c = sqrt(r * r - h * h)
    a, b = max(low, -c), min(high, c)
    if b <= a:
        return 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    middle, reach = 0.5 * (a + b), 0.5 * (b - a)
    force, energy, moment, push_x, push_y, turn = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    for i in range(3):
        for side in (-1.0, 1.0):
            s = middle + side * reach * _G[i]
            share, _ = shares(s, cuts, width, level, -1)
            q, u = line_force(tyre, sqrt(r * r - s * s) - h, hangs)
            weight = reach * _H[i]
            force += weight * share * q
            energy += weight * share * u
            moment += weight * share * q * s
            for n in range(MET):
                if cuts[n][2] > 0.0:
                    push = -weight * shares(s, cuts, width, level, n)[1] * u
                    push_x += push * walls[n][0]
                    push_y += push * walls[n][1]
                    turn += push * s * walls[n][2]
    at_low, at_high = 0.0, 0.0
    if a > -c:
        at_low = shares(a, cuts, width, level, -1)[0] * line_force(tyre, sqrt(r * r - a * a) - h, hangs)[1]
    if b < c:
        at_high = shares(b, cuts, width, level, -1)[0] * line_force(tyre, sqrt(r * r - b * b) - h, hangs)[1]
    return lifts * force, energy, at_low, at_high, lifts * moment, push_x, push_y, turn


def met(
    places: Floats, i: int, x: float, y: float, ex: float, ey: float, reach: float, width: float
) -> tuple[Cut, Cut, Cut]:
    """Return of place i: from, to, half; aside, drift, half; the side walls' way in x, y, and how that turns (ex, ey).

    From, to, aside, drift, half as from `place_cut`; below 0 there is none, which takes no share.
    """
    if i < 0:
        return ABSENT, ABSENT, ABSENT
    a, b, aside, drift, half, _, turn, swap = place_cut(places[i], x, y, ex, ey, reach, width)
    _, _, wall_x, wall_y = directions(places[i], turn, swap)
    return (a, b, half), (aside, drift, half), (wall_x, wall_y, wall_y * ex - wall_x * ey)


def several_places(  # noqa: PLR0913 - floats and arrays only: compiled code has a structure unpacked at every call
    tyre: Floats,
    h: float,
    x: float,
    y: float,
    ex: float,
    ey: float,
    upright: float,
    places: Floats,
    depth: Floats,
    on_place: Floats,
    sunk: bool,
    found: tuple[int, int, int, int],
) -> tuple[float, float, float, float, float, float, float, float]:
    """Return what `strip` does where a strip meets more than one place: the floor at a point is that of one.

    As a rule the deepest: so a hole is not filled by ground that gives way beside it, and nothing jumps where another
    becomes the deepest.
    found: the places, in the order in which they hold (`holds_before`), then -1.
    """
    reach, width = tyre[at.T_R], tyre[at.T_W] / at.STRIPS
    ends_1, cut_1, wall_1 = met(places, found[0], x, y, ex, ey, reach, width)
    ends_2, cut_2, wall_2 = met(places, found[1], x, y, ex, ey, reach, width)
    ends_3, cut_3, wall_3 = met(places, found[2], x, y, ex, ey, reach, width)
    ends_4, cut_4, wall_4 = met(places, found[3], x, y, ex, ey, reach, width)
    ends, walls = (ends_1, ends_2, ends_3, ends_4), (wall_1, wall_2, wall_3, wall_4)
    total, energy, moment, level, side_x, side_y, twist, before = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    start, at_start, inside = -4.0 * reach, -1, 0.0
    while start < 4.0 * reach:
        end, at_end = 4.0 * reach, -1
        for n in range(MET):
            for side in range(2):
                if ends[n][2] > 0.0 and start < ends[n][side] < end:
                    end, at_end = ends[n][side], n
        s = 0.5 * (start + end)
        cuts = (
            cut_1 if ends_1[0] < s < ends_1[1] else ABSENT,
            cut_2 if ends_2[0] < s < ends_2[1] else ABSENT,
            cut_3 if ends_3[0] < s < ends_3[1] else ABSENT,
            cut_4 if ends_4[0] < s < ends_4[1] else ABSENT,
        )
        if start < 0.0 < end:
            for n in range(MET):
                inside = max(inside, share_inside(cuts[n][0], cuts[n][2], width)[0])
        lows, highs, hangs = 0.0, 0.0, False
        for n in range(1, MET + 2):  # the places, then the floor beside them
            j = found[n - 1] if n <= MET else -1
            if n <= MET and cuts[n - 1][2] < 0.0:
                continue
            down = h + depth[j] / upright if n <= MET else h
            hangs = hangs or (n > MET and sunk)
            f, u, low, high, m, push_x, push_y, bend = level_strip(
                tyre, down, start, end, cuts, walls, width, n if n <= MET else 0, hangs
            )
            total, energy, moment = total + f, energy + u, moment + m
            lows, highs = lows + low, highs + high
            side_x, side_y, twist = side_x + push_x, side_y + push_y, twist + bend
            if n <= MET:
                on_place[j] += f / upright
                level -= f * depth[j]
            hangs = True
        if at_start >= 0:
            jump, i = before - lows, found[at_start]
            _, _, _, _, _, _, turn, swap = place_cut(places[i], x, y, ex, ey, reach, width)
            cut_x, cut_y, _, _ = directions(places[i], turn, swap)
            side_x -= jump * cut_x
            side_y -= jump * cut_y
            twist -= jump * start * (cut_y * ex - cut_x * ey)
        before, start, at_start = highs, end, at_end
    along = moment / total if total > 0.0 else 0.0
    below = level / total if total > 0.0 else 0.0
    return total / upright, energy, side_x, side_y, along, below, twist, inside
