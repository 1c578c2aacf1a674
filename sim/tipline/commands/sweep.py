"""`sweep`: a scenario run many times over what may vary: read, run what is missing, assess."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from tipline import units
from tipline.commands.delivered import Delivered, Order, Wishes, into, links, names, write_drawings, write_inputs
from tipline.commands.given import Overrides, Progress, hold_to, input_name, named, silent, whole
from tipline.commands.limits import MOST_WORKERS
from tipline.errors import InputError, argument
from tipline.model.document import checked
from tipline.notebook import Reported
from tipline.report import sweeps as pages
from tipline.report.first import first_on, first_summary
from tipline.report.page import Page, Pictures
from tipline.scenario.case import Source
from tipline.sweeps import input_ranges
from tipline.sweeps.table import SweepTable
from tipline.units import System

if TYPE_CHECKING:
    from tipline.scenario.incident_plan import IncidentPlan
    from tipline.scenario.sweep_plan import SweepPlan
    from tipline.sweeps.report import SweepReport

__all__ = ["Interrupted", "SweepResult", "sweep", "write_sweep"]

LONGEST = "1 h"
"""How long a run may take where nothing is said. The longest that can be asked for, 600 s in steps of 0.1 ms, takes
half a minute of a core; a usual one some hundredths of a second."""
LEAST, MOST = 1.0, 2.5e6
"""The shortest and the longest [s] that can be asked for."""


class Interrupted(KeyboardInterrupt):
    """A sweep was stopped; ``kept`` of its ``rows`` are in its folder."""

    def __init__(self, kept: int, rows: int) -> None:
        super().__init__(f"{kept} of {rows} rows are kept")
        self.kept, self.rows = kept, rows


@dataclass(frozen=True, repr=False)
class SweepResult(Reported):
    """A sweep: what was asked, its table of one row a run, what it says, and the folder it lies in, if any."""

    plan: SweepPlan
    table: SweepTable
    report: SweepReport
    folder: Path | None

    def _repr_html_(self) -> str:
        from tipline.report.notebook import fragment, sweep_with_rows

        return fragment(sweep_with_rows(self.report, self.table))


def sweep(
    file: SweepPlan | Path | str,
    overrides: Overrides | None = None,
    out: Path | str | None = None,
    workers: int = 1,
    scheduler: str | None = None,
    resume: bool = False,
    progress: Progress | None = None,
    give_up_after: float | str = LONGEST,
    strict: bool = False,
) -> SweepResult:
    """Run a sweep, given as a file or the name of a shipped one, and say what it found.

    Parameters
    ----------
    file : path or name, or a plan already read (`tipline.scenario.sweep_reader.read_sweep`)
    overrides : values that replace those of the sweep file, such as {"runs": 50}; numbers are in SI
    out : folder for table and chunks; left out, the table is held in memory and nothing is kept
    workers : how many on this computer make the runs, each a child of this process. With 0 this process makes them,
        and a run that ends its process, or never ends, takes the sweep with it
    scheduler : address of a dask scheduler, in place of them
    resume : go on with what `out` holds
    progress : told of each stage
    give_up_after : how long one run may take, such as "2 h" or a number of seconds, before its process is ended. It
        is tried once more alone, then its row says so. Rows of other runs do not depend on it
    strict : refuse what is unusual and not said to be meant, as if it could not be

    Raises
    ------
    InputError
        A file or a value is wrong, `out` holds something else, or the disk is full.
    TiplineError
        The cluster was lost, or no process can be started.
    MissingPart
        What the method or the scheduler needs is not installed.
    Interrupted
        It was stopped; what is finished stays in `out`.

    Examples
    --------
    >>> import tipline
    >>> result = tipline.sweep("one-front-tyre-breaks-through", {"runs": 2}, workers=0)
    >>> len(result.table), result.table.column("truck").shape
    (2, (2,))
    """
    from tipline.sweeps.interrupts import heed, heeded

    said = progress or silent

    def tell(stage: str, part: float | None) -> None:
        heed()
        said(stage, part)

    with heeded():
        tell("reading", None)
        plan, limit = _plan(file, overrides), _seconds(give_up_after)
        whole(workers, "workers", 0, MOST_WORKERS)
        hold_to(plan.unusual, strict=strict)
        if out is not None:
            place = Path(named(out, "out", "a folder"))
            return _run(plan, place, workers, scheduler, resume, tell, limit)
        return _in_memory(plan, workers, scheduler, tell, limit)


def _in_memory(plan: SweepPlan, workers: int, scheduler: str | None, tell: Progress, limit: float) -> SweepResult:
    with tempfile.TemporaryDirectory(prefix="tipline-sweep-") as folder:
        outcome = _run(plan, Path(folder) / "sweep", workers, scheduler, False, tell, limit)
        held = SweepTable(data=(Path(folder) / "sweep" / "sweep.parquet").read_bytes())
        return SweepResult(plan, held, outcome.report, None)


def _plan(file: SweepPlan | Path | str, overrides: Overrides | None) -> SweepPlan:
    """Return the plan of a sweep file, or one already read, which is read again where something is changed."""
    from tipline.scenario.sweep_plan import SweepPlan
    from tipline.scenario.sweep_reader import read_sweep

    if not isinstance(file, SweepPlan):
        return read_sweep(named(file, "file", "a sweep file, a shipped name, or a plan already read"), overrides)
    return read_sweep(file.name, {**file.changes, **checked(overrides)}) if overrides else file


def _seconds(said: float | str) -> float:
    """Return how long a run may take [s]."""
    key, remedy = argument("give_up_after"), f'Write it like "{LONGEST}"'
    shown = said if isinstance(said, str) else repr(said)
    try:
        limit = units.parse(said, "time") if isinstance(said, str) else float(said)
    except (TypeError, ValueError) as error:
        reason = str(error) if isinstance(said, str) else "is no time"
        raise InputError(reason, key=key, value=shown, remedy=remedy) from None
    if not LEAST <= limit <= MOST:
        msg = f"must be from {LEAST:g} s to {MOST / 86400.0:.0f} days"
        raise InputError(msg, key=key, value=shown, remedy=remedy)
    return limit


def _run(
    plan: SweepPlan, out: Path, workers: int, scheduler: str | None, resume: bool, tell: Progress, limit: float
) -> SweepResult:
    from tipline.floors.laws.of_floor import floor_laws
    from tipline.sweeps.assessment import assess_sweep
    from tipline.sweeps.bad_end import not_known_of
    from tipline.sweeps.execute import run_missing
    from tipline.sweeps.job import job_of
    from tipline.sweeps.store import Store

    job = job_of(plan)
    store = Store(out, job, resume=resume)
    if store.unfit:
        tell(f"making again {store.unfit} of the files found, which are not whole or not this sweep's", None)
    tell("loading the engine (its first start compiles it, under a minute)", None)
    stage = f"running {job.rows} rows"
    try:
        run_missing(job, store, limit, workers, scheduler, lambda there: tell(stage, there / job.rows))
        tell("writing the table", None)
        table = SweepTable(store.finish())
        tell("assessing", None)
        notes = [f"The floor, as the scenario is without the changes: {note}." for note in floor_laws(plan.case).notes]
        report = assess_sweep(plan, table, job.fingerprint, notes)
        not_met = (*plan.case.told, *report.not_met)
        report = replace(report, unusual=plan.unusual, not_met=not_met, not_known=not_known_of(plan.case))
    except KeyboardInterrupt:
        raise Interrupted(store.rows_there(), job.rows) from None
    return SweepResult(plan, table, report, out)


def write_sweep(result: SweepResult, folder: Path, wishes: Wishes, progress: Progress) -> Delivered:
    """Write page, summary, drawings and inputs of a sweep into the folder that its table lies in."""
    shutil.rmtree(folder / "inputs", ignore_errors=True)
    write_inputs(result.plan.case, folder / "inputs", result.plan.files)
    drawn: tuple[Pictures, ...] = ()
    if wishes.pictures:
        from tipline import view

        progress("drawing the plots", None)
        drawn = write_drawings("Plots", view.sweep_drawings(result.report, wishes.system), folder)
    progress("writing the report", None)
    beside = links(["summary.json", "sweep.parquet", "inputs/resolved.toml"])

    def page_in(system: System) -> Page:
        return first_on(pages.sweep_page(result.report, system, drawn, beside), result.report, system)

    figures = {**pages.sweep_summary(result.report), **first_summary(result.report)}
    order = order_of_runs("sweep", result.plan, result.plan, wishes, page_in)
    return into(folder, Delivered(page_in(wishes.system), figures), "sweep.html", order)


def order_of_runs(
    command: Literal["sweep", "reconstruct"],
    plan: SweepPlan | IncidentPlan,
    swept: SweepPlan,
    wishes: Wishes,
    page_in: Callable[[System], Page],
) -> Order:
    """Say what a command of many runs was asked; ``swept``: the runs whose inputs have a range of their own."""
    of_sweep = command == "sweep"
    name = input_name("sweep" if of_sweep else "incident", plan.name)
    return Order(
        command,
        {"file" if of_sweep else "case": name, "overrides": plan.changes},
        wishes,
        page_in,
        plan.case.quantified,
        Source(plan.name, plan.changes, plan.texts),
        {**input_ranges.of_case(plan.case), **input_ranges.of_swept(swept)},
        names(plan.case),
    )
