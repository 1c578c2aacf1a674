"""Slope limits by statics beside those of the engine, by bisection on a floor that turns slowly."""

from __future__ import annotations

import numpy as np
import pytest

from tipline import scenario
from tipline.assess.slopes import SetUp, assess_slopes
from tipline.tilting import _compare, at_height, directions_to_simulate, simulate_slopes

SCENARIO = "floor-falls-diagonally"


@pytest.mark.slow
def test_statics_and_engine_agree_in_three_directions() -> None:
    """Ahead it goes over within 3 %; left its tyre lifts within 3 %; behind it rolls within 5 %, once it has moved.

    A tyre counts as off at a hundredth of its load, and the truck still sways a little when the floor stops turning:
    the engine is the earlier one by that. To roll 30 mm in two seconds takes a little more than to begin.
    """
    case = scenario.read(SCENARIO)
    report = assess_slopes([SetUp(at_height(case, case.fork_height))], 24)
    one = report.maps[0]
    ahead, left, behind = (_compare(one, one.at(np.radians(angle)), at_height(case, 3.0)) for angle in (0, 90, 180))
    assert ahead.over == "front"
    assert np.mean(np.tan(ahead.tips)) == pytest.approx(np.tan(ahead.static_tips), rel=0.03)
    assert "front-right lifts" in left.what
    assert np.mean(np.tan(left.first)) == pytest.approx(np.tan(left.static_first), rel=0.03)
    assert behind.what == "it rolls or slides"
    assert np.mean(np.tan(behind.first)) == pytest.approx(np.tan(behind.static_first), rel=0.05)


def test_directions_to_simulate_begin_with_the_least_limit() -> None:
    case = scenario.read(SCENARIO)
    report = assess_slopes([SetUp(at_height(case, case.fork_height))], 24)
    picked = directions_to_simulate(report, 4)
    one = report.maps[0]
    assert picked[0] == (one, one.worst)
    assert len({index for _, index in picked}) == 4
    assert simulate_slopes(report, {}, 0) == ()
