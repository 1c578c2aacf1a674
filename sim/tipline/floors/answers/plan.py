"""What a drawing of the floor shows, as plain shapes in plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from tipline.floors.answers.report import Area, FloorPlan, FloorReport, Spreading
from tipline.floors.places.route import Standing
from tipline.floors.places.zones import ELSEWHERE, cavity_outline
from tipline.model.floor import Floor, Material, SlabZone, Zone
from tipline.model.machine import Machine
from tipline.model.plane import Outline, Point, rectangle_about
from tipline.model.slab import Slab

__all__ = ["areas_of", "lines_of", "plan_of", "with_spreaders"]

Line = tuple[str, tuple[Point, ...]]


def plan_of(
    machine: Machine, floor: Floor, standings: Mapping[str, tuple[Standing, ...]], report: FloorReport
) -> FloorPlan:
    """Return zones, joints, edges, cavities, laid spreaders, and the patches where the truck stands or starts."""
    zones = tuple(Area(zone.name, zone.kind, zone.corners) for zone in floor.zone)
    first = next(iter(report.tyres), None)
    here = [tyre for tyre in report.tyres if first is not None and tyre.setup == first.setup]
    standing = next(iter(standings.values()))[0]
    marks = tuple((tyre.tyre, rectangle_about(tyre.at, tyre.patch, standing.heading)) for tyre in here)
    return FloorPlan((*zones, *areas_of(floor)), lines_of(floor), marks, _body(machine, standing))


def with_spreaders(plan: FloorPlan, chosen: Sequence[Spreading]) -> FloorPlan:
    """Add the spreaders that were chosen."""
    new = [
        Area(spreading.name, "spreader needed", rectangle_about(spreading.at, spreading.size[:2], spreading.heading))
        for spreading in chosen
        if spreading.found
    ]
    return FloorPlan((*plan.areas, *new), plan.lines, plan.patches, plan.body)


def areas_of(floor: Floor) -> tuple[Area, ...]:
    """Return what the floor is elsewhere (no outline), cavities and laid spreaders."""
    areas = [Area(ELSEWHERE, floor.elsewhere.kind, ())]
    for part in _parts(floor):
        if isinstance(part, Slab):
            areas += [Area(hollow.name, "cavity", cavity_outline(hollow)) for hollow in part.cavity]
    areas += [Area(laid.name, laid.kind, rectangle_about(laid.at, laid.size, laid.heading)) for laid in floor.spreader]
    return tuple(areas)


def lines_of(floor: Floor) -> tuple[Line, ...]:
    """Return joints and free edges."""
    return tuple(line for part in _parts(floor) if isinstance(part, Slab) for line in _lines(part))


def _parts(floor: Floor) -> list[Zone | Material]:
    return [floor.elsewhere, *floor.zone]


def _lines(slab: Slab) -> list[Line]:
    lines: list[Line] = [("joint", tuple(joint.line)) for joint in slab.joint]
    lines += [("free edge", tuple(edge.line)) for edge in slab.edge]
    if isinstance(slab, SlabZone):
        outline = slab.corners
        kind = "joint" if slab.outer_edge == "joined" else "free edge"
        lines += [(kind, side) for side in pairwise((*outline, *outline[:1]))]
    return lines


def _body(machine: Machine, standing: Standing) -> Outline:
    """Return the frame's outline at the first place."""
    chassis = machine.chassis
    half = 0.5 * chassis.width
    corners = [(chassis.front, half), (chassis.rear, half), (chassis.rear, -half), (chassis.front, -half)]
    return tuple(standing.point(*corner) for corner in corners)
