"""`run`: a scenario simulated and assessed."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass, field, replace
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING, Any, Self

from tipline.children import left_to_others
from tipline.commands.check import with_floor
from tipline.commands.delivered import RESOLVED, Delivered, Order, Wishes, into, links, names, read_from, write_inputs
from tipline.commands.further_runs import breaks_of, spread_of, table_of
from tipline.commands.given import Overrides, Progress, case_of, hold_to, one_of, silent, whole
from tipline.commands.limits import MOST_SPREAD
from tipline.errors import MissingPart
from tipline.notebook import Reported
from tipline.report import sections, summary
from tipline.report.first import first_on, first_summary
from tipline.report.page import Page, Picture, Pictures
from tipline.report.sections import Beside
from tipline.report.spread import SPREAD_OFF
from tipline.results import ENGINES
from tipline.scenario import Case
from tipline.sweeps import input_ranges
from tipline.sweeps.bad_end import with_not_known

if TYPE_CHECKING:
    from tipline.results import Run
    from tipline.runs.assessment import RunReport
    from tipline.runs.outcome import Outcome
    from tipline.runs.peaks import Peak
    from tipline.view.drawers import Drawers
    from tipline.view.movie import Film

__all__ = ["Equipment", "RunResult", "page_of_run", "run", "write_run"]

FLOOR_SPREAD = 20
"""How many runs on floors drawn from what is not known."""
REPLAY = "replay.html"
FILES = {
    REPLAY: "replay.html: the run to play and to look at from all sides, in a browser",
    "replay.mp4": "replay.mp4: the film",
    "still-rest.png": "still-rest.png, still-worst.png, still-end.png and others: the pictures of this page",
    "summary.json": "summary.json: the figures under fixed names, for other programs",
    "run.parquet": "run.parquet: every recorded quantity over time, with units",
    "inputs": "inputs/: the files given, and resolved.toml: every value used, with its origin",
}
RUN_FILES = {"summary.json", "run.parquet", "inputs"}
READING = (
    "Yellow arrows stand for tyre loads, to the scale given. In the plan at the right, seen from above, the filled "
    "part of each ring grows with the load of its tyre, and the ringed dot is the balance point."
)
MEDIA = {".jpg": "image/jpeg", ".jpeg": "image/jpeg", ".png": "image/png"}


@dataclass(frozen=True, repr=False)
class RunResult(Reported):
    """A simulated and assessed scenario: what went in, the run itself, what it means; ``arguments``: how made."""

    case: Case
    run: Run
    report: RunReport
    arguments: Mapping[str, Any] = field(default_factory=dict)


def run(  # noqa: PLR0913 - what may be asked of a run, and who is told of it
    scenario: Case | Path | str,
    overrides: Overrides | None = None,
    progress: Progress | None = None,
    spread: int | None = None,
    floor_spread: int = FLOOR_SPREAD,
    strict: bool = False,
    known: Callable[[Outcome], None] | None = None,
    engine: str | None = None,
    assessed: Callable[[RunResult], None] | None = None,
    drawn: Callable[[int, int], None] | None = None,
    idle: Callable[[], None] | None = None,
    meanwhile: Callable[[], None] | None = None,
) -> RunResult:
    """Simulate and assess a scenario, given as a file, the name of a shipped one, or a case already read.

    Parameters
    ----------
    scenario : path, name or case
    overrides : settings that replace those of the files, such as {"event.0.depth": "95 mm"}; a number is in SI units:
        {"event.0.depth": 0.095} is the same. With a case they are changes to what it was read from
    progress : told of each stage
    spread : in how many further runs, 0 for none, lifted load, tyres, events and friction are drawn from what is not
        known of them; left out, what the scenario says, else 50, fewer where a run takes long
    floor_spread : in how many runs, 0 for none, a floor that holds to a strength is drawn from what is not known of it
    strict : refuse what is unusual and not said to be meant, as if it could not be
    known : called with the outcome as soon as that is known, before the run is assessed and any further run is made
    engine : what makes the run, "pybullet" or "compiled"; left out, pybullet where it is installed. Further runs are
        made by the compiled one
    assessed : called with the run itself as soon as it is assessed, before any further run is made
    drawn : called while the spread is made, with in how many of its runs so far the truck stayed up, and how many these
        are
    idle : called once another core has nothing more to do: when the case is read or, the first time, most is compiled
    meanwhile : called where it would only wait for compiled code, the first time

    Raises
    ------
    InputError
        A file, a value or an override is wrong.
    NumericalError
        The simulation broke down; there is no outcome.
    MissingPart
        pybullet is asked for and not installed.

    Examples
    --------
    >>> import tipline
    >>> result = tipline.run("front-tyre-breaks-through-load-low", {"event.0.depth": 0.05}, spread=0)
    >>> print(result.report.outcome.truck)
    tyre-lifted
    >>> result.run.series("tyre_load.front-left", "kN").shape == result.run.time.shape
    True
    """
    tell = progress or silent
    tell("reading", None)
    if spread is not None:
        whole(spread, "spread", 0, MOST_SPREAD)
    whole(floor_spread, "floor_spread", 0, MOST_SPREAD)
    if engine is not None:
        one_of(engine, "engine", tuple(ENGINES))
    case = case_of(scenario, overrides)
    hold_to(case.unusual, strict=strict)
    tell("loading the engine (its first start compiles it, under a minute)", None)
    from tipline import engines
    from tipline.engines.ahead import compiled_beside
    from tipline.floors.laws.of_floor import floor_laws, places_met
    from tipline.runs.assessment import assess_run
    from tipline.runs.met import never_met
    from tipline.runs.outcome import outcome_of
    from tipline.statics.barrier import crest_losses

    made_by = engines.engine_of(engine or "")
    with compiled_beside(case, idle, meanwhile):
        met = list(places_met(case))
        laws = floor_laws(case, met=met)
        record = engines.simulate(
            case,
            lambda part: tell("simulating", part),
            crest_losses(case),
            zones=laws.zones,
            notes=laws.notes,
            engine=made_by,
        )
        if known is not None:
            known(outcome_of(record, case.inputs))
        tell("assessing", None)
        report = assess_run(record, case)
        if assessed is not None:
            assessed(RunResult(case, report.run, report))
        if case.cells:
            report = replace(report, outcome_table=table_of(case, report.outcome.truck, tell))
        report = replace(report, spread=spread_of(case, report.outcome, laws.zones, spread, tell, drawn))
        if floor_spread > 0:
            report = replace(report, floor_breaks=breaks_of(case, record, laws.zones, met, floor_spread, tell))
    report = _with_floor(report, case, record)
    not_met = (*case.told, *never_met(record, case.inputs, case.floor, report.no_return))
    report = replace(report, unusual=case.unusual, not_met=not_met)
    arguments = {
        "scenario": RESOLVED,
        "spread": spread,
        "floor_spread": floor_spread,
        "strict": strict,
        "engine": made_by,
    }
    return RunResult(case, report.run, report, arguments)


def _with_floor(report: RunReport, case: Case, record: Run) -> RunReport:
    """Add what the set-up and the run asked of the floor, and which of its planning limits that exceeds."""
    pose = with_not_known(with_floor(report.pose, case), case)
    new = tuple(text for text in pose.exceeded if text not in report.pose.exceeded)
    peaks = _peaks(case, record, report.no_return)
    new += tuple(f"on the floor, in the run: {peak.answer.short}" for peak in peaks[:1] if peak.answer.exceeds)
    return replace(
        report,
        pose=pose,
        holds_only_while=pose.holds_only_while,
        floor_peaks=peaks,
        exceeded=(*report.exceeded, *new),
        assumed=pose.assumed,
        assumed_count=pose.assumed_count,
    )


def _peaks(case: Case, record: Run, no_return: float | None) -> tuple[Peak, ...]:
    """Return what the run asked of the floor, each tyre at its peak; nothing of a floor that is rigid throughout."""
    if case.floor.rigid:
        return ()
    from tipline.runs.peaks import peaks

    return peaks(case.inputs, case.floor, record, inf if no_return is None else no_return)


@dataclass
class _Drawn:
    """What was drawn: the worst moment, the other pictures, what was left out and why, whether the user ended it."""

    first: Picture | None = None
    pictures: list[Pictures] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    broken_off: bool = False


class Equipment:
    """What a run is written and drawn with, made ready before the run is known; a context that ends what draws."""

    def __init__(self, wishes: Wishes) -> None:
        self._wishes = wishes
        self.drawers: Drawers | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self.drawers is not None:
            self.drawers.close()

    def start(self) -> None:
        """Start the processes that draw what is wished for, if any."""
        if self._wishes.pictures and self._wishes.stills:
            from tipline import view

            self.drawers = view.drawers_ready(film=self._wishes.film)

    def load(self) -> None:
        """Load what writes, and what draws in this process."""
        import pyarrow.parquet  # noqa: F401

        from tipline.playback import of_run  # noqa: F401

        if self._wishes.pictures:
            from tipline import view

            view.load(scenes=self.drawers is None)


def page_of_run(result: RunResult, wishes: Wishes) -> Page:
    """Give the page of a run before anything is drawn or written."""
    return _page(result, wishes, _Drawn(), ())


def write_run(
    result: RunResult, folder: Path, wishes: Wishes, progress: Progress, drawers: Drawers | None = None
) -> Delivered:
    """Write everything a run leaves into `folder`; what had to be left out is named on the page and in the summary.

    The film comes last: where its drawing is broken off, all else is kept and the result says so. ``drawers``:
    processes that are ready to draw it.
    """
    started = time.perf_counter()
    progress("writing the run", None)
    with _opengl_tried(wishes):
        write_inputs(result.case, folder / "inputs")
        result.run.to_parquet(folder / "run.parquet")
    drawn = _draw(result, folder, wishes, progress, drawers)
    there = tuple(name for name in FILES if name in RUN_FILES or (folder / name).exists())
    page = _page(result, wishes, drawn, there)
    facts = {
        "assumed_count": result.report.assumed_count,
        "left_out": _left_out(result, drawn),
        "timings_s": {**result.run.meta.get("timings_s", {}), "pictures_and_files": time.perf_counter() - started},
    }
    figures = summary.run_summary(result.report, {**facts, **first_summary(result.report)})
    order = Order(
        "run",
        result.arguments,
        wishes,
        lambda system: _page(result, replace(wishes, system=system), drawn, there),
        result.case.quantified,
        read_from(result.case),
        input_ranges.of_case(result.case),
    )
    return into(folder, Delivered(page, figures, tuple(drawn.left_out), drawn.broken_off), order=order)


def _left_out(result: RunResult, drawn: _Drawn) -> list[str]:
    return [*drawn.left_out, *([SPREAD_OFF] if result.report.spread is None else [])]


def _page(result: RunResult, wishes: Wishes, drawn: _Drawn, there: Sequence[str]) -> Page:
    """Make the page with what was drawn and the files that are there."""
    case, report = result.case, result.report
    beside = Beside(
        picture=drawn.first,
        pictures=tuple(drawn.pictures),
        links=links(["inputs/resolved.toml" if name == "inputs" else name for name in there]),
        omissions=tuple(_left_out(result, drawn)),
        remarks=tuple(result.run.meta.get("notes", ())),
        assumed=report.assumed_count,
        names=names(case),
        inputs=case.quantified,
        files=tuple(FILES[name] for name in there),
    )
    return first_on(sections.run_page(report, wishes.system, beside), report, wishes.system)


@contextmanager
def _opengl_tried(wishes: Wishes) -> Iterator[None]:
    """Find out beside the block whether this computer draws, where that will be asked: a process of its own tries."""
    if not (wishes.pictures and wishes.stills):
        yield
        return
    from tipline import view

    with ThreadPoolExecutor(1, initializer=left_to_others) as beside:
        beside.submit(view.probe)
        yield


def _draw(result: RunResult, folder: Path, wishes: Wishes, progress: Progress, drawers: Drawers | None) -> _Drawn:
    """Draw the worst moment, other stills, plots, film; whatever this computer cannot draw is named instead."""
    drawn = _Drawn()
    if not wishes.pictures:
        drawn.left_out.append("stills, film and plots: not asked for (--no-pictures)")
        _write_replay(result, folder, wishes, progress, drawn)
        return drawn
    from tipline import view

    progress("probing OpenGL", None)
    missing = view.probe() if wishes.stills else "not asked for"
    with ExitStack() as begun:
        stills = film = None
        if not missing:
            of_run = result.run, result.report, result.case
            stills = begun.enter_context(closing(view.begin_stills(*of_run, wishes.system, drawers)))
            film = _begin_film(result, wishes, drawn, drawers) if wishes.film else None
        if film is not None:
            begun.enter_context(closing(film))
        progress("drawing plots", None)
        plots = view.figures(result.run, result.report, result.case, wishes.system)
        if stills is not None:
            progress("drawing stills", None)
            try:
                shown = {path.stem: _still(path, caption) for path, caption in stills.write(folder)}
                drawn.first = shown.pop("still-worst")
                drawn.pictures.append(Pictures("Pictures", tuple(shown.values()), READING))
            except MissingPart as error:  # what draws was lost
                missing = str(error)
                for path in folder.glob("still-*"):
                    path.unlink()
        over_time = tuple(Picture(caption, svg=svg) for caption, svg in plots.items())
        note = "The numbers above each plot are those of the events listed below."
        drawn.pictures.append(Pictures("Over time", over_time, note))
        _write_replay(result, folder, wishes, progress, drawn)
        if missing:
            drawn.left_out.append(f"stills and film: {missing}")
        elif not wishes.film:
            drawn.left_out.append("film: not asked for (--no-film)")
        elif film is not None:
            _write_film(film, folder, progress, drawn)
    return drawn


def _begin_film(result: RunResult, wishes: Wishes, drawn: _Drawn, drawers: Drawers | None) -> Film | None:
    """Begin the film before all else is drawn, which leaves cores idle; that it cannot be costs nothing else."""
    from tipline import view

    try:
        return view.begin_film(result.run, result.report, result.case, wishes.draft, wishes.system, drawers)
    except MissingPart as error:
        drawn.left_out.append(f"film: {error}")
        return None


def _write_film(film: Film, folder: Path, progress: Progress, drawn: _Drawn) -> None:
    """Write the film; that it cannot be written here, or is broken off, costs nothing else."""
    try:
        film.write(folder / "replay.mp4", lambda part: progress("drawing the film", part))
    except MissingPart as error:
        drawn.left_out.append(f"film: {error}")
    except KeyboardInterrupt:
        drawn.left_out.append("film: broken off by the user while it was drawn")
        drawn.broken_off = True


def _write_replay(result: RunResult, folder: Path, wishes: Wishes, progress: Progress, drawn: _Drawn) -> None:
    """Write the page that plays the run; it needs no OpenGL here."""
    from tipline.playback.of_run import Played, replay_html
    from tipline.playback.stills import small_stills

    progress("writing the replay", None)
    played = Played(result.report, result.case)
    try:
        text = replay_html(played, wishes.system, small_stills(played, folder, wishes.system))
    except MissingPart as error:
        drawn.left_out.append(f"replay: {error}")
        return
    (folder / REPLAY).write_text(text, encoding="utf-8")


def _still(path: Path, caption: str) -> Picture:
    return Picture(caption, data=path.read_bytes(), media=MEDIA[path.suffix])
