"""Bodies in joint coordinates by themselves: energy without forces, a pendulum, the solver of the mass matrix."""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest
from numpy.typing import NDArray

from tipline.engines.prepare import Prepared
from tipline.engines.rolled import state_of
from tipline.kernels import dynamics as joint
from tipline.kernels import layout as at
from tipline.kernels import reading
from trucks import HUNG, G, start

Array = NDArray[np.float64]
MOVES = '[[event]]\nkind = "counterweight"\nat = "0.3 s"\nto = "1.0 m"\n'


class Bodies:
    """A plant stepped under wrenches of the test's own."""

    def __init__(self, plant: at.Plant, x: Array, u: Array) -> None:
        self.plant, self.x, self.u = plant, x, u
        self.raw, self.turn, self.scratch = np.zeros((6, 13)), np.zeros((2, 3, 3)), np.zeros((23, 12))
        self.rot, self.wrench, self.a = np.zeros((6, 3, 3)), np.zeros((6, 6)), np.zeros(joint.N_U)
        self.look()

    def look(self) -> None:
        plant = self.plant
        joint.place_bodies(self.x, self.u, plant.mass, plant.axle, plant.mast, plant.link, self.turn, self.raw)
        for body in range(6):
            joint.quaternion_turn(self.raw[body], 3, self.rot[body])

    def step(self, dt: float) -> None:
        plant = self.plant
        joint.accelerations(
            0.0, (0.0, 0.0, 0.0), plant.mass, plant.inertia, plant.axle, plant.mast, plant.link, self.u,
            self.raw[:, :3], self.rot, self.raw[:, 7:], self.wrench, self.scratch, self.a,
        )  # fmt: skip
        joint.move(dt, dt, self.a, self.x, self.u, bool(plant.mass[at.LOAD] > 0.0))
        self.look()

    def energy(self) -> float:
        turning = np.einsum("bji,bj->bi", self.rot, self.raw[:, 10:])
        spin = np.einsum("bi,bij,bj->b", turning, self.plant.inertia, turning)
        there = self.plant.mass > 0.0
        return float(0.5 * (self.plant.mass * (self.raw[:, 7:10] ** 2).sum(axis=1) + spin)[there].sum())

    def momentum(self) -> tuple[Array, Array]:
        """Linear and angular momentum about the world's origin."""
        m, v = self.plant.mass[:, None], self.raw[:, 7:10]
        inertia = np.einsum("bij,bjk,blk->bil", self.rot, self.plant.inertia, self.rot)
        own = np.einsum("bij,bj->bi", inertia, self.raw[:, 10:]) * (m > 0.0)
        return (m * v).sum(axis=0), (own + np.cross(self.raw[:, :3], m * v)).sum(axis=0)


def coordinates(prepared: Prepared) -> tuple[Array, Array]:
    """Joint coordinates and speeds at time zero."""
    both = state_of(prepared)[reading.X_ROW : reading.SCRATCH].reshape(-1)
    return both[: joint.N_X].copy(), both[joint.N_X : joint.N_X + joint.N_U].copy()


def flying(dt: float, seconds: float = 0.4) -> tuple[float, float, float]:
    """Relative drift of energy, linear and angular momentum of a truck in free flight, every joint moving."""
    prepared = start(HUNG + MOVES)
    x, u = coordinates(prepared)
    u[:] = np.random.default_rng(5).uniform(-0.6, 0.6, joint.N_U)
    bodies = Bodies(prepared.build.plant, x, u)
    before, (p0, l0) = bodies.energy(), bodies.momentum()
    for _ in range(round(seconds / dt)):
        bodies.step(dt)
    p1, l1 = bodies.momentum()
    drifts = np.linalg.norm(p1 - p0) / np.linalg.norm(p0), np.linalg.norm(l1 - l0) / np.linalg.norm(l0)
    return abs(bodies.energy() / before - 1.0), float(drifts[0]), float(drifts[1])


def test_without_forces_energy_and_momentum_stay_to_the_order_of_the_step() -> None:
    """First order: half the step, half the drift; none beyond 0.1 % at 1 ms."""
    coarse, fine = flying(2e-3), flying(1e-3)
    print(f"\ndrift of energy, momentum, angular momentum: {coarse} at 2 ms, {fine} at 1 ms")
    for far, near in zip(coarse, fine, strict=True):
        assert near < 1e-3
        assert near < 0.6 * far or far < 1e-12


@pytest.mark.slow
def test_the_axle_swings_as_a_compound_pendulum() -> None:
    """Chassis of a million times the mass, 10 mrad: 2 pi sqrt((I + m d^2) / (m g d)) to 1e-4."""
    prepared = start(HUNG)
    x, u = coordinates(prepared)
    mass, inertia = prepared.build.plant.mass.copy(), prepared.build.plant.inertia.copy()
    axle = prepared.build.plant.axle.copy()
    mass[at.CHASSIS], inertia[at.CHASSIS] = 1e12, 1e12 * np.eye(3)
    axle[at.A_AX : at.A_AZ + 1] = 0.0, 0.0, 0.5
    x[joint.X_TURN : joint.X_TURN + 4] = 0.0, 0.0, 0.0, 1.0
    x[joint.X_AXLE] = 0.01
    bodies = Bodies(prepared.build.plant._replace(mass=mass, inertia=inertia, axle=axle), x, u)
    weight, dt, angles = float(mass[at.AXLE]) * G, 1e-3, []
    bodies.wrench[at.AXLE, 2] = -weight
    period = 2.0 * pi * sqrt((inertia[at.AXLE][0, 0] + mass[at.AXLE] * 0.25) / (weight * 0.5))
    for _ in range(round(1.1 * period / dt)):
        angles.append(bodies.x[joint.X_AXLE])
        bodies.step(dt)
    found = np.array(angles)
    down = np.flatnonzero((found[:-1] > 0.0) != (found[1:] > 0.0))
    crossings = [dt * (k + found[k] / (found[k] - found[k + 1])) for k in down]
    assert 2.0 * (crossings[1] - crossings[0]) == pytest.approx(period, rel=1e-4)


def test_the_solver_solves() -> None:
    rng = np.random.default_rng(3)
    a = rng.normal(size=(12, 12))
    h = a @ a.T + np.eye(12)
    wanted, lower = rng.normal(size=12), np.tril(h)
    b = h @ wanted
    joint.solve_positive(lower, b, 12)
    assert np.allclose(b, wanted, rtol=1e-9)
