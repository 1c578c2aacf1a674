"""Files of every kind with values that nobody should write, for the tests that none of them ends in a traceback."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator, Sequence
from copy import deepcopy
from math import isfinite
from typing import Any

from hypothesis import strategies as st

from tipline.model.shipped import Kind, find

Step = str | int
Leaf = tuple[tuple[Step, ...], Any]
FACTORS = (-1.0, 0.0, 1e-9, 0.001, 0.01, 0.1, 0.5, 0.9, 1.1, 2.0, 10.0, 100.0, 1e3, 1e6, 1e12, 1e300)
UNITS = ("mm", "m", "ft", "kg", "t", "kN", "kN/m", "deg", "%", "s", "min", "m/s", "MPa", "ton", "")
JUNK: tuple[Any, ...] = (
    "", " ", "x", "nan", "inf", "-inf m", "1e999 m", "1,5 m", "1.500 m", "--1 m", "1 m m", "not known", "\u00e9\u4e2d",
    "=1+1", "../../etc/passwd", "a\u0000b", "\u202e", "x" * 300, True, False, 0, -1, 1, 7, 10**30, 1.5, -0.0, 1e308,
    [], [[]], {}, {"value": 1}, {"value": "1 m", "origin": "guess"}, {"a": {"b": {}}}, ["1 m"], ["1 m"] * 40, [1, "x"],
)  # fmt: skip
DROP = "\u0007drop"


def data_of(kind: Kind, name: str) -> dict[str, Any]:
    return tomllib.loads(find(kind, name)[0].read_text(encoding="utf-8"))


def places(node: Any, path: tuple[Step, ...] = ()) -> Iterator[Leaf]:
    """Every table, list and value of a file, but the whole of it."""
    if path:
        yield path, node
    entries: Sequence[tuple[Step, Any]] = ()
    if isinstance(node, dict):
        entries = list(node.items())
    elif isinstance(node, list):
        entries = list(enumerate(node))
    for step, inner in entries:
        yield from places(inner, (*path, step))


def another(value: Any) -> st.SearchStrategy[Any]:
    """Something else in the place of a value: out of all proportion, in another unit, of another form, or gone."""
    ways: list[st.SearchStrategy[Any]] = [st.sampled_from(JUNK), st.just(DROP)]
    found = re.fullmatch(r"(-?[0-9.]+)\s*(.*)", value) if isinstance(value, str) else None
    if found is not None:
        number, unit = float(found[1]), found[2]
        scaled = st.sampled_from(FACTORS).map(lambda factor: f"{number * factor:.6g} {unit}".strip())
        ways += [scaled, scaled, scaled, st.sampled_from(UNITS).map(lambda other: f"{found[1]} {other}".strip())]
    elif isinstance(value, int | float) and not isinstance(value, bool):
        ways += [st.sampled_from(FACTORS).map(lambda factor: value * factor)] * 2
    elif isinstance(value, list) and value:
        ways += [st.just(value * 2), st.just(value[:-1]), st.just(value[::-1]), st.just([value])]
    return st.one_of(ways)


def spoiled(data: dict[str, Any], most: int = 3) -> st.SearchStrategy[dict[str, Any]]:
    """A file with one to a few of its places spoiled."""
    one = st.sampled_from(list(places(data))).flatmap(lambda leaf: st.tuples(st.just(leaf[0]), another(leaf[1])))
    return st.lists(one, min_size=1, max_size=most).map(lambda changes: _with(data, changes))


def _with(data: dict[str, Any], changes: list[tuple[tuple[Step, ...], Any]]) -> dict[str, Any]:
    made = deepcopy(data)
    for path, value in changes:
        node: Any = made
        try:
            for step in path[:-1]:
                node = node[step]
            if value == DROP:
                del node[path[-1]]
            else:
                node[path[-1]] = deepcopy(value)  # else the next change may put the value into itself
        except (LookupError, TypeError):  # an earlier change has taken it away
            continue
    return made


def text_of(data: dict[str, Any]) -> str:
    """A file as TOML, each of its tables in a line."""
    return "".join(f"{_key(key)} = {_value(value)}\n" for key, value in data.items())


def _key(key: str) -> str:
    return json.dumps(key, ensure_ascii=True)


def _value(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_key(key)} = {_value(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    if isinstance(value, float):
        return repr(value) if isfinite(value) else "nan"
    return json.dumps(value, ensure_ascii=True)
