"""Stresses, strains and deflections in bonded elastic layers under round loads, as for asphalt on base on subgrade.

Each layer is even, isotropic and linear elastic, endless sideways; the lowest has no bottom. Layers stick to each other
(no slip). Loads press straight down, spread evenly over circles. z is down from the surface; compression is positive in
stresses and strains alike; a deflection is positive downward.

The half-space of the first layer's material is taken out of the integral and added in closed form. What remains fades
at least as exp(-m h1), so that the integral ends by itself and the surface needs no averaging of its tail.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np
import numpy.typing as npt

from tipline.mechanics._ranges import FloatArray, finite, positive, within
from tipline.oracles.halfspace import circle_response

__all__ = [
    "CircleLoad",
    "LayerSet",
    "LayeredResponse",
    "layered_response",
]

_FADED = 34.0
_MOST_NODES = 60_000
_GAUSS = 10
_BATCH = 2000


@dataclass(frozen=True)
class LayerSet:
    """Layers from the top: modulus [Pa] (n,), Poisson's ratio [1] (n,), thickness [m] (n - 1,), none for the lowest."""

    modulus: tuple[float, ...]
    poisson: tuple[float, ...]
    thickness: tuple[float, ...]

    def __post_init__(self) -> None:
        if not self.modulus or len(self.modulus) != len(self.poisson) or len(self.thickness) != len(self.modulus) - 1:
            msg = (
                f"{len(self.modulus)} moduli, {len(self.poisson)} Poisson's ratios, {len(self.thickness)} thicknesses:"
                " must be one modulus and one ratio a layer, and a thickness for each but the lowest"
            )
            raise ValueError(msg)
        for value in self.modulus:
            positive("modulus", value, "Pa")
        for value in self.poisson:
            within("Poisson's ratio", value, 0.0, 0.5)
        for value in self.thickness:
            positive("thickness", value, "m")


class CircleLoad(NamedTuple):
    """A round load: place of its middle x, y [m], radius [m], pressure [Pa]."""

    x: float
    y: float
    radius: float
    pressure: float


@dataclass(frozen=True)
class LayeredResponse:
    """At each of m points: stress (m, 3, 3) [Pa], strain (m, 3, 3) [1], deflection (m,) [m], layer (m,) from 0."""

    stress: FloatArray
    strain: FloatArray
    deflection: FloatArray
    layer: npt.NDArray[np.int64]


def layered_response(
    layers: LayerSet,
    loads: Sequence[CircleLoad],
    points: npt.ArrayLike,
    side: Literal["above", "below"] = "above",
) -> LayeredResponse:
    """Stresses, strains and deflections at points in bonded layers under several round loads.

    Parameters
    ----------
    layers : LayerSet
        The layers [Pa, 1, m].
    loads : sequence of CircleLoad
        The loads [m, Pa], one or more; their effects add.
    points : (m, 3) array
        Places x, y, z [m], z down from the surface.
    side : {"above", "below"}
        The layer that a point on an interface counts to [1].

    Returns
    -------
    LayeredResponse
        Stress [Pa] and strain [1], compression positive, and deflection [m].

    Raises
    ------
    ValueError
        If a number is out of range, or the top layer is so thin against the distances that the integral grows too long.

    Notes
    -----
    Love's stress function with four coefficients a layer, solved for many m at once; Gauss panels no longer than half a
    wave of the Bessel functions. Checked against Boussinesq (equal layers) and the European benchmark.
    Bonded layers, vertical loads. Source: [Huang2004], [Burmister1945]
    """
    xyz = np.asarray(points, dtype=np.float64)
    if xyz.ndim != 2 or xyz.shape[1:] != (3,) or not np.isfinite(xyz).all() or (xyz[:, 2] < 0.0).any():
        msg = f"points of shape {xyz.shape}: must be (m, 3), finite, with z of 0 or more (down from the surface)"
        raise ValueError(msg)
    if not loads:
        msg = "loads: must be one or more"
        raise ValueError(msg)
    for load in loads:
        positive("radius", load.radius, "m")
        finite("x", load.x, "m")
        finite("y", load.y, "m")
        finite("pressure", load.pressure, "Pa")
    bottom = np.cumsum(layers.thickness)
    layer = np.searchsorted(bottom, xyz[:, 2], side="left" if side == "above" else "right").astype(np.int64)
    stress, deflection = np.zeros((len(xyz), 3, 3)), np.zeros(len(xyz))
    nodes, weights = _nodes(layers, loads, xyz)
    coefficients = _coefficients(layers, nodes) if nodes.size else np.zeros((0, len(layers.modulus), 4))
    for load in loads:
        distance = np.hypot(xyz[:, 0] - load.x, xyz[:, 1] - load.y)
        polar = _half_space_part(layers, load, xyz[:, 2], distance, layer)
        if nodes.size:
            polar += _layer_part(layers, load, xyz[:, 2], distance, layer, nodes, weights, coefficients)
        stress += _cartesian(polar, xyz[:, 0] - load.x, xyz[:, 1] - load.y, distance)
        deflection += polar[:, 4]
    return LayeredResponse(stress, _strain(layers, layer, stress), deflection, layer)


def _nodes(layers: LayerSet, loads: Sequence[CircleLoad], xyz: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Give the values of m [1/m] and their weights: short panels near 0, then no longer than half a wave."""
    if not layers.thickness:
        return np.zeros(0), np.zeros(0)
    reach = max(
        load.radius + float(np.hypot(xyz[:, 0] - load.x, xyz[:, 1] - load.y).max(initial=0.0)) for load in loads
    )
    depth = sum(layers.thickness)
    last, longest = _FADED / layers.thickness[0], min(np.pi / reach, 2.0 / depth)
    if last / longest * _GAUSS > _MOST_NODES:
        msg = (
            f"thickness = {layers.thickness[0]:.6g} m: too thin against a depth of {depth:.6g} m and a reach of "
            f"{reach:.6g} m; leave the thin layer out, or the far loads"
        )
        raise ValueError(msg)
    first = [0.0]
    while first[-1] < longest / 0.6:
        first.append(max(1.6 * first[-1], 1e-4 * longest))
    edges = np.concatenate([first, np.arange(first[-1] + longest, last + longest, longest)])
    x, w = np.polynomial.legendre.leggauss(_GAUSS)
    half = 0.5 * np.diff(edges)[:, None]
    middle = 0.5 * (edges[1:] + edges[:-1])[:, None]
    return (middle + half * x).ravel(), (half * w).ravel()


def _coefficients(layers: LayerSet, m: FloatArray) -> FloatArray:
    """Solve for A, B, C, D of each layer (len(m), n, 4), less those of the half-space in the first layer."""
    batches = [_solve(layers, m[at : at + _BATCH]) for at in range(0, m.size, _BATCH)]
    out = np.concatenate(batches)
    out[:, 0, 1] -= 2.0 * layers.poisson[0]
    out[:, 0, 3] -= 1.0
    return out


def _solve(layers: LayerSet, m: FloatArray) -> FloatArray:
    n = len(layers.modulus)
    top = np.concatenate([[0.0], np.cumsum(layers.thickness)])
    matrix = np.zeros((m.size, 4 * n, 4 * n))
    right = np.zeros((m.size, 4 * n))
    upper = _rows(layers, 0, m, top, 0.0)
    matrix[:, 0, :4], matrix[:, 1, :4] = upper[:, 0], upper[:, 1]
    right[:, 0] = 1.0
    for i in range(n - 1):
        above, below = _rows(layers, i, m, top, top[i + 1]), _rows(layers, i + 1, m, top, top[i + 1])
        matrix[:, 2 + 4 * i : 6 + 4 * i, 4 * i : 4 * i + 4] = above
        matrix[:, 2 + 4 * i : 6 + 4 * i, 4 * i + 4 : 4 * i + 8] = -below
    matrix[:, -2, -4] = 1.0
    matrix[:, -1, -2] = 1.0
    solved: FloatArray = np.linalg.solve(matrix, right[..., None])[..., 0].reshape(m.size, n, 4).astype(np.float64)
    return solved


def _rows(layers: LayerSet, i: int, m: FloatArray, top: FloatArray, z: float) -> FloatArray:
    """Give normal stress, shear stress, deflection and radial displacement (len(m), 4, 4) for A, B, C, D at a depth."""
    nu = layers.poisson[i]
    down = np.exp(-m * (z - top[i]))
    up = np.exp(-m * (top[i + 1] - z)) if i + 1 < len(top) else np.zeros_like(m)
    mz = m * z
    ones = np.ones_like(m)
    ease = (1.0 + nu) / (layers.modulus[i] / layers.modulus[0])
    rows = np.array(
        [
            [ones * up, ones * down, -(1.0 - 2.0 * nu - mz) * up, (1.0 - 2.0 * nu + mz) * down],
            [-ones * up, ones * down, -(2.0 * nu + mz) * up, -(2.0 * nu - mz) * down],
            [-ease * up, ease * down, ease * (2.0 - 4.0 * nu - mz) * up, ease * (2.0 - 4.0 * nu + mz) * down],
            [ease * up, ease * down, ease * (1.0 + mz) * up, -ease * (1.0 - mz) * down],
        ]
    )
    return np.ascontiguousarray(np.moveaxis(rows, 2, 0))


def _half_space_part(
    layers: LayerSet, load: CircleLoad, z: FloatArray, r: FloatArray, layer: npt.NDArray[np.int64]
) -> FloatArray:
    """Give vertical, radial, hoop, shear stress and deflection (m, 5) of the first material, for points in it."""
    out = np.zeros((z.size, 5))
    for k in np.flatnonzero(layer == 0):
        response = circle_response(
            load.pressure, load.radius, layers.modulus[0], layers.poisson[0], float(z[k]), float(r[k])
        )
        out[k] = response[:5]
    return out


def _layer_part(
    layers: LayerSet,
    load: CircleLoad,
    z: FloatArray,
    r: FloatArray,
    layer: npt.NDArray[np.int64],
    m: FloatArray,
    weights: FloatArray,
    coefficients: FloatArray,
) -> FloatArray:
    """Give what the layers add to the half-space (points, 5), by the integral over m."""
    from scipy.special import j0
    from scipy.special import j1 as bessel_1

    top = np.concatenate([[0.0], np.cumsum(layers.thickness)])
    spread = load.pressure * load.radius * weights * bessel_1(m * load.radius)
    out = np.zeros((z.size, 5))
    for k in range(z.size):
        i = int(layer[k])
        nu, modulus, mz = layers.poisson[i], layers.modulus[i], m * z[k]
        down = np.exp(-m * (z[k] - top[i]))
        up = np.exp(-m * (top[i + 1] - z[k])) if i + 1 < len(top) else np.zeros_like(m)
        A, B, C, D = coefficients[:, i].T
        A, B, C, D = A * up, B * down, C * up, D * down
        zero, over = j0(m * r[k]), _j1_over(m * r[k])
        sideways = A + C * (1.0 + mz) + B - D * (1.0 - mz)
        along = 2.0 * nu * (C - D)
        out[k] = (
            spread @ (zero * (A - C * (1.0 - 2.0 * nu - mz) + B + D * (1.0 - 2.0 * nu + mz))),
            -spread @ ((zero - over) * sideways + zero * along),
            -spread @ (over * sideways + zero * along),
            -spread @ (over * m * r[k] * (A + C * (2.0 * nu + mz) - B + D * (2.0 * nu - mz))),
            -(1.0 + nu)
            / modulus
            * (spread / m)
            @ (zero * (A - C * (2.0 - 4.0 * nu - mz) - B - D * (2.0 - 4.0 * nu + mz))),
        )
    return out


def _j1_over(x: FloatArray) -> FloatArray:
    """Give J1(x) / x, 1/2 at 0."""
    from scipy.special import j1

    small = x < 1e-8
    return np.where(small, 0.5, j1(x) / np.where(small, 1.0, x))


def _cartesian(polar: FloatArray, x: FloatArray, y: FloatArray, r: FloatArray) -> FloatArray:
    far = r > 0.0
    c, s = np.where(far, x / np.where(far, r, 1.0), 1.0), np.where(far, y / np.where(far, r, 1.0), 0.0)
    vertical, radial, hoop, shear = polar[:, 0], polar[:, 1], polar[:, 2], polar[:, 3]
    out = np.zeros((len(r), 3, 3))
    out[:, 0, 0] = radial * c**2 + hoop * s**2
    out[:, 1, 1] = radial * s**2 + hoop * c**2
    out[:, 0, 1] = out[:, 1, 0] = (radial - hoop) * c * s
    out[:, 0, 2] = out[:, 2, 0] = shear * c
    out[:, 1, 2] = out[:, 2, 1] = shear * s
    out[:, 2, 2] = vertical
    return out


def _strain(layers: LayerSet, layer: npt.NDArray[np.int64], stress: FloatArray) -> FloatArray:
    modulus, nu = np.array(layers.modulus)[layer], np.array(layers.poisson)[layer]
    trace = np.trace(stress, axis1=1, axis2=2)
    bulk = (nu * trace)[:, None, None] * np.eye(3)
    strain: FloatArray = ((1.0 + nu)[:, None, None] * stress - bulk) / modulus[:, None, None]
    return strain
