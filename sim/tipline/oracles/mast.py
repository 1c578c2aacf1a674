"""Mast as a beam held at its foot, the joint with a spring that stands in for it, and a load along it."""

from __future__ import annotations

import math
from typing import NamedTuple

from tipline.mechanics._ranges import below, finite, not_negative, positive

__all__ = [
    "LumpedJoint",
    "beam_column_deflection",
    "buckling_load",
    "end_force_deflection",
    "end_moment_deflection",
    "lumped_joint",
]


class LumpedJoint(NamedTuple):
    """Height of the joint above the foot [m] and its stiffness [N m/rad]."""

    height: float
    stiffness: float


def end_force_deflection(force: float, length: float, bending_stiffness: float) -> float:
    """Deflection of the end of a cantilever under a force across it at the end.

    Parameters
    ----------
    force : float
        Force across the beam [N].
    length : float
        Length [m].
    bending_stiffness : float
        E I [N m2].

    Returns
    -------
    float
        Deflection [m].

    Raises
    ------
    ValueError
        If a length or stiffness is not greater than 0.

    Notes
    -----
    F L^3 / (3 E I). Small deflections. Source: [ToolBoxCantilever]
    """
    ei = positive("bending stiffness", bending_stiffness, "N m2")
    return finite("force", force, "N") * positive("length", length, "m") ** 3 / (3.0 * ei)


def end_moment_deflection(moment: float, length: float, bending_stiffness: float) -> float:
    """Deflection of the end of a cantilever under a moment at the end.

    Parameters
    ----------
    moment : float
        Moment at the end [N m].
    length : float
        Length [m].
    bending_stiffness : float
        E I [N m2].

    Returns
    -------
    float
        Deflection [m].

    Raises
    ------
    ValueError
        If a length or stiffness is not greater than 0.

    Notes
    -----
    M L^2 / (2 E I). Small deflections. Source: [BeamTables]
    """
    ei = positive("bending stiffness", bending_stiffness, "N m2")
    return finite("moment", moment, "N m") * positive("length", length, "m") ** 2 / (2.0 * ei)


def lumped_joint(length: float, bending_stiffness: float, force: float, moment: float) -> LumpedJoint:
    """Joint with a spring that moves and turns the end of a stiff mast as a cantilever's end moves and turns.

    Parameters
    ----------
    length : float
        Length of the cantilever [m].
    bending_stiffness : float
        E I [N m2].
    force : float
        Force across the beam at the end [N].
    moment : float
        Moment at the end, the same way round as the force bends it [N m].

    Returns
    -------
    LumpedJoint
        Height above the foot [m] and stiffness [N m/rad]; exact for this ratio of force to moment.

    Raises
    ------
    ValueError
        If a number is out of range or force and moment bend against each other or are both 0.

    Notes
    -----
    Height L - deflection / slope; stiffness = moment at the joint / slope. Force alone: L/3 and 4 E I / (3 L);
    moment alone: L/2 and E I / L. Source: [BeamTables]
    """
    f, m = not_negative("force", force, "N"), not_negative("moment", moment, "N m")
    positive("force times length plus moment", f * positive("length", length, "m") + m, "N m")
    ei = bending_stiffness
    deflection = end_force_deflection(f, length, ei) + end_moment_deflection(m, length, ei)
    slope = (f * length**2 / 2.0 + m * length) / ei
    lever = deflection / slope
    return LumpedJoint(length - lever, (f * lever + m) / slope)


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
