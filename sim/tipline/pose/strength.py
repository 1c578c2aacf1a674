"""What forks, carriage and mast of a set-up carry by their makers."""

from __future__ import annotations

from tipline.kernels import layout as at
from tipline.model.structure import structural_loads
from tipline.statics.truck import Truck

__all__ = ["gross_loads", "load_centre"]


def load_centre(truck: Truck) -> float:
    """Return how far the load's centre lies ahead of the fork face [m]."""
    load = truck.build.centre[at.CARRIAGE, 0] + truck.plant.link[at.L_HX]
    return float(load) - truck.assembly.points.fork_face_x


def gross_loads(truck: Truck) -> dict[str, float]:
    """Return the gross load [kg] that forks, carriage and mast carry by their makers in this set-up."""
    load, centre = truck.case.load, load_centre(truck)
    if load is None or centre <= 0.0:
        return {}
    aside = 0.0 if truck.hung else load.centre_offset[1]
    held = structural_loads(truck.case.machine, truck.case.scenario.setup.attachment, centre, aside)
    return {name: float(most) for name, most in held.items()}
