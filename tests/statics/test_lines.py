from __future__ import annotations

import numpy as np
import pytest

import oracle_lines
from cases import Make, rated_text
from tipline.kernels import layout as at
from tipline.kernels import tiplines
from tipline.oracles.tipping import pivoting_axle_threshold
from tipline.statics.truck import truck_of

LEFT_EDGE = (np.array([-2.0, 0.6, 0.0]), np.array([0.0, 0.6, 0.0]))


def weight_at(x: float, y: float, z: float, pull: tuple[float, float, float]) -> np.ndarray:
    """The force and its moment about the origin (6,) of a tonne at a point."""
    total = np.zeros(6)
    tiplines.add_at(x, y, z, *(1000.0 * part for part in pull), total)
    return total


def test_on_the_level_the_distance_is_that_in_plan() -> None:
    assert tiplines.distance(*LEFT_EDGE, weight_at(-0.7, 0.1, 3.0, (0.0, 0.0, -9.81))) == pytest.approx(0.5)


def test_past_the_line_is_negative() -> None:
    assert tiplines.distance(*LEFT_EDGE, weight_at(-0.7, 0.9, 3.0, (0.0, 0.0, -9.81))) == pytest.approx(-0.3)


def test_to_a_line_that_rises_a_plumb_weight_is_as_far_as_in_plan() -> None:
    rising = (np.array([-2.0, 0.0, 0.9]), np.array([0.0, 0.6, 0.0]))
    away = abs(2.0 * 0.1 - 0.6 * 1.3) / np.hypot(2.0, 0.6)
    assert tiplines.distance(*rising, weight_at(-0.7, 0.1, 3.0, (0.0, 0.0, -9.81))) == pytest.approx(away)


def test_a_sideways_pull_takes_height_times_its_ratio() -> None:
    assert tiplines.distance(*LEFT_EDGE, weight_at(-0.7, 0.0, 2.0, (0.0, 0.981, -9.81))) == pytest.approx(0.6 - 0.2)


def test_a_pull_along_the_line_changes_nothing() -> None:
    assert tiplines.distance(*LEFT_EDGE, weight_at(-0.7, 0.0, 2.0, (3.0, 0.0, -9.81))) == pytest.approx(0.6)


def test_nothing_pressing_gives_no_distance() -> None:
    assert np.isnan(tiplines.distance(*LEFT_EDGE, weight_at(-0.7, 0.0, 2.0, (0.0, 0.0, 9.81))))


def test_the_swing_line_reaches_zero_at_the_threshold_of_a_free_pivoting_axle() -> None:
    track, wheelbase, height, pivot_height, share = 1.2, 2.0, 1.4, 0.5, 0.3
    ratio = pivoting_axle_threshold(track, share, height, pivot_height)
    ends = (np.array([-wheelbase, 0.0, pivot_height]), np.array([0.0, track / 2, 0.0]))
    at_threshold = weight_at(-share * wheelbase, 0.0, height, (0.0, 9.81 * ratio, -9.81))
    assert tiplines.distance(*ends, at_threshold) == pytest.approx(0.0, abs=1e-12)
    below = weight_at(-share * wheelbase, 0.0, height, (0.0, 9.81 * 0.9 * ratio, -9.81))
    assert tiplines.distance(*ends, below) > 0.01


def test_the_balance_point_is_where_the_resultant_meets_the_floor() -> None:
    found = tiplines.balance_point(weight_at(-0.7, 0.2, 2.0, (0.981, -0.5, -9.81)))
    assert found == pytest.approx([-0.7 + 0.2, 0.2 - 2.0 * 0.5 / 9.81])


@pytest.mark.slow
def test_in_any_pose_the_distances_are_those_of_the_oracle(make: Make) -> None:
    """Tip and swing lines and their ends on poses of three trucks, on slopes: two routes, within rounding.

    With a light load held low there is more left to a tip line than to the swing line of the same side.
    """
    further = 0
    names = ("demo-truck-a", "demo-truck-b", "demo-truck-c")
    for name, mass, height in [(name, *how) for name in names for how in ((None, "2 m"), ("1 t", "0.3 m"))]:
        truck = truck_of(make(rated_text(name, mass=mass, height=height)))
        found, start = oracle_lines.outline(truck.plant), truck.start(1.0)
        for slope, azimuth in ((0.0, 0.0), (0.04, 0.7), (0.06, 2.5), (0.05, -1.6)):
            pose = truck.solve(truck.gravity(slope, azimuth), start)
            foot = oracle_lines.feet(found, truck.plant.tyre, pose.position, pose.rot, pose.loads, pose.tyre[:, 4:7])
            ends = oracle_lines.line_ends(found, foot, pose.position, pose.rot)
            points = pose.position.copy()
            points[at.LOAD] = (
                pose.position[at.CARRIAGE] + pose.rot[at.CARRIAGE] @ truck.plant.link[at.L_HX : at.L_HZ + 1]
            )
            forces, on_frame = truck.plant.mass[:, None] * pose.gravity, np.arange(at.N_BODY) != at.AXLE
            but_axle = truck.plant.mass * on_frame
            apart = oracle_lines.distances(
                found, ends, pose.rot, oracle_lines.resultant(forces, points),
                oracle_lines.resultant(forces[on_frame], points[on_frame]), but_axle @ points / but_axle.sum(),
            )  # fmt: skip
            assert set(apart) == set(pose.distances) == set(pose.ends)
            further += pose.distances["left"] > pose.distances.get("swing.left", 1.0) + 0.01
            for line, value in apart.items():
                assert pose.distances[line] == pytest.approx(float(value), abs=1e-9), (name, slope, line)
                assert np.allclose(pose.ends[line], ends[line], atol=1e-9)
    assert further >= 4
