"""Settlement of a flexible circle on an elastic half-space."""

from __future__ import annotations

import math
from typing import Literal

from tipline.mechanics._ranges import not_negative, positive, within

__all__ = [
    "flexible_circle_settlement",
]


def flexible_circle_settlement(
    pressure: float, radius: float, modulus: float, poisson: float, place: Literal["centre", "edge"] = "centre"
) -> float:
    """Settlement of an evenly loaded, flexible circle on an elastic half-space.

    Parameters
    ----------
    pressure : float
        Pressure [Pa].
    radius : float
        Radius [m].
    modulus : float
        Young's modulus of the soil [Pa].
    poisson : float
        Poisson's ratio [1], 0 to 0.5.
    place : {"centre", "edge"}
        Where [1].

    Returns
    -------
    float
        Settlement [m].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    2 q a (1 - nu^2) / E at the centre, 2 / pi of it at the edge. Far from failure only. Source: [PoulosDavis1974]
    """
    nu = within("Poisson's ratio", poisson, 0.0, 0.5)
    stiffness = positive("modulus", modulus, "Pa") / (1.0 - nu * nu)
    centre = 2.0 * not_negative("pressure", pressure, "Pa") * positive("radius", radius, "m") / stiffness
    return centre if place == "centre" else centre * 2.0 / math.pi
