"""A slab's stress near edges, corners, cavities and other tyres: our own fits to plate elements.

The closed formulas of `slab` are for an endless slab, an endless edge and a lone corner. What lies between them was
computed with `plate_fe` (thin plate, springs that also pull) for three slabs, patches of 0.19 to 0.34 l in radius, and
fitted; each function says how far its fit is from those. Distances count from the side of the patch. The formulas take
numbers or arrays alike.
"""

from __future__ import annotations

import math
from typing import Final

from tipline.elementwise import exp, log
from tipline.mechanics._ranges import below, not_negative, positive
from tipline.mechanics.slab import GroundSlab, Place, relative_stiffness_radius

__all__ = ["ACROSS_AN_EDGE", "ALONG_AN_EDGE", "cavity_rise", "corner_top", "edge_part", "other_edge_part"]


ALONG_AN_EDGE: Final = 2.5
"""Moment along an edge that another tyre on the edge adds there, over that along the line to it inside a slab [1].

Plate elements: 2.0 to 3.0 from 0.6 to 3 l apart; the sum of both tyres within 4 %.
"""
ACROSS_AN_EDGE: Final = 1.46
"""The same for a tyre straight in from the edge, over the moment across the line to it [1]: 1.44 to 1.54."""
_EDGE, _OTHER, _OTHER_SLOPE, _OTHER_BEND = 4.0, 0.44, 1.1, 0.35
_TOP, _TOP_POWER, _TOP_FADE = 0.79, 0.58, 1.05
_SIDE = math.sqrt(math.pi)
_RISE: Final = {"interior": (0.5375, 0.8, 1.5), "edge": (0.641, 0.92, 1.3), "corner": (0.292, 1.7, 1.0)}


def edge_part(slab: GroundSlab, away: float) -> float:
    """Part of what a free edge adds to the tension under a tyre that is left some way in from it.

    Parameters
    ----------
    slab : Slab
        [m, Pa, 1, N/m3]
    away : float
        From the edge to the side of the patch [m].

    Returns
    -------
    float
        exp(-4 x / l) [1]: of the edge's stress less that inside.

    Raises
    ------
    ValueError
        If the distance is negative.

    Notes
    -----
    Stress with it within 4 % of plate elements. Source: [Own]
    """
    return exp(-_EDGE * not_negative("distance", away, "m") / relative_stiffness_radius(slab))


def other_edge_part(slab: GroundSlab, away: float) -> float:
    """Part of the tension at the bottom near an edge that is left where another free edge runs across it.

    Parameters
    ----------
    slab : Slab
        [m, Pa, 1, N/m3]
    away : float
        From the farther of the two edges to the side of the patch [m].

    Returns
    -------
    float
        1 - 0.44 exp(-1.1 x / l - 0.35 (x / l)^2) [1]: 0.56 in the corner, 0.98 at 2 l.

    Raises
    ------
    ValueError
        If the distance is negative.

    Notes
    -----
    Within 5 % of plate elements, for tyres on the nearer edge and up to 0.8 l in from it. Source: [Own]
    """
    x = not_negative("distance", away, "m") / relative_stiffness_radius(slab)
    return 1.0 - _OTHER * exp(-_OTHER_SLOPE * x - _OTHER_BEND * x * x)


def corner_top(slab: GroundSlab, load: float, radius: float, away: float = 0.0) -> float:
    """Tension at the top near a free corner.

    Parameters
    ----------
    slab : Slab
        [m, Pa, 1, N/m3]
    load : float
        Tyre load [N].
    radius : float
        Radius of the loaded circle [m], up to 0.5 l.
    away : float
        From both edges to the sides of the patch, summed [m].

    Returns
    -------
    float
        3 P / h^2 (1 - 0.79 (c / l)^0.58) exp(-1.05 x / l), c = 1.772 a [Pa].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    Form of the corner formula of 1985, fitted anew: that one is 7 to 27 % below plate elements for patches of 0.19 to
    0.34 l. In the corner within 1 % of them, away from it within a tenth where it governs (up to 0.5 l along one edge);
    farther along an edge the edge's own tension at the bottom is far above it. Source: [Own], [Ioannides1985]
    """
    ell = relative_stiffness_radius(slab)
    reach = _SIDE * below("radius", positive("radius", radius, "m"), 0.5001 * ell, "m", "the fit ends at 0.5 l") / ell
    fade = exp(-_TOP_FADE * not_negative("distance", away, "m") / ell)
    shape: float = 1.0 - _TOP * reach**_TOP_POWER
    return 3.0 * not_negative("load", load, "N") / slab.thickness**2 * shape * fade


def cavity_rise(place: Place, slab: GroundSlab, load: float, radius: float) -> float:
    """Tension that a round cavity under a tyre's middle adds.

    Parameters
    ----------
    place : str
        "interior", "edge" (both at the bottom) or "corner" (at the top) [1].
    slab : Slab
        [m, Pa, 1, N/m3]
    load : float
        Tyre load [N].
    radius : float
        Radius of the cavity [m].

    Returns
    -------
    float
        With r = R / l: inside 3 (1 + nu) P / (2 pi h^2) 0.5375 ln(1 + 0.8 r^1.5); at an edge
        12 (1 + nu) P / (pi (3 + nu) h^2) 0.641 ln(1 + 0.92 r^1.3); at a corner 3 P / h^2 0.292 ln(1 + 1.7 r) [Pa].

    Raises
    ------
    ValueError
        If the place is not known or a number is negative.

    Notes
    -----
    What a cavity adds hardly depends on the patch, for it changes the slab far from it only: as in the formulas without
    one, where l stands in the logarithm. Total stress within 2 % of plate elements inside and at an edge, 7 % at a
    corner, for cavities of 0.25 to 4 l; wider ones go on as the logarithm, as a clamped plate's stress does.
    Source: [Own]
    """
    if place not in _RISE:
        msg = f"place = {place!r}: must be interior, edge or corner"
        raise ValueError(msg)
    size, growth, power = _RISE[place]
    nu, P = slab.poisson, not_negative("load", load, "N")
    r = not_negative("radius", radius, "m") / relative_stiffness_radius(slab)
    per = {
        "interior": 3.0 * (1.0 + nu) / (2.0 * math.pi),
        "edge": 12.0 * (1.0 + nu) / (math.pi * (3.0 + nu)),
        "corner": 3.0,
    }
    return per[place] * P / slab.thickness**2 * size * log(1.0 + growth * r**power)
