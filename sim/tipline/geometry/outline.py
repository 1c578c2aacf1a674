"""Where a truck can turn over: its outermost tyres, and the lines on which it is balanced as it goes over.

Source: [Own]
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipline.geometry.plant import Build
from tipline.kernels import layout as at
from tipline.kernels import watching as w
from tipline.kernels.tiplines import LIGHT
from tipline.mechanics.constants import STANDARD_GRAVITY as G

__all__ = ["Outline", "crest_rows", "left_tyres", "outline"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Outline:
    """A truck's outline: ``row`` (N_OUTLINE + tyres,) [SI] as `kernels.watching` has it; its axle's stops [rad]."""

    row: Array
    stop: float
    stop_right: float

    @property
    def pivots(self) -> bool:
        """Whether the steer axle pivots."""
        return bool(self.row[w.O_PIVOTS] > 0.0)

    @property
    def outermost(self) -> tuple[int, int, int, int]:
        """The outermost tyres: front left, front right, rear left, rear right."""
        a, b, c, d = (int(tyre) for tyre in self.row[w.O_FRONT_LEFT : w.O_REAR_RIGHT + 1])
        return a, b, c, d


def left_tyres(plant: at.Plant) -> NDArray[np.bool_]:
    """Return which tyres are on the left, flags (tyres,); all bodies' centres may lie off the middle."""
    across = _across(plant)
    return np.asarray(across > 0.5 * (across.max() + across.min()))


def _across(plant: at.Plant) -> Array:
    """Return how far left the hubs stand, from the chassis' centre (tyres,) [m]."""
    # chassis axes serve both axles: the axle's pivot point has the same y in chassis and truck
    shift = plant.axle[at.A_CY] - plant.axle[at.A_AY]
    return np.asarray(plant.tyre[:, at.T_Y] + np.where(plant.tyre[:, at.T_BODY] == at.AXLE, shift, 0.0))


def outline(build: Build, plant: at.Plant, *, hangs: bool) -> Outline:
    """Find the outline of a truck as built; hangs: whether a load that is a body of its own weighs at the hook."""
    row, across, left = np.zeros(w.N_OUTLINE + len(plant.tyre)), _across(plant).tolist(), left_tyres(plant)
    body = plant.tyre[:, at.T_BODY].tolist()
    for corner, axle in ((w.O_FRONT_LEFT, at.CHASSIS), (w.O_REAR_LEFT, at.AXLE)):
        own = [tyre for tyre, carrier in enumerate(body) if carrier == axle]
        row[corner], row[corner + 1] = max(own, key=lambda tyre: across[tyre]), min(own, key=lambda tyre: across[tyre])
    row[w.O_PIVOTS], row[w.O_HANGS] = plant.axle[at.A_PULLS] == 0.0, hangs
    row[w.O_LIGHT] = LIGHT * G * plant.mass.sum()
    row[w.O_X : w.O_Z + 1] = -build.centre[at.CHASSIS]
    row[w.N_OUTLINE :] = np.where(left, 1.0, -1.0)
    return Outline(row, float(plant.axle[at.A_STOP]), float(plant.axle[at.A_STOP_RIGHT]))


def crest_rows(build: Build, plant: at.Plant, edges: Outline) -> Array:
    """Return where the truck turns over each tip line (4, N_CREST) [m], nothing taken off for springs.

    Front and back lines run through the hubs, and the wheel's radius comes on top; side lines through the outer strips,
    with a pivoting axle on its stop.
    """
    tyre, body = plant.tyre, plant.tyre[:, at.T_BODY].astype(int)
    hubs = tyre[:, at.T_X : at.T_Z + 1] + build.centre[body] - build.centre[at.CHASSIS]
    pivot = plant.axle[at.A_CX : at.A_CZ + 1]

    def strip(which: int, side: float) -> Array:
        point = hubs[which] + np.array([0.0, side * tyre[which, at.T_W] / at.STRIPS, -tyre[which, at.T_R]])
        stop = edges.stop if side > 0.0 else edges.stop_right
        if body[which] != at.AXLE or not edges.pivots or stop == 0.0:
            return np.asarray(point)
        # going over to the left the frame rolls left side down, and its axle stays behind by the stop
        c, s = np.cos(side * stop), np.sin(side * stop)
        y, z = (point - pivot)[1:]
        return np.asarray(pivot + np.array([point[0] - pivot[0], c * y - s * z, s * y + c * z]))

    front_left, front_right, rear_left, rear_right = edges.outermost
    ends = (
        (hubs[front_left], hubs[front_right], tyre[front_left, at.T_R]),
        (hubs[rear_right], hubs[rear_left], tyre[rear_left, at.T_R]),
        (strip(rear_left, 1.0), strip(front_left, 1.0), 0.0),
        (strip(front_right, -1.0), strip(rear_right, -1.0), 0.0),
    )
    rows = np.zeros((4, w.N_CREST))
    for row, (start, end, radius) in zip(rows, ends, strict=True):
        row[w.C_START : w.C_END], row[w.C_END : w.C_RADIUS], row[w.C_RADIUS] = start, end, radius
    return rows
