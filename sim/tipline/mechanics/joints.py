"""Joints between slab panels: what a joint hands over of deflection, and the lesser share it hands over of stress.

Deflection transfer (LTE) is the deflection of the unloaded side over that of the loaded side. Planning takes no
transfer where none was measured.
"""

from __future__ import annotations

import math
from typing import Final

from tipline.elementwise import lesser
from tipline.mechanics._ranges import below, within
from tipline.mechanics.slab import GroundSlab, relative_stiffness_radius

__all__ = [
    "interlock_transfer",
    "line_stiffness",
    "planning_stress_transfer",
]

_MOST_STRESS: Final = 0.25
_CLOSED: Final = 0.9
"""Deflection transfer of a crack so fine that it is as good as closed (our choice: readings of good joints)."""
_FALLS: Final = 1500.0
"""Share by which interlock falls with the opening [1/m], between its two known points. Source: [ColleyHumphrey1967]"""
_KNOWN: Final = (1.5e-3, 0.15)
"""A crack [m] that hands over a share of the load. Source: [ColleyHumphrey1967]"""


def interlock_transfer(opening: float) -> float:
    """Deflection transfer of a rough crack, as under a contraction joint, by how wide it stands open.

    Parameters
    ----------
    opening : float
        Width of the open crack [m], 0 to 0.02.

    Returns
    -------
    float
        Deflection transfer (LTE) [1]: 0.9 up to 0.4 mm, then falling by e every 0.67 mm.

    Raises
    ------
    ValueError
        If the opening is out of range.

    Notes
    -----
    Through 15 % of the load at 1.5 mm, LTE / (1 + LTE), and an effectiveness of 60 % at 0.9 mm, 2 LTE / (1 + LTE).
    Slabs 0.15 to 0.3 m thick, no dowels; traffic grinds the crack and lowers it. Source: [ColleyHumphrey1967], [Own]
    """
    w = within("opening", opening, 0.0, 0.02, "m")
    at, share = _KNOWN
    return float(min(_CLOSED, share / (1.0 - share) * math.exp(-_FALLS * (w - at))))


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
        AGG = k l ((1 / LTE - 1) / 1.2)^(-1 / 0.849) [N/m per m], 0 where nothing is handed over.

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
