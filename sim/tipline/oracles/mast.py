"""A beam that hangs over its upper support: a mast of one stage, held at its tilt axis and its cylinders."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tipline.mechanics._ranges import positive

__all__ = ["overhanging_beam"]


def overhanging_beam(span: float, overhang: float, bending_stiffness: float) -> NDArray[np.float64]:
    """How far the end of a beam moves and turns that lies on two supports and hangs over one of them.

    Parameters
    ----------
    span : float
        Between the supports [m].
    overhang : float
        From the second support to the end [m].
    bending_stiffness : float
        E I [N m2].

    Returns
    -------
    ndarray, shape (2, 2)
        Deflection [m] and slope [rad] of the end (rows) for 1 N across and 1 N m at the end (columns).

    Raises
    ------
    ValueError
        If a number is not above 0.

    Notes
    -----
    c^2 (L + c) / (3 E I), c (2 L + 3 c) / (6 E I), (L + 3 c) / (3 E I). Small deflections. Source: [BeamTables]
    """
    L, c = positive("span", span, "m"), positive("overhang", overhang, "m")
    ei = positive("bending stiffness", bending_stiffness, "N m2")
    both = c * (2.0 * L + 3.0 * c) / 6.0
    return np.array([[c**2 * (L + c) / 3.0, both], [both, (L + 3.0 * c) / 3.0]]) / ei
