"""Events of a scenario added and taken away: all of them are written anew, as one change."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any, get_args

from tipline.errors import InputError
from tipline.model.problems import kind_of
from tipline.model.quantities import Spec
from tipline.scenario import Case
from tipline.scenario.spec import Event
from tipline.scenario.templates import toml_value
from tipline.workbench.bench import Bench

__all__ = ["change_events", "event_kinds", "event_specs"]


@cache
def event_kinds() -> Mapping[str, str]:
    """Give the kinds of events, each with what it is."""
    return {
        kind: (spec.__doc__ or "").split("\n", maxsplit=1)[0].replace("``", "") for kind, spec in event_specs().items()
    }


_EXAMPLES: dict[str, dict[str, Any]] = {
    "breakthrough": {"depth": "100 mm"},
    "soft_place": {"bearing_pressure": "300 kPa", "size": ["1 m", "1 m"]},
    "drive": {"speed": "4 km/h"},
    "turn": {"radius": "5 m", "towards": "left"},
    "floor_turns": {"slope": "3 %", "towards": "90 deg", "over": "2 s"},
    "ramp": {"begins": "3 m", "slope": "5 %"},
    "threshold": {"begins": "3 m", "height": "20 mm"},
    "tilt": {"to": "1 deg"},
    "counterweight": {"to": "0 m"},
    "wind": {"speed": "10 m/s", "from_azimuth": "90 deg"},
    "push": {"at_part": "chassis", "force": "1 kN", "direction": "90 deg"},
    "swing": {"angle": "5 deg", "towards": "0 deg"},
}
"""What an event that is added has, to be changed (our choice): of a kind that is not here, no value is needed."""
_LATER = 1.0
"""How long after the last event one that is added comes [s] (our choice)."""


def change_events(bench: Bench, how: str, which: str) -> None:
    """Add an event of a kind ("add-event"), with values to be changed, or take one away by its place from 0.

    Raises
    ------
    InputError
        There is no such kind or event, or the set-up does not take it; the bench is as it was.
    """
    case = bench.case()
    events = [dict(event) for event in case.as_read.documents[0].data.get("event", [])]
    if how == "add-event" and which in event_kinds():
        events.append(_new(which, case))
    elif how == "drop-event" and which.isdecimal() and int(which) < len(events):
        del events[int(which)]
    else:
        msg = "there is no such event"
        raise InputError(msg, key="event", value=repr(which[:40]), remedy="Take one of the form")
    before = dict(bench.changes)
    kept = {key: value for key, value in before.items() if key != "event" and not key.startswith("event.")}
    bench.changes = {**kept, "event": toml_value(events)}
    try:
        bench.case()
    except InputError:
        bench.changes = before
        raise


def _new(kind: str, case: Case) -> dict[str, Any]:
    """Give an event with the values that it needs, later than all there are."""
    fields = event_specs()[kind].model_fields
    event: dict[str, Any] = {"kind": kind, **_EXAMPLES.get(kind, {})}
    if "at" in fields:
        last = max((getattr(event, "at", 0.0) for event in case.scenario.event), default=0.0)
        event["at"] = f"{last + _LATER:.3g} s"
    if "under" in fields:
        event["under"] = case.machine.drive_axle.tyre[0].name
    if kind in ("raise", "lower"):
        event["to"] = f"{case.height + 0.2 if kind == 'raise' else 0.5 * case.height:.3f} m"
    return event


@cache
def event_specs() -> dict[str, type[Spec]]:
    """Give the spec of each kind of event."""
    return {str(kind_of(spec)): spec for spec in get_args(get_args(Event)[0])}
