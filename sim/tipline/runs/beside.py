"""Two runs beside each other: which inputs differ, in words, and how far their distances to the tip lines are apart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipline.endings import LINES
from tipline.scenario.kinds import kind_of
from tipline.units import show_alike

if TYPE_CHECKING:
    from tipline.results import Run
    from tipline.scenario import Case
    from tipline.scenario.spec import Scenario

__all__ = ["Change", "apart", "changes", "said_of_changes"]

Array = NDArray[np.float64]
_NOT_PHYSICS = ("run.", "table.", "expect.")
_MOST = 4
_RATE = 50.0
"""Samples a second of the differences, as pages show them (our choice)."""


@dataclass(frozen=True)
class Change:
    """An input that differs: its key, what it is in words, and its value in the first and in the second run."""

    key: str
    what: str
    first: str
    second: str


def changes(first: Case, second: Case) -> tuple[Change, ...]:
    """Give every input that differs; what only says how a run is made is none."""
    earlier, later = first.quantified, second.quantified
    differing = []
    for key in [*earlier, *(key for key in later if key not in earlier)]:
        a, b = _said(earlier.get(key), later.get(key))
        if a != b and not key.startswith(_NOT_PHYSICS):
            differing.append(Change(key, _what(key, (first if key in earlier else second).scenario), a, b))
    return tuple(differing)


def _said(first: Mapping[str, Any] | None, second: Mapping[str, Any] | None) -> tuple[str, str]:
    """Say two values of an input, both in the unit of the greater one: 5 m and 0.3 m."""
    a, b = ("not given" if entry is None else str(entry["value"]) for entry in (first, second))
    if first is None or second is None or a == b or not first["quantity"]:
        return a, b
    values = (first["si"], second["si"])
    if not all(isinstance(value, float) for value in values):
        return a, b
    a, b = show_alike(values, first["quantity"])
    return a, b


def said_of_changes(differing: tuple[Change, ...]) -> str:
    """Say in a sentence what differs between run A and run B."""
    if not differing:
        return "Nothing was changed between A and B."
    said = "; ".join(f"{change.what}, {change.first} in A, {change.second} in B" for change in differing[:_MOST])
    if len(differing) == 1:
        return f"One thing changed: {said}."
    more = f"; and {len(differing) - _MOST} more" if len(differing) > _MOST else ""
    return f"{len(differing)} things changed: {said}{more}."


def _what(key: str, scenario: Scenario) -> str:
    """Name an input: by the word of its event where it is the leading one, else by its key."""
    parts = key.split(".")
    if parts[0] == "event" and len(parts) == 3 and parts[1].isdigit():
        leading = kind_of(scenario.event[int(parts[1])]).leading
        if leading is not None and leading.field == parts[2]:
            return leading.what
    named = [part for part in parts if not part.isdigit() and part not in ("setup", "event")]
    return " ".join(named).replace("_", " ")


def apart(first: Run, second: Run) -> tuple[Array, dict[str, Array]]:
    """Give times (n,) [s] and by tip line how much farther from it the second run is (n,) [m].

    nan where one of them has no distance.
    """
    end = min(float(first.time[-1]), float(second.time[-1]))
    times = np.arange(0.0, end, 1.0 / _RATE)

    def at(run: Run, line: str) -> Array:
        return np.asarray(np.interp(times, run.time, run.series(f"distance.{line}")))

    shown = {line: at(second, line) - at(first, line) for line in LINES}
    until = [
        float(run.watched.no_return) for run in (first, second) if run.watched and run.watched.no_return is not None
    ]
    return times, {
        line: np.where(times <= min(until, default=np.inf), values, np.nan) for line, values in shown.items()
    }
