"""Where the camera stands: on the side of the cause, far enough to hold truck and load at every time of the run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tipline.view.story import Array, Story, level

__all__ = ["VIEW_ANGLE", "Camera", "close_up", "corners", "fit", "follow", "in_world", "levelled", "reach"]

VIEW_ANGLE = np.radians(26.0)  # vertical; a long lens keeps verticals straight
_ELEVATION = np.radians(17.0)
_CLOSE_ELEVATION = np.radians(30.0)
_LEAST_SIDE = np.radians(38.0)  # how far off the truck's own axis the camera stands at least
_STAYS = 4.0  # a truck that travels less is held by a camera that stands still [m]
_SMOOTH = 0.6  # over this long the camera evens out the way of the truck [s]
_ROOM = 0.75  # floor round the tyres that stays in the picture, for arrows and tip lines [m]
_MOST_SIDE = np.radians(66.0)


@dataclass(frozen=True)
class Camera:
    """Position and focal point (3,) in the levelled world, where z is up against gravity."""

    position: Array
    focus: Array


def reach(story: Story, indices: Sequence[int] | None = None, followed: Array | None = None) -> Array:
    """Give, in the levelled world, points (k, 3) round truck, load and places, at these samples or over the run.

    `followed` (n, 3) is what the camera moves by, and is taken off.
    """
    boxes = [(solid.body, corners(solid.vertices)) for solid in story.solids]
    found = []
    for index in _spread(story) if indices is None else indices:
        for body, box in boxes:
            matrix = story.matrices[index, body]
            found.append(levelled(story, index, box @ matrix[:3, :3].T + matrix[:3, 3]))
        found.append(levelled(story, index, _round_about(story, index)))
        if followed is not None:
            found[-1 - len(boxes) :] = [points - followed[index] for points in found[-1 - len(boxes) :]]
    return np.concatenate(found)


def _round_about(story: Story, index: int) -> Array:
    """Give points (k, 3) of the floor that belong in the picture: contacts, with room for arrows, and places."""
    spots = [np.array([tyre.contact[index] for tyre in story.tyres])] if story.tyres else []
    left, ahead = story.matrices[index, 0, :3, 1], story.matrices[index, 0, :3, 0]
    around = [spot + a * left + b * ahead for spot in spots for a in (-_ROOM, _ROOM) for b in (-_ROOM, _ROOM)]
    pits = [np.column_stack([place.outline, np.zeros(len(place.outline))]) for place in story.places]
    points = np.concatenate([np.zeros((0, 3)), *around, *pits])
    points = points[np.isfinite(points).all(axis=1)]
    return np.column_stack([points[:, :2], story.floor_at(points[:, 0], points[:, 1])])


def fit(story: Story, aspect: float, indices: Sequence[int] | None = None, margin: float = 1.12) -> Camera:
    """Give the camera, where it stands at the first sample, that holds all of `reach` and has the cause on its side."""
    points = reach(story, indices, follow(story))
    back, right, up = _axes(_azimuth(story), _ELEVATION)
    half = np.array([np.tan(VIEW_ANGLE / 2) * aspect, np.tan(VIEW_ANGLE / 2)]) / margin
    local = points @ np.stack([right, up, back]).T
    # A point at (a, b, c) with the camera at (u, v, d): |a - u| <= (d - c) half_x, |b - v| <= (d - c) half_y.
    u, distance_x = _bracket(local[:, 0], local[:, 2], half[0])
    v, distance_y = _bracket(local[:, 1], local[:, 2], half[1])
    distance = max(distance_x, distance_y)
    position = u * right + v * up + distance * back
    return Camera(position, position - back * distance)


def close_up(story: Story, index: int, span: float = 2.0) -> Camera:
    """Give a camera on the cause from the same side, about `span` [m] wide."""
    spot = levelled(story, index, story.cause_points[index][None])[0] - follow(story)[index]
    focus = spot + np.array([0.0, 0.0, 0.15 * span])
    back, _, _ = _axes(_azimuth(story), _CLOSE_ELEVATION)
    return Camera(focus + back * (span / 2) / np.tan(VIEW_ANGLE / 2), focus)


def follow(story: Story) -> Array:
    """Give how far the camera goes with the truck (n, 3), in the levelled world: not at all unless it travels far."""
    way = np.array([levelled(story, k, story.matrices[k, 0, :3, 3][None])[0] for k in range(len(story.time))])
    way = way - way[0]
    if float(np.linalg.norm(way, axis=1).max()) < _STAYS:
        return np.zeros_like(way)
    half = max(int(_SMOOTH / 2 / max(float(story.time[-1] - story.time[0]) / max(len(way) - 1, 1), 1e-6)), 1)
    padded = np.concatenate([np.repeat(way[:1], half, axis=0), way, np.repeat(way[-1:], half, axis=0)])
    total = np.cumsum(np.concatenate([np.zeros((1, 3)), padded]), axis=0)
    return np.asarray((total[2 * half + 1 :] - total[: -2 * half - 1]) / (2 * half + 1))


def levelled(story: Story, index: int, points: Array) -> Array:
    """Give points (k, 3) of the world turned about the truck's first place so that gravity points down the picture."""
    pivot = story.matrices[0, 0, :3, 3]
    return (points - pivot) @ level(story.gravity[index]).T + pivot


def in_world(story: Story, index: int, point: Array) -> Array:
    """Give the world point (3,) that `levelled` carries to `point`."""
    pivot = story.matrices[0, 0, :3, 3]
    return (point - pivot) @ level(story.gravity[index]) + pivot


def _spread(story: Story, samples: int = 60) -> list[int]:
    return [int(i) for i in np.unique(np.linspace(0, len(story.time) - 1, samples).astype(int))]


def _bracket(across: Array, depth: Array, slope: float) -> tuple[float, float]:
    high, low = float(np.max(across + depth * slope)), float(np.min(across - depth * slope))
    return (high + low) / 2, (high - low) / (2 * slope)


def _azimuth(story: Story) -> float:
    """Give the world azimuth from truck to camera: towards the cause, but never along the truck or square to it."""
    ahead = story.matrices[0, 0, :3, 0]
    heading = np.arctan2(ahead[1], ahead[0])
    side = 1.0 if story.look[1] >= 0 else -1.0
    angle = np.arctan2(abs(story.look[1]), story.look[0])
    if angle <= np.pi / 2:
        angle = np.clip(angle, _LEAST_SIDE, _MOST_SIDE)
    else:
        angle = np.pi - np.clip(np.pi - angle, _LEAST_SIDE, _MOST_SIDE)
    return float(heading + side * angle)


def _axes(azimuth: float, elevation: float) -> tuple[Array, Array, Array]:
    back = np.array([np.cos(elevation) * np.cos(azimuth), np.cos(elevation) * np.sin(azimuth), np.sin(elevation)])
    right = np.array([-np.sin(azimuth), np.cos(azimuth), 0.0])
    return back, right, np.cross(back, right)


def corners(points: Array) -> Array:
    """Give the eight corners (8, 3) of the box round points (k, 3)."""
    low, high = points.min(axis=0), points.max(axis=0)
    return np.array([[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])])
