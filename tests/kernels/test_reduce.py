"""What a joint hands on to the parent, by hand: the arm's cross product with the force, and what the joint holds."""

from __future__ import annotations

import numpy as np
import pytest

from tipline.kernels import layout as at
from tipline.kernels.reading import C_FORCE, C_LOAD_FORCE, C_LOAD_TORQUE, C_TORQUE, CALLS, fill_calls
from tipline.kernels.reduce import hinge_to_parent, slide_to_parent

CHILD, PARENT = at.MAST, at.CHASSIS


def bodies() -> tuple[np.ndarray, np.ndarray]:
    """Return positions with the child at (1, 2, 3) from its parent, and wrenches with one on the child."""
    position, wrench = np.zeros((at.N_BODY, 3)), np.zeros((at.N_BODY, 6))
    position[CHILD] = 1.0, 2.0, 3.0
    wrench[CHILD] = 7.0, 11.0, 13.0, 0.5, 0.25, 0.125
    return position, wrench


@pytest.mark.parametrize(
    ("free", "kept", "held"), [(True, (4.5, 1.25, -2.875), (0, 0, 0)), (False, (4.5, 0, 0), (0, 1.25, -2.875))]
)
def test_a_hinged_child_keeps_its_moment_about_the_joint(free: bool, kept: tuple, held: tuple) -> None:
    """About a joint at (0, 0, 1): (1, 2, 2) x (7, 11, 13) = (4, 1, -3), and (0, 0, 1) x the force = (-11, 7, 0)."""
    position, wrench = bodies()
    hinge_to_parent(CHILD, PARENT, 0.0, 0.0, 1.0, np.eye(3), free, position, wrench)
    assert wrench[CHILD].tolist() == [0, 0, 0, *kept]
    assert wrench[PARENT].tolist() == [7, 11, 13, -11 + held[0], 7 + held[1], held[2]]


def test_a_sliding_child_keeps_the_force_along_its_slide() -> None:
    """Along z it keeps 13 N; (1, 2, 3) x (7, 11, 0) = (-33, 21, -3)."""
    position, wrench = bodies()
    slide_to_parent(CHILD, PARENT, 0.0, 0.0, 1.0, position, wrench)
    assert wrench[CHILD].tolist() == [0, 0, 13, 0, 0, 0]
    assert wrench[PARENT].tolist() == [7, 11, 0, -32.5, 21.25, -2.875]


def test_each_wrench_goes_to_its_own_call() -> None:
    state = np.arange(13.0 * at.N_BODY).reshape(at.N_BODY, 13)
    wrench = 1000.0 + np.arange(6.0 * at.N_BODY).reshape(at.N_BODY, 6)
    calls = np.zeros((CALLS, 3))
    fill_calls(state, wrench, calls)
    for force, torque, body in ((C_FORCE, C_TORQUE, at.CHASSIS), (C_LOAD_FORCE, C_LOAD_TORQUE, at.LOAD)):
        assert calls[force].tolist() == wrench[body, :3].tolist()
        assert calls[torque].tolist() == wrench[body, 3:].tolist()
