"""Tipping thresholds and drop depths: limits, order, second routes, refusals."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from tipline.oracles.energy import (
    hole_depth_limit,
    hole_depth_limit_disc,
    hole_depth_limit_springs,
    landing_depth,
    rise_to_tip,
    slow_depth,
)
from tipline.oracles.statics import balance_point, slope_gravity
from tipline.oracles.tipping import (
    backward_threshold,
    braking_threshold,
    fixed_axle_threshold,
    parts_threshold,
    pivoting_axle_threshold,
    static_stability_factor,
    tip_or_slide,
)

length = st.floats(0.2, 4.0)


@settings(max_examples=60, deadline=None)
@given(track=length, share=st.floats(0.0, 0.9), height=st.floats(0.6, 6.0), pivot=st.floats(0.0, 0.5))
def test_one_lump_gives_the_same_pivoting_threshold_by_both_formulas(track, share, height, pivot):
    by_parts = parts_threshold([5.0], [(-share * 1.9, 0.0, height)], track, 1.9, pivot)
    assert by_parts == pytest.approx(pivoting_axle_threshold(track, share, height, pivot), rel=1e-12)


def test_the_pivoting_threshold_is_the_zero_of_the_moment_about_the_line_front_tyre_to_pivot():
    track, base, pivot, centre = 1.10, 1.5, 0.25, np.array([-0.675, 0.0, 0.70])
    a, b = np.array([0.0, track / 2, 0.0]), np.array([-base, 0.0, pivot])
    ratio = pivoting_axle_threshold(track, 0.45, 0.70, pivot)
    force = np.array([0.0, ratio, -1.0])
    assert np.cross(centre - a, force) @ (b - a) == pytest.approx(0.0, abs=1e-12)


@settings(max_examples=40, deadline=None)
@given(slope=st.floats(-0.1, 0.1))
def test_braking_at_the_threshold_puts_the_balance_point_on_the_front_axle(slope):
    mass, centre = [9e3, 6e3, 4e3], [(-1.1, 0, 0.65), (-2.0, 0, 0.8), (1.15, 0, 2.0)]
    ratio = braking_threshold(mass, centre, slope)
    gravity = slope_gravity(abs(slope), 0.0 if slope >= 0 else math.pi)
    p = balance_point(mass, centre, gravity, (-ratio * 9.80665, 0.0, 0.0))
    assert p[0] == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(slope=st.floats(0.0, 0.1))
def test_backing_at_the_threshold_puts_the_balance_point_on_the_rear_axle(slope):
    mass, centre = [9e3, 6e3], [(-1.1, 0, 0.65), (-2.0, 0, 0.8)]
    ratio = backward_threshold(mass, centre, 1.9, slope)
    p = balance_point(mass, centre, slope_gravity(slope, math.pi), (ratio * 9.80665, 0.0, 0.0))
    assert p[0] == pytest.approx(-1.9, abs=1e-9)


def test_tip_or_slide_changes_over_where_friction_equals_the_ratio():
    assert tip_or_slide(0.499, 0.5, 1.0).first == "slides"
    assert tip_or_slide(0.5, 0.5, 1.0) == ("tips", 0.5)


@settings(max_examples=60, deadline=None)
@given(distance=st.floats(0.3, 1.0), height=st.floats(1.2, 5.0), inertia=st.floats(0.3, 4.0), other=st.floats(0.3, 1.0))
def test_the_drop_depths_stand_in_order(distance, height, inertia, other):
    base = distance + other
    bound, landing, slow = (
        hole_depth_limit(distance, height),
        landing_depth(distance, height, base, inertia),
        slow_depth(distance, height, base),
    )
    assert 0.0 < bound <= landing * (1 + 1e-9)
    assert landing <= slow * (1 + 1e-9)


@settings(max_examples=40, deadline=None)
@given(distance=length, height=st.floats(0.5, 6.0), radius=st.floats(0.1, 0.45), tread=st.floats(0.0, 0.4))
def test_a_disc_needs_a_deeper_hole_than_a_fixed_line(distance, height, radius, tread):
    line = hole_depth_limit(distance, height)
    assert hole_depth_limit_disc(distance, height, radius, tread) >= line
    assert hole_depth_limit_disc(distance, height, radius, tread, "lengthways") > line - 1e-12
    assert hole_depth_limit_disc(distance, height, radius, 0.0) == line


def test_the_spring_bound_equals_the_energy_of_a_plane_body_on_springs():
    weight, half, height, k = 196e3, 0.6, 1.1, 1.5e6
    sag = weight / (2 * k)
    at_rest = weight * (height - sag) + 2 * 0.5 * k * sag**2
    reach, lean = math.hypot(half, height), math.atan2(half, height)

    def over_landed_side(turn):
        z = minimize_scalar(lambda sink: -weight * sink + 0.5 * k * sink**2, bounds=(0, 1), method="bounded")
        return -(weight * reach * math.cos(lean - turn) + z.fun)

    barrier = -minimize_scalar(over_landed_side, bounds=(0.0, 1.2), method="bounded").fun
    depth = (barrier - at_rest) / weight
    by_formula = hole_depth_limit_springs(half, height, weight, [weight / 2] * 2, [k] * 2, k)
    assert by_formula == pytest.approx(depth, abs=2e-6)
    assert by_formula < hole_depth_limit(half, height)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: pivoting_axle_threshold(1.1, 1.0, 0.7, 0.2), "rear share"),
        (lambda: pivoting_axle_threshold(1.1, 0.9, 0.2, 0.9), "above the line"),
        (lambda: parts_threshold([1.0], [(-2.0, 0, 1.0)], 1.1, 1.5, 0.2), "holding moment"),
        (lambda: fixed_axle_threshold(1.1, 1.0, 1.1, 0.7), "falls back"),
        (lambda: braking_threshold([1.0], [(0.1, 0, 1.0)]), "deceleration"),
        (lambda: braking_threshold([1.0], [(-0.1, 0, 1.0)], 1.6), "slope"),
        (lambda: backward_threshold([1.0], [(-0.1, 0, 0.0)], 1.9), "sum of m z"),
        (lambda: tip_or_slide(-0.1, 0.5, 1.0), "friction"),
        (lambda: static_stability_factor(1.5, 0.0), "height"),
        (lambda: rise_to_tip(0.6, 1.1, 0.6), "past the edge"),
        (lambda: slow_depth(1.3, 1.1, 1.2), "base"),
        (lambda: landing_depth(0.6, 0.1, 2.4, 0.01), "stops dead"),
        (lambda: hole_depth_limit_disc(0.6, 1.1, 0.3, 0.2, "up"), "direction"),
        (lambda: hole_depth_limit_springs(0.6, 1.1, 2e5, [1e5] * 2, [1e5] * 2, 1e5), "depth"),
        (lambda: hole_depth_limit_springs(0.6, 1.1, 2e5, [1e5], [1e6] * 2, 1e6), "one length"),
    ],
)
def test_out_of_range_is_refused_in_plain_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()


@settings(max_examples=60, deadline=None)
@given(share=st.floats(0.0, 0.95), height=length)
def test_a_pivot_on_the_floor_and_equal_tracks_lie_below_the_fixed_axle(share, height):
    swing = pivoting_axle_threshold(1.5, share, height, 0.0)
    fixed = fixed_axle_threshold(1.5, 1.5, share, height)
    assert swing <= fixed
    assert fixed == pytest.approx(static_stability_factor(1.5, height))
