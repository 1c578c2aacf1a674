"""Stresses, strains and deflections in bonded elastic layers under round loads, as for asphalt on base on subgrade.

Each layer is even, isotropic and linear elastic, endless sideways; the lowest has no bottom. Layers stick to each other
(no slip). Loads press straight down, spread evenly over circles. z is down from the surface; compression is positive in
stresses and strains alike; a deflection is positive downward.

The half-space of the first layer's material is taken out of the integral and added in closed form. What remains fades
at least as exp(-m h1), so that the integral ends by itself and the surface needs no averaging of its tail.
"""

from __future__ import annotations

from tipline.elementwise import cbrt
from tipline.mechanics._ranges import positive, within

__all__ = ["odemark_thickness"]


def odemark_thickness(
    thickness: float, modulus: float, modulus_below: float, poisson: float, poisson_below: float, factor: float = 0.9
) -> float:
    """Thickness of the lower material that stands for a layer, for a check by hand.

    Parameters
    ----------
    thickness : float
        Thickness of the layer [m].
    modulus : float
        Its Young's modulus [Pa].
    modulus_below : float
        Young's modulus of what lies below [Pa].
    poisson : float
        Its Poisson's ratio [1], 0 to 0.5.
    poisson_below : float
        Poisson's ratio of what lies below [1], 0 to 0.5.
    factor : float
        Correction [1]; 0.9 for two layers, 0.8 for more.

    Returns
    -------
    float
        Equivalent thickness [m].

    Raises
    ------
    ValueError
        If a number is out of range, or the layer is softer than what lies below.

    Notes
    -----
    f h ((E1 / E2) (1 - nu2^2) / (1 - nu1^2))^(1/3). A check by hand only: against the exact two-layer answer the
    vertical stress was 7 % low to 2 % high for E1 / E2 of 3 to 60 and h = a. Source: [Odemark1949]
    """
    ratio = positive("modulus", modulus, "Pa") / positive("modulus below", modulus_below, "Pa")
    within("modulus over modulus below", ratio, 1.0, 1e6, why="the layer must be the stiffer one")
    nu1, nu2 = within("Poisson's ratio", poisson, 0.0, 0.5), within("Poisson's ratio below", poisson_below, 0.0, 0.5)
    cube = ratio * (1.0 - nu2**2) / (1.0 - nu1**2)
    return positive("factor", factor) * positive("thickness", thickness, "m") * cbrt(cube)
