"""The map of a grid as SVG: how each combination of two inputs ended, the edge between the endings as a heavy line.

Colour, sign and line say the same, so that nothing is told by colour only.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.endings import SHORT
from tipline.view import palette
from tipline.view.floor_plan import svg_of
from tipline.view.palette import spelled
from tipline.view.sweep_plots import drawn, mark, scale, short

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from tipline.sweeps.outcome_map import Axis, MapPanel, OutcomeMap
    from tipline.sweeps.report import SweepReport
    from tipline.units import System

__all__ = ["MOST_PANELS", "draw_map"]

MOST_PANELS = 6
_WIDTH, _TEXT = 7.4, 9.0
_LEFT, _TOP, _GAP, _BELOW = 0.95, 0.34, 0.2, 0.58
"""Room left of the maps, above, between and below them [in]."""
_KEY_COLUMNS, _KEY_LINE = 4, 0.27
"""Endings a line of the key, and its height [in]."""
_ROW, _LOWEST, _HIGHEST = 0.3, 1.3, 3.4
"""Height of a cell, and of a map at least and at most [in]."""
_MOST_SIGNS = 400
_MOST_TICKS = 10
_COLOURS: tuple[tuple[tuple[str, ...], palette.Colour], ...] = (
    (("down", "kept", "held"), (222, 236, 246)),
    (("down, too light to steer",), (180, 212, 235)),
    (("tyre-lifted",), (134, 184, 220)),
    (("tyre-off", "slid", "sank"), (250, 219, 150)),
    (("undecided", "none"), (205, 205, 205)),
    (("resting",), (236, 160, 96)),
    (("over", "dropped", "broke"), (214, 110, 40)),
    (("",), (255, 255, 255)),
)
_ORDER = [word for words, _ in _COLOURS for word in words]


def draw_map(report: SweepReport, system: System = "si") -> str:
    """Draw the endings of a grid over its first two inputs, a map for each combination of the others; give the SVG."""
    outcome_map = report.map
    if outcome_map is None:
        return ""
    panels = outcome_map.panels[:MOST_PANELS]
    columns = 1 if len(panels) == 1 else 2 if len(panels) in (2, 4) else 3
    lines = -(-len(panels) // columns)
    above = 0.2 + 0.17 * len(outcome_map.others) if outcome_map.others else 0.0
    side = float(np.clip(_ROW * len(outcome_map.up.words), _LOWEST, _HIGHEST))
    wide = 4.9 if columns == 1 else (_WIDTH - _LEFT - 0.15 - _GAP * (columns - 1)) / columns
    block = above + side + _BELOW
    entries = _entries(panels)
    tall = _TOP + lines * block + 0.08 + _KEY_LINE * -(-len(entries) // _KEY_COLUMNS)
    with drawn("map", tall) as figure:
        for k, panel in enumerate(panels):
            row, column = divmod(k, columns)
            left, low = _LEFT + column * (wide + _GAP), tall - _TOP - row * block - above - side
            axes = figure.add_axes((left / _WIDTH, low / tall, wide / _WIDTH, side / tall))
            _draw(axes, outcome_map, panel, system, wide)
            if column:
                axes.tick_params(labelleft=False)
            else:
                axes.set_ylabel(short(spelled(_named(outcome_map.up, system), system)), size=_TEXT - 0.5)
        mark(figure, report, tall, f"{outcome_map.part}; heavy line: the ending sought begins or ends")
        _key(figure, entries, tall)
        return svg_of(figure)


def _draw(axes: Axes, outcome_map: OutcomeMap, panel: MapPanel, system: System, wide: float) -> None:
    rows, columns = panel.words.shape
    colours = np.array([[_colour(word) for word in line] for line in panel.words], dtype=np.uint8)
    axes.imshow(colours, origin="lower", aspect="auto", interpolation="nearest")
    ink = palette.hex_of(palette.INK)
    if rows * columns <= _MOST_SIGNS:
        for which, marker, fill in _signs(panel):
            up, across = np.nonzero(which)
            axes.scatter(across, up, s=16, marker=marker, color=ink, facecolors=fill, linewidths=0.8)
    _edges(axes, panel)
    axes.set_xlabel(short(spelled(_named(outcome_map.across, system), system)), size=_TEXT - 0.5)
    axes.set_xticks(*_ticks(outcome_map.across, system, max(2, min(_MOST_TICKS, int(wide / 0.45)))))
    axes.set_yticks(*_ticks(outcome_map.up, system, _MOST_TICKS))
    axes.tick_params(labelsize=_TEXT - 1.5, length=2)
    axes.set_xlim(-0.5, columns - 0.5)
    axes.set_ylim(-0.5, rows - 0.5)
    beside = [f"{label} {words}" for label, words in zip(outcome_map.others, panel.others, strict=True)]
    axes.set_title(short(spelled("\n".join(beside), system)), size=_TEXT - 0.5, loc="left")


def _signs(panel: MapPanel) -> tuple[tuple[NDArray[np.bool_], str, str], ...]:
    known = panel.words != ""
    ink = palette.hex_of(palette.INK)
    return (known & ~panel.ended, "o", "none"), (known & panel.ended, "^", ink), (~known, "x", ink)


def _edges(axes: Axes, panel: MapPanel) -> None:
    """Draw a heavy line between neighbours of which one alone ended as asked."""
    from matplotlib.collections import LineCollection

    known, ended = panel.words != "", panel.ended
    across = (ended[:, 1:] != ended[:, :-1]) & known[:, 1:] & known[:, :-1]
    up = (ended[1:] != ended[:-1]) & known[1:] & known[:-1]
    strokes = [[(k + 0.5, j - 0.5), (k + 0.5, j + 0.5)] for j, k in np.argwhere(across).tolist()]
    strokes += [[(k - 0.5, j + 0.5), (k + 0.5, j + 0.5)] for j, k in np.argwhere(up).tolist()]
    axes.add_collection(LineCollection(strokes, colors=[palette.hex_of(palette.INK)], linewidths=2.2, capstyle="round"))


def _colour(word: str) -> palette.Colour:
    return next(colour for words, colour in _COLOURS if word in words)


def _named(axis: Axis, system: System) -> str:
    if axis.values is None:
        return axis.label
    unit = scale(axis.values, axis.dimension, system)[1]
    return f"{axis.label} [{unit}]" if unit else axis.label


def _ticks(axis: Axis, system: System, most: int) -> tuple[list[int], list[str]]:
    """Return which values are named and how; of many, evenly picked ones."""
    count = len(axis.words)
    step = -(-count // most)
    places = list(range(0, count, step))
    if axis.values is None:
        return places, [short(spelled(axis.words[k], system)) for k in places]
    shown = scale(axis.values, axis.dimension, system)[0](axis.values)
    return places, [_number(float(shown[k])) for k in places]


def _number(value: float) -> str:
    """Return a number to three digits, with commas between thousands."""
    rounded = float(f"{value:.3g}")
    return f"{rounded:,.0f}" if abs(rounded) >= 1000.0 else f"{rounded:g}"


def _entries(panels: tuple[MapPanel, ...]) -> dict[str, tuple[str, str]]:
    """Return the endings that there are from good to bad, each with its sign and the fill of it."""
    there: dict[str, tuple[str, str]] = {}
    for panel in panels:
        for which, marker, fill in _signs(panel):
            there |= dict.fromkeys(panel.words[which].tolist(), (marker, fill))
    return dict(sorted(there.items(), key=lambda entry: _ORDER.index(entry[0])))


def _key(figure: Figure, entries: dict[str, tuple[str, str]], tall: float) -> None:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Rectangle

    ink = palette.hex_of(palette.INK)
    last = (len(entries) - 1) // _KEY_COLUMNS
    for k, (word, (marker, fill)) in enumerate(entries.items()):
        row, column = divmod(k, _KEY_COLUMNS)
        x, y = 0.15 + 1.8 * column, 0.08 + _KEY_LINE * (last - row)
        box = Rectangle((x / _WIDTH, y / tall), 0.24 / _WIDTH, 0.2 / tall, transform=figure.transFigure)
        box.set(facecolor=palette.hex_of(_colour(word)), edgecolor=palette.hex_of(palette.MUTED), linewidth=0.5)
        figure.add_artist(box)
        sign = Line2D([(x + 0.12) / _WIDTH], [(y + 0.1) / tall], marker=marker, markersize=4, color=ink, linestyle="")
        sign.set_markerfacecolor(fill)
        figure.add_artist(sign)
        figure.text(
            (x + 0.31) / _WIDTH, (y + 0.1) / tall, SHORT.get(word, word) or "no result", va="center", size=_TEXT - 0.5
        )
