"""One word, one figure in `check` and in `slopes`: the worst slope, and what a truck can be stopped by."""

from __future__ import annotations

import numpy as np
import pytest

from cases import HUNG, Make, rated_text
from few import slow_but
from tipline.model.shipped import find
from tipline.pose.assessment import assess_pose
from tipline.slope_limits.assessment import assess_slopes
from tipline.slope_limits.maps import WHAT
from tipline.slope_limits.solving import SetUp
from tipline.statics.planning import deceleration_word

CLOSE = 0.02
"""`check` ends its searches at 1 %, and solves the worst direction where an estimate every 5 degrees has it."""
CASES = {
    "hung": HUNG,
    # its worst direction lies between the main ones, 4 % below the nearest of them
    "hung high": find("scenario", "front-tyre-breaks-through-load-high")[0].read_text(encoding="utf-8"),
    **{f"demo-truck-{letter}": rated_text(f"demo-truck-{letter}", height="3.5 m") for letter in "abc"},
}


@pytest.mark.parametrize("name", slow_but(CASES, "hung high"))
def test_check_and_slopes_tell_the_same_figures(make: Make, name: str) -> None:
    case = make(CASES[name])
    told = {label: value for label, value, _ in assess_pose(case).holds_against}
    slopes = assess_slopes([SetUp(case)])
    one = slopes.maps[0]

    def of(start: str) -> float:
        return min(value for label, value in told.items() if label.startswith(start))

    # a tyre of a fixed axle that lifts first is told by `slopes` alone
    first = np.nanmin([one.limits[what] for what in WHAT if what != "lifts"], axis=0)
    assert of("slope in the worst direction") == pytest.approx(float(first.min()), rel=CLOSE)
    for way, azimuth in (("ahead", 0.0), ("left", np.pi / 2), ("right", -np.pi / 2), ("behind", np.pi)):
        assert of(f"slope falling {way}") == pytest.approx(float(first[one.at(azimuth)]), rel=CLOSE), way
    stops = slopes.stops[0]
    assert stops.word == deceleration_word(swung=name.startswith("hung"))
    for way, found in (("forward", stops.forward), ("in reverse", stops.reverse)):
        assert of(f"{stops.word} driving {way}") == pytest.approx(found[0], rel=CLOSE), way


def test_a_worst_direction_between_the_main_ones_is_that_of_the_map(make: Make) -> None:
    """A light load high up swings the frame farthest where the floor falls to the left and a little behind."""
    case = make(rated_text("demo-truck-a", "3 t", "5 m"))
    (words, least), *_ = [
        (label, value) for label, value, _ in assess_pose(case).holds_against if "in the worst direction" in label
    ]
    assert "falling 110 degrees left of ahead" in words
    one = assess_slopes([SetUp(case)], 72).maps[0]
    swings = one.limits["swings"]
    assert least == pytest.approx(float(np.nanmin(swings)), rel=0.01)
    assert abs(np.degrees(one.azimuth[int(np.nanargmin(swings))])) == pytest.approx(110.0, abs=5.1)


def test_a_hung_load_has_both_decelerations_by_name(make: Make) -> None:
    """With its swing it counts twice: a steady pull d and the load's m d more at the hook, by the lever rule."""
    told = {label: value for label, value, _ in assess_pose(make(HUNG)).holds_against}
    steady, swung = (
        next(
            value for label, value in told.items() if label.startswith(f"{deceleration_word(swung=by)} driving forward")
        )
        for by in (False, True)
    )
    assert 0.5 * steady < swung < 0.8 * steady
    on_forks = assess_pose(make(rated_text("demo-truck-a"))).holds_against
    assert not any(label.startswith(deceleration_word(swung=True)) for label, _, _ in on_forks)
