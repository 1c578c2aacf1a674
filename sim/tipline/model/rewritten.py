"""A file's text with other values, its comments and its order kept."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass

from tipline.model.document import dotted
from tipline.model.positions import Path, line_numbers, value_places

__all__ = ["NewValue", "rewritten"]


@dataclass(frozen=True)
class NewValue:
    """A value as it is to stand in a file: text with its unit, where it comes from, and a remark behind it."""

    text: str
    origin: str
    remark: str


def rewritten(text: str, values: Mapping[Path, NewValue]) -> str:
    """Return the text of a TOML file with other values; what is not there yet is added to its table.

    Raises
    ------
    ValueError
        The text cannot be changed so: a value stands in a way that is not known here.
    """
    places = value_places(text)
    lines = text.split("\n")
    remarks: dict[int, list[str]] = {}
    absent: dict[Path, NewValue] = {}
    edits: list[tuple[int, int, str]] = []
    for path, value in values.items():
        if path not in places:
            absent[path] = value
            continue
        start, end = places[path]
        edits.append((start, end, _told(value)))
        remarks.setdefault(text.count("\n", 0, end), []).append(_remark(path, value))
    starts = [0]
    for line in lines:
        starts.append(starts[-1] + len(line) + 1)
    for number, said in remarks.items():
        end = starts[number] + len(lines[number])
        before = "; " if "#" in _after_values(lines[number]) else "  # "
        edits.append((end, end, f"{before}{', '.join(said)}"))
    out = text
    for start, end, new in sorted(edits, reverse=True):
        out = out[:start] + new + out[end:]
    out = _with_absent(out, absent)
    _check(text, out, values)
    return out


def _told(value: NewValue) -> str:
    return f'{{ value = "{value.text}", origin = "{value.origin}" }}'


def _remark(path: Path, value: NewValue) -> str:
    name = {0: "x ", 1: "y ", 2: "z "}.get(path[-1], "") if isinstance(path[-1], int) else ""
    return f"{name}{value.remark}"


def _after_values(line: str) -> str:
    """Return a line without what stands in quotes."""
    return "".join(line.split('"')[::2])


def _with_absent(text: str, absent: Mapping[Path, NewValue]) -> str:
    """Add values to their tables, and tables at the end."""
    for path, value in absent.items():
        line = f"{path[-1]} = {_told(value)}  # {_remark(path, value)}"
        known = line_numbers(text)
        table = path[:-1]
        if table in known:
            lines = text.split("\n")
            lines.insert(known[table], line)
            text = "\n".join(lines)
        else:
            text = f"{text.rstrip()}\n\n[{dotted(table)}]\n{line}\n"
    return text


def _check(before: str, after: str, values: Mapping[Path, NewValue]) -> None:
    """Refuse a text that does not hold the new values, or in which anything else has changed."""
    old, new = tomllib.loads(before), tomllib.loads(after)
    for path, value in values.items():
        if _take(new, path) != {"value": value.text, "origin": value.origin}:
            msg = f"{dotted(path)} cannot be changed in this file"
            raise ValueError(msg)
        _take(old, path)
    if _without_empty(old) != _without_empty(new):
        msg = "the file cannot be changed without changing more than was asked"
        raise ValueError(msg)


def _take(node: object, path: Path) -> object:
    """Take a value out of nested tables and lists, None where it is not there; of a list its place is left empty."""
    for part in path[:-1]:
        node = node[part] if isinstance(node, list) else node.get(part, {}) if isinstance(node, dict) else {}  # type: ignore[index]
    last = path[-1]
    if isinstance(node, list) and isinstance(last, int):
        value, node[last] = node[last], None
        return value
    return node.pop(last, None) if isinstance(node, dict) else None


def _without_empty(node: object) -> object:
    if isinstance(node, dict):
        kept = {key: _without_empty(value) for key, value in node.items()}
        return {key: value for key, value in kept.items() if value != {}}
    return [_without_empty(value) for value in node] if isinstance(node, list) else node
