"""Write all inputs of a case, defaults included, as one TOML file that reads back to the same case."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from tipline.model.document import Document
from tipline.model.origins import quantity_of
from tipline.model.quantities import Quantity, Spec
from tipline.scenario.case import Case
from tipline.units import exact, parse

__all__ = ["resolved_file", "resolved_text", "write_resolved"]

_OURS = {"origins", "file", "chosen"}


def write_resolved(case: Case, path: Path) -> None:
    """Write all inputs of a case with their origins: as they were typed, else in SI units to the last bit."""
    path.write_text(resolved_text(case), encoding="utf-8", newline="\n")


def resolved_text(case: Case) -> str:
    """Return all inputs of a case as TOML."""
    (scenario, machine, floor), typed = case.as_written, case.as_read.documents
    lines = [
        "# All inputs of one run, defaults included, each with its origin. Read it like any scenario.",
        *_table(scenario, scenario.origins, (), typed[0], skip={"machine", "floor"}),
        "",
        "[resolved]",
        "format = 1",
        f"file = {_text(str(scenario.file or ''))}",
        f"machine = {_text(scenario.machine)}",
        f"floor = {_text(scenario.floor)}",
    ]
    for name, thing, document in (("machine", machine, typed[1]), ("floor", floor, typed[2])):
        origins = {f"{name}.{key}": origin for key, origin in thing.origins.items()}
        lines += ["", f"[{name}]", *_table(thing, origins, (name,), document)]
    return "\n".join(lines) + "\n"


def resolved_file(case: Case, kind: Literal["machine", "floor"]) -> str:
    """Return the machine or the floor of a case as a file of its own, as TOML."""
    _, machine, floor = case.as_written
    thing, document = (machine, 1) if kind == "machine" else (floor, 2)
    lines = [
        f"# A {kind} with all its values, each with its origin. Read it like any {kind} file.",
        *_table(thing, thing.origins, (), case.as_read.documents[document]),
    ]
    return "\n".join(lines) + "\n"


def _table(
    spec: Spec, origins: dict[str, str], path: tuple[str, ...], typed: Document, skip: Collection[str] = ()
) -> Iterator[str]:
    return _lines(spec, path, path, skip, _Told(origins, typed, len(path)))


@dataclass(frozen=True)
class _Told:
    """What is known of the values of a file: their origins, and how they were typed below ``depth`` parts of a key."""

    origins: dict[str, str]
    document: Document
    depth: int

    def typed(self, place: tuple[str, ...]) -> Any:
        """Return what stands in the file, or what a change put there; None for nothing."""
        return self.document.find(tuple(int(part) if part.isdigit() else part for part in place[self.depth :]))[0]


def _lines(
    spec: Spec, header: tuple[str, ...], place: tuple[str, ...], skip: Collection[str], source: _Told
) -> Iterator[str]:
    """Yield a table's values, then the tables within it; ``place`` holds the list indices, ``header`` does not."""
    tables: list[tuple[str, Any]] = []
    for name, field in type(spec).model_fields.items():
        value = getattr(spec, name)
        if name in _OURS or name in skip or value is None:
            continue
        if isinstance(value, Spec) or (isinstance(value, tuple) and value and isinstance(value[0], Spec)):
            tables.append((name, value))
        else:
            yield f"{name} = {_value(value, quantity_of(field), source, (*place, name))}"
    for name, value in tables:
        if isinstance(value, Spec):
            yield from ("", f"[{'.'.join((*header, name))}]")
            yield from _lines(value, (*header, name), (*place, name), (), source)
            continue
        for index, entry in enumerate(value):
            yield from ("", f"[[{'.'.join((*header, name))}]]")
            yield from _lines(entry, (*header, name), (*place, name, str(index)), (), source)


def _value(value: Any, quantity: Quantity | None, source: _Told, place: tuple[str, ...]) -> str:
    if isinstance(value, tuple):
        entries = (_value(entry, quantity, source, (*place, str(index))) for index, entry in enumerate(value))
        written = f"[{', '.join(entries)}]"
    elif isinstance(value, dict):
        return "{ " + ", ".join(f"{_text(name)} = {_text(str(entry))}" for name, entry in value.items()) + " }"
    else:
        written = _single(value, quantity, source.typed(place))
    origin = source.origins.get(".".join(place))
    return written if origin is None else f'{{ value = {written}, origin = "{origin}" }}'


def _single(value: Any, quantity: Quantity | None, typed: Any) -> str:
    """Write a value as it was typed where that still reads as this value, else so that it reads back to the same."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _text(value)
    if quantity is None:
        return repr(value)
    if isinstance(typed, str) and _reads(typed, quantity.dimension) == value:
        return _text(typed)
    return repr(value) if quantity.dimension == "ratio" else _text(exact(value, quantity.dimension))


def _reads(text: str, dimension: str) -> float | None:
    try:
        return parse(text, dimension)
    except ValueError:
        return None


def _text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
