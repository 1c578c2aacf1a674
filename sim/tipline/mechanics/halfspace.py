"""Upright stress in an elastic half-space under a point and below the middle of a circle on its surface.

One even, isotropic, linear elastic body without weight; compression is positive. Both take arrays (`elementwise`).
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
    beyond: float = (z * z + r * r) ** 2.5
    return 3.0 * finite("force", force, "N") * z**3 / (2.0 * math.pi * beyond)


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
    beyond: float = (a * a + z * z) ** 1.5
    return finite("pressure", pressure, "Pa") * (1.0 - z**3 / beyond)
