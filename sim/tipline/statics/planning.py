"""Planning choices of ours, and what a scenario itself says about limits: the capacity plate and the stops it plans."""

from __future__ import annotations

from operator import attrgetter
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tipline.kernels import layout as at
from tipline.model.load import LiftedLoad
from tipline.model.machine import CapacityPlate, Machine
from tipline.scenario.checks import fork_height, hook_height
from tipline.scenario.commanded import Inputs
from tipline.scenario.spec import DriveEvent, PedalLift, Scenario, ServiceStop
from tipline.units import show

if TYPE_CHECKING:
    from tipline.statics.truck import Truck

__all__ = [
    "FLOOR_LEVEL",
    "PLANNING_SHARE",
    "covers",
    "deceleration_word",
    "governs",
    "plate_row",
    "states",
    "stops_planned",
]

PLANNING_SHARE = 0.75
"""Share of each level distance that slope and stop together may take (our choice, not a standard: a quarter is
kept back)."""
FLOOR_LEVEL = 0.01
"""Floor slope [rad] that the limits allow for (our choice, not a standard: a fall that is not seen)."""
_SLACK, _NEAR = 1e-6, 1e-3
"""Lengths [m] no farther apart are one: of settings, and of what is worked out (numerical)."""


def plate_row(inputs: Inputs, truck: Truck) -> CapacityPlate | None:
    """Return the row of the plate with the greatest load of those that cover the set-up; None: no row, or no load.

    A row covers a set-up with the same attachment, no greater load centre or height, and no less extension or slabs.
    """
    setup, machine = inputs.scenario.setup, inputs.machine
    if truck.load_mass == 0.0:
        return None
    centre = float(truck.build.centre[at.CARRIAGE, 0] + truck.plant.link[at.L_HX]) - truck.assembly.points.fork_face_x
    hook = hook_height(setup, machine)
    height = fork_height(setup, machine) if hook is None else hook
    on = setup.counterweight_extension, setup.ballast_slabs
    rows = (
        row
        for row in machine.capacity_plate
        if row.attachment == setup.attachment and bool(covers(row, centre, height, *on))
    )
    return max(rows, key=attrgetter("load"), default=None)


def covers(
    row: CapacityPlate, centre: ArrayLike, height: ArrayLike, extension: ArrayLike, slabs: ArrayLike
) -> NDArray[np.bool_]:
    """Say of set-ups with the attachment of a plate's row, numbers or arrays (n,), which of them the row covers.

    centre, height, extension : [m]; slabs : [1]; back come flags (n,)
    """
    held = np.asarray(centre) <= row.load_centre + _NEAR
    if row.height is not None:
        held = held & (np.asarray(height) <= row.height + _NEAR)
    if row.extension is not None:
        held = held & (np.asarray(extension) >= row.extension - _SLACK)
    if row.slabs is not None:
        held = held & (np.asarray(slabs) >= row.slabs)
    return np.asarray(held)


def states(row: CapacityPlate, extension: ArrayLike, slabs: ArrayLike) -> NDArray[np.bool_]:
    """Say of extensions [m] and slabs [1], numbers or arrays (n,), which a plate's row states (flags)."""
    flags = np.ones(np.broadcast(extension, slabs).shape, dtype=np.bool_)
    if row.extension is not None:
        flags &= np.abs(np.asarray(extension) - row.extension) <= _SLACK
    if row.slabs is not None:
        flags &= np.asarray(slabs) == row.slabs
    return flags


def governs(load: LiftedLoad | None, machine: Machine, plate: CapacityPlate | None) -> tuple[str, ...]:
    """Say what governs over this estimate."""
    if not machine.capacity_plate:
        first = "the maker's capacity plate (not given here) and manual"
    elif load is None:
        first = "the maker's capacity plate and manual"
    elif plate is None:
        first = "the maker's capacity plate, which has no row for this set-up, and manual"
    else:
        note = f" ({plate.note})" if plate.note else ""
        first = f"the maker's capacity plate, {show(plate.load, 'mass')} for this set-up{note}, and manual"
    return first, "local codes and the rules of the site", "a qualified engineer"


def stops_planned(machine: Machine, scenario: Scenario) -> list[tuple[str, float]]:
    """Return name and deceleration [m/s2] of every stop that the scenario plans."""
    drive, stops = machine.drive, []
    for event in scenario.event:
        if isinstance(event, ServiceStop):
            stops.append(("the service stop", event.deceleration or drive.service_deceleration))
        elif isinstance(event, PedalLift):
            stops.append(("the pedal lift", event.deceleration or drive.pedal_lift_deceleration))
        elif isinstance(event, DriveEvent) and event.speed == 0.0:
            stops.append(("the stop", event.acceleration or drive.acceleration))
    return stops


def deceleration_word(*, swung: bool) -> str:
    """Say which deceleration a limit is: two words for two things, the same wherever they stand.

    Steady: it lasts, and a hung load hangs aslant in it. With the load's swing: it lasts as well, and the load is at
    the far end of its swing, at about twice that angle. A stop from the truck's own speed may end before it tips.
    """
    return "deceleration with the load's swing" if swung else "steady deceleration"
