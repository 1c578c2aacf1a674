"""One whole picture: title, scene with its labels, panel with time, events, distances and plan, and the marking."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from tipline.runs.told import EITHER_WAY
from tipline.units import FOOT, System
from tipline.view import labels, palette
from tipline.view.canvas import Layout, one_line, text_size, wrap, write
from tipline.view.mark_sizes import arrow_scale, grid_step
from tipline.view.palette import spelled
from tipline.view.plan import Plan
from tipline.view.scene import Frame
from tipline.view.story import DrawnLine, Story

__all__ = ["Composer", "arrow_words", "distance_rows", "marking_lines", "so_far"]

_LAST = 1.4
"""How much larger than other text the outcome is written at the end, where the largest letters do not fit."""
_LINE_NAMES = {"swing.left": "swing left", "swing.right": "swing right"}


class Composer:
    """Sets pictures of one story; remembers where labels stood, so that they stay there from frame to frame.

    The panel is the key to the colours of the tip lines; `name_lines` names them in the scene too.
    """

    def __init__(self, story: Story, draft: bool = False, system: System = "si", name_lines: bool = False) -> None:
        self.story, self.system, self._name_lines = story, system, name_lines
        self.layout = Layout.of(draft)
        self._before: dict[str, tuple[float, float]] = {}
        self._ends: dict[str, int] = {}
        self._distances = _running(story)
        self._plans: dict[tuple[int, int], Plan] = {}
        self._bare = Image.new("RGB", (self.layout.width, self.layout.height), palette.PAPER)
        self._bands(ImageDraw.Draw(self._bare))

    def picture(
        self, frame: Frame, index: int, speed: str, ended: bool = False, inset: NDArray[np.uint8] | None = None
    ) -> Image.Image:
        """Set the picture of sample `index`; `inset`, a close look (h, w, 3) [0 to 255], where a corner is free."""
        lay = self.layout
        whole = self._bare.copy()
        scene = Image.fromarray(frame.image)
        box = _free_corner(lay.view, frame.parts) if inset is not None else None
        self._label(scene, frame, index, [box] if box else [])
        if inset is not None and box:
            _paste_inset(scene, inset, box, lay.small)
        whole.paste(scene, (0, lay.top))
        self._panel(whole, ImageDraw.Draw(whole), index, speed, ended)
        return whole

    def forget(self) -> None:
        """Place the labels afresh in the next picture, as after a change of camera."""
        self._before.clear()
        self._ends.clear()

    def _bands(self, draw: ImageDraw.ImageDraw) -> None:
        """Write title and marking, which are the same in all pictures."""
        lay, story = self.layout, self.story
        pad, size = lay.text * 0.8, round(lay.text * 1.2)
        title = one_line(story.title, size, lay.width - 2 * pad, True)
        write(draw, (pad, (lay.top - text_size(title, size, True)[1]) / 2), title, size, bold=True)
        edge = lay.height - lay.bottom
        draw.line([(0, edge), (lay.width, edge)], fill=palette.EDGE)
        draw.line([(0, lay.top - 1), (lay.width, lay.top - 1)], fill=palette.EDGE)
        step = (lay.bottom - 4) / 2
        first, second = marking_lines(story, self.system)
        x = pad
        if story.demo:
            wide, high = text_size("DEMO", lay.small, True)
            draw.rectangle((x - 3, edge + 4, x + wide + 3, edge + 4 + high), fill=palette.INK)
            write(draw, (x, edge + 4), "DEMO", lay.small, palette.PAPER, True)
            x += wide + pad
        write(draw, (x, edge + 4), first, lay.small, bold=True)
        write(draw, (pad, edge + 3 + step), second, lay.small, palette.MUTED)

    def _label(self, scene: Image.Image, frame: Frame, index: int, taken: Sequence[labels.Box]) -> None:
        lay = self.layout
        texts = self._texts(frame, index)
        wanted = []
        for key, words, at, _ in texts:
            wide, high = text_size(words, lay.small, True)
            wanted.append(labels.Label(key, at, (wide + 8, high + 2)))
        done = labels.place(wanted, lay.view, frame.parts, self._before, taken)
        look = {key: (words, colour) for key, words, _, colour in texts}
        draw = ImageDraw.Draw(scene)
        for placed in done:
            x0, y0, x1, y1 = placed.leader
            draw.line([(x0, y0), (x1, y1)], fill=palette.INK, width=1)
            draw.ellipse((x0 - 2, y0 - 2, x0 + 2, y0 + 2), fill=palette.INK)
        for placed in done:
            words, colour = look[placed.label.key]
            draw.rectangle(placed.box, fill=palette.PANEL, outline=colour)
            write(draw, (placed.box[0] + 4, placed.box[1] + 1), words, lay.small, colour, True)

    def _texts(self, frame: Frame, index: int) -> list[tuple[str, str, tuple[float, float], palette.Colour]]:
        """Give key, words, point and colour of every label of the scene, the most needed first."""
        story, system = self.story, self.system
        texts: list[tuple[str, str, tuple[float, float], palette.Colour]] = []
        for tyre, at in zip(story.tyres, frame.tyres, strict=True):
            if story.off_floor(tyre, index):
                continue  # what hangs in the air or lies says nothing by its load
            words = f"{tyre.name}  {palette.force(float(tyre.load[index]), system)}"
            texts.append((tyre.name, words, _pair(at), palette.INK))
        for number, (place, at) in enumerate(zip(story.places, frame.places, strict=True)):
            depth = float(place.depth[index])
            if depth > 5e-4:
                words = f"{place.name}, {palette.depth(depth, system)} deep"
                texts.append((f"place {number}", words, _pair(at), palette.HOLE))
        for number, ((_, height), at) in enumerate(zip(story.raised, frame.raised, strict=True)):
            words = f"threshold, {palette.depth(height, system)} high"
            texts.append((f"raised {number}", words, _pair(at), palette.INK))
        if np.isfinite(frame.balance).all():
            texts.append(("balance", "balance point", _pair(frame.balance[0]), palette.INK))
        if story.rope_force is not None and len(frame.rope) and abs(float(story.rope_force[index])) < 1.0:
            texts.append(("rope", "rope slack", _pair(frame.rope[0]), palette.INK))
        for line, ends in zip(story.lines, frame.lines, strict=True):
            if self._name_lines and not line.swing and np.isfinite(ends).all():
                end = self._ends.setdefault(line.name, _open_end(ends, frame.parts))
                texts.append((line.name, f"{line.name} tip line", _pair(ends[end]), palette.LINES[line.name]))
        return texts

    def _panel(
        self,
        whole: Image.Image,
        draw: ImageDraw.ImageDraw,
        index: int,
        speed: str,
        ended: bool,
    ) -> None:
        lay, story = self.layout, self.story
        left, bottom = lay.width - lay.panel, lay.height - lay.bottom
        draw.rectangle((left, lay.top, lay.width, bottom - 1), fill=palette.PANEL)
        draw.line([(left, lay.top), (left, bottom)], fill=palette.EDGE)
        pad = round(lay.text * 0.8)
        x, right, y = left + pad, lay.width - pad, lay.top + pad * 0.5
        write(draw, (x, y), f"{story.time[index]:.2f} s", lay.large, bold=True)
        if speed:
            wide, high = text_size(speed, lay.text, True)
            draw.rectangle((right - wide - 8, y + 2, right, y + high + 4), fill=palette.INK)
            write(draw, (right - wide - 4, y + 3), speed, lay.text, palette.PAPER, True)
        y += text_size("0", lay.large)[1] + 2
        y = self._outcome(draw, x, right, y, index, ended)
        if not ended:
            y = self._table(draw, x, right, y + pad * 0.5, index)
        room = bottom - round(y) - pad
        note = f"grid {_step_words(self.system)}; arrows {arrow_words(story, self.system)}"
        high = round(text_size(note, lay.small)[1])
        size = right - x, room - high
        if size not in self._plans:
            self._plans[size] = Plan(story, size, lay.small, self.system)
        whole.paste(self._plans[size].draw(index), (x, round(y) + pad // 2))
        write(draw, (x, bottom - high - pad * 0.35), one_line(note, lay.small, right - x), lay.small, palette.MUTED)

    def _outcome(self, draw: ImageDraw.ImageDraw, x: float, right: float, y: float, index: int, ended: bool) -> float:
        lay, story = self.layout, self.story
        rows = story.outcome if ended else so_far(story, float(story.time[index]))
        doubts = story.doubts if ended else ()
        if doubts:
            write(draw, (x, y), EITHER_WAY, round(_LAST * lay.text), bold=True)
            sentences = (f"{doubt[:1].upper()}{doubt[1:]}." for doubt in doubts)
            rows = (*sentences, f"This run: {rows[0][:1].lower()}{rows[0][1:]}", *rows[1:])
        else:
            write(draw, (x, y), "Outcome" if ended else "So far", lay.small, palette.MUTED)
        step = text_size("0", lay.text)[1]
        # as high in all frames, so that nothing moves in a film; more only where what is told at the end needs it
        bottom = y + text_size("0", lay.small)[1] + step * (lay.told + ended * (len(story.lines) + 1))
        y += text_size("0", round(_LAST * lay.text) if doubts else lay.small)[1]
        large = (*((lay.large,) if not doubts else ()), round(_LAST * lay.text)) if ended else ()
        for size in (*large, lay.text, *range(lay.small, lay.small - 4, -1)):
            blocks = [wrap(spelled(row, self.system), size, right - x, ended) for row in rows]
            line_height = text_size("0", size)[1]
            if not ended or y + sum(map(len, blocks)) * line_height <= bottom + 0.5:
                break
        while not ended and len(blocks) > 1 and sum(map(len, blocks)) > lay.told:
            blocks.pop(0)  # the oldest event gives way as a whole
        for number, line in enumerate(line for block in blocks for line in block):
            write(draw, (x, y + number * line_height), line, size, bold=ended)
        return max(bottom, y + sum(map(len, blocks)) * line_height) if ended else bottom

    def _table(self, draw: ImageDraw.ImageDraw, x: float, right: float, y: float, index: int) -> float:
        lay = self.layout
        step = text_size("0", lay.text)[1]
        middle = right - (right - x) * 0.34
        write(draw, (x, y), f"distance to [{palette.SHORT_UNIT[self.system]}]", lay.small, palette.MUTED)
        write(draw, (middle, y), "now", lay.small, palette.MUTED, right=True)
        write(draw, (right, y), "least so far", lay.small, palette.MUTED, right=True)
        y += text_size("0", lay.small)[1] + 2
        for line, now, least in distance_rows(self.story, self._distances, index):
            colour, name = palette.LINES[line.name.split(".")[-1]], _LINE_NAMES.get(line.name, line.name)
            mid, wide = y + step / 2, lay.text * 1.2
            for start, stop in ((0.0, 0.4), (0.6, 1.0)) if line.swing else ((0.0, 1.0),):
                draw.line([(x + wide * start, mid), (x + wide * stop, mid)], fill=colour, width=max(lay.text // 4, 2))
            past = bool(now < 0)
            write(draw, (x + wide + 5, y), name, lay.text, bold=past)
            ink = palette.WARN if past else palette.INK
            write(draw, (middle, y), palette.short_number(now, self.system), lay.text, ink, past, True)
            ink = palette.WARN if least < 0 else palette.INK
            write(draw, (right, y), palette.short_number(least, self.system), lay.text, ink, bool(least < 0), True)
            y += step
        return y


def marking_lines(story: Story, system: System = "si") -> tuple[str, str]:
    """Give the two lines at the foot of every picture (DEMO stands before the first one)."""
    words = [part for part in story.marking if part != "DEMO"]
    return " · ".join(words), spelled(story.estimate, system)


def so_far(story: Story, time: float, most: int = 3) -> tuple[str, ...]:
    """Give the last few things that had happened by `time`, each with its time."""
    rows = [f"{mark.time:.2f} s  {mark.text}" for mark in story.marks if mark.time <= time + 1e-9]
    return tuple(rows[-most:]) or (story.start_words,)


def distance_rows(
    story: Story, least: Sequence[NDArray[np.float64]], index: int
) -> list[tuple[DrawnLine, float, float]]:
    """Give each tip line with its distance now and the least so far [m]; least: of each line (n,), by sample."""
    return [(line, float(line.distance[index]), float(so[index])) for line, so in zip(story.lines, least, strict=True)]


def _running(story: Story) -> list[NDArray[np.float64]]:
    lowest = []
    for line in story.lines:
        values = np.where(np.isfinite(line.distance), line.distance, np.inf)
        if line.worst_time is not None:  # what comes after the point of no return does not count as the worst
            values = np.where(story.time <= line.worst_time + 1e-9, values, np.inf)
        least = np.minimum.accumulate(values)
        lowest.append(np.where(np.isfinite(least), least, np.nan))
    return lowest


def _open_end(ends: NDArray[np.float64], parts: NDArray[np.float64]) -> int:
    """Tell which end of a line to label: the one fewer parts stand before; of equals, the nearer one."""
    x, y = ends[:, :1], ends[:, 1:]
    inside = (x > parts[:, 0]) & (x < parts[:, 2]) & (y > parts[:, 1]) & (y < parts[:, 3])
    hidden = inside.sum(axis=1)
    return int(min((0, 1), key=lambda end: (hidden[end], -ends[end, 1])))


def _free_corner(view: tuple[int, int], parts: NDArray[np.float64]) -> labels.Box | None:
    """Give a box in an upper corner of the scene that covers no part, or None."""
    wide, high = view[0] * 0.36, view[1] * 0.36
    edge = 10.0
    for left in (view[0] - wide - edge, edge):
        box = (left, edge, left + wide, edge + high)
        if not any(labels.overlap(box, tuple(part), 4.0) for part in parts):
            return box
    return None


def _paste_inset(scene: Image.Image, inset: NDArray[np.uint8], box: labels.Box, size: int) -> None:
    x0, y0, x1, y1 = (round(value) for value in box)
    scene.paste(_cropped(Image.fromarray(inset), (x1 - x0, y1 - y0)), (x0, y0))
    draw = ImageDraw.Draw(scene)
    draw.rectangle((x0, y0, x1, y1), outline=palette.INK)
    wide, high = text_size("close up", size)
    draw.rectangle((x0, y1 - high - 2, x0 + wide + 8, y1), fill=palette.PANEL, outline=palette.INK)
    write(draw, (x0 + 4, y1 - high - 2), "close up", size)


def _cropped(picture: Image.Image, size: tuple[int, int]) -> Image.Image:
    """Give the middle of a picture at the aspect of `size`, scaled to it."""
    wide, high = picture.size
    aspect = size[0] / size[1]
    cut_wide, cut_high = (wide, wide / aspect) if wide / high < aspect else (high * aspect, float(high))
    box = ((wide - cut_wide) / 2, (high - cut_high) / 2, (wide + cut_wide) / 2, (high + cut_high) / 2)
    return picture.resize(size, Image.Resampling.LANCZOS, box=box)


def _pair(at: NDArray[np.float64]) -> tuple[float, float]:
    return float(at[0]), float(at[1])


def _step_words(system: System) -> str:
    return palette.length(grid_step(system), system)


def arrow_words(story: Story, system: System) -> str:
    """Say to which scale arrows are drawn."""
    scale = arrow_scale(story, system)
    if system == "us":
        return f"1 ft = {palette.force(scale * FOOT, system)}"
    return f"1 m = {scale / 1e3:.0f} kN"
