"""What to do after a run: its report, its replay, its film, and one thing to change, as a command that can be typed."""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from math import isclose
from pathlib import Path
from typing import TYPE_CHECKING

from tipline.scenario.kinds import kind_of
from tipline.units import show

if TYPE_CHECKING:
    from tipline.runs.assessment import RunReport
    from tipline.runs.endings import EndingChange
    from tipline.scenario import Case

__all__ = ["after_file", "after_run"]

LESS = 0.8
"""Part of the value given that is tried where no nearer change of the ending is known (our choice)."""


def after_run(report: RunReport, case: Case, typed: str, folder: Path) -> str:
    """Say where report, replay and film are, and how the run is made again with one thing changed."""
    lines = [f"Report: {folder / 'report.html'}"]
    if (folder / "replay.html").exists():
        lines.append(f"Replay, in a browser: {folder / 'replay.html'}")
    if (folder / "replay.mp4").exists():
        lines.append(f"Film: {folder / 'replay.mp4'}")
    changed = _changed(report, case)
    if changed:
        lines.append(f"Change one thing: tipline run {shlex.quote(typed)} --set {changed}")
    return "\n".join(lines)


def after_file(kind: str, place: Path) -> str:
    """Say what is done with a file that was copied or begun, as a command that can be typed."""
    return f"Change it, then: {_USES[kind].format(shlex.quote(str(place)))}"


_USES = {
    "scenario": "tipline run {}",
    "machine": "tipline loads {}",
    "floor": "tipline floor {}",
    "sweep": "tipline sweep {}",
    "incident": "tipline reconstruct {}",
    "lesson": "tipline lesson {}",
    "stock": "tipline floor SCENARIO --stock {}",
    "route": "tipline floor SCENARIO --route {}",
}


def _changed(report: RunReport, case: Case) -> str:
    """Return a setting with another value: the nearest that ends otherwise where it is known, else a lower one."""
    spread = report.spread
    change = None if spread is None else spread.stays_until or spread.change
    found = [(name, key, dimension, LESS * value) for name, key, dimension, value in _settings(case)]
    if change is not None and change.at is not None:
        near = ((key, change.at) for name, key, _, value in _settings(case) if _is_of(change, name, value))
        found = [(change.what, key, change.dimension, at) for key, at in near] or found
    if not found:
        return ""
    _, key, dimension, value = found[0]
    return f"{key}={shlex.quote(show(value, dimension))}"


def _settings(case: Case) -> Iterator[tuple[str, str, str, float]]:
    """Yield name, key, dimension and value of what leads each event, then of the lifted weight."""
    for index, event in enumerate(case.scenario.event):
        leading = kind_of(event).leading
        value = getattr(event, leading.field) if leading is not None else None
        if leading is not None and value is not None:
            yield leading.what, f"event.{index}.{leading.field}", leading.dimension, float(value)
    if case.load is not None:
        yield "lifted weight", "load.mass", "mass", case.load.mass


def _is_of(change: EndingChange, name: str, value: float) -> bool:
    return change.what == name and isclose(change.here, value, rel_tol=1e-6)
