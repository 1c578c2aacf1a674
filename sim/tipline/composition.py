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
    from tipline.results import Run

Progress = Callable[[str, float | None], None]
"""Called with the name of the stage and the part of it that is done, 0 to 1, or None where that is not known."""


@dataclass(frozen=True)
class RunResult:
    """A simulated and assessed scenario: what went in, the run itself, and what it means."""

    case: Case
    run: Run
    report: RunReport


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

    return assess.assess_pose(case)


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


def _silent(stage: str, part: float | None) -> None:
    """Tell nobody."""
