"""The tyre on the floor: a disc with a flat tread of elastic strips, friction bristles and wheel spin.

Each strip is a bed of radial springs under a circular disc (elastic foundation; Johnson, Contact Mechanics, 4.3, from
memory).
Its floor is level pieces: the base level and, inside a place, the place's own level. All forces are the gradient of one
stored energy, so a tread edge at a hole, a wall from the side and a partly supported patch need no rule of their own.
"""

from math import asin, exp, sqrt

from tipline.kernels import layout as at
from tipline.kernels.layout import Floats

# Gauss-Legendre on (-1, 1), 6 points
_G = (0.2386191860831969, 0.6612093864662645, 0.9324695142031521)
_H = (0.4679139345726910, 0.3607615730481386, 0.1713244923791704)

FLATTEST = 0.25
"""Cosine of the wheel's lean beyond which the tread no longer meets the floor (about 75 degrees)."""
WEDGED = 0.5
"""The same for a wheel that is down in a place (60 degrees): its flank lies on the edge then, not its tread."""


def segment(r: float, h: float, k: float, hard: float) -> tuple[float, float]:
    """Return force along the disc and energy of a whole strip on a level floor at distance h below its hub.

    Exact integrals of k (d + hard d^3) over the chord, d = sqrt(r^2 - s^2) - h.
    """
    c2 = r * r - h * h
    c = sqrt(c2)
    a = h * c + r * r * asin(c / r)
    square = 2.0 * c * (r * r - c2 / 3.0)
    i1 = a - 2.0 * h * c
    i2 = square - 2.0 * h * a + 2.0 * h * h * c
    if hard == 0.0:
        return k * i1, 0.5 * k * i2
    cube = 0.5 * c * h**3 + 0.75 * r * r * a
    fourth = 2.0 * c * (r**4 - 2.0 * r * r * c2 / 3.0 + c2 * c2 / 5.0)
    i3 = cube - 3.0 * h * square + 3.0 * h * h * a - 2.0 * h**3 * c
    i4 = fourth - 4.0 * h * cube + 6.0 * h * h * square - 4.0 * h**3 * a + 2.0 * h**4 * c
    return k * (i1 + hard * i3), k * (0.5 * i2 + 0.25 * hard * i4)


def sunk(h: float, r: float) -> tuple[float, float]:
    """Return the distance to the floor that counts, and its slope, for a hub h above it.

    A wheel in a hole as deep as its hub is held by walls, not by the floor beside it: below 0.3 r the distance fades to
    0.1 r, so the lift of that floor fades out and its push from the side stays.
    """
    if h >= 0.3 * r:
        return h, 1.0
    slope = exp((h - 0.3 * r) / (0.2 * r))
    return 0.1 * r + 0.2 * r * slope, slope


def whole_strip(tyre: Floats, h: float) -> tuple[float, float]:
    """Return force along the disc [N] and energy [J] of one strip over unbroken floor h [m] below its hub.

    No tread is pressed in to a fifth of its radius; a hub as near as that, or under the floor, belongs to a wheel that
    came down on its side.
    """
    r = tyre[at.T_R]
    if h >= r or h < 0.2 * r:
        return 0.0, 0.0
    share = 1.0 / at.STRIPS
    force, energy = segment(r, h, share * tyre[at.T_K], tyre[at.T_HARD])
    if h + tyre[at.T_RIM] < r:
        rim_force, rim_energy = segment(r, h + tyre[at.T_RIM], share * tyre[at.T_K_RIM], 0.0)
        force += rim_force
        energy += rim_energy
    return force, energy


def line_force(tyre: Floats, d: float, aside: bool) -> tuple[float, float]:
    """Return force [N/m] and energy [J/m] per metre of contact length of one strip at the local compression d [m].

    aside: the strip hangs over the side wall of a place. A tread that is deep in a hole does not lift its rim onto the
    floor beside it: the force then grows no further once the rim would be felt, which makes the wall push gently.
    """
    if d <= 0.0:
        return 0.0, 0.0
    share = 1.0 / at.STRIPS
    k, hard = share * tyre[at.T_K], tyre[at.T_HARD]
    extra = max(0.0, d - tyre[at.T_RIM])
    if aside:
        d -= extra
    force = k * (d + hard * d**3)
    energy = k * (0.5 * d * d + 0.25 * hard * d**4)
    if aside:
        return force, energy + force * extra
    line = share * tyre[at.T_K_RIM]
    return force + line * extra, energy + 0.5 * line * extra * extra


def part_strip(
    tyre: Floats, h: float, low: float, high: float, aside: bool
) -> tuple[float, float, float, float, float]:
    """Return force, energy, energy per metre at low and high cut, force times place, of a strip on a level piece.

    The piece runs from low to high [m] ahead of the hub, h [m] below it along the disc. An end that lies beyond the
    contact is no cut. Moving a cut by ds ahead changes the energy by (high - low) ds: that is the push of an edge.
    """
    r = tyre[at.T_R]
    if h >= r:
        return 0.0, 0.0, 0.0, 0.0, 0.0
    h, slope = sunk(h, r)
    c = sqrt(r * r - h * h)
    a, b = max(low, -c), min(high, c)
    if b <= a:
        return 0.0, 0.0, 0.0, 0.0, 0.0
    middle, half = 0.5 * (a + b), 0.5 * (b - a)
    force, energy, moment = 0.0, 0.0, 0.0
    for i in range(3):
        for side in (-1.0, 1.0):
            s = middle + side * half * _G[i]
            q, u = line_force(tyre, sqrt(r * r - s * s) - h, aside)
            force += half * _H[i] * q
            energy += half * _H[i] * u
            moment += half * _H[i] * q * s
    at_low, at_high = 0.0, 0.0
    if a > -c:
        at_low = line_force(tyre, sqrt(r * r - a * a) - h, aside)[1]
    if b < c:
        at_high = line_force(tyre, sqrt(r * r - b * b) - h, aside)[1]
    return slope * force, energy, at_low, at_high, slope * moment


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


def strip(
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
    on_place[i] collects the vertical force on each place. At most two places under one strip are seen.
    sunk: the strip has been down in a place; where it leaves it sideways it hangs over the wall (see `line_force`).
    """
    first, second = -1, -1
    reach, width = tyre[at.T_R], tyre[at.T_W] / at.STRIPS
    for i in range(places.shape[0]):
        if depth[i] <= 0.0:
            continue
        dx, dy = x - places[i, at.P_X], y - places[i, at.P_Y]
        far = reach + width + places[i, at.P_HX] + places[i, at.P_HY]
        if dx * dx + dy * dy > far * far:
            continue
        if place_cut(places[i], x, y, ex, ey, reach, width)[5] > 0.0:
            if first < 0:
                first = i
            elif second < 0:
                second = i
    h = z / upright
    if first < 0:
        if sunk:
            force, energy, _, _, _ = part_strip(tyre, h, -reach, reach, True)
        else:
            force, energy = whole_strip(tyre, h)
        return force / upright, energy, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    if second >= 0:
        later = place_cut(places[second], x, y, ex, ey, reach, width)[0]
        if later < place_cut(places[first], x, y, ex, ey, reach, width)[0]:
            first, second = second, first
    total, energy, side_x, side_y, moment, level, twist = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    start, open_x, open_y, inside = -4.0 * reach, 0.0, 0.0, 0.0
    # where two places overlap the deeper one holds: a hole is not filled by ground that gives way beside it
    inner = second >= 0 and depth[second] > depth[first]
    for n in range(3 if inner else 2):
        i = second if n == 1 else first
        if i < 0:
            continue
        a, b, aside, drift, half, kind, turn, swap = place_cut(places[i], x, y, ex, ey, reach, width)
        cs, sn = places[i, at.P_COS], places[i, at.P_SIN]
        # the cuts move against the wheel along one of the place's axes; its side walls push along the other
        cut_x, cut_y = (sn * turn, -cs * turn) if swap > 0.0 else (-cs * turn, -sn * turn)
        wall_x, wall_y = (cs, sn) if swap > 0.0 else (-sn, cs)
        back_x, back_y, front_x, front_y = cut_x, cut_y, cut_x, cut_y
        if n == 0 and inner:
            other = place_cut(places[second], x, y, ex, ey, reach, width)
            if other[0] < b:
                b, cs, sn = other[0], places[second, at.P_COS], places[second, at.P_SIN]
                front_x = sn * other[6] if other[7] > 0.0 else -cs * other[6]
                front_y = -cs * other[6] if other[7] > 0.0 else -sn * other[6]
        if a < start:
            a, back_x, back_y = start, open_x, open_y
        if b < a:
            if n == 2:
                break
            b = a
        f, u, low, high, m = part_strip(tyre, h, start, a, sunk)
        total, energy, moment = total + f, energy + u, moment + m
        down = h + depth[i] / upright
        if kind == 1.0:
            f1, u1, low1, high1, m1 = part_strip(tyre, down, a, b, False)
            f0, u0, low0, high0, m0, push, bend = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
        else:
            f1, u1, low1, high1, m1, push1, bend1 = mixed_strip(tyre, down, a, b, aside, drift, half, width, True)
            f0, u0, low0, high0, m0, push0, bend0 = mixed_strip(tyre, h, a, b, aside, drift, half, width, False)
            push, bend = push1 + push0, bend1 + bend0
        if a < 0.0 < b:
            inside = max(inside, share_inside(aside, half, width)[0])
        total += f1 + f0
        energy += u1 + u0
        moment += m1 + m0
        level -= f1 * depth[i]
        back, front = high - low1 - low0, high1 + high0
        side_x += low * open_x - back * back_x - front * front_x + push * wall_x
        side_y += low * open_y - back * back_y - front * front_y + push * wall_y
        twist += low * start * (open_y * ex - open_x * ey) - back * a * (back_y * ex - back_x * ey)
        twist += bend * (wall_y * ex - wall_x * ey) - front * b * (front_y * ex - front_x * ey)
        on_place[i] += f1 / upright
        start, open_x, open_y = b, front_x, front_y
    f, u, low, _, m = part_strip(tyre, h, start, 4.0 * reach, sunk)
    total, energy, moment = total + f, energy + u, moment + m
    side_x += low * open_x
    side_y += low * open_y
    twist += low * start * (open_y * ex - open_x * ey)
    along = moment / total if total > 0.0 else 0.0
    below = level / total if total > 0.0 else 0.0
    return total / upright, energy, side_x, side_y, along, below, twist, inside


def bristle(
    bx: float, by: float, vx: float, vy: float, dt: float, load: float, mu: float, kt: float, ct: float
) -> tuple[float, float, float, float, float]:
    """Return friction force (x, y), new bristle (x, y) and energy lost [J] of a step.

    Elastic-plastic bristle: only the elastic part is limited by friction, damping acts only while it sticks.
    """
    limit = mu * load
    before = 0.5 * kt * (bx * bx + by * by)
    if limit <= 0.0:
        return 0.0, 0.0, 0.0, 0.0, before
    bx, by = bx + vx * dt, by + vy * dt
    pull = kt * sqrt(bx * bx + by * by)
    if pull > limit:
        bx, by = bx * limit / pull, by * limit / pull
        fx, fy = -kt * bx, -kt * by
    else:
        fx, fy = -kt * bx - ct * vx, -kt * by - ct * vy
        size = sqrt(fx * fx + fy * fy)
        if size > limit:
            fx, fy = fx * limit / size, fy * limit / size
    after = 0.5 * kt * (bx * bx + by * by)
    return fx, fy, bx, by, -(fx * vx + fy * vy) * dt - (after - before)


def spin(
    w: float, carried: float, inertia: float, road: float, drive: float, brake: float, dt: float
) -> tuple[float, float]:
    """Return the wheel's new speed [rad/s] and the brake's torque on it [N m].

    carried [rad/s] is the truck's own turning about the wheel axis: a held brake brings the wheel to it.
    road and drive [N m] turn the wheel forward; brake is the most the brake can hold.
    """
    free = w + dt * (road + drive) / inertia - carried
    most = dt * brake / inertia
    if abs(free) <= most:
        return carried, -free * inertia / dt
    held = brake if free < 0.0 else -brake
    return carried + free + dt * held / inertia, held
