"""Slips that are well-formed: what a rule about them is, and how what it finds is told.

A rule has one of two answers. ``refused``: it cannot be. ``unusual``: it can, but is more often a slip of a unit, a
point or a meaning; the page asks first whether it is meant, ``--strict`` refuses it, and the key of the value in the
list ``meant`` of its file says that it is. What a run never met, or a file gives and nothing uses, is told beside them.
The rules stand in `plausible_machine`, `plausible_floor` and `scenario.plausible`, each with its source or reason.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Generic, Literal, TypeVar

from tipline.errors import FROM_SET, InputError, change
from tipline.model.document import Document
from tipline.model.origins import quantity_of
from tipline.model.positions import Path
from tipline.model.problems import Finding
from tipline.model.quantities import Quantity, Spec

__all__ = [
    "LEAD",
    "OSMIUM",
    "SLIP",
    "Rule",
    "Usual",
    "found",
    "outside",
    "path_of",
    "refused",
    "stale",
    "still_meant",
    "unusual",
]

T = TypeVar("T")

LEAD = 11400.0
"""Density of lead [kg/m3], the heaviest that counterweights are cast of (handbook value, from memory)."""
OSMIUM = 22600.0
"""Density of osmium [kg/m3], the densest element (handbook value, from memory)."""

_POINT = re.compile(r"([1-9][0-9]{0,2}\.[0-9]{2}0)\s*(kg|lb|N|lbf|Pa|kPa|psi|psf|N/m|N/mm|kN/m)", re.ASCII)
"""A number that half of the world reads as thousands, in units so small that nobody gives three decimals of them.

One that ends in nought, as people write thousands; a drawing program's figures end as they come.
"""
SLIP = "Correct the value or its unit"


@dataclass(frozen=True)
class Rule(Generic[T]):
    """One rule: what it finds in a thing (or between things), its answer, and its source or the reason for it."""

    name: str
    answer: Literal["refused", "unusual"]
    why: str
    find: Callable[[T], Iterable[Finding]]


@dataclass(frozen=True)
class Usual:
    """The range [SI] within which a value is not asked about; ``keys`` is dotted, ``*`` stands for each of a list."""

    keys: str
    low: float
    high: float
    why: str


def outside(spec: Spec, rows: Iterable[Usual], at: Path = ()) -> Iterator[Finding]:
    """Yield the values of a spec that lie outside their usual range."""
    for row in rows:
        for path, value, quantity in _values(spec, row.keys.split("."), at, None):
            if not row.low <= value <= row.high and quantity is not None:
                low, high = quantity.say(row.low), quantity.say(row.high)
                yield Finding(path, f"is unusual, {row.why} is {low} to {high}", SLIP)


def _values(
    node: Any, parts: Sequence[str], path: Path, quantity: Quantity | None
) -> Iterator[tuple[Path, float, Quantity | None]]:
    if node is None:
        return
    if not parts:
        yield path, float(node), quantity
    elif parts[0] == "*":
        for index, entry in enumerate(node):
            yield from _values(entry, parts[1:], (*path, index), quantity)
    elif (field := type(node).model_fields.get(parts[0])) is not None:
        yield from _values(getattr(node, parts[0]), parts[1:], (*path, parts[0]), quantity_of(field))


def refused(thing: T, rules: Iterable[Rule[T]]) -> Iterator[Finding]:
    """Yield what cannot be."""
    for rule in rules:
        if rule.answer == "refused":
            yield from rule.find(thing)


def found(thing: T, rules: Iterable[Rule[T]]) -> Iterator[Finding]:
    """Yield what is unusual."""
    for rule in rules:
        if rule.answer == "unusual":
            yield from rule.find(thing)


def unusual(findings: Iterable[Finding], document: Document, meant: Iterable[Path]) -> tuple[InputError, ...]:
    """Return what is unusual in a document and not meant, one question a value, each as the error that refuses it."""
    first: dict[Path, Finding] = {}
    for finding in (*_points(document.data, ()), *findings):
        if finding.path not in document.filled:  # what it was filled in from is asked about
            first.setdefault(_as_given(document, finding.path), finding)
    excused = tuple(meant)
    questions = (
        (path, finding) for path, finding in first.items() if not any(_within(path, whole) for whole in excused)
    )
    return tuple(_asked(document.problem(path, finding.reason, finding.remedy)) for path, finding in questions)


def _asked(error: InputError) -> InputError:
    """Return an error whose remedy says as well how to say that the value is meant."""
    said = f'meant = ["{error.key}"] in this file'
    if error.file == FROM_SET:
        said = change("meant", f'["{error.key}"]', whole=True)
    remedy = f"{error.remedy}. If it is meant, say so: {said}"
    return InputError(error.reason, file=error.file, line=error.line, key=error.key, value=error.value, remedy=remedy)


def _points(node: Any, path: Path) -> Iterator[Finding]:
    """Yield values such as "8.500 kg", written as one writes eight thousand and a half in half of the world."""
    if isinstance(node, str):
        if (written := _POINT.fullmatch(node.strip())) is not None:
            small, other = (f"{factor * float(written[1]):g} {written[2]}" for factor in (1, 1000))
            yield Finding(
                path, f"can be read as {small} and as {other}; it is read as {small}", f'Write "{small}" or "{other}"'
            )
    elif isinstance(node, dict):
        for key, value in node.items():
            yield from _points(value, (*path, key))
    elif isinstance(node, list):
        for index, value in enumerate(node):
            yield from _points(value, (*path, index))


def _as_given(document: Document, path: Path) -> Path:
    """Return the path at which a value was given, where one value stands for several."""
    node: Any = document.data
    part: Any
    for depth, part in enumerate(path):
        if isinstance(node, str | int | float):
            return path[:depth]
        try:
            node = node[part]
        except (KeyError, IndexError, TypeError):
            return path
    return path


def _within(path: Path, whole: Path) -> bool:
    return path[: len(whole)] == whole


def path_of(spec: Any, key: str) -> Path | None:
    """Return the path of a dotted key, list entries by index or by name; None where a spec has no such value."""
    path: Path = ()
    for part in key.split("."):
        step: str | int = part
        if isinstance(spec, tuple):
            names = [getattr(entry, "name", None) for entry in spec]
            index = names.index(part) if part in names else int(part) if part.isascii() and part.isdigit() else -1
            if not 0 <= index < len(spec):
                return None
            step, spec = index, spec[index]
        elif isinstance(spec, Spec) and part in type(spec).model_fields:
            spec = getattr(spec, part)
        else:
            return None
        path = (*path, step)
    return path


def still_meant(keys: Iterable[str], spec: Spec, changed: Iterable[Path]) -> tuple[str, ...]:
    """Return what a file says is meant, without values that a change has replaced since the file said so."""
    changes = list(changed)
    if ("meant",) in changes:
        return tuple(keys)
    return tuple(key for key in keys if not _replaced(path_of(spec, key), changes))


def _replaced(path: Path | None, changes: Sequence[Path]) -> bool:
    return path is not None and any(_within(path, change) or _within(change, path) for change in changes)


def stale(findings: Iterable[Finding], document: Document, meant: Iterable[Path]) -> Iterator[Path]:
    """Yield the paths said to be meant at which nothing is unusual."""
    there = [_as_given(document, finding.path) for finding in (*_points(document.data, ()), *findings)]
    yield from (path for path in meant if not any(_within(place, path) for place in there))
