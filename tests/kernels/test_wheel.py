"""A whole wheel at any lean and heading: its wrench on the carrier is the gradient of its stored energy.

Also at a ramp: its push stands square to the slope, and on no slope it is the level floor's.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from few import slow_but
from tipline.kernels import layout as at
from tipline.kernels.ramp import grade, highest, rise
from tipline.kernels.wheels import apply_tyre, settle, tyre_normal

Array = NDArray[np.float64]
DEPTH = np.array([0.12])
UNSETTLED = np.full((3, at.STRIPS), -1.0)


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
        place, np.zeros((0, 4)), np.zeros((0, at.N_ZONE)), np.zeros(1),
        np.zeros((0, at.N_RAMP)), np.zeros((0, at.N_BOX)), np.zeros((0, at.N_PAIR)),
    )  # fmt: skip


def at_pose(made: at.Plant, centre: Array, turn: Array, depth: Array) -> tuple[float, Array, Array]:
    """Stored energy, wrench on the carrier about its centre, and the tyre's row."""
    position, rot, out = np.zeros((6, 3)), np.zeros((6, 3, 3)), np.zeros(14)
    position[0], rot[0] = centre, turn
    energy = tyre_normal(
        0, made, position, rot, depth, np.zeros((6, 6)), np.zeros(1), np.zeros(at.STRIPS), UNSETTLED, out
    )
    wrench, lossy = np.zeros((6, 6)), np.zeros((6, 6))
    hub = turn @ made.tyre[0, at.T_X : at.T_Z + 1]
    if out[10] > 0.0:
        apply_tyre(0, tuple(turn[:, 1]), position, wrench, lossy, out, tuple(hub), 0.0, 0.0)
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


@pytest.mark.parametrize("lean", slow_but([0.1, 0.9], 0.9))
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


def test_friction_aside_acts_at_the_contact_that_it_is_felt_at() -> None:
    """On an edge the contact lies ahead of the hub: the work of a push aside is the push times the contact's own way.

    It acted below the hub before, so that a braked wheel that yawed in a hole gained 1.7 kW.
    """
    made, turn = plant(), np.eye(3)
    for ahead in (-0.38, 0.38):
        centre = np.array([ahead, 0.0, 0.83])
        _, none, out = at_pose(made, centre, turn, DEPTH)
        assert abs(out[4] - centre[0] - 0.9) > 0.03
        pushed, lossy = np.zeros((6, 6)), np.zeros((6, 6))
        apply_tyre(0, (0.0, 1.0, 0.0), np.array([centre] * 6), pushed, lossy, out, (0.9, 0.6, -0.5), 0.0, 1e3)
        arm = out[4:7] - centre
        assert pushed[0] - none == pytest.approx(np.concatenate(((0.0, 1e3, 0.0), np.cross(arm, (0.0, 1e3, 0.0)))))
        assert (lossy[0] - (pushed[0] - none))[:3] == pytest.approx((0.0, 0.0, out[3]))


def test_wrench_at_a_threshold_is_the_gradient_of_the_energy() -> None:
    """A place that stands 20 mm out of the floor, random poses on and beside it: half within 0.3 %, all within 6 %."""
    made, rng, rows = plant(), np.random.default_rng(11), []
    high = np.array([-0.02])
    for _ in range(120):
        centre, turn = stand(rng, 0.1, 0.01)
        _, wrench, out = at_pose(made, centre, turn, high)
        want = slopes(made, centre, turn, high)
        rows.append((float(np.abs(wrench - want).max() / max(abs(want[2]), 2e4)), out[0], abs(out[1]), out[6]))
    wrong, load, ahead, level = np.array(rows).T
    assert (load > 0.0).all()
    assert np.median(wrong) < 0.003
    assert wrong.max() < 0.06
    assert (ahead > 0.05 * load).sum() > 3
    assert level.max() == pytest.approx(0.02)


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


def test_a_hub_below_the_floor_beside_it_is_not_lifted_by_that_floor() -> None:
    """A hole deeper than the hub is high, a wheel against its side wall: still the gradient, and the bottom carries."""
    made, deep = plant(), np.array([0.40])
    turn = Rotation.from_euler("X", -0.25).as_matrix()
    arm = turn @ made.tyre[0, at.T_X : at.T_Z + 1]
    walls = 0
    for y in np.linspace(0.0, 0.2, 11):
        centre = np.array([0.9, 0.6 + y, -0.10]) - arm
        _, wrench, out = at_pose(made, centre, turn, deep)
        walls += abs(out[2]) > 1e3
        assert wrench == pytest.approx(slopes(made, centre, turn, deep), abs=3e-3 * abs(wrench[2]))
    assert walls > 2


def test_a_wheel_that_lay_on_its_side_carries_nothing_until_it_is_clear_of_the_floor() -> None:
    """Rocked back past 75 degrees with its hub low, then lifted, then set down."""
    made, sunk = plant(), np.zeros(at.STRIPS)

    def load(lean: float, height: float) -> float:
        position, rot, out = np.zeros((6, 3)), np.zeros((6, 3, 3)), np.zeros(14)
        turn = Rotation.from_euler("X", lean).as_matrix()
        position[0], rot[0] = np.array([3.0, 3.0, height]) - turn @ made.tyre[0, at.T_X : at.T_Z + 1], turn
        tyre_normal(0, made, position, rot, np.zeros(1), np.zeros((6, 6)), np.zeros(1), sunk, UNSETTLED, out)
        return float(out[0])

    assert load(0.0, 0.34) > 1e4
    assert load(1.45, 0.10) == 0.0
    assert load(0.0, 0.34) == 0.0
    assert load(0.0, 0.37) == 0.0
    assert load(0.0, 0.34) > 1e4
    assert load(1.45, 0.05) == 0.0
    assert load(1.25, 0.05) == 0.0


NONE = np.zeros(1)


def on_ramp(edge: float, towards: float, steep: float, long: float = 5.0) -> at.Plant:
    """The wheel's plant, a ramp beginning `edge` ahead of x = 0.9 m in its own direction."""
    c, s = np.cos(towards), np.sin(towards)
    row = np.array([[0.9 + edge * c, 0.6 + edge * s, c, s, steep, long]])
    return plant()._replace(ramp=row, place=np.zeros((0, at.N_PLACE)))


def upright(made: at.Plant, rng: np.random.Generator, low: float = 0.02) -> tuple[Array, Array]:
    """A random pose about the hole's middle, upright, its tread's lowest edge `low` below the floor under the hub."""
    turn = Rotation.from_euler("Z", rng.uniform(-3.0, 3.0)).as_matrix()
    x, y = 0.9 + rng.uniform(-0.2, 0.2), 0.6 + rng.uniform(-0.2, 0.2)
    hub = np.array([x, y, rise(made.ramp[0], x, y) + 0.36 - low])
    return hub - turn @ made.tyre[0, at.T_X : at.T_Z + 1], turn


@pytest.mark.parametrize("steep", [0.15, -0.15])
@pytest.mark.parametrize("edge", [-1.0, 0.0, 0.15])
@pytest.mark.parametrize("seed", range(6))
def test_the_push_is_the_gradient_of_the_energy(seed: int, edge: float, steep: float) -> None:
    """On the slope, and at its edge from any side."""
    rng = np.random.default_rng(seed)
    made = on_ramp(edge, rng.uniform(-3.0, 3.0), steep)
    centre, turn = upright(made, rng)
    _, wrench, out = at_pose(made, centre, turn, NONE)
    wanted = slopes(made, centre, turn, NONE)
    assert out[0] > 0.0
    # the load acts below the hub: its lever ahead turns the wheel, not the truck
    assert wrench[:3] == pytest.approx(wanted[:3], abs=1e-5 * out[0])
    assert wrench[3:] == pytest.approx(wanted[3:], abs=1e-4 * out[0])


def test_on_a_slope_the_push_stands_square_to_it() -> None:
    made = on_ramp(-2.0, 0.0, 0.2)
    hub = np.array([0.9, 0.6, rise(made.ramp[0], 0.9, 0.6) + 0.345])
    centre, turn = hub - made.tyre[0, at.T_X : at.T_Z + 1], np.eye(3)
    _, wrench, out = at_pose(made, centre, turn, NONE)
    assert wrench[0] == pytest.approx(-0.2 * wrench[2], rel=1e-12)
    # where it touches, the slope's own normal points at the hub: to 3 %, since the columns of the tread stand upright
    assert (out[4] - hub[0]) / (hub[2] - out[6]) == pytest.approx(0.2, rel=0.03)


def test_no_slope_is_the_level_floor() -> None:
    centre, turn = stand(np.random.default_rng(2), 0.2, 0.02)
    level = at_pose(plant()._replace(place=np.zeros((0, at.N_PLACE))), centre, turn, NONE)
    flat = at_pose(on_ramp(-1.0, 0.3, 0.0), centre, turn, NONE)
    assert flat[0] == pytest.approx(level[0], rel=1e-6)
    assert flat[1] == pytest.approx(level[1], rel=1e-6, abs=1e-3)


def test_past_its_end_the_floor_is_level_and_as_high_as_the_ramp() -> None:
    made = on_ramp(-4.0, 0.5, 0.1, long=2.0)
    up, turn = upright(made, np.random.default_rng(3))
    centre = up - np.array([0.0, 0.0, 0.2])
    assert at_pose(made, up, turn, NONE)[1] == pytest.approx(
        at_pose(plant()._replace(place=np.zeros((0, at.N_PLACE))), centre, turn, NONE)[1], rel=1e-6, abs=1e-3
    )


@pytest.mark.parametrize("steep", [0.1, -0.1])
def test_no_floor_within_reach_is_higher_than_told(steep: float) -> None:
    row = np.array([1.0, -2.0, 0.6, 0.8, steep, 3.0])
    points = np.random.default_rng(4).uniform(-6.0, 6.0, (400, 2))
    for x, y in points:
        near = points[np.hypot(*(points - (x, y)).T) < 1.0]
        assert max(rise(row, *one) for one in near) <= highest(row, x, y, 1.0) + 1e-12
    assert {grade(row, *one) for one in points} == {0.0, steep}


@pytest.mark.parametrize("step", [1e-3, 8e-3])
def test_rubber_settles_in_long_steps_as_in_short_ones(step: float) -> None:
    """By hand: of a load that rises by 1 kN/s for 0.4 s, 200 N x (1 - exp(-2)) = 172.93 N is not settled to.

    Settled after the forces of each step, to what it bears then, 3 % more would be missing by 8 ms.
    """
    settled = np.full((3, at.STRIPS), -1.0)
    settled[2] = 0.0
    for k in range(1, round(0.4 / step) + 1):
        settle(settled, step)
        settled[2] = 1e3 * k * step
    assert settled[1] * (settled[2] - settled[0]) == pytest.approx(np.full(at.STRIPS, 172.93), rel=5e-4)
