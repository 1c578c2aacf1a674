"""The floor along a scenario's own way and in the turns of a route."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from cases import nine_tonnes
from tipline.floors.answers.demand import demand, route
from tipline.floors.places.loads import Turning, loading, places_of
from tipline.scenario import Case, read
from tipline.scenario.driving import travelled
from tipline.scenario.route import Route
from tipline.statics.truck import truck_of

Make = Callable[..., Case]
WAY = Route(title="in and round", path=((2.0, 2.6), (14.0, 2.6), (14.0, 9.0)), turning_radius=2.5)


def test_a_scenario_that_drives_is_asked_along_its_way(make: Make) -> None:
    """4 km/h for 4 s are 4.44 m: from 8 m, 11 m on to the lid at 13 m to 13.6 m, which no tyre is on at the start."""
    case = read("driving-onto-a-trench-lid")
    report = demand(case, detail=False)
    on_lid = [one for one in report.answers if one.zone == "cable trench"]
    assert {one.tyre for one in on_lid} >= {"front-left", "front-right", "rear-left", "rear-right"}
    assert all(13.0 - 0.2 < one.at[1] < 13.6 + 0.2 for one in on_lid)
    assert report.subject == "as set up, and on its way 4.4 m on, straight"
    assert report.tracks["front-left"][-1][1] == pytest.approx(11.0 + 4 / 3.6 * 4, abs=0.01)
    assert not any(one.zone == "cable trench" for one in demand(case, (8.0, 11.0), detail=False).answers)


def test_a_stop_meets_the_cavity_ahead_of_where_it_begins() -> None:
    """6 km/h for 1 s, then 1.67^2 / (2 x 1.2) m and what the rise of 0.3 s adds: 3.05 m, past the cavity 2.3 m on."""
    report = demand(read("stop-with-the-load-up-breaks-a-slab"), detail=False)
    assert "over a cavity" in " ".join(one.mode for one in report.answers if one.tyre == "front-left")
    assert report.tracks["front-left"][-1][0] - 3.7 == pytest.approx(3.05, abs=0.03)


@pytest.mark.parametrize(
    ("speed", "event", "way"),
    [
        ("0 km/h", 'kind = "drive"\nspeed = "-1 m/s"\nacceleration = "0.5 m/s2"', (-2.35, 0.0)),
        ("1 m/s", 'kind = "drive"\nspeed = "-1 m/s"\nacceleration = "1 m/s2"', (-0.2, 1.65)),
        ("1 m/s", 'kind = "service_stop"\ndeceleration = "1 m/s2"', (0.0, 1.65)),
    ],
)
def test_the_way_of_a_scenario_is_that_of_its_events(
    speed: str, event: str, way: tuple[float, float], make: Make
) -> None:
    """By hand with the rise of 0.3 s as half of it at full rate: an event at 1 s of 4.5 s."""
    text = (
        nine_tonnes("demo-hall-a").replace("[load]", f'speed = "{speed}"\n[load]')
        + f'[run]\nduration = "4.5 s"\n[[event]]\nat = "1 s"\n{event}\n'
    )
    assert travelled(make(text).inputs) == pytest.approx(way, abs=0.05)


def test_what_the_events_change_after_the_start_is_said_to_be_left_out() -> None:
    report = demand(read("lowering-stopped-short", {"floor": "demo-hall-b"}), detail=False)
    assert any(line.startswith("lowering: these are the loads of the set-up") for line in report.not_asked)


def test_a_turn_moves_load_to_the_outer_tyres(make: Make) -> None:
    """Moments about the middle: what the right side carries more is m a h, h of the centre of mass; the sum stays."""
    case = make(nine_tonnes("demo-hall-b"))
    straight = loading(case, "s", moving=False)
    turning = Turning(8 / 3.6, 4.0)
    found = loading(case, "s", moving=False, turning=turning)
    assert turning.outward == pytest.approx(1.235, abs=1e-3)
    truck, places = truck_of(case), places_of(case.machine)
    mass = truck.plant.mass
    height = float(mass @ truck.build.centre[:, 2] / mass.sum())
    weight = sum(straight.static.values())
    for sense in (1.0, -1.0):
        peak = found.turns[sense]
        # the inner tyres keep what they carry straight on: that, too, is a load there is on the way
        outer = {name: load for name, load in peak.items() if sense * places[name][1] < 0.0}
        moved = sum((load - straight.static[name]) * abs(places[name][1]) for name, load in outer.items())
        assert 2.0 * moved == pytest.approx(weight / 9.81 * turning.outward * height, rel=0.06)
    assert all(found.peak[name] == straight.peak[name] for name in places)
    assert "in turns at 8 km/h on a radius of 4 m 1.2 m/s2 outward" in found.greatest_from


@pytest.mark.slow
def test_a_route_with_a_turn_asks_more_of_the_outer_tyres_and_says_its_speed(make: Make) -> None:
    case = make(nine_tonnes("demo-hall-b", 2.0, 2.6))
    fast, slow = (route(case, WAY.model_copy(update={"speed": speed}), detail=False) for speed in (3.0, 0.5))
    loads = [{one.tyre: one.peak_load for one in report.tyres if one.setup == "laden"} for report in (fast, slow)]
    assert loads[0]["front-right"] > 1.05 * loads[1]["front-right"]
    assumed = route(case, WAY, detail=False).assumed
    assert "speed in the turns of the route: a walk, 5 km/h, assumed" in assumed
