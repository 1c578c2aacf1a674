from __future__ import annotations

import numpy as np
import pytest

from tipline.oracles.tipping import pivoting_axle_threshold
from tipline.statics import lines

LEFT_EDGE = (np.array([-2.0, 0.6, 0.0]), np.array([0.0, 0.6, 0.0]))


def weight_at(x: float, y: float, z: float, pull: tuple[float, float, float]) -> tuple[np.ndarray, np.ndarray]:
    return lines.resultant(1000.0 * np.array([pull]), np.array([[x, y, z]]))


def test_on_the_level_the_distance_is_that_in_plan() -> None:
    assert lines.distance(LEFT_EDGE, *weight_at(-0.7, 0.1, 3.0, (0.0, 0.0, -9.81))) == pytest.approx(0.5)


def test_past_the_line_is_negative() -> None:
    assert lines.distance(LEFT_EDGE, *weight_at(-0.7, 0.9, 3.0, (0.0, 0.0, -9.81))) == pytest.approx(-0.3)


def test_to_a_line_that_rises_a_plumb_weight_is_as_far_as_in_plan() -> None:
    rising = (np.array([-2.0, 0.0, 0.9]), np.array([0.0, 0.6, 0.0]))
    away = abs(2.0 * 0.1 - 0.6 * 1.3) / np.hypot(2.0, 0.6)
    assert lines.distance(rising, *weight_at(-0.7, 0.1, 3.0, (0.0, 0.0, -9.81))) == pytest.approx(away)


def test_a_sideways_pull_takes_height_times_its_ratio() -> None:
    assert lines.distance(LEFT_EDGE, *weight_at(-0.7, 0.0, 2.0, (0.0, 0.981, -9.81))) == pytest.approx(0.6 - 0.2)


def test_a_pull_along_the_line_changes_nothing() -> None:
    assert lines.distance(LEFT_EDGE, *weight_at(-0.7, 0.0, 2.0, (3.0, 0.0, -9.81))) == pytest.approx(0.6)


def test_nothing_pressing_gives_no_distance() -> None:
    assert np.isnan(lines.distance(LEFT_EDGE, *weight_at(-0.7, 0.0, 2.0, (0.0, 0.0, 9.81))))


def test_the_swing_line_reaches_zero_at_the_threshold_of_a_free_pivoting_axle() -> None:
    track, wheelbase, height, pivot_height, share = 1.2, 2.0, 1.4, 0.5, 0.3
    ratio = pivoting_axle_threshold(track, share, height, pivot_height)
    ends = (np.array([-wheelbase, 0.0, pivot_height]), np.array([0.0, track / 2, 0.0]))
    at_threshold = weight_at(-share * wheelbase, 0.0, height, (0.0, 9.81 * ratio, -9.81))
    assert lines.distance(ends, *at_threshold) == pytest.approx(0.0, abs=1e-12)
    below = weight_at(-share * wheelbase, 0.0, height, (0.0, 9.81 * 0.9 * ratio, -9.81))
    assert lines.distance(ends, *below) > 0.01


def test_the_balance_point_is_where_the_resultant_meets_the_floor() -> None:
    force, moment = weight_at(-0.7, 0.2, 2.0, (0.981, -0.5, -9.81))
    assert lines.balance_point(force, moment) == pytest.approx([-0.7 + 0.2, 0.2 - 2.0 * 0.5 / 9.81])


def test_many_poses_at_once_give_what_each_gives_alone() -> None:
    rng = np.random.default_rng(1)
    start, end = rng.normal(size=(5, 3)), rng.normal(size=(5, 3)) + np.array([4.0, 0.0, 0.0])
    force, moment = rng.normal(size=(5, 3)) - np.array([0.0, 0.0, 9.0]), rng.normal(size=(5, 3))
    whole = lines.distance((start, end), force, moment)
    each = [float(lines.distance((start[i], end[i]), force[i], moment[i])) for i in range(5)]
    assert whole == pytest.approx(each)
