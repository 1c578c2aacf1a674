"""Checks between the values of one machine."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from tipline.mechanics.tyre import rubber_line_stiffness
from tipline.model.machine import DriveAxle, Machine, Mast, SteerAxle, Tyre, Weighing
from tipline.model.plausible import refused
from tipline.model.plausible_machine import MACHINE_RULES
from tipline.model.problems import Finding
from tipline.units import show

__all__ = ["check_machine", "check_rubber", "is_on_step"]

LEAST_CHANNEL = 0.03
"""A mast's channel is deeper than this, and takes as much of its width [m]; our choice, a quarter of the usual."""
MOST_LOST = 0.9
"""Part of a tyre's rubber that it can lose and still stand on some (our choice)."""
TOLERANCE = 5e-4
"""Two lengths closer than this are one (0.5 mm)."""
OF_TOTAL = 0.05
"""How far two axle readings may add up to another total, as a part of it: axles are weighed one after the other, with
the other one higher or lower (our choice)."""


def check_machine(machine: Machine) -> Iterator[Finding]:
    """Yield what does not fit together in a machine."""
    yield from _check_tyres(machine)
    yield from _check_steer_axle(machine.steer_axle)
    yield from _check_chassis(machine)
    yield from _check_counterweight(machine)
    yield from _check_mast(machine.mast)
    yield from _check_drawn(machine)
    yield from _check_attachments(machine)
    for index, weighing in enumerate(machine.weighings):
        yield from _check_weighing(machine, weighing, ("weighings", index))
    yield from refused(machine, MACHINE_RULES)


def is_on_step(extension: float, stroke: float, step: float | None) -> bool:
    """Return whether a counterweight extension [m] is one the counterweight can be pinned at."""
    if extension > stroke + TOLERANCE:
        return False
    if step is None or abs(extension - stroke) < TOLERANCE:
        return True
    return abs(extension - round(extension / step) * step) < TOLERANCE


def _check_tyres(machine: Machine) -> Iterator[Finding]:
    axles: tuple[tuple[str, DriveAxle | SteerAxle], ...] = (
        ("drive_axle", machine.drive_axle),
        ("steer_axle", machine.steer_axle),
    )
    seen: set[str] = set()
    for name, axle in axles:
        sides = [tyre.across for tyre in axle.tyre]
        if min(sides) >= 0 or max(sides) <= 0:
            yield Finding((name, "tyre"), "all tyres stand on one side", "Left tyres have across above 0, right below")
        for index, tyre in enumerate(axle.tyre):
            at = (name, "tyre", index)
            if tyre.name in seen:
                yield Finding(
                    (*at, "name"),
                    "two tyres have this name",
                    f'Give each tyre of the truck its own name, as "{tyre.name[:30]}-outer"',
                )
            seen.add(tyre.name)
            yield from _check_tyre(tyre, at)


def _check_wear(tyre: Tyre, at: tuple[str | int, ...]) -> Iterator[Finding]:
    from tipline.mechanics.patch import MOST_WORN  # loads numpy

    if tyre.wear >= MOST_WORN * tyre.rubber_thickness:
        reason = f"leaves less than a quarter of {show(tyre.rubber_thickness, 'length')} of rubber"
        yield Finding((*at, "wear"), reason, "Correct the value or its unit, or replace the tyre")
    elif tyre.stiffness is not None:
        reason = "stands beside a stiffness, which is the new tyre's or the worn one's: nobody can tell"
        yield Finding((*at, "wear"), reason, "Remove stiffness, or give the worn tyre's sizes and no wear")
    else:
        yield from check_rubber(tyre, at)


def _check_tyre(tyre: Tyre, at: tuple[str | int, ...]) -> Iterator[Finding]:
    if tyre.rubber_thickness >= 0.45 * tyre.diameter:
        most = show(0.45 * tyre.diameter, "length")
        yield Finding(
            (*at, "rubber_thickness"),
            f"must be less than {most}, 0.45 of the diameter",
            'Write the rubber\'s thickness, such as "95 mm", or correct the diameter',
        )
    elif tyre.lost >= MOST_LOST * tyre.rubber_thickness:
        reason = f"leaves less than a tenth of {show(tyre.rubber_thickness, 'length')} of rubber"
        yield Finding((*at, "lost"), reason, "Correct the value or its unit")
    elif tyre.wear > 0.0:
        yield from _check_wear(tyre, at)
    elif tyre.stiffness is not None:
        if tyre.rated_load >= tyre.stiffness * tyre.rubber_thickness:
            load, pressed = show(tyre.rated_load, "force"), show(tyre.rated_load / tyre.stiffness, "length")
            rubber, least = show(tyre.rubber_thickness, "length"), tyre.rated_load / tyre.rubber_thickness
            reason = f"is so soft that its rated load, {load}, presses {rubber} of rubber by {pressed}"
            yield Finding(
                (*at, "stiffness"),
                reason,
                f'Write more than {show(least, "stiffness")} ("6 MN/m" is usual), or correct rated_load',
            )
    else:
        yield from check_rubber(tyre, at)


def check_rubber(tyre: Tyre, at: tuple[str | int, ...]) -> Iterator[Finding]:
    """Yield that the stiffness cannot be found from the rubber."""
    try:
        rubber_line_stiffness(
            tyre.rubber_modulus,
            tyre.width,
            tyre.rubber_thickness - tyre.lost,
            tyre.diameter / 2 - tyre.lost,
            tyre.rated_load,
        )
    except ValueError as error:
        reason = f"no stiffness can be found from its rubber: {error}"
        remedy = 'Add stiffness, such as "6 MN/m", or correct rated_load, width or rubber_modulus'
        yield Finding((*at, "rated_load"), reason, remedy)


def _check_steer_axle(axle: SteerAxle) -> Iterator[Finding]:
    if axle.kind == "pivoting" and axle.stop is None:
        yield Finding(("steer_axle", "stop"), "a pivoting axle needs a stop", 'Add it: the angle such as "4 deg"')
    if axle.kind == "pivoting" and axle.frame_torsion_stiffness is not None:
        yield Finding(("steer_axle", "frame_torsion_stiffness"), "only a fixed axle has one", "Remove it")
    for key in ("stop", "stop_right"):
        if axle.kind == "fixed" and getattr(axle, key) is not None:
            yield Finding(("steer_axle", key), "only a pivoting axle has one", "Remove it")


def _check_chassis(machine: Machine) -> Iterator[Finding]:
    chassis = machine.chassis
    if chassis.front <= chassis.rear:
        yield Finding(("chassis", "front"), "must lie ahead of rear (x is forward)", "Exchange them or the signs")
    elif chassis.centre is not None and not chassis.rear <= chassis.centre[0] <= chassis.front:
        yield Finding(("chassis", "centre"), "must lie between rear and front", "Correct its first figure")
    if chassis.guard_front <= chassis.guard_rear:
        yield Finding(("chassis", "guard_front"), "must lie ahead of guard_rear", "Exchange them or the signs")
    if chassis.guard_height <= chassis.deck_height:
        reason = f"must be greater than deck_height, {show(chassis.deck_height, 'length')}"
        yield Finding(("chassis", "guard_height"), reason, "Correct one of them")
    if chassis.belly_clearance >= chassis.deck_height:
        reason = f"must be less than deck_height, {show(chassis.deck_height, 'length')}"
        yield Finding(("chassis", "belly_clearance"), reason, "Correct one of them")


def _check_counterweight(machine: Machine) -> Iterator[Finding]:
    weight = machine.counterweight
    if weight.centre[0] >= 0:
        yield Finding(
            ("counterweight", "centre"), "must lie behind the drive axle: x below 0", "Correct its first figure"
        )
    if weight.step is None:
        return
    if weight.step > weight.stroke + TOLERANCE:
        reason = f"must be at most the stroke, {show(weight.stroke, 'length')}"
        yield Finding(("counterweight", "step"), reason, "Correct step or stroke")
    elif not is_on_step(weight.stroke, math.inf, weight.step):
        reason = f"must be a whole number of steps of {show(weight.step, 'length')}"
        yield Finding(("counterweight", "stroke"), reason, "Correct step or stroke")


def _check_drawn(machine: Machine) -> Iterator[Finding]:
    """Yield what leaves no room for the truck's parts, as they are drawn and weighed."""
    mast, chassis = machine.mast, machine.chassis
    if mast.channel_depth < LEAST_CHANNEL:
        reason = f"must be {show(LEAST_CHANNEL, 'length')} or more"
        yield Finding(("mast", "channel_depth"), reason, 'Write how deep a channel of the mast is, such as "0.2 m"')
    least = mast.stages * LEAST_CHANNEL
    if mast.width < least:
        reason = f"must be {show(least, 'length')} or more with {mast.stages} stages"
        yield Finding(("mast", "width"), reason, 'Write the width over the outer channels, such as "0.9 m"')
    behind = -machine.drive_axle.tyre[0].diameter / 2
    where = show(behind, "length")
    if mast.face - mast.channel_depth < behind:
        back = show(mast.face - mast.channel_depth, "length")
        reason = f"the back of the mast, face less channel_depth, lies at {back}, behind the drive tyres, at {where}"
        remedy = f"Write a face (x of its front, forward positive) above {show(behind + mast.channel_depth, 'length')}"
        yield Finding(("mast", "face"), reason, f"{remedy}, or a smaller channel_depth")
    for name in ("front", "guard_front"):
        if chassis.rear < getattr(chassis, name) < behind:
            reason = f"lies behind the drive tyres, at {where}"
            yield Finding(("chassis", name), reason, f"Write its x, forward positive, above {where}")


def _check_mast(mast: Mast) -> Iterator[Finding]:
    if mast.lowered_height <= mast.foot_height:
        reason = f"must be greater than foot_height, {show(mast.foot_height, 'length')}"
        yield Finding(("mast", "lowered_height"), reason, "Correct one of them")
    most = mast.stages * mast.lowered_height
    if mast.top_fork_height > most:
        reason = f"{mast.stages} stages of {show(mast.lowered_height, 'length')} reach at most {show(most, 'length')}"
        yield Finding(("mast", "top_fork_height"), reason, "Correct it, stages or lowered_height")
    if mast.joint_height is not None and mast.joint_height > mast.top_fork_height:
        reason = f"must be at most top_fork_height, {show(mast.top_fork_height, 'length')}"
        yield Finding(("mast", "joint_height"), reason, "Correct one of them")
    yield from _check_mast_spring(mast)


_SPRING = ("joint_height", "stiffness_fore_aft", "stiffness_sideways")


def _check_mast_spring(mast: Mast) -> Iterator[Finding]:
    """Ask for the joint of the mast and its stiffness, or for the sections that they follow from."""
    if not mast.section:
        for name in _SPRING:
            if getattr(mast, name) is None:
                remedy = "Add it, or the channels of the stages as [[mast.section]] in place of joint and stiffness"
                yield Finding(("mast", name), "is missing", remedy)
        return
    for name in _SPRING:
        if getattr(mast, name) is not None:
            yield Finding(("mast", name), "is given, and the sections of the stages too", "Remove the one or the other")
    if len(mast.section) not in (1, mast.stages):
        reason = f"must be one for all {mast.stages} stages, or one for each"
        yield Finding(("mast", "section"), reason, "Give the outermost stage first")
    for index, section in enumerate(mast.section):
        at = ("mast", "section", index)
        if section.web >= section.flange:
            yield Finding((*at, "web"), "must be thinner than the flange is wide", "Correct one of them")
        if section.flange_thickness >= section.depth / 2:
            reason = f"must be less than half the depth, {show(section.depth / 2, 'length')}"
            yield Finding((*at, "flange_thickness"), reason, "Correct one of them")
    yield from _check_overlap(mast)


def _check_overlap(mast: Mast) -> Iterator[Finding]:
    """Ask that stages still run in each other with the forks at the top."""
    left = mast.lowered_height - mast.foot_height - mast.top_fork_height / mast.stages
    if mast.stages > 1 and left <= 0.0:
        reason = f"leaves no overlap between {mast.stages} stages that are {show(mast.lowered_height, 'length')} high"
        yield Finding(("mast", "top_fork_height"), reason, "Correct it, stages or lowered_height")
    elif mast.overlap is not None and mast.overlap > left:
        yield Finding(("mast", "overlap"), f"must be at most {show(left, 'length')} by the heights", "Correct one")
    low = mast.tilt_axis[1]
    if mast.tilt_cylinder_height is not None and not low < mast.tilt_cylinder_height < mast.lowered_height:
        reason = f"must be above the tilt axis, {show(low, 'length')}, and below the head of the lowered mast"
        yield Finding(("mast", "tilt_cylinder_height"), reason, "Correct one of them")


def _check_attachments(machine: Machine) -> Iterator[Finding]:
    if machine.carriage.face < machine.mast.face:
        yield Finding(("carriage", "face"), "must not lie behind the mast's face", "Correct carriage.face or mast.face")
    if machine.jib is not None:
        for name in ("reach_pins", "rise_pins"):
            pins: tuple[float, ...] = getattr(machine.jib, name)
            if any(after - before < TOLERANCE for before, after in itertools.pairwise(pins)):
                yield Finding(("jib", name), "must go up from pin to pin", "Sort them and remove doubles")
    yield from _check_stamp(machine)
    for index, row in enumerate(machine.capacity_plate):
        if row.attachment != "none" and getattr(machine, row.attachment) is None:
            reason = f"the machine has no {row.attachment}"
            yield Finding(("capacity_plate", index, "attachment"), reason, f"Add [{row.attachment}] or correct the row")


def _check_stamp(machine: Machine) -> Iterator[Finding]:
    """Ask that a fork's stamp has both its figures."""
    forks = machine.forks
    if forks is not None and (forks.rated_load is None) != (forks.rated_load_centre is None):
        missing = "rated_load" if forks.rated_load is None else "rated_load_centre"
        reason = "is missing: a fork is stamped with a load and the load centre it holds for"
        yield Finding(("forks", missing), reason, "Give both as stamped on one fork, or none")


def _check_tyre_readings(machine: Machine, weighing: Weighing, at: tuple[str | int, ...]) -> Iterator[Finding]:
    """Ask that the readings of tyres are of this machine's, each once, and of all of an axle's."""
    axles = {"drive": machine.drive_axle.tyre, "steer": machine.steer_axle.tyre}
    named = [reading.name for reading in weighing.tyre]
    for index, name in enumerate(named):
        known = [tyre.name for tyres in axles.values() for tyre in tyres]
        if name not in known:
            yield Finding(
                (*at, "tyre", index, "name"), "the machine has no such tyre", f"Give one of {', '.join(known)}"
            )
        elif name in named[:index]:
            yield Finding((*at, "tyre", index, "name"), "is read twice", "Give each tyre once")
    for axle, tyres in axles.items():
        missing = [tyre.name for tyre in tyres if tyre.name not in named]
        if missing and len(missing) < len(tyres):
            reason = f"of the {axle} axle {', '.join(missing)} is not read"
            yield Finding((*at, "tyre"), reason, "Give all tyres of an axle, or none")


def _check_weighing(machine: Machine, weighing: Weighing, at: tuple[str | int, ...]) -> Iterator[Finding]:
    """Ask that a weighing has a reading and a set-up that the machine can have."""
    axles = [value for value in (weighing.drive_axle, weighing.steer_axle) if value is not None]
    if weighing.total is None and not axles and not weighing.tyre:
        yield Finding(at, "it has no reading", "Give drive_axle, steer_axle, total or a table for each tyre")
    yield from _check_tyre_readings(machine, weighing, at)
    if weighing.total is not None and len(axles) == 2 and abs(sum(axles) - weighing.total) > OF_TOTAL * weighing.total:
        reason = f"drive_axle and steer_axle add up to {show(sum(axles), 'mass')}"
        yield Finding((*at, "total"), reason, "Correct one of the three, or leave it out")
    if weighing.attachment != "none" and getattr(machine, weighing.attachment) is None:
        yield Finding(
            (*at, "attachment"),
            f"the machine has no {weighing.attachment}",
            f"Add [{weighing.attachment}] or correct the weighing",
        )
    if weighing.lifted_load is not None and weighing.attachment == "none":
        yield Finding((*at, "lifted_load"), "nothing carries it", 'Give attachment: "forks" or "jib"')
    if weighing.load_centre is not None and weighing.lifted_load is None:
        yield Finding((*at, "load_centre"), "there is no lifted_load", "Give both or neither")
    stroke, step = machine.counterweight.stroke, machine.counterweight.step
    if weighing.extension is not None and not is_on_step(weighing.extension, stroke, step):
        yield Finding(
            (*at, "extension"),
            "the counterweight cannot be pinned there",
            f"Give a step, up to {show(stroke, 'length')}",
        )
    most = machine.ballast_slab.most if machine.ballast_slab is not None else 0
    if weighing.slabs is not None and weighing.slabs > most:
        yield Finding((*at, "slabs"), f"the machine takes at most {most}", "Correct the weighing")
