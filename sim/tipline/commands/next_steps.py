"""What to do after a run: its report, its replay, its film, and one thing to change, as a command that can be typed."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import TYPE_CHECKING

from tipline.scenario.kinds import kind_of
from tipline.units import show

if TYPE_CHECKING:
    from tipline.runs.assessment import RunReport
    from tipline.runs.endings import EndingChange
    from tipline.scenario import Case

__all__ = ["after_run"]

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


def _changed(report: RunReport, case: Case) -> str:
    """Return a setting with another value: the nearest that ends otherwise where it is known, else a lower one."""
    spread = report.spread
    change = None if spread is None else spread.stays_until or spread.change
    for index, event in enumerate(case.scenario.event):
        leading = kind_of(event).leading
        value = getattr(event, leading.field) if leading is not None else None
        if leading is not None and value is not None:
            text = show(_other(change, leading.what, float(value)), leading.dimension)
            return f"event.{index}.{leading.field}={shlex.quote(text)}"
    if case.load is None:
        return ""
    return f"load.mass={shlex.quote(show(_other(change, 'lifted weight', case.load.mass), 'mass'))}"


def _other(change: EndingChange | None, what: str, value: float) -> float:
    known = change is not None and change.what == what and change.at is not None
    return change.at if known and change is not None and change.at is not None else LESS * value
