"""What of a scenario its truck does not come to: a ramp, parts of the floor; by where it is told to drive."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from math import cos, dist, sin

from tipline.model.floor import OPENINGS, Floor
from tipline.model.plane import Outline, inside, rectangle_about, to_outline
from tipline.scenario.commanded import Inputs, drives, places
from tipline.scenario.spec import Ramp, Threshold, Turn
from tipline.units import show

__all__ = ["Missed", "as_told", "met_at", "missed", "not_met", "on_the_way", "short_of"]

Point = tuple[float, float]
Met = Callable[[Outline], bool]
NEAR = 0.05
"""A tyre within this [m] of a ramp's edge touches it: a wheel meets an edge before its middle does."""
STEP = 0.1
"""At so many metres of its way it is looked where a truck is; less than any tyre is wide."""
_EVERY = 4
"""Of so many moments of a way through turns one is looked at (our choice: 0.04 s apart, 0.1 m at 9 km/h)."""


def met_at(points: Mapping[str, Sequence[Point]], half: Mapping[str, float]) -> Met:
    """Return what says whether a tyre at one of its points stands on an outline, or with half its width over it."""

    def met(outline: Outline) -> bool:
        low, high = (tuple(end(point[axis] for point in outline) for axis in (0, 1)) for end in (min, max))
        return any(
            inside(point, outline) or to_outline(point, outline) < half[name]
            for name, where in points.items()
            for point in where
            if all(low[axis] - half[name] < point[axis] < high[axis] + half[name] for axis in (0, 1))
        )

    return met


def on_the_way(inputs: Inputs, low: float, high: float, until: float | None = None) -> Met:
    """Return the same for a truck that has been from so far behind its place to so far ahead of it [m].

    Where it is told to turn: for its way up to a time [s], that of the run where none is given.
    """
    c, s = cos(inputs.scenario.setup.heading), sin(inputs.scenario.setup.heading)
    stood = places(inputs)
    if any(isinstance(event, Turn) and event.curve for event in inputs.scenario.event):
        points = _through_turns(inputs, inputs.scenario.run.duration if until is None else until)
    else:
        count = max(1, round((high - low) / STEP))
        ways = [low + (high - low) * index / count for index in range(count + 1)] if high > low else [low]
        points = {name: [(at[0] + c * way, at[1] + s * way) for way in ways] for name, at, _ in stood}
    return met_at(points, {name: width / 2 for name, _, width in stood})


def _through_turns(inputs: Inputs, until: float) -> dict[str, list[Point]]:
    """Return where each tyre has been by a time, as told to drive and to turn."""
    from tipline.scenario.driving import poses

    axles = ((0.0, inputs.machine.drive_axle), (-inputs.machine.wheelbase, inputs.machine.steer_axle))
    way = poses(inputs.machine, inputs.scenario, until)[::_EVERY].tolist()
    return {
        tyre.name: [
            (x + cos(h) * ahead - sin(h) * tyre.across, y + sin(h) * ahead + cos(h) * tyre.across) for x, y, h in way
        ]
        for ahead, axle in axles
        for tyre in axle.tyre
    }


def short_of(inputs: Inputs, low: float, high: float) -> Iterator[tuple[str, float]]:
    """Yield each ramp and threshold that is not reached, and how far the nearest tyre stays from its edge [m].

    A truck that is told to turn is not asked: its way is not the straight one.
    """
    if any(isinstance(event, Turn) and event.curve for event in inputs.scenario.event):
        return
    machine = inputs.machine
    tyres = [(0.0, tyre.across) for tyre in machine.drive_axle.tyre]
    tyres += [(-machine.wheelbase, tyre.across) for tyre in machine.steer_axle.tyre]
    for event in inputs.scenario.event:
        if isinstance(event, Ramp | Threshold):
            c, s = cos(event.towards), sin(event.towards)
            left = event.begins - max(c * x + s * y for x, y in tyres) - max(c * low, c * high)
            if left > NEAR:
                yield event.kind, left


class Missed(tuple[str, list[tuple[str, Outline]]]):
    """What kind of part of a floor is not met, and all of that kind, by name."""

    __slots__ = ()


def missed(floor: Floor, met: Met, *, driving: bool) -> Missed | None:
    """Return what of a floor that has parts is not met: all of it, or where the truck drives all of its openings."""
    zones = [(zone.name, zone.corners) for zone in floor.zone]
    parts = zones + [
        (spreader.name, rectangle_about(spreader.at, spreader.size, spreader.heading)) for spreader in floor.spreader
    ]
    openings = [opening for opening, zone in zip(zones, floor.zone, strict=True) if zone.kind in OPENINGS]
    if parts and not any(met(outline) for _, outline in parts):
        return Missed(("zone or spreader", parts))
    if driving and openings and not any(met(outline) for _, outline in openings):
        return Missed(("cover or hole", openings))
    return None


def not_met(floor: Floor, met: Met, when: str, start: Point, *, driving: bool = False) -> Iterator[str]:
    """Yield that no part of a floor that has zones or spreaders is met; the one nearest to the start is named."""
    missed_parts = missed(floor, met, driving=driving)
    if missed_parts is None:
        return
    kinds, parts = missed_parts
    near, far = min(((name, _far(start, outline)) for name, outline in parts), key=lambda pair: pair[1])
    many = f"any of the {len(parts)} {kinds.replace(' or ', 's and ')}s" if len(parts) > 1 else f"the {kinds}"
    yield (
        f"{when} no tyre comes onto {many} of the floor. The nearest to where "
        f"the truck stands at the start is {near}, {show(far, 'length')} from the middle of the drive axle."
    )


def as_told(inputs: Inputs, floor: Floor) -> Iterator[str]:
    """Yield what the truck does not come to as it is set up and told to drive, as far as no run is needed for it."""
    low, high, when, driving = 0.0, 0.0, "As set up", drives(inputs.scenario)
    if driving:
        from tipline.scenario.driving import travelled

        low, high = travelled(inputs)
        when = "As told to drive"
        for what, left in short_of(inputs, low, high):
            gap = show(left, "length")
            yield f"As told to drive the {what} is not reached: the nearest tyre comes to {gap} from it."
    start = inputs.scenario.setup.position
    yield from not_met(floor, on_the_way(inputs, low, high), when, start, driving=driving)


def _far(point: Point, outline: Outline) -> float:
    return min(to_outline(point, outline), *(dist(point, corner) for corner in outline))
