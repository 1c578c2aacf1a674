"""To which side what happens takes the truck, as far as a scenario tells it before it is simulated.

The mast's play lies to the other side at the start, so that the mast comes across it as the truck leans: of holes asked
under either tyre that made the depth that tips up to 8 % less in most set-ups, none in some, and 2 % more in one.
Mirrored scenarios start mirrored by it.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, pi, sin
from typing import TYPE_CHECKING

from tipline.geometry.ground import ZoneLaw
from tipline.scenario.spec import Breakthrough, FloorTurns, Push, Ramp, SoftPlace, Swing, Wind

if TYPE_CHECKING:
    from tipline.engines.commands import PlaceOrder
    from tipline.scenario.case import Case

__all__ = ["side_taken"]

_ASIDE = 1e-6


def side_taken(case: Case, orders: Sequence[PlaceOrder], zones: Sequence[ZoneLaw]) -> int:
    """Return 1 where the first event that is to a side takes the truck left, -1 right; else the floor's; 0: neither."""
    sides = [(getattr(event, "at", 0.0), _of_event(case, event)) for event in case.scenario.event]
    told = [side for _, side in sorted(sides, key=lambda pair: pair[0]) if abs(side) > _ASIDE]
    if told:
        return 1 if told[0] > 0.0 else -1
    soft = [zone.middle for zone in zones if zone.law != "firm"]
    holes = [order.where[:2] for order in orders if order.where is not None]
    floor = sum(_sign(_left_of(case, middle)) for middle in (*soft, *holes))
    return _sign(floor)


def _of_event(case: Case, event: object) -> float:
    """Return how far to the left an event takes the truck, by sign; 0 where it is to no side."""
    if isinstance(event, Breakthrough | SoftPlace):
        tyres = (*case.machine.drive_axle.tyre, *case.machine.steer_axle.tyre)
        return sum(_sign(tyre.across) for tyre in tyres if tyre.name in event.under)
    if isinstance(event, FloorTurns | Swing):
        return sin(event.towards)
    if isinstance(event, Push):
        return sin(event.direction)
    if isinstance(event, Wind):
        return -sin(event.from_azimuth)
    if isinstance(event, Ramp):
        return sin(event.towards + (pi if event.goes == "up" else 0.0))
    return 0.0


def _left_of(case: Case, point: tuple[float, float]) -> float:
    """Return how far left of the truck's middle plane a point of the floor lies [m]."""
    setup = case.scenario.setup
    x, y = point[0] - setup.position[0], point[1] - setup.position[1]
    return cos(setup.heading) * y - sin(setup.heading) * x


def _sign(value: float) -> int:
    return (value > _ASIDE) - (value < -_ASIDE)
