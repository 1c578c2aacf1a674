"""Mast beam and rated loads: limits, second routes through other product code, refusals."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tipline.mechanics.statics import steer_axle_share
from tipline.oracles.rating import (
    least_load,
    load_by_slope_test,
    load_by_steer_axle,
    residual_load,
)
from tipline.oracles.statics import allowable_load, balance_point, load_moment, slope_gravity

EI = 8.4e6
MASS, CENTRE = [9e3, 6e3, 1.8e3], [(-1.1, 0.0, 0.65), (-2.0, 0.0, 0.8), (0.35, 0.0, 1.3)]
OUT = [(-1.1, 0.0, 0.65), (-3.2, 0.0, 0.8), (0.35, 0.0, 1.3)]


@settings(max_examples=40, deadline=None)
@given(slope=st.floats(0.0, 0.2), x=st.floats(0.5, 2.5), z=st.floats(0.5, 7.0))
def test_the_slope_test_load_puts_the_balance_point_on_the_front_axle(slope, x, z):
    load = load_by_slope_test(MASS, CENTRE, x, z, slope)
    p = balance_point([*MASS, load], [*CENTRE, (x, 0.0, z)], slope_gravity(math.atan(slope), 0.0))
    assert p[0] == pytest.approx(0.0, abs=1e-9)


def test_the_least_load_gives_the_front_axle_its_share():
    x = [c[0] for c in OUT]
    load = least_load(MASS, x, 1.9, 1.15, 0.30)
    assert load > 0.0
    share = steer_axle_share([*MASS, load], [*OUT, (1.15, 0.0, 1.0)], 1.9)
    assert 1.0 - share == pytest.approx(0.30)
    assert least_load(MASS, [c[0] for c in CENTRE], 1.9, 1.15, 0.15) == 0.0


def test_the_steer_axle_load_leaves_its_share():
    load = load_by_steer_axle(MASS, [c[0] for c in CENTRE], 1.9, 1.15, 0.10)
    assert steer_axle_share([*MASS, load], [*CENTRE, (1.15, 0.0, 1.0)], 1.9) == pytest.approx(0.10)


def test_the_load_moment_rule_stays_below_the_slope_test_for_a_longer_load_centre():
    rated = load_by_slope_test(MASS, CENTRE, 0.55 + 0.6, 3.0, 0.035)
    longer = load_by_slope_test(MASS, CENTRE, 0.55 + 0.9, 3.0, 0.035)
    assert allowable_load(load_moment(rated, 0.6), 0.9) < longer


def test_an_attachment_always_costs_load():
    bare = load_by_slope_test(MASS, CENTRE, 1.15, 3.0, 0.035)
    assert residual_load(MASS, CENTRE, 400.0, 0.6, 2.5, 1.15, 3.0, 0.035) < bare


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: load_by_slope_test(MASS, CENTRE, -0.1, 1.0, 0.1), "ahead"),
        (lambda: load_by_slope_test([1.0], [(0.1, 0, 1)], 1.0, 1.0, 0.1), "holding moment"),
        (lambda: least_load(MASS, [-1, -2, 0], 1.9, 1.0, 1.0), "front share"),
        (lambda: load_by_steer_axle(MASS, [0, 0, 0], 1.9, 1.0, 0.1), "to spare"),
        (lambda: residual_load(MASS, CENTRE, -1.0, 0.6, 2.5, 1.15, 3.0, 0.035), "attachment"),
    ],
)
def test_out_of_range_is_refused_in_plain_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()
