"""The floor's zones as the kernels read them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import cos, inf, sin, tan
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from tipline.errors import InputError
from tipline.kernels import layout as at
from tipline.model.floor import RigidZone
from tipline.model.plane import rectangle_of
from tipline.scenario.spec import Ramp, Scenario

if TYPE_CHECKING:
    from tipline.model.floor import Floor, Material, Zone
    from tipline.model.machine import TyreKind

__all__ = [
    "EVERYWHERE", "ZoneLaw", "floor_rise", "friction_over", "middle_of", "ramp_rows", "soft_laws", "zone_laws",
    "zone_rows",
]  # fmt: skip

Array = NDArray[np.float64]
_LAWS = {"firm": at.ZONE_FIRM, "soft": at.ZONE_SOFT, "holds": at.ZONE_HOLDS, "creeps": at.ZONE_CREEPS}

EVERYWHERE = 1000.0
"""Half the side of a floor that has no zones [m] (numerical: farther than any truck drives)."""


@dataclass(frozen=True)
class ZoneLaw:
    """How one rectangle of floor answers a tyre; SI, world plane.

    Attributes
    ----------
    name : as in the floor file
    middle, heading, size : the rectangle
    law : firm; soft (yields by pressure); holds (up to `strength`, then lets the tyre through); creeps
    friction : over the floor's own
    stiffness : tyre load over bending under it [N/m], 0 = rigid
    whole : sinks as one (a cover, a spreader)
    area : area that carries [m2], 0 = the tyre's patch
    soil : start of yielding [Pa], hardening [Pa/m], speed at twice it [m/s], bottom [m]; creeping: speed at 1 MPa
        [m/s], power, scale [m], bottom [m]
    knee : of yielding ground, depth [m], 0 = none, and the hardening past it [Pa/m]
    strength, depth : tyre load at which it lets the tyre through [N], how deep [m]
    together, reach, among : load of the tyres within a reach of each other at which it lets them through [N], the reach
        [m], how many they are
    friction_force, resistance : what holds a plug back [N], and [N s/m]
    hole : size of the hole, along and across the tyre [m]
    """

    name: str
    middle: tuple[float, float]
    heading: float
    size: tuple[float, float]
    law: Literal["firm", "soft", "holds", "creeps"] = "firm"
    friction: float = 1.0
    stiffness: float = 0.0
    whole: bool = False
    area: float = 0.0
    soil: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    knee: tuple[float, float] = (0.0, 0.0)
    strength: float = 0.0
    depth: float = 0.0
    together: float = inf
    reach: float = 0.0
    among: int = 1
    friction_force: float = 0.0
    resistance: float = 2.5e4
    hole: tuple[float, float] = (0.6, 0.6)

    @property
    def weakest(self) -> float:
        """The least tyre load at which it lets one through, alone or with its share of several [N]."""
        return min(self.strength, self.together / self.among)


def middle_of(corner: tuple[float, float], size: tuple[float, float], heading: float) -> tuple[float, float]:
    """Return the middle of a rectangle given by corner, size and heading about the corner."""
    c, s = cos(heading), sin(heading)
    return (
        corner[0] + 0.5 * (c * size[0] - s * size[1]),
        corner[1] + 0.5 * (s * size[0] + c * size[1]),
    )


def friction_over(part: Zone | Material, floor: Floor, kind: TyreKind) -> float:
    """Return the friction of a part of a floor over the floor's own, against a kind of tyre; 1 where it has none."""
    own = getattr(part, "friction", None)
    return 1.0 if own is None else float(own.against(kind) / floor.friction.against(kind))


def zone_laws(floor: Floor, kind: TyreKind) -> tuple[ZoneLaw, ...]:
    """Return the laws of parts that say themselves how they answer: soft ones, firm ones with friction of their own.

    kind : of tyre that drives and brakes, against which friction counts

    Raises
    ------
    InputError
        A soft zone has an outline instead of a rectangle.
    """
    return (*_firm_laws(floor, kind), *soft_laws(floor, kind))


def _firm_laws(floor: Floor, kind: TyreKind) -> Iterator[ZoneLaw]:
    """Yield what does not give and has another friction than the floor; what is no rectangle keeps the floor's."""
    far = 2 * EVERYWHERE
    for part in (floor.elsewhere, *floor.zone):
        friction = friction_over(part, floor, kind)
        if part.kind != "rigid" or friction == 1.0:
            continue
        if not isinstance(part, RigidZone):
            yield ZoneLaw("the main floor", (0.0, 0.0), 0.0, (far, far), friction=friction)
        elif (place := rectangle_of(part.corners)) is not None:
            yield ZoneLaw(part.name, place.middle, place.heading, place.size, friction=friction)


def soft_laws(floor: Floor, kind: TyreKind) -> tuple[ZoneLaw, ...]:
    """Return the laws of soft zones; raises as `zone_laws`."""
    laws = []
    for index, zone in enumerate(floor.zone):
        if zone.kind != "soft":
            continue
        if zone.corner is None or zone.size is None:
            msg = f"the soft zone {zone.name} has an outline; only a rectangle can be simulated"
            raise InputError(msg, key=f"floor.zone.{index}.outline", remedy="Give corner, size and heading.")
        soil = (zone.bearing_pressure, zone.hardening, zone.rate_speed, zone.most_depth)
        middle, friction = middle_of(zone.corner, zone.size, zone.heading), friction_over(zone, floor, kind)
        laws.append(ZoneLaw(zone.name, middle, zone.heading, zone.size, "soft", friction=friction, soil=soil))
    return tuple(laws)


def zone_rows(laws: Sequence[ZoneLaw]) -> Array:
    """Return the kernels' rows (n, N_ZONE) of the laws, units as `kernels.layout` has them [SI]."""
    rows = np.zeros((len(laws), at.N_ZONE))
    for row, law in zip(rows, laws, strict=True):
        row[at.Z_X], row[at.Z_Y] = law.middle
        row[at.Z_COS], row[at.Z_SIN] = cos(law.heading), sin(law.heading)
        row[at.Z_HX], row[at.Z_HY] = law.size[0] / 2, law.size[1] / 2
        row[at.Z_LAW], row[at.Z_MU], row[at.Z_K] = _LAWS[law.law], law.friction, law.stiffness
        row[at.Z_WHOLE], row[at.Z_AREA] = float(law.whole), law.area
        row[at.Z_YIELD : at.Z_MOST + 1] = law.soil
        row[at.Z_KNEE], row[at.Z_AFTER] = law.knee
        row[at.Z_HOLDS], row[at.Z_DEPTH] = law.strength, law.depth
        row[at.Z_LET], row[at.Z_SLOW] = law.friction_force, law.resistance
        row[at.Z_TOGETHER], row[at.Z_WITHIN] = law.together, law.reach
        row[at.Z_HOLE_X], row[at.Z_HOLE_Y] = law.hole
    return rows


def ramp_rows(scenario: Scenario) -> Array:
    """Return the kernels' row of the ramp in a scenario (0 or 1, N_RAMP) [SI]."""
    setup, rows = scenario.setup, np.zeros((0, at.N_RAMP))
    for event in scenario.event:
        if isinstance(event, Ramp):
            c, s = cos(setup.heading + event.towards), sin(setup.heading + event.towards)
            x, y = setup.position[0] + event.begins * c, setup.position[1] + event.begins * s
            rows = np.array([[x, y, c, s, tan(event.slope) * (1.0 if event.goes == "up" else -1.0), event.length]])
    return rows


def floor_rise(ramp: Array, x: Array, y: Array) -> Array:
    """Return the height of the floor [m] at points x, y (n,) [m] or of any one shape, given `ramp_rows`."""
    if not len(ramp):
        return np.zeros(np.broadcast(x, y).shape)
    row = ramp[0]
    way = row[at.G_COS] * (x - row[at.G_X]) + row[at.G_SIN] * (y - row[at.G_Y])
    return np.asarray(row[at.G_TAN] * np.clip(way, 0.0, row[at.G_LONG]))
