"""Meshes of the scene: parts, arrows, strips on the floor, pits, and the floor with holes cut out of it."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipline.view.story import Array, DrawnSolid

__all__ = ["arrow", "bar", "chipped", "cracks", "grid", "pit", "pointer", "poly", "sheet", "stretched"]

_ARROW_RADIUS = 0.06
_HEAD_LENGTH = 0.30
_LINE_RADIUS = 0.055
_DASH = 0.22
_CRACKS = 4  # a side of a hole
_CHIPS = 7  # a side of its rim
_RIM = (0.04, 0.12)  # how wide that is [m]


def poly(pv: Any, solid: DrawnSolid) -> Any:
    """Make a part, with how far each point rises as point data "rise"."""
    faces = np.column_stack([np.full(len(solid.faces), 3), solid.faces]).ravel()
    mesh = pv.PolyData(solid.vertices, faces)
    mesh["rise"] = np.zeros_like(solid.vertices) if solid.rise is None else solid.rise
    return mesh


def arrow(pv: Any) -> Any:
    """Make an arrow up z with "shape" (k, 3): x, y, and in z 0 or 1 on the shaft, 1 to 2 on the head."""
    shaft = pv.Cylinder(center=(0, 0, 0.5), direction=(0, 0, 1), radius=_ARROW_RADIUS, resolution=20)
    head = pv.Cone(center=(0, 0, 1.5), direction=(0, 0, 1), height=1.0, radius=2.2 * _ARROW_RADIUS, resolution=24)
    mesh = pv.merge([shaft, head], merge_points=False)
    mesh["shape"] = np.array(mesh.points, dtype=float)
    return mesh


def stretched(shape: Array, long: float, size: float) -> Array:
    """Give the points (k, 3) of an arrow `long` [m] from foot to tip; a head longer than that shrinks with it."""
    head = min(_HEAD_LENGTH * size, long)
    width = max(head / _HEAD_LENGTH, 1e-3)
    z = np.where(shape[:, 2] <= 1.0, shape[:, 2] * (long - head), (long - head) + (shape[:, 2] - 1.0) * head)
    return np.column_stack([shape[:, 0] * width, shape[:, 1] * width, z])


def bar(pv: Any, dashed: bool) -> Any:
    """Make a flat strip with "shape" (k, 2): along 0 to 1, across in metres; dashed ones are cut in pieces."""
    pieces = [(0.0, 1.0)]
    if dashed:
        count = 9
        pieces = [(i / count, (i + 1 - 2 * _DASH) / count) for i in range(count)]
    points: list[tuple[float, float]] = []
    faces: list[int] = []
    for a, b in pieces:
        k = len(points)
        points += [(a, -_LINE_RADIUS), (b, -_LINE_RADIUS), (b, _LINE_RADIUS), (a, _LINE_RADIUS)]
        faces += [4, k, k + 1, k + 2, k + 3]
    flat = np.array(points)
    mesh = pv.PolyData(np.column_stack([flat, np.zeros(len(flat))]), np.array(faces))
    mesh["shape"] = flat
    return mesh


def pit(pv: Any, outline: Array) -> tuple[Any, Any, Any]:
    """Make walls, bottom and rim of a pit of depth 1 below the floor; outline (k, 2) [m]."""
    count = len(outline)
    top, low = np.column_stack([outline, np.zeros(count)]), np.column_stack([outline, np.full(count, -1.0)])
    ring = np.arange(count)
    following = np.roll(ring, -1)
    quads = np.column_stack([np.full(count, 4), ring, following, following + count, ring + count])
    walls = pv.PolyData(np.concatenate([top, low]), quads.ravel())
    bottom = sheet(pv, outline, [], -1.0)
    rim = pv.PolyData(top, lines=np.column_stack([np.full(count, 2), ring, following]).ravel())
    return walls, bottom, rim


def cracks(pv: Any, outline: Array) -> Any:
    """Make thin wedges that run out from a hole's rim, as a broken floor has; the same for an outline (k, 2) [m]."""
    chance = np.random.default_rng(len(outline))
    middle = outline.mean(axis=0)
    points: list[Array] = []
    faces: list[int] = []
    for a, b in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        for share in chance.uniform(0.08, 0.92, _CRACKS):
            foot = a + (b - a) * share
            out = foot - middle
            out = out / np.linalg.norm(out)
            across = np.array([-out[1], out[0]])
            long, turn = chance.uniform(0.12, 0.42), chance.uniform(-0.5, 0.5)
            elbow = foot + out * long * 0.5 + across * long * 0.25 * turn
            tip = foot + out * long + across * long * turn
            k = len(points)
            points += [
                foot - across * 0.014,
                foot + across * 0.014,
                elbow + across * 0.008,
                tip,
                elbow - across * 0.008,
            ]
            faces += [5, k, k + 1, k + 2, k + 3, k + 4]
    flat = np.array(points)
    return pv.PolyData(np.column_stack([flat, np.full(len(flat), 0.004)]), np.array(faces))


def chipped(pv: Any, outline: Array) -> Any:
    """Make the flat rim that is left of a floor where it broke off, ragged outside; the same for an outline (k, 2) [m].

    Paler than the floor, it shows from afar where the hole ends.
    """
    chance = np.random.default_rng(len(outline))
    middle = outline.mean(axis=0)
    ragged = []
    for a, b in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        for share in np.arange(_CHIPS) / _CHIPS:
            foot = a + (b - a) * share
            out = foot - middle
            ragged.append(foot + out / np.linalg.norm(out) * chance.uniform(*_RIM))
    return sheet(pv, np.array(ragged), [outline], 0.0035)


def pointer(pv: Any) -> tuple[Any, Any]:
    """Make an arrow of length 1 that points down to the origin, and its dark edge, a little larger."""
    parts = []
    for more in (0.0, 0.018):
        shaft = pv.Cylinder(center=(0, 0, 0.65), direction=(0, 0, 1), radius=0.035 + more, height=0.7 + 2 * more)
        head = pv.Cone(
            center=(0, 0, 0.16), direction=(0, 0, -1), height=0.32 + 3 * more, radius=0.1 + 2 * more, resolution=24
        )
        parts.append(pv.merge([shaft, head], merge_points=False))
    return parts[0], parts[1]


def sheet(pv: Any, outline: Array, holes: list[Array], z: float = 0.0) -> Any:
    """Make a flat sheet with holes cut out of it; outline and each hole (k, 2) [m]."""
    points, lines, start = [], [], 0
    for ring, forward in [(outline, True), *((hole, False) for hole in holes)]:
        order = ring if (_area(ring) > 0) == forward else ring[::-1]
        index = np.arange(len(order)) + start
        points.append(np.column_stack([order, np.full(len(order), z)]))
        lines.append(np.column_stack([np.full(len(order), 2), index, np.roll(index, -1)]).ravel())
        start += len(order)
    from vtkmodules.vtkFiltersGeneral import vtkContourTriangulator

    cutter = vtkContourTriangulator()
    cutter.SetInputData(pv.PolyData(np.concatenate(points), lines=np.concatenate(lines)))
    cutter.Update()
    return pv.wrap(cutter.GetOutput())


def _area(ring: Array) -> float:
    x, y = ring.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


def grid(pv: Any, low: Array, high: Array, step: float, holes: list[Array]) -> Any:
    """Make grid lines a little above the floor, from low (2,) to high (2,), but over holes (k, 2), all [m]."""
    points = []
    for axis in (0, 1):
        other = 1 - axis
        for value in np.arange(low[axis], high[axis] + step / 2, step):
            cuts = np.arange(low[other], high[other] + 0.05, 0.1)
            ends = np.empty((len(cuts), 2))
            ends[:, axis], ends[:, other] = value, cuts
            middles = (ends[:-1] + ends[1:]) / 2
            keep = ~np.any([_inside(middles, hole) for hole in holes], axis=0) if holes else np.ones(len(middles), bool)
            points.append(np.stack([ends[:-1][keep], ends[1:][keep]], axis=1).reshape(-1, 2))
    flat = np.concatenate(points)
    count = len(flat) // 2
    lines = np.column_stack([np.full(count, 2), np.arange(0, 2 * count, 2), np.arange(1, 2 * count, 2)])
    return pv.PolyData(np.column_stack([flat, np.full(len(flat), 0.003)]), lines=lines.ravel())


def _inside(points: Array, ring: Array) -> NDArray[np.bool_]:
    """Tell which points (k, 2) lie in the polygon (m, 2): an odd number of edges to the right of it."""
    a, b = ring[None], np.roll(ring, -1, axis=0)[None]
    x, y = points[:, None, 0], points[:, None, 1]
    spans = (a[..., 1] > y) != (b[..., 1] > y)
    rise = np.where(spans, b[..., 1] - a[..., 1], 1.0)
    cross = x < (b[..., 0] - a[..., 0]) * (y - a[..., 1]) / rise + a[..., 0]
    return np.asarray(np.sum(spans & cross, axis=1) % 2 == 1)
