"""The heights that slopes are asked at: four spread evenly from carrying height to the top, and the scenario's own."""

from __future__ import annotations

import pytest

from tipline.scenario import read
from tipline.slope_limits.asked import asked_heights, set_ups

SCENARIO = "floor-falls-diagonally"  # forks at 3.0 m of 5.55 m


@pytest.mark.parametrize(
    ("own", "asked", "heights"),
    [
        ("3 m", None, (0.3, 2.05, 3.0, 3.8, 5.55)),
        ("3 m", 3, (0.3, 2.925, 5.55)),
        ("0.15 m", 4, (0.15, 1.95, 3.75, 5.55)),
        ("3 m", 1, (3.0,)),
    ],
)
def test_heights_are_spread_from_the_lower_of_carrying_height_and_its_own(
    own: str, asked: int | None, heights: tuple[float, ...]
) -> None:
    assert asked_heights(read(SCENARIO, {"setup.fork_height": own}), asked) == pytest.approx(heights, abs=1e-9)


def test_its_own_height_is_among_those_of_the_unchanged_set_up_once() -> None:
    case = read(SCENARIO)
    both = set_ups([("", case), ("other", case)], "1 m", with_own=True)
    assert [(one.label, one.case.height) for one in both] == [("", 1.0), ("", 3.0), ("other", 1.0)]
    assert [one.case.height for one in set_ups([("", case)], "3 m", with_own=True)] == [3.0]
    assert [one.case.height for one in set_ups([("", case)], "1 m")] == [1.0]
