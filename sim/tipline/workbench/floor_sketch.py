"""The floor from above as SVG, in the world's plane: its zones and spreaders, and the truck where it stands on it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from markupsafe import escape

from tipline.model.plane import Outline, Point, rectangle_about
from tipline.statics.truck import truck_of
from tipline.units import System
from tipline.view import palette
from tipline.view.outlines import painted, to_mm
from tipline.workbench.extents import Extents, extents_of
from tipline.workbench.places import drawn_places, way_grips, where_it_stands
from tipline.workbench.sketch import ABOVE, COLUMNS, PALER, ROWS, Drawing, DrawingFrame, label

if TYPE_CHECKING:
    from tipline.model.floor import Floor
    from tipline.scenario import Case

__all__ = ["floor_plan"]

_ROOM, _BARE, _WHOLE = 2.0, 5.0, 4.0
"""Room about what lies on a floor, and about the truck where nothing does; then the frame goes by whole steps [m]."""
_LETTER = 0.56
"""Mean width of a letter as a part of its height (our choice)."""
_FILLS = {
    "hole": palette.HOLE, "soft": palette.SOFT, "rigid": palette.FLOOR, "ground": palette.RAMP,
    "cover": palette.GRID, "suspended": palette.EDGE, "asphalt": palette.RAISED,
}  # fmt: skip


def floor_plan(case: Case, system: System = "si") -> Drawing:
    """Draw the floor of a set-up, with its truck on it."""
    assembly, setup = truck_of(case).assembly, case.scenario.setup
    extents = extents_of(case, assembly)
    low, high = _shown(case, extents)
    letter = max((high[0] - low[0]) / COLUMNS, (high[1] - low[1]) / ROWS["plan"])
    frame = DrawingFrame(low[0], high[0], low[1], high[1], letter)
    grips = (
        *where_it_stands(case, extents.most[0] + 1.2 * letter, low, high, system),
        *way_grips(case, system),
    )
    (x, y), turn = setup.position, math.degrees(setup.heading)
    body = [
        f'<rect x="{to_mm(low[0])}" y="{to_mm(-high[1])}" width="{to_mm(high[0] - low[0])}" '
        f'height="{to_mm(high[1] - low[1])}" fill="{palette.hex_of(palette.SKY)}"/>',
        *_zones(case.floor, frame),
        f'<g transform="translate({to_mm(x)} {to_mm(-y)}) rotate({-turn:g})">',
        *painted(assembly.parts, ABOVE, (0, 1), PALER),
        *drawn_places(case),
        _held(extents),
        "</g>",
    ]
    there = " and ".join(palette.length(value, system) for value in setup.position)
    words = f"Floor {case.floor.title} from above; the truck stands at {there}, turned by {turn:g} degrees"
    return Drawing(frame.svg("plan", words, body), grips)


def _shown(case: Case, extents: Extents) -> tuple[Point, Point]:
    """Return the corners of what is shown [m]: all that lies on the floor, and the truck."""
    (x, y), reach = case.scenario.setup.position, max(math.hypot(*far[:2]) for far in (extents.least, extents.most))
    rings = [*(zone.corners for zone in case.floor.zone), *_spreaders(case.floor)]
    points = [point for ring in rings for point in ring]
    if not points:
        x, y = (_WHOLE * round(value / _WHOLE) for value in (x, y))
        return (x - 2 * _BARE, y - _BARE), (x + 2 * _BARE, y + _BARE)
    points += [(x - reach, y - reach), (x + reach, y + reach)]
    low, high = (tuple(end(point[axis] for point in points) for axis in (0, 1)) for end in (min, max))
    return (low[0] - _ROOM, low[1] - _ROOM), (high[0] + _ROOM, high[1] + _ROOM)


def _spreaders(floor: Floor) -> Iterator[Outline]:
    for spreader in floor.spreader:
        yield rectangle_about(spreader.at, spreader.size, spreader.heading)


def _zones(floor: Floor, frame: DrawingFrame) -> Iterator[str]:
    """Draw what lies on a floor, with the name of each zone where there is room for it."""
    for zone in sorted(floor.zone, key=lambda zone: zone.kind in ("hole", "cover")):
        fill = palette.hex_of(_FILLS.get(zone.kind, palette.PANEL))
        yield _ring(zone.corners, fill, f"{zone.name}: {zone.kind}")
    for spreader, ring in zip(floor.spreader, _spreaders(floor), strict=True):
        yield _ring(ring, palette.hex_of(palette.GRID), spreader.name)
    for zone in floor.zone:
        xs, ys = zip(*zone.corners, strict=True)
        if max(xs) - min(xs) > _LETTER * frame.letter * len(zone.name):
            narrow = max(ys) - min(ys) < 1.5 * frame.letter
            up = max(ys) + (0.3 if narrow else -1.2) * frame.letter
            yield label(0.5 * (min(xs) + max(xs)), up, zone.name, "middle")


def _ring(corners: Outline, fill: str, words: str) -> str:
    points = " ".join(f"{to_mm(x)},{to_mm(-y)}" for x, y in corners)
    return f'<polygon points="{points}" fill="{fill}" class="zone"><title>{escape(words)}</title></polygon>'


def _held(extents: Extents) -> str:
    """Draw what the truck is taken hold of by, unseen."""
    (x, y, _), (right, top, _) = extents.least, extents.most
    size = f'width="{to_mm(right - x)}" height="{to_mm(top - y)}"'
    return f'<rect x="{to_mm(x)}" y="{to_mm(-top)}" {size} class="hold" data-grip="setup.position"/>'
