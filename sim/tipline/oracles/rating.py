"""Rated load with an attachment, from a test slope.

Frame: x forward, y left, z up; origin on the floor under the middle of the drive axle, which is the front tip line.
"""

from __future__ import annotations

import numpy.typing as npt

from tipline.mechanics._ranges import not_negative, parts
from tipline.mechanics.rating import load_by_slope_test

__all__ = ["residual_load"]


def residual_load(
    mass: npt.ArrayLike,
    centre: npt.ArrayLike,
    attachment: float,
    attachment_x: float,
    attachment_z: float,
    load_x: float,
    load_z: float,
    slope: float,
) -> float:
    """Load left at a slope test once an attachment hangs on the carriage.

    Parameters
    ----------
    mass : array_like, shape (n,)
        Mass of each part without attachment and load [kg].
    centre : array_like, shape (n, 3)
        Centre of mass of each part [m].
    attachment : float
        Mass of the attachment [kg].
    attachment_x, attachment_z : float
        Its centre of gravity [m].
    load_x, load_z : float
        Load's centre of gravity with the attachment on [m].
    slope : float
        Tangent of the slope that falls ahead [1].

    Returns
    -------
    float
        Mass of the load [kg].

    Raises
    ------
    ValueError
        If nothing is left, or a number is out of range.

    Notes
    -----
    As load_by_slope_test with the attachment as one more part. Source: [Own]
    """
    m, r = parts(mass, centre)
    all_mass = [*m.tolist(), not_negative("attachment", attachment, "kg")]
    return float(load_by_slope_test(all_mass, [*r.tolist(), [attachment_x, 0.0, attachment_z]], load_x, load_z, slope))
