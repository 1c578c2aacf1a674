"""How large the marks in a scene are: what an arrow stands for, where it stands, the grid, the width of lines."""

from __future__ import annotations

import numpy as np

from tipline.units import FOOT, POUND_FORCE, System
from tipline.view.camera import VIEW_ANGLE, Camera
from tipline.view.story import Story

__all__ = ["arrow_offsets", "arrow_scale", "grid_step", "mark_size"]

_ARROW_GAP = 0.40  # from the outermost tyre's side to its arrow, and on to that of its twin
_ARROW_STEPS = (5, 10, 20, 50, 100, 200, 500)  # [kN/m], or hundreds of pounds a foot
_USUAL_VIEW = 10.0  # height of the picture [m] for which the sizes of marks hold; others are drawn in proportion


def arrow_scale(story: Story, system: System = "si") -> float:
    """Give the load that an arrow of 1 m stands for [N].

    It is round, a metre or a foot, and makes the longest arrow at rest about 1 m.
    """
    most = max((float(tyre.load[0]) for tyre in story.tyres), default=0.0)
    unit = 1e3 if system == "si" else 100.0 * POUND_FORCE / FOOT
    return unit * next((step for step in _ARROW_STEPS if step * unit >= 0.8 * most), _ARROW_STEPS[-1])


def arrow_offsets(story: Story) -> list[float]:
    """Give how far to the left [m] of each tyre's contact its arrow stands: outboard of the axle, twins in order."""
    left = story.matrices[0, 0, :3, 1]
    across = [float(tyre.contact[0] @ left) * tyre.outboard for tyre in story.tyres]
    offsets = []
    for tyre, own in zip(story.tyres, across, strict=True):
        side = [
            other
            for twin, other in zip(story.tyres, across, strict=True)
            if twin.front == tyre.front and twin.outboard == tyre.outboard
        ]
        steps = 1 + sum(other < own - 1e-6 for other in side)
        offsets.append(tyre.outboard * (max(side) - own + tyre.width / 2 + _ARROW_GAP * steps))
    return offsets


def grid_step(system: System) -> float:
    """Give the side of the floor grid [m]: 1 m, or 3 ft."""
    return 1.0 if system == "si" else 3.0 * FOOT


def mark_size(camera: Camera) -> float:
    """Give the size of lines, arrows and balance point, so that they look alike near and far."""
    high = 2 * float(np.linalg.norm(camera.position - camera.focus)) * np.tan(VIEW_ANGLE / 2)
    return float(np.clip(high / _USUAL_VIEW, 0.4, 2.0))
