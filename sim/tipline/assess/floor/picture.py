"""What a drawing of the floor shows, as plain shapes in plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from tipline.assess.floor.answers import Area, FloorReport, Plan, Spreading
from tipline.assess.floor.place import Outline, Point, corners_of
from tipline.assess.floor.route import Standing
from tipline.assess.floor.zones import cavity_outline, outline_of
from tipline.model.floor import Material, SlabZone, Zone
from tipline.model.slab import Slab
from tipline.scenario import Case

__all__ = ["plan_of", "with_spreaders"]

Line = tuple[str, tuple[Point, ...]]


def plan_of(case: Case, standings: Mapping[str, tuple[Standing, ...]], report: FloorReport) -> Plan:
    """Return zones, joints, edges, cavities, laid spreaders, and the patches where the truck stands or starts."""
    floor = case.floor
    parts: list[Zone | Material] = [floor.elsewhere, *floor.zone]
    areas = [Area(zone.name, zone.kind, outline_of(zone)) for zone in floor.zone]
    lines: list[Line] = []
    for part in parts:
        if isinstance(part, Slab):
            areas += [Area(hollow.name, "cavity", cavity_outline(hollow)) for hollow in part.cavity]
            lines += _lines(part)
    areas += [
        Area(laid.name, laid.kind, corners_of(laid.at, laid.size[0], laid.size[1], laid.heading))
        for laid in floor.spreader
    ]
    first = next(iter(report.tyres), None)
    here = [one for one in report.tyres if first is not None and one.setup == first.setup]
    standing = next(iter(standings.values()))[0]
    marks = tuple((one.tyre, corners_of(one.at, *one.patch, standing.heading)) for one in here)
    return Plan(tuple(areas), tuple(lines), marks, _body(case, standing))


def with_spreaders(plan: Plan, chosen: Sequence[Spreading]) -> Plan:
    """Add the spreaders that were chosen."""
    new = [
        Area(one.name, "spreader needed", corners_of(one.at, one.size[0], one.size[1], one.heading))
        for one in chosen
        if one.found
    ]
    return Plan((*plan.areas, *new), plan.lines, plan.patches, plan.body)


def _lines(slab: Slab) -> list[Line]:
    lines: list[Line] = [("joint", tuple(one.line)) for one in slab.joint]
    lines += [("free edge", tuple(one.line)) for one in slab.edge]
    if isinstance(slab, SlabZone):
        outline = outline_of(slab)
        kind = "joint" if slab.outer_edge == "joined" else "free edge"
        lines += [(kind, side) for side in pairwise((*outline, *outline[:1]))]
    return lines


def _body(case: Case, standing: Standing) -> Outline:
    """Return the frame's outline at the first place."""
    chassis = case.machine.chassis
    half = 0.5 * chassis.width
    corners = [(chassis.front, half), (chassis.rear, half), (chassis.rear, -half), (chassis.front, -half)]
    return tuple(standing.point(*corner) for corner in corners)
