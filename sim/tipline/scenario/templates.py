"""Commented templates of the files people write: every key of the schema, explained, the needed ones filled in."""

from __future__ import annotations

import json
import textwrap
import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from tipline.errors import InputError, argument
from tipline.model.examples import example_of
from tipline.model.origins import quantity_of
from tipline.model.problems import kind_of
from tipline.model.quantities import Absent, Spec
from tipline.scenario.route import Route
from tipline.scenario.schema import SPECS

__all__ = ["KINDS", "TemplateKind", "explanation", "filled_template", "template", "toml_value"]

TemplateKind = Literal["machine", "floor", "scenario", "stock", "route", "sweep", "incident", "lesson"]
KINDS: tuple[TemplateKind, ...] = get_args(TemplateKind)
_ALL: dict[str, type[Spec]] = {str(kind): spec for kind, spec in SPECS.items()} | {"route": Route}
_OURS = {"origins", "file", "chosen", "name"}
_WIDTH = 116
_HEAD = """\
# {what}
# Every key is here. A line such as "#key = ..." is a setting that is left out: take its # away to give it.
# A value may say where it comes from: {{ value = "1.8 m", origin = "drawing" }}; origins: measured, cored, plate,
# drawing, told, assumed, demo. Check it: {check}
"""
_ABOUT: dict[TemplateKind, tuple[str, str]] = {
    "machine": ("A truck, by what plate, weighbridge, tape and packing list tell.", "tipline check with a scenario"),
    "floor": ("A floor, by what is known or was told of it.", "tipline floor THIS-FILE"),
    "scenario": (
        "What happens, to which truck, on which floor.",
        "tipline check THIS-FILE, tipline run THIS-FILE",
    ),
    "stock": ("Steel plates and timber mats of a yard.", "tipline floor SCENARIO --stock THIS-FILE"),
    "route": ("A way over a floor.", "tipline floor SCENARIO --route THIS-FILE"),
    "sweep": ("A scenario run many times over what may vary.", "tipline sweep THIS-FILE"),
    "incident": (
        "What was found after an incident, how well each of it is known, and the causes that are thought of.",
        "tipline reconstruct THIS-FILE",
    ),
    "lesson": (
        "A lesson: two or three pairs of runs, in each one that fails beside one that holds, with one thing changed.",
        "tipline lesson THIS-FILE",
    ),
}
_STARTERS: dict[TemplateKind, str] = {
    "machine": """
title = "My truck"
plate_and_tape = { rated_load = "12 t", rated_load_centre = "0.6 m", lift_height = "5.5 m", own_weight = "10.2 t" }
""",
    "floor": """
title = "My floor"
friction = { solid = 0.6, band = 0.55, pneumatic = 0.65 }
[elsewhere]
kind = "slab"
below = "not known"
""",
    "scenario": """
title = "My lift"
machine = "demo-truck-a"
floor = "demo-hall-a"
[setup]
attachment = "forks"
fork_height = "0.3 m"
[load]
mass = "4 t"
weight_from = "assumed"
size = ["1.2 m", "1.2 m", "1.2 m"]
height_of_centre = "0.6 m"
load_centre = "0.6 m"
[[event]]
kind = "drive"
at = "0 s"
speed = "4 km/h"
[[event]]
kind = "pedal_lift"
at = "3 s"
""",
    "stock": """
title = "My yard"
[[item]]
name = "plate"
kind = "steel_plate"
size = ["2 m", "1 m"]
thickness = "25 mm"
grade = "S235"
count = 4
""",
    "route": 'path = [["0 m", "0 m"], ["5 m", "0 m"]]',
    "sweep": """
title = "My sweep"
scenario = "service-stop-load-low"
method = "grid"
[[variable]]
key = "load.mass"
values = ["4 t", "5 t"]
""",
    "incident": """
title = "My incident"
question = "Was the pedal let go, or did the floor give way under both front tyres?"
scenario = "pedal-lift-load-raised"
runs = 200
seed = 1
[[variable]]
key = "load.height_of_centre"
name = "height of the load's centre"
least = "0.5 m"
most = "0.7 m"
[[found]]
of = "truck.over"
recorded = "front"
sure = 0.99
who = "shift leader"
when = "on arrival"
how = "seen"
[[found]]
of = "load.ahead"
recorded = "6.6 m"
within = "0.5 m"
who = "surveyor"
when = "before anything was moved"
how = "tape"
[[cause]]
name = "pedal"
kind = "pedal lift"
said = "the drive pedal was let go"
[[cause.variable]]
key = "event.0.deceleration"
name = "what letting go of the pedal brakes by"
least = "1.6 m/s2"
most = "3 m/s2"
[cause.set]
event = '[{ at = "1 s", kind = "pedal_lift", deceleration = "2.4 m/s2" }]'
[[cause]]
name = "floor"
kind = "cavity under a tyre"
said = "a channel gave way under both front tyres"
[[cause.variable]]
key = "event.0.depth"
name = "depth of the channel"
least = "40 mm"
most = "250 mm"
[cause.set]
event = '[{ at = "1 s", kind = "breakthrough", under = ["front-left", "front-right"], depth = "150 mm" }]'
""",
    "lesson": """
title = "My lesson"
aim = "What a class is to have seen at the end of it."
[[pair]]
title = "How hard the stop is"
scenario = "service-stop-load-high"
change = "event.0.deceleration"
fails = "1.3 m/s2"
holds = "1.05 m/s2"
before = "The truck drives at a walk with the load up, and the driver stops."
question = "What does the truck do as it stops?"
shows = "The harder stop keeps the rear tyres up until it has gone over."
notes = "What is said beside it: read in a window of its own, which the class may see too."
notes_after = "What is said once the outcome was seen: folded away before."
[[pair.choice]]
text = "It goes over to the front"
right = "fails"
confuses = "Every stop with this one. A gentler one lifts the rear tyres and sets them down again."
[[pair.choice]]
text = "The rear tyres lift and come back down"
right = "holds"
confuses = "A steady push with a sudden one."
[[pair.choice]]
text = "Nothing lifts"
confuses = "The plate with the drive: the plate is for a truck that stands."
[[pair]]
title = "How high the load is carried"
scenario = "service-stop-load-high"
change = "setup.fork_height"
fails = "5 m"
holds = "0.3 m"
before = "The same truck, load, speed and stop, with the forks high and with the forks low."
question = "What does the height of the forks change?"
shows = "Low down the same stop takes some of the load off the steer axle and no more."
[[pair.choice]]
text = "With the forks high it goes over"
right = "fails"
confuses = "Height with bad luck. With the forks low the same stop leaves it on its tyres."
[[pair.choice]]
text = "With the forks low it stays on its tyres"
right = "holds"
confuses = "The stop with the height: high up it has a longer lever."
""",
}
"""What is filled in: the least with which the file reads and runs."""


def template(kind: TemplateKind) -> str:
    """Return a commented file of a kind with every key of its schema; raises InputError where there is no such kind."""
    if kind not in KINDS:
        msg = "is no kind of file"
        raise InputError(msg, key=argument("kind"), value=repr(kind), remedy=f"Give one of {', '.join(KINDS)}")
    text = filled_template(kind, tomllib.loads(_STARTERS[kind]))
    if kind != "incident":
        return text
    causes = files("tipline.scenario").joinpath("causes.toml").read_text(encoding="utf-8")
    return text + "".join(f"{_off(line)}\n" for line in causes.splitlines())


def filled_template(kind: TemplateKind, values: Mapping[str, Any], comments: Mapping[str, str] | None = None) -> str:
    """Return a commented file of a kind with values filled in; ``comments`` by dotted key stand after theirs."""
    what, check = _ABOUT[kind]
    head = "\n".join(textwrap.wrap(_HEAD.format(what=what, check=check).splitlines()[-1], _WIDTH))
    start = _HEAD.format(what=what, check=check).rsplit("\n", 2)[0]
    lines = [*start.splitlines(), head, "", *_Template(comments or {}).table(_ALL[kind], (), values)]
    return "\n".join(lines).rstrip() + "\n"


@cache
def _words() -> dict[str, str]:
    return tomllib.loads(files("tipline.scenario").joinpath("explained.toml").read_text(encoding="utf-8"))


def explanation(spec: type[Spec], key: str) -> str | None:
    """Return what a key of a table means: its own line, one of a table it is made from, or that of the key."""
    known = _words()
    owners = (f"{owner.__name__}.{key}" for owner in spec.__mro__)
    return next((known[owner] for owner in owners if owner in known), known.get(key))


def _meaning(spec: type[Spec], key: str) -> str:
    return explanation(spec, key) or f"{key.replace('_', ' ').capitalize()}."


class _Template:
    """Writes tables of a schema as lines of TOML, those without values commented out."""

    def __init__(self, comments: Mapping[str, str]) -> None:
        self._comments = comments

    def table(self, spec: type[Spec], path: tuple[str, ...], values: Mapping[str, Any] | None) -> Iterator[str]:
        """Yield the lines of a table: its own values, then the tables in it."""
        inner: list[tuple[str, FieldInfo, list[type[Spec]]]] = []
        for key, field in spec.model_fields.items():
            if key in _OURS and (key != "name" or not path):
                continue
            within = list(_specs_in(field.annotation))
            if within and key not in ("friction",):
                inner.append((key, field, within))
                continue
            yield from self._value(spec, key, field, path, values)
        for key, field, within in inner:
            yield from self._inside(spec, key, field, within, (*path, key), values)

    def _value(
        self, spec: type[Spec], key: str, field: FieldInfo, path: tuple[str, ...], values: Mapping[str, Any] | None
    ) -> Iterator[str]:
        yield from _comment(f"{_meaning(spec, key)}{_left_out(field)}")
        given = None if values is None else values.get(key)
        if given is None:
            yield f"#{key} = {_example(field)}"
            return
        said = self._comments.get(".".join((*path, key)))
        yield f"{key} = {toml_value(given)}{f'  # {said}' if said else ''}"

    def _inside(
        self,
        owner: type[Spec],
        key: str,
        field: FieldInfo,
        within: list[type[Spec]],
        path: tuple[str, ...],
        values: Mapping[str, Any] | None,
    ) -> Iterator[str]:
        many, given = _is_list(field), None if values is None else values.get(key)
        brackets = "[[{}]]" if many else "[{}]"
        header = brackets.format(".".join(path))
        entries = [] if given is None else given if many else [given]
        shown: set[str] = set()
        for entry in entries:
            spec = next((spec for spec in within if kind_of(spec) == entry.get("kind")), within[0])
            shown.add(spec.__name__)
            yield from ("", *_comment(_meaning(owner, key)), header, *self.table(spec, path, entry))
        for spec in within:
            if spec.__name__ in shown or (entries and not many):
                continue
            kind = kind_of(spec)
            said = f"{_meaning(owner, key)}{f' Of kind {kind}.' if kind else ''}"
            yield from ("", *_comment(said), f"#{header}")
            yield from (_off(line) for line in self.table(spec, path, None))


def _off(line: str) -> str:
    return line if not line or line.startswith("#") else f"#{line}"


def _comment(text: str) -> list[str]:
    return textwrap.wrap(text, _WIDTH, initial_indent="# ", subsequent_indent="# ")


def _left_out(field: FieldInfo) -> str:
    absent = next((mark.meaning for mark in field.metadata if isinstance(mark, Absent)), "")
    if field.is_required():
        return " Needed."
    if absent:
        return f" Left out: {absent}."
    default, quantity = field.default, quantity_of(field)
    if quantity is not None and isinstance(default, float):
        return f" Left out: {quantity.say(default)}."
    return f" Left out: {default}." if isinstance(default, int | str) and default not in ("", False) else ""


def _example(field: FieldInfo) -> str:
    """Return how a value is written; a count that is left out stands as what it then is, as the comment above says."""
    if isinstance(field.default, int) and not isinstance(field.default, bool):
        return str(field.default)
    return example_of(field) or '"..."'


def _is_list(field: FieldInfo) -> bool:
    return any(get_origin(part) is tuple for part in (field.annotation, *get_args(field.annotation)))


def _specs_in(annotation: Any) -> Iterator[type[Spec]]:
    if isinstance(annotation, type) and issubclass(annotation, Spec):
        yield annotation
    for part in get_args(annotation):
        yield from _specs_in(part)


def toml_value(value: Any) -> str:
    """Return plain data as it stands after a key."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {toml_value(entry)}" for key, entry in value.items()) + " }"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(toml_value, value))}]"
    return json.dumps(value, ensure_ascii=False)
