"""Checks between a scenario and the machine it names."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from math import cos, radians, sin, tan

from tipline.model.checks import TOLERANCE, is_on_step
from tipline.model.load import LiftedLoad
from tipline.model.machine import Jib, Machine
from tipline.model.plausible import refused
from tipline.model.positions import Path
from tipline.model.problems import Finding
from tipline.scenario.commanded import Inputs
from tipline.scenario.defects import check_defects
from tipline.scenario.plausible import SCENARIO_RULES
from tipline.scenario.spec import (
    Breakthrough,
    CounterweightMove,
    DriveEvent,
    Event,
    FloorTurns,
    LoadShed,
    Lower,
    Push,
    Raise,
    Ramp,
    Scenario,
    Setup,
    SoftPlace,
    Swing,
    Threshold,
    TiltMove,
    Turn,
)
from tipline.units import show

__all__ = ["check_scenario", "fork_height", "hook_height", "pin_near"]

MOST_STEERED = radians(80.0)
"""Angle by which no wheel is steered further (our choice: what small trucks with turned axles come to)."""
_MOST_STEPS = 2_000_000


def fork_height(setup: Setup, machine: Machine) -> float:
    """Return the height of the fork top (the carriage's own height on a jib) in a set-up [m]."""
    if setup.attachment == "jib" and setup.hook_height is not None:
        rise = setup.jib_rise
        if rise is None and machine.jib is not None:
            rise = _default_rise(setup.hook_height, machine.jib, machine.mast.top_fork_height)
        return setup.hook_height - (rise or 0.0)
    return setup.fork_height or 0.0


def hook_height(setup: Setup, machine: Machine) -> float | None:
    """Return the height of the hook in a set-up [m]; None without a jib."""
    return setup.hook_height if setup.attachment == "jib" and machine.jib is not None else None


def pin_near(value: float, pins: tuple[float, ...]) -> float | None:
    """Return the pin at a position [m]; None when there is none within the tolerance."""
    return next((pin for pin in pins if abs(pin - value) < TOLERANCE), None)


def _default_rise(height: float, jib: Jib, top: float) -> float:
    """Return the lowest rise pin from which the hook is at a height, else the lowest pin."""
    fitting = (rise for rise in jib.rise_pins if -TOLERANCE <= height - rise <= top + TOLERANCE)
    return next(fitting, jib.rise_pins[0])


def check_scenario(scenario: Scenario, machine: Machine) -> Iterator[Finding]:
    """Yield what does not fit together in a scenario and its machine."""
    setup = scenario.setup
    yield from _check_counterweight(setup, machine)
    yield from _check_attachment(setup, machine)
    yield from _check_motion(setup, machine)
    yield from _check_load(scenario, machine)
    yield from _check_run(scenario)
    yield from check_defects(scenario, machine)
    yield from _check_lifts(scenario)
    for index, event in enumerate(scenario.event):
        yield from _check_event(event, ("event", index), scenario, machine)
    yield from refused(Inputs(scenario, machine), SCENARIO_RULES)


def _check_counterweight(setup: Setup, machine: Machine) -> Iterator[Finding]:
    most = 0 if machine.ballast_slab is None else machine.ballast_slab.most
    if setup.ballast_slabs > most:
        yield Finding(("setup", "ballast_slabs"), f"{machine.name} carries at most {most}", "Use fewer")
    yield from _check_extension(setup.counterweight_extension, ("setup", "counterweight_extension"), machine)


def _check_extension(extension: float, path: Path, machine: Machine) -> Iterator[Finding]:
    weight = machine.counterweight
    if extension > weight.stroke + TOLERANCE:
        yield Finding(path, f"must be at most the stroke, {show(weight.stroke, 'length')}", "Use less")
    elif not is_on_step(extension, weight.stroke, weight.step):
        step = show(weight.step or 0.0, "length")
        yield Finding(path, f"must be on a step of {step}, or the full stroke", "Use the step before or after it")


def _check_attachment(setup: Setup, machine: Machine) -> Iterator[Finding]:
    at: Path = ("setup", "attachment")
    if setup.attachment == "forks" and machine.forks is None:
        yield Finding(at, f"{machine.name} has no forks", "Use another attachment or machine")
    elif setup.attachment == "jib":
        if machine.jib is None:
            yield Finding(at, f"{machine.name} has no jib", "Use another attachment or machine")
        else:
            yield from _check_jib(setup, machine.jib, machine.mast.top_fork_height)
        return
    for name in ("jib_reach", "jib_rise", "hook_height"):
        if getattr(setup, name) is not None:
            yield Finding(("setup", name), f'belongs to attachment "jib", not "{setup.attachment}"', "Remove it")
    yield from _check_fork_height(setup, machine.mast.top_fork_height)


def _check_fork_height(setup: Setup, top: float) -> Iterator[Finding]:
    at = ("setup", "fork_height")
    if setup.fork_height is None:
        if setup.attachment == "forks":
            yield Finding(at, "is needed with forks but not there", 'Add it, such as "0.3 m"')
    elif setup.fork_height > top + TOLERANCE:
        yield Finding(at, f"the mast reaches at most {show(top, 'length')}", "Use a lower height")


def _check_jib(setup: Setup, jib: Jib, top: float) -> Iterator[Finding]:
    if setup.fork_height is not None:
        yield Finding(("setup", "fork_height"), "with a jib the hook_height is given instead", "Give hook_height")
    if setup.jib_reach is None:
        pins = _pins(jib.reach_pins)
        yield Finding(("setup", "jib_reach"), "is needed with a jib but not there", f"Add one of the pins {pins}")
    elif pin_near(setup.jib_reach, jib.reach_pins) is None:
        yield Finding(("setup", "jib_reach"), "is not on a pin", f"Use one of {_pins(jib.reach_pins)}")
    if setup.jib_rise is not None and pin_near(setup.jib_rise, jib.rise_pins) is None:
        yield Finding(("setup", "jib_rise"), "is not on a pin", f"Use one of {_pins(jib.rise_pins)}")
        return
    if setup.hook_height is None:
        yield Finding(("setup", "hook_height"), "is needed with a jib but not there", 'Add it, such as "3 m"')
        return
    yield from _check_hook(setup.hook_height, ("setup", "hook_height"), _rises(setup, jib), top)


def _rises(setup: Setup, jib: Jib) -> tuple[float, ...]:
    return jib.rise_pins if setup.jib_rise is None else (setup.jib_rise,)


def _check_hook(height: float, at: Path, rises: tuple[float, ...], top: float) -> Iterator[Finding]:
    if not any(-TOLERANCE <= height - rise <= top + TOLERANCE for rise in rises):
        ranges = " or ".join(f"{show(rise, 'length')} to {show(rise + top, 'length')}" for rise in rises)
        yield Finding(at, f"the mast takes the hook to {ranges}", "Use a height within it, or another jib_rise")


def _check_motion(setup: Setup, machine: Machine) -> Iterator[Finding]:
    yield from _check_tilt(setup.tilt, ("setup", "tilt"), machine)
    yield from _check_speed(setup.speed, ("setup", "speed"), machine)
    if setup.slope is None and setup.slope_towards is not None:
        yield Finding(("setup", "slope_towards"), "stands without a slope", "Add slope or remove it")
    if setup.slope and setup.slope_towards is None:
        remedy = 'Add it: "0 deg" ahead, "90 deg" left'
        yield Finding(("setup", "slope_towards"), "is needed with a slope: where the floor falls to", remedy)


def _check_tilt(tilt: float, path: Path, machine: Machine) -> Iterator[Finding]:
    mast = machine.mast
    if not -mast.tilt_forward - 1e-6 <= tilt <= mast.tilt_back + 1e-6:
        span = f"{show(-mast.tilt_forward, 'angle')} (forward) to {show(mast.tilt_back, 'angle')} (back)"
        yield Finding(path, f"the mast tilts {span}", "Use an angle within it")


def _check_speed(speed: float, path: Path, machine: Machine) -> Iterator[Finding]:
    if abs(speed) > machine.drive.top_speed * (1 + 1e-9):
        yield Finding(path, f"the top speed is {show(machine.drive.top_speed, 'speed')}", "Use less")


def _check_load(scenario: Scenario, machine: Machine) -> Iterator[Finding]:
    load, setup = scenario.load, scenario.setup
    if load is None:
        return
    if setup.attachment == "none":
        yield Finding(("load",), 'attachment "none" lifts no load', "Remove [load] or set attachment")
    yield from _check_centre(load)
    if setup.attachment == "jib":
        yield from _check_hung(load, setup)
    elif setup.attachment == "forks":
        yield from _check_on_forks(load)


def _check_centre(load: LiftedLoad) -> Iterator[Finding]:
    if load.lightest is not None and load.lightest > load.mass:
        reason = f"must be at most its mass, {show(load.mass, 'mass')}"
        yield Finding(("load", "lightest"), reason, "Correct one of them")
    if load.heaviest is not None and load.heaviest < load.mass:
        reason = f"must be at least its mass, {show(load.mass, 'mass')}"
        yield Finding(("load", "heaviest"), reason, "Correct one of them")
    for axis, name in enumerate(("length", "width")):
        if abs(load.centre_offset[axis]) > load.size[axis] / 2:
            reason = f"the centre lies outside the load's {name}, {show(load.size[axis], 'length')}"
            yield Finding(("load", "centre_offset", axis), reason, "Correct centre_offset or size")
    if load.height_of_centre > load.size[2]:
        reason = f"must be at most the load's height, {show(load.size[2], 'length')}"
        yield Finding(("load", "height_of_centre"), reason, "Measure it from the load's underside")


def _check_hung(load: LiftedLoad, setup: Setup) -> Iterator[Finding]:
    if load.hung_by is None:
        yield Finding(("load", "hung_by"), "is needed with a jib but not there", 'Add the rope length, such as "0.9 m"')
    elif setup.hook_height is not None:
        below = setup.hook_height - load.hung_by - load.size[2]
        if below < -TOLERANCE:
            reason = f"the load's underside would be {show(-below, 'length')} below the floor"
            yield Finding(("load", "hung_by"), reason, "Raise hook_height, or shorten hung_by")
    if load.load_centre is not None:
        yield Finding(("load", "load_centre"), "a hung load is placed by jib_reach", "Remove it")
    if load.on_forks == "free":
        yield Finding(("load", "on_forks"), "a hung load is not on the forks", "Remove it")
    if setup.jib_reach is not None and setup.jib_reach - load.size[0] / 2 + _behind(load) < -TOLERANCE:
        reason = f"the load reaches behind the fork face, into the mast, at jib_reach {show(setup.jib_reach, 'length')}"
        yield Finding(("load", "size"), reason, "Use a greater jib_reach or correct size")


def _behind(load: LiftedLoad) -> float:
    """Return how far the middle of the plan hangs behind the hook: the centre of gravity hangs under it."""
    return -load.centre_offset[0]


def _check_on_forks(load: LiftedLoad) -> Iterator[Finding]:
    if load.hung_by is not None:
        yield Finding(("load", "hung_by"), "a load on the forks hangs by nothing", 'Remove it, or use attachment "jib"')
    if load.load_centre is None:
        return
    least = load.size[0] / 2 + load.centre_offset[0]
    if load.load_centre < least - TOLERANCE:
        reason = f"the load reaches behind the fork face, into the mast; must be {show(least, 'length')} or more"
        yield Finding(("load", "load_centre"), reason, "Correct load_centre, size or centre_offset")


def _check_run(scenario: Scenario) -> Iterator[Finding]:
    run = scenario.run
    if run.extend_to < run.duration:
        reason = f"must be at least the duration, {show(run.duration, 'time')}"
        yield Finding(("run", "extend_to"), reason, "Correct one of them")
    if max(run.extend_to, run.duration) / run.time_step > _MOST_STEPS:
        yield Finding(
            ("run", "time_step"), f"takes more than {_MOST_STEPS} steps", "Use a longer step or a shorter run"
        )


def _check_event(event: Event, at: Path, scenario: Scenario, machine: Machine) -> Iterator[Finding]:
    if not isinstance(event, Swing | Ramp | Threshold) and event.at >= scenario.run.duration:
        reason = f"must be before the end of the run, {show(scenario.run.duration, 'time')}"
        yield Finding((*at, "at"), reason, "Use an earlier time or a longer run.duration")
    if isinstance(event, Breakthrough | SoftPlace):
        yield from _check_under(event.under, (*at, "under"), machine)
    elif isinstance(event, DriveEvent):
        yield from _check_speed(event.speed, (*at, "speed"), machine)
    elif isinstance(event, FloorTurns):
        if (event.over is None) == (event.rate is None):
            yield Finding((*at, "over"), "a turning floor needs either over or rate", 'Give one, as over = "4 s"')
    elif isinstance(event, Ramp):
        yield from _check_ramp(event, at, scenario, machine)
    elif isinstance(event, Threshold):
        yield from _check_begins(event, at, machine)
        if any(isinstance(other, Ramp) for other in scenario.event):
            reason = "a floor with a ramp and a threshold cannot be simulated"
            yield Finding((*at, "kind"), reason, "Remove the one or the other")
    elif isinstance(event, Turn):
        yield from _check_turn(event, at, machine)
    elif isinstance(event, Swing | LoadShed | Push):
        yield from _check_load_event(event, at, scenario)
    else:
        yield from _check_move(event, at, scenario.setup, machine)


def _check_begins(event: Ramp | Threshold, at: Path, machine: Machine) -> Iterator[Finding]:
    c, s = cos(event.towards), sin(event.towards)
    tyres = [(0.0, tyre) for tyre in machine.drive_axle.tyre]
    tyres += [(-machine.wheelbase, tyre) for tyre in machine.steer_axle.tyre]
    reach = max(c * x + s * tyre.across + 0.5 * tyre.diameter for x, tyre in tyres)
    if event.begins < reach:
        reason = f"a tyre would stand on the {event.kind} at the start; must be {show(reach, 'length')} or more"
        yield Finding((*at, "begins"), reason, "Let it begin farther away")


def _check_ramp(ramp: Ramp, at: Path, scenario: Scenario, machine: Machine) -> Iterator[Finding]:
    yield from _check_begins(ramp, at, machine)
    if any(isinstance(other, Ramp) for other in scenario.event[: int(at[-1])]):
        yield Finding((*at, "kind"), "a scenario has one ramp only", "Remove the others")
    if any(isinstance(other, Turn) for other in scenario.event):
        yield Finding((*at, "kind"), "a truck that turns on a ramp cannot be simulated", "Remove the one or the other")
    if any(isinstance(other, Breakthrough | SoftPlace) for other in scenario.event):
        yield Finding((*at, "kind"), "a floor with a ramp cannot give way as well", "Remove the one or the other")


def _check_turn(turn: Turn, at: Path, machine: Machine) -> Iterator[Finding]:
    if turn.towards == "ahead":
        if turn.radius is not None:
            yield Finding((*at, "radius"), "a truck steered straight ahead has no turning radius", "Remove it")
        return
    if turn.radius is None:
        yield Finding((*at, "radius"), "is needed with a turn but not there", 'Add it, such as "4 m"')
        return
    aside = max(abs(tyre.across) for tyre in machine.steer_axle.tyre) + machine.wheelbase / tan(MOST_STEERED)
    least = max(aside, *(abs(tyre.across) for tyre in machine.drive_axle.tyre))
    if turn.radius < least:
        reason = (
            f"a wheel of the steer axle would be steered by more than {show(MOST_STEERED, 'angle')}, or a drive tyre "
            f"would roll backwards; must be {show(least, 'length')} or more"
        )
        yield Finding((*at, "radius"), reason, "Use a greater radius, from the middle of the turn to the drive axle's")


def _check_move(event: Event, at: Path, setup: Setup, machine: Machine) -> Iterator[Finding]:
    if isinstance(event, TiltMove):
        yield from _check_tilt(event.to, (*at, "to"), machine)
    elif isinstance(event, CounterweightMove):
        yield from _check_extension(event.to, (*at, "to"), machine)
    elif isinstance(event, Raise | Lower):
        top = machine.mast.top_fork_height
        if setup.attachment == "jib" and setup.hook_height is not None:
            rise = setup.hook_height - fork_height(setup, machine)
            yield from _check_hook(event.to, (*at, "to"), (rise,), top)
        elif event.to > top + TOLERANCE:
            yield Finding((*at, "to"), f"the mast reaches at most {show(top, 'length')}", "Use a lower height")


def _check_lifts(scenario: Scenario) -> Iterator[Finding]:
    """Hold raise to up and lower to down, each from where the move before it ends."""
    height = scenario.setup.hook_height if scenario.setup.attachment == "jib" else scenario.setup.fork_height or 0.0
    moves = [(index, event) for index, event in enumerate(scenario.event) if isinstance(event, Raise | Lower)]
    for index, event in sorted(moves, key=lambda move: move[1].at):
        if height is not None and (event.to > height) != (event.kind == "raise"):
            side = "above" if event.kind == "raise" else "below"
            reason = f"must be {side} the height before it, {show(height, 'length')}"
            yield Finding(("event", index, "to"), reason, "Correct the height or the kind")
        height = event.to


def _check_under(under: tuple[str, ...], path: Path, machine: Machine) -> Iterator[Finding]:
    known = [tyre.name for tyre in (*machine.drive_axle.tyre, *machine.steer_axle.tyre)]
    for name in under:
        if name not in known:
            yield Finding(path, f'{machine.name} has no tyre "{name[:40]}"', f"Use one of {', '.join(known)}")
    if any(count > 1 for count in Counter(under).values()):
        yield Finding(path, "names a tyre twice", "Name each once")


def _check_load_event(event: Swing | LoadShed | Push, at: Path, scenario: Scenario) -> Iterator[Finding]:
    if isinstance(event, Swing):
        if scenario.load is None or scenario.setup.attachment != "jib":
            yield Finding((*at, "kind"), "only a load hung on a jib swings", "Remove the event, or hang a load")
        if sum(isinstance(other, Swing) for other in scenario.event) > 1:
            yield Finding((*at, "kind"), "a load starts with one swing only", "Remove the others")
    elif isinstance(event, LoadShed):
        if scenario.load is None:
            yield Finding((*at, "kind"), "there is no load to shed", "Add [load] or remove the event")
    elif event.at_part == "load" and scenario.load is None:
        yield Finding((*at, "at_part"), "there is no load to push", "Add [load] or push another part")


def _pins(pins: tuple[float, ...]) -> str:
    return ", ".join(show(pin, "length") for pin in pins)
