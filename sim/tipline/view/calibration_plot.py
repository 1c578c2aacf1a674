"""What was told of made-up cases beside what was so, and how their settings rank, as SVG."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from scipy.stats import binom

from tipline.view import palette
from tipline.view.floor_plan import svg_of
from tipline.view.palette import spelled
from tipline.view.style import plotting

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from tipline.incidents.report import Calibration
    from tipline.units import System

__all__ = ["draw_calibration"]

_WIDTH, _HEIGHT, _TEXT = 7.4, 3.0, 9.0
_LOW, _HIGH = 0.56, 0.34
"""Room below and above the panels [in]."""


def draw_calibration(calibration: Calibration, demo: str, system: System = "si") -> str:
    """Draw told probabilities against how often it was so, and the ranks of the settings; give the SVG."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    settings: Any = {"svg.hashsalt": "calibration", "svg.fonttype": "path", "font.size": _TEXT}
    with plotting(settings):
        figure = Figure(figsize=(_WIDTH, _HEIGHT))
        FigureCanvasSVG(figure)
        high = 1 - (_LOW + _HIGH) / _HEIGHT
        _told(figure.add_axes((0.62 / _WIDTH, _LOW / _HEIGHT, 2.9 / _WIDTH, high)), calibration)
        if calibration.ranked:
            _ranks(figure.add_axes((4.3 / _WIDTH, _LOW / _HEIGHT, 2.95 / _WIDTH, high)), calibration)
        mark = ("DEMO · " if demo else "") + f"computed · {calibration.cases} made-up cases"
        colour = palette.hex_of(palette.MUTED)
        figure.text(0.02, 1 - 0.13 / _HEIGHT, spelled(mark, system), size=_TEXT - 1.5, color=colour, va="center")
        return svg_of(figure)


def _told(axes: Axes, calibration: Calibration) -> None:
    ink, line = palette.hex_of(palette.INK), palette.hex_of(palette.LINES["front"])
    axes.plot((0, 100), (0, 100), color=palette.hex_of(palette.MUTED), linewidth=0.8)
    for part in calibration.bins:
        was = part.was / part.cases
        ends = [[100 * max(was - part.span[0], 0.0)], [100 * max(part.span[1] - was, 0.0)]]
        axes.errorbar(100 * part.told, 100 * was, yerr=ends, fmt="o", ms=4, color=line, ecolor=ink, capsize=3, lw=1)
        right = part.told > 0.5
        axes.annotate(
            str(part.cases),
            (100 * part.told, 100 * was),
            (-6 if right else 8, 4 if right else -3),
            textcoords="offset points",
            ha="right" if right else "left",
            size=_TEXT - 2,
        )
    axes.set_xlim(-3, 103)
    axes.set_ylim(-3, 103)
    axes.set_xlabel("told of a cause [%] (number: how often)")
    axes.set_ylabel("it was that cause [%]")
    _plain(axes)


def _ranks(axes: Axes, calibration: Calibration) -> None:
    counts = np.sum([ranks.tenths for ranks in calibration.ranked], axis=0)
    whole, tenths = int(counts.sum()), len(counts)
    low, high = (float(binom.ppf(share, whole, 1.0 / tenths)) for share in (0.025, 0.975))
    axes.axhspan(low, high, color=palette.hex_of(palette.EDGE), alpha=0.6, linewidth=0)
    axes.axhline(whole / tenths, color=palette.hex_of(palette.MUTED), linewidth=0.8)
    places = 100 * (np.arange(tenths) + 0.5) / tenths
    axes.bar(places, counts, width=86 / tenths, color=palette.hex_of(palette.LINES["front"]), alpha=0.75)
    axes.set_xlim(0, 100)
    axes.set_ylim(bottom=0)
    axes.set_xlabel("weight of the runs below it [%]")
    axes.set_ylabel("settings of made-up cases")
    _plain(axes)


def _plain(axes: Axes) -> None:
    axes.grid(color=palette.hex_of(palette.EDGE), linewidth=0.4)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
