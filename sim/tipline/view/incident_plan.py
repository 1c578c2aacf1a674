"""What was found after an incident, in plan as SVG, with where the nearest runs of each cause come to lie."""

from __future__ import annotations

from math import cos, isfinite, sin
from textwrap import wrap
from typing import TYPE_CHECKING, Any

from tipline.view import palette
from tipline.view.floor_plan import frame_axes, svg_of
from tipline.view.palette import spelled
from tipline.view.style import look, plotting

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from tipline.incidents.report import CauseJudged, IncidentReport, Rest
    from tipline.model.plane import Point
    from tipline.units import System

__all__ = ["draw_incident_plan"]

_WIDTH, _TEXT = 4.6, 10.0
"""Width [in] and size of letters [points]: 11 pixels on a telephone 390 wide (our choice)."""
_ROOM = 0.8
"""About all that is shown [m]."""
_LEAST, _MOST = 1.6, 3.0
"""How high the plan may be [in]."""
_FOUND = palette.INK
_KEY = 0.18
"""From line to line of the key [in]."""
_LETTERS = 58
"""Of a line of the key."""


def draw_incident_plan(report: IncidentReport, system: System = "si") -> str:
    """Draw where the truck stood, what was found and the nearest runs, seen from above, ahead to the right."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    low, high = _frame(report)
    height = min(max((_WIDTH - 0.9) * (high[1] - low[1]) / (high[0] - low[0]), _LEAST), _MOST)
    keys = [(line, wrap(spelled(words, system), _LETTERS)) for line, words in _keys(report)]
    below = 0.62 + _KEY * sum(len(lines) for _, lines in keys)
    whole = height + below + 0.25
    settings: Any = {"svg.hashsalt": "incident plan", "svg.fonttype": "path", "font.size": _TEXT}
    with plotting(settings):
        figure = Figure(figsize=(_WIDTH, whole))
        FigureCanvasSVG(figure)
        axes = figure.add_axes((0.68 / _WIDTH, below / whole, 1 - 0.8 / _WIDTH, height / whole))
        _stood(axes, report)
        _found(axes, report, (low, high))
        for k, cause in enumerate(_shown(report)):
            _nearest(axes, cause, k, report)
        frame_axes(axes, (low, high), ("ahead of where the drive axle stood", "left of it"), system)
        axes.tick_params(labelsize=_TEXT - 0.5)
        _key(figure, keys, whole)
        mark = ("DEMO · " if report.demo else "") + "computed, not recorded; from above"
        figure.text(0.09, 1 - 0.13 / whole, mark, size=_TEXT - 0.5, color=palette.hex_of(palette.MUTED), va="center")
        return svg_of(figure)


def _shown(report: IncidentReport) -> Sequence[CauseJudged]:
    return [cause for cause in report.causes if cause.rests]


def _frame(report: IncidentReport) -> tuple[Point, Point]:
    """Return the corners of what is shown."""
    points = list(report.tyres.values())
    for cause in report.causes:
        for rest in cause.rests:
            points += [rest.truck, _tail(rest, report)]
            points += [rest.load] if rest.load is not None else []
    for body in ("truck", "load"):
        ahead, left = report.found_at(f"{body}.ahead"), report.found_at(f"{body}.left")
        points += [(end, 0.0) for end in _ends(ahead)] + [(0.0, end) for end in _ends(left)]
    low = min(x for x, _ in points) - _ROOM, min(y for _, y in points) - _ROOM
    high = max(x for x, _ in points) + _ROOM, max(y for _, y in points) + _ROOM
    tall, wide = high[1] - low[1], high[0] - low[0]
    least = 0.5 * max(wide * _LEAST / (_WIDTH - 0.9) - tall, 0.0)  # so that neither edge is stretched past the other
    aside = 0.5 * max(tall * (_WIDTH - 0.9) / _MOST - wide, 0.0)
    return (low[0] - aside, low[1] - least), (high[0] + aside, high[1] + least)


def _ends(range_told: tuple[float, float] | None) -> tuple[float, ...]:
    return () if range_told is None else (range_told[0] - range_told[1], range_told[0] + range_told[1])


def _tail(rest: Rest, report: IncidentReport) -> Point:
    """Return where the truck's steer axle would be, were it on its wheels: it shows how the truck is turned."""
    behind = -min(x for x, _ in report.tyres.values())
    return rest.truck[0] - behind * cos(rest.heading), rest.truck[1] - behind * sin(rest.heading)


def _stood(axes: Axes, report: IncidentReport) -> None:
    """Draw the tyres where the truck stood, and a line from the middle of the drive axle back."""
    from matplotlib.patches import Rectangle

    muted = palette.hex_of(palette.MUTED)
    for x, y in report.tyres.values():
        axes.add_patch(Rectangle((x - 0.25, y - 0.1), 0.5, 0.2, facecolor="white", edgecolor=muted, zorder=2))
    behind = min(x for x, _ in report.tyres.values())
    axes.plot([behind, 0.0], [0.0, 0.0], color=muted, linewidth=1.0, zorder=2)
    axes.plot(0.0, 0.0, marker="o", markersize=5, color="white", markeredgecolor=muted, zorder=2)


def _found(axes: Axes, report: IncidentReport, frame: tuple[Point, Point]) -> None:
    """Draw what was found: a box it lies in, a band where one of its two places is known, a fan of its heading."""
    from matplotlib.patches import Rectangle

    (west, south), (east, north) = frame
    colour = palette.hex_of(_FOUND)
    for body, hatch in (("truck", "///"), ("load", "\\\\\\")):
        ahead, left = report.found_at(f"{body}.ahead"), report.found_at(f"{body}.left")
        if ahead is None and left is None:
            continue
        x0, x1 = (west, east) if ahead is None else _ends(ahead)
        y0, y1 = (south, north) if left is None else _ends(left)
        box = Rectangle((x0, y0), x1 - x0, y1 - y0, facecolor="none", edgecolor=palette.hex_of(palette.EDGE))
        box.set_hatch(hatch)
        axes.add_patch(box)
        edge = Rectangle((x0, y0), x1 - x0, y1 - y0, fill=False, edgecolor=colour, linewidth=1.0, zorder=3)
        edge.set_linestyle("-" if body == "truck" else (0, (4.0, 2.0)))
        axes.add_patch(edge)
    heading = report.found_at("truck.heading")
    if heading is not None:
        ahead, left = report.found_at("truck.ahead"), report.found_at("truck.left")
        x, y = 0.0 if ahead is None else ahead[0], 0.0 if left is None else left[0]
        reach = -min(place for place, _ in report.tyres.values())
        for end in _ends(heading):
            to = x - reach * cos(end), y - reach * sin(end)
            axes.plot([x, to[0]], [y, to[1]], color=colour, linewidth=1.0, linestyle=(0, (1.0, 1.5)), zorder=3)


def _nearest(axes: Axes, cause: CauseJudged, k: int, report: IncidentReport) -> None:
    """Draw the nearest runs of a cause: the truck as a line with a dot at its drive axle, the load as a square."""
    line = look(k)
    for number, rest in enumerate(cause.rests):
        first = number == 0
        tail = _tail(rest, report)
        width, alpha = (2.0, 1.0) if first else (0.8, 0.6)
        axes.plot([rest.truck[0], tail[0]], [rest.truck[1], tail[1]], linewidth=width, alpha=alpha, zorder=5, **line)
        axes.plot(*rest.truck, marker="o", markersize=6 if first else 3, color=line["color"], alpha=alpha, zorder=5)
        if rest.load is not None and all(isfinite(place) for place in rest.load):
            axes.plot(
                *rest.load, marker="s", markersize=7 if first else 4, color=line["color"], alpha=alpha,
                fillstyle="full" if first else "none", zorder=5,
            )  # fmt: skip


def _keys(report: IncidentReport) -> Iterator[tuple[dict[str, Any], str]]:
    """Yield how each thing is drawn and what it is."""
    muted, ink = palette.hex_of(palette.MUTED), palette.hex_of(_FOUND)
    yield {"color": muted, "marker": "o", "markerfacecolor": "white"}, "where the truck stood: line back from the dot"
    if any(report.found_at(f"truck.{way}") for way in ("ahead", "left")):
        yield {"color": ink, "linestyle": "-"}, "found: the truck's drive axle lies in here"
    if any(report.found_at(f"load.{way}") for way in ("ahead", "left")):
        yield {"color": ink, "linestyle": (0, (4.0, 2.0))}, "found: the middle of the load lies in here"
    if report.found_at("truck.heading"):
        yield {"color": ink, "linestyle": (0, (1.0, 1.5))}, "found: the truck is turned between these"
    for k, cause in enumerate(_shown(report)):
        words = f"nearest runs (square: load), if {cause.said}"
        yield look(k) | {"marker": "o", "linewidth": 2.0}, words


def _key(figure: Figure, keys: Sequence[tuple[dict[str, Any], list[str]]], whole: float) -> None:
    from matplotlib.lines import Line2D

    up = 0.12 + _KEY * sum(len(lines) for _, lines in keys)
    for line, words in keys:
        y = (up - 0.5 * _KEY) / whole
        figure.add_artist(Line2D([0.12 / _WIDTH, 0.46 / _WIDTH], [y, y], markersize=5, **line))
        for text in words:
            figure.text(0.55 / _WIDTH, (up - 0.5 * _KEY) / whole, text, va="center", size=_TEXT - 0.5)
            up -= _KEY
