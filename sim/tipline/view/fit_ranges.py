"""What weighings determined of a machine, as SVG: each value's range by its file, and the range that is left of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tipline.truck_fit.assessment import SURE
from tipline.units import System, show
from tipline.view import palette
from tipline.view.palette import spelled
from tipline.view.sketch import TEXT, WIDE, Sketch, text_width

if TYPE_CHECKING:
    from tipline.truck_fit.assessment import FitReport, Fitted

__all__ = ["draw_fit", "fit_caption"]

_MOST = 7
"""Values that are drawn, those that the readings tell most of; the table has them all (our choice)."""
_ROW, _HEAD, _BAR = 44.0, 34.0, 15.0


def fit_caption(report: FitReport) -> str:
    """Say what the drawing shows."""
    drawn, every = len(_shown(report)), len(report.fitted)
    some = f" The {drawn} of {every} values that the readings tell most of." if drawn < every else ""
    return f"Grey: the range by the file, 95 in 100; dark: what the readings leave of it; dot: the fitted value.{some}"


def draw_fit(report: FitReport, system: System = "si") -> str:
    """Draw the ranges before and after a fit, a value a row, each on a scale of its own; give the SVG."""
    shown = _shown(report)
    sketch = Sketch(_HEAD + _ROW * len(shown) + 8.0, fit_caption(report))
    sketch.mark(f"{'DEMO · ' if report.demo else ''}computed; by the file, and fitted")
    for row, fitted in enumerate(shown):
        _value(sketch, fitted, _HEAD + _ROW * row, system)
    return sketch.svg()


def _shown(report: FitReport) -> list[Fitted]:
    return sorted(report.fitted, key=lambda fitted: fitted.left)[:_MOST]


def _value(sketch: Sketch, fitted: Fitted, top: float, system: System) -> None:
    """Write a value above its bars, which show from where to where it may lie."""
    of = fitted.unknown
    before, after = (of.value - SURE * of.spread, of.value + SURE * of.spread), (fitted.low, fitted.high)
    low, high = min(before[0], after[0]), max(before[1], after[1])
    left, right = 8.0, WIDE - 8.0

    def at(value: float) -> float:
        return left + (right - left) * (value - low) / (high - low)

    words = spelled(show(fitted.value, of.dimension, system), system)
    base, bar = top + TEXT, top + TEXT + 6.0
    what = of.what
    while text_width(what) > right - left - text_width(words, bold=True) - 16.0:
        what = f"{what[:-4]}..."
    sketch.text((left, base), spelled(what, system))
    sketch.text((right, base), words, anchor="end", bold=True)
    _bar(sketch, at(before[0]), at(before[1]), bar, palette.EDGE)
    middle = bar + 0.5 * _BAR
    sketch.line(((at(after[0]), middle), (at(after[1]), middle)), palette.LINES["front"], 0.6 * _BAR)
    sketch.disc((at(fitted.value), middle), 0.32 * _BAR, palette.PANEL, palette.INK)


def _bar(sketch: Sketch, start: float, end: float, top: float, fill: palette.Colour) -> None:
    sketch.area(((start, top), (end, top), (end, top + _BAR), (start, top + _BAR)), fill)
