"""Twin tyres on a slab as one circle."""

from __future__ import annotations

import math

from tipline.mechanics._ranges import below, positive

__all__ = ["twin_radius"]

_SHAPE = 0.5227
"""Area of a patch over its length squared."""


def twin_radius(load: float, pressure: float, spacing: float) -> float:
    """Radius of one circle that stands for a pair of twin tyres close together, on a slab.

    Parameters
    ----------
    load : float
        Load on one tyre of the pair [N].
    pressure : float
        Mean contact pressure [Pa].
    spacing : float
        Between the middles of the two [m].

    Returns
    -------
    float
        sqrt(0.8521 P / (q pi) + S / pi sqrt(P / (0.5227 q))) [m]; carries both loads.

    Raises
    ------
    ValueError
        If a number is not above 0, or the twins overlap, or stand more than three patch lengths apart (then take two).

    Source: [HuangPavement] (from memory)
    """
    P, q, S = positive("load", load, "N"), positive("pressure", pressure, "Pa"), positive("spacing", spacing, "m")
    length = math.sqrt(P / (_SHAPE * q))
    below("spacing", S, 3.0 * length, "m", "three patch lengths; take two patches")
    apart = 0.6 * length
    if apart > S:
        msg = f"spacing = {S:.6g} m: must be {apart:.6g} m or more; the twins would overlap"
        raise ValueError(msg)
    return math.sqrt(0.8521 * P / (q * math.pi) + S / math.pi * length)
