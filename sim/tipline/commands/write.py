"""`write`: the folder that a command leaves, of a result had in Python."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TypeAlias

from tipline.commands.check import CheckResult, write_check
from tipline.commands.delivered import Wishes
from tipline.commands.export import ExportResult, write_export
from tipline.commands.fit import FitResult, write_fit
from tipline.commands.floor import FloorResult, write_floor
from tipline.commands.folder import new_folder
from tipline.commands.given import Progress, named, one_of, silent
from tipline.commands.lesson import LessonResult, write_lesson
from tipline.commands.loads import LoadsResult, write_loads
from tipline.commands.reconstruct import ReconstructResult, place_of, write_reconstruct
from tipline.commands.replay import ReplayResult, write_replay
from tipline.commands.run import REPLAY, RunResult, write_run
from tipline.commands.slopes import SlopeResult, write_slopes
from tipline.commands.start import StartResult, write_start
from tipline.commands.sweep import SweepResult, write_sweep
from tipline.errors import InputError
from tipline.report.paper import PAPERS, Paper
from tipline.units import System

__all__ = ["write"]

_PLAIN: dict[type, Callable[..., object]] = {
    CheckResult: write_check,
    FitResult: write_fit,
    StartResult: write_start,
}
_TOLD: dict[type, Callable[..., object]] = {
    FloorResult: write_floor,
    LoadsResult: write_loads,
    SlopeResult: write_slopes,
}
"""What writes each kind of result: told of nothing, or with the stages it goes through."""
Result: TypeAlias = (
    RunResult
    | CheckResult
    | FitResult
    | FloorResult
    | LessonResult
    | LoadsResult
    | ReplayResult
    | ReconstructResult
    | SlopeResult
    | StartResult
    | SweepResult
    | ExportResult
)


def write(
    result: Result,
    folder: Path | str,
    units: System = "si",
    pictures: bool = True,
    draft: bool = False,
    film: bool = True,
    progress: Progress | None = None,
    pdf: bool = False,
    paper: Paper = "a4",
) -> Path:
    """Write what the command that gives such a result leaves, whole or not at all; return the folder.

    Parameters
    ----------
    result : of one of the commands
    folder : to write; it must not exist yet, or be empty
    units : of the page
    pictures : whether to draw
    draft : a small film, drawn faster
    film : whether to draw the film of a run; where its drawing is broken off the folder is kept
    progress : told of each stage
    pdf : whether to set the report as report.pdf too, of a run, check, floor, slopes, loads, sweep or incident
    paper : its sheet, "a4" or "letter"

    Raises
    ------
    InputError
        `folder` holds something already, or nothing can be written there.
    MissingPart
        A PDF is asked for, and what sets it is not installed.

    Examples
    --------
    >>> import tempfile, tipline
    >>> pose = tipline.check("front-tyre-breaks-through-load-high")
    >>> with tempfile.TemporaryDirectory() as place:
    ...     folder = tipline.write(pose, f"{place}/lift-1", units="us")
    ...     sorted(path.name for path in folder.iterdir())
    ['inputs', 'plan.svg', 'report.html', 'report.json', 'summary.json']
    """
    one_of(units, "units", ("si", "us"))
    one_of(paper, "paper", PAPERS)
    target, wishes, tell = (
        Path(named(folder, "folder", "a folder")),
        Wishes(units, pictures, draft, film, pdf, paper),
        progress or silent,
    )
    given: object = result
    if not isinstance(given, Result):
        remedy = "Give what one of the commands returned"
        msg = "is no result of a command"
        raise InputError(msg, key="result", value=repr(given), remedy=remedy)
    with new_folder(target) as new:
        broken_off = _written(result, new, wishes, tell)
    if broken_off:
        raise KeyboardInterrupt
    return target


def _written(result: Result, new: Path, wishes: Wishes, tell: Progress) -> bool:
    """Write a result into a new folder; say whether the drawing of its film was broken off."""
    for kind, write_it in _PLAIN.items():
        if isinstance(result, kind):
            write_it(result, new, wishes)
            return False
    for kind, write_it in _TOLD.items():
        if isinstance(result, kind):
            write_it(result, new, wishes, tell)
            return False
    if isinstance(result, SweepResult):
        result.table.to_parquet(new / "sweep.parquet")
        write_sweep(result, new, wishes, tell)
    elif isinstance(result, ReconstructResult):
        for number, tables in enumerate(result.tables):
            for count, table in enumerate(tables):
                place = new / "runs" / place_of(number, count)
                place.mkdir(parents=True)
                table.to_parquet(place / "sweep.parquet")
        write_reconstruct(result, new, wishes, tell)
    elif isinstance(result, ExportResult):
        write_export(result, new)
    elif isinstance(result, LessonResult):
        write_lesson(result, new)
    elif isinstance(result, ReplayResult):
        write_replay(result, new / REPLAY)
    elif isinstance(result, RunResult):
        return write_run(result, new, wishes, tell).broken_off
    return False
