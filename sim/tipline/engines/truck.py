"""The truck of a case packed for its runs, or taken from another case where it is the same.

Source: [Own] (what of one truck serves for the next)
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import sqrt
from typing import TYPE_CHECKING

import numpy as np

from tipline.engines.commands import push_points
from tipline.engines.guards import fit_stop, steps_at_once
from tipline.errors import InputError
from tipline.geometry import assemble
from tipline.geometry.ground import ZoneLaw, ramp_rows
from tipline.geometry.plant import Build, build, static_hosts
from tipline.kernels import layout as at
from tipline.scenario.spec import CounterweightMove, Ramp, TiltMove
from tipline.units import MILLISECOND

if TYPE_CHECKING:
    from tipline.geometry.assembly import Assembly
    from tipline.scenario.case import Case

__all__ = ["Packed", "pack"]


@dataclass(frozen=True)
class Packed:
    """A truck packed for runs on a floor, without places.

    Attributes
    ----------
    assembled_from, packed_from : machine, set-up and load; what else it was packed from
    still, moving : as its pose is found, and as it moves: one, or with what moves in the run as bodies of their own
    at_once : how many steps at once its springs survive
    mass, swings_by : of all of it [kg]; how far below the hook the centre of a hung load is [m], 0 where none hangs
    notes : what a reader should know of it
    """

    assembled_from: tuple[object, ...]
    packed_from: tuple[object, ...]
    assembly: Assembly
    still: Build
    moving: Build
    at_once: int
    mass: float
    swings_by: float
    notes: tuple[str, ...]

    def on_firm_floor(self) -> tuple[Build, Build]:
        """Return it as it stands and as it moves, one where they are one, with no place and no bending told yet."""
        still = _with_own_floor(self.still)
        return still, still if self.moving is self.still else _with_own_floor(self.moving)


def pack(
    case: Case, laws: tuple[ZoneLaw, ...], places: int, dt: float, like: Packed | None
) -> tuple[Packed, list[tuple[int, float]]]:
    """Pack the truck of a case, or take what is the same of another; of each outside force the event and its share."""
    scenario, setup, load = case.scenario, case.scenario.setup, case.load
    assembled_from = case.machine, setup, load
    same = like if like is not None and like.assembled_from == assembled_from else None
    assembly = assemble(*assembled_from, None if like is None else like.assembly) if same is None else same.assembly
    points, users = push_points(scenario, assembly)
    tilts = any(isinstance(event, TiltMove) for event in scenario.event)
    slides = any(isinstance(event, CounterweightMove) for event in scenario.event)
    ramps = [event for event in scenario.event if isinstance(event, Ramp)]
    if ramps and places:
        msg = "a floor with a ramp cannot give way as well"
        raise InputError(msg, key="floor", remedy="Use a floor without holes and soft zones, or remove the ramp.")
    packed_from = case.floor, laws, places, points, ramps, tilts, slides, dt
    if same is not None and same.packed_from == packed_from:
        return same, users
    hosts = static_hosts(load)

    def built() -> Build:
        machine, floor, ramp = case.machine, case.floor, ramp_rows(scenario)
        return build(machine, setup, assembly, floor, load, hosts, places, points, laws, ramp, tilts=tilts)

    still = moving = built()
    if slides:
        hosts.pop(at.COUNTERWEIGHT)
    if load is not None and load.hung_by is None and load.on_forks == "free":
        hosts.pop(at.LOAD)
    if hosts != still.hosts:
        moving = built()
    softer = [fit_stop(still.plant, dt), moving is not still and fit_stop(moving.plant, dt)]
    notes = (f"the axle's stop is taken softer, for a step of {dt / MILLISECOND:.3g} ms",) if any(softer) else ()
    mass, at_once, swings_by = moving.plant.mass, steps_at_once(moving.plant, dt), 0.0
    if mass[at.LOAD] > 0.0 and assembly.points.hook is not None:
        arm = assembly.points.hook - assembly.centre[at.LOAD]
        swings_by = sqrt(arm @ arm)
    total = float(mass.sum())
    return Packed(assembled_from, packed_from, assembly, still, moving, at_once, total, swings_by, notes), users


def _with_own_floor(truck: Build) -> Build:
    """Return a truck with arrays of its own for what is kept of the floor under it."""
    plant = truck.plant
    return replace(truck, plant=plant._replace(place=np.zeros_like(plant.place), give=np.zeros_like(plant.give)))
