"""Load tests of plates and footings, beside what is expected of the same ground told by numbers and by word.

Where: [FootingTestTable], [BriaudGibbens1994], [AkbasKulhawy2009], [BothkennarFooting], [ZTVEPlateModuli],
[LayerPlateModuli], [PlateTestPressure].

These are measurements, not formulas: soils scatter, so a test holds how many measured pressures lie outside our nine in
ten, on which side and by how much, and the middle of measured over expected. The limits are those figures themselves,
as found; a change of a soil, a band or a formula shows here. So none of it is a check of the self-test, where a number
agrees or does not; it shows the footings of known numbers among what others measured.

How far the sources were read: the table of tests as two public data files give it, at second hand and alike but where
said; neither names the sites. From memory the soils under water (lighter than 13.5 kN/m3) are those of Muhs and Weiss,
1969 to 1973; the soil of 15.8 kN/m3 and 32 degrees is that of Briaud and Gibbens, whose sizes and depths are those of
the abstract. The pressure is told as ultimate; some, from memory, are read off a curve that still rises. Footings of
one size on one soil give pressures up to 5.5 times apart (0.3 m, 20.4 kN/m3): one angle stands for several densities
there, and that is in the scatter.

Not used: footings narrower than 0.3 m, smaller than a tyre's patch; one row on which the files disagree (0.5 m square,
2266 kPa); a second reading of the soil of 32 degrees (35.3 degrees, nearer to ours); the clays of the second file,
whose strengths look reckoned back from the pressures (pressure over strength 8.4 to 9.0 in all eight plates of 0.26 m).
Not found, though looked for: pressures with a soil's name on rolled gravel or crushed rock loaded until they gave, and
on granular platforms over clay.
"""

from __future__ import annotations

from functools import cache
from math import exp, log, pi
from pathlib import Path
from statistics import fmean, pstdev
from tempfile import TemporaryDirectory
from typing import NamedTuple

import pytest

from tipline.floors.known.of_zone import ZoneBands, zone_bands
from tipline.floors.known.ratio import over_draws
from tipline.floors.known.span import Span
from tipline.floors.modes.ground import Sunk, bearing_mode
from tipline.floors.modes.of_zone import ground_of
from tipline.floors.places.patch import Patch
from tipline.mechanics.subgrade import rigid_circle_settlement
from tipline.model import read_floor
from tipline.model.ground import Ground
from tipline.selftest.measured.footings import WATER, LoadedFooting, loaded_footings


def word_of(angle: float) -> str:
    """Return the sand whose likely angle lies nearest: 30, 34 and 38 degrees (how a user is taken to tell it)."""
    return "loose sand" if angle < 32.0 else "medium sand" if angle < 36.0 else "dense sand"


@cache
def known(layer: str, water: str) -> tuple[Ground, ZoneBands]:
    table = f'title = "f"\n[elsewhere]\nkind = "ground"\nwater_table = {water}\n[[elsewhere.layer]]\n{layer}\n'
    with TemporaryDirectory() as folder:
        (Path(folder) / "f.toml").write_text(table, encoding="utf-8")
        floor = read_floor(Path(folder) / "f.toml")
    assert isinstance(floor.elsewhere, Ground)
    return floor.elsewhere, zone_bands(floor.elsewhere, floor)


@cache
def expected(layer: str, water: str, width: float, length: float, depth: float) -> Span:
    """Return the pressure at which a patch is expected to sink in [Pa], likely and nine in ten of the draws."""
    zone, bands = known(layer, water)
    (below,), _, inputs = ground_of(zone, bands)
    mode = bearing_mode(Patch("t", (0.0, 0.0), 0.0, width, length, 1e4), below, 0.0, Sunk(depth, depth))
    return over_draws(mode.ask, inputs, arrays=True).strength


def measured(value: str) -> str:
    return f'{{ value = "{value}", origin = "measured" }}'


def by_numbers(one: LoadedFooting) -> Span:
    """Ask as one who measured angle and weight on this ground and told no cohesion."""
    wet = one.under_water
    layer = (
        f'soil = "{word_of(one.angle)}"\nfriction_angle = {measured(f"{one.angle} deg")}\n'
        f"cohesion = {measured('0 kPa')}\n"
        f"unit_weight = {measured(f'{one.weight + (WATER if wet else 0.0):.2f} kN/m3')}"
    )
    return expected(layer, water_of(one), one.width, one.ratio * one.width, one.depth)


def by_word(one: LoadedFooting, word: str) -> Span:
    return expected(f'soil = "{word}"', water_of(one), one.width, one.ratio * one.width, one.depth)


def water_of(one: LoadedFooting) -> str:
    return measured("0 m" if one.under_water else "9 m")


class Found(NamedTuple):
    """Measured beside expected: how many, how many below and above nine in ten, and how far at most.

    middle, scatter: of measured over likely, the geometric mean and the standard deviation of the logarithm.
    """

    number: int
    below: int
    above: int
    least: float
    most: float
    middle: float
    scatter: float


def beside(pairs: list[tuple[float, Span]]) -> Found:
    off = [log(pressure / span.likely) for pressure, span in pairs]
    return Found(
        len(pairs),
        sum(pressure < span.low for pressure, span in pairs),
        sum(pressure > span.high for pressure, span in pairs),
        min(pressure / span.low for pressure, span in pairs),
        max(pressure / span.high for pressure, span in pairs),
        exp(fmean(off)),
        pstdev(off),
    )


def test_pressures_expected_of_measured_angle_and_weight() -> None:
    """99 footings on 22 soils: the middle is right within 1 %, 81 lie in nine in ten, where 89 should.

    7 lie below, the least at 0.61 of the lower end (0.46 m on 39.75 degrees); 11 above, at most 2.35 times the upper
    end (0.46 m on 31.95 degrees): the bands of measured numbers are a little narrow, for one angle stands for the whole
    of a site and the formulas' own error is only what their authors differ by.
    """
    found = beside([(one.pressure, by_numbers(one)) for one in loaded_footings()])
    assert (found.number, found.below, found.above) == (99, 7, 11)
    assert found.least == pytest.approx(0.61, abs=0.01)
    assert found.most == pytest.approx(2.35, abs=0.02)
    assert found.middle == pytest.approx(1.00, abs=0.02)
    assert found.scatter == pytest.approx(0.49, abs=0.01)


def test_readme_tells_what_is_expected_of_a_sand_by_its_word() -> None:
    """All 99 by the word of their sand: middle, least and most of a soil, and how many lie in nine in ten."""
    pairs = [(one, (one.pressure, by_word(one, word_of(one.angle)))) for one in loaded_footings()]
    found = beside([pair for _, pair in pairs])
    soils = {(one.weight, one.angle) for one, _ in pairs}
    middles = [beside([pair for one, pair in pairs if one[:2] == soil]).middle for soil in soils]
    readme = " ".join((Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8").split())
    assert abs(found.middle - 1.0) <= 0.02
    assert f"the middle of {found.number} footings is right within 2 %" in readme
    assert f"single soils give {min(middles):.1f} to {max(middles):.1f} times it" in readme
    assert f"{found.number - found.below - found.above} lie in our nine in ten" in readme


def test_each_soil_once_gives_nearly_the_same_middle() -> None:
    """Soils with many tests do not make it: 22 soils have their middle at 1.09, between 0.49 and 3.2."""
    soils = {(one.weight, one.angle) for one in loaded_footings()}
    middles = [
        beside([(one.pressure, by_numbers(one)) for one in loaded_footings() if one[:2] == soil]).middle
        for soil in soils
    ]
    assert len(middles) == 22
    assert exp(fmean(map(log, middles))) == pytest.approx(1.09, abs=0.02)
    assert min(middles) == pytest.approx(0.49, abs=0.01)
    assert max(middles) == pytest.approx(3.20, abs=0.03)


@pytest.mark.parametrize(("wide", "count", "middle"), [(True, 31, 0.81), (False, 68, 1.11)])
def test_small_footings_carry_more_than_their_width_says(wide: bool, count: int, middle: float) -> None:
    """Of 1 m and wider, and narrower: [AkbasKulhawy2009] found such a trend below 1 m too, without figures read."""
    found = beside([(one.pressure, by_numbers(one)) for one in loaded_footings() if (one.width > 0.99) == wide])
    assert found.number == count
    assert found.middle == pytest.approx(middle, abs=0.02)


@pytest.mark.parametrize(
    ("word", "count", "below", "above", "middle"),
    [("loose sand", 5, 0, 0, 1.72), ("medium sand", 6, 0, 0, 1.03), ("dense sand", 88, 3, 9, 0.98)],
)
def test_pressures_expected_of_a_sand_by_its_word(word: str, count: int, below: int, above: int, middle: float) -> None:
    """87 of 99 lie in nine in ten, which should hold 89.

    Of dense sand 3 lie below, the least at 0.57 of the lower end; 9 above, at most 1.99 times the upper end (42 degrees
    and more, where the word stands for 38).
    """
    found = beside([(one.pressure, by_word(one, word)) for one in loaded_footings() if word_of(one.angle) == word])
    assert (found.number, found.below, found.above) == (count, below, above)
    assert found.middle == pytest.approx(middle, abs=0.02)
    if word == "dense sand":
        assert found.least == pytest.approx(0.57, abs=0.01)
        assert found.most == pytest.approx(1.99, abs=0.02)


def test_soils_as_heavy_and_strong_as_rolled_gravel_gave_less_than_the_word_expects() -> None:
    """Three soils of 20.4 and 20.8 kN/m3 and 41 to 45.7 degrees; the source does not say that they are gravel.

    Told as compacted gravel (20 kN/m3, 40 degrees, 10 kPa), 15 footings gave 0.39 of what is expected, 2 of them less
    than nine in ten, the least 0.68 of its lower end. Told by their numbers without cohesion they gave 0.90. So the
    cohesion of the word is what these tests had not; whether they are rolled bases is not known, and routine plate
    tests of such bases (below) speak for it.
    """
    heavy = [one for one in loaded_footings() if one.weight > 20.0]
    word = beside([(one.pressure, by_word(one, "compacted gravel")) for one in heavy])
    assert (word.number, word.below, word.above) == (15, 2, 0)
    assert word.least == pytest.approx(0.68, abs=0.01)
    assert word.middle == pytest.approx(0.39, abs=0.01)
    assert beside([(one.pressure, by_numbers(one)) for one in heavy]).middle == pytest.approx(0.90, abs=0.02)


@pytest.mark.parametrize(
    ("word", "asked"), [("compacted gravel", (100e6, 80e6, 70e6)), ("dense sand", (80e6, 70e6, 60e6))]
)
def test_stiffness_by_word_beside_the_strain_moduli_asked_of_rolled_ground(
    word: str, asked: tuple[float, float, float]
) -> None:
    """[ZTVEPlateModuli]: Ev2 that stands for 100, 98 and 97 % of Proctor's density, least values, in nine in ten.

    GW and GI 100, 80, 70 MN/m2; GE, SE, SW and SI 80, 70, 60. Crushed rock by word is of the stone itself, above the
    120 asked on 15 cm of it over ground of 45 [LayerPlateModuli].
    """
    stiffness = known(f'soil = "{word}"', measured("9 m"))[1].layers[0].bands["stiffness"]
    assert all(stiffness.low < value < stiffness.high for value in asked)
    assert min(asked) < stiffness.likely < 1.25 * max(asked)
    rock = known('soil = "crushed rock"', measured("9 m"))[1].layers[0].bands["stiffness"]
    assert rock.low < 120e6 < rock.likely


def test_a_routine_plate_test_on_rolled_gravel() -> None:
    """Plate of 300 mm up to 0.50 MN/m2 [PlateTestPressure], Ev2 100 MN/m2 and at most 2.3 Ev1 [ZTVEPlateModuli].

    With Ev = 0.75 D p / s the first loading settles it by 2.6 mm at most; ours settles by 2.1 mm at that pressure and
    is expected to sink in at 3.2 times it. The lower end of nine in ten lies below it: the word alone does not
    say that such a test was passed.
    """
    most = 0.75 * 0.3 * 0.5e6 / (100e6 / 2.3)
    assert most == pytest.approx(2.6e-3, abs=0.05e-3)
    bands = known('soil = "compacted gravel"', measured("9 m"))[1]
    likely = bands.layers[0].bands["stiffness"].likely / 2.3
    settled = rigid_circle_settlement(0.5e6 * pi * 0.15**2, 0.15, likely, 0.3)
    assert settled == pytest.approx(2.05e-3, abs=0.05e-3)
    side = 0.15 * pi**0.5
    found = expected('soil = "compacted gravel"', measured("9 m"), side, side, 0.0)
    assert found.likely == pytest.approx(3.25 * 0.5e6, rel=0.01)
    assert found.low < 0.5e6 < found.high


@pytest.mark.parametrize(("origin", "low"), [("measured", 0.80), ("told", 0.60)])
def test_soft_sensitive_clay_gave_less_than_its_measured_strength(origin: str, low: float) -> None:
    """[BothkennarFooting]: strength by the footing up to 30 % less than the peak of triaxial compression.

    That lies below nine in ten of a strength measured here (0.80 of it), by an eighth, and within those of one told.
    """
    layer = f'soil = "soft clay"\nundrained_strength = {{ value = "20 kPa", origin = "{origin}" }}'
    found = expected(layer, measured("0.8 m"), 2.2, 2.2, 0.0)
    assert found.low / found.likely == pytest.approx(low, abs=0.01)
    assert (0.70 * found.likely > found.low) == (origin == "told")
