"""What can be dragged in plan: which tyres a place gives way under, how far off a ramp begins, where the truck stands.

Each is a value of the form, by its key and within its limits: a place goes from tyre to tyre, the rest by steps.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from tipline import units
from tipline.model.origins import quantity_of
from tipline.model.plane import Point, turned
from tipline.scenario.spec import Breakthrough, Ramp, SoftPlace, Threshold
from tipline.units import FOOT, System
from tipline.view import palette
from tipline.view.outlines import to_mm
from tipline.workbench.grips import Grip

if TYPE_CHECKING:
    from tipline.model.machine import Machine
    from tipline.scenario import Case
    from tipline.scenario.spec import Event

__all__ = ["drawn_places", "place_grips", "way_grips", "where_it_stands"]

_STEP, _STEP_FEET = 0.1, 0.25
"""Steps of a place on the floor [m] and [ft] (our choice)."""
_TURN = 5
"""Steps of a heading [deg] (our choice)."""
_FAR = 20.0
"""So far [m] ahead a ramp or a threshold is dragged (our choice); farther off it is typed."""
_WIDE = 6.0
"""So wide [m] a ramp or a threshold is drawn at most (our choice)."""
_BESIDE = 0.4
"""So far [m] beside a place stands its grip (our choice)."""


def place_grips(case: Case) -> Iterator[Grip]:
    """Give a grip in the truck's frame for each place that gives way: beside the middle of the tyres it is under."""
    for number, event in enumerate(case.scenario.event):
        if isinstance(event, Breakthrough | SoftPlace):
            places = _tyre_places(case.machine, event.under, 0.5 * _size(event)[0] + _BESIDE)
            now = next(index for index, (names, _) in enumerate(places) if set(names) == set(event.under))
            yield _stepped(
                f"event.{number}.under", _label(number, event), str(number + 1), now,
                [(", ".join(names), place) for names, place in places],
            )  # fmt: skip


def way_grips(case: Case, system: System) -> Iterator[Grip]:
    """Give a grip on the floor for each ramp and threshold: where it begins."""
    position, heading = case.scenario.setup.position, case.scenario.setup.heading
    for number, event in enumerate(case.scenario.event):
        if isinstance(event, Ramp | Threshold):
            stops = _lengths(event.begins, system)
            ahead, aside = heading + event.towards, event.left_of if isinstance(event, Threshold) else 0.0
            places = [(said, _off(position, turned((far, aside), ahead))) for said, far in stops]
            now = next(index for index, (_, far) in enumerate(stops) if far == event.begins)
            yield _stepped(f"event.{number}.begins", _label(number, event), str(number + 1), now, places)


def where_it_stands(case: Case, reach: float, low: Point, high: Point, system: System) -> Iterator[Grip]:
    """Give the grips of the truck's place and heading on its floor; ``reach``: how far it reaches ahead [m].

    ``low``, ``high``: between which x and y [m] it is dragged.
    """
    setup = case.scenario.setup
    x, y = setup.position
    foot = FOOT if system == "us" else 1.0
    quantity = quantity_of(type(setup).model_fields["position"])
    least, most = quantity.ends() if quantity is not None else (-math.inf, math.inf)
    yield Grip(
        "setup.position", "Place of the truck", x, y, "plane", foot, x / foot, (),
        "ft" if system == "us" else "m", mark="+", step=_STEP_FEET if system == "us" else _STEP,
        aside=y / foot,
        ends=tuple(max(value, least) / foot for value in low) + tuple(min(value, most) / foot for value in high),
    )  # fmt: skip
    degrees = math.degrees(setup.heading) % 360.0
    stops = sorted({*map(float, range(0, 360, _TURN)), round(degrees, 6)})
    places = [(f"{stop:g} deg", _off((x, y), turned((reach, 0.0), math.radians(stop)))) for stop in stops]
    now = min(range(len(stops)), key=lambda index: abs(stops[index] - degrees))
    yield _stepped("setup.heading", "Heading of the truck", "\u21bb", now, places)


def drawn_places(case: Case) -> Iterator[str]:
    """Draw in the truck's frame what of the floor gives way under tyres, and where a ramp or a threshold begins."""
    for event in case.scenario.event:
        if isinstance(event, Breakthrough | SoftPlace):
            long, wide = _size(event)
            fill = palette.hex_of(palette.HOLE if isinstance(event, Breakthrough) else palette.SOFT)
            for name, x, y in _tyres(case.machine):
                if name in event.under:
                    corner = f'x="{to_mm(x - long / 2)}" y="{to_mm(-y - wide / 2)}"'
                    yield f'<rect {corner} width="{to_mm(long)}" height="{to_mm(wide)}" class="place" fill="{fill}"/>'
        elif isinstance(event, Ramp | Threshold):
            wide, aside = (event.width, event.left_of) if isinstance(event, Threshold) else (_WIDE, 0.0)
            half = 0.5 * min(wide, _WIDE)
            a, b = (turned((event.begins, aside + end), event.towards) for end in (-half, half))
            yield f'<path d="M{to_mm(a[0])} {to_mm(-a[1])}L{to_mm(b[0])} {to_mm(-b[1])}" class="way"/>'


def _stepped(key: str, label: str, mark: str, now: int, places: Sequence[tuple[str, Point]]) -> Grip:
    """Give a grip that goes from place to place, each with what is typed for it."""
    x, y = places[now][1]
    texts, points = tuple(said for said, _ in places), tuple(point for _, point in places)
    return Grip(
        key, label, x, y, "places", 1.0, now, tuple(range(len(places))), "", mark=mark, texts=texts, places=points
    )


def _size(event: Breakthrough | SoftPlace) -> Point:
    """Return how long and how wide a place is [m]."""
    return event.hole if isinstance(event, Breakthrough) else event.size


def _tyre_places(machine: Machine, under: Sequence[str], beside: float) -> list[tuple[tuple[str, ...], Point]]:
    """Give under which tyres a place can be: each alone, those of a side and of an axle together, and as it is now.

    Its grip is so far [m] beside them, ahead of the drive axle, behind the steer axle: on them stand their loads.
    """
    tyres = list(_tyres(machine))
    alone = [[tyre] for tyre in tyres]
    axles = [[tyre for tyre in tyres if tyre[1] == x] for x in dict.fromkeys(tyre[1] for tyre in tyres)]
    sides = [[tyre for tyre in group if (tyre[2] > 0.0) is left] for group in (*axles, tyres) for left in (True, False)]
    now = [tyre for tyre in tyres if tyre[0] in under]
    together = {frozenset(tyre[0] for tyre in group): group for group in (*alone, *sides, *axles, now) if group}
    return [(tuple(name for name, _, _ in group), _beside(group, beside)) for group in together.values()]


def _beside(group: Sequence[tuple[str, float, float]], by: float) -> Point:
    x, y = sum(x for _, x, _ in group) / len(group), sum(y for _, _, y in group) / len(group)
    if len({tyre[1] for tyre in group}) > 1:
        return x, y + math.copysign(by, y)
    return (x + by if x >= 0.0 else x - by), y


def _tyres(machine: Machine) -> Iterator[tuple[str, float, float]]:
    """Yield name and place [m] of each tyre in the truck's frame."""
    for x, axle in ((0.0, machine.drive_axle), (-machine.wheelbase, machine.steer_axle)):
        for tyre in axle.tyre:
            yield tyre.name, x, tyre.across


def _lengths(now: float, system: System) -> list[tuple[str, float]]:
    """Give whole steps of a length, and where it is now, as they are typed and in metres."""
    unit, factor, step = ("ft", FOOT, _STEP_FEET) if system == "us" else ("m", 1.0, _STEP)
    values = [
        (f"{round(step * number, 6):g} {unit}", step * number * factor)
        for number in range(1, int(_FAR / step / factor) + 1)
    ]
    others = [pair for pair in values if abs(pair[1] - now) > 1e-6]
    return sorted([*others, (units.retyped(f"{now:.6g} m", "length", system), now)], key=lambda pair: pair[1])


def _off(point: Point, by: Point) -> Point:
    return point[0] + by[0], point[1] + by[1]


def _label(number: int, event: Event) -> str:
    return f"Event {number + 1}: {event.kind.replace('_', ' ')}"
