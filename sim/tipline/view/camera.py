"""Where the camera stands: on the side of the cause, as near as holds truck and load, and how it goes with them.

It stands for the first sample, so that its place tells nothing of the ending; later it moves no more than is needed
to keep truck and load in the picture, and so a truck that rocks is seen to rock. On what lies it moves in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tipline.view.story import Array, DrawnSolid, Story, level

__all__ = [
    "VIEW_ANGLE",
    "Camera",
    "cause_azimuth",
    "clear_azimuth",
    "close_up",
    "corners",
    "fit",
    "in_world",
    "levelled",
    "reach",
    "travel",
]

VIEW_ANGLE = np.radians(26.0)  # vertical; a long lens keeps verticals straight
_ELEVATION = np.radians(17.0)
_CLOSE_ELEVATION = np.radians(30.0)
_LEAST_SIDE = np.radians(38.0)  # how far off the truck's own axis the camera stands at least
_STAYS = 4.0  # a truck that travels less is held by a camera that stands still [m]
_SMOOTH = 0.6  # over this long the camera evens out the way of the truck [s]
_EASE = 0.5  # over this long it evens out its own moves [s]
_ROOM = 0.75  # floor round the tyres that stays in the picture, for arrows and tip lines [m]
_NEARBY = 3.0  # a place farther from every tyre than this need not be in the picture [m]
_MARGIN = 1.12  # the picture is this much wider than what it holds at the first sample
_EDGE = 1.03  # and at least this much later
_SAMPLES = 240
_TURN_TO = 0.12  # part of the way to the middle of what lies, a sample
_SIDES = np.radians([0.0, 25.0, -25.0, 50.0, -50.0, 180.0, 155.0, 205.0, 90.0, -90.0])  # tried for a clear view
_MOST_SIDE = np.radians(66.0)


@dataclass(frozen=True)
class Camera:
    """Position and focal point (3,) [m] in the levelled world, where z is up against gravity."""

    position: Array
    focus: Array


def reach(story: Story, indices: Sequence[int] | None = None) -> Array:
    """Give, in the levelled world, points (k, 3) [m] round truck, load and places, at samples or over the run."""
    boxes = _body_boxes(story)
    return np.concatenate([_reached(story, boxes, index) for index in (_evenly(story) if indices is None else indices)])


def covered(story: Story) -> Array:
    """Give, on the floor as it lies, points (k, 3) [m] round truck, load and places over the run."""
    boxes = _body_boxes(story)
    return np.concatenate([_placed(story, boxes, index) for index in _evenly(story)])


def _body_boxes(story: Story) -> dict[int, Array]:
    """Give the corners (k, 3) of the boxes round the parts of each body."""
    boxes: dict[int, list[Array]] = {}
    for solid in story.solids:
        boxes.setdefault(solid.body, []).append(corners(solid.vertices))
    return {body: np.concatenate(some) for body, some in boxes.items()}


def _reached(story: Story, boxes: dict[int, Array], index: int) -> Array:
    return levelled(story, index, _placed(story, boxes, index))


def _placed(story: Story, boxes: dict[int, Array], index: int) -> Array:
    matrices = story.matrices[index]
    placed = [points @ matrices[body, :3, :3].T + matrices[body, :3, 3] for body, points in boxes.items()]
    return np.concatenate([*placed, _round_about(story, index)])


def _round_about(story: Story, index: int) -> Array:
    """Give points (k, 3) of the floor that belong in the picture: contacts, with room for arrows, and places near."""
    spots = [np.array([tyre.contact[index] for tyre in story.tyres])] if story.tyres else []
    left, ahead = story.matrices[index, 0, :3, 1], story.matrices[index, 0, :3, 0]
    around = [spot + a * left + b * ahead for spot in spots for a in (-_ROOM, _ROOM) for b in (-_ROOM, _ROOM)]
    pits = [
        np.column_stack([place.outline, np.zeros(len(place.outline))])
        for place in story.places
        if any(np.min(np.linalg.norm(spot[:, :2] - place.outline.mean(axis=0), axis=1)) < _NEARBY for spot in spots)
    ]
    points = np.concatenate([np.zeros((0, 3)), *around, *pits])
    points = points[np.isfinite(points).all(axis=1)]
    return np.column_stack([points[:, :2], story.floor_at(points[:, 0], points[:, 1])])


def fit(story: Story, aspect: float, index: int = 0, azimuth: float | None = None, margin: float = _MARGIN) -> Camera:
    """Give the camera that holds all of `reach` at one sample; it has the cause on its side unless told otherwise."""
    back, right, up = _axes(cause_azimuth(story) if azimuth is None else azimuth, _ELEVATION)
    half = np.array([np.tan(VIEW_ANGLE / 2) * aspect, np.tan(VIEW_ANGLE / 2)]) / margin
    local = reach(story, [index]) @ np.stack([right, up, back]).T
    u, distance_x = _bracket(local[:, 0], local[:, 2], half[0])
    v, distance_y = _bracket(local[:, 1], local[:, 2], half[1])
    distance = max(distance_x, distance_y)
    position = u * right + v * up + distance * back
    truck = levelled(story, index, story.matrices[index, :1, :3, 3])[0]
    return Camera(position, position - back * (distance - truck @ back))  # it looks to where the truck has gone


def travel(story: Story, aspect: float, camera: Camera) -> Array:
    """Give how far a camera that fits the first sample has to go (n, 3) [m], in the levelled world.

    It goes with a truck that drives off. Besides it moves aside, up or back only as far as keeps truck and load in the
    picture, evened out over time, and in on a truck that lies.
    """
    way, back = _way(story), camera.position - camera.focus
    back = back / np.linalg.norm(back)
    right = np.cross([0.0, 0.0, 1.0], back)
    right = right / np.linalg.norm(right)
    basis = np.stack([right, np.cross(back, right), back])
    half = np.array([np.tan(VIEW_ANGLE / 2) * aspect, np.tan(VIEW_ANGLE / 2)]) / _EDGE
    start = basis @ camera.position
    samples, boxes = _evenly(story, _SAMPLES), _body_boxes(story)
    shown = [(_reached(story, boxes, k) - way[k]) @ basis.T for k in samples]
    place, least, centres, nearest = start.copy(), float(start[2]), [], []
    for k, points in zip(samples, shown, strict=True):
        if story.fallen(k):  # what lies is looked at, not how far it rocks
            middle = 0.5 * (points[:, :2].max(axis=0) + points[:, :2].min(axis=0))
            place[:2] += _TURN_TO * (middle - place[:2])
            fits = max(_bracket(points[:, axis], points[:, 2], half[axis] / _MARGIN)[1] for axis in (0, 1))
            least += _TURN_TO * (min(fits, least) - least)
        place = _held(points, place[:2], least, half)
        centres.append(place)
        nearest.append(least)
    step = float(story.time[-1] - story.time[0]) / max(len(samples) - 1, 1)
    wide = max(round(_EASE / 2 / step), 1) if step > 0.0 else 1
    moved = np.array(centres)
    moved[:, :2] = _even(moved[:, :2], wide)
    far = np.array(
        [max(least, *_distances(points, at[:2], half)) for least, points, at in zip(nearest, shown, moved, strict=True)]
    )
    moved[:, 2] = _even(_greatest(far, wide)[:, None], wide)[:, 0]
    steps = (moved - start) @ basis
    time = story.time[samples]
    return np.asarray(way + np.column_stack([np.interp(story.time, time, steps[:, axis]) for axis in range(3)]))


def _held(points: Array, place: Array, least: float, half: Array) -> Array:
    """Give aside, up and back (3,) of the camera that holds points (k, 3), as near to where it stood as can be."""
    across, depth = points[:, :2], points[:, 2:]
    back = max(least, *(_bracket(across[:, axis], points[:, 2], half[axis])[1] for axis in (0, 1)))
    room = (back - depth) * half
    low, high = np.max(across - room, axis=0), np.min(across + room, axis=0)
    return np.array([*np.clip(place, np.minimum(low, high), np.maximum(low, high)), back])


def _distances(points: Array, place: Array, half: Array) -> Array:
    """Give how far back a camera at `place` (2,) must stand for points (k, 3): for the width and for the height."""
    return np.asarray(np.max(np.abs(points[:, :2] - place) / half + points[:, 2:], axis=0))


def _greatest(values: Array, wide: int) -> Array:
    """Give the greatest of each value's neighbours up to `wide` samples away."""
    padded = np.pad(values, wide, mode="edge")
    return np.asarray(np.lib.stride_tricks.sliding_window_view(padded, 2 * wide + 1).max(axis=1))


def _even(values: Array, wide: int) -> Array:
    """Give the mean of each row's neighbours up to `wide` samples away."""
    padded = np.pad(values, ((wide, wide), (0, 0)), mode="edge")
    return np.asarray(np.lib.stride_tricks.sliding_window_view(padded, 2 * wide + 1, axis=0).mean(axis=-1))


def clear_azimuth(story: Story, index: int) -> float:
    """Give the azimuth from which truck and load hide each other least; of equals, the one nearest the cause."""
    usual = cause_azimuth(story)
    load = [solid for solid in story.solids if solid.kind == "load"]
    rest = [solid for solid in story.solids if solid.kind in ("chassis", "mast", "guard")]
    if not load or not rest:
        return usual
    sides = [_points(story, index, part) for part in (load, rest)]

    def hidden(azimuth: float) -> float:
        _, right, up = _axes(azimuth, _ELEVATION)
        boxes = [np.stack([points @ right, points @ up], axis=1) for points in sides]
        low = np.max([box.min(axis=0) for box in boxes], axis=0)
        high = np.min([box.max(axis=0) for box in boxes], axis=0)
        least = min(float(np.prod(np.ptp(box, axis=0))) for box in boxes)
        return float(np.prod(np.clip(high - low, 0.0, None))) / max(least, 1e-9)

    tried = [(round(hidden(usual + turn), 1), k, usual + turn) for k, turn in enumerate(_SIDES.tolist())]
    return float(min(tried)[2])


def _points(story: Story, index: int, solids: Sequence[DrawnSolid]) -> Array:
    points = []
    for solid in solids:
        matrix = story.matrices[index, solid.body]
        points.append(levelled(story, index, corners(solid.vertices) @ matrix[:3, :3].T + matrix[:3, 3]))
    return np.concatenate(points)


def close_up(story: Story, index: int, span: float = 2.0) -> Camera:
    """Give a camera on the cause from the same side, about `span` [m] wide."""
    spot = levelled(story, index, story.cause_points[index][None])[0]
    focus = spot + np.array([0.0, 0.0, 0.15 * span])
    back, _, _ = _axes(cause_azimuth(story), _CLOSE_ELEVATION)
    return Camera(focus + back * (span / 2) / np.tan(VIEW_ANGLE / 2), focus)


def _way(story: Story) -> Array:
    """Give the truck's own way, evened out (n, 3), in the levelled world: nought unless it travels far."""
    downs, which = np.unique(story.gravity, axis=0, return_inverse=True)
    turns = np.array([level(down) for down in downs])[which.reshape(-1)]
    way = np.einsum("nij,nj->ni", turns, story.matrices[:, 0, :3, 3] - story.matrices[0, 0, :3, 3])
    if float(np.linalg.norm(way, axis=1).max()) < _STAYS:
        return np.zeros_like(way)
    step = float(story.time[-1] - story.time[0]) / max(len(way) - 1, 1)
    return _even(way, max(int(_SMOOTH / 2 / max(step, 1e-6)), 1))


def levelled(story: Story, index: int, points: Array) -> Array:
    """Give points (k, 3) [m] of the world turned about the truck's first place so that gravity points down in it."""
    pivot = story.matrices[0, 0, :3, 3]
    return (points - pivot) @ level(story.gravity[index]).T + pivot


def in_world(story: Story, index: int, point: Array) -> Array:
    """Give the world point (3,) [m] that `levelled` carries to `point`."""
    pivot = story.matrices[0, 0, :3, 3]
    return (point - pivot) @ level(story.gravity[index]) + pivot


def _evenly(story: Story, samples: int = 60) -> list[int]:
    return [int(i) for i in np.unique(np.linspace(0, len(story.time) - 1, samples).astype(int))]


def _bracket(across: Array, depth: Array, slope: float) -> tuple[float, float]:
    high, low = float(np.max(across + depth * slope)), float(np.min(across - depth * slope))
    return (high + low) / 2, (high - low) / (2 * slope)


def cause_azimuth(story: Story) -> float:
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
    """Give the eight corners (8, 3) of the box round points (k, 3), all [m]."""
    low, high = points.min(axis=0), points.max(axis=0)
    return np.array([[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])])
