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
from enum import Enum

import numpy as np

from tipline.mechanics._ranges import FloatArray, below, not_negative, positive, within
from tipline.mechanics.asphalt import COLDEST, HOTTEST, KELVIN, Band

__all__ = [
    "CreepLaw",
    "StandingAnswer",
    "StandingCode",
    "calibrate_creep",
    "creep_rate",
    "predict_indentation",
    "standing_tyre",
]

SOFTENS_ABOVE = KELVIN + 35.0
LONG_STAND = 300.0
_LEAST_READINGS = 4
_LEAST_SPAN = 10.0
_MOST_SCATTER = 0.25
_PRESSURE_SPAN = 2.0
_RADIUS_SPAN = 20.0
_HEAT_SPAN = 5.0
_TIME_SPAN = 10.0
_DEEPEST = 0.5
_PRESSURE_EXPONENTS = (1.0, 2.0, 3.0)
_LEAST_SPREAD, _SIZE_SPREAD = 0.25, 0.25
_RATE_SLOPES = (0.021, 0.025, 0.030)


class StandingCode(Enum):
    """What can be said of a tyre that stands on asphalt."""

    SOFTENS = "softens; keep off or on mats"
    NO_TEST = "no depth can be stated without an indentation test of this asphalt"
    OUTSIDE_TEST = "outside what the indentation test covers; no depth stated"
    TOO_DEEP = "deeper than half the asphalt; keep off or on mats"
    ESTIMATED = "depth estimated from the indentation test"


@dataclass(frozen=True)
class StandingAnswer:
    """What can be said, the depth [m] where a test allows one, why, and whether it is hot and long enough to warn."""

    code: StandingCode
    depth: Band | None
    reason: str
    softens: bool


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
    Both laws are fitted to the logarithm of the depth. The test is that of EN 12697-20 or one like it (flat-ended
    cylindrical pin). Source: [EN12697-20], [Own]
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


def predict_indentation(law: CreepLaw, pressure: float, radius: float, temperature: float, time: float) -> Band:
    """Depth of a round patch standing on the tested asphalt, as a band.

    Parameters
    ----------
    law : CreepLaw
        The fitted laws [m, s, Pa, K].
    pressure : float
        Mean pressure of the patch [Pa], half to twice the test's.
    radius : float
        Radius of a circle of the patch's area [m], up to 20 times the pin's.
    temperature : float
        Temperature of the asphalt [K], within 5 K of the test's.
    time : float
        How long it stands [s], up to ten times the test's last reading.

    Returns
    -------
    Band
        Low, likely and high depth [m].

    Raises
    ------
    ValueError
        If it asks for more than the test can tell.

    Notes
    -----
    Time runs faster by (p / p0)^m, m 1 to 3, and by 10^(s (T - T0)), s 0.021 to 0.030 per K; depth goes with the
    radius. The band is the spread of both laws over these, widened by twice the scatter of the readings and by 28 % at
    least, and by the fourth root of the ratio of the radii. A layer thinner than the patch is wide presses back more:
    the band then errs deep. The widening is our own choice, unconfirmed beyond the readings. Source: [Own]
    """
    _within_test(law, pressure, radius, temperature, time)
    found = [
        (radius / law.radius) * depth
        for m in _PRESSURE_EXPONENTS
        for s in _RATE_SLOPES
        for depth in _depths(law, time * _speed_up(law, pressure, temperature, m, s))
    ]
    likely_time = time * _speed_up(law, pressure, temperature, *_likely())
    middle = math.sqrt(math.prod(_depths(law, likely_time)))
    size = max(radius / law.radius, law.radius / radius)
    spread = math.exp(max(2.0 * law.scatter, _LEAST_SPREAD)) * math.pow(size, _SIZE_SPREAD)
    return Band(min(found) / spread, middle * radius / law.radius, max(found) * spread)


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
    The likely values of `predict_indentation`. Source: [Own]
    """
    _within_test(law, pressure, radius, temperature, law.last_time)
    size = radius / law.radius
    return size * law.rate * _speed_up(law, pressure, temperature, *_likely()), size * law.softening


def standing_tyre(
    surface_temperature: float,
    time: float,
    pressure: float,
    radius: float,
    thickness: float,
    law: CreepLaw | None = None,
) -> StandingAnswer:
    """Say what can be said of a tyre that stands on asphalt.

    Parameters
    ----------
    surface_temperature : float
        Temperature of the asphalt, the high end of what it may be [K].
    time : float
        How long it stands [s].
    pressure : float
        Mean pressure of the patch [Pa].
    radius : float
        Radius of a circle of the patch's area [m].
    thickness : float
        Thickness of the asphalt [m].
    law : CreepLaw or None
        The user's own indentation test, fitted [m, s, Pa, K]; None = there is none.

    Returns
    -------
    StandingAnswer
        Words; a depth [m] only where the test reaches and the depth stays below half the asphalt.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    Without a test: above 35 degC and 5 minutes it softens; below, still no depth. The two limits are common practice
    without a source. Source: [AsphaltPractice]
    """
    t = within("surface temperature", surface_temperature, COLDEST, HOTTEST + 30.0, "K", "-10 to 100 degC")
    stands, p = positive("time", time, "s"), positive("pressure", pressure, "Pa")
    a, h = positive("radius", radius, "m"), positive("thickness", thickness, "m")
    softens = t >= SOFTENS_ABOVE and stands >= LONG_STAND
    words = StandingCode.SOFTENS if softens else None
    if law is None:
        return StandingAnswer(words or StandingCode.NO_TEST, None, "no indentation test", softens)
    try:
        depth = predict_indentation(law, p, a, t, stands)
    except ValueError as outside:
        return StandingAnswer(words or StandingCode.OUTSIDE_TEST, None, str(outside), softens)
    if depth.high > _DEEPEST * h:
        reason = f"up to {depth.high:.2g} m in {h:.2g} m of asphalt"
        return StandingAnswer(StandingCode.TOO_DEEP, None, reason, softens)
    return StandingAnswer(StandingCode.ESTIMATED, depth, "two laws fitted to the user's readings", softens)


def _likely() -> tuple[float, float]:
    return _PRESSURE_EXPONENTS[1], _RATE_SLOPES[1]


def _speed_up(law: CreepLaw, pressure: float, temperature: float, m: float, s: float) -> float:
    return math.pow(pressure / law.pressure, m) * math.pow(10.0, s * (temperature - law.temperature))


def _depths(law: CreepLaw, time: float) -> tuple[float, float]:
    return law.softening * math.log1p(law.rate * time / law.softening), law.scale * math.pow(time, law.exponent)


def _within_test(law: CreepLaw, pressure: float, radius: float, temperature: float, time: float) -> None:
    why = "no further from the indentation test"
    within("pressure", pressure, law.pressure / _PRESSURE_SPAN, law.pressure * _PRESSURE_SPAN, "Pa", why)
    within("radius", radius, law.radius / _PRESSURE_SPAN, law.radius * _RADIUS_SPAN, "m", why)
    within("temperature", temperature, law.temperature - _HEAT_SPAN, law.temperature + _HEAT_SPAN, "K", why)
    within("time", time, law.first_time, law.last_time * _TIME_SPAN, "s", why)


def _check_readings(t: FloatArray, z: FloatArray) -> None:
    if t.ndim != 1 or t.shape != z.shape or t.size < _LEAST_READINGS:
        msg = f"{t.size} times and {z.size} depths: must be as many of each, four or more"
        raise ValueError(msg)
    if not (np.isfinite(t).all() and np.isfinite(z).all() and (t > 0.0).all() and (z > 0.0).all()):
        msg = "times and depths: every one must be finite and greater than 0"
        raise ValueError(msg)
    if (np.diff(t) <= 0.0).any() or (np.diff(z) < 0.0).any():
        msg = "readings: times must grow from one to the next, and depths must never fall"
        raise ValueError(msg)
    if t[-1] < _LEAST_SPAN * t[0]:
        msg = f"readings from {t[0]:.6g} to {t[-1]:.6g} s: the last must be at ten times the first or later"
        raise ValueError(msg)


def _fit_hardening(t: FloatArray, z: FloatArray) -> tuple[float, float]:
    """Fit rate and softening length to the logarithm of the depths."""
    from scipy.optimize import least_squares

    def miss(guess: FloatArray) -> FloatArray:
        rate, softening = np.exp(guess)
        found: FloatArray = np.log(softening * np.log1p(rate * t / softening) / z)
        return found

    start = np.log([z[0] / t[0], 0.5 * z[-1]])
    low, high = start - 25.0, start + 25.0
    fitted = least_squares(miss, start, bounds=(low, high), x_scale="jac", xtol=1e-12, ftol=1e-12)
    rate, softening = np.exp(fitted.x)
    return float(rate), float(softening)


def _rms(values: FloatArray) -> float:
    return float(np.sqrt(np.mean(values**2)))
