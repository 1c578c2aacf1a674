"""Tip lines of a truck in any pose, and how far the balance point stands from them.

A tip line joins the points on which the truck would go over: of each axle the centre of what its tyres on that side
carry now. A distance is then nought exactly where nothing is left on the other side, which is where the equilibrium
ends: a truck as tall as a lift makes it does not stand on the treads of one side. Where the steer axle pivots, the
frame first swings about the line from the front tyre to the pivot. Its distance to the side is taken as with the stop
in: the frame turned about that line until the axle meets its stop; where that leaves less than the swing, the truck
goes over as it swings, and both distances are one.
Every function takes one pose or many: poses stand in the leading axes.

Source: [VukobratovicBorovac2004] (balance point), [Own] (lines)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipline.endings import LINES, SIDES
from tipline.kernels import layout as at
from tipline.kernels.tiplines import LIGHT, ON_EDGE
from tipline.mechanics.constants import STANDARD_GRAVITY as G

__all__ = [
    "LINES", "SIDES", "Outline", "balance_point", "distance", "distances", "edges", "feet", "line_ends", "outline",
    "resultant", "treads",
]  # fmt: skip

Array = NDArray[np.float64]
Ends = tuple[Array, Array]

_UPRIGHT_LEAST = 0.05


@dataclass(frozen=True)
class Outline:
    """The outermost tyres (rows of the tyre array); pivot of the steer axle in chassis axes, whether it pivots, stop.

    ``corners``: the tyres of front left, front right, rear left, rear right, the outermost first. ``light``: load [N]
    below which a corner counts as hardly pressed.
    """

    front_left: int
    front_right: int
    rear_left: int
    rear_right: int
    corners: tuple[NDArray[np.intp], ...]
    pivot: Array
    pivots: bool
    stop: float
    light: float


def outline(plant: at.Plant) -> Outline:
    """Find the outermost tyres of each axle; all bodies' centres may lie off the middle."""
    body = plant.tyre[:, at.T_BODY].astype(int)
    # chassis axes serve both axles: the axle's pivot point has the same y in chassis and truck
    shift = plant.axle[at.A_CY] - plant.axle[at.A_AY]
    across = plant.tyre[:, at.T_Y] + np.where(body == at.AXLE, shift, 0.0)
    middle, corners = 0.5 * (across.max() + across.min()), []
    for axle in (at.CHASSIS, at.AXLE):
        for side in (1.0, -1.0):
            out = side * (across - middle)
            outer = int(np.argmax(np.where(body == axle, out, -np.inf)))
            others = np.flatnonzero((body == axle) & (out > 0.0))
            corners.append(np.concatenate(([outer], others[others != outer])).astype(np.intp))
    front_left, front_right, rear_left, rear_right = (int(corner[0]) for corner in corners)
    return Outline(
        front_left=front_left,
        front_right=front_right,
        rear_left=rear_left,
        rear_right=rear_right,
        corners=tuple(corners),
        pivot=plant.axle[at.A_CX : at.A_CZ + 1].copy(),
        pivots=plant.axle[at.A_PULLS] == 0.0,
        stop=float(plant.axle[at.A_STOP]),
        light=LIGHT * G * float(plant.mass.sum()),
    )


def treads(tyre: Array, position: Array, rot: Array, level: Array | float = 0.0, steered: Array | float = 0.0) -> Array:
    """Return where the three strips of each tyre meet the floor, or hang nearest to it: (..., tyres, 3, 3) [m].

    Parameters
    ----------
    tyre : (n, N_TYRE) tyre array of the plant
    position, rot : (..., 6, 3), (..., 6, 3, 3) of the bodies
    level : level of the floor under each tyre, (..., n) or one for all [m]
    steered : angle to the left of each wheel, (..., n) or one for all [rad]
    """
    hub, axis = _wheels(tyre, position, rot, steered)
    aside = (np.arange(at.STRIPS) - (at.STRIPS - 1) / 2) * tyre[:, at.T_W, None] / at.STRIPS
    under = np.asarray(level, dtype=np.float64)[..., None] if np.ndim(level) else level
    return _tread(hub[..., None, :], axis[..., None, :], aside, tyre[:, at.T_R, None], under)


def _wheels(tyre: Array, position: Array, rot: Array, steered: Array | float) -> Ends:
    """Return hub and axis (..., n, 3) of each tyre."""
    body = tyre[:, at.T_BODY].astype(int)
    turn = rot[..., body, :, :]
    hub = position[..., body, :] + np.einsum("...nij,nj->...ni", turn, tyre[:, at.T_X : at.T_Z + 1])
    angle = np.asarray(steered)[..., None]
    return hub, np.cos(angle) * turn[..., :, 1] - np.sin(angle) * turn[..., :, 0]


def _tread(hub: Array, axis: Array, aside: Array, radius: Array, level: Array | float) -> Array:
    upright = np.sqrt(np.maximum(1.0 - axis[..., 2] ** 2, _UPRIGHT_LEAST**2))
    up = (np.array([0.0, 0.0, 1.0]) - axis[..., 2:3] * axis) / upright[..., None]
    middle = hub + aside[..., None] * axis
    below = np.clip((middle[..., 2] - level) / upright, 0.1 * radius, radius)
    points: Array = middle - below[..., None] * up
    return points


def feet(
    found: Outline,
    tyre: Array,
    position: Array,
    rot: Array,
    load: Array,
    contact: Array,
    level: Array | float = 0.0,
    steered: Array | float = 0.0,
) -> Array:
    """Return for each corner the centre of what its tyres carry now: (..., 4, 3) [m], in the order of ``corners``.

    Tyre, pose, steering as in `treads`; load (..., n) [N], contact (..., n, 3) [m] of each tyre. A load acts straight
    below its hub along the wheel, whichever part of the tread is pressed. A corner that is off the floor has the place
    where its tyres would come down: the middle of the treads, and as they lean more of their lower side; one that is
    hardly pressed lies between, so that a line does not jump as the first part of a tread touches.
    """
    hub, axis = _wheels(tyre, position, rot, steered)
    flat = axis[..., :2]
    out = np.sum((contact - hub)[..., :2] * flat, axis=-1) / np.maximum(np.sum(flat**2, axis=-1), _UPRIGHT_LEAST**2)
    pressed = np.concatenate((hub[..., :2] + out[..., None] * flat, contact[..., 2:]), axis=-1)
    aside = np.clip(-axis[..., 2] / ON_EDGE, -1.0, 1.0) * tyre[:, at.T_W] / at.STRIPS
    hanging = _tread(hub, axis, aside, tyre[:, at.T_R], level)
    corners = []
    for rows in found.corners:
        carried = np.maximum(load[..., rows], 0.0)[..., None]
        sum_of = np.sum(carried * pressed[..., rows, :], axis=-2) + found.light * hanging[..., rows, :].mean(axis=-2)
        corners.append(sum_of / (carried.sum(axis=-2) + found.light))
    return np.stack(corners, axis=-2)


def line_ends(found: Outline, foot: Array, position: Array, rot: Array) -> dict[str, Ends]:
    """Return both ends (..., 3) of each tip line, and of the swing lines where the axle pivots ("swing.left" ...).

    foot (..., 4, 3) as from `feet`. Lines run clockwise seen from above, so that a moment about them that holds the
    truck down is positive.
    """
    front_left, front_right, rear_left, rear_right = np.moveaxis(foot, -2, 0)
    ends = {
        "front": (front_left, front_right),
        "back": (rear_right, rear_left),
        "left": (rear_left, front_left),
        "right": (front_right, rear_right),
    }
    if found.pivots:
        pivot = position[..., at.CHASSIS, :] + np.einsum("...ij,j->...i", rot[..., at.CHASSIS, :, :], found.pivot)
        ends["swing.left"] = (pivot, front_left)
        ends["swing.right"] = (front_right, pivot)
    return ends


def edges(found: Outline, points: Array) -> dict[str, Ends]:
    """Return both ends (..., 3) of the lines on which the truck is balanced when it goes over, points as of `treads`.

    Ahead and behind these are the middles of the outermost treads of an axle, to a side their outer strips.
    """
    last, middle = at.STRIPS - 1, (at.STRIPS - 1) // 2
    return {
        "front": (points[..., found.front_left, middle, :], points[..., found.front_right, middle, :]),
        "back": (points[..., found.rear_right, middle, :], points[..., found.rear_left, middle, :]),
        "left": (points[..., found.rear_left, last, :], points[..., found.front_left, last, :]),
        "right": (points[..., found.front_right, 0, :], points[..., found.rear_right, 0, :]),
    }


def resultant(force: Array, point: Array) -> Ends:
    """Return the sum of forces (..., n, 3) [N] at points (..., n, 3) [m], and their moment about the origin [N m]."""
    return force.sum(axis=-2), np.cross(point, force).sum(axis=-2)


def distance(ends: Ends, force: Array, moment: Array) -> Array:
    """Return the distance (...) [m] from a tip line to where the resultant meets the floor; negative is past it.

    It is the moment about the true line in space, divided by the part of the force that presses on it.
    """
    start, along, normal = _axes(ends)
    about = np.sum(along * (moment - np.cross(start, force)), axis=-1)
    return _apart(about, force, normal)


def _axes(ends: Ends) -> tuple[Array, Array, Array]:
    """Return a line's start, its direction, and the upward normal to it."""
    start, end = ends
    along = end - start
    along = along / np.linalg.norm(along, axis=-1, keepdims=True)
    normal = np.array([0.0, 0.0, 1.0]) - along[..., 2:3] * along
    return start, along, normal / np.linalg.norm(normal, axis=-1, keepdims=True)


def _apart(about: Array, force: Array, normal: Array) -> Array:
    pressing = -np.sum(force * normal, axis=-1)
    with np.errstate(divide="ignore", invalid="ignore"):
        found: Array = np.where(pressing > 0.0, about / pressing, np.nan)
    return found


def distances(
    found: Outline, ends: dict[str, Ends], rot: Array, whole: Ends, frame: Ends, centre: Array
) -> dict[str, Array]:
    """Return the distance (...) [m] to each tip line, and each swing line where the axle pivots.

    whole, frame: force and moment, as of `resultant`, on the truck and on all of it but the steer axle, which has its
    centre of mass at ``centre`` (..., 3).
    """
    apart = {name: distance(pair, *(frame if name.startswith("swing") else whole)) for name, pair in ends.items()}
    for side in SIDES if found.pivots else ():
        less = _onto_stop(found, ends, side, rot, whole[0], frame[0], centre)
        apart[side] = np.fmax(apart[side] + less, apart[f"swing.{side}"])
    return apart


def _onto_stop(
    found: Outline, ends: dict[str, Ends], side: str, rot: Array, whole: Array, frame: Array, centre: Array
) -> Array:
    """Return what the distance to a side gains (below 0: loses) as the frame turns on until the axle meets its stop.

    The frame turns about the line from the front tyre to the pivot, as a rigid body; what the tyres and the mast give
    as it comes to rest there is left out.
    """
    sense = 1.0 if side == "left" else -1.0
    front, pivot = ends["swing.left"][::-1] if side == "left" else ends["swing.right"]
    ahead = front - pivot
    ahead = ahead / np.linalg.norm(ahead, axis=-1, keepdims=True)
    swung = np.sum(rot[..., at.AXLE, :, 1] * rot[..., at.CHASSIS, :, 2], axis=-1)
    angle = np.maximum(found.stop - sense * swung, 0.0) / np.sum(ahead * rot[..., at.CHASSIS, :, 0], axis=-1)
    moved = -sense * angle[..., None] * np.cross(ahead, centre - pivot)
    _, along, normal = _axes(ends[side])
    return _apart(np.sum(along * np.cross(moved, frame), axis=-1), whole, normal)


def balance_point(force: Array, moment: Array) -> Array:
    """Return where the resultant meets the floor, world x and y (..., 2) [m]."""
    with np.errstate(divide="ignore", invalid="ignore"):
        point: Array = np.stack((-moment[..., 1], moment[..., 0]), axis=-1) / force[..., 2:3]
    return point
