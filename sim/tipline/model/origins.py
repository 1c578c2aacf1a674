"""Where each value of a spec comes from, and the list of what was assumed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any, NamedTuple, get_args

from pydantic.fields import FieldInfo

from tipline import units
from tipline.model.document import Document, dotted
from tipline.model.positions import Path
from tipline.model.quantities import DEFAULT, Absent, Quantity, Setting, Spec, Unless
from tipline.model.words import Word

__all__ = ["Leaf", "assumed_lines", "dotted", "fill_origins", "idle", "leaves", "quantity_of"]


_OWNERS = {"load": "lifted load", "setup": "set-up"}


class Leaf(NamedTuple):
    """One value of a spec: a number, a list of numbers, a word out of a list, or None with a meaning in its place."""

    path: Path
    value: Any
    quantity: Quantity | None
    owner: str
    absent: str = ""
    listed: bool = True

    def text(self, system: Any = "si") -> str:
        """Return the value in words."""
        if self.value is None:
            return self.absent
        return self._words(self.value, system)

    def _words(self, value: Any, system: Any) -> str:
        if isinstance(value, tuple):
            nested = bool(value) and isinstance(value[0], tuple)
            return ("; " if nested else ", ").join(self._words(entry, system) for entry in value)
        return str(value) if self.quantity is None else units.show(value, self.quantity.dimension, system)


def leaves(spec: Spec, path: Path = (), owner: str = "") -> Iterator[Leaf]:
    """Yield the numbers and the words out of lists of a spec, tables within it first to last."""
    values = spec.__dict__
    for name, marks in _marks_of(type(spec)).items():
        value, here = values[name], (*path, name)
        if isinstance(value, Spec):
            yield from leaves(value, here, _OWNERS.get(name, name.replace("_", " ")))
        elif isinstance(value, tuple) and value and isinstance(value[0], Spec):
            for index, entry in enumerate(value):
                yield from leaves(entry, (*here, index), _entry_name(name, index, entry))
        else:
            idle = any(values[given] is not None for given in marks.unless)
            if value is not None and (marks.quantity is not None or _counts(value, word=marks.word)):
                yield Leaf(here, value, marks.quantity, owner, "", not (marks.setting or idle))
            elif value is None and marks.absent and not idle:
                yield Leaf(here, None, None, owner, marks.absent)


def idle(spec: Spec, path: Path = ()) -> Iterator[tuple[Path, str]]:
    """Yield the values of a spec that play no part because another is given, with the dotted name of that one."""
    values = spec.__dict__
    for name, marks in _marks_of(type(spec)).items():
        value, here = values[name], (*path, name)
        if isinstance(value, Spec):
            yield from idle(value, here)
        elif isinstance(value, tuple) and value and isinstance(value[0], Spec):
            for index, entry in enumerate(value):
                yield from idle(entry, (*here, index))
        elif value is not None:
            yield from ((here, given) for given in marks.unless if values[given] is not None)


def _counts(value: Any, *, word: bool) -> bool:
    """Return whether a value that is no quantity has an origin: a whole number, or a word out of a list."""
    return word if isinstance(value, str) else isinstance(value, int) and not isinstance(value, bool)


def fill_origins(spec: Spec, document: Document, default: str) -> dict[str, str]:
    """Return the origin of every number of a spec by its dotted key; what the file does not give is assumed."""
    origins: dict[str, str] = {}
    for leaf in leaves(spec):
        key = dotted(leaf.path)
        given = document.given(leaf.path)
        if given is None:
            origins[key] = "assumed" if leaf.listed else DEFAULT
        else:
            origins[key] = document.origins.get(given, default)
        if isinstance(leaf.value, tuple):
            inside = {name: origin for name, origin in document.origins.items() if name.startswith(f"{key}.")}
            origins.update(inside)
    return origins


_SAID = {"elsewhere": "the main floor", "below": "support"}
"""Keys whose words are others in a sentence."""


def assumed_lines(spec: Spec, origins: dict[str, str], whole: str) -> tuple[list[str], int]:
    """Return what was assumed in plain words, equal values of several owners in one line, and how many values."""
    groups: dict[tuple[str, str], list[str]] = {}
    count = 0
    keys = [name.split(".") for name, origin in origins.items() if origin == "assumed"]
    partly = {".".join(parts[:depth]) for parts in keys for depth in range(1, len(parts))}
    for leaf in leaves(spec, owner=whole):
        key = dotted(leaf.path)
        if origins[key] == "assumed" or key in partly:
            name = _SAID.get(str(leaf.path[-1]), str(leaf.path[-1])).replace("_", " ")
            groups.setdefault((name, leaf.text()), []).append(_SAID.get(leaf.owner, leaf.owner))
            count += 1
    return [f"{name} of {', '.join(owners)}: {text}, assumed" for (name, text), owners in groups.items()], count


def quantity_of(field: FieldInfo) -> Quantity | None:
    """Return the quantity a field holds, alone or in a list."""
    return _marks(field).quantity


def _entry_name(field: str, index: int, entry: Spec) -> str:
    name = getattr(entry, "name", None)
    if name:
        return str(name)
    kind = getattr(entry, "kind", field)
    return f"{kind} ({field} {index + 1})".replace("_", " ")  # counted from one, as pages do


@dataclass(frozen=True)
class _Marks:
    """What a field is marked with: quantity, meaning of an absent value, the field that makes it idle."""

    quantity: Quantity | None
    absent: str
    unless: tuple[str, ...]
    setting: bool
    word: bool


@cache
def _marks_of(spec: type[Spec]) -> dict[str, _Marks]:
    return {name: _marks(field) for name, field in spec.model_fields.items()}


def _marks(field: FieldInfo) -> _Marks:
    marks = [*field.metadata, *_inside(field.annotation)]
    return _Marks(
        quantity=next((mark for mark in marks if isinstance(mark, Quantity)), None),
        absent=next((mark.meaning for mark in marks if isinstance(mark, Absent)), ""),
        unless=tuple(mark.given for mark in marks if isinstance(mark, Unless)),
        setting=any(isinstance(mark, Setting) for mark in marks),
        word=any(isinstance(mark, Word) for mark in marks),
    )


def _inside(annotation: Any) -> Iterator[Any]:
    yield from getattr(annotation, "__metadata__", ())
    for part in get_args(annotation):
        yield from _inside(part)
