"""Kelvin functions, which a slab on springs bends by, from numpy alone: scipy takes longer to load than to need them.

Both kinds are integrals of smooth functions, which the trapezoidal rule gives to rounding with few points. With
z = s exp(i pi / 4): ber s + i bei s = I0(z) and ker s + i kei s = K0(z).
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from tipline.mechanics._ranges import FloatArray

__all__ = ["Kelvin", "first_kind", "second_kind"]

_EIGHTH = complex(math.sqrt(0.5), math.sqrt(0.5))
_STEP = 0.08
_TAIL = 60.0
"""Where the integrand has fallen by exp(-42)."""
_LARGEST = 30.0
_POINTS = 96


class Kelvin(NamedTuple):
    """Both functions of a kind at s, and their derivatives over s; each of the shape of s [1]."""

    real: FloatArray
    imaginary: FloatArray
    real_slope: FloatArray
    imaginary_slope: FloatArray


def first_kind(s: FloatArray) -> Kelvin:
    """Kelvin functions ber and bei, with ber'(s) / s and bei'(s) / s, which have a value at s = 0 too.

    Parameters
    ----------
    s : ndarray, shape (n,)
        [1], 0 to 30

    Returns
    -------
    Kelvin
        Numbers [1], shape (n,). Errors of rounding beside exp(s / sqrt 2).

    Raises
    ------
    ValueError
        If an s is out of range.

    Notes
    -----
    I0(z) = 1 / pi int exp(z cos t) dt and I1(z) / z = 1 / pi int exp(z cos t) sin(t)^2 dt, t from 0 to pi.
    Source: [DLMF] 10.32.2, 10.61.1 (from memory)
    """
    _refuse(s, s.min() >= 0.0 and s.max() <= _LARGEST, f"0 to {_LARGEST:g}")
    angle = (np.arange(_POINTS) + 0.5) * math.pi / _POINTS
    wave = np.exp(np.multiply.outer(_EIGHTH * s, np.cos(angle))) / _POINTS
    value, slope = wave.sum(axis=1), 1j * (wave @ np.sin(angle) ** 2)
    return Kelvin(value.real, value.imag, slope.real, slope.imag)


def second_kind(s: FloatArray) -> Kelvin:
    """Kelvin functions ker and kei, with ker'(s) / s and kei'(s) / s.

    Parameters
    ----------
    s : ndarray, shape (n,)
        [1], above 0

    Returns
    -------
    Kelvin
        Numbers [1], shape (n,). Errors of rounding beside exp(-s / sqrt 2) and 1 / s^2.

    Raises
    ------
    ValueError
        If an s is not above 0.

    Notes
    -----
    K0(z) = int exp(-z cosh t) dt and K1(z) = int exp(-z cosh t) cosh(t) dt, t from 0 up.
    Source: [DLMF] 10.32.9, 10.61.2 (from memory)
    """
    _refuse(s, s.min() > 0.0, "above 0")
    z = _EIGHTH * s
    count = math.ceil(math.acosh(1.0 + _TAIL / float(s.min())) / _STEP)
    rise = np.cosh(_STEP * np.arange(count + 1))
    weight = np.full(count + 1, _STEP)
    weight[0] *= 0.5
    fall = np.exp(-np.multiply.outer(z, rise - 1.0)) * np.exp(-z)[:, None]
    value, slope = fall @ weight, -_EIGHTH * (fall @ (weight * rise)) / s
    return Kelvin(value.real, value.imag, slope.real, slope.imag)


def _refuse(s: FloatArray, fits: bool, allowed: str) -> None:
    if not fits:
        msg = f"s = {s.min():.6g} to {s.max():.6g}: must be {allowed}"
        raise ValueError(msg)
