"""Mass properties: formulas by hand, by a second library, and conditions every body obeys."""

import math

import numpy as np
import pytest
import trimesh

from tipline.geometry import solids
from tipline.mechanics import mass


def box_inertia(mass: float, size: tuple[float, float, float]) -> np.ndarray:
    """A solid box: m (b^2 + c^2) / 12 about each axis."""
    square = np.square(np.asarray(size))
    return np.diag(mass / 12.0 * (square.sum() - square))


def turn(axis: str, angle: float) -> np.ndarray:
    c, s = math.cos(angle), math.sin(angle)
    i, j = {"x": (1, 2), "y": (2, 0), "z": (0, 1)}[axis]
    matrix = np.eye(3)
    matrix[i, i], matrix[j, j], matrix[i, j], matrix[j, i] = c, c, -s, s
    return matrix


def inertia_of(solid: solids.Solid) -> mass.MassProperties:
    volume, moment, second = (values[0] for values in mass.solid_moments(solid.vertices[solid.faces]))
    spread = second - np.outer(moment, moment) / volume
    return mass.MassProperties(volume, moment / volume, np.trace(spread) * np.eye(3) - spread)


def test_a_box_has_the_moments_of_the_formula() -> None:
    found = inertia_of(solids.box((1.0, -2.0, 0.5), (1.4, -1.2, 2.0)))
    assert found.mass == pytest.approx(0.4 * 0.8 * 1.5)
    assert found.centre == pytest.approx([1.2, -1.6, 1.25])
    assert np.allclose(found.inertia, box_inertia(found.mass, (0.4, 0.8, 1.5)), atol=1e-12)


def test_a_concave_solid_agrees_with_trimesh() -> None:
    outline = [(0.0, 0.0), (2.0, 0.1), (2.2, 1.0), (1.0, 0.7), (0.8, 2.0), (-0.1, 1.8)]
    solid = solids.prism(outline, "y", -0.3, 0.9)
    solid = solids.moved(solid._replace(vertices=solid.vertices @ turn("z", 0.7)), (5.0, -3.0, 7.0))
    other = trimesh.Trimesh(solid.vertices, solid.faces, process=False)
    found = inertia_of(solid)
    assert found.mass == pytest.approx(other.volume)
    assert found.centre == pytest.approx(other.center_mass)
    assert np.allclose(found.inertia, other.moment_inertia, rtol=1e-9, atol=1e-9)


def test_solids_in_one_list_are_kept_apart() -> None:
    one, two = solids.box((0, 0, 0), (1, 2, 3)), solids.box((5, 5, 5), (6, 6, 7))
    triangles = np.concatenate([solid.vertices[solid.faces] for solid in (one, two)])
    volume, moment, _ = mass.solid_moments(triangles, (0, len(one.faces)))
    assert volume == pytest.approx([6.0, 2.0])
    assert moment[1] / volume[1] == pytest.approx([5.5, 5.5, 6.0])


def test_two_halves_make_the_whole() -> None:
    half = box_inertia(30.0, (1.0, 0.8, 0.6))
    whole = mass.combine([30.0, 30.0], [(0.5, 0.0, 1.0), (1.5, 0.0, 1.0)], [half, half])
    assert whole.mass == pytest.approx(60.0)
    assert whole.centre == pytest.approx([1.0, 0.0, 1.0])
    assert np.allclose(whole.inertia, box_inertia(60.0, (2.0, 0.8, 0.6)))


def test_nothing_combined_weighs_nothing() -> None:
    empty = mass.combine([], np.zeros((0, 3)), np.zeros((0, 3, 3)))
    assert empty.mass == 0.0
    assert not empty.inertia.any()


def test_merging_keeps_mass_first_and_second_moment() -> None:
    rng = np.random.default_rng(4)
    m, r = rng.uniform(1, 9, 6), rng.normal(size=(6, 3))
    inertia = np.array([box_inertia(value, (1.0, 2.0, 0.5)) for value in m])
    before = mass.combine(m, r, inertia)
    merged = mass.merge(m, r, inertia, {5: 3, 4: 0, 3: 2})
    after = mass.combine(*merged)
    assert after.mass == pytest.approx(before.mass)
    assert after.centre == pytest.approx(before.centre)
    assert np.allclose(after.inertia, before.inertia)
    assert merged[0][[3, 4, 5]] == pytest.approx([0.0, 0.0, 0.0])
    assert merged[0][2] == pytest.approx(m[2] + m[3] + m[5])
    assert merged[0][1] == m[1]
    assert m[5] > 0.0  # the input is left alone


def test_hosts_in_a_ring_are_refused() -> None:
    with pytest.raises(ValueError, match="ring of hosts"):
        mass.merge(np.ones(3), np.zeros((3, 3)), np.zeros((3, 3, 3)), {0: 1, 1: 0})


@pytest.mark.parametrize("axis", ["x", "y", "z"])
@pytest.mark.parametrize("angle", [0.0, 0.3, -0.6, 2.0])
def test_principal_axes_give_the_tensor_back_and_are_a_rotation(axis: str, angle: float) -> None:
    given = turn(axis, angle) @ np.diag([3.0, 5.0, 7.0]) @ turn(axis, angle).T
    moments, axes = mass.principal(given)
    assert np.allclose(axes @ np.diag(moments) @ axes.T, given)
    assert np.linalg.det(axes) == pytest.approx(1.0)
    assert sorted(moments) == pytest.approx([3.0, 5.0, 7.0])


def test_principal_axes_stay_near_the_given_ones() -> None:
    given = turn("y", 0.2) @ np.diag([9.0, 2.0, 8.0]) @ turn("y", 0.2).T
    moments, axes = mass.principal(given)
    assert moments == pytest.approx([9.0, 2.0, 8.0])
    assert np.allclose(axes, turn("y", 0.2))


@pytest.mark.parametrize(
    ("kilograms", "tensor", "words"),
    [
        (0.0, np.eye(3), "mass 0 kg"),
        (math.nan, np.eye(3), "mass nan kg"),
        (1.0, np.diag([1.0, -1.0, 1.0]), "must be above 0"),
        (1.0, np.diag([1.0, 1.0, 2.1]), "above the sum"),
        (1.0, np.array([[1.0, 0.3, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]), "not symmetric"),
        (1.0, np.full((3, 3), math.inf), "not finite"),
    ],
)
def test_impossible_bodies_are_refused(kilograms: float, tensor: np.ndarray, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        mass.check(kilograms, tensor, "the body")


def test_a_needle_is_accepted_and_one_that_goes_beyond_it_is_not() -> None:
    """3 m long and 1 mm thick: two moments of 7.5 kg m2 and a third that makes their difference less than itself."""
    needle = box_inertia(10.0, (3.0, 0.001, 0.001))
    assert np.diag(needle) == pytest.approx([10.0 * 2e-6 / 12.0, 7.5, 7.5], rel=1e-6)
    mass.check(10.0, needle)
    with pytest.raises(ValueError, match="above the sum"):
        mass.check(10.0, needle + np.diag([0.0, 0.0, 1e-4]))


def test_any_turned_tensor_has_axes_that_are_a_rotation() -> None:
    rng = np.random.default_rng(11)
    for _ in range(200):
        basis, _ = np.linalg.qr(rng.normal(size=(3, 3)))
        given = basis @ np.diag([3.0, 5.0, 7.0]) @ basis.T
        moments, axes = mass.principal(given)
        assert np.linalg.det(axes) == pytest.approx(1.0)
        assert np.allclose(axes @ np.diag(moments) @ axes.T, given)
