"""The stress map of a slab as a picture: greatest tension at the bottom and at the top from plate elements."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from tipline.view import palette
from tipline.view.floor_plan import svg_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from tipline.assess.floor import StressMap
    from tipline.view.story import System

__all__ = ["draw_stress_map"]

_WIDTH, _SIDE = 7.4, 2.75
_TEXT = 9.0
_PSI = 6894.757293168361
_ROOM = 2.6
"""Half of what is shown about the worst tyre [m]."""


def draw_stress_map(found: StressMap, demo: bool, system: System = "si") -> str:
    """Draw both faces of the slab about the governing tyre, with the lines of planning limit and expected strength."""
    import matplotlib as mpl
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure
    from matplotlib.tri import Triangulation

    unit, name = (1e6, "MPa") if system == "si" else (_PSI, "psi")
    settings: Any = {"svg.hashsalt": "stress map", "svg.fonttype": "path", "font.size": _TEXT}
    x, y = found.points[:, 0], found.points[:, 1]
    room = min(_ROOM, 0.5 * float(np.ptp(x)), 0.5 * float(np.ptp(y)))
    keep = (np.abs(x - found.at[0]) < 2 * room) & (np.abs(y - found.at[1]) < 2 * room)
    top = max(float(found.bottom[keep].max()), float(found.top[keep].max())) / unit
    levels = np.linspace(0.0, max(top, 1e-9), 13)
    with mpl.rc_context(settings):
        whole = _SIDE + 1.35
        figure = Figure(figsize=(_WIDTH, whole))
        FigureCanvasSVG(figure)
        net = Triangulation(x[keep], y[keep])
        for index, (face, values) in enumerate((("bottom", found.bottom), ("top", found.top))):
            box = ((0.62 + index * 3.05) / _WIDTH, 0.85 / whole, _SIDE / _WIDTH, _SIDE / whole)
            axes = figure.add_axes(box)
            shown = axes.tricontourf(net, values[keep] / unit, levels=levels, cmap="YlOrRd", extend="max")
            lines = [found.limit / unit, found.strength / unit]
            if values[keep].max() > found.limit:
                axes.tricontour(
                    net, values[keep] / unit, levels=lines, colors=["black", "black"], linewidths=[0.9, 1.9],
                    linestyles=["--", "-"],
                )  # fmt: skip
            _things(axes, found, room, face, system)
        bar = figure.add_axes((6.62 / _WIDTH, 0.85 / whole, 0.13 / _WIDTH, _SIDE / whole))
        figure.colorbar(shown, cax=bar, label=f"tension [{name}]", format="%.2g" if system == "si" else "%.0f")
        mark = ("DEMO · " if demo else "") + "computed from the likely values, uncracked slab"
        figure.text(0.085, 1 - 0.13 / whole, mark, size=_TEXT - 1.5, va="center", color=palette.hex_of(palette.MUTED))
        limits = f"dashed: planning limit {found.limit / unit:.3g} {name}"
        key = (
            f"{limits}; solid: expected cracking {found.strength / unit:.3g} {name}; black: tyre patches; white: cavity"
        )
        figure.text(0.085, 0.3 / whole, key, va="center", size=_TEXT - 0.5)
        return svg_of(figure)


def _things(axes: Axes, found: StressMap, room: float, face: str, system: System) -> None:
    """Draw the panel's edges, cavities and patches, and frame the axes."""
    from matplotlib.patches import Polygon

    for outline in found.cavities:
        axes.add_patch(
            Polygon(outline, closed=True, fill=False, edgecolor="white", linewidth=1.6, linestyle=(0, (3, 1)))
        )
    for outline in found.patches:
        axes.add_patch(Polygon(outline, closed=True, fill=False, edgecolor="black", linewidth=1.0))
    if found.panel:
        axes.add_patch(
            Polygon(found.panel, closed=True, fill=False, edgecolor=palette.hex_of(palette.INK), linewidth=2.2)
        )
    axes.set_aspect("equal")
    axes.set_xlim(found.at[0] - room, found.at[0] + room)
    axes.set_ylim(found.at[1] - room, found.at[1] + room)
    foot = 0.3048
    if system == "us":
        axes.xaxis.set_major_formatter(lambda value, _: f"{value / foot:.0f}")
        axes.yaxis.set_major_formatter(lambda value, _: f"{value / foot:.0f}")
    unit = "m" if system == "si" else "ft"
    axes.set_xlabel(f"x in the panel [{unit}]")
    if face == "bottom":
        axes.set_ylabel(f"y in the panel [{unit}]")
    else:
        axes.set_yticklabels([])
    axes.set_title(f"at the {face} of the slab", size=_TEXT)
