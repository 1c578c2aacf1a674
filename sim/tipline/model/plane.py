"""Outlines in the floor's plane: what lies inside, how far sides are, how much two of them share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import atan2, cos, hypot, inf, sin

__all__ = [
    "Outline",
    "Point",
    "Rectangle",
    "area_of",
    "crosses_itself",
    "hull",
    "inside",
    "nearest_sides",
    "outline_sides",
    "rectangle",
    "rectangle_about",
    "rectangle_of",
    "shared_area",
    "to_line",
    "to_outline",
    "turn",
    "turned",
]

Point = tuple[float, float]
Outline = tuple[Point, ...]
_FLAT = 1e-12


@lru_cache(maxsize=1024)  # asked for every point under every tyre
def rectangle(corner: Point, size: Point, heading: float) -> Outline:
    """Return the corners of a rectangle from one corner, turned about it, counter-clockwise."""
    points = ((0.0, 0.0), (size[0], 0.0), size, (0.0, size[1]))
    return tuple(_moved(point, corner, heading) for point in points)


def turned(point: Point, heading: float) -> Point:
    """Turn a point about the origin."""
    return _moved(point, (0.0, 0.0), heading)


def rectangle_about(middle: Point, size: Point, heading: float) -> Outline:
    """Return the corners of a rectangle about its middle, counter-clockwise."""
    x, y = size[0] / 2, size[1] / 2
    return tuple(_moved(point, middle, heading) for point in ((-x, -y), (x, -y), (x, y), (-x, y)))


def area_of(outline: Sequence[Point]) -> float:
    """Area [m2], positive counter-clockwise."""
    return sum(ax * by - bx * ay for (ax, ay), (bx, by) in outline_sides(outline)) / 2


def hull(points: Iterable[Point]) -> Outline:
    """Return the convex outline of points, counter-clockwise, by the monotone chain."""
    order = sorted(set(points))
    sides: list[list[Point]] = []
    for way in (order, order[::-1]):
        side: list[Point] = []
        for point in way:
            while len(side) > 1 and turn(side[-2], side[-1], point) <= 0.0:
                side.pop()
            side.append(point)
        sides.append(side[:-1])
    return (*sides[0], *sides[1])


def inside(point: Point, outline: Outline) -> bool:
    """Whether a point lies within an outline; on a side it counts to one of the two."""
    within = False
    for (ax, ay), (bx, by) in outline_sides(outline):
        if (ay > point[1]) != (by > point[1]) and point[0] < ax + (point[1] - ay) * (bx - ax) / (by - ay):
            within = not within
    return within


def to_line(point: Point, line: Sequence[Point]) -> float:
    """Distance from a point to a line of straight pieces [m]."""
    return min((_to_piece(point, a, b) for a, b in pairwise(line)), default=inf)


def to_outline(point: Point, outline: Outline) -> float:
    """Distance from a point to the nearest side of an outline [m]."""
    return to_line(point, (*outline, outline[0]))


def nearest_sides(point: Point, sides: Iterable[tuple[Point, Point]]) -> tuple[float, float]:
    """Distance to the nearest side, and to the nearest one that runs across it (more than 30 degrees); inf = none."""
    known = sorted(((_to_piece(point, a, b), a, b) for a, b in sides), key=lambda side: side[0])
    if not known:
        return inf, inf
    first, a, b = known[0]
    along = _unit(a, b)
    for apart, c, d in known[1:]:
        other = _unit(c, d)
        if abs(along[0] * other[1] - along[1] * other[0]) > 0.5:
            return first, apart
    return first, inf


def crosses_itself(outline: Outline) -> bool:
    """Whether two sides of an outline that are not neighbours meet."""
    sides = outline_sides(outline)
    count = len(sides)
    return any(
        _cross(*sides[i], *sides[j])
        for i in range(count)
        for j in range(i + 2, count)
        if not (i == 0 and j == count - 1)
    )


def shared_area(outline: Outline, other: Outline) -> float:
    """Area that lies within both of two outlines that do not cross themselves [m2]."""
    if not _near(outline, other):
        return 0.0
    total = 0.0
    for triangle in _triangles(outline):
        points: list[Point] = list(other)
        for a, b in outline_sides(triangle):
            points = _clipped(points, a, b)
        total += abs(area_of(points)) if points else 0.0
    return total


def _moved(point: Point, to: Point, heading: float) -> Point:
    c, s = cos(heading), sin(heading)
    return to[0] + c * point[0] - s * point[1], to[1] + s * point[0] + c * point[1]


def outline_sides(outline: Sequence[Point]) -> list[tuple[Point, Point]]:
    """Return the sides of an outline, each from corner to corner, the last back to the first."""
    return list(zip(outline, (*outline[1:], *outline[:1]), strict=True))


def _to_piece(point: Point, a: Point, b: Point) -> float:
    along = (b[0] - a[0], b[1] - a[1])
    square = along[0] ** 2 + along[1] ** 2
    part = 0.0 if square == 0.0 else ((point[0] - a[0]) * along[0] + (point[1] - a[1]) * along[1]) / square
    part = min(max(part, 0.0), 1.0)
    return hypot(point[0] - a[0] - part * along[0], point[1] - a[1] - part * along[1])


def _unit(a: Point, b: Point) -> Point:
    long = hypot(b[0] - a[0], b[1] - a[1]) or 1.0
    return (b[0] - a[0]) / long, (b[1] - a[1]) / long


def turn(a: Point, b: Point, c: Point) -> float:
    """Return twice the area of a triangle [m2], positive where its corners run to the left."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    apart = turn(a, b, c) * turn(a, b, d), turn(c, d, a) * turn(c, d, b)
    return max(apart) < 0.0


def _near(outline: Outline, other: Outline) -> bool:
    """Whether the boxes around two outlines meet."""
    return all(
        min(p[axis] for p in outline) < max(p[axis] for p in other)
        and min(p[axis] for p in other) < max(p[axis] for p in outline)
        for axis in (0, 1)
    )


def _triangles(outline: Outline) -> Iterator[Outline]:
    """Yield counter-clockwise triangles that make up an outline, cutting one ear after another."""
    left = list(outline) if area_of(outline) > 0.0 else list(reversed(outline))
    while len(left) > 3:
        index = next((index for index in range(len(left)) if _is_ear(left, index)), 0)
        ear = (left[index - 1], left[index], left[(index + 1) % len(left)])
        if turn(*ear) > _FLAT:
            yield ear
        del left[index]
    if len(left) == 3 and turn(*left) > _FLAT:
        yield tuple(left)


def _is_ear(points: Sequence[Point], index: int) -> bool:
    a, b, c = points[index - 1], points[index], points[(index + 1) % len(points)]
    if turn(a, b, c) <= _FLAT:
        return abs(turn(a, b, c)) <= _FLAT
    return not any(min(turn(a, b, p), turn(b, c, p), turn(c, a, p)) >= 0.0 for p in points if p not in {a, b, c})


def _clipped(points: Sequence[Point], a: Point, b: Point) -> list[Point]:
    """Keep what lies left of the line from a to b."""
    kept: list[Point] = []
    for index, here in enumerate(points):
        before = points[index - 1]
        s0, s1 = turn(a, b, before), turn(a, b, here)
        if (s0 >= 0.0) != (s1 >= 0.0):
            part = s0 / (s0 - s1)
            kept.append((before[0] + part * (here[0] - before[0]), before[1] + part * (here[1] - before[1])))
        if s1 >= 0.0:
            kept.append(here)
    return kept


@dataclass(frozen=True)
class Rectangle:
    """A rectangle in plan: its middle [m], the heading of its first side [rad], length along it and width [m]."""

    middle: Point
    heading: float
    size: tuple[float, float]


def rectangle_of(corners: Outline) -> Rectangle | None:
    """Return the rectangle that four corners make, None where they make none."""
    if len(corners) != 4:
        return None
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = corners
    closes = hypot(ax - bx + cx - dx, ay - by + cy - dy)
    square = (bx - ax) * (dx - ax) + (by - ay) * (dy - ay)
    length, width = hypot(bx - ax, by - ay), hypot(dx - ax, dy - ay)
    if closes > 1e-6 * (length + width) or abs(square) > 1e-6 * length * width:
        return None
    return Rectangle(((ax + cx) / 2, (ay + cy) / 2), atan2(by - ay, bx - ax), (length, width))
