"""What is left of what holds a load on the forks in a pose: friction, and the base it stands on.

Source: [TextbookMechanics] (friction and moments of a body at rest)
"""

from __future__ import annotations

from math import cos, sin

from tipline.geometry.setting import load_base
from tipline.kernels import layout as at
from tipline.kernels.on_forks import spare
from tipline.statics.truck import Pose, Truck

__all__ = ["SLIPS", "TOPPLES", "left_on_forks"]

SLIPS = "the load slips on the forks"
TOPPLES = "the load topples on the forks"


def left_on_forks(truck: Truck, pose: Pose) -> dict[str, float]:
    """Return what is left of a load's friction [1] and of its base [m] on the forks, below 0 = it goes; of none, none.

    The pull of the pose counts: gravity and what brakes or turns the truck, in which the load takes part.
    """
    case = truck.case
    if case.load is None or truck.hung:
        return {}
    tilt, load = case.scenario.setup.tilt, case.load
    x, y, z = (-pose.rot[at.CARRIAGE].T @ pose.gravity).tolist()
    slips, topples, _ = spare(
        x, y, z, cos(tilt), sin(tilt), load.friction_on_forks, load.height_of_centre, *load_base(load, case.machine)
    )
    return {SLIPS: slips, TOPPLES: topples}
