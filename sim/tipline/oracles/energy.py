"""Energy to tip, and the depth of a sudden or slow drop of one side that can tip a rigid body.

Plane formulas for a body at rest whose one side drops as a whole. They are bounds and checks of pure functions;
a truck on springs needs the pose solver, and one tyre alone dropping needs the engine.
"""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
import numpy.typing as npt

from tipline.mechanics._ranges import finite, not_negative, positive

__all__ = [
    "hole_depth_limit",
    "hole_depth_limit_disc",
    "hole_depth_limit_springs",
    "landing_depth",
    "rise_to_tip",
    "slow_depth",
]


def rise_to_tip(distance: float, height: float, slope: float = 0.0) -> float:
    """How far the centre of gravity must rise before the body goes over a fixed edge.

    Parameters
    ----------
    distance : float
        Distance from the centre of gravity to the edge, along the floor [m].
    height : float
        Height of the centre of gravity above the floor [m].
    slope : float
        Angle by which the floor falls towards the edge [rad].

    Returns
    -------
    float
        Rise along the direction of gravity [m].

    Raises
    ------
    ValueError
        If the body is already past the edge, or a number is out of range.

    Notes
    -----
    R (1 - cos(phi - beta)), R = sqrt(x^2 + h^2), phi = atan(x / h). Source: [MessuriKlein1985]
    """
    x, h = not_negative("distance", distance, "m"), positive("height", height, "m")
    phi, beta = math.atan2(x, h), finite("slope", slope, "rad")
    if beta > phi:
        msg = f"slope = {beta:.6g} rad: must not exceed {phi:.6g} rad; beyond it the body is already past the edge"
        raise ValueError(msg)
    return math.hypot(x, h) * (1.0 - math.cos(phi - beta))


def hole_depth_limit(distance: float, height: float) -> float:
    """Least sudden drop of one side that could tip a rigid body at rest, for a fixed tip line.

    Parameters
    ----------
    distance : float
        Distance in plan from the centre of gravity to the line on the dropping side [m].
    height : float
        Height of the centre of gravity [m].

    Returns
    -------
    float
        Depth [m]. It does not depend on the inertia, the width of the base or what the fall is like.

    Raises
    ------
    ValueError
        If a length is out of range.

    Notes
    -----
    d = sqrt(x^2 + h^2) - h: the energy let free must lift the centre of gravity over the landed line. A bound from
    below for a whole side that drops, level, with contacts that only take energy out. Source: [Own]
    """
    return rise_to_tip(distance, height)


def hole_depth_limit_disc(
    distance: float,
    height: float,
    radius: float,
    tread_width: float,
    direction: Literal["sideways", "lengthways"] = "sideways",
) -> float:
    """Least sudden drop that could tip a rigid body at rest which stands on wheels, taken as discs with a flat tread.

    Parameters
    ----------
    distance : float
        Distance in plan from the centre of gravity to the middle of the tread on the dropping side (sideways) or
        to the hub (lengthways) [m].
    height : float
        Height of the centre of gravity [m].
    radius : float
        Wheel radius [m].
    tread_width : float
        Width of the flat tread [m].
    direction : {"sideways", "lengthways"}
        Over the side of the wheels, or over the front or back with wheels that roll or stand still [-].

    Returns
    -------
    float
        Depth [m].

    Raises
    ------
    ValueError
        If a length is out of range or the direction is another word.

    Notes
    -----
    Sideways the outer edge of the tread is a fixed line: sqrt((x + w/2)^2 + h^2) - h. Lengthways the body turns over
    the hub: R + sqrt(x^2 + (h - R)^2) - h. Source: [Own]
    """
    x, h = not_negative("distance", distance, "m"), positive("height", height, "m")
    r, w = positive("radius", radius, "m"), not_negative("tread width", tread_width, "m")
    limits = {"sideways": rise_to_tip(x + 0.5 * w, h), "lengthways": r + math.hypot(x, h - r) - h}
    if direction not in limits:
        msg = f"direction = {direction!r}: must be 'sideways' or 'lengthways'"
        raise ValueError(msg)
    return limits[direction]


def hole_depth_limit_springs(
    distance: float, height: float, weight: float, rest_load: npt.ArrayLike, stiffness: npt.ArrayLike, landed: float
) -> float:
    """Least sudden drop that could tip a body at rest, less what its tyre springs store.

    Parameters
    ----------
    distance : float
        Distance in plan from the centre of gravity to the line on the dropping side [m].
    height : float
        Height of the centre of gravity, tyres unloaded [m].
    weight : float
        Weight [N].
    rest_load : array_like, shape (n,)
        Load of each tyre at rest [N].
    stiffness : array_like, shape (n,)
        Stiffness of each tyre [N/m].
    landed : float
        Stiffness of all tyres it would go over, together [N/m].

    Returns
    -------
    float
        Depth [m]; never below 0.

    Raises
    ------
    ValueError
        If shapes do not fit, a stiffness is not positive, or the springs are so soft that it cannot stand at rest.

    Notes
    -----
    d = sqrt(x^2 + h^2) - h - (1/W) (W^2 / (2 k_2) - sum N^2 / (2 k)). Lengths of the unloaded truck: at rest weight
    and linear springs together lie sum N^2 / (2 k) below it, on the barrier W^2 / (2 k_2). Source: [Own]
    """
    w, k2 = positive("weight", weight, "N"), positive("landed stiffness", landed, "N/m")
    n, k = np.asarray(rest_load, dtype=np.float64), np.asarray(stiffness, dtype=np.float64)
    if n.shape != k.shape or n.ndim != 1 or not (k > 0.0).all() or not (n >= 0.0).all():
        msg = "rest loads and stiffness must be of one length, loads 0 or more and stiffness greater than 0"
        raise ValueError(msg)
    at_rest, on_barrier = float((n**2 / (2.0 * k)).sum()), w**2 / (2.0 * k2)
    return not_negative("depth", rise_to_tip(distance, height) - (on_barrier - at_rest) / w, "m")


def slow_depth(distance: float, height: float, base: float) -> float:
    """Slow sinking of one side at which a rigid body goes over.

    Parameters
    ----------
    distance : float
        Distance in plan from the centre of gravity to the line on the sinking side [m].
    height : float
        Height of the centre of gravity [m].
    base : float
        Distance between the two sides [m].

    Returns
    -------
    float
        Depth [m].

    Raises
    ------
    ValueError
        If a length is out of range or the centre of gravity lies outside the base.

    Notes
    -----
    d = t sin(atan(x / h)). Source: [Own]
    """
    x, h, t = not_negative("distance", distance, "m"), positive("height", height, "m"), positive("base", base, "m")
    _inside(x, t)
    return t * math.sin(math.atan2(x, h))


def _inside(x: float, t: float) -> None:
    if x > t:
        msg = f"distance = {x:.6g} m: must not exceed the base of {t:.6g} m"
        raise ValueError(msg)


def landing_depth(distance: float, height: float, base: float, inertia_over_mass: float) -> float:
    """Sudden drop of one side that tips a rigid body which lands without rebound.

    Parameters
    ----------
    distance : float
        Distance in plan from the centre of gravity to the line on the dropping side [m].
    height : float
        Height of the centre of gravity [m].
    base : float
        Distance between the two sides [m].
    inertia_over_mass : float
        Moment of inertia about the centre of gravity, over the mass [m2].

    Returns
    -------
    float
        Depth [m]; between the hole-depth limit and the slow depth.

    Raises
    ------
    ValueError
        If a length is out of range or no depth short of the slow one tips it.

    Notes
    -----
    eta E_0 = dU with eta = (I + m (h^2 - x_1 x_2))^2 / (I_1 I_2), I_i = I + m (h^2 + x_i^2): the moment of momentum
    about the landed line is kept. Solved for the angle by bracketing. Source: [Own]
    """
    from scipy.optimize import brentq

    x2, h, t = not_negative("distance", distance, "m"), positive("height", height, "m"), positive("base", base, "m")
    _inside(x2, t)
    i, x1 = not_negative("inertia over mass", inertia_over_mass, "m2"), t - x2
    kept = (i + h**2 - x1 * x2) ** 2 / ((i + h**2 + x1**2) * (i + h**2 + x2**2))

    def surplus(angle: float) -> float:
        released = h - h * math.cos(angle) + x1 * math.sin(angle)
        needed = math.hypot(x2, h) - h * math.cos(angle) - x2 * math.sin(angle)
        return kept * released - needed

    steepest = math.atan2(x2, h)
    if i + h**2 <= x1 * x2 or x2 == 0.0:
        msg = "this body stops dead on landing, or stands on the line: no sudden drop short of the slow one tips it"
        raise ValueError(msg)
    return t * math.sin(float(brentq(surplus, 0.0, steepest, xtol=1e-14)))
