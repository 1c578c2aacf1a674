"""Range checks shared by the formulas: each refuses with one plain sentence and never clips.

Of an array, where a formula takes one (see `elementwise`), every element is checked, and given back as it is. Most of
what is asked are single numbers in range, by the ten thousand: these go first.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from tipline.elementwise import is_array

FloatArray = npt.NDArray[np.float64]


def finite(name: str, value: float, unit: str = "") -> float:
    """Give the value back, or refuse one that is not a finite number."""
    if type(value) is float and -math.inf < value < math.inf:
        return value
    if is_array(value):
        for end in (np.min(value), np.max(value)):
            finite(name, float(end), unit)
        return value
    if not math.isfinite(value):
        _refuse(name, value, unit, "must be a finite number")
    return float(value)


def positive(name: str, value: float, unit: str = "") -> float:
    """Give the value back, or refuse one that is not greater than 0."""
    if type(value) is float and 0.0 < value < math.inf:
        return value
    if is_array(value):
        for end in (np.min(value), np.max(value)):
            positive(name, float(end), unit)
        return value
    if not (math.isfinite(value) and value > 0.0):
        _refuse(name, value, unit, "must be greater than 0 and finite")
    return float(value)


def not_negative(name: str, value: float, unit: str = "") -> float:
    """Give the value back, or refuse one below 0."""
    if type(value) is float and 0.0 <= value < math.inf:
        return value
    if is_array(value):
        for end in (np.min(value), np.max(value)):
            not_negative(name, float(end), unit)
        return value
    if not (math.isfinite(value) and value >= 0.0):
        _refuse(name, value, unit, "must be 0 or more and finite")
    return float(value)


def below(name: str, value: float, limit: float, unit: str = "", why: str = "") -> float:
    """Give the value back, or refuse one at or above the limit."""
    if is_array(value) or is_array(limit):
        both = np.broadcast_arrays(value, limit)
        at = int(np.argmax(both[0] - both[1]))
        below(name, float(both[0][at]), float(both[1][at]), unit, why)
        return value
    if not value < limit:
        _refuse(name, value, unit, f"must be below {limit:.6g} {unit}".rstrip() + (f" ({why})" if why else ""))
    return float(value)


def within(name: str, value: float, low: float, high: float, unit: str = "", why: str = "") -> float:
    """Give the value back, or refuse one outside the two limits, both allowed."""
    if is_array(value) or is_array(low) or is_array(high):
        each = np.broadcast_arrays(value, low, high)
        for at in (int(np.argmin(each[0] - each[1])), int(np.argmax(each[0] - each[2]))):
            within(name, float(each[0][at]), float(each[1][at]), float(each[2][at]), unit, why)
        return value
    if not low <= value <= high:
        rule = f"must be {low:.6g} to {high:.6g} {unit}".rstrip()
        _refuse(name, value, unit, rule + (f" ({why})" if why else ""))
    return float(value)


def parts(mass: npt.ArrayLike, centre: npt.ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Give masses (..., n) and centres (..., n, 3), of one truck or of many, as arrays, or refuse what does not fit."""
    m = np.asarray(mass, dtype=np.float64)
    r = np.asarray(centre, dtype=np.float64)
    if m.ndim == 0 or m.size == 0 or r.ndim < 2 or r.shape[-2:] != (m.shape[-1], 3):
        msg = f"mass of shape {m.shape} and centre of shape {r.shape}: must be (..., n) and (..., n, 3)"
        raise ValueError(msg)
    if not (np.isfinite(m).all() and np.isfinite(r).all()):
        msg = "mass and centre: every number must be finite"
        raise ValueError(msg)
    if m.min() < 0.0 or not m.sum(axis=-1).min() > 0.0:
        msg = f"mass = {m.min():.6g} kg at least: no part may be negative and the sum must be greater than 0"
        raise ValueError(msg)
    return m, r


def _refuse(name: str, value: float, unit: str, rule: str) -> None:
    msg = f"{name} = {value:.6g} {unit}".rstrip() + f": {rule}"
    raise ValueError(msg)
