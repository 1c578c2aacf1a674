"""The kinds of event, each in one entry: its words, what it moves, to which side, what is usual, what is varied of it.

A new kind is a spec in `spec`, an entry here, and what it does in `engines.commands`; a test asks that no kind of the
specs is without an entry and that each does something.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, pi, radians, sin
from typing import Any

from tipline.model.machine import Machine
from tipline.model.plausible import Usual
from tipline.model.plausible_floor import SOFT
from tipline.printable import tyres_spoken
from tipline.scenario.spec import (
    Breakthrough,
    CounterweightMove,
    DriveEvent,
    FloorTurns,
    LoadShed,
    Lower,
    PedalLift,
    Push,
    Raise,
    Ramp,
    ServiceStop,
    SoftPlace,
    Swing,
    Threshold,
    TiltMove,
    Turn,
    Wind,
)
from tipline.units import show

__all__ = ["KINDS", "Kind", "Leading", "kind_of", "said"]


@dataclass(frozen=True)
class Leading:
    """The quantity of an event that a spread varies, and whose change of ending is looked for.

    field : its name in the spec; what : its words; more, less : how a run with more of it is told from one with less
    known : whose half-widths it has; "": what the driver does on purpose, asked only where it changes the ending
    usual : the machine's value where the event has none, as a dotted key
    """

    field: str
    what: str
    dimension: str
    known: str
    more: str
    less: str
    usual: str = ""


@dataclass(frozen=True)
class Kind:
    """One kind of event.

    said : the event in a few words
    changes : what of it changes tyre loads after the start; "" where the floor is asked for it as well, as for stops
    moves : what it moves, which two events cannot at one time, "" for nothing
    left : how far to the left it takes the truck, by sign, 0 for neither side
    """

    spec: type
    said: Callable[[Any], str]
    changes: str
    moves: str = ""
    left: Callable[[Any, Machine], float] = lambda _event, _machine: 0.0
    usual: tuple[Usual, ...] = ()
    leading: Leading | None = None


def _drive(event: DriveEvent) -> str:
    way = "back" if event.speed < 0.0 else "forward"
    return f"drive {way} up to {show(abs(event.speed), 'speed')}" if event.speed else "drive to a standstill"


def _under(event: Breakthrough | SoftPlace) -> str:
    return tyres_spoken(event.under)


def _tyres_left(event: Breakthrough | SoftPlace, machine: Machine) -> float:
    """Return on how many more tyres to the left than to the right a place lies."""
    tyres = (*machine.drive_axle.tyre, *machine.steer_axle.tyre)
    sides = [(tyre.across > _ASIDE) - (tyre.across < -_ASIDE) for tyre in tyres if tyre.name in event.under]
    return float(sum(sides))


def _ramp(event: Ramp) -> str:
    where = "behind" if abs(event.towards) > 1.6 else "ahead"
    return f"a ramp {event.goes} by {show(event.slope, 'slope')}, from {show(event.begins, 'length')} {where}"


def _threshold(event: Threshold) -> str:
    where = "behind" if abs(event.towards) > 1.6 else "ahead"
    high, far = show(event.height, "length"), show(event.begins, "length")
    return f"a threshold {high} high, from {far} {where}"


def _push(event: Push) -> str:
    way = f", {show(abs(event.down), 'angle')} {'down' if event.down > 0.0 else 'up'}" if event.down else ""
    return f"a push of {show(event.force, 'force')} on the {event.at_part}{way}"


def _turn(event: Turn) -> str:
    if event.radius is None or event.towards == "ahead":
        return "it is steered straight ahead"
    return f"a turn to the {event.towards} at a radius of {show(event.radius, 'length')}"


_ASIDE = 1e-6
_STOPS = (Usual("deceleration", 0.2, 6.0, "the usual deceleration"),)

KINDS: dict[str, Kind] = {
    "breakthrough": Kind(
        Breakthrough,
        lambda event: f"the floor gives way under {_under(event)} by {show(event.depth, 'length')}",
        "a breakthrough",
        left=_tyres_left,
        usual=(
            Usual("depth", 0.005, 3.0, "the usual depth of a hole"),
            Usual("hole.*", 0.05, 4.0, "the usual side of a hole"),
        ),
        leading=Leading("depth", "hole depth", "length", "depth", "deeper", "shallower"),
    ),
    "soft_place": Kind(
        SoftPlace,
        lambda event: f"the floor is soft under {_under(event)}",
        "a soft place that opens",
        left=_tyres_left,
        usual=(*SOFT, Usual("size.*", 0.1, 20.0, "the usual side of a soft place")),
        leading=Leading("bearing_pressure", "bearing pressure", "pressure", "bearing_pressure", "firmer", "softer"),
    ),
    "floor_turns": Kind(
        FloorTurns,
        lambda event: f"the floor turns to {show(event.slope, 'slope')}",
        "the floor turning",
        moves="the slope of the floor",
        left=lambda event, _machine: sin(event.towards),
        usual=(
            Usual("over", 0.2, 600.0, "the usual time a floor takes to turn"),
            Usual("rate", radians(0.05), radians(15.0), "the usual rate of a turning floor"),
        ),
        leading=Leading("slope", "slope", "slope", "slope", "steeper", "flatter"),
    ),
    "ramp": Kind(
        Ramp,
        _ramp,
        "the ramp",
        left=lambda event, _machine: sin(event.towards + (pi if event.goes == "up" else 0.0)),
        usual=(
            Usual("slope", 0.002, 0.3, "the usual slope of a ramp"),
            Usual("length", 0.5, 200.0, "the usual length of a ramp"),
        ),
        leading=Leading("slope", "ramp slope", "slope", "slope", "steeper", "flatter"),
    ),
    "threshold": Kind(
        Threshold,
        _threshold,
        "the threshold",
        usual=(
            Usual("height", 0.002, 0.08, "the usual height of a threshold"),
            Usual("length", 0.005, 5.0, "the usual length of a threshold"),
            Usual("width", 0.1, 200.0, "the usual width of a threshold"),
        ),
        leading=Leading("height", "height of the threshold", "length", "depth", "higher", "lower"),
    ),
    "service_stop": Kind(
        ServiceStop,
        lambda _event: "a service stop",
        "",
        moves="the drive",
        usual=_STOPS,
        leading=Leading(
            "deceleration", "deceleration", "acceleration", "deceleration", "harder", "gentler",
            "drive.service_deceleration",
        ),
    ),
    "pedal_lift": Kind(
        PedalLift,
        lambda _event: "the drive pedal is let go",
        "",
        moves="the drive",
        usual=_STOPS,
        leading=Leading(
            "deceleration", "deceleration", "acceleration", "deceleration", "harder", "gentler",
            "drive.pedal_lift_deceleration",
        ),
    ),
    "push": Kind(
        Push,
        _push,
        "a push",
        left=lambda event, _machine: cos(event.down) * sin(event.direction),
        usual=(
            Usual("force", 20.0, 5e5, "the usual force of a push"),
            Usual("lasts", 0.05, 600.0, "the usual time that a push lasts"),
        ),
        leading=Leading("force", "force", "force", "force", "greater", "smaller"),
    ),
    "wind": Kind(
        Wind,
        lambda event: f"wind of {show(event.speed, 'speed')}",
        "wind",
        left=lambda event, _machine: -sin(event.from_azimuth),
        usual=(
            Usual("speed", 1.0, 45.0, "the usual speed of wind"),
            Usual("area", 0.1, 120.0, "the usual area that faces the wind"),
        ),
        leading=Leading("speed", "wind speed", "speed", "wind speed", "greater", "smaller"),
    ),
    "swing": Kind(
        Swing,
        lambda event: f"the hung load is let go at {show(event.angle, 'angle')}",
        "the swing of the load",
        left=lambda event, _machine: sin(event.towards),
        usual=(Usual("angle", radians(0.2), radians(35.0), "the usual angle of a swing"),),
        leading=Leading("angle", "swing angle", "angle", "angle", "wider", "narrower"),
    ),
    "lower": Kind(
        Lower,
        lambda event: f"lowering to {show(event.to, 'length')}",
        "lowering",
        moves="the carriage",
        leading=Leading("speed", "lowering speed", "speed", "speed", "faster", "slower", "mast.lower_speed"),
    ),
    "raise": Kind(
        Raise,
        lambda event: f"raising to {show(event.to, 'length')}",
        "raising",
        moves="the carriage",
        leading=Leading("speed", "lifting speed", "speed", "speed", "faster", "slower", "mast.lift_speed"),
    ),
    "counterweight": Kind(
        CounterweightMove,
        lambda event: f"moving the counterweight to {show(event.to, 'length')}",
        "moving the counterweight",
        moves="the counterweight",
        leading=Leading("to", "counterweight extension", "length", "", "farther out", "nearer"),
    ),
    "tilt": Kind(
        TiltMove,
        lambda event: f"tilting the mast to {show(event.to, 'angle')}",
        "tilting the mast",
        moves="the tilt of the mast",
        leading=Leading("to", "mast tilt", "angle", "", "farther back", "farther forward"),
    ),
    "drive": Kind(
        DriveEvent,
        _drive,
        "",
        moves="the drive",
        usual=(Usual("acceleration", 0.05, 3.0, "the usual acceleration"),),
        leading=Leading("speed", "driving speed", "speed", "speed", "faster", "slower"),
    ),
    "turn": Kind(
        Turn,
        _turn,
        "",
        moves="the steering",
        left=lambda event, _machine: -event.curve,
        usual=(
            Usual("radius", 0.8, 60.0, "the usual radius of a turn"),
            Usual("over", 0.2, 5.0, "the usual time of steering"),
        ),
        leading=Leading("radius", "turning radius", "length", "", "wider", "tighter"),
    ),
    "load_shed": Kind(LoadShed, lambda _event: "the lifted load comes off", "the load coming off"),
}  # fmt: skip
"""By the word for ``kind``; of several events in a scenario the first in this order leads."""


def kind_of(event: Any) -> Kind:
    """Return the entry of an event."""
    return KINDS[event.kind]


def said(event: Any) -> str:
    """Say in a few words what an event is."""
    return kind_of(event).said(event)
