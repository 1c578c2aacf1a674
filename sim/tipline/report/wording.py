"""Numbers and words as a reader sees them: units, signs, what is missing, the spelling of the chosen system."""

from __future__ import annotations

import math
import re

from tipline import units
from tipline.endings import LINES
from tipline.notebook import ESTIMATE, GOVERNING, demo_note
from tipline.units import MILLIMETRE, System

__all__ = [
    "ESTIMATE", "GOVERNING", "LINES", "NOT_GIVEN", "NO_BREAK", "System", "demo_note", "error", "gap", "load",
    "mark", "moment", "quantity", "share", "spell", "tied",
]  # fmt: skip
NO_BREAK = "\u00a0"
# The blank between a number and its unit, where no line may break.
_BEFORE_UNIT = re.compile(r"(?<=[0-9]) (?=(?:%|[A-Za-z][\w/]{0,5})(?!\w))")

NOT_GIVEN = "not given"
_SPELLING = (("tyre", "tire"), ("Tyre", "Tire"), ("kerb", "curb"), ("Kerb", "Curb"))


def quantity(value: float, dimension: str, system: System) -> str:
    """Give an SI value with its unit; a value that is not finite reads "not given"."""
    if not math.isfinite(value):
        return NOT_GIVEN
    return share(value) if dimension == "ratio" else units.show(value, dimension, system)


def gap(value: float, system: System) -> str:
    """Give a signed distance [m] in whole millimetres or tenths of an inch, as the distances to tip lines are given."""
    if not math.isfinite(value):
        return NOT_GIVEN
    if system == "us":
        return f"{round(value / units.parse('1 in', 'length'), 1) + 0.0:.1f} in"
    return f"{round(value / MILLIMETRE)} mm"


def load(value: float, system: System) -> str:
    """Give a tyre load in one unit whatever its size, so that a column can be read down, as the pictures do."""
    if system == "us" or not math.isfinite(value):
        return quantity(value, "force", system)
    text = f"{value / 1e3:.1f}" if abs(value) < 99_950.0 else f"{value / 1e3:.0f}"
    return f"{'0.0' if text == '-0.0' else text} kN"


def tied(text: str) -> str:
    """Give a text whose numbers stay on the line of their units."""
    return _BEFORE_UNIT.sub(NO_BREAK, text)


def share(value: float) -> str:
    """Give a share of one as a percentage with at most one decimal."""
    if not math.isfinite(value):
        return NOT_GIVEN
    text = f"{100 * value:.1f}".removesuffix(".0")
    return f"{'0' if text == '-0' else text} %"


def error(value: float) -> str:
    """Give a numerical error of one as a percentage with one digit, or that it is too small to matter."""
    if not math.isfinite(value):
        return NOT_GIVEN
    return "below 0.001 %" if abs(value) < 1e-5 else f"{100 * value:.1g} %"


def moment(time: float) -> str:
    """Give a time in the run."""
    return f"{time:.2f} s" if math.isfinite(time) else NOT_GIVEN


def spell(text: str, system: System) -> str:
    """Give our own words in the spelling of the chosen system, and the quantities in them in its units."""
    if system == "us":
        text = units.restate(text, system)
        for ours, theirs in _SPELLING:
            text = text.replace(ours, theirs)
    return text


def mark(demo: str, what: str, assumed: int) -> str:
    """Give the line that a page is marked with: DEMO where it is one, what it is, how many values are assumed."""
    start = "DEMO · " if demo else ""
    return f"{start}{what} · {assumed} assumed value{'' if assumed == 1 else 's'}"
