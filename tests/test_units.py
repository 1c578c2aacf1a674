"""Quantities read from text and shown again."""

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tipline import units

DIMENSIONS = st.sampled_from(units.DIMENSIONS)


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("5.2 t", "mass", 5200.0),
        ("2 short_ton", "mass", 4000 * 0.45359237),
        ("24 in", "length", 0.6096),
        ("6 ft 3 in", "length", 75 * 0.0254),
        ("-6 ft 3 in", "length", -75 * 0.0254),
        ("9 km/h", "speed", 2.5),
        ("0.1 g", "acceleration", 0.980665),
        ("180 deg", "angle", math.pi),
        ("1:50", "slope", math.atan(0.02)),
        ("2%", "slope", math.atan(0.02)),
        ("20 mm/m", "slope", math.atan(0.02)),
        ("0.24 in/ft", "slope", math.atan(0.02)),
        ("100 %", "slope", math.pi / 4),
        ("60 %", "ratio", 0.6),
        ("0.6", "ratio", 0.6),
        ("5 N/mm2", "pressure", 5e6),
        ("1 kN m/deg", "torsion_stiffness", 180e3 / math.pi),
        ("1 kNm/deg", "torsion_stiffness", 180e3 / math.pi),
        ("1 kN*m/deg", "torsion_stiffness", 180e3 / math.pi),
        ("95 degF", "temperature", 308.15),
        ("1 kip", "force", 4448.2216152605),
        ("  115   mm ", "length", 0.115),
    ],
)
def test_reads(text, dimension, value):
    assert units.parse(text, dimension) == pytest.approx(value, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "dimension", "says"),
    [
        ("5 ton", "mass", "a ton is 907, 1000 or 1016 kg"),
        ("5", "mass", "a number without a unit"),
        ("nan kg", "mass", "not a finite number"),
        ("-inf kg", "mass", "not a finite number"),
        ("1e999 kg", "mass", "not a finite number"),
        ("5 t", "force", '"t" is tonne, a unit of mass, but force is needed'),
        ("5 m s", "length", "unknown length unit"),
        ("5 m 3", "length", "unknown length unit"),
        ("5,2 t", "mass", "read two ways"),
        ("10,000 kg", "mass", "read two ways"),
        ("1:0", "slope", "other than 0"),
        ("", "mass", "empty"),
        ("\u0665 m", "length", "not a number"),
        ("5 feets", "length", "use one of m, cm, mm"),
        ("0x10 m", "length", "unknown length unit"),
    ],
)
def test_refuses(text, dimension, says):
    with pytest.raises(ValueError, match=r".") as caught:
        units.parse(text, dimension)
    assert says in str(caught.value)


@pytest.mark.parametrize(
    ("value", "dimension", "system", "text"),
    [
        (5200.0, "mass", "si", "5.2 tonne"),
        (120.0, "mass", "si", "120 kg"),
        (0.115, "length", "si", "115 mm"),
        (6.2, "length", "si", "6.2 m"),
        (0.6096, "length", "us", "24 in"),
        (6.2, "length", "us", "20.3 ft"),
        (98e3, "force", "si", "98 kN"),
        (5e6, "pressure", "si", "5 MPa"),
        (math.atan(0.02), "slope", "si", "2 %"),
        (0.6, "ratio", "si", "0.6"),
        (-0.0, "length", "si", "0 m"),
        (0.99999, "length", "si", "1000 mm"),
        (123456.0, "mass", "us", "272000 lb"),
        (math.nan, "length", "si", "not finite"),
    ],
)
def test_shows(value, dimension, system, text):
    assert units.show(value, dimension, system) == text


@pytest.mark.parametrize(
    ("text", "again"),
    [
        (
            "the floor gives way under the front-left tyre by 115 mm",
            "the floor gives way under the front-left tyre by 4.53 in",
        ),
        ("no stop shorter than, from 5 km/h,", "no stop shorter than, from 3.1 mph,"),
        ("mass of lifted load: 6 tonne", "mass of lifted load: 13,200 lb"),
        ("0 m, 0 m; -5 mm", "0 ft, 0 ft; -0.2 in"),
        ("9.84 ft/s2, 272000 lb, 5 mast stages, 3 deg, 0.05", "9.84 ft/s2, 272,000 lb, 5 mast stages, 3 deg, 0.05"),
        ("20.15 kN, 1999 years, 3000 kg", "4,530 lbf, 1999 years, 6,610 lb"),
        ("2 MPa/m and 5 kN m/rad", "7.4 psi/in and 64 lbf ft/deg"),
        ("840 mm to 982 mm", "2.76 ft to 3.22 ft"),
        ("0.84 m to 1 m; 840 mm, or to 500 mm from 900 mm", "2.76 ft to 3.28 ft; 33.1 in, or to 19.7 in from 35.4 in"),
        ("5 km/h to 2 m/s and 0 mm to 1.2 m", "3.1 mph to 6.6 ft/s and 0 ft to 3.9 ft"),
        ("from 3 mm/s to 0.2 m/s", "from 0.01 ft/s to 0.66 ft/s"),
    ],
)
def test_texts_are_restated_in_us_units(text, again):
    assert units.restate(text, "us") == again
    assert units.restate(text, "si") == text


@pytest.mark.parametrize(
    ("text", "again"),
    [
        ("20 mm", "0.8 in"),  # 0.787
        ("150 mm", "5.9 in"),  # 5.906
        ("100 mm", "3.94 in"),  # 3.937: 3.9 in would be 99.1 mm
        ("1.5 m/s2", "4.9 ft/s2"),  # 4.921
        ("6 tonne", "13,200 lb"),  # 13 228: a weight is not made 1.7 % less
        ("5 kN", "1,120 lbf"),  # 1124.0
        ("23 kN against 23.1 kN", "5,170 lbf against 5,200 lbf"),  # 5170.6 and 5193.1, whole 5,200 and 5,190 alone
        ("322 mm and 323 mm", "12.68 in and 12.7 in"),  # 12.677 and 12.717
        ("400 mm, 405 mm", "15.7 in, 15.9 in"),  # 15.748 and 15.945
    ],
)
def test_a_restated_number_has_no_more_digits_than_its_origin_bears(text, again):
    assert units.restate(text, "us") == again


SAID = {"mm": 25.4, "m/s2": 0.3048, "kN": 0.0044482216, "tonne": 0.00045359237, "kPa": 6.894757}
"""Units of texts, and one of the US unit in each."""


@given(st.integers(1, 899), st.integers(1, 899), st.integers(0, 2), st.sampled_from(sorted(SAID)))
def test_what_differs_is_restated_apart_and_in_order(one, other, decimals, unit):
    """Within half of the last place that is written, or the half of a third digit."""
    texts = [f"{value / 10**decimals:.{decimals}f} {unit}" for value in (one, other)]
    again = units.restate(" or ".join(texts), "us").replace(",", "").split(" or ")
    (a, b), (low, high) = ([float(text.split()[0]) for text in pair] for pair in (texts, again))
    assert (a > b) - (a < b) == (low > high) - (low < high)
    for given_, said in ((a, low), (b, high)):
        off = max(0.5 / 10**decimals / SAID[unit], 0.005 * said)
        assert abs(given_ / SAID[unit] - said) <= off * 1.001


@given(st.floats(allow_nan=False, allow_infinity=False), DIMENSIONS)
def test_a_value_in_si_units_reads_back_to_the_same_bits(value, dimension):
    assert units.parse(f"{value!r} {units.SI_UNIT[dimension]}", dimension).hex() == value.hex()


@given(st.floats(1e-3, 1e6), DIMENSIONS, st.sampled_from(["si", "us"]))
def test_what_is_shown_reads_back(value, dimension, system):
    value = math.atan(value / 1e6) if dimension == "slope" else value
    again = units.parse(units.show(value, dimension, system, digits=9), dimension)
    assert again == pytest.approx(value, rel=1e-7, abs=1e-6 if dimension == "temperature" else 0.0)


@given(st.text(), DIMENSIONS)
def test_any_text_gives_a_finite_number_or_a_plain_refusal(text, dimension):
    try:
        value = units.parse(text, dimension)
    except ValueError as error:
        assert str(error)
        assert len(str(error)) < 400
    else:
        assert math.isfinite(value)


@given(st.floats(-1e3, 1e3), DIMENSIONS)
def test_every_unit_offered_is_read(number, dimension):
    for unit in units.units_of(dimension):
        text = unit if ":" in unit else f"{number!r} {unit}"
        assert math.isfinite(units.parse(text, dimension))


def test_a_posted_load_is_psf_in_us_units_as_it_stands_on_the_sign():
    """250 lbf on a square foot are 11.97 kN on a square metre."""
    value = units.parse("250 psf", "areal_load")
    assert value == pytest.approx(250 * 4.4482216 / 0.09290304, rel=1e-8)
    assert units.parse("0.25 ksf", "areal_load") == pytest.approx(value, rel=1e-15)
    assert units.parse("2.5 ksf", "pressure") == pytest.approx(10.0 * value, rel=1e-15)
    assert units.show(value, "areal_load", "us") == "250 psf"
    assert units.show(value, "areal_load") == "12 kN/m2"
    assert units.restate(f"posted {units.show(value, 'areal_load', digits=4)}", "us") == "posted 250 psf"


@pytest.mark.parametrize("dimension", units.DIMENSIONS)
def test_exact_text_reads_back_to_the_same_bits(dimension):
    for value in (0.11800000000000001, 0.1, 1.0 / 3.0, 7.0, 12345.678, 0.04 * 1.0):
        assert units.parse(units.exact(value, dimension), dimension) == value


def test_exact_text_is_short_where_it_can_be():
    assert units.exact(units.parse("118 mm", "length"), "length") == "118 mm"
    assert units.exact(units.parse("4 deg", "angle"), "angle") == "4 deg"
    assert units.exact(units.parse("2 %", "slope"), "slope") == "2 %"
    assert units.exact(2.5, "length") == "2.5 m"


FACTORS = ("0.3048", "0.0254", "0.45359237", "0.44704", "4.4482216", "9.80665")
"""What units of the trade are in SI: numbers that are met for no other reason."""


def test_what_a_unit_is_in_si_stands_in_one_place() -> None:
    here = Path(units.__file__)
    others = {path: path.read_text(encoding="utf-8") for path in here.parent.rglob("*.py") if path != here}
    assert len(others) > 400
    assert [f"{path.name}: {factor}" for path, text in others.items() for factor in FACTORS if factor in text] == []


@pytest.mark.parametrize(
    ("value", "dimension", "system", "text"),
    [
        (12250.0, "mass", "si", "12.25 tonne"),
        (1.23456, "length", "si", "1.23456 m"),
        (5.0 / 3.0, "speed", "si", "1.667 m/s"),
        (0.1524, "length", "us", "6 in"),
        (12250.0, "mass", "us", "27010 lb"),
        (3.7, "length", "us", "12.1 ft"),
        (5.0 / 3.0, "speed", "us", "5.47 ft/s"),
        (math.atan(0.005), "slope", "si", "0.5 %"),
        (0.0, "length", "si", "0 m"),
    ],
)
def test_a_value_is_told_whole_where_six_digits_do(value: float, dimension: str, system: str, text: str) -> None:
    """Else to four digits; 12.25 tonne is no 12.2."""
    assert units.full(value, dimension, system) == text


@pytest.mark.parametrize(
    ("low", "high", "dimension", "system", "text"),
    [
        (0.6, 1.0, "length", "si", "0.6 m to 1 m"),
        (0.6, 1.0, "length", "us", "1.97 ft to 3.28 ft"),
        (-1.2, 0.05, "length", "si", "-1.2 m to 0.05 m"),
        (0.0, 0.02, "ratio", "si", "0 to 0.02"),
        (math.atan(0.01), math.atan(0.05), "slope", "us", "1 % to 5 %"),
    ],
)
def test_both_ends_are_told_in_one_unit(low: float, high: float, dimension: str, system: str, text: str) -> None:
    assert units.show_span(low, high, dimension, system) == text


def test_the_figures_of_a_place_are_told_in_one_unit() -> None:
    """By hand: 0.07 m are 0.2297 ft, 1.56 m are 5.118 ft."""
    assert units.show_alike((0.07, -1.56), "length", "us") == ("0.23 ft", "-5.12 ft")
    assert units.show_alike((0.07, -0.5), "length", "us", 2) == ("2.8 in", "-20 in")
    assert units.show_alike((0.07, math.inf), "length") == ("70 mm", "not finite")
