"""Balance point, axle loads and tyre loads of a truck taken as a rigid body.

Frame of every function: x forward, y left, z up; origin on the floor under the middle of the drive axle.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from tipline.mechanics._ranges import FloatArray, finite, not_negative, parts, positive
from tipline.mechanics.constants import STANDARD_GRAVITY

__all__ = [
    "axle_loads",
    "balance_point",
    "slope_gravity",
    "tipping_load",
    "tyre_loads",
]

MOST_TYRES = 16
"""Every choice of tyres is tried: 65 535 of this many, a third of a second."""
_ROUNDING = 1e-9
"""A load this small a part of the weight, pushing or pulling, is none."""


def slope_gravity(slope: float, azimuth: float, gravity: float = STANDARD_GRAVITY) -> FloatArray:
    """Gravity seen from a floor that falls in a given direction.

    Parameters
    ----------
    slope : float
        Angle of the floor to the level [rad], from 0 to below pi/2.
    azimuth : float
        Direction towards which the floor falls, from the truck's heading [rad]: 0 ahead, pi/2 to the left.
    gravity : float
        Acceleration of free fall [m/s2].

    Returns
    -------
    ndarray, shape (3,)
        Gravity in the floor frame [m/s2].

    Raises
    ------
    ValueError
        If the slope is negative, pi/2 or steeper, or a number is not finite.

    Notes
    -----
    g (sin a cos b, sin a sin b, -cos a). Source: [Own]
    """
    a = not_negative("slope", slope, "rad")
    b = finite("azimuth", azimuth, "rad")
    g = positive("gravity", gravity, "m/s2")
    if a >= math.pi / 2:
        msg = f"slope = {a:.6g} rad: must be below pi/2; a floor as steep as a wall carries nothing"
        raise ValueError(msg)
    return np.array([g * math.sin(a) * math.cos(b), g * math.sin(a) * math.sin(b), -g * math.cos(a)])


def balance_point(
    mass: npt.ArrayLike,
    centre: npt.ArrayLike,
    gravity: npt.ArrayLike = (0.0, 0.0, -STANDARD_GRAVITY),
    acceleration: npt.ArrayLike = (0.0, 0.0, 0.0),
    force: npt.ArrayLike = (),
    force_point: npt.ArrayLike = (),
) -> FloatArray:
    """Point where the resultant of gravity, acceleration and outside forces meets the floor.

    A load that hangs freely counts at its hook: put its mass at the hook's position.

    Parameters
    ----------
    mass : array_like, shape (n,)
        Mass of each part [kg].
    centre : array_like, shape (n, 3)
        Centre of mass of each part [m].
    gravity : array_like, shape (3,)
        Gravity in the floor frame [m/s2].
    acceleration : array_like, shape (3,) or (n, 3)
        Acceleration of the whole truck, or of each part [m/s2].
    force : array_like, shape (m, 3)
        Outside forces, such as wind or a rope that pulls [N].
    force_point : array_like, shape (m, 3)
        Where each outside force acts [m].

    Returns
    -------
    ndarray, shape (2,)
        x and y of the balance point [m].

    Raises
    ------
    ValueError
        If the shapes do not fit, a mass is negative, or the resultant does not press the truck on the floor.

    Notes
    -----
    F = sum m (g - a) + sum F_k, M = sum r x m (g - a) + sum r_k x F_k, p = (-M_y, M_x) / F_z; rigid, any slope.
    Source: [VukobratovicBorovac2004]
    """
    m, r = parts(mass, centre)
    f = m[:, None] * (np.asarray(gravity, dtype=np.float64) - np.asarray(acceleration, dtype=np.float64))
    extra, at = np.asarray(force, dtype=np.float64).reshape(-1, 3), np.asarray(force_point, dtype=np.float64)
    at = at.reshape(-1, 3)
    if f.shape != r.shape or extra.shape != at.shape:
        msg = "acceleration must be (3,) or one row a part, and every outside force needs its point"
        raise ValueError(msg)
    total = f.sum(axis=0) + extra.sum(axis=0)
    moment = np.cross(r, f).sum(axis=0) + np.cross(at, extra).sum(axis=0)
    if not total[2] < 0.0:
        msg = f"resultant along z = {total[2]:.6g} N: must press on the floor (be negative)"
        raise ValueError(msg)
    point: FloatArray = np.array([-moment[1], moment[0]]) / total[2]
    return point


def axle_loads(weight: float, balance: float, wheelbase: float) -> tuple[float, float]:
    """Give the loads of the two axles of a truck in balance.

    Parameters
    ----------
    weight : float
        Weight of truck and lifted load [N].
    balance : float
        x of the balance point, positive ahead of the front axle [m].
    wheelbase : float
        Distance between the axles [m].

    Returns
    -------
    tuple of float
        Load of the front and of the rear axle [N].

    Raises
    ------
    ValueError
        If the balance point lies outside the axles (the truck then tips and no two loads carry it).

    Notes
    -----
    N_f = W (L + p) / L, N_r = -W p / L. Source: [WickertLewis2013]
    """
    w, length = positive("weight", weight, "N"), positive("wheelbase", wheelbase, "m")
    p = finite("balance", balance, "m")
    if not -length <= p <= 0.0:
        msg = f"balance = {p:.6g} m: must lie between the rear axle ({-length:.6g} m) and the front axle (0 m)"
        raise ValueError(msg)
    return w * (length + p) / length, -w * p / length


def tipping_load(mass: npt.ArrayLike, x: npt.ArrayLike, load_x: float, axle_x: float = 0.0) -> float:
    """Mass which, hung ahead of the front axle, brings a truck on a level floor to the point of tipping forward.

    Parameters
    ----------
    mass : array_like, shape (n,)
        Mass of each part of the truck without the load [kg].
    x : array_like, shape (n,)
        x of the centre of mass of each part [m].
    load_x : float
        x of the load's centre of gravity [m].
    axle_x : float
        x of the front axle, the line it tips about [m].

    Returns
    -------
    float
        Mass of the load [kg].

    Raises
    ------
    ValueError
        If the load is not ahead of the axle or the truck alone already tips forward.

    Notes
    -----
    Q = sum m (x_a - x) / (x_Q - x_a). Source: [WickertLewis2013]
    """
    where = np.asarray(x, dtype=np.float64)
    m, r = parts(mass, np.column_stack([where, np.zeros_like(where), np.zeros_like(where)]))
    arm = positive("distance of the load ahead of the axle", load_x - axle_x, "m")
    holding = float(m @ (axle_x - r[:, 0]))
    return not_negative("holding moment of the truck", holding, "kg m") / arm


def tyre_loads(
    weight: float,
    balance: npt.ArrayLike,
    position: npt.ArrayLike,
    stiffness: npt.ArrayLike,
    sinkage: npt.ArrayLike | None = None,
) -> FloatArray:
    """Give the loads of the tyres under a rigid chassis on springs that can only push.

    Parameters
    ----------
    weight : float
        Weight [N].
    balance : array_like, shape (2,)
        Balance point [m].
    position : array_like, shape (n, 2)
        Where each tyre stands [m]; 3 to 16 tyres.
    stiffness : array_like, shape (n,)
        Stiffness of each tyre with the floor under it [N/m].
    sinkage : array_like, shape (n,), optional
        How far the floor under each tyre is low [m]; 0 if left out.

    Returns
    -------
    ndarray, shape (n,)
        Load of each tyre [N], 0 for one that stands clear.

    Raises
    ------
    ValueError
        If shapes do not fit, a stiffness is not positive, or the balance point is outside the tyres (the truck tips).

    Notes
    -----
    Of all loads N >= 0 with sum N = W and sum N x = W p, those of least energy sum N^2 / (2 k) + s N: there are such
    loads wherever p is within the hull of the tyres, and one set of least energy. Found by trying every choice of
    tyres that carry, each on springs that could also pull, and keeping those that only push; small angles, so it
    leaves out the balance point's own shift as the truck leans. Source: [Own]
    """
    w = positive("weight", weight, "N")
    p, xy, k = (np.asarray(v, dtype=np.float64) for v in (balance, position, stiffness))
    s = np.zeros(k.shape) if sinkage is None else np.asarray(sinkage, dtype=np.float64)
    if p.shape != (2,) or k.ndim != 1 or xy.shape != (k.size, 2) or s.shape != k.shape or not 3 <= k.size <= MOST_TYRES:
        msg = "tyre loads need a balance point (2,), positions (n, 2), stiffness (n,), sinkage (n,) and 3 to 16 tyres"
        raise ValueError(msg)
    if not (np.isfinite(k).all() and (k > 0.0).all() and np.isfinite(s).all() and np.isfinite(xy).all()):
        msg = f"stiffness = {k.tolist()} N/m: every one must be greater than 0, and all numbers finite"
        raise ValueError(msg)
    size = max(float(np.ptp(xy, axis=0).max()), 1e-9)
    base = np.column_stack([np.ones(k.size), (xy - xy.mean(axis=0)) / size])
    shares = _push_only(base, np.array([1.0, *((p - xy.mean(axis=0)) / size)]), k / k.max(), s * k.max() / w)
    if shares is None:
        msg = f"balance point ({p[0]:.6g}, {p[1]:.6g}) m: no tyre loads balance it, so the truck tips"
        raise ValueError(msg)
    return w * shares


def _push_only(base: FloatArray, load: FloatArray, k: FloatArray, s: FloatArray) -> FloatArray | None:
    """Give the shares (n,) of least energy to push and balance ``load`` (3,) on rows ``base`` (n, 3), if any."""
    carries = (np.arange(1, 2**k.size)[:, None] >> np.arange(k.size)) & 1
    spring = carries * k
    stiffness = np.einsum("ci,ij,ik->cjk", spring, base, base)
    pose = np.linalg.pinv(stiffness, rcond=1e-12, hermitian=True) @ (load + (spring * s) @ base)[:, :, None]
    shares = spring * (pose[:, :, 0] @ base.T - s)
    pushes = (shares >= -_ROUNDING).all(axis=1) & (np.abs(shares @ base - load).max(axis=1) <= _ROUNDING)
    if not pushes.any():
        return None
    shares = np.maximum(shares[pushes], 0.0)
    least: FloatArray = shares[(shares**2 / (2.0 * k) + s * shares).sum(axis=1).argmin()]
    return least
