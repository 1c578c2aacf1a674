"""A tyre at the free corner of a slab on the ground, by the closed formulas of the literature."""

from __future__ import annotations

import math
from typing import Literal

from tipline.mechanics._ranges import below, not_negative, positive
from tipline.mechanics.slab import GroundSlab, SlabAnswer, relative_stiffness_radius

__all__ = ["corner"]


def corner(slab: GroundSlab, load: float, radius: float, form: Literal["1926", "1985"] = "1985") -> SlabAnswer:
    """Stress and deflection at a free corner, the loaded circle touching both edges.

    Parameters
    ----------
    slab : Slab
        [m, Pa, 1, N/m3]
    load : float
        Tyre load [N].
    radius : float
        Radius of the loaded circle [m], below l.
    form : str
        "1926" Westergaard, "1985" Ioannides; finite elements agree with the later deflection [1].

    Returns
    -------
    SlabAnswer
        Tension at the top, some way in on the bisector [Pa], deflection of the corner [m].

    Raises
    ------
    ValueError
        If the load is negative, the radius not above 0, or l or more, the form not known, or the patch so wide that
        the formula gives no tension.

    Notes
    -----
    1926: 3 P / h^2 (1 - (a sqrt2 / l)^0.6), P / (k l^2) (1.1 - 0.88 a sqrt2 / l).
    1985: 3 P / h^2 (1 - (c / l)^0.72), P / (k l^2) (1.205 - 0.69 c / l), c = 1.772 a (side of the square of that area).
    Source: [Westergaard1926] (from memory), [Ioannides1985]
    """
    P, a = not_negative("load", load, "N"), positive("radius", radius, "m")
    ell = relative_stiffness_radius(slab)
    below("radius", a, ell, "m", "the slab's radius of relative stiffness")
    h, k = slab.thickness, slab.subgrade
    if form not in ("1926", "1985"):
        msg = f"form = {form!r}: must be 1926 or 1985"
        raise ValueError(msg)
    if form == "1926":
        reach = a * math.sqrt(2.0) / ell
        shape, patch = 1.0 - reach**0.6, 1.1 - 0.88 * reach
    else:
        reach = 1.772 * a / ell
        shape, patch = 1.0 - reach**0.72, 1.205 - 0.69 * reach
    below("reach of the patch over l", reach, 1.0, "", "the patch covers the corner's lever arm; use finite elements")
    return SlabAnswer(3.0 * P / h**2 * shape, P / (k * ell**2) * patch, ())
