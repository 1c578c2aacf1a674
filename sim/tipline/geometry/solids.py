"""Closed solids from plain numbers: boxes, prisms, rings and bars.

Every solid is watertight and turns its faces outward by construction, so no mesh repair and no search library is
needed. Coordinates are in metres.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable, Sequence
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from tipline.model.plane import turn

__all__ = [
    "Solid",
    "arc",
    "bar",
    "beam",
    "box",
    "chamfered",
    "disc",
    "join",
    "moved",
    "outline_between",
    "prism",
    "ring",
    "tilted",
]

Array = NDArray[np.float64]
Axis = Literal["x", "y", "z"]
Flat = tuple[float, float]
Spot = tuple[float, float, float]

_NEAR = 9
"""Digits of a metre to which outlines that stand elsewhere are alike (numerical)."""
_PLANE = {"x": (1, 2, 0), "y": (0, 2, 1), "z": (0, 1, 2)}
_BOX_FACES = np.array(
    [
        [0, 2, 1], [1, 2, 3], [4, 5, 6], [5, 7, 6], [0, 1, 4], [1, 5, 4],
        [2, 6, 3], [3, 6, 7], [0, 4, 2], [2, 4, 6], [1, 3, 5], [3, 7, 5],
    ]
)  # fmt: skip


class Solid(NamedTuple):
    """Corners (n, 3) [m] and triangles (m, 3), counter-clockwise seen from outside."""

    vertices: Array
    faces: NDArray[np.int64]


def box(low: Spot, high: Spot) -> Solid:
    """Box between two opposite corners, in either order."""
    x, y, z = (sorted(pair) for pair in zip(low, high, strict=True))
    corners = [(x[i & 1], y[i >> 1 & 1], z[i >> 2]) for i in range(8)]
    return Solid(np.array(corners, dtype=np.float64), _BOX_FACES)


def chamfered(low: Spot, high: Spot, cut: float, axis: Axis) -> Solid:
    """Box with its four edges along ``axis`` cut off at 45 degrees by ``cut``."""
    i, j, k = _PLANE[axis]
    (u0, u1), (v0, v1) = sorted((low[i], high[i])), sorted((low[j], high[j]))
    c = min(cut, 0.45 * (u1 - u0), 0.45 * (v1 - v0))
    outline = (
        (u0 + c, v0), (u1 - c, v0), (u1, v0 + c), (u1, v1 - c), (u1 - c, v1), (u0 + c, v1), (u0, v1 - c), (u0, v0 + c),
    )  # fmt: skip
    return prism(outline, axis, low[k], high[k])


def prism(outline: Sequence[Flat], axis: Axis, low: float, high: float) -> Solid:
    """Prism along ``axis`` over a simple outline in the plane of the other two axes, in the order x, y, z.

    The outline may be concave and may turn either way; it must not cross itself.
    """
    points = tuple((float(u), float(v)) for u, v in outline)
    if _area(points) < 0.0:
        points = points[::-1]
    faces = _faces_over(points)
    if axis == "y":
        faces = faces[:, ::-1]
    i, j, k = _PLANE[axis]
    n = len(points)
    vertices = np.empty((2 * n, 3))
    vertices[:n, i], vertices[:n, j] = np.array(points).T
    vertices[n:, (i, j)] = vertices[:n, (i, j)]
    vertices[:n, k], vertices[n:, k] = min(low, high), max(low, high)
    return Solid(vertices, faces)


def disc(centre: Spot, radius: float, width: float, axis: Axis = "y", sides: int = 24) -> Solid:
    """Cylinder about ``axis`` with its centre at ``centre``; a corner points down (or to -y)."""
    i, j, k = _PLANE[axis]
    turn = 2.0 * math.pi / sides
    outline = [(centre[i] + radius * math.sin(n * turn), centre[j] - radius * math.cos(n * turn)) for n in range(sides)]
    return prism(outline, axis, centre[k] - width / 2, centre[k] + width / 2)


def ring(centre: Spot, section: Sequence[Flat], sides: int = 32) -> Solid:
    """Ring about the y axis through ``centre``; ``section`` is its outline in (radius, across), radius above 0."""
    points = tuple((float(r), float(y)) for r, y in section)
    if _area(points) < 0.0:
        points = points[::-1]
    radius, across = np.array(points).T
    turn = np.arange(sides) * (2.0 * math.pi / sides)
    n = len(points)
    vertices = np.empty((sides, n, 3))
    vertices[:, :, 0] = np.sin(turn)[:, None] * radius + centre[0]
    vertices[:, :, 1] = across + centre[1]
    vertices[:, :, 2] = -np.cos(turn)[:, None] * radius + centre[2]
    return Solid(vertices.reshape(-1, 3), _ring_faces(sides, n))


def bar(start: Spot, end: Spot, radius: float, sides: int = 10) -> Solid:
    """Round bar from ``start`` to ``end``."""
    turn = np.arange(sides) * (2.0 * math.pi / sides)
    return _swept(start, end, np.column_stack((np.cos(turn), np.sin(turn))) * radius)


def beam(start: Spot, end: Spot, wide: float, deep: float) -> Solid:
    """Rectangular bar from ``start`` to ``end``, ``wide`` across (near y) and ``deep`` square to that."""
    w, d = wide / 2, deep / 2
    return _swept(start, end, np.array([(-w, -d), (w, -d), (w, d), (-w, d)]))


def join(solids: Iterable[Solid]) -> Solid:
    """Several solids as one list of corners and triangles."""
    vertices, faces, count = [], [], 0
    for solid in solids:
        vertices.append(solid.vertices)
        faces.append(solid.faces + count)
        count += len(solid.vertices)
    return Solid(np.concatenate(vertices), np.concatenate(faces))


def moved(solid: Solid, by: Spot | Array) -> Solid:
    """Shift a solid by a vector (3,) [m]."""
    return Solid(solid.vertices + np.asarray(by, dtype=np.float64), solid.faces)


def tilted(points: Array, back: float, axis: Flat) -> Array:
    """Turn points (..., 3) about the line along y through ``axis`` = (x, z), tops going back by ``back`` [rad]."""
    c, s = math.cos(back), math.sin(back)
    turned = np.array(points, dtype=np.float64)
    x, z = turned[..., 0] - axis[0], turned[..., 2] - axis[1]
    turned[..., 0], turned[..., 2] = axis[0] + c * x - s * z, axis[1] + s * x + c * z
    return turned


def arc(centre: Flat, radius: float, start: float, end: float, steps: int = 8) -> list[Flat]:
    """Points on an arc from angle ``start`` to ``end`` [rad], both ends included."""
    turn = [start + (end - start) * n / steps for n in range(steps + 1)]
    return [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in turn]


@functools.lru_cache(maxsize=64)
def outline_between(lower: tuple[Flat, ...], upper: tuple[Flat, ...], least: float) -> tuple[Flat, ...]:
    """Outline between two chains of points (x, z) that run forward; a step is two points at one x.

    The upper chain is raised where needed to stay ``least`` above the lower one, so that the outline never crosses
    itself whatever the chains are.
    """
    below, above = _forward(lower), _forward(upper)
    raised: list[Flat] = []
    for x in sorted({point[0] for point in (*below, *above)}):
        floor = max(_height(below, x, after=False), _height(below, x, after=True)) + least
        raised += [(x, max(_height(above, x, after=after), floor)) for after in (False, True)]
    return _without_flats([*below, *reversed(raised)])


def _forward(chain: Sequence[Flat]) -> list[Flat]:
    reached, points = -math.inf, []
    for x, z in chain:
        reached = max(reached, x)
        points.append((reached, z))
    return points


def _height(chain: Sequence[Flat], x: float, after: bool) -> float:
    """Height of a chain at x, just after a step or just before it; level beyond its ends."""
    if x < chain[0][0] or (x == chain[0][0] and not after):
        return chain[0][1]
    if x > chain[-1][0] or (x == chain[-1][0] and after):
        return chain[-1][1]
    k = next(n for n, point in enumerate(chain) if point[0] > x or (point[0] == x and not after))
    (x0, z0), (x1, z1) = chain[k - 1], chain[k]
    return z1 if x1 == x else z0 + (z1 - z0) * (x - x0) / (x1 - x0)


def _without_flats(points: Sequence[Flat]) -> tuple[Flat, ...]:
    """Drop points that repeat or lie on the line between their neighbours."""
    kept = list(points)
    while len(kept) > 3:
        flat = [n for n in range(len(kept)) if abs(turn(kept[n - 1], kept[n], kept[(n + 1) % len(kept)])) < 1e-9]
        if not flat:
            break
        del kept[flat[0]]
    return tuple(kept)


def _swept(start: Spot, end: Spot, section: Array) -> Solid:
    a, b = np.array(start, dtype=np.float64), np.array(end, dtype=np.float64)
    along = (b - a) / np.linalg.norm(b - a)
    side = np.array([0.0, 1.0, 0.0]) if abs(along[1]) < 0.9 else np.array([1.0, 0.0, 0.0])
    side = side - along * (side @ along)
    side /= np.linalg.norm(side)
    outline = section[:, :1] * side + section[:, 1:] * np.cross(along, side)
    corners = tuple((float(u), float(v)) for u, v in section)
    return Solid(np.concatenate((a + outline, b + outline)), _faces_over(corners))


def _area(points: Sequence[Flat]) -> float:
    return 0.5 * sum(u0 * v1 - u1 * v0 for (u0, v0), (u1, v1) in zip(points, (*points[1:], points[0]), strict=True))


def _faces_over(points: tuple[Flat, ...]) -> NDArray[np.int64]:
    """Return the faces of a prism over an outline, which are the same wherever it stands."""
    u0, v0 = points[0]
    return prism_faces(tuple([(round(u - u0, _NEAR), round(v - v0, _NEAR)) for u, v in points]))


@functools.lru_cache(maxsize=128)
def prism_faces(points: tuple[Flat, ...]) -> NDArray[np.int64]:
    """Return the faces (m, 3) [indices] of a prism over an outline whose first corner is (0, 0)."""
    n = len(points)
    cap = np.array(_triangles(points), dtype=np.int64)
    low = np.arange(n)
    nxt = (low + 1) % n
    sides = np.concatenate((np.column_stack((low, nxt, nxt + n)), np.column_stack((low, nxt + n, low + n))))
    return np.concatenate((cap[:, ::-1], cap + n, sides))


@functools.lru_cache(maxsize=32)
def _ring_faces(sides: int, n: int) -> NDArray[np.int64]:
    i, j = (index.ravel() for index in np.meshgrid(np.arange(sides), np.arange(n), indexing="ij"))
    here, over = i * n + j, i * n + (j + 1) % n
    ahead, both = (i + 1) % sides * n + j, (i + 1) % sides * n + (j + 1) % n
    return np.concatenate((np.column_stack((here, both, ahead)), np.column_stack((here, over, both))))


def _triangles(points: Sequence[Flat]) -> list[tuple[int, int, int]]:
    """Cut a simple outline, counter-clockwise, into triangles by clipping ears."""
    left = list(range(len(points)))
    cut: list[tuple[int, int, int]] = []
    while len(left) >= 3:
        k = next((n for n in range(len(left)) if _is_ear(points, left, _corner(left, n))), None)
        if k is None:
            msg = "the outline crosses itself or has no area"
            raise ValueError(msg)
        cut.append(_corner(left, k))
        del left[k]
    return cut


def _corner(left: Sequence[int], k: int) -> tuple[int, int, int]:
    return left[k - 1], left[k], left[(k + 1) % len(left)]


def _is_ear(points: Sequence[Flat], left: list[int], corner: tuple[int, int, int]) -> bool:
    a, b, c = (points[i] for i in corner)
    if turn(a, b, c) <= 1e-12:
        return False
    return not any(
        i not in corner and min(turn(a, b, points[i]), turn(b, c, points[i]), turn(c, a, points[i])) >= -1e-12
        for i in left
    )
