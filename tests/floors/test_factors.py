"""Factors of the floor: each by hand from what it stands for, and each with a source or the words for our choice."""

from __future__ import annotations

import re
from dataclasses import replace
from math import exp, inf, pi, radians, sqrt

import pytest

from tipline.floors.known.of_zone import zone_bands
from tipline.floors.modes import asphalt, cover, ground, of_zone, slab, spreader
from tipline.floors.modes.ground import GroundLayer, bearing_mode, platform_mode
from tipline.floors.modes.mode import Factor, Mode
from tipline.floors.modes.slab import SlabPlace, slab_modes
from tipline.floors.places.patch import Patch
from tipline.model import read_floor
from tipline.selftest import references

TYRE = Patch("t", (0.0, 0.0), 0.0, 0.24, 0.30, 70e3)
SLAB = {
    "thickness": 0.15, "modulus": 30e9, "subgrade_reaction": 40e6, "flexural_strength": 3.7e6,
    "compressive_strength": 30e6, "steel_area": 3e-4, "steel_depth": 0.1, "steel_yield": 4.6e8,
}  # fmt: skip
ELL = (30e9 * 0.15**3 / (12.0 * (1.0 - 0.2**2) * 40e6)) ** 0.25
NAMES = {
    id(value): (f"{module.__name__.rsplit('.', 1)[-1]}.{name}", value)
    for module in (of_zone, asphalt, spreader, cover, ground, slab)
    for name, value in vars(module).items()
    if isinstance(value, Factor)
}
FACTORS = dict(NAMES.values())
"""Each under the name of the module that makes it, which is asked after those that import it."""
BY_HAND = {
    "slab.BENDING": 1.7,
    "slab.PLAIN_PUNCHING": 2.7,  # 1.6 / 0.6 = 2.667, up
    "slab.PUNCHING": 2.4,  # 1.6 x 1.5, above 1.6 / 0.75 = 2.13
    "slab.COLLAPSE": 2.4,  # 1.6 x 1.5
    "slab.PAST_CRACK": 1.7,
    "ground.BEARING": 2.0,
    "cover.CLASSES": 1.5,
    "cover.STEEL": 1.65,  # 1.5 x 1.1
    "spreader.TIMBER": 1.44,  # 1.3 / 0.9 = 1.444
}


def slab_mode(name: str, place: SlabPlace) -> Mode:
    return next(mode for mode in slab_modes(place) if mode.name.startswith(name))


def test_each_factor_is_what_its_parts_make() -> None:
    """Those of 1 divide nothing: what they stand before is allowed by others, or not there."""
    assert {name: factor.value for name, factor in FACTORS.items() if factor.value != 1.0} == pytest.approx(BY_HAND)


@pytest.mark.parametrize("name", FACTORS)
def test_each_factor_says_where_it_comes_from(name: str) -> None:
    """A key of the references, or that it is our choice, or common practice without a source."""
    factor = FACTORS[name]
    assert set(factor.keys) <= references().keys()
    assert factor.keys or re.search(r"our choice|common practice, no source", factor.source) or factor.value == 1.0


def test_what_a_cavity_adds_fades_by_e_cubed_per_radius_of_stiffness() -> None:
    """Of 0.2 m radius, its rim 0.1 m and 0.3 m past that of the patch: exp(-3 x 0.2 / l) is left of it."""
    alone, near, far = (
        slab_mode("bending in mid-slab", replace(SlabPlace(TYRE), cavity=apart)).ask({**SLAB, "cavity_radius": 0.2})[0]
        for apart in (inf, 0.3 + TYRE.radius, 0.5 + TYRE.radius)
    )
    assert near > 1.01 * alone
    assert (far - alone) / (near - alone) == pytest.approx(exp(-3.0 * 0.2 / ELL), rel=1e-6)


def test_edges_count_up_to_two_and_a_half_metres() -> None:
    """At 2.49 m an edge is asked, at 2.51 m it is not; so are a joint and a corner."""
    for apart, there in ((2.49, True), (2.51, False)):
        names = [mode.name for mode in slab_modes(SlabPlace(TYRE, to_edge=apart, to_joint=apart, to_other_joint=apart))]
        assert ("bending at a free edge" in names) is there
        assert ("bending at a corner" in names) is there


def test_a_patch_counts_up_to_half_the_radius_of_stiffness() -> None:
    """A wide one asks for as much as one of that radius: 3 x 1.2 x P / (2 pi h^2) (ln(2 l / a) + 1/2 - 0.5772).

    Its radius is past 1.724 h, so that the ordinary theory holds.
    """
    wide = replace(TYRE, length=1.0, width=1.0)
    asked = slab_mode("bending in mid-slab", SlabPlace(wide)).ask(SLAB)[0]
    assert wide.radius > 0.5 * ELL > 1.724 * 0.15
    equal = replace(TYRE, length=0.5 * ELL * sqrt(pi), width=0.5 * ELL * sqrt(pi))
    assert asked == pytest.approx(slab_mode("bending in mid-slab", SlabPlace(equal)).ask(SLAB)[0], rel=1e-9)


def test_more_than_two_per_cent_of_steel_does_not_count_in_punching() -> None:
    """2 mm of steel in 0.1 m is 2 %; half of that carries less, half more no more."""
    mode = slab_mode("punching", SlabPlace(TYRE, reinforcement="mesh"))
    half, full, more = (mode.ask({**SLAB, "steel_area": area})[1] for area in (1e-3, 2e-3, 3e-3))
    assert half < full == more


def test_a_load_widens_one_in_two_down_to_a_layer_below() -> None:
    """0.24 m by 0.30 m becomes 0.64 m by 0.70 m in 0.4 m: 70 kN / 0.448 m2 = 156.25 kPa."""
    below = GroundLayer("clay", True, "clay ", ("sand thickness",))
    demand, _ = bearing_mode(TYRE, below, 0.0).ask({"clay undrained_strength": 40e3, "sand thickness": 0.4})
    assert demand == pytest.approx(156.25e3)


def test_of_a_platform_one_and_a_half_patch_widths_count() -> None:
    """0.36 m under a patch 0.24 m wide, whether it is 0.4 m or 0.8 m thick; 0.3 m carry less."""
    layer = GroundLayer("clay", True, "clay ", ("platform thickness",))
    asked = platform_mode(TYRE, layer, "platform ").ask
    x = {
        "clay undrained_strength": 30e3, "platform friction_angle": radians(40.0), "platform unit_weight": 20e3,
        "platform cohesion": 0.0, "water_depth": 3.0,
    }  # fmt: skip
    thin, thick, thicker = (asked({**x, "platform thickness": thickness})[1] for thickness in (0.3, 0.4, 0.8))
    assert thin < thick == thicker
    assert thin < asked({**x, "platform thickness": 0.355})[1] < thick


def test_half_of_a_cohesion_known_by_word_goes_with_the_water() -> None:
    """Water at the base of 0.24 m by 0.30 m: 10 kPa of a word are asked as 5 kPa told."""
    word = GroundLayer("sand", False, "", apparent=True)
    x = {"friction_angle": radians(32.0), "unit_weight": 19e3, "water_depth": 0.0, "author": 0.5}
    wet = bearing_mode(TYRE, word, 0.0).ask({**x, "cohesion": 10e3})[1]
    told = bearing_mode(TYRE, replace(word, apparent=False), 0.0).ask({**x, "cohesion": 5e3})[1]
    assert wet == pytest.approx(told)


def test_clay_below_a_pavement_bears_six_times_its_strength() -> None:
    """6.05 of the undrained strength under a rough disc: 40 kPa bear 242 kPa."""
    x = {
        "thickness": 0.12, "asphalt_stiffness": 3.5e9, "surface_temperature": 293.15, "base_thickness": 0.25,
        "base_stiffness": 250e6, "soil_stiffness": 40e6, "undrained_strength": 40e3,
    }  # fmt: skip
    bands = zone_bands(read_floor("demo-yard-c").elsewhere, read_floor("demo-yard-c")).bands
    (mode,) = asphalt.asphalt_modes((TYRE,), TYRE, {**dict.fromkeys(bands), "undrained_strength": None}, moving=False)
    assert mode.ask(x)[1] == pytest.approx(242e3)


def test_a_punched_cone_is_likely_1_3_times_the_thickness_wider() -> None:
    """As wide to either side as 1.3 of the thickness in all, between 45 degrees and the codes' flatter cones."""
    floor = read_floor("demo-hall-c")
    cone = zone_bands(floor.zone[0], floor)["punching_cone"]
    assert (cone.likely, cone.pessimistic, cone.optimistic) == (1.3, 1.0, 2.0)
