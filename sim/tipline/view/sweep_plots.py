"""Plots of a sweep as SVG: shares of the endings, the measure against each input, and what changes most.

Endings are told by marker and word, never by colour only.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipline import units
from tipline.endings import SHORT
from tipline.view import palette
from tipline.view.floor_plan import svg_of
from tipline.view.palette import spelled
from tipline.view.style import plotting

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from tipline.sweeps.report import Effect, Index, SweepReport
    from tipline.units import System

__all__ = ["draw_effects", "draw_indices", "draw_points", "draw_shares"]

Array = NDArray[np.float64]
_WIDTH, _TEXT = 7.4, 9.0
_LEFT, _RIGHT = 2.25, 0.95
"""Room for the names at the left and the numbers at the right of bars [in]."""
_ROW = 0.34
_MOST_PANELS, _COLUMNS = 9, 3
_MANY = 200
"""From how many rows on dots are small."""
_SAID = {"drawn": "bars at the ends: 95 % interval", "listed": "combinations as listed, no chances"}


def scale(values: Array, dimension: str, system: System) -> tuple[Callable[[Array], Array], str]:
    """Return how to turn values (n,) [SI] into the unit that people use for values of this size, and the unit."""
    finite = values[np.isfinite(values)]
    if dimension == "ratio" or not dimension:
        return (lambda x: 100.0 * x, "%") if dimension else (lambda x: x, "")
    if dimension == "slope":
        return (lambda x: 100.0 * np.tan(x), "%")
    largest = float(np.abs(finite).max()) if len(finite) else 1.0
    unit = units.show(largest, dimension, system).split(" ", 1)[1]
    factor = units.parse(f"1 {unit}", dimension)
    return (lambda x: x / factor), unit


def draw_shares(report: SweepReport, system: System = "si") -> str:
    """Draw the share of each ending with its interval; give the SVG."""
    rows = report.shares
    names = [f"{share.part}: {SHORT.get(share.word, share.word)}" for share in rows]
    with _figure(len(rows), "shares") as (figure, tall):
        axes = _bars(figure, len(rows), tall, _RIGHT)
        for place, share in enumerate(rows):
            worst = share.part == "truck" and share.word in ("over", "resting")
            colour = palette.hex_of(palette.LINES["back"] if worst else palette.LINES["front"])
            axes.barh(place, 100 * share.share, height=0.55, color=colour, alpha=0.75)
            if np.isfinite(share.low):
                ends = [[max(100 * (share.share - share.low), 0.0)], [max(100 * (share.high - share.share), 0.0)]]
                axes.errorbar(100 * share.share, place, xerr=ends, color=palette.hex_of(palette.INK), capsize=3, lw=1)
            axes.text(1.02, place, f"{share.count} of {share.runs}", transform=_beside(axes), va="center")
        _names(axes, names, system)
        axes.set_xlim(0, 100)
        axes.set_xlabel("share of the runs with a result [%]")
        mark(figure, report, tall, _SAID.get(report.kind, ""))
        return svg_of(figure)


def draw_points(report: SweepReport, system: System = "si") -> str:
    """Draw the measure against each input that is a number, a panel each, nine at most; give the SVG."""
    labels = [label for label, _, _, _ in report.inputs if label in report.points][:_MOST_PANELS]
    if not labels or not np.isfinite(report.points["measure"]).any():
        return ""
    turn, unit = scale(report.points["measure"], report.dimension, system)
    measure, ended = turn(report.points["measure"]), report.points["ended"]
    columns = min(_COLUMNS, len(labels))
    lines = -(-len(labels) // columns)
    side, block = 0.78, 2.25
    tall = 0.34 + lines * block + 0.36
    with drawn("points", tall) as figure:
        wide = (_WIDTH - side) / columns
        for k, label in enumerate(labels):
            row, column = divmod(k, columns)
            box = (
                (side + column * wide) / _WIDTH,
                (tall - 0.34 - row * block - block + 0.52) / tall,
                (wide - 0.22) / _WIDTH,
                (block - 0.62) / tall,
            )
            axes = figure.add_axes(box)
            _panel(axes, label, report, measure, ended, system)
            if column:
                axes.tick_params(labelleft=False)
        figure.text(
            0.13 / _WIDTH, 0.5, spelled(f"{report.measure} [{unit}]", system), rotation=90, va="center", size=_TEXT
        )
        mark(figure, report, tall, "")
        _endings_key(figure, report, tall)
        return svg_of(figure)


def _panel(axes: Axes, label: str, report: SweepReport, measure: Array, ended: Array, system: System) -> None:
    values = report.points[label]
    turn, unit = scale(values, report.point_units[label][0], system)
    x, many = turn(values), len(values) >= _MANY
    for so, marker, colour in ((0.0, "o", palette.LINES["front"]), (1.0, "^", palette.LINES["back"])):
        inside = ended == so
        axes.scatter(
            x[inside],
            measure[inside],
            s=4 if many else 18,
            marker=marker,
            facecolors="none" if so == 0.0 else palette.hex_of(colour),
            edgecolors=palette.hex_of(colour),
            linewidths=0.6 if many else 1.0,
            alpha=0.8,
        )
    if report.kind != "thresholds":
        axes.axhline(0.0, color=palette.hex_of(palette.INK), linewidth=0.8)
    axes.set_xlabel(spelled(f"{label} [{unit}]" if unit else label, system), size=_TEXT - 0.5)
    axes.tick_params(labelsize=_TEXT - 1.5)
    if not unit and np.allclose(values, np.round(values)):
        axes.set_xticks(np.unique(values))
    _plain(axes, system)


def _endings_key(figure: Figure, report: SweepReport, tall: float) -> None:
    from matplotlib.lines import Line2D

    from tipline.sweeps.words import ended

    words = ("other runs", f"runs that {ended(report.outcome)}")
    if report.kind == "thresholds":
        words = ("threshold found", "beyond the range looked at")
    entries = (("o", "none", palette.LINES["front"], words[0]), ("^", "full", palette.LINES["back"], words[1]))
    shown = [entry for entry, so in zip(entries, (0.0, 1.0), strict=True) if (report.points["ended"] == so).any()]
    for k, (marker, fill, colour, said) in enumerate(shown):
        x, y = (0.7 + 1.7 * k) / _WIDTH, 0.14 / tall
        dot = Line2D([x], [y], marker=marker, markersize=4, color=palette.hex_of(colour), linestyle="none")
        dot.set_markerfacecolor("none" if fill == "none" else palette.hex_of(colour))
        figure.add_artist(dot)
        figure.text(x + 0.1 / _WIDTH, y, said, va="center", size=_TEXT - 0.5)


def draw_effects(report: SweepReport, system: System = "si") -> str:
    """Draw how share, or mean threshold, moves with each input, the one that moves it most on top; give the SVG."""
    from tipline.sweeps.words import ended

    thresholds = report.kind == "thresholds"
    effects = [effect for effect in report.effects if np.isfinite(effect.reach if thresholds else effect.span)]
    if not effects:
        return ""
    with _figure(len(effects), "effects", 0.5) as (figure, tall):
        axes = _bars(figure, len(effects), tall, 0.3, 0.5)
        values = np.array([group.mean for effect in effects for group in effect.groups])
        turn, unit = scale(values, report.dimension, system) if thresholds else (lambda x: 100.0 * x, "%")
        for place, effect in enumerate(effects):
            _swing(axes, place, effect, turn, thresholds)
        _names(axes, [_ends(effect) for effect in effects], system)
        said = (
            f"mean {report.measure} [{unit}]" if thresholds else f"share of the runs that {ended(report.outcome)} [%]"
        )
        axes.set_xlabel(spelled(said, system))
        low, high = axes.get_xlim()
        room = 0.04 * (high - low)
        axes.set_xlim(*((low - room, high + room) if thresholds else (-2, 102)))
        axes.set_ylim(len(effects) - 0.4, -0.6)
        mark(figure, report, tall, "open: lowest values, filled: highest values, strokes between")
        return svg_of(figure)


def _swing(axes: Axes, place: int, effect: Effect, turn: Callable[[Array], Array], thresholds: bool) -> None:
    """Draw the groups of one input as dots on a bar: open the lowest values, filled the highest."""
    groups = [group for group in effect.groups if np.isfinite(group.mean if thresholds else group.share.share)]
    x = turn(np.array([group.mean if thresholds else group.share.share for group in groups]))
    colour = palette.hex_of(palette.LINES["left"])
    axes.barh(place, x.max() - x.min(), left=x.min(), height=0.3, color=colour, alpha=0.35)
    axes.plot(x[1:-1], [place] * len(x[1:-1]), "|", markersize=9, color=colour)
    axes.plot(x[-1:], [place], "o", markersize=6, color=colour)
    axes.plot(x[:1], [place], "o", markersize=6, color=colour, markerfacecolor="white")


def _ends(effect: Effect) -> str:
    """Return an input with its lowest and highest values."""
    low, high = effect.groups[0].words, effect.groups[-1].words
    low, high = low.split(" to ")[0], high.split(" to ")[-1]
    return f"{effect.label}\n{low} to {high}"


def draw_indices(report: SweepReport, system: System = "si") -> str:
    """Draw first and total Sobol indices with their half-widths, of the ending and of the measure; give the SVG."""
    from tipline.sweeps.words import ended

    sets = [(report.indices, f"whether they {ended(report.outcome)}"), (report.measure_indices, report.measure)]
    sets = [(indices, words) for indices, words in sets if indices]
    if not sets:
        return ""
    rows = len(sets[0][0])
    tall = 0.4 + len(sets) * (0.75 + _ROW * rows)
    with drawn("indices", tall) as figure:
        for k, (indices, words) in enumerate(sets):
            low = tall - 0.4 - (k + 1) * (0.75 + _ROW * rows) + 0.5
            box = (_LEFT / _WIDTH, low / tall, 1 - (_LEFT + _RIGHT) / _WIDTH, _ROW * rows / tall)
            _index_bars(figure.add_axes(box), indices, words, system)
        mark(figure, report, tall, "filled: alone; open: with all it does together; bars at the ends: 95 %")
        return svg_of(figure)


def _index_bars(axes: Axes, indices: Sequence[Index], words: str, system: System) -> None:
    order = sorted(indices, key=lambda index: -index.total)
    ink = palette.hex_of(palette.INK)
    for place, index in enumerate(order):
        for offset, value, half, full in (
            (-0.17, index.first, index.first_half, True),
            (0.17, index.total, index.total_half, False),
        ):
            colour = palette.hex_of(palette.LINES["front"])
            axes.barh(place + offset, max(value, 0.0), height=0.3, color=colour if full else "none", edgecolor=colour)
            axes.errorbar(max(value, 0.0), place + offset, xerr=half, color=ink, capsize=2, lw=0.9)
        shares = ", ".join(f"{round(value, 2) + 0.0:.2f}" for value in (index.first, index.total))
        if not any((index.first, index.first_half, index.total, index.total_half)):
            shares = "none seen"
        axes.text(1.02, place, shares, transform=_beside(axes), va="center", size=_TEXT - 1)
    _names(axes, [index.label for index in order], system)
    axes.set_xlim(left=0.0)
    axes.set_xlabel(spelled(f"part of how runs differ in {words}", system))


def _bars(figure: Figure, rows: int, tall: float, right: float, row: float = _ROW) -> Axes:
    high = row * rows
    return figure.add_axes((_LEFT / _WIDTH, 0.5 / tall, 1 - (_LEFT + right) / _WIDTH, high / tall))


def _names(axes: Axes, names: Sequence[str], system: System) -> None:
    axes.set_yticks(range(len(names)), [short(spelled(name, system)) for name in names])
    axes.set_ylim(len(names) - 0.5, -0.5)
    _plain(axes, system)


def short(name: str) -> str:
    """Return a name broken into lines that fit beside or below a plot."""
    import textwrap

    return "\n".join(line for part in name.split("\n") for line in textwrap.wrap(part, 34)[:2])


def _plain(axes: Axes, system: System) -> None:
    from matplotlib.ticker import StrMethodFormatter

    if system == "us" and max(map(abs, axes.get_xlim())) >= 1000.0:
        axes.xaxis.set_major_formatter(StrMethodFormatter("{x:,.0f}"))
    axes.grid(color=palette.hex_of(palette.EDGE), linewidth=0.5)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _beside(axes: Axes) -> Any:
    """Return the transform of text beside the axes: across in shares of the axes, along in data."""
    return axes.get_yaxis_transform()


def mark(figure: Figure, report: SweepReport, tall: float, more: str) -> None:
    """Write above a drawing what it is of: DEMO, computed, how many rows, and what to read it by."""
    parts = (("DEMO", "computed") if report.demo else ("computed",)) + (f"{report.rows} rows", more)
    figure.text(
        0.02,
        1 - 0.13 / tall,
        " · ".join(part for part in parts if part),
        va="center",
        size=_TEXT - 1.5,
        color=palette.hex_of(palette.MUTED),
    )


class drawn:  # noqa: N801 - used like a function
    """A figure of a height, drawn the same each time."""

    def __init__(self, name: str, tall: float) -> None:
        settings: Any = {
            "svg.hashsalt": f"sweep {name}",
            "svg.fonttype": "path",
            "font.size": _TEXT,
            "font.family": "DejaVu Sans",
        }
        self._context = plotting(settings)
        self._tall = tall

    def __enter__(self) -> Figure:
        from matplotlib.backends.backend_svg import FigureCanvasSVG
        from matplotlib.figure import Figure

        self._context.__enter__()
        figure = Figure(figsize=(_WIDTH, self._tall))
        FigureCanvasSVG(figure)
        return figure

    def __exit__(self, *about: Any) -> None:
        self._context.__exit__(*about)


class _figure:  # noqa: N801 - used like a function
    """A figure with a row of bars for each of so many names."""

    def __init__(self, rows: int, name: str, row: float = _ROW) -> None:
        self._tall = 0.5 + row * rows + 0.34
        self._drawn = drawn(name, self._tall)

    def __enter__(self) -> tuple[Figure, float]:
        return self._drawn.__enter__(), self._tall

    def __exit__(self, *about: Any) -> None:
        self._drawn.__exit__(*about)
