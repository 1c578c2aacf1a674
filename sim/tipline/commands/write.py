"""`write`: the folder that a command leaves, of a result had in Python."""

from __future__ import annotations

from pathlib import Path
from typing import TypeAlias

from tipline.commands.check import CheckResult, write_check
from tipline.commands.delivered import Wishes
from tipline.commands.export import ExportResult, write_export
from tipline.commands.fit import FitResult, write_fit
from tipline.commands.floor import FloorResult, write_floor
from tipline.commands.folder import new_folder
from tipline.commands.given import Progress, named, one_of, silent
from tipline.commands.loads import LoadsResult, write_loads
from tipline.commands.replay import ReplayResult, write_replay
from tipline.commands.run import REPLAY, RunResult, write_run
from tipline.commands.slopes import SlopeResult, write_slopes
from tipline.commands.start import StartResult, write_start
from tipline.commands.sweep import SweepResult, write_sweep
from tipline.errors import InputError
from tipline.units import System

__all__ = ["write"]

_RESULTS = (
    RunResult,
    CheckResult,
    FitResult,
    FloorResult,
    LoadsResult,
    ReplayResult,
    SlopeResult,
    StartResult,
    SweepResult,
    ExportResult,
)
Result: TypeAlias = (
    RunResult
    | CheckResult
    | FitResult
    | FloorResult
    | LoadsResult
    | ReplayResult
    | SlopeResult
    | StartResult
    | SweepResult
    | ExportResult
)


def write(
    result: RunResult
    | CheckResult
    | FitResult
    | FloorResult
    | LoadsResult
    | ReplayResult
    | SlopeResult
    | StartResult
    | SweepResult
    | ExportResult,
    folder: Path | str,
    units: System = "si",
    pictures: bool = True,
    draft: bool = False,
    film: bool = True,
    progress: Progress | None = None,
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

    Raises
    ------
    InputError
        `folder` holds something already, or nothing can be written there.

    Examples
    --------
    >>> import tempfile, tipline
    >>> pose = tipline.check("front-tyre-breaks-through-load-high")
    >>> with tempfile.TemporaryDirectory() as place:
    ...     folder = tipline.write(pose, f"{place}/lift-1", units="us")
    ...     sorted(path.name for path in folder.iterdir())
    ['inputs', 'report.html', 'summary.json']
    """
    one_of(units, "units", ("si", "us"))
    target, wishes, tell = (
        Path(named(folder, "folder", "a folder")),
        Wishes(units, pictures, draft, film),
        progress or silent,
    )
    given: object = result
    if not isinstance(given, _RESULTS):
        remedy = "Give what one of the commands returned"
        msg = "is no result of a command"
        raise InputError(msg, key="result", value=repr(given), remedy=remedy)
    broken_off = False
    with new_folder(target) as new:
        if isinstance(result, SweepResult):
            result.table.to_parquet(new / "sweep.parquet")
            write_sweep(result, new, wishes, tell)
        elif isinstance(result, FloorResult):
            write_floor(result, new, wishes, tell)
        elif isinstance(result, SlopeResult):
            write_slopes(result, new, wishes, tell)
        elif isinstance(result, LoadsResult):
            write_loads(result, new, wishes, tell)
        elif isinstance(result, FitResult):
            write_fit(result, new, wishes)
        elif isinstance(result, ExportResult):
            write_export(result, new)
        elif isinstance(result, StartResult):
            write_start(result, new, wishes)
        elif isinstance(result, ReplayResult):
            write_replay(result, new / REPLAY)
        elif isinstance(result, CheckResult):
            write_check(result, new, wishes)
        else:
            broken_off = write_run(result, new, wishes, tell).broken_off
    if broken_off:
        raise KeyboardInterrupt
    return target
