"""The floor in plan as SVG: zones, joints, free edges, cavities, covers, spreaders, the tyres and their tracks."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from tipline.units import FOOT
from tipline.view import palette
from tipline.view.style import plotting

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from tipline.floors.answers.report import FloorReport
    from tipline.model.plane import Outline, Point
    from tipline.units import System

__all__ = ["draw_floor_plan", "frame_axes", "in_feet", "svg_of"]

_WIDTH = 7.4
_TEXT = 9.0
_HATCH = {"suspended": "///", "cavity": "xxx", "cover": "..", "hole": "", "timber_mat": "--"}
_WORDS = {
    "steel_plate": "steel plate", "timber_mat": "timber mat", "soft": "soft place", "cover": "cover",
    "cavity": "cavity", "suspended": "suspended: others must answer", "spreader needed": "spreader out of the stock",
    "hole": "open hole", "slab": "floor slab", "ground": "bare ground", "asphalt": "asphalt", "rigid": "taken as rigid",
}  # fmt: skip
_LINES: dict[str, tuple[palette.Colour, str | tuple[int, tuple[float, ...]], float]] = {
    "joint": (palette.INK, (0, (5.0, 2.0)), 1.1),
    "free edge": (palette.INK, "-", 2.2),
}


def draw_floor_plan(report: FloorReport, system: System = "si") -> str:
    """Draw what a floor report is about, seen from above, x to the right."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    low, high = _frame(report)
    wide, tall = high[0] - low[0], high[1] - low[1]
    height = min(max((_WIDTH - 0.9) * tall / wide, 2.2), 6.5)
    settings: Any = {"svg.hashsalt": "floor plan", "svg.fonttype": "path", "font.size": _TEXT, "hatch.linewidth": 0.5}
    with plotting(settings):
        keys = _keys(report)
        below = 0.62 + 0.19 * -(-len(keys) // 2)
        figure = Figure(figsize=(_WIDTH, height + below + 0.25))
        FigureCanvasSVG(figure)
        whole = height + below + 0.25
        axes = figure.add_axes((0.68 / _WIDTH, below / whole, 1 - 0.8 / _WIDTH, height / whole))
        _areas(axes, report)
        _lines(axes, report)
        _tracks(axes, report)
        _patches(axes, report)
        frame_axes(axes, (low, high), ("x", "y"), system)
        _key(figure, keys, whole)
        mark = ("DEMO · " if report.demo else "") + "computed; floor in plan"
        figure.text(0.09, 1 - 0.13 / whole, mark, size=_TEXT - 1.5, color=palette.hex_of(palette.MUTED), va="center")
        return svg_of(figure)


def svg_of(figure: Figure) -> str:
    """Give a figure as one svg element."""
    stream = io.StringIO()
    figure.savefig(stream, format="svg", metadata=dict.fromkeys(("Date", "Creator", "Format", "Type")))
    text = stream.getvalue()
    return text[text.index("<svg") :]


def _frame(report: FloorReport) -> tuple[Point, Point]:
    """Return the corners of what is shown: the tyres and tracks with room about them, and what lies near."""
    points: list[Point] = [point for _, outline in report.plan.patches for point in outline]
    points += [point for track in report.tracks.values() for point in track]
    points += list(report.plan.body)
    if not points:
        points = [point for area in report.plan.areas for point in area.outline] or [(0.0, 0.0), (1.0, 1.0)]
    room = 1.5
    low = min(x for x, _ in points) - room, min(y for _, y in points) - room
    high = max(x for x, _ in points) + room, max(y for _, y in points) + room
    short = 0.35 * (high[0] - low[0]) - (high[1] - low[1])
    if short > 0.0:
        low, high = (low[0], low[1] - short / 2), (high[0], high[1] + short / 2)
    return low, high


def _areas(axes: Axes, report: FloorReport) -> None:
    from matplotlib.patches import Polygon

    for area in report.plan.areas:
        if not area.outline:
            axes.set_facecolor(palette.hex_of(palette.PARTS.get(area.kind, palette.PAPER)))
            continue
        fill = palette.hex_of(palette.PARTS.get(area.kind, palette.PAPER))
        edge = palette.hex_of(palette.INK if area.kind in ("cavity", "cover", "hole") else palette.MUTED)
        needed = area.kind == "spreader needed"
        axes.add_patch(
            Polygon(
                area.outline,
                closed=True,
                facecolor=fill,
                edgecolor=edge,
                linewidth=1.4 if needed else 0.7,
                linestyle="--" if area.kind == "cavity" else "-",
                hatch=_HATCH.get(area.kind),
                alpha=0.75 if needed or area.kind == "cavity" else 1.0,
                zorder=3.0 if needed else 1.0,
            )
        )


def _lines(axes: Axes, report: FloorReport) -> None:
    for kind, line in report.plan.lines:
        colour, style, width = _LINES.get(kind, _LINES["joint"])
        axes.plot(*zip(*line, strict=True), color=palette.hex_of(colour), linestyle=style, linewidth=width, zorder=2)


def _tracks(axes: Axes, report: FloorReport) -> None:
    for index, track in enumerate(report.tracks.values()):
        colour = palette.hex_of(palette.CYCLE[index % len(palette.CYCLE)])
        axes.plot(*zip(*track, strict=True), color=colour, linewidth=1.2, alpha=0.9, zorder=4)


def _patches(axes: Axes, report: FloorReport) -> None:
    from matplotlib.patches import Polygon

    if report.plan.body:
        outline = Polygon(report.plan.body, closed=True, fill=False, edgecolor=palette.hex_of(palette.MUTED), zorder=5)
        outline.set_linestyle((0, (1.5, 2.0)))
        axes.add_patch(outline)
    for name, outline_points in report.plan.patches:
        ink = palette.hex_of(palette.INK)
        axes.add_patch(Polygon(outline_points, closed=True, facecolor=ink, edgecolor=ink, zorder=6))
        _name(axes, name, outline_points)
    worst = report.worst
    if worst is not None:
        colour = palette.hex_of(palette.WARN)
        axes.plot(*worst.at, marker="o", markersize=15, fillstyle="none", color=colour, markeredgewidth=1.8, zorder=7)


def _name(axes: Axes, name: str, outline: Outline) -> None:
    """Write a tyre's name ahead of its patch, where no twin stands: aside of it on the page, or above."""
    (ax, ay), (bx, by) = outline[:2]
    aside = abs(bx - ax) > abs(by - ay)
    if aside:
        x, y = max(point[0] for point in outline), sum(point[1] for point in outline) / len(outline)
    else:
        x, y = sum(point[0] for point in outline) / len(outline), max(point[1] for point in outline)
    text = axes.annotate(
        name, (x, y), xytext=(5, 0) if aside else (0, 5), textcoords="offset points",
        ha="left" if aside else "center", va="center" if aside else "bottom", zorder=8,
    )  # fmt: skip
    text.set_bbox({"facecolor": "white", "edgecolor": "none", "alpha": 0.8, "pad": 0.8})


def frame_axes(axes: Axes, corners: tuple[Point, Point], names: tuple[str, str], system: System) -> None:
    """Give a plan its axes between two corners [m], one scale both ways, named with their unit."""
    (low, high), (along, across) = corners, names
    axes.set_aspect("equal", adjustable="box")
    axes.set_xlim(low[0], high[0])
    axes.set_ylim(low[1], high[1])
    if system == "us":
        in_feet(axes)
    unit = "m" if system == "si" else "ft"
    axes.set_xlabel(f"{along} [{unit}]")
    axes.set_ylabel(f"{across} [{unit}]")
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def in_feet(axes: Axes) -> None:
    """Mark both axes, drawn in metres, at whole feet."""
    from matplotlib.ticker import MultipleLocator

    foot = FOOT
    wide = max(abs(end - start) for start, end in (axes.get_xlim(), axes.get_ylim())) / foot
    step = next((size for size in (1, 2, 5, 10, 20, 50) if wide / size <= 12), 100)
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_major_locator(MultipleLocator(step * foot))
        axis.set_major_formatter(lambda value, _: f"{round(value / foot)}")


def _keys(report: FloorReport) -> list[tuple[str, str]]:
    keys: list[tuple[str, str]] = []
    keys += [("area", kind) for kind in dict.fromkeys(area.kind for area in report.plan.areas)]
    keys += [("line", kind) for kind in dict.fromkeys(kind for kind, _ in report.plan.lines)]
    keys += [("track", name) for name in report.tracks]
    if report.worst is not None:
        keys.append(("worst", f"worst place: {report.worst.tyre}"))
    return keys


def _key(figure: Figure, keys: Sequence[tuple[str, str]], whole: float) -> None:
    """Draw the key below the axes, in two columns."""
    from matplotlib.lines import Line2D
    from matplotlib.patches import Rectangle

    rows, track = -(-len(keys) // 2), 0
    for index, (kind, name) in enumerate(keys):
        x = (0.68 + 3.4 * (index // rows)) / _WIDTH
        y = (0.1 + 0.19 * (rows - 1 - index % rows)) / whole
        size = (0.26 / _WIDTH, 0.11 / whole)
        words = _WORDS.get(name, name)
        if kind == "area":
            figure.add_artist(
                Rectangle(
                    (x, y), *size, facecolor=palette.hex_of(palette.PARTS.get(name, palette.PAPER)),
                    edgecolor=palette.hex_of(palette.INK), linewidth=0.7, hatch=_HATCH.get(name),
                )
            )  # fmt: skip
        elif kind == "worst":
            middle = [x + size[0] / 2], [y + size[1] / 2]
            figure.add_artist(
                Line2D(*middle, marker="o", fillstyle="none", color=palette.hex_of(palette.WARN), markersize=9)
            )
        else:
            colour, style, width = _LINES.get(name, (palette.CYCLE[track % len(palette.CYCLE)], "-", 1.4))
            track += kind == "track"
            ends = [x, x + size[0]], [y + size[1] / 2] * 2
            figure.add_artist(Line2D(*ends, color=palette.hex_of(colour), linestyle=style, linewidth=width))  # type: ignore[arg-type]
            words = f"track of {name}" if kind == "track" else name
        figure.text(x + 0.34 / _WIDTH, y + size[1] / 2, words, va="center", color=palette.hex_of(palette.MUTED))
