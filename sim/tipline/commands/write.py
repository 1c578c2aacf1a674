"""`write`: the folder that a command leaves, of a result had in Python."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from tipline.commands.check import CheckResult, write_check
from tipline.commands.delivered import Wishes
from tipline.commands.export import ExportResult, write_export
from tipline.commands.floor import FloorResult, write_floor
from tipline.commands.folder import new_folder
from tipline.commands.given import Progress, silent
from tipline.commands.run import RunResult, write_run
from tipline.commands.slopes import SlopeResult, write_slopes
from tipline.commands.sweep import SweepResult, write_sweep

__all__ = ["write"]


def write(
    result: RunResult | CheckResult | FloorResult | SlopeResult | SweepResult | ExportResult,
    folder: Path | str,
    units: Literal["si", "us"] = "si",
    pictures: bool = True,
    draft: bool = False,
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
    progress : told of each stage

    Raises
    ------
    InputError
        `folder` holds something already, or nothing can be written there.
    """
    target, wishes, tell = Path(folder), Wishes(units, pictures, draft), progress or silent
    with new_folder(target) as new:
        if isinstance(result, SweepResult):
            result.table.to_parquet(new / "sweep.parquet")
            write_sweep(result, new, wishes, tell)
        elif isinstance(result, FloorResult):
            write_floor(result, new, wishes, tell)
        elif isinstance(result, SlopeResult):
            write_slopes(result, new, wishes, tell)
        elif isinstance(result, ExportResult):
            write_export(result, new)
        elif isinstance(result, CheckResult):
            write_check(result, new, wishes)
        else:
            write_run(result, new, wishes, tell)
    return target
