"""How a scenario drives: its speed over time, as its events command it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipline.model.machine import Machine
from tipline.scenario.commanded import Inputs
from tipline.scenario.profiles import ramp, speed_change
from tipline.scenario.spec import DriveEvent, PedalLift, Scenario, ServiceStop, Turn
from tipline.units import KM_PER_HOUR

__all__ = ["WALKING", "SpeedChange", "curvature", "driven", "poses", "stands_from", "travelled"]

Array = NDArray[np.float64]
WALKING = 5.0 * KM_PER_HOUR
"""Speed [m/s] of a truck of which nobody says how fast it goes: a walk (our choice)."""
STEP = 0.01
"""Time step in which the way is summed up [s]."""


@dataclass(frozen=True)
class SpeedChange:
    """What one event does: the speed before it [m/s], its rate [m/s2] and rise [s], acceleration and speed from it on.

    ``after`` (n,), flags: the times from the event on; before it ``wish`` [m/s2] and ``speed`` [m/s] (n,) mean nothing.
    """

    event: DriveEvent | ServiceStop | PedalLift
    before: float
    rate: float
    rise: float
    after: NDArray[np.bool_]
    wish: Array
    speed: Array


def driven(machine: Machine, scenario: Scenario, time: Array) -> Iterator[SpeedChange]:
    """Yield what the events that drive or stop the truck command at times (n,) [s], in the order of the events."""
    drive, speed = machine.drive, np.full(len(time), scenario.setup.speed)
    events = [e for e in scenario.event if isinstance(e, DriveEvent | ServiceStop | PedalLift)]
    for event in sorted(events, key=lambda e: e.at):
        before = float(speed[min(int(np.searchsorted(time, event.at)), len(time) - 1)])
        after = time >= event.at - 1e-9
        goal = 0.0
        if isinstance(event, DriveEvent):
            goal, rate, rise = event.speed, event.acceleration or drive.acceleration, drive.rise_time
        elif isinstance(event, ServiceStop):
            rate, rise = event.deceleration or drive.service_deceleration, drive.rise_time
        else:
            rate, rise = event.deceleration or drive.pedal_lift_deceleration, drive.pedal_lift_rise_time
        wish, way = speed_change(time, event.at, before, goal, rate, rise)
        speed = np.where(after, way, speed)
        yield SpeedChange(event, before, rate, rise, after, wish, way)


def curvature(scenario: Scenario, time: Array) -> Array:
    """Return the curvature (n,) [1/m] of the way of the drive axle's middle at times, to the left positive."""
    curve = np.zeros(len(time))
    before = 0.0
    for event in sorted((e for e in scenario.event if isinstance(e, Turn)), key=lambda e: e.at):
        curve += (event.curve - before) * ramp(time, event.at, event.over)
        before = event.curve
    return curve


def travelled(inputs: Inputs, until: float | None = None) -> tuple[float, float]:
    """Return how far behind its place and how far ahead of it the truck drives in the time of the run, or till then."""
    _, way = _driven_way(inputs.machine, inputs.scenario, inputs.scenario.run.duration if until is None else until)
    return float(way.min()), float(way.max())


def stands_from(inputs: Inputs, until: float) -> float | None:
    """Return from when on a truck is told to stand till the end [s]: 0 if never to drive, None if it is to drive then.

    until : the end [s]
    """
    time, speed = _driven_speed(inputs.machine, inputs.scenario, until)
    drives = np.flatnonzero(speed)
    last = int(drives[-1]) if len(drives) else -1
    return float(time[last + 1]) if last + 1 < len(time) else None


def _driven_speed(machine: Machine, scenario: Scenario, until: float) -> tuple[Array, Array]:
    """Return times, a STEP apart, and how fast the truck is told to drive at each, forward positive."""
    time = np.arange(0.0, until + STEP, STEP)
    speed = np.full(len(time), scenario.setup.speed)
    for change in driven(machine, scenario, time):
        speed = np.where(change.after, change.speed, speed)
    return time, speed


def _driven_way(machine: Machine, scenario: Scenario, until: float) -> tuple[Array, Array]:
    """Return times, a STEP apart, and how far the truck has driven at each, forward positive."""
    time, speed = _driven_speed(machine, scenario, until)
    return time, np.concatenate(([0.0], np.cumsum(0.5 * (speed[1:] + speed[:-1])) * STEP))


def poses(machine: Machine, scenario: Scenario, until: float) -> Array:
    """Return where the middle of the drive axle is and how the truck heads (n, 3) [m, m, rad], as told to drive."""
    time, way = _driven_way(machine, scenario, until)
    ahead, curve = np.diff(way), curvature(scenario, time)
    heading = scenario.setup.heading + np.concatenate(([0.0], np.cumsum(0.5 * (curve[1:] + curve[:-1]) * ahead)))
    middle = 0.5 * (heading[1:] + heading[:-1])
    start_x, start_y = scenario.setup.position
    x = start_x + np.concatenate(([0.0], np.cumsum(ahead * np.cos(middle))))
    y = start_y + np.concatenate(([0.0], np.cumsum(ahead * np.sin(middle))))
    return np.column_stack([x, y, heading])
