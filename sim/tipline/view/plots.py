"""Plots of a run over time as SVG: tyre loads, distances to the tip lines, roll and pitch, with the event times.

Every curve is named at its right end and has its own line style, so that neither a key nor colour is needed to tell
them apart; events are numbered at the top, in the order of time, as in the list of events beside the plots.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipline.units import INCH, POUND_FORCE, System
from tipline.view import palette
from tipline.view.palette import spelled
from tipline.view.story import Story
from tipline.view.style import plotting

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["Curve", "draw_plots", "put_apart"]

_WIDTH, _HEIGHT = 7.4, 2.7  # of the axes' band [in]
_TEXT = 9.0  # [pt]
_LINE = 1.32 * _TEXT / 72  # [in]
_LEFT, _RIGHT, _TOP, _BELOW = 0.78, 1.62, 0.48, 0.52  # margins round the axes [in]
_APART = 0.17  # between the numbers of events [in]
_STYLES: tuple[str | tuple[int, tuple[float, ...]], ...] = (
    "-",
    (0, (5.0, 1.6)),
    (0, (1.2, 1.2)),
    (0, (6.0, 1.5, 1.2, 1.5)),
    (0, (3.0, 1.2)),
    (0, (8.0, 2.0, 2.0, 2.0)),
)


@dataclass(frozen=True)
class Curve:
    """One curve: its name and its values (n,) in the axis' unit."""

    name: str
    values: NDArray[np.float64]
    colour: palette.Colour
    style: int


def draw_plots(story: Story, system: System = "si") -> dict[str, str]:
    """Give the plots as SVG text by caption."""
    loads = 1e3 if system == "si" else POUND_FORCE * 1e3
    lengths = 1e-3 if system == "si" else INCH
    cycle = palette.CYCLE
    tyres = [
        Curve(tyre.name, tyre.load / loads, cycle[k % len(cycle)], k % len(_STYLES))
        for k, tyre in enumerate(story.tyres)
    ]
    lines = [
        Curve(
            line.name.replace(".", " "),
            line.distance / lengths,
            palette.LINES[line.name.split(".")[-1]],
            1 if line.swing else 0,
        )
        for line in story.lines
    ]
    angles = [
        Curve("roll", np.degrees(story.roll), cycle[0], 0),
        Curve("pitch", np.degrees(story.pitch), cycle[1], 1),
    ]
    force, length = ("kN", "mm") if system == "si" else ("1,000 lbf", "in")
    drawings = {
        "Tyre loads over time.": _plot(story, tyres, f"tyre load [{force}]", system),
        "Distance from the balance point to each tip line over time; below zero it is past the line. The "
        "curves end where nothing could have stopped the truck any more.": _plot(
            story, lines, f"distance to tip line [{length}]", system, zero=True
        ),
        "Roll (to the right is positive) and pitch (front down is positive) over time.": _plot(
            story, angles, "angle [deg]", system, zero=True
        ),
    }
    return {spelled(caption, system): svg for caption, svg in drawings.items()}


def put_apart(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Move positions as little as their order allows until they are `gap` apart and between `low` and `high`."""
    order = sorted(range(len(wanted)), key=lambda k: (wanted[k], k))
    placed: list[float] = []
    for k in order:
        value = min(max(wanted[k], low), high)
        placed.append(value if not placed else max(value, placed[-1] + gap))
    for back in range(len(placed) - 1, -1, -1):
        limit = high if back == len(placed) - 1 else placed[back + 1] - gap
        placed[back] = min(placed[back], limit)
    result = [0.0] * len(wanted)
    for k, value in zip(order, placed, strict=True):
        result[k] = value
    return result


def _plot(story: Story, curves: Sequence[Curve], label: str, system: System, zero: bool = False) -> str:
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    tall = _TOP + _HEIGHT + _BELOW
    settings: Any = {
        "svg.hashsalt": f"{story.run_id} {label}",
        "svg.fonttype": "path",
        "font.size": _TEXT,
        "font.family": "DejaVu Sans",
    }
    with plotting(settings):
        figure = Figure(figsize=(_WIDTH, tall))
        FigureCanvasSVG(figure)
        box = (_LEFT / _WIDTH, (tall - _TOP - _HEIGHT) / tall, 1 - (_LEFT + _RIGHT) / _WIDTH, _HEIGHT / tall)
        axes = figure.add_axes(box)
        for curve in curves:
            axes.plot(
                story.time,
                curve.values,
                color=palette.hex_of(curve.colour),
                linestyle=_STYLES[curve.style],
                linewidth=1.5,
            )
        axes.set_xlim(float(story.time[0]), float(story.time[-1]))
        axes.set_ylim(*_range(curves, zero))
        axes.set_xlabel("time [s]")
        axes.set_ylabel(spelled(label, system))
        axes.grid(color=palette.hex_of(palette.EDGE), linewidth=0.5)
        axes.set_axisbelow(True)
        for side in ("top", "right"):
            axes.spines[side].set_visible(False)
        if zero:
            axes.axhline(0.0, color=palette.hex_of(palette.INK), linewidth=0.9)
        _name_curves(axes, curves, story)
        _number_events(axes, story)
        figure.text(
            _LEFT / _WIDTH,
            1 - 0.11 / tall,
            " · ".join((*story.marking[-1:], *story.marking[:-1]) if story.demo else story.marking),
            va="center",
            size=_TEXT - 1.5,
            color=palette.hex_of(palette.MUTED),
        )
        stream = io.StringIO()
        figure.savefig(stream, format="svg", metadata=dict.fromkeys(("Date", "Creator", "Format", "Type")))
    return _svg_only(stream.getvalue())


def _name_curves(axes: Axes, curves: Sequence[Curve], story: Story) -> None:
    """Write each curve's name right of its end, moved apart, with a thin line from the end to the name."""
    for curve in curves:
        last = np.flatnonzero(np.isfinite(curve.values))[-1:]
        if last.size and last[0] < len(story.time) - 1:
            ends, level = [story.time[last[0]], story.time[-1]], float(curve.values[last[0]])
            axes.plot(ends, [level, level], color=palette.hex_of(curve.colour), linewidth=0.4, alpha=0.6)
    low, high = axes.get_ylim()
    heights = [_HEIGHT * (_last(curve.values) - low) / (high - low) for curve in curves]
    places = put_apart(heights, _LINE, 0.0, _HEIGHT)
    wide = _WIDTH - _LEFT - _RIGHT
    for curve, height, place in zip(curves, heights, places, strict=True):
        colour = palette.hex_of(curve.colour)
        start = min(max(height, 0.0), _HEIGHT) / _HEIGHT
        axes.plot(
            [1.0, 1.0 + 0.14 / wide, 1.0 + 0.44 / wide],
            [start, place / _HEIGHT, place / _HEIGHT],
            transform=axes.transAxes,
            clip_on=False,
            color=colour,
            linestyle=_STYLES[curve.style],
            linewidth=1.3,
        )
        axes.text(1.0 + 0.50 / wide, place / _HEIGHT, curve.name, transform=axes.transAxes, va="center", color=colour)


def _number_events(axes: Axes, story: Story) -> None:
    """Draw a thin line at each event and its number above the axes, moved apart sideways."""
    wide = _WIDTH - _LEFT - _RIGHT
    marks = story.marks[: int(wide / _APART)]
    first, last = float(story.time[0]), float(story.time[-1])
    at = [wide * (mark.time - first) / (last - first) for mark in marks]
    places = put_apart(at, _APART, 0.0, wide)
    for number, (mark, place) in enumerate(zip(marks, places, strict=True), start=1):
        colour = palette.hex_of(palette.INK if mark.cause else palette.MUTED)
        axes.axvline(mark.time, color=colour, linewidth=0.8, linestyle="-" if mark.cause else (0, (2, 2)))
        here = (mark.time - first) / (last - first)
        axes.plot(
            [here, place / wide],
            [1.0, 1.0 + 0.06 / _HEIGHT],
            transform=axes.transAxes,
            clip_on=False,
            color=colour,
            linewidth=0.8,
        )
        axes.text(
            place / wide,
            1.0 + 0.07 / _HEIGHT,
            str(number),
            transform=axes.transAxes,
            ha="center",
            va="bottom",
            size=_TEXT - 1,
            color=colour,
        )


def _range(curves: Sequence[Curve], zero: bool) -> tuple[float, float]:
    values = np.concatenate([curve.values[np.isfinite(curve.values)] for curve in curves])
    if not len(values):
        return -1.0, 1.0
    low, high = float(values.min()), float(values.max())
    if zero or low >= 0:
        low, high = min(low, 0.0), max(high, 0.0)
    span = max(high - low, 0.1)
    return low - (0.05 * span if low < 0 else 0.0), high + 0.06 * span


def _last(values: NDArray[np.float64]) -> float:
    finite = values[np.isfinite(values)]
    return float(finite[-1]) if len(finite) else 0.0


def _svg_only(text: str) -> str:
    """Give the svg element without the XML and document type lines, ready to stand in a page."""
    return text[text.index("<svg") :]
