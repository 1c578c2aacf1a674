"""What a scenario commands over time, by plain kinematics: the speed told to the drive, and when moves end.

The rise of brakes and drives and the soft ends of moves are left out: it is asked whether something has ended at all.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import atan, cos, hypot, sin, tan
from typing import NamedTuple

from tipline.model.floor import Floor
from tipline.model.machine import Machine
from tipline.scenario.spec import (
    Breakthrough,
    CounterweightMove,
    DriveEvent,
    FloorTurns,
    Lower,
    PedalLift,
    Push,
    Raise,
    Scenario,
    ServiceStop,
    TiltMove,
    Wind,
)

__all__ = ["CommandedMove", "Inputs", "drives", "moves", "places", "speeds"]


class Inputs(NamedTuple):
    """A scenario with its machine."""

    scenario: Scenario
    machine: Machine


class CommandedMove(NamedTuple):
    """An event that moves something: its number, when it begins, how long it takes, the speeds before and after."""

    number: int
    at: float
    takes: float
    before: float = 0.0
    after: float = 0.0


def places(inputs: Inputs) -> list[tuple[str, tuple[float, float], float]]:
    """Return where the tyres stand on the floor at the start: name, middle and width."""
    setup, machine = inputs.scenario.setup, inputs.machine
    c, s = cos(setup.heading), sin(setup.heading)
    tyres = []
    for x, axle in ((0.0, machine.drive_axle), (-machine.wheelbase, machine.steer_axle)):
        for tyre in axle.tyre:
            at = setup.position[0] + c * x - s * tyre.across, setup.position[1] + s * x + c * tyre.across
            tyres.append((tyre.name, at, tyre.width))
    return tyres


def drives(scenario: Scenario) -> bool:
    """Whether the truck is told to drive at any time."""
    return scenario.setup.speed != 0.0 or any(
        isinstance(event, DriveEvent) and event.speed != 0.0 for event in scenario.event
    )


def speeds(inputs: Inputs) -> list[CommandedMove]:
    """Return the events that change the speed, in time, with the speed commanded when each begins."""
    scenario, drive = inputs.scenario, inputs.machine.drive
    commanded_moves: list[CommandedMove] = []
    start, speed, goal, rate = 0.0, scenario.setup.speed, scenario.setup.speed, 1.0
    drive_events = [(i, e) for i, e in enumerate(scenario.event) if isinstance(e, DriveEvent | ServiceStop | PedalLift)]
    for index, event in sorted(drive_events, key=lambda pair: pair[1].at):
        gone = min(abs(goal - speed), rate * (event.at - start))
        speed += gone if goal > speed else -gone
        if isinstance(event, DriveEvent):
            goal, rate = event.speed, event.acceleration or drive.acceleration
        else:
            usual = drive.service_deceleration if isinstance(event, ServiceStop) else drive.pedal_lift_deceleration
            goal, rate = 0.0, event.deceleration or usual
        start = event.at
        commanded_moves.append(CommandedMove(index, event.at, abs(goal - speed) / rate, speed, goal))
    return commanded_moves


def moves(inputs: Inputs, floor: Floor | None = None) -> Iterator[CommandedMove]:
    """Yield the events that take their time, with how long.

    Without a floor a floor that turns at a rate turns from the set-up's own slope, level where it has none.
    """
    scenario, machine = inputs.scenario, inputs.machine
    setup = scenario.setup
    tilt, out, height = setup.tilt, setup.counterweight_extension, setup.fork_height or 0.0
    if setup.attachment == "jib":
        height = setup.hook_height or 0.0
    fall = _fall(scenario, floor)
    timed = [(index, event) for index, event in enumerate(scenario.event) if hasattr(event, "at")]
    for index, event in sorted(timed, key=lambda pair: pair[1].at):
        if isinstance(event, Raise | Lower):
            usual = machine.mast.lift_speed if isinstance(event, Raise) else machine.mast.lower_speed
            takes, height = abs(event.to - height) / (event.speed or usual), event.to
        elif isinstance(event, TiltMove):
            takes, tilt = abs(event.to - tilt) / (event.speed or machine.mast.tilt_speed), event.to
        elif isinstance(event, CounterweightMove):
            takes, out = abs(event.to - out) / (event.speed or machine.counterweight.speed), event.to
        elif isinstance(event, FloorTurns):
            goal = tan(event.slope) * cos(event.towards), tan(event.slope) * sin(event.towards)
            way = atan(hypot(goal[0] - fall[0], goal[1] - fall[1]))
            takes, fall = event.over if event.over is not None else way / (event.rate or 1.0), goal
        elif isinstance(event, Breakthrough | Wind | Push):
            takes = event.over
        else:
            continue
        yield CommandedMove(index, event.at, takes)


def _fall(scenario: Scenario, floor: Floor | None) -> tuple[float, float]:
    setup = scenario.setup
    slope, towards = setup.slope or 0.0, setup.slope_towards or 0.0
    if setup.slope is None and floor is not None:
        slope, towards = floor.slope, floor.slope_towards - setup.heading
    return tan(slope) * cos(towards), tan(slope) * sin(towards)
