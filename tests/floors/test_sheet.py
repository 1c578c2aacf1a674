"""The wheel-load sheet: rolling peak, axles, twins as one item, passes, and what it says it does not hold."""

from __future__ import annotations

import re
from collections.abc import Callable
from math import inf, isnan, pi, sqrt

import pytest

from tipline.floors.answers.demand import demand, route
from tipline.floors.answers.report import FloorReport
from tipline.floors.known.of_zone import zone_bands
from tipline.floors.modes.slab import slab_of
from tipline.floors.places.loads import Turning, loading
from tipline.mechanics.fatigue import passes_to_crack
from tipline.mechanics.slab import relative_stiffness_radius
from tipline.model import read_floor
from tipline.report.html import page_html
from tipline.report.text import page_text
from tipline.report.wheel_sheet import sheet_page
from tipline.scenario import Case
from tipline.scenario.route import Route

Make = Callable[..., Case]
TRUCK = """
title = "on the slab"
machine = "{truck}"
floor = "demo-hall-b"
[setup]
position = ["6 m", "5 m"]
counterweight_extension = "0.6 m"
ballast_slabs = 4
attachment = "forks"
fork_height = "1 m"
[load]
mass = "{mass} t"
size = ["0.9 m", "1.0 m", "1.0 m"]
height_of_centre = "0.5 m"
load_centre = "0.6 m"
"""


@pytest.fixture
def twins(make: Make) -> Case:
    return make(TRUCK.format(truck="demo-truck-b", mass=14))


@pytest.fixture
def asked(twins: Case) -> FloorReport:
    return demand(twins)


@pytest.mark.slow
def test_a_truck_that_stands_tells_its_peak_when_rolling_too(asked: FloorReport, twins: Case) -> None:
    """A pedal lift of 2 m/s2 moves m a h / L to the front: 32.7 t x 2 x 1.3 m / 2.5 m = 34 kN, 8.5 kN a tyre."""
    for one in asked.tyres:
        assert one.peak_load == one.static_load
        assert one.rolling_load > 1.1 * one.static_load
    stops = loading(twins, "s", moving=True)
    front = [name for name in stops.peak if name.startswith("front")]
    moved = sum(stops.peak[name] - stops.static[name] for name in front)
    assert moved == pytest.approx(34e3, rel=0.06)
    turning = loading(twins, "s", moving=True, turning=Turning(5 / 3.6, 2.5))
    for one in asked.tyres:
        assert one.rolling_load == pytest.approx(turning.greatest[one.tyre])


def test_axles_add_up_to_the_weight_of_the_truck(asked: FloorReport) -> None:
    """18.70 t of its own and 14 t lifted."""
    sheet = asked.sheet
    assert sheet is not None
    assert sheet.gross("as set up") == pytest.approx((18.70 + 14.0) * 9.80665e3, rel=2e-3)
    drive, steer = sheet.axles
    assert (drive.name, steer.name) == ("drive axle", "steer axle")
    assert drive.static_load == pytest.approx(sum(one.static_load for one in asked.tyres[:4]))
    assert steer.rolling_load > steer.static_load
    assert sheet.truck.startswith("Demo truck B")


@pytest.mark.slow
def test_twins_are_one_item_with_the_load_of_both(asked: FloorReport) -> None:
    """300 mm wide, 330 mm from middle to middle: 630 mm."""
    assert asked.sheet is not None
    left, right = asked.sheet.twins
    assert left.tyre == "front-left-outer and front-left-inner"
    own = [one for one in asked.tyres if one.tyre in left.tyre]
    assert left.static_load == pytest.approx(sum(one.static_load for one in own))
    assert left.rolling_load == pytest.approx(sum(one.rolling_load for one in own))
    assert left.patch[1] == pytest.approx(0.63)
    assert left.mean_pressure == pytest.approx(left.rolling_load / (left.patch[0] * 0.63))
    assert right.tyre.startswith("front-right")


@pytest.mark.slow
def test_twins_count_on_a_slab_as_one_circle(asked: FloorReport) -> None:
    """By hand: sqrt(0.8521 P / (q pi) + S / pi sqrt(P / (0.5227 q))), P / q the area of one patch, S = 0.33 m.

    Their patches are not quite alike: 0.3 %. Tyres that are no pair have none.
    """
    assert asked.sheet is not None
    left = asked.sheet.twins[0]
    area = left.patch[0] * 0.30
    assert left.circle == pytest.approx(sqrt(0.8521 * area / pi + 0.33 / pi * sqrt(area / 0.5227)), rel=3e-3)
    assert pi * left.circle**2 > 2.0 * area
    assert all(isnan(tyre.circle) for tyre in asked.tyres)


def test_passes_to_a_crack_follow_both_branches() -> None:
    """By hand: 10^((0.9719 - 0.7) / 0.0828) = 1923 and (4.2577 / (0.5 - 0.4325))^3.268 = 761 600."""
    assert passes_to_crack(0.7) == pytest.approx(1923, rel=1e-3)
    assert passes_to_crack(0.5) == pytest.approx(7.616e5, rel=1e-3)
    assert passes_to_crack(0.55) == pytest.approx(passes_to_crack(0.55 - 1e-9), rel=1e-3)
    assert passes_to_crack(0.449) == inf
    assert passes_to_crack(1.0) == 0.0


@pytest.mark.slow
def test_the_page_tells_truck_twins_passes_and_who_must_say_the_rest(twins: Case) -> None:
    way = Route(title="in", path=((6.0, 5.0), (9.0, 5.0)), passes=40)
    report = route(twins, way)
    told = " ".join(re.sub("<[^>]*>", " ", page_html(sheet_page(report))).split())
    for words in (
        "The truck: Demo truck B", "whole truck, laden", "drive axle, empty", "Passes: 40, as planned", "an estimate",
        "front-left-outer and front-left-inner, laden", "40 passes are planned", "a lip of 5 mm adds at most",
        "a geotechnical engineer", "A slab on insulation is not in these figures", "wheelbase 2.5 m",
        "presses it down by",
        "Twins on a slab: front-left-outer and front-left-inner (laden) press on it as one circle",
    ):  # fmt: skip
        assert words in told, words
    standing = " ".join(page_text(sheet_page(demand(twins)), 400).split())
    assert "Passes: not stated" in standing


@pytest.mark.slow
def test_a_lip_presses_the_tyre_by_its_height(asked: FloorReport, twins: Case) -> None:
    """6 MN/m are 15 mm at the rated 90 kN; by F = c d^1.5 11.6 mm at 61 kN; 5 mm more add 43.4 kN."""
    assert asked.sheet is not None
    (lip,) = asked.sheet.lips
    assert lip.height == 0.005
    pressed = 90e3 / 6e6 * (61 / 90) ** (2 / 3)
    assert lip.more == pytest.approx(61e3 * ((1 + 0.005 / pressed) ** 1.5 - 1), rel=0.04)


@pytest.mark.slow
def test_a_slab_gives_by_its_ground(asked: FloorReport) -> None:
    """Westergaard's load in a point: w = P / (8 k l^2); a patch a = 0.15 m wide on l takes some per cent off."""
    assert asked.sheet is not None
    (give,) = asked.sheet.gives
    assert give.depth.low < give.depth.likely < give.depth.high
    one = next(each for each in asked.tyres if each.tyre == give.tyre)
    bands = zone_bands(read_floor("demo-hall-b").elsewhere, read_floor("demo-hall-b"))
    slab = slab_of({name: band.likely for name, band in bands.bands.items()})
    point = one.static_load / (8.0 * bands["subgrade_reaction"].likely * relative_stiffness_radius(slab) ** 2)
    assert 0.9 * point < give.depth.likely < point
