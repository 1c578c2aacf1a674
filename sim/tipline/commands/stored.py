"""A run read back from the folder that it left: its arrays, its inputs, and what they mean."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tipline.commands.folder import hold_links
from tipline.commands.given import named
from tipline.commands.run import RunResult
from tipline.errors import InputError
from tipline.model.shipped import only_in

if TYPE_CHECKING:
    from tipline.results import Run
    from tipline.runs.assessment import RunReport

__all__ = ["Stored", "stored"]

_NEEDED = ("run.parquet", "inputs/resolved.toml", "summary.json")


@dataclass(frozen=True)
class Stored:
    """A run as its folder has it; ``doubts``: in how many further runs it ended so, where it could go either way."""

    folder: Path
    result: RunResult
    doubts: tuple[str, ...] = ()


def stored(folder: Path | str, name: str = "run") -> Stored:
    """Read the folder of a run; ``name`` is the argument it was given by.

    Raises
    ------
    InputError
        It is not a run's folder, a file in it cannot be read or leads out of it, or its arrays are not of its inputs.
    """
    from tipline.results import Run
    from tipline.runs.assessment import assess_run
    from tipline.scenario import read

    place = Path(named(folder, name, "the folder that a run left"))
    missing = [part for part in _NEEDED if not (place / part).is_file()]
    if missing:
        reason = "is not a folder" if not place.is_dir() else f"has no {missing[0]}, as the folder of a run has"
        remedy = "Give the folder that tipline run wrote, as runs/NAME"
        raise InputError(reason, file=str(place), remedy=remedy)
    hold_links(place, _NEEDED[0])
    with only_in(place):
        case = read(place / "inputs" / "resolved.toml")
    run, summary = Run.from_parquet(place / "run.parquet"), _told(place)
    _hold_together(run, place)
    report = assess_run(run, case)
    if report.run_id != summary.get("run_id"):
        reason = f"holds run {summary.get('run_id')}, but its inputs are those of run {report.run_id}"
        remedy = "Files in it were changed since; run the scenario again"
        raise InputError(reason, file=str(place), remedy=remedy)
    return Stored(place, RunResult(case, run, report), _doubts(summary, report))


def _told(place: Path) -> dict[str, Any]:
    """Give the summary of a folder, nothing where it is none."""
    try:
        summary = json.loads((place / "summary.json").read_text(encoding="utf-8"))
    except (ValueError, OSError, RecursionError):
        return {}
    return summary if isinstance(summary, dict) else {}


def _hold_together(run: Run, place: Path) -> None:
    if run.watched is None or "places" not in run.meta:
        reason = "was made by an older version, which kept less of a run"
        raise InputError(reason, file=str(place), remedy="Run the scenario again")


def _doubts(summary: dict[str, Any], report: RunReport) -> tuple[str, ...]:
    """Give in how many runs it ended so: the folder tells it in its heading, since further runs are not kept."""
    from tipline.runs.told import EITHER_WAY

    heading = str(summary.get("outcome", {}).get("heading", ""))
    start = f"{EITHER_WAY}: "
    return (heading.removeprefix(start),) if heading.startswith(start) and not report.doubts else ()
