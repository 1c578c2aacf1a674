"""The nearest limit of a set-up that stands: of each how much is used up, the truck's own stop among them."""

from __future__ import annotations

from math import inf, nan, radians

import pytest

from tipline.pose.nearest import nearest_of, own_stops
from tipline.scenario import read

DRIVE = read("front-tyre-breaks-through-load-high").machine.drive
"""Service stop 1.1 m/s2 or so, pedal lift 2.2 m/s2."""


def holds(stop: float, slope: float = 0.1) -> list[tuple[str, float, str]]:
    return [
        ("steady deceleration driving forward (tips over the front line)", stop, "acceleration"),
        ("slope falling left (frame swings to the left)", slope, "slope"),
    ]


def test_a_stop_of_its_own_is_set_against_what_it_holds() -> None:
    stops = own_stops(DRIVE, holds(1.1), swung=False)
    parts = {one.words.split(" brakes")[0]: one.part for one in stops}
    assert all(one.words.endswith("; driving forward, it tips over the front line from 1.1 m/s2 on") for one in stops)
    assert parts["its own service stop"] == pytest.approx(DRIVE.service_deceleration / 1.1)
    assert parts["letting the drive pedal go"] == pytest.approx(DRIVE.pedal_lift_deceleration / 1.1)
    assert own_stops(DRIVE, holds(inf), swung=False) == ()
    assert own_stops(DRIVE, holds(1.1), swung=True) == ()  # a hung load is held against its own limit only


def test_the_one_that_is_used_up_most_is_named() -> None:
    """0.029 m of hole against 0.05 m is 1.72, 8.7 % on the steer axle against twice 5 % 1.15, a stop 2.2 of 4 0.55."""
    stops = own_stops(DRIVE, holds(4.0), swung=False)
    near = nearest_of(stops, {"left": 0.029, "right": 0.031, "back": nan}, 0.087, holds(4.0))
    assert near is not None
    assert near.words == "a hole 29 mm deep under the left side could tip it"
    assert near.part == pytest.approx(0.05 / 0.029)
    light = nearest_of(stops, {}, 0.087, holds(4.0))
    assert light is not None
    assert light.words == "8.7 % of the weight on the steer axle"
    assert light.part == pytest.approx(0.1 / 0.087)
    harder = nearest_of(own_stops(DRIVE, holds(0.5), swung=False), {"left": 0.029}, 0.087, holds(0.5))
    assert harder is not None
    assert harder.short == "letting the drive pedal go brakes it harder than it can take"
    steep = nearest_of((), {}, nan, holds(0.5, radians(0.5)))
    assert steep is not None
    assert steep.words == "a slope falling left of 0.873 %"
    assert nearest_of((), {}, nan, []) is None
