"""Balance point and tyre loads: equilibrium, mirror, two routes, refusals."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tipline.mechanics.statics import steer_axle_share
from tipline.oracles.statics import (
    axle_loads,
    balance_point,
    slope_gravity,
    tipping_load,
    tyre_loads,
)

POSITION = np.array([(0.0, 0.85), (0.0, -0.85), (-1.9, 0.75), (-1.9, -0.75)])
STIFFNESS = np.array([3e6, 3e6, 2e6, 2e6])
unit = st.floats(0.0, 1.0)
metre = st.floats(-3.0, 3.0)


@settings(max_examples=60, deadline=None)
@given(a=unit, b=unit, sinkage=st.lists(st.floats(0.0, 0.02), min_size=4, max_size=4))
def test_tyre_loads_balance_weight_and_moments_wherever_the_balance_point_is_inside(a, b, sinkage):
    left, right = POSITION[0] * (1 - a) + POSITION[2] * a, POSITION[1] * (1 - a) + POSITION[3] * a
    p = (0.99 * b + 0.005) * left + (0.995 - 0.99 * b) * right
    p[0] = min(max(p[0], -1.89), -0.01)
    loads = tyre_loads(200e3, p, POSITION, STIFFNESS, sinkage)
    assert (loads >= 0.0).all()
    assert loads.sum() == pytest.approx(200e3, rel=1e-9)
    assert loads @ POSITION / 200e3 == pytest.approx(p, abs=1e-8)


@settings(max_examples=40, deadline=None)
@given(x=st.floats(-1.5, -0.2), y=st.floats(-0.6, 0.6))
def test_mirrored_truck_has_mirrored_loads(x, y):
    loads = tyre_loads(200e3, (x, y), POSITION, STIFFNESS)
    mirrored = tyre_loads(200e3, (x, -y), POSITION, STIFFNESS)
    assert mirrored == pytest.approx(loads[[1, 0, 3, 2]], rel=1e-9, abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(x=metre, y=metre, z=st.floats(0.1, 8.0), slope=st.floats(0.0, 0.5), azimuth=st.floats(-3.0, 3.0))
def test_a_slope_moves_the_balance_point_by_height_times_tangent(x, y, z, slope, azimuth):
    p = balance_point([7.0], [(x, y, z)], slope_gravity(slope, azimuth))
    shift = z * math.tan(slope)
    assert p == pytest.approx((x + shift * math.cos(azimuth), y + shift * math.sin(azimuth)), abs=1e-9)


def test_acceleration_and_the_same_outside_force_move_the_balance_point_alike():
    mass, centre = [1000.0, 500.0], [(-1.0, 0.1, 0.8), (1.0, 0.0, 3.0)]
    braked = balance_point(mass, centre, acceleration=(-2.0, 0.5, 0.0))
    pulled = balance_point(mass, centre, force=[(2000.0, -500.0, 0.0), (1000.0, -250.0, 0.0)], force_point=centre)
    assert braked == pytest.approx(pulled, abs=1e-12)
    assert braked[0] > balance_point(mass, centre)[0]


def test_a_force_that_turns_about_z_does_not_move_the_balance_point():
    plain = balance_point([1000.0], [(-1.0, 0.0, 1.0)])
    turned = balance_point(
        [1000.0], [(-1.0, 0.0, 1.0)], force=[(100.0, 0, 0), (-100.0, 0, 0)], force_point=[(0, 1, 2.0), (0, -1, 2.0)]
    )
    assert turned == pytest.approx(plain, abs=1e-12)


def test_the_tipping_load_brings_the_steer_axle_share_to_zero():
    mass, x = [9000.0, 6000.0, 1800.0], [-1.1, -2.0, 0.35]
    load = tipping_load(mass, x, 1.15)
    centre = [(v, 0.0, 1.0) for v in [*x, 1.15]]
    assert steer_axle_share([*mass, load], centre, 1.9) == pytest.approx(0.0, abs=1e-12)


def test_axle_loads_agree_with_the_steer_axle_share():
    front, rear = axle_loads(100e3, -0.4, 1.9)
    assert front + rear == pytest.approx(100e3)
    assert rear / 100e3 == pytest.approx(steer_axle_share([1.0], [(-0.4, 0.0, 1.0)], 1.9))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: tyre_loads(1e5, (0.5, 0.0), POSITION, STIFFNESS), "tips"),
        (lambda: tyre_loads(1e5, (-0.5, 0.0), POSITION[:2], STIFFNESS[:2]), "3 to 16 tyres"),
        (lambda: tyre_loads(1e5, (-0.5, 0.0), POSITION, -STIFFNESS), "greater than 0"),
        (lambda: axle_loads(1e5, 0.1, 1.9), "between"),
        (lambda: axle_loads(math.nan, -0.1, 1.9), "weight"),
        (lambda: balance_point([1.0], [(0, 0, 1)], (0.0, 0.0, 9.81)), "press"),
        (lambda: balance_point([1.0, -1.0], [(0, 0, 1), (0, 0, 1)]), "negative"),
        (lambda: balance_point([1.0], [(0, 0, 1), (0, 0, 1)]), "shape"),
        (lambda: balance_point([1.0], [(0, 0, math.inf)]), "finite"),
        (lambda: balance_point([1.0], [(0, 0, 1)], force=[(1, 0, 0)]), "its point"),
        (lambda: slope_gravity(2.0, 0.0), "steep as a wall"),
        (lambda: tipping_load([1.0], [-1.0], -0.5), "ahead of the axle"),
        (lambda: tipping_load([1.0], [1.0], 2.0), "holding moment"),
    ],
)
def test_out_of_range_is_refused_in_plain_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def certified(weight, balance, position, stiffness, sinkage, loads):
    """Hold loads to the conditions that only those of least energy meet.

    They push, they balance, and one plane lies at each loaded tyre as far in as its load asks, at no other tyre below
    the floor.
    """
    base = np.column_stack([np.ones(len(loads)), position])
    assert (loads >= 0.0).all()
    assert loads @ base == pytest.approx(weight * np.array([1.0, *balance]), abs=1e-6 * weight)
    carries = loads > 1e-7 * weight
    height = loads / stiffness + sinkage
    plane, _, rank, _ = np.linalg.lstsq(base[carries], height[carries], rcond=1e-9)
    slack = 1e-6 * weight / min(stiffness) + 1e-6
    assert base[carries] @ plane == pytest.approx(height[carries], abs=slack)
    if rank == 3:
        assert (base @ plane <= height + slack).all()


@pytest.mark.slow
def test_a_truck_stands_in_every_one_of_3072_simple_cases():
    """Four tyres, each on the floor or 20, 50 or 100 mm over it, and twelve balance points, all between the tyres.

    Loads found by going on from those of all four tyres without end told 192 of them as tipping.
    """
    points = list(itertools.product((-0.1, -0.6, -1.2, -1.8), (-0.6, 0.0, 0.6)))
    for sinkage in itertools.product((0.0, 0.02, 0.05, 0.1), repeat=4):
        for p in points:
            loads = tyre_loads(200e3, p, POSITION, STIFFNESS, sinkage)
            certified(200e3, p, POSITION, STIFFNESS, np.array(sinkage), loads)


@pytest.mark.slow
def test_drawn_tyres_carry_what_stands_between_them_and_nothing_else():
    """3 to 8 tyres anywhere, stiffness over two decades, floor within 0.1 m; tipping by the tyres' convex hull."""
    from scipy.spatial import ConvexHull

    rng, stood = np.random.default_rng(20), 0
    for _ in range(3000):
        n = int(rng.integers(3, 9))
        position, stiffness = rng.uniform((-3.0, -1.2), (0.3, 1.2), (n, 2)), 10.0 ** rng.uniform(5.5, 7.5, n)
        sinkage, p = rng.uniform(-0.1, 0.1, n), rng.uniform((-3.0, -1.2), (0.3, 1.2))
        outside = float((ConvexHull(position).equations @ [*p, 1.0]).max())
        if outside > 1e-3:
            with pytest.raises(ValueError, match="tips"):
                tyre_loads(150e3, p, position, stiffness, sinkage)
        elif outside < -1e-3:
            stood += 1
            certified(150e3, p, position, stiffness, sinkage, tyre_loads(150e3, p, position, stiffness, sinkage))
    assert 600 < stood < 2400


def test_a_balance_point_over_a_tyre_or_between_two_is_carried_there():
    level = tyre_loads(100e3, POSITION[2], POSITION, STIFFNESS)
    assert level == pytest.approx([0.0, 0.0, 100e3, 0.0], abs=1e-3)
    between = tyre_loads(100e3, 0.25 * POSITION[0] + 0.75 * POSITION[2], POSITION, STIFFNESS, (0.05, 0.0, 0.1, 0.0))
    assert between == pytest.approx([25e3, 0.0, 75e3, 0.0], abs=1e-3)
