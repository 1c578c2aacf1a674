"""Hung load through the whole engine: period, swing under braking and what is left after a stop.

The demo truck is parked or braked with a small, light load on a long rope, so that it hardly moves itself.
"""

from __future__ import annotations

from collections.abc import Callable
from math import degrees, radians
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import numpy as np

from tipline.oracles.pendulum import pendulum_period, residual_swing, sudden_swing
from tipline.selftest.check import Check

if TYPE_CHECKING:
    from tipline.results import Run

__all__ = ["CHECKS"]

STRETCH = 0.003
BOX = 0.04
_TEXT = """
title = "Pendulum"
machine = "demo-truck-a"
floor = "demo-hall-a"
[setup]
attachment = "jib"
jib_reach = "1.0 m"
hook_height = "{height} m"
speed = "{speed} m/s"
[load]
mass = "1.3 kg"
size = ["{box} m", "{box} m", "{box} m"]
height_of_centre = "{half} m"
hung_by = "{rope:.6f} m"
[run]
duration = "{duration} s"
[[event]]
"""


def _run(length: float, event: str, duration: float, speed: float = 0.0) -> Run:
    """Simulate a load whose centre hangs `length` [m] below the hook once the rope is stretched."""
    from tipline import scenario
    from tipline.engines import simulate

    text = _TEXT.format(
        height=f"{length + 0.6:.3f}", speed=speed, box=BOX, half=BOX / 2, rope=(length - BOX / 2) / (1.0 + STRETCH),
        duration=duration,
    )  # fmt: skip
    changes = {"machine.mast.roller_play": "0 deg", "machine.drive.rise_time": "0.01 s"}
    with TemporaryDirectory() as folder:
        file = Path(folder) / "pendulum.toml"
        file.write_text(text + event, encoding="utf-8")
        return simulate(scenario.read(file, changes))


def period(angle: float) -> float:
    """Period [s] of a 2 m pendulum let go at an angle [rad], over two swings to and fro."""
    event = f'kind = "swing"\nangle = "{degrees(angle):.6f} deg"\ntowards = "0 deg"\n'
    run = _run(2.0, event, 6.5)
    way = run.poses[:, 5, 0]
    way = way - 0.5 * (way.max() + way.min())
    down = np.flatnonzero((way[:-1] > 0.0) & (way[1:] <= 0.0))
    cross = run.time[down] + way[down] / (way[down] - way[down + 1]) * (run.time[1] - run.time[0])
    return float((cross[2] - cross[0]) / 2.0)


def braked(length: float, rate: float, speed: float) -> tuple[float, float, float, float]:
    """Brake to standstill; return deceleration [m/s2], its time [s], largest swing under it and after it [rad]."""
    begin = 0.2
    run = _run(
        length, f'kind = "service_stop"\nat = "{begin} s"\ndeceleration = "{rate} m/s2"\n', 4.0 + speed / rate, speed
    )
    pace = run.channels["speed"].values
    first, stood = run.at(begin), int(np.argmax(pace < 0.02 * speed))
    steady = slice(first + 50, stood - 50)
    deceleration = -float(np.polyfit(run.time[steady], pace[steady], 1)[0])
    way = run.poses[:, 5, 0] - run.poses[:, 3, 0]
    swing = np.arcsin((way - way[0]) / length)
    return (
        deceleration,
        speed / deceleration,
        float(swing[first:stood].max()),
        float(np.abs(swing[stood + 500 :]).max()),
    )


def braking_ratio() -> float:
    """Largest swing of a 1 m pendulum under about 2 m/s2 over that of the formula for the deceleration reached."""
    deceleration, _, under, _ = braked(1.0, 2.0, 2.4)
    return under / sudden_swing(deceleration)


def residual_ratio() -> float:
    """Swing left of a 2 m pendulum after a stop from about 0.5 m/s2 for half a period, over the formula's."""
    deceleration, lasted, _, after = braked(2.0, 0.5, 0.25 * pendulum_period(2.0))
    return after / residual_swing(deceleration, lasted, 2.0)


def _through_engine(name: str, what: str, printed: str, call: Callable[[], float], tolerance: float, why: str) -> Check:
    return Check(name, what, printed, "Own", "through the whole engine", "derived here", call, tolerance, why)


CHECKS = (
    _through_engine(
        "engine-period-small", "Period of a load hung by 2 m, small swing, simulated", "2.83749 s",
        lambda: period(radians(1.0)), 0.001, "the load is no point and the rope stretches",
    ),
    _through_engine(
        "engine-period-large", "Same, swing of 23 degrees", "2.86633 s",
        lambda: period(radians(23.0)), 0.002, "the load is no point and the rope stretches",
    ),
    _through_engine(
        "engine-sudden-swing", "Swing under a stop at 2 m/s2 over 2 atan(a/g), simulated", "1.000",
        braking_ratio, 0.005, "the truck pitches on its tyres",
    ),
    _through_engine(
        "engine-residual-swing", "Swing left by a stop of half a period over the formula, simulated", "1.000",
        residual_ratio, 0.015, "the truck pitches on its tyres, and the formula is for small swings",
    ),
)  # fmt: skip
