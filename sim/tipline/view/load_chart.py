"""Greatest and least loads by load centre as SVG: a line a set-up, with its name at its end."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from tipline.units import FOOT, parse, show
from tipline.view import palette
from tipline.view.floor_plan import svg_of
from tipline.view.palette import spelled
from tipline.view.style import look, plotting

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from tipline.set_ups.assessment import LoadsReport
    from tipline.units import System

__all__ = ["draw_loads"]

_WIDTH, _TEXT = 7.4, 9.0
_TALL, _KEY = 3.1, 0.2
_MOST_LINES = 6


def draw_loads(report: LoadsReport, system: System = "si") -> str:
    """Draw the greatest loads that may be shown, and the least needed, at the top of the mast; give the SVG."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    kinds = [jib for jib in (False, True) if (report.cells.jib == jib).any()]
    bases = _bases(report)
    tall = 0.35 + _TALL + 0.5 + _KEY * -(-(len(bases) + 1) // 2)
    settings: Any = {"svg.hashsalt": "loads", "svg.fonttype": "path", "font.size": _TEXT}
    with plotting(settings):
        figure = Figure(figsize=(_WIDTH, tall))
        FigureCanvasSVG(figure)
        wide = (_WIDTH - 0.75 - 0.15 - 0.55 * (len(kinds) - 1)) / len(kinds)
        for k, jib in enumerate(kinds):
            left = 0.75 + k * (wide + 0.55)
            axes = figure.add_axes(
                (left / _WIDTH, (tall - 0.35 - _TALL + 0.25) / tall, wide / _WIDTH, (_TALL - 0.5) / tall)
            )
            _draw(axes, report, jib, bases, system)
            if k == 0:
                axes.set_ylabel("gross load [t]" if system == "si" else "gross load [1000 lb]", size=_TEXT)
        use = "the capacity plate's loads" if report.has_plate else "for teaching only"
        mark = f"{'DEMO · ' if report.demo else ''}computed; {use}; no load chart for a cab"
        figure.text(0.02, 1 - 0.13 / tall, mark, size=_TEXT - 1.5, va="center", color=palette.hex_of(palette.MUTED))
        _key(figure, bases, tall, system)
        return svg_of(figure)


def _bases(report: LoadsReport) -> list[tuple[float, int]]:
    """Return extensions and slabs to draw: with a plate those that it states, else evenly picked ones."""
    shown = np.isfinite(report.given)
    pairs = zip(report.cells.extension[shown].tolist(), report.cells.slabs[shown].tolist(), strict=True)
    bases = sorted({(extension, int(slabs)) for extension, slabs in pairs})
    if len(bases) <= _MOST_LINES:
        return bases
    return [bases[round(k * (len(bases) - 1) / (_MOST_LINES - 1))] for k in range(_MOST_LINES)]


def _draw(axes: Axes, report: LoadsReport, jib: bool, bases: list[tuple[float, int]], system: System) -> None:
    cells, unit = report.cells, parse("1 t" if system == "si" else "1000 lb", "mass")
    own = cells.jib == jib
    top = cells.height[own].max()
    metres = 1.0 if system == "si" else FOOT
    highest = 0.0
    for k, (extension, slabs) in enumerate(bases):
        which = np.flatnonzero(own & (cells.extension == extension) & (cells.slabs == slabs) & (cells.height == top))
        which = which[np.argsort(cells.centre[which])]
        out, load = cells.centre[which] / metres, report.given[which] / unit
        least = report.least_needed[which] / unit
        known = np.isfinite(load)
        if known.any():
            highest = max(highest, float(load[known].max()))
            # the plate states steps: what it gives at one load centre holds up to that one
            kind = "steps-pre" if report.has_plate else "default"
            axes.plot(out[known], load[known], linewidth=1.7, marker="o", markersize=3.5, drawstyle=kind, **look(k))
        needed = np.isfinite(least) & (least > 0.0) & known
        if needed.any():
            axes.plot(out[needed], least[needed], linewidth=1.0, marker="v", markersize=3.5, **look(k))
    axes.set_ylim(0.0, 1.08 * highest if highest > 0.0 else 1.0)
    name = "jib, reach" if jib else "forks, load centre"
    axes.set_xlabel(f"{name} [{'m' if system == 'si' else 'ft'}]", size=_TEXT)
    axes.set_title(f"{'hook' if jib else 'fork'} height {show(float(top), 'length', system)}", size=_TEXT, loc="left")
    axes.grid(color=palette.hex_of(palette.EDGE), linewidth=0.5)
    axes.tick_params(labelsize=_TEXT - 1.0)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _key(figure: Any, bases: list[tuple[float, int]], tall: float, system: System) -> None:
    from matplotlib.lines import Line2D

    entries: list[tuple[dict[str, Any], str]] = []
    for k, (extension, slabs) in enumerate(bases):
        out = "counterweight home" if extension == 0.0 else f"counterweight {show(extension, 'length', system)} out"
        entries.append((look(k) | {"linewidth": 1.7}, f"{out}, {slabs or 'no'} slab{'' if slabs == 1 else 's'}"))
    muted = palette.hex_of(palette.MUTED)
    entries.append(
        ({"color": muted, "marker": "v", "markersize": 3.5, "linewidth": 1.0}, "thin, triangles: least load")
    )
    lines = -(-len(entries) // 2)
    for k, (line, words) in enumerate(entries):
        row, column = k % lines, k // lines
        x, y = (0.2 + 3.6 * column) / _WIDTH, (0.14 + _KEY * (lines - 1 - row)) / tall
        figure.add_artist(Line2D([x, x + 0.35 / _WIDTH], [y, y], **line))
        figure.text(x + 0.42 / _WIDTH, y, spelled(words, system), va="center", size=_TEXT - 0.5)
