"""Functions that take plain numbers at the speed of `math` and arrays element by element, for formulas asked of both.

A formula written with these, and with no branch on its inputs, answers for one set of inputs and for thousands of them
alike. The types say ``float``: an array of the shape (n,) stands wherever one is drawn.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, TypeVar, cast

import numpy as np

__all__ = [
    "atan",
    "cbrt",
    "cos",
    "cosh",
    "exp",
    "greater",
    "greatest",
    "interpolated",
    "is_array",
    "least",
    "lesser",
    "log",
    "sin",
    "sinh",
    "sqrt",
    "tan",
    "where",
]


Value = TypeVar("Value")


def is_array(x: object) -> bool:
    """Whether arrays are asked for."""
    return isinstance(x, np.ndarray)


def exp(x: float) -> float:
    """Return e to the x."""
    return np.exp(x) if is_array(x) else math.exp(x)


def log(x: float) -> float:
    """Return the natural logarithm."""
    return np.log(x) if is_array(x) else math.log(x)


def sqrt(x: float) -> float:
    """Return the square root."""
    return np.sqrt(x) if is_array(x) else math.sqrt(x)


def cbrt(x: float) -> float:
    """Return the cube root."""
    return np.cbrt(x) if is_array(x) else math.cbrt(x)


def sin(x: float) -> float:
    """Return the sine of an angle [rad]."""
    return np.sin(x) if is_array(x) else math.sin(x)


def cos(x: float) -> float:
    """Return the cosine of an angle [rad]."""
    return np.cos(x) if is_array(x) else math.cos(x)


def sinh(x: float) -> float:
    """Return the hyperbolic sine."""
    return np.sinh(x) if is_array(x) else math.sinh(x)


def cosh(x: float) -> float:
    """Return the hyperbolic cosine."""
    return np.cosh(x) if is_array(x) else math.cosh(x)


def tan(x: float) -> float:
    """Return the tangent of an angle [rad]."""
    return np.tan(x) if is_array(x) else math.tan(x)


def atan(x: float) -> float:
    """Return the angle [rad] of a tangent."""
    return np.arctan(x) if is_array(x) else math.atan(x)


def greater(a: float, *others: float) -> float:
    """Return the greatest of the arguments."""
    for b in others:
        a = np.maximum(a, b) if is_array(a) or is_array(b) else (b if b > a else a)
    return a


def lesser(a: float, *others: float) -> float:
    """Return the least of the arguments."""
    for b in others:
        a = np.minimum(a, b) if is_array(a) or is_array(b) else (b if b < a else a)
    return a


def greatest(x: float) -> float:
    """Return the greatest element, a plain number as it is."""
    return float(np.max(x)) if is_array(x) else x


def least(x: float) -> float:
    """Return the least element, a plain number as it is."""
    return float(np.min(x)) if is_array(x) else x


def interpolated(x: float, at: Sequence[float], values: Sequence[float]) -> float:
    """Return values between points along straight lines, beyond them those at the ends."""
    result = np.interp(x, at, values)
    return result if is_array(x) else float(result)


def where(condition: bool, then: Value, otherwise: Value) -> Value:
    """Return the one where the condition holds and the other elsewhere; both have to be defined everywhere."""
    if is_array(condition):
        return cast("Value", np.where(condition, cast("Any", then), cast("Any", otherwise)))
    return then if condition else otherwise
