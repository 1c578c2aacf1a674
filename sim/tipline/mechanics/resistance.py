"""Stopping distance, steady turns and wind."""

from __future__ import annotations

import math

from tipline.mechanics._ranges import below, not_negative, positive

__all__ = ["AIR_DENSITY", "stopping_distance", "turn_pull", "turn_speed", "wind_force", "wind_pressure"]

AIR_DENSITY = 1.25
"""Of air at sea level and 10 degC (common practice, no source) [kg/m3]."""


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


def turn_pull(speed: float, radius: float) -> float:
    """Sideways acceleration in a steady turn.

    Parameters
    ----------
    speed : float
        Speed [m/s].
    radius : float
        Radius of the path [m].

    Returns
    -------
    float
        Acceleration towards the middle of the turn [m/s2]; the load on the tyres moves outward by it.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    v^2 / R. Source: [OverturningProblem]
    """
    return not_negative("speed", speed, "m/s") ** 2 / positive("radius", radius, "m")


def turn_speed(radius: float, pull: float) -> float:
    """Speed of a steady turn that asks for a sideways acceleration.

    Parameters
    ----------
    radius : float
        Radius of the path [m].
    pull : float
        Sideways acceleration [m/s2], such as the most that a truck stands.

    Returns
    -------
    float
        Speed [m/s].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    sqrt(a R). Source: [OverturningProblem]
    """
    return math.sqrt(not_negative("pull", pull, "m/s2") * positive("radius", radius, "m"))


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
