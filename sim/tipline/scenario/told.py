"""What a scenario and its files give that nothing uses, or that something else overrides."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest

from tipline.model.document import Document
from tipline.model.floor import Floor
from tipline.model.not_used import not_used_in, not_used_of_floor
from tipline.scenario.commanded import Inputs, moves, places, speeds
from tipline.scenario.kinds import kind_of
from tipline.scenario.spec import CounterweightMove, DriveEvent, LoadShed, Push, TiltMove
from tipline.units import show

__all__ = ["told"]

LITTLE = 0.05
"""Shares of a speed, and seconds, that are not worth a word."""
_GIVING = ("soft", "ground", "asphalt")
_TOLD_KINDS = ("slab", "suspended", "asphalt", "ground")


def told(inputs: Inputs, floor: Floor, documents: tuple[Document, Document, Document]) -> Iterator[str]:
    """Yield in whole sentences what is given and not used or overridden."""
    yield from _not_used(inputs, floor, documents)
    yield from _slope_overridden(inputs, floor)
    yield from _friction_overridden(inputs, floor, documents[2])
    yield from _speed_overridden(inputs)
    yield from _moves_nothing(inputs)
    yield from _not_ended(inputs, floor)
    yield from _after_the_load(inputs)
    yield from _off_the_floor_told(inputs, floor)


def _not_used(inputs: Inputs, floor: Floor, documents: tuple[Document, Document, Document]) -> Iterator[str]:
    yield from not_used_in(inputs.scenario, documents[0], "")
    yield from not_used_in(inputs.machine, documents[1], "machine.")
    yield from not_used_of_floor(floor, documents[2], "floor.")
    parts = (floor.elsewhere, *floor.zone)
    if inputs.scenario.run.stand > 0.0 and not any(part.kind in _GIVING for part in parts):
        yield "run.stand is not used: no part of the floor yields or creeps."
    machine = inputs.machine
    for axle, owner in (("drive_axle", machine.drive_axle), ("steer_axle", machine.steer_axle)):
        for index, tyre in enumerate(owner.tyre):
            if tyre.inflation is not None and tyre.kind != "pneumatic":
                yield f'machine.{axle}.tyre.{index}.inflation is not used: the tyre is of kind "{tyre.kind}".'


def _slope_overridden(inputs: Inputs, floor: Floor) -> Iterator[str]:
    setup = inputs.scenario.setup
    if setup.slope is not None and floor.slope > 0.0 and abs(setup.slope - floor.slope) > 1e-9:
        own, given = show(floor.slope, "slope"), show(setup.slope, "slope")
        yield f"The floor's own slope, {own}, is overridden by setup.slope, {given}."


def _friction_overridden(inputs: Inputs, floor: Floor, document: Document) -> Iterator[str]:
    tyres = (*inputs.machine.drive_axle.tyre, *inputs.machine.steer_axle.tyre)
    own = [tyre.name for tyre in tyres if tyre.friction is not None]
    if own and document.find(("friction",))[1]:
        rest = "" if len(own) == len(tyres) else f" under {', '.join(own)}"
        yield f"floor.friction is overridden{rest} by the friction that the machine's tyres have of their own."


def _speed_overridden(inputs: Inputs) -> Iterator[str]:
    """Yield drives that change nothing, or that have not come to their speed when the next event or the end comes."""
    changes, end = speeds(inputs), inputs.scenario.run.duration
    for change, after in zip_longest(changes, changes[1:]):
        event = inputs.scenario.event[change.number]
        until = end if after is None else after.at
        if isinstance(event, DriveEvent) and change.before == change.after:
            yield f"event.{change.number} changes nothing: the truck is told {show(event.speed, 'speed')} already."
        elif change.at + change.takes > until + LITTLE:
            name = event.kind.replace("_", " ")
            by = "the run ends" if after is None else f"event.{after.number} takes over"
            need = show(change.takes, "time", digits=2)
            yield f"event.{change.number}, {name}, is not ended when {by} at {show(until, 'time')}: it needs {need}."


def _moves_nothing(inputs: Inputs) -> Iterator[str]:
    """Yield moves to where the thing is already."""
    for change in moves(inputs):
        event = inputs.scenario.event[change.number]
        if isinstance(event, TiltMove | CounterweightMove) and change.takes == 0.0:
            yield f"event.{change.number} changes nothing: {kind_of(event).moves} is there already."


def _not_ended(inputs: Inputs, floor: Floor) -> Iterator[str]:
    """Yield moves that the run does not last for."""
    end = inputs.scenario.run.duration
    for change in moves(inputs, floor):
        if change.at + change.takes > end + LITTLE:
            name = inputs.scenario.event[change.number].kind.replace("_", " ")
            need = show(change.takes, "time", digits=2)
            yield (
                f"event.{change.number}, {name}, is not ended when the run ends: it needs {need} from "
                f"{show(change.at, 'time')} on, and run.duration is {show(end, 'time')}."
            )


def _after_the_load(inputs: Inputs) -> Iterator[str]:
    """Yield pushes on a load, and sheddings, that come after the load has come off."""
    events = inputs.scenario.event
    off = min((event.at for event in events if isinstance(event, LoadShed)), default=None)
    if off is None:
        return
    for index, event in enumerate(events):
        if isinstance(event, Push) and event.at_part == "load" and event.at >= off:
            yield f"event.{index}, push, meets nothing: the load has come off at {show(off, 'time')}."
        elif isinstance(event, LoadShed) and event.at > off:
            yield f"event.{index}, load shed, meets nothing: the load has come off at {show(off, 'time')}."


def _off_the_floor_told(inputs: Inputs, floor: Floor) -> Iterator[str]:
    """Yield tyres beside a floor that is told in parts, where nothing is told and the floor counts as rigid."""
    if floor.elsewhere.kind != "rigid" or not any(zone.kind in _TOLD_KINDS for zone in floor.zone):
        return
    off = [name for name, at, _ in places(inputs) if floor.zone_at(at) is None]
    if off:
        stand = "stands" if len(off) == 1 else "stand"
        yield (
            f"{', '.join(off)} {stand} beside every zone of the floor at the start: nothing is told of the floor "
            "there, and it counts as rigid."
        )
