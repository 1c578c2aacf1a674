"""What a patch stands on: zones by share of its area, and how far edges, joints and cavities of a slab are."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, hypot, inf, pi, sqrt

from tipline.floors.places.patch import Patch
from tipline.model.cover import Cover
from tipline.model.floor import CoverZone, Floor, HoleZone, Material, SlabZone, Zone
from tipline.model.plane import (
    Outline,
    Point,
    inside,
    nearest_sides,
    outline_sides,
    rectangle_about,
    to_line,
    to_outline,
    turned,
)
from tipline.model.slab import Cavity, Slab

__all__ = [
    "ELSEWHERE",
    "Near",
    "cavity_outline",
    "cavity_radius",
    "joint_lines",
    "name_of",
    "near",
    "opening",
    "sides_of",
    "under",
]

ELSEWHERE = "the main floor"
_GRID = 5
"""Points a side by which a patch is shared out among zones (numerical)."""
_LEAST_SHARE = 0.03
"""Smaller shares of a patch than this are left out (our choice: less than a point of the grid)."""
Side = tuple[Point, Point]


@dataclass(frozen=True)
class Near:
    """Distances [m] from the middle of a patch on a slab, inf where there is none.

    ``edge``, ``other_edge``: nearest free edge and nearest across it; ``joint``, ``other_joint``: joints and edges
    alike; ``joint_index``: the nearest joint's place in the slab's list, -1 where it is not in it. ``cavity``: to the
    middle of the nearest told one, its radius, its place in the list; ``over``: whether the patch stands over it.
    ``edge_along``, ``joint_along``: how the nearest edge, and the nearest joint or edge, runs [rad].
    """

    edge: float = inf
    other_edge: float = inf
    joint: float = inf
    other_joint: float = inf
    joint_index: int = -1
    cavity: float = inf
    radius: float = 0.0
    cavity_index: int = -1
    over: bool = False
    edge_along: float | None = None
    joint_along: float | None = None


def name_of(zone: Zone | Material) -> str:
    """Return a zone's name, or that it is the main floor."""
    return str(getattr(zone, "name", ELSEWHERE))


def under(floor: Floor, patch: Patch) -> list[tuple[Zone | Material, float]]:
    """Return what lies under a patch with its share of it, most first; an opening before what it lies in."""
    shares: dict[int, float] = {}
    reached = _reached(floor, patch)
    for point in _points(patch):
        index = floor.index_at(point, reached)
        shares[index] = shares.get(index, 0.0) + 1.0 / _GRID**2
    order = sorted(shares.items(), key=lambda share: -share[1])
    return [(floor.zone[i] if i >= 0 else floor.elsewhere, share) for i, share in order if share > _LEAST_SHARE]


def _reached(floor: Floor, patch: Patch) -> list[int]:
    """Return the places in the list of the zones that a patch may reach: most patches are near none, or one."""
    (x, y), far = patch.at, 0.5 * hypot(patch.length, patch.width)
    reached = []
    for index, zone in enumerate(floor.zone):
        across, along = zip(*zone.corners, strict=True)
        if min(across) <= x + far and max(across) >= x - far and min(along) <= y + far and max(along) >= y - far:
            reached.append(index)
    return reached


def _points(patch: Patch) -> Iterator[Point]:
    """Yield points spread evenly over a patch, corners nearly reached."""
    steps = [(index / (_GRID - 1) - 0.5) * 0.98 for index in range(_GRID)]
    for u in steps:
        for v in steps:
            x, y = turned((u * patch.length, v * patch.width), patch.heading)
            yield patch.at[0] + x, patch.at[1] + y


def near(floor: Floor, slab: Zone | Material, at: Point, reach: float) -> Near:
    """Return what is near a point of a slab; ``reach`` is the radius of the patch there [m]."""
    if not isinstance(slab, Slab):
        return Near()
    edges, joints = list(_edges(floor, slab)), list(joint_lines(slab))
    edge, other_edge = nearest_sides(at, edges)
    joint, other_joint = nearest_sides(at, edges + [side for side, _ in joints])
    closest = min(joints, key=lambda line: to_line(at, line[0]), default=None)
    cavity, radius, index, over = inf, 0.0, -1, False
    for place, hollow in enumerate(slab.cavity):
        apart = hypot(hollow.at[0] - at[0], hollow.at[1] - at[1])
        own = cavity_radius(hollow)
        outline = cavity_outline(hollow)
        if index < 0 or apart - own < cavity - radius:
            cavity, radius, index = apart, own, place
            over = inside(at, outline) or to_outline(at, outline) < reach
    return Near(
        edge, other_edge, joint, other_joint, -1 if closest is None else closest[1], cavity, radius, index, over,
        _runs(at, edges), _runs(at, edges + [side for side, _ in joints]),
    )  # fmt: skip


def _runs(at: Point, sides: list[Side]) -> float | None:
    """Return how the side nearest to a point runs [rad], None where there is none."""
    if not sides:
        return None
    (ax, ay), (bx, by) = min(sides, key=lambda side: to_line(at, side))
    return atan2(by - ay, bx - ax)


def _edges(floor: Floor, slab: Slab) -> Iterator[Side]:
    """Yield free edges: as told, the rim of the zone unless it is joined, and the rims of openings in the floor."""
    for edge in slab.edge:
        yield from pairwise(edge.line)
    if isinstance(slab, SlabZone) and slab.outer_edge != "joined":
        yield from outline_sides(slab.corners)
    own = slab.corners if isinstance(slab, SlabZone) else ()
    for zone in floor.zone:
        if isinstance(zone, HoleZone | CoverZone):
            outline = zone.corners
            if not own or any(inside(point, own) for point in outline):
                yield from outline_sides(outline)


def joint_lines(slab: Slab) -> Iterator[tuple[Side, int]]:
    """Yield the joints of a slab with their place in its list; -1 for a rim that is joined to more floor."""
    for index, joint in enumerate(slab.joint):
        for side in pairwise(joint.line):
            yield side, index
    if isinstance(slab, SlabZone) and slab.outer_edge == "joined":
        for side in outline_sides(slab.corners):
            yield side, -1


def cavity_radius(cavity: Cavity) -> float:
    """Return the radius of the circle of a cavity's area [m]."""
    if cavity.radius is not None:
        return cavity.radius
    return sqrt(cavity.size[0] * cavity.size[1] / pi) if cavity.size is not None else 0.0


def cavity_outline(cavity: Cavity) -> Outline:
    """Return the outline of a cavity; a circle as a polygon of 24 sides."""
    if cavity.size is not None:
        return rectangle_about(cavity.at, cavity.size, cavity.heading)
    radius = cavity.radius or 0.0
    spokes = [turned((radius, 0.0), 2 * pi * k / 24) for k in range(24)]
    return tuple((cavity.at[0] + x, cavity.at[1] + y) for x, y in spokes)


def sides_of(floor: Floor, slab: Zone | Material) -> list[tuple[str, Side]]:
    """Return free edges and joints of a slab as straight pieces with their kind."""
    if not isinstance(slab, Slab):
        return []
    return [("free edge", side) for side in _edges(floor, slab)] + [("joint", side) for side, _ in joint_lines(slab)]


def opening(cover: Cover) -> float:
    """Return the clear opening under a cover [m]: as told, else the shorter side of its outline."""
    if cover.span is not None:
        return cover.span
    outline = cover.corners if isinstance(cover, CoverZone) else ()
    sides = [hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise((*outline, *outline[:1]))]
    return min(sides, default=1.0)
