"""Half-space and layers: equilibrium, two routes to one number, symmetry, refusals."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import dblquad, quad
from scipy.special import j0, j1

from tipline.mechanics.halfspace import circle_axis_stress, point_stress
from tipline.mechanics.layered import odemark_thickness
from tipline.oracles.halfspace import (
    circle_functions,
    circle_response,
    rectangle_corner_influence,
)
from tipline.oracles.layered import CircleLoad, LayerSet, layered_response

ROAD = LayerSet((5e9, 2e8, 5e7), (0.35, 0.40, 0.45), (0.26, 0.5))
WHEEL = CircleLoad(0.0, 0.0, 0.15, 0.7e6)


@pytest.mark.parametrize(("z", "r"), [(0.5, 0.3), (0.5, 1.0), (0.7, 2.2), (0.2, 1e-3)])
def test_the_circle_functions_are_the_hankel_integrals(z, r):
    def integral(kernel):
        return quad(lambda t: math.exp(-z * t) * j1(t) * kernel(t), 0.0, 60.0 / z, limit=800, epsabs=1e-10)[0]

    f = circle_functions(1.0, z, r)
    assert f.a == pytest.approx(integral(lambda t: j0(r * t)), abs=1e-8)
    assert f.b == pytest.approx(integral(lambda t: z * t * j0(r * t)), abs=1e-8)
    assert f.g == pytest.approx(integral(lambda t: z * t * j1(r * t)), abs=1e-8)
    assert f.u == pytest.approx(integral(lambda t: j1(r * t) / t), abs=1e-8)
    assert f.w == pytest.approx(integral(lambda t: j0(r * t) / t), abs=1e-8)


def test_the_vertical_stress_carries_the_load_at_every_depth():
    for z in (0.1, 1.0, 3.0):
        inside = quad(lambda r, z=z: 2 * r * circle_response(1.0, 1.0, 1.0, 0.3, z, r).vertical, 0, 400, limit=400)[0]
        assert inside == pytest.approx(1.0, rel=2e-3)


@settings(deadline=None, max_examples=25)
@given(
    nu=st.floats(0.05, 0.49),
    thick=st.tuples(st.floats(0.1, 1.0), st.floats(0.1, 1.0)),
    place=st.tuples(st.floats(-1.0, 1.0), st.floats(-1.0, 1.0), st.floats(0.0, 2.0)),
)
def test_equal_layers_are_a_half_space(nu, thick, place):
    layers = layered_response(LayerSet((2e8,) * 3, (nu,) * 3, thick), [WHEEL], [place])
    body = layered_response(LayerSet((2e8,), (nu,), ()), [WHEEL], [place])
    assert layers.stress == pytest.approx(body.stress, abs=1e-6 * WHEEL.pressure)
    assert layers.deflection == pytest.approx(body.deflection, rel=1e-7)


def test_stress_and_movement_go_through_an_interface_and_the_surface_carries_the_load():
    places = [(0.0, 0.0, 0.26), (0.1, 0.2, 0.26), (0.3, 0.0, 0.76)]
    above, below = (layered_response(ROAD, [WHEEL], places, side) for side in ("above", "below"))
    assert above.layer.tolist() == [0, 0, 1]
    assert below.layer.tolist() == [1, 1, 2]
    for i in range(3):
        assert above.stress[:, i, 2] == pytest.approx(below.stress[:, i, 2], abs=1e-6 * WHEEL.pressure)
    assert above.deflection == pytest.approx(below.deflection, rel=1e-8)
    assert above.strain[:, :2, :2] == pytest.approx(below.strain[:, :2, :2], abs=1e-11)
    surface = layered_response(ROAD, [WHEEL], [(0.05, 0.0, 0.0), (0.2, 0.1, 0.0)])
    assert surface.stress[0, 2, 2] == pytest.approx(WHEEL.pressure)
    assert surface.stress[1, 2, 2] == pytest.approx(0.0, abs=1e-3)
    assert surface.stress[:, 0, 2] == pytest.approx(0.0, abs=1e-3)


def test_layers_are_in_equilibrium():
    h, at = 1e-3, np.array([0.12, -0.07, 0.15])
    step = np.concatenate([[at + h * e, at - h * e] for e in np.eye(3)])
    found = layered_response(ROAD, [WHEEL], step).stress
    force = sum((found[2 * i, i] - found[2 * i + 1, i]) / (2.0 * h) for i in range(3))
    assert np.abs(force).max() < 2e-4 * WHEEL.pressure / WHEEL.radius
    down = np.array([0.0, 0.0, h])
    moved = layered_response(ROAD, [WHEEL], [at + down, at - down, at])
    slope = -(moved.deflection[0] - moved.deflection[1]) / (2.0 * h)
    assert moved.strain[2, 2, 2] == pytest.approx(slope, rel=1e-4)


def test_loads_add_and_a_turned_set_turns_the_stress():
    c, s = math.cos(0.7), math.sin(0.7)
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    loads = [WHEEL, CircleLoad(0.5, 0.1, 0.12, 0.9e6)]
    at = np.array([0.2, 0.15, 0.3])
    whole = layered_response(ROAD, loads, [at]).stress[0]
    parts = sum(layered_response(ROAD, [load], [at]).stress[0] for load in loads)
    assert whole == pytest.approx(parts, abs=1.0)
    turned = [CircleLoad(*(turn @ [load.x, load.y, 0.0])[:2], load.radius, load.pressure) for load in loads]
    assert layered_response(ROAD, turned, [turn @ at]).stress[0] == pytest.approx(turn @ whole @ turn.T, abs=1.0)


def test_a_stiffer_top_spreads_the_load_and_odemark_is_near():
    below = [
        layered_response(LayerSet((e, 5e7), (0.35, 0.35), (0.15,)), [WHEEL], [(0.0, 0.0, 0.15)]).stress[0, 2, 2]
        for e in (5e7, 5e8, 3e9)
    ]
    assert below == sorted(below, reverse=True)
    for e, exact in zip((1.5e8, 5e8, 3e9), (None, below[1], below[2]), strict=True):
        if exact is not None:
            by_hand = circle_axis_stress(WHEEL.pressure, WHEEL.radius, odemark_thickness(0.15, e, 5e7, 0.35, 0.35))
            assert by_hand == pytest.approx(exact, rel=0.10)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: point_stress(1.0, 0.0, 1.0), "depth"),
        (lambda: circle_axis_stress(1.0, -1.0, 1.0), "radius"),
        (lambda: circle_response(1.0, 1.0, 1.0, 0.6, 1.0, 1.0), "Poisson"),
        (lambda: LayerSet((1e8, 1e7), (0.3, 0.3), ()), "must be one modulus"),
        (lambda: LayerSet((1e8, 1e7), (0.3, 0.7), (0.1,)), "Poisson"),
        (lambda: LayerSet((1e8, 1e7), (0.3, 0.3), (0.0,)), "thickness"),
        (lambda: layered_response(ROAD, [], [(0.0, 0.0, 0.0)]), "loads"),
        (lambda: layered_response(ROAD, [WHEEL], [(0.0, 0.0, -0.1)]), "down from the surface"),
        (lambda: layered_response(ROAD, [CircleLoad(0, 0, 0, 1e6)], [(0.0, 0.0, 0.0)]), "radius"),
        (lambda: layered_response(LayerSet((1e9, 1e7), (0.3, 0.3), (1e-4,)), [WHEEL], [(9.0, 0, 0)]), "too thin"),
        (lambda: odemark_thickness(0.1, 1e7, 1e8, 0.3, 0.3), "stiffer"),
    ],
)
def test_out_of_range_is_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()


@given(z=st.floats(0.0, 5.0), nu=st.floats(0.0, 0.5))
def test_off_the_axis_meets_the_axis(z, nu):
    off = circle_response(1.0, 1.0, 1.0, nu, z, 1.01e-4)
    assert off.vertical == pytest.approx(circle_axis_stress(1.0, 1.0, z), abs=1e-6)
    assert off.radial == pytest.approx(off.hoop, abs=1e-6)
    near = circle_response(1.0, 1.0, 1.0, nu, z, 0.99e-4)
    assert near.shear == pytest.approx(off.shear, abs=1e-5)
    assert near.outward == pytest.approx(off.outward, abs=1e-5)


def test_the_corner_of_a_rectangle_is_the_sum_of_its_points():
    stress = dblquad(lambda y, x: point_stress(1.0, 0.4, math.hypot(x, y)), 0.0, 1.0, 0.0, 0.6)[0]
    assert rectangle_corner_influence(1.0, 0.6, 0.4) == pytest.approx(stress, rel=1e-7)
