"""Vector helpers against matrix algebra and exact rotations."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.linalg import expm
from scipy.spatial.transform import Rotation

from tipline.geometry.plant import quaternion_of
from tipline.kernels.equilibrium import exponential
from tipline.kernels.vector import (
    add_force,
    back_turned,
    point_velocity,
    quaternion_product,
    relative_rotation_vector,
    rotation,
    turned,
)

Array = NDArray[np.float64]
SEEDS = range(8)


def skew(v: Array) -> Array:
    return np.array([[0.0, -v[2], v[1]], [v[2], 0.0, -v[0]], [-v[1], v[0], 0.0]])


def matrix(q: Array) -> Array:
    out = np.zeros((3, 3))
    rotation(q, out)
    return out


@pytest.mark.parametrize("seed", SEEDS)
def test_quaternion_gives_the_rotation_matrix(seed: int) -> None:
    q = Rotation.random(rng=seed).as_quat()
    assert matrix(q) == pytest.approx(Rotation.from_quat(q).as_matrix(), abs=1e-14)
    assert matrix(3.0 * q) == pytest.approx(matrix(q), abs=1e-14)


@pytest.mark.parametrize("seed", SEEDS)
def test_quaternion_product_turns_first_by_the_second(seed: int) -> None:
    a, b = Rotation.random(2, rng=seed).as_quat()
    out = np.empty(4)
    quaternion_product(a, b, out)
    assert matrix(out) == pytest.approx(matrix(a) @ matrix(b), abs=1e-14)


@pytest.mark.parametrize("seed", SEEDS)
def test_quaternion_of_undoes_rotation(seed: int) -> None:
    turn = Rotation.random(rng=seed).as_matrix()
    assert matrix(quaternion_of(turn)) == pytest.approx(turn, abs=1e-13)


@pytest.mark.parametrize("seed", SEEDS)
def test_turned_and_back_turned_are_matrix_products(seed: int) -> None:
    rng = np.random.default_rng(seed)
    r, v = Rotation.random(rng=seed).as_matrix(), rng.normal(size=3)
    assert turned(r, *v) == pytest.approx(r @ v, abs=1e-14)
    assert back_turned(r, *v) == pytest.approx(r.T @ v, abs=1e-14)


@pytest.mark.parametrize("seed", SEEDS)
def test_force_at_a_point_adds_its_moment(seed: int) -> None:
    p, f, before = np.random.default_rng(seed).normal(size=(3, 3))
    wrench = np.zeros((2, 6))
    wrench[1, 3:] = before
    add_force(wrench, 1, *p, *f)
    assert wrench[1] == pytest.approx([*f, *(before + np.cross(p, f))], abs=1e-14)
    assert not wrench[0].any()


@pytest.mark.parametrize("seed", SEEDS)
def test_velocity_of_a_point_adds_the_turning(seed: int) -> None:
    v, w, p = np.random.default_rng(seed).normal(size=(3, 3))
    assert point_velocity(np.array([*v, *w]), *p) == pytest.approx(v + np.cross(w, p), abs=1e-14)


@pytest.mark.parametrize("angle", [1e-12, 1e-8, 1e-4, 0.009, 0.0101, 0.3, 1.5, 1.6, 2.8])
@pytest.mark.parametrize("seed", [0, 1])
def test_relative_rotation_vector_is_the_logarithm(angle: float, seed: int) -> None:
    """Both sides of the change from series to arc tangent, and past a right angle."""
    rng = np.random.default_rng(seed)
    axis = rng.normal(size=3)
    want = angle * axis / np.linalg.norm(axis)
    a = Rotation.random(rng=seed).as_matrix()
    got = relative_rotation_vector(a, a @ expm(skew(want)))
    assert got == pytest.approx(want, abs=1e-9 * angle + 3e-16)


@pytest.mark.parametrize("angle", [0.0, 1e-9, 0.05, 0.6, 2.0])
def test_exponential_is_the_rotation_of_its_vector(angle: float) -> None:
    v = angle * np.array([2.0, -1.0, 2.0]) / 3.0
    out = np.zeros((3, 3))
    exponential(*v, out)
    assert out == pytest.approx(expm(skew(v)), abs=1e-14)
