"""Collapse loads, punching, joints and the two numbers: limits, order, refusals."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tipline.mechanics.collapse import (
    collapse_load,
    flexural_strength_aci,
    flexural_strength_en,
    meshed_moment,
    meyerhof_load,
    plain_moment,
    tensile_strength_en,
)
from tipline.mechanics.joints import line_stiffness, planning_stress_transfer
from tipline.mechanics.punching import control_perimeter, plain_punching_aci, punching_en, two_way_aci
from tipline.mechanics.slab import GroundSlab, relative_stiffness_radius

SLAB = GroundSlab(0.20, 31e9, 0.2, 50e6)
ELL = relative_stiffness_radius(SLAB)
PLACES = ("interior", "edge", "corner")
FACTORS = {"concrete": 1.5, "load": 1.5}


@settings(max_examples=60, deadline=None)
@given(Mp=st.floats(1e3, 5e4), Mn=st.floats(1e3, 5e4), share=st.floats(0.0, 0.39))
def test_collapse_falls_from_inside_to_corner_and_goes_with_the_moments(Mp, Mn, share):
    loads = [collapse_load(place, Mp, Mn, SLAB, share * ELL).load for place in PLACES]
    assert loads[0] > loads[1] > loads[2] > 0.0
    for place, load in zip(PLACES, loads, strict=True):
        assert collapse_load(place, 2 * Mp, 2 * Mn, SLAB, share * ELL).load == pytest.approx(2 * load)
        assert collapse_load(place, Mp, Mn, SLAB, (share + 0.001) * ELL).load > load


@pytest.mark.parametrize("place", PLACES)
def test_the_straight_line_meets_the_curve_at_a_fifth_of_l(place):
    below, above = (collapse_load(place, 1e4, 1.2e4, SLAB, r * ELL).load for r in (0.2 - 1e-9, 0.2 + 1e-9))
    assert below == pytest.approx(above, rel=1e-6)


def test_a_mesh_near_the_bottom_carries_what_a_section_analysis_by_strips_gives():
    area, steel, depth, strength = 393e-6, 435e6, 0.12, 17e6
    force, strips = area * steel, 20_000
    # Compressed strips from the top until they balance the steel.
    strip = depth / strips
    moment = left = 0.0
    carried = 0.85 * strength * strip
    for i in range(strips):
        if left >= force:
            break
        part = min(carried, force - left)
        moment += part * (depth - (i + 0.5) * strip)
        left += part
    assert meshed_moment(area, steel, depth, strength) == pytest.approx(moment, rel=1e-4)


def test_flexural_strength_falls_to_straight_tension_in_a_thick_slab():
    assert flexural_strength_en(30e6, 0.2).mean == pytest.approx(1.4 * tensile_strength_en(30e6).mean)
    assert flexural_strength_en(30e6, 0.7) == tensile_strength_en(30e6)
    below, above = tensile_strength_en(50e6).mean, tensile_strength_en(50.001e6).mean
    assert above == pytest.approx(below, rel=0.01)
    assert flexural_strength_aci(30e6) == pytest.approx(flexural_strength_aci(30e6, edition="US"), rel=0.01)


@settings(max_examples=60, deadline=None)
@given(a=st.floats(0.1, 0.6), b=st.floats(0.1, 0.6), d=st.floats(0.08, 0.4), e=st.floats(0.0, 3.0))
def test_an_edge_never_helps_and_a_far_one_does_not_matter(a, b, d, e):
    for rounded in (False, True):
        far = control_perimeter(a, b, d, rounded=rounded)
        near = control_perimeter(a, b, d, (e, math.inf), rounded)
        both = control_perimeter(a, b, d, (e, e), rounded)
        assert both.length <= near.length <= far.length
        assert control_perimeter(a, b, d, (20.0, 20.0), rounded) == far
        assert control_perimeter(b, a, d, (math.inf, e), rounded).length == pytest.approx(near.length)
    assert control_perimeter(a, b, d, (0.0, 0.0)).place == "corner"
    assert control_perimeter(a, b, d, (0.0, math.inf)).place == "edge"


@settings(max_examples=60, deadline=None)
@given(fc=st.floats(15e6, 60e6), a=st.floats(0.1, 0.6), d=st.floats(0.08, 0.4))
def test_punching_grows_with_strength_patch_and_depth(fc, a, d):
    for formula in (
        lambda f, s, t: two_way_aci(f, s, s, t).load,
        lambda f, s, t: plain_punching_aci(f, s, s, t).load,
        lambda f, s, t: punching_en(f, s, s, t, 0.005).load,
    ):
        load = formula(fc, a, d)
        assert formula(1.1 * fc, a, d) > load
        assert formula(fc, 1.1 * a, d) > load
        assert formula(fc, a, 1.1 * d) > load


def test_the_lower_face_limit_is_the_default_and_can_govern():
    squat = punching_en(20e6, 0.1, 0.1, 0.3, 0.02)
    assert squat.load == squat.at_face < squat.at_perimeter
    assert squat.at_face == pytest.approx(0.8 * punching_en(20e6, 0.1, 0.1, 0.3, 0.02, face_share=0.5).at_face)
    edge_squat = punching_en(20e6, 0.2, 0.1, 0.3, 0.02, (0.0, math.inf))
    assert edge_squat.face == pytest.approx(0.1 + 2 * 0.2)
    assert punching_en(20e6, 0.4, 0.4, 0.1, 0.02, (0.0, math.inf)).face == pytest.approx(0.4 + 0.3)


def test_punching_of_arrays_takes_each_at_its_own_place():
    """Patches so large that ACI's part for long perimeters, or so small on thick slabs that EN's face, governs."""
    sides, first = np.array([2.0, 0.1, 1.5, 0.2, 2.0, 0.1]), np.array([9.0, 5.0, 0.0, 0.01, 0.05, 0.0])
    strength, other = np.linspace(25e6, 35e6, 6), np.array([9.0, 0.0, 4.0, 0.02, 0.0, 5.0])
    for formula, more in ((two_way_aci, ()), (plain_punching_aci, ()), (punching_en, (0.02,))):
        together = formula(strength, sides, 1.2 * sides, 0.25, *more, to_edge=(first, other))
        singly = [
            formula(f, a, 1.2 * a, 0.25, *more, to_edge=edges)
            for f, a, *edges in zip(*map(np.ndarray.tolist, (strength, sides, first, other)), strict=True)
        ]
        assert {each.place for each in singly} == {"interior", "edge", "corner"}
        assert together.place.tolist() == [each.place for each in singly]
        for name in ("load", "stress", "perimeter"):
            assert getattr(together, name).tolist() == pytest.approx(
                [getattr(each, name) for each in singly], rel=1e-12
            )
    assert together.face.tolist() == pytest.approx([each.face for each in singly], rel=1e-12)
    assert len({round(each.face / each.perimeter, 3) for each in singly}) > 3


def test_what_punching_warns_of():
    assert "plain formula" in punching_en(30e6, 0.3, 0.3, 0.16, 0.0).warnings[0]
    assert "8.3 MPa" in two_way_aci(80e6, 0.3, 0.3, 0.16).warnings[0]
    assert two_way_aci(30e6, 0.3, 0.3, 0.16).warnings == ()
    assert two_way_aci(30e6, 0.3, 0.3, 0.4).stress < two_way_aci(30e6, 0.3, 0.3, 0.4, size_factor=False).stress


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: collapse_load("interior", 1e4, 1e4, SLAB, 0.15, "plain"), "no ductility"),
        (lambda: collapse_load("middle", 1e4, 1e4, SLAB, 0.15), "interior, edge or corner"),
        (lambda: collapse_load("edge", -1.0, 1e4, SLAB, 0.15), "sagging"),
        (lambda: collapse_load("edge", 1e4, 0.0, SLAB, 0.15), "hogging"),
        (lambda: collapse_load("edge", 1e4, 1e4, SLAB, 1.1 * ELL), "radius"),
        (lambda: meyerhof_load("interior", 0.0, SLAB, 0.15), "moment"),
        (lambda: plain_moment(0.0, 4e6), "thickness"),
        (lambda: meshed_moment(5e-3, 435e6, 0.1, 20e6), "before the steel"),
        (lambda: meshed_moment(4e-4, 435e6, 0.1, 20e6, 1.5), "block"),
        (lambda: flexural_strength_en(95e6, 0.2), "strength"),
        (lambda: flexural_strength_en(30e6, 0.0), "thickness"),
        (lambda: flexural_strength_aci(5e6), "strength"),
        (lambda: flexural_strength_aci(30e6, 0.5), "lightweight"),
        (lambda: flexural_strength_aci(30e6, edition="UK"), "edition"),
        (lambda: control_perimeter(0.3, 0.3, 0.1, (-0.1, 1.0)), "over the edge"),
        (lambda: control_perimeter(0.3, 0.3, 0.1, (math.nan, 1.0)), "over the edge"),
        (lambda: two_way_aci(5e6, 0.3, 0.3, 0.1), "strength"),
        (lambda: two_way_aci(30e6, 0.3, 0.3, 0.0), "depth"),
        (lambda: two_way_aci(30e6, 0.3, 0.3, 0.1, lightweight=0.5), "lightweight"),
        (lambda: two_way_aci(30e6, 0.3, 0.3, 0.1, reduction=1.2), "reduction"),
        (lambda: two_way_aci(30e6, 0.3, 0.3, 0.1, edition="UK"), "edition"),
        (lambda: plain_punching_aci(30e6, 0.0, 0.3, 0.1), "along"),
        (lambda: punching_en(30e6, 0.3, 0.3, 0.1, 0.03), "reinforcement"),
        (lambda: line_stiffness(1.0, SLAB), "transfer"),
        (lambda: planning_stress_transfer(math.nan), "0 to 1"),
    ],
)
def test_what_is_refused(call, match):
    with pytest.raises(ValueError, match=match):
        call()


def test_a_wide_patch_is_told():
    assert "small patches" in meyerhof_load("edge", 1e4, SLAB, 0.5 * ELL).warnings[0]
    assert "small patches" in collapse_load("edge", 1e4, 1e4, SLAB, 0.5 * ELL).warnings[0]


@given(transfer=st.floats(0.001, 0.99))
def test_a_joint_hands_over_and_planning_takes_less_than_the_deflection_says(transfer):
    """1 / (1 + 1.2 (AGG / k l)^-0.849) of the stiffness gives the transfer back (Crovetti 1994, from memory)."""
    stiffness = line_stiffness(transfer, SLAB) / (SLAB.subgrade * relative_stiffness_radius(SLAB))
    assert 1.0 / (1.0 + 1.2 * stiffness**-0.849) == pytest.approx(transfer)
    assert 0.0 < planning_stress_transfer(transfer) < transfer
    assert planning_stress_transfer(transfer) <= 0.25


def test_an_unknown_joint_hands_over_nothing():
    assert planning_stress_transfer(None) == 0.0
    assert planning_stress_transfer(1.0) == 0.25
    assert line_stiffness(0.0, SLAB) == 0.0
