"""Shadows on the floor, straight below: frame with counterweight, mast with carriage, load, as one outline each.

They show how high a load hangs and where what falls will lie. The light comes from above, square to the floor; an
outline bends round all of its part, which costs a thousandth of a second a picture.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from tipline.view.camera import corners
from tipline.view.convex import convex
from tipline.view.story import Array, Story

if TYPE_CHECKING:
    import pyvista as pv

__all__ = ["OPACITY", "Shadow", "outline", "shadows"]

OPACITY = 0.22
"""How dark a shadow is: a hole, the grid and a tip line are seen through it (our choice)."""
_LIFTED = 0.004
"""How far above the floor it is drawn, below tip lines (numerical) [m]."""
_CAST_BY = ((0, 1, 4), (2, 3), (5,))
"""Bodies that cast one shadow, as a run has them: chassis, axle, counterweight; mast, carriage; load."""
_MOST = 48
"""Corners of an outline (our choice)."""


class Shadow:
    """One outline on the floor; `mesh` is filled by `pose`."""

    def __init__(self, pv: Any, story: Story, bodies: tuple[int, ...]) -> None:
        self._story = story
        self._boxes = [
            (solid.body, corners(solid.vertices), None if solid.rise is None else solid.rise.mean(axis=0))
            for solid in story.solids
            if solid.body in bodies
        ]
        fan = np.array([[3, 0, k, k + 1] for k in range(1, _MOST - 1)])
        self.mesh: pv.PolyData = pv.PolyData(np.zeros((_MOST, 3)), fan.ravel())

    def pose(self, index: int) -> None:
        """Lay the outline below the part at one sample."""
        story, points = self._story, []
        for body, box, rise in self._boxes:
            matrix = story.matrices[index, body]
            shift = 0.0 if rise is None or story.rise is None else float(story.rise[index]) * rise
            points.append((box + shift) @ matrix[:2, :3].T + matrix[:2, 3])
        ring = outline(np.concatenate(points))
        ring = ring[np.minimum(np.arange(_MOST), len(ring) - 1)]
        self.mesh.points = np.column_stack([ring, story.floor_at(*ring.T) + _LIFTED])


def shadows(pv: Any, story: Story) -> list[Shadow]:
    """Make the shadow of each part that there is."""
    there = {solid.body for solid in story.solids}
    return [Shadow(pv, story, bodies) for bodies in _CAST_BY if there.intersection(bodies)]


def outline(points: Array) -> Array:
    """Give the corners (k, 2), counter-clockwise, of the convex outline round points (n, 2) [m], at most `_MOST`."""
    ring = np.array(convex(points.round(4)))
    return ring if len(ring) <= _MOST else ring[np.linspace(0, len(ring) - 1, _MOST).astype(int)]
