"""Rocking block stepped with the engine's contact of bodies with the floor: period, impact, push that turns it over.

Only the contact law is the engine's. It is soft, Housner's block lands at once and without rebound; the impact and
the push are therefore done on a stiff floor that takes rebound out (the program's own is softer and bouncier).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import atan2, cos, hypot, sin

import numpy as np

from tipline.closing_in import closed_in
from tipline.geometry.plant import POINT_DAMPING, POINT_FRICTION, POINT_MOST, POINT_STIFFNESS
from tipline.kernels import layout as at
from tipline.kernels.touch import body_points
from tipline.selftest.check import Check
from tipline.units import STANDARD_GRAVITY as G

__all__ = ["CHECKS"]

HALF_WIDTH, HALF_HEIGHT = 0.5, 2.0
SLENDERNESS = atan2(HALF_WIDTH, HALF_HEIGHT)
MASS = 5000.0
STEP = 5e-4


@dataclass(frozen=True)
class Contact:
    """Stiffness [N/m] and damping [s/m] of a corner on the floor, and the share of the mass that may stop in a step."""

    stiffness: float = POINT_STIFFNESS
    damping: float = POINT_DAMPING
    most: float = POINT_MOST


PLASTIC = Contact(2e8, 8.0, 1.0)


class Block:
    """A rigid block in its plane on two corners, stepped like the engine's bodies: forces, speeds, then places."""

    def __init__(self, contact: Contact, lean: float) -> None:
        points = np.zeros((2, at.N_POINT))
        for point, x in zip(points, (-HALF_WIDTH, HALF_WIDTH), strict=True):
            point[at.C_X], point[at.C_Z], point[at.C_ARM] = x, -HALF_HEIGHT, hypot(HALF_WIDTH, HALF_HEIGHT)
            point[at.C_K], point[at.C_CHI], point[at.C_MU] = contact.stiffness, contact.damping, POINT_FRICTION
            point[at.C_KT], point[at.C_CT] = 0.5 * contact.stiffness, 2e4
            point[at.C_MOST] = contact.most * MASS
        none = np.zeros(0)
        mass = np.zeros(at.N_BODY)
        mass[at.CHASSIS] = MASS
        self._plant = at.Plant(
            np.zeros((6, 4)), mass, np.zeros((6, 3, 3)), np.zeros((0, at.N_TYRE)), none, none, none, points,
            np.zeros((0, at.N_PLACE)), np.zeros((0, 4)), np.zeros((0, at.N_ZONE)), none,
            np.zeros((0, at.N_RAMP)), np.zeros((0, at.N_BOX)), np.zeros((0, at.N_PAIR)),
        )  # fmt: skip
        self._memory = at.new_memory(self._plant)
        self._position, self._turn = np.zeros((6, 3)), np.zeros((6, 3, 3))
        self._speed, self._wrench, self._row = np.zeros((6, 6)), np.zeros((6, 6)), np.zeros(at.N_SINGLE)
        self.lean = lean
        self._position[0, 2] = HALF_HEIGHT * cos(lean) + HALF_WIDTH * abs(sin(lean)) - MASS * G / contact.stiffness

    def step(self, push: float = 0.0) -> None:
        """Advance by one step under a level acceleration [m/s2]."""
        c, s = cos(self.lean), sin(self.lean)
        self._turn[0] = (c, 0.0, s), (0.0, 1.0, 0.0), (-s, 0.0, c)
        self._wrench[:] = 0.0
        body_points(STEP, self._plant, self._memory, self._position, self._turn, self._speed, self._wrench, self._row)
        speed, wrench = self._speed[0], self._wrench[0]
        speed[0] += STEP * (wrench[0] / MASS + push)
        speed[2] += STEP * (wrench[2] / MASS - G)
        speed[4] += STEP * wrench[4] / (MASS * (HALF_WIDTH**2 + HALF_HEIGHT**2) / 3.0)
        self._position[0] += STEP * speed[:3]
        self.lean += STEP * float(speed[4])


def quarter_period() -> float:
    """Time [s] from half the slenderness angle, let go, to upright, on the program's own contact."""
    block, steps = Block(Contact(), 0.5 * SLENDERNESS), 0
    while block.lean > 0.0:
        block.step()
        steps += 1
    return steps * STEP


def energy_kept() -> float:
    """Share of the energy that the first impact leaves, from the lean reached after it."""
    block, furthest = Block(PLASTIC, 0.5 * SLENDERNESS), 0.0
    while block.lean > 0.0:
        block.step()
    while block.lean <= furthest:
        furthest = block.lean
        block.step()

    def above(lean: float) -> float:
        return cos(SLENDERNESS - lean) - cos(SLENDERNESS)

    return above(-furthest) / above(0.5 * SLENDERNESS)


def shortest_push(strength: float) -> float:
    """Shortest time [s] for which a level acceleration of strength g alpha must push to turn the block over."""
    push = strength * G * SLENDERNESS
    return 0.5 * sum(closed_in(lambda lasts: _turns_over(push, lasts), 0.3, 1.0, close=2e-3))


def _turns_over(push: float, lasts: float) -> bool:
    block = Block(PLASTIC, 0.0)
    for k in range(round(6.0 / STEP)):
        block.step(push if k * STEP < lasts else 0.0)
        if block.lean > 1.3 * SLENDERNESS:
            return True
        if k * STEP > lasts and block.lean < 0.02 * SLENDERNESS:
            return False
    return False


def _through_engine(name: str, what: str, printed: str, call: Callable[[], float], tolerance: float, why: str) -> Check:
    place = "formula from memory, derived again; through the engine's contact"
    return Check(name, what, printed, "Housner1963", place, "derived here", call, tolerance, why)


CHECKS = (
    _through_engine(
        "engine-rocking-period", "Rocking period of a 1 m by 4 m block, stepped", "2.78893 s",
        lambda: 4.0 * quarter_period(), 0.02, "corners sink in, and the formula is for small leans",
    ),
    _through_engine(
        "engine-rocking-impact", "Energy that block keeps at an impact, stepped, stiff dead floor", "0.831315",
        energy_kept, 0.015, "the floor gives way; with the program's own contact 0.90",
    ),
    _through_engine(
        "engine-rocking-push", "Shortest push of strength 1.5 that turns it over, stepped", "0.581635 s",
        lambda: shortest_push(1.5), 0.02, "the formula is for small leans",
    ),
)  # fmt: skip
