"""Write all inputs of a case, defaults included, as one TOML file that reads back to the same case."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tipline.model.origins import quantity_of
from tipline.model.quantities import Quantity, Spec
from tipline.scenario.case import Case
from tipline.units import SI_UNIT

__all__ = ["resolved_text", "write_resolved"]

_OURS = {"origins", "file"}


def write_resolved(case: Case, path: Path) -> None:
    """Write all inputs of a case with their origins; values in SI units to the last bit."""
    path.write_text(resolved_text(case), encoding="utf-8", newline="\n")


def resolved_text(case: Case) -> str:
    """Return all inputs of a case as TOML."""
    scenario = case.scenario
    lines = [
        "# All inputs of one run, defaults included, each with its origin. Read it like any scenario.",
        *_table(scenario, scenario.origins, (), skip={"machine", "floor"}),
        "",
        "[resolved]",
        "format = 1",
        f"file = {_text(str(scenario.file or ''))}",
        f"machine = {_text(scenario.machine)}",
        f"floor = {_text(scenario.floor)}",
    ]
    for name, thing in (("machine", case.machine), ("floor", case.floor)):
        origins = {f"{name}.{key}": origin for key, origin in thing.origins.items()}
        lines += ["", f"[{name}]", *_table(thing, origins, (name,))]
    return "\n".join(lines) + "\n"


def _table(spec: Spec, origins: dict[str, str], path: tuple[str, ...], skip: set[str] = frozenset()) -> Iterator[str]:  # type: ignore[assignment]
    return _lines(spec, origins, path, path, skip)


def _lines(
    spec: Spec, origins: dict[str, str], header: tuple[str, ...], place: tuple[str, ...], skip: set[str]
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
            yield f"{name} = {_value(value, quantity_of(field), origins, '.'.join((*place, name)))}"
    for name, value in tables:
        if isinstance(value, Spec):
            yield from ("", f"[{'.'.join((*header, name))}]")
            yield from _lines(value, origins, (*header, name), (*place, name), set())
            continue
        for index, entry in enumerate(value):
            yield from ("", f"[[{'.'.join((*header, name))}]]")
            yield from _lines(entry, origins, (*header, name), (*place, name, str(index)), set())


def _value(value: Any, quantity: Quantity | None, origins: dict[str, str], key: str) -> str:
    if isinstance(value, tuple):
        entries = (_value(entry, quantity, origins, f"{key}.{index}") for index, entry in enumerate(value))
        written = f"[{', '.join(entries)}]"
    elif isinstance(value, dict):
        return "{ " + ", ".join(f"{_text(name)} = {_text(str(entry))}" for name, entry in value.items()) + " }"
    else:
        written = _single(value, quantity)
    origin = origins.get(key)
    return written if origin is None else f'{{ value = {written}, origin = "{origin}" }}'


def _single(value: Any, quantity: Quantity | None) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _text(value)
    if quantity is None or quantity.dimension == "ratio":
        return repr(value)
    return f'"{value!r} {SI_UNIT[quantity.dimension]}"'


def _text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
