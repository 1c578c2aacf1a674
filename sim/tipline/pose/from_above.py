"""A set-up seen from above, as plain shapes for a drawing: truck, lifted load, tyres, tip lines, balance point."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from tipline.endings import LINES
from tipline.kernels import layout as at
from tipline.kernels.tiplines import balance_point
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.model.machine import Machine
from tipline.model.plane import Outline, Point, hull
from tipline.statics.truck import Pose, Truck

__all__ = ["FromAbove", "from_above"]

Array = NDArray[np.float64]
Line = tuple[Point, Point]


@dataclass(frozen=True)
class FromAbove:
    """Shapes in the truck's frame [m]: x ahead of the drive axle, y to the left.

    ``parts``: outlines of frame, counterweight and what the mast holds; ``load``: that of the lifted load, () without;
    ``tyres``: corners of each from above, by name; ``lines``, ``swing``: ends of the tip lines and of the swing lines;
    ``balance``: where the weight presses; ``stands``: whether these are of the pose at rest, else as the truck would
    stand before its tyres and mast give way; ``place``, ``heading``: of the truck on its floor [m, rad]; ``slope``,
    ``falls``: of the floor, and where it falls to, from the heading [rad].
    """

    parts: tuple[Outline, ...] = ()
    load: Outline = ()
    tyres: Mapping[str, Outline] = field(default_factory=dict)
    lines: Mapping[str, Line] = field(default_factory=dict)
    swing: Mapping[str, Line] = field(default_factory=dict)
    balance: Point = (0.0, 0.0)
    stands: bool = True
    place: Point = (0.0, 0.0)
    heading: float = 0.0
    slope: float = 0.0
    falls: float = 0.0


def from_above(truck: Truck, pose: Pose) -> FromAbove:
    """Return the shapes of a truck at rest; of one that does not stand, as it is before anything gives way."""
    setup = truck.case.scenario.setup
    slope, falls = truck.case.slope
    lines = _lines(truck, pose) if pose.stands else _before(truck.case.machine)
    return FromAbove(
        parts=tuple(_from_above(truck, bodies) for bodies in _PARTS),
        load=_from_above(truck, (at.LOAD,)),
        tyres=_tyres(truck.case.machine),
        lines={name: lines[name] for name in LINES},
        swing={name: line for name, line in lines.items() if name not in LINES},
        balance=_pressing(truck, pose) if pose.stands else _weight(truck),
        stands=pose.stands,
        place=(float(setup.position[0]), float(setup.position[1])),
        heading=float(setup.heading),
        slope=float(slope),
        falls=float(falls),
    )


_PARTS = ((at.CHASSIS,), (at.COUNTERWEIGHT,), (at.MAST, at.CARRIAGE))


def _from_above(truck: Truck, bodies: tuple[int, ...]) -> Outline:
    """Return what bodies cover from above, as drawn; tyres and ropes are none of it."""
    solids = [
        part.vertices[:, :2]
        for part in truck.assembly.parts
        if part.body in bodies and part.kind not in ("tyre", "rope")
    ]
    return hull([(float(x), float(y)) for x, y in np.unique(np.concatenate(solids), axis=0)]) if solids else ()


def _tyres(machine: Machine) -> dict[str, Outline]:
    outlines: dict[str, Outline] = {}
    for x, axle in ((0.0, machine.drive_axle), (-machine.wheelbase, machine.steer_axle)):
        for tyre in axle.tyre:
            long, half = 0.5 * tyre.diameter, 0.5 * tyre.width
            y = tyre.across
            outlines[tyre.name] = (
                (x - long, y - half),
                (x + long, y - half),
                (x + long, y + half),
                (x - long, y + half),
            )
    return outlines


def _lines(truck: Truck, pose: Pose) -> dict[str, Line]:
    return {name: (_own(truck, start), _own(truck, end)) for name, (start, end) in pose.ends.items()}


def _before(machine: Machine) -> dict[str, Line]:
    """Return lines through the middles of the outermost tyres."""
    front, rear = (
        [(x, most(tyre.across for tyre in axle.tyre)) for most in (max, min)]
        for x, axle in ((0.0, machine.drive_axle), (-machine.wheelbase, machine.steer_axle))
    )
    ends = (tuple(front), (rear[1], rear[0]), (rear[0], front[0]), (front[1], rear[1]))
    return {name: (start, end) for name, (start, end) in zip(LINES, ends, strict=True)}


def _pressing(truck: Truck, pose: Pose) -> Point:
    x, y = balance_point(np.concatenate((pose.force, pose.moment)))
    return _own(truck, np.array((x, y)))


def _weight(truck: Truck) -> Point:
    """Return where the weight of the truck as built meets the floor, along gravity on its slope."""
    assembly, hook = truck.assembly, truck.assembly.points.hook
    centre = assembly.centre.copy()
    if truck.hung and hook is not None:
        centre[at.LOAD] = hook
    middle = assembly.mass @ centre / assembly.mass.sum()
    pull = truck.gravity(*truck.case.slope) / G
    x, y = (float(-middle[2] * pull[axis] / pull[2]) for axis in (0, 1))
    ahead = truck.ahead()
    return float(middle[0] + ahead[0] * x + ahead[1] * y), float(middle[1] + ahead[0] * y - ahead[1] * x)


def _own(truck: Truck, point: Array) -> Point:
    """Return a point of the world in the truck's frame."""
    x, y = (float(point[axis] - truck.case.scenario.setup.position[axis]) for axis in (0, 1))
    ahead = truck.ahead()
    if not isfinite(x + y):
        return x, y
    return float(ahead[0] * x + ahead[1] * y), float(ahead[0] * y - ahead[1] * x)
