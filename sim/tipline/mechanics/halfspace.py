"""Stresses and deflections in an elastic half-space under a point, a circle or a rectangle on its surface.

One even, isotropic, linear elastic body without weight. z is down, r outward. Compression is positive, and so is a
shear stress that pushes down and outward; a deflection is positive downward, a radial displacement outward.
Real soil takes no tension and is softer near the surface: the deflection holds to a factor, the vertical stress better.
"""

from __future__ import annotations

import math

from tipline.mechanics._ranges import finite, not_negative, positive

__all__ = [
    "circle_axis_stress",
    "point_stress",
]


def point_stress(force: float, depth: float, distance: float) -> float:
    """Vertical stress under a point force on the surface.

    Parameters
    ----------
    force : float
        Force, down [N].
    depth : float
        Depth below the surface [m], greater than 0.
    distance : float
        Distance from the force's line [m].

    Returns
    -------
    float
        Vertical stress [Pa], compression positive.

    Raises
    ------
    ValueError
        If the depth is not greater than 0 or a number is not finite.

    Notes
    -----
    3 P z^3 / (2 pi R^5). Source: [DasTables2014]
    """
    z, r = positive("depth", depth, "m"), not_negative("distance", distance, "m")
    return 3.0 * finite("force", force, "N") * z**3 / (2.0 * math.pi * math.hypot(z, r) ** 5)


def circle_axis_stress(pressure: float, radius: float, depth: float) -> float:
    """Vertical stress below the centre of an evenly loaded circle.

    Parameters
    ----------
    pressure : float
        Pressure on the circle [Pa].
    radius : float
        Its radius [m].
    depth : float
        Depth [m], 0 allowed.

    Returns
    -------
    float
        Vertical stress [Pa], compression positive.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    q (1 - z^3 / (a^2 + z^2)^1.5). Source: [AhlvinUlery1962]
    """
    a, z = positive("radius", radius, "m"), not_negative("depth", depth, "m")
    return finite("pressure", pressure, "Pa") * (1.0 - (z / math.hypot(a, z)) ** 3)
