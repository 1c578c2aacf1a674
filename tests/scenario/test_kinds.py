"""Every kind of event has its entry: words, what it moves, what is usual, what a spread varies; it does something."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from typing import get_args

import numpy as np
import pytest

from tipline.engines.prepare import Prepared, prepare
from tipline.engines.taken_to import side_taken
from tipline.scenario import Case
from tipline.scenario.kinds import KINDS, kind_of, said
from tipline.scenario.spec import DriveEvent, Event

SPECS = {get_args(spec.model_fields["kind"].annotation)[0]: spec for spec in get_args(get_args(Event)[0])}
TEXT = """
title = "one event"
machine = "demo-truck-a"
floor = "demo-hall-a"
[setup]
counterweight_extension = "0.6 m"
ballast_slabs = 2
attachment = "jib"
jib_reach = "1.6 m"
hook_height = "4 m"
{speed}
[load]
mass = "2 t"
size = ["1 m", "1 m", "1 m"]
height_of_centre = "0.5 m"
hung_by = "0.9 m"
[run]
duration = "3 s"
"""
ONE = {
    "breakthrough": 'under = "front-left"\ndepth = "50 mm"\nhole = ["0.5 m", "0.5 m"]',
    "soft_place": 'under = "front-left"\nbearing_pressure = "300 kPa"\nsize = ["0.5 m", "0.5 m"]',
    "drive": 'speed = "2 km/h"',
    "service_stop": "",
    "pedal_lift": "",
    "floor_turns": 'slope = "3 %"\ntowards = "90 deg"\nover = "1 s"',
    "ramp": 'begins = "1.5 m"\nslope = "4 %"\ngoes = "up"',
    "raise": 'to = "4.2 m"',
    "lower": 'to = "3.8 m"',
    "tilt": 'to = "2 deg"',
    "counterweight": 'to = "0.8 m"',
    "wind": 'speed = "12 m/s"\nfrom_azimuth = "90 deg"',
    "push": 'force = "3 kN"\nat_part = "load"\ndirection = "90 deg"',
    "swing": 'angle = "5 deg"\ntowards = "90 deg"',
    "load_shed": "",
    "threshold": 'begins = "1 m"\nheight = "15 mm"',
    "turn": 'radius = "3 m"\ntowards = "left"',
}
UNTIMED = {"ramp", "swing", "threshold"}
DRIVES = {"service_stop", "pedal_lift", "ramp", "threshold", "turn"}


def text_of(kind: str, *, there: bool) -> str:
    text = TEXT.replace("{speed}", 'speed = "3 km/h"' if kind in DRIVES else "")
    at = "" if kind in UNTIMED else 'at = "1 s"\n'
    return text + (f'[[event]]\nkind = "{kind}"\n{at}{ONE[kind]}\n' if there else "")


def digest(made: Prepared) -> str:
    """Return one for all that an engine is handed."""
    parts = [made.commands.table, made.raw, made.q, *(np.asarray(part) for part in made.build.plant)]
    return hashlib.sha256(b"".join(np.ascontiguousarray(part).tobytes() for part in parts)).hexdigest() + repr(
        made.orders
    )


def test_every_kind_of_the_specs_has_its_entry_and_no_other() -> None:
    assert set(SPECS) == set(KINDS) == set(ONE)
    assert {kind: entry.spec for kind, entry in KINDS.items()} == SPECS


@pytest.mark.parametrize("kind", SPECS)
def test_each_is_told_in_a_few_words_and_its_quantity_is_one_of_its_spec(kind: str, make: Callable[..., Case]) -> None:
    case = make(text_of(kind, there=True))
    event = case.scenario.event[-1]
    assert kind_of(event) is KINDS[kind]
    assert 1 <= len(said(event).split()) <= 12
    leading = KINDS[kind].leading
    assert leading is None or leading.field in SPECS[kind].model_fields
    for usual in KINDS[kind].usual:
        assert usual.keys.split(".")[0] in SPECS[kind].model_fields


@pytest.mark.parametrize("kind", SPECS)
def test_each_does_something(kind: str, make: Callable[..., Case]) -> None:
    """An engine is handed something else with it than without."""
    assert digest(prepare(make(text_of(kind, there=True)))) != digest(prepare(make(text_of(kind, there=False))))


def test_the_floor_is_asked_for_stops_and_turns_and_told_of_all_else(make: Callable[..., Case]) -> None:
    """What changes tyre loads after the start is not in the loads that a floor is asked for: it is said so."""
    from tipline.floors.answers.demand import demand

    asked_for = {kind for kind, entry in KINDS.items() if not entry.changes}
    assert asked_for == {"drive", "service_stop", "pedal_lift", "turn"}
    told = demand(make(text_of("push", there=True)), detail=False, advice=False).not_asked
    assert told[0].startswith("a push: these are the loads of the set-up as it starts")
    assert not any(
        "as it starts" in line for line in demand(make(text_of("push", there=False)), detail=False).not_asked
    )


@pytest.mark.parametrize(
    ("speed", "words"),
    [(-2.0, "drive back up to 2 m/s"), (1.5, "drive forward up to 1.5 m/s"), (0.0, "drive to a standstill")],
)
def test_a_drive_is_told_by_its_way_and_not_by_a_sign(speed: float, words: str) -> None:
    assert said(DriveEvent(kind="drive", at=1.0, speed=speed)) == words


@pytest.mark.parametrize(
    ("down", "words", "side"),
    [
        ("0 deg", "a push of 3 kN on the load", 1),
        ("60 deg", "a push of 3 kN on the load, 60 deg down", 1),
        ("-60 deg", "a push of 3 kN on the load, 60 deg up", 1),
        ("90 deg", "a push of 3 kN on the load, 90 deg down", 0),
    ],
)
def test_a_push_is_told_by_where_it_points(down: str, words: str, side: int, make: Callable[..., Case]) -> None:
    """Straight down it takes the truck to neither side."""
    case = make(text_of("push", there=True) + f'down = "{down}"\n')
    assert said(case.scenario.event[-1]) == words
    assert side_taken(case.inputs, (), ()) == side
