"""Answers to the questions, and the machine, floor and scenario that they make, each value with its origin."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tipline import units
from tipline.asking.questions import BY_SCALES, QUESTIONS, Field, read_answer
from tipline.errors import InputError
from tipline.model.words import UNDER_IT
from tipline.scenario.templates import filled_template

__all__ = ["FILES", "LAST_OF_SIZE", "Lift", "files_of", "lift_of"]

FILES = ("machine.toml", "floor.toml", "scenario.toml")
DENSITY, LOAD_CENTRE = 3000.0, 0.6
"""A load of unknown size is taken as a cube with its centre at the plate's load centre, this one [m] where that is not
known, and larger where it would be denser than this [kg/m3]: our choice, a compact machine."""
LOAD_OF_OWN = 0.5
"""A load that nobody knows on a truck whose rating nobody knows, as a part of its own weight (our choice)."""
LIGHTEST_LOAD, HEAVIEST_LOAD = 0.25, 1.6
"""A load that nobody knows weighs at least and at most these parts of what it is taken for; one that is taken as what
the plate allows, no more than that (our choice)."""
OWN_OF_LOAD = 1.25
"""Own weight of a truck of which nothing is known, as a part of what it is to lift: just large enough (our choice)."""
SHORT_FORKS = 0.7
"""Forks of unknown length are taken longer, with sleeves, for a load whose centre lies farther out [m] (our choice)."""
LIGHTEST, HEAVIEST = 4000.0, 60e3
"""Own weights [kg] of the trucks that are taken where nothing is known of one (our choice)."""
FRICTION = {"solid": 0.5, "band": 0.45, "pneumatic": 0.55}
"""Friction of tyres where nobody told it: our choice, on the low side of clean dry concrete (handbook values, from
memory)."""
_FIELDS: dict[str, Field] = {field.key: field for question in QUESTIONS for field in question.fields}
LAST_OF_SIZE = "weight"
"""The last of the questions of which one must be answered."""
_NOTHING = "neither the load's weight, nor the rated load, nor the truck's own weight is known"
_GET_ONE = "Read the load's nameplate or the truck's capacity plate: without one of them nothing can be said"


@dataclass(frozen=True)
class Lift:
    """What was answered, by field [SI]; None for what is not known. ``meant``: questions whose odd answer is meant."""

    values: Mapping[str, float | str | None]
    meant: tuple[str, ...] = ()

    def number(self, key: str) -> float | None:
        """Return a number that was told."""
        value = self.values.get(key)
        return value if isinstance(value, float) else None

    def word(self, key: str) -> str | None:
        """Return a word that was told."""
        value = self.values.get(key)
        return value if isinstance(value, str) else None


def lift_of(answers: Mapping[str, str], meant: tuple[str, ...] = ()) -> Lift:
    """Return what the answers say; a question without an answer is one that nobody could answer.

    Raises InputError where a question is not known or an answer cannot be read.
    """
    values: dict[str, float | str | None] = {}
    known = {question.key: question for question in QUESTIONS}
    for key, text in answers.items():
        if key not in known:
            msg = "is no question"
            raise InputError(msg, key=str(key), remedy=f"Questions: {', '.join(known)}")
        values |= read_answer(known[key], text)
    return Lift(values, meant)


def files_of(lift: Lift) -> dict[str, str]:
    """Return the three files of a lift; raises InputError where nothing is known that gives its size."""
    machine = _machine(lift)
    meant = _meant_by_file(lift)
    return {
        "machine.toml": filled_template("machine", machine | meant["machine"]),
        "floor.toml": filled_template("floor", _floor(lift) | meant["floor"]),
        "scenario.toml": filled_template("scenario", _scenario(lift) | meant["scenario"]),
    }


def _meant_by_file(lift: Lift) -> dict[str, dict[str, list[str]]]:
    keys: dict[str, list[str]] = {"machine": [], "floor": [], "scenario": []}
    for question in QUESTIONS:
        for where in question.where if question.key in lift.meant else ():
            file, _, key = where.partition(":")
            keys[file] += [key] if key else []
    return {file: {"meant": names} if names else {} for file, names in keys.items()}


def _told(lift: Lift, key: str) -> dict[str, Any] | None:
    """Return a value as a file has it, with its origin; None where it is not known."""
    value, field = lift.values.get(key), _FIELDS[key]
    if value is None:
        return None
    if isinstance(value, float) and field.dimension:
        origin = "measured" if key in ("out", "up") and lift.word(BY_SCALES) else field.origin
        return {"value": units.exact(value, field.dimension), "origin": origin}
    return {"value": value, "origin": field.origin}


def _assumed(value: float, dimension: str) -> dict[str, Any]:
    return {"value": units.exact(value, dimension), "origin": "assumed"}


_TRUCK = (
    "rated_load", "rated_load_centre", "lift_height", "own_weight", "drive_axle_load", "wheelbase", "drive_track",
    "steer_track", "drive_tyre_diameter", "drive_tyre_width", "fork_face", "counterweight_stroke", "slab_mass",
)  # fmt: skip


def _load_mass(lift: Lift) -> float:
    """Return the load's weight: as told, else as much as the plate allows, else a part of the truck's own."""
    known = (lift.number(key) for key in ("mass", "rated_load"))
    mass = next((value for value in known if value is not None), None)
    own = lift.number("own_weight")
    if mass is None and own is None:
        raise InputError(_NOTHING, key=LAST_OF_SIZE, remedy=_GET_ONE)
    return LOAD_OF_OWN * (own or 0.0) if mass is None else mass


def _rise(lift: Lift) -> float:
    return min(1.0, round(0.3 * (lift.number("height") or 3.0), 1))


def _machine(lift: Lift) -> dict[str, Any]:
    table: dict[str, Any] = {key: value for key in _TRUCK if (value := _told(lift, key)) is not None}
    mass = lift.number("counterweight_mass")
    if mass:
        table["counterweight_mass"] = _told(lift, "counterweight_mass")
    elif mass == 0.0:
        table["counterweight_stroke"] = _assumed(0.0, "length")
    if "rated_load" not in table and "own_weight" not in table:
        table["own_weight"] = _assumed(min(max(OWN_OF_LOAD * _load_mass(lift), LIGHTEST), HEAVIEST), "mass")
    table |= {key: word for key in ("tyre_kind", "steer_axle_kind") if (word := lift.word(key))}
    if lift.word("drive_tyres"):
        table["drive_tyres"] = int(lift.word("drive_tyres") or 2)
    slabs = lift.number("slabs")
    if slabs:
        table |= dict.fromkeys(("slabs_most", "weighed_slabs", "rated_slabs"), int(slabs))
    height = lift.number("height")
    if "lift_height" not in table and height is not None and lift.word("attachment") != "jib":
        table["lift_height"] = _assumed(max(height, 2.0), "length")
    if lift.word("attachment") == "jib":
        table["jib_reach"] = [_length(_reach(lift))]
        table["jib_rise"] = [_length(_rise(lift))]
        if "lift_height" not in table and height is not None:
            table["lift_height"] = _assumed(max(height - _rise(lift), 2.0), "length")
    elif _centre_out(lift) > SHORT_FORKS:
        table["fork_length"] = _assumed(1.3 * _centre_out(lift), "length")
    extension = lift.number("extension")
    if extension and "counterweight_stroke" not in table:
        table["counterweight_stroke"] = _assumed(extension, "length")
    truck: dict[str, Any] = {"title": "The truck, as answered", "origin": "told", "plate_and_tape": table}
    stamp, centre = _told(lift, "stamp"), _told(lift, "stamp_centre")
    if stamp is not None:
        usual = table.get("rated_load_centre") or _assumed(LOAD_CENTRE, "length")
        truck["forks"] = {"rated_load": stamp, "rated_load_centre": usual if centre is None else centre}
    return truck


def _length(value: float) -> str:
    return units.exact(value, "length")


def _reach(lift: Lift) -> float:
    return lift.number("reach") or 1.5


def _centre_out(lift: Lift) -> float:
    """Return how far out the load's centre is: as told, else half its length, else as on the plate."""
    out, length = lift.number("out"), lift.number("length")
    if out is not None:
        return out
    return 0.5 * length if length is not None else _usual_side(lift) / 2.0


def _usual_side(lift: Lift) -> float:
    """Return the side of a load of unknown size [m]."""
    own = 2.0 * (lift.number("rated_load_centre") or LOAD_CENTRE)
    return max(own, round(float((_load_mass(lift) / DENSITY) ** (1.0 / 3.0)), 2))


def _scenario(lift: Lift) -> dict[str, Any]:
    jib = lift.word("attachment") == "jib"
    height = lift.number("height")
    setup: dict[str, Any] = {"attachment": "jib" if jib else "forks"}
    if jib:
        setup["jib_reach"] = _length(_reach(lift))
        setup["jib_rise"] = _length(_rise(lift))
        setup["hook_height"] = _length(height) if height is not None else _assumed(3.0, "length")
    else:
        setup["fork_height"] = _length(height) if height is not None else _assumed(2.0, "length")
    if lift.number("extension"):
        setup["counterweight_extension"] = _told(lift, "extension")
    if lift.number("slabs"):
        setup["ballast_slabs"] = int(lift.number("slabs") or 0)
    return {
        "title": "The lift, as answered",
        "machine": "./machine.toml",
        "floor": "./floor.toml",
        "setup": setup,
        "load": _load(lift, jib=jib),
    }


def _load(lift: Lift, *, jib: bool) -> dict[str, Any]:
    mass = _load_mass(lift)
    weighed = lift.number("mass") is not None
    sides = [lift.number(key) for key in ("length", "width", "height_of_load")]
    size = [_usual_side(lift) if side is None else side for side in sides]
    load: dict[str, Any] = {
        "mass": units.exact(mass, "mass"),
        "weight_from": (lift.word("weight_from") or "told") if weighed else "assumed",
        "size": {"value": [_length(side) for side in size], "origin": "told" if None not in sides else "assumed"},
    }
    if not weighed:
        most = 1.0 if lift.number("rated_load") is not None else HEAVIEST_LOAD
        load |= {"lightest": units.exact(LIGHTEST_LOAD * mass, "mass"), "heaviest": units.exact(most * mass, "mass")}
    up, out = lift.number("up"), lift.number("out")
    load["height_of_centre"] = _assumed(0.5 * size[2], "length") if up is None else _told(lift, "up")
    if jib:
        load["hung_by"] = _assumed(1.0, "length")
    elif out is not None:
        load["load_centre"] = _told(lift, "out")
        load["centre_offset"] = [_length(out - 0.5 * size[0]), "0 m"]
    else:
        load["load_centre"] = _assumed(_centre_out(lift), "length")
    return load


_SOILS = ("compacted gravel", "crushed rock", "soft clay", "firm clay", "stiff clay")


def _floor(lift: Lift) -> dict[str, Any]:
    kind, thickness, below = lift.word("kind") or "slab", lift.number("thickness"), lift.word("below")
    part: dict[str, Any] = {"kind": kind}
    if kind in _SOILS:
        part = {"kind": "ground", "layer": [{"soil": {"value": kind, "origin": "told"}}]}
    elif kind in ("slab", "slab on soil"):
        hollow = below == UNDER_IT
        part = {
            "kind": "suspended" if hollow else "slab",
            "below": "soil" if kind == "slab on soil" else below or "not known",
        }
    if thickness is not None and part["kind"] in ("slab", "suspended", "asphalt"):
        part["thickness"] = _told(lift, "thickness")
    title = "The floor, as answered" if lift.word("kind") else "The floor: nobody knows what it is; taken as a slab"
    return {"title": title, "origin": "told", "friction": FRICTION, "elsewhere": part}
