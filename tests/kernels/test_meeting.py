"""Two boxes that meet: forces equal and opposite, no energy lost unseen, and nothing passes through."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import atan, cos, sin

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from few import slow_but
from tipline.kernels import layout as at
from tipline.kernels.meeting import meet

Array = NDArray[np.float64]
G, DT, K, MU = 9.81, 1e-3, 4e7, 0.3
HEAVY, LIGHT = 2e4, 5e3


def about(half: tuple[float, float, float], mass: float) -> Array:
    """Inertia of a box."""
    squares = np.square(half)
    return np.diag(mass / 3.0 * (squares.sum() - squares))


def two_boxes(below: tuple[float, float, float], above: tuple[float, float, float], chi: float, mu: float) -> at.Plant:
    """A box of the chassis and one of the lifted load, each about the centre of its body."""
    box, mass, inertia, none = np.zeros((2, at.N_BOX)), np.zeros(6), np.zeros((6, 3, 3)), np.zeros(0)
    for row, body, half, weight in ((0, at.CHASSIS, below, HEAVY), (1, at.LOAD, above, LIGHT)):
        box[row, at.B_BODY], box[row, at.B_HX : at.B_HZ + 1], box[row, at.B_COS] = body, half, 1.0
        box[row, [at.B_ROUND, at.B_ARM]] = np.linalg.norm(half)
        mass[body], inertia[body] = weight, about(half, weight)
    reduced = HEAVY * LIGHT / (HEAVY + LIGHT)
    calm = 0.2 * np.sqrt(K * reduced) * (chi > 0.0)
    pair = np.array([[0.0, 1.0, K, chi, 0.5 * reduced, mu, 0.5 * K, 5e-4 * K, 0.0, calm]])
    return at.Plant(
        np.zeros((6, 4)), mass, inertia, np.zeros((0, at.N_TYRE)), none, none, none, np.zeros((0, at.N_POINT)),
        np.zeros((0, at.N_PLACE)), np.zeros((0, 4)), np.zeros((0, at.N_ZONE)), none, np.zeros((0, at.N_RAMP)), box,
        pair,
    )  # fmt: skip


@dataclass
class Two:
    """Both boxes stepped as an engine steps them: forces, speeds, then places; the first may be held."""

    plant: at.Plant
    held: bool
    gravity: tuple[float, float, float] = (0.0, 0.0, 0.0)
    position: Array = field(default_factory=lambda: np.zeros((6, 3)))
    turn: Array = field(default_factory=lambda: np.tile(np.eye(3), (6, 1, 1)))
    speed: Array = field(default_factory=lambda: np.zeros((6, 6)))
    row: Array = field(default_factory=lambda: np.zeros(at.N_SINGLE))

    def __post_init__(self) -> None:
        self.mem = at.new_memory(self.plant)
        self.moving = (at.LOAD,) if self.held else (at.CHASSIS, at.LOAD)
        self.begun: float | None = None
        self.missing = 0.0

    def spin(self, body: int) -> Array:
        """Inertia of a body in world axes."""
        turned: Array = self.turn[body] @ self.plant.inertia[body] @ self.turn[body].T
        return turned

    def step(self, steps: int) -> None:
        """Step, keeping what energy is missing."""
        for _ in range(steps):
            wrench, energy = np.zeros((6, 6)), self.mem.energy
            for body in range(6):
                energy[at.E_DISSIPATED] -= 0.5 * DT * self.mem.lossy[body] @ (self.speed[body] - self.mem.speed[body])
            self.mem.lossy[:], self.mem.speed[:] = 0.0, self.speed
            self.row[:] = 0.0
            total = meet(DT, self.plant, self.mem, self.position, self.turn, self.speed, wrench, self.row)
            total += energy[at.E_DISSIPATED]
            for body in self.moving:
                v, w, m = self.speed[body, :3], self.speed[body, 3:], self.plant.mass[body]
                total += 0.5 * m * v @ v + 0.5 * w @ self.spin(body) @ w - m * self.position[body] @ self.gravity
            self.begun = total if self.begun is None else self.begun
            self.missing = total - self.begun
            for body in self.moving:
                self.speed[body, :3] += DT * (wrench[body, :3] / self.plant.mass[body] + self.gravity)
                own, w = self.spin(body), self.speed[body, 3:].copy()
                self.speed[body, 3:] += DT * np.linalg.solve(own, wrench[body, 3:] - np.cross(w, own @ w))
                self.position[body] += DT * self.speed[body, :3]
                by = Rotation.from_rotvec(DT * self.speed[body, 3:])
                self.turn[body] = by.as_matrix() @ self.turn[body]

    def turned(self, body: int, about: str, angles: tuple[float, ...]) -> None:
        """Turn a body by angles about axes."""
        self.turn[body] = Rotation.from_euler(about, angles).as_matrix()


def test_a_box_at_rest_on_another_presses_its_four_corners_in_by_its_weight() -> None:
    """By hand: 5 t x 9.81 / 4 corners / 40 MN/m = 0.307 mm."""
    two = Two(two_boxes((1.0, 1.0, 0.2), (0.5, 0.4, 0.3), 0.8, MU), held=True, gravity=(0.0, 0.0, -G))
    two.position[at.LOAD] = 0.1, 0.05, 0.5
    two.step(400)
    assert 0.5 - two.position[at.LOAD, 2] == pytest.approx(LIGHT * G / (4.0 * K), rel=1e-3)
    assert np.abs(two.speed).max() < 1e-4


@pytest.mark.parametrize("slope", slow_but([0.25, 0.35], 0.25))
def test_friction_holds_up_to_its_slope_and_past_it_the_box_slides_as_by_the_book(slope: float) -> None:
    """Acceleration g (sin a - mu cos a) past tan a = mu, by the textbook."""
    a = atan(slope)
    two = Two(two_boxes((4.0, 1.0, 0.2), (0.5, 0.4, 0.3), 0.8, MU), held=True, gravity=(G * sin(a), 0.0, -G * cos(a)))
    two.position[at.LOAD] = -1.0, 0.0, 0.5
    two.step(300)
    begun, ahead = two.speed[at.LOAD, 0], two.position[at.LOAD, 0]
    two.step(200)
    expected = G * (sin(a) - MU * cos(a)) if slope > MU else 0.0
    assert (two.speed[at.LOAD, 0] - begun) / 0.2 == pytest.approx(expected, abs=2e-3)
    if slope < MU:
        assert abs(two.position[at.LOAD, 0] - ahead) < 2e-5


def test_crossed_beams_push_each_other_along_their_common_normal() -> None:
    """Two edges cross where a beam that lies on one corner edge is pressed 2 mm into one across it: k x 2 mm.

    Both turned by 45 degrees about their own length: the edges that meet lie sqrt(2) x 0.1 m from each middle.
    """
    two = Two(two_boxes((2.0, 0.1, 0.1), (0.1, 2.0, 0.1), 0.8, MU), held=True)
    two.turned(at.CHASSIS, "x", (np.pi / 4,))
    two.turned(at.LOAD, "y", (np.pi / 4,))
    apart = 2.0 * np.sqrt(2.0) * 0.1
    for depth in (-1e-3, 1e-4, 2e-3):  # it comes down, so that the depth is not one that it began at
        two.position[at.LOAD] = 0.3, 0.4, apart - depth
        two.speed[at.LOAD, 2] = -2.0 if depth < 2e-3 else 0.0
        wrench = np.zeros((6, 6))
        two.mem.wait[:] = 0.0
        held = meet(DT, two.plant, two.mem, two.position, two.turn, two.speed, wrench, two.row)
    assert wrench[at.LOAD, :3] == pytest.approx([0.0, 0.0, K * 2e-3], abs=1.0)
    assert held == pytest.approx(0.5 * K * 2e-3**2)
    # they cross 0.3 m ahead of the middle of the beam below, and 0.4 m to the right of that of the one above
    assert wrench[at.CHASSIS, 3:] == pytest.approx([0.0, 0.3 * K * 2e-3, 0.0], abs=1.0)
    assert wrench[at.LOAD, 3:] == pytest.approx([-0.4 * K * 2e-3, 0.0, 0.0], abs=1.0)
    assert wrench[at.CHASSIS, :3] == pytest.approx(-wrench[at.LOAD, :3])


@pytest.mark.slow
def test_what_the_load_bears_of_the_truck_is_told() -> None:
    """A truck that lies on its load: the record says what carries it beside its tyres."""
    two = Two(two_boxes((0.5, 0.4, 0.3), (1.0, 1.0, 0.2), 0.8, MU), held=False, gravity=(0.0, 0.0, -G))
    two.moving = (at.CHASSIS,)
    two.position[at.CHASSIS] = 0.0, 0.0, 0.5
    two.step(800)
    assert two.row[at.R_BODY_FORCE] == pytest.approx(HEAVY * G, rel=1e-3)


@pytest.mark.parametrize("seed", range(6))
def test_energy_and_momentum_of_a_collision_are_kept(seed: int) -> None:
    """Even seeds without any loss of their own, odd ones with damping and friction."""
    rng = np.random.default_rng(100 + seed)
    lossy = seed % 2 == 1
    below, above = rng.uniform(0.08, 1.0, 3), rng.uniform(0.3, 0.9, 3)
    two = Two(two_boxes(tuple(below), tuple(above), 0.8 * lossy, MU * lossy), held=False)
    way = rng.normal(size=3)
    way /= np.linalg.norm(way)
    two.position[at.LOAD] = 0.9 * way * (np.linalg.norm(below) + np.linalg.norm(above))
    two.turn[at.CHASSIS], two.turn[at.LOAD] = Rotation.random(2, random_state=seed).as_matrix()
    two.speed[at.LOAD, :3] = -rng.uniform(3.0, 6.0) * way
    begun = LIGHT * two.speed[at.LOAD, :3].copy()
    spun = np.cross(two.position[at.LOAD], begun)
    energy = 0.5 * float(begun @ begun) / LIGHT
    two.step(500)
    masses = ((at.CHASSIS, HEAVY), (at.LOAD, LIGHT))
    assert sum(m * two.speed[b, :3] for b, m in masses) == pytest.approx(begun, abs=1e-6 * np.linalg.norm(begun))
    turning = sum(np.cross(two.position[b], m * two.speed[b, :3]) + two.spin(b) @ two.speed[b, 3:] for b, m in masses)
    assert turning == pytest.approx(spun, abs=5e-3 * np.linalg.norm(begun))
    assert np.linalg.norm(two.speed[at.CHASSIS]) > 0.01, "they did not meet"
    assert abs(two.missing) < 0.015 * energy
    assert (two.mem.energy[at.E_DISSIPATED] > 0.05 * energy) == lossy


def test_a_corner_at_the_speed_of_a_fall_does_not_pass_through_a_thin_plate() -> None:
    """8 m/s is a fall of 3.3 m; a plate of 70 mm is as thick as an overhead guard."""
    two = Two(two_boxes((1.0, 1.0, 0.035), (0.5, 0.4, 0.3), 0.8, MU), held=True, gravity=(0.0, 0.0, -G))
    two.turned(at.LOAD, "xy", (0.6, 0.6))
    two.position[at.LOAD] = 0.1, 0.1, 1.3
    two.speed[at.LOAD, 2] = -8.0
    lowest = 1.0
    for _ in range(300):
        two.step(1)
        corners = np.array([(x, y, z) for x in (-0.5, 0.5) for y in (-0.4, 0.4) for z in (-0.3, 0.3)])
        lowest = min(lowest, float((corners @ two.turn[at.LOAD].T + two.position[at.LOAD])[:, 2].min()))
    assert lowest > 0.0, "more than half way through"
    assert two.speed[at.LOAD, 2] > -2.0


@pytest.mark.slow
def test_a_box_that_slides_past_the_edge_of_another_stays_on_it() -> None:
    """Edges give way to corners and corners to edges as its end passes a beam's end: what one gave up the next takes.

    As a load that slides past the tips of the forks; before, it sank 20 mm at once. By hand, on eight edges or corners:
    at most 5 t x 9.81 / 4 / 40 MN/m = 0.3 mm deep while its centre is far inside.
    """
    two = Two(two_boxes((0.7, 0.4, 0.04), (0.5, 0.5, 0.3), 0.8, 0.0), held=True, gravity=(0.0, 0.0, -G))
    two.position[at.LOAD] = 0.15, 0.0, 0.34
    two.step(150)
    two.speed[at.LOAD, 0], two.begun = 0.3, None
    lowest = 0.34
    for _ in range(300):
        two.step(1)
        lowest = min(lowest, float(two.position[at.LOAD, 2]))
    assert two.position[at.LOAD, 0] > 0.23, "past the edge at 0.2 m"
    assert 0.34 - lowest < 1.5e-3
    assert abs(two.missing) < 30.0


def test_a_contact_found_deep_begins_from_there() -> None:
    """Nothing that was given up before pays for its depth, so it takes up nothing: no force, no energy."""
    two = Two(two_boxes((1.0, 1.0, 0.2), (0.5, 0.4, 0.3), 0.8, MU), held=True)
    two.position[at.LOAD, 2] = 0.49
    two.step(1)
    assert two.mem.meets[0, at.X_TOUCHES] >= 4.0
    assert two.mem.meets[0, at.X_FORCE] == two.missing == 0.0


def test_boxes_far_apart_are_looked_at_again_before_they_could_be_together() -> None:
    """1 m apart at 7 m/s, 5 m/s more at worst: 83 ms, of which 50 ms at once; every step where they are near."""
    two = Two(two_boxes((1.0, 1.0, 0.2), (0.5, 0.4, 0.3), 0.8, MU), held=True)
    two.position[at.LOAD, 2] = 1.5
    two.speed[at.LOAD, 2] = -7.0
    two.step(1)
    assert two.mem.wait[0] == pytest.approx(0.05)
    two.position[at.LOAD, 2], two.mem.wait[:] = 0.7, 0.0
    two.step(1)
    assert two.mem.wait[0] == pytest.approx(0.2 / 12.0)
