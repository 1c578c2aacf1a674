"""When a rigid truck at rest, braking, turning or on a slope starts to tip; fixed tip lines on the floor.

Thresholds are ratios: sideways or lengthways acceleration over gravity, which is also the tangent of the slope.
Frame: x forward, y left, z up; origin on the floor under the middle of the drive axle.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

import numpy.typing as npt

from tipline.mechanics._ranges import below, finite, not_negative, parts, positive
from tipline.mechanics.constants import STANDARD_GRAVITY

__all__ = [
    "TipOrSlide",
    "backward_threshold",
    "braking_threshold",
    "fixed_axle_threshold",
    "parts_threshold",
    "pivoting_axle_threshold",
    "sliding_deceleration",
    "static_stability_factor",
    "tip_or_slide",
]


class TipOrSlide(NamedTuple):
    """Which comes first and at what ratio of sideways force to weight."""

    first: Literal["tips", "slides"]
    ratio: float


def pivoting_axle_threshold(front_track: float, rear_share: float, height: float, pivot_height: float) -> float:
    """Sideways ratio at which a truck on a free pivoting steer axle starts to swing about its front tyre and pivot.

    Parameters
    ----------
    front_track : float
        Distance between the outer front tyres [m].
    rear_share : float
        Share of the weight on the steer axle [1], 0 to below 1.
    height : float
        Height of the centre of gravity, which lies midway between the sides [m].
    pivot_height : float
        Height of the pivot above the floor [m].

    Returns
    -------
    float
        a / g, or the tangent of the slope [1].

    Raises
    ------
    ValueError
        If the share is outside 0 to 1 or the centre of gravity is not above the line front tyre to pivot.

    Notes
    -----
    (t_f / 2) (1 - s) / (h - s h_p). Rigid; the axle's own mass left out. Source: [Own]
    """
    t = positive("front track", front_track, "m")
    s = below("rear share", not_negative("rear share", rear_share), 1.0)
    lever = positive("height", height, "m") - s * not_negative("pivot height", pivot_height, "m")
    return 0.5 * t * (1.0 - s) / positive("height above the line from tyre to pivot", lever, "m")


def parts_threshold(
    mass: npt.ArrayLike, centre: npt.ArrayLike, front_track: float, wheelbase: float, pivot_height: float
) -> float:
    """Find that threshold from the parts of a truck whose masses balance between left and right.

    Parameters
    ----------
    mass : array_like, shape (n,)
        Mass of each part carried by front tyres and pivot [kg].
    centre : array_like, shape (n, 3)
        Centre of mass of each part [m].
    front_track : float
        Distance between the outer front tyres [m].
    wheelbase : float
        Distance between the axles [m].
    pivot_height : float
        Height of the pivot above the floor [m].

    Returns
    -------
    float
        Tangent of the side slope at which it starts to swing [1].

    Raises
    ------
    ValueError
        If shapes do not fit or the truck already tips on the level.

    Notes
    -----
    sum m (t_f / 2) (1 + x / L) / sum m (z + h_p x / L). Source: [Own]
    """
    m, r = parts(mass, centre)
    t, length = positive("front track", front_track, "m"), positive("wheelbase", wheelbase, "m")
    h_p = not_negative("pivot height", pivot_height, "m")
    along = r[:, 0] / length
    held = not_negative("holding moment", float(m @ (0.5 * t * (1.0 + along))), "kg m")
    return held / positive("turning moment", float(m @ (r[:, 2] + h_p * along)), "kg m")


def fixed_axle_threshold(front_track: float, rear_track: float, rear_share: float, height: float) -> float:
    """Sideways ratio at which a truck with a fixed (or locked) steer axle tips about its outer tyres.

    Parameters
    ----------
    front_track, rear_track : float
        Distance between the outer tyres of an axle [m].
    rear_share : float
        Share of the weight on the rear axle [1], 0 to 1.
    height : float
        Height of the centre of gravity, which lies midway between the sides [m].

    Returns
    -------
    float
        a / g, or the tangent of the slope [1].

    Raises
    ------
    ValueError
        If the share is outside 0 to 1 or a length is not greater than 0.

    Notes
    -----
    ((t_f / 2) (1 - s) + (t_r / 2) s) / h. Rigid. Source: [Own]
    """
    return _half_width(front_track, rear_track, rear_share) / positive("height", height, "m")


def _half_width(front_track: float, rear_track: float, rear_share: float) -> float:
    s = not_negative("rear share", rear_share)
    if s > 1.0:
        msg = f"rear share = {s:.6g}: must be 1 or less; above it the truck falls back"
        raise ValueError(msg)
    front, rear = positive("front track", front_track, "m"), positive("rear track", rear_track, "m")
    return 0.5 * front * (1.0 - s) + 0.5 * rear * s


def braking_threshold(mass: npt.ArrayLike, centre: npt.ArrayLike, slope: float = 0.0) -> float:
    """Deceleration over gravity at which the rear tyres lift, moving forward.

    Parameters
    ----------
    mass : array_like, shape (n,)
        Mass of each part, lifted load included; a hung load at its hook [kg].
    centre : array_like, shape (n, 3)
        Centre of mass of each part [m].
    slope : float
        Angle of the floor, positive falling ahead [rad]; between -pi/2 and pi/2.

    Returns
    -------
    float
        a / g along the floor [1].

    Raises
    ------
    ValueError
        If the truck already tips at rest, or the centre of gravity is on the floor.

    Notes
    -----
    (a / g) / cos(alpha) + tan(alpha) = sum m (-x) / sum m z. Rigid, constant deceleration. Source: [Own]
    """
    m, r = parts(mass, centre)
    alpha = _lengthways_slope(slope)
    d_over_h = float(-(m @ r[:, 0])) / positive("sum of m z", float(m @ r[:, 2]), "kg m")
    ratio = (d_over_h - math.tan(alpha)) * math.cos(alpha)
    return not_negative("deceleration that would lift the rear tyres, over gravity", ratio)


def backward_threshold(mass: npt.ArrayLike, centre: npt.ArrayLike, wheelbase: float, slope: float = 0.0) -> float:
    """Deceleration over gravity, moving backward, at which the front tyres lift (or the truck falls back).

    Parameters
    ----------
    mass : array_like, shape (n,)
        Mass of each part [kg].
    centre : array_like, shape (n, 3)
        Centre of mass of each part [m].
    wheelbase : float
        Distance between the axles [m].
    slope : float
        Angle of the floor, positive falling behind [rad]; between -pi/2 and pi/2.

    Returns
    -------
    float
        a / g along the floor [1]; negative if it falls back at rest.

    Raises
    ------
    ValueError
        If shapes do not fit or the centre of gravity is on the floor.

    Notes
    -----
    sum m (L + x) = (tan(alpha) + (a / g) / cos(alpha)) sum m z. The brake may not reach it: only the drive axle
    brakes. Source: [Own]
    """
    m, r = parts(mass, centre)
    alpha = _lengthways_slope(slope)
    held = float(m @ (positive("wheelbase", wheelbase, "m") + r[:, 0]))
    return (held / positive("sum of m z", float(m @ r[:, 2]), "kg m") - math.tan(alpha)) * math.cos(alpha)


def _lengthways_slope(slope: float) -> float:
    alpha = finite("slope", slope, "rad")
    below("slope", abs(alpha), math.pi / 2, "rad")
    return alpha


def tip_or_slide(friction: float, distance: float, height: float) -> TipOrSlide:
    """Whether a body pushed sideways, braked or on a slope tips or slides first.

    Parameters
    ----------
    friction : float
        Friction coefficient [1].
    distance : float
        Distance from the centre of gravity to the tip line, in plan [m].
    height : float
        Height of the centre of gravity [m].

    Returns
    -------
    TipOrSlide
        Which comes first, and the ratio of sideways force to weight at which it does [1].

    Raises
    ------
    ValueError
        If a number is negative, the height 0, or one is not finite.

    Notes
    -----
    Slides if mu < d / h. Source: [Wolfson2016]
    """
    mu, d = not_negative("friction", friction), not_negative("distance", distance, "m")
    d_over_h = d / positive("height", height, "m")
    return TipOrSlide("slides", mu) if mu < d_over_h else TipOrSlide("tips", d_over_h)


def static_stability_factor(track: float, height: float) -> float:
    """Give the static stability factor of a vehicle on four fixed wheels.

    Parameters
    ----------
    track : float
        Distance between left and right tyres [m].
    height : float
        Height of the centre of gravity [m].

    Returns
    -------
    float
        Half track over height [1]; its arc tangent is the tilt angle of a rigid vehicle.

    Raises
    ------
    ValueError
        If a length is not greater than 0.

    Notes
    -----
    t / (2 h). Source: [NHTSA2000]
    """
    return positive("track", track, "m") / (2.0 * positive("height", height, "m"))


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
