"""What each tyre puts on the floor: at rest, and at most in the stops that the truck or the scenario allows for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import sqrt
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.geometry.plant import hub_height
from tipline.kernels import layout as at
from tipline.kernels.tyre import whole_strip
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.mechanics.resistance import turn_pull
from tipline.statics.planning import stops_planned
from tipline.statics.truck import Pose, Truck, truck_of
from tipline.units import KM_PER_HOUR

if TYPE_CHECKING:
    from tipline.model.machine import Machine, Tyre
    from tipline.model.plane import Point
    from tipline.scenario import Case

__all__ = ["Loading", "Turning", "lifted_by", "loading", "places_of", "stepped_areas", "tyres_of", "unladen"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Loading:
    """Tyre loads [N] of a set-up by tyre: at rest, and the greatest with what makes it so; ``why`` where none.

    ``turns``: the greatest in a turn to the left (1) and to the right (-1), with ``turns_from``; none straight on.
    """

    setup: str
    static: Mapping[str, float] = field(default_factory=dict)
    peak: Mapping[str, float] = field(default_factory=dict)
    peak_from: str = "at rest"
    why: str = ""
    braking: float = 0.0
    moving: bool = False
    turns: Mapping[float, Mapping[str, float]] = field(default_factory=dict)
    turns_from: str = ""

    @property
    def stands(self) -> bool:
        """Whether there are loads to ask with."""
        return bool(self.static)

    def at(self, turn: float) -> Mapping[str, float]:
        """Return the greatest loads straight on or in a turn, as `route.Standing` has it."""
        return self.turns.get(turn, self.peak)

    @property
    def greatest(self) -> Mapping[str, float]:
        """Each tyre's greatest load, straight on and in turns."""
        return {name: max(load, *(turn[name] for turn in self.turns.values())) if self.turns else load
                for name, load in self.peak.items()}  # fmt: skip

    @property
    def greatest_from(self) -> str:
        """What makes the greatest loads so."""
        return "; ".join(part for part in (self.peak_from, self.turns_from) if part)


def tyres_of(machine: Machine) -> dict[str, Tyre]:
    """Return the tyres by name, drive axle first."""
    return {tyre.name: tyre for tyre in (*machine.drive_axle.tyre, *machine.steer_axle.tyre)}


def places_of(machine: Machine) -> dict[str, Point]:
    """Return where each tyre stands in the truck frame."""
    drive = {tyre.name: (0.0, tyre.across) for tyre in machine.drive_axle.tyre}
    return drive | {tyre.name: (-machine.wheelbase, tyre.across) for tyre in machine.steer_axle.tyre}


def loading(
    case: Case, setup: str, moving: bool, laden: bool = True, *, turning: Turning | None = None, compiled: bool = False
) -> Loading:
    """Find the tyre loads of a case's set-up, with the lifted load or without.

    ``moving``: the peak is the greatest over stops of the drive's service deceleration and pedal lift, both ways, as
    steady deceleration; else only stops that the scenario plans count. ``turning``: also with what turns of a speed and
    radius add sideways, alone and in the hardest stop. ``compiled``: as `Truck.solve`.
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
    stops = stops_planned(case.machine, case.scenario)
    if moving:
        stops = [
            ("a service stop", drive.service_deceleration),
            ("a pedal lift", drive.pedal_lift_deceleration),
            *stops,
        ]
    hardest = max(stops, key=lambda stop: stop[1], default=("", 0.0))
    stop = [] if hardest[1] == 0.0 else [hardest[1], -hardest[1]]
    peak, source = _greatest(truck, poses, static, [(along, 0.0) for along in stop], compiled=compiled)
    if stop:
        source = f"{hardest[0]} at {hardest[1]:.2g} m/s2, as a steady deceleration{source}"
    names = truck.build.tyres
    turns, turned = {}, ""
    if turning is not None and turning.outward > 0.0:
        for sense in (1.0, -1.0):
            accelerations = [(along, sense * turning.outward) for along in (0.0, *stop)]
            loads, turned = _greatest(truck, poses, peak, accelerations, compiled=compiled)
            turns[sense] = dict(zip(names, loads.tolist(), strict=True))
        turned = f"{turning.told}{turned}"
    return Loading(
        setup,
        dict(zip(names, static.tolist(), strict=True)),
        dict(zip(names, peak.tolist(), strict=True)),
        source or "at rest",
        braking=hardest[1] / G,
        moving=moving or hardest[1] > 0.0,
        turns=turns,
        turns_from=turned,
    )


@dataclass(frozen=True)
class Turning:
    """A turn driven at a speed [m/s] on a radius [m]."""

    speed: float
    radius: float

    @property
    def outward(self) -> float:
        """What pushes outward in it [m/s2]; on the spot nothing."""
        return turn_pull(self.speed, self.radius) if self.radius > 0.0 else 0.0

    @property
    def told(self) -> str:
        """The turn in words."""
        where = f"turns at {self.speed / KM_PER_HOUR:.2g} km/h on a radius of {self.radius:.3g} m"
        return f"in {where} {self.outward:.2g} m/s2 outward"


def stepped_areas(case: Case, loads: Mapping[str, float]) -> dict[str, float]:
    """Return the area [m2] of the patch that the simulation steps under each tyre at a load [N], as its kernels do."""
    areas = {}
    for name, row in _rows(case).items():
        if name in loads:
            areas[name] = (
                2.0
                * float(row[at.T_W])
                * sqrt(2.0 * float(row[at.T_R]) * (float(row[at.T_R]) - hub_height(row, loads[name])))
            )
    return areas


def lifted_by(case: Case, tyre: str, load: float, height: float) -> float:
    """Return what a tyre's load [N] grows by when it is pressed further by a height [m], the truck where it was."""
    row = _rows(case)[tyre]
    return at.STRIPS * float(whole_strip(row, hub_height(row, load) - height)[0]) - load


def _rows(case: Case) -> dict[str, Array]:
    truck = truck_of(case)
    return dict(zip(truck.build.tyres, truck.plant.tyre, strict=True))


def unladen(truck: Truck) -> Truck:
    """Return the truck with next to nothing lifted."""
    return truck.with_load(1e-6 * truck.load_mass)


def _leans(truck: Truck) -> tuple[float, ...]:
    return (1.0,) if truck.plant.mast[at.M_PX] == 0.0 else (1.0, -1.0)


def _greatest(
    truck: Truck, poses: list[Pose], static: Array, accelerations: Sequence[tuple[float, float]], *, compiled: bool
) -> tuple[Array, str]:
    """Take the greatest loads over steady accelerations felt ahead and to the right [m/s2]; say where it tips.

    Where it does not stand, one axle, or the tyres of one side, are taken to carry everything.
    """
    across = places_of(truck.case.machine)
    braked = truck.plant.tyre[:, at.T_BRAKED] > 0.0
    right = np.array([across[name][1] < 0.0 for name in truck.build.tyres])
    ahead = truck.ahead()
    aside = np.array([ahead[1], -ahead[0], 0.0])
    peak, tips = static, []
    for along, outward in accelerations:
        for pose in poses:
            leaning = truck.solve(pose.gravity + along * ahead + outward * aside, pose, compiled=compiled)
            loads = leaning.loads
            if not leaning.stands:
                over = abs(along) >= abs(outward)
                bearing = (braked if along > 0.0 else ~braked) if over else (right if outward > 0.0 else ~right)
                loads = np.where(bearing, static, 0.0) * static.sum() / static[bearing].sum()
                tips.append(("forward" if along > 0.0 else "in reverse") if over else "in a turn")
            peak = np.maximum(peak, loads)
    if not tips:
        return peak, ""
    ways = " and ".join(dict.fromkeys(tips))
    return peak, f"; {ways} it does not stand then, and one axle or side is taken to carry everything"
