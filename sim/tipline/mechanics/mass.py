"""Mass, centre and inertia of solids and of bodies put together."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["MassProperties", "check", "combine", "merge", "principal", "solid_moments"]

Array = NDArray[np.float64]


class MassProperties(NamedTuple):
    """Mass [kg], centre (3,) [m] and inertia (3, 3) about that centre [kg m2], all in one set of axes."""

    mass: float
    centre: Array
    inertia: Array


def solid_moments(triangles: ArrayLike, first: ArrayLike = (0,)) -> tuple[Array, Array, Array]:
    """Volume, first and second moments of closed solids given by their outward triangles.

    Each solid is the sum of signed tetrahedra from the origin; a tetrahedron with corners 0, a, b, c and volume V has
    the second moment V/20 (s s' + a a' + b b' + c c'), s = a + b + c. Exact for flat faces.

    Parameters
    ----------
    triangles : (n, 3, 3)
        Corners [m], turning counter-clockwise seen from outside.
    first : (k,) of int
        Index of the first triangle of each solid, rising from 0.

    Returns
    -------
    volume : (k,)
        [m3], negative where the triangles turn the wrong way.
    moment : (k, 3)
        Integral of position [m4].
    second : (k, 3, 3)
        Integral of position times position [m5], about the origin.

    Source: [Own]
    """
    corner = np.asarray(triangles, dtype=np.float64)
    index = np.asarray(first, dtype=np.intp)
    a, b, c = corner[:, 0], corner[:, 1], corner[:, 2]
    V = np.einsum("ni,ni->n", a, np.cross(b, c)) / 6.0
    s = a + b + c
    own = np.einsum("nki,nkj->nij", corner, corner) + np.einsum("ni,nj->nij", s, s)
    return (
        np.add.reduceat(V, index),
        np.add.reduceat(V[:, None] * s / 4.0, index),
        np.add.reduceat(V[:, None, None] * own / 20.0, index),
    )


def combine(mass: ArrayLike, centre: ArrayLike, inertia: ArrayLike) -> MassProperties:
    """One body from several rigidly joined ones, by parallel axes.

    Parameters
    ----------
    mass : (n,)
        [kg]
    centre : (n, 3)
        [m]
    inertia : (n, 3, 3)
        Each about its own centre [kg m2], all in the same axes.

    Returns
    -------
    MassProperties
        M = sum m, G = sum m r / M, I = sum (I_i + m (d.d 1 - d d')), d = r - G; 0 at the origin where all masses are 0.

    Source: [TextbookMechanics]
    """
    m = np.asarray(mass, dtype=np.float64)
    r = np.asarray(centre, dtype=np.float64)
    total = float(m.sum())
    if total == 0.0:
        return MassProperties(0.0, np.zeros(3), np.zeros((3, 3)))
    G = m @ r / total
    d = r - G
    apart = (m * d.T) @ d
    shift = apart.trace() * np.eye(3) - apart
    return MassProperties(total, G, np.asarray(inertia, dtype=np.float64).sum(axis=0) + shift)


def merge(
    mass: ArrayLike, centre: ArrayLike, inertia: ArrayLike, hosts: Mapping[int, int]
) -> tuple[Array, Array, Array]:
    """Join bodies to their hosts; the rest stay as they are and the order is kept.

    A joined body is left with mass 0, the host's centre and no inertia. A host may itself be joined to another.

    Parameters
    ----------
    mass : (n,)
        [kg]
    centre : (n, 3)
        [m]
    inertia : (n, 3, 3)
        [kg m2], each about its own centre
    hosts : mapping of int to int
        Index of a body to the index of the body that it becomes part of.

    Returns
    -------
    mass : (n,)
        [kg]
    centre : (n, 3)
        [m]
    inertia : (n, 3, 3)
        [kg m2], each about its own centre

    Raises
    ------
    ValueError
        When the hosts go round in a ring.

    Source: [TextbookMechanics]
    """
    m, r, i = (np.array(value, dtype=np.float64) for value in (mass, centre, inertia))
    root = [_root(body, hosts, len(m)) for body in range(len(m))]
    for host in sorted(set(root)):
        group = [body for body, end in enumerate(root) if end == host]
        if len(group) == 1:
            continue
        whole = combine(m[group], r[group], i[group])
        m[group], r[group], i[group] = 0.0, whole.centre, 0.0
        m[host], i[host] = whole.mass, whole.inertia
    return m, r, i


def _root(body: int, hosts: Mapping[int, int], count: int) -> int:
    start, steps = body, 0
    while body in hosts:
        body, steps = hosts[body], steps + 1
        if steps > count:
            msg = f"body {start} has no host outside a ring of hosts; give each body a host that leads to a free one"
            raise ValueError(msg)
    return body


def principal(inertia: ArrayLike) -> tuple[Array, Array]:
    """Principal moments and axes of an inertia tensor.

    Parameters
    ----------
    inertia : (3, 3)
        [kg m2], symmetric.

    Returns
    -------
    moments : (3,)
        [kg m2], in the order of the axes.
    axes : (3, 3)
        Columns are the principal axes; a rotation (determinant +1), ordered and signed to lie as near
        as they can to the axes the tensor was given in.

    Source: [Own]
    """
    moments, axes = np.linalg.eigh(np.asarray(inertia, dtype=np.float64))
    order = max(
        ((0, 1, 2), (0, 2, 1), (1, 0, 2), (1, 2, 0), (2, 0, 1), (2, 1, 0)),
        key=lambda p: abs(axes[0, p[0]]) + abs(axes[1, p[1]]) + abs(axes[2, p[2]]),
    )
    moments, axes = moments[list(order)], axes[:, list(order)]
    # With every diagonal term positive and the best order their sum is above 1, which only a rotation can reach.
    return moments, axes * np.where(np.diag(axes) < 0.0, -1.0, 1.0)


def check(mass: float, inertia: ArrayLike, name: str = "body") -> None:
    """Refuse a mass or an inertia that no solid body can have.

    Parameters
    ----------
    mass : float
        [kg]
    inertia : (3, 3)
        About the centre of mass [kg m2].
    name : str
        What the message calls the body.

    Raises
    ------
    ValueError
        When the mass is not above 0, the tensor is not symmetric or not positive definite, or its largest
        principal moment is above the sum of the other two.

    Source: [TextbookMechanics]
    """
    tensor = np.asarray(inertia, dtype=np.float64)
    if not (np.isfinite(mass) and mass > 0.0):
        msg = f"{name}: mass {mass:g} kg; it must be above 0 and finite"
        raise ValueError(msg)
    if not np.isfinite(tensor).all():
        msg = f"{name}: the inertia holds a value that is not finite"
        raise ValueError(msg)
    if not np.allclose(tensor, tensor.T, rtol=0.0, atol=1e-9 * float(np.abs(tensor).max())):
        msg = f"{name}: the inertia is not symmetric"
        raise ValueError(msg)
    low, middle, high = np.linalg.eigvalsh(tensor)
    if low <= 0.0:
        msg = f"{name}: principal moment {low:g} kg m2; all three must be above 0"
        raise ValueError(msg)
    if high > (low + middle) * (1.0 + 1e-9):
        msg = f"{name}: principal moment {high:g} kg m2 is above the sum of the other two, {low + middle:g} kg m2"
        raise ValueError(msg)
