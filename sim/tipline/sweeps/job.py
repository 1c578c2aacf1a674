"""The runs of a sweep, by index: what a worker needs to know, and the rows it gives back.

A job holds the texts of its files, so that a worker on another computer needs none of them. Row i is the same whoever
makes it and beside whichever others.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from math import isfinite, nan
from typing import Any, Literal

from tipline.closing_in import closed_in
from tipline.endings import LINES, SIDES, TruckEnd
from tipline.engines.many import Start
from tipline.errors import NumericalError, TiplineError
from tipline.scenario.case import Case
from tipline.scenario.reader import Text, read
from tipline.scenario.sweep import BAD_FLOOR, BAD_LOAD, BAD_TRUCK, Sweep
from tipline.scenario.sweep_plan import SweepPlan, SweptInput
from tipline.sweeps.batch import BatchResult, run_batch
from tipline.sweeps.draws import Drawn, Rows
from tipline.sweeps.unmet import unmet

__all__ = [
    "Column",
    "Job",
    "Row",
    "columns",
    "each_row",
    "job_of",
    "lost_row",
    "run_rows",
    "version_here",
    "warm",
    "zones_of",
]

FORMAT = "tipline.sweep/1"
NO_RESULT: str = TruckEnd.NO_RESULT
SCAN = 5
"""At so many values, evenly over the range, a threshold is looked for before the first change is narrowed down."""
BESIDE, APART = 8, 0.01
"""At so many values on each side of a change, this share of it apart, the ending is looked at: our choice, as what was
found where load or frame swing back at another moment lay some per cent from the change and was 0.3 to 4 % wide."""
CHUNKS, MOST_CHUNK = 40, 100
"""Into how many chunks a small sweep is shared out; the most runs of a chunk."""
Row = dict[str, Any]
Before = Callable[[], None]
_BROKEN = (TiplineError, ArithmeticError, AttributeError, LookupError, TypeError, ValueError, RuntimeError)
"""What a run that goes wrong may raise: it costs itself only. What the computer lacks (memory, disk) is not in it."""


@dataclass(frozen=True)
class Job:
    """A sweep as its workers see it; ``chunk``: how many rows are made at a time; ``shares``: as of the plan."""

    sweep: Sweep
    inputs: tuple[SweptInput, ...]
    sought: SweptInput | None
    within: float
    rows: int
    fixed: Mapping[str, str]
    texts: tuple[Text, ...]
    tyres: tuple[str, ...]
    chunk: int
    fingerprint: str
    demo: str
    shares: tuple[tuple[float, ...], ...] = ()


@dataclass(frozen=True)
class Column:
    """A column of the table: its name, what it holds, its SI unit and its words."""

    name: str
    kind: Literal["float", "int", "text", "flag"]
    unit: str = ""
    label: str = ""


def job_of(plan: SweepPlan) -> Job:
    """Return the job of a plan."""
    machine = plan.case.machine
    tyres = tuple(tyre.name for tyre in (*machine.drive_axle.tyre, *machine.steer_axle.tyre))
    chunk = 1 if plan.sought is not None else min(max(1, plan.rows // CHUNKS), MOST_CHUNK)
    mark = _fingerprint(plan)
    return Job(
        plan.sweep, plan.inputs, plan.sought, plan.within, plan.rows, plan.fixed, plan.texts, tyres, chunk, mark,
        plan.case.demo, plan.shares,
    )  # fmt: skip


def _fingerprint(plan: SweepPlan) -> str:
    """Return a mark that two sweeps share only if they would give the same table."""
    sweep = plan.sweep.model_dump(mode="json", exclude={"title", "question"})
    texts = [(text.kind, text.given, text.text) for text in plan.texts]
    said = json.dumps([FORMAT, version_here(), sweep, texts, *plan.shares], sort_keys=True)
    return hashlib.sha256(said.encode()).hexdigest()[:32]


def version_here() -> str:
    """Return the version of the program."""
    try:
        return version("tipline")
    except PackageNotFoundError:
        return "not installed"


def columns(job: Job) -> tuple[Column, ...]:
    """Return the columns of a job's table, in order."""
    inputs = [_input_column(swept_input) for swept_input in job.inputs]
    if job.sought is not None:
        return (Column("run", "int"), *inputs, *_threshold_columns(job.sought))
    rest = _REST if job.sweep.rest else ()
    return (Column("run", "int"), *inputs, *_result_columns(job.tyres), *rest)


def _input_column(swept_input: SweptInput) -> Column:
    kinds = {type(value) for value in swept_input.values}
    kind: Literal["float", "int", "text", "flag"] = "float"
    if not swept_input.dimension:
        kind = "int" if kinds == {int} else "flag" if kinds == {bool} else "float" if kinds == {float} else "text"
    label = f"{swept_input.label}, of what the files give" if swept_input.relative else swept_input.label
    return Column(swept_input.column, kind, swept_input.unit, label)


def _threshold_columns(sought: SweptInput) -> tuple[Column, ...]:
    return (
        Column("threshold", "float", sought.unit, f"least {sought.label} with the outcome"),
        Column("held", "float", sought.unit, f"greatest {sought.label} below it without"),
        Column("changes_back", "flag", "", "whether a greater value tried is without it again"),
        Column("runs", "int", "", "runs made"),
        Column("truck", "text", "", "how the truck ended at the threshold"),
        Column("direction", "text", "", "the line it went over there"),
        Column("reason", "text", "", "why there is no threshold"),
    )


def _result_columns(tyres: Sequence[str]) -> tuple[Column, ...]:
    words = [Column(name, "text") for name in ("truck", "lifted_load", "floor", "lead", "direction", "reason", "why")]
    words.append(Column("not_met", "text", "", "what of its scenario the run did not meet"))
    distances = [
        Column(f"least_{kind}.{line}", "float", "m", f"least distance to the {line} {name} line")
        for kind, name, sides in (("distance", "tip", LINES), ("swing", "swing", SIDES))
        for line in sides
    ]
    angles = [
        Column(f"{name}_{end}", "float", "rad", f"{end} {name}, {positive} positive")
        for name, positive in (("roll", "right side down"), ("pitch", "front down"))
        for end in ("least", "most")
    ]
    loads = [
        Column(f"{end}_load.{tyre}", "float", "N", f"{end} tyre load, {tyre}")
        for end in ("peak", "least")
        for tyre in tyres
    ]
    return (
        *words,
        *distances,
        Column("least_distance", "float", "m", "least distance to any tip line"),
        Column("end_time", "float", "s", "when the run was ended"),
        *angles,
        *loads,
        Column("deepest_place", "float", "m", "deepest place under a tyre"),
        Column("steer_share", "float", "", "least share of the tyre loads on the steer axle"),
        Column("ledger_error", "float", "", "energy not accounted for, of what went through"),
    )


_REST = (
    Column("rest.truck_ahead", "float", "m", "at rest, middle of the drive axle ahead of where it stood"),
    Column("rest.truck_left", "float", "m", "at rest, middle of the drive axle left of where it stood"),
    Column("rest.truck_heading", "float", "rad", "at rest, how far the truck is turned to the left"),
    Column("rest.truck_roll", "float", "rad", "at rest, roll of the truck, right side down positive"),
    Column("rest.truck_pitch", "float", "rad", "at rest, pitch of the truck, front down positive"),
    Column("rest.load_ahead", "float", "m", "at rest, centre of the load ahead of where the drive axle stood"),
    Column("rest.load_left", "float", "m", "at rest, centre of the load left of where the drive axle stood"),
    Column("rest.load_height", "float", "m", "at rest, centre of the load above the plane of the floor"),
    Column("rest.truck_mark_ahead", "float", "m", "where its body first struck the floor, ahead of where it stood"),
    Column("rest.truck_mark_left", "float", "m", "where its body first struck the floor, left of where it stood"),
    Column("rest.load_mark_ahead", "float", "m", "where the load first struck it, ahead of where the truck stood"),
    Column("rest.load_mark_left", "float", "m", "where the load first struck it, left of where the truck stood"),
    Column("rest.over_after", "float", "s", "from the first sign until the truck leaned by 45 degrees"),
)


def lost_row(job: Job, index: int, reason: str) -> Row:
    """Return the row of a run that gave no result."""
    return _without(job, index, _drawn(job, [index])[0], reason)


def run_rows(job: Job, indices: Sequence[int]) -> list[Row]:
    """Make the rows of some runs, in their order; a run that breaks down gives a row that says so."""
    return list(each_row(job, indices, _nothing))


def each_row(job: Job, indices: Sequence[int], before: Before) -> Iterator[Row]:
    """Make rows one by one; ``before`` is called before each run."""
    start = Start()
    for index, values in zip(indices, _drawn(job, indices), strict=True):
        before()
        if job.sought is not None:
            yield _threshold_row(job, index, values, before, start)
            continue
        case = _case(job, _changes(job, values))
        yield (
            _row(job, index, values, _ended(case, start, rests=job.sweep.rest), case)
            if isinstance(case, Case)
            else _without(job, index, values, case)
        )


def _nothing() -> None:
    """Do nothing before a run."""


def warm(job: Job) -> None:
    """Run the scenario as it is once, so that what is compiled is on disk before workers ask for it."""
    case = _case(job, job.fixed)
    if isinstance(case, Case):
        _ended(case, Start())


def _drawn(job: Job, indices: Sequence[int]) -> list[Drawn]:
    first = min(indices)
    known = Rows(job.sweep.method, job.sweep.seed, job.inputs, job.rows, job.shares).between(first, max(indices) + 1)
    return [known[index - first] for index in indices]


def _changes(job: Job, values: Drawn) -> dict[str, str]:
    changes = dict(job.fixed)
    for swept_input, value in zip(job.inputs, values, strict=True):
        changes |= swept_input.texts(value)
    return changes


def _case(job: Job, changes: Mapping[str, str]) -> Case | str:
    """Return the case with some changes, or why it does not read."""
    try:
        return read(job.texts[0].given, changes, table=False, texts=job.texts)
    except _BROKEN as error:
        return _said(error)


def _said(error: BaseException) -> str:
    text = " ".join(str(error).split()) or type(error).__name__
    return text if isinstance(error, TiplineError) else f"{type(error).__name__}: {text}"


def _ended(case: Case, start: Start, *, rests: bool = False) -> BatchResult | str:
    """Run a case, if asked to rest; return how it ended, or why it has no result; start: of the runs before it."""
    try:
        return run_batch([case], [zones_of(case)], rests=rests, start=start)[0]
    except _BROKEN as error:
        return _said(error)


def zones_of(case: Case) -> Any:
    """Return how the floor of a case answers, as compiled runs take it."""
    from tipline.floors.laws.of_floor import floor_laws

    return floor_laws(case, compiled=True).zones


def _row(job: Job, index: int, values: Drawn, result: BatchResult | str, case: Case) -> Row:
    if isinstance(result, str):
        return _without(job, index, values, result)
    machine = case.machine
    tyres = [tyre.name for tyre in (*machine.drive_axle.tyre, *machine.steer_axle.tyre)]
    row = _start(job, index, values)
    row |= {
        "truck": result.truck,
        "lifted_load": result.lifted_load,
        "floor": result.floor,
        "lead": result.lead,
        "direction": result.direction,
        "reason": result.reason,
        "why": result.why,
        "not_met": unmet(case.inputs, case.floor, result),
        "least_distance": _least(result.least_distance.values()),
        "deepest_place": max(result.peak_depth.values(), default=nan),
        "end_time": result.time,
        "steer_share": result.steer_share,
        "ledger_error": result.ledger_error,
    }
    row |= {f"least_distance.{line}": result.least_distance.get(line, nan) for line in LINES}
    row |= {f"least_swing.{side}": result.least_swing.get(side, nan) for side in SIDES}
    for name, pair in (("roll", result.roll), ("pitch", result.pitch)):
        row[f"{name}_least"], row[f"{name}_most"] = pair
    for end, loads in (("peak", result.peak_load), ("least", result.least_load)):
        row |= {f"{end}_load.{tyre}": load for tyre, load in zip(tyres, loads, strict=True)}
    if result.lies is not None:
        row |= {f"rest.{name}": value for name, value in result.lies._asdict().items()}
    return row


def _least(values: Iterable[float]) -> float:
    return min((value for value in values if isfinite(value)), default=nan)


def _start(job: Job, index: int, values: Drawn) -> Row:
    return {"run": index, **{swept_input.column: value for swept_input, value in zip(job.inputs, values, strict=True)}}


def _without(job: Job, index: int, values: Drawn, reason: str) -> Row:
    row = _start(job, index, values)
    for column in columns(job)[len(row) :]:
        row[column.name] = nan if column.kind == "float" else None
    return row | {"truck": NO_RESULT, "reason": reason}


def ended_so(result: BatchResult | str, outcome: str) -> bool | None:
    """Whether a run ended with an outcome or a worse one of its kind; None where it has no result."""
    if isinstance(result, str) or result.truck == NO_RESULT:
        return None
    words = ((BAD_TRUCK, result.truck), (BAD_LOAD, result.lifted_load), (BAD_FLOOR, result.floor))
    for ranks, word in words:
        if outcome in ranks:
            return word in ranks and ranks.index(word) >= ranks.index(outcome)
    msg = f"no run tells whether it ended {outcome!r}"
    raise ValueError(msg)


def _threshold_row(job: Job, index: int, values: Drawn, before: Before, start: Start) -> Row:
    try:
        return _ThresholdSearch(job, index, values, before, start).row()
    except NumericalError as error:
        return _without(job, index, values, _said(error))


class _ThresholdSearch:
    """The search for one threshold: a look at the whole range, bisection of the first change, a look beside it."""

    def __init__(self, job: Job, index: int, values: Drawn, before: Before, start: Start) -> None:
        if job.sought is None or job.sweep.threshold is None:
            msg = "the sweep seeks no threshold"
            raise ValueError(msg)
        self._job, self._index, self._values, self._before, self._start = job, index, values, before, start
        self._sought, self._outcome = job.sought, job.sweep.threshold.outcome
        self._tried: dict[float, BatchResult | str] = {}
        self._lost: list[float] = []

    def row(self) -> Row:
        """Return the row."""
        low, high = self._sought.figures["least"], self._sought.figures["most"]
        self._try([low + (high - low) * k / (SCAN - 1) for k in range(SCAN - 1)] + [high])
        held, change = self._narrowed()
        while held is not None and change is not None:
            self._try(self._beside(change), beside=True)
            held, first = self._narrowed()
            if first == change:
                break
            change = first
        row = _without(self._job, self._index, self._values, "")
        row |= {"held": nan if held is None else held, "threshold": nan if change is None else change}
        row |= {"runs": len(self._tried) + len(self._lost), "changes_back": self._changes_back(change)}
        return row | self._about(held, change)

    def _narrowed(self) -> tuple[float | None, float | None]:
        """Return the bracket of the first change known, when it is as narrow as was asked."""
        held, change = self._bracket()
        if held is None or change is None:
            return held, change
        return closed_in(self._tried_so, held, change, close=self._job.within)

    def _tried_so(self, value: float) -> bool:
        """Run a value and tell whether it has the outcome."""
        self._try([value])
        return self._so(value)

    def _beside(self, change: float) -> list[float]:
        """Return the values on both sides of a change that were not tried yet."""
        low, high = self._sought.figures["least"], self._sought.figures["most"]
        step = max(APART * abs(change), self._job.within)
        beside = [change + k * step for k in range(-BESIDE, BESIDE + 1)]
        return [value for value in beside if low < value < high and value not in (*self._tried, *self._lost)]

    def _try(self, values: Sequence[float], beside: bool = False) -> None:
        """Run values; beside: one without a result is told and costs the row nothing else."""
        changes = _changes(self._job, self._values)
        for value in values:
            self._before()
            case = _case(self._job, changes | self._sought.texts(value))
            self._tried[value] = result = case if isinstance(case, str) else _ended(case, self._start)
            if ended_so(result, self._outcome) is None and beside:
                del self._tried[value]
                self._lost.append(value)
            elif ended_so(result, self._outcome) is None:
                why = result if isinstance(result, str) else result.reason
                reason = f"no result at {self._sought.label} {self._sought.say(value)}: {why}"
                raise NumericalError(reason)

    def _so(self, value: float) -> bool:
        return bool(ended_so(self._tried[value], self._outcome))

    def _bracket(self) -> tuple[float | None, float | None]:
        """Return the greatest value without the outcome below the least one with it, and that."""
        change = min((value for value in self._tried if self._so(value)), default=None)
        held = max((value for value in self._tried if change is None or value < change), default=None)
        return held, change

    def _changes_back(self, change: float | None) -> bool:
        return change is not None and any(value > change and not self._so(value) for value in self._tried)

    def _about(self, held: float | None, change: float | None) -> Row:
        """Return how it ended there, and why there is no threshold."""
        shown = self._tried[change if change is not None else held if held is not None else min(self._tried)]
        reason = ""
        if change is None:
            reason = f"not up to {self._sought.label} {self._sought.say(held or 0.0)}"
        elif held is None:
            reason = f"already at {self._sought.label} {self._sought.say(change)}"
        if isinstance(shown, str):
            return {"reason": shown}
        lost = ", ".join(self._sought.say(value) for value in self._lost)
        reasons = (reason, f"no result at {self._sought.label} {lost}" if lost else "", shown.reason)
        more = "; ".join(text for text in reasons if text)
        return {"truck": shown.truck, "direction": shown.direction, "reason": more}
