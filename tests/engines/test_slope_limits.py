"""Slope limits by statics beside those of the engine, by bisection on a floor that turns slowly.

Measured.

A truck just past its limit falls slowly. Slopes simulated by bisection were 3 % above statics because runs ended 2 s
after the floor had turned; they now run until the ending is decided (10 s at most). What is left of statics is then
that a frame which swings falls onto its stop and goes over, where at rest it would stand on it (1 to 26 % more).
"""

from __future__ import annotations

import numpy as np
import pytest

from tipline import scenario
from tipline.slope_limits import tilting
from tipline.slope_limits.asked import at_height
from tipline.slope_limits.assessment import assess_slopes
from tipline.slope_limits.solving import SetUp
from tipline.slope_limits.tilting import compare, directions_to_simulate, simulate_ramps, simulate_slopes

SCENARIO = "floor-falls-diagonally"


def slope_of(pair: tuple[float, float]) -> float:
    return float(np.mean(np.tan(pair)))


@pytest.mark.slow
def test_statics_and_engine_agree_in_three_directions() -> None:
    """Ahead it goes over within 2 %; left it swings and is over within 4 %; behind it rolls within 5 %, once it moved.

    A tyre counts as off at a hundredth of its load, rubber that is let out lags behind, and the truck still sways a
    little when the floor stops turning: the engine is the earlier one by that. To roll 30 mm in two seconds takes a
    little more than to begin.
    """
    case = scenario.read(SCENARIO)
    report = assess_slopes([SetUp(at_height(case, case.fork_height))], 24)
    one = report.maps[0]
    ahead, left, behind = (compare(one, one.at(np.radians(angle)), at_height(case, 3.0)) for angle in (0, 90, 180))
    assert ahead.over == "front"
    assert slope_of(ahead.tips) == pytest.approx(np.tan(ahead.static_tips), rel=0.02)
    assert left.over == "left"
    assert "front-right lifts" in left.what
    assert np.tan(left.static_first) * 0.96 < slope_of(left.first) < np.tan(left.static_first)
    # at rest it would stand on its stop a little farther; falling onto it, it goes over where it swings
    assert slope_of(left.tips) == pytest.approx(np.tan(left.static_first), rel=0.02)
    assert slope_of(left.tips) < np.tan(left.static_tips)
    assert behind.what == "it rolls or slides"
    assert slope_of(behind.first) == pytest.approx(np.tan(behind.static_first), rel=0.05)


@pytest.mark.slow
def test_a_truck_just_past_its_limit_falls_slowly(monkeypatch: pytest.MonkeyPatch) -> None:
    """At 1 % past the limit of the stop it is not yet over 2 s after the floor has turned, but is when let be.

    Runs ended after 2 s put the limit 3 % too high; not friction, not the tyres, not the rate of turning.
    """
    case = at_height(scenario.read(SCENARIO), 3.0)
    one = assess_slopes([SetUp(case)], 24).maps[0]
    past = float(np.arctan(1.01 * np.tan(one.limits["swings"][one.at(np.pi / 2)])))
    assert tilting.turn_floor(case, np.pi / 2, past).over == "left"
    monkeypatch.setattr(tilting, "LONGEST", tilting.AFTER)
    assert tilting.turn_floor(case, np.pi / 2, past).over == ""


@pytest.mark.slow
def test_driven_slowly_a_ramp_is_the_turned_floor_and_faster_it_is_less() -> None:
    """Ahead it tips at 18.4 % by statics: crawling it holds 16.5 % and not 18.5 %; at a walk not even 14.5 %."""
    case = at_height(scenario.read(SCENARIO), 3.0)
    one = assess_slopes([SetUp(case)], 8).maps[0]
    static = np.tan(one.limits["tips"][one.at(0.0)])
    assert static == pytest.approx(0.184, abs=2e-3)

    def over(share: float, speed: float) -> bool:
        return tilting.drive_onto(case, "down", 1, "", speed, float(np.arctan(share * static))).over == "front"

    assert [over(0.9, 0.1), over(1.005, 0.1)] == [False, True]
    assert [over(0.6, 1.4), over(0.8, 1.4)] == [False, True]


@pytest.mark.slow
def test_a_simulated_ramp_names_its_statics() -> None:
    case = scenario.read(SCENARIO, {"event.0.at": "1 s"})
    report = assess_slopes([SetUp(at_height(case, case.fork_height))], 24)
    assert simulate_ramps(report, case, 0) == ()
    lift = simulate_ramps(report, case, 1)[0]
    assert (lift.goes, lift.sense, lift.stop, lift.azimuth) == ("down", 1, "pedal lift", 0.0)
    # on the level the pedal lift alone is too much for statics; in the time a stop takes it holds a little slope
    assert lift.static == 0.0
    assert lift.static_what == "tips"
    assert lift.over == "front"
    assert 0.01 < slope_of(lift.tips) < 0.05
    assert lift.tips[1] - lift.tips[0] <= 0.02 * lift.tips[1]
    # on the way it is limited by what tips, parked by what its brake holds
    assert tilting.by_statics(report, report.maps[0], np.pi, 1, "")[1] != "rolls"
    assert report.maps[0].what[report.maps[0].at(np.pi)] == "rolls"


def test_directions_to_simulate_begin_with_the_least_limit() -> None:
    case = scenario.read(SCENARIO)
    report = assess_slopes([SetUp(at_height(case, case.fork_height))], 24)
    picked = directions_to_simulate(report, 4)
    one = report.maps[0]
    assert picked[0] == (one, one.worst)
    assert len({index for _, index in picked}) == 4
    assert simulate_slopes(report, {}, 0) == ()
