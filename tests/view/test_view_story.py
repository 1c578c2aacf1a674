"""Poses and the turned vertical."""

from __future__ import annotations

import numpy as np
import pytest

from tipline.geometry.posed import posed, rotation
from tipline.view.story import level


def test_quarter_turn_about_z() -> None:
    q = np.array([0, 0, np.sin(np.pi / 4), np.cos(np.pi / 4)])
    assert np.allclose(rotation(q) @ [1, 0, 0], [0, 1, 0])


def test_pose_carries_the_centre_of_mass_to_its_place() -> None:
    rng = np.random.default_rng(3)
    poses, centres = rng.normal(size=(5, 2, 7)), rng.normal(size=(2, 3))
    matrices = posed(poses, centres)
    carried = np.einsum("nbij,bj->nbi", matrices[..., :3, :3], centres) + matrices[..., :3, 3]
    assert np.allclose(carried, poses[..., :3])
    assert np.allclose(matrices[..., :3, :3] @ np.swapaxes(matrices[..., :3, :3], -1, -2), np.eye(3))


@pytest.mark.parametrize("gravity", [(0, 0, -9.8), (1.7, 0, -9.6), (-3.0, 2.0, -8.0), (0, 9.8, -1e-3)])
def test_level_turns_gravity_straight_down(gravity: tuple[float, ...]) -> None:
    g = np.array(gravity, dtype=float)
    turn = level(g)
    assert np.allclose(turn @ g, [0, 0, -np.linalg.norm(g)])
    assert np.linalg.det(turn) == pytest.approx(1.0)
