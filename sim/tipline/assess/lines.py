"""Tip lines of a truck in any pose, and how far the balance point stands from them.

A tip line joins the points on which the truck would go over. To the front and the back these are the middles of the
outermost treads of one axle; to a side the middles of the outermost tread strips (a third of the width out), front and
rear. Where the steer axle pivots, the frame first swings about the line from the outer front strip to the pivot.
Every function takes one pose or many: poses stand in the leading axes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipline.kernels import layout as at

__all__ = ["LINES", "SIDES", "Outline", "balance_point", "distance", "line_ends", "outline", "resultant", "treads"]

Array = NDArray[np.float64]
Ends = tuple[Array, Array]

LINES = ("front", "back", "left", "right")
SIDES = ("left", "right")
_UPRIGHT_LEAST = 0.05


@dataclass(frozen=True)
class Outline:
    """The outermost tyres (rows of the tyre array), the steer axle's pivot in chassis axes, and whether it pivots."""

    front_left: int
    front_right: int
    rear_left: int
    rear_right: int
    pivot: Array
    pivots: bool


def outline(plant: at.Plant) -> Outline:
    """Find the outermost tyres of each axle; all bodies' centres may lie off the middle."""
    body = plant.tyre[:, at.T_BODY].astype(int)
    # chassis axes serve both axles: the axle's pivot point has the same y in chassis and truck
    shift = plant.axle[at.A_CY] - plant.axle[at.A_AY]
    across = plant.tyre[:, at.T_Y] + np.where(body == at.AXLE, shift, 0.0)
    drive, steer = np.flatnonzero(body == at.CHASSIS), np.flatnonzero(body == at.AXLE)
    return Outline(
        front_left=int(drive[np.argmax(across[drive])]),
        front_right=int(drive[np.argmin(across[drive])]),
        rear_left=int(steer[np.argmax(across[steer])]),
        rear_right=int(steer[np.argmin(across[steer])]),
        pivot=plant.axle[at.A_CX : at.A_CZ + 1].copy(),
        pivots=plant.axle[at.A_PULLS] == 0.0,
    )


def treads(tyre: Array, position: Array, rot: Array, level: Array | float = 0.0) -> Array:
    """Return where the three strips of each tyre meet the floor, or hang nearest to it: (..., tyres, 3, 3) [m].

    Parameters
    ----------
    tyre : (n, N_TYRE) tyre array of the plant
    position, rot : (..., 6, 3), (..., 6, 3, 3) of the bodies
    level : level of the floor under each tyre, (..., n) or one for all [m]
    """
    body = tyre[:, at.T_BODY].astype(int)
    turn = rot[..., body, :, :]
    hub = position[..., body, :] + np.einsum("...nij,nj->...ni", turn, tyre[:, at.T_X : at.T_Z + 1])
    axis = turn[..., :, 1]
    upright = np.sqrt(np.maximum(1.0 - axis[..., 2] ** 2, _UPRIGHT_LEAST**2))
    up = (np.array([0.0, 0.0, 1.0]) - axis[..., 2:3] * axis) / upright[..., None]
    aside = (np.arange(at.STRIPS) - (at.STRIPS - 1) / 2) * tyre[:, at.T_W, None] / at.STRIPS
    middle = hub[..., None, :] + aside[..., None] * axis[..., None, :]
    radius = tyre[:, at.T_R, None]
    under = np.asarray(level, dtype=np.float64)[..., None] if np.ndim(level) else level
    below = np.clip((middle[..., 2] - under) / upright[..., None], 0.1 * radius, radius)
    points: Array = middle - below[..., None] * up[..., None, :]
    return points


def line_ends(found: Outline, points: Array, position: Array, rot: Array) -> dict[str, Ends]:
    """Return both ends (..., 3) of each tip line, and of the swing lines where the axle pivots ("swing.left" ...).

    Lines run clockwise seen from above, so that a moment about them that holds the truck down is positive.
    """
    last, middle = at.STRIPS - 1, (at.STRIPS - 1) // 2

    def strip(tyre: int, which: int) -> Array:
        point: Array = points[..., tyre, which, :]
        return point

    ends = {
        "front": (strip(found.front_left, middle), strip(found.front_right, middle)),
        "back": (strip(found.rear_right, middle), strip(found.rear_left, middle)),
        "left": (strip(found.rear_left, last), strip(found.front_left, last)),
        "right": (strip(found.front_right, 0), strip(found.rear_right, 0)),
    }
    if found.pivots:
        pivot = position[..., at.CHASSIS, :] + np.einsum("...ij,j->...i", rot[..., at.CHASSIS, :, :], found.pivot)
        ends["swing.left"] = (pivot, strip(found.front_left, last))
        ends["swing.right"] = (strip(found.front_right, 0), pivot)
    return ends


def resultant(force: Array, point: Array) -> Ends:
    """Return the sum of forces (..., n, 3) [N] at points (..., n, 3) [m], and their moment about the origin [N m]."""
    return force.sum(axis=-2), np.cross(point, force).sum(axis=-2)


def distance(ends: Ends, force: Array, moment: Array) -> Array:
    """Return the distance (...) [m] from a tip line to where the resultant meets the floor; negative is past it.

    It is the moment about the true line in space, divided by the part of the force that presses on it.
    """
    start, end = ends
    along = end - start
    along = along / np.linalg.norm(along, axis=-1, keepdims=True)
    normal = np.array([0.0, 0.0, 1.0]) - along[..., 2:3] * along
    normal = normal / np.linalg.norm(normal, axis=-1, keepdims=True)
    about = np.sum(along * (moment - np.cross(start, force)), axis=-1)
    pressing = -np.sum(force * normal, axis=-1)
    with np.errstate(divide="ignore", invalid="ignore"):
        found: Array = np.where(pressing > 0.0, about / pressing, np.nan)
    return found


def balance_point(force: Array, moment: Array) -> Array:
    """Return where the resultant meets the floor, world x and y (..., 2) [m]."""
    with np.errstate(divide="ignore", invalid="ignore"):
        point: Array = np.stack((-moment[..., 1], moment[..., 0]), axis=-1) / force[..., 2:3]
    return point
