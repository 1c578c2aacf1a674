"""Asphalt in the sun: a clear sky's power, and the hottest surface by latitude. Temperatures in kelvin."""

from __future__ import annotations

import math

from tipline.mechanics._ranges import within
from tipline.mechanics.asphalt import KELVIN

__all__ = [
    "hottest_surface_temperature",
    "solar_irradiance",
]

_SOLAR_CONSTANT = 1367.0
_CLEAR_AIR = 0.81


def solar_irradiance(zenith: float, transmission: float = _CLEAR_AIR) -> float:
    """Power of direct sun on level ground under a clear sky.

    Parameters
    ----------
    zenith : float
        Angle of the sun from straight up [rad], 0 to 80 degrees.
    transmission : float
        Share that clear air lets through when the sun is straight up [1].

    Returns
    -------
    float
        Irradiance [W/m2].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    1367 W/m2 tau^(1 / cos z) cos z. Constants from memory. Source: [SolaimanianKennedy1993]
    """
    cos = math.cos(within("zenith angle", zenith, 0.0, math.radians(80.0), "rad", "0 to 80 degrees"))
    return _SOLAR_CONSTANT * math.pow(within("transmission", transmission, 0.3, 0.9), 1.0 / cos) * cos


def hottest_surface_temperature(air: float, latitude: float) -> float:
    """Highest temperature of an asphalt surface on the hottest clear days.

    Parameters
    ----------
    air : float
        Highest air temperature of the day [K], 20 to 50 degC.
    latitude : float
        Latitude [rad], 20 to 60 degrees, north or south alike.

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
    T_air - 0.00618 L^2 + 0.2289 L + 24.4, L in degrees. From memory; the heat balance of
    `mechanics.asphalt` gives the same at 30 degrees within 2 K. Source: [SolaimanianKennedy1993]
    """
    t = within("air temperature", air, KELVIN + 20.0, KELVIN + 50.0, "K", "20 to 50 degC")
    degrees = within("latitude", math.degrees(abs(latitude)), 20.0, 60.0, "degrees")
    return t - 0.00618 * degrees**2 + 0.2289 * degrees + 24.4
