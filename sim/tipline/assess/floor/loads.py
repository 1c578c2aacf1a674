"""What each tyre puts on the floor: at rest, and at most in the stops that the truck or the scenario allows for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import sqrt
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.assess.planning import stops_planned
from tipline.assess.statics import Pose, Truck, truck_of
from tipline.geometry.plant import G
from tipline.kernels import layout as at
from tipline.kernels.tyre import whole_strip

if TYPE_CHECKING:
    from tipline.model.machine import Machine, Tyre
    from tipline.model.plane import Point
    from tipline.scenario import Case

__all__ = ["Loading", "loading", "places_of", "stepped_areas", "tyres_of", "unladen"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Loading:
    """Tyre loads [N] of a set-up by tyre: at rest, and the greatest with what makes it so; ``why`` where none."""

    setup: str
    static: Mapping[str, float] = field(default_factory=dict)
    peak: Mapping[str, float] = field(default_factory=dict)
    peak_from: str = "at rest"
    why: str = ""
    braking: float = 0.0
    moving: bool = False

    @property
    def stands(self) -> bool:
        """Whether there are loads to ask with."""
        return bool(self.static)


def tyres_of(machine: Machine) -> dict[str, Tyre]:
    """Return the tyres by name, drive axle first."""
    return {tyre.name: tyre for tyre in (*machine.drive_axle.tyre, *machine.steer_axle.tyre)}


def places_of(machine: Machine) -> dict[str, Point]:
    """Return where each tyre stands in the truck frame."""
    drive = {tyre.name: (0.0, tyre.across) for tyre in machine.drive_axle.tyre}
    return drive | {tyre.name: (-machine.wheelbase, tyre.across) for tyre in machine.steer_axle.tyre}


def loading(case: Case, setup: str, moving: bool, laden: bool = True, *, compiled: bool = False) -> Loading:
    """Find the tyre loads of a case's set-up, with the lifted load or without.

    ``moving``: the peak is the greatest over stops of the drive's service deceleration and pedal lift, both ways, as
    steady deceleration; else only stops that the scenario plans count. ``compiled``: as `Truck.solve`.
    """
    whole = truck_of(case)
    if not laden and not whole.load_mass > 0.0:
        return Loading(setup, why="there is no lifted load, so this is the set-up as stated")
    truck = whole if laden else unladen(whole)
    pull = truck.gravity(*case.slope)
    poses = [truck.rest(pull, lean, compiled=compiled) for lean in _leans(truck)]
    if not all(pose.stands for pose in poses):
        return Loading(setup, why="it does not stand in this set-up, so there are no tyre loads")
    static = np.max([pose.loads for pose in poses], axis=0)
    drive = case.machine.drive
    stops = stops_planned(case)
    if moving:
        stops = [
            ("a service stop", drive.service_deceleration),
            ("a pedal lift", drive.pedal_lift_deceleration),
            *stops,
        ]
    hardest = max(stops, key=lambda stop: stop[1], default=("", 0.0))
    peak, told = static, "at rest"
    if hardest[1] > 0.0:
        peak, told = _stopping(truck, poses, static, hardest, compiled=compiled)
    names = truck.build.tyres
    return Loading(
        setup,
        dict(zip(names, static.tolist(), strict=True)),
        dict(zip(names, peak.tolist(), strict=True)),
        told,
        braking=hardest[1] / G,
        moving=moving or hardest[1] > 0.0,
    )


def stepped_areas(case: Case, loads: Mapping[str, float]) -> dict[str, float]:
    """Return the area [m2] of the patch that the simulation steps under each tyre at a load [N], as its kernels do."""
    truck, areas = truck_of(case), {}
    for name, row in zip(truck.build.tyres, truck.plant.tyre, strict=True):
        if name in loads:
            low, high = 0.0, 0.7 * float(row[at.T_R])
            for _ in range(40):
                middle = 0.5 * (low + high)
                force = at.STRIPS * whole_strip(row, float(row[at.T_R]) - middle)[0]
                low, high = (middle, high) if force < loads[name] else (low, middle)
            areas[name] = 2.0 * float(row[at.T_W]) * sqrt(2.0 * float(row[at.T_R]) * high)
    return areas


def unladen(truck: Truck) -> Truck:
    """Return the truck with next to nothing lifted."""
    return truck.with_load(1e-6 * truck.load_mass)


def _leans(truck: Truck) -> tuple[float, ...]:
    return (1.0,) if truck.plant.mast[at.M_PX] == 0.0 else (1.0, -1.0)


def _stopping(
    truck: Truck, poses: list[Pose], static: Array, stop: tuple[str, float], *, compiled: bool
) -> tuple[Array, str]:
    """Take the greatest loads over a steady deceleration, forward and in reverse."""
    name, value = stop
    braked = truck.plant.tyre[:, at.T_BRAKED] > 0.0
    peak, tips = static, []
    for sense, axle in ((1.0, braked), (-1.0, ~braked)):
        for pose in poses:
            found = truck.solve(pose.gravity + sense * value * truck.ahead(), pose, compiled=compiled)
            loads = found.loads
            if not found.stands:
                loads = np.where(axle, static, 0.0) * static.sum() / static[axle].sum()
                tips.append("forward" if sense > 0.0 else "in reverse")
            peak = np.maximum(peak, loads)
    told = f"{name} at {value:.2g} m/s2, as a steady deceleration"
    if tips:
        ways = " and ".join(dict.fromkeys(tips))
        told += f"; {ways} it does not stand then, and one axle is taken to carry everything"
    return peak, told
