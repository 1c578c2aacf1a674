"""Which samples of a film look alike: a scene in which nothing moves is drawn once, whatever its figures say."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tipline.view.mark_sizes import arrow_scale
from tipline.view.story import Array, Story

__all__ = ["drawn_at"]

_ALIKE = 1e-3
"""What moves less than this is not seen to move: a tenth of a pixel or less at a film's size (our choice) [m]."""
_LONG = 8.0
"""How far parts reach from the axes that they turn about, jib and load up (our choice) [m]."""


def drawn_at(story: Story, steps: Array, indices: Sequence[int]) -> list[int]:
    """Give for each of the samples `indices` the one whose scene shows it too: itself, or one that went before.

    `steps` (n, 3) is how far the camera goes [m]. A scene is compared with the one that is shown, so that what creeps
    is drawn again once it has gone far enough.
    """
    rows = _places(story, steps, np.asarray(indices, dtype=int))
    shown: list[int] = []
    kept = 0
    for k in range(len(rows)):
        if not np.allclose(rows[k], rows[kept], rtol=0.0, atol=_ALIKE, equal_nan=True):
            kept = k
        shown.append(indices[kept])
    return shown


def _places(story: Story, steps: Array, at: NDArray[np.int_]) -> Array:
    """Give all that moves in the scene as lengths (k, m) [m], a row a sample."""
    parts = [steps[at], story.matrices[at, :, :3, 3], _LONG * story.matrices[at, :, :3, :3]]
    parts += [_LONG * story.gravity[at] / np.linalg.norm(story.gravity[at], axis=1, keepdims=True)]
    parts += [story.lying[at].astype(float), story.balance[at]]
    parts += [part for tyre in story.tyres for part in (tyre.contact[at], tyre.load[at] / arrow_scale(story))]
    parts += [line.ends[at] for line in story.lines]
    parts += [place.depth[at] for place in story.places]
    parts += [ends[at] for ends in (story.hook, story.load_top) if ends is not None]
    if story.rise is not None:
        most = max((float(np.abs(solid.rise).max()) for solid in story.solids if solid.rise is not None), default=0.0)
        parts.append(most * story.rise[at])
    return np.concatenate([part.reshape(len(at), -1) for part in parts], axis=1)
