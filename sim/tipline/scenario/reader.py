"""Read a scenario with its machine and floor."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from tipline.errors import InputError, InputErrors, argument
from tipline.model.document import Document, Overrides, changes_for, checked, read_text
from tipline.model.floor import Floor
from tipline.model.machine import Machine
from tipline.model.origins import fill_origins
from tipline.model.plausible import still_meant
from tipline.model.problems import build, refuse
from tipline.model.reader import change_machine, to_floor, to_machine
from tipline.model.shipped import Kind, find
from tipline.printable import printable
from tipline.scenario.case import AsRead, Case, Source, Text
from tipline.scenario.checks import check_scenario, fork_height, pin_near
from tipline.scenario.spec import Scenario

__all__ = ["Text", "read", "read_again", "text_at"]

T = TypeVar("T")
_LOAD_ORIGIN = {"weighed": "measured"}


def read(
    name: str | Path,
    overrides: Overrides | None = None,
    *,
    table: bool = True,
    texts: Sequence[Text] = (),
) -> Case:
    """Return the case of a scenario, by shipped name or path, with single values changed by dotted key.

    Keys are those of the scenario file; ``machine.`` or ``floor.`` in front reaches into theirs; list entries go
    by index from 0 or by name: ``{"event.0.depth": "95 mm", "machine.drive_axle.tyre.front-left.friction": "0.5"}``.
    Text stands as in the file, numbers are in SI. A table's cells are read with the rest, unless told not to. A file
    whose text is given is not looked for. Raises InputError, or InputErrors with all problems found.
    """
    changes = checked(overrides)
    case, document = _read(str(name), changes, texts)
    return (
        case
        if case.scenario.table is None or not table
        else replace(case, cells=_cells(case.source, case.scenario, document))
    )


def read_again(case: Case, overrides: Overrides) -> Case:
    """Return a case with further values changed, read anew from the texts it was read from.

    Raises InputError, also for a case in which something was replaced since it was read: that would be lost.
    """
    read_as, source = case.as_read, case.source
    if (case.scenario, case.machine, case.floor, case.load) != (*read_as.parts, read_as.scenario.load):
        reason = "changes are for a case as it was read, and something was replaced in this one since"
        remedy = "Give them to tipline.scenario.read together with the file"
        raise InputError(reason, key=argument("overrides"), remedy=remedy)
    return read(source.name, {**source.changes, **checked(overrides)}, table=bool(case.cells), texts=source.texts)


def text_at(kind: Kind, given: str, path: Path, shown: str) -> Text:
    """Return the text of a file; raises InputError when it cannot be read."""
    return Text(kind, given, str(path.parent), printable(path.stem), shown, read_text(path, shown))


def _known(kind: Kind, given: str, texts: Sequence[Text]) -> Text | None:
    return next((text for text in texts if (text.kind, text.given) == (kind, given)), None)


def _document(text: Text) -> Document:
    document = Document.from_text(text.text, text.shown)
    if text.kind != "scenario":
        document.data.setdefault("name", text.stem)
    return document


def _read(name: str, changes: Overrides, texts: Sequence[Text] = ()) -> tuple[Case, Document]:
    source = _known("scenario", name, texts) or text_at("scenario", name, *find("scenario", name))
    document, beside, used = _document(source), Path(source.folder), [source]
    note = _take_note(document)
    problems: list[InputError] = []
    for key, text in changes.items():
        if not key.startswith(("machine.", "floor.")):
            _collect(problems, lambda key=key, text=text: document.change(key, text))  # type: ignore[misc]
    machine_document = _collect(problems, lambda: _part(document, "machine", beside, changes, texts, used))
    floor_document = _collect(problems, lambda: _part(document, "floor", beside, changes, texts, used))
    for kind in ("machine", "floor"):
        if kind in note and (kind,) not in document.changed:
            document.data[kind] = note[kind]
    machine = machine_document and _collect(problems, lambda: to_machine(machine_document))
    floor = floor_document and _collect(problems, lambda: to_floor(floor_document))
    scenario = _collect(problems, lambda: build(Scenario, document))
    if scenario and machine:
        findings = check_scenario(scenario, machine)
        _collect(problems, lambda: refuse(findings, document))
    if problems or not (scenario and machine and floor and machine_document and floor_document):
        raise InputErrors(problems)
    shown = Path(note.get("file", document.shown))
    parts: dict[str, tuple[Machine | Floor, Document]] = {
        "machine": (machine, machine_document),
        "floor": (floor, floor_document),
    }
    update = {"file": shown, "meant": _still_meant(scenario, document, parts)}
    scenario = _settled(scenario.model_copy(update=update), machine, document)
    files = {read.shown: read.text for read in (document, machine_document, floor_document)}
    as_read = AsRead(scenario, machine, floor, (document, machine_document, floor_document))
    scenario, machine, floor = as_read.parts
    return Case(scenario, machine, floor, scenario.load, as_read, Source(name, changes, tuple(used)), files), document


def _still_meant(
    scenario: Scenario, document: Document, parts: Mapping[str, tuple[Machine | Floor, Document]]
) -> tuple[str, ...]:
    """Return what the scenario says is meant, of machine and floor too, without what a change has replaced since."""
    if ("meant",) in document.changed:
        return scenario.meant
    kept: list[str] = []
    for key in scenario.meant:
        start, _, rest = key.partition(".")
        part, inside = parts.get(start, (scenario, document))
        kept += [key] if still_meant([rest if start in parts else key], part, inside.changed) else []
    return tuple(kept)


def _cells(source: Source, scenario: Scenario, document: Document) -> tuple[tuple[Case, ...], ...]:
    """Read every combination of a table's settings; a problem names the first cell that has it."""
    table, problems, cells = scenario.table, dict[str, InputError](), []
    if table is None:
        return ()
    if table.row == table.column:
        raise document.problem(("table", "column"), "is the same setting as row", "Use two settings")
    for index, row in enumerate(table.rows):
        line = []
        for column in table.columns:
            try:
                changes = {**source.changes, table.row: row, table.column: column}
                line.append(_read(source.name, changes, source.texts)[0])
            except (InputError, InputErrors) as error:
                first = error.problems[0] if isinstance(error, InputErrors) else error
                cell = f"the cell {table.row} = {row}, {table.column} = {column}"
                reason = f"{cell} does not read: {first.reason}"
                problem = document.problem(("table", "rows", index), reason, first.remedy)
                problems.setdefault(first.reason, problem)
        cells.append(tuple(line))
    if problems:
        raise InputErrors(list(problems.values()))
    return tuple(cells)


def _collect(problems: list[InputError], action: Callable[[], T]) -> T | None:
    """Return what an action gives; keep its problems and return None when it refuses."""
    try:
        return action()
    except InputErrors as error:
        problems.extend(error.problems)
    except InputError as error:
        problems.append(error)
    return None


def _take_note(document: Document) -> dict[str, str]:
    """Take out the table that a resolved file has: the names its machine, floor and scenario were given by."""
    note = document.data.pop("resolved", None)
    if note is None:
        return {}
    known = {"format", "file", "machine", "floor"}
    if not isinstance(note, dict) or note.keys() - known or note.get("format") != 1:
        reason = f"must be a table with format = 1 and {', '.join(sorted(known))}"
        raise document.problem(("resolved",), reason, "Use the file as the program wrote it")
    return {key: str(value) for key, value in note.items() if key != "format"}


def _part(
    document: Document, kind: Kind, beside: Path, changes: Overrides, texts: Sequence[Text], used: list[Text]
) -> Document | None:
    """Return the machine or floor of a scenario: a table in it, or the file it names, whose text is one more used."""
    given = document.data.get(kind)
    if isinstance(given, dict):
        part = document.part(kind)
        document.data[kind] = str(part.data.get("name", kind))
    elif isinstance(given, str):
        source = _known(kind, given, texts)
        if source is None:
            try:  # a path in a file is seen from that file, one in a change from where one stands
                place = find(kind, given, None if (kind,) in document.changed else beside)
            except InputError as error:
                raise document.problem((kind,), error.reason, error.remedy) from error
            source = text_at(kind, given, *place)
        used.append(source)
        part = _document(source)
        part.prefix = (kind,)
    else:
        return None
    inside = list(changes_for(changes, kind))
    if kind == "machine":
        return change_machine(part, inside)
    for key, value in inside:
        part.change(key, value)
    return part


def _settled(scenario: Scenario, machine: Machine, document: Document) -> Scenario:
    """Return a scenario with pins exact, the jib's rise settled, and origins filled in."""
    setup, load = scenario.setup, scenario.load
    if setup.attachment == "jib" and machine.jib is not None:
        reach = pin_near(setup.jib_reach or 0.0, machine.jib.reach_pins)
        rise = (setup.hook_height or 0.0) - fork_height(setup, machine)
        setup = setup.model_copy(update={"jib_reach": reach, "jib_rise": pin_near(rise, machine.jib.rise_pins)})
    if load is not None:
        inside = document.part("load")
        origins = fill_origins(load, inside, scenario.origin)
        document.data["load"] = inside.data
        if "mass" not in inside.origins:
            origins["mass"] = _LOAD_ORIGIN.get(load.weight_from, load.weight_from)
        load = load.model_copy(update={"origins": origins})
    scenario = scenario.model_copy(update={"setup": setup, "load": load})
    origins = fill_origins(scenario, document, scenario.origin)
    if load is not None:
        origins.update({f"load.{key}": origin for key, origin in load.origins.items()})
    return scenario.model_copy(update={"origins": origins})
