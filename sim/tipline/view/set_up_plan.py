"""A set-up at rest from above as SVG: truck, tyre loads, tip lines and balance point, on its floor; the front left."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import combinations
from math import cos, hypot, inf, isfinite, nan, sin
from typing import TYPE_CHECKING

from tipline.model.plane import inside
from tipline.units import FOOT, System
from tipline.view import palette
from tipline.view.palette import spelled
from tipline.view.sketch import TEXT, WIDE, Sketch, text_width

if TYPE_CHECKING:
    from tipline.floors.answers.report import FloorPlan
    from tipline.model.plane import Outline, Point
    from tipline.pose.assessment import PoseReport
    from tipline.pose.from_above import FromAbove

__all__ = ["draw_set_up", "set_up_caption"]

_ROOM = 0.5
"""About what is drawn [m]."""
_FULL = 0.21
"""Radius of the disc of the greatest tyre load [m]."""
_ONE, _TRUE = 1e-4, 0.1
"""Distances [m] nearer than this are one; a distance is drawn where it is so long to this part (our choice)."""
_LEAST_TALL, _MOST_TALL = 250.0, 390.0
_LINE, _RING = 1.25 * TEXT, 11.0
_FLOOR_LINES = {"joint": "9 5", "free edge": ""}
_WORDS = {
    "steel_plate": "steel plate", "timber_mat": "timber mat", "soft": "soft place", "suspended": "suspended slab",
    "hole": "open hole", "slab": "floor slab", "ground": "bare ground", "rigid": "taken as rigid",
}  # fmt: skip


def set_up_caption(report: PoseReport) -> str:
    """Say what the drawing shows."""
    if not report.above.stands:
        return "The set-up from above, its front to the left, before tyres and mast give way: it does not stand."
    dashed = "; dashed: where the frame swings onto its stop" if report.above.swing else ""
    return (
        "The set-up from above, its front to the left. Discs: tyre loads. Ring: the balance point, with its distance "
        f"to each tip line{dashed}."
    )


def draw_set_up(report: PoseReport, system: System = "si") -> str:
    """Draw a set-up at rest; give the SVG."""
    return _Plan(report, system).drawn()


class _Plan:
    def __init__(self, report: PoseReport, system: System) -> None:
        self.report, self.above, self.system = report, report.above, system
        self.labels = _labels(report, system)
        rings = (*self.above.parts, self.above.load, *self.above.tyres.values(), (self.above.balance,))
        points = [point for ring in rings for point in ring if isfinite(point[0] + point[1])]
        front, rear = max(x for x, _ in points), min(x for x, _ in points)
        truck = (*self.above.parts, *self.above.tyres.values())  # a wide load runs off the drawing
        aside = max(abs(y) for ring in truck for _, y in ring)
        wide = front - rear + 2 * _ROOM
        self.scale = (WIDE - 8.0) / wide
        rows = max(len(lines) for lines in self.labels.values())
        band = _LINE * (rows + 0.4)
        tall = 2 * aside * self.scale + 2 * band + 2 * TEXT
        self.scale *= min(1.0, (_MOST_TALL - 2 * band - 2 * TEXT) / (2 * aside * self.scale))
        self.tall = min(max(tall, _LEAST_TALL), _MOST_TALL)
        self.middle = 0.5 * (front + rear)
        self.sketch = Sketch(self.tall, set_up_caption(report))

    def at(self, point: Point) -> Point:
        return 0.5 * WIDE - (point[0] - self.middle) * self.scale, 0.5 * self.tall + point[1] * self.scale

    def ring(self, outline: Iterable[Point]) -> list[Point]:
        return [self.at(point) for point in outline]

    def drawn(self) -> str:
        above, sketch = self.above, self.sketch
        if self.report.floor is not None:
            _floor(self, self.report.floor.plan)
        for outline in above.parts:
            sketch.area(self.ring(outline), None, palette.GRID)
        if above.load:
            sketch.area(self.ring(above.load), palette.EDGE, palette.MUTED)
        self._tyres()
        self._lines()
        self._balance()
        self._words()
        return sketch.svg()

    def _tyres(self) -> None:
        loads = self.report.tyre_loads
        most = max((load for load in loads.values() if isfinite(load)), default=1.0)
        full = self.scale * min(_FULL, 0.5 * _apart(self.above.tyres.values()))
        for name, ring in self.above.tyres.items():
            self.sketch.area(self.ring(ring), palette.SKY, palette.MUTED)
            load = loads.get(name, 0.0)
            if isfinite(load) and load > 0.0:
                self.sketch.disc(self.at(_centre(ring)), full * (load / most) ** 0.5, palette.ARROW, palette.INK)

    def _lines(self) -> None:
        """Draw the line that each distance is to in its colour, the other of a side in grey, a swing line dashed."""
        above = self.above
        for name, line in (*above.lines.items(), *above.swing.items()):
            side = name.removeprefix("swing.")
            counts = line == self._line(side)
            dash = "7 4" if name.startswith("swing") else ""
            self.sketch.line(
                self.ring(line), palette.LINES[side] if counts else palette.MUTED, 3.0 if counts else 1.5, dash
            )

    def _line(self, name: str) -> tuple[Point, Point]:
        """Return the line that a distance is to: the swing line where the truck goes over as its frame swings."""
        tip, swing = (table.get(name, inf) for table in (self.report.distances, self.report.swing))
        return self.above.swing[f"swing.{name}"] if abs(tip - swing) < _ONE else self.above.lines[name]

    def _balance(self) -> None:
        nearest, balance = self._nearest(), self.above.balance
        distance = self.report.distances.get(nearest, nan)
        if isfinite(distance):
            foot = _foot(balance, *self._line(nearest))
            if abs(hypot(foot[0] - balance[0], foot[1] - balance[1]) - distance) < _TRUE * distance:
                self.sketch.line(self.ring((balance, foot)), palette.INK, 2.0, "2 3")
        at = self.at(balance)
        self.sketch.disc(at, 9.0, palette.PANEL, palette.INK)
        self.sketch.disc(at, 3.5, palette.INK)

    def _nearest(self) -> str:
        known = {line: value for line, value in self.report.distances.items() if isfinite(value)}
        return min(known, key=lambda line: known[line]) if known else self.report.over or ""

    def _words(self) -> None:
        for name, lines in self.labels.items():
            self._beside(name, lines)
        nearest = self._nearest()
        for name in self.above.lines:
            value = self.report.distances.get(name, nan)
            text = f"{name} {palette.short_length(value, self.system)}" if isfinite(value) else name
            line = self._line(name)
            (ax, ay), (bx, by) = self.ring(line)
            across, outer = name in ("front", "back"), line == self.above.lines[name]
            below, above = (0.0, 1.1 * TEXT), (0.0, -0.4 * TEXT)
            aside = {
                "front": (-8.0, 0.35 * TEXT), "back": (8.0, 0.35 * TEXT),
                "left": above if outer else below, "right": below if outer else above,
            }  # fmt: skip
            anchor = {"front": "end", "back": "start"}.get(name, "middle")
            x, y = aside[name]
            place = self._beside_ring(((ax + bx) / 2 + x, (ay + by) / 2 + y), text, anchor, across=across)
            self.sketch.text(place, text, palette.LINES[name], anchor, bold=name == nearest)
        self.sketch.mark(f"{'DEMO · ' if self.report.demo else ''}computed, at rest")
        self._scale_bar()
        self._slope()

    def _beside_ring(self, place: Point, text: str, anchor: str, *, across: bool) -> Point:
        """Keep a label on the drawing, and move it along its line where it would lie on the balance point."""
        (x, y), (bx, by), wide = place, self.at(self.above.balance), text_width(text, bold=True)
        part = {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
        x = min(max(x, part * wide + 4.0), WIDE - (1.0 - part) * wide - 4.0)
        left = x - part * wide
        if not (left - _RING < bx < left + wide + _RING and y - 0.8 * TEXT - _RING < by < y + 0.2 * TEXT + _RING):
            return x, y
        return (x, by + _RING + TEXT) if across else (bx + _RING + 0.5 * wide, y)

    def _beside(self, corner: str, lines: list[str]) -> None:
        """Write the loads of a corner outside its outermost tyre, away from the middle of the truck."""
        names = [name for name in self.above.tyres if _corner(self.above, name) == corner]
        points = [point for name in names for point in self.ring(self.above.tyres[name])]
        front, left = corner.startswith("front"), corner.endswith("left")
        x = max(x for x, _ in points) if front else min(x for x, _ in points)
        y = max(y for _, y in points) + 1.2 * TEXT if left else min(y for _, y in points) - 0.6 * TEXT
        wide = max(text_width(line, bold=True) for line in lines)
        x = max(x, wide + 4) if front else min(x, WIDE - wide - 4)
        for row, line in enumerate(lines):
            step = row * _LINE if left else -row * _LINE
            self.sketch.text((x, y + step), line, anchor="end" if front else "start", bold=True)

    def _scale_bar(self) -> None:
        long, words = (1.0, "1 m") if self.system == "si" else (3 * FOOT, "3 ft")
        y = self.tall - 6.0
        self.sketch.line(((6.0, y), (6.0 + long * self.scale, y)), palette.INK, 3.0)
        self.sketch.text((12.0 + long * self.scale, y), words, palette.MUTED, size=TEXT - 2)

    def _slope(self) -> None:
        """Draw an arrow down a slope, to the right above."""
        above = self.above
        if not above.slope:
            return
        text = f"floor falls {100 * sin(above.slope) / cos(above.slope):.3g} %"
        self.sketch.text((WIDE - 48.0, TEXT), text, palette.INK, "end", size=TEXT - 2)
        ahead, left = cos(above.falls), sin(above.falls)
        x, y, long = WIDE - 24.0, 22.0, 16.0
        dx, dy = -long * ahead, long * left
        tip = (x + dx, y + dy)
        self.sketch.line(((x - dx, y - dy), tip), palette.INK, 3.0)
        self.sketch.area(
            (
                tip,
                (x + 0.2 * dx - 0.5 * dy, y + 0.2 * dy + 0.5 * dx),
                (x + 0.2 * dx + 0.5 * dy, y + 0.2 * dy - 0.5 * dx),
            ),
            palette.INK,
        )


def _floor(plan: _Plan, floor: FloorPlan) -> None:
    """Draw the parts of the floor, what lies on it, joints and edges, in the truck's frame; name what is seen."""
    whole = [(0.0, 0.0), (float(WIDE), 0.0), (float(WIDE), plan.tall), (0.0, plan.tall)]
    seen: list[str] = []
    for area in sorted(floor.areas, key=lambda area: bool(area.outline)):  # what lies elsewhere, below all others
        ring = [plan.at(_own(plan.above, point)) for point in area.outline] or whole
        plan.sketch.area(ring, palette.PARTS.get(area.kind, palette.PAPER), palette.MUTED if area.outline else None)
        xs, ys = [x for x, _ in ring], [y for _, y in ring]
        if all(inside(corner, tuple(ring)) for corner in whole):
            seen.clear()  # it hides what lies below
        if min(xs) < WIDE and max(xs) > 0.0 and min(ys) < plan.tall and max(ys) > 0.0 and area.kind not in seen:
            seen.append(area.kind)
    for kind, line in floor.lines:
        ends = [plan.at(_own(plan.above, point)) for point in line]
        plan.sketch.line(ends, palette.INK, 1.5, _FLOOR_LINES.get(kind, ""))
    x = WIDE - 4.0
    for kind in seen:
        words = _WORDS.get(kind, kind)
        x -= text_width(words, TEXT - 2)
        if x < 0.3 * WIDE:
            break
        plan.sketch.text((x, plan.tall - 6.0), words, palette.MUTED, size=TEXT - 2)
        x -= 24.0
        box = [(x, plan.tall - 18.0), (x + 18.0, plan.tall - 18.0), (x + 18.0, plan.tall - 6.0), (x, plan.tall - 6.0)]
        plan.sketch.area(box, palette.PARTS.get(kind, palette.PAPER), palette.INK)
        x -= 14.0


def _labels(report: PoseReport, system: System) -> Mapping[str, list[str]]:
    """Give what is written at each corner: its tyres by name, with their loads where it stands."""
    names: dict[str, list[str]] = {}
    for name in sorted(report.above.tyres, key=lambda name: abs(_centre(report.above.tyres[name])[1])):
        load = report.tyre_loads.get(name, nan)
        text = f"{name} {palette.force(load, system)}" if isfinite(load) else name
        names.setdefault(_corner(report.above, name), []).append(spelled(text, system))
    return names


def _corner(above: FromAbove, name: str) -> str:
    """Say at which corner of the truck a tyre stands."""
    rear = min(_centre(ring)[0] for ring in above.tyres.values())
    x, y = _centre(above.tyres[name])
    return f"{'rear' if x < 0.5 * rear else 'front'}-{'left' if y > 0.0 else 'right'}"


def _centre(ring: Outline) -> Point:
    return sum(x for x, _ in ring) / len(ring), sum(y for _, y in ring) / len(ring)


def _apart(tyres: Iterable[Outline]) -> float:
    """Return how near the middles of two tyres come."""
    return min((hypot(a[0] - b[0], a[1] - b[1]) for a, b in combinations(map(_centre, tyres), 2)), default=inf)


def _foot(point: Point, start: Point, end: Point) -> Point:
    """Return the point of a line that is nearest to a point."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    part = ((point[0] - start[0]) * dx + (point[1] - start[1]) * dy) / max(hypot(dx, dy) ** 2, 1e-9)
    return start[0] + part * dx, start[1] + part * dy


def _own(above: FromAbove, point: Point) -> Point:
    """Return a point of the floor in the truck's frame."""
    x, y, ahead, left = point[0] - above.place[0], point[1] - above.place[1], cos(above.heading), sin(above.heading)
    return ahead * x + left * y, ahead * y - left * x
