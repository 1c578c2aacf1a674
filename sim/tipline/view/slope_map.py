"""Slope limits as SVG: a polar map a height, and the limit curves of turns and stops.

What goes first is told by colour, by line style and in the key; the least limit is marked and written out.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipline.scenario.labels import height_of
from tipline.units import FOOT, KM_PER_HOUR, MILE_PER_HOUR, show
from tipline.view import palette
from tipline.view.floor_plan import svg_of
from tipline.view.palette import spelled
from tipline.view.plots import put_apart
from tipline.view.style import plotting

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from tipline.slope_limits.maps import SlopeMap, SlopeReport
    from tipline.units import System

__all__ = ["clearest", "draw_limit_curves", "draw_slope_maps"]

_WIDTH, _TEXT = 7.4, 9.0
_MOST_PANELS, _COLUMNS = 6, 3
_PANEL, _SIDE, _BLOCK, _KEY = 2.46, 1.82, 2.72, 0.24
"""Across a panel, its circle, down a panel, down a line of the key [in]."""
Style = Any
STYLES: dict[str, tuple[palette.Colour, Style, str]] = {
    "tips": (palette.LINES["back"], "-", "tips"),
    "swings": (palette.LINES["front"], (0, (5.0, 1.4)), "the frame swings"),
    "lifts": (palette.LINES["left"], (0, (1.2, 1.0)), "a tyre lifts"),
    "slides": (palette.LINES["right"], (0, (6.0, 1.5, 1.2, 1.5)), "slides aside"),
    "rolls": ((70, 70, 70), (0, (9.0, 2.0)), "rolls away"),
    "load slips": ((150, 112, 0), (0, (3.0, 1.2)), "the load slips"),
    "load topples": ((120, 70, 170), (0, (4.0, 1.2, 1.2, 1.2, 1.2, 1.2)), "the load topples"),
}


_INK = palette.hex_of(palette.INK)
Entry = tuple[dict[str, Any], str]
_STOP: Entry = ({"color": palette.hex_of((120, 120, 120)), "linestyle": "-", "linewidth": 1.0}, "in its hardest stop")
_TURNED: Entry = (
    {"color": _INK, "marker": "x", "linestyle": "", "markersize": 5.5, "markeredgewidth": 1.5},
    "simulated, floor turned",
)
_RIDDEN: Entry = (
    {"color": _INK, "marker": "^", "linestyle": "", "markersize": 5.5, "markerfacecolor": "white"},
    "simulated, onto a ramp",
)


def draw_slope_maps(report: SlopeReport, system: System = "si") -> tuple[str, int]:
    """Draw a polar map a height, six at most; give the SVG and how many are drawn."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    maps = _chosen([slope_map for slope_map in report.maps if slope_map.stands])
    if not maps:
        return "", 0
    lines = -(-len(maps) // _COLUMNS)
    kinds = [what for what in STYLES if any(what in slope_map.what for slope_map in maps)]
    none = any("" in slope_map.what for slope_map in maps)
    entries = [({"color": palette.hex_of(STYLES[w][0]), "linestyle": STYLES[w][1], "linewidth": 1.7}, STYLES[w][2])
               for w in kinds]  # fmt: skip
    extra = [(_STOP, report.braking), (_TURNED, report.simulated), (_RIDDEN, report.driven)]
    entries += [entry for entry, there in extra if there] + [({}, "no line: nothing goes up to 50 %")] * none
    tall = 0.3 + lines * _BLOCK + -(-len(entries) // 3) * _KEY + 0.12
    most = _outermost(maps)
    settings: Any = {"svg.hashsalt": "slope map", "svg.fonttype": "path", "font.size": _TEXT}
    with plotting(settings):
        figure = Figure(figsize=(_WIDTH, tall))
        FigureCanvasSVG(figure)
        for k, slope_map in enumerate(maps):
            row, column = divmod(k, _COLUMNS)
            x, y = column * _PANEL + 0.5 * (_PANEL - _SIDE), tall - 0.3 - (row + 1) * _BLOCK + 0.24
            box = (x / _WIDTH, y / tall, _SIDE / _WIDTH, _SIDE / tall)
            axes = figure.add_axes(box, projection="polar")
            _panel(axes, slope_map, most, system)
            _beside(axes, report, slope_map, most)
        mark = ("DEMO · " if report.demo else "") + "computed; where the floor falls to, seen from above; rings: slope"
        figure.text(0.02, 1 - 0.13 / tall, mark, size=_TEXT - 1.5, va="center", color=palette.hex_of(palette.MUTED))
        _key(figure, entries, tall, system)
        return svg_of(figure), len(maps)


def _chosen(maps: list[SlopeMap]) -> list[SlopeMap]:
    """Return six at most, evenly picked, the first and the last among them."""
    if len(maps) <= _MOST_PANELS:
        return maps
    return [maps[round(k * (len(maps) - 1) / (_MOST_PANELS - 1))] for k in range(_MOST_PANELS)]


def _outermost(maps: Sequence[SlopeMap]) -> float:
    """Return the radius of the maps [%]: one for all, so that they can be compared."""
    values = np.concatenate([100.0 * np.tan(slope_map.first[np.isfinite(slope_map.first)]) for slope_map in maps])
    return float(min(np.ceil((values.max() if len(values) else 10.0) / 5.0) * 5.0, 50.0))


def clearest(slope_map: SlopeMap, rings: NDArray[np.float64], most: float) -> float:
    """Return the direction [rad], between those named, in which the limit stays farthest from rings (k,) [%]."""
    limits = np.where(np.isfinite(slope_map.first), np.minimum(100.0 * np.tan(slope_map.first), most), 2.0 * most)
    between = np.radians(np.arange(22.5, 360.0, 45.0))
    apart = np.abs(np.angle(np.exp(1j * (slope_map.azimuth[None, :] - between[:, None]))))
    gaps = np.abs(limits[apart.argmin(axis=1)][:, None] - rings).min(axis=1)
    return float(between[gaps.argmax()])


def _panel(axes: Axes, slope_map: SlopeMap, most: float, system: System) -> None:
    from matplotlib.patheffects import withStroke

    polar: Any = axes
    polar.set_theta_zero_location("N")
    polar.set_theta_direction(1)
    polar.set_rlim(0.0, most)
    step = 5.0 if most <= 20.0 else 10.0
    rings = np.arange(step, most + 1e-9, step)
    polar.set_rgrids(rings, [""] * len(rings))
    angle = clearest(slope_map, rings, most)
    for ring in rings:
        words = polar.text(angle, ring, f"{ring:.0f} %", size=_TEXT - 2.5, ha="center", va="center")
        words.set(zorder=6, path_effects=[withStroke(linewidth=2.0, foreground="white")])
    polar.set_thetagrids(range(0, 360, 45), ["ahead", "", "left", "", "behind", "", "right", ""], size=_TEXT - 1.5)
    polar.tick_params(pad=0)
    polar.grid(color=palette.hex_of(palette.EDGE), linewidth=0.5)
    polar.spines["polar"].set_color(palette.hex_of(palette.EDGE))
    order = np.argsort(np.mod(slope_map.azimuth, 2.0 * np.pi))
    theta = np.mod(slope_map.azimuth, 2.0 * np.pi)[order]
    values = np.minimum(100.0 * np.tan(slope_map.first[order]), most)
    what = [slope_map.what[k] for k in order]
    for start, stop in _runs(what):
        if not what[start]:
            continue
        colour, style, _ = STYLES[what[start]]
        # each run of one kind reaches half a step over to the next, where another one begins
        inside = [k % len(theta) for k in range(start - 1, stop + 1)]
        t, r = np.unwrap(theta[inside]), values[inside]
        t[0], r[0] = 0.5 * (t[0] + t[1]), 0.5 * (r[0] + r[1]) if np.isfinite(r[0]) else r[1]
        t[-1], r[-1] = 0.5 * (t[-2] + t[-1]), 0.5 * (r[-2] + r[-1]) if np.isfinite(r[-1]) else r[-2]
        polar.plot(t, r, color=palette.hex_of(colour), linestyle=style, linewidth=1.7, solid_capstyle="butt")
    worst = slope_map.worst
    least = 100.0 * float(np.tan(slope_map.first[worst]))
    title = f"{height_of(slope_map.hook)} {show(slope_map.height, 'length', system)}"
    if np.isfinite(least):
        polar.plot(
            [slope_map.azimuth[worst]],
            [least],
            "o",
            markersize=4.5,
            color=palette.hex_of(palette.INK),
            markerfacecolor="white",
        )
        title += f"\nleast {least:.1f} % (ring)"
    if slope_map.label:
        title += f"\n{slope_map.label}"
    polar.set_title(title, size=_TEXT - 0.5, pad=3)


def _runs(what: list[str]) -> list[tuple[int, int]]:
    """Return start and stop of each run of equal words; the first and the last are not joined over the end."""
    edges = [0, *(k for k in range(1, len(what)) if what[k] != what[k - 1]), len(what)]
    return list(pairwise(edges))


def _beside(axes: Axes, report: SlopeReport, slope_map: SlopeMap, most: float) -> None:
    """Draw the least limit in any of its stops, and what was simulated at this height."""

    def same(other: Any) -> bool:
        return bool(other.label == slope_map.label and abs(other.height - slope_map.height) < 1e-6)

    stops = [stop for stop in report.braking if same(stop)]
    if stops:
        least = np.min([np.where(np.isfinite(stop.first), stop.first, np.arctan(0.5)) for stop in stops], axis=0)
        order = np.argsort(np.mod(stops[0].azimuth, 2.0 * np.pi))
        theta = np.mod(stops[0].azimuth, 2.0 * np.pi)[order]
        values = np.minimum(100.0 * np.tan(least[order]), most)
        axes.plot([*theta, theta[0] + 2.0 * np.pi], [*values, values[0]], **_STOP[0])
    for runs, (look, _) in ((report.simulated, _TURNED), (report.driven, _RIDDEN)):
        for run in runs:
            low, high = run.first
            if same(run) and np.isfinite(high):
                middle = 0.5 * (low + high) if np.isfinite(low) else high
                axes.plot([run.azimuth], [min(100.0 * float(np.tan(middle)), most)], **look, clip_on=False)


def _key(figure: Any, entries: Sequence[Entry], tall: float, system: System) -> None:
    from matplotlib.lines import Line2D

    last = (len(entries) - 1) // 3
    for k, (look, words) in enumerate(entries):
        row, column = divmod(k, 3)
        x, y = (0.16 + 2.42 * column) / _WIDTH, (0.16 + _KEY * (last - row)) / tall
        if look:
            ends = [x + 0.23 / _WIDTH] if look.get("marker") else [x, x + 0.46 / _WIDTH]
            figure.add_artist(Line2D(ends, [y] * len(ends), **look))
        figure.text(x + (0.54 / _WIDTH if look else 0.0), y, spelled(words, system), va="center", size=_TEXT - 0.5)


def draw_limit_curves(report: SlopeReport, system: System = "si") -> str:
    """Draw speed against turn radius by height, deceleration against height, and slope in a stop against height."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    tall = 3.5 + (3.2 if report.braking else 0.0)
    settings: Any = {"svg.hashsalt": "limit curves", "svg.fonttype": "path", "font.size": _TEXT}
    with plotting(settings):
        figure = Figure(figsize=(_WIDTH, tall))
        FigureCanvasSVG(figure)
        base = tall - 2.98
        left = figure.add_axes((0.6 / _WIDTH, base / tall, 2.35 / _WIDTH, 2.5 / tall))
        right = figure.add_axes((4.55 / _WIDTH, base / tall, 1.75 / _WIDTH, 2.5 / tall))
        _turns(left, report, system)
        _stops(right, report, system)
        if report.braking:
            _braking(figure.add_axes((0.6 / _WIDTH, 0.52 / tall, 3.9 / _WIDTH, 2.45 / tall)), report, system)
        mark = (
            "DEMO · " if report.demo else ""
        ) + "computed; turn and stop: level floor, steady; slope: least of all ways"
        figure.text(0.02, 1 - 0.13 / tall, mark, size=_TEXT - 1.5, va="center", color=palette.hex_of(palette.MUTED))
        return svg_of(figure)


def _braking(axes: Axes, report: SlopeReport, system: System) -> None:
    """Draw the least slope limit by height: standing, and in the truck's stops; of the scenario's own set-up."""
    label = report.maps[0].label
    high, long = (1.0, "m") if system == "si" else (FOOT, "ft")
    curves: dict[str, list[tuple[float, float]]] = {"standing": []}
    for slope_map in report.maps:
        if slope_map.label == label:
            curves["standing"].append((slope_map.height, float(slope_map.first[slope_map.worst])))
    for stop in report.braking:
        if stop.label == label:
            name = f"{stop.stop}, {'forward' if stop.sense > 0 else 'in reverse'}"
            curves.setdefault(name, []).append((stop.height, float(stop.first[stop.worst])))
    ends = []
    for k, (name, points) in enumerate(curves.items()):
        heights, slopes = np.array(points).T
        colour = palette.hex_of(palette.CYCLE[k % len(palette.CYCLE)])
        axes.plot(
            heights / high,
            100.0 * np.tan(slopes),
            color=colour,
            linestyle=_DASHES[k % len(_DASHES)],
            linewidth=1.5,
            marker="o" if len(heights) <= 8 else "",
            markersize=3,
        )
        known = np.flatnonzero(np.isfinite(slopes))
        if len(known):
            ends.append((float(heights[known[-1]] / high), 100.0 * float(np.tan(slopes[known[-1]])), name, colour))
    _frame(axes, f"{height_of(report.maps[0].hook)} [{long}]", "least slope limit [%]")
    _label_ends(axes, ends)


_DASHES: tuple[Style, ...] = ("-", (0, (5.0, 1.6)), (0, (1.2, 1.2)), (0, (6.0, 1.5, 1.2, 1.5)), (0, (3.0, 1.2)), "-.")


def _turns(axes: Axes, report: SlopeReport, system: System) -> None:
    turns = [turn for turn in report.turns if np.isfinite(turn.pull) and turn.pull > 0.0]
    if len(turns) > _MOST_PANELS:
        turns = [turns[round(k * (len(turns) - 1) / (_MOST_PANELS - 1))] for k in range(_MOST_PANELS)]
    scale, unit = (1.0 / KM_PER_HOUR, "km/h") if system == "si" else (1.0 / MILE_PER_HOUR, "mph")
    far, long = (1.0, "m") if system == "si" else (FOOT, "ft")
    ends = []
    for k, turn in enumerate(turns):
        colour = palette.hex_of(palette.CYCLE[k % len(palette.CYCLE)])
        radius, speed = np.array(turn.radius) / far, scale * np.array(turn.speed)
        axes.plot(radius, speed, color=colour, linestyle=_DASHES[k % len(_DASHES)], linewidth=1.5)
        label = f"{show(turn.height, 'length', system)}{', ' + turn.label if turn.label else ''}"
        ends.append((float(radius[-1]), float(speed[-1]), label, colour))
    _frame(axes, f"radius of the turn [{long}]", f"greatest steady speed [{unit}]")
    _label_ends(axes, ends)


def _stops(axes: Axes, report: SlopeReport, system: System) -> None:
    scale, unit = (1.0, "m/s2") if system == "si" else (FOOT, "ft/s2")
    high, long = (1.0, "m") if system == "si" else (FOOT, "ft")
    ends, k = [], 0
    for stop in report.stops:
        for sense, values in (("forward", stop.forward), ("in reverse", stop.reverse)):
            colour = palette.hex_of(palette.CYCLE[k % len(palette.CYCLE)])
            heights, rates = np.array(stop.heights) / high, np.array(values) / scale
            marker = "o" if len(heights) <= 8 else ""
            axes.plot(
                heights,
                rates,
                color=colour,
                linestyle=_DASHES[k % len(_DASHES)],
                linewidth=1.5,
                marker=marker,
                markersize=3,
            )
            known = np.flatnonzero(np.isfinite(rates))
            if len(known):
                label = f"{sense}{', ' + stop.label if stop.label else ''}"
                ends.append((float(heights[known[-1]]), float(rates[known[-1]]), label, colour))
            k += 1
    _frame(axes, f"{height_of(report.stops[0].hook)} [{long}]", f"greatest deceleration [{unit}]")
    _label_ends(axes, ends)


def _frame(axes: Axes, across: str, up: str) -> None:
    axes.set_xlabel(across)
    axes.set_ylabel(up)
    axes.set_ylim(bottom=0.0)
    axes.grid(color=palette.hex_of(palette.EDGE), linewidth=0.5)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _label_ends(axes: Axes, ends: Sequence[tuple[float, float, str, str]]) -> None:
    """Write each curve's name right of its end, moved apart."""
    low, high = axes.get_ylim()
    if not ends:
        return
    places = put_apart([(y - low) / (high - low) for _, y, _, _ in ends], 0.068, 0.0, 1.0)
    edge = axes.get_xlim()[1]
    axes.set_xlim(right=edge)
    for (x, y, words, colour), place in zip(ends, places, strict=True):
        axes.annotate(
            words,
            (x, y),
            (1.04, place),
            xycoords="data",
            textcoords="axes fraction",
            va="center",
            size=_TEXT - 1.0,
            color=colour,
            annotation_clip=False,
            arrowprops={
                "arrowstyle": "-",
                "color": colour,
                "linewidth": 0.6,
                "shrinkA": 1,
                "shrinkB": 1,
                "relpos": (0.0, 0.5),  # from the edge of the name: from its middle it would cross other names
            },
        )
