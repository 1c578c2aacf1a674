"""Between what each input may lie: by its key, by hand from what is taken for how it is known."""

from __future__ import annotations

import pytest

from tipline.model import read_floor, read_machine
from tipline.scenario.reader import read
from tipline.scenario.sweep_reader import read_sweep
from tipline.sweeps import input_ranges


def test_of_a_case_each_is_as_wide_as_its_origin_says() -> None:
    """Told (a demo counts so): weight 5 %, height of centre 8 % of 1.6 m, depth 10 %, tyres 15 %; the rest stands."""
    found = input_ranges.of_case(read("front-tyre-breaks-through-load-high"))
    assert found["load.mass"].quantity == "mass"
    assert found["load.mass"][:2] == pytest.approx((4275.0, 4725.0))
    assert found["load.height_of_centre"][:2] == pytest.approx((0.572, 0.828))
    assert found["event.0.depth"][:2] == pytest.approx((0.1062, 0.1298))
    assert found["machine.drive_axle.tyre.0.stiffness"][:2] == pytest.approx((5.1e6, 6.9e6))
    assert found["floor.friction.solid"][:2] == pytest.approx((0.85 * 0.65, 1.15 * 0.65))
    assert "machine.wheelbase" not in found


def test_of_a_point_each_coordinate_has_its_own() -> None:
    """4 % of a length of 1.1 m, of a width of 1.2 m about 0.15 m to the left."""
    found = input_ranges.of_case(read("soft-ground-under-one-side"))["load.centre_offset"]
    assert found.low == pytest.approx([-0.044, 0.102])
    assert found.high == pytest.approx([0.044, 0.198])
    assert found.quantity == "length"


def test_of_a_floor_a_band_stands_under_its_own_name() -> None:
    """From a drawing: 203.2 mm less 20 %, or 10 % more; what nobody gave has a band too, with its quantity."""
    found = input_ranges.of_floor(read("driving-onto-a-trench-lid").floor)
    assert found["floor.zone.0.thickness"][:2] == pytest.approx((0.16256, 0.22352))
    assert found["floor.zone.0.subgrade_reaction"].quantity == "subgrade_reaction"
    assert "floor.zone.0.concrete" not in found  # what is specified is not varied: the strength it leads to is
    assert input_ranges.of_floor(read_floor("demo-hall-a")) == {}


def test_of_a_truck_that_a_file_gives_nothing_is_open() -> None:
    assert input_ranges.of_machine(read_machine("demo-truck-a")) == {}


def test_of_what_is_swept_it_is_the_range_given() -> None:
    """Also of a coordinate and of tyres by name: 80 mm to each side; 20 % of 6 MN/m, as far as three deviations."""
    plan = read_sweep("one-front-tyre-breaks-through")
    found = input_ranges.of_swept(plan)
    assert found["event.0.depth"][:2] == pytest.approx((0.04, 0.16))
    assert found["load.centre_offset"].low == pytest.approx([0.0, -0.08])
    assert found["load.centre_offset"].high == pytest.approx([0.0, 0.08])
    low, high, quantity = found["machine.drive_axle.tyre.0.stiffness"]
    assert low < 0.6 * 6e6 < 1.6 * 6e6 < high < 2.0 * 6e6
    assert quantity == "stiffness"
    assert set(found) <= set(plan.case.resolved)
    assert "machine.wheelbase" not in found
