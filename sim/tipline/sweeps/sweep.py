"""A sweep from its file to its table and report: read, run what is missing, assess."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tipline.notebook import Reported
from tipline.sweeps.table import SweepTable

if TYPE_CHECKING:
    from tipline.assess.sweeps import SweepReport
    from tipline.scenario.sweep_reader import Plan

__all__ = ["Interrupted", "SweepResult", "sweep"]

Progress = Callable[[str, float | None], None]
ONE_PROCESS = "dask is not installed, so all rows were run in one process; they are the same as with more."


class Interrupted(KeyboardInterrupt):
    """A sweep was stopped; ``kept`` of its ``rows`` are in its folder."""

    def __init__(self, kept: int, rows: int) -> None:
        super().__init__(f"{kept} of {rows} rows are kept")
        self.kept, self.rows = kept, rows


@dataclass(frozen=True, repr=False)
class SweepResult(Reported):
    """A sweep: what was asked, its table of one row a run, what it says, and the folder it lies in, if any."""

    plan: Plan
    table: SweepTable
    report: SweepReport
    folder: Path | None

    def _repr_html_(self) -> str:
        return super()._repr_html_() + self.table._repr_html_()


def sweep(
    file: Path | str,
    overrides: Mapping[str, str] | None = None,
    out: Path | None = None,
    workers: int = 1,
    scheduler: str | None = None,
    resume: bool = False,
    progress: Progress | None = None,
) -> SweepResult:
    """Run a sweep, given as a file or the name of a shipped one, and say what it found.

    Parameters
    ----------
    file : path or name
    overrides : values that replace those of the sweep file, such as {"runs": "50"}
    out : folder for table and chunks; left out, the table is held in memory and nothing is kept
    workers : processes on this computer; one or none runs all here. A script that asks for more must start from
        ``if __name__ == "__main__":``
    scheduler : address of a dask scheduler, in place of them
    resume : go on with what `out` holds
    progress : told of each stage

    Raises
    ------
    InputError
        A file or a value is wrong, `out` holds something else, or the disk is full.
    MissingPart
        pybullet, or what the method or the scheduler needs, is not installed.
    Interrupted
        It was stopped; what is finished stays in `out`.
    """
    from tipline.scenario.sweep_reader import read_sweep

    tell = progress or _silent
    tell("reading", None)
    plan = read_sweep(file, overrides)
    if out is not None:
        return _run(plan, out, workers, scheduler, resume, tell)
    with tempfile.TemporaryDirectory(prefix="tipline-sweep-") as folder:
        made = _run(plan, Path(folder) / "sweep", workers, scheduler, False, tell)
        held = SweepTable(data=(Path(folder) / "sweep" / "sweep.parquet").read_bytes())
        return SweepResult(plan, held, made.report, None)


def _run(plan: Plan, out: Path, workers: int, scheduler: str | None, resume: bool, tell: Progress) -> SweepResult:
    from tipline.assess.floor.laws import floor_laws
    from tipline.assess.sweeps import assess_sweep
    from tipline.sweeps.execute import has_dask, run_missing
    from tipline.sweeps.job import job_of
    from tipline.sweeps.store import Store

    job = job_of(plan)
    store = Store(out, job, resume=resume)
    tell("loading the engine (its first start compiles it, under a minute)", None)
    stage = f"running {job.rows} rows"
    try:
        run_missing(job, store, workers, scheduler, lambda there: tell(stage, there / job.rows))
        tell("writing the table", None)
        table = SweepTable(store.finish())
    except KeyboardInterrupt:
        raise Interrupted(store.rows_there(), job.rows) from None
    tell("assessing", None)
    notes = [ONE_PROCESS] if scheduler is None and workers > 1 and not has_dask() else []
    notes += [f"The floor, as the scenario is without the changes: {note}." for note in floor_laws(plan.case).notes]
    report = assess_sweep(plan, table, job.fingerprint, notes)
    return SweepResult(plan, table, report, out)


def _silent(stage: str, part: float | None) -> None:
    """Tell nobody."""
