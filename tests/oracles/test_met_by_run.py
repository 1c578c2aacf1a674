"""Pendulum and rocking block, met by loads and blocks that the engine of `run` steps."""

from __future__ import annotations

from math import radians

import pytest

from tipline.oracles.pendulum import (
    pendulum_period,
    pendulum_period_series,
    residual_swing,
    static_swing,
    sudden_swing,
)
from tipline.oracles.rocking import block_of, impact_ratio, push_duration, rocking_period
from tipline.selftest import pendulum_engine, rocking_engine

BLOCK = block_of(rocking_engine.HALF_WIDTH, rocking_engine.HALF_HEIGHT)


@pytest.mark.parametrize("angle", [1.0, 23.0])
def test_a_hung_load_swings_with_the_period_of_a_pendulum(angle: float) -> None:
    """2 m below the hook, within 0.1 %: the arithmetic mean's period and the series of it."""
    period = pendulum_engine.period(radians(angle))
    assert period == pytest.approx(pendulum_period(2.0, radians(angle)), rel=1e-3)
    assert period == pytest.approx(pendulum_period_series(2.0, radians(angle)), rel=1e-3)


@pytest.mark.slow
def test_a_stop_swings_it_twice_as_far_as_a_steady_pull_and_leaves_what_the_formula_says() -> None:
    """Under about 2 m/s2 within 1 %, after about 0.5 m/s2 for half a period within 2 %."""
    deceleration, _, under, _ = pendulum_engine.braked(1.0, 2.0, 2.4)
    assert under == pytest.approx(sudden_swing(deceleration), rel=0.01)
    assert under == pytest.approx(2.0 * static_swing(deceleration), rel=0.01)
    deceleration, lasted, _, after = pendulum_engine.braked(2.0, 0.5, 0.25 * pendulum_period(2.0))
    assert after == pytest.approx(residual_swing(deceleration, lasted, 2.0), rel=0.02)


@pytest.mark.slow
def test_a_block_rocks_lands_and_turns_over_as_the_inverted_pendulum() -> None:
    """1 m by 4 m: period within 1 %, energy kept at an impact within 0.02, the push that turns it over within 4 %."""
    period = 4.0 * rocking_engine.quarter_period()
    assert period == pytest.approx(rocking_period(BLOCK, 0.5 * BLOCK.slenderness), rel=0.01)
    assert rocking_engine.energy_kept() == pytest.approx(impact_ratio(BLOCK), abs=0.02)
    assert rocking_engine.shortest_push(1.5) == pytest.approx(push_duration(BLOCK, 1.5), rel=0.04)
