"""What is not known of an own truck, on a page: where the figures lie, and what knowing more would change."""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING, Any

from tipline import units
from tipline.report import wording
from tipline.report.page import PointList, Section, Table
from tipline.report.wording import gap
from tipline.units import MILLIMETRE, System

if TYPE_CHECKING:
    from tipline.pose.not_known import Bracket, Gain, NotKnown

__all__ = [
    "band_words", "distance_ends", "find_out_first", "knowing", "load_ends", "not_known", "not_known_summary", "wide",
    "worth_knowing",
]  # fmt: skip

_WITHIN = (
    "Likely, and from the least to the most with all that is not known of truck and load at its ends at once. The "
    "limits that hold only while go by the bad end of all of it."
)
_KNOWING = "What knowing one of them would change"


def not_known(brackets: NotKnown | None, system: System) -> tuple[Section, ...]:
    """Give what a set-up comes to within what is not known; nothing where a file gives every value."""
    if brackets is None:
        return ()
    rows = [
        (
            f"to the {line} line",
            gap(bracket.likely, system),
            distance_ends(bracket, line == brackets.line, system),
            wide(bracket),
        )
        for line, bracket in brackets.distances.items()
    ]
    rows += [
        (name, wording.load(bracket.likely, system), load_ends(bracket, system), wide(bracket))
        for name, bracket in brackets.tyre_loads.items()
    ]
    heads = ("what", "likely", "from, to", "wide")
    tables = (Table("Within what is not known", heads, tuple(rows), _WITHIN),) if rows else ()
    return *tables, PointList(_KNOWING, knowing(brackets, system))


def worth_knowing(brackets: NotKnown | None, system: System, note: str) -> PointList:
    """Say no more of an own truck than what knowing more would change; nothing where a file gives every value."""
    return PointList(_KNOWING, knowing(brackets, system) if brackets is not None else (), note)


def find_out_first(brackets: NotKnown | None, system: System) -> tuple[tuple[str, str], ...]:
    """Say for a first screen which unknown matters most."""
    return tuple(("Find out first", gained(gain, system)) for gain in (brackets.gains[:1] if brackets else ()))


def knowing(brackets: NotKnown, system: System) -> tuple[str, ...]:
    """Say what knowing each of the unknowns that matter most would change, and which kinds were taken for others."""
    return *(gained(gain, system) for gain in brackets.gains), *brackets.kinds


def wide(bracket: Bracket) -> str:
    """Say how wide a range is, as a part of the likely figure."""
    return _whole(bracket.width)


def distance_ends(bracket: Bracket, nearest: bool, system: System) -> str:
    """Say from where to where a distance goes; the nearest line is the one over which it may tip."""
    if bracket.tips and nearest:
        return f"tipping over to {gap(bracket.high, system)}"
    return f"{gap(bracket.low, system)} to {gap(bracket.high, system)}{_while_it_stands(bracket)}"


def load_ends(bracket: Bracket, system: System) -> str:
    """Say from where to where a tyre's load goes."""
    return f"{wording.load(bracket.low, system)} to {wording.load(bracket.high, system)}{_while_it_stands(bracket)}"


def _while_it_stands(bracket: Bracket) -> str:
    return " while it stands" if bracket.tips else ""


def gained(gain: Gain, system: System) -> str:
    """Say how one would get to know a thing, and what that changes; where it tips before and after, what it does alone.

    What is told of the slope is told at the bad end of all that is not known.
    """
    now = band_words(gain.low, gain.high, gain.dimension, system)
    slopes = [_whole(slope) for slope in (gain.before, gain.after)]
    if slopes[0] == slopes[1]:
        slopes = [wording.share(slope) for slope in (gain.before, gain.after)]
    change = f"then the slope past {_line_words(gain.line)}, at the bad end, goes from {slopes[0]} to {slopes[1]}"
    if not isfinite(gain.distance):
        change = "then you know whether it stands: at its good end this alone makes it stand"
    elif gain.after <= gain.before and gain.alone is None:
        change = f"then you know whether it stands: at its bad end this alone tips it over {_line_words(gain.line)}"
    elif gain.after <= gain.before and gain.alone is not None:
        ends = f"from {gap(gain.distance, system)} down to {gap(gain.alone, system)}"
        change = f"not known, this alone may take the distance to {_line_words(gain.line)} {ends}"
    said = f"{gain.what[:1].upper()}{gain.what[1:]} (now {now}): {gain.measure}"
    return f"{said}. {change[:1].upper()}{change[1:]}."


def band_words(low: float, high: float, dimension: str, system: System) -> str:
    """Give a band in two figures an end: it is known no finer."""
    if dimension == "ratio":
        return f"{_whole(low)} to {_whole(high)}"
    return units.show_span(low, high, dimension, system, digits=2)


def _line_words(line: str) -> str:
    side = line.removeprefix("swing.")
    return f"the line where the frame swings to the {side}" if side != line else f"the {line} tip line"


def _whole(part: float) -> str:
    return f"{100 * part:.0f} %"


def not_known_summary(brackets: NotKnown | None) -> dict[str, Any] | None:
    """Give the same under fixed names."""
    if brackets is None:
        return None

    def ends(bracket: Bracket, factor: float) -> dict[str, float | bool]:
        figures = {"low": bracket.low, "likely": bracket.likely, "high": bracket.high}
        return {name: value * factor for name, value in figures.items()} | {"tips": bracket.tips}

    return {
        "tyre_loads_kN": {name: ends(bracket, 1e-3) for name, bracket in brackets.tyre_loads.items()},
        "distance_to_tip_line_mm": {line: ends(bracket, 1e3) for line, bracket in brackets.distances.items()},
        "at_bad_end": {"stands": brackets.at_bad_end, "exceeded": list(brackets.exceeded)},
        "slope_by_nearest_line": {"line": brackets.line, "likely": brackets.slope},
        "taken_kinds": list(brackets.kinds),
        "gains": [
            {
                "what": gain.what,
                "measure": gain.measure,
                "slope_before": gain.before,
                "slope_after": gain.after,
                "line": gain.line,
                "distance_mm": gain.distance / MILLIMETRE if isfinite(gain.distance) else None,
                "distance_at_its_bad_end_mm": None if gain.alone is None else gain.alone / MILLIMETRE,
            }
            for gain in brackets.gains
        ],
    }
