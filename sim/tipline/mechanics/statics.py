"""Share of the weight on the steer axle of a truck taken as a rigid body.

Frame of every function: x forward, y left, z up; origin on the floor under the middle of the drive axle.
"""

from __future__ import annotations

import numpy.typing as npt

from tipline.mechanics._ranges import parts, positive

__all__ = [
    "steer_axle_share",
]


def steer_axle_share(mass: npt.ArrayLike, centre: npt.ArrayLike, wheelbase: float) -> float:
    """Share of the weight that stands on the steer axle, on a level floor at rest.

    Parameters
    ----------
    mass : array_like, shape (n,)
        Mass of each part, lifted load included [kg].
    centre : array_like, shape (n, 3)
        Centre of mass of each part [m].
    wheelbase : float
        Distance between the axles [m].

    Returns
    -------
    float
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
    return float(-(m @ r[:, 0]) / (positive("wheelbase", wheelbase, "m") * m.sum()))
