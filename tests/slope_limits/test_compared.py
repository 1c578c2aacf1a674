"""Which slopes are simulated: from 3 % past what statics says, halved to a hundredth, at most a quarter beyond it."""

from __future__ import annotations

from math import isnan

import numpy as np
import pytest

from tipline.scenario import read
from tipline.slope_limits import tilting
from tipline.slope_limits.asked import at_height
from tipline.slope_limits.assessment import assess_slopes
from tipline.slope_limits.maps import SlopeMap
from tipline.slope_limits.solving import SetUp
from tipline.slope_limits.tilting import Tried, compare

LEFT = np.pi / 2


@pytest.fixture(scope="module")
def limits() -> SlopeMap:
    return assess_slopes([SetUp(at_height(read("floor-falls-diagonally"), 3.0))], 8).maps[0]


def simulated(
    limits: SlopeMap, monkeypatch: pytest.MonkeyPatch, goes: float, tips: float
) -> tuple[list[float], object]:
    """Compare with a truck that goes from one slope on and is over from another; return the slopes tried, and that."""
    slopes: list[float] = []

    def turned(case: object, azimuth: float, slope: float) -> Tried:
        slopes.append(slope)
        return Tried(slope, "a tyre lifts" if slope >= goes else "", "left" if slope >= tips else "")

    monkeypatch.setattr(tilting, "turn_floor", turned)
    return slopes, compare(limits, limits.at(LEFT), read("floor-falls-diagonally"))


def test_what_goes_as_statics_says_takes_two_slopes_each(limits: SlopeMap, monkeypatch: pytest.MonkeyPatch) -> None:
    """At 1.03 it has gone, at 1.03 times 0.93 not yet; then halved to a hundredth: 3.4 %, 1.7 %, 0.9 %."""
    index = limits.at(LEFT)
    first, tips = float(limits.first[index]), float(limits.limits["tips"][index])
    slopes, found = simulated(limits, monkeypatch, first, tips)
    of_first = [slope / first for slope in slopes[:2]]
    assert of_first == pytest.approx([1.03, 1.03 * 0.93])
    low, high = found.first
    assert low < first <= high
    assert high - low <= 0.01 * high
    assert found.runs == len(slopes) <= 14


def test_what_does_not_go_is_tried_up_to_a_quarter_beyond(limits: SlopeMap, monkeypatch: pytest.MonkeyPatch) -> None:
    index = limits.at(LEFT)
    first, tips = float(limits.first[index]), float(limits.limits["tips"][index])
    slopes, found = simulated(limits, monkeypatch, np.inf, np.inf)
    assert max(slopes) == pytest.approx(1.25 * max(first, tips))
    assert isnan(found.first[1])
    assert found.first[0] == max(slopes)
    assert (found.what, found.over) == ("", "")
