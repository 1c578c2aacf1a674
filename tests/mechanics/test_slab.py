"""Closed slab formulas and the field around a tyre: limits, order, second routes, refusals."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tipline.mechanics.kelvin import first_kind, second_kind
from tipline.mechanics.slab import (
    GroundSlab,
    edge,
    flexural_stiffness,
    interior,
    relative_stiffness_radius,
    resisting_radius,
)
from tipline.mechanics.slab_field import far_field, near_field, several_tyres
from tipline.oracles.slab import corner
from tipline.oracles.slab_field import disc_field
from tipline.selftest import recorded

SLAB = GroundSlab(0.20, 31e9, 0.2, 50e6)
ELL = relative_stiffness_radius(SLAB)
slabs = st.builds(
    GroundSlab,
    thickness=st.floats(0.1, 0.4),
    modulus=st.floats(15e9, 40e9),
    poisson=st.floats(0.1, 0.25),
    subgrade=st.floats(10e6, 150e6),
)


@settings(max_examples=60, deadline=None)
@given(slab=slabs, load=st.floats(1e3, 3e5), share=st.floats(0.05, 0.3))
def test_an_edge_is_worse_than_the_inside_and_answers_go_with_the_load(slab, load, share):
    a = share * relative_stiffness_radius(slab)
    inside, at_edge, at_corner = interior(slab, load, a), edge(slab, load, a), corner(slab, load, a)
    assert inside.stress < at_edge.stress
    assert inside.deflection < at_edge.deflection < at_corner.deflection
    for formula in (interior, edge, corner):
        twice = formula(slab, 2.0 * load, a)
        assert twice.stress == pytest.approx(2.0 * formula(slab, load, a).stress)
        assert twice.deflection == pytest.approx(2.0 * formula(slab, load, a).deflection)


@settings(max_examples=40, deadline=None)
@given(slab=slabs, share=st.floats(0.05, 0.3), size=st.floats(0.3, 3.0))
def test_scaling_every_length_leaves_stress_under_the_same_pressure(slab, share, size):
    """Lengths by s, subgrade reaction by 1 / s, load by s^2: the same slab seen through another ruler."""
    other = GroundSlab(min(size * slab.thickness, 3.0), slab.modulus, slab.poisson, slab.subgrade / size)
    a = share * relative_stiffness_radius(slab)
    for formula in (interior, edge, corner):
        small, large = formula(slab, 1e5, a), formula(other, size**2 * 1e5, size * a)
        assert large.stress == pytest.approx(small.stress, rel=1e-9)
        assert large.deflection == pytest.approx(size * small.deflection, rel=1e-9)


def test_the_special_radius_meets_the_circle_at_its_limit_and_a_point_keeps_a_third_of_the_thickness():
    assert resisting_radius(1.724 * 0.2, 0.2) == pytest.approx(1.724 * 0.2, rel=1e-3)
    assert resisting_radius(0.0, 0.2) == pytest.approx(0.325 * 0.2)


def test_the_ordinary_formula_nears_the_exact_plate_as_the_patch_shrinks():
    errors = []
    for a in (0.24, 0.12, 0.06):
        exact = 6.0 * disc_field(SLAB, 1e5, a, [0.0]).radial[0] / SLAB.thickness**2
        formula = interior(SLAB, 1e5, a, special=False, supplementary=True).stress
        errors.append(abs(formula / exact - 1.0))
    assert errors[0] < 1e-3
    assert errors[2] < errors[1] / 8.0 < errors[0] / 64.0


def test_the_two_routes_agree_outside_the_disc():
    r = np.array([0.15, 0.2, 0.5, 1.0, 3.0])
    for a, b in zip(disc_field(SLAB, 1e5, 0.15, r), far_field(SLAB, 1e5, 0.15, r), strict=True):
        np.testing.assert_allclose(a, b, rtol=2e-7, atol=1e-7 * np.abs(b).max())


def test_the_two_routes_agree_inside_the_disc_and_the_field_goes_on_at_its_rim():
    r = np.array([0.0, 1e-9, 0.05, 0.1, 0.15])
    for a, b in zip(disc_field(SLAB, 1e5, 0.15, r), near_field(SLAB, 1e5, 0.15, r), strict=True):
        np.testing.assert_allclose(a, b, rtol=3e-7)
    for a, b in zip(near_field(SLAB, 1e5, 0.15, [0.15]), far_field(SLAB, 1e5, 0.15, [0.15]), strict=True):
        np.testing.assert_allclose(a, b, rtol=1e-13)
    with pytest.raises(ValueError, match="use far_field"):
        near_field(SLAB, 1e5, 0.15, [0.16])


def test_kelvin_functions_are_bessel_functions_along_the_diagonal():
    """Against scipy's of a complex argument, which are good to rounding (its real Kelvin functions only to 5e-10)."""
    from scipy.special import iv, kv

    turn = np.exp(0.25j * np.pi)
    s = np.concatenate((np.geomspace(1e-4, 1.0, 20), np.linspace(1.2, 30.0, 60)))
    for found, value, slope in (
        (first_kind(s), iv(0, turn * s), turn * iv(1, turn * s) / s),
        (second_kind(s), kv(0, turn * s), -turn * kv(1, turn * s) / s),
    ):
        np.testing.assert_allclose(found.real + 1j * found.imaginary, value, rtol=1e-12)
        np.testing.assert_allclose(found.real_slope + 1j * found.imaginary_slope, slope, rtol=1e-12)
    assert first_kind(np.zeros(1)) == (1.0, 0.0, 0.0, 0.5)
    with pytest.raises(ValueError, match="above 0"):
        second_kind(np.array([1.0, 0.0]))
    with pytest.raises(ValueError, match="0 to 30"):
        first_kind(np.array([31.0]))


def test_the_disc_is_in_closed_form_at_its_middle():
    from scipy.special import keip, kerp

    a = 0.3
    x = a / ELL
    w0 = 1e5 / (math.pi * a**2 * SLAB.subgrade) * (1.0 + x * kerp(x))
    ours = disc_field(SLAB, 1e5, a, [0.0]).deflection[0]
    assert ours == pytest.approx(w0, rel=1e-9)
    assert recorded("disc-deflection").pair == pytest.approx((1e3 * ours, 1e3 * w0))
    # Middle of a loaded disc: both curvatures are equal, M = -D (1 + nu) w'' with w'' from the bei part of the series.
    D = flexural_stiffness(SLAB)
    curve = -1e5 / (math.pi * a**2 * SLAB.subgrade) * x * keip(x) / (2.0 * ELL**2)
    assert disc_field(SLAB, 1e5, a, [0.0]).radial[0] == pytest.approx(-D * 1.2 * curve, rel=1e-6)


def test_the_ground_carries_the_whole_load():
    r = np.linspace(0.0, 12.0 * ELL, 4000)
    w = np.where(r < 0.15, np.nan, 0.0)
    inside = r < 0.15
    w[inside] = disc_field(SLAB, 1e5, 0.15, r[inside]).deflection
    w[~inside] = far_field(SLAB, 1e5, 0.15, r[~inside]).deflection
    total = np.trapezoid(SLAB.subgrade * w * 2.0 * math.pi * r, r)
    assert total == pytest.approx(1e5, rel=1e-3)


def test_points_that_each_have_their_own_ground_are_those_asked_one_by_one():
    reactions, points = np.array([2e7, 5e7, 1.2e8]), np.array([[0.0, 0.05], [0.9, 0.2], [0.3, -0.4]])
    tyres = [1e5, 8e4], [0.15, 0.1], [[0.0, 0.0], [0.5, 0.1]]
    together = several_tyres(GroundSlab(0.2, 31e9, 0.2, reactions), *tyres, points).moment
    own = [GroundSlab(0.2, 31e9, 0.2, float(reaction)) for reaction in reactions]
    singly = [several_tyres(slab, *tyres, [at]).moment[0] for slab, at in zip(own, points, strict=True)]
    assert together == pytest.approx(np.array(singly), rel=1e-12)


def test_several_tyres_turn_with_the_floor_and_add_up():
    places = np.array([[0.0, 0.0], [0.9, 0.1], [-0.2, 1.4]])
    turn = np.array([[math.cos(0.7), -math.sin(0.7)], [math.sin(0.7), math.cos(0.7)]])
    still = several_tyres(SLAB, [1e5, 8e4, 5e4], [0.15, 0.1, 0.12], places, places)
    turned = several_tyres(SLAB, [1e5, 8e4, 5e4], [0.15, 0.1, 0.12], places @ turn.T, places @ turn.T)
    np.testing.assert_allclose(turned.bottom, still.bottom, rtol=1e-9)
    np.testing.assert_allclose(turned.moment, turn @ still.moment @ turn.T, rtol=1e-7, atol=1e-3)
    tyres = zip([1e5, 8e4, 5e4], [0.15, 0.1, 0.12], places, strict=True)
    single = [several_tyres(SLAB, [f], [a], [p], places).moment for f, a, p in tyres]
    np.testing.assert_allclose(sum(single), still.moment, rtol=1e-12)
    assert still.warnings == ()


def test_overlapping_patches_are_told():
    found = several_tyres(SLAB, [1e5, 1e5], [0.15, 0.15], [[0, 0], [0.2, 0]], [[0, 0]])
    assert "overlap" in found.warnings[0]


def test_a_wide_patch_is_told():
    assert interior(SLAB, 1e5, 0.2 * ELL).warnings == ()
    for formula in (interior, edge):
        assert "made for up to 0.4" in formula(SLAB, 1e5, 0.5 * ELL).warnings[0]


def test_thickness_matters_far_more_than_the_ground():
    """19 mm less of 152 mm raises the stress by a fifth and more, a quarter less by half; the ground by a tenth."""

    def stress(thickness: float, subgrade: float) -> float:
        return interior(GroundSlab(thickness, 30e9, 0.2, subgrade), 1e5, 0.15).stress

    assert 1.20 < stress(0.133, 50e6) / stress(0.152, 50e6) < 1.25
    assert 1.50 < stress(0.114, 50e6) / stress(0.152, 50e6) < 1.60
    assert 1.0 < stress(0.152, 25e6) / stress(0.152, 50e6) < 1.10


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"thickness": 0.0}, "thickness"),
        ({"thickness": 4.0}, "0.005 to 3 m"),
        ({"modulus": -1.0}, "modulus"),
        ({"poisson": 0.5}, "Poisson"),
        ({"poisson": -0.1}, "Poisson"),
        ({"subgrade": 0.0}, "subgrade"),
        ({"subgrade": math.nan}, "subgrade"),
    ],
)
def test_a_slab_that_cannot_be_is_refused(change, match):
    with pytest.raises(ValueError, match=match):
        GroundSlab(**{"thickness": 0.2, "modulus": 31e9, "poisson": 0.2, "subgrade": 50e6} | change)


@pytest.mark.parametrize("bad", [0.0, -0.1, math.nan, math.inf, 1.1 * ELL])
def test_a_radius_that_fits_no_formula_is_refused(bad):
    for formula in (interior, edge, corner):
        with pytest.raises(ValueError, match="radius"):
            formula(SLAB, 1e5, bad)


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf])
def test_a_load_that_is_none_is_refused(bad):
    for formula in (interior, edge, corner):
        with pytest.raises(ValueError, match="load"):
            formula(SLAB, bad, 0.15)


def test_what_else_the_formulas_refuse():
    with pytest.raises(ValueError, match="circle or semicircle"):
        edge(SLAB, 1e5, 0.15, shape="square")
    with pytest.raises(ValueError, match="1926 or 1985"):
        corner(SLAB, 1e5, 0.15, form="1966")
    with pytest.raises(ValueError, match="lever arm"):
        corner(SLAB, 1e5, 0.8 * ELL)
    with pytest.raises(ValueError, match="use near_field"):
        far_field(SLAB, 1e5, 0.15, [0.1])
    with pytest.raises(ValueError, match="use far_field"):
        disc_field(SLAB, 1e5, 0.15, [500.0])
    with pytest.raises(ValueError, match="distance"):
        disc_field(SLAB, 1e5, 0.15, [-1.0])
    with pytest.raises(ValueError, match="must be \\(n,\\)"):
        several_tyres(SLAB, [1e5], [0.15, 0.2], [[0, 0]], [[0, 0]])


def test_a_small_disc_becomes_a_point_load():
    """w = -P / (2 pi k l^2) kei(r / l), kei by another library."""
    from scipy.special import kei

    size = -1e5 / (2.0 * math.pi * SLAB.subgrade * ELL**2)
    assert far_field(SLAB, 1e5, 0.01, [1.0]).deflection[0] == pytest.approx(size * kei(1.0 / ELL), rel=1e-3)
