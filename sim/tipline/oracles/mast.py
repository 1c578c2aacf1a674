"""Mast as a beam held at its foot, the joint with a spring that stands in for it, and a load along it."""

from __future__ import annotations

from typing import NamedTuple

from tipline.mechanics._ranges import finite, not_negative, positive

__all__ = [
    "LumpedJoint",
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
