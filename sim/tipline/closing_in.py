"""Halving of an interval: the one search by bisection there is outside the compiled kernels."""

from __future__ import annotations

from collections.abc import Callable

__all__ = ["closed_in"]


def closed_in(
    holds: Callable[[float], bool],
    without: float,
    with_it: float,
    *,
    close: float = 0.0,
    part: float = 0.0,
    most: int = 200,
    at: Callable[[float], float] = float,
) -> tuple[float, float]:
    """Close in on where something begins to hold, from a value without it and one with it, on either side.

    close, part: ends where the two lie no farther apart than this, or than this part of the one with it.
    most: so many values are tried at most. at: gives the value that can be had nearest to one.
    Returns the two.
    """
    for _ in range(most):
        if abs(with_it - without) <= max(close, part * abs(with_it)):
            break
        middle = at(0.5 * (without + with_it))
        if middle in (without, with_it):
            break
        if holds(middle):
            with_it = middle
        else:
            without = middle
    return without, with_it
