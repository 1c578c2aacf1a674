"""Edges of a finished picture made smooth, where neighbours differ: one pixel in thirty, so that it is quickly done.

The ends of each edge's step are looked for along it, and a pixel takes so much of its neighbour across the edge as the
step's place says; what stands out alone is softened. The method is FXAA 3.11 (T. Lottes, 2011; from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PIL import Image

__all__ = ["smoothed"]

_LEAST, _PART = 16, 8
"""Pixels stay as they are whose neighbours differ by less than this, or than this part of the lightest [0 to 255]."""
_STEPS = (1, 2, 3, 4, 6, 8, 10, 12, 16, 24)
"""How far along an edge its end is looked for [pixels]."""
_SOFTENED = 0.75
"""How much of what stands out alone is taken away."""

Values = NDArray[np.float32]
Spots = NDArray[np.intp]


def smoothed(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Give the picture (h, w, 3) [0 to 255] with smooth edges; its outermost rows and columns stay as they are."""
    light = np.asarray(Image.fromarray(picture).convert("L"))
    spots, contrast = _edges(light)
    wide = light.shape[1]
    room = (_STEPS[-1] + 1) * wide  # before and after, so that no look along an edge leaves the picture
    flat = np.pad(light.ravel(), room, mode="edge").astype(np.float32)
    pixels, inner, spots = picture.reshape(-1, 3), spots, spots + room
    here = flat.take(spots)  # which is quicker than by brackets
    up, down, left, right = (flat.take(spots + step) for step in (-wide, wide, -1, 1))
    high_left, high_right, low_left, low_right = (
        flat.take(spots + step) for step in (-wide - 1, -wide + 1, wide - 1, wide + 1)
    )
    upper, lower = high_left + high_right, low_left + low_right
    before, after = high_left + low_left, high_right + low_right
    bends_down = abs(before - 2 * left) + 2 * abs(up + down - 2 * here) + abs(after - 2 * right)
    bends_along = abs(upper - 2 * up) + 2 * abs(left + right - 2 * here) + abs(lower - 2 * down)
    level = bends_down >= bends_along
    first, second = np.where(level, up, left), np.where(level, down, right)
    steeper = abs(first - here) >= abs(second - here)
    across = np.where(level, wide, 1) * np.where(steeper, -1, 1)
    beyond = np.where(steeper, first, second)
    share = _share(flat, spots, across, np.where(level, 1, wide), (here + beyond) / 2, abs(beyond - here) / 4)
    alone = np.clip(abs((2 * (up + down + left + right) + upper + lower) / 12 - here) / contrast, 0.0, 1.0)
    share = np.maximum(share, _SOFTENED * ((3 - 2 * alone) * alone * alone) ** 2)[:, None]
    done = pixels.copy()
    own, other = pixels.take(inner, axis=0), pixels.take(inner + across, axis=0)
    done[inner] = (own * (1 - share) + other * share + 0.5).astype(np.uint8)
    return done.reshape(picture.shape)


def _edges(light: NDArray[np.uint8]) -> tuple[Spots, Values]:
    """Give the places (k,) in the flat picture where neighbours differ, and by how much."""
    five = (light[1:-1, 1:-1], light[:-2, 1:-1], light[2:, 1:-1], light[1:-1, :-2], light[1:-1, 2:])
    most, least = five[0], five[0]
    for other in five[1:]:
        most, least = np.maximum(most, other), np.minimum(least, other)
    differ = most - least
    there = np.flatnonzero(differ >= np.maximum(most // _PART, _LEAST))
    rows, columns = np.divmod(there, differ.shape[1])
    return (rows + 1) * light.shape[1] + columns + 1, differ.ravel().take(there).astype(np.float32)


def _share(flat: Values, spots: Spots, across: Spots, along: Spots, middle: Values, enough: Values) -> Values:
    """Give how much (k,) each pixel takes of its neighbour across the edge, by where on the step it lies."""
    far, ends = [], []
    for way in (-1, 1):
        reach, end = np.full(len(spots), float(_STEPS[-1]), np.float32), np.zeros(len(spots), np.float32)
        going = np.arange(len(spots))
        at, beside, step_by, mean, least = spots, spots + across, way * along, middle, enough
        for step in _STEPS:
            by = step * step_by
            differs = (flat.take(at + by) + flat.take(beside + by)) / 2 - mean
            end[going] = differs
            met = abs(differs) >= least
            reach[going[met]] = step
            on = np.flatnonzero(~met)
            going, at, beside, step_by = going.take(on), at.take(on), beside.take(on), step_by.take(on)
            mean, least = mean.take(on), least.take(on)
        far.append(reach)
        ends.append(end)
    nearer = far[0] < far[1]
    crosses = (np.where(nearer, ends[0], ends[1]) < 0.0) != (flat[spots] < middle)
    return np.where(crosses, 0.5 - np.minimum(*far) / (far[0] + far[1]), np.float32(0.0))
