"""What is not known of an own truck, on a page: where the figures lie, and what knowing more would change."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from tipline import units
from tipline.report import wording
from tipline.report.page import PointList, Section, Table
from tipline.report.wording import gap
from tipline.units import System

if TYPE_CHECKING:
    from tipline.pose.not_known import Bracket, Gain, NotKnown

__all__ = ["band_words", "gained", "not_known", "not_known_summary"]

_WITHIN = (
    "Likely, and from the least to the most with all that is not known of truck and load. The limits that hold only "
    "while go by the bad end of all of it at once."
)
_KNOWING = "What knowing one of them would change"


def not_known(found: NotKnown | None, system: System) -> tuple[Section, ...]:
    """Give what a set-up comes to within what is not known; nothing where a file gives every value."""
    if found is None:
        return ()
    rows = [
        (f"to the {line} line", gap(one.likely, system), f"{gap(one.low, system)} to {gap(one.high, system)}")
        for line, one in found.distances.items()
    ]
    rows += [
        (name, wording.load(one.likely, system), f"{wording.load(one.low, system)} to {wording.load(one.high, system)}")
        for name, one in found.tyre_loads.items()
    ]
    table = Table("Within what is not known", ("what", "likely", "from, to"), tuple(rows), _WITHIN)
    return table, PointList(_KNOWING, tuple(gained(one, system) for one in found.gains))


def gained(gain: Gain, system: System) -> str:
    """Say how one would get to know a thing, and what that changes."""
    now = band_words(gain.low, gain.high, gain.dimension, system)
    change = f"the slope that tips it at the bad end goes from {_whole(gain.before)} to {_whole(gain.after)}"
    return f"{gain.what[:1].upper()}{gain.what[1:]} (now {now}): {gain.measure}, and {change}."


def band_words(low: float, high: float, dimension: str, system: System) -> str:
    """Give a band in two figures an end: it is known no finer."""
    if dimension == "ratio":
        return f"{_whole(low)} to {_whole(high)}"
    return " to ".join(units.show(end, dimension, system, digits=2) for end in (low, high))


def _whole(part: float) -> str:
    return f"{100 * part:.0f} %"


def not_known_summary(found: NotKnown | None) -> dict[str, Any] | None:
    """Give the same under fixed names."""
    if found is None:
        return None

    def ends(one: Bracket, factor: float) -> dict[str, float]:
        return {"low": one.low * factor, "likely": one.likely * factor, "high": one.high * factor}

    return {
        "tyre_loads_kN": {name: ends(one, 1e-3) for name, one in found.tyre_loads.items()},
        "distance_to_tip_line_mm": {line: ends(one, 1e3) for line, one in found.distances.items()},
        "at_bad_end": {"stands": found.at_bad_end, "exceeded": list(found.exceeded)},
        "slope_by_nearest_line": {"line": found.line, "likely": found.slope},
        "gains": [
            {"what": one.what, "measure": one.measure, "slope_before": one.before, "slope_after": one.after}
            for one in found.gains
        ],
    }
