"""Tyre patch and spreaders: limits, order, second routes, refusals."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tipline.mechanics.patch import (
    TyreSize,
    patch_from_pressure,
    pneumatic_patch,
    solid_patch,
    twin_radius,
    worn,
)
from tipline.mechanics.slab import GroundSlab, flexural_stiffness, relative_stiffness_radius
from tipline.mechanics.spreaders import (
    braking_grip,
    effective_area,
    placement_distance,
    plate_over_gap_one_way,
    slab_patch,
    steel_on_soil,
    timber_mat,
)
from tipline.oracles.slab_field import disc_field

TYRE = TyreSize(0.90, 0.35, 0.66, 0.12, ())
STEEL = GroundSlab(0.05, 210e9, 0.3, 20e6)


@settings(max_examples=60, deadline=None)
@given(load=st.floats(1e4, 1.5e5), modulus=st.floats(3e6, 9e6))
def test_a_solid_tyre_carries_its_load_on_its_patch(load, modulus):
    patch = solid_patch(load, TYRE, modulus)
    assert patch.mean_pressure * patch.area == pytest.approx(load)
    assert patch.peak_pressure == pytest.approx(1.5 * patch.mean_pressure)
    assert math.pi * patch.radius**2 == pytest.approx(patch.area) == pytest.approx(patch.length * patch.width)
    assert (patch.length / 2) ** 2 == pytest.approx(2 * 0.45 * patch.compression)
    more = solid_patch(1.1 * load, TYRE, modulus)
    assert more.area > patch.area
    assert more.mean_pressure > patch.mean_pressure
    rise = (more.compression - patch.compression) * patch.stiffness
    assert 0.5 * 0.1 * load < rise < 0.1 * load + 1e-9  # stiffer as the patch grows
    assert "unconfirmed" in patch.basis


def test_a_pneumatic_patch_is_load_over_pressure_and_no_wider_than_the_tread():
    patch = pneumatic_patch(1e5, 0.9e6, 0.5, carcass=0.0)
    assert patch.area == pytest.approx(1e5 / 0.9e6)
    assert patch.width == pytest.approx(0.6 * math.sqrt(patch.area / 0.5227))
    narrow = pneumatic_patch(1e5, 0.9e6, 0.15, carcass=0.0)
    assert narrow.width == 0.15
    assert narrow.area == pytest.approx(patch.area)
    assert "overloaded" in narrow.warnings[0]
    assert pneumatic_patch(1e5, 0.9e6, 0.5).area < patch.area
    assert math.isnan(patch.stiffness)


def test_twins_close_together_act_as_one_larger_circle():
    single = math.sqrt(5e4 / (1e6 * math.pi))
    radius = twin_radius(5e4, 1e6, 0.35)
    assert math.sqrt(2.0) * single < radius < 2.5 * single


def test_the_area_between_a_rigid_plate_and_one_without_end():
    assert effective_area(4.0, 100.0) == pytest.approx(4.0, rel=1e-6)
    assert effective_area(1e6, 0.5) == pytest.approx(8 * 0.25, rel=1e-6)
    far = disc_field(STEEL, 1.0, 0.01, [0.0]).deflection[0] * STEEL.subgrade
    assert effective_area(1e6, relative_stiffness_radius(STEEL)) == pytest.approx(1.0 / far, rel=2e-3)


def test_a_thicker_plate_spreads_more_and_an_offset_one_is_refused():
    found = [steel_on_soil(2e5, GroundSlab(t, 210e9, 0.3, 20e6), 2.0, 2.0, 0.17, 1.0) for t in (0.025, 0.05, 0.1)]
    assert found[0].pressure > found[1].pressure > found[2].pressure > 2e5 / 4.0
    assert found[0].stress > found[1].stress > found[2].stress
    assert "ends lift" in found[0].warnings[0]
    with pytest.raises(ValueError, match="move the plate"):
        steel_on_soil(2e5, STEEL, 2.0, 2.0, 0.17, 0.3)
    with pytest.raises(ValueError, match="shorter side"):
        steel_on_soil(2e5, STEEL, 2.0, 0.3, 0.17, 1.0)
    sheet = steel_on_soil(2e4, GroundSlab(0.005, 210e9, 0.3, 60e6), 2.0, 2.0, 0.17, 1.0)
    assert "follows the ground" in sheet.warnings[-1]
    assert sheet.pressure == pytest.approx(2e4 / (math.pi * 0.17**2))


def test_on_a_slab_a_plate_only_widens_the_patch():
    patch = slab_patch(0.3, 0.2, 0.05)
    assert (patch.length, patch.width) == pytest.approx((0.4, 0.3))
    assert slab_patch(0.3, 0.2, 0.05, 0.35, 0.25).length == 0.35
    assert patch.pressure_per_load * patch.length * patch.width == pytest.approx(1.0)
    on_soil = effective_area(4.0, relative_stiffness_radius(STEEL))
    assert on_soil > 6.0 * patch.length * patch.width  # why the area of a plate on soil may not be used on a slab


def test_a_short_stiff_mat_presses_evenly_and_a_long_one_as_without_end():
    stub = timber_mat(1e5, 0.5, 0.3, 0.3, 0.9, 0.3, 5e6)
    assert stub.pressure == pytest.approx(1e5 / (0.5 * 0.9), rel=0.01)
    lam = (30e6 * 0.9 / (4 * 11e9 * 0.9 * 0.1**3 / 12)) ** 0.25
    long = timber_mat(1e5, 12.0, 0.3, 0.3, 0.9, 0.1, 30e6)
    assert long.pressure == pytest.approx(1e5 * lam / 1.8, rel=1e-6)
    assert "longer than it can use" in long.warnings[0]
    assert timber_mat(1e5, 60.0, 0.3, 0.3, 0.9, 0.1, 30e6).pressure == pytest.approx(long.pressure, rel=1e-6)


def test_a_worn_mat_spreads_less_and_a_narrow_one_is_told():
    new, old = (timber_mat(1e5, 3.0, 0.3, 0.3, 0.9, 0.15, 30e6, worn_out=w) for w in (False, True))
    assert old.pressure > new.pressure
    narrow = timber_mat(1e5, 3.0, 0.3, 0.35, 0.2, 0.15, 30e6)
    assert "wider than the timber" in narrow.warnings[-1]
    assert narrow.bending > new.bending
    assert narrow.governs in ("bending", "shear", "bearing across the grain")
    assert timber_mat(1e5, 3.0, 0.3, 0.3, 0.9, 0.15, 30e6, grade="C24").across > new.across


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: solid_patch(0.0, TYRE), "load"),
        (lambda: solid_patch(1e5, TYRE, 1e9), "modulus"),
        (lambda: solid_patch(2e6, TYRE), "beyond this formula"),
        (lambda: pneumatic_patch(1e5, 5e6, 0.3), "inflation"),
        (lambda: pneumatic_patch(1e5, 9e5, 0.3, 0.5), "carcass"),
        (lambda: patch_from_pressure(1e5, 1e9, 0.3), "pressure"),
        (lambda: twin_radius(5e4, 1e6, 0.1), "overlap"),
        (lambda: twin_radius(5e4, 1e6, 3.0), "two patches"),
        (lambda: worn(TYRE, -0.01), "wear"),
        (lambda: effective_area(0.0, 1.0), "area"),
        (lambda: slab_patch(0.3, 0.3, 0.05, 0.2, 1.0), "on the plate"),
        (lambda: plate_over_gap_one_way(1e5, 0.6, 0.2, 0.03, 0.3, 0.3), "width"),
        (lambda: plate_over_gap_one_way(1e5, 0.6, 1.0, 0.1, 0.3, 0.3), "no thin plate"),
        (lambda: timber_mat(1e5, 3.0, 0.3, 0.3, 0.9, 0.1, 30e6, grade="oak"), "grade"),
        (lambda: timber_mat(1e5, 3.0, 0.3, 0.3, 0.9, 0.1, 30e6, partial=0.5), "partial"),
        (lambda: timber_mat(1e5, 0.2, 0.3, 0.3, 0.9, 0.1, 30e6), "mat's length"),
        (lambda: braking_grip(0.0, 1.0, 0.3, 0.3), "load"),
        (lambda: placement_distance(0.0, 1.0, 1.0), "stiffness_radius"),
    ],
)
def test_what_is_refused(call, match):
    with pytest.raises(ValueError, match=match):
        call()


def test_the_plate_of_theory_has_the_stiffness_of_its_thickness():
    assert flexural_stiffness(STEEL) == pytest.approx(210e9 * 0.05**3 / 12 / 0.91)


def test_grip_and_placement():
    grip = braking_grip(5e4, 600.0, 0.25, 0.3)
    assert grip.least == 0.25
    assert braking_grip(5e4, 0.0, 0.5, 0.3).least == 0.3
    assert placement_distance(0.4, 2.0, 3.0) == 0.4
    assert placement_distance(4.0, 2.0, 3.0) == pytest.approx(0.9)


def test_a_plate_over_a_gap_rocks_on_its_edges_where_it_sags_much():
    beam = plate_over_gap_one_way(1e5, 0.6, 0.6, 0.03, 0.3, 0.3)
    assert beam.reaction == 5e4
    assert "rocks" in plate_over_gap_one_way(3e5, 1.2, 1.0, 0.02, 0.3, 0.3).warnings[0]


def test_wear_makes_a_stiffer_smaller_tyre_and_says_when_it_is_too_far():
    new, old = solid_patch(8e4, TYRE), solid_patch(8e4, worn(TYRE, 0.05))
    assert old.compression < new.compression
    assert old.mean_pressure > new.mean_pressure
    assert worn(TYRE, 0.0) == TYRE
    with pytest.raises(ValueError, match="replace the tyre"):
        worn(TYRE, 0.1)
    assert "stiffer than this law" in solid_patch(1.9e5, TYRE).warnings[-1]
    assert solid_patch(5e4, TYRE, kind="band").basis.startswith("band")
