"""Second routes to what a tyre does to a floor, met by what `floor` asks with."""

from __future__ import annotations

from math import pi, sqrt

import pytest

from tipline.floors.modes.asphalt import stress_below
from tipline.floors.modes.slab import SlabPlace, slab_modes
from tipline.floors.places.patch import Patch, as_one
from tipline.mechanics.asphalt import surface_temperature, surface_temperature_band
from tipline.mechanics.layered import odemark_thickness
from tipline.mechanics.patch import twin_radius
from tipline.mechanics.slab import GroundSlab
from tipline.oracles.asphalt import hottest_surface_temperature, solar_irradiance
from tipline.oracles.halfspace import circle_functions, circle_response, rectangle_corner_influence
from tipline.oracles.slab import corner
from tipline.oracles.slab_field import disc_field

TYRE = Patch("t", (0.0, 0.0), 0.0, 0.3, 0.3, 90e3)
EVEN = {
    "thickness": 0.3, "asphalt_stiffness": 40e6, "surface_temperature": 293.15, "base_thickness": 0.3,
    "base_stiffness": 40e6, "soil_stiffness": 40e6,
}  # fmt: skip
SLAB = {
    "thickness": 0.2, "modulus": 31e9, "subgrade_reaction": 50e6, "flexural_strength": 3.7e6,
    "compressive_strength": 30e6, "joint_transfer": 0.0, "edge_distance": 0.0,
}  # fmt: skip
DEEP = odemark_thickness(odemark_thickness(0.3, 40e6, 40e6, 0.4, 0.4) + 0.3, 40e6, 40e6, 0.4, 0.4, 0.8)
"""Of layers all alike only the method's factors are left."""


def bending(name: str, place: SlabPlace) -> float:
    mode = next(mode for mode in slab_modes(place) if mode.name.startswith(name))
    return mode.ask(SLAB)[0]


def test_below_a_tyre_an_even_ground_is_stressed_as_the_half_space_below_a_circle_and_a_square() -> None:
    """At the equivalent depth, 0.02 s: the circle exactly, the square within 1 %."""
    found = stress_below((TYRE,), TYRE.at, EVEN, 0.02)
    parts = circle_functions(TYRE.radius, DEEP, 0.0)
    assert found == pytest.approx(TYRE.pressure * (parts.a + parts.b), rel=1e-6)
    assert found == pytest.approx(circle_response(TYRE.pressure, TYRE.radius, 40e6, 0.4, DEEP, 0.0).vertical, rel=1e-6)
    assert found == pytest.approx(4.0 * TYRE.pressure * rectangle_corner_influence(0.15, 0.15, DEEP), rel=0.01)


@pytest.mark.parametrize("apart", [0.3, 0.6, 1.2])
def test_beside_a_tyre_it_falls_off_as_below_a_circle(apart: float) -> None:
    """Within 5 % of the pressure's part that is left below the tyre's middle."""
    beside = stress_below((TYRE,), (apart, 0.0), EVEN, 0.02)
    exact = circle_response(TYRE.pressure, TYRE.radius, 40e6, 0.4, DEEP, apart).vertical
    assert beside == pytest.approx(exact, abs=0.05 * stress_below((TYRE,), TYRE.at, EVEN, 0.02))


def test_a_patch_far_from_edges_bends_the_slab_as_the_exact_plate() -> None:
    """Westergaard's formula, a patch as wide as it is thick, beside the field by a Hankel integral: within 3 %."""
    slab, wide = GroundSlab(0.2, 31e9, 0.2, 50e6), Patch("t", (0.0, 0.0), 0.0, 0.7, 0.7, 90e3)
    exact = 6.0 * disc_field(slab, 90e3, min(wide.radius, 0.5 * 0.81006), [0.0]).radial[0] / 0.2**2
    assert bending("bending in mid-slab", SlabPlace(wide)) == pytest.approx(exact, rel=0.03)


def test_twins_close_together_bend_the_slab_as_their_one_circle() -> None:
    """Two patches of 0.2 m by 0.2 m, 0.3 m from middle to middle, 45 kN each: within 4 %."""
    both = [Patch(name, (0.0, y), 0.0, 0.2, 0.2, 45e3) for name, y in (("a", -0.15), ("b", 0.15))]
    radius = twin_radius(45e3, both[0].pressure, 0.3)
    circle = Patch("c", (0.0, 0.0), 0.0, radius * sqrt(pi), radius * sqrt(pi), 90e3)
    asked = bending("bending in mid-slab", SlabPlace(as_one(both, 0.0)))
    assert asked == pytest.approx(bending("bending in mid-slab", SlabPlace(circle)), rel=0.04)


def test_a_tyre_at_a_free_corner_bends_it_as_the_closed_formula() -> None:
    """Ioannides' of 1985 for a circle that touches both edges, within 12 %: ours is fitted to plate elements."""
    half = 0.5 * TYRE.length
    place = SlabPlace(TYRE, to_edge=half, to_other_edge=half, to_joint=half, to_other_joint=half)
    formula = corner(GroundSlab(0.2, 31e9, 0.2, 50e6), 90e3, TYRE.radius).stress
    assert bending("bending at a corner", place) == pytest.approx(formula, rel=0.12)


def test_the_hottest_surface_lies_in_the_band_of_a_sunny_day() -> None:
    """Air of 38 degC, 30 degrees of latitude at noon: by the balance of heat within 2 K, and inside the band."""
    hottest = hottest_surface_temperature(311.15, pi / 6.0)
    balance = surface_temperature(311.15, solar_irradiance(pi / 6.0 - 0.409), 4.5)
    assert hottest == pytest.approx(balance, abs=2.0)
    band = surface_temperature_band(311.15, "sun")
    assert band.low < hottest < band.high
