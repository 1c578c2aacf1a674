"""Load hung on a rope: period, swing under braking, rope force. Rope of fixed length, no damping, hook held level."""

from __future__ import annotations

import math

from tipline.mechanics._ranges import below, not_negative, positive
from tipline.mechanics.constants import STANDARD_GRAVITY

__all__ = [
    "pendulum_period",
    "pendulum_period_series",
    "residual_swing",
    "static_swing",
    "sudden_swing",
]

_MEAN_STEPS = 8
_SERIES_LIMIT = math.radians(60.0)


def pendulum_period(length: float, amplitude: float = 0.0, gravity: float = STANDARD_GRAVITY) -> float:
    """Period of a pendulum of any amplitude.

    Parameters
    ----------
    length : float
        From the hook to the centre of gravity of the load [m].
    amplitude : float
        Greatest angle to the plumb line [rad], 0 to below pi/2 (a rope goes slack above).
    gravity : float
        Acceleration of free fall [m/s2].

    Returns
    -------
    float
        Period [s].

    Raises
    ------
    ValueError
        If length or gravity is not greater than 0 or the amplitude is outside its range.

    Notes
    -----
    T = 2 pi sqrt(l / g) / M(1, cos(theta / 2)), M the arithmetic-geometric mean. Source: [PendulumTable]
    """
    l, g = positive("length", length, "m"), positive("gravity", gravity, "m/s2")  # noqa: E741
    theta = _amplitude(amplitude)
    a, b = 1.0, math.cos(theta / 2.0)
    for _ in range(_MEAN_STEPS):
        a, b = 0.5 * (a + b), math.sqrt(a * b)
    return 2.0 * math.pi * math.sqrt(l / g) / a


def _amplitude(amplitude: float) -> float:
    theta = not_negative("amplitude", amplitude, "rad")
    return below("amplitude", theta, math.pi / 2, "rad", "a rope goes slack above")


def pendulum_period_series(length: float, amplitude: float, gravity: float = STANDARD_GRAVITY) -> float:
    """Period of a pendulum by the first three terms of the series in the amplitude.

    Parameters
    ----------
    length : float
        From the hook to the centre of gravity of the load [m].
    amplitude : float
        Greatest angle to the plumb line [rad], 0 to pi/3 (error below 0.1 %).
    gravity : float
        Acceleration of free fall [m/s2].

    Returns
    -------
    float
        Period [s].

    Raises
    ------
    ValueError
        If length or gravity is not greater than 0 or the amplitude is outside its range.

    Notes
    -----
    2 pi sqrt(l / g) (1 + theta^2 / 16 + 11 theta^4 / 3072). Source: [HyperPhysicsPendulum]
    """
    theta = not_negative("amplitude", amplitude, "rad")
    if theta > _SERIES_LIMIT:
        msg = f"amplitude = {theta:.6g} rad: must be pi/3 or less for three terms; use pendulum_period"
        raise ValueError(msg)
    t0 = 2.0 * math.pi * math.sqrt(positive("length", length, "m") / positive("gravity", gravity, "m/s2"))
    return t0 * (1.0 + theta**2 / 16.0 + 11.0 * theta**4 / 3072.0)


def static_swing(acceleration: float, gravity: float = STANDARD_GRAVITY) -> float:
    """Angle at which a hung load rides along under constant acceleration.

    Parameters
    ----------
    acceleration : float
        Level acceleration of the hook [m/s2]; 0 or more.
    gravity : float
        Acceleration of free fall [m/s2].

    Returns
    -------
    float
        Angle to the plumb line [rad].

    Raises
    ------
    ValueError
        If the acceleration is negative or gravity not greater than 0.

    Notes
    -----
    atan(a / g). Source: [HungObjectProblem]
    """
    return math.atan2(not_negative("acceleration", acceleration, "m/s2"), positive("gravity", gravity, "m/s2"))


def sudden_swing(deceleration: float, gravity: float = STANDARD_GRAVITY) -> float:
    """Largest swing of a load hanging at rest when its hook is suddenly slowed at a constant rate.

    Parameters
    ----------
    deceleration : float
        Level deceleration of the hook [m/s2]; 0 or more and below gravity.
    gravity : float
        Acceleration of free fall [m/s2].

    Returns
    -------
    float
        Angle to the plumb line [rad], whatever the length of the rope.

    Raises
    ------
    ValueError
        If the deceleration is negative or reaches gravity (the rope would swing to the level of the hook).

    Notes
    -----
    2 atan(a / g). Source: [Own]
    """
    below("deceleration", deceleration, gravity, "m/s2", "the rope would swing up to its hook")
    return 2.0 * static_swing(deceleration, gravity)


def residual_swing(deceleration: float, duration: float, length: float, gravity: float = STANDARD_GRAVITY) -> float:
    """Swing that stays after a stop of constant deceleration and given duration.

    Parameters
    ----------
    deceleration : float
        Level deceleration of the hook [m/s2]; up to 0.3 of gravity.
    duration : float
        How long it lasts [s].
    length : float
        From the hook to the centre of gravity of the load [m].
    gravity : float
        Acceleration of free fall [m/s2].

    Returns
    -------
    float
        Amplitude [rad]; 0 for a stop that lasts a whole period.

    Raises
    ------
    ValueError
        If the deceleration exceeds 0.3 of gravity (small swings only) or a number is out of range.

    Notes
    -----
    2 atan(a / g) |sin(w t / 2)|, w = sqrt(g / l). Source: [Own]
    """
    a, g = not_negative("deceleration", deceleration, "m/s2"), positive("gravity", gravity, "m/s2")
    if a > 0.3 * g:
        msg = f"deceleration = {a:.6g} m/s2: must be 0.3 of gravity or less, the formula is for small swings"
        raise ValueError(msg)
    t = not_negative("duration", duration, "s")
    w = math.sqrt(g / positive("length", length, "m"))
    return 2.0 * math.atan(a / g) * abs(math.sin(0.5 * w * t))
