"""From a scenario to an assessed run or pose: the one place where reader, engine and assessment meet."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from tipline.errors import InputError, NumericalError
from tipline.scenario import Case, read

if TYPE_CHECKING:
    from tipline.assess import OutcomeTable, PoseReport, RunReport
    from tipline.assess.floor import FloorReport
    from tipline.model.floor import Floor
    from tipline.results import Run

Progress = Callable[[str, float | None], None]
"""Called with the name of the stage and the part of it that is done, 0 to 1, or None where that is not known."""


@dataclass(frozen=True)
class RunResult:
    """A simulated and assessed scenario: what went in, the run itself, and what it means."""

    case: Case
    run: Run
    report: RunReport


@dataclass(frozen=True)
class FloorResult:
    """A floor that was asked: by a case, or alone; what was found."""

    case: Case | None
    floor: Floor
    report: FloorReport


def run(
    scenario: Case | Path | str,
    overrides: Mapping[str, str] | None = None,
    progress: Progress | None = None,
) -> RunResult:
    """Simulate and assess a scenario, given as a file, the name of a shipped one, or a case already read.

    Parameters
    ----------
    scenario : path, name or case
    overrides : settings that replace those of the files, such as {"event.0.depth": "95 mm"}; not with a case
    progress : told of each stage

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
    tell("loading the engine (its first start compiles it, under a minute)", None)
    from tipline import assess, engine
    from tipline.assess.floor.laws import floor_laws

    laws = floor_laws(case)
    record = engine.simulate(
        case, lambda part: tell("simulating", part), assess.decider(case), zones=laws.zones, notes=laws.notes
    )
    tell("assessing", None)
    report = assess.assess_run(record, case)
    if case.cells:
        report = replace(report, outcome_table=_table(case, report.outcome.truck, tell))
    pose = _with_floor(report.pose, case)
    new = tuple(text for text in pose.exceeded if text not in report.pose.exceeded)
    report = replace(report, pose=pose, exceeded=(*report.exceeded, *new))
    return RunResult(case, report.run, report)


def check(
    scenario: Case | Path | str,
    overrides: Mapping[str, str] | None = None,
    progress: Progress | None = None,
) -> PoseReport:
    """Assess the pose a scenario starts from, at rest; nothing is simulated.

    Parameters and errors are those of `run`.
    """
    tell = progress or _silent
    case = _case(scenario, overrides, tell)
    tell("assessing", None)
    from tipline import assess

    return _with_floor(assess.assess_pose(case), case)


def floor(
    subject: Path | str,
    overrides: Mapping[str, str] | None = None,
    way: Path | None = None,
    stock: Path | str | None = None,
    progress: Progress | None = None,
) -> FloorResult:
    """Ask a floor: under the set-up of a scenario, along a route with it, or alone where the subject is a floor.

    Parameters
    ----------
    subject : a scenario or a floor, by file or shipped name
    overrides : settings that replace those of the file
    way : file of a route; only with a scenario
    stock : spreaders to choose from, by file or shipped name
    progress : told of each stage

    Raises
    ------
    InputError
        A file, a value or an override is wrong.
    NumericalError
        Equilibrium or plate elements broke down.
    """
    from tipline.assess import floor as asking
    from tipline.model import read_stock
    from tipline.model.reader import read_floor
    from tipline.scenario.route import read_route

    tell = progress or _silent
    tell("reading", None)
    if _is_floor(str(subject)):
        if way is not None:
            msg = "a route needs a truck: give a scenario in place of a floor"
            raise InputError(msg, key="--route", value=str(way), remedy="Name a scenario on this floor")
        alone = read_floor(subject, overrides)
        tell("asking the floor", None)
        return FloorResult(None, alone, asking.floor_alone(alone))
    case = read(subject, overrides or {})
    route = None if way is None else read_route(way)
    pieces = None if stock is None else read_stock(stock)
    tell("asking the floor", None)
    report = asking.demand(case, stock=pieces) if route is None else asking.route(case, route, stock=pieces)
    return FloorResult(case, case.floor, report)


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
    from tipline import assess, engine
    from tipline.assess.floor.laws import floor_laws

    outcomes, done, count = [], 0, sum(len(line) for line in case.cells)
    for line in case.cells:
        words = []
        for cell in line:
            tell("simulating the table", done / count)
            try:
                words.append(
                    here
                    if assess.same_inputs(cell, case)
                    else assess.outcome_of(
                        engine.simulate(cell, decided=assess.decider(cell), zones=floor_laws(cell).zones), cell
                    ).truck
                )
            except NumericalError:
                words.append(assess.NO_RESULT)
            done += 1
        outcomes.append(words)
    return assess.outcome_table(case, outcomes)


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


def _with_floor(report: PoseReport, case: Case) -> PoseReport:
    """Add what the set-up asks of the floor, and the planning limits of the floor that it exceeds."""
    from tipline.assess.floor import demand

    asked = demand(case, detail=False)
    told = (f"on the floor {asked.lead}",) if asked.exceeded else ()
    return replace(report, floor=asked, exceeded=(*report.exceeded, *told))


def _is_floor(name: str) -> bool:
    """Whether a name or file is a floor and not a scenario: a shipped floor's name, or a file without a truck."""
    import tomllib

    from tipline.model.shipped import list_shipped

    if name in list_shipped()["floor"]:
        return True
    path = Path(name)
    if not name.endswith(".toml") or not path.is_file():
        return False
    try:
        found = tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError):
        return False
    return "setup" not in found and "machine" not in found and bool({"elsewhere", "zone", "friction"} & set(found))


def _silent(stage: str, part: float | None) -> None:
    """Tell nobody."""
