"""What of a machine cannot be, and what is unusual.

Where no source is named the bounds are our own choice: wide enough for compact trucks that lift 2 to 60 t, whose parts
we have seen drawn and weighed (common practice, no source), narrow enough for a slip by ten or more to lie outside.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import prod, radians

from tipline.model.machine import DriveAxle, Machine, SteerAxle
from tipline.model.plausible import LEAD, SLIP, Rule, Usual, outside
from tipline.model.positions import Path
from tipline.model.problems import Finding
from tipline.model.structure import STRUCTURE, structural_loads
from tipline.units import STANDARD_GRAVITY as G
from tipline.units import show

__all__ = ["FRICTION", "MACHINE_RULES", "STEEL", "own_mass"]

STEEL = 7850.0
"""Density of steel [kg/m3] (EN 1991-1-1 table A.4: 77.0 to 78.5 kN/m3, from memory)."""
LOWEST_AXIS = 0.08
"""Height of the axis that a mast tilts about, at least [m] (our choice: under the belly of the lowest trucks)."""
FRICTION = (0.1, 1.2)
"""Friction of tyres from wet ice to clean dry concrete (handbook values, from memory)."""


def own_mass(machine: Machine) -> float:
    """Return the mass of the truck without slabs, forks and jib [kg]."""
    parts = (machine.chassis, machine.steer_axle, machine.counterweight, machine.mast, machine.carriage)
    return sum(part.mass for part in parts)


def _axles(machine: Machine) -> tuple[tuple[str, DriveAxle | SteerAxle], ...]:
    return ("drive_axle", machine.drive_axle), ("steer_axle", machine.steer_axle)


_TYRE = (
    Usual("diameter", 0.2, 1.8, "the usual diameter of a tyre"),
    Usual("width", 0.08, 0.8, "the usual width of a tyre"),
    Usual("rubber_thickness", 0.012, 0.4, "the usual thickness of the rubber"),
    Usual("stiffness", 3e5, 8e7, "the usual stiffness of a tyre"),
    Usual("rated_load", 2e3, 5e5, "the usual rating of one tyre"),
    Usual("rubber_modulus", 8e5, 4e7, "the usual modulus of tyre rubber"),
    Usual("inflation", 1.5e5, 1.3e6, "the usual inflation"),
    Usual("damping_ratio", 0.01, 0.5, "the usual damping of rubber"),
    Usual("friction", *FRICTION, "the usual friction of a tyre"),
)
_TOLD = (
    Usual("rated_load", 200.0, 8e4, "the usual rated load"),
    Usual("rated_load_centre", 0.2, 2.5, "the usual load centre of a plate"),
    Usual("lift_height", 1.0, 16.0, "the usual greatest fork height"),
    Usual("own_weight", 400.0, 1e5, "the usual weight of such a truck"),
    Usual("drive_axle_load", 100.0, 8e4, "the usual load on an axle, unladen"),
    Usual("steer_axle_load", 100.0, 8e4, "the usual load on an axle, unladen"),
    Usual("wheelbase", 0.8, 6.0, "the usual wheelbase"),
    Usual("drive_track", 0.5, 4.0, "the usual track"),
    Usual("steer_track", 0.4, 4.0, "the usual track"),
    Usual("drive_tyre_diameter", 0.2, 1.8, "the usual diameter of a tyre"),
    Usual("drive_tyre_width", 0.08, 0.8, "the usual width of a tyre"),
    Usual("steer_tyre_diameter", 0.2, 1.8, "the usual diameter of a tyre"),
    Usual("steer_tyre_width", 0.08, 0.8, "the usual width of a tyre"),
    Usual("fork_face", 0.1, 2.0, "the usual distance of the fork face from the drive axle"),
    Usual("fork_length", 0.5, 4.0, "the usual length of forks"),
    Usual("rear_end", 0.9, 8.0, "the usual distance of the rear end from the drive axle"),
    Usual("width", 0.6, 4.5, "the usual width"),
    Usual("guard_height", 1.2, 4.5, "the usual height of the guard"),
    Usual("lowered_mast_height", 1.0, 8.0, "the usual height of a lowered mast"),
    Usual("counterweight_mass", 100.0, 6e4, "the usual mass of a counterweight"),
    Usual("counterweight_stroke", 0.0, 4.0, "the usual stroke"),
    Usual("slab_mass", 10.0, 8e3, "the usual mass of one ballast slab"),
    Usual("jib_mass", 20.0, 1e4, "the usual mass of a jib"),
    Usual("top_speed", 0.5, 8.5, "the usual top speed"),
    Usual("own_height_of_centre", 0.25, 2.5, "the usual height of a truck's own centre"),
    Usual("mast_mass", 100.0, 2e4, "the usual mass of a mast"),
)
_USUAL = (
    *(Usual(f"plate_and_tape.{row.keys}", row.low, row.high, row.why) for row in _TOLD),
    Usual("wheelbase", 0.8, 6.0, "the usual wheelbase"),
    Usual("chassis.mass", 200.0, 6e4, "the usual mass of a chassis"),
    Usual("chassis.width", 0.6, 4.5, "the usual width"),
    Usual("chassis.front", -0.5, 2.0, "the usual place of the front"),
    Usual("chassis.rear", -8.0, -0.5, "the usual place of the rear"),
    Usual("chassis.belly_clearance", 0.04, 0.6, "the usual clearance"),
    Usual("chassis.deck_height", 0.3, 2.5, "the usual height of the deck"),
    Usual("chassis.guard_height", 1.2, 4.5, "the usual height of the guard"),
    *(
        Usual(f"{axle}.tyre.*.{row.keys}", row.low, row.high, row.why)
        for axle in ("drive_axle", "steer_axle")
        for row in _TYRE
    ),
    Usual("drive_axle.wheel_inertia", 0.05, 2e3, "the usual inertia of one wheel"),
    Usual("steer_axle.mass", 30.0, 1e4, "the usual mass of a steer axle"),
    Usual("steer_axle.pivot_height", 0.08, 1.2, "the usual height of the pivot"),
    Usual("steer_axle.stop", radians(0.5), radians(12.0), "the usual stop"),
    Usual("steer_axle.stop_right", radians(0.5), radians(12.0), "the usual stop"),
    Usual("steer_axle.frame_torsion_stiffness", 5e4, 1e9, "the usual torsion stiffness of a frame"),
    Usual("counterweight.mass", 100.0, 6e4, "the usual mass of a counterweight"),
    Usual("counterweight.stroke", 0.0, 4.0, "the usual stroke"),
    Usual("counterweight.step", 0.02, 2.0, "the usual step of a stroke"),
    Usual("counterweight.speed", 0.005, 0.5, "the usual speed of a sliding counterweight"),
    Usual("ballast_slab.mass", 10.0, 8e3, "the usual mass of one ballast slab"),
    Usual("mast.mass", 100.0, 2e4, "the usual mass of a mast"),
    Usual("mast.face", 0.05, 1.5, "the usual place of the mast's face"),
    Usual("mast.foot_height", 0.02, 0.6, "the usual height of a mast's foot"),
    Usual("mast.overlap", 0.1, 2.0, "the usual overlap of stages"),
    Usual("mast.tilt_back", 0.0, radians(15.0), "the usual tilt of a mast"),
    Usual("mast.tilt_forward", 0.0, radians(15.0), "the usual tilt of a mast"),
    Usual("mast.lowered_height", 1.0, 8.0, "the usual height of a lowered mast"),
    Usual("mast.top_fork_height", 1.0, 16.0, "the usual greatest fork height"),
    Usual("mast.width", 0.3, 2.5, "the usual width of a mast"),
    Usual("mast.channel_depth", 0.05, 0.6, "the usual depth of mast channels"),
    Usual("mast.stiffness_fore_aft", 2e5, 5e8, "the usual stiffness of a mast"),
    Usual("mast.stiffness_sideways", 2e5, 5e8, "the usual stiffness of a mast"),
    Usual("mast.section.*.depth", 0.05, 0.6, "the usual depth of mast channels"),
    Usual("mast.section.*.flange", 0.02, 0.3, "the usual width of flanges"),
    Usual("mast.section.*.web", 0.004, 0.06, "the usual thickness of a web"),
    Usual("mast.section.*.flange_thickness", 0.005, 0.08, "the usual thickness of a flange"),
    Usual("mast.section.*.tie_spacing", 0.2, 3.0, "the usual way between ties"),
    Usual("mast.stiffness_twist", 5e4, 5e8, "the usual stiffness of a mast"),
    Usual("mast.roller_play", 0.0, radians(2.0), "the usual play of the rollers"),
    Usual("mast.chain_stiffness", 5e5, 5e8, "the usual stiffness of lift chains"),
    Usual("mast.lift_speed", 0.02, 1.0, "the usual lifting speed"),
    Usual("mast.lower_speed", 0.02, 1.0, "the usual lowering speed"),
    Usual("mast.tilt_speed", radians(0.2), radians(10.0), "the usual tilting speed"),
    Usual("carriage.mass", 20.0, 8e3, "the usual mass of a carriage"),
    Usual("carriage.width", 0.4, 5.0, "the usual width of a carriage"),
    Usual("carriage.height", 0.2, 3.0, "the usual height of a carriage"),
    Usual("forks.length", 0.5, 4.0, "the usual length of forks"),
    Usual("forks.width", 0.05, 0.5, "the usual width of one fork"),
    Usual("forks.thickness", 0.02, 0.2, "the usual thickness of forks"),
    Usual("forks.spread", 0.15, 3.0, "the usual spread of forks"),
    Usual("forks.rated_load", 200.0, 5e4, "the usual stamp of one fork"),
    Usual("forks.rated_load_centre", 0.3, 2.0, "the usual load centre of a fork's stamp"),
    Usual("mast.largest_moment", 3e3, 2e6, "the usual moment that a mast carries"),
    Usual("carriage.largest_moment", 3e3, 2e6, "the usual moment that a carriage carries"),
    Usual("jib.mass", 20.0, 1e4, "the usual mass of a jib"),
    Usual("jib.reach_pins.*", 0.2, 8.0, "the usual reach of a jib"),
    Usual("jib.rise_pins.*", -2.0, 5.0, "the usual rise of a jib"),
    Usual("jib.section", 0.05, 0.8, "the usual section of a jib"),
    Usual("drive.top_speed", 0.5, 8.5, "the usual top speed"),
    Usual("drive.acceleration", 0.05, 3.0, "the usual acceleration"),
    Usual("drive.service_deceleration", 0.3, 6.0, "the usual deceleration"),
    Usual("drive.pedal_lift_deceleration", 0.2, 6.0, "the usual deceleration"),
    Usual("drive.rise_time", 0.02, 2.0, "the usual rise time of a brake"),
    Usual("drive.pedal_lift_rise_time", 0.02, 2.0, "the usual rise time of a drive"),
    Usual("drive.parking_brake_force", 1e3, 1e6, "the usual force of a parking brake"),
    Usual("capacity_plate.*.load_centre", 0.2, 8.0, "the usual load centre of a plate"),
    Usual("capacity_plate.*.load", 200.0, 8e4, "the usual load of a plate"),
)


def _usual(machine: Machine) -> Iterator[Finding]:
    return outside(machine, _USUAL)


def _density(mass: float, size: tuple[float, ...]) -> float:
    return mass / prod(size)


def _blocks(machine: Machine) -> Iterator[tuple[str, float]]:
    """Yield the blocks that weigh the truck down, with their density over their stated size."""
    yield "counterweight", _density(machine.counterweight.mass, machine.counterweight.size)
    if machine.ballast_slab is not None:
        yield "ballast_slab", _density(machine.ballast_slab.mass, machine.ballast_slab.size)


def _denser_than_lead(machine: Machine) -> Iterator[Finding]:
    for name, density in _blocks(machine):
        if density > LEAD:
            reason = f"weighs {show(density, 'density')} in its size, more than lead, {show(LEAD, 'density')}"
            yield Finding((name, "mass"), reason, f"Correct {name}.mass or {name}.size")


def _block_density(machine: Machine) -> Iterator[Finding]:
    for name, density in _blocks(machine):
        if LEAD >= density > 1.06 * STEEL or density < 1000.0:
            side = "more than steel" if density > STEEL else "less than water"
            reason = f"weighs {show(density, 'density')} in its size, {side}"
            yield Finding((name, "mass"), reason, f"Correct {name}.mass or {name}.size")


def _under_the_floor(machine: Machine) -> Iterator[Finding]:
    remedy = "Give it as height over the floor, the truck standing"
    if machine.chassis.centre is not None and machine.chassis.centre[2] <= 0.0:
        yield Finding(("chassis", "centre", 2), "lies under the floor", remedy)
    if machine.mast.centre is not None and machine.mast.centre[2] <= 0.0:
        yield Finding(("mast", "centre", 2), "lies under the floor", remedy)
    for name, key, part in (
        ("counterweight", "centre", machine.counterweight),
        ("ballast_slab", "first_centre", machine.ballast_slab),
    ):
        if part is not None:
            centre = getattr(part, key)
            if centre[2] < part.size[2] / 2:
                yield Finding((name, key, 2), "its underside lies under the floor", remedy)


def _slab_ahead(machine: Machine) -> Iterator[Finding]:
    if machine.ballast_slab is not None and machine.ballast_slab.first_centre[0] >= 0.0:
        reason = "must lie behind the drive axle: x below 0"
        yield Finding(("ballast_slab", "first_centre", 0), reason, "Correct its first figure")


def _slab_off_the_counterweight(machine: Machine) -> Iterator[Finding]:
    slab, weight = machine.ballast_slab, machine.counterweight
    if slab is None:
        return
    for axis, name in ((0, "length"), (1, "width")):
        if abs(slab.first_centre[axis] - weight.centre[axis]) > 0.5 * weight.size[axis]:
            reason = f"its middle lies beside the {name} of the counterweight"
            yield Finding(("ballast_slab", "first_centre", axis), reason, "Correct one of them")
    gap = slab.first_centre[2] - slab.size[2] / 2 - weight.centre[2] - weight.size[2] / 2
    if abs(gap) > 0.15:
        side = "above" if gap > 0 else "below"
        reason = f"its underside lies {show(abs(gap), 'length')} {side} the top of the counterweight"
        yield Finding(("ballast_slab", "first_centre", 2), reason, "Correct one of them")


def _aside(machine: Machine) -> Iterator[Finding]:
    """Yield heavy parts that lie off the truck's middle."""
    slab = machine.ballast_slab
    centres: list[tuple[Path, tuple[float, float, float] | None]] = [
        (("chassis", "centre"), machine.chassis.centre),
        (("counterweight", "centre"), machine.counterweight.centre),
        (("mast", "centre"), machine.mast.centre),
        (("ballast_slab", "first_centre"), None if slab is None else slab.first_centre),
    ]
    for path, centre in centres:
        if centre is not None and abs(centre[1]) > 0.08 * machine.chassis.width:
            yield Finding((*path, 1), "lies far to one side of the truck", "Left is above 0, right below, the middle 0")


def _too_high(machine: Machine) -> Iterator[Finding]:
    chassis, weight = machine.chassis, machine.counterweight
    if chassis.centre is not None and chassis.centre[2] > 1.15 * chassis.deck_height:
        reason = f"lies above the deck, {show(chassis.deck_height, 'length')}"
        yield Finding(("chassis", "centre", 2), reason, "Correct one of them")
    if weight.centre[2] > chassis.guard_height:
        reason = f"lies above the guard, {show(chassis.guard_height, 'length')}"
        yield Finding(("counterweight", "centre", 2), reason, "Correct one of them")
    if weight.centre[0] < -machine.wheelbase - max(1.5, weight.size[0] + 0.8):
        yield Finding(("counterweight", "centre", 0), "lies far behind the steer axle", "Give it at home, not slid out")
    if machine.mast.centre is not None and machine.mast.centre[2] > machine.mast.lowered_height:
        reason = f"lies above the lowered mast, {show(machine.mast.lowered_height, 'length')}"
        yield Finding(("mast", "centre", 2), reason, "Correct one of them")


def _too_low(machine: Machine) -> Iterator[Finding]:
    centre, clear = machine.chassis.centre, machine.chassis.belly_clearance
    if centre is not None and 0.0 < centre[2] < clear:
        reason = f"lies under the belly, which is {show(clear, 'length')} up"
        yield Finding(("chassis", "centre", 2), reason, "Correct one of them")


def _joints(machine: Machine) -> Iterator[Finding]:
    """Yield joints of the mast and of the steer axle that do not go with what they join."""
    mast, wheel = machine.mast, max(tyre.diameter for tyre in machine.steer_axle.tyre)
    if mast.joint_height is not None and mast.joint_height < 0.2 * mast.lowered_height:
        reason = f"is near the foot of a mast {show(mast.lowered_height, 'length')} high, lowered"
        yield Finding(("mast", "joint_height"), reason, "Give the height that the mast bends about, or leave it usual")
    if mast.tilt_axis[1] > machine.chassis.deck_height or abs(mast.tilt_axis[0]) > 0.5 * machine.wheelbase:
        index = 1 if mast.tilt_axis[1] > machine.chassis.deck_height else 0
        reason = "is not near the drive axle, on which masts tilt"
        yield Finding(("mast", "tilt_axis", index), reason, "Give x, forward positive, and height over the floor")
    if mast.tilt_axis[1] < LOWEST_AXIS:
        reason = f"is under {show(LOWEST_AXIS, 'length')}, lower than a pin can lie"
        yield Finding(("mast", "tilt_axis", 1), reason, "Give x, forward positive, and height over the floor")
    if machine.steer_axle.pivot_height > wheel:
        reason = f"is above the steer tyres, {show(wheel, 'length')} in diameter"
        yield Finding(("steer_axle", "pivot_height"), reason, "Correct one of them")


def _jib_mass(machine: Machine) -> Iterator[Finding]:
    """Yield a jib heavier than bars of solid steel of its section, or lighter than a thin shell of it."""
    jib = machine.jib
    if jib is None:
        return
    solid = jib.section**2 * (max(jib.reach_pins) + max(0.0, *jib.rise_pins)) * STEEL
    if not 0.02 * solid < jib.mass < solid:
        reason = f"a bar of solid steel of its section and reach weighs {show(solid, 'mass')}"
        yield Finding(("jib", "mass"), reason, "Correct mass, section or pins")


def _pairs(machine: Machine) -> Iterator[Finding]:
    """Yield tyres of one axle that are not alike, or that do not mirror each other."""
    for name, axle in _axles(machine):
        middle = sum(tyre.across for tyre in axle.tyre)
        widest = max(abs(tyre.across) for tyre in axle.tyre)
        if abs(middle) > 0.05 * widest:
            index = max(range(len(axle.tyre)), key=lambda i: abs(axle.tyre[i].across))
            path = (name, "tyre", index, "across")
            yield Finding(path, "the tyres left and right of this axle do not mirror each other", "Correct one of them")
        for key in ("diameter", "width", "rubber_thickness", "stiffness", "rated_load", "friction", "inflation"):
            values = [getattr(tyre, key) for tyre in axle.tyre]
            known = [value for value in values if value is not None]
            if known and max(known) > 1.5 * min(known) and (key != "stiffness" or len(known) == len(values)):
                counts = [sum(abs(value - other) <= 0.2 * value for other in known) for value in known]
                index = values.index(known[counts.index(min(counts))])
                reason = "differs by more than half from another tyre of this axle"
                yield Finding((name, "tyre", index, key), reason, "Correct one of them")


def _tracks(machine: Machine) -> Iterator[Finding]:
    half = machine.chassis.width / 2
    for name, axle in _axles(machine):
        index = max(range(len(axle.tyre)), key=lambda i: abs(axle.tyre[i].across))
        tyre = axle.tyre[index]
        edge = abs(tyre.across) + tyre.width / 2
        path = (name, "tyre", index, "across")
        if edge > 1.45 * half:
            reason = f"its outer side stands {show(edge - half, 'length')} outside the chassis"
            yield Finding(path, reason, "Give across from the middle of the truck, half the track")
        elif name == "drive_axle" and edge < 0.62 * half:
            reason = f"its outer side stands {show(half - edge, 'length')} inside the chassis"
            yield Finding(
                path, reason, "Give across from the middle of the truck, half the track; or correct chassis.width"
            )


def _rubber_too_soft(machine: Machine) -> Iterator[Finding]:
    for name, axle in _axles(machine):
        for index, tyre in enumerate(axle.tyre):
            if tyre.stiffness is not None and tyre.rated_load / tyre.stiffness > 0.6 * tyre.rubber_thickness:
                give = show(tyre.rated_load / tyre.stiffness, "length")
                reason = f"gives {give} under its rated load, with {show(tyre.rubber_thickness, 'length')} of rubber"
                yield Finding((name, "tyre", index, "stiffness"), reason, "Correct stiffness or rated_load")


_SHARES = (
    ("chassis", 0.1, 0.55),
    ("steer_axle", 0.015, 0.35),
    ("counterweight", 0.08, 0.75),
    ("mast", 0.03, 0.45),
    ("carriage", 0.005, 0.15),
)
"""Least and greatest share of the parts' mass; ours have a third, a tenth, two fifths, a sixth and a twentieth."""


def _whole_truck(machine: Machine) -> Iterator[Finding]:
    whole = own_mass(machine)
    for name, least, most in _SHARES:
        mass = getattr(machine, name).mass
        if not least * whole <= mass <= most * whole:
            question = "; is it the whole truck's?" if mass > most * whole else ""
            reason = f"is {mass / whole:.2g} of all parts together, {show(whole, 'mass')}{question}"
            yield Finding((name, "mass"), reason, "Give the mass of this part alone")


def _rated_to_own(machine: Machine) -> Iterator[Finding]:
    """Yield a capacity plate that does not go with the truck's weight: common practice is 0.5 to 2 times its own."""
    whole = own_mass(machine)
    if machine.capacity_plate:
        index, row = max(enumerate(machine.capacity_plate), key=lambda pair: pair[1].load)
        if not 0.25 * whole < row.load < 2.5 * whole:
            reason = f"stands on the plate of a truck whose parts weigh {show(whole, 'mass')}"
            yield Finding(("capacity_plate", index, "load"), reason, "Correct the plate or the masses")


def _plate_reach(machine: Machine) -> Iterator[Finding]:
    top = machine.mast.top_fork_height
    for index, row in enumerate(machine.capacity_plate):
        at = ("capacity_plate", index)
        most = top + (max(machine.jib.rise_pins) if row.attachment == "jib" and machine.jib is not None else 0.0)
        if row.height is not None and row.height > most + 0.5:
            yield Finding((*at, "height"), f"the machine reaches {show(most, 'length')}", "Correct one of them")
        if row.extension is not None and row.extension > machine.counterweight.stroke + 5e-4:
            stroke = show(machine.counterweight.stroke, "length")
            yield Finding((*at, "extension"), f"the counterweight's stroke is {stroke}", "Correct one of them")
        carried = 0 if machine.ballast_slab is None else machine.ballast_slab.most
        if row.slabs is not None and row.slabs > carried:
            yield Finding((*at, "slabs"), f"the machine carries at most {carried}", "Correct one of them")


def _plate_falls(machine: Machine) -> Iterator[Finding]:
    """Yield plate rows that allow more farther out, all else alike: moments forbid it."""
    rows = sorted(enumerate(machine.capacity_plate), key=lambda pair: pair[1].load_centre)
    groups: dict[tuple[object, ...], list[int]] = {}
    for index, row in rows:
        groups.setdefault((row.attachment, row.height, row.extension, row.slabs), []).append(index)
    for group in groups.values():
        for near, far in pairwise(group):
            nearer, farther = machine.capacity_plate[near], machine.capacity_plate[far]
            if farther.load > nearer.load * 1.001 and farther.load_centre > nearer.load_centre:
                reason = f"is more than row {near} allows at a smaller load centre, {show(nearer.load, 'mass')}"
                yield Finding(("capacity_plate", far, "load"), reason, "Correct one of the rows")


def _plate_beyond_strength(machine: Machine) -> Iterator[Finding]:
    """Yield the row of the plate that asks most of forks, carriage or mast, if more than their own makers state."""
    oddities = [
        (row.load / max(float(most), 1.0), index, name, float(most))
        for index, row in enumerate(machine.capacity_plate)
        if row.load_centre > 0.0
        for name, most in structural_loads(machine, row.attachment, row.load_centre).items()
    ]
    part, index, name, most = max(oddities, default=(0.0, 0, "", 0.0))
    if part > 1.001:
        reason = f"is more than {show(most, 'mass')}, which {STRUCTURE[name]} allows at this load centre"
        path: tuple[str | int, ...] = ("capacity_plate", index, "load")
        if machine.plate_and_tape is not None:  # the row is filled in, what is stated of the part is told
            rated = show(machine.capacity_plate[index].load, "mass")
            reason = f"allows {show(most, 'mass')} at the load centre of the plate, which has {rated}"
            path = (name, "rated_load" if name == "forks" else "largest_moment")
        yield Finding(path, reason, "Correct the plate, the stamp or the moment")


def _fork_mass(machine: Machine) -> Iterator[Finding]:
    """Yield forks that do not weigh what steel of their size weighs: blades, and shanks of half their length."""
    forks = machine.forks
    if forks is None:
        return
    steel = 2 * forks.length * forks.width * forks.thickness * STEEL
    if not 0.7 * steel < forks.mass < 4.0 * steel:
        reason = f"both blades alone weigh {show(steel, 'mass')} in steel"
        yield Finding(("forks", "mass"), reason, "Correct mass or sizes; the mass is that of both forks")


def _brake_holds(machine: Machine) -> Iterator[Finding]:
    weight = own_mass(machine) * G
    force = machine.drive.parking_brake_force
    if not 0.05 * weight < force < 2.0 * weight:
        reason = f"the truck alone weighs {show(weight, 'force')}"
        yield Finding(("drive", "parking_brake_force"), reason, SLIP)


def _face(machine: Machine) -> Iterator[Finding]:
    ahead = machine.carriage.face - machine.mast.face
    if ahead > 0.8:
        reason = f"lies {show(ahead, 'length')} ahead of the mast's face"
        yield Finding(("carriage", "face"), reason, "Correct carriage.face or mast.face")


def _stands_short(machine: Machine) -> Iterator[Finding]:
    length = machine.chassis.front - machine.chassis.rear
    if not 0.7 * machine.wheelbase < length < 3.0 * machine.wheelbase:
        reason = f"does not go with a chassis {show(length, 'length')} long"
        yield Finding(("wheelbase",), reason, "Correct wheelbase, chassis.front or chassis.rear")
    elif machine.wheelbase > -machine.chassis.rear:
        reason = f"takes the steer axle behind the end of the chassis, {show(-machine.chassis.rear, 'length')} back"
        yield Finding(("wheelbase",), reason, "Give the distance of the axles, not the length of the truck")


MACHINE_RULES: tuple[Rule[Machine], ...] = (
    Rule("under the floor", "refused", "a standing truck has no weight below the floor", _under_the_floor),
    Rule("slab ahead", "refused", "ballast balances a load that is ahead of the drive axle", _slab_ahead),
    Rule("denser than lead", "refused", "weights are cast iron, steel or lead (handbook densities)", _denser_than_lead),
    Rule("usual ranges", "unusual", "our choice, see the top of this file", _usual),
    Rule("density of weights", "unusual", "cast iron 7200, steel 7850, concrete 2400 kg/m3 (handbook)", _block_density),
    Rule("slab on the counterweight", "unusual", "slabs are stacked on the counterweight", _slab_off_the_counterweight),
    Rule("middle", "unusual", "trucks are built about their middle plane (our bound, 8 % of the width)", _aside),
    Rule("heights and ends", "unusual", "heavy parts lie below deck and guard (our choice)", _too_high),
    Rule("depths", "unusual", "a frame's centre of gravity lies within the frame", _too_low),
    Rule(
        "joints",
        "unusual",
        "masts tilt low at the drive axle, axles swing below their wheels' tops (our bounds)",
        _joints,
    ),
    Rule("mass of the jib", "unusual", "between solid steel and a shell a fiftieth of it (our bounds)", _jib_mass),
    Rule("tyres alike", "unusual", "tyres of one axle are of one make and size (common practice)", _pairs),
    Rule("half the track", "unusual", "tyres stand under or beside the chassis (our bounds)", _tracks),
    Rule("rated give", "unusual", "solid tyres give 10 to 25 % of their rubber (common practice)", _rubber_too_soft),
    Rule("shares of the mass", "unusual", "chassis a quarter, counterweight a third (common practice)", _whole_truck),
    Rule("rated load", "unusual", "own weight about the rated load (common practice)", _rated_to_own),
    Rule("plate within reach", "unusual", "a plate has no row for what the machine cannot do", _plate_reach),
    Rule("plate by moments", "unusual", "the same load farther out has the greater moment", _plate_falls),
    Rule(
        "plate and strength",
        "unusual",
        "forks, carriage and mast carry what the truck is rated for (ISO 2330, from memory)",
        _plate_beyond_strength,
    ),
    Rule("mass of forks", "unusual", "steel of their size (EN 1991-1-1: 78.5 kN/m3, from memory)", _fork_mass),
    Rule(
        "parking brake",
        "unusual",
        "holds on a slope of some per cent and not above friction (our bounds)",
        _brake_holds,
    ),
    Rule("fork face", "unusual", "carriage and side shift are less than 0.8 m deep (our choice)", _face),
    Rule("length", "unusual", "axles stand under the chassis (our bounds)", _stands_short),
)
