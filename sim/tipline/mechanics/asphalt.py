"""Asphalt: modulus by temperature and loading time, surface temperature from air and sun.

Temperatures in kelvin. The modulus is for the elastic layers; under a standing tyre on warm asphalt it says little, for
then asphalt creeps: see `asphalt_creep`.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from tipline.closing_in import closed_in
from tipline.mechanics._ranges import within

__all__ = [
    "Sun",
    "TemperatureBand",
    "loading_time_factor",
    "surface_temperature",
    "surface_temperature_band",
    "temperature_factor",
]

Sun = Literal["shade", "cloud", "sun"]
KELVIN = 273.15
COLDEST, HOTTEST = KELVIN - 10.0, KELVIN + 70.0
DEFAULT_SLOPE, FLATTEST_SLOPE, STEEPEST_SLOPE = -0.021, -0.013, -0.032
_PULSE = 0.02
_CREEP_EXPONENTS = (0.3, 0.4, 0.5)
_STEFAN_BOLTZMANN = 5.670374419e-8
_GROUND_HEAT = 164.0 * 1.38
_FULL_SUN = 1100.0
_SKY_EMISSIVITY = 0.7
# Irradiance [W/m2], wind [m/s] and share absorbed for the low, likely and high surface temperature. Own choice.
_WEATHER: dict[str, tuple[tuple[float, float, float], ...]] = {
    "cloud": ((50.0, 6.0, 0.85), (250.0, 3.0, 0.90), (450.0, 1.5, 0.95)),
    "sun": ((600.0, 6.0, 0.85), (900.0, 3.0, 0.90), (1050.0, 1.5, 0.95)),
}
_SHADE = (-5.0, 0.0, 10.0)


class TemperatureBand(NamedTuple):
    """Low, likely and high value of one quantity, in its SI unit."""

    low: float
    likely: float
    high: float


def temperature_factor(measured: float, wanted: float, slope: float = DEFAULT_SLOPE) -> float:
    """Factor on the modulus of asphalt from one temperature to another.

    Parameters
    ----------
    measured : float
        Temperature at which the modulus is known [K], -10 to 70 degC.
    wanted : float
        Temperature at which it is wanted [K], -10 to 70 degC.
    slope : float
        Slope of log10 of the modulus with temperature [1/K], -0.032 to -0.013.

    Returns
    -------
    float
        Modulus wanted over modulus known [1].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    10^(slope (T2 - T1)); measured slopes lie between -0.013 and -0.032, -0.021 where nothing is known. From short load
    pulses; the line is straight to about 40 degC and a guess above. Source: [LTPP1998]
    """
    first = within("temperature", measured, COLDEST, HOTTEST, "K", "-10 to 70 degC")
    second = within("temperature", wanted, COLDEST, HOTTEST, "K", "-10 to 70 degC")
    factor: float = 10.0 ** (within("slope", slope, STEEPEST_SLOPE, FLATTEST_SLOPE, "1/K") * (second - first))
    return factor


def loading_time_factor(time: float, exponent: float = 0.4) -> float:
    """Factor on the modulus of asphalt for a load that stays, against a pulse of 0.02 s.

    Parameters
    ----------
    time : float
        How long the load stays [s], 0.02 s to 1 day.
    exponent : float
        Exponent [1], 0.3 to 0.5.

    Returns
    -------
    float
        Modulus over that of the pulse [1].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    (t / 0.02 s)^-m. From memory, unconfirmed; for the elastic layers only, never for the depth of a dent.
    Source: [AsphaltPractice]
    """
    m = within("exponent", exponent, _CREEP_EXPONENTS[0], _CREEP_EXPONENTS[-1])
    return math.pow(within("time", time, _PULSE, 86400.0, "s", "0.02 s to 1 day") / _PULSE, -m)


def surface_temperature(air: float, irradiance: float, wind_speed: float, absorptivity: float = 0.9) -> float:
    """Temperature at which an asphalt surface gives off as much heat as it takes in.

    Parameters
    ----------
    air : float
        Air temperature [K], -10 to 55 degC.
    irradiance : float
        Sun on the level surface [W/m2], up to 1200.
    wind_speed : float
        Wind [m/s], up to 20.
    absorptivity : float
        Share of the sun that is taken in [1]; also the surface's emissivity.

    Returns
    -------
    float
        Surface temperature [K].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    Sun + sky = emission + air + ground; the ground takes 226 W/m2 in full sun and in proportion below, the sky radiates
    as 0.7 of a black body at air temperature, the air takes 698 (0.00144 T^0.3 U^0.7 + 0.00097 dT^0.3) W/(m2 K).
    Form published, constants from memory; within 3 degrees in 5 cases of 6 there. Source: [SolaimanianKennedy1993]
    """
    t_air = within("air temperature", air, COLDEST, KELVIN + 55.0, "K", "-10 to 55 degC")
    sun = within("irradiance", irradiance, 0.0, 1200.0, "W/m2")
    wind = within("wind speed", wind_speed, 0.0, 20.0, "m/s")
    share = within("absorptivity", absorptivity, 0.5, 1.0)
    gained = share * sun + _SKY_EMISSIVITY * _STEFAN_BOLTZMANN * t_air**4 - _GROUND_HEAT * sun / _FULL_SUN

    def surplus(surface: float) -> float:
        rise = surface - t_air
        middle = 0.5 * (surface + t_air)
        to_air = 698.24 * (0.00144 * math.pow(middle, 0.3) * math.pow(wind, 0.7) + 0.00097 * math.pow(abs(rise), 0.3))
        return gained - share * _STEFAN_BOLTZMANN * surface**4 - to_air * rise

    # halving takes less time than loading a library that does better
    return 0.5 * sum(closed_in(lambda surface: surplus(surface) <= 0.0, t_air - 60.0, t_air + 120.0, close=1e-9))


def surface_temperature_band(air: float, sun: Sun) -> TemperatureBand:
    """Band of the temperature of an asphalt surface by what people know of the weather.

    Parameters
    ----------
    air : float
        Air temperature [K], -10 to 55 degC.
    sun : {"shade", "cloud", "sun"}
        Roofed or night; clouded by day; sun by day [1].

    Returns
    -------
    Band
        Low, likely and high surface temperature [K].

    Raises
    ------
    ValueError
        If the air temperature is out of range or the word unknown.

    Notes
    -----
    The heat balance for three sets of sun, wind and colour; in shade 5 K below to 10 K above the air, for asphalt that
    was in the sun before stays warm for hours. The sets are our own choice. Source: [SolaimanianKennedy1993], [Own]
    """
    t = within("air temperature", air, COLDEST, KELVIN + 55.0, "K", "-10 to 55 degC")
    if sun == "shade":
        return TemperatureBand(*(t + more for more in _SHADE))
    if sun not in _WEATHER:
        msg = f"sun = {sun!r}: must be 'shade', 'cloud' or 'sun'"
        raise ValueError(msg)
    return TemperatureBand(*(surface_temperature(t, *weather) for weather in _WEATHER[sun]))
