"""Find a place for every label beside its point, so that none overlaps another, leaves the picture or hides a part."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from tipline.view.story import Array

__all__ = ["Label", "PlacedLabel", "overlap", "place"]

_RADII = (16, 26, 38, 52, 70, 92, 118, 150, 190, 240, 300)
_ANGLES = 24
_GAP = 3.0

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Label:
    """A text of `size` pixels for the pixel `anchor`; `key` tells it from the others from frame to frame."""

    key: str
    anchor: tuple[float, float]
    size: tuple[float, float]


@dataclass(frozen=True)
class PlacedLabel:
    """Where a label stands: x0, y0, x1, y1 in pixels."""

    label: Label
    box: Box

    @property
    def leader(self) -> Box:
        """The line from the point to the nearest part of the label."""
        x, y = self.label.anchor
        return x, y, min(max(x, self.box[0]), self.box[2]), min(max(y, self.box[1]), self.box[3])


def place(
    labels: Iterable[Label],
    view: tuple[float, float],
    parts: Array,
    before: dict[str, tuple[float, float]],
    taken: Sequence[Box] = (),
) -> list[PlacedLabel]:
    """Place labels one after the other; `before` holds the last offsets by key and is brought up to date.

    A label that can stand where it stood keeps its place, so that it does not jump about in a film. A label whose
    point is outside the picture is left out. No label goes into the boxes `taken`, nor onto parts (k, 4), boxes round
    what is drawn, where that can be [pixels].
    """
    wanted = [label for label in labels if _within((*label.anchor, *label.anchor), view)]
    anchors = np.array([label.anchor for label in wanted]).reshape(-1, 2)
    middle = parts.reshape(-1, 2, 2).mean(axis=(0, 1)) if len(parts) else np.array(view) / 2
    walls = [PlacedLabel(Label("", (box[0], box[1]), (0.0, 0.0)), box) for box in taken]
    done: list[PlacedLabel] = list(walls)
    for label in wanted:
        placed = _kept(label, before, view, done, anchors) or _found(label, view, parts, done, anchors, middle)
        if placed is None:
            before.pop(label.key, None)
            continue
        before[label.key] = (placed.box[0] - label.anchor[0], placed.box[1] - label.anchor[1])
        done.append(placed)
    return done[len(walls) :]


def overlap(a: Box, b: Box, gap: float = 0.0) -> bool:
    """Whether two boxes come closer than `gap`."""
    return a[0] < b[2] + gap and b[0] < a[2] + gap and a[1] < b[3] + gap and b[1] < a[3] + gap


def _kept(
    label: Label,
    before: dict[str, tuple[float, float]],
    view: tuple[float, float],
    done: list[PlacedLabel],
    anchors: Array,
) -> PlacedLabel | None:
    if label.key not in before:
        return None
    dx, dy = before[label.key]
    x, y = label.anchor[0] + dx, label.anchor[1] + dy
    placed = PlacedLabel(label, (x, y, x + label.size[0], y + label.size[1]))
    return placed if _fits(placed, view, done, anchors) else None


def _found(
    label: Label, view: tuple[float, float], parts: Array, done: list[PlacedLabel], anchors: Array, middle: Array
) -> PlacedLabel | None:
    away = np.array(label.anchor) - middle
    first = np.arctan2(away[1] + 40.0, away[0])  # outwards and a little down, onto the floor
    turns = sorted(range(_ANGLES), key=lambda k: (min(k, _ANGLES - k), k))
    second: tuple[int, PlacedLabel] | None = None
    for radius in _RADII:
        for k in turns:
            angle = first + 2 * np.pi * k / _ANGLES
            placed = _at(label, radius, angle)
            if not _fits(placed, view, done, anchors):
                continue
            hidden = _hidden(placed.box, parts)
            if not hidden:
                return placed
            if second is None or hidden < second[0]:
                second = hidden, placed
    return second[1] if second else None


def _at(label: Label, radius: float, angle: float) -> PlacedLabel:
    wide, high = label.size
    x = label.anchor[0] + np.cos(angle) * (radius + wide / 2) - wide / 2
    y = label.anchor[1] + np.sin(angle) * (radius + high / 2) - high / 2
    return PlacedLabel(label, (x, y, x + wide, y + high))


def _fits(placed: PlacedLabel, view: tuple[float, float], done: list[PlacedLabel], anchors: Array) -> bool:
    box = placed.box
    if not _within((box[0] - _GAP, box[1] - _GAP, box[2] + _GAP, box[3] + _GAP), view):
        return False
    x, y = anchors.T
    if np.any((x > box[0] - 2) & (x < box[2] + 2) & (y > box[1] - 2) & (y < box[3] + 2)):
        return False
    return not any(
        overlap(box, other.box, _GAP) or _crosses(placed.leader, other.box) or _crosses(other.leader, box)
        for other in done
    )


def _hidden(box: Box, parts: Array) -> int:
    """Count the parts that a box would cover."""
    if not len(parts):
        return 0
    hit = (box[0] < parts[:, 2]) & (parts[:, 0] < box[2]) & (box[1] < parts[:, 3]) & (parts[:, 1] < box[3])
    return int(hit.sum())


def _within(box: Box, view: tuple[float, float]) -> bool:
    return bool(np.isfinite(box).all()) and box[0] >= 0 and box[1] >= 0 and box[2] <= view[0] and box[3] <= view[1]


def _crosses(line: Box, box: Box) -> bool:
    """Whether a segment meets a box (clipping by Liang and Barsky)."""
    x0, y0, x1, y1 = line
    enter, leave = 0.0, 1.0
    for step, low, high in ((x1 - x0, box[0] - x0, box[2] - x0), (y1 - y0, box[1] - y0, box[3] - y0)):
        if abs(step) < 1e-9:
            if low > 0 or high < 0:
                return False
            continue
        near, far = sorted((low / step, high / step))
        enter, leave = max(enter, near), min(leave, far)
    return enter <= leave
