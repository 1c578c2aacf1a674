"""Warm asphalt under a standing tyre: words unless the user has an indentation test; with one, a depth with a band.

No published bearing formula for hot asphalt was found, and the constants of any creep law differ by a factor of ten
from mix to mix. So nothing here states minutes or a depth without readings of a flat pin pressed into that asphalt at
near that temperature. With readings, two laws are fitted; where they part, the band is wide.

Scaling to a tyre: depth over radius is the same for the same pressure and time (similar bodies of one material).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tipline.mechanics._ranges import FloatArray, below, not_negative, positive, within
from tipline.mechanics.asphalt import COLDEST, HOTTEST

__all__ = [
    "LEAST_READINGS",
    "LEAST_SPAN",
    "CreepLaw",
    "calibrate_creep",
    "creep_rate",
]

LEAST_READINGS = 4
"""Readings that a law of two constants is fitted to, at least (our choice)."""
LEAST_SPAN = 10.0
"""The last reading comes at so many times the first, at least (our choice): a tenfold time tells how it slows down."""
_MOST_SCATTER = 0.25
_PRESSURE_SPAN = 2.0
_RADIUS_SPAN = 20.0
_HEAT_SPAN = 5.0
_TIME_SPAN = 10.0
_PRESSURE_EXPONENT = 2.0
_RATE_SLOPE = 0.025


@dataclass(frozen=True)
class CreepLaw:
    """Two laws fitted to one indentation test, and its own pressure [Pa], radius [m], temperature [K], times [s].

    Hardening law: depth = softening ln(1 + rate t / softening), rate [m/s], softening [m]. Power law:
    depth = scale (t / 1 s)^exponent, scale [m]. scatter: rms of log depth about the better law [1].
    """

    pressure: float
    radius: float
    temperature: float
    first_time: float
    last_time: float
    rate: float
    softening: float
    scale: float
    exponent: float
    scatter: float

    def __post_init__(self) -> None:
        for name in ("pressure", "radius", "temperature", "first_time", "last_time", "rate", "softening", "scale"):
            positive(name.replace("_", " "), getattr(self, name))
        within("exponent", self.exponent, 0.0, 5.0)
        not_negative("scatter", self.scatter)
        below("first time", self.first_time, self.last_time, "s", "the last time")


def calibrate_creep(
    times: Sequence[float], depths: Sequence[float], pressure: float, radius: float, temperature: float
) -> CreepLaw:
    """Fit the creep laws to the readings of one indentation test.

    Parameters
    ----------
    times : sequence of float
        Times since the load was put on [s], growing, four or more, the last at least ten times the first.
    depths : sequence of float
        Depth of the pin at these times [m], greater than 0 and never falling.
    pressure : float
        Pressure under the flat pin [Pa].
    radius : float
        Radius of the pin [m].
    temperature : float
        Temperature of the asphalt [K].

    Returns
    -------
    CreepLaw
        The fitted laws [m, s] with the test's data [Pa, m, K].

    Raises
    ------
    ValueError
        If readings are too few, out of order, span too short a time, or scatter by more than 25 % about both laws.

    Notes
    -----
    z = s ln(1 + r t / s) and z = c t^n, both fitted to the logarithm of the depth. The test is that of EN 12697-20 or
    one like it (flat-ended cylindrical pin). Source: [EN12697-20], [Own]
    """
    t, z = np.asarray(times, dtype=np.float64), np.asarray(depths, dtype=np.float64)
    _check_readings(t, z)
    p, a = positive("pressure", pressure, "Pa"), positive("radius", radius, "m")
    within("temperature", temperature, COLDEST, HOTTEST, "K", "-10 to 70 degC")
    exponent, constant = np.polyfit(np.log(t), np.log(z), 1)
    scale = math.exp(float(constant))
    rate, softening = _fit_hardening(t, z)
    misses = [_rms(np.log(law / z)) for law in (scale * t**exponent, softening * np.log1p(rate * t / softening))]
    if min(misses) > _MOST_SCATTER:
        msg = f"readings scatter by {100 * min(misses):.0f} % about the fitted laws: must be below 25 %; read again"
        raise ValueError(msg)
    return CreepLaw(
        p, a, temperature, float(t[0]), float(t[-1]), rate, softening, scale, float(exponent), float(min(misses))
    )


def creep_rate(law: CreepLaw, pressure: float, radius: float, temperature: float) -> tuple[float, float]:
    """First rate and softening length of the hardening law for a patch, for a law stepped in time.

    Parameters
    ----------
    law : CreepLaw
        The fitted laws [m, s, Pa, K].
    pressure : float
        Mean pressure of the patch [Pa], half to twice the test's.
    radius : float
        Radius of a circle of the patch's area [m].
    temperature : float
        Temperature of the asphalt [K], within 5 K of the test's.

    Returns
    -------
    tuple of float
        Rate at no depth [m/s], and the depth [m] over which it falls to 1 / e: z' = rate exp(-z / softening).

    Raises
    ------
    ValueError
        If it asks for more than the test can tell.

    Notes
    -----
    Grows with the square of the pressure and tenfold in 40 K, the middle of what tests of mixes give (from memory).
    Source: [Own]
    """
    _within_test(law, pressure, radius, temperature, law.last_time)
    size = radius / law.radius
    faster = math.pow(pressure / law.pressure, _PRESSURE_EXPONENT)
    faster *= math.pow(10.0, _RATE_SLOPE * (temperature - law.temperature))
    return size * law.rate * faster, size * law.softening


def _within_test(law: CreepLaw, pressure: float, radius: float, temperature: float, time: float) -> None:
    why = "no further from the indentation test"
    within("pressure", pressure, law.pressure / _PRESSURE_SPAN, law.pressure * _PRESSURE_SPAN, "Pa", why)
    within("radius", radius, law.radius / _PRESSURE_SPAN, law.radius * _RADIUS_SPAN, "m", why)
    within("temperature", temperature, law.temperature - _HEAT_SPAN, law.temperature + _HEAT_SPAN, "K", why)
    within("time", time, law.first_time, law.last_time * _TIME_SPAN, "s", why)


def _check_readings(t: FloatArray, z: FloatArray) -> None:
    if t.ndim != 1 or t.shape != z.shape or t.size < LEAST_READINGS:
        msg = f"{t.size} times and {z.size} depths: must be as many of each, four or more"
        raise ValueError(msg)
    if not (np.isfinite(t).all() and np.isfinite(z).all() and (t > 0.0).all() and (z > 0.0).all()):
        msg = "times and depths: every one must be finite and greater than 0"
        raise ValueError(msg)
    if (np.diff(t) <= 0.0).any() or (np.diff(z) < 0.0).any():
        msg = "readings: times must grow from one to the next, and depths must never fall"
        raise ValueError(msg)
    if t[-1] < LEAST_SPAN * t[0]:
        msg = f"readings from {t[0]:.6g} to {t[-1]:.6g} s: the last must be at ten times the first or later"
        raise ValueError(msg)


def _fit_hardening(t: FloatArray, z: FloatArray) -> tuple[float, float]:
    """Fit rate and softening length to the logarithm of the depths."""
    from scipy.optimize import least_squares

    def miss(guess: FloatArray) -> FloatArray:
        rate, softening = np.exp(guess)
        difference: FloatArray = np.log(softening * np.log1p(rate * t / softening) / z)
        return difference

    start = np.log([z[0] / t[0], 0.5 * z[-1]])
    low, high = start - 25.0, start + 25.0
    fitted = least_squares(miss, start, bounds=(low, high), x_scale="jac", xtol=1e-12, ftol=1e-12)
    rate, softening = np.exp(fitted.x)
    return float(rate), float(softening)


def _rms(values: FloatArray) -> float:
    return float(np.sqrt(np.mean(values**2)))
