"""What scales have said of the truck, against what its file makes it weigh in the same set-up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from tipline.geometry.assembly import assemble
from tipline.mechanics.statics import steer_axle_share
from tipline.model.machine import Machine, Weighing
from tipline.scenario.spec import Setup
from tipline.units import show

__all__ = ["Weighed", "weighed"]

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


def _compared(machine: Machine, weighing: Weighing) -> Weighed:
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
    notes = [] if reach is None else [f"the jib is taken at its shortest pin, {show(reach, 'length')}"]
    by_axle = True
    if weighing.lifted_load is not None:
        mass = np.append(mass, weighing.lifted_load)
        by_axle = weighing.load_centre is not None
        ahead = machine.carriage.face + (weighing.load_centre or 0.0)
        centre = np.vstack([centre, (ahead, 0.0, _LOWERED)])
    if not by_axle:
        notes.append("axle by axle it cannot be compared: its load_centre is not stated")
    total = float(mass.sum())
    steer = total * float(steer_axle_share(mass, centre, machine.wheelbase))
    own = {"drive axle": total - steer, "steer axle": steer, "total": total}
    reading = _reading(weighing, by_axle=by_axle)
    return Weighed(_words(weighing), reading, {name: own[name] for name in reading}, "; ".join(notes))


def _reading(weighing: Weighing, *, by_axle: bool) -> dict[str, float]:
    total = weighing.total
    if total is None and weighing.drive_axle is not None and weighing.steer_axle is not None:
        total = weighing.drive_axle + weighing.steer_axle
    read = {"drive axle": weighing.drive_axle, "steer axle": weighing.steer_axle} if by_axle else {}
    return {name: value for name, value in {**read, "total": total}.items() if value is not None}


def _words(weighing: Weighing) -> str:
    out = (
        "counterweight at home" if not weighing.extension else f"counterweight {show(weighing.extension, 'length')} out"
    )
    out += " (not told)" if weighing.extension is None else ""
    slabs = f"{weighing.slabs or 'no'} ballast slab{'' if weighing.slabs == 1 else 's'}"
    slabs += " (not told)" if weighing.slabs is None else ""
    on = {"none": "nothing attached", "forks": "forks", "jib": "jib"}[weighing.attachment]
    load = "" if weighing.lifted_load is None else f", {show(weighing.lifted_load, 'mass')} lifted"
    return f"{weighing.note}: {out}, {slabs}, {on}{load}".removeprefix(": ")
