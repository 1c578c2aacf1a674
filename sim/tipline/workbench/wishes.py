"""What is chosen among the other answers: files, and a sweep of the set-up with its ranges."""

from __future__ import annotations

from collections.abc import Mapping
from math import prod
from typing import TYPE_CHECKING

from tipline import units

if TYPE_CHECKING:
    from tipline.units import System
    from tipline.workbench.fields import FormField
    from tipline.workbench.work import Work

__all__ = ["VALUES", "WISHES", "wish", "wished"]

_FILES = ("route", "stock", "sweep", "incident", "lesson")
VALUES = "1234"
"""The values of a sweep of the set-up, by number: the more of them the fewer one gets to see at once (our choice)."""
WISHES = (*_FILES, *(f"{name}{number}" for number in VALUES for name in ("key", "from", "to", "count")))
"""What can be wished for by name."""
_MOST = 300
"""How long a wish may be, in letters (our choice)."""
_PART = 0.2
"""A value without ends of its own is taken so far down and up at first, as a part of it (our choice)."""
_COUNTS = ("11", "5", "3", "3")
"""How many values are taken at first: of one value, of each of two, and so on (our choice)."""


def wish(work: Work, name: str, text: str) -> None:
    """Take a wish; with a value that is to vary come the ends of its range."""
    if name not in WISHES:
        return
    wishes, number = work.wishes, name[-1]
    wishes[name] = text[:_MOST]
    if name.startswith("key"):
        field = work.standing.field(text)
        wishes[f"from{number}"], wishes[f"to{number}"] = ("", "") if field is None else _ends(field, work.system)
        chosen = sum(bool(wishes.get(f"key{each}")) for each in VALUES)
        wishes |= {f"count{each}": _COUNTS[max(chosen - 1, 0)] for each in VALUES}
    work.version += 1


def wished(wishes: Mapping[str, str]) -> tuple[list[str], int]:
    """Give the numbers of the values that are to vary, and how many runs these make; 0 where a count is none."""
    numbers = [number for number in VALUES if wishes.get(f"key{number}")]
    counts = [wishes.get(f"count{number}", "").strip() for number in numbers]
    return numbers, prod(map(int, counts)) if all(count.isdecimal() for count in counts) else 0


def _ends(field: FormField, system: System) -> tuple[str, str]:
    """Give from where to where a value is varied at first: its slider's ends, else a part down and up."""
    slide = field.slide
    if slide is not None:
        stops = slide.stops
        return f"{stops[0]:g} {slide.unit}".strip(), f"{stops[-1]:g} {slide.unit}".strip()
    if field.dimension == "number":
        return field.value, field.value
    value = units.parse(field.value, field.dimension)
    low, high = sorted((value * (1.0 - _PART), value * (1.0 + _PART)))
    return units.show(low, field.dimension, system), units.show(high, field.dimension, system)
