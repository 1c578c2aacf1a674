"""Points of the bodies that can meet the floor when the truck leans, sinks or goes over."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tipline.geometry.chassis import lines_of
from tipline.geometry.counterweight import slab_centre
from tipline.geometry.mast import mast_top
from tipline.model.machine import Machine

__all__ = ["ContactPoint", "box_corners", "carriage_points", "counterweight_points", "frame_points", "mast_points"]

_SIDES = (("left", 1.0), ("right", -1.0))


class ContactPoint(NamedTuple):
    """A named point of a body, position (3,) in the truck frame [m]."""

    name: str
    body: int
    position: NDArray[np.float64]


def _point(name: str, body: int, x: float, y: float, z: float) -> ContactPoint:
    return ContactPoint(name, body, np.array((x, y, z), dtype=np.float64))


def frame_points(machine: Machine) -> list[ContactPoint]:
    """Belly corners, rear corners of the frame, corners of the overhead guard."""
    c, at = machine.chassis, lines_of(machine)
    rear_belly = -machine.wheelbase + 0.55 * machine.steer_axle.tyre[0].diameter / 2
    spots = (
        ("belly-front", at.nose - 0.1, at.hull, at.belly),
        ("belly-rear", rear_belly, at.hull, at.belly),
        ("frame-rear", at.rear, 0.75 * at.half, at.belly + 0.12),
        ("guard-front", c.guard_front - 0.05, 0.9 * at.half + 0.035, c.guard_height),
        ("guard-rear", c.guard_rear - 0.05, 0.9 * at.half + 0.035, c.guard_height),
    )
    return [_point(f"{name}-{side}", 0, x, s * y, z) for name, x, y, z in spots for side, s in _SIDES]


def counterweight_points(machine: Machine, extension: float, slabs: int) -> list[ContactPoint]:
    """Lower corners of the slider and upper rear corners of what stands on it."""
    cw = machine.counterweight
    x, _, z = cw.centre
    a, b, c = (size / 2 for size in cw.size)
    x -= extension
    top = (x - a, b, z + c)
    if slabs and machine.ballast_slab is not None:
        size = machine.ballast_slab.size
        sx, _, sz = slab_centre(machine, slabs - 1, extension)
        top = (sx - size[0] / 2, 0.75 * size[1] / 2, sz + size[2] / 2)
    spots = (
        ("counterweight-rear", x - a, b, z - 0.64 * c),
        ("counterweight-front", x + a, b, z - c),
        ("counterweight-top", *top),
    )
    return [
        _point(f"{name}-{side}", 4, x, machine.counterweight.centre[1] + s * y, z)
        for name, x, y, z in spots
        for side, s in _SIDES
    ]


def mast_points(machine: Machine, fork_height: float) -> list[ContactPoint]:
    """Foot and top of the mast, upright."""
    m = machine.mast
    spots = (("mast-foot", m.foot_height), ("mast-top", mast_top(machine, fork_height)))
    return [_point(f"{name}-{side}", 2, m.face, s * m.width / 2, z) for name, z in spots for side, s in _SIDES]


def carriage_points(
    machine: Machine, fork_height: float, attachment: str, tip: tuple[float, float]
) -> list[ContactPoint]:
    """List ends of the carriage, tips and heels of the forks, or the jib's tip at ``tip`` = (x, z); upright."""
    c = machine.carriage
    points = [_point(f"carriage-{side}", 3, c.face, s * c.width / 2, fork_height + 0.02) for side, s in _SIDES]
    f = machine.forks
    if attachment == "forks" and f is not None:
        spots = (
            ("fork-tip", c.face + f.length, fork_height - 0.28 * f.thickness),
            ("fork-heel", c.face, fork_height - f.thickness),
        )
        points += [_point(f"{name}-{side}", 3, x, s * f.spread / 2, z) for name, x, z in spots for side, s in _SIDES]
    if attachment == "jib":
        points.append(_point("jib-tip", 3, tip[0], 0.0, tip[1]))
    return points


def box_corners(middle: tuple[float, float, float], size: tuple[float, float, float]) -> list[ContactPoint]:
    """Corners of the lifted load's stated size, its underside's middle at ``middle``."""
    a, b = size[0] / 2, size[1] / 2
    return [
        _point(f"load-{level}-{end}-{side}", 5, middle[0] + t * a, middle[1] + s * b, middle[2] + up)
        for level, up in (("bottom", 0.0), ("top", size[2]))
        for end, t in (("front", 1.0), ("rear", -1.0))
        for side, s in _SIDES
    ]
