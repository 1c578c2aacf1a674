"""Files of every kind, settings and command lines that nobody should write, for tests that none ends in a traceback.

Hypothesis gives a number for each, and what is spoiled follows from that alone: to draw every choice by itself takes as
long as to read the file.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator, Sequence
from copy import deepcopy
from math import isfinite
from random import Random
from typing import Any

from tipline.model.shipped import Kind, find

Step = str | int
FACTORS = (-1.0, 0.0, 1e-9, 0.001, 0.01, 0.1, 0.5, 0.9, 1.1, 2.0, 10.0, 100.0, 1e3, 1e6, 1e12, 1e300)
UNITS = ("mm", "m", "ft", "kg", "t", "kN", "kN/m", "deg", "%", "s", "min", "m/s", "MPa", "ton", "")
JUNK: tuple[Any, ...] = (
    "", " ", "x", "nan", "inf", "-inf m", "1e999 m", "1,5 m", "1.500 m", "--1 m", "1 m m", "not known", "\u00e9\u4e2d",
    "=1+1", "../../etc/passwd", "a\u0000b", "\u202e", "x" * 300, True, False, 0, -1, 1, 7, 10**30, 1.5, -0.0, 1e308,
    [], [[]], {}, {"value": 1}, {"value": "1 m", "origin": "guess"}, {"a": {"b": {}}}, ["1 m"], ["1 m"] * 40, [1, "x"],
)  # fmt: skip
TYPED = (
    "", " ", "=", "a=", "=b", "x", "-1", "0", "1", "2", "9", "1e9", "nan", "inf", "1e999", "\u0663", "\u202e",
    "a\u0085b",
    "1 m", "1 h", "-1 s", "0 s", "9 m; 1 m", "[[[[", "'", '"', "{", "..", "/", "/dev/null", "\ud800", "x" * 5000,
    "setup.tilt=2 deg", "setup.tilt=2 deg; load.mass=1 t", "tcp://", "file:///etc/passwd", "\\", "%s", "*", "~", "--",
    "-h",
)  # fmt: skip
DROP = "\u0007drop"
ROUTE: dict[str, Any] = {
    "title": "way",
    "path": [["0 m", "0 m"], ["9 m", "0 m"], ["9 m", "6 m"]],
    "turning_radius": "2 m",
    "speed": "4 km/h",
    "passes": 20,
    "reverse": False,
    "meant": ["speed"],
}


def data_of(kind: str, name: str) -> dict[str, Any]:
    if kind == "route":
        return ROUTE
    shipped: dict[str, Kind] = {k: k for k in ("scenario", "machine", "floor", "stock", "sweep", "incident", "lesson")}  # type: ignore[dict-item]
    return tomllib.loads(find(shipped[kind], name)[0].read_text(encoding="utf-8"))


def places(node: Any, path: tuple[Step, ...] = ()) -> Iterator[tuple[Step, ...]]:
    """Every table, list and value of a file, but the whole of it."""
    if path:
        yield path
    entries: Sequence[tuple[Step, Any]] = ()
    if isinstance(node, dict):
        entries = list(node.items())
    elif isinstance(node, list):
        entries = list(enumerate(node))
    for step, inner in entries:
        yield from places(inner, (*path, step))


def another(value: Any, draw: Random) -> Any:
    """Something else in the place of a value: out of all proportion, in another unit, of another form, or gone."""
    found = re.fullmatch(r"(-?[0-9]+\.?[0-9]*)\s*(.*)", value) if isinstance(value, str) else None
    way = draw.randrange(6)
    if way == 0:
        return DROP
    if way > 1 and found is not None:
        if way == 2:
            return f"{found[1]} {draw.choice(UNITS)}".strip()
        return f"{float(found[1]) * draw.choice(FACTORS):.6g} {found[2]}".strip()
    if way > 2 and isinstance(value, int | float) and not isinstance(value, bool):
        return value * draw.choice(FACTORS)
    if way > 2 and isinstance(value, list) and value:
        return draw.choice((value * 2, value[:-1], value[::-1], [value]))
    return draw.choice(JUNK)


def spoiled(data: dict[str, Any], number: int, most: int = 3) -> dict[str, Any]:
    """A file with one to a few of its places spoiled."""
    draw, made = Random(number), deepcopy(data)
    every = list(places(data))
    for path in draw.choices(every, k=draw.randint(1, most)):
        node: Any = made
        try:
            for step in path[:-1]:
                node = node[step]
            value = another(node[path[-1]], draw)
            if value == DROP:
                del node[path[-1]]
            else:
                node[path[-1]] = deepcopy(value)  # else the next change may put the value into itself
        except (LookupError, TypeError):  # an earlier change has taken it away
            continue
    return made


def settings(data: dict[str, Any], number: int, most: int = 3) -> dict[str, str]:
    """Settings as they are typed: a key of a file or nearly, a value spoiled or typed at random."""
    draw, made = Random(number), {}
    every = list(places(data))
    for path in draw.choices(every, k=draw.randint(1, most)):
        node: Any = data
        for step in path:
            node = node[step]
        key = ".".join(map(str, path))
        if draw.random() < 0.2:
            key = draw.choice((key[:-1], key + ".0", key.upper(), "." + key, key + "." + key, *TYPED[:12]))
        value = another(node, draw)
        if value == DROP or draw.random() < 0.2:
            value = draw.choice(TYPED)
        made[key] = value if isinstance(value, str) else _value(value)
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
