"""The sections that tell how a case ends within what is not known of it: load, truck and events, and the floor."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from tipline import units
from tipline.endings import ENDED, load_did
from tipline.report import wording
from tipline.report.page import PointList, Section, Table
from tipline.report.wording import quantity
from tipline.results import COMPILED, ENGINES
from tipline.units import System

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
_FLOOR_NOTE = (
    "Each run has a floor drawn from what may be there, as tipline floor draws it; all else is as in this run."
)
_VARIED = (
    "All together, evenly from one end to the other. How far they lie apart follows from how each value is known: "
    "common practice, no source. What stands as 100 % is as stated for each tyre."
)


def neighbour(spread: Spread | None, system: System) -> str:
    """Say what is the nearest change that would end the run otherwise, then where it no longer stays up or does.

    "" where none was looked for.
    """
    if spread is None or spread.runs == 0:
        return ""
    changes = [change for change in dict.fromkeys((spread.change, spread.stays_until)) if change is not None]
    known = [text for text in (_neighbour_said(change, system) for change in changes) if text]
    if known:
        text = "; ".join(known)
        return f"{text[:1].upper()}{text[1:]}."
    if spread.edge_said:
        return f"It is on the edge: with another time step it {spread.edge_said}."
    for change in changes:
        between = _between(change.low, change.high, change.dimension, system)
        return f"No other ending was found with {change.what} from {between}, all else as given.{_goes(spread)}"
    return ""


def _goes(spread: Spread) -> str:
    """Say of a truck that went untold that this is no ending by itself, so that where it begins is not among them."""
    return f" From where on it {spread.here.goes} was not looked for." if spread.here.goes else ""


def _neighbour_said(change: EndingChange, system: System) -> str:
    """Say how a run ends with another value; "" where none was found."""
    if change.at is None:
        return ""
    at, side = _ends(change, system)[1], f" {change.side}" if change.side else " away"
    return f"at {at} of {change.what}, {_apart(change, change.at, system)}{side}, it {change.said}"


def spread_sections(report: RunReport, system: System) -> tuple[Section, ...]:
    """Say in how many runs it ended in which way, by how much, and what decides."""
    return (
        *within_range(report.spread, report.ended, system),
        *within_floor(report.floor_breaks, system),
    )


def varied(spread: Spread | None, system: System) -> tuple[Table, ...]:
    """List what was varied, by how much, and how each value is known."""
    if spread is None:
        return ()
    rows = []
    for knob in spread.inputs:
        here = _value(knob.here, knob.dimension, system)
        between = _between(knob.low, knob.high, knob.dimension, system)
        rows.append((knob.what, here, between, f"{knob.how}; {knob.clipped}" if knob.clipped else knob.how))
    heads = ("what", "as given", "varied from", "how it is known")
    return (Table("What was varied", heads, tuple(rows), _VARIED, brief=False),)


def within_range(spread: Spread | None, lead: str, system: System) -> tuple[PointList, ...]:
    """Say in how many runs it ended in which way, beside the words for how the run itself ended."""
    if spread is None:
        return ()
    if spread.runs == 0:
        reason = spread.reason or f"none of {spread.asked} runs has a result"
        return (PointList(TITLE, (f"Not computed: {reason}.",)),)
    items = [f"The truck stayed up in {spread.stayed_up} of {spread.runs} runs; as given {lead[:1].lower()}{lead[1:]}."]
    items.append(f"The truck {_counts(spread.truck)}.")
    if len(spread.lifted_load) > 1:
        loads = (f"{load_did(word, held=spread.here.load_held)} in {count}" for word, count in spread.lifted_load)
        items.append(f"The lifted load {'; '.join(loads)}.")
    if len(spread.floor) > 1:
        items.append(f"The floor {_counts(spread.floor)}.")
    items += [*_by_how_much(spread, system), *_decides(spread)]
    if spread.runs < spread.asked:
        missing = spread.asked - spread.runs
        items.append(_lost(missing, spread.asked, spread.lost))
    if spread.reason:
        items.append(f"{spread.reason[:1].upper()}{spread.reason[1:]}.")
    return (PointList(TITLE, tuple(items), f"{_NOTE} Worked out by {ENGINES[COMPILED]}."),)


def _lost(missing: int, runs: int, reasons: Sequence[tuple[str, int]]) -> str:
    """Say how many runs have no result, and why."""
    said = "; ".join(f"{reason} ({count})" if len(reasons) > 1 else reason for reason, count in reasons)
    because = f": {said}" if said else ""
    return f"{missing} of {runs} runs {'has' if missing == 1 else 'have'} no result{because}."


def _decides(spread: Spread) -> list[str]:
    if spread.decides:
        return [f"What decides most: {spread.decides}, {spread.decides_how}."]
    return ["What decides most: no single input stands out."] if spread.either_way else []


def _by_how_much(spread: Spread, system: System) -> list[str]:
    """Say how far this run is from another ending."""
    if spread.edge:
        edge = f"This run is on the edge: with a longer time step, as in the runs beside it, it {spread.edge_said}."
        return [edge, *_falls(spread, system)]
    change = spread.change
    if change is None:
        return []
    if change.at is None:
        between = _between(change.low, change.high, change.dimension, system)
        return [f"No other ending found with {change.what} from {between}, all else as given. {_STEPS}{_goes(spread)}"]
    apart, here, there = _apart(change, change.at, system), *_ends(change, system)
    side = f" {change.side}" if change.side else " away"
    sentence = f"At {there} of {change.what}, {apart}{side}, it {change.said}; as given it is {here}. {_STEPS}"
    sentence += _comes_back(change)
    return [sentence, *_falls(spread, system)]


def _falls(spread: Spread, system: System) -> list[str]:
    """Say where it changes whether the truck stays up, if that is told beside."""
    falls = spread.stays_until
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
    apart = change.apart(at)
    return (
        wording.gap(apart, system) if change.dimension == "length" else units.show(apart, change.dimension, system, 2)
    )


def _value(value: float, dimension: str, system: System) -> str:
    return quantity(value, dimension, system) if dimension else f"{value:.2g}"


def _between(low: float, high: float, dimension: str, system: System) -> str:
    """Say from where to where."""
    if dimension in ("", "ratio"):
        return " to ".join(_value(end, dimension, system) for end in (low, high))
    return units.show_span(low, high, dimension, system)


def _counts(counts: Sequence[tuple[str, int]]) -> str:
    return "; ".join(f"{ENDED[word]} in {count}" for word, count in counts)


def within_floor(breaks: Breaks | None, system: System) -> tuple[PointList, ...]:
    """Say in how many runs on drawn floors the floor broke."""
    if breaks is None:
        return ()
    span = breaks.strength
    low, likely, high = (units.show(value, "force", system, 2) for value in (span.low, span.likely, span.high))
    items = [f"The floor breaks in {breaks.broke} of {breaks.runs} runs."]
    items.append(f"The truck {_counts(breaks.endings)}.")
    items.append(
        f"Likely {likely} under one tyre breaks the floor's weakest part, {low} to {high} over the drawn floors."
    )
    if breaks.decides:
        items.append(f"What decides most: {breaks.decides}.")
    if breaks.lost:
        items.append(_lost(sum(count for _, count in breaks.lost), breaks.runs, breaks.lost))
    return (PointList(FLOOR_TITLE, tuple(items), _FLOOR_NOTE),)


def spread_summary(spread: Spread | None) -> dict[str, Any] | None:
    """Give the spread under fixed names."""
    if spread is None:
        return None
    return {
        "asked": spread.asked,
        "runs": spread.runs,
        "stayed_up": spread.stayed_up,
        "stayed_up_share": spread.stayed_up / spread.runs if spread.runs else None,
        "stayed_up_share_interval_95": list(spread.interval),
        "truck": dict(spread.truck),
        "lifted_load": dict(spread.lifted_load),
        "floor": dict(spread.floor),
        "ended_like_this_run": spread.like_this,
        "could_go_either_way": spread.either_way,
        "decides": spread.decides or None,
        "decides_how": spread.decides_how or None,
        "change": _change(spread.change),
        "stays_up_until": _change(spread.stays_until),
        "batch_engine_ends_this_run": spread.edge or None,
        "varied": [
            {
                "what": knob.what,
                "unit": _unit(knob.dimension),
                "here": knob.here,
                "low": knob.low,
                "high": knob.high,
                "origin": knob.how,
                "clipped": knob.clipped or None,
            }
            for knob in spread.inputs
        ],
        "engine": COMPILED,
        "reason": spread.reason or None,
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


def floor_summary(breaks: Breaks | None) -> dict[str, Any] | None:
    """Give the spread over the floor's strength under fixed names."""
    if breaks is None:
        return None
    span = breaks.strength
    return {
        "runs": breaks.runs,
        "broke": breaks.broke,
        "breaks_at_tyre_load_kN": {"low": span.low * 1e-3, "likely": span.likely * 1e-3, "high": span.high * 1e-3},
        "decides": breaks.decides or None,
        "truck": dict(breaks.endings),
        "could_go_either_way": breaks.either_way,
    }
