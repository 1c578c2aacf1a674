"""A route over a floor: the way of the drive axle along a polyline with rounded corners, and every tyre's track.

The middle of the drive axle follows the line; the truck points along it, or against it in reverse, and the steer tyres
swing out where it turns. Pure geometry: no slip, no steering law.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, ceil, cos, hypot, pi, sin, tan

from tipline.model.plane import Point, turned

__all__ = ["Standing", "line", "path", "tracks"]

STEP = 0.1
"""How far apart the places looked at are at most (numerical: a third of a patch) [m]."""
MOST_YAW = 0.05
"""Most turn from place to place (numerical): a truck that turns on the spot still sweeps its steer tyres [rad]."""
MOST_TURN = 0.95 * pi
"""The sharpest corner of a route (our choice) [rad]."""


@dataclass(frozen=True)
class Standing:
    """The truck at one place: middle of the drive axle [m], heading [rad], and whether it turns there.

    ``turn``: 1 to the truck's left, -1 to its right, 0 straight on.
    """

    at: Point
    heading: float
    turn: float = 0.0

    def point(self, x: float, y: float) -> Point:
        """Return a point of the truck in the world."""
        ahead, aside = turned((x, y), self.heading)
        return self.at[0] + ahead, self.at[1] + aside


def path(points: Sequence[Point], radius: float, reverse: bool = False, step: float = STEP) -> tuple[Standing, ...]:
    """Return the truck's places along a polyline whose corners are rounded by a radius [m].

    A corner takes a smaller radius where its sides are too short for the one given.

    Raises
    ------
    ValueError
        Fewer than two points, points that coincide, a negative radius, or a way back along the same line.
    """
    if len(points) < 2 or radius < 0.0 or step <= 0.0:
        msg = "a route needs two points or more, a radius of 0 or more and a step above 0"
        raise ValueError(msg)
    if any(hypot(b[0] - a[0], b[1] - a[1]) < 1e-3 for a, b in pairwise(points)):
        msg = "two points of a route that follow each other must lie 1 mm apart or more"
        raise ValueError(msg)
    turn = pi if reverse else 0.0
    standings = []
    start = points[0]
    for index in range(1, len(points)):
        a, corner = points[index - 1], points[index]
        heading = atan2(corner[1] - a[1], corner[0] - a[0])
        if index + 1 == len(points):
            standings += _straight(start, corner, heading, step)
            break
        after = points[index + 1]
        bend = _wrapped(atan2(after[1] - corner[1], after[0] - corner[0]) - heading)
        if abs(bend) > MOST_TURN:
            msg = "a route that turns back along its own line: write it as two routes, the second in reverse"
            raise ValueError(msg)
        begin, arc, end = _rounded(a, corner, after, heading, bend, radius, step)
        standings += _straight(start, begin, heading, step) + arc
        start = end
    return tuple(Standing(place.at, _wrapped(place.heading + turn), place.turn) for place in standings)


def line(at: Point, heading: float, way: tuple[float, float], step: float = STEP) -> tuple[Standing, ...]:
    """Return the truck's places straight on: where it stands first, then from ``way`` behind it to ahead of it [m]."""
    low, high = way
    count = ceil((high - low) / step - 1e-9)
    steps = [low + (high - low) * index / count for index in range(count + 1)] if count > 0 else []
    ways = [0.0, *(along for along in steps if abs(along) > 1e-9)]
    return tuple(Standing((at[0] + along * cos(heading), at[1] + along * sin(heading)), heading) for along in ways)


def tracks(places: Sequence[Standing], tyres: Mapping[str, Point]) -> dict[str, tuple[Point, ...]]:
    """Return where each tyre, given in the truck frame, stands at each place."""
    return {name: tuple(place.point(*point) for place in places) for name, point in tyres.items()}


def _straight(a: Point, b: Point, heading: float, step: float) -> list[Standing]:
    long = hypot(b[0] - a[0], b[1] - a[1])
    count = max(int(-(-long // step)), 1)
    return [
        Standing((a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1])), heading)
        for part in (index / count for index in range(count + 1))
    ]


def _rounded(
    a: Point, corner: Point, after: Point, heading: float, bend: float, radius: float, step: float
) -> tuple[Point, list[Standing], Point]:
    """Round one corner: where the arc begins, its places, where it ends."""
    room = 0.5 * min(hypot(corner[0] - a[0], corner[1] - a[1]), hypot(after[0] - corner[0], after[1] - corner[1]))
    back = min(radius * abs(tan(bend / 2)), room)
    r = back / abs(tan(bend / 2)) if abs(bend) > 1e-9 else 0.0
    begin = corner[0] - back * cos(heading), corner[1] - back * sin(heading)
    end = corner[0] + back * cos(heading + bend), corner[1] + back * sin(heading + bend)
    side = 1.0 if bend > 0.0 else -1.0
    middle = begin[0] - side * r * sin(heading), begin[1] + side * r * cos(heading)
    count = max(ceil(abs(bend) * r / step), ceil(abs(bend) / MOST_YAW), 1)
    arc = []
    for index in range(1, count):
        angle = heading + bend * index / count
        arc.append(Standing((middle[0] + side * r * sin(angle), middle[1] - side * r * cos(angle)), angle, side))
    return begin, arc, end


def _wrapped(angle: float) -> float:
    return (angle + pi) % (2 * pi) - pi
