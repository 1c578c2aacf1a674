"""The floor in a scene: its pieces and grid, its places with what shows that they gave way, what stands out of it."""

from __future__ import annotations

from typing import Any

import numpy as np

from tipline.view import palette
from tipline.view.camera import covered
from tipline.view.layers import Layers
from tipline.view.meshes import chipped, cracks, grid, pit, pointer, sheet
from tipline.view.story import Array, Place, Story

__all__ = ["Places", "lay_floor", "raised_edges"]

_DARK = 0.15  # a bottom this deep is darkened to a third [m]
_POINTER = 0.55  # height of the arrow over a hole [m]
_FRESH = 0.35  # how much of the floor's own colour the paler rim of a hole has
_SHOWN_DEPTH = 5e-3  # less than this is not seen as a hole [m]


class Places:
    """The places of a story's floor, seen along `view` (2,) [m] from above."""

    def __init__(self, layers: Layers, story: Story, view: Array) -> None:
        self._places = story.places
        self._dug = [_dug(layers, place) for place in story.places]
        self._marks = [_marked(layers, place, view) for place in story.places]

    def deepen(self, index: int) -> None:
        """Give each its depth at one sample; before it came about there is floor."""
        for place, actors in zip(self._places, self._dug, strict=True):
            scale = np.diag([1.0, 1.0, max(float(place.depth[index]), 1e-4), 1.0])
            for actor in actors:
                actor.user_matrix = scale
            there = place.planned or float(place.depth[index]) > 1e-4
            for actor in actors[:-1]:
                actor.SetVisibility(there)
            actors[-1].SetVisibility(not there)

    def mark(self, index: int, size: float) -> Array:
        """Stand each arrow on the bottom of its place, and return their tails (k, 3) [m] in the world."""
        tails = []
        for place, (spot, arrows, broken) in zip(self._places, self._marks, strict=True):
            depth = float(place.depth[index])
            matrix = np.diag([size, size, size * _POINTER + depth, 1.0])
            matrix[:3, 3] = *spot, -depth
            for actor in arrows:
                actor.user_matrix = matrix
            for actor in (*arrows, *broken):
                actor.SetVisibility(depth > _SHOWN_DEPTH)
            tails.append([*spot, size * _POINTER])
        return np.array(tails).reshape(-1, 3)


def _dug(layers: Layers, place: Place) -> list[Any]:
    import pyvista as pv

    inside = palette.HOLE if place.kind == "hole" else palette.SOFT
    walls, bottom, rim = pit(pv, place.outline)
    return [
        layers.add(walls, inside, ambient=0.5),
        layers.add(bottom, _mix(inside, palette.FLOOR, _light_at(place)), ambient=0.5, lighting=False),
        layers.add(rim, palette.INK, line_width=2.0, lighting=False),
        layers.add(bottom.copy(), palette.FLOOR, ambient=0.35),  # the floor before it came about
    ]


def _marked(layers: Layers, place: Place, view: Array) -> tuple[Array, list[Any], list[Any]]:
    """Make what shows that the floor gave way: the spot (2,) and actors of an arrow to its bottom, rim and cracks."""
    import pyvista as pv

    corners = place.outline
    middle = corners.mean(axis=0)
    near = corners[int(np.argmax((corners - middle) @ view))]
    light, dark = pointer(pv)
    edge = layers.add_twice(dark, palette.INK, 0.9)
    arrows = [*edge, *layers.add_twice(light, palette.PANEL, 0.9)]
    for actor in edge:
        actor.prop.culling = "front"
    broken = []
    if place.kind == "hole":
        broken = [
            layers.add(chipped(pv, place.outline), _mix(palette.PAPER, palette.FLOOR, _FRESH), lighting=False),
            layers.add(cracks(pv, place.outline), palette.HOLE, lighting=False),
        ]
    return near + 0.2 * (middle - near), arrows, broken


def lay_floor(layers: Layers, story: Story, step: float) -> None:
    """Draw the floor with its grid, its ramp and what stands out of it; left out where a place is."""
    import pyvista as pv

    points = covered(story)
    outlines = [place.outline for place in story.places]
    plan = np.concatenate([points[:, :2], *outlines])
    low, high = np.floor((plan.min(axis=0) - 2.0) / step) * step, np.ceil((plan.max(axis=0) + 2.0) / step) * step
    corners = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
    lines = grid(pv, low, high, step, outlines)
    if story.ramp is None:
        layers.add(sheet(pv, corners, outlines), palette.FLOOR, ambient=0.35)
    else:
        _lay_ramp(layers, story, corners)
        lines.points[:, 2] += story.floor_at(*lines.points[:, :2].T)
    layers.add(lines, palette.GRID, line_width=1.0, lighting=False)
    for outline, height in story.raised:
        _lay_raised(layers, outline, height, corners)


def _lay_raised(layers: Layers, outline: Array, height: float, corners: Array) -> None:
    """Set what stands out of the floor on it, as far as the floor is drawn."""
    import pyvista as pv

    piece, (low, high) = outline, (corners.min(axis=0), corners.max(axis=0))
    for axis in (0, 1):
        piece = _kept(piece, piece[:, axis] - low[axis])
        piece = _kept(piece, high[axis] - piece[:, axis])
    if len(piece) < 3:
        return
    walls, bottom, rim = pit(pv, piece)
    colour = palette.RAISED
    for mesh, paint in ((walls, palette.INK), (bottom, colour)):
        mesh.points[:, 2] *= -height
        layers.add(mesh, paint, ambient=0.5)
    rim.points[:, 2] = height
    layers.add(rim, palette.INK, line_width=2.0, lighting=False)


def _lay_ramp(layers: Layers, story: Story, corners: Array) -> None:
    """Lay the floor in three pieces: before the ramp, the ramp a little darker, and past its end."""
    import pyvista as pv

    x, y, c, s, _, long = story.ramp or (0.0,) * 6
    for first, last, sloping in ((-np.inf, 0.0, False), (0.0, long, True), (long, np.inf, False)):
        piece = corners
        for way, sense in ((first, 1.0), (last, -1.0)):
            if np.isfinite(way):
                piece = _kept(piece, sense * (piece @ np.array([c, s]) - c * x - s * y - way))
        if len(piece) < 3:
            continue
        mesh = sheet(pv, piece, [])
        mesh.points[:, 2] = story.floor_at(*mesh.points[:, :2].T)
        layers.add(mesh, palette.RAMP if sloping else palette.FLOOR, ambient=0.35)


def _kept(outline: Array, inside: Array) -> Array:
    """Cut a convex outline (k, 2) to where a value at its corners, linear between them, is not below 0."""
    kept = []
    for k in range(len(outline)):
        a, b, u, v = outline[k - 1], outline[k], inside[k - 1], inside[k]
        if (u < 0.0) != (v < 0.0):
            kept.append(a + (b - a) * u / (u - v))
        if v >= 0.0:
            kept.append(b)
    return np.array(kept).reshape(-1, 2)


def raised_edges(story: Story, index: int) -> Array:
    """Give the point (k, 3) [m] of each thing that stands out of the floor that is nearest to the drive axle."""
    here, edges = story.matrices[index, 0, :2, 3], []
    for ring, height in story.raised:
        ends = np.roll(ring, -1, axis=0) - ring
        along = ((here - ring) * ends).sum(axis=1) / (ends * ends).sum(axis=1)
        spots = ring + np.clip(along, 0.0, 1.0)[:, None] * ends
        edges.append([*spots[np.argmin(((spots - here) ** 2).sum(axis=1))], height])
    return np.array(edges).reshape(-1, 3)


def _light_at(place: Place) -> float:
    """Give how much of the floor's own colour is left at the bottom of a place: the deeper, the darker."""
    return 0.75 * float(np.exp(-np.max(place.depth) / _DARK))


def _mix(a: palette.Colour, b: palette.Colour, share: float) -> palette.Colour:
    return tuple(round(p * (1 - share) + q * share) for p, q in zip(a, b, strict=True))  # type: ignore[return-value]
