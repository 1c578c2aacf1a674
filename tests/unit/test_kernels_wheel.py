"""A whole wheel at any lean and heading: its wrench on the carrier is the gradient of its stored energy."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from tipline.kernels import layout as at
from tipline.kernels.wheels import apply_tyre, tyre_normal

Array = NDArray[np.float64]
DEPTH = np.array([0.12])


def plant() -> at.Plant:
    """One tyre on a chassis and a hole under it."""
    tyre = np.zeros((1, at.N_TYRE))
    tyre[0, at.T_X : at.T_Z + 1] = 0.9, 0.6, -0.5
    tyre[0, at.T_R], tyre[0, at.T_W], tyre[0, at.T_K], tyre[0, at.T_HARD] = 0.36, 0.30, 3e7, 1.5 / 0.095**2
    tyre[0, at.T_RIM], tyre[0, at.T_K_RIM] = 0.057, 6e8
    place = np.zeros((1, at.N_PLACE))
    place[0, : at.P_HY + 1] = 0.9, 0.6, 1.0, 0.0, 0.35, 0.25
    empty = np.zeros(0)
    return at.Plant(
        np.zeros((6, 4)), np.ones(6), np.zeros((6, 3, 3)), tyre, empty, empty, empty, np.zeros((0, at.N_POINT)),
        np.zeros((0, at.N_SUPPORT)), place, np.zeros((0, 4)), np.zeros((0, at.N_ZONE)), np.zeros(1),
    )  # fmt: skip


def at_pose(made: at.Plant, centre: Array, turn: Array, depth: Array) -> tuple[float, Array, Array]:
    """Stored energy, wrench on the carrier about its centre, and the tyre's row."""
    position, rot, out = np.zeros((6, 3)), np.zeros((6, 3, 3)), np.zeros(14)
    position[0], rot[0] = centre, turn
    energy = tyre_normal(0, made, position, rot, depth, np.zeros((6, 6)), np.zeros(1), np.zeros(at.STRIPS), out)
    wrench, lossy = np.zeros((6, 6)), np.zeros((6, 6))
    hub = turn @ made.tyre[0, at.T_X : at.T_Z + 1]
    if out[10] > 0.0:
        apply_tyre(0, turn, position, wrench, lossy, out, tuple(hub), 0.0, 0.0)
    return energy, wrench[0], out


def slopes(made: at.Plant, centre: Array, turn: Array, depth: Array) -> Array:
    """Minus the derivative of the energy by a shift along and a turn about each world axis."""
    e, result = 1e-6, np.zeros(6)
    for i in range(3):
        axis = np.eye(3)[i]
        up, down = at_pose(made, centre + e * axis, turn, depth)[0], at_pose(made, centre - e * axis, turn, depth)[0]
        result[i] = -(up - down) / (2.0 * e)
        more = Rotation.from_rotvec(e * axis).as_matrix()
        up, down = at_pose(made, centre, more @ turn, depth)[0], at_pose(made, centre, more.T @ turn, depth)[0]
        result[3 + i] = -(up - down) / (2.0 * e)
    return result


def stand(rng: np.random.Generator, lean: float, low: float) -> tuple[Array, Array]:
    """A random pose that leans sideways by up to `lean`, its tread's lowest edge `low` below the floor."""
    made = plant()
    angles = rng.uniform(-0.3, 0.3), rng.uniform(-0.2, 0.2), rng.uniform(-lean, lean)
    turn = Rotation.from_euler("ZYX", angles).as_matrix()
    arm = turn @ made.tyre[0, at.T_X : at.T_Z + 1]
    upright = np.sqrt(1.0 - turn[2, 1] ** 2)
    height = 0.36 * upright - low + 0.05 * abs(turn[2, 1])
    hub = np.array([0.9 + rng.uniform(-0.4, 0.4), 0.6 + rng.uniform(-0.35, 0.35), height])
    return hub - arm, turn


@pytest.mark.parametrize("lean", [0.1, 0.9])
@pytest.mark.parametrize("seed", range(12))
def test_wrench_on_level_floor_is_the_gradient_of_the_energy(seed: int, lean: float) -> None:
    made, none = plant(), np.zeros(1)
    centre, turn = stand(np.random.default_rng(seed), lean, 0.02)
    _, wrench, out = at_pose(made, centre, turn, none)
    assert out[0] > 0.0
    assert wrench == pytest.approx(slopes(made, centre, turn, none), abs=2e-5 * out[0])


def misfit(made: at.Plant, centre: Array, turn: Array) -> tuple[float, Array]:
    """Largest difference of the wrench from the gradient, as a share of the load (by a metre); the tyre's row."""
    _, wrench, out = at_pose(made, centre, turn, DEPTH)
    want = slopes(made, centre, turn, DEPTH)
    return float(np.abs(wrench - want).max() / max(abs(want[2]), 2e4)), out


@pytest.mark.parametrize("lean", [0.1, 0.9])
@pytest.mark.parametrize("low", [0.02, 0.13], ids=["on the edge", "at the bottom"])
def test_wrench_in_and_beside_a_hole_is_the_gradient_of_the_energy(low: float, lean: float) -> None:
    """Edges, walls and the bottom, random poses: half within 0.3 % of the load, all within 6 %.

    The rest is the six-point quadrature across the kink where the rim is felt.
    """
    made, rng, rows = plant(), np.random.default_rng(7), []
    for _ in range(120):
        wrong, out = misfit(made, *stand(rng, lean, low))
        rows.append((wrong, out[0], abs(out[1]), abs(out[2])))
    wrong, load, ahead, aside = np.array(rows).T
    touching = load > 0.0
    assert np.median(wrong[touching]) < 0.003
    assert wrong.max() < 0.06
    assert (ahead > 0.1 * load)[touching].sum() > 3
    assert (aside > 0.1 * load)[touching].sum() > 3


def test_leaning_wheel_pressed_on_a_wall_is_pulled_down_by_it() -> None:
    """The wall pushes along the wheel axis, which slopes: the gradient has a downward part that no floor gives."""
    made = plant()
    turn = Rotation.from_euler("X", -0.9).as_matrix()
    arm = turn @ made.tyre[0, at.T_X : at.T_Z + 1]
    centres = [np.array([0.9, 0.6 + y, h]) - arm for y in np.linspace(-0.3, 0.3, 31) for h in (0.14, 0.18, 0.22, 0.26)]
    found = [misfit(made, centre, turn) for centre in centres]
    wrong, out = min(found, key=lambda pair: pair[1][0])
    assert out[0] < -1e3
    assert wrong < 0.01


def test_a_wheel_that_lay_on_its_side_carries_nothing_until_it_is_clear_of_the_floor() -> None:
    """Rocked back past 75 degrees with its hub low, then lifted, then set down."""
    made, sunk = plant(), np.zeros(at.STRIPS)

    def load(lean: float, height: float) -> float:
        position, rot, out = np.zeros((6, 3)), np.zeros((6, 3, 3)), np.zeros(14)
        turn = Rotation.from_euler("X", lean).as_matrix()
        position[0], rot[0] = np.array([3.0, 3.0, height]) - turn @ made.tyre[0, at.T_X : at.T_Z + 1], turn
        tyre_normal(0, made, position, rot, np.zeros(1), np.zeros((6, 6)), np.zeros(1), sunk, out)
        return float(out[0])

    assert load(0.0, 0.34) > 1e4
    assert load(1.45, 0.10) == 0.0
    assert load(0.0, 0.34) == 0.0
    assert load(0.0, 0.37) == 0.0
    assert load(0.0, 0.34) > 1e4
    assert load(1.45, 0.05) == 0.0
    assert load(1.25, 0.05) == 0.0
