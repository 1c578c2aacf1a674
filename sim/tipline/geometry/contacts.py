"""Points of the bodies that can meet the floor when the truck leans, sinks or goes over.

A test holds that no drawn solid reaches below them by more than a little, however the truck leans. Left out: what hangs
from the jib on the hoist rope, which gives way, and what stands inside the outline of other parts.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tipline.geometry.chassis import lines_of, pod_corners
from tipline.geometry.counterweight import slab_centre
from tipline.geometry.mast import backrest_top, carriage_front, mast_top
from tipline.model.machine import Machine

__all__ = ["ContactPoint", "box_corners", "carriage_points", "counterweight_points", "frame_points", "mast_points"]

_SIDES = (("left", 1.0), ("right", -1.0))
"""Sides with the sign of their y, by definition."""


class ContactPoint(NamedTuple):
    """A named point of a body, position (3,) in the truck frame [m]."""

    name: str
    body: int
    position: NDArray[np.float64]


def _point(name: str, body: int, x: float, y: float, z: float) -> ContactPoint:
    return ContactPoint(name, body, np.array((x, y, z), dtype=np.float64))


def frame_points(machine: Machine) -> list[ContactPoint]:
    """Belly corners, rear corners of the frame, corners of the side pods with their steps, of the overhead guard."""
    c, at = machine.chassis, lines_of(machine)
    rear_belly = -machine.wheelbase + 0.55 * machine.steer_axle.tyre[0].diameter / 2
    spots = (
        ("belly-front", at.nose - 0.1, at.hull, at.belly),
        ("belly-rear", rear_belly, at.hull, at.belly),
        ("frame-rear", at.rear, 0.75 * at.half, at.belly + 0.12),
        ("guard-front", c.guard_front - 0.05, 0.9 * at.half + 0.035, c.guard_height),
        ("guard-rear", c.guard_rear - 0.05, 0.9 * at.half + 0.035, c.guard_height),
        *pod_corners(machine, at),
    )
    return [_point(f"{name}-{side}", 0, x, s * y, z) for name, x, y, z in spots for side, s in _SIDES]


def counterweight_points(machine: Machine, extension: float, slabs: int) -> list[ContactPoint]:
    """Corners of the slider behind and below, upper corners of what stands on it."""
    cw = machine.counterweight
    x, _, z = cw.centre
    a, b, c = (size / 2 for size in cw.size)
    x -= extension
    spots = [
        ("counterweight-rear", x - a, b, z - 0.64 * c),
        ("counterweight-under", x - a + 0.18 * c, b, z - c),
        ("counterweight-front", x + a, b, z - c),
        ("counterweight-top", x - a, b, z + 0.82 * c),
        ("counterweight-top-front", x + a, b, z + c),
    ]
    if slabs and machine.ballast_slab is not None:
        (sx, _, sz), (long, wide, high) = slab_centre(machine, slabs - 1, extension), machine.ballast_slab.size
        cut, top = 0.25 * long / 2, sz + high / 2
        spots += [
            ("ballast-rear", sx - long / 2, wide / 2 - cut, top),
            ("ballast-side-rear", sx - long / 2 + cut, wide / 2, top),
            ("ballast-side-front", sx + long / 2 - cut, wide / 2, top),
        ]
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
    front, top = carriage_front(machine), backrest_top(machine, fork_height, backrest=attachment == "forks")
    spots = [("carriage", front, c.width / 2, fork_height + 0.02), ("carriage-top", front, c.width / 2, top)]
    f = machine.forks
    if attachment == "forks" and f is not None:
        outer = (f.spread + f.width) / 2
        spots += [
            ("fork-tip", c.face + f.length, outer, fork_height - 0.28 * f.thickness),
            ("fork-tip-top", c.face + f.length, outer, fork_height),
            ("fork-middle", c.face + f.length / 2, outer, fork_height - f.thickness),
            ("fork-heel", c.face, outer, fork_height - f.thickness),
        ]
    if attachment == "jib" and machine.jib is not None:
        end, half = tip[0] + 0.55 * machine.jib.section, 0.38 * machine.jib.section
        spots += [("jib-end", end, 0.8 * half, tip[1]), ("jib-end-top", end, 0.8 * half, tip[1] + 2 * half)]
    return [_point(f"{name}-{side}", 3, x, s * y, z) for name, x, y, z in spots for side, s in _SIDES]


def box_corners(middle: tuple[float, float, float], size: tuple[float, float, float]) -> list[ContactPoint]:
    """Corners of the lifted load's stated size, its underside's middle at ``middle``."""
    a, b = size[0] / 2, size[1] / 2
    return [
        _point(f"load-{level}-{end}-{side}", 5, middle[0] + t * a, middle[1] + s * b, middle[2] + up)
        for level, up in (("bottom", 0.0), ("top", size[2]))
        for end, t in (("front", 1.0), ("rear", -1.0))
        for side, s in _SIDES
    ]
