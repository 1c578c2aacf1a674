"""Hung load, rocking block, brakes and wind against integration of the equations of motion; refusals."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tipline.mechanics.resistance import stopping_distance, turn_pull, turn_speed, wind_force, wind_pressure
from tipline.oracles.pendulum import (
    pendulum_period,
    pendulum_period_series,
    residual_swing,
    static_swing,
    sudden_swing,
)
from tipline.oracles.rocking import (
    block_of,
    impact_ratio,
    push_duration,
    rocking_period,
)
from tipline.selftest import recorded

G = 9.80665
BLOCK = block_of(0.5, 2.0)


def _swing(deceleration, length, end):
    """Angle of a pendulum whose hook is slowed, at 2000 times up to the end."""
    return solve_ivp(
        lambda _, y: (y[1], -(G * math.sin(y[0]) - deceleration * math.cos(y[0])) / length),
        (0.0, end),
        (0.0, 0.0),
        rtol=1e-10,
        atol=1e-12,
        max_step=end / 2000,
    )


@settings(max_examples=40, deadline=None)
@given(amplitude=st.floats(0.0, 1.04), length=st.floats(0.2, 12.0))
def test_exact_and_series_periods_agree_to_a_thousandth(amplitude, length):
    exact = pendulum_period(length, amplitude)
    assert pendulum_period_series(length, amplitude) == pytest.approx(exact, rel=1e-3)
    assert exact >= pendulum_period(length)


@pytest.mark.parametrize("strength", [1.2, 1.5, 3.0])
def test_a_push_a_little_longer_turns_the_block_over_and_a_little_shorter_does_not(strength):
    duration = push_duration(BLOCK, strength)
    assert _goes_over(lambda t: strength if t < 1.01 * duration else 0.0, 1.01 * duration)
    assert not _goes_over(lambda t: strength if t < 0.99 * duration else 0.0, 0.99 * duration)


def _goes_over(push, end):
    """Integrate the linear rocking equation from rest; the pulse ends at `end`."""
    p2, alpha = BLOCK.frequency**2, BLOCK.slenderness
    angle, rate, t, step = 0.0, 0.0, 0.0, 2e-4

    def turn(a, time):
        return p2 * (a - alpha) + p2 * alpha * push(time)

    while angle < 1.5 * alpha and t < end + 20.0 / BLOCK.frequency:
        middle_rate = rate + 0.5 * step * turn(angle, t)
        middle = angle + 0.5 * step * rate
        rate += step * turn(middle, t + 0.5 * step)
        angle += step * middle_rate
        if angle < 0.0:
            angle, rate = 0.0, 0.0
            if t > end:
                return False
        t += step
    return angle >= 1.5 * alpha


def test_the_rocking_period_is_that_of_the_integrated_block():
    start = 0.5 * BLOCK.slenderness
    p2, alpha = BLOCK.frequency**2, BLOCK.slenderness
    hit = lambda _, y: y[0]  # noqa: E731
    hit.terminal = True
    run = solve_ivp(lambda _, y: (y[1], p2 * (y[0] - alpha)), (0, 10), (start, 0.0), events=hit, rtol=1e-10, atol=1e-12)
    ours, integrated = rocking_period(BLOCK, start), 4.0 * run.t_events[0][0]
    assert ours == pytest.approx(integrated, rel=1e-7)
    assert recorded("rocking-period").pair == pytest.approx((ours, integrated))


def test_a_slender_block_keeps_more_energy_than_a_low_one():
    assert impact_ratio(block_of(0.1, 2.0)) > impact_ratio(block_of(0.5, 2.0)) > 0.0


@settings(max_examples=40, deadline=None)
@given(speed=st.floats(1.0, 6.0), deceleration=st.floats(0.5, 4.0), rise=st.floats(0.0, 0.4))
def test_the_stopping_distance_is_the_integral_of_the_speed(speed, deceleration, rise):
    if 0.5 * deceleration * rise > speed:
        return
    during = speed * rise - deceleration * rise**2 / 6.0
    after = speed - 0.5 * deceleration * rise
    assert stopping_distance(speed, deceleration, rise) == pytest.approx(during + after**2 / (2 * deceleration))


def test_a_turn_at_18_km_h_on_10_m_pulls_with_a_quarter_of_gravity():
    assert turn_pull(5.0, 10.0) == 2.5
    assert turn_speed(10.0, 2.5) == 5.0


def test_wind_force_is_pressure_times_area_and_grows_with_the_square_of_the_speed():
    assert wind_force(10.0, 4.0, 1.3) == pytest.approx(4.0 * 1.3 * wind_pressure(10.0))
    assert wind_pressure(20.0) == pytest.approx(4.0 * wind_pressure(10.0))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: pendulum_period(0.0), "length"),
        (lambda: pendulum_period(2.0, 1.6), "slack"),
        (lambda: pendulum_period_series(2.0, 1.2), "use pendulum_period"),
        (lambda: sudden_swing(9.9), "hook"),
        (lambda: residual_swing(4.0, 1.0, 2.0), "small swings"),
        (lambda: block_of(0.0, 1.0), "half width"),
        (lambda: rocking_period(BLOCK, BLOCK.slenderness), "goes over"),
        (lambda: impact_ratio(block_of(2.0, 1.0)), "slenderness"),
        (lambda: push_duration(BLOCK, 1.0), "lift the block"),
        (lambda: turn_pull(1.0, 0.0), "radius"),
        (lambda: turn_speed(3.0, math.nan), "pull"),
        (lambda: stopping_distance(1.0, 4.0, 1.0), "before the brake has risen"),
        (lambda: wind_pressure(-1.0), "speed"),
        (lambda: wind_force(1.0, -1.0), "area"),
    ],
)
def test_out_of_range_is_refused_in_plain_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()


@pytest.mark.parametrize("deceleration", [0.5, 2.0, 5.0])
def test_the_largest_swing_is_that_of_the_integrated_pendulum(deceleration):
    run = _swing(deceleration, 2.0, 4.0)
    angle = run.y[0]
    assert angle.max() == pytest.approx(sudden_swing(deceleration), rel=1e-5)
    pair = math.degrees(sudden_swing(deceleration)), math.degrees(angle.max())
    assert recorded(f"swing-{deceleration}").pair == pytest.approx(pair)


def test_a_stop_of_one_period_leaves_no_swing_and_half_a_period_the_largest():
    period = pendulum_period(2.0)
    assert residual_swing(0.5, period, 2.0) == pytest.approx(0.0, abs=1e-12)
    assert residual_swing(0.5, period / 2, 2.0) == pytest.approx(2.0 * static_swing(0.5))
