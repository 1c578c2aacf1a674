"""Plan geometry of a floor: outlines, what lies under a patch, how far edges, joints and cavities are."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import cos, hypot, inf, pi, sin, sqrt

__all__ = [
    "Outline",
    "Patch",
    "Point",
    "corners_of",
    "inside",
    "nearest_sides",
    "overlap",
    "rectangle",
    "to_line",
    "to_outline",
    "turned",
]

Point = tuple[float, float]
Outline = tuple[Point, ...]


@dataclass(frozen=True)
class Patch:
    """One tyre's contact patch: middle [m], heading [rad], length along it and width [m], load [N]."""

    tyre: str
    at: Point
    heading: float
    length: float
    width: float
    load: float
    peak_pressure: float = 0.0

    @property
    def area(self) -> float:
        """Area [m2]."""
        return self.length * self.width

    @property
    def radius(self) -> float:
        """Radius of the circle of that area [m]."""
        return sqrt(self.area / pi)

    @property
    def pressure(self) -> float:
        """Mean pressure [Pa]."""
        return self.load / self.area

    @property
    def outline(self) -> Outline:
        """Corners in the world plane."""
        return corners_of(self.at, self.length, self.width, self.heading)


def turned(point: Point, heading: float) -> Point:
    """Turn a point about the origin."""
    return cos(heading) * point[0] - sin(heading) * point[1], sin(heading) * point[0] + cos(heading) * point[1]


def corners_of(middle: Point, length: float, width: float, heading: float) -> Outline:
    """Return the corners of a rectangle about its middle."""
    half = (length / 2, width / 2)
    points = [(half[0], half[1]), (-half[0], half[1]), (-half[0], -half[1]), (half[0], -half[1])]
    return tuple((middle[0] + x, middle[1] + y) for x, y in (turned(point, heading) for point in points))


def rectangle(corner: Point, size: Point, heading: float) -> Outline:
    """Return the corners of a rectangle from one corner, turned about it."""
    points = [(0.0, 0.0), (size[0], 0.0), size, (0.0, size[1])]
    return tuple((corner[0] + x, corner[1] + y) for x, y in (turned(point, heading) for point in points))


def inside(point: Point, outline: Outline) -> bool:
    """Whether a point lies within an outline."""
    within = False
    for (ax, ay), (bx, by) in _sides(outline):
        if (ay > point[1]) != (by > point[1]) and point[0] < ax + (point[1] - ay) * (bx - ax) / (by - ay):
            within = not within
    return within


def to_line(point: Point, a: Point, b: Point) -> float:
    """Distance from a point to a straight piece."""
    along = (b[0] - a[0], b[1] - a[1])
    square = along[0] ** 2 + along[1] ** 2
    part = 0.0 if square == 0.0 else ((point[0] - a[0]) * along[0] + (point[1] - a[1]) * along[1]) / square
    part = min(max(part, 0.0), 1.0)
    return hypot(point[0] - a[0] - part * along[0], point[1] - a[1] - part * along[1])


def to_outline(point: Point, outline: Outline) -> float:
    """Distance from a point to the nearest side of an outline."""
    return min((to_line(point, a, b) for a, b in _sides(outline)), default=inf)


def nearest_sides(point: Point, sides: Iterable[tuple[Point, Point]]) -> tuple[float, float]:
    """Distance to the nearest side, and to the nearest one that runs across it (more than 30 degrees); inf = none."""
    known = sorted(((to_line(point, a, b), a, b) for a, b in sides), key=lambda one: one[0])
    if not known:
        return inf, inf
    first, a, b = known[0]
    along = _unit(a, b)
    for apart, c, d in known[1:]:
        other = _unit(c, d)
        if abs(along[0] * other[1] - along[1] * other[0]) > 0.5:
            return first, apart
    return first, inf


def overlap(patch: Outline, outline: Outline) -> float:
    """Area of a convex patch that lies within an outline [m2], by clipping the outline at the patch's sides."""
    points: list[Point] = list(outline)
    turn = 1.0 if _area(patch) > 0.0 else -1.0
    for a, b in _sides(patch):
        points = _clipped(points, a, b, turn)
        if not points:
            return 0.0
    return abs(_area(tuple(points)))


def _clipped(points: Sequence[Point], a: Point, b: Point, turn: float) -> list[Point]:
    def side(point: Point) -> float:
        return turn * ((b[0] - a[0]) * (point[1] - a[1]) - (b[1] - a[1]) * (point[0] - a[0]))

    kept: list[Point] = []
    for index, here in enumerate(points):
        before = points[index - 1]
        s0, s1 = side(before), side(here)
        if (s0 >= 0.0) != (s1 >= 0.0):
            part = s0 / (s0 - s1)
            kept.append((before[0] + part * (here[0] - before[0]), before[1] + part * (here[1] - before[1])))
        if s1 >= 0.0:
            kept.append(here)
    return kept


def _sides(outline: Outline) -> list[tuple[Point, Point]]:
    return list(zip(outline, (*outline[1:], *outline[:1]), strict=True))


def _area(outline: Outline) -> float:
    return sum(ax * by - bx * ay for (ax, ay), (bx, by) in _sides(outline)) / 2


def _unit(a: Point, b: Point) -> Point:
    long = hypot(b[0] - a[0], b[1] - a[1]) or 1.0
    return (b[0] - a[0]) / long, (b[1] - a[1]) / long
