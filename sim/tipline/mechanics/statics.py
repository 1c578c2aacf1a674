"""Share of the weight on the steer axle of a truck taken as a rigid body, and the load moment of a capacity plate.

Frame of every function: x forward, y left, z up; origin on the floor under the middle of the drive axle.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from tipline.mechanics._ranges import FloatArray, not_negative, parts, positive

__all__ = ["allowable_load", "load_moment", "steer_axle_share"]


def steer_axle_share(mass: npt.ArrayLike, centre: npt.ArrayLike, wheelbase: npt.ArrayLike) -> FloatArray:
    """Share of the weight that stands on the steer axle, on a level floor at rest, of one truck or of many.

    Parameters
    ----------
    mass : array_like, shape (..., n)
        Mass of each part, lifted load included [kg].
    centre : array_like, shape (..., n, 3)
        Centre of mass of each part [m].
    wheelbase : array_like, shape (...)
        Distance between the axles [m].

    Returns
    -------
    ndarray, shape (...)
        Share of the weight [1]: below 0 the truck tips forward, above 1 backward.

    Raises
    ------
    ValueError
        If shapes do not fit or the wheelbase is not greater than 0.

    Notes
    -----
    s = -sum(m x) / (L sum m). Source: [WickertLewis2013]
    """
    m, r = parts(mass, centre)
    length = np.asarray(wheelbase, dtype=np.float64)
    positive("wheelbase", float(length.min()), "m")
    return np.asarray(-(m * r[..., 0]).sum(axis=-1) / (length * m.sum(axis=-1)))


def load_moment(load: float, load_centre: float) -> float:
    """Load moment as a capacity plate states it.

    Parameters
    ----------
    load : float
        Weight of the load [N].
    load_centre : float
        Distance from the fork face to the load's centre of gravity [m].

    Returns
    -------
    float
        Load moment [N m].

    Raises
    ------
    ValueError
        If a number is negative or not finite.

    Notes
    -----
    M = P c. Source: [OSHA1910.178A]
    """
    return not_negative("load", load, "N") * not_negative("load centre", load_centre, "m")


def allowable_load(allowed_moment: float, load_centre: float) -> float:
    """Heaviest load of equal load moment at another load centre.

    Parameters
    ----------
    allowed_moment : float
        Load moment allowed by the capacity plate [N m].
    load_centre : float
        Distance from the fork face to the load's centre of gravity, not shorter than the plate's own [m].

    Returns
    -------
    float
        Weight of the load [N].

    Raises
    ------
    ValueError
        If a number is negative, 0 where it divides, or not finite.

    Notes
    -----
    P = M / c. An upper value for a longer load centre without a change of attachment; strength is not looked at.
    Source: [OSHA1910.178A]
    """
    return not_negative("load moment", allowed_moment, "N m") / positive("load centre", load_centre, "m")
