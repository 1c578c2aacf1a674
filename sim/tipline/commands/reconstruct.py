"""`reconstruct`: what may have put a truck down: the runs of each cause, and what was found weighed against them."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from tipline.commands.delivered import Delivered, Wishes, into, links, write_drawings, write_inputs
from tipline.commands.given import Overrides, Progress, hold_to, named, silent, whole
from tipline.commands.limits import MOST_WORKERS
from tipline.commands.sweep import Interrupted, order_of_runs
from tipline.model.document import checked
from tipline.notebook import Reported
from tipline.report import incident as pages
from tipline.report.first import first_on, first_summary
from tipline.report.page import Links, Page, Pictures
from tipline.units import System

if TYPE_CHECKING:
    from tipline.incidents.report import IncidentReport
    from tipline.scenario.incident_plan import IncidentPlan
    from tipline.scenario.sweep_plan import SweepPlan
    from tipline.sweeps.isolated import Child
    from tipline.sweeps.table import SweepTable

__all__ = ["ReconstructResult", "place_of", "reconstruct", "write_reconstruct"]

NEAREST = "nearest"
"""Where the runs of causes lie that come nearest to what was found."""
LIMIT = 3600.0
"""How long one run may take [s] before its process is ended."""


@dataclass(frozen=True, repr=False)
class ReconstructResult(Reported):
    """An incident: what was asked, for each cause the table of its first runs and of each round, and what is said."""

    plan: IncidentPlan
    tables: tuple[tuple[SweepTable, ...], ...]
    report: IncidentReport


def reconstruct(
    case: IncidentPlan | Path | str,
    overrides: Overrides | None = None,
    out: Path | str | None = None,
    workers: int = 1,
    resume: bool = False,
    progress: Progress | None = None,
    strict: bool = False,
    scheduler: str | None = None,
) -> ReconstructResult:
    """Say which of the causes that a case lists go with what was found, and how far that can be relied on.

    Each cause is run many times with what is not known of it drawn anew, to where truck and load lie; what was found
    is weighed against what each run left. All runs are the same again with the same seed.

    Parameters
    ----------
    case : path or name of an incident file, or a plan already read (`tipline.scenario.incident_reader.read_incident`)
    overrides : values that replace those of the file, such as {"runs": 100}; numbers are in SI
    out : folder for the runs; left out, they are held in memory and nothing is kept
    workers : as for `sweep`
    resume : go on with what `out` holds
    progress : told of each stage
    strict : refuse what is unusual and not said to be meant, as if it could not be
    scheduler : address of a dask scheduler, in place of the workers

    Raises
    ------
    InputError
        A file or a value is wrong, `out` holds something else, or the disk is full.
    NumericalError
        No run of a cause gives a result.
    MissingPart
        A scheduler is given and dask is not installed.
    Interrupted
        It was stopped; what is finished stays in `out`.

    Examples
    --------
    >>> import tipline
    >>> report = tipline.reconstruct("truck-on-its-side-by-the-press", {"runs": 20}, workers=0).report
    >>> len(report.causes)
    3
    """
    from tipline.incidents.assessment import assess_incident
    from tipline.sweeps.interrupts import heed, heeded

    said = progress or silent

    def tell(stage: str, part: float | None) -> None:
        heed()
        said(stage, part)

    with heeded(), tempfile.TemporaryDirectory(prefix="tipline-incident-") as spare:
        tell("reading", None)
        plan = _plan(case, overrides)
        whole(workers, "workers", 0, MOST_WORKERS)
        hold_to(plan.unusual, strict=strict)
        folder = Path(spare) if out is None else Path(named(out, "out", "a folder"))
        tables = _runs(plan, folder, (workers, scheduler), resume, tell)
        tell("weighing what was found", None)
        report = assess_incident(plan, tables, tell=lambda part: tell("looking for what keeps the load up", part))
        return ReconstructResult(plan, tables, report)


def _plan(case: IncidentPlan | Path | str, overrides: Overrides | None) -> IncidentPlan:
    """Return the plan of an incident file, or one already read, which is read again where something is changed."""
    from tipline.scenario.incident_plan import IncidentPlan
    from tipline.scenario.incident_reader import read_incident

    if not isinstance(case, IncidentPlan):
        return read_incident(named(case, "case", "an incident file, a shipped name, or a plan already read"), overrides)
    return read_incident(case.name, {**case.changes, **checked(overrides)}) if overrides else case


def _runs(
    plan: IncidentPlan,
    folder: Path,
    crew: tuple[int, str | None],
    resume: bool,
    tell: Callable[[str, float | None], None],
) -> tuple[tuple[SweepTable, ...], ...]:
    """Make the runs of each cause that are missing, then its rounds, each in a folder of its own; read their tables.

    crew : how many workers here, and the address of a dask scheduler in place of them
    """
    from tipline.incidents.rounds import CauseRuns, next_round
    from tipline.sweeps.execute import idle_children

    rows = sum(own.plan.rows for own in plan.causes)
    tell("loading the engine (its first start compiles it, under a minute)", None)
    with idle_children() as idle:
        making = _Making(folder, crew, resume, tell, idle)
        stage = f"running {rows} runs of {len(plan.causes)} causes"
        tables = [[making.made(own.plan, place_of(number, 0), stage, rows)] for number, own in enumerate(plan.causes)]
        for number, own in enumerate(plan.causes):
            while (more := next_round(CauseRuns(plan, number, tuple(tables[number])))) is not None:
                count = len(tables[number])
                stage = f"running {more.rows} more nearer to what was found, round {count}: {own.cause.said}"
                tables[number].append(making.made(more, place_of(number, count), stage))
    return tuple(map(tuple, tables))


def place_of(cause: int, count: int) -> str:
    """Return the name of the folder of the first runs of a cause (0), or of one of its rounds."""
    return f"{cause + 1}" if count == 0 else f"{cause + 1}-round-{count}"


class _Making:
    """Runs made one sweep after another in folders beside each other."""

    def __init__(
        self,
        folder: Path,
        crew: tuple[int, str | None],
        resume: bool,
        tell: Callable[[str, float | None], None],
        idle: list[Child],
    ) -> None:
        self._folder, self._crew, self._resume, self._tell = folder / "runs", crew, resume, tell
        self._idle = idle
        self._there = 0

    def made(self, plan: SweepPlan, place: str, stage: str, of: int = 0) -> SweepTable:
        """Return the table of a sweep, its missing runs made; of : how many runs the stage has, 0 for its own."""
        from tipline.sweeps.execute import run_missing
        from tipline.sweeps.job import job_of
        from tipline.sweeps.store import Store
        from tipline.sweeps.table import SweepTable

        job, folder = job_of(plan), self._folder / place
        before = self._there if of else 0

        def there(count: int) -> None:
            self._tell(stage, (before + count) / (of or job.rows))

        store = Store(folder, job, resume=self._resume and folder.exists())
        try:
            run_missing(job, store, LIMIT, *self._crew, there, self._idle)
            table = SweepTable(data=store.finish().read_bytes())
        except KeyboardInterrupt:
            raise Interrupted(self._there + store.rows_there(), max(of, self._there + job.rows)) from None
        self._there += job.rows
        return table


def write_reconstruct(result: ReconstructResult, folder: Path, wishes: Wishes, progress: Progress) -> Delivered:
    """Write page, summary, drawings and inputs of an incident into the folder that its runs lie in."""
    plan, report = result.plan, result.report
    shutil.rmtree(folder / "inputs", ignore_errors=True)
    write_inputs(plan.case, folder / "inputs", plan.files)
    drawn: tuple[Pictures, ...] = ()
    if wishes.pictures:
        from tipline import view

        progress("drawing what was found", None)
        drawn = (
            *write_drawings("Drawings", view.incident_drawings(report, wishes.system), folder),
            *_drawn_courses(report, wishes.system, folder),
            *write_drawings(pages.TRIED, view.calibration_drawings(report, wishes.system), folder),
        )
    replays = _replays(result, folder, wishes, progress) if wishes.pictures else ()
    beside = (*replays, *links(["summary.json", "inputs/resolved.toml"]))

    def page_in(system: System) -> Page:
        return first_on(pages.incident_page(report, system, drawn, beside), report, system)

    figures = {**pages.incident_summary(report), **first_summary(report)}
    order = order_of_runs("reconstruct", plan, plan.causes[0].plan, wishes, page_in)
    return into(folder, Delivered(page_in(wishes.system), figures), order=order)


def _drawn_courses(report: IncidentReport, system: System, folder: Path) -> Iterator[Pictures]:
    """Draw the moments of the nearest run of each cause that has a course."""
    from tipline import view

    for number, cause in enumerate(report.causes, start=1):
        drawings = view.course_drawings(cause.drawn, report.demo, f"cause-{number}", system)
        for pictures in write_drawings(f"{pages.PICTURED}{cause.said}", drawings, folder):
            yield replace(pictures, small=True, note=pages.AT_MOMENTS)


def _replays(result: ReconstructResult, folder: Path, wishes: Wishes, progress: Progress) -> Links:
    """Run the nearest run of each cause that fits in the full engine; leave its folder with its replay.

    Of the first two, likeliest first, also the page that plays them in step. Give words and file of each page.
    """
    from tipline.commands.replay import replay, write_replay
    from tipline.commands.run import REPLAY, run, write_run
    from tipline.incidents.report import SAID_OF
    from tipline.scenario.reader import read

    shutil.rmtree(folder / NEAREST, ignore_errors=True)
    fits = [
        (cause, own)
        for cause, own in zip(result.report.causes, result.plan.causes, strict=True)
        if cause.verdict in SAID_OF
    ]
    replays: list[tuple[str, str]] = []
    quiet = replace(wishes, pictures=False, film=False, pdf=False)
    for cause, own in sorted(fits, key=lambda pair: -pair[0].probability):
        progress(f"running the nearest run of: {cause.said}", None)
        case = read(own.plan.texts[0].given, cause.changes, table=False, texts=own.plan.texts)
        place = f"{NEAREST}/{len(replays) + 1}"
        (folder / place).mkdir(parents=True)
        write_run(run(case, spread=0, floor_spread=0), folder / place, quiet, silent)
        if (folder / place / REPLAY).exists():
            replays.append((f"the replay, if {cause.said}", f"{place}/{REPLAY}"))
    if len(replays) > 1:
        both = f"{NEAREST}/both.html"
        write_replay(replay(folder / NEAREST / "1", folder / NEAREST / "2", wishes.system), folder / both)
        replays.append(("the first two in step", both))
    return tuple(replays)
