"""From a scenario to an assessed run or pose: the one place where reader, engine and assessment meet."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf, isfinite
from pathlib import Path
from typing import TYPE_CHECKING

from tipline.errors import InputError, InputErrors, NumericalError
from tipline.notebook import Reported
from tipline.scenario import Case, read

if TYPE_CHECKING:
    from tipline.floors.answers.report import FloorReport
    from tipline.floors.modes.situation import Situation
    from tipline.geometry.export import Exported, Format
    from tipline.geometry.ground import ZoneLaw
    from tipline.model.floor import Floor
    from tipline.pose.assessment import PoseReport
    from tipline.results import Run
    from tipline.runs.assessment import RunReport
    from tipline.runs.breaks import Breaks
    from tipline.runs.endings import Spread
    from tipline.runs.outcome import Outcome
    from tipline.runs.outcome_table import OutcomeTable
    from tipline.runs.peaks import Peak
    from tipline.slope_limits.assessment import SlopeReport

FLOOR_SPREAD = 20
"""How many runs on floors drawn from what is not known."""
ABOVE = 1.02
AFTER = 3.0
"""Time after the last event for which such a run goes on, unless its ending is decided later [s]."""
Progress = Callable[[str, float | None], None]
"""Called with the name of the stage and the part of it that is done, 0 to 1, or None where that is not known."""


@dataclass(frozen=True, repr=False)
class RunResult(Reported):
    """A simulated and assessed scenario: what went in, the run itself, and what it means."""

    case: Case
    run: Run
    report: RunReport


@dataclass(frozen=True, repr=False)
class FloorResult(Reported):
    """A floor that was asked: by a case, or alone; what was found."""

    case: Case | None
    floor: Floor
    report: FloorReport


@dataclass(frozen=True, repr=False)
class SlopeResult(Reported):
    """A scenario whose slope limits were asked: what went in, what was found."""

    case: Case
    report: SlopeReport


def run(
    scenario: Case | Path | str,
    overrides: Mapping[str, str] | None = None,
    progress: Progress | None = None,
    spread: int | None = None,
    floor_spread: int = FLOOR_SPREAD,
    strict: bool = False,
) -> RunResult:
    """Simulate and assess a scenario, given as a file, the name of a shipped one, or a case already read.

    Parameters
    ----------
    scenario : path, name or case
    overrides : settings that replace those of the files, such as {"event.0.depth": "95 mm"}; not with a case
    progress : told of each stage
    spread : in how many further runs, 0 for none, lifted load, tyres, events and friction are drawn from what is not
        known of them; left out, what the scenario says, else 50, fewer where a run takes long
    floor_spread : in how many runs, 0 for none, a floor that holds to a strength is drawn from what is not known of it
    strict : refuse what is unusual and not said to be meant, as if it could not be

    Raises
    ------
    InputError
        A file, a value or an override is wrong.
    NumericalError
        The simulation broke down; there is no outcome.
    MissingPart
        pybullet is not installed on this system.
    """
    tell = progress or _silent
    case = _case(scenario, overrides, tell)
    _hold_to(case.unusual, strict=strict)
    tell("loading the engine (its first start compiles it, under a minute)", None)
    from tipline import engines
    from tipline.floors.laws.of_floor import floor_laws, places_met
    from tipline.runs.assessment import assess_run, decider
    from tipline.runs.met import never_met

    met = list(places_met(case))
    laws = floor_laws(case, met=met)
    record = engines.simulate(
        case, lambda part: tell("simulating", part), decider(case), zones=laws.zones, notes=laws.notes
    )
    tell("assessing", None)
    report = assess_run(record, case)
    if case.cells:
        report = replace(report, outcome_table=_table(case, report.outcome.truck, tell))
    report = replace(report, spread=_spread(case, report.outcome, laws.zones, spread, tell))
    if floor_spread > 0:
        report = replace(report, floor_breaks=_breaks(case, record, laws.zones, met, floor_spread, tell))
    pose = _with_floor(report.pose, case)
    new = tuple(text for text in pose.exceeded if text not in report.pose.exceeded)
    found = _peaks(case, record, report.no_return)
    new += tuple(f"on the floor, in the run: {one.answer.exceeding}" for one in found[:1] if one.answer.exceeds)
    report = replace(
        report,
        pose=pose,
        floor_peaks=found,
        exceeded=(*report.exceeded, *new),
        assumed=pose.assumed,
        assumed_count=pose.assumed_count,
    )
    not_met = (*case.told, *never_met(record, case, report.no_return))
    report = replace(report, unusual=case.unusual, not_met=not_met)
    return RunResult(case, report.run, report)


def check(
    scenario: Case | Path | str,
    overrides: Mapping[str, str] | None = None,
    progress: Progress | None = None,
    strict: bool = False,
) -> PoseReport:
    """Assess the pose a scenario starts from, at rest; nothing is simulated.

    Parameters and errors are those of `run`.
    """
    tell = progress or _silent
    case = _case(scenario, overrides, tell)
    _hold_to(case.unusual, strict=strict)
    tell("assessing", None)
    from tipline.pose.assessment import assess_pose

    report = _with_floor(assess_pose(case), case)
    return replace(report, unusual=case.unusual, not_met=case.told)


def floor(
    subject: Path | str,
    overrides: Mapping[str, str] | None = None,
    way: Path | None = None,
    stock: Path | str | None = None,
    progress: Progress | None = None,
    strict: bool = False,
) -> FloorResult:
    """Ask a floor: under the set-up of a scenario, along a route with it, or alone where the subject is a floor.

    Parameters
    ----------
    subject : a scenario or a floor, by file or shipped name
    overrides : settings that replace those of the file
    way : file of a route; only with a scenario
    stock : spreaders to choose from, by file or shipped name
    progress : told of each stage
    strict : as for `run`

    Raises
    ------
    InputError
        A file, a value or an override is wrong.
    NumericalError
        Equilibrium or plate elements broke down.
    """
    from tipline.floors.answers.alone import floor_alone
    from tipline.floors.answers.demand import demand
    from tipline.floors.answers.demand import route as demand_along
    from tipline.model import read_stock
    from tipline.model.reader import read_floor, unusual_in_floor, unusual_in_stock
    from tipline.scenario.route import read_route, unusual_in_route

    tell = progress or _silent
    tell("reading", None)
    if _is_floor(str(subject)):
        if way is not None:
            msg = "a route needs a truck: give a scenario in place of a floor"
            raise InputError(msg, key="--route", value=str(way), remedy="Name a scenario on this floor")
        alone, unusual = read_floor(subject, overrides), unusual_in_floor(subject, overrides)
        _hold_to(unusual, strict=strict)
        tell("asking the floor", None)
        return FloorResult(None, alone, replace(floor_alone(alone), unusual=unusual))
    case = read(subject, overrides or {})
    route = None if way is None else read_route(way)
    pieces = None if stock is None else read_stock(stock)
    unusual = (
        *case.unusual,
        *(() if way is None else unusual_in_route(way)),
        *(() if stock is None else unusual_in_stock(stock)),
    )
    _hold_to(unusual, strict=strict)
    tell("asking the floor", None)
    report = demand(case, stock=pieces) if route is None else demand_along(case, route, stock=pieces)
    return FloorResult(case, case.floor, replace(report, unusual=unusual, not_met=case.told))


def slopes(
    scenario: Path | str,
    overrides: Mapping[str, str] | None = None,
    heights: str | None = None,
    beside: Sequence[str] = (),
    directions: int = 72,
    simulate: int = 0,
    ramps: int = 0,
    progress: Progress | None = None,
    strict: bool = False,
) -> SlopeResult:
    """Find the greatest floor slope in every direction, by height and set-up.

    Parameters
    ----------
    scenario : by file or shipped name
    overrides : settings that replace those of the files
    heights : fork heights (hook heights on a jib) such as "0.3 m, 2 m", or how many, spread evenly
    beside : further set-ups, each as "key = value; key = value" changed against the scenario
    directions : how many, spread evenly, 8 to 720
    simulate : in how many directions to simulate as well, by bisection
    ramps : how many ways of driving onto a ramp, and stopping on it, 12 at most (`slope_limits.tilting.RAMPS`)
    progress : told of each stage
    strict : as for `run`

    Raises
    ------
    InputError
        A file, a value, a height or a set-up is wrong.
    NumericalError
        A simulation broke down.
    MissingPart
        pybullet is not installed and a simulation was asked for.
    """
    from tipline.slope_limits import tilting

    tell = progress or _silent
    tell("reading", None)
    if not 8 <= directions <= 720:
        msg = "must be between 8 and 720"
        raise InputError(msg, key="--directions", value=str(directions), remedy="72 is one every 5 degrees")
    first = read(scenario, overrides or {})
    cases = [("", first)]
    for text in beside:
        changes = _changes(text)
        words = ", ".join(f"{_spoken(key)} {value}" for key, value in changes.items())
        cases.append((words, read(scenario, {**(overrides or {}), **changes})))
    unusual = tuple({str(one): one for _, case in cases for one in case.unusual}.values())
    _hold_to(unusual, strict=strict)
    asked = tilting.set_ups(cases, heights, with_own=ramps > 0)
    tell("loading the solver (its first start compiles it, under a minute)", None)
    from tipline.slope_limits.assessment import assess_slopes

    report = assess_slopes(asked, directions, lambda part: tell("solving", part))
    if simulate > 0:
        known = {(label, one.height): case for (label, case) in cases for one in report.maps if one.label == label}
        found = tilting.simulate_slopes(report, known, simulate, lambda part: tell("simulating slopes", part))
        report = replace(report, simulated=found)
    if ramps > 0:
        driven = tilting.simulate_ramps(report, first, ramps, lambda part: tell("simulating ramps", part))
        told = () if driven else ("No ramp was driven: at its own height the truck does not stand on a level floor.",)
        report = replace(report, driven=driven, notes=(*report.notes, *told))
    return SlopeResult(first, replace(report, unusual=unusual, not_met=first.told))


@dataclass(frozen=True)
class ExportResult:
    """A case and its truck in the files of a format."""

    case: Case
    exported: Exported


def export(
    scenario: Path | str,
    form: Format,
    overrides: Mapping[str, str] | None = None,
    progress: Progress | None = None,
) -> ExportResult:
    """Give the truck of a scenario, in its set-up at time zero, as the files of a format: "urdf", "mjcf" or "glb".

    Raises
    ------
    InputError
        A file, a value or an override is wrong.
    """
    tell = progress or _silent
    tell("reading", None)
    case = read(scenario, overrides or {})
    tell("exporting", None)
    from tipline.geometry.export import export as exported

    return ExportResult(case, exported(case, form))


def _changes(text: str) -> dict[str, str]:
    """Read a set-up to show beside, such as "counterweight_extension = 0.6 m; load.mass = 4 t"."""
    out = {}
    for part in text.split(";"):
        key, sign, value = part.partition("=")
        if not sign or not key.strip():
            msg = "a set-up needs keys and values"
            raise InputError(
                msg, key="--beside", value=text, remedy='Write it like "load.mass = 4 t; setup.tilt = 2 deg"'
            )
        key = key.strip()
        out[key if "." in key else f"setup.{key}"] = value.strip()
    return out


def _spoken(key: str) -> str:
    return key.removeprefix("setup.").replace("_", " ").replace(".", " ")


def shipped() -> dict[str, dict[str, str]]:
    """Give the title of every file that comes with the program, by kind and name."""
    import tomllib

    from tipline.model.shipped import find, list_shipped

    titles: dict[str, dict[str, str]] = {}
    for kind, names in list_shipped().items():
        texts = {name: find(kind, name)[0].read_text(encoding="utf-8") for name in names}
        titles[kind] = {name: str(tomllib.loads(text).get("title", "")) for name, text in texts.items()}
    return titles


def _table(case: Case, here: str, tell: Progress) -> OutcomeTable:
    """Run every cell of a case's table but the run itself, whose outcome is ``here``."""
    from tipline import engines
    from tipline.floors.laws.of_floor import floor_laws
    from tipline.runs.assessment import decider, outcome_of
    from tipline.runs.outcome_table import NO_RESULT, outcome_table, same_inputs

    outcomes, done, count = [], 0, sum(len(line) for line in case.cells)
    for line in case.cells:
        words = []
        for cell in line:
            tell("simulating the table", done / count)
            try:
                words.append(
                    here
                    if same_inputs(cell, case)
                    else outcome_of(
                        engines.simulate(cell, decided=decider(cell), zones=floor_laws(cell).zones), cell
                    ).truck
                )
            except NumericalError:
                words.append(NO_RESULT)
            done += 1
        outcomes.append(words)
    return outcome_table(case, outcomes)


def _spread(case: Case, outcome: Outcome, zones: Sequence[ZoneLaw], asked: int | None, tell: Progress) -> Spread | None:
    """Run the case within what is not known of lifted load, tyres, events and friction."""
    from tipline.sweeps import spread

    count, reason = spread.planned(case, asked)
    if count <= 0:
        return None
    return spread.spread(case, outcome, count, zones, reason, lambda part: tell("simulating the spread", part))


def _breaks(
    case: Case, record: Run, zones: Sequence[ZoneLaw], met: Sequence[Situation], count: int, tell: Progress
) -> Breaks | None:
    """Run the case on floors drawn from what is not known, where the floor has parts that hold to a strength.

    A drawn floor whose every part is stronger than any tyre load of a run that broke nothing needs no run of its own.
    """
    from tipline import engines
    from tipline.runs import breaks
    from tipline.runs.assessment import decider, outcome_of
    from tipline.runs.outcome_table import NO_RESULT

    likely = breaks.weakest(zones)
    drawn = breaks.drawn_floors(case, count, met) if isfinite(likely) else []
    if not drawn:
        return None
    short = _short(case)
    here = outcome_of(record, case)
    enough, word = (inf, "") if breaks.broke_by_load(record) else (_most_load(record), here.truck)
    ended: dict[int, tuple[str, bool]] = {}
    for done, index in enumerate(sorted(range(len(drawn)), key=lambda i: -drawn[i].strength)):
        tell("simulating the range of the floor's strength", done / len(drawn))
        if drawn[index].strength > ABOVE * enough:
            ended[index] = word, False
            continue
        try:
            run = engines.simulate(short, decided=decider(short), zones=drawn[index].zones)
        except NumericalError:
            ended[index] = NO_RESULT, False
            continue
        outcome, broke = outcome_of(run, short), breaks.broke_by_load(run)
        ended[index] = outcome.truck, broke
        if not broke and enough == inf:
            enough, word = _most_load(run), outcome.truck
    in_order = [ended[index] for index in range(len(drawn))]
    return breaks.breaks_of(drawn, in_order, here.truck, likely, demo=case.demo)


def _short(case: Case) -> Case:
    """Return the case with no more time than its events take and what follows at once; undecided runs are extended."""
    scenario = case.scenario
    last = max((getattr(event, "at", 0.0) for event in scenario.event), default=0.0)
    run = scenario.run.model_copy(update={"duration": min(scenario.run.duration, last + AFTER)})
    return replace(case, scenario=scenario.model_copy(update={"run": run}), cells=())


def _most_load(run: Run) -> float:
    """Return the greatest load of any tyre over a run [N]."""
    return float(max(run.series(f"tyre_load.{name}").max() for name in run.tyres))


def _case(scenario: Case | Path | str, overrides: Mapping[str, str] | None, tell: Progress) -> Case:
    if isinstance(scenario, Case):
        if overrides:
            msg = "overrides belong to reading: give them to tipline.scenario.read together with the file"
            raise TypeError(msg)
        return scenario
    tell("reading", None)
    settings: Mapping[str, object] = overrides or {}
    for key, value in settings.items():
        if not isinstance(value, str):
            msg = "a setting is text, as it would stand in the file"
            raise InputError(msg, key=str(key), value=repr(value), remedy='Write it like "95 mm"')
    return read(scenario, overrides or {})


def _hold_to(unusual: Sequence[InputError], *, strict: bool) -> None:
    """Refuse what is unusual where that is asked for."""
    if strict and unusual:
        raise InputErrors(unusual)


def _with_floor(report: PoseReport, case: Case) -> PoseReport:
    """Add what the set-up asks of the floor, its planning limits that are exceeded, and its bands to what is assumed.

    A floor that is rigid throughout is asked nothing, and what asks is not loaded for it: the page says so.
    """
    if _rigid(case.floor):
        return report
    from tipline.floors.answers.demand import demand

    asked = demand(case, detail=False, advice=False)
    told = (f"on the floor: {asked.lead}",) if asked.exceeded else ()
    return replace(
        report,
        floor=asked,
        exceeded=(*report.exceeded, *told),
        assumed=asked.assumed,
        assumed_count=asked.assumed_count,
    )


def _peaks(case: Case, record: Run, no_return: float | None) -> tuple[Peak, ...]:
    """Return what the run asked of the floor, each tyre at its peak; nothing of a floor that is rigid throughout."""
    if _rigid(case.floor):
        return ()
    from tipline.runs.peaks import peaks

    return peaks(case, record, inf if no_return is None else no_return)


def _rigid(floor: Floor) -> bool:
    return floor.elsewhere.kind == "rigid" and not floor.zone and not floor.spreader


def _is_floor(name: str) -> bool:
    """Whether a name or file is a floor and not a scenario: a shipped floor's name, or a file without a truck."""
    import tomllib

    from tipline.model.document import read_text
    from tipline.model.shipped import list_shipped

    if name in list_shipped()["floor"]:
        return True
    path = Path(name)
    if not name.lower().endswith(".toml") or not path.is_file():
        return False
    try:
        found = tomllib.loads(read_text(path, name))
    except (InputError, ValueError, RecursionError):  # told when it is read
        return False
    return "setup" not in found and "machine" not in found and bool({"elsewhere", "zone", "friction"} & set(found))


def _silent(stage: str, part: float | None) -> None:
    """Tell nobody."""
