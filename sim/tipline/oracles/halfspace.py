"""Stresses and deflections in an elastic half-space under a point, a circle or a rectangle on its surface.

One even, isotropic, linear elastic body without weight. z is down, r outward. Compression is positive, and so is a
shear stress that pushes down and outward; a deflection is positive downward, a radial displacement outward.
Real soil takes no tension and is softer near the surface: the deflection holds to a factor, the vertical stress better.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from tipline.mechanics._ranges import finite, not_negative, positive, within

__all__ = [
    "CircleFunctions",
    "HalfSpaceResponse",
    "circle_functions",
    "circle_response",
    "rectangle_corner_influence",
]

_NEAR_AXIS = 1e-4
_ON_EDGE = 1e-9


class CircleFunctions(NamedTuple):
    """Integrals over t from 0 of a exp(-z t) J1(a t) times what is named; all are free of Poisson's ratio.

    a: J0(r t) [1]. b: z t J0(r t) [1]. g: z t J1(r t) [1]. s: J1(r t) / (r t) [1]. c: z J1(r t) / r [1].
    w: J0(r t) / t [m]. u: J1(r t) / t [m].
    """

    a: float
    b: float
    c: float
    g: float
    s: float
    w: float
    u: float


class HalfSpaceResponse(NamedTuple):
    """Stresses [Pa] vertical, radial, hoop and shear (vertical-radial), displacements [m] down and outward."""

    vertical: float
    radial: float
    hoop: float
    shear: float
    deflection: float
    outward: float


def circle_functions(radius: float, depth: float, distance: float) -> CircleFunctions:
    """Integrals from which every stress and displacement under an evenly loaded circle follows.

    Parameters
    ----------
    radius : float
        Radius of the circle [m].
    depth : float
        Depth [m], 0 allowed.
    distance : float
        Distance from the axis [m].

    Returns
    -------
    CircleFunctions
        The integrals [1], w and u [m]; a and b are the functions A and B of the published tables.

    Raises
    ------
    ValueError
        If the radius is not greater than 0 or a number is negative.

    Notes
    -----
    Complete elliptic integrals, not quadrature: a is the solid angle of the circle over 2 pi, b and g are its slopes,
    w and u follow because they grow in proportion to a common scale. Source: [AhlvinUlery1962], [Own]
    """
    a, z = positive("radius", radius, "m"), not_negative("depth", depth, "m")
    r = not_negative("distance", distance, "m")
    if r < _NEAR_AXIS * a:
        big_r = math.hypot(a, z)
        base, slope = 1.0 - z / big_r, z * a**2 / big_r**3
        shear = 1.5 * r * z * z * a**2 / big_r**5
        return CircleFunctions(base, slope, 0.5 * slope, shear, 0.5 * base, big_r - z, 0.5 * base * r)
    if z < _ON_EDGE * a and abs(r - a) < _ON_EDGE * a:
        return CircleFunctions(0.5, 0.0, 0.0, 0.0, 0.5, 2.0 * a / math.pi, 0.5 * a)
    return _off_axis(a, z, r)


def circle_response(
    pressure: float, radius: float, modulus: float, poisson: float, depth: float, distance: float
) -> HalfSpaceResponse:
    """Stresses and displacements anywhere under an evenly loaded, flexible circle.

    Parameters
    ----------
    pressure : float
        Pressure on the circle [Pa].
    radius : float
        Its radius [m].
    modulus : float
        Young's modulus [Pa].
    poisson : float
        Poisson's ratio [1], 0 to 0.5.
    depth : float
        Depth [m], 0 allowed.
    distance : float
        Distance from the axis [m].

    Returns
    -------
    HalfSpaceResponse
        Stresses [Pa], compression positive; displacements [m], down and outward.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    Source: [AhlvinUlery1962], [PoulosDavis1974]
    """
    q, nu = finite("pressure", pressure, "Pa"), _poisson(poisson)
    f = circle_functions(radius, depth, distance)
    ratio = (1.0 + nu) * q / positive("modulus", modulus, "Pa")
    across = (1.0 - 2.0 * nu) * f.s - f.c
    return HalfSpaceResponse(
        vertical=q * (f.a + f.b),
        radial=q * (f.a - f.b - across),
        hoop=q * (2.0 * nu * f.a + across),
        shear=q * f.g,
        deflection=ratio * (2.0 * (1.0 - nu) * f.w + depth * f.a),
        outward=-ratio * distance * across,
    )


def rectangle_corner_influence(width: float, length: float, depth: float) -> float:
    """Vertical stress below a corner of an evenly loaded rectangle, over the pressure.

    Parameters
    ----------
    width : float
        One side [m].
    length : float
        The other side [m].
    depth : float
        Depth [m], greater than 0.

    Returns
    -------
    float
        Influence factor [1], up to 0.25 at the surface.

    Raises
    ------
    ValueError
        If a number is not greater than 0.

    Notes
    -----
    The integral of the point force over the rectangle, m = b / z, n = l / z. Source: [Newmark1935]
    """
    z = positive("depth", depth, "m")
    m, n = positive("width", width, "m") / z, positive("length", length, "m") / z
    v = m * m + n * n + 1.0
    straight = m * n / math.sqrt(v) * (v + 1.0) / (v + m * m * n * n)
    return (straight + math.atan2(m * n, math.sqrt(v))) / (2.0 * math.pi)


def _off_axis(a: float, z: float, r: float) -> CircleFunctions:
    from scipy.special import ellipe, ellipkm1

    far = math.hypot(a + r, z)
    near_squared = (a - r) ** 2 + z * z
    k1 = near_squared / far**2
    big_k, big_e = float(ellipkm1(k1)), float(ellipe(1.0 - k1))
    base, swapped = _solid_angle(a, z, r, far, big_k), _solid_angle(r, z, a, far, big_k)
    vector = (far / (math.pi * r)) * (0.5 * (1.0 + k1) * big_k - big_e)
    axial = z / (math.pi * far) * (big_k + (a * a - r * r - z * z) / near_squared * big_e)
    radial = z * z / (math.pi * r * far) * ((a * a + r * r + z * z) / near_squared * big_e - big_k)
    u = 0.5 * (a * a * swapped / r + r * base - z * vector)
    w = 2.0 * a * a * big_k / (math.pi * far) - r * vector - z * base
    return CircleFunctions(base, axial, z * vector / r, radial, u / r, w, u)


def _solid_angle(a: float, z: float, r: float, far: float, big_k: float) -> float:
    """Give the solid angle of the circle of radius a at (r, z), over 2 pi."""
    from scipy.special import elliprj

    k1 = ((a - r) ** 2 + z * z) / far**2
    inside = 0.5 * (1.0 + math.copysign(1.0, a - r)) if a != r else 0.5
    if a == r or z == 0.0:
        return inside - (z / (math.pi * far) * big_k if z > 0.0 else 0.0)
    n = 4.0 * a * r / (a + r) ** 2
    third = big_k + n / 3.0 * float(elliprj(0.0, k1, 1.0, (a - r) ** 2 / (a + r) ** 2))
    return inside - z / (math.pi * far) * (big_k + (a - r) / (a + r) * third)


def _poisson(value: float) -> float:
    return within("Poisson's ratio", value, 0.0, 0.5)
