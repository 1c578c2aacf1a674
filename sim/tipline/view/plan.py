"""The plan beside the scene: tyres, tip lines and balance point from above, the truck's front up.

Of a truck that has fallen it shows what lies, from above, over where its tyres last stood.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from tipline.units import System
from tipline.view import palette
from tipline.view.canvas import text_size, write
from tipline.view.convex import convex
from tipline.view.story import Array, Story, nearest

__all__ = ["Plan"]

_FINE = 2  # drawn this many times larger, then reduced, for smooth edges
_LEAST_ROOM = 0.55  # about the tyres [m]
_LEAST_LEVEL = 0.3
_TRAIL = 1.0  # how much of the balance point's way is drawn [s]


class Plan:
    """A plan of fixed scale for one story, `size` pixels wide and high."""

    def __init__(self, story: Story, size: tuple[int, int], text: int, system: System = "si") -> None:
        self.story, self.size, self.text, self.system = story, size, text, system
        self._ahead = _headings(story)
        self._stood = _last_stood(story)
        self._parts = sorted(story.solids, key=lambda solid: solid.kind == "load")
        flat = self._flat(np.array([tyre.contact[0] for tyre in story.tyres]), 0)
        low, high = flat.min(axis=0) - _LEAST_ROOM, flat.max(axis=0) + _LEAST_ROOM
        self._middle = (low + high) / 2
        room = np.array(size) - [2 * text_size("front-left", text)[0] * 0.55, 2.6 * text]
        self._scale = float(np.min(room / (high - low)))
        self._most = max(float(np.max(tyre.load)) for tyre in story.tyres)

    def draw(self, index: int) -> Image.Image:
        """Draw the plan at one sample."""
        wide, high = self.size
        picture = Image.new("RGB", (wide * _FINE, high * _FINE), palette.PANEL)
        draw = ImageDraw.Draw(picture)
        if self.story.fallen(index):
            self._lying(draw, index)
        for place in self.story.places:
            if place.depth[index] > 1e-4:
                ring = np.column_stack([place.outline, np.zeros(len(place.outline))])
                fill = palette.HOLE if place.kind == "hole" else palette.SOFT
                draw.polygon([tuple(p) for p in self._pixels(ring, index) * _FINE], fill=fill)
        self._lines(draw, index)
        self._tyres(draw, index)
        self._balance(draw, index)
        small = picture.resize(self.size, Image.Resampling.BOX)
        self._words(ImageDraw.Draw(small), index)
        return small

    def _lines(self, draw: ImageDraw.ImageDraw, index: int) -> None:
        for line in self.story.lines:
            ends = line.ends[index]
            if not np.isfinite(ends).all():
                continue
            a, b = self._pixels(ends, index) * _FINE
            colour, width = palette.LINES[line.name.split(".")[-1]], 3 * _FINE
            for start, stop in _dashes() if line.swing else [(0.0, 1.0)]:
                draw.line([tuple(a + (b - a) * start), tuple(a + (b - a) * stop)], fill=colour, width=width)

    def _tyres(self, draw: ImageDraw.ImageDraw, index: int) -> None:
        fallen = self.story.fallen(index)
        at = self._stood[index]
        for tyre in self.story.tyres:
            x, y = self._pixels(tyre.contact[at][None], index)[0] * _FINE
            if not np.isfinite([x, y]).all():
                continue
            full = 0.21 * self._scale * _FINE
            draw.ellipse((x - full, y - full, x + full, y + full), outline=palette.MUTED, width=_FINE)
            if fallen or self.story.off_floor(tyre, index):
                continue
            part = full * np.sqrt(max(float(tyre.load[index]), 0.0) / max(self._most, 1.0))
            draw.ellipse((x - part, y - part, x + part, y + part), fill=palette.ARROW, outline=palette.INK, width=_FINE)

    def _lying(self, draw: ImageDraw.ImageDraw, index: int) -> None:
        """Fill what lies, from above: the truck's parts, then the load."""
        matrices, parts = self.story.matrices[index], []
        for solid in self._parts:
            matrix = matrices[solid.body]
            parts.append(solid.vertices @ matrix[:3, :3].T + matrix[:3, 3])
        flat = self._pixels(np.concatenate(parts), index) * _FINE
        ends = np.cumsum([len(part) for part in parts])
        for solid, points in zip(self._parts, np.split(flat, ends[:-1]), strict=True):
            ring = convex(points)
            if len(ring) > 2:
                draw.polygon(list(ring), fill=palette.GRID if solid.kind == "load" else palette.EDGE)

    def _balance(self, draw: ImageDraw.ImageDraw, index: int) -> None:
        first = nearest(self.story.time, float(self.story.time[index]) - _TRAIL)
        way = np.unique(np.linspace(first, index, 40).astype(int))
        trail = self._pixels(self.story.balance[way], way) * _FINE
        trail = trail[np.isfinite(trail).all(axis=1)]
        if len(trail) > 1:
            draw.line([tuple(p) for p in trail], fill=palette.MUTED, width=_FINE)
        x, y = self._pixels(self.story.balance[index][None], index)[0] * _FINE
        if not np.isfinite([x, y]).all():
            return
        inside = 0 <= x < self.size[0] * _FINE and 0 <= y < self.size[1] * _FINE
        if inside:
            big = min(6.5, max(3.5, 0.09 * self._scale)) * _FINE
            small = big / 2.6
            draw.ellipse((x - big, y - big, x + big, y + big), fill=palette.PANEL, outline=palette.INK, width=2 * _FINE)
            draw.ellipse((x - small, y - small, x + small, y + small), fill=palette.INK)

    def _words(self, draw: ImageDraw.ImageDraw, index: int) -> None:
        wide, high = self.size
        long = 1.0 if self.system == "si" else 0.9144
        words = "1 m" if self.system == "si" else "3 ft"
        y = high - self.text * 0.7
        draw.rectangle((0, high - 1.5 * self.text, wide, high), fill=palette.PANEL)
        draw.line([(1, y), (1 + long * self._scale, y)], fill=palette.INK, width=2)
        write(draw, (long * self._scale + 6, y - self.text * 0.75), words, self.text, palette.MUTED)
        what = "rings: where wheels stood" if self.story.fallen(index) else "plan, front up"
        write(draw, (wide, y - self.text * 0.75), what, self.text, palette.MUTED, right=True)

    def _flat(self, points: Array, index: int | NDArray[np.int_]) -> Array:
        """Give plan coordinates (k, 2) in the truck's frame of a sample, or each of its own: right and ahead [m]."""
        at = self._stood[index]
        offset = points[:, :2] - self.story.matrices[at, 0, :2, 3]
        x, y = self._ahead[at].T
        if np.ndim(index):  # a truck that moves on meanwhile
            return np.column_stack([offset[:, 0] * y - offset[:, 1] * x, offset[:, 0] * x + offset[:, 1] * y])
        return np.column_stack([offset @ np.array([y, -x]), offset @ np.array([x, y])])

    def _pixels(self, points: Array, index: int | NDArray[np.int_]) -> Array:
        flat = (self._flat(points, index) - self._middle) * self._scale
        return np.column_stack([self.size[0] / 2 + flat[:, 0], (self.size[1] - 1.6 * self.text) / 2 - flat[:, 1]])


def _headings(story: Story) -> Array:
    """Give the level direction (n, 2) in which the truck points; kept from before while it points up or down."""
    ahead = story.matrices[:, 0, :2, 0]
    length = np.linalg.norm(ahead, axis=1)
    good = np.maximum.accumulate(np.where(length > _LEAST_LEVEL, np.arange(len(length)), 0))
    return np.asarray(ahead[good] / length[good, None])


def _last_stood(story: Story) -> NDArray[np.int_]:
    """Give for each sample the last one at which the truck had not fallen."""
    upright = np.where(story.lying, 0, np.arange(len(story.time)))
    return np.maximum.accumulate(upright)


def _dashes(count: int = 8) -> list[tuple[float, float]]:
    return [(k / count, (k + 0.55) / count) for k in range(count)]
