"""Greatest and least lifted load from test slopes, axle shares and axle ratings.

Frame: x forward, y left, z up; origin on the floor under the middle of the drive axle, which is the front tip line.
Every function takes one truck, or many at once: the parts of each along the last axis of ``mass``, as in
``centre``, and any shape before that; what stands beside them has that shape too, or is one number for all. Rigid: who
wants the tyres and the mast to give puts the parts and the load where they are then.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from tipline.mechanics._ranges import FloatArray, below, not_negative, parts, positive
from tipline.mechanics.constants import STANDARD_GRAVITY

__all__ = [
    "least_load",
    "load_by_axle_moment",
    "load_by_drive_axle",
    "load_by_fork_stamp",
    "load_by_moment",
    "load_by_slope_test",
    "load_by_steer_axle",
    "side_slope",
]


def load_by_slope_test(
    mass: npt.ArrayLike, centre: npt.ArrayLike, load_x: npt.ArrayLike, load_z: npt.ArrayLike, slope: npt.ArrayLike
) -> FloatArray:
    """Load that brings the truck to the point of tipping forward on a slope that falls ahead.

    Parameters
    ----------
    mass : array_like, shape (..., n)
        Mass of each part without the load [kg].
    centre : array_like, shape (..., n, 3)
        Centre of mass of each part [m].
    load_x : array_like, shape (...)
        Load's centre of gravity ahead of the front tip line [m].
    load_z : array_like, shape (...)
        Its height above the floor [m].
    slope : array_like, shape (...)
        Tangent of the slope [1], 0 or more.

    Returns
    -------
    ndarray, shape (...)
        Mass of the load [kg]; negative where the truck tips without one.

    Raises
    ------
    ValueError
        If a shape does not fit, a number is out of range, or a load is not ahead of the front tip line.

    Notes
    -----
    Q = sum m (-x - s z) / (x_Q + s z_Q). Source: [Own]
    """
    truck = _moments(mass, centre)
    s = _not_negative("slope", slope)
    held = -truck.ahead - s * truck.up
    arm = _ahead(load_x)
    return held / (arm + s * _not_negative("height of the load", load_z, "m"))


def load_by_steer_axle(
    mass: npt.ArrayLike,
    centre: npt.ArrayLike,
    wheelbase: npt.ArrayLike,
    load_x: npt.ArrayLike,
    steer_share: npt.ArrayLike,
) -> FloatArray:
    """Heaviest load that leaves a share of the weight on the steer axle of a level truck.

    Parameters
    ----------
    mass : array_like, shape (..., n)
        Mass of each part without the load [kg].
    centre : array_like, shape (..., n, 3)
        Centre of mass of each part [m].
    wheelbase : array_like, shape (...)
        Distance between the axles [m].
    load_x : array_like, shape (...)
        Load's centre of gravity ahead of the front axle [m].
    steer_share : array_like, shape (...)
        Share to leave [1], 0 to below 1.

    Returns
    -------
    ndarray, shape (...)
        Mass of the load [kg]; negative where the truck has less than that share without one.

    Raises
    ------
    ValueError
        If a shape does not fit or a number is out of range.

    Notes
    -----
    Q = (-sum m x - f L sum m) / (x_Q + f L). Source: [Own]
    """
    truck, length = _moments(mass, centre), _positive("wheelbase", wheelbase, "m")
    f = _share("steer share", steer_share)
    spare = -truck.ahead - f * length * truck.total
    arm = _ahead(load_x)
    return spare / (arm + f * length)


def least_load(
    mass: npt.ArrayLike,
    centre: npt.ArrayLike,
    wheelbase: npt.ArrayLike,
    load_x: npt.ArrayLike,
    front_share: npt.ArrayLike,
    ratio: npt.ArrayLike = 0.0,
    load_z: npt.ArrayLike = 0.0,
) -> FloatArray:
    """Least load that keeps a share of the weight on the front axle, at rest or while something pulls it backward.

    Parameters
    ----------
    mass : array_like, shape (..., n)
        Mass of each part without the load [kg].
    centre : array_like, shape (..., n, 3)
        Centre of mass of each part [m].
    wheelbase : array_like, shape (...)
        Distance between the axles [m].
    load_x : array_like, shape (...)
        Load's centre of gravity ahead of the front axle [m].
    front_share : array_like, shape (...)
        Share to keep [1], 0 to below 1.
    ratio : array_like, shape (...)
        Tangent of a slope that falls behind, or deceleration over gravity driving in reverse [1], 0 or more.
    load_z : array_like, shape (...)
        Height of the load's centre of gravity [m]; plays no part where `ratio` is 0.

    Returns
    -------
    ndarray, shape (...)
        Mass of the load [kg]; 0 or negative where the share is kept with empty forks, nan where no load keeps it.

    Raises
    ------
    ValueError
        If a shape does not fit, a number is out of range, or a load is not ahead of the front axle.

    Notes
    -----
    Q = (f L sum m - sum m (L + x - r z)) / (L + x_Q - r z_Q - f L); with r = 0 that of a level truck at rest.
    Source: [Own]
    """
    truck, length = _moments(mass, centre), _positive("wheelbase", wheelbase, "m")
    f = _share("front share", front_share)
    k = _not_negative("ratio", ratio)
    arm = _ahead(load_x)
    missing = (f - 1.0) * length * truck.total - truck.ahead + k * truck.up
    helps = length + arm - k * _not_negative("height of the load", load_z, "m") - f * length
    # where the load itself pulls back by more than it holds, none is enough unless none is needed
    return np.where(helps > 0.0, missing / np.where(helps > 0.0, helps, 1.0), np.where(missing > 0.0, np.nan, missing))


def load_by_drive_axle(
    mass: npt.ArrayLike,
    centre: npt.ArrayLike,
    wheelbase: npt.ArrayLike,
    load_x: npt.ArrayLike,
    axle_mass: npt.ArrayLike,
) -> FloatArray:
    """Heaviest load that puts no more than so much on the drive axle of a level truck.

    Parameters
    ----------
    mass : array_like, shape (..., n)
        Mass of each part without the load [kg].
    centre : array_like, shape (..., n, 3)
        Centre of mass of each part [m].
    wheelbase : array_like, shape (...)
        Distance between the axles [m].
    load_x : array_like, shape (...)
        Load's centre of gravity ahead of the front axle [m].
    axle_mass : array_like, shape (...)
        What the axle may carry [kg]: of its tyres, what they are rated for together.

    Returns
    -------
    ndarray, shape (...)
        Mass of the load [kg]; negative where the truck alone puts more on it.

    Raises
    ------
    ValueError
        If a shape does not fit, a number is out of range, or a load is not ahead of the front axle.

    Notes
    -----
    Q = (A - sum m (1 + x / L)) / (1 + x_Q / L). Source: [Own]
    """
    truck, length = _moments(mass, centre), _positive("wheelbase", wheelbase, "m")
    carried = _not_negative("axle mass", axle_mass, "kg")
    arm = _ahead(load_x)
    return (carried - truck.total - truck.ahead / length) / (1.0 + arm / length)


def load_by_axle_moment(
    rated: npt.ArrayLike, axle_to_face: npt.ArrayLike, rated_centre: npt.ArrayLike, centre: npt.ArrayLike
) -> FloatArray:
    """Heaviest load of equal moment about the drive axle at another load centre.

    Parameters
    ----------
    rated : array_like, shape (...)
        Load at its rated load centre [kg].
    axle_to_face : array_like, shape (...)
        From the drive axle ahead to the fork face [m].
    rated_centre, centre : array_like, shape (...)
        From the fork face to the load's centre of gravity, as rated and as asked [m].

    Returns
    -------
    ndarray, shape (...)
        Mass of the load [kg].

    Raises
    ------
    ValueError
        If a number is negative, 0 where it divides, or not finite.

    Notes
    -----
    Q = Q_0 (a + c_0) / (a + c): the load that tips a level truck. On a slope it promises too much to a load that is
    higher or closer than the rated one; strength is not looked at. Source: [Own]
    """
    load = _not_negative("rated load", rated, "kg")
    face = _not_negative("axle to face", axle_to_face, "m")
    old = _not_negative("rated load centre", rated_centre, "m")
    new = _positive("axle to load", face + _not_negative("load centre", centre, "m"), "m")
    return np.asarray(load * (face + old) / new)


def load_by_fork_stamp(
    rated: npt.ArrayLike, rated_centre: npt.ArrayLike, centre: npt.ArrayLike, share: npt.ArrayLike = 0.5
) -> FloatArray:
    """Heaviest load on two forks of which each is stamped with a load at a load centre.

    Parameters
    ----------
    rated : array_like, shape (...)
        What one fork is stamped for [kg].
    rated_centre : array_like, shape (...)
        The load centre stamped beside it, out from the fork face [m].
    centre : array_like, shape (...)
        Load centre of the load [m].
    share : array_like, shape (...)
        Part of the load on the fork that has more of it [1], 0.5 where they share it evenly.

    Returns
    -------
    ndarray, shape (...)
        Mass of the load [kg].

    Raises
    ------
    ValueError
        If a number is not above 0, or not finite.

    Notes
    -----
    Q = min(1, D / c) F / e: farther out than stamped by equal bending moment at the shank, nearer no more than is
    stamped. Stamps of fork arms: Source: [ISO2330]
    """
    load = _positive("stamped load", rated, "kg")
    ratio = _positive("stamped load centre", rated_centre, "m") / _positive("load centre", centre, "m")
    return np.asarray(np.minimum(ratio, 1.0) * load / _positive("share of a fork", share, ""))


def load_by_moment(moment: npt.ArrayLike, arm: npt.ArrayLike, own: npt.ArrayLike = 0.0) -> FloatArray:
    """Heaviest load whose moment, with that of what carries it, is no more than a stated one.

    Parameters
    ----------
    moment : array_like, shape (...)
        Largest moment stated [N m].
    arm : array_like, shape (...)
        From where it is stated ahead to the load's centre of gravity [m].
    own : array_like, shape (...)
        Moment of the jib's own weight about the same place [N m].

    Returns
    -------
    ndarray, shape (...)
        Mass of the load [kg]; negative where what carries it has more moment alone.

    Raises
    ------
    ValueError
        If a number is out of range or not finite.

    Notes
    -----
    Q = (M - M_0) / (g x). At rest, mast upright: jolts and sway are not in it. Source: [Own]
    """
    spare = _positive("largest moment", moment, "N m") - _not_negative("own moment", own, "N m")
    return np.asarray(spare / (STANDARD_GRAVITY * _positive("distance of the load", arm, "m")))


def side_slope(
    mass: npt.ArrayLike,
    centre: npt.ArrayLike,
    front_half: npt.ArrayLike,
    rear_half: npt.ArrayLike,
    wheelbase: npt.ArrayLike,
    pivot_height: npt.ArrayLike,
) -> FloatArray:
    """Tangent of the side slope at which a truck goes over its lower side, or swings about its lower tyre and pivot.

    Parameters
    ----------
    mass : array_like, shape (..., n)
        Mass of each part, the load among them [kg].
    centre : array_like, shape (..., n, 3)
        Centre of mass of each part, as it leans, y towards the lower side [m].
    front_half, rear_half : array_like, shape (...)
        From the middle out to the line it goes over, at the front and at the rear axle [m]; 0 at a pivot.
    wheelbase : array_like, shape (...)
        Distance between the axles [m].
    pivot_height : array_like, shape (...)
        Height of the pivot above the floor [m]; 0 for an axle that is fixed to the frame.

    Returns
    -------
    ndarray, shape (...)
        Tangent of the slope [1]; negative where it goes over on the level, inf where its weight is below the line.

    Raises
    ------
    ValueError
        If a shape does not fit or a number is out of range.

    Notes
    -----
    sum m (b_f (1 + x / L) - b_r x / L - y) / sum m (z + h_p x / L). Source: [Own]
    """
    truck, length = _moments(mass, centre), _positive("wheelbase", wheelbase, "m")
    b_f = _positive("front half", front_half, "m")
    b_r = _not_negative("rear half", rear_half, "m")
    h_p = _not_negative("pivot height", pivot_height, "m")
    along = truck.ahead / length
    held, turning = b_f * (truck.total + along) - b_r * along - truck.aside, truck.up + h_p * along
    return np.where(turning > 0.0, held / np.where(turning > 0.0, turning, 1.0), np.inf)


class _Moments(NamedTuple):
    """Mass of all parts (...) [kg], and its moments ahead of the drive axle, to the left and above the floor [kg m]."""

    total: FloatArray
    ahead: FloatArray
    aside: FloatArray
    up: FloatArray


def _moments(mass: npt.ArrayLike, centre: npt.ArrayLike) -> _Moments:
    m, r = parts(mass, centre)
    return _Moments(m.sum(axis=-1), *np.moveaxis((m[..., None] * r).sum(axis=-2), -1, 0))


def _ahead(load_x: npt.ArrayLike) -> FloatArray:
    return _positive("distance of the load ahead of the front axle", load_x, "m")


def _positive(name: str, value: npt.ArrayLike, unit: str) -> FloatArray:
    given = np.asarray(value, dtype=np.float64)
    positive(name, given, unit)  # type: ignore[arg-type]
    return given


def _not_negative(name: str, value: npt.ArrayLike, unit: str = "") -> FloatArray:
    given = np.asarray(value, dtype=np.float64)
    not_negative(name, given, unit)  # type: ignore[arg-type]
    return given


def _share(name: str, value: npt.ArrayLike) -> FloatArray:
    given = _not_negative(name, value)
    below(name, float(given.max()), 1.0)
    return given
