"""Ground that yields: its line by depth against the bearing formulas themselves, per kind of soil."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import hypot, radians, sqrt
from pathlib import Path

import pytest

from tipline.floors.answers.demand import demand
from tipline.floors.known.of_zone import zone_bands
from tipline.floors.laws.of_floor import floor_laws, places_met, singly
from tipline.floors.laws.soil_line import BOTTOM, FIRST, SoilLine, line_through, tyre_curve, tyre_line
from tipline.floors.modes.situation import Situation
from tipline.floors.places.loads import stepped_areas, tyres_of
from tipline.mechanics.bearing import Footing, FootingSoil, bearing_capacity
from tipline.mechanics.granular_platform import platform_capacity
from tipline.mechanics.sinkage import sunk_patch
from tipline.scenario import Case

Make = Callable[..., Case]
SCENARIO = """
title = "on bare ground"
machine = "demo-truck-{truck}"
floor = "{floor}"
[setup]
position = ["6 m", "5.5 m"]
attachment = "forks"
fork_height = "1 m"
counterweight_extension = "1 m"
ballast_slabs = 2
[load]
mass = "{mass} t"
size = ["0.9 m", "1.0 m", "1.0 m"]
height_of_centre = "0.5 m"
load_centre = "0.6 m"
"""
HEAD = 'title = "f"\n[elsewhere]\nkind = "ground"\nwater_table = "3 m"\n'
LAYER = '[[elsewhere.layer]]\nsoil = "{}"\n'
PLATFORM = (
    '[elsewhere.platform]\nsoil = "crushed rock"\nfriction_angle = "40 deg"\nunit_weight = "20 kN/m3"\n'
    'thickness = "{}"\n'
)
AUTHORS = ("meyerhof", "hansen", "vesic", "en1997")
SOILS = ("soft clay", "firm clay", "stiff clay", "loose sand", "dense sand", "compacted gravel", "crushed rock")
MIXED = {
    "platform over firm clay": PLATFORM.format("300 mm") + LAYER.format("firm clay"),
    "platform over soft clay": PLATFORM.format("600 mm") + LAYER.format("soft clay"),
    "gravel over firm clay": LAYER.format("compacted gravel") + 'thickness = "0.3 m"\n' + LAYER.format("firm clay"),
}


@pytest.fixture
def ground(make: Make, tmp_path: Path) -> Callable[..., Case]:
    def on(layers: str, truck: str = "a", mass: float = 9.0, **settings: str) -> Case:
        (tmp_path / "floor.toml").write_text(HEAD + layers, encoding="utf-8")
        text = SCENARIO.format(truck=truck, mass=mass, floor=tmp_path / "floor.toml")
        return make(text, {key.replace("__", "."): value for key, value in settings.items()})

    return on


def heaviest(case: Case) -> tuple[Situation, float]:
    one = max(singly(places_met(case)), key=lambda each: each.patch.load)
    return one, tyres_of(case.machine)[one.patch.tyre].diameter / 2


def line_of(case: Case) -> SoilLine:
    radii = {name: tyre.diameter / 2 for name, tyre in tyres_of(case.machine).items()}
    return tyre_line(places_met(case), zone_bands(case.floor.elsewhere, case.floor), {}, radii)


def by_formula(word: str, one: Situation, radius: float, depth: float) -> float:
    """Pressure on the flat patch at which uniform ground yields, straight from the bearing formulas."""
    soil = {
        "soft clay": FootingSoil(0.0, 30e3, 18e3),
        "firm clay": FootingSoil(0.0, 60e3, 18e3),
        "dense sand": FootingSoil(radians(38.0), 2e3, 19e3),
        "compacted gravel": FootingSoil(radians(40.0), 10e3, 20e3),
    }[word]
    reach = sunk_patch(one.patch.length, radius, depth)
    footing = Footing(one.patch.width, reach.length, reach.depth)
    found = [bearing_capacity(soil, footing, method).pressure for method in AUTHORS]
    pressure = found[2] if soil.friction == 0.0 else 0.5 * (min(found) + max(found))
    return pressure * reach.length / one.patch.length


@pytest.mark.parametrize("truck", ["a", "c"])
@pytest.mark.parametrize("word", ["soft clay", "firm clay", "dense sand", "compacted gravel"])
def test_the_line_goes_through_the_bearing_formulas_at_three_depths(
    word: str, truck: str, ground: Callable[..., Case]
) -> None:
    case = ground(LAYER.format(word), truck, 9.0 if truck == "a" else 3.0)
    one, radius = heaviest(case)
    line = line_of(case)
    for depth in (0.0, line.knee, BOTTOM):
        assert line.at(depth) == pytest.approx(by_formula(word, one, radius, depth), rel=1e-9)


def test_a_tyre_comes_to_rest_where_the_formulas_hold_it(ground: Callable[..., Case]) -> None:
    case = ground(LAYER.format("dense sand"))
    one, radius = heaviest(case)
    line = line_of(case)
    assert FIRST < line.knee < BOTTOM
    assert line.at(line.knee) == pytest.approx(one.patch.pressure, rel=2e-3)
    assert by_formula("dense sand", one, radius, line.knee) == pytest.approx(one.patch.pressure, rel=2e-3)
    assert by_formula("dense sand", one, radius, 0.0) < 0.4 * one.patch.pressure


@pytest.mark.parametrize("truck", ["a", "c"])
@pytest.mark.parametrize("soil", [*SOILS, *MIXED])
def test_the_line_is_hardly_ever_stronger_than_the_curve_and_not_much_weaker(
    soil: str, truck: str, ground: Callable[..., Case]
) -> None:
    case = ground(MIXED.get(soil, LAYER.format(soil)), truck, 9.0 if truck == "a" else 3.0)
    one, radius = heaviest(case)
    line, curve = line_of(case), tyre_curve(one, zone_bands(case.floor.elsewhere, case.floor), {}, radius)
    shares = [line.at(0.01 * step) / curve(0.01 * step) for step in range(51)]
    assert max(shares) < 1.06
    assert min(shares) > (0.5 if soil in MIXED else 0.6)


def test_a_platform_is_lost_as_it_is_punched_through_and_clay_is_left(ground: Callable[..., Case]) -> None:
    case = ground(MIXED["platform over soft clay"])
    one, radius = heaviest(case)
    curve = tyre_curve(one, zone_bands(case.floor.elsewhere, case.floor), {}, radius)
    assert line_of(case).after < 0.0
    assert curve(0.2) > curve(0.4) > curve(0.5)
    through = ground(PLATFORM.format("300 mm") + LAYER.format("soft clay"))
    below = tyre_curve(one, zone_bands(through.floor.elsewhere, through.floor), {}, radius)
    assert below(0.31) == pytest.approx(by_formula("soft clay", one, radius, 0.31), rel=1e-9)


def test_punching_loses_what_lies_above_the_patch() -> None:
    whole, half, rest = (
        platform_capacity(40e3, 0.4, 20e3, radians(40.0), 0.4, 0.6, sunk) for sunk in (0.0, 0.2, 0.4 - 1e-9)
    )
    assert half.punching - half.bare_clay == pytest.approx(
        0.75 * (whole.punching - whole.bare_clay) + 20e3 * 0.2, rel=1e-9
    )
    assert rest.punching == pytest.approx(whole.bare_clay + 20e3 * 0.4, rel=1e-6)
    assert half.platform_itself > whole.platform_itself
    assert half.load_spread < whole.load_spread
    for sunk in (0.4, -0.1, float("nan")):
        with pytest.raises(ValueError, match="sunk"):
            platform_capacity(40e3, 0.4, 20e3, radians(40.0), 0.4, 0.6, sunk)


def test_a_sunk_wheel_bears_on_the_chord_of_its_circle() -> None:
    reach = sunk_patch(0.2, 0.4, 0.1)
    hub = sqrt(0.4**2 - 0.1**2)
    assert hypot(0.5 * reach.length, hub - 0.1) == pytest.approx(0.4)
    assert sunk_patch(0.2, 0.4, 0.0) == (pytest.approx(0.2), 0.0)
    rolling = sunk_patch(0.2, 0.4, 0.1, ends=1)
    assert rolling.length == pytest.approx(0.5 * (0.2 + reach.length))
    assert reach.depth < rolling.depth < 0.1
    assert sunk_patch(0.2, 0.4, 0.1, ends=0) == pytest.approx((0.2, 0.1))
    assert sunk_patch(0.2, 0.4, 0.5).length == pytest.approx(0.8)


@pytest.mark.parametrize("wrong", [(0.9, 0.4, 0.1, 2), (0.2, 0.0, 0.1, 2), (0.2, 0.4, -0.1, 2), (0.2, 0.4, 0.1, 3)])
def test_a_wheel_out_of_range_is_refused(wrong: tuple[float, float, float, int]) -> None:
    with pytest.raises(ValueError, match=r"length|radius|sinking|ends"):
        sunk_patch(*wrong)


def test_a_line_takes_the_curve_that_lets_its_tyre_deepest() -> None:
    weak, strong = (lambda z: 100e3 + 1e6 * z), (lambda z: 300e3 + 1e6 * z)
    line = line_through([(weak, 90e3), (strong, 500e3)])
    assert line.start == 300e3
    assert line.knee == pytest.approx(0.2)
    assert line.growth == pytest.approx(1e6)
    both = line_through([(weak, 90e3), (strong, 200e3)])
    assert both.start == 100e3, "of two that are held the one nearest to sinking"
    assert both.at(0.3) == pytest.approx(400e3)
    assert line_through([(weak, 2e6)]).at(BOTTOM) == pytest.approx(600e3)


def test_a_rolling_tyre_has_less_ground_to_bear_on(ground: Callable[..., Case]) -> None:
    one, radius = heaviest(case := ground(LAYER.format("firm clay")))
    bands = zone_bands(case.floor.elsewhere, case.floor)
    standing, rolling = (tyre_curve(replace(one, moving=moving), bands, {}, radius) for moving in (False, True))
    assert rolling(0.0) == standing(0.0)
    assert 0.6 * standing(0.1) < rolling(0.1) < 0.9 * standing(0.1)


def test_the_law_of_a_case_is_that_line_and_says_so(ground: Callable[..., Case]) -> None:
    case = ground(LAYER.format("dense sand"))
    line, found = line_of(case), floor_laws(case)
    one, _ = heaviest(case)
    part = one.patch.area / stepped_areas(case, {one.patch.tyre: one.patch.load})[one.patch.tyre]
    (law,) = found.zones
    assert 0.9 < part < 1.2
    assert law.soil[0] == pytest.approx(part * line.start)
    assert law.soil[1] == pytest.approx(part * line.growth)
    assert law.knee == pytest.approx((line.knee, part * line.after))
    assert any("bearing formulas at depth" in note for note in found.notes)


def plates(case: Case, kind: str, thickness: str, more: str) -> str:
    """A sheet under every tyre of a case, each named after its tyre."""
    middles = {one.patch.tyre: one.patch.at for one in singly(places_met(case))}
    return "".join(
        f'[[spreader]]\nname = "under {tyre}"\nkind = "{kind}"\nsize = ["1.2 m", "0.8 m"]\n'
        f'thickness = "{thickness}"\nat = ["{x} m", "{y} m"]\n{more}\n'
        for tyre, (x, y) in middles.items()
    )


@pytest.mark.slow
@pytest.mark.parametrize("soil", ["firm clay", "dense sand", "platform over soft clay"])
@pytest.mark.parametrize(
    "sheet", [("steel_plate", "25 mm", 'grade = "S355"'), ("timber_mat", "150 mm", 'grade = "D40"\njoined = "bolted"')]
)
def test_spreading_counts_once(soil: str, sheet: tuple[str, str, str], ground: Callable[..., Case]) -> None:
    layers = MIXED.get(soil, LAYER.format(soil))
    bare = ground(layers)
    laid = ground(layers + plates(bare, *sheet))
    (alone,), laws = floor_laws(bare).zones, floor_laws(laid).zones
    assert laws[0] == alone, "what is laid under the tyres must not make the ground beside it stronger"
    answers = [one for one in demand(laid, detail=False).answers if one.event in ("sinks in", "punches in")]
    loads = {one.patch.tyre: one.patch.load for one in singly(places_met(laid))}
    for law in laws[1:]:
        tyre = law.name.removeprefix("under ")
        worst = max((one for one in answers if one.tyre == tyre), key=lambda one: one.of_strength.likely)
        assert law.whole
        assert law.soil[0] * law.area == pytest.approx(loads[tyre] / worst.of_strength.likely, rel=1e-6)
        assert law.area < 1.2 * 0.8 + 1e-9


def test_a_sheet_that_no_tyre_is_on_still_spreads(ground: Callable[..., Case]) -> None:
    far = '[[spreader]]\nname = "far"\nkind = "steel_plate"\nsize = ["2 m", "1 m"]\nthickness = "30 mm"\n'
    case = ground(LAYER.format("firm clay") + far + 'at = ["30 m", "5 m"]\n')
    law = floor_laws(case).zones[-1]
    assert law.law == "soft"
    assert 0.2 < law.area < 2.0
