"""Derived numbers: hung load, rocking block, overshoot, beams, brakes, wind."""

from __future__ import annotations

import math

from tipline.mechanics.resistance import stopping_distance, wind_force, wind_pressure
from tipline.oracles.pendulum import (
    pendulum_period,
    pendulum_period_series,
    residual_swing,
    sudden_swing,
)
from tipline.oracles.rocking import (
    RockingBlock,
    block_of,
    impact_ratio,
    push_duration,
    rocking_period,
)
from tipline.selftest.check import derived
from tipline.units import KM_PER_HOUR
from tipline.units import STANDARD_GRAVITY as G

__all__ = ["CHECKS"]


def _block() -> RockingBlock:
    return block_of(0.5, 2.0)


CHECKS = (
    derived("sudden-swing", "Largest swing under a sudden 2 m/s2", "23.0540 deg", lambda: sudden_swing(2.0)),
    derived("period-small", "Period of a 2 m pendulum, small swing", "2.83749 s", lambda: pendulum_period(2.0)),
    derived(
        "period-large",
        "Same, swing of 23 degrees, three terms",
        "2.86633 s",
        lambda: pendulum_period_series(2.0, math.radians(23.0)),
    ),
    derived(
        "residual-swing",
        "Swing left by 0.5 m/s2 for half a period",
        "5.83749 deg",
        lambda: residual_swing(0.5, 0.5 * pendulum_period(2.0), 2.0),
    ),
    derived(
        "housner-period",
        "Rocking period of a 1 m by 4 m block at half its limit",
        "2.78893 s",
        lambda: rocking_period(_block(), 0.5 * _block().slenderness),
        "Housner1963",
        "formula from memory, derived again",
    ),
    derived(
        "housner-impact",
        "Kinetic energy that block keeps at an impact",
        "0.831315",
        lambda: impact_ratio(_block()),
        "Housner1963",
        "formula from memory, derived again",
    ),
    derived(
        "housner-push",
        "Shortest push of strength 1.5 that turns it over",
        "0.581635 s",
        lambda: push_duration(_block(), 1.5),
        "Housner1963",
        "formula from memory, derived again",
    ),
    derived(
        "brake-distance",
        "Stopping distance from 10 km/h at 0.186 g",
        "2.11510 m",
        lambda: stopping_distance(10.0 * KM_PER_HOUR, 0.186 * G),
    ),
    derived(
        "brake-ramp",
        "Same with the brake rising in 0.3 s",
        "2.52493 m",
        lambda: stopping_distance(10.0 * KM_PER_HOUR, 0.186 * G, 0.3),
    ),
    derived("wind-12-pressure", "Wind pressure at 12 m/s, air of 1.25 kg/m3", "90.0 Pa", lambda: wind_pressure(12.0)),
    derived("wind-12-force", "Force of it on 9 m2, shape factor 1.2", "972.0 N", lambda: wind_force(12.0, 9.0, 1.2)),
)
