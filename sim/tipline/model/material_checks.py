"""Checks within one part of a floor: what it is made of, what is under it, its joints and cavities."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from tipline.model.areas import Answered
from tipline.model.asphalt import Asphalt, IndentationReading
from tipline.model.cover import Cover
from tipline.model.ground import Ground, Platform, SoilNumbers
from tipline.model.plane import Outline, area_of, inside, to_outline
from tipline.model.positions import Path
from tipline.model.problems import Finding
from tipline.model.slab import Cavity, Slab
from tipline.model.spreaders import SteelPlate, StockMat, StockPlate, TimberMat
from tipline.model.words import GRANULAR, NOT_KNOWN
from tipline.units import show

__all__ = ["check_answered", "check_sheet"]

DRAWN = 0.05
"""A joint, an edge or a cavity may be drawn this far outside the slab it belongs to [m]."""
_SHEET = {"steel_plate": 0.004, "timber_mat": 0.02}
"""Thinner than this [m] is sheet metal or a board and spreads nothing; common practice, no source."""
_BLOCK = {"steel_plate": 0.25, "timber_mat": 1.0}
"""Thicker than this [m] is a block, for which the formulas of plates do not hold; our choice, twice what is laid."""


def check_answered(part: Answered, at: Path, outline: Outline | None) -> Iterator[Finding]:
    """Yield what does not fit together in one part of a floor; ``outline`` None: it has no end."""
    yield from _check_answer(part, at)
    if isinstance(part, Slab | Ground):
        yield from _check_plate_test(part, at)
    if isinstance(part, Slab):
        yield from _check_slab(part, at)
        yield from _check_joints(part, at)
        yield from _check_lines(part, at, outline)
        for index, cavity in enumerate(part.cavity):
            yield from _check_cavity(cavity, (*at, "cavity", index), outline)
    elif isinstance(part, Asphalt):
        yield from _check_warmth(part, at)
        wrong = list(_check_indentation(part, at))
        yield from wrong or _check_enough(part.indentation, (*at, "indentation"))
    elif isinstance(part, Ground):
        yield from _check_layers(part, at)
    elif isinstance(part, Cover):
        yield from _check_cover(part, at, outline)


def _check_plate_test(part: Slab | Ground, at: Path) -> Iterator[Finding]:
    test = part.plate_test
    if test is None:
        return
    from tipline.mechanics.subgrade import SLAB_PLATE_RADIUS  # loads numpy

    here = (*at, "plate_test")
    if part.subgrade_reaction is not None:
        yield Finding((*at, "subgrade_reaction"), "is told, and a plate test too", "Remove one of them")

    if test.diameter > 2.0 * SLAB_PLATE_RADIUS:
        reason = f"must be {show(2.0 * SLAB_PLATE_RADIUS, 'length')} or less, the plate that slabs are designed with"
        yield Finding((*here, "diameter"), reason, "Give subgrade_reaction, made for that plate")
    if test.sinking > 0.1 * test.diameter:
        reason = "is more than a tenth of the plate's diameter: the ground has failed under it"
        yield Finding((*here, "sinking"), reason, "Take a reading further up the curve, or correct its unit")


def check_sheet(sheet: SteelPlate | TimberMat | StockPlate | StockMat, at: Path) -> Iterator[Finding]:
    """Yield what does not fit in the sizes of a steel plate or timber mat."""
    least = _SHEET[sheet.kind]
    if sheet.thickness < least:
        what = "sheet metal" if sheet.kind == "steel_plate" else "a board"
        reason = f"must be {show(least, 'length')} or more: what is thinner is {what} and spreads nothing"
        yield Finding((*at, "thickness"), reason, "Correct the value or its unit, or remove the spreader")
    elif sheet.thickness >= min(sheet.size):
        yield Finding((*at, "thickness"), "must be less than its sides", "Correct thickness or size")
    elif sheet.thickness > _BLOCK[sheet.kind]:
        reason = f"must be {show(_BLOCK[sheet.kind], 'length')} or less: what is thicker is a block and does not bend"
        yield Finding((*at, "thickness"), reason, 'Write it in its unit, such as "50 mm", or remove the spreader')


def _check_answer(part: Answered, at: Path) -> Iterator[Finding]:
    if part.allowed_wheel_load is None:
        for name in ("allowed_wheel_patch", "allowed_by"):
            if getattr(part, name):
                yield Finding((*at, name), "stands without allowed_wheel_load", "Add allowed_wheel_load or remove it")
    elif not part.allowed_by.strip():
        remedy = 'Add allowed_by, such as "letter of the building\'s engineer, 3 May"'
        yield Finding((*at, "allowed_wheel_load"), "nobody is named who allowed it", remedy)


def _check_slab(slab: Slab, at: Path) -> Iterator[Finding]:
    if slab.built is not None and slab.information_from is not None and slab.information_from < slab.built - 3:
        reason = f"is years before the slab was built, {slab.built}"
        yield Finding((*at, "information_from"), reason, "Correct one of the years")
    steel = slab.reinforcement in {"mesh", "bars", NOT_KNOWN}
    for name in ("steel_area", "steel_depth", "steel_yield"):
        if getattr(slab, name) is not None and not steel:
            reason = f'a slab with reinforcement "{slab.reinforcement}" has none'
            yield Finding((*at, name), reason, "Remove it or correct reinforcement")
    if slab.fibre_residual is not None and slab.reinforcement != "fibre":
        reason = f'belongs to reinforcement "fibre", not "{slab.reinforcement}"'
        yield Finding((*at, "fibre_residual"), reason, "Remove it or correct reinforcement")
    if slab.steel_depth is not None and slab.thickness is not None and slab.steel_depth >= slab.thickness:
        reason = f"must be less than the thickness, {show(slab.thickness, 'length')}"
        yield Finding((*at, "steel_depth"), reason, "Correct one of them")


def _check_joints(slab: Slab, at: Path) -> Iterator[Finding]:
    for index, joint in enumerate(slab.joint):
        here = (*at, "joint", index, "opening")
        if joint.opening is not None and joint.kind != "contraction":
            reason = f"tells of the rough crack under a contraction joint, and this is of kind {joint.kind}"
            yield Finding(here, reason, "Remove it, or give load_transfer as measured")
        elif joint.opening is not None and joint.load_transfer is not None:
            yield Finding(here, "stands for load_transfer, which is told too", "Remove one of them")


def _check_lines(slab: Slab, at: Path, outline: Outline | None) -> Iterator[Finding]:
    lines = [("joint", index, joint.line) for index, joint in enumerate(slab.joint)]
    lines += [("edge", index, edge.line) for index, edge in enumerate(slab.edge)]
    for name, index, line in lines:
        here = (*at, name, index, "line")
        if any(math.dist(a, b) < 1e-3 for a, b in itertools.pairwise(line)):
            yield Finding(here, "two points of the line are the same", "Give the points along the line, each once")
        if outline is None:
            continue
        for step, point in enumerate(line):
            if not inside(point, outline) and to_outline(point, outline) > DRAWN:
                reason = f"this point of the {name} lies {show(to_outline(point, outline), 'length')} outside the slab"
                yield Finding((*here, step), reason, "Correct the point or the slab's place")


def _check_cavity(cavity: Cavity, at: Path, outline: Outline | None) -> Iterator[Finding]:
    if (cavity.radius is None) == (cavity.size is None):
        yield Finding(at, "a cavity needs a radius or a size, one of them", 'Give one, as radius = "0.6 m"')
        return
    area = math.pi * cavity.radius**2 if cavity.radius is not None else math.prod(cavity.size or ())
    name = "radius" if cavity.radius is not None else "size"
    if outline is None:
        return
    slab = abs(area_of(outline))
    remedy = 'Correct one of them; a slab with nothing under it has below = "basement, tunnel, pit or duct"'
    if area >= slab:
        reason = f"the cavity, {show(area, 'area')}, is larger than the slab, {show(slab, 'area')}"
        yield Finding((*at, name), reason, remedy)
    elif _long(cavity) > _longest(outline) + DRAWN:
        most = show(_longest(outline), "length")
        yield Finding(
            (*at, name), f"the cavity, {show(_long(cavity), 'length')}, is longer than the slab, {most}", remedy
        )
    elif not inside(cavity.at, outline) and to_outline(cavity.at, outline) > DRAWN:
        yield Finding((*at, "at"), "the middle of the cavity lies outside the slab", "Correct it or the slab's place")


def _long(cavity: Cavity) -> float:
    return 2 * cavity.radius if cavity.radius is not None else math.hypot(*(cavity.size or ()))


def _longest(outline: Outline) -> float:
    return max(math.dist(a, b) for a, b in itertools.combinations(outline, 2))


def _check_warmth(asphalt: Asphalt, at: Path) -> Iterator[Finding]:
    if asphalt.surface_temperature is not None:
        for name in ("air_temperature", "sun"):
            if getattr(asphalt, name) not in {None, NOT_KNOWN}:
                reason = "the surface's temperature is told, so air and sun do not count"
                yield Finding((*at, name), reason, "Remove it or surface_temperature")
    elif asphalt.air_temperature is None and asphalt.sun != NOT_KNOWN:
        yield Finding((*at, "sun"), "stands without air_temperature", "Add air_temperature or remove it")


def _check_indentation(asphalt: Asphalt, at: Path) -> Iterator[Finding]:
    readings = asphalt.indentation
    for index, (before, after) in enumerate(itertools.pairwise(readings), 1):
        here = (*at, "indentation", index)
        if after.after <= before.after:
            reason = f"must be later than the reading before it, {show(before.after, 'time')}"
            yield Finding((*here, "after"), reason, "Give the readings in order")
        elif after.depth < before.depth:
            yield Finding((*here, "depth"), "the stamp cannot come up again under its load", "Correct the reading")
        for name in ("pressure", "stamp_diameter", "surface_temperature"):
            if getattr(after, name) != getattr(before, name):
                yield Finding((*here, name), "must be the same in all readings of one test", "Give one test only")
    for index, reading in enumerate(readings):
        if asphalt.thickness is not None and reading.depth >= asphalt.thickness:
            reason = f"must be less than the asphalt's thickness, {show(asphalt.thickness, 'length')}"
            yield Finding((*at, "indentation", index, "depth"), reason, "Correct one of them")


def _check_enough(readings: Sequence[IndentationReading], at: Path) -> Iterator[Finding]:
    """Yield what keeps a law from being fitted to the readings of a test."""
    if not readings:
        return
    from tipline.mechanics.asphalt_creep import LEAST_READINGS, LEAST_SPAN  # loads numpy

    if len(readings) < LEAST_READINGS:
        remedy = "Give more readings of the test, or leave them out: then no creep is simulated"
        yield Finding(at, f"must be {LEAST_READINGS} or more readings of one test", remedy)
    elif readings[-1].after < LEAST_SPAN * readings[0].after:
        last = show(LEAST_SPAN * readings[0].after, "time")
        reason = f"must be {last} or later, {LEAST_SPAN:g} times the first reading"
        yield Finding((*at, len(readings) - 1, "after"), reason, "Add a later reading")
    for index, reading in enumerate(readings):
        if reading.depth == 0.0:
            yield Finding((*at, index, "depth"), "must be greater than 0", "Leave out readings of no depth")


def _check_layers(ground: Ground, at: Path) -> Iterator[Finding]:
    for index, layer in enumerate(ground.layer):
        here = (*at, "layer", index)
        if layer.thickness is None and index < len(ground.layer) - 1:
            yield Finding(here, "only the lowest layer may go without a thickness", 'Add it, as thickness = "0.5 m"')
        yield from _check_numbers(layer, here)
    if ground.platform is not None:
        yield from _check_platform(ground.platform, (*at, "platform"))


def _check_numbers(soil: SoilNumbers, at: Path) -> Iterator[Finding]:
    if soil.undrained_strength is not None and (soil.cohesion is not None or soil.friction_angle is not None):
        reason = "a soil has an undrained strength, or cohesion and friction angle, not both"
        yield Finding((*at, "undrained_strength"), reason, "Remove one")
    if soil.cohesion is not None and soil.friction_angle is None:
        remedy = "Add friction_angle; the strength of clay under short loading is undrained_strength"
        yield Finding((*at, "cohesion"), "stands without a friction angle", remedy)


def _check_platform(platform: Platform, at: Path) -> Iterator[Finding]:
    yield from _check_numbers(platform, at)
    if platform.undrained_strength is not None:
        yield Finding((*at, "undrained_strength"), "a platform is granular and has none", "Give friction_angle")
    elif platform.soil not in {*GRANULAR, NOT_KNOWN} and platform.friction_angle is None:
        yield Finding((*at, "soil"), "is not a granular soil", f"Use one of: {'; '.join(GRANULAR)}")


def _check_cover(cover: Cover, at: Path, outline: Outline | None) -> Iterator[Finding]:
    if cover.plate_thickness is not None:
        if cover.cover != "steel plate":
            reason = f'belongs to cover "steel plate", not "{cover.cover}"'
            yield Finding((*at, "plate_thickness"), reason, "Remove it or correct cover")
        elif cover.plate_thickness > _BLOCK["steel_plate"]:
            reason = f"must be {show(_BLOCK['steel_plate'], 'length')} or less: what is thicker is a block"
            yield Finding((*at, "plate_thickness"), reason, 'Write it in its unit, such as "20 mm"')
        elif cover.plate_thickness < _SHEET["steel_plate"]:
            reason = f"must be {show(_SHEET['steel_plate'], 'length')} or more: what is thinner is sheet metal"
            yield Finding((*at, "plate_thickness"), reason, "Correct the value or its unit")
    yield from _check_bars(cover, at)
    if cover.other_span is not None and cover.plate_thickness is None:
        reason = "belongs to a plate on four sides, and there is no plate_thickness"
        yield Finding((*at, "other_span"), reason, "Add plate_thickness or remove it")
    elif cover.other_span is not None and (cover.span is None or cover.other_span < cover.span):
        yield Finding((*at, "other_span"), "stands for the longer way of the opening", "Give the shorter way as span")
    if cover.span is not None and outline is not None and cover.span > _longest(outline):
        reason = f"must be at most the cover's greatest length, {show(_longest(outline), 'length')}"
        yield Finding((*at, "span"), reason, "Correct span or the cover's size")


def _check_bars(cover: Cover, at: Path) -> Iterator[Finding]:
    """Yield bars that are not a grating's, that are told by half, or that leave no gap."""
    bars = {name: getattr(cover, name) for name in ("bar_depth", "bar_thickness", "bar_pitch")}
    given = [name for name, value in bars.items() if value is not None]
    missing = [name for name, value in bars.items() if value is None]
    if given and cover.cover != "grating":
        yield Finding((*at, given[0]), f'belongs to cover "grating", not "{cover.cover}"', "Remove it or correct cover")
    elif given and missing:
        yield Finding((*at, given[0]), f"stands without {' and '.join(missing)}", "Give all three of them")
    elif given and bars["bar_pitch"] <= bars["bar_thickness"]:
        reason = "is the way from bar to bar and must be more than bar_thickness"
        yield Finding((*at, "bar_pitch"), reason, "Correct the values or their units")
