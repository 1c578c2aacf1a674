"""How deep drawn solids of different bodies stand in each other and in the floor, by their meshes alone.

None of the engine's boxes and corners is asked.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import trimesh
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from tipline.geometry import assemble
from tipline.geometry.assembly import Part
from tipline.results import Run
from tipline.scenario import Case

Array = NDArray[np.float64]

JOINED = {
    frozenset(("chassis", "axle")): "the steer axle hangs in the frame",
    frozenset(("chassis", "counterweight")): "the counterweight slides in the frame",
    frozenset(("mast", "carriage")): "the carriage rides in the mast",
}
"""Bodies that are drawn joined, and why."""
GIVE_WAY = {
    "rope": "hangs from the hook",
    "rigging": "slings lie against the load, which they hold",
    "hoist rope": "goes slack",
    "tilt cylinders": "drawn with the mast, they turn on the frame",
}
"""What is drawn stiff and gives way, by kind or name of its piece."""
BENT = frozenset(("chassis", "mast"))
"""The mast bends in one joint, half up: its foot swings back into the frame as its top bends ahead."""


@dataclass(frozen=True)
class Convex:
    """One convex piece: corners from the centre of its body, directions of its faces and edges."""

    part: Part
    corners: Array
    faces: Array
    edges: Array


_CUT: dict[bytes, list[tuple[Array, Array, Array]]] = {}
"""Solids that were cut already, by their corners from the first of them: most are the same from run to run."""


def _alone(directions: Array) -> Array:
    """Unit directions without repeats or opposites."""
    size = np.linalg.norm(directions, axis=1)
    unit = directions[size > 1e-6] / size[size > 1e-6, None]
    sense = np.sign(unit[np.arange(len(unit)), np.abs(unit).argmax(axis=1)])
    alone: Array = np.unique((unit * sense[:, None]).round(5), axis=0)
    return alone


def _convex(mesh: trimesh.Trimesh) -> Iterator[trimesh.Trimesh]:
    """Cut a solid into convex ones: a prism over the triangles of its end, else (a ring) what spans it."""
    if mesh.is_convex:
        yield mesh
        return
    for axis in range(3):
        along = mesh.vertices[:, axis]
        low, high = along.min(), along.max()
        if np.all((np.abs(along - low) < 1e-6) | (np.abs(along - high) < 1e-6)):
            for face in mesh.faces[(np.abs(along - low) < 1e-6)[mesh.faces].all(axis=1)]:
                end = mesh.vertices[face].copy()
                end[:, axis] = high
                yield trimesh.Trimesh(np.concatenate((mesh.vertices[face], end))).convex_hull
            return
    yield mesh.convex_hull


def _ends(mesh: trimesh.Trimesh) -> Array:
    ends: Array = mesh.vertices[mesh.edges_unique]
    return ends


def pieces(parts: Iterable[Part], centres: Array) -> list[Convex]:
    """Convex pieces of drawn solids that do not give way."""
    found = []
    for part in parts:
        if part.kind in GIVE_WAY or part.name in GIVE_WAY:
            continue
        start = part.vertices[0]
        key = (part.vertices - start).round(6).tobytes()
        if key not in _CUT:
            _CUT[key] = [
                (mesh.vertices - start, _alone(mesh.face_normals), _alone(np.diff(_ends(mesh), axis=1)[:, 0]))
                for whole in part.mesh.split(only_watertight=False)
                for mesh in _convex(whole)
            ]
        moved = start - centres[part.body]
        found += [Convex(part, corners + moved, faces, edges) for corners, faces, edges in _CUT[key]]
    return found


def depth(one: tuple[Array, Array, Array], other: tuple[Array, Array, Array], enough: float = -np.inf) -> float:
    """Least way [m] by which two convex solids (corners, faces, edges) come apart; 0 or less: they are apart.

    Where their faces alone show a way no longer than `enough`, that is returned, and crossed edges are not looked at.
    """
    least = _way(one[0], other[0], np.concatenate((one[1], other[1])))
    if least <= enough:
        return least
    crossed = np.cross(one[2][:, None], other[2][None]).reshape(-1, 3)
    size = np.linalg.norm(crossed, axis=1)
    return min(least, _way(one[0], other[0], crossed[size > 1e-3] / size[size > 1e-3, None]))


def _way(one: Array, other: Array, axes: Array) -> float:
    """Least way [m] along any of these axes by which corners come apart from others."""
    a, b = one @ axes.T, other @ axes.T
    least = np.minimum(a.max(axis=0) - b.min(axis=0), b.max(axis=0) - a.min(axis=0))
    return float(least.min(initial=np.inf))


def _asked(found: list[Convex], bodies: tuple[str, ...], held: bool) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Pairs of pieces that may not stand in each other; held: the load is fixed to what carries it."""
    body = np.array([one.part.body for one in found])
    asked = body[:, None] < body[None]
    for i, one in enumerate(bodies):
        for j, other in enumerate(bodies):
            joined = frozenset((one, other)) in JOINED or (held and {one, other} == {"carriage", "load"})
            if joined:
                asked[np.ix_(body == i, body == j)] = False
    one, other = np.nonzero(asked)
    return one, other


def deepest(run: Run, case: Case, times: Iterable[float], between: frozenset[str] | None = None) -> tuple[float, str]:
    """Greatest depth [m] at these times of a run, past that at its start, and between what and when.

    between: these two bodies alone, else all others than frame and mast.
    """
    parts = assemble(case.machine, case.scenario.setup, case.load).parts
    found = pieces(parts, np.array(run.meta["centres"]))
    load = case.load
    one, other = _asked(found, run.bodies, load is not None and load.hung_by is None and load.on_forks != "free")
    pair = [
        frozenset((run.bodies[found[i].part.body], run.bodies[found[j].part.body]))
        for i, j in zip(one.tolist(), other.tolist(), strict=True)
    ]
    kept = np.array([one_pair == between if between else one_pair != BENT for one_pair in pair], dtype=bool)
    one, other = one[kept], other[kept]
    body = np.concatenate([np.full(len(piece.corners), piece.part.body) for piece in found])
    corners = np.concatenate([piece.corners for piece in found])
    starts = np.cumsum([0, *(len(piece.corners) for piece in found[:-1])])
    begun: dict[tuple[int, int], float] = {}
    worst = (0.0, "")
    for n, time in enumerate((run.time[0], *times)):
        k = int(np.searchsorted(run.time, time - 1e-9))
        k = min(k, len(run.time) - 1)
        turn = Rotation.from_quat(run.poses[k][:, 3:]).as_matrix()
        world = np.einsum("nij,nj->ni", turn[body], corners) + run.poses[k][body, :3]
        low, high = np.minimum.reduceat(world, starts), np.maximum.reduceat(world, starts)
        near = (low[one, 2] < high[other, 2]) & (low[other, 2] < high[one, 2])
        for axis in (0, 1):
            near &= (low[one, axis] < high[other, axis]) & (low[other, axis] < high[one, axis])
        for i, j in zip(one[near].tolist(), other[near].tolist(), strict=True):
            two = []
            for m in (i, j):
                own, piece = turn[found[m].part.body], found[m]
                at = slice(starts[m], starts[m] + len(piece.corners))
                two.append((world[at], piece.faces @ own.T, piece.edges @ own.T))
            before = begun.get((i, j), 0.0)
            deep = depth(two[0], two[1], -np.inf if n == 0 else worst[0] + before)
            if n == 0:
                begun[i, j] = max(deep, 0.0)
            elif deep - before > worst[0]:
                worst = deep - before, f"{found[i].part.name} in {found[j].part.name} at {run.time[k]:.2f} s"
    return worst


def deepest_in_floor(run: Run, case: Case, times: Iterable[float]) -> tuple[float, str]:
    """Greatest depth [m] of a corner below the level floor at these times, and of what and when.

    Rubber gives, a hook hangs on a rope that goes slack, and places are left out with half a metre around them: what
    lies over an edge hangs down in it.
    """
    parts = [
        part
        for part in assemble(case.machine, case.scenario.setup, case.load).parts
        if part.kind != "tyre" and not part.name.startswith("hook")
    ]
    found = pieces(parts, np.array(run.meta["centres"]))
    body = np.concatenate([np.full(len(piece.corners), piece.part.body) for piece in found])
    owner = np.concatenate([np.full(len(piece.corners), n) for n, piece in enumerate(found)])
    corners = np.concatenate([piece.corners for piece in found])
    worst = (0.0, "")
    for time in times:
        k = min(int(np.searchsorted(run.time, time - 1e-9)), len(run.time) - 1)
        turn = Rotation.from_quat(run.poses[k][:, 3:]).as_matrix()
        world = np.einsum("nij,nj->ni", turn[body], corners) + run.poses[k][body, :3]
        free = np.ones(len(world), dtype=bool)
        for place in run.meta["places"]:
            away = world[:, :2] - (place["x"], place["y"])
            c, s = np.cos(place["heading"]), np.sin(place["heading"])
            own = np.abs(away @ np.array([[c, -s], [s, c]]))
            free &= (own > np.array(place["size"]) / 2 + 0.5).any(axis=1)
        down = np.where(free, -world[:, 2], 0.0)
        if down.max() > worst[0]:
            worst = (float(down.max()), f"{found[owner[down.argmax()]].part.name} at {run.time[k]:.2f} s")
    return worst
