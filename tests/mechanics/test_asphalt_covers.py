"""Asphalt and covers: no depth without the user's own test, bands that hold the truth, plates, refusals."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tipline.mechanics.asphalt import (
    loading_time_factor,
    surface_temperature,
    surface_temperature_band,
    temperature_factor,
)
from tipline.mechanics.asphalt_creep import calibrate_creep, creep_rate
from tipline.mechanics.covers import (
    four_sided_patch,
    grating_moment,
    one_way_moment,
)
from tipline.oracles.asphalt import hottest_surface_temperature, solar_irradiance

K = 273.15
TIMES = (10.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1800.0)
PIN, PRESSURE, WARM = 0.0126, 1.05e6, K + 40.0


def _hardening(times, rate=1e-5, softening=4e-4):
    return [softening * math.log1p(rate * t / softening) for t in times]


def _power(times, scale=5e-5, exponent=0.35):
    return [scale * t**exponent for t in times]


LAW = calibrate_creep(TIMES, _power(TIMES), PRESSURE, PIN, WARM)


@pytest.mark.slow
@given(cold=st.floats(0.0, 30.0), warm=st.floats(31.0, 60.0), slope=st.floats(-0.03, -0.015))
def test_warm_asphalt_is_softer_and_the_factor_goes_back(cold, warm, slope):
    there, back = temperature_factor(K + cold, K + warm, slope), temperature_factor(K + warm, K + cold, slope)
    assert there < 1.0
    assert there * back == pytest.approx(1.0)


def test_the_balance_of_heat_closes_and_is_near_the_simple_equation():
    for degrees in (20.0, 30.0, 40.0):
        sun = solar_irradiance(abs(math.radians(degrees - 23.45)))
        balance = surface_temperature(K + 38.0, sun, 4.5)
        assert balance == pytest.approx(hottest_surface_temperature(K + 38.0, math.radians(degrees)), abs=2.0)
    assert surface_temperature(K + 20.0, 0.0, 5.0) < K + 20.0
    assert surface_temperature(K + 30.0, 900.0, 8.0) < surface_temperature(K + 30.0, 900.0, 1.0)


@given(air=st.floats(-5.0, 50.0))
def test_bands_of_surface_temperature_are_in_order(air):
    bands = [surface_temperature_band(K + air, sun) for sun in ("shade", "cloud", "sun")]
    assert all(band.low < band.likely < band.high for band in bands)
    assert bands[0].likely < bands[1].likely < bands[2].likely


@given(place=st.floats(0.21, 1.79))
def test_a_patch_off_the_middle_makes_less_moment_and_the_moment_is_the_greatest(place):
    found = one_way_moment(1.0, 2.0, 0.4, place)
    assert found <= one_way_moment(1.0, 2.0, 0.4) + 1e-12
    left = (2.0 - place) / 2.0
    x = np.linspace(0.0, 2.0, 4001)
    within = np.clip(x - (place - 0.2), 0.0, 0.4)
    moment = left * x - within / 0.4 * (x - (place - 0.2) - 0.5 * within)
    assert found == pytest.approx(moment.max(), rel=1e-5)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: temperature_factor(K + 20.0, K + 200.0), "-10 to 70 degC"),
        (lambda: temperature_factor(K + 20.0, K + 30.0, -0.1), "slope"),
        (lambda: loading_time_factor(1e6), "1 day"),
        (lambda: solar_irradiance(math.radians(85.0)), "zenith"),
        (lambda: surface_temperature(K + 30.0, 5e3, 2.0), "irradiance"),
        (lambda: surface_temperature(K + 90.0, 500.0, 2.0), "air temperature"),
        (lambda: hottest_surface_temperature(K + 30.0, 0.0), "latitude"),
        (lambda: surface_temperature_band(K + 30.0, "rain"), "must be 'shade'"),
        (lambda: surface_temperature_band(K + 80.0, "sun"), "air temperature"),
        (lambda: calibrate_creep((1, 2, 3), (1, 2, 3), 1e6, PIN, WARM), "four or more"),
        (lambda: calibrate_creep((1, 2, 3, 4), (1, 2, 3, 4), 1e6, PIN, WARM), "ten times"),
        (lambda: calibrate_creep((1, 2, 3, 40), (1, 3, 2, 4), 1e6, PIN, WARM), "never fall"),
        (lambda: calibrate_creep((1, 2, 3, 40), (0, 1, 2, 4), 1e6, PIN, WARM), "greater than 0"),
        (lambda: creep_rate(LAW, 3e6, 0.1, WARM), "pressure"),
        (lambda: creep_rate(LAW, 1e6, 0.5, WARM), "radius"),
        (lambda: creep_rate(LAW, 1e6, 0.1, WARM + 8.0), "temperature"),
        (lambda: one_way_moment(1.0, 1.0, 0.4, 0.1), "between the supports"),
        (lambda: four_sided_patch(1.0, 1.0, 1.0, 1.0, 0.3, (0.01, 0.2)), "twentieth"),
        (lambda: four_sided_patch(1.0, 1.0, 1.0, 1.0, 0.3, (0.2, 0.2), (0.45, 0.0)), "on the plate"),
        (lambda: grating_moment(1.0, 1.0, 0.2, 0.3, 0.0), "pitch"),
    ],
)
def test_out_of_range_is_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_more_pressure_heat_and_size_creep_faster():
    """At twice the radius twice as fast and deep; the rate grows with the square of the pressure, tenfold in 40 K."""
    rate, softening = creep_rate(LAW, PRESSURE, PIN, WARM)
    assert (rate, softening) == pytest.approx((LAW.rate, LAW.softening))
    assert creep_rate(LAW, PRESSURE, 2.0 * PIN, WARM) == pytest.approx((2.0 * rate, 2.0 * softening))
    assert creep_rate(LAW, 1.5 * PRESSURE, PIN, WARM)[0] == pytest.approx(2.25 * rate)
    assert creep_rate(LAW, PRESSURE, PIN, WARM + 4.0)[0] == pytest.approx(10.0**0.1 * rate)


def test_the_fit_finds_the_law_that_made_the_readings():
    law = calibrate_creep(TIMES, _hardening(TIMES), PRESSURE, PIN, WARM)
    assert law.scatter < 1e-9
    assert (law.rate, law.softening) == pytest.approx((1e-5, 4e-4), rel=1e-6)
    assert calibrate_creep(TIMES, _power(TIMES), PRESSURE, PIN, WARM).scatter < 1e-9


def test_a_wild_test_is_refused():
    with pytest.raises(ValueError, match="scatter"):
        calibrate_creep((1.0, 2.0, 5.0, 20.0), (1e-5, 1e-3, 1.1e-3, 9e-2), PRESSURE, PIN, WARM)


def test_a_plate_on_four_sides_is_symmetric_and_adds_up():
    D = 210e9 * 0.02**3 / (12 * 0.91)
    one = four_sided_patch(100e3, 1.2, 1.0, D, 0.3, (0.3, 0.25), (0.2, -0.1), (0.0, 0.1))
    mirror = four_sided_patch(100e3, 1.2, 1.0, D, 0.3, (0.3, 0.25), (-0.2, 0.1), (0.0, -0.1))
    swapped = four_sided_patch(100e3, 1.0, 1.2, D, 0.3, (0.25, 0.3), (-0.1, 0.2), (0.1, 0.0))
    assert one == pytest.approx(mirror)
    assert (one.along_x, one.along_y, one.deflection) == pytest.approx(
        (swapped.along_y, swapped.along_x, swapped.deflection)
    )
    halves = [four_sided_patch(50e3, 1.2, 1.0, D, 0.3, (0.15, 0.25), (x, -0.1), (0.0, 0.1)) for x in (0.125, 0.275)]
    assert sum(half.deflection for half in halves) == pytest.approx(one.deflection, rel=1e-6)


def test_a_long_plate_is_a_strip():
    strip = four_sided_patch(8e4, 1.0, 8.0, 1e5, 0.3, (1.0, 8.0))
    assert strip.along_x == pytest.approx(1e4 / 8.0, rel=2e-3)
    assert strip.deflection == pytest.approx(5.0 * 1e4 / (384.0 * 1e5), rel=2e-3)


def test_a_grating_gives_the_load_to_the_bars_below_it_only():
    assert grating_moment(1e5, 1.0, 0.2, 0.3, 0.03) == pytest.approx(one_way_moment(1e5, 1.0, 0.2) / 10)
    assert grating_moment(1e5, 1.0, 0.2, 0.02, 0.03) == pytest.approx(one_way_moment(1e5, 1.0, 0.2))
