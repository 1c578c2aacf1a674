"""Stops push, chains and ropes pull, and soil sinks alike for any time step."""

from __future__ import annotations

from math import isclose

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tipline.kernels.joints import axle_torque, dead_zone, play_spring, pull_only, push_only, soil_depth
from tipline.selftest import recorded

STOP, K, C = 0.07, 1.0e8, 2.0e5


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_axle_stop_acts_from_one_side_only(side: float) -> None:
    assert axle_torque(side * 0.9 * STOP, side * 3.0, STOP, K, C, 0.0) == (0.0, 0.0)
    torque, energy = axle_torque(side * (STOP + 0.001), 0.0, STOP, K, C, 0.0)
    assert torque == pytest.approx(-side * K * 0.001)
    assert energy == pytest.approx(0.5 * K * 0.001**2)
    leaving, _ = axle_torque(side * (STOP + 0.001), -side * 5.0, STOP, K, C, 0.0)
    assert leaving == 0.0
    going_in, _ = axle_torque(side * (STOP + 0.001), side * 0.1, STOP, K, C, 0.0)
    assert going_in * side < torque * side


@pytest.mark.parametrize("angle", [0.01, -0.02])
def test_frame_torsion_of_a_fixed_axle_acts_both_ways(angle: float) -> None:
    torque, energy = axle_torque(angle, 0.0, 0.0, K, C, 1.0)
    assert torque == pytest.approx(-K * angle)
    assert energy == pytest.approx(0.5 * K * angle**2)
    assert axle_torque(0.0, 1.0, 0.0, K, C, 1.0)[0] == pytest.approx(-C)


@pytest.mark.parametrize("rate", [-100.0, -1.0, 0.0, 1.0, 100.0])
@pytest.mark.parametrize("stretch", [-0.1, -1e-9, 0.0, 1e-6, 0.01])
def test_chain_and_rope_never_push(stretch: float, rate: float) -> None:
    tension, energy = pull_only(stretch, rate, 1e7, 1e5)
    assert tension >= 0.0
    assert energy >= 0.0
    if stretch <= 0.0:
        assert tension == energy == 0.0


def test_taut_chain_pulls_by_stretch_and_rate() -> None:
    assert pull_only(0.01, 0.2, 1e7, 1e5) == pytest.approx((1.2e5, 500.0))


@pytest.mark.parametrize("rate", [-100.0, -1.0, 0.0, 1.0])
@pytest.mark.parametrize("depth", [-0.1, 0.0, 1e-6, 0.01])
def test_floor_never_holds_a_body_down(depth: float, rate: float) -> None:
    force, energy = push_only(depth, rate, 1e7, 0.8)
    assert force >= 0.0
    assert energy >= 0.0
    assert depth > 0.0 or force == 0.0


def test_play_is_free_and_the_spring_begins_where_it_ends() -> None:
    assert dead_zone(0.003, 0.004) == 0.0
    assert dead_zone(-0.006, 0.004) == pytest.approx(-0.002)
    assert play_spring(0.0035, 0.0, 0.004, 1e7, 1e4) == (-0.0, 0.0)
    torque, energy = play_spring(0.006, 0.0, 0.004, 1e7, 1e4)
    assert torque == pytest.approx(-2e4)
    assert energy == pytest.approx(20.0)


AREA, YIELD, HARDENING, SPEED, BOTTOM = 0.05, 4e5, 5e6, 5e-3, 0.3
LOAD = 9e4


def sunk(dt: float, seconds: float, load: float = LOAD, stiff: float = 0.0) -> float:
    depth = 0.0
    for _ in range(round(seconds / dt)):
        depth = soil_depth(depth, load, AREA, stiff, YIELD, HARDENING, SPEED, BOTTOM, dt)
    return depth


def test_soil_follows_its_over_stress_law() -> None:
    """Against a stiff integrator on d' = v (p / (y + H d) - 1)."""

    def rate(_: float, d: np.ndarray) -> np.ndarray:
        return SPEED * np.maximum(LOAD / AREA / (YIELD + HARDENING * d) - 1.0, 0.0)

    for seconds in (0.5, 5.0, 20.0):
        exact = solve_ivp(rate, (0.0, seconds), [0.0], method="LSODA", rtol=1e-10, atol=1e-13).y[0, -1]
        ours = sunk(1e-3, seconds)
        assert ours == pytest.approx(exact, rel=2e-4)
        assert recorded(f"soil-depth-{seconds}").pair == pytest.approx((1e3 * ours, 1e3 * exact), rel=1e-5)


def test_soil_is_insensitive_to_the_time_step_from_a_tenth_to_four_milliseconds() -> None:
    depths = [sunk(dt, 2.0) for dt in (1e-4, 5e-4, 1e-3, 2e-3, 4e-3)]
    assert max(depths) - min(depths) < 1e-3 * max(depths)
    stiff = [sunk(dt, 2.0, stiff=8e6) for dt in (1e-4, 1e-3, 4e-3)]
    assert max(stiff) - min(stiff) < 0.02 * max(stiff)


def test_soil_sinks_more_under_more_load_and_never_rises() -> None:
    depths = [sunk(1e-3, 3.0, load) for load in (1e4, 1.9e4, 2.1e4, 5e4, 9e4, 2e5)]
    assert depths[0] == depths[1] == 0.0
    assert all(np.diff(depths[1:]) > 0.0)
    assert soil_depth(0.1, 0.0, AREA, 0.0, YIELD, HARDENING, SPEED, BOTTOM, 1e-3) == 0.1
    assert soil_depth(0.1, 1e3, AREA, 0.0, YIELD, HARDENING, SPEED, BOTTOM, 1e-3) == 0.1


def test_soil_comes_to_rest_where_yield_meets_pressure_and_stops_at_its_bottom() -> None:
    rest = (LOAD / AREA - YIELD) / HARDENING
    assert sunk(0.02, 1000.0) == pytest.approx(rest, rel=1e-5)
    assert isclose(sunk(4e-3, 100.0, 1e6), BOTTOM)
