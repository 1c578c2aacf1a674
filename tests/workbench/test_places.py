"""What is dragged in plan: places under tyres, where a ramp begins, where the truck stands and how it is turned."""

from __future__ import annotations

import math
import re

import pytest

import tipline
from tipline.errors import InputError
from tipline.units import System
from tipline.workbench.bench import FIRST, Bench
from tipline.workbench.fields import as_typed
from tipline.workbench.floor_sketch import floor_plan
from tipline.workbench.grips import Grip
from tipline.workbench.sketch import plan

ON_A_LID, RAMP = "driving-onto-a-trench-lid", "threshold-met-at-a-walk"


def above(bench: Bench) -> dict[str, Grip]:
    case = bench.case()
    return {grip.key: grip for grip in plan(case, tipline.check(case)).grips}


def on_floor(bench: Bench, system: System = "si") -> dict[str, Grip]:
    return {grip.key: grip for grip in floor_plan(bench.case(), system).grips}


def test_a_hole_goes_from_tyre_to_tyre_and_under_those_of_a_side_or_an_axle() -> None:
    bench = Bench()
    grip = above(bench)["event.0.under"]
    assert set(grip.texts) == {
        "front-left", "front-right", "rear-left", "rear-right", "front-left, front-right", "rear-left, rear-right",
        "front-left, rear-left", "front-right, rear-right",
    }  # fmt: skip
    assert grip.texts[int(grip.now)] == "front-left"
    machine = bench.case().machine
    across = {tyre.name: tyre.across for axle in (machine.drive_axle, machine.steer_axle) for tyre in axle.tyre}
    for text, (_, y) in zip(grip.texts, grip.places, strict=True):
        names = text.split(", ")
        both_axles = len({name.partition("-")[0] for name in names}) == 2
        middle = sum(across[name] for name in names) / len(names)
        assert y == pytest.approx(middle + (math.copysign(0.3 + 0.4, middle) if both_axles else 0.0))
    for number, text in enumerate(grip.texts):
        bench.change(grip.key, as_typed(text, listed=True))
        again = above(bench)[grip.key]
        assert set(bench.case().scenario.event[0].under) == set(text.split(", "))  # type: ignore[union-attr]
        assert (again.now, again.x, again.z) == (number, *grip.places[number])


def test_the_truck_is_moved_and_turned_on_its_floor_within_what_the_form_takes() -> None:
    bench = Bench(ON_A_LID)
    place, heading = (on_floor(bench)[f"setup.{name}"] for name in ("position", "heading"))
    assert (place.now, place.aside, place.x, place.z, place.unit) == (8.0, 11.0, 8.0, 11.0, "m")
    assert heading.texts[int(heading.now)] == "90 deg"
    reach = math.dist((heading.x, heading.z), (8.0, 11.0))
    for text, (x, y) in zip(heading.texts, heading.places, strict=True):
        angle = math.radians(float(text.removesuffix(" deg")))
        assert (x, y) == pytest.approx((8.0 + reach * math.cos(angle), 11.0 + reach * math.sin(angle)))
    bench.change("setup.position", as_typed("9.5 m x 6 m", listed=True))
    bench.change("setup.heading", "137 deg")
    moved = on_floor(bench)
    assert (moved["setup.position"].x, moved["setup.position"].z) == (9.5, 6.0)
    turned = moved["setup.heading"]
    assert turned.texts[int(turned.now)] == "137 deg"
    assert max(map(abs, place.ends)) < 1000.0
    bench.change("setup.position", as_typed("1001 m x 6 m", listed=True))
    with pytest.raises(InputError):
        bench.case()


def test_in_feet_the_truck_s_place_is_the_same_and_goes_by_quarters() -> None:
    metric, feet = (on_floor(Bench(ON_A_LID), system)["setup.position"] for system in ("si", "us"))
    assert (feet.unit, feet.step, feet.per) == ("ft", 0.25, 0.3048)
    assert (feet.now, feet.aside) == pytest.approx((8.0 / 0.3048, 11.0 / 0.3048))
    assert (feet.x, feet.z) == (metric.x, metric.z)
    assert feet.ends == pytest.approx([end / 0.3048 for end in metric.ends])


def test_a_threshold_is_dragged_along_its_way_from_the_truck() -> None:
    bench = Bench(RAMP)
    case = bench.case()
    number, event = next((n, event) for n, event in enumerate(case.scenario.event) if event.kind == "threshold")
    grip = on_floor(bench)[f"event.{number}.begins"]
    (x, y), heading = case.scenario.setup.position, case.scenario.setup.heading
    assert (grip.x, grip.z) == pytest.approx(
        (x + event.begins * math.cos(heading), y + event.begins * math.sin(heading))  # type: ignore[union-attr]
    )
    bench.change(grip.key, grip.texts[4])
    assert bench.case().scenario.event[number].begins == pytest.approx(0.5)  # type: ignore[union-attr]


def test_the_floor_is_drawn_with_its_zones_and_the_truck_where_it_stands() -> None:
    bench = Bench(ON_A_LID)
    drawn = floor_plan(bench.case()).svg
    zones = bench.case().floor.zone
    rings = re.findall(r'<polygon points="([^"]*)"', drawn)
    first = [tuple(map(float, point.split(","))) for point in rings[0].split()]
    assert len(rings) == len(zones)
    assert first == [(x, -y) for x, y in zones[0].corners]
    assert 'transform="translate(8 -11) rotate(-90)"' in drawn
    hole = floor_plan(Bench(FIRST).case()).svg
    assert 'x="-0.3" y="-0.9' in hole  # 0.6 m square about the front-left tyre
