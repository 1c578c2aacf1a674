"""Where the truck stands on its way as a scenario tells it to drive, straight on or through turns."""

from __future__ import annotations

from math import hypot
from typing import TYPE_CHECKING

import numpy as np

from tipline.floors.places.loads import Turning
from tipline.floors.places.route import Standing, line
from tipline.model.machine import Machine
from tipline.scenario.driving import poses
from tipline.scenario.spec import Scenario, Turn

if TYPE_CHECKING:
    from tipline.scenario.commanded import Inputs

__all__ = ["driven_places", "hardest_turn"]


def hardest_turn(scenario: Scenario, machine: Machine) -> Turning | None:
    """Return the tightest turn that a scenario tells, at the truck's greatest speed in the scenario; None: straight."""
    radii = [event.radius for event in scenario.event if isinstance(event, Turn) and event.curve and event.radius]
    if not radii:
        return None
    speeds = [
        scenario.setup.speed,
        *(getattr(event, "speed", 0.0) for event in scenario.event if event.kind == "drive"),
    ]
    return Turning(min(max(abs(speed) for speed in speeds), machine.drive.top_speed), min(radii))


def driven_places(inputs: Inputs, way: tuple[float, float], step: float) -> tuple[Standing, ...]:
    """Return the truck's places: where it stands first, then from so far behind it to so far ahead of it [m].

    In turns only as far as it comes in the time of the run.
    """
    (scenario, machine), setup = inputs, inputs.scenario.setup
    turn = hardest_turn(scenario, machine)
    if turn is None:
        return line(setup.position, setup.heading, way, step)
    x, y, heading = poses(machine, scenario, scenario.run.duration).T
    places, gone = [Standing(setup.position, setup.heading)], 0.0
    for k in range(1, len(x)):
        gone += hypot(x[k] - x[k - 1], y[k] - y[k - 1])
        bend = float(heading[k] - heading[k - 1])
        last = places[-1].at
        if gone > max(way[1], -way[0]):
            break
        if hypot(x[k] - last[0], y[k] - last[1]) >= step or k == len(x) - 1:
            ahead = (x[k] - x[k - 1]) * np.cos(heading[k]) + (y[k] - y[k - 1]) * np.sin(heading[k])
            side = float(np.sign(bend * ahead)) if abs(bend) > 0.0 else 0.0
            places.append(Standing((float(x[k]), float(y[k])), float(heading[k]), side))
    return tuple(places)
