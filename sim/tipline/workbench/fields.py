"""The forms of set-up, machine and floor, made from the schema: a field a value, with words, range, origin, slider."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from tipline import units
from tipline.model.origins import quantity_of
from tipline.model.problems import kind_of
from tipline.model.quantities import Absent, Quantity, Spec
from tipline.scenario import Case
from tipline.scenario.templates import explanation
from tipline.units import System

__all__ = ["FORMS", "FormField", "FormKind", "FormPart", "Slide", "as_typed", "kinds_in", "parts_of", "slides_of"]

FormKind = Literal["set-up", "machine", "floor"]
FORMS: tuple[FormKind, ...] = get_args(FormKind)
_OURS = {"origins", "kind", "file", "chosen", "name"}
_STEP, _STEP_FEET = 0.05, 0.25
"""Step of a slider for a length [m] or [ft], where the machine has none (our choice)."""

_CLEAR = 0.1
"""How far a hung load is kept off the floor [m] (our choice): tyres, mast and rope give by some 50 mm."""


@dataclass(frozen=True)
class Slide:
    """A slider: its ends, its step, where it stands, and the unit of all of these; ``at``: its only stops."""

    least: float
    most: float
    step: float
    now: float
    unit: str
    at: tuple[float, ...] = ()

    @property
    def stops(self) -> tuple[float, ...]:
        """Where it can stand: its only stops, else both ends and the whole steps between them."""
        if self.at:
            return self.at
        first, last = math.floor(self.least / self.step) + 1, math.ceil(self.most / self.step)
        between = (round(number * self.step, 6) for number in range(first, last))
        return (self.least, *between, self.most)

    @property
    def place(self) -> int:
        """At which of its stops it stands, or the nearest, from 0."""
        stops = self.stops
        return min(range(len(stops)), key=lambda index: abs(stops[index] - self.now))


@dataclass(frozen=True)
class FormField:
    """One value: its dotted key, words, help, the text in it, origin; ``choices``: what alone may be said.

    ``listed``: whether several values may stand in it. ``dimension``: of a quantity, "number" of a plain number; ""
    where it is neither, so that it cannot vary.
    """

    key: str
    label: str
    help: str
    value: str
    origin: str
    changed: bool
    choices: tuple[str, ...] = ()
    slide: Slide | None = None
    listed: bool = False
    dimension: str = ""


@dataclass(frozen=True)
class FormPart:
    """Fields under one heading; ``event``: which of the events it is, from 0.

    ``entry``: the key of a table that is one of a list. ``adds``: lists that tables can be added to here, with the
    kinds these can be of.
    """

    title: str
    fields: tuple[FormField, ...]
    event: int | None = None
    entry: str = ""
    adds: tuple[tuple[str, tuple[str, ...]], ...] = ()


def parts_of(
    case: Case, changes: Sequence[str] = (), form: FormKind = "set-up", system: System = "si"
) -> tuple[FormPart, ...]:
    """Give a form of a case; ``changes`` are the keys that were changed.

    That of a set-up has the lifted load and each event beside it, that of a machine or a floor every table of its file.
    """
    if form != "set-up":
        thing = case.as_read.machine if form == "machine" else case.as_read.floor
        own = _Form(case, frozenset(changes), 1 if form == "machine" else 2, thing.origins, system)
        return tuple(own.tables(thing, (form,), form.capitalize()))
    scenario = case.scenario
    own = _Form(case, frozenset(changes), 0, scenario.origins, system)
    title = FormPart("Scenario", tuple(field for field in own.fields(scenario, ()) if field.key == "title"))
    parts = [title, FormPart("Set-up", tuple(own.fields(scenario.setup, ("setup",))))]
    if scenario.load is not None:
        parts.append(FormPart("Lifted load", tuple(own.fields(scenario.load, ("load",)))))
    for number, event in enumerate(scenario.event):
        words = f"Event {number + 1}: {event.kind.replace('_', ' ')}"
        parts.append(FormPart(words, tuple(own.fields(event, ("event", str(number)))), number))
    parts.append(FormPart("Run", tuple(own.fields(scenario.run, ("run",)))))
    return tuple(part for part in parts if part.fields or part.event is not None)


def as_typed(text: str, *, listed: bool) -> str:
    """Give what was typed into a field as a change takes it: several values become a list.

    Lists are typed as "1.8 m x 1.4 m", names as "front-left, front-right"; TOML is taken as it stands.
    """
    plain = text.strip()
    if plain[:1] in '[{"' or not listed:
        return plain
    entries = [entry.strip() for entry in re.split(r"\s+x\s+|,|;", plain) if entry.strip()]
    return json.dumps(entries) if entries else ""


class _Form:
    """What makes the fields of one file of a case: the place of its document, and the origins of its values."""

    def __init__(
        self, case: Case, changes: frozenset[str], document: int, origins: Mapping[str, str], system: System
    ) -> None:
        self._changes, self._origins, self._system = changes, origins, system
        self._document, self._prefix = case.as_read.documents[document], min(document, 1)
        self._slides = slides_of(case, system)

    def tables(self, spec: Spec, path: tuple[str, ...], title: str, entry: str = "") -> Iterator[FormPart]:
        """Give a table's own values, then the tables in it; ``entry``: its key where it is one of a list."""
        inside = {name: value for name in type(spec).model_fields if _is_table(value := getattr(spec, name))}
        fields = tuple(self.fields(spec, path, but=inside))
        lists = {name: tuple(kinds_in(field)) for name, field in type(spec).model_fields.items() if kinds_in(field)}
        if fields or lists:
            adds = tuple((".".join((*path, name)), kinds) for name, kinds in lists.items())
            yield FormPart(title, fields, entry=entry, adds=adds)
        for name, value in inside.items():
            words = name.replace("_", " ")
            if isinstance(value, Spec):
                yield from self.tables(value, (*path, name), words.capitalize())
                continue
            for number, table in enumerate(value):
                own = getattr(table, "name", None) or number + 1
                place = (*path, name, str(number))
                yield from self.tables(table, place, f"{words.capitalize()} {own}", ".".join(place))

    def fields(self, spec: Spec, path: tuple[str, ...], but: Collection[str] = ()) -> Iterator[FormField]:
        """Give the values of a table, but for some."""
        for name, field in type(spec).model_fields.items():
            if name not in _OURS and name not in but:
                yield self._field(spec, name, field, (*path, name))

    def _field(self, spec: Spec, name: str, field: FieldInfo, path: tuple[str, ...]) -> FormField:
        key, value = ".".join(path), getattr(spec, name)
        empty = value in (None, (), "")
        typed = "" if empty else self._said(value, field, path[self._prefix :])
        said = self._in_units(typed, value, field)
        changed = any(other == key or other.startswith(f"{key}.") for other in self._changes)
        return FormField(
            key=key,
            label=name.replace("_", " "),
            help=_help(type(spec), name, self._system) + ("" if said == typed else f" As it was given: {typed}."),
            value=said,
            origin="not given" if empty else self._origins.get(".".join(path[self._prefix :]), "told"),
            changed=changed,
            choices=_choices(field),
            slide=self._slides.get(key),
            listed="tuple[" in str(field.annotation),
            dimension=_dimension(value, field),
        )

    def _in_units(self, typed: str, value: Any, field: FieldInfo) -> str:
        """Give what stands in a field in the units that are shown; points and tables stay as they are."""
        quantity = quantity_of(field)
        if quantity is None or typed[:1] in ("", "["):
            return typed
        texts = typed.split(" x ") if isinstance(value, tuple) else [typed]
        return " x ".join(units.retyped(text, quantity.dimension, self._system) for text in texts)

    def _said(self, value: Any, field: FieldInfo, path: tuple[str, ...]) -> str:
        """Say a value as it was typed, where that is one text; else in words."""
        typed, there = self._document.find(tuple(int(p) if p.isdigit() else p for p in path))
        if there and isinstance(typed, str) and not isinstance(value, tuple):
            return typed
        quantity = quantity_of(field)
        if isinstance(value, bool):
            return str(value).lower()
        if isinstance(value, tuple):
            if isinstance(value[0], tuple | Spec):  # points, or tables: as they stand in the file
                return json.dumps(typed, ensure_ascii=False) if there else ""
            whole = there and isinstance(typed, list) and all(isinstance(entry, str) for entry in typed)
            said = typed if whole else [_exact(entry, quantity) for entry in value]
            return (", " if quantity is None else " x ").join(said)
        return _exact(value, quantity)


def _exact(value: Any, quantity: Quantity | None) -> str:
    """Say a value so that it reads back to the same."""
    return str(value) if quantity is None or isinstance(value, str) else units.exact(value, quantity.dimension)


def _dimension(value: Any, field: FieldInfo) -> str:
    quantity = quantity_of(field)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return ""
    return "number" if quantity is None else quantity.dimension


def _is_table(value: Any) -> bool:
    return isinstance(value, Spec) or (isinstance(value, tuple) and bool(value) and isinstance(value[0], Spec))


def kinds_in(field: FieldInfo) -> Mapping[str, type[Spec]]:
    """Give of a list of tables what each may be, by its kind, "" where it has none; nothing for any other field."""
    if get_origin(field.annotation) is not tuple:
        return {}
    specs = _specs(get_args(field.annotation)[0])
    return {(kind_of(spec) or "") if len(specs) > 1 else "": spec for spec in specs}


def _specs(annotation: Any) -> list[type[Spec]]:
    if isinstance(annotation, type):
        return [annotation] if issubclass(annotation, Spec) else []
    return [spec for part in get_args(annotation) for spec in _specs(part)]


@cache
def _help(spec: type[Spec], name: str, system: System) -> str:
    """Say what a value means, what it may be, and what stands in its place where it is left out."""
    field = spec.model_fields[name]
    said = [explanation(spec, name) or ""]
    quantity = quantity_of(field)
    if quantity is not None:
        names = ", ".join(units.units_of(quantity.dimension))
        allowed = units.restate(quantity.allowed(), system)
        said.append(f"It {allowed}; units: {names}." if allowed != "any" else f"Units: {names}.")
    absent = next((mark.meaning for mark in field.metadata if isinstance(mark, Absent)), "")
    said.append(f"Left out: {absent}." if absent else "")
    return " ".join(text for text in said if text)


def _choices(field: FieldInfo) -> tuple[str, ...]:
    for part in (field.annotation, *get_args(field.annotation)):
        if part is bool:
            return ("true", "false")
        if get_origin(part) is Literal:
            return tuple(str(choice) for choice in get_args(part))
    return ()


def slides_of(case: Case, system: System = "si") -> dict[str, Slide]:
    """Give the sliders by key: between what the machine can do, and where the set-up stands."""
    setup, machine = case.scenario.setup, case.machine
    weight, slab, jib = machine.counterweight, machine.ballast_slab, machine.jib
    slides = {}
    if weight.stroke > 0.0:
        step = weight.step or _STEP
        slide = Slide(0.0, weight.stroke, step, setup.counterweight_extension, "m")
        slides["counterweight_extension"] = _in(slide, system, own_steps=weight.step is not None)
    if slab is not None and slab.most > 0:
        slides["ballast_slabs"] = Slide(0, slab.most, 1, setup.ballast_slabs, "")
    if setup.attachment == "forks":
        slides["fork_height"] = _in(Slide(0.0, machine.mast.top_fork_height, _STEP, case.fork_height, "m"), system)
    if setup.attachment == "jib" and jib is not None and case.hook_height is not None:
        rise = setup.jib_rise or 0.0
        hung = 0.0 if case.load is None else (case.load.hung_by or 0.0) + case.load.size[2]
        low = max(rise, round(hung + _CLEAR, 6))
        top = machine.mast.top_fork_height + rise
        slides["hook_height"] = _in(Slide(low, top, _STEP, case.hook_height, "m"), system)
        pins = tuple(sorted(jib.reach_pins))
        if len(pins) > 1:
            pinned = Slide(pins[0], pins[-1], 0.0, setup.jib_reach or pins[0], "m", pins)
            slides["jib_reach"] = _in(pinned, system, own_steps=True)
    return {f"setup.{name}": slide for name, slide in slides.items() if slide.most > slide.least}


def _in(slide: Slide, system: System, *, own_steps: bool = False) -> Slide:
    """Give a slider for a length [m] in the units that are shown; ``own_steps``: it stands where the machine can only.

    Thousandths of a foot are finer than what a pin and a step are held to.
    """
    if system == "si":
        return slide
    if own_steps:
        stops = tuple(_feet(stop) for stop in slide.stops)
        return Slide(stops[0], stops[-1], 0.0, _feet(slide.now), "ft", stops)
    least, most = math.ceil(1e3 * slide.least / units.FOOT), math.floor(1e3 * slide.most / units.FOOT)
    return Slide(least / 1e3, most / 1e3, _STEP_FEET, _feet(slide.now), "ft")


def _feet(value: float) -> float:
    return round(value / units.FOOT, 3)
