"""What is chosen among the other answers: files, and a sweep of the set-up with its ranges."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tipline import units

if TYPE_CHECKING:
    from tipline.units import System
    from tipline.workbench.fields import FormField
    from tipline.workbench.work import Work

__all__ = ["WISHES", "wish"]

_FILES = ("route", "stock", "sweep", "incident", "lesson")
WISHES = (*_FILES, *(f"{name}{number}" for number in "12" for name in ("key", "from", "to", "count")))
"""What can be wished for by name; of a sweep the first value and the second."""
_MOST = 300
"""How long a wish may be, in letters (our choice)."""
_PART = 0.2
"""A value without ends of its own is taken so far down and up at first, as a part of it (our choice)."""
_COUNT = {"1": "11", "2": "5"}
"""How many values are taken at first: of one value, and of each of two (our choice)."""


def wish(work: Work, name: str, text: str) -> None:
    """Take a wish; with a value that is to vary come the ends of its range."""
    if name not in WISHES:
        return
    wishes, number = work.wishes, name[-1]
    wishes[name] = text[:_MOST]
    if name.startswith("key"):
        field = work.standing.field(text)
        wishes[f"from{number}"], wishes[f"to{number}"] = ("", "") if field is None else _ends(field, work.system)
        two = all(wishes.get(f"key{each}") for each in "12")
        wishes |= {f"count{each}": _COUNT["2" if two else "1"] for each in "12"}
    work.version += 1


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
