"""The convex outline of many points in plan: most lie well within it and are put aside before it is looked for."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tipline.model.plane import Outline, hull
from tipline.view.story import Array

__all__ = ["convex"]

_FEW = 24
"""So few points are not worth looking through first (measured)."""
_WAYS = np.column_stack([np.cos(angles := np.arange(8) * np.pi / 4), np.sin(angles)])
_WITHIN = 1e-9
"""What lies less far inside a side may be on the outline by rounding (numerical) [square of how far points spread]."""


def convex(points: Array) -> Outline:
    """Give the corners of the convex outline, counter-clockwise, round points (n, 2) [m or pixels]."""
    kept = points if len(points) <= _FEW else points[~_well_within(points)]
    return hull((float(x), float(y)) for x, y in kept)


def _well_within(points: Array) -> NDArray[np.bool_]:
    """Tell which points (n, 2) lie inside the polygon of the outermost in eight directions: never on the outline."""
    corners = points[np.argmax(points @ _WAYS.T, axis=0)]
    sides = np.roll(corners, -1, axis=0) - corners
    x, y = (points[:, None] - corners).transpose(2, 0, 1)
    left = sides[:, 0] * y - sides[:, 1] * x
    there = sides.any(axis=1)  # one point may be the outermost in two directions
    spread = float(np.ptp(points, axis=0).max())
    return np.asarray((left[:, there] > _WITHIN * spread**2).all(axis=1))
