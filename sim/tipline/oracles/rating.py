"""Rated load from test slopes, least load, steer-axle rule.

Frame: x forward, y left, z up; origin on the floor under the middle of the drive axle, which is the front tip line.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy.typing as npt

from tipline.mechanics._ranges import below, finite, not_negative, parts, positive

__all__ = [
    "SlopeTests",
    "least_load",
    "load_by_slope_test",
    "load_by_steer_axle",
    "rated_by_crane_rule",
    "residual_load",
    "side_slope_lever",
    "slope_tests",
]

_HEAVY = 5000.0


class SlopeTests(NamedTuple):
    """The four test slopes of a truck with a mast, as tangents [1]."""

    forward_stacking: float
    forward_travelling: float
    sideways_stacking: float
    sideways_unladen: float


def slope_tests(rated_load: float, top_speed: float, speed_coefficient: float = 1.1) -> SlopeTests:
    """Slopes of the four stability tests of a counterbalanced truck with a mast.

    Parameters
    ----------
    rated_load : float
        Rated load [kg].
    top_speed : float
        Greatest speed of the truck [m/s].
    speed_coefficient : float
        Slope in per cent for each km/h of top speed in the unladen test [1]: 1.1 in the lawful text; 1.4 is an
        option from memory.

    Returns
    -------
    SlopeTests
        Tangents [1].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    4 % (3.5 % from 5 t up), 18 %, 6 %, and 15 % + coefficient x km/h, at most 40 % (50 % from 5 t up). The tests
    stand for what happens in use; they are not slopes to work on. Source: [MonashForklift] [JapanForklift1]
    """
    heavy = positive("rated load", rated_load, "kg") >= _HEAVY
    kmh = 3.6 * not_negative("top speed", top_speed, "m/s")
    unladen = 0.15 + 0.01 * not_negative("speed coefficient", speed_coefficient) * kmh
    return SlopeTests(0.035 if heavy else 0.04, 0.18, 0.06, min(unladen, 0.5 if heavy else 0.4))


def load_by_slope_test(mass: npt.ArrayLike, centre: npt.ArrayLike, load_x: float, load_z: float, slope: float) -> float:
    """Load that brings the truck to the point of tipping forward on a slope that falls ahead.

    Parameters
    ----------
    mass : array_like, shape (n,)
        Mass of each part without the load [kg].
    centre : array_like, shape (n, 3)
        Centre of mass of each part [m].
    load_x : float
        Load's centre of gravity ahead of the front axle [m].
    load_z : float
        Its height above the floor [m].
    slope : float
        Tangent of the slope [1], 0 or more.

    Returns
    -------
    float
        Mass of the load [kg].

    Raises
    ------
    ValueError
        If the truck tips without a load, or the load is not ahead of the front axle.

    Notes
    -----
    Q = sum m (-x - s z) / (x_Q + s z_Q). Rigid; tilt the mast's parts and the load first. Source: [Own]
    """
    m, r = parts(mass, centre)
    s = not_negative("slope", slope)
    held = not_negative("holding moment of the truck", float(m @ (-r[:, 0] - s * r[:, 2])), "kg m")
    arm = positive("distance of the load ahead of the front axle", load_x, "m")
    return held / (arm + s * not_negative("height of the load", load_z, "m"))


def side_slope_lever(
    x: float, y: float, z: float, front_track: float, wheelbase: float, pivot_height: float, slope: float
) -> float:
    """Lever of one mass about the line front tyre to pivot on a side slope.

    Parameters
    ----------
    x, y, z : float
        Centre of the mass [m].
    front_track : float
        Distance between the outer front tyres [m].
    wheelbase : float
        Distance between the axles [m].
    pivot_height : float
        Height of the pivot of the steer axle [m].
    slope : float
        Tangent of the side slope [1].

    Returns
    -------
    float
        Lever [m]; positive holds the truck down. It stands while the sum of mass times lever is positive.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    (t_f / 2) (1 + x / L) - |y| - s (z + h_p x / L). A load ahead of the axle mostly helps. Source: [Own]
    """
    along = finite("x", x, "m") / positive("wheelbase", wheelbase, "m")
    turning = not_negative("slope", slope) * (finite("z", z, "m") + finite("pivot height", pivot_height, "m") * along)
    return 0.5 * positive("front track", front_track, "m") * (1.0 + along) - abs(finite("y", y, "m")) - turning


def least_load(mass: npt.ArrayLike, x: npt.ArrayLike, wheelbase: float, load_x: float, front_share: float) -> float:
    """Least load that keeps a share of the weight on the front axle.

    Parameters
    ----------
    mass : array_like, shape (n,)
        Mass of each part without the load [kg].
    x : array_like, shape (n,)
        x of the centre of mass of each part [m].
    wheelbase : float
        Distance between the axles [m].
    load_x : float
        Load's centre of gravity ahead of the front axle [m].
    front_share : float
        Share to keep [1], 0 to below 1.

    Returns
    -------
    float
        Mass of the load [kg]; 0 if the share is kept with empty forks.

    Raises
    ------
    ValueError
        If a number is out of range or the load is not ahead of the front axle.

    Notes
    -----
    Q = (f L sum m - sum m (L + x)) / (L + x_Q - f L). Source: [Own]
    """
    m, r = parts(mass, [[v, 0.0, 0.0] for v in _list(x)])
    length = positive("wheelbase", wheelbase, "m")
    f = below("front share", not_negative("front share", front_share), 1.0)
    missing = f * length * m.sum() - m @ (length + r[:, 0])
    arm = positive("distance of the load ahead of the front axle", load_x, "m")
    return max(0.0, float(missing) / (length + arm - f * length))


def load_by_steer_axle(
    mass: npt.ArrayLike, x: npt.ArrayLike, wheelbase: float, load_x: float, steer_share: float
) -> float:
    """Heaviest load that leaves a share of the weight on the steer axle.

    Parameters
    ----------
    mass : array_like, shape (n,)
        Mass of each part without the load [kg].
    x : array_like, shape (n,)
        x of the centre of mass of each part [m].
    wheelbase : float
        Distance between the axles [m].
    load_x : float
        Load's centre of gravity ahead of the front axle [m].
    steer_share : float
        Share to leave [1], 0 to below 1.

    Returns
    -------
    float
        Mass of the load [kg].

    Raises
    ------
    ValueError
        If the truck has less than that share on its steer axle without a load, or a number is out of range.

    Notes
    -----
    Q = (-sum m x - f L sum m) / (x_Q + f L). Source: [Own]
    """
    m, r = parts(mass, [[v, 0.0, 0.0] for v in _list(x)])
    length = positive("wheelbase", wheelbase, "m")
    f = below("steer share", not_negative("steer share", steer_share), 1.0)
    spare = not_negative("steer-axle moment to spare", float(-(m @ r[:, 0]) - f * length * m.sum()), "kg m")
    return spare / (positive("distance of the load ahead of the front axle", load_x, "m") + f * length)


def residual_load(
    mass: npt.ArrayLike,
    centre: npt.ArrayLike,
    attachment: float,
    attachment_x: float,
    attachment_z: float,
    load_x: float,
    load_z: float,
    slope: float,
) -> float:
    """Load left at a slope test once an attachment hangs on the carriage.

    Parameters
    ----------
    mass : array_like, shape (n,)
        Mass of each part without attachment and load [kg].
    centre : array_like, shape (n, 3)
        Centre of mass of each part [m].
    attachment : float
        Mass of the attachment [kg].
    attachment_x, attachment_z : float
        Its centre of gravity [m].
    load_x, load_z : float
        Load's centre of gravity with the attachment on [m].
    slope : float
        Tangent of the slope that falls ahead [1].

    Returns
    -------
    float
        Mass of the load [kg].

    Raises
    ------
    ValueError
        If nothing is left, or a number is out of range.

    Notes
    -----
    As load_by_slope_test with the attachment as one more part. Source: [Own]
    """
    m, r = parts(mass, centre)
    all_mass = [*m.tolist(), not_negative("attachment", attachment, "kg")]
    return load_by_slope_test(all_mass, [*r.tolist(), [attachment_x, 0.0, attachment_z]], load_x, load_z, slope)


def rated_by_crane_rule(tipping_load: float, overload: float = 0.5) -> float:
    """Rated load of a crane that carries its load about, from the load that tips it.

    Parameters
    ----------
    tipping_load : float
        Load that tips it on the level, at rest [kg].
    overload : float
        How far above rated it tips, as a share of rated [1].

    Returns
    -------
    float
        Rated load [kg].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    Q = tipping load / (1 + overload); a benchmark from another trade. Source: [QueenslandSafe2006]
    """
    return positive("tipping load", tipping_load, "kg") / (1.0 + not_negative("overload", overload))


def _list(x: npt.ArrayLike) -> list[float]:
    import numpy as np

    return [float(v) for v in np.atleast_1d(np.asarray(x, dtype=np.float64))]
