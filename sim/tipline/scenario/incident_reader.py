"""Read an incident: its file, what was found in SI, and for each cause the runs that it is judged by."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

from tipline import units
from tipline.errors import FROM_SET, InputError, InputErrors
from tipline.model.document import Document, Overrides, checked, read_text
from tipline.model.problems import Finding, build, refuse
from tipline.model.quantities import Quantity
from tipline.model.shipped import find
from tipline.scenario.case import Case, Text
from tipline.scenario.incident import KINDS_OF_FINDING, Incident
from tipline.scenario.incident_plan import CausePlan, FindingRead, IncidentPlan
from tipline.scenario.reader import read
from tipline.scenario.sweep import Sweep
from tipline.scenario.sweep_plan import SweepPlan, SweptInput
from tipline.scenario.sweep_reader import Settings, check_variable, plain, sources

__all__ = ["read_incident"]

Place = tuple[str | int, ...]


def read_incident(name: str | Path, overrides: Overrides | None = None, *, texts: Sequence[Text] = ()) -> IncidentPlan:
    """Return the incident of a file or a shipped name, with single values of that file changed by dotted key.

    Texts, for each cause its scenario's and those of that, stand for the files that would be looked for.

    Raises InputError, or InputErrors with all problems found.
    """
    path, shown = find("incident", str(name))
    document = Document.from_text(read_text(path, shown), shown)
    for key, value in checked(overrides).items():
        document.change(key, value)
    incident = build(Incident, document)
    refuse(_check(incident), document)
    problems: list[InputError] = []
    readings = tuple(_reading(incident, index, document, problems) for index in range(len(incident.found)))
    problems += _contradictions(readings, document)
    kept = _by_cause(texts)
    causes = tuple(
        _cause(incident, index, document, (path.parent, kept[index] if kept else ()), problems)
        for index in range(len(incident.cause))
    )
    if problems:
        raise InputErrors({str(problem): problem for problem in problems}.values())
    plans = tuple(plan for plan in causes if plan is not None)
    questions = {str(question): question for plan in plans for question in plan.plan.unusual}
    files = {document.shown: document.text}
    for plan in plans:
        files |= plan.plan.files
    return IncidentPlan(
        incident,
        tuple(reading for reading in readings if reading is not None),
        plans,
        tuple(questions.values()),
        files,
        str(name),
        checked(overrides),
    )


def _check(incident: Incident) -> Iterator[Finding]:
    """Yield what does not go together in an incident."""
    names = [cause.name for cause in incident.cause]
    for index, cause in enumerate(incident.cause):
        if cause.name in names[:index]:
            yield Finding(("cause", index, "name"), "is the name of another cause", "Give each cause a name of its own")
        if not cause.variable and not incident.variable:
            reason = "has nothing that varies, so that all its runs would be one"
            yield Finding(("cause", index), reason, "Add a [[cause.variable]] with what of it is not known")
        keys = [key for variable in (*incident.variable, *cause.variable) for key in variable.key]
        for place, variables in ((("variable",), incident.variable), (("cause", index, "variable"), cause.variable)):
            # what a cause sets and varies is set for the scenario to read with, as an event is whose depth varies
            held = incident.set if place[0] == "cause" else {**incident.set, **cause.set}
            for number, variable in enumerate(variables):
                yield from check_variable(variable, (*place, number), True)
                for key in variable.key:
                    if keys.count(key) > 1 or key in held:
                        reason = f"{key} is set elsewhere in this file too"
                        yield Finding((*place, number, "key"), reason, f"Remove {key} here or there")
    if not any(not finding.moved for finding in incident.found):
        reason = "holds only what was recorded after something was moved"
        yield Finding(("found",), reason, "Add what was seen before: which side, how the load lay, what broke")
    for index, finding in enumerate(incident.found):
        if any(finding.of == other.of and not other.moved for other in incident.found[:index]) and not finding.moved:
            reason = "is recorded twice"
            yield Finding(("found", index, "of"), reason, "Keep the better record, or give one with both of them in it")


_LIES = {
    "left": ("truck.roll", -1.0, "left side down"),
    "right": ("truck.roll", 1.0, "right side down"),
    "front": ("truck.pitch", 1.0, "front down"),
    "back": ("truck.pitch", -1.0, "back down"),
}
"""How a truck that is over to a side leans: what of it, with which sign, in words."""
_STANDS = ("down", "down, too light to steer", "tyre-lifted")


def _contradictions(readings: Sequence[FindingRead | None], document: Document) -> Iterator[InputError]:
    """Yield findings that cannot both be of one truck, at the later of the two."""
    counted = ((index, reading) for index, reading in enumerate(readings) if reading is not None and reading.used)
    used = {reading.of: (index, reading) for index, reading in counted}
    if "truck.over" not in used:
        return
    over, side = used["truck.over"][0], str(used["truck.over"][1].value)
    if "truck.end" in used:
        end, word = used["truck.end"][0], used["truck.end"][1].value
        if word == "over" and side == "none":
            yield _contradicts(document, end, over, "a truck that is over went over some side")
        elif word in _STANDS and side != "none":
            yield _contradicts(document, end, over, f"a truck that ended {word} went over no side")
    of, sign, lies = _LIES.get(side, ("", 0.0, ""))
    if of in used and sign * float(used[of][1].value) + used[of][1].within < 0.0:
        yield _contradicts(document, over, used[of][0], f"a truck over to the {side} lies {lies}")


def _contradicts(document: Document, first: int, second: int, why: str) -> InputError:
    reason = f"contradicts found.{min(first, second)}: {why}"
    remedy = "Correct one of them, or keep the one that is better known"
    return document.problem(("found", max(first, second), "recorded"), reason, remedy)


def _reading(incident: Incident, index: int, document: Document, problems: list[InputError]) -> FindingRead | None:
    """Return a finding in SI; what is wrong with it is added to the problems."""
    finding = incident.found[index]
    measured, place = KINDS_OF_FINDING[finding.of], ("found", index)
    known = ", ".join(text for text in (finding.who, finding.when, finding.how) if text)
    if not measured.dimension:
        if finding.recorded not in measured.words:
            remedy = f"Write one of: {'; '.join(measured.words)}"
            problems.append(document.problem((*place, "recorded"), "is no word for it", remedy))
        if finding.within is not None:
            problems.append(document.problem((*place, "within"), "is not for a word", "Give sure = 0.9, say"))
        return FindingRead(finding.of, measured, str(finding.recorded), 0.0, finding.sure, known, not finding.moved)
    try:
        value = _figure(document, (*place, "recorded"), finding.recorded, measured.dimension)
        if finding.within is None:
            remedy = f"Add within = {Quantity(measured.dimension).example()}, met by 19 of 20 such records"
            raise document.problem(place, "does not say within how much it is known", remedy)
        within = _figure(document, (*place, "within"), finding.within, measured.dimension)
        if within <= 0.0:
            raise document.problem((*place, "within"), "must be greater than 0", "No record is exact: give its error")
    except InputError as error:
        problems.append(error)
        return None
    used = not finding.moved or bool(measured.setting)  # a weight stays what it was
    return FindingRead(finding.of, measured, value, within, finding.sure, known, used)


def _figure(document: Document, place: Place, given: Any, dimension: str) -> float:
    if document.in_si(place) and isinstance(given, int | float) and not isinstance(given, bool):
        return float(given)
    remedy = f"Write it like {Quantity(dimension).example()}"
    if not isinstance(given, str):
        raise document.problem(place, "needs a unit", remedy)
    try:
        return units.parse(given, dimension)
    except ValueError as error:
        raise document.problem(place, str(error), remedy) from error


def _by_cause(texts: Sequence[Text]) -> list[tuple[Text, ...]]:
    """Return the texts of each cause: a scenario with what follows it up to the next."""
    starts = [index for index, text in enumerate(texts) if text.kind == "scenario"]
    return [tuple(texts[start:end]) for start, end in pairwise([*starts, len(texts)])]


def _cause(
    incident: Incident,
    index: int,
    document: Document,
    beside: tuple[Path, tuple[Text, ...]],
    problems: list[InputError],
) -> CausePlan | None:
    """Return a cause with its runs; what is wrong with it is added to the problems.

    beside : where its files are looked for, and the texts that stand for them
    """
    cause = incident.cause[index]
    place: Place = ("cause", index)
    fixed = {key: plain(value) for key, value in {**incident.set, **cause.set}.items()}
    try:
        named = (*place, "scenario") if cause.scenario else ("scenario",)
        folder, texts = beside
        source = texts[0].given if texts else ""
        if not texts:
            source, texts = sources(cause.scenario or incident.scenario, named, document, folder, fixed)
        case = _base(source, fixed, texts, incident, (place, document))
    except InputError as error:
        problems += error.problems if isinstance(error, InputErrors) else (error,)
        return None
    reader = Settings(case, source, fixed, document, incident.meant, texts)
    ours = [reader.of(("variable", number), variable) for number, variable in enumerate(incident.variable)]
    ours += [reader.of((*place, "variable", number), variable) for number, variable in enumerate(cause.variable)]
    problems += reader.problems
    inputs = tuple(known for known in ours if known is not None)
    sweep = Sweep(
        title=cause.said,
        scenario=source,
        method="monte-carlo",
        runs=incident.runs,
        seed=incident.seed * 16 + index,
        set={**incident.set, **cause.set},
        variable=(*incident.variable, *cause.variable),
        rest=True,
    )
    problems += _same_name(inputs, place, document)
    questions = (*(question for question in case.unusual if question.key not in incident.meant), *reader.unusual)
    return CausePlan(
        cause, SweepPlan(sweep, case, fixed, inputs, None, 0.0, incident.runs, texts, case.files, questions)
    )


def _same_name(inputs: tuple[SweptInput, ...], place: Place, document: Document) -> Iterator[InputError]:
    columns = [swept_input.column for swept_input in inputs]
    for column in {column for column in columns if columns.count(column) > 1}:
        yield document.problem(place, f'"{column}" is the name of two of its settings', "Give one of them another name")


def _base(
    source: str,
    fixed: Mapping[str, str],
    texts: Sequence[Text],
    incident: Incident,
    at: tuple[Place, Document],
) -> Case:
    """Return the scenario of a cause with its changes; an error in one of them is told where it stands."""
    place, document = at
    try:
        return read(source, fixed, table=False, texts=texts)
    except InputError as error:
        problems = error.problems if isinstance(error, InputErrors) else (error,)
        raise InputErrors(_placed(problem, fixed, incident, place, document) for problem in problems) from error


def _placed(
    problem: InputError, fixed: Mapping[str, str], incident: Incident, place: Place, document: Document
) -> InputError:
    """Return an error in a value that the case sets at the place in the case where it is set."""
    said = str(problem.key)
    key = next((key for key in fixed if said == key or said.startswith(f"{key}.")), None)
    if problem.file != FROM_SET or key is None:
        return problem
    above = place if key in incident.cause[int(place[1])].set else ()
    reason = problem.reason if said == key else f"{said}: {problem.reason}"
    return document.problem((*above, "set", key), reason, problem.remedy)
