"""A load that lies free on the forks, at rest: how its weight presses it in, and how friction holds it.

Source: [TextbookMechanics] (a rigid body on springs)
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.geometry.boxes import turned_back
from tipline.kernels import equilibrium as rest
from tipline.kernels import layout as at
from tipline.kernels.meeting import nearness, touching

if TYPE_CHECKING:
    from tipline.geometry.boxes import Box
    from tipline.geometry.plant import Build

__all__ = ["grip", "lay"]

Array = NDArray[np.float64]

_UPRIGHT = 0.7
"""Cosine of a contact's lean from the forks' own vertical up to which it carries (numerical: 0 and 1 occur)."""


def lay(build: Build, boxes: tuple[Box, ...], position: Array, rot: Array, gravity: Array) -> Array:
    """Turn the load to how it lies on the forks, in rot (6, 3, 3), and return where its centre is (3,) [m].

    position (6, 3), rot: of the truck at rest. The corners of what it has in common with each fork press alike stiff.
    """
    plant, offset = build.plant, build.centre[at.LOAD] - build.centre[at.CARRIAGE]
    load = next(box for box in boxes if box.body == at.LOAD)
    turn = turned_back(load.back)
    axes, centre = rot[at.CARRIAGE] @ turn, build.centre[at.LOAD] @ turn
    mass = float(plant.mass[at.LOAD])
    along, across, down = mass * (gravity @ axes) * (1.0, 1.0, -1.0)
    own = _common(load, [box for box in boxes if box.name == "fork"]) - centre[:2]
    low = float(centre[2] - (np.array(load.middle) @ turn)[2] + load.half[2])
    on, sag = np.ones(len(own), dtype=bool), np.zeros(3)
    places = np.column_stack([np.ones(len(own)), own])
    k = float(plant.pair[plant.pair[:, at.Q_RESTS] > 0.0, at.Q_K].min(initial=np.inf))
    while on.sum() >= 3:
        needed = np.array([down, low * along, low * across]) / k
        sag = np.linalg.lstsq(places[on].T @ places[on], needed, rcond=None)[0]
        lifted = on & (places @ sag < 0.0)
        if not lifted.any():
            break
        on &= ~lifted
    about, tilt = sag[1] * axes[:, 1] - sag[2] * axes[:, 0], np.zeros((3, 3))
    rest.exponential(float(about[0]), float(about[1]), float(about[2]), tilt)
    rot[at.LOAD] = tilt @ rot[at.CARRIAGE]
    place: Array = position[at.CARRIAGE] + rot[at.CARRIAGE] @ offset - sag[0] * axes[:, 2]
    return place


def _common(load: Box, forks: list[Box]) -> Array:
    """Return the corners, in plan, of what a load and each fork have in common (n, 2)."""
    (x, y, _), (a, b, _) = np.array(load.middle) @ turned_back(load.back), load.half
    points = []
    for fork in forks:
        (u, v, _), (c, d, _) = np.array(fork.middle) @ turned_back(fork.back), fork.half
        xs, ys = (max(x - a, u - c), min(x + a, u + c)), (max(y - b, v - d), min(y + b, v + d))
        if xs[0] < xs[1] and ys[0] < ys[1]:
            points += [(ahead, aside) for ahead in xs for aside in ys]
    return np.array(points).reshape(-1, 2)


def grip(build: Build, memory: at.Memory, position: Array, rot: Array, gravity: Array) -> None:
    """Put into a memory the contacts on which a load lies, pressed in as deep as they are, and friction that holds it.

    position (6, 3) [m], rot (6, 3, 3): with the load laid. What it stands against, beside it, does not press on it.
    """
    plant, still, scratch = build.plant, np.zeros((6, 6)), np.zeros((6, 6))
    contacts: list[tuple[Array, Array, Array, float]] = []
    up = rot[at.CARRIAGE][:, 2]
    for i in np.flatnonzero(plant.pair[:, at.Q_RESTS] > 0.0):
        pair = plant.pair[i]
        a, b = plant.box[int(pair[at.Q_A])], plant.box[int(pair[at.Q_B])]
        middles, frames = np.zeros((2, 3)), np.zeros((2, 3, 3))
        if nearness(a, b, position, rot, middles, frames) > 0.0:
            continue
        touching(
            1e-3, pair, a, b, position, still, middles, frames, memory.meets[i], memory.corners[i],
            memory.crossings[i], np.zeros(at.N_ENERGY), scratch, np.zeros((6, 6)), np.zeros((3, 3)),
        )  # fmt: skip
        sign = 1.0 if int(a[at.B_BODY]) == at.LOAD else -1.0
        for c in np.flatnonzero(memory.corners[i, :, 0]):
            side, face = c // 8, int(abs(memory.corners[i, c, 0])) - 1
            q = frames[1 - side]
            way = sign if side == 0 else -sign
            if abs(q[:, face] @ up) > _UPRIGHT:
                contacts.append(
                    (memory.corners[i, c], way * q[:, (face + 1) % 3], way * q[:, (face + 2) % 3], pair[at.Q_KT])
                )
        for c in np.flatnonzero(memory.crossings[i, :, 0]):
            p, q = frames[0][:, c // 48], frames[1][:, c // 16 % 3]
            n = np.cross(p, q)
            n /= np.linalg.norm(n)
            if abs(n @ up) > _UPRIGHT:
                contacts.append((memory.crossings[i, c], sign * q, sign * np.cross(n, q), pair[at.Q_KT]))
    weight = plant.mass[at.LOAD] * gravity
    for kept, first, second, kt in contacts:
        # what a contact bends it holds the load with
        kept[1], kept[2] = (weight @ first) / (len(contacts) * kt), (weight @ second) / (len(contacts) * kt)
        kept[3] = 0.0
