"""What is wrong with a machine, put into its data and into what it does by itself: the one place where that is done.

A defect changes a figure that the model has anyway, or adds an event that it knows anyway: nothing else in the program
knows of defects. Source: [Own]
"""

from __future__ import annotations

from collections.abc import Iterator
from math import tan

from tipline.model.checks import check_rubber
from tipline.model.machine import Drive, Machine, SteerAxle, Tyre
from tipline.model.positions import Path
from tipline.model.problems import Finding
from tipline.scenario.spec import (
    Defects,
    DriveEvent,
    Event,
    Lower,
    PedalLift,
    Raise,
    Scenario,
    ServiceStop,
    TiltMove,
    Turn,
    TyreDefect,
)

__all__ = ["check_defects", "with_defects"]

LEFT_OF_BURST = 0.15
"""Part of a tyre's rubber that it stands on once burst (our choice: bead and sidewalls folded under the rim)."""
AT: Path = ("setup", "defects")


def check_defects(scenario: Scenario, machine: Machine) -> Iterator[Finding]:
    """Yield what a machine does not have that is said to be wrong with it, and what cannot be told together."""
    defects = scenario.setup.defects
    if defects is None:
        return
    for index, tyre in enumerate(defects.tyre):
        yield from _check_tyre(tyre, index, machine)
    for side in ("stop_left", "stop_right"):
        if getattr(defects, side) is not None and machine.steer_axle.kind == "fixed":
            reason = f"{machine.name} has a fixed steer axle, which has no stop"
            yield Finding((*AT, side), reason, "Remove it, or use another machine")
    for key, kinds, what in (
        ("lift_leak", (Raise, Lower), "raised or lowered"),
        ("tilt_leak", (TiltMove,), "tilted"),
        ("steering_off", (Turn,), "steered into a turn"),
    ):
        if getattr(defects, key) is not None and any(isinstance(event, kinds) for event in scenario.event):
            reason = f"cannot be told apart from an event in which it is {what}"
            yield Finding((*AT, key), reason, "Remove it, or that event")
    drives = scenario.setup.speed != 0.0 or any(isinstance(event, DriveEvent) for event in scenario.event)
    if defects.steering_off is not None and not drives:
        yield Finding((*AT, "steering_off"), "does nothing to a truck that stands", "Give setup.speed")


def _check_tyre(defect: TyreDefect, index: int, machine: Machine) -> Iterator[Finding]:
    from tipline.mechanics.patch import MOST_WORN  # loads numpy

    known = {tyre.name: tyre for tyre in (*machine.drive_axle.tyre, *machine.steer_axle.tyre)}
    tyre, at = known.get(defect.name), (*AT, "tyre", index)
    if tyre is None:
        yield Finding((*at, "name"), f"is no tyre of {machine.name}", f"Use one of {', '.join(known)}")
    elif tyre.lost + defect.worn >= MOST_WORN * tyre.rubber_thickness:
        yield Finding((*at, "worn"), "leaves too little rubber to reckon with", "Use less, or burst = true")
    elif tyre.stiffness is None and any(check_rubber(_tyre(tyre, defect), at)):
        reason = "leaves rubber whose stiffness cannot be found from its modulus"
        yield Finding(at, reason, "Give the tyre's stiffness in the machine file")


def with_defects(machine: Machine, scenario: Scenario) -> tuple[Machine, Scenario]:
    """Return machine and scenario as they are with what is wrong with the machine."""
    defects = scenario.setup.defects
    if defects is None:
        return machine, scenario
    by_name = {defect.name: defect for defect in defects.tyre}
    axles = {}
    for name in ("drive_axle", "steer_axle"):
        axle = getattr(machine, name)
        tyres = tuple(_tyre(tyre, by_name.get(tyre.name)) for tyre in axle.tyre)
        axles[name] = axle.model_copy(update={"tyre": tyres})
    axles["steer_axle"] = _stops(axles["steer_axle"], defects)
    changed = machine.model_copy(update={**axles, "drive": _drive(machine.drive, defects)})
    return changed, _events(scenario, changed, defects)


def _tyre(tyre: Tyre, defect: TyreDefect | None) -> Tyre:
    """Return a tyre as it is: rubber off its radius, and stiffer the thinner what is left of it."""
    if defect is None:
        return tyre
    lost = (1.0 - LEFT_OF_BURST) * tyre.rubber_thickness if defect.burst else tyre.lost + defect.worn
    if tyre.stiffness is None:
        return tyre.model_copy(update={"lost": lost, "rubber_modulus": defect.stiffness * tyre.rubber_modulus})
    stiffer = defect.stiffness * (tyre.rubber_thickness - tyre.lost) / (tyre.rubber_thickness - lost)
    return tyre.model_copy(update={"lost": lost, "stiffness": stiffer * tyre.stiffness})


def _stops(axle: SteerAxle, defects: Defects) -> SteerAxle:
    left, right = axle.stops
    if axle.kind == "fixed":
        return axle
    return axle.model_copy(update={"stop": defects.stop_left or left, "stop_right": defects.stop_right or right})


def _drive(drive: Drive, defects: Defects) -> Drive:
    rise = {} if defects.braking_rise is None else dict.fromkeys(
        ("rise_time", "pedal_lift_rise_time"), defects.braking_rise
    )  # fmt: skip
    return drive.model_copy(
        update={
            "service_deceleration": defects.braking * drive.service_deceleration,
            "pedal_lift_deceleration": defects.braking * drive.pedal_lift_deceleration,
            **rise,
        }
    )


def _events(scenario: Scenario, machine: Machine, defects: Defects) -> Scenario:
    """Return a scenario with what a defect makes of its events, and what comes by itself behind them."""
    events: list[Event] = [_braked(event, defects.braking) for event in scenario.event]
    events += _by_itself(scenario, machine, defects)
    origins = dict(scenario.origins)
    for index in range(len(scenario.event), len(events)):
        origins |= {f"event.{index}.{key}": "told" for key in type(events[index]).model_fields}
    return scenario.model_copy(update={"event": tuple(events), "origins": origins})


def _braked(event: Event, part: float) -> Event:
    if not isinstance(event, ServiceStop | PedalLift) or event.deceleration is None:
        return event
    return event.model_copy(update={"deceleration": part * event.deceleration})


def _by_itself(scenario: Scenario, machine: Machine, defects: Defects) -> list[Event]:
    """Return what leaks and slack make happen from the start to the end of the run."""
    setup, lasts, events = scenario.setup, scenario.run.duration, list[Event]()
    if defects.lift_leak is not None:
        height = setup.hook_height if setup.attachment == "jib" else setup.fork_height
        down = min(defects.lift_leak * lasts, height or 0.0)
        events.append(Lower(at=0.0, kind="lower", to=(height or 0.0) - down, speed=defects.lift_leak, stop=0.0))
    if defects.tilt_leak is not None:
        to = max(setup.tilt - defects.tilt_leak * lasts, -machine.mast.tilt_forward)
        events.append(TiltMove(at=0.0, kind="tilt", to=to, speed=defects.tilt_leak))
    if defects.steering_off:
        towards = "left" if defects.steering_off > 0.0 else "right"
        events.append(Turn(at=0.0, kind="turn", radius=machine.wheelbase / tan(abs(defects.steering_off)),
                          towards=towards))  # fmt: skip
    return events
