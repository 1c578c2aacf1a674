"""Where each value of a spec comes from, and the list of what was assumed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any, get_args

from pydantic.fields import FieldInfo

from tipline import units
from tipline.model.document import Document, dotted
from tipline.model.positions import Path
from tipline.model.quantities import DEFAULT, Absent, Quantity, Setting, Spec, Unless
from tipline.model.words import Word

__all__ = ["Leaf", "assumed_lines", "dotted", "fill_origins", "leaves", "quantity_of"]


_OWNERS = {"load": "lifted load", "setup": "set-up"}


@dataclass(frozen=True)
class Leaf:
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
    for name, field in type(spec).model_fields.items():
        value = getattr(spec, name)
        here = (*path, name)
        if isinstance(value, Spec):
            yield from leaves(value, here, _OWNERS.get(name, name.replace("_", " ")))
        elif isinstance(value, tuple) and value and isinstance(value[0], Spec):
            for index, entry in enumerate(value):
                yield from leaves(entry, (*here, index), _entry_name(name, index, entry))
        else:
            yield from _leaf(spec, field, value, here, owner)


def _leaf(spec: Spec, field: FieldInfo, value: Any, path: Path, owner: str) -> Iterator[Leaf]:
    quantity, absent, setting, unless = _marks_of(type(spec), str(path[-1]))
    if value is None:
        if absent and not (unless and getattr(spec, unless) is not None):
            yield Leaf(path, None, None, owner, absent)
        return
    if quantity is None and not _counts(field, value):
        return
    plays_no_part = setting or (unless is not None and getattr(spec, unless) is not None)
    yield Leaf(path, value, quantity, owner, "", not plays_no_part)


def _counts(field: FieldInfo, value: Any) -> bool:
    """Return whether a value that is no quantity has an origin: a whole number, or a word out of a list."""
    if isinstance(value, str):
        return any(isinstance(mark, Word) for mark in (*field.metadata, *_inside(field.annotation)))
    return isinstance(value, int) and not isinstance(value, bool)


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


def assumed_lines(spec: Spec, origins: dict[str, str], whole: str) -> tuple[list[str], int]:
    """Return what was assumed in plain words, equal values of several owners in one line, and how many values."""
    groups: dict[tuple[str, str], list[str]] = {}
    count = 0
    told = [name.split(".") for name, origin in origins.items() if origin == "assumed"]
    partly = {".".join(parts[:depth]) for parts in told for depth in range(1, len(parts))}
    for leaf in leaves(spec, owner=whole):
        key = dotted(leaf.path)
        if origins[key] == "assumed" or key in partly:
            name = str(leaf.path[-1]).replace("_", " ")
            groups.setdefault((name, leaf.text()), []).append(leaf.owner)
            count += 1
    return [f"{name} of {', '.join(owners)}: {text}, assumed" for (name, text), owners in groups.items()], count


def quantity_of(field: FieldInfo) -> Quantity | None:
    """Return the quantity a field holds, alone or in a list."""
    return _marks(field)[0]


def _entry_name(field: str, index: int, entry: Spec) -> str:
    name = getattr(entry, "name", None)
    if name:
        return str(name)
    kind = getattr(entry, "kind", field)
    return f"{kind} ({field} {index})".replace("_", " ")


@cache
def _marks_of(spec: type[Spec], name: str) -> tuple[Quantity | None, str, bool, str | None]:
    return _marks(spec.model_fields[name])


def _marks(field: FieldInfo) -> tuple[Quantity | None, str, bool, str | None]:
    """Return quantity, meaning of an absent value, whether a setting, and the field that makes it idle."""
    marks = [*field.metadata, *_inside(field.annotation)]
    quantity = next((mark for mark in marks if isinstance(mark, Quantity)), None)
    absent = next((mark.meaning for mark in marks if isinstance(mark, Absent)), "")
    unless = next((mark.given for mark in marks if isinstance(mark, Unless)), None)
    return quantity, absent, any(isinstance(mark, Setting) for mark in marks), unless


def _inside(annotation: Any) -> Iterator[Any]:
    yield from getattr(annotation, "__metadata__", ())
    for part in get_args(annotation):
        yield from _inside(part)
