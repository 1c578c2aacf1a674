"""To which side what happens takes the truck, as far as a scenario tells it before it is simulated.

The mast's play lies to the other side at the start, so that the mast comes across it as the truck leans: of holes asked
under either tyre that made the depth that tips up to 8 % less in most set-ups, none in some, and 2 % more in one.
Mirrored scenarios start mirrored by it.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, sin
from typing import TYPE_CHECKING

from tipline.geometry.ground import ZoneLaw
from tipline.scenario.commanded import Inputs
from tipline.scenario.kinds import kind_of
from tipline.scenario.spec import Scenario

if TYPE_CHECKING:
    from tipline.engines.commands import PlaceOrder

__all__ = ["side_taken"]

_ASIDE = 1e-6
"""A point less far [m] to a side is in the middle (numerical)."""


def side_taken(inputs: Inputs, orders: Sequence[PlaceOrder], zones: Sequence[ZoneLaw]) -> int:
    """Return 1 where the first event that is to a side takes the truck left, -1 right; else the floor's; 0: neither."""
    scenario, machine = inputs
    sides = [(getattr(event, "at", 0.0), kind_of(event).left(event, machine)) for event in scenario.event]
    directions = [side for _, side in sorted(sides, key=lambda pair: pair[0]) if abs(side) > _ASIDE]
    if directions:
        return 1 if directions[0] > 0.0 else -1
    soft = [zone.middle for zone in zones if zone.law != "firm"]
    holes = [order.where[:2] for order in orders if order.where is not None]
    floor = sum(_sign(_left_of(scenario, middle)) for middle in (*soft, *holes))
    return _sign(floor)


def _left_of(scenario: Scenario, point: tuple[float, float]) -> float:
    """Return how far left of the truck's middle plane a point of the floor lies [m]."""
    setup = scenario.setup
    x, y = point[0] - setup.position[0], point[1] - setup.position[1]
    return cos(setup.heading) * y - sin(setup.heading) * x


def _sign(value: float) -> int:
    return (value > _ASIDE) - (value < -_ASIDE)
