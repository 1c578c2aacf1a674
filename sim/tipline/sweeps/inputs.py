"""What is varied of a case for its spread, and by how much: a half-width by how each value is known.

All half-widths are our own choice: common practice, no source. A case is never changed: each input makes a new one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from math import inf
from operator import attrgetter
from typing import TYPE_CHECKING, Any, TypeVar

from tipline.floors.known.bands import step_of
from tipline.model.origins import quantity_of
from tipline.model.own_truck import MEASURED, bands_of, within_band
from tipline.model.quantities import Spec
from tipline.runs.endings import VariedInput
from tipline.scenario.kinds import KINDS, kind_of
from tipline.scenario.spec import (
    CounterweightMove,
    DriveEvent,
    TiltMove,
)

if TYPE_CHECKING:
    from tipline.model.load import LiftedLoad
    from tipline.model.machine import Machine
    from tipline.scenario import Case
    from tipline.scenario.commanded import Inputs

__all__ = ["HALF_WIDTH", "MOST_EVENTS", "Knob", "at_rest", "knobs", "leading"]

S = TypeVar("S", bound=Spec)
Resolved = Mapping[str, Mapping[str, Any]]
Widths = tuple[float, float, float, float]

HALF_WIDTH: dict[str, Widths] = {
    "weight": (0.01, 0.03, 0.05, 0.10),
    "centre in plan": (0.01, 0.02, 0.04, 0.08),
    "height of centre": (0.02, 0.05, 0.08, 0.15),
    "tyre stiffness": (0.05, 0.10, 0.15, 0.25),
    "friction": (0.05, 0.10, 0.15, 0.25),
    "depth": (0.02, 0.05, 0.10, 0.20),
    "bearing_pressure": (0.10, 0.15, 0.25, 0.40),
    "deceleration": (0.05, 0.10, 0.15, 0.25),
    "slope": (0.02, 0.05, 0.10, 0.20),
    "wind speed": (0.05, 0.10, 0.15, 0.25),
    "force": (0.05, 0.10, 0.15, 0.25),
    "angle": (0.05, 0.10, 0.15, 0.25),
    "speed": (0.05, 0.10, 0.15, 0.25),
}
"""Half-width as a share by how a value is known: measured, from drawing or plate, told, assumed (see `step_of`).

Of the value itself; for the centre in plan and its height, of the lifted load's length, width or height.
"""
MOST_EVENTS = 4
"""Of more events than this, the first ones are varied."""
FRICTION_MOST = 2.0
_LEAST, _MOST = 0.05, 2.0
"""A quantity without limits of its own is looked through from this share of its value to that (our choice); friction is
never taken above the first."""


@dataclass(frozen=True)
class Knob:
    """An input with the case that has another value of it.

    set : (case, value) to case; more, less : how a run with more of it, or less, is told from one with the other
    step : the machine holds it at multiples of this only, 0 at any value
    """

    input: VariedInput
    set: Callable[[Case, float], Case]
    more: str
    less: str
    step: float = 0.0


def at_rest(case: Case) -> list[Knob]:
    """Return what is varied of a set-up at rest: what is not known of an own truck, lifted load, tyres."""
    return [*_own_truck(case.machine), *_load(case.load, case.resolved), *_tyres(case.machine, case.resolved)]


def knobs(case: Case) -> list[Knob]:
    """Return what is varied: what counts at rest, the events' quantities, friction."""
    all_knobs = at_rest(case)
    varied = [
        quantity
        for quantity in (_quantity(case.inputs, case.resolved, index) for index in range(len(case.scenario.event)))
        if quantity is not None
    ]
    for quantity in [quantity for quantity in varied if quantity.kind][:MOST_EVENTS]:
        given = _about(
            quantity.what,
            quantity.dimension,
            quantity.here,
            quantity.kind,
            quantity.how,
            least=quantity.low,
            most=quantity.high,
            cut="kept within its limits",
        )
        all_knobs.append(Knob(given, quantity.set, quantity.more, quantity.less))
    return [*all_knobs, *_friction(case)]


def leading(case: Case) -> tuple[Knob, float] | None:
    """Return what decides of what happens, with the range to look through, and the size of a step in it.

    The quantity of the leading event; without one, the lifted weight; None where there is neither.
    """
    events = [
        quantity
        for quantity in (_quantity(case.inputs, case.resolved, index) for index in range(len(case.scenario.event)))
        if quantity is not None
    ]
    if events:
        quantity = min(events, key=lambda event: event.rank)
        given = VariedInput(quantity.what, quantity.dimension, quantity.here, quantity.low, quantity.high, quantity.how)
        return Knob(given, quantity.set, quantity.more, quantity.less, quantity.step), quantity.scale
    load = case.load
    if load is None:
        return None
    mass = load.mass
    given = VariedInput("lifted weight", "mass", mass, _LEAST * mass, _MOST * mass, _origin(case.resolved, "load.mass"))
    return Knob(given, _with_mass, "heavier", "lighter"), mass


@dataclass(frozen=True)
class _Quantity:
    what: str
    dimension: str
    here: float
    how: str
    kind: str
    rank: int
    low: float
    high: float
    scale: float
    set: Callable[[Case, float], Case]
    more: str
    less: str
    step: float


def _quantity(inputs: Inputs, resolved: Resolved, index: int) -> _Quantity | None:
    events, machine = inputs.scenario.event, inputs.machine
    event = events[index]
    lead = kind_of(event).leading
    if lead is None:
        return None
    value, key = getattr(event, lead.field), f"event.{index}.{lead.field}"
    if value is None and not lead.usual:
        return None
    if value is None:
        value, key = attrgetter(lead.usual)(machine), f"machine.{lead.usual}"
    value = float(value)
    low, high = sorted((_LEAST * value, _MOST * value))
    scale = abs(value)
    if isinstance(event, CounterweightMove):
        low, high = 0.0, machine.counterweight.stroke
        scale = high
    elif isinstance(event, TiltMove):
        low, high = -machine.mast.tilt_forward, machine.mast.tilt_back
        scale = high - low
    elif isinstance(event, DriveEvent):
        low, high = max(low, -machine.drive.top_speed), min(high, machine.drive.top_speed)
    taken = quantity_of(type(event).model_fields[lead.field])
    if taken is not None:
        low, high = max(low, taken.ends()[0]), min(high, taken.ends()[1])
    if scale <= 0.0 or not low <= value <= high:
        return None
    same = sum(type(other) is type(event) for other in events) > 1
    return _Quantity(
        what=f"{lead.what} of event {index + 1}" if same else lead.what,
        dimension=lead.dimension,
        here=value,
        how=_origin(resolved, key),
        kind=lead.known,
        rank=list(KINDS).index(event.kind),
        low=low,
        high=high,
        scale=scale,
        set=lambda changed, new, field=lead.field: _with_event(changed, index, field, new),  # type: ignore[misc]
        more=lead.more,
        less=lead.less,
        step=(machine.counterweight.step or 0.0) if isinstance(event, CounterweightMove) else 0.0,
    )


def _with_event(case: Case, index: int, field: str, value: float) -> Case:
    events = list(case.scenario.event)
    events[index] = _changed(events[index], {field: value})
    return replace(case, scenario=case.scenario.model_copy(update={"event": tuple(events)}), cells=())


def _own_truck(machine: Machine) -> Iterator[Knob]:
    """Vary what is not known of a truck by plate and tape; first of all, since the rest moves what is there then."""
    for band in bands_of(machine):
        left = MEASURED * abs(band.likely)
        given = VariedInput(band.what, band.dimension, band.likely, band.low, band.high, "assumed", once_measured=left)
        yield Knob(given, partial(_with_band, band.key), f"more: {band.what}", f"less: {band.what}")


def _with_band(key: str, case: Case, value: float) -> Case:
    return replace(case, machine=within_band(case.machine, key, value), cells=())


def _load(load: LiftedLoad | None, resolved: Resolved) -> Iterator[Knob]:
    if load is None:
        return
    how = _origin(resolved, "load.mass")
    weight = _about("lifted weight", "mass", load.mass, "weight", how)
    if load.lightest is not None or load.heaviest is not None:
        ends = load.lightest or weight.low, load.heaviest or weight.high
        weight = replace(weight, low=ends[0], high=ends[1], clipped="")
    yield Knob(weight, _with_mass, "heavier", "lighter")
    length, width, height = load.size
    offset = load.centre_offset
    if load.hung_by is None:
        where = _origin(resolved, "load.load_centre") if load.load_centre is not None else None
        aside = _origin(resolved, "load.centre_offset")
        what = "centre of the lifted load, out from its middle"
        out = _in_box(what, offset[0], "centre in plan", where or aside, length, -length / 2)
        yield Knob(out, _with_out, "farther out", "nearer")
        what = "centre of the lifted load, left of its middle"
        side = _in_box(what, offset[1], "centre in plan", aside, width, -width / 2)
        yield Knob(side, _with_side, "farther left", "farther right")
    how = _origin(resolved, "load.height_of_centre")
    what = "height of centre of the lifted load"
    high = _in_box(what, load.height_of_centre, "height of centre", how, height, 0.0)
    yield Knob(high, _with_height, "higher", "lower")


def _about(
    what: str,
    dimension: str,
    here: float,
    known: str,
    how: str,
    *,
    of: float | None = None,
    least: float = -inf,
    most: float = inf,
    cut: str = "",
) -> VariedInput:
    """Return an input from its half-width below to its half-width above, by how it is known; ``cut``: what limits it.

    known: whose half-widths; of: what they are shares of, else the value itself.
    """
    whole, widths = abs(here if of is None else of), HALF_WIDTH[known]
    half = widths[step_of(how)] * whole
    low, high = max(here - half, least), min(here + half, most)
    cut = cut if high - low < 2.0 * half * (1.0 - 1e-9) else ""
    return VariedInput(what, dimension, here, low, high, how, cut, once_measured=widths[0] * whole)


def _in_box(what: str, here: float, known: str, how: str, side: float, low: float) -> VariedInput:
    """Return a coordinate of the load's centre, kept inside its box: a side from ``low`` on."""
    most, cut = low + side, "kept inside the load's box"
    return _about(what, "length", here, known, how, of=side, least=low, most=most, cut=cut)


def _with_mass(case: Case, value: float) -> Case:
    return _with_load(case, {"mass": value, "lightest": None, "heaviest": None})


def _with_out(case: Case, value: float) -> Case:
    """Move the centre within its box; the box stays where it is."""
    load = case.load
    if load is None:
        return case
    moved = value - load.centre_offset[0]
    update: dict[str, Any] = {"centre_offset": (value, load.centre_offset[1])}
    if load.load_centre is not None:
        update["load_centre"] = load.load_centre + moved
    return _with_load(case, update)


def _with_side(case: Case, value: float) -> Case:
    return case if case.load is None else _with_load(case, {"centre_offset": (case.load.centre_offset[0], value)})


def _with_height(case: Case, value: float) -> Case:
    return _with_load(case, {"height_of_centre": value})


def _with_load(case: Case, update: dict[str, Any]) -> Case:
    if case.load is None:
        return case
    load = _changed(case.load, update)
    return replace(case, load=load, scenario=case.scenario.model_copy(update={"load": load}), cells=())


def _tyres(machine: Machine, resolved: Resolved) -> Iterator[Knob]:
    """Vary all tyres together: they are of one make and age."""
    names = []
    for axle, tyres in (("drive_axle", machine.drive_axle.tyre), ("steer_axle", machine.steer_axle.tyre)):
        for index, tyre in enumerate(tyres):
            own = "rubber_modulus" if tyre.stiffness is None else "stiffness"
            names.append(_origin(resolved, f"machine.{axle}.tyre.{index}.{own}"))
    how = max(names, key=step_of)
    given = _about("stiffness of all tyres", "ratio", 1.0, "tyre stiffness", how)
    yield Knob(given, _with_stiffness, "stiffer", "softer")


def _with_stiffness(case: Case, factor: float) -> Case:
    machine = case.machine

    def axle(old: Any) -> Any:
        tyres = []
        for tyre in old.tyre:
            own = "rubber_modulus" if tyre.stiffness is None else "stiffness"
            tyres.append(_changed(tyre, {own: getattr(tyre, own) * factor}))
        return old.model_copy(update={"tyre": tuple(tyres)})

    update = {"drive_axle": axle(machine.drive_axle), "steer_axle": axle(machine.steer_axle)}
    return replace(case, machine=machine.model_copy(update=update), cells=())


def _friction(case: Case) -> Iterator[Knob]:
    tyres = (*case.machine.drive_axle.tyre, *case.machine.steer_axle.tyre)
    friction = case.floor.friction
    kinds = sorted({tyre.kind for tyre in tyres})
    how = max((_origin(case.resolved, f"floor.friction.{kind}") for kind in kinds), key=step_of)
    greatest, cut = max(friction.against(kind) for kind in kinds), f"friction is at most {FRICTION_MOST:g}"
    if greatest > 0.0:
        most = FRICTION_MOST / greatest
        given = _about("friction of all tyres", "ratio", 1.0, "friction", how, most=most, cut=cut)
        yield Knob(given, _with_friction, "more grip", "less grip")
    load = case.load
    if load is not None and load.hung_by is None and load.friction_on_forks > 0.0:
        own, how = load.friction_on_forks, _origin(case.resolved, "load.friction_on_forks")
        given = _about("friction on the forks", "", own, "friction", how, most=FRICTION_MOST, cut=cut)
        yield Knob(given, _with_grip, "more grip", "less grip")


def _with_friction(case: Case, factor: float) -> Case:
    friction = case.floor.friction
    table = _changed(
        friction, {kind: min(getattr(friction, kind) * factor, FRICTION_MOST) for kind in type(friction).model_fields}
    )
    machine = case.machine

    def axle(old: Any) -> Any:
        own = (
            tyre if tyre.friction is None else _changed(tyre, {"friction": min(tyre.friction * factor, FRICTION_MOST)})
            for tyre in old.tyre
        )
        return old.model_copy(update={"tyre": tuple(own)})

    update = {"drive_axle": axle(machine.drive_axle), "steer_axle": axle(machine.steer_axle)}
    floor = case.floor.model_copy(update={"friction": table})
    return replace(case, floor=floor, machine=machine.model_copy(update=update), cells=())


def _with_grip(case: Case, value: float) -> Case:
    return _with_load(case, {"friction_on_forks": value})


def _origin(resolved: Resolved, key: str) -> str:
    """Return how a value is known; a setting left at its default is assumed."""
    how = str(resolved.get(key, {}).get("origin", "assumed"))
    return "assumed" if how == "default" else how


def _changed(spec: S, update: dict[str, Any]) -> S:
    """Return a spec with other values, validated."""
    return type(spec).model_validate({**dict(spec), **update})
