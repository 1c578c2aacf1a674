"""The form of a set-up, made from the schema: one field a value, with its words, range, choices, origin, slider."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from tipline import units
from tipline.model.origins import quantity_of
from tipline.model.quantities import Absent, Spec
from tipline.scenario import Case
from tipline.scenario.templates import explanation

__all__ = ["FormField", "FormPart", "Slide", "as_typed", "parts_of", "slides_of"]

_OURS = {"origins", "kind", "file", "lightest", "heaviest"}
_STEP = 0.05
"""Step of a slider for a length [m], where the machine has none (our choice)."""


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


@dataclass(frozen=True)
class FormField:
    """One value: its dotted key, words, help, the text in it, origin; ``choices``: what alone may be said."""

    key: str
    label: str
    help: str
    value: str
    origin: str
    changed: bool
    choices: tuple[str, ...] = ()
    slide: Slide | None = None


@dataclass(frozen=True)
class FormPart:
    """Fields under one heading; ``event``: which of the events it is, from 0."""

    title: str
    fields: tuple[FormField, ...]
    event: int | None = None


def parts_of(case: Case, changes: Sequence[str] = ()) -> tuple[FormPart, ...]:
    """Give the form of a case: set-up, lifted load, each event; ``changes`` are the keys that were changed."""
    form = _Form(case, frozenset(changes))
    scenario = case.scenario
    parts = [FormPart("Set-up", tuple(form.fields(scenario.setup, ("setup",))))]
    if scenario.load is not None:
        parts.append(FormPart("Lifted load", tuple(form.fields(scenario.load, ("load",)))))
    for number, event in enumerate(scenario.event):
        title = f"Event {number + 1}: {event.kind.replace('_', ' ')}"
        parts.append(FormPart(title, tuple(form.fields(event, ("event", str(number)))), number))
    parts.append(FormPart("Run", tuple(form.fields(scenario.run, ("run",)))))
    return tuple(part for part in parts if part.fields or part.event is not None)


def as_typed(key: str, text: str) -> str:
    """Give what was typed into a field as a change takes it: several values become a list.

    Lists are typed as "1.8 m x 1.4 m", names as "front-left, front-right"; TOML is taken as it stands.
    """
    plain = text.strip()
    if plain[:1] in '[{"':
        return plain
    last = key.rpartition(".")[2]
    if last in _LISTS:
        entries = [entry.strip() for entry in re.split(r"\s+x\s+|,|;", plain) if entry.strip()]
        return json.dumps(entries) if entries else ""
    return plain


_LISTS = {"position", "size", "hole", "centre_offset", "under"}
"""Keys whose value is a list, of set-up, load and events."""


class _Form:
    def __init__(self, case: Case, changes: frozenset[str]) -> None:
        self._case, self._changes = case, changes
        self._slides = slides_of(case)

    def fields(self, spec: Spec, path: tuple[str, ...]) -> Iterator[FormField]:
        for name, field in type(spec).model_fields.items():
            if name not in _OURS:
                yield self._field(spec, name, field, (*path, name))

    def _field(self, spec: Spec, name: str, field: FieldInfo, path: tuple[str, ...]) -> FormField:
        key, value = ".".join(path), getattr(spec, name)
        changed = any(other == key or other.startswith(f"{key}.") for other in self._changes)
        return FormField(
            key=key,
            label=name.replace("_", " "),
            help=_help(type(spec), name, field),
            value="" if value is None else self._said(value, field, path),
            origin="not given" if value is None else self._case.scenario.origins.get(key, "told"),
            changed=changed,
            choices=_choices(field),
            slide=self._slides.get(key),
        )

    def _said(self, value: Any, field: FieldInfo, path: tuple[str, ...]) -> str:
        """Say a value as it was typed, where that is one text; else in words."""
        typed, there = self._case.as_read.documents[0].find(tuple(int(p) if p.isdigit() else p for p in path))
        if there and isinstance(typed, str) and not isinstance(value, tuple):
            return typed
        quantity = quantity_of(field)
        if isinstance(value, tuple):
            said = [str(v) if quantity is None else units.show(v, quantity.dimension) for v in value]
            return (", " if quantity is None else " x ").join(said)
        return str(value) if quantity is None or isinstance(value, str) else units.show(value, quantity.dimension)


def _help(spec: type[Spec], name: str, field: FieldInfo) -> str:
    """Say what a value means, what it may be, and what stands in its place where it is left out."""
    said = [explanation(spec, name) or ""]
    quantity = quantity_of(field)
    if quantity is not None:
        names = ", ".join(units.units_of(quantity.dimension))
        said.append(f"It {quantity.allowed()}; units: {names}." if quantity.allowed() != "any" else f"Units: {names}.")
    absent = next((mark.meaning for mark in field.metadata if isinstance(mark, Absent)), "")
    said.append(f"Left out: {absent}." if absent else "")
    return " ".join(text for text in said if text)


def _choices(field: FieldInfo) -> tuple[str, ...]:
    for part in (field.annotation, *get_args(field.annotation)):
        if get_origin(part) is Literal:
            return tuple(str(choice) for choice in get_args(part))
    return ()


def slides_of(case: Case) -> dict[str, Slide]:
    """Give the sliders by key: between what the machine can do, and where the set-up stands."""
    setup, machine = case.scenario.setup, case.machine
    weight, slab, jib = machine.counterweight, machine.ballast_slab, machine.jib
    slides = {}
    if weight.stroke > 0.0:
        step = weight.step or _STEP
        slides["counterweight_extension"] = Slide(0.0, weight.stroke, step, setup.counterweight_extension, "m")
    if slab is not None and slab.most > 0:
        slides["ballast_slabs"] = Slide(0, slab.most, 1, setup.ballast_slabs, "")
    if setup.attachment == "forks":
        slides["fork_height"] = Slide(0.0, machine.mast.top_fork_height, _STEP, case.fork_height, "m")
    if setup.attachment == "jib" and jib is not None and case.hook_height is not None:
        rise = setup.jib_rise or 0.0
        hung = 0.0 if case.load is None else (case.load.hung_by or 0.0) + case.load.size[2]
        low = max(rise, hung, _STEP)  # a load that hangs lies on the floor below that
        slides["hook_height"] = Slide(low, machine.mast.top_fork_height + rise, _STEP, case.hook_height, "m")
        pins = tuple(sorted(jib.reach_pins))
        if len(pins) > 1:
            slides["jib_reach"] = Slide(0, len(pins) - 1, 1, _nearest(pins, setup.jib_reach or pins[0]), "m", pins)
    return {f"setup.{name}": slide for name, slide in slides.items() if slide.most > slide.least}


def _nearest(pins: Sequence[float], value: float) -> int:
    return min(range(len(pins)), key=lambda index: abs(pins[index] - value))
