"""Closed forms of tipping and sliding, met by the limits that `slopes` gives of near rigid trucks."""

from __future__ import annotations

from dataclasses import replace
from math import pi, tan

import pytest

from cases import stiffened
from tipline.kernels import layout as at
from tipline.oracles.tipping import sliding_deceleration, static_stability_factor, tip_or_slide
from tipline.scenario import read
from tipline.slope_limits.assessment import assess_slopes
from tipline.slope_limits.solving import SetUp
from tipline.statics.truck import truck_of


def test_a_load_on_the_forks_slides_before_it_tips_where_the_formula_says() -> None:
    """Friction 0.1, level forks: it slips at a slope of 0.1 ahead, and in a stop at 0.981 m/s2 (within 2 %)."""
    case = read("floor-falls-diagonally")
    assert case.load is not None
    case = stiffened(replace(case, load=case.load.model_copy(update={"friction_on_forks": 0.1})))
    size, height = case.load.size, case.load.height_of_centre
    first = tip_or_slide(0.1, 0.5 * size[0], height)
    assert first.first == "slides"
    report = assess_slopes([SetUp(case)], 8)
    ahead, stop = report.maps[0], report.stops[0]
    index = ahead.at(0.0)
    assert ahead.what[index] == "load slips"
    assert tan(ahead.first[index]) == pytest.approx(first.ratio, abs=2e-3)
    assert stop.forward_what[0] == "load slips"
    assert stop.forward[0] == pytest.approx(sliding_deceleration(0.1), rel=0.02)


def test_a_fixed_axle_tips_sideways_by_half_its_track_over_its_height() -> None:
    """The track where the weight lies between the axles, over the outermost strips: within 1 %."""
    case = stiffened(read("floor-turned-until-something-goes"))
    truck = truck_of(case)
    mass, centre = truck.plant.mass, truck.build.centre.copy()
    centre[at.LOAD] = centre[at.CARRIAGE] + truck.plant.link[at.L_HX : at.L_HZ + 1]
    middle = mass @ centre / mass.sum()
    drive, steer = (
        2.0 * max(one.across for one in tyres) + 2.0 / 3.0 * max(tyres, key=lambda one: one.across).width
        for tyres in (case.machine.drive_axle.tyre, case.machine.steer_axle.tyre)
    )
    share = -middle[0] / case.machine.wheelbase
    factor = static_stability_factor(drive + share * (steer - drive), middle[2])
    one = assess_slopes([SetUp(case)], 4).maps[0]
    assert tan(one.limits["tips"][one.at(pi / 2)]) == pytest.approx(factor, rel=0.01)
