"""The tyres of a truck in plan as SVG, with the dimensions that a wheel-load sheet needs: tracks, wheelbase, gaps."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Any

from tipline.units import show
from tipline.view import palette
from tipline.view.floor_plan import svg_of
from tipline.view.palette import spelled
from tipline.view.style import plotting

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from tipline.floors.answers.report import FloorReport
    from tipline.model.plane import Point
    from tipline.units import System

__all__ = ["draw_tyre", "draw_wheel_plan"]

_WIDTH = 7.4
_TEXT = 9.0
_OFF = 0.42
"""How far dimension lines lie outside the tyres [m]."""


def draw_wheel_plan(report: FloorReport, system: System = "si") -> str:
    """Draw the tyres' patches from above, the front to the left, so its left side below; names, loads and distances.

    Raises ValueError where the report has no sheet.
    """
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    sheet = report.sheet
    if sheet is None:
        msg = "no wheel-load sheet in this report"
        raise ValueError(msg)
    first = report.tyres[0].setup
    settings: Any = {"svg.hashsalt": "wheel plan", "svg.fonttype": "path", "font.size": _TEXT}
    across = [y for _, y in sheet.places.values()]
    low, high = -max(across) - 0.85, 0.6 - min(across)
    behind = -sheet.wheelbase - 1.5
    with plotting(settings):
        tall = (_WIDTH - 0.2) * (high - low) / (1.6 - behind)
        figure = Figure(figsize=(_WIDTH, tall + 0.35))
        FigureCanvasSVG(figure)
        axes = figure.add_axes((0.1 / _WIDTH, 0.05, 1 - 0.2 / _WIDTH, tall / (tall + 0.35) - 0.05))
        axes.set_aspect("equal", adjustable="box")
        axes.set_xlim(-1.6, -behind)
        axes.set_ylim(low, high)
        axes.axis("off")
        for tyre in report.tyres:
            if tyre.setup == first:
                draw_tyre(
                    axes,
                    sheet.places[tyre.tyre],
                    tyre.patch,
                    _label(tyre.tyre, tyre.static_load, tyre.rolling_load, system),
                )
        _dimensions(axes, dict(sheet.places), system)
        axes.annotate("front", (-1.5, 0.0), (-0.75, 0.0), va="center", arrowprops={"arrowstyle": "->"})
        mark = ("DEMO · " if report.demo else "") + f"{sheet.truck}, {first}: tyre loads at rest / peak rolling"
        figure.text(0.02, 1 - 0.13 / (tall + 0.35), spelled(mark, system), size=_TEXT, va="center")
        return svg_of(figure)


def _label(name: str, at_rest: float, rolling: float, system: System) -> str:
    return f"{spelled(name, system)}\n{show(at_rest, 'force', system)} / {show(rolling, 'force', system)}"


def draw_tyre(axes: Axes, place: Point, patch: tuple[float, float], text: str) -> None:
    """Draw a tyre's patch with its words; the front lies to the left."""
    from matplotlib.patches import Rectangle

    x, y = -place[0], -place[1]
    long, wide = patch
    ink = palette.hex_of(palette.INK)
    axes.add_patch(Rectangle((x - long / 2, y - wide / 2), long, wide, facecolor=ink, edgecolor=ink))
    front = x < 0.1
    axes.annotate(
        text, (x, y), xytext=(-12 if front else 12, 0), textcoords="offset points", va="center",
        ha="right" if front else "left", size=_TEXT - 0.5,
    )  # fmt: skip


def _dimensions(axes: Axes, places: dict[str, Point], system: System) -> None:
    """Draw the wheelbase below, and the tyres' distances along each axle, from middle to middle."""
    axles: dict[float, list[float]] = {}
    for x, y in places.values():
        axles.setdefault(-x, []).append(-y)
    lowest = min(-y for _, y in places.values())
    front, rear = min(axles), max(axles)
    _line(axes, (front, lowest - 0.6), (rear, lowest - 0.6), show(rear - front, "length", system), upright=False)
    for x, ys in axles.items():
        inward = _OFF if x == front else -_OFF
        rows = sorted(ys)
        for a, b in pairwise(rows):
            _line(axes, (x + inward, a), (x + inward, b), show(b - a, "length", system), upright=True)
        if len(rows) > 2:
            out = x + 2.4 * inward
            _line(axes, (out, rows[0]), (out, rows[-1]), show(rows[-1] - rows[0], "length", system), upright=True)


def _line(axes: Axes, a: Point, b: Point, text: str, *, upright: bool) -> None:
    muted = palette.hex_of(palette.MUTED)
    axes.annotate("", a, b, arrowprops={"arrowstyle": "|-|,widthA=0.3,widthB=0.3", "color": muted, "linewidth": 0.9})
    x, y = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    axes.annotate(
        text, (x, y), xytext=(3 if upright else 0, 0 if upright else 3), textcoords="offset points",
        ha="left" if upright else "center", va="center" if upright else "bottom", size=_TEXT - 0.5,
    )  # fmt: skip
