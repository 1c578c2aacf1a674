"""Slab on the ground without edges: deflection and moments around a tyre, and under several tyres.

A thin plate without end on a bed of springs. Moments are positive where they pull at the bottom; they are per width
[N m / m = N]. Two routes: a Hankel integral, and Kelvin functions, exact and different in and out of the loaded circle.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from tipline.elementwise import is_array
from tipline.mechanics._ranges import FloatArray, not_negative, positive
from tipline.mechanics.kelvin import Kelvin, first_kind, second_kind
from tipline.mechanics.slab import GroundSlab, flexural_stiffness, relative_stiffness_radius, resisting_radius

__all__ = [
    "RingField",
    "SeveralTyres",
    "far_field",
    "near_field",
    "several_tyres",
]


class RingField(NamedTuple):
    """Around one load: deflection [m], moment along the radius and across it [N], each of the distances' shape."""

    deflection: FloatArray
    radial: FloatArray
    across: FloatArray


class SeveralTyres(NamedTuple):
    """At each point: deflection [m], moments (n, 2, 2) [N], tension at the bottom and at the top [Pa], warnings."""

    deflection: FloatArray
    moment: FloatArray
    bottom: FloatArray
    top: FloatArray
    warnings: tuple[str, ...]


def far_field(slab: GroundSlab, load: float, radius: float, distance: npt.ArrayLike) -> RingField:
    """Deflection and moments outside a loaded circle, by Kelvin functions; exact there.

    Parameters
    ----------
    slab : Slab
        [m, Pa, 1, N/m3]
    load : float
        Load on the circle [N].
    radius : float
        Radius of the circle [m].
    distance : array_like, shape (n,)
        Distances from its middle [m], the radius or more.

    Returns
    -------
    RingField
        Deflection [m], moments [N], shape (n,).

    Raises
    ------
    ValueError
        If a distance is below the radius, the load negative or the radius not above 0.

    Notes
    -----
    w = q a / (k l) (ber'(a/l) ker(r/l) - bei'(a/l) kei(r/l)). Source: [TimoshenkoPlates] (from memory)
    """
    r, P, a = _distances(distance), not_negative("load", load, "N"), positive("radius", radius, "m")
    if (r < a).any():
        msg = f"distance = {r.min():.6g} m: must be the patch radius {a:.6g} m or more; use near_field inside"
        raise ValueError(msg)
    ell = relative_stiffness_radius(slab)
    own = first_kind(np.atleast_1d(a / ell))
    size = P / (math.pi * slab.subgrade * ell**2)
    return _bent(slab, size * own.real_slope, -size * own.imaginary_slope, second_kind(r / ell))


def near_field(slab: GroundSlab, load: float, radius: float, distance: npt.ArrayLike) -> RingField:
    """Deflection and moments inside a loaded circle, by Kelvin functions; exact there.

    Parameters
    ----------
    slab : Slab
        [m, Pa, 1, N/m3]
    load : float
        Load on the circle, spread evenly [N].
    radius : float
        Radius of the circle [m], above 0 and up to 30 times l.
    distance : array_like, shape (n,)
        Distances from its middle [m], up to the radius.

    Returns
    -------
    RingField
        Deflection [m], moments [N], shape (n,).

    Raises
    ------
    ValueError
        If a distance is beyond the radius, the load negative or the radius out of range.

    Notes
    -----
    w = q / k (1 + a/l (ker'(a/l) ber(r/l) - kei'(a/l) bei(r/l))). Source: [TimoshenkoPlates] (from memory)
    """
    r, P, a = _distances(distance), not_negative("load", load, "N"), positive("radius", radius, "m")
    if (r > a).any():
        msg = f"distance = {r.max():.6g} m: must be the patch radius {a:.6g} m or less; use far_field outside"
        raise ValueError(msg)
    ell = relative_stiffness_radius(slab)
    own = second_kind(np.atleast_1d(a / ell))
    size = P / (math.pi * slab.subgrade * ell**2)
    w, radial, across = _bent(slab, size * own.real_slope, -size * own.imaginary_slope, first_kind(r / ell))
    return RingField(w + P / (math.pi * a**2 * slab.subgrade), radial, across)


def several_tyres(
    slab: GroundSlab,
    load: npt.ArrayLike,
    radius: npt.ArrayLike,
    place: npt.ArrayLike,
    at: npt.ArrayLike,
    thick: bool = False,
) -> SeveralTyres:
    """Deflection, moments and principal stress under several tyres, all far from every edge.

    Parameters
    ----------
    slab : Slab
        [m, Pa, 1, N/m3]; its subgrade reaction may be an array of the shape (m,): that of the slab of each point.
    load, radius : array_like, shape (n,)
        Tyre loads [N] and patch radii [m].
    place : array_like, shape (n, 2)
        Middles of the patches [m].
    at : array_like, shape (m, 2)
        Points asked for [m].
    thick : bool
        Use the radius of the special theory for patches that are small beside the thickness [1].

    Returns
    -------
    SeveralTyres
        Deflection [m], moments [N], greatest tension at the bottom and at the top [Pa].

    Raises
    ------
    ValueError
        If shapes do not fit or a number is out of range.

    Notes
    -----
    Sum of moment tensors, then the principal values; patches may not overlap (a warning is given).
    Source: [Own]
    """
    P, a = np.atleast_1d(np.asarray(load, float)), np.atleast_1d(np.asarray(radius, float))
    places, points = np.atleast_2d(np.asarray(place, float)), np.atleast_2d(np.asarray(at, float))
    if P.shape != a.shape or places.shape != (P.size, 2) or points.shape[1] != 2:
        msg = (
            f"load {P.shape}, radius {a.shape}, place {places.shape}, at {points.shape}: must be (n,) (n,) (n,2) (m,2)"
        )
        raise ValueError(msg)
    deflection, moment = np.zeros(len(points)), np.zeros((len(points), 2, 2))
    for force, patch, middle in zip(P, a, places, strict=True):
        used = resisting_radius(float(patch), slab.thickness) if thick else float(patch)
        w, tensor = _one_tyre(slab, float(force), used, points - middle)
        deflection += w
        moment += tensor
    principal = np.linalg.eigvalsh(moment) * 6.0 / slab.thickness**2
    bottom, top = np.maximum(principal[:, 1], 0.0), np.maximum(-principal[:, 0], 0.0)
    return SeveralTyres(deflection, moment, bottom, top, _overlaps(a, places))


def _one_tyre(slab: GroundSlab, load: float, radius: float, offset: FloatArray) -> tuple[FloatArray, FloatArray]:
    r = np.hypot(offset[:, 0], offset[:, 1])
    under = r < radius
    field = np.zeros((3, len(r)))
    if under.any():
        field[:, under] = near_field(_slabs_at(slab, under), load, radius, r[under])
    if not under.all():
        field[:, ~under] = far_field(_slabs_at(slab, ~under), load, radius, r[~under])
    w, radial, across = field
    e = offset / np.where(r > 0.0, r, 1.0)[:, None]
    e[r == 0.0] = (1.0, 0.0)
    outer = e[:, :, None] * e[:, None, :]
    return w, radial[:, None, None] * outer + across[:, None, None] * (np.eye(2) - outer)


def _slabs_at(slab: GroundSlab, some: npt.NDArray[np.bool_]) -> GroundSlab:
    """Give the slabs of some of the points, where each has its own."""
    return replace(slab, subgrade=slab.subgrade[some]) if is_array(slab.subgrade) else slab  # type: ignore[index]


def _overlaps(radius: FloatArray, place: FloatArray) -> tuple[str, ...]:
    apart = np.linalg.norm(place[:, None] - place[None], axis=2) - radius[:, None] - radius[None]
    if (apart[np.triu_indices(len(radius), 1)] >= -1e-9).all():
        return ()
    return ("patches overlap: their pressures are added there",)


def _distances(distance: npt.ArrayLike) -> FloatArray:
    r = np.atleast_1d(np.asarray(distance, dtype=np.float64))
    if r.ndim != 1 or r.size == 0 or not np.isfinite(r).all() or (r < 0.0).any():
        msg = "distance: must be one number or more, each 0 or more and finite"
        raise ValueError(msg)
    return r


def _bent(slab: GroundSlab, on_real: FloatArray, on_imaginary: FloatArray, of: Kelvin) -> RingField:
    """Field of w = on_real f + on_imaginary g, f and g one kind of Kelvin functions at s = r / l.

    f'' = -g - f'/s and g'' = f - g'/s.
    """
    D, ell, nu = flexural_stiffness(slab), relative_stiffness_radius(slab), slab.poisson
    w = on_real * of.real + on_imaginary * of.imaginary
    slope = on_real * of.real_slope + on_imaginary * of.imaginary_slope
    curve = on_imaginary * of.real - on_real * of.imaginary - slope
    return RingField(w, -D / ell**2 * (curve + nu * slope), -D / ell**2 * (slope + nu * curve))
