"""Service brake, stopping distance and wind."""

from __future__ import annotations

from tipline.mechanics._ranges import below, not_negative, positive
from tipline.mechanics.constants import STANDARD_GRAVITY

__all__ = ["service_brake_share", "sliding_deceleration", "stopping_distance", "wind_force", "wind_pressure"]

_KMH = 1.0 / 3.6
_LEAST, _PER_KMH, _MOST = 0.093, 0.0186, 0.25
AIR_DENSITY = 1.25


def service_brake_share(speed: float) -> float:
    """Braking force that brake tests ask of a truck, over its weight.

    Parameters
    ----------
    speed : float
        Speed the truck reaches [m/s].

    Returns
    -------
    float
        Force over weight [1]: 0.093 up to 5 km/h, 0.25 from 13.4 km/h, in proportion between.

    Raises
    ------
    ValueError
        If the speed is negative or not finite.

    Notes
    -----
    1.86 % of the weight for each km/h, between 9.3 % and 25 %; numbers from memory, the standard was not seen.
    Source: [ISO6292]
    """
    return min(max(_PER_KMH * not_negative("speed", speed, "m/s") / _KMH, _LEAST), _MOST)


def sliding_deceleration(friction: float, gravity: float = STANDARD_GRAVITY) -> float:
    """Deceleration at which something that only lies there starts to slide.

    Parameters
    ----------
    friction : float
        Friction coefficient [1].
    gravity : float
        Acceleration of free fall [m/s2].

    Returns
    -------
    float
        Deceleration [m/s2].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    mu g, on the level. Source: [BeerJohnstonDynamics]
    """
    return not_negative("friction", friction) * positive("gravity", gravity, "m/s2")


def stopping_distance(speed: float, deceleration: float, rise_time: float = 0.0) -> float:
    """Distance to a stop once the brake acts.

    Parameters
    ----------
    speed : float
        Speed at the start [m/s].
    deceleration : float
        Full deceleration [m/s2].
    rise_time : float
        Time in which it rises evenly from 0 [s].

    Returns
    -------
    float
        Distance [m], without the driver's reaction.

    Raises
    ------
    ValueError
        If a number is out of range, or the truck stops before the brake has risen.

    Notes
    -----
    v^2 / (2 a) + v t / 2 - a t^2 / 24. Source: [AASHTO2004]
    """
    v, a = not_negative("speed", speed, "m/s"), positive("deceleration", deceleration, "m/s2")
    t = not_negative("rise time", rise_time, "s")
    if 0.5 * a * t > v:
        below("rise time", t, 2.0 * v / a, "s", "the truck stops before the brake has risen")
    return v * v / (2.0 * a) + 0.5 * v * t - a * t * t / 24.0


def wind_pressure(speed: float, density: float = AIR_DENSITY) -> float:
    """Dynamic pressure of the wind.

    Parameters
    ----------
    speed : float
        Wind speed [m/s].
    density : float
        Density of the air [kg/m3].

    Returns
    -------
    float
        Pressure [Pa].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    rho v^2 / 2. Source: [ToolBoxWind]
    """
    return 0.5 * positive("density", density, "kg/m3") * not_negative("speed", speed, "m/s") ** 2


def wind_force(speed: float, area: float, shape_factor: float = 1.0, density: float = AIR_DENSITY) -> float:
    """Force of the wind on a surface across it.

    Parameters
    ----------
    speed : float
        Wind speed [m/s].
    area : float
        Area seen by the wind [m2].
    shape_factor : float
        Force over dynamic pressure times area [1].
    density : float
        Density of the air [kg/m3].

    Returns
    -------
    float
        Force [N].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    q C A. Source: [ToolBoxWind]
    """
    q = wind_pressure(speed, density)
    return q * not_negative("shape factor", shape_factor) * not_negative("area", area, "m2")
