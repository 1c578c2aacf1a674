"""Least squares within limits: which values of a machine go best with all that was read, and how well each is known.

The file's own values count as readings too, each as uncertain as its origin says; so what no reading tells stays where
it was, with the spread that it had. Source: [Own]
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from tipline.truck_fit.readings import Reading
from tipline.truck_fit.unknowns import Unknown

__all__ = ["Solution", "jacobian", "solved"]

Array = NDArray[np.float64]
_STEP = 1e-4
"""Step of the differences, in spreads before any reading."""


@dataclass(frozen=True)
class Solution:
    """The fit: ``values`` (k,) [SI], their covariance (k, k) after the readings, and how each reading leans on them.

    ``of_readings`` (n, k) is the change of each reading, in its accuracies, for one spread of each unknown. ``left``
    (n,) is what a reading has more than the machine gives, in its accuracies; ``without`` (n,) the same against a fit
    of all the others.
    """

    values: Array
    covariance: Array
    of_readings: Array
    left: Array
    without: Array

    def deviation(self, k: int) -> float:
        """Return the standard deviation of a value after the readings."""
        return sqrt(max(float(self.covariance[k, k]), 0.0))


def _residual(reading: Reading, values: Array) -> float:
    left = (reading.value - reading.given(values)) / reading.accuracy
    return max(left, 0.0) if reading.least else left


def jacobian(readings: Sequence[Reading], unknowns: Sequence[Unknown], values: Array) -> Array:
    """Return how each reading changes (n, k) [1], in its accuracies, for a spread of each unknown about some values."""
    spread = np.array([unknown.spread for unknown in unknowns])
    out = np.zeros((len(readings), len(unknowns)))
    for k in range(len(unknowns)):
        ends = []
        for sign in (1.0, -1.0):
            there = values.copy()
            there[k] += sign * _STEP * spread[k]
            ends.append(np.array([_residual(reading, there) for reading in readings]))
        out[:, k] = (ends[1] - ends[0]) / (2.0 * _STEP)
    return out


def solved(readings: Sequence[Reading], unknowns: Sequence[Unknown]) -> Solution:
    """Fit the unknowns to the readings."""
    from scipy.optimize import least_squares

    start = np.array([unknown.value for unknown in unknowns])
    spread = np.array([unknown.spread for unknown in unknowns])
    low = np.array([(unknown.low - unknown.value) / unknown.spread for unknown in unknowns])
    high = np.array([(unknown.high - unknown.value) / unknown.spread for unknown in unknowns])

    def residuals(scaled: Array) -> Array:
        values = start + scaled * spread
        return np.concatenate(([_residual(reading, values) for reading in readings], scaled))

    def slopes(scaled: Array) -> Array:
        return np.vstack((-jacobian(readings, unknowns, start + scaled * spread), np.eye(len(unknowns))))

    solution = least_squares(residuals, np.zeros(len(unknowns)), jac=slopes, bounds=(low, high))
    values: Array = start + solution.x * spread
    leaning = jacobian(readings, unknowns, values)
    inverse = np.asarray(np.linalg.inv(leaning.T @ leaning + np.eye(len(unknowns))), dtype=np.float64)
    left = np.array([_residual(reading, values) for reading in readings])
    # of a least-squares fit: what is left of a reading, against a fit without it, is more by 1 / (1 - its own share)
    own = np.einsum("nk,kl,nl->n", leaning, inverse, leaning)
    without = left / np.sqrt(np.maximum(1.0 - own, 1e-9))
    return Solution(values, inverse * np.outer(spread, spread), leaning, left, without)
