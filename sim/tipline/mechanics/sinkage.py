"""The contact of a wheel that has sunk into the ground."""

from __future__ import annotations

import math
from typing import NamedTuple

from tipline.mechanics._ranges import not_negative, positive, within

__all__ = [
    "SunkPatch",
    "sunk_patch",
]


class SunkPatch(NamedTuple):
    """Contact of a wheel that has sunk, seen from above: length [m], mean depth of its base below the surface [m]."""

    length: float
    depth: float


def sunk_patch(length: float, radius: float, sinking: float, ends: int = 2) -> SunkPatch:
    """Contact of a wheel with the ground it has sunk into: the tread's arc comes to bear beyond the flat patch.

    Parameters
    ----------
    length : float
        Length of the flat patch [m], less than the wheel's diameter.
    radius : float
        Of the wheel [m].
    sinking : float
        Depth of the flat part below the surface [m]; past the hub's level the contact grows no more.
    ends : int
        At how many ends the arc bears [1]: 2 standing, pressed straight down; 1 rolling, with the rut behind it open.

    Returns
    -------
    SunkPatch
        [m, m]

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    Half the chord is sqrt(c^2 + z (2 h - z)), c half the flat patch, h = sqrt(R^2 - c^2); the arc is taken as a
    parabola, two thirds of the sinking deep on the mean. Own geometry; not compared with tests on tyres. Source: [Own]
    """
    R = positive("radius", radius, "m")
    half = 0.5 * within("length", positive("length", length, "m"), 0.0, 2.0 * R, "m", "no more than the diameter")
    z = not_negative("sinking", sinking, "m")
    if ends not in (0, 1, 2):
        msg = f"ends = {ends!r}: must be 0, 1 or 2"
        raise ValueError(msg)
    hub = math.sqrt(R * R - half * half)
    down = min(z, hub)
    more = ends * (math.sqrt(half * half + down * (2.0 * hub - down)) - half)
    whole = 2.0 * half + more
    return SunkPatch(whole, z * (2.0 * half + 2.0 / 3.0 * more) / whole)
