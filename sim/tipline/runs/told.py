"""A run in a few sentences: how it ended and why; the same for pages, terminal, film and notebook."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from tipline.endings import ENDS, FloorEnd, LoadEnd, TruckEnd, also, load_ends
from tipline.printable import tyres_spoken

if TYPE_CHECKING:
    from tipline.runs.outcome import Outcome
    from tipline.scenario.spec import Scenario

__all__ = ["EITHER_WAY", "cause", "heading"]

EITHER_WAY = "Could go either way"
_TOGETHER = 0.1
"""Time [s] within which tyres that break the floor are told of as one (our choice)."""
_SUNK = 0.01
"""Depth [m] from which a floor that sinks is told of as what happened (our choice)."""
Event = tuple[float, str]


def heading(outcome: Outcome) -> str:
    """Say how a run ended: the truck and how far it went untold, then load and floor where they did not stay so."""
    truck, load, floor = outcome.truck, outcome.lifted_load, outcome.floor
    if truck == TruckEnd.OVER:
        return f"The truck goes over to the {outcome.direction}" if outcome.direction else "The truck goes over"
    past = f", past the {outcome.direction} tip line" if truck == TruckEnd.RESTING and outcome.direction else ""
    end = f"{_resting(load) if truck == TruckEnd.RESTING else ENDS[truck]}{past}"
    said = [f"the truck {also(end, outcome.gone.goes if outcome.gone else '')}"]
    if load in (LoadEnd.SLID, LoadEnd.DROPPED):
        ends = load_ends(load, held=outcome.load_held, down=False)
        said.insert(0 if load == LoadEnd.DROPPED else 1, f"the lifted load {ends}")
    if floor != FloorEnd.HELD:
        said.append(f"the floor {ENDS[floor]}")
    text = "; ".join(said)
    return f"{text[:1].upper()}{text[1:]}"


def _resting(load: str) -> str:
    return "comes to rest on its body or mast" if load == LoadEnd.NONE else ENDS[TruckEnd.RESTING]


def cause(
    scenario: Scenario, places: Sequence[Mapping[str, Any]], depths: Sequence[float], events: Sequence[Event]
) -> str:
    """Say in one sentence what led to it: the floor that broke by itself, that sank, or the first that was told.

    ``depths`` [m]: how deep each of the ``places`` came to be.
    """
    acts = sorted(event for event in events if event[1] in _told(scenario))
    broke = sorted((float(place["at"]), str(place["tyre"])) for place in places if place["law"] == "plug")
    if broke:
        first = broke[0][0]
        names = list(dict.fromkeys(tyre for at, tyre in broke if at <= first + _TOGETHER))
        return f"The floor broke under {tyres_spoken(names)} at {first:.2f} s{_when(scenario, first, acts)}"
    sunk = [(deep, str(place["tyre"])) for place, deep in zip(places, depths, strict=True) if _sinks(place, deep)]
    if acts:
        at, text = acts[0]
        more = f", and {len(acts) - 1} more {'event' if len(acts) == 2 else 'events'} after it" if len(acts) > 1 else ""
        return f"{text[:1].upper()}{text[1:]}, from {at:.2f} s on{more}."
    if sunk:
        return f"The floor sank under {tyres_spoken([max(sunk)[1]])}."
    return "Nothing was made to happen: the truck is let go as it is set up."


def _told(scenario: Scenario) -> set[str]:
    from tipline.scenario.kinds import said

    return {said(event) for event in scenario.event}


def _sinks(place: Mapping[str, Any], deep: float) -> bool:
    return place["law"] in ("yielding", "creeping") and deep > _SUNK


def _when(scenario: Scenario, first: float, events: Sequence[Event]) -> str:
    """Say what was made to happen before a floor broke, or that it broke before anything was."""
    if events and events[0][0] <= first:
        at, text = events[0]
        return f". Before that, at {at:.2f} s: {text}."
    if events:
        return ", before the first event."
    return "." if scenario.setup.speed else ", under the standing truck."
