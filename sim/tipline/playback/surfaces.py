"""How a solid's surface is drawn: normals that are smooth over round parts and break at corners, and edge lines."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["Indices", "edges", "shaded"]

Array = NDArray[np.float64]
Indices = NDArray[np.int64]

_CREASE = float(np.cos(np.radians(32.0)))  # two faces that turn by more meet in a corner
_DECIMALS = 6  # points nearer than a micrometre are one


def shaded(points: Array, faces: Indices) -> tuple[Array, Array, Indices, Indices]:
    """Give points and normals (k, 3), triangles (m, 3), and for each point which of the given ones it is (k,)."""
    _, joined = _joined(points)
    normals, areas = _normals(points, faces)
    corner_point = faces.ravel()
    corner_face = np.repeat(np.arange(len(faces)), 3)
    smooth = np.zeros((len(corner_point), 3))
    order = np.argsort(joined[corner_point], kind="stable")
    starts = np.flatnonzero(np.diff(joined[corner_point][order], prepend=-1))
    for group in np.split(order, starts[1:]):
        own = corner_face[group]
        near = normals[own] @ normals[own].T > _CREASE
        smooth[group] = near @ (normals[own] * areas[own, None])
    length = np.linalg.norm(smooth, axis=1, keepdims=True)
    smooth = np.divide(smooth, length, out=normals[corner_face].copy(), where=length > 1e-12)
    key = np.column_stack([corner_point, np.rint(smooth * 1000)]).astype(np.int64)
    _, first, index = np.unique(key, axis=0, return_index=True, return_inverse=True)
    return points[corner_point[first]], smooth[first], index.reshape(-1, 3), corner_point[first]


def edges(points: Array, faces: Indices) -> Indices:
    """Give the ends (k, 2) of the lines where two faces meet in a corner."""
    first, joined = _joined(points)
    normals, _ = _normals(points, faces)
    sides = joined[np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])]
    owner = np.tile(np.arange(len(faces)), 3)
    sides = np.sort(sides, axis=1)
    order = np.lexsort((sides[:, 1], sides[:, 0]))
    sides, owner = sides[order], owner[order]
    pair = np.flatnonzero((sides[1:] == sides[:-1]).all(axis=1))
    sharp = np.einsum("ki,ki->k", normals[owner[pair]], normals[owner[pair + 1]]) < _CREASE
    return np.asarray(first[sides[pair[sharp]]])


def _joined(points: Array) -> tuple[Indices, Indices]:
    """Give the first point at each place, and for each point the number of its place (k,)."""
    _, first, joined = np.unique(np.round(points, _DECIMALS), axis=0, return_index=True, return_inverse=True)
    return first, joined.ravel()


def _normals(points: Array, faces: Indices) -> tuple[Array, Array]:
    """Give unit normals (m, 3) of triangles, nought where one has no area, and their areas (m,)."""
    a, b, c = (points[faces[:, k]] for k in range(3))
    cross = np.cross(b - a, c - a)
    length = np.linalg.norm(cross, axis=1)
    return np.divide(cross, length[:, None], out=np.zeros_like(cross), where=length[:, None] > 0.0), length / 2
