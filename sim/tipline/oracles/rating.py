"""Rated load from test slopes, least load, steer-axle rule.

Frame: x forward, y left, z up; origin on the floor under the middle of the drive axle, which is the front tip line.
"""

from __future__ import annotations

import numpy.typing as npt

from tipline.mechanics._ranges import below, not_negative, parts, positive

__all__ = [
    "least_load",
    "load_by_slope_test",
    "load_by_steer_axle",
    "residual_load",
]


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


def _list(x: npt.ArrayLike) -> list[float]:
    import numpy as np

    return [float(v) for v in np.atleast_1d(np.asarray(x, dtype=np.float64))]
