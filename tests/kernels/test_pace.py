"""When a run of many takes several steps at once, and that steps longer or shorter than that before stay true.

Source: [HairerLubichWanner2006] (leapfrog, from memory), [TextbookMechanics] (a mass on a spring)
"""

from __future__ import annotations

from math import cos
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from tipline.kernels import dynamics as joint
from tipline.kernels import layout as at
from tipline.kernels.on_forks import counted, fill_between
from tipline.kernels.pace import at_once

DT = 2e-3


def swung(step: float, paces: tuple[int, ...], seconds: float = 0.8) -> float:
    """How far [m] a mass that is let go 1 m out on a spring of 5 rad/s ends from the textbook's cosine.

    Stepped by `move`, so many steps at once, over and over.
    """
    x, u, a, done = np.zeros(joint.N_X), np.zeros(joint.N_U), np.zeros(joint.N_U), 0
    x[joint.X_TURN + 3] = x[joint.X_MAST + 3] = x[joint.X_LOAD_TURN + 3] = 1.0
    x[joint.X_LIFT], k, n = 1.0, 0, 0
    while k * step < seconds - 1e-9:
        a[joint.U_LIFT], now = -25.0 * x[joint.X_LIFT], paces[n % len(paces)]
        joint.move(0.5 * (done + now) * step, now * step, a, x, u, False)
        k, n, done = k + now, n + 1, now
    return abs(float(x[joint.X_LIFT]) - cos(5.0 * k * step))


def test_steps_of_changing_length_are_of_the_second_order() -> None:
    """Half the step, a fourth of what is missed; gone on from the old speed by the new step alone it would be half."""
    coarse, fine = (swung(step, (1, 2, 4, 1)) for step in (8e-3, 4e-3))
    print(f"\nmissed: {coarse:.2e} m, {fine:.2e} m")
    assert coarse < 3e-3
    assert fine < 0.3 * coarse


def test_a_stop_that_is_stepped_implicitly_survives_any_step() -> None:
    """A spring of 400 rad/s stepped by 8 ms at 3.2 of the 2 that it survives by itself: with its own inertia it stays.

    Between two instants at their mean: it swings on without end, no higher than it was let go.
    """
    axle = np.zeros(at.N_AXLE)
    axle[at.A_K] = 400.0**2  # an axle of 1 kg m2
    step, x, u, most = 8e-3, 1e-3, 0.0, 0.0
    inertia = 1.0 + joint.held_by_stop(step, 1e-3, axle)
    assert inertia == pytest.approx(1.0 + 0.25 * 3.2**2)
    assert joint.held_by_stop(step, 0.0, axle) == 0.0, "clear of its stop"
    axle[at.A_PULLS] = 1.0
    assert joint.held_by_stop(step, 1e-3, axle) == 0.0, "a frame's spring is no stop"
    for _ in range(500):
        u -= step * axle[at.A_K] * x / inertia
        x += step * u
        most = max(most, abs(x))
    assert 0.5e-3 < most < 2e-3


class Asked:
    """One question of how many steps: what changed, how near bodies are, how the axle stands."""

    def __init__(self) -> None:
        self.a, self.before, self.u = (np.zeros(joint.N_U) for _ in range(3))
        self.single, self.axle = np.zeros(at.N_SINGLE), np.zeros(at.N_AXLE)
        self.axle[at.A_STOP] = self.axle[at.A_STOP_RIGHT] = 0.07
        self.wait, self.lowered = np.full(5, 0.05), np.zeros(2)
        self.tyre, self.held = np.zeros((1, at.N_TYRE)), np.ones(1)  # [J], of a tyre that stands
        self.tyre[0, [at.T_X, at.T_Z, at.T_R, at.T_W]] = -1.0, -0.5, 0.4, 0.3
        self.place, self.turn, self.now = np.zeros((6, 3)), np.tile(np.eye(3), (6, 1, 1)), np.zeros((6, 6))

    def steps(self, done: int = 4, most: int = 4) -> int:
        plant: Any = SimpleNamespace(axle=self.axle, pair=np.zeros((1, at.N_PAIR)), tyre=self.tyre)
        mem: Any = SimpleNamespace(
            wait=self.wait, lowered=self.lowered, tyre_energy=self.held, state=self.place, turn=self.turn, now=self.now
        )
        return at_once(most, done, DT, 1e-4, self.a, self.before, self.u, self.single, plant, mem)


def test_what_moves_evenly_is_stepped_as_far_as_it_may_and_twice_as_far_as_before() -> None:
    asked = Asked()
    assert [asked.steps(done) for done in (1, 2, 3, 4)] == [2, 4, 4, 4]
    assert [asked.steps(4, most) for most in (0, 1, 3)] == [1, 1, 3]


@pytest.mark.parametrize(("change", "steps"), [(1.56, 4), (1.57, 3), (3.70, 3), (3.71, 2), (12.4, 2), (12.6, 1)])
def test_a_change_of_acceleration_shortens_the_step(change: float, steps: int) -> None:
    """By hand: over 8 ms it may change by 1e-4 m x 8 ms / step^3: 1.5625 m/s2 for 8 ms, 3.704 for 6, 12.5 for 4.

    That of the chassis' turning, 3 m from what is farthest, counts three times.
    """
    asked = Asked()
    asked.a[joint.U_SPEED] = change
    assert asked.steps() == steps
    assert asked.steps() == 4, "and no longer than it changes"
    asked.a[joint.U_TURN] = change / 3.0
    assert asked.steps() == steps


@pytest.mark.parametrize("which", [2, 4])
def test_no_step_is_longer_than_bodies_or_corners_surely_stay_apart(which: int) -> None:
    asked = Asked()
    asked.wait[which] = 5e-3
    assert asked.steps() == 2
    asked.wait[which] = 0.0
    assert asked.steps() == 1


def test_an_axle_comes_to_its_stop_in_a_short_step() -> None:
    """2 mrad before it at 0.3 rad/s: in 6.7 ms; one that is on it, or goes away slowly enough, steps on."""
    asked = Asked()
    asked.single[at.R_AXLE], asked.u[joint.U_AXLE] = 0.068, 0.3
    assert asked.steps() == 1
    asked.u[joint.U_AXLE] = 0.2
    assert asked.steps() == 4
    asked.single[at.R_AXLE] = 0.071
    assert asked.steps() == 4


def test_a_tyre_comes_down_in_a_short_step() -> None:
    """Of a chassis 0.902 m high that turns at 0.4 rad/s, 2 mm below a tyre's tread: its hub 1 m behind sinks 3.2 mm."""
    asked = Asked()
    asked.held[0], asked.place[0, 2], asked.now[0, 4] = 0.0, 0.902, -0.4
    assert asked.steps() == 1
    asked.now[0, 4] = 0.4
    assert asked.steps() == 4, "it goes up"
    asked.now[0, 4] = -0.2
    assert asked.steps() == 4, "it comes down by 1.6 mm"
    asked.turn[0] = [[1.0, 0.0, 0.0], [0.0, 1.0, -0.004], [0.0, 0.004, 1.0]]  # its lower side 0.6 mm nearer
    assert asked.steps() == 1
    asked.held[0] = 1.0
    assert asked.steps() == 4, "one that stands does not come down"


def test_steps_stay_short_while_ground_gives_way() -> None:
    """A place that sank by 9 micrometres in the 8 ms before sinks faster than 1 mm/s; by 7 it does not count."""
    asked = Asked()
    asked.lowered[1] = 9e-6
    assert asked.steps() == 1
    asked.lowered[1] = 7e-6
    assert asked.steps() == 4


def test_what_holds_is_counted_from_the_first_look_at_which_it_held() -> None:
    """Looks 4 and 3 steps apart: 8 steps from the first on, whatever held before that look."""
    count = 0.0
    for since in (4, 4, 3):
        count = counted(True, count, since)
    assert count == 8.0
    assert counted(False, count, 4) == 0.0


def test_rows_between_two_looks_lie_evenly_between_them() -> None:
    ring = np.full((5, 2), 9.0)
    ring[3], ring[1] = (1.0, 10.0), (4.0, 40.0)  # steps 8 and 11
    fill_between(11, 3, ring)
    assert ring.tolist() == [[3.0, 30.0], [4.0, 40.0], [9.0, 9.0], [1.0, 10.0], [2.0, 20.0]]
