"""Mast beam and rated loads: limits, second routes through other product code, refusals."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tipline.mechanics.rating import (
    least_load,
    load_by_axle_moment,
    load_by_drive_axle,
    load_by_fork_stamp,
    load_by_moment,
    load_by_slope_test,
    load_by_steer_axle,
    side_slope,
)
from tipline.mechanics.statics import allowable_load, load_moment, steer_axle_share
from tipline.oracles.rating import residual_load
from tipline.oracles.statics import balance_point, slope_gravity
from tipline.oracles.tipping import backward_threshold, fixed_axle_threshold, parts_threshold

EI = 8.4e6
MASS, CENTRE = [9e3, 6e3, 1.8e3], [(-1.1, 0.0, 0.65), (-2.0, 0.0, 0.8), (0.35, 0.0, 1.3)]
OUT = [(-1.1, 0.0, 0.65), (-3.2, 0.0, 0.8), (0.35, 0.0, 1.3)]


@settings(max_examples=40, deadline=None)
@given(slope=st.floats(0.0, 0.2), x=st.floats(0.5, 2.5), z=st.floats(0.5, 7.0))
def test_the_slope_test_load_puts_the_balance_point_on_the_front_axle(slope, x, z):
    load = float(load_by_slope_test(MASS, CENTRE, x, z, slope))
    p = balance_point([*MASS, load], [*CENTRE, (x, 0.0, z)], slope_gravity(math.atan(slope), 0.0))
    assert p[0] == pytest.approx(0.0, abs=1e-9)


def test_the_least_load_gives_the_front_axle_its_share():
    load = float(least_load(MASS, OUT, 1.9, 1.15, 0.30))
    assert load > 0.0
    share = steer_axle_share([*MASS, load], [*OUT, (1.15, 0.0, 1.0)], 1.9)
    assert 1.0 - share == pytest.approx(0.30)
    assert least_load(MASS, CENTRE, 1.9, 1.15, 0.15) < 0.0


def test_the_steer_axle_load_leaves_its_share():
    load = float(load_by_steer_axle(MASS, CENTRE, 1.9, 1.15, 0.10))
    assert steer_axle_share([*MASS, load], [*CENTRE, (1.15, 0.0, 1.0)], 1.9) == pytest.approx(0.10)


def test_the_load_moment_rule_stays_below_the_slope_test_for_a_longer_load_centre():
    rated = float(load_by_slope_test(MASS, CENTRE, 0.55 + 0.6, 3.0, 0.035))
    longer = float(load_by_slope_test(MASS, CENTRE, 0.55 + 0.9, 3.0, 0.035))
    assert allowable_load(load_moment(rated, 0.6), 0.9) < longer


def test_the_load_moment_rule_promises_too_much_to_a_shorter_load_centre_and_to_a_higher_load():
    """16.31 t at 0.9 m: 0.6 m gives 24.5 t by the rule and 20.4 t by the slope; 3 m higher 14.9 t instead of 16.31."""
    rated = float(load_by_slope_test(MASS, CENTRE, 0.55 + 0.9, 3.0, 0.035))
    shorter = float(load_by_slope_test(MASS, CENTRE, 0.55 + 0.6, 3.0, 0.035))
    assert allowable_load(load_moment(rated, 0.9), 0.6) > shorter
    assert load_by_axle_moment(rated, 0.55, 0.9, 0.6) > shorter
    assert float(load_by_slope_test(MASS, CENTRE, 0.55 + 0.9, 6.0, 0.035)) < load_by_axle_moment(rated, 0.55, 0.9, 0.9)


def test_the_least_load_in_a_stop_in_reverse_takes_the_front_axle_to_where_it_lifts():
    load = float(least_load(MASS, OUT, 1.9, 1.15, 0.0, 0.35, 0.9))
    assert load > 0.0
    laden = [*MASS, load], [*OUT, (1.15, 0.0, 0.9)]
    assert backward_threshold(*laden, 1.9) == pytest.approx(0.35)
    # so high that each tonne pulls back more than it holds down
    assert math.isnan(float(least_load(MASS, OUT, 1.9, 1.15, 0.0, 0.5, 7.0)))


def test_the_drive_axle_carries_what_it_may():
    load = float(load_by_drive_axle(MASS, CENTRE, 1.9, 1.15, 25e3))
    share = steer_axle_share([*MASS, load], [*CENTRE, (1.15, 0.0, 1.0)], 1.9)
    assert (1.0 - share) * (sum(MASS) + load) == pytest.approx(25e3)


def test_side_slopes_are_the_thresholds_of_both_kinds_of_steer_axle():
    parts = [*MASS, 5e3], [*CENTRE, (1.15, 0.0, 3.0)]
    assert side_slope(*parts, 0.85, 0.0, 1.9, 0.45) == pytest.approx(parts_threshold(*parts, 1.7, 1.9, 0.45))
    share, total = steer_axle_share(*parts, 1.9), sum(parts[0])
    height = sum(m * c[2] for m, c in zip(*parts, strict=True)) / total
    assert side_slope(*parts, 0.85, 0.75, 1.9, 0.0) == pytest.approx(fixed_axle_threshold(1.7, 1.5, share, height))
    # all of it 50 mm to the lower side: half widths 50 mm less
    aside = [(x, 0.05, z) for x, _, z in parts[1]]
    assert side_slope(parts[0], aside, 0.85, 0.75, 1.9, 0.0) == pytest.approx(
        float(side_slope(*parts, 0.80, 0.70, 1.9, 0.0))
    )


def test_many_trucks_at_once_are_each_as_alone():
    loads = load_by_slope_test([MASS] * 2, [CENTRE, OUT], [1.15, 1.45], 3.6, [0.035, 0.18])
    alone = load_by_slope_test(MASS, CENTRE, 1.15, 3.6, 0.035), load_by_slope_test(MASS, OUT, 1.45, 3.6, 0.18)
    assert loads.tolist() == pytest.approx([float(one) for one in alone])


def test_an_attachment_always_costs_load():
    bare = load_by_slope_test(MASS, CENTRE, 1.15, 3.0, 0.035)
    assert residual_load(MASS, CENTRE, 400.0, 0.6, 2.5, 1.15, 3.0, 0.035) < bare


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: load_by_slope_test(MASS, CENTRE, -0.1, 1.0, 0.1), "ahead"),
        (lambda: load_by_slope_test([1.0], [(0.1, 0)], 1.0, 1.0, 0.1), "centre of shape"),
        (lambda: least_load(MASS, CENTRE, 1.9, 1.0, 1.0), "front share"),
        (lambda: load_by_steer_axle(MASS, CENTRE, 0.0, 1.0, 0.1), "wheelbase"),
        (lambda: load_by_drive_axle(MASS, CENTRE, 1.9, 1.0, -1.0), "axle mass"),
        (lambda: load_by_axle_moment(1e3, 0.0, 0.6, 0.0), "axle to load"),
        (lambda: side_slope([-1.0, 2.0], [(0, 0, 1)] * 2, 0.8, 0.0, 1.9, 0.4), "negative"),
        (lambda: side_slope(MASS, [(float("nan"), 0, 1)] * 3, 0.8, 0.0, 1.9, 0.4), "finite"),
        (lambda: residual_load(MASS, CENTRE, -1.0, 0.6, 2.5, 1.15, 3.0, 0.035), "attachment"),
    ],
)
def test_out_of_range_is_refused_in_plain_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()


@pytest.mark.parametrize(("centre", "share", "load"), [(0.9, 0.5, 8666.667), (0.5, 0.5, 13000.0), (0.6, 0.65, 10000.0)])
def test_two_forks_by_their_stamp_by_hand(centre, share, load):
    """6.5 t at 0.6 m on each: 13 t * 0.6 / 0.9; nearer no more than 13 t; 6.5 t / 0.65 where one has more of it."""
    assert float(load_by_fork_stamp(6500.0, 0.6, centre, share)) == pytest.approx(load, rel=1e-6)


def test_a_load_by_the_largest_moment_by_hand():
    """120 kN m at 0.9 m: 120 / 9.80665 / 0.9 = 13.5962 t; 20 kN m of the jib's own leave five sixths of it."""
    assert float(load_by_moment(120e3, 0.9)) == pytest.approx(13596.2, rel=1e-5)
    assert float(load_by_moment(120e3, 0.9, 20e3)) == pytest.approx(13596.2 * 5.0 / 6.0, rel=1e-5)
    with pytest.raises(ValueError, match="largest moment"):
        load_by_moment(0.0, 0.9)
