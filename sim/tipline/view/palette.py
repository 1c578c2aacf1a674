"""Colours and words for quantities, the same in pictures and plots.

The line colours are four of the set of Okabe and Ito, darkened until they can
be read as text on white, which readers with any common colour blindness tell apart;
names and line styles say the same again, so that nothing is told by colour only.
"""

from __future__ import annotations

import numpy as np

from tipline.units import FOOT, INCH, POUND_FORCE, System, restate

__all__ = [
    "BOX",
    "CYCLE",
    "INK",
    "LINES",
    "MUTED",
    "PAPER",
    "PARTS",
    "Colour",
    "depth",
    "force",
    "hex_of",
    "length",
    "short_length",
    "spelled",
]

Colour = tuple[int, int, int]

INK: Colour = (28, 32, 36)
MUTED: Colour = (92, 98, 104)
PAPER: Colour = (248, 248, 246)
PANEL: Colour = (255, 255, 255)
EDGE: Colour = (188, 190, 192)
SKY: Colour = (226, 230, 233)
FLOOR: Colour = (188, 187, 182)
RAMP: Colour = (172, 172, 167)
RAISED: Colour = (116, 117, 116)
GRID: Colour = (150, 150, 146)
HOLE: Colour = (70, 66, 62)
SOFT: Colour = (146, 124, 100)
ARROW: Colour = (247, 190, 0)
WARN: Colour = (140, 20, 20)
BOX: Colour = (122, 59, 105)
"""DEMO, and what must not be overlooked."""
LINES: dict[str, Colour] = {
    "front": (0, 114, 178),
    "back": (196, 82, 0),
    "left": (0, 124, 92),
    "right": (176, 74, 130),
}
PARTS: dict[str, Colour] = {
    "rigid": (238, 238, 235),
    "slab": (221, 224, 226),
    "suspended": (226, 211, 222),
    "asphalt": (199, 199, 199),
    "ground": (222, 208, 184),
    "soft": (201, 180, 152),
    "hole": HOLE,
    "cover": (244, 226, 170),
    "cavity": (255, 255, 255),
    "steel_plate": (166, 190, 208),
    "timber_mat": (206, 176, 128),
    "spreader needed": (190, 222, 206),
}
"""What a floor is, and what lies on it, by kind."""
CYCLE: tuple[Colour, ...] = (*LINES.values(), (70, 70, 70), (84, 44, 0))

SHORT_UNIT: dict[System, str] = {"si": "mm", "us": "in"}


def hex_of(colour: Colour) -> str:
    """Give a colour as #rrggbb."""
    return "#{:02x}{:02x}{:02x}".format(*colour)


def force(value: float, system: System) -> str:
    """Give a tyre load in words: kN with one decimal below 100, or pounds to the nearest ten or hundred."""
    if not np.isfinite(value):
        return "none"
    if system == "us":
        pounds = value / POUND_FORCE
        return f"{round(pounds, -1 if abs(pounds) < 9_995 else -2):,.0f} lbf"
    return f"{value / 1e3:.1f} kN" if abs(value) < 99_950 else f"{value / 1e3:.0f} kN"


def short_length(value: float, system: System) -> str:
    """Give a distance in mm or inches."""
    return f"{short_number(value, system)} {SHORT_UNIT[system]}" if np.isfinite(value) else "-"


def depth(value: float, system: System) -> str:
    """Give how deep or high a place of the floor is: whole mm, in inches as texts restate them (118 mm: 4.65 in)."""
    return restate(f"{value * 1e3:.0f} mm", system)


def short_number(value: float, system: System) -> str:
    """Give the number of a distance whose unit stands elsewhere."""
    if not np.isfinite(value):
        return "-"
    if system == "us":
        return f"{_zero(round(value / INCH, 1)):.1f}"
    return f"{_zero(round(value * 1e3)):.0f}"


def length(value: float, system: System) -> str:
    """Give a length in m or feet."""
    return f"{value / FOOT:.3g} ft" if system == "us" else f"{value:.3g} m"


def spelled(text: str, system: System) -> str:
    """Give a text of ours in the chosen units and the spelling that goes with them."""
    return restate(text, system).replace("tyre", "tire").replace("Tyre", "Tire") if system == "us" else text


def _zero(value: float) -> float:
    return 0.0 if value == 0 else value  # no "-0"
