"""The tyre on the floor: a disc with a flat tread of elastic strips, friction bristles and wheel spin.

Each strip is a bed of radial springs under a circular disc (elastic foundation; Johnson, Contact Mechanics, 4.3, from
memory), on a level floor or on a level piece of it; `strips` puts the pieces together.

Source: [Johnson1985] (bed of springs, from memory), [DupontEtAl2002] (friction, from memory)
"""

from math import asin, exp, sqrt

from tipline.kernels import layout as at
from tipline.kernels.layout import Floats

_G = (0.2386191860831969, 0.6612093864662645, 0.9324695142031521)
"""Points of Gauss and Legendre between -1 and 1, six of them, by definition."""
_H = (0.4679139345726910, 0.3607615730481386, 0.1713244923791704)
"""Their weights, by definition."""

FLATTEST = 0.25
"""Cosine of the wheel's lean beyond which the tread no longer meets the floor (our choice: about 75 degrees)."""
WEDGED = 0.5
"""The same for a wheel that is down in a place (our choice, 60 degrees): its flank lies on the edge then, not its
tread."""


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
