"""Joints between slab panels: what a joint hands over of deflection, and the lesser share it hands over of stress.

Deflection transfer (LTE) is the deflection of the unloaded side over that of the loaded side. Planning takes no
transfer where none was measured.
"""

from __future__ import annotations

from typing import Final

from tipline.elementwise import lesser
from tipline.mechanics._ranges import below, within
from tipline.mechanics.slab import GroundSlab, relative_stiffness_radius

__all__ = [
    "line_stiffness",
    "planning_stress_transfer",
]

_MOST_STRESS: Final = 0.25


def line_stiffness(transfer: float, slab: GroundSlab) -> float:
    """Stiffness of a joint that hands over a share of the deflection; the inverse of `deflection_transfer`.

    Parameters
    ----------
    transfer : float
        Deflection transfer (LTE) [1], 0 to below 1.
    slab : Slab
        [m, Pa, 1, N/m3]

    Returns
    -------
    float
        AGG [N/m per m].

    Raises
    ------
    ValueError
        If the transfer is outside 0 to below 1: no finite stiffness hands over all.

    Source: [Crovetti1994] (from memory)
    """
    LTE = below("transfer", _share("transfer", transfer), 1.0)
    if LTE == 0.0:
        return 0.0
    return float(slab.subgrade * relative_stiffness_radius(slab) * ((1.0 / LTE - 1.0) / 1.2) ** (-1.0 / 0.849))


def planning_stress_transfer(transfer: float | None) -> float:
    """Share of the edge stress that planning may leave to the other side of a joint.

    Parameters
    ----------
    transfer : float or None
        Deflection transfer (LTE) [1], 0 to 1; None where it is not known.

    Returns
    -------
    float
        0 where it is not known, else min(0.25, 0.155 LTE / (1 - 0.5 LTE)) [1].

    Raises
    ------
    ValueError
        If the transfer is outside 0 to 1.

    Notes
    -----
    The curve lies below plate finite elements of two panels for patch radii of 0.06 l and more; larger patches hand
    over more. Derived, not compared with measured joints. Source: [Own]
    """
    if transfer is None:
        return 0.0
    LTE = _share("transfer", transfer)
    return lesser(_MOST_STRESS, 0.155 * LTE / (1.0 - 0.5 * LTE))


def _share(name: str, value: float) -> float:
    return within(name, value, 0.0, 1.0)
