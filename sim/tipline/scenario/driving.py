"""How a scenario drives: its speed over time, as its events command it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipline.model.machine import Machine
from tipline.scenario.commanded import Inputs
from tipline.scenario.profiles import speed_change
from tipline.scenario.spec import DriveEvent, PedalLift, Scenario, ServiceStop
from tipline.units import KM_PER_HOUR

__all__ = ["WALKING", "SpeedChange", "driven", "travelled"]

Array = NDArray[np.float64]
WALKING = 5.0 * KM_PER_HOUR
"""Speed [m/s] of a truck of which nobody says how fast it goes: a walk (our choice)."""
STEP = 0.01
"""Time step in which the way is summed up [s]."""


@dataclass(frozen=True)
class SpeedChange:
    """What one event does: the speed before it [m/s], its rate [m/s2] and rise [s], acceleration and speed from it on.

    ``after``: the times from the event on; before it ``wish`` and ``speed`` mean nothing.
    """

    event: DriveEvent | ServiceStop | PedalLift
    before: float
    rate: float
    rise: float
    after: NDArray[np.bool_]
    wish: Array
    speed: Array


def driven(machine: Machine, scenario: Scenario, time: Array) -> Iterator[SpeedChange]:
    """Yield what the events that drive or stop the truck command, in the order of their times."""
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


def travelled(inputs: Inputs, until: float | None = None) -> tuple[float, float]:
    """Return how far behind its place and how far ahead of it the truck drives in the time of the run, or till then."""
    time = np.arange(0.0, (inputs.scenario.run.duration if until is None else until) + STEP, STEP)
    speed = np.full(len(time), inputs.scenario.setup.speed)
    for change in driven(inputs.machine, inputs.scenario, time):
        speed = np.where(change.after, change.speed, speed)
    way = np.concatenate(([0.0], np.cumsum(0.5 * (speed[1:] + speed[:-1])) * STEP))
    return float(way.min()), float(way.max())
