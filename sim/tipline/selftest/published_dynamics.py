"""Published numbers: pendulum, hung object, overshoot, stopping distance."""

from __future__ import annotations

import math
from functools import partial

from tipline.mechanics.resistance import stopping_distance, wind_force, wind_pressure
from tipline.oracles.pendulum import pendulum_period, pendulum_period_series, static_swing
from tipline.selftest.check import Check
from tipline.units import FOOT as FT
from tipline.units import MILE_PER_HOUR as MPH

__all__ = ["CHECKS"]

_ROUNDED = "the printed digits go beyond the precision of a computer's numbers"
_TABLE = {
    10: "2.00989262729860052 s",
    20: "2.02145125782457619 s",
    30: "2.04098988951913023 s",
    40: "2.06893785189358914 s",
    50: "2.10593461928364287 s",
    60: "2.15287466688051548 s",
    70: "2.21097618054218626 s",
    80: "2.28188592401963935 s",
}


def _longer(amplitude: float) -> float:
    """Share of the long period by which it exceeds the small-angle one."""
    return 1.0 - pendulum_period(1.0, 0.0, 9.81) / pendulum_period(1.0, amplitude, 9.81)


CHECKS = (
    *(
        Check(
            f"pendulum-{degrees}",
            f"Period of a 1 m pendulum let go at {degrees} degrees",
            printed,
            "PendulumTable",
            "table",
            "seen in the source",
            partial(pendulum_period, 1.0, math.radians(degrees), 9.81),
            1e-13,
            _ROUNDED,
        )
        for degrees, printed in _TABLE.items()
    ),
    Check(
        "pendulum-one-per-cent",
        "Small-angle period too short at 0.40016 rad",
        "1 %",
        "PendulumTable",
        "table",
        "seen in the source",
        lambda: _longer(0.40016431970246170),
        1e-9,
    ),
    Check(
        "pendulum-ten-per-cent",
        "Small-angle period too short at 1.26933 rad",
        "10 %",
        "PendulumTable",
        "table",
        "seen in the source",
        lambda: _longer(1.26932970981731682),
        1e-9,
    ),
    Check(
        "pendulum-series",
        "Three-term period at 22 degrees, over the small-angle one",
        "0 to 1 %",
        "HyperPhysicsPendulum",
        "'less than one percent below 22 degrees'",
        "seen in the source",
        lambda: pendulum_period_series(1.0, math.radians(22.0)) / pendulum_period(1.0) - 1.0,
        0.0,
    ),
    Check(
        "hung-object",
        "Angle of a string in a car that reaches 25 m/s in 5.7 s",
        "24.1 deg",
        "HungObjectProblem",
        "",
        "seen in the source",
        lambda: static_swing(25.0 / 5.7, 9.8),
    ),
    Check(
        "van-stops",
        "Distance to a stop from 30 ft/s at 22.5 ft/s2",
        "20 ft",
        "BeerJohnstonDynamics",
        "sample problem 16.1",
        "seen in the source",
        lambda: stopping_distance(30 * FT, 22.5 * FT),
        1e-9,
    ),
    *(
        Check(
            f"road-braking-{mph}",
            f"Braking distance from {mph} mph at 11.2 ft/s2",
            printed,
            "AASHTO2004",
            "exhibit 3-1",
            "seen in the source",
            partial(stopping_distance, mph * MPH, 11.2 * FT),
            tolerance,
            why,
        )
        for mph, printed, tolerance, why in (
            (15, "21.6 ft", None, ""),
            (30, "86.4 ft", None, ""),
            (60, "345.5 ft", 0.3, "the source's own factor 1.075 is rounded from 1.0756"),
        )
    ),
    *(
        Check(
            f"wind-{speed}",
            f"Wind pressure at {speed} m/s",
            printed,
            "ToolBoxWind",
            "table, air of 1.2 kg/m3",
            "seen in the source",
            partial(wind_pressure, float(speed), 1.2),
        )
        for speed, printed in ((12, "86 Pa"), (20, "240 Pa"), (35, "735 Pa"))
    ),
    Check(
        "wind-wall",
        "Wind of 35 m/s on a 10 m2 wall",
        "7.35 kN",
        "ToolBoxWind",
        "example",
        "seen in the source",
        lambda: wind_force(35.0, 10.0, density=1.2),
    ),
)
