"""The two poses of a set-up at rest: with the play of its mast taken to the left, and to the right."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, sin

import numpy as np
from numpy.typing import NDArray

from tipline.kernels import layout as at
from tipline.statics.truck import Pose, Truck

__all__ = ["Leans", "both_leans", "lean_towards", "nearest_line"]

Array = NDArray[np.float64]
Leans = tuple[Pose, Pose]


def both_leans(truck: Truck, pull: Array, near: Sequence[Pose] = ()) -> Leans:
    """Solve under gravity ``pull`` (3,) [m/s2] with the mast's play taken to the left, and to the right.

    From the poses of a truck that is ``near``, its play to the left and to the right, it is quicker.
    """
    if near:
        truck.rest_near(pull, near)
    left = truck.rest(pull, 1.0, strict=True)
    if truck.plant.mast[at.M_PX] == 0.0:
        return left, left
    return left, truck.rest(pull, -1.0, strict=True)


def nearest_line(pose: Pose) -> float:
    """Return the least distance to a line [m], rounded: of two leans that are mirrored the first one is shown."""
    return round(min(pose.distances.values()), 9) if pose.stands else -inf


def lean_towards(leans: Leans, azimuth: float) -> Pose:
    """Return the pose that leans to the side to which the floor falls at ``azimuth`` [rad], or else the worse one."""
    if abs(sin(azimuth)) < 1e-6:
        return min(leans, key=nearest_line)
    return leans[0] if sin(azimuth) > 0.0 else leans[1]
