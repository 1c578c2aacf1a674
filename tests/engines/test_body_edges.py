"""A corner of the truck's body that leaves a place sideways: the floor beside meets it without giving energy."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from tipline.kernels import layout as at
from tipline.kernels.touch import SHALLOW, body_points
from trucks import FORKS, start

Array = NDArray[np.float64]
HALF, DEEP, K = 0.25, 0.1, 2.25e7


class Corner:
    """One corner of the chassis beside a hole of 0.5 m, put by hand where it is asked."""

    def __init__(self) -> None:
        prepared = start(FORKS)
        point, place = prepared.build.plant.point[:1].copy(), np.zeros((1, at.N_PLACE))
        point[0, [at.C_BODY, at.C_X, at.C_Y, at.C_Z]] = at.CHASSIS, 0.0, 0.0, 0.0
        point[0, at.C_ARM], point[0, at.C_K] = 1.0, K
        place[0, : at.P_HY + 1] = 0.0, 0.0, 1.0, 0.0, HALF, HALF
        self.plant = prepared.build.plant._replace(point=point, place=place)
        memory = prepared.memory
        self.mem = memory._replace(point_bristle=np.zeros((1, 4)), depth=np.array([DEEP]))
        self.mem.energy[:] = 0.0

    def at(self, x: float, height: float) -> tuple[float, float, float]:
        """Force on the corner [N], energy stored and given by the floor [J], at a place and height of no speed."""
        self.mem.wait[:] = 0.0
        return self.after_a_step(x, height, 0.0)

    def after_a_step(self, x: float, height: float, down: float) -> tuple[float, float, float]:
        """The same where it goes down at so many m/s, and was looked at before."""
        position, rot = np.zeros((at.N_BODY, 3)), np.tile(np.eye(3), (at.N_BODY, 1, 1))
        speed, wrench, row = np.zeros((at.N_BODY, 6)), np.zeros((at.N_BODY, 6)), np.zeros(at.N_SINGLE)
        position[at.CHASSIS], speed[at.CHASSIS, 2] = (x, 0.0, height), -down
        stored = body_points(1e-3, self.plant, self.mem, position, rot, speed, wrench, row)
        return float(wrench[at.CHASSIS, 2]), stored, float(self.mem.energy[at.E_FLOOR])


@pytest.mark.parametrize("height", [-1e-3, -3.8e-3, -0.99 * SHALLOW])
def test_a_corner_just_below_the_top_of_a_hole_takes_up_nothing_as_it_leaves_it(height: float) -> None:
    """It then stands 1 mm lower on k x 1 mm; before, 3.8 mm gave it 86 kN and 162 J at once, booked nowhere."""
    corner = Corner()
    assert corner.at(HALF - 1e-3, height) == (0.0, 0.0, 0.0)
    assert corner.at(HALF + 1e-3, height) == (0.0, 0.0, 0.0)
    force, stored, floor = corner.at(HALF + 2e-3, height - 1e-3)
    assert (force, stored, floor) == pytest.approx((K * 1e-3, 0.5 * K * 1e-6, 0.0))


def test_a_corner_that_left_a_hole_and_rose_stands_on_the_floor_again() -> None:
    corner = Corner()
    for x, height in ((HALF - 1e-3, -4e-3), (HALF + 1e-3, -4e-3), (HALF + 1e-3, 1e-3)):
        assert corner.at(x, height)[0] == 0.0
    assert corner.at(HALF + 1e-3, -2e-3)[0] == pytest.approx(K * 2e-3)


def test_a_corner_deep_in_a_hole_is_not_carried_beside_it_and_stands_on_its_bottom() -> None:
    corner = Corner()
    assert corner.at(0.0, -DEEP - 2e-3)[0] == pytest.approx(K * 2e-3)
    assert corner.at(HALF + 1e-3, -2.0 * SHALLOW)[0] == 0.0


def test_a_corner_back_over_the_hole_after_it_left_it_meets_the_floor_anew() -> None:
    """Twice out over the edge, each time from where it is then."""
    corner = Corner()
    for height in (-2e-3, -4e-3):
        assert corner.at(HALF - 1e-3, height)[0] == 0.0
        assert corner.at(HALF + 1e-3, height)[0] == 0.0
    assert corner.at(HALF + 1e-3, -4.5e-3)[0] == pytest.approx(K * 0.5e-3)


@pytest.mark.parametrize(
    ("height", "down", "steps"), [(0.1, 3.0, 13), (0.0815, 3.0, 11), (2.0, 3.0, 50), (4e-3, 3.0, 1)]
)
def test_a_corner_in_the_air_is_looked_at_again_before_it_can_be_down(height: float, down: float, steps: int) -> None:
    """Its height over its speed and the 5 m/s that it may gain, at most 50 ms: 100 mm / 8 m/s are 12.5 ms.

    At the first step past that: at the one before it is surely still in the air.
    """
    corner, far = Corner(), 2.0  # beside the hole
    corner.after_a_step(far, height, down)
    assert [corner.after_a_step(far, -1e-3, down)[0] > 0.0 for _ in range(steps)] == [False] * (steps - 1) + [True]


def test_a_corner_that_touches_is_looked_at_at_every_step() -> None:
    corner, far = Corner(), 2.0
    for depth in (1e-3, 2e-3, 1e-3):
        assert corner.after_a_step(far, -depth, 0.0)[0] == pytest.approx(K * depth)
