"""Side view and plan of a set-up as SVG: the truck as it is drawn in 3D, tip lines, balance point, tyre loads.

Both have the front to the right, so that one stands over the other; in plan the truck's left side is up. The frame
takes in all that can be dragged to, so that nothing but what is dragged moves.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from markupsafe import escape
from numpy.typing import NDArray

from tipline.statics.truck import truck_of
from tipline.view import palette
from tipline.view.outlines import SIDE, painted, to_mm
from tipline.workbench.extents import extents_of
from tipline.workbench.grips import Grip, boxes_to_hold, grips_of, slabs_left_off
from tipline.workbench.places import drawn_places, place_grips

if TYPE_CHECKING:
    from tipline.geometry.assembly import Assembly
    from tipline.pose.assessment import PoseReport
    from tipline.scenario import Case
    from tipline.statics.truck import Truck
    from tipline.units import System

__all__ = ["ABOVE", "COLUMNS", "PALER", "ROWS", "Drawing", "DrawingFrame", "label", "plan", "side_view"]

Array = NDArray[np.float64]
ABOVE = np.array([0.0, 0.0, 1.0])
"""From where the eye looks in plan."""
_ROOM = 0.7
"""Room about the truck [m]."""
_ASIDE = 4.5
"""Room at the right for the height and its grip, in letters."""
PALER = 0.45
"""How far towards white the truck is painted in plan, so that lines and letters on it are read."""
ROWS = {"side": 20.0, "plan": 14.0}
COLUMNS = 40.0
"""Letters are as high as the picture through so many rows, or wide through so many columns, whichever is more: in the
room that the pages have for it these are 13 pixels at least (our choice)."""


@dataclass(frozen=True)
class DrawingFrame:
    """The part of the plane that is shown, and the height of letters in it [m]."""

    left: float
    right: float
    low: float
    high: float
    letter: float

    def svg(self, name: str, words: str, body: Iterable[str]) -> str:
        """Give the picture; `words` tell it to who cannot see it."""
        box = f"{to_mm(self.left)} {to_mm(-self.high)} {to_mm(self.right - self.left)} {to_mm(self.high - self.low)}"
        return (
            f'<svg class="sketch" id="{name}" viewBox="{box}" role="img" aria-label="{escape(words)}" '
            f'font-size="{to_mm(self.letter)}" xmlns="http://www.w3.org/2000/svg">{"".join(body)}</svg>'
        )


@dataclass(frozen=True)
class Drawing:
    """A side view or a plan as SVG, and what can be dragged in it."""

    svg: str
    grips: tuple[Grip, ...]


def side_view(case: Case, pose: PoseReport, system: System = "si") -> Drawing:
    """Draw the set-up from its right side, with the load of each axle under it and what its heights are."""
    truck = truck_of(case)
    assembly = truck.assembly
    frame = _frame(truck, (0, 2), "side")
    words = f"{case.machine.title} from its right side, height {palette.length(case.height, system)}"
    grips = grips_of(case, assembly, frame.right - 1.5 * frame.letter, system)
    body = [
        f'<rect x="{to_mm(frame.left)}" y="0" width="{to_mm(frame.right - frame.left)}" height="{to_mm(-frame.low)}" '
        f'fill="{palette.hex_of(palette.FLOOR)}"/>',
        *slabs_left_off(grips, case),
        *painted(assembly.parts, SIDE, (0, 2), 0.0),
        *_height(case, assembly, frame, system),
        *_axle_loads(truck, pose, frame, system),
        *boxes_to_hold(grips, case, assembly),
    ]
    return Drawing(frame.svg("side", words, body), grips)


def plan(case: Case, pose: PoseReport, system: System = "si") -> Drawing:
    """Draw the set-up from above: tyres with their loads, tip lines with the distance to each, the balance point."""
    truck = truck_of(case)
    frame = _frame(truck, (0, 1), "plan")
    stands = math.isfinite(pose.axle_share["steer"])
    near = f"; nearest tip line {min(pose.distances, key=lambda line: pose.distances[line])}" if stands else ""
    body = [*painted(truck.assembly.parts, ABOVE, (0, 1), PALER), *drawn_places(case)]
    if stands:
        body += [*_lines(truck, pose, frame, system), *_tyres(truck, pose, frame, system), *_balance(pose, frame)]
    words = f"{case.machine.title} from above, front to the right{near}"
    return Drawing(frame.svg("plan", words, body), tuple(place_grips(case)))


def _frame(truck: Truck, axes: tuple[int, int], name: str) -> DrawingFrame:
    extents = extents_of(truck.case, truck.assembly)
    left, low = (extents.least[axis] - _ROOM for axis in axes)
    right, high = (extents.most[axis] + _ROOM for axis in axes)
    letter = max((right - left) / COLUMNS, (high - low) / ROWS[name])
    right = max(right, extents.most[axes[0]] + _ASIDE * letter)
    if name == "side":  # under the floor stand the loads of the axles
        low = -0.3 - 2.8 * letter
    else:  # beside the truck the lines to its left and right
        room = _aside(truck) + 2.2 * letter
        low, high = min(low, -room), max(high, room)
    return DrawingFrame(left, right, low, high, letter)


def _aside(truck: Truck) -> float:
    """Return how far the tyres reach to a side [m]."""
    axles = truck.case.machine.drive_axle, truck.case.machine.steer_axle
    return max(abs(tyre.across) + 0.5 * tyre.width for axle in axles for tyre in axle.tyre)


def _height(case: Case, assembly: Assembly, frame: DrawingFrame, system: System) -> Iterator[str]:
    """Draw the height of the forks, or of the hook, as a dimension at the right."""
    hook, points = case.hook_height, assembly.points
    up, out = case.height, points.fork_face_x if points.hook is None else float(points.hook[0])
    at = frame.right - 1.5 * frame.letter
    yield f'<path d="M{to_mm(out)} {to_mm(-up)}H{to_mm(at + 0.1)}M{to_mm(at)} {to_mm(-up)}V0" class="measure"/>'
    what = "forks" if hook is None else "hook"
    beside = up / 2 if up > 2.0 * frame.letter else up + 0.4 * frame.letter
    yield label(at - 0.1, beside, f"{what} {palette.length(up, system)}", "end")


def _axle_loads(truck: Truck, pose: PoseReport, frame: DrawingFrame, system: System) -> Iterator[str]:
    if not math.isfinite(pose.axle_share["steer"]):
        return
    drive = [tyre.name for tyre in truck.case.machine.drive_axle.tyre]
    places = {"drive axle": (0.0, drive)}
    steer = [tyre.name for tyre in truck.case.machine.steer_axle.tyre]
    places["steer axle"] = (-truck.case.machine.wheelbase, steer)
    for name, (x, tyres) in places.items():
        load = palette.force(sum(pose.tyre_loads[tyre] for tyre in tyres), system)
        yield f'<path d="M{to_mm(x)} 0.06l-0.12 0.22h0.24z" fill="{palette.hex_of(palette.INK)}"/>'
        at, anchor = (x - 0.15, "start") if name == "drive axle" else (x + 0.15, "end")
        yield label(at, -0.3 - frame.letter, name, anchor)
        yield label(at, -0.3 - 2.3 * frame.letter, load, anchor, bold=True)


def _lines(truck: Truck, pose: PoseReport, frame: DrawingFrame, system: System) -> Iterator[str]:
    """Draw the tip lines where they lie at rest, each in its colour, with its distance."""
    setup = truck.case.scenario.setup
    ends, aside = truck.rest(truck.gravity(*truck.case.slope), 1.0, strict=True).ends, _aside(truck)
    for name, distance in pose.distances.items():
        a, b = (_in_frame(end, setup.position, setup.heading) for end in ends[name])
        colour = palette.hex_of(palette.LINES[name])
        yield f'<path d="M{to_mm(a[0])} {to_mm(-a[1])}L{to_mm(b[0])} {to_mm(-b[1])}" class="tip" stroke="{colour}"/>'
        x, y = (a + b) / 2
        away = 0.9 * frame.letter
        at = {"front": (x + away, y, "start"), "back": (x - away, y, "end")}.get(name, (x, y, "middle"))
        beside = {"left": aside + 0.6 * frame.letter, "right": -aside - 1.4 * frame.letter}
        up = beside.get(name, y - 0.35 * frame.letter)
        yield label(at[0], up, f"{name} {palette.short_length(distance, system)}", at[2], colour=colour)


def _tyres(truck: Truck, pose: PoseReport, frame: DrawingFrame, system: System) -> Iterator[str]:
    axles = ((0.0, truck.case.machine.drive_axle), (-truck.case.machine.wheelbase, truck.case.machine.steer_axle))
    least = min(pose.tyre_loads, key=lambda name: pose.tyre_loads[name])
    for x, axle in axles:
        for tyre in axle.tyre:
            load, y = pose.tyre_loads[tyre.name], tyre.across
            wide, deep = tyre.diameter / 2, tyre.width / 2
            shape = f'x="{to_mm(x - wide)}" y="{to_mm(-y - deep)}" width="{to_mm(2 * wide)}" height="{to_mm(2 * deep)}"'
            yield f'<rect {shape} class="tyre{" least" if tyre.name == least else ""}"/>'
            yield label(x, y - 0.35 * frame.letter, palette.force(load, system), "middle", bold=True)


def _balance(pose: PoseReport, frame: DrawingFrame) -> Iterator[str]:
    x, y = pose.balance_point
    arm = 0.8 * frame.letter
    yield f'<circle cx="{to_mm(x)}" cy="{to_mm(-y)}" r="{to_mm(arm)}" class="balance"/>'
    cross = f"M{to_mm(x - arm)} {to_mm(-y)}h{to_mm(2 * arm)}M{to_mm(x)} {to_mm(-y - arm)}v{to_mm(2 * arm)}"
    yield f'<path d="{cross}" class="cross"/>'


def _in_frame(point: Array, position: tuple[float, float], heading: float) -> Array:
    c, s = math.cos(heading), math.sin(heading)
    x, y = point[0] - position[0], point[1] - position[1]
    return np.array([c * x + s * y, c * y - s * x])


def label(x: float, y: float, words: str, anchor: str, *, bold: bool = False, colour: str = "") -> str:
    """Write words with a pale edge about them, so that they are read on whatever lies below."""
    paint = f' fill="{colour}"' if colour else ""
    weight = ' font-weight="700"' if bold else ""
    return f'<text x="{to_mm(x)}" y="{to_mm(-y)}" text-anchor="{anchor}"{weight}{paint}>{escape(words)}</text>'
