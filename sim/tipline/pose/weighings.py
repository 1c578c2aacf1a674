"""What scales have said of the truck, against what its file makes it weigh in the same set-up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import asin, atan2, cos, hypot, sin, tan

import numpy as np
from numpy.typing import NDArray

from tipline.geometry.assembly import assemble
from tipline.mechanics.statics import steer_axle_share
from tipline.model.machine import Machine, Weighing
from tipline.scenario.spec import Setup
from tipline.units import show

__all__ = ["Weighed", "parts_as_weighed", "readings_of", "setup_words", "share_read", "weighed"]

Array = NDArray[np.float64]

SHARE, LEAST = 0.02, 150.0
"""Scales and file agree where they differ by no more than this part of the reading or this mass [kg], whichever is
more: a driver, fuel and tools (our choice)."""
_LOWERED = 0.1
"""Fork height at which a truck is taken to be weighed [m]; the mast upright, so it moves no weight ahead (our choice:
just clear of the floor)."""


@dataclass(frozen=True)
class Weighed:
    """One weighing: ``reading`` and the file's ``own`` weight [kg] of ``drive axle``, ``steer axle``, ``total``.

    Only what was read, and what can be compared, stands in both. ``setup``: in words. ``note``: what was taken for it.
    """

    setup: str
    reading: Mapping[str, float]
    own: Mapping[str, float]
    note: str = ""

    @property
    def misfit(self) -> dict[str, float]:
        """What the file has more than the scales [kg], by axle and in all."""
        return {name: self.own[name] - read for name, read in self.reading.items()}

    @property
    def disagrees(self) -> bool:
        """Whether one of them is more than a driver, fuel and tools can make."""
        return any(abs(by) > max(SHARE * self.reading[name], LEAST) for name, by in self.misfit.items())


def weighed(machine: Machine) -> tuple[Weighed, ...]:
    """Compare every weighing of a machine file, the worst first, with the file's own masses and centres."""
    comparisons = [_compared(machine, weighing) for weighing in machine.weighings]
    return tuple(sorted(comparisons, key=lambda comparison: -max(abs(by) for by in comparison.misfit.values())))


def parts_as_weighed(machine: Machine, weighing: Weighing) -> tuple[Array, Array]:
    """Return mass (n,) [kg] and centre (n, 3) [m] of the parts in the set-up of a weighing, its lifted load the last.

    Forks lowered; a jib at its shortest pin; a load whose centre is not stated at the fork face.
    """
    reach = machine.jib.reach_pins[0] if machine.jib is not None and weighing.attachment == "jib" else None
    setup = Setup(
        counterweight_extension=weighing.extension or 0.0,
        ballast_slabs=weighing.slabs or 0,
        attachment=weighing.attachment,
        fork_height=_LOWERED,
        jib_reach=reach,
    )
    built = assemble(machine, setup)
    mass, centre = built.mass[built.mass > 0.0], built.centre[built.mass > 0.0]
    if weighing.lifted_load is not None:
        mass = np.append(mass, weighing.lifted_load)
        ahead = machine.carriage.face + (weighing.load_centre or 0.0)
        centre = np.vstack([centre, (ahead, 0.0, _LOWERED)])
    return mass, centre


def _compared(machine: Machine, weighing: Weighing) -> Weighed:
    mass, centre = parts_as_weighed(machine, weighing)
    jib = machine.jib if weighing.attachment == "jib" else None
    notes = [] if jib is None else [f"the jib is taken at its shortest pin, {show(jib.reach_pins[0], 'length')}"]
    by_axle = weighing.lifted_load is None or weighing.load_centre is not None
    if not by_axle:
        notes.append("axle by axle it cannot be compared: its load_centre is not stated")
    total = float(mass.sum())
    steer = total * share_read(machine, weighing, mass, centre)
    own = {"drive axle": total - steer, "steer axle": steer, "total": total}
    reading = _reading(machine, weighing, by_axle=by_axle)
    return Weighed(setup_words(weighing), reading, {name: own[name] for name in reading}, "; ".join(notes))


def share_read(machine: Machine, weighing: Weighing, mass: Array, centre: Array) -> float:
    """Return the share of the weight that scales read under the steer axle, of parts (n,) [kg] at centres (n, 3) [m].

    On a slope they lie on it and read what presses on them; under a raised axle they stand level.
    """
    x, z, wheelbase = centre[:, 0], centre[:, 2], machine.wheelbase
    if weighing.steer_axle_raised:
        front, rear = machine.drive_axle.tyre[0].diameter / 2, machine.steer_axle.tyre[0].diameter / 2
        rise = atan2(rear - front, wheelbase)
        turn = asin((weighing.steer_axle_raised + rear - front) / hypot(wheelbase, rear - front)) - rise
        x = x * cos(turn) + (z - front) * sin(turn)
        wheelbase = wheelbase * cos(turn) - (rear - front) * sin(turn)
    if weighing.slope:
        x = x + tan(weighing.slope) * z
    return float(steer_axle_share(mass, np.column_stack((x, 0.0 * x, z)), wheelbase))


def readings_of(machine: Machine, weighing: Weighing) -> dict[str, float]:
    """Return what was read [kg] of ``drive axle`` and ``steer axle``, tyres of an axle added up, and in ``total``."""
    read = {"drive axle": weighing.drive_axle, "steer axle": weighing.steer_axle, "total": weighing.total}
    for name, axle in (("drive axle", machine.drive_axle), ("steer axle", machine.steer_axle)):
        own = [reading.load for reading in weighing.tyre if reading.name in {tyre.name for tyre in axle.tyre}]
        if read[name] is None and own:
            read[name] = sum(own)
    return {name: value for name, value in read.items() if value is not None}


def _reading(machine: Machine, weighing: Weighing, *, by_axle: bool) -> dict[str, float]:
    read = readings_of(machine, weighing)
    if "total" not in read and "drive axle" in read and "steer axle" in read:
        read["total"] = read["drive axle"] + read["steer axle"]
    return {name: value for name, value in read.items() if by_axle or name == "total"}


def setup_words(weighing: Weighing) -> str:
    """Say in which set-up the truck was weighed."""
    out = (
        "counterweight at home" if not weighing.extension else f"counterweight {show(weighing.extension, 'length')} out"
    )
    out += " (not told)" if weighing.extension is None else ""
    slabs = f"{weighing.slabs or 'no'} ballast slab{'' if weighing.slabs == 1 else 's'}"
    slabs += " (not told)" if weighing.slabs is None else ""
    on = {"none": "nothing attached", "forks": "forks", "jib": "jib"}[weighing.attachment]
    load = "" if weighing.lifted_load is None else f", {show(weighing.lifted_load, 'mass')} lifted"
    if weighing.steer_axle_raised:
        load += f", steer axle {show(weighing.steer_axle_raised, 'length')} up"
    if weighing.slope:
        load += f", floor falling {'ahead' if weighing.slope > 0.0 else 'behind'} {show(abs(weighing.slope), 'slope')}"
    return f"{weighing.note}: {out}, {slabs}, {on}{load}".removeprefix(": ")
