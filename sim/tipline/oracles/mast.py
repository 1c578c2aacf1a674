"""Mast as a beam held at its foot that also carries a load along it."""

from __future__ import annotations

import math

from tipline.mechanics._ranges import below, not_negative, positive
from tipline.mechanics.mast import end_force_deflection, end_moment_deflection

__all__ = [
    "beam_column_deflection",
    "buckling_load",
]


def buckling_load(length: float, bending_stiffness: float) -> float:
    """Load along a cantilever, free at its end, under which it buckles.

    Parameters
    ----------
    length : float
        Length [m].
    bending_stiffness : float
        E I [N m2].

    Returns
    -------
    float
        Load [N].

    Raises
    ------
    ValueError
        If a number is not greater than 0.

    Notes
    -----
    pi^2 E I / (4 L^2). Source: [TimoshenkoGere1961]
    """
    return (
        math.pi**2
        * positive("bending stiffness", bending_stiffness, "N m2")
        / (4.0 * positive("length", length, "m") ** 2)
    )


def beam_column_deflection(
    axial: float, length: float, bending_stiffness: float, force: float = 0.0, moment: float = 0.0
) -> float:
    """Deflection of the end of a cantilever that also carries a load along it.

    Parameters
    ----------
    axial : float
        Load that presses along the beam [N]; 0 or more.
    length : float
        Length [m].
    bending_stiffness : float
        E I [N m2].
    force : float
        Force across the beam at the end [N].
    moment : float
        Moment at the end, the same way round as the force bends it [N m].

    Returns
    -------
    float
        Deflection [m].

    Raises
    ------
    ValueError
        If the axial load reaches the buckling load or a number is out of range.

    Notes
    -----
    H (tan kL - kL) / (P k) + M (sec kL - 1) / P, k = sqrt(P / (E I)); below 1e-4 of the buckling load its limit
    for small P. Source: [TimoshenkoGere1961]
    """
    p, length_ = not_negative("axial load", axial, "N"), positive("length", length, "m")
    limit = buckling_load(length_, bending_stiffness)
    below("axial load", p, limit, "N", "there the mast buckles")
    bent = end_force_deflection(force, length_, bending_stiffness)
    turned = end_moment_deflection(moment, length_, bending_stiffness)
    u2 = p * length_**2 / bending_stiffness
    if p < 1e-4 * limit:
        return bent * (1.0 + 0.4 * u2) + turned * (1.0 + 5.0 * u2 / 12.0)
    u = math.sqrt(u2)
    return bent * 3.0 * (math.tan(u) - u) / (u * u2) + turned * 2.0 * (1.0 / math.cos(u) - 1.0) / u2
