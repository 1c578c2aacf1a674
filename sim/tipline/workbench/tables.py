"""Tables of a machine's or a floor's lists added and taken away: a list is written anew, as one change.

One that is added is the last of its kind once more, with a name of its own; where there is none it has what its schema
needs, by example.
"""

from __future__ import annotations

import copy
from typing import Any

from tipline.errors import InputError
from tipline.model.quantities import Spec
from tipline.scenario import Case
from tipline.scenario.templates import toml_value
from tipline.workbench.bench import Bench
from tipline.workbench.fields import kinds_in

__all__ = ["change_tables"]

_DOCUMENTS = {"machine": 1, "floor": 2}
"""Which document of a case each is."""
_APART = 1.0
"""So far [m] beside all zones that are there a new one is put (our choice)."""
_LONG = 5.0
"""So long [m] a new joint or edge is where no zone tells (our choice)."""


def change_tables(bench: Bench, how: str, which: str) -> None:
    """Add a table to a list ("add-table", "floor.zone hole"), or take one away ("drop-table", "floor.zone.2").

    Raises
    ------
    InputError
        There is no such list or table, or the file does not take it; the bench is as it was.
    """
    case = bench.case()
    if how == "add-table":
        key, _, kind = which.partition(" ")
        entries = _entries(case, key)
        table = _new(case, key, kind, entries)
        if "layer" in key.rpartition("."):  # the lowest goes down without end, so a new one lies on top
            entries.insert(0, {"thickness": "0.3 m", **table})
        else:
            entries.append(table)
    else:
        key, _, place = which.rpartition(".")
        entries = _entries(case, key)
        if not place.isdecimal() or int(place) >= len(entries):
            raise _absent(which)
        del entries[int(place)]
    before = dict(bench.changes)
    bench.changes = {name: text for name, text in before.items() if name != key and not name.startswith(f"{key}.")}
    bench.changes[key] = toml_value(entries)
    try:
        bench.case()
    except InputError:
        bench.changes = before
        raise


def _entries(case: Case, key: str) -> list[Any]:
    """Give a list of tables as it stands in its file, with what was changed in it."""
    file, *path = key.split(".")
    if file not in _DOCUMENTS or not path:
        raise _absent(key)
    document = case.as_read.documents[_DOCUMENTS[file]]
    entries, there = document.find(tuple(int(part) if part.isdecimal() else part for part in path))
    return copy.deepcopy(entries) if there and isinstance(entries, list) else []


def _new(case: Case, key: str, kind: str, entries: list[Any]) -> dict[str, Any]:
    spec, own = _spec_of(case, key, kind), key.rpartition(".")[2]
    alike = [entry for entry in entries if isinstance(entry, dict) and str(entry.get("kind", "")) == kind]
    table: dict[str, Any] = (
        copy.deepcopy(alike[-1])
        if alike
        else {
            **({"kind": kind} if kind else {}),
            **copy.deepcopy(_EXAMPLES.get((own, kind), {})),
        }
    )
    if "name" in spec.model_fields:
        taken = {entry.get("name") for entry in entries if isinstance(entry, dict)}
        stem = (kind or own).replace("_", " ")
        table["name"] = next(name for number in range(1, len(taken) + 2) if (name := f"{stem} {number}") not in taken)
    if key.startswith("floor."):
        _lay(case, key, own, table)
    return table


def _lay(case: Case, key: str, own: str, table: dict[str, Any]) -> None:
    """Give a new table of a floor its place: a zone beside all others, the rest in its zone, else about the truck."""
    part, position = key.split("."), case.scenario.setup.position
    if own == "zone":
        for name in ("outline", "joint", "edge", "cavity"):  # these lay where the other zone does
            table.pop(name, None)
        taken = [corner for zone in case.floor.zone for corner in zone.corners] or [position]
        table["corner"] = _said(max(x for x, _ in taken) + _APART, min(y for _, y in taken))
        table.setdefault("size", _said(1.0, 1.0))
    elif own in ("joint", "edge", "cavity", "spreader"):
        corners = case.floor.zone[int(part[2])].corners if part[1] == "zone" else ()
        ends = [(position[axis], position[axis] + axis * _LONG) for axis in (0, 1)]
        if corners:
            ends = [(min(c[axis] for c in corners), max(c[axis] for c in corners)) for axis in (0, 1)]
        (left, right), (low, high) = ends
        if own in ("joint", "edge"):
            middle = 0.5 * (left + right)
            table["line"] = [_said(middle, low), _said(middle, high)]
        else:
            table["at"] = _said(0.5 * (left + right), 0.5 * (low + high)) if corners else _said(*position)


def _said(x: float, y: float) -> list[str]:
    return [f"{x:.3f} m", f"{y:.3f} m"]


def _spec_of(case: Case, key: str, kind: str) -> type[Spec]:
    """Give what a table of a list holds."""
    file, *path = key.split(".")
    thing: Any = case.as_read.machine if file == "machine" else case.as_read.floor
    for part in path[:-1]:
        thing = thing[int(part)] if part.isdecimal() else getattr(thing, part, None)
    fields = type(thing).model_fields if isinstance(thing, Spec) else {}
    kinds = kinds_in(fields[path[-1]]) if path[-1] in fields else {}
    if kind not in kinds:
        raise _absent(f"{key} {kind}".strip())
    return kinds[kind]


_EXAMPLES: dict[tuple[str, str], dict[str, Any]] = {
    ("zone", "soft"): {"bearing_pressure": "200 kPa"},
    ("zone", "hole"): {"depth": "100 mm"},
    ("zone", "slab"): {"below": "not known"},
    ("zone", "ground"): {"layer": [{"soil": "not known"}]},
    ("spreader", "steel_plate"): {"size": ["2 m", "1 m"], "thickness": "20 mm"},
    ("spreader", "timber_mat"): {"size": ["2 m", "1 m"], "thickness": "100 mm"},
    ("past_load", ""): {"mass": "10 t", "tyres": 4},
    ("joint", ""): {"kind": "contraction"},
    ("cavity", ""): {"radius": "0.3 m"},
    ("section", ""): {
        "depth": "150 mm", "flange": "75 mm", "web": "10 mm", "flange_thickness": "15 mm", "tie_spacing": "1 m",
    },
    ("layer", ""): {"soil": "not known"},
    ("capacity_plate", ""): {"attachment": "forks", "load_centre": "0.6 m", "load": "5 t"},
    ("weighings", ""): {"attachment": "none", "extension": "0 m", "drive_axle": "5 t", "steer_axle": "5 t"},
    ("sags", ""): {
        "attachment": "forks", "lifted_load": "3 t", "load_centre": "0.6 m", "from_height": "1 m", "to_height": "4 m",
        "moved_ahead": "50 mm",
    },
}  # fmt: skip
"""What a table that is the first of its kind has, to be changed (our choice); one that is not here needs no value."""


def _absent(which: str) -> InputError:
    msg = "there is no such table"
    return InputError(msg, key="table", value=repr(which[:80]), remedy="Take one of the form")
