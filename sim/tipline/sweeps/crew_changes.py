"""What a crew can change of a lift, a single thing each: where it stands, how far it goes, and what is then set.

How far each goes is ours to choose, for a search that ends: it is no limit of a maker's.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any, TypeAlias

from tipline.floors.places.loads import places_of
from tipline.model.plane import Point, inside, rectangle_about, turned
from tipline.scenario.spec import DriveEvent, FloorTurns, Lower, PedalLift, Raise, ServiceStop

if TYPE_CHECKING:
    from tipline.model.floor import Floor
    from tipline.model.load import LiftedLoad
    from tipline.model.machine import Machine
    from tipline.scenario.case import Case
    from tipline.scenario.spec import Event, Setup

__all__ = ["CHANGES", "CrewChange", "CrewLift"]

Changes: TypeAlias = dict[str, Any]
LOWEST = 0.15
"""How low a load is carried on forks [m] (common practice, no source)."""
SLOWEST = 0.2
"""Slowest driving [m/s] and gentlest stop [m/s2] that are asked (our choice)."""
LONGEST_STOP = 2.0
"""Longest time [s] over which a crew eases a lever (our choice)."""
PLATE = (1.5, 1.0)
"""Largest steel plate [m] laid under each tyre (our choice: several fit under a truck)."""
THICKEST = 0.06
"""Thickest steel plate [m] that is asked (our choice: a stock seldom has more)."""


@dataclass(frozen=True)
class CrewLift:
    """What a crew finds of a lift: the truck, how it is set up, what it lifts how high, what is to happen, the floor.

    ``slope`` and where it falls to [rad]; ``height`` of forks or hook [m].
    """

    machine: Machine
    setup: Setup
    load: LiftedLoad | None
    height: float
    event: tuple[Event, ...]
    floor: Floor
    slope: tuple[float, float]

    @classmethod
    def of(cls, case: Case) -> CrewLift:
        """Return the lift of a case."""
        scenario = case.scenario
        return cls(case.machine, scenario.setup, case.load, case.height, scenario.event, case.floor, case.slope)


@dataclass(frozen=True)
class CrewChange:
    """One thing that a crew can change.

    name, said : in code and in words, the latter after what it comes to: "ballast slabs: 2"
    dimension : "" for a whole number
    has : what a case has of it [SI], None where there is nothing to change
    end : the farthest it could go [SI]
    set_to : the changes of the case that give it a value
    steps : the values it can have, none where it can have any
    absent : why there is nothing to change
    """

    name: str
    said: str
    dimension: str
    has: Callable[[CrewLift], float | None]
    end: Callable[[CrewLift], float]
    set_to: Callable[[CrewLift, float], Changes]
    absent: str
    steps: Callable[[CrewLift], Sequence[float]] = lambda _lift: ()


def _slabs(lift: CrewLift) -> float | None:
    return None if lift.machine.ballast_slab is None else float(lift.setup.ballast_slabs)


def _most_slabs(lift: CrewLift) -> float:
    return 0.0 if lift.machine.ballast_slab is None else float(lift.machine.ballast_slab.most)


def _extension(lift: CrewLift) -> float | None:
    return lift.setup.counterweight_extension if lift.machine.counterweight.stroke > 0.0 else None


def _extensions(lift: CrewLift) -> Sequence[float]:
    weight = lift.machine.counterweight
    if weight.step is None:
        return ()
    count = int(weight.stroke / weight.step + 1e-6)
    return (*(round(k * weight.step, 6) for k in range(count + 1)), weight.stroke)


def _height(lift: CrewLift) -> float | None:
    return None if lift.load is None else lift.height


def _lowest(lift: CrewLift) -> float:
    """Return the lowest height of forks or hook at which the load is still off the floor."""
    load, setup, machine = lift.load, lift.setup, lift.machine
    if load is None or setup.attachment != "jib" or machine.jib is None:
        return LOWEST
    hangs = load.size[2] + (load.hung_by or 0.0)
    pins = machine.jib.rise_pins if setup.jib_rise is None else (setup.jib_rise,)
    return max(hangs + LOWEST, min(pins))


def _set_height(lift: CrewLift, height: float) -> Changes:
    hook = lift.setup.attachment == "jib"
    return {"setup.hook_height" if hook else "setup.fork_height": height}


def _centre(lift: CrewLift) -> float | None:
    load, setup = lift.load, lift.setup
    if load is None:
        return None
    return setup.jib_reach if setup.attachment == "jib" else load.load_centre


def _nearest_centre(lift: CrewLift) -> float:
    load, machine = lift.load, lift.machine
    if lift.setup.attachment == "jib" and machine.jib is not None:
        return min(machine.jib.reach_pins)
    return 0.0 if load is None else 0.5 * load.size[0] + load.centre_offset[0]


def _set_centre(lift: CrewLift, centre: float) -> Changes:
    return {"setup.jib_reach" if lift.setup.attachment == "jib" else "load.load_centre": centre}


def _pins(lift: CrewLift) -> Sequence[float]:
    jib = lift.machine.jib
    return jib.reach_pins if lift.setup.attachment == "jib" and jib is not None else ()


def _thickness(lift: CrewLift) -> float | None:
    """Return the thickness of the thinnest spreader under a tyre, 0 without one; None where one does nothing."""
    if lift.floor.rigid or _speed(lift) is not None:
        return None
    return min((lift.floor.spreader[k].thickness for k in _under(lift)), default=0.0)


def _under(lift: CrewLift) -> list[int]:
    """Return which spreaders a tyre stands on."""
    stands = _stands(lift).values()
    outlines = [rectangle_about(sheet.at, sheet.size, sheet.heading) for sheet in lift.floor.spreader]
    return [k for k, outline in enumerate(outlines) if any(inside(point, outline) for point in stands)]


def _stands(lift: CrewLift) -> dict[str, Point]:
    """Return where each tyre stands on the floor's plan."""
    setup, places = lift.setup, {}
    for name, place in places_of(lift.machine).items():
        off = turned(place, setup.heading)
        places[name] = (setup.position[0] + off[0], setup.position[1] + off[1])
    return places


def _set_plates(lift: CrewLift, thickness: float) -> Changes:
    """Make what lies under a tyre thicker; where nothing does, lay a plate under each in place of all others."""
    laid = {k: lift.floor.spreader[k].thickness for k in _under(lift)}
    if laid:
        return {f"floor.spreader.{k}.thickness": max(thickness, own) for k, own in laid.items()}
    machine, setup = lift.machine, lift.setup
    track = min(abs(a - b) for a, b in _neighbours(sorted(y for _, y in places_of(machine).values())))
    size = min(PLATE[0], 0.9 * machine.wheelbase), min(PLATE[1], 0.9 * track)
    plates = []
    for name, (x, y) in _stands(lift).items():
        plates.append(
            f'{{ name = "plate under {name}", kind = "steel_plate", grade = "S235", size = ["{size[0]:.3f} m", '
            f'"{size[1]:.3f} m"], thickness = "{thickness:.4f} m", at = ["{x:.4f} m", "{y:.4f} m"], '
            f'heading = "{setup.heading:.6f} rad" }}'
        )
    return {"floor.spreader": f"[{', '.join(plates)}]"}


def _neighbours(places: Sequence[float]) -> list[tuple[float, float]]:
    """Return neighbours that stand more than a tyre apart: those of the two sides."""
    return [(a, b) for a, b in pairwise(places) if b - a > 0.3]


def _speed(lift: CrewLift) -> float | None:
    """Return the greatest speed that the truck is driven at; None where it stands."""
    driven = [event.speed for event in lift.event if isinstance(event, DriveEvent)]
    most = max((abs(speed) for speed in (lift.setup.speed, *driven)), default=0.0)
    return most if most > 0.0 else None


def _set_speed(lift: CrewLift, speed: float) -> Changes:
    own = lift.setup.speed
    changes: Changes = {"setup.speed": _held(own, speed)} if own else {}
    for k, event in enumerate(lift.event):
        if isinstance(event, DriveEvent) and event.speed:
            changes[f"event.{k}.speed"] = _held(event.speed, speed)
    return changes


def _held(value: float, most: float) -> float:
    return max(-most, min(most, value))


def _slope(lift: CrewLift) -> float | None:
    turned = [event.slope for event in lift.event if isinstance(event, FloorTurns)]
    steepest = max(lift.slope[0], *turned, 0.0)
    return steepest if steepest > 0.0 else None


def _set_slope(lift: CrewLift, slope: float) -> Changes:
    own, towards = lift.slope
    changes: Changes = {}
    if own > slope:
        changes |= {"setup.slope": slope, "setup.slope_towards": towards}
    for k, event in enumerate(lift.event):
        if isinstance(event, FloorTurns) and event.slope > slope:
            changes[f"event.{k}.slope"] = slope
    return changes


def _deceleration(lift: CrewLift) -> float | None:
    return max(_stops(lift).values(), default=None)


def _stops(lift: CrewLift) -> dict[int, float]:
    """Return the deceleration of each stop by its place among the events."""
    drive, stops = lift.machine.drive, {}
    for k, event in enumerate(lift.event):
        if isinstance(event, ServiceStop):
            stops[k] = event.deceleration or drive.service_deceleration
        elif isinstance(event, PedalLift):
            stops[k] = event.deceleration or drive.pedal_lift_deceleration
    return stops


def _set_deceleration(lift: CrewLift, most: float) -> Changes:
    return {f"event.{k}.deceleration": min(most, own) for k, own in _stops(lift).items()}


def _stop_time(lift: CrewLift) -> float | None:
    times = [event.stopping for event in lift.event if isinstance(event, Lower | Raise)]
    return min(times) if times else None


def _set_stop_time(lift: CrewLift, least: float) -> Changes:
    lifts = ((k, event) for k, event in enumerate(lift.event) if isinstance(event, Lower | Raise))
    return {f"event.{k}.stop": max(least, event.stopping) for k, event in lifts}


CHANGES: tuple[CrewChange, ...] = (
    CrewChange(
        "ballast", "ballast slabs", "", _slabs, _most_slabs,
        lambda _lift, count: {"setup.ballast_slabs": round(count)}, "the machine takes none",
        lambda lift: [float(k) for k in range(round(_most_slabs(lift)) + 1)],
    ),
    CrewChange(
        "extension", "counterweight extension", "length", _extension,
        lambda lift: lift.machine.counterweight.stroke,
        lambda _lift, far: {"setup.counterweight_extension": far}, "the counterweight does not slide", _extensions,
    ),
    CrewChange("height", "height at which the load is carried", "length", _height, _lowest, _set_height,
               "nothing is lifted"),
    CrewChange("load centre", "load centre, or reach of the jib", "length", _centre, _nearest_centre, _set_centre,
               "nothing is lifted, or its back stands at the fork face", _pins),
    CrewChange("spreaders", "thickness of steel plates under the tyres", "length", _thickness,
               lambda _lift: THICKEST, _set_plates, "the floor is rigid but where the cause opens it, or the truck "
               "drives"),
    CrewChange("speed", "driving speed", "speed", _speed, lambda _lift: SLOWEST, _set_speed, "the truck stands"),
    CrewChange("slope", "slope of the floor", "slope", _slope, lambda _lift: 0.0, _set_slope, "the floor is level"),
    CrewChange("softer release", "deceleration of the stop", "acceleration", _deceleration, lambda _lift: SLOWEST,
               _set_deceleration, "nothing stops the truck"),
    CrewChange("eased lever", "time over which lifting or lowering is stopped", "time", _stop_time,
               lambda _lift: LONGEST_STOP, _set_stop_time, "nothing is lifted or lowered"),
)  # fmt: skip
"""Every single change, in the order in which it is told."""
