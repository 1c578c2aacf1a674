"""What a scenario has that its run never met: a ramp, parts of the floor, soft ground, events that came too late."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, sin

import numpy as np
from numpy.typing import NDArray

from tipline.model.floor import Floor
from tipline.results import Run
from tipline.scenario.commanded import Inputs, drives
from tipline.scenario.spec import Ramp, Scenario, SoftPlace, Threshold
from tipline.scenario.unmet import NEAR, as_told, met_at, not_met
from tipline.units import show

__all__ = ["SUNK", "never_met"]

Array = NDArray[np.float64]
LOOKS = 400
"""At so many moments, evenly over the run, it is looked where the tyres are."""
SUNK = 1e-3
"""Ground that sank less [m] did not yield (our choice: what a tyre's own give hides)."""


def never_met(run: Run, inputs: Inputs, floor: Floor, no_return: float | None) -> tuple[str, ...]:
    """Return in whole sentences what the scenario has that the run never met."""
    scenario, contacts = inputs.scenario, {name: _contacts(run, name) for name in run.tyres}
    return (
        *(() if drives(scenario) else as_told(inputs, floor)),
        *_short_of(scenario, contacts),
        *_parts(run, inputs, floor, contacts),
        *_soft(run, scenario),
        *_too_late(scenario, no_return),
    )


def _contacts(run: Run, tyre: str) -> Array:
    """Return where a tyre is on the floor over the run (n, 2) [m]."""
    return np.column_stack([run.series(f"tyre_contact_{axis}.{tyre}") for axis in "xy"])


def _short_of(scenario: Scenario, contacts: dict[str, Array]) -> Iterator[str]:
    setup = scenario.setup
    if not drives(scenario):
        return
    for event in scenario.event:
        if not isinstance(event, Ramp | Threshold):
            continue
        azimuth = setup.heading + event.towards
        way = np.array([cos(azimuth), sin(azimuth)])
        left = event.begins - max(float(((at - setup.position) @ way).max()) for at in contacts.values())
        if left > NEAR:
            gap = show(left, "length")
            yield f"The {event.kind} was never reached: the nearest tyre came to {gap} from its edge."


def _parts(run: Run, inputs: Inputs, floor: Floor, contacts: dict[str, Array]) -> Iterator[str]:
    """Say so where a truck that drives comes onto no part of a floor that has some, or onto none of its openings."""
    if not drives(inputs.scenario) or not (floor.zone or floor.spreader):
        return
    looks = np.unique(np.linspace(0, len(run.time) - 1, LOOKS).astype(np.intp))
    tyres = (*inputs.machine.drive_axle.tyre, *inputs.machine.steer_axle.tyre)
    on = {
        name: [(x, y) for x, y in at[looks][run.series(f"tyre_load.{name}")[looks] > 0.0].tolist()]
        for name, at in contacts.items()
    }
    met = met_at(on, {tyre.name: tyre.width / 2 for tyre in tyres})
    yield from not_met(floor, met, "In the run", inputs.scenario.setup.position, driving=True)


def _soft(run: Run, scenario: Scenario) -> Iterator[str]:
    """Say which soft place never yielded: the tyre did not press it that hard."""
    for event in scenario.event:
        if not isinstance(event, SoftPlace):
            continue
        places = [
            place for place in run.meta.get("places", ()) if place["tyre"] in event.under and place["law"] == "yielding"
        ]
        own = [place for place in places if not place.get("zone") and abs(place["at"] - event.at) < 1e-6]
        if own and all(float(run.series(f"place_depth.{place['index']}").max()) < SUNK for place in own):
            under, hard = " and ".join(event.under), show(event.bearing_pressure, "pressure")
            yield f"The soft place under {under} never yielded: the tyre presses it less than its {hard}."


def _too_late(scenario: Scenario, no_return: float | None) -> Iterator[str]:
    for index, event in enumerate(scenario.event):
        begins = getattr(event, "at", 0.0)
        if no_return is not None and begins > no_return:
            kind = event.kind.replace("_", " ")
            yield (
                f"event.{index}, {kind} at {show(begins, 'time')}, had no part in it: from "
                f"{show(no_return, 'time')} on the truck was past saving."
            )
