"""A ramp in the floor: level ground, then an even slope from a straight line on, then level ground again.

The floor stays one surface: a wheel that comes to the ramp's edge meets both pieces at once. Forces are the gradient of
the tyre's stored energy, so the push of a slope stands square to it, and nothing is lost on the way up. Friction acts
along the level; with a wheel's load that is the same truck at the same slope, to rounding.

Source: [Own]
"""

from math import sqrt

from tipline.kernels import layout as at
from tipline.kernels.layout import Floats
from tipline.kernels.tyre import _G, _H, line_force


def way(ramp: Floats, x: float, y: float) -> float:
    """Return how far a point lies behind the ramp's edge, in the ramp's direction [m]."""
    u: float = ramp[at.G_COS] * (x - ramp[at.G_X]) + ramp[at.G_SIN] * (y - ramp[at.G_Y])
    return u


def rise(ramp: Floats, x: float, y: float) -> float:
    """Return the height of the floor at a point [m]."""
    height: float = ramp[at.G_TAN] * min(max(way(ramp, x, y), 0.0), ramp[at.G_LONG])
    return height


def highest(ramp: Floats, x: float, y: float, arm: float) -> float:
    """Return the greatest height of the floor within an arm of a point [m]."""
    u = way(ramp, x, y) + (arm if ramp[at.G_TAN] > 0.0 else -arm)
    height: float = ramp[at.G_TAN] * min(max(u, 0.0), ramp[at.G_LONG])
    return height


def grade(ramp: Floats, x: float, y: float) -> float:
    """Return how steep the floor is at a point, in the ramp's direction."""
    steep: float = ramp[at.G_TAN] if 0.0 < way(ramp, x, y) < ramp[at.G_LONG] else 0.0
    return steep


def ramp_strip(
    tyre: Floats, ramp: Floats, x: float, y: float, z: float, ex: float, ey: float, upright: float
) -> tuple[float, float, float, float, float, float, float, float]:
    """Return one strip's forces and energy on the floor at a ramp, in the order of `tyre.strip`.

    The level is the floor's height where the load acts; the last value is 0.
    """
    r, steep, u0 = tyre[at.T_R], ramp[at.G_TAN], way(ramp, x, y)
    over = (z - rise(ramp, x, y)) / upright
    if over >= 2.0 * r or over < 0.2 * r:
        return 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    c = ramp[at.G_COS] * ex + ramp[at.G_SIN] * ey
    # where the strip's line comes onto the slope, and leaves it
    first, last = -2.0 * r, 2.0 * r
    inside = 0.0 < u0 < ramp[at.G_LONG]
    if abs(c) > 1e-6:
        first, last = -u0 / c, (ramp[at.G_LONG] - u0) / c
        if c < 0.0:
            first, last = last, first
    elif not inside:
        first, last = 2.0 * r, 2.0 * r
    total, energy, moment, level, sloped, turn = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    for piece in range(3):
        low, high = (-2.0 * r, first) if piece == 0 else ((first, last) if piece == 1 else (last, 2.0 * r))
        m = -steep * c / upright if piece == 1 else 0.0
        low, high = max(low, -2.0 * r), min(high, 2.0 * r)
        if high <= low:
            continue
        if piece == 1:
            h = (z - steep * u0) / upright
        else:  # the floor before the slope, or past its end, as the strip's line meets them
            beyond = u0 + 0.5 * c * (low + high) > 0.5 * ramp[at.G_LONG]
            h = (z - (steep * ramp[at.G_LONG] if beyond else 0.0)) / upright
        # the chord on which the disc reaches below this piece
        root = r * r * (1.0 + m * m) - h * h
        if root <= 0.0:
            continue
        middle, half = -h * m / (1.0 + m * m), sqrt(root) / (1.0 + m * m)
        a, b = max(low, middle - half), min(high, middle + half)
        if b <= a:
            continue
        middle, half = 0.5 * (a + b), 0.5 * (b - a)
        for i in range(3):
            for side in (-1.0, 1.0):
                s = middle + side * half * _G[i]
                below = h + m * s
                q, u = line_force(tyre, sqrt(max(r * r - s * s, 0.0)) - below, False)
                weight = half * _H[i]
                total += weight * q
                energy += weight * u
                moment += weight * q * s
                level += weight * q * (z - below * upright)
                if piece == 1:
                    sloped += weight * q
                    turn += weight * q * s
    if total <= 0.0:
        return 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    push = -steep / upright
    fx, fy = push * ramp[at.G_COS], push * ramp[at.G_SIN]
    twist = turn * (fy * ex - fx * ey)
    return total / upright, energy, sloped * fx, sloped * fy, moment / total, level / total, twist, 0.0
