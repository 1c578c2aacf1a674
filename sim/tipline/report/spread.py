"""The sections that tell how a case ends within what is not known of it: load, truck and events, and the floor."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan, tan
from typing import TYPE_CHECKING, Any

from tipline import units
from tipline.endings import ENDED
from tipline.report import wording
from tipline.report.page import PointList, Section, Table
from tipline.report.wording import System, quantity

if TYPE_CHECKING:
    from tipline.runs.assessment import RunReport
    from tipline.runs.breaks import Breaks
    from tipline.runs.endings import EndingChange, Spread

__all__ = [
    "FLOOR_TITLE", "SPREAD_OFF", "TITLE", "floor_summary", "neighbour", "spread_sections", "spread_summary", "varied",
    "within_floor", "within_range",
]  # fmt: skip

TITLE = "Over the range of load, truck and events"
SPREAD_OFF = (
    "whether it could go either way, within what is not known of load, truck and events: no further runs were asked "
    "for (--spread 0, or run.spread in the scenario)"
)
FLOOR_TITLE = "Over the range of the floor's strength"
_NOTE = "Each run draws what was varied between its ends; the floor's strength stays as in this run."
_STEPS = "Looked for in steps, 5 % at first: an ending that comes and goes within a step is not seen."
_FLOOR_NOTE = "Each run has a floor drawn from what may be there, as in floor; all else is as in this run."
_VARIED = (
    "All together, evenly from one end to the other. How far they lie apart follows from how each value is known: "
    "common practice, no source. What stands as 100 % is as stated for each tyre."
)


def neighbour(found: Spread | None, system: System) -> str:
    """Say in a sentence what is the nearest change that would end the run otherwise; "" where none was looked for."""
    if found is None or found.runs == 0:
        return ""
    changes = [one for one in (found.stays_until, found.change) if one is not None]
    for change in changes:
        if change.at is not None:
            at, side = _ends(change, system)[1], f" {change.side}" if change.side else " away"
            return f"At {at} of {change.what}, {_apart(change, change.at, system)}{side}, it {change.said}."
    if found.edge_said:
        return f"It is on the edge: with another time step it {found.edge_said}."
    for change in changes:
        low, high = (_value(end, change.dimension, system) for end in (change.low, change.high))
        return f"No other ending was found with {change.what} from {low} to {high}, all else as given."
    return ""


def spread_sections(report: RunReport, system: System) -> tuple[Section, ...]:
    """Say in how many runs it ended in which way, by how much, and what decides."""
    return (
        *within_range(report.spread, report.ended, system),
        *within_floor(report.floor_breaks, system),
    )


def varied(found: Spread | None, system: System) -> tuple[Table, ...]:
    """List what was varied, by how much, and how each value is known."""
    if found is None:
        return ()
    rows = []
    for one in found.inputs:
        here, low, high = (_value(value, one.dimension, system) for value in (one.here, one.low, one.high))
        rows.append((one.what, here, f"{low} to {high}", f"{one.how}; {one.clipped}" if one.clipped else one.how))
    heads = ("what", "as given", "varied from", "how it is known")
    return (Table("What was varied", heads, tuple(rows), _VARIED, brief=False),)


def within_range(found: Spread | None, lead: str, system: System) -> tuple[PointList, ...]:
    """Say in how many runs it ended in which way, beside the words for how the run itself ended."""
    if found is None:
        return ()
    if found.runs == 0:
        reason = found.reason or f"none of {found.asked} runs has a result"
        return (PointList(TITLE, (f"Not computed: {reason}.",)),)
    items = [f"The truck stayed up in {found.stayed_up} of {found.runs} runs; as given {lead[:1].lower()}{lead[1:]}."]
    items.append(f"The truck {_counts(found.truck)}.")
    for what, counts in (("lifted load", found.lifted_load), ("floor", found.floor)):
        if len(counts) > 1:
            items.append(f"The {what} {_counts(counts)}.")
    items += [*_by_how_much(found, system), *_decides(found)]
    if found.runs < found.asked:
        missing = found.asked - found.runs
        items.append(_lost(missing, found.asked, found.lost))
    if found.reason:
        items.append(f"{found.reason[:1].upper()}{found.reason[1:]}.")
    return (PointList(TITLE, tuple(items), f"{_NOTE} Engine: {found.engine}."),)


def _lost(missing: int, asked: int, reasons: Sequence[tuple[str, int]]) -> str:
    """Say how many runs have no result, and why."""
    said = "; ".join(f"{reason} ({count})" if len(reasons) > 1 else reason for reason, count in reasons)
    because = f": {said}" if said else ""
    return f"{missing} of {asked} runs {'has' if missing == 1 else 'have'} no result{because}."


def _decides(found: Spread) -> list[str]:
    if found.decides:
        return [f"What decides most: {found.decides}, {found.decides_how}."]
    return ["What decides most: no single input stands out."] if found.either_way else []


def _by_how_much(found: Spread, system: System) -> list[str]:
    """Say how far this run is from another ending."""
    if found.edge:
        edge = f"This run is on the edge: with another time step, in the batch engine, it {found.edge_said}."
        return [edge, *_falls(found, system)]
    change = found.change
    if change is None:
        return []
    if change.at is None:
        low, high = (_value(end, change.dimension, system) for end in (change.low, change.high))
        return [f"No other ending found with {change.what} from {low} to {high}, all else as given. {_STEPS}"]
    apart, here, there = _apart(change, change.at, system), *_ends(change, system)
    side = f" {change.side}" if change.side else " away"
    one = f"At {there} of {change.what}, {apart}{side}, it {change.said}; as given it is {here}. {_STEPS}"
    one += _comes_back(change)
    return [one, *_falls(found, system)]


def _falls(found: Spread, system: System) -> list[str]:
    """Say where it changes whether the truck stays up, if that is told beside."""
    falls = found.stays_until
    if falls is None or falls.at is None:
        return []
    at = _ends(falls, system)[1]
    apart, side = _apart(falls, falls.at, system), f" {falls.side}" if falls.side else " away"
    return [f"At {at} of {falls.what}, {apart}{side}, it {falls.said}.{_comes_back(falls)}"]


def _comes_back(change: EndingChange) -> str:
    return " A little farther it ends as this run again: there is more than one change." if change.comes_back else ""


def _ends(change: EndingChange, system: System) -> tuple[str, str]:
    at = change.here if change.at is None else change.at
    return _value(change.here, change.dimension, system), _value(at, change.dimension, system)


def _apart(change: EndingChange, at: float, system: System) -> str:
    """Give how far the value of a change is from that of the run."""
    if change.dimension == "length":
        return wording.gap(abs(at - change.here), system)
    if change.dimension == "slope":
        return units.show(atan(abs(tan(at) - tan(change.here))), "slope", system, 2)
    return units.show(abs(at - change.here), change.dimension, system, 2)


def _value(value: float, dimension: str, system: System) -> str:
    return quantity(value, dimension, system) if dimension else f"{value:.2g}"


def _counts(counts: Sequence[tuple[str, int]]) -> str:
    return "; ".join(f"{ENDED[word]} in {count}" for word, count in counts)


def within_floor(found: Breaks | None, system: System) -> tuple[PointList, ...]:
    """Say in how many runs on drawn floors the floor broke."""
    if found is None:
        return ()
    span = found.strength
    low, likely, high = (quantity(value, "force", system) for value in (span.low, span.likely, span.high))
    items = [f"The floor breaks in {found.broke} of {found.runs} runs."]
    items.append(f"The truck {_counts(found.endings)}.")
    items.append(
        f"The floor's weakest part is likely to break at a tyre load of {likely}, over the drawn ones {low} to {high}."
    )
    if found.decides:
        items.append(f"What decides most: {found.decides}.")
    if found.lost:
        items.append(_lost(sum(count for _, count in found.lost), found.runs, found.lost))
    return (PointList(FLOOR_TITLE, tuple(items), _FLOOR_NOTE),)


def spread_summary(found: Spread | None) -> dict[str, Any] | None:
    """Give the spread under fixed names."""
    if found is None:
        return None
    return {
        "asked": found.asked,
        "runs": found.runs,
        "stayed_up": found.stayed_up,
        "stayed_up_share_interval_95": list(found.interval),
        "truck": dict(found.truck),
        "lifted_load": dict(found.lifted_load),
        "floor": dict(found.floor),
        "ended_like_this_run": found.like_this,
        "could_go_either_way": found.either_way,
        "decides": found.decides or None,
        "decides_how": found.decides_how or None,
        "change": _change(found.change),
        "stays_up_until": _change(found.stays_until),
        "batch_engine_ends_this_run": found.edge or None,
        "varied": [
            {
                "what": one.what,
                "unit": _unit(one.dimension),
                "here": one.here,
                "low": one.low,
                "high": one.high,
                "origin": one.how,
                "clipped": one.clipped or None,
            }
            for one in found.inputs
        ],
        "engine": found.engine,
        "reason": found.reason or None,
    }


def _unit(dimension: str) -> str:
    return units.SI_UNIT[dimension] if dimension else ""


def _change(change: EndingChange | None) -> dict[str, Any] | None:
    if change is None:
        return None
    return {
        "what": change.what,
        "unit": _unit(change.dimension),
        "here": change.here,
        "at": change.at,
        "ends": change.ending or None,
        "comes_back": change.comes_back,
        "looked_through": [change.low, change.high],
    }


def floor_summary(found: Breaks | None) -> dict[str, Any] | None:
    """Give the spread over the floor's strength under fixed names."""
    if found is None:
        return None
    span = found.strength
    return {
        "runs": found.runs,
        "broke": found.broke,
        "breaks_at_tyre_load_kN": {"low": span.low * 1e-3, "likely": span.likely * 1e-3, "high": span.high * 1e-3},
        "decides": found.decides or None,
        "truck": dict(found.endings),
        "could_go_either_way": found.either_way,
    }
