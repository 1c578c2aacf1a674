"""What of a scenario on its machine and floor cannot be, and what is unusual: set-up, lifted load and events.

Where no source is named the bounds are our own choice (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, degrees, hypot, pi, prod

from tipline.model.machine import Machine, Tyre
from tipline.model.plausible import OSMIUM, SLIP, Rule, Usual, outside
from tipline.model.plausible_machine import STEEL, own_mass
from tipline.model.positions import Path
from tipline.model.problems import Finding
from tipline.model.structure import STRUCTURE, structural_loads
from tipline.scenario.commanded import Inputs, drives, moves, speeds
from tipline.scenario.kinds import kind_of
from tipline.scenario.spec import (
    Breakthrough,
    CounterweightMove,
    DriveEvent,
    Lower,
    PedalLift,
    Push,
    Raise,
    Ramp,
    ServiceStop,
    SoftPlace,
    Threshold,
    TiltMove,
    Turn,
    Wind,
)
from tipline.units import STANDARD_GRAVITY as G
from tipline.units import show

__all__ = ["SCENARIO_RULES"]

LONGEST = 60.0
"""Greatest side [m] of what any such truck lifts (our choice)."""
STANDING = 1.6
"""Load of a standing tyre over its rating from which it is asked about; makers allow about 1.3 (from memory)."""
WIDE = 2.0
"""Times the outlines of truck, mast and load that may face the wind before it is asked about (our choice)."""

_USUAL = (
    Usual("setup.slope", 0.0, 0.22, "the usual slope of a floor"),
    Usual("load.size.*", 0.02, 15.0, "the usual side of a lifted load"),
    Usual("load.rigging_weight", 0.0, 5e3, "the usual weight of rigging"),
    Usual("load.hung_by", 0.05, 15.0, "the usual length of a sling"),
    Usual("load.friction_on_forks", 0.1, 1.0, "the usual friction on forks"),
    Usual("run.duration", 0.5, 300.0, "the usual duration of a run"),
)


def _usual(inputs: Inputs) -> Iterator[Finding]:
    yield from outside(inputs.scenario, _USUAL)
    for index, event in enumerate(inputs.scenario.event):
        yield from outside(event, kind_of(event).usual, ("event", index))


def _at_once(inputs: Inputs) -> Iterator[Finding]:
    """Yield events that move one thing at one time: which of them won would hang on their order in the file."""
    seen: dict[tuple[str, float], int] = {}
    for index, event in enumerate(inputs.scenario.event):
        what, begins = kind_of(event).moves, getattr(event, "at", 0.0)
        if not what:
            continue
        before = seen.setdefault((what, begins), index)
        if before != index:
            kind = inputs.scenario.event[before].kind.replace("_", " ")
            reason = f"{what} is told something else at the same time, by event.{before}, {kind}"
            yield Finding(("event", index, "at"), reason, "Give them different times, or remove one")


def _moves_overlap(inputs: Inputs) -> Iterator[Finding]:
    """Yield moves that begin before the last move of the same thing has ended; a drive may be overtaken at any time."""
    busy: dict[str, tuple[float, int]] = {}
    for change in moves(inputs):
        what = kind_of(inputs.scenario.event[change.number]).moves
        if not what:
            continue
        until, before = busy.get(what, (0.0, -1))
        if change.at < until - 1e-9 and change.at > inputs.scenario.event[before].at:  # type: ignore[union-attr]
            reason = f"event.{before} still moves {what}, until {show(until, 'time')}"
            yield Finding(("event", change.number, "at"), reason, "Let it begin later, or the other earlier or faster")
        busy[what] = change.at + change.takes, change.number


def _too_dense(inputs: Inputs) -> Iterator[Finding]:
    load = inputs.scenario.load
    if load is not None and load.mass / prod(load.size) > OSMIUM:
        density = load.mass / prod(load.size)
        reason = f"weighs {show(density, 'density')} in its size, more than any substance"
        yield Finding(("load", "mass"), reason, "Correct load.mass or load.size")


def _too_large(inputs: Inputs) -> Iterator[Finding]:
    load = inputs.scenario.load
    for axis, side in enumerate(load.size if load is not None else ()):
        if side > LONGEST:
            reason = f"no such truck lifts what is longer than {show(LONGEST, 'length')}"
            yield Finding(("load", "size", axis), reason, SLIP)


def _past_the_tips(inputs: Inputs) -> Iterator[Finding]:
    """Yield a load whose centre lies past the fork tips: it would fall off them."""
    load, forks = inputs.scenario.load, inputs.machine.forks
    if load is None or forks is None or inputs.scenario.setup.attachment != "forks":
        return
    centre = load.load_centre if load.load_centre is not None else load.size[0] / 2 + load.centre_offset[0]
    if centre > forks.length:
        key = ("load", "load_centre") if load.load_centre is not None else ("load", "size", 0)
        reason = (
            f"its centre lies {show(centre, 'length')} out, past the tips of the forks, {show(forks.length, 'length')}"
        )
        yield Finding(key, reason, "Correct it, or give machine.forks.length with its sleeves")


def _in_radians(inputs: Inputs) -> Iterator[Finding]:
    """Yield directions whose degrees are those of a quarter turn, or of parts of it, in radians."""
    angles: list[tuple[Path, float]] = [(("setup", "heading"), inputs.scenario.setup.heading)]
    for index, event in enumerate(inputs.scenario.event):
        for name in ("towards", "direction", "from_azimuth"):
            value = getattr(event, name, None)
            angles += [(("event", index, name), value)] if isinstance(value, float) else []
    for path, value in angles:
        eighths = abs(degrees(value)) / (pi / 4)
        if 1.0 <= round(eighths) <= 8.0 and abs(eighths - round(eighths)) < 0.006 * round(eighths):
            reason = f"can be read as {45 * round(eighths)} deg written in radians"
            yield Finding(path, reason, f'Write "{45 * round(eighths)} deg", or with "rad"')


def _wind_area(inputs: Inputs) -> Iterator[Finding]:
    """Yield an area facing the wind that is far more than truck and load can show."""
    chassis, mast, load = inputs.machine.chassis, inputs.machine.mast, inputs.scenario.load
    most = (chassis.front - chassis.rear) * chassis.guard_height + mast.width * mast.stages * mast.lowered_height
    if load is not None:
        most += hypot(load.size[0], load.size[1]) * load.size[2]
    for index, event in enumerate(inputs.scenario.event):
        if isinstance(event, Wind) and event.area is not None and event.area > WIDE * most:
            reason = f"truck, mast and load show about {show(most, 'area', digits=2)} to the side at most"
            yield Finding(("event", index, "area"), reason, SLIP)


def _density(inputs: Inputs) -> Iterator[Finding]:
    load = inputs.scenario.load
    if load is None:
        return
    density = load.mass / prod(load.size)
    if 1.1 * STEEL < density <= OSMIUM or density < 15.0:
        than = "more than steel" if density > STEEL else "less than foam"
        reason = f"weighs {show(density, 'density')} in its size, {than}"
        yield Finding(("load", "mass"), reason, "Correct load.mass or load.size")


def _plate(inputs: Inputs) -> float:
    """Return the greatest load of the plate with the set-up's attachment [kg], 0 where there is none."""
    rows = (row for row in inputs.machine.capacity_plate if row.attachment == inputs.scenario.setup.attachment)
    return max((row.load for row in rows), default=0.0)


def _against_the_plate(inputs: Inputs) -> Iterator[Finding]:
    load, machine = inputs.scenario.load, inputs.machine
    if load is None:
        return
    plate, whole = _plate(inputs), own_mass(machine)
    if plate and load.mass > 2.5 * plate:
        reason = f"the plate allows at most {show(plate, 'mass')} with this attachment"
        yield Finding(("load", "mass"), reason, SLIP)
    elif load.mass > 3.0 * whole:
        reason = f"the parts of the truck weigh {show(whole, 'mass')}"
        yield Finding(("load", "mass"), reason, SLIP)
    if load.rigging_weight > max(300.0, 0.6 * load.mass):
        reason = f"is most of what hangs there, beside a load of {show(load.mass, 'mass')}"
        yield Finding(("load", "rigging_weight"), reason, "Correct one of them")


def _against_strength(inputs: Inputs) -> Iterator[Finding]:
    """Yield a load above what is stamped on the forks, or beyond the moment that carriage or mast is made for."""
    load, setup, machine = inputs.scenario.load, inputs.scenario.setup, inputs.machine
    if load is None:
        return
    centre, aside = load.load_centre, abs(load.centre_offset[1])
    if setup.attachment == "jib":
        centre, aside = setup.jib_reach, 0.0
    elif centre is None:
        centre = load.size[0] / 2 + load.centre_offset[0]
    if not centre or centre <= 0.0:
        return
    gross = load.mass + load.rigging_weight
    for name, most in structural_loads(machine, setup.attachment, centre, aside).items():
        if gross > 1.001 * float(most):
            reason = f"is with its rigging {show(gross, 'mass')}, and {STRUCTURE[name]} allows"
            yield Finding(("load", "mass"), f"{reason} {show(float(most), 'mass')} here", SLIP)
            break


def _centre_in_it(inputs: Inputs) -> Iterator[Finding]:
    load = inputs.scenario.load
    if load is None:
        return
    share = load.height_of_centre / load.size[2]
    if not 0.08 <= share <= 0.92:
        side = "bottom" if share < 0.5 else "top"
        reason = f"is at the {side} of a load {show(load.size[2], 'length')} high"
        yield Finding(("load", "height_of_centre"), reason, "Measure it from the load's underside")
    for axis, name in enumerate(("length", "width")):
        if 0.42 * load.size[axis] < abs(load.centre_offset[axis]) <= 0.5 * load.size[axis]:
            reason = f"is at the end of the load's {name}, {show(load.size[axis], 'length')}"
            yield Finding(("load", "centre_offset", axis), reason, "Give it from the middle of the load")


def _between_the_forks(inputs: Inputs) -> Iterator[Finding]:
    load, forks = inputs.scenario.load, inputs.machine.forks
    if load is None or forks is None or inputs.scenario.setup.attachment != "forks":
        return
    if load.size[1] < forks.spread - forks.width:
        reason = f"falls between forks that stand {show(forks.spread - forks.width, 'length')} apart"
        yield Finding(("load", "size", 1), reason, "Correct it or machine.forks.spread")
    if load.load_centre is not None:
        back = load.load_centre - load.size[0] / 2 - load.centre_offset[0]
        if back > 0.6 * forks.length:
            reason = f"leaves {show(back, 'length')} between the fork face and the load"
            yield Finding(("load", "load_centre"), reason, "Give it from the fork face to the load's centre of gravity")


def _stands_already(inputs: Inputs) -> Iterator[Finding]:
    """Yield stops of a truck that stands: mostly a speed that was forgotten."""
    for change in speeds(inputs):
        event = inputs.scenario.event[change.number]
        if isinstance(event, ServiceStop | PedalLift) and change.before == 0.0:
            reason = f"the truck stands at {show(event.at, 'time')}: there is nothing to stop"
            yield Finding(
                ("event", change.number, "kind"), reason, 'Add setup.speed, such as "6 km/h", or a drive event'
            )


def _no_way_to_it(inputs: Inputs) -> Iterator[Finding]:
    for index, event in enumerate(inputs.scenario.event):
        if isinstance(event, Ramp | Threshold) and not drives(inputs.scenario):
            reason = f"the truck is not told to drive: it never comes to the {event.kind}"
            yield Finding(("event", index, "kind"), reason, 'Add setup.speed, such as "3 km/h", or a drive event')


def _turns_standing(inputs: Inputs) -> Iterator[Finding]:
    for index, event in enumerate(inputs.scenario.event):
        if isinstance(event, Turn) and event.curve and not drives(inputs.scenario):
            reason = "the truck is not told to drive: it never turns"
            yield Finding(("event", index, "kind"), reason, 'Add setup.speed, such as "5 km/h", or a drive event')


def _away_from_it(inputs: Inputs) -> Iterator[Finding]:
    """Yield a ramp or a threshold on the side from which the truck only drives away."""
    gone = [inputs.scenario.setup.speed, *(e.speed for e in inputs.scenario.event if isinstance(e, DriveEvent))]
    for index, event in enumerate(inputs.scenario.event):
        if not isinstance(event, Ramp | Threshold) or not any(gone):
            continue
        if not any(speed * cos(event.towards) > 0.0 for speed in gone):
            reason = "the truck is told to drive the other way, or along it"
            yield Finding(
                ("event", index, "towards"), reason, '"0 deg" is ahead of it, "180 deg" behind; or turn the speed'
            )


def _holes_again(inputs: Inputs) -> Iterator[Finding]:
    """Yield a tyre under which the floor breaks through twice at one time, or later by no more than before."""
    before: dict[str, tuple[float, float, int]] = {}
    holes = [(i, e) for i, e in enumerate(inputs.scenario.event) if isinstance(e, Breakthrough)]
    for index, event in sorted(holes, key=lambda pair: pair[1].at):
        for name in event.under:
            at, depth, other = before.get(name, (-1.0, -1.0, -1))
            if event.at == at or event.depth <= depth:
                reason = f"event.{other} has made a hole of {show(depth, 'length')} under {name} already"
                key = "at" if event.at == at else "depth"
                yield Finding(("event", index, key), reason, "Remove one, or make the later hole the deeper one")
                break
        before |= dict.fromkeys(event.under, (event.at, event.depth, index))


def _tyres(machine: Machine) -> Iterator[tuple[float, Tyre]]:
    yield from ((0.0, tyre) for tyre in machine.drive_axle.tyre)
    yield from ((-machine.wheelbase, tyre) for tyre in machine.steer_axle.tyre)


def _holes(inputs: Inputs) -> Iterator[Finding]:
    """Yield holes and soft places that their tyre bridges, that take in other tyres, or are deeper than the wheel."""
    for index, event in enumerate(inputs.scenario.event):
        if not isinstance(event, Breakthrough | SoftPlace):
            continue
        key = "hole" if isinstance(event, Breakthrough) else "size"
        size: tuple[float, float] = getattr(event, key)
        named = [(x, tyre) for x, tyre in _tyres(inputs.machine) if tyre.name in event.under]
        yield from _too_small(named, size, ("event", index, key))
        yield from _too_wide(inputs, event.under, named, size, ("event", index, key))
        if isinstance(event, Breakthrough):
            radius = min((tyre.diameter / 2 for _, tyre in named), default=0.0)
            if named and event.depth > radius:
                reason = f"is deeper than half the wheel, {show(radius, 'length')}"
                yield Finding(("event", index, "depth"), reason, SLIP)


def _too_small(named: Sequence[tuple[float, Tyre]], size: tuple[float, float], at: Path) -> Iterator[Finding]:
    for _, tyre in named:
        if size[1] < 0.6 * tyre.width:
            reason = f"is narrower than the {tyre.name} tyre, {show(tyre.width, 'length')}, which bridges it"
            yield Finding((*at, 1), reason, "Correct the value or its unit; the second figure is across the truck")
            return
        if size[0] < 0.25 * tyre.diameter:
            reason = f"is short for the {tyre.name} tyre, {show(tyre.diameter, 'length')} in diameter, which bridges it"
            yield Finding((*at, 0), reason, "Correct the value or its unit; the first figure is along the truck")
            return


def _too_wide(
    inputs: Inputs, under: Sequence[str], named: Sequence[tuple[float, Tyre]], size: tuple[float, float], at: Path
) -> Iterator[Finding]:
    for x, tyre in named:
        for other_x, other in _tyres(inputs.machine):
            aside = abs(other.across - tyre.across) < size[1] / 2
            if other.name not in under and abs(other_x - x) < size[0] / 2 and aside:
                reason = f"about the {tyre.name} tyre it reaches under the {other.name} tyre too, which is not named"
                yield Finding(at, reason, "Name all tyres over it in under, or correct its size")
                return


def _speeds_of_moves(inputs: Inputs) -> Iterator[Finding]:
    mast = inputs.machine.mast
    for index, event in enumerate(inputs.scenario.event):
        if isinstance(event, Raise | Lower | TiltMove | CounterweightMove) and event.speed is not None:
            usual = {
                "raise": mast.lift_speed,
                "lower": mast.lower_speed,
                "tilt": mast.tilt_speed,
                "counterweight": inputs.machine.counterweight.speed,
            }[event.kind]
            if not 0.02 * usual <= event.speed <= 5.0 * usual:
                kind = "angular_speed" if event.kind == "tilt" else "speed"
                reason = f"the machine's own is {show(usual, kind)}"
                yield Finding(("event", index, "speed"), reason, SLIP)


def _pushes(inputs: Inputs) -> Iterator[Finding]:
    weight = own_mass(inputs.machine) * G
    for index, event in enumerate(inputs.scenario.event):
        if isinstance(event, Push) and event.force > weight:
            reason = f"pushes harder than the truck weighs, {show(weight, 'force')}"
            yield Finding(("event", index, "force"), reason, SLIP)


def _over_its_rating(inputs: Inputs) -> Iterator[Finding]:
    """Yield tyres far over their rating at rest, by moments about the drive axle; centres not told in mid-part.

    Not with a load above the plate: that overloads tyres whose rating is right.
    """
    plate = _plate(inputs)
    if inputs.scenario.load is not None and inputs.scenario.load.mass > plate > 0.0:
        return
    drive, steer = _axle_loads(inputs)
    for name, axle, load in (
        ("drive_axle", inputs.machine.drive_axle, drive),
        ("steer_axle", inputs.machine.steer_axle, steer),
    ):
        each = load / len(axle.tyre)
        for index, tyre in enumerate(axle.tyre):
            if each > STANDING * tyre.rated_load:
                reason = f"it carries about {show(each, 'force', digits=2)} at rest in this set-up"
                path = ("machine", name, "tyre", index, "rated_load")
                yield Finding(path, reason, "Correct it, or the load")


def _axle_loads(inputs: Inputs) -> tuple[float, float]:
    """Return about what the axles carry on a level floor [N]."""
    machine, setup, load = inputs.machine, inputs.scenario.setup, inputs.scenario.load
    chassis, mast, weight = machine.chassis, machine.mast, machine.counterweight
    face = machine.carriage.face
    parts = [
        (chassis.mass, chassis.centre[0] if chassis.centre is not None else (chassis.front + chassis.rear) / 2),
        (machine.steer_axle.mass, -machine.wheelbase),
        (weight.mass, weight.centre[0] - setup.counterweight_extension),
        (mast.mass, mast.centre[0] if mast.centre is not None else mast.face - mast.channel_depth / 2),
        (machine.carriage.mass, face),
    ]
    if machine.ballast_slab is not None:
        x = machine.ballast_slab.first_centre[0] - setup.counterweight_extension
        parts.append((machine.ballast_slab.mass * setup.ballast_slabs, x))
    reach = 0.0
    if setup.attachment == "forks" and machine.forks is not None:
        parts.append((machine.forks.mass, face + 0.4 * machine.forks.length))
        if load is not None:
            reach = load.load_centre if load.load_centre is not None else load.size[0] / 2 + load.centre_offset[0]
    elif setup.attachment == "jib" and machine.jib is not None:
        reach = setup.jib_reach or 0.0
        parts.append((machine.jib.mass, face + 0.5 * reach))
    if load is not None:
        parts.append((load.mass + load.rigging_weight, face + reach))
    whole = sum(mass for mass, _ in parts)
    steer = min(max(-sum(mass * x for mass, x in parts) / machine.wheelbase, 0.0), whole)
    return G * (whole - steer), G * steer


SCENARIO_RULES: tuple[Rule[Inputs], ...] = (
    Rule("one motion at a time", "refused", "their order in the file would decide", _at_once),
    Rule("one move after the other", "refused", "a cylinder or slide has one speed at a time", _moves_overlap),
    Rule("denser than any substance", "refused", "osmium, 22 600 kg/m3 (handbook, from memory)", _too_dense),
    Rule("too large to lift", "refused", "our choice, see LONGEST", _too_large),
    Rule(
        "past the fork tips", "refused", "what has its centre past its support falls off it (statics)", _past_the_tips
    ),
    Rule("usual ranges", "unusual", "our choice, see the top of this file", _usual),
    Rule(
        "load and plate",
        "unusual",
        "2.5 times what a truck is rated for it cannot lift (our bound)",
        _against_the_plate,
    ),
    Rule(
        "load and strength",
        "unusual",
        "a fork's stamp, a maker's largest moment (ISO 2330, from memory)",
        _against_strength,
    ),
    Rule("degrees and radians", "unusual", "a quarter turn is 1.57 rad: nobody heads 1.57 degrees aside", _in_radians),
    Rule("area in the wind", "unusual", "our bound, see WIDE", _wind_area),
    Rule("density of the load", "unusual", "from foam at 15 to steel at 7850 kg/m3 (handbook, from memory)", _density),
    Rule("centre within the load", "unusual", "few loads have their centre at their skin (our bounds)", _centre_in_it),
    Rule("load on the forks", "unusual", "both forks carry it, near the fork face", _between_the_forks),
    Rule("stop of a standing truck", "unusual", "there is nothing to stop", _stands_already),
    Rule("way to a ramp", "unusual", "it counts for what drives onto it", _no_way_to_it),
    Rule("turn of a standing truck", "unusual", "a turn counts for a truck that drives", _turns_standing),
    Rule("side of a ramp", "unusual", "it counts for what drives onto it", _away_from_it),
    Rule("one hole after the other", "unusual", "the deeper one holds the tyre (our own rule of places)", _holes_again),
    Rule("holes and their tyres", "unusual", "a wheel bridges what is smaller than itself (geometry)", _holes),
    Rule("speeds of moves", "unusual", "a fiftieth to five times the machine's own (our bounds)", _speeds_of_moves),
    Rule("pushes", "unusual", "nobody pushes harder than the truck weighs (our bound)", _pushes),
    Rule("tyres and their rating", "unusual", "see STANDING", _over_its_rating),
)
