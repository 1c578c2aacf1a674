"""The stress map of a slab as a picture: greatest tension at the bottom and at the top from plate elements."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipline.view import palette
from tipline.view.floor_plan import in_feet, svg_of
from tipline.view.palette import spelled
from tipline.view.style import plotting

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from tipline.floors.answers.report import StressMap
    from tipline.units import System

__all__ = ["draw_stress_map"]

_WIDTH, _SIDE = 7.4, 2.75
_TEXT = 9.0
_PSI = 6894.757293168361
_ROOM = 2.6
"""Half of what is shown about the worst tyre [m]."""


def draw_stress_map(stress: StressMap, demo: str, system: System = "si") -> str:
    """Draw both faces of the slab about the governing tyre, with the lines of planning limit and expected strength."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure
    from matplotlib.ticker import MaxNLocator

    unit, name = (1e6, "MPa") if system == "si" else (_PSI, "psi")
    settings: Any = {"svg.hashsalt": "stress map", "svg.fonttype": "path", "font.size": _TEXT}
    x, y = stress.points[:, 0], stress.points[:, 1]
    room = min(_ROOM, 0.5 * float(np.ptp(x)), 0.5 * float(np.ptp(y)))
    levels = MaxNLocator(12).tick_values(0.0, stress.greatest / unit)
    with plotting(settings):
        whole = _SIDE + 1.35
        figure = Figure(figsize=(_WIDTH, whole))
        FigureCanvasSVG(figure)
        for index, face in enumerate(("bottom", "top")):
            box = ((0.62 + index * 3.05) / _WIDTH, 0.85 / whole, _SIDE / _WIDTH, _SIDE / whole)
            axes = figure.add_axes(box)
            axes.set_facecolor(palette.hex_of(palette.EDGE))
            shown = _contours(axes, stress.points, getattr(stress, face) / unit, levels, stress, unit)
            if stress.beyond is not None:
                _contours(axes, stress.beyond[0], stress.beyond[1 + index] / unit, levels, stress, unit)
            _things(axes, stress, room, face, system)
        bar = figure.add_axes((6.62 / _WIDTH, 0.85 / whole, 0.13 / _WIDTH, _SIDE / whole))
        figure.colorbar(shown, cax=bar, label=f"tension [{name}]")
        mark = ("DEMO · " if demo else "") + "computed from the likely values, uncracked slab"
        figure.text(0.085, 1 - 0.13 / whole, mark, size=_TEXT - 1.5, va="center", color=palette.hex_of(palette.MUTED))
        limits = f"dashed: planning limit {stress.limit / unit:.3g} {name}"
        key = f"{limits}; solid: expected cracking {stress.strength / unit:.3g} {name}; boxes: tyre patches"
        edge = f"thick line: {'joint' if stress.joint else 'free edge'}" if stress.panel[1][0] < 3.9 else "no edge near"
        figure.text(0.085, 0.34 / whole, spelled(key, system), va="center", size=_TEXT - 0.5)
        words = f"{edge}; blue dashes: cavity; grey: no slab" if stress.cavities else f"{edge}; grey: no slab"
        figure.text(0.085, 0.14 / whole, words, va="center", size=_TEXT - 0.5)
        return svg_of(figure)


def _contours(
    axes: Axes, points: NDArray[np.float64], values: NDArray[np.float64], levels: Any, stress: StressMap, unit: float
) -> Any:
    """Fill the levels of tension and draw the lines of planning limit and expected strength; give the fill."""
    from matplotlib.tri import Triangulation

    net = Triangulation(points[:, 0], points[:, 1])
    shown = axes.tricontourf(net, np.clip(values, 0.0, levels[-1]), levels=levels, cmap="YlOrRd")
    for value, width, style in ((stress.limit / unit, 0.9, "dashed"), (stress.strength / unit, 1.9, "solid")):
        if values.max() > value > 0.0:
            axes.tricontour(net, values, levels=[value], colors="black", linewidths=width, linestyles=style)
    return shown


def _things(axes: Axes, stress: StressMap, room: float, face: str, system: System) -> None:
    """Draw the panel's edges, cavities and patches, and frame the axes."""
    from matplotlib.patches import Polygon

    for outline in stress.cavities:
        axes.add_patch(
            Polygon(outline, closed=True, fill=False, edgecolor="#0072b2", linewidth=1.4, linestyle=(0, (3, 1)))
        )
    for outline in stress.patches:
        axes.add_patch(Polygon(outline, closed=True, fill=False, edgecolor="black", linewidth=1.0))
    if stress.panel:
        axes.add_patch(
            Polygon(stress.panel, closed=True, fill=False, edgecolor=palette.hex_of(palette.INK), linewidth=2.2)
        )
    axes.set_aspect("equal")
    axes.set_xlim(stress.at[0] - room, stress.at[0] + room)
    axes.set_ylim(stress.at[1] - room, stress.at[1] + room)
    if system == "us":
        in_feet(axes)
    unit = "m" if system == "si" else "ft"
    axes.set_xlabel(f"x in the panel [{unit}]")
    if face == "bottom":
        axes.set_ylabel(f"y in the panel [{unit}]")
    else:
        axes.set_yticklabels([])
    axes.set_title(f"at the {face} of the slab", size=_TEXT)
