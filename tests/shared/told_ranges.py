"""How often a told range holds the truth: draws of true values, and how many of 200 may lie in a range of 95 in 100."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from tipline.truck_fit.fitting import solved
from tipline.truck_fit.readings import Reading
from tipline.truck_fit.unknowns import Unknown

__all__ = ["AT_LEAST", "AT_MOST", "DRAWS", "drawn", "held_of_draws"]

DRAWS = 200
AT_LEAST, AT_MOST = 180, 199
"""Of 200 draws so many lie in a range that holds 95 in 100: binomial, outside with a chance of 3 and 1 in a thousand
(190 to be met, deviation 3.1)."""


def drawn(unknowns: Sequence[Unknown], rng: np.random.Generator) -> np.ndarray:
    """Draw true values as uncertain as the file says, within their limits."""
    values = np.zeros(len(unknowns))
    for k, unknown in enumerate(unknowns):
        while not unknown.low < values[k] < unknown.high or values[k] == 0.0:
            values[k] = rng.normal(unknown.value, unknown.spread)
    return values


def held_of_draws(
    readings: Sequence[Reading], unknowns: Sequence[Unknown], sure: float, rng: np.random.Generator
) -> tuple[np.ndarray, np.ndarray]:
    """Count of drawn trucks, read with the readings' own accuracy and fitted, how often each range holds the truth.

    Besides, the part of each spread that the readings leave, on the whole.
    """
    inside, left = np.zeros(len(unknowns), dtype=int), np.zeros(len(unknowns))
    spreads = np.array([unknown.spread for unknown in unknowns])
    for _ in range(DRAWS):
        truth = drawn(unknowns, rng)
        seen = [_read(reading, truth, rng) for reading in readings]
        found = solved(seen, unknowns)
        deviation = np.sqrt(np.diag(found.covariance))
        inside += np.abs(found.values - truth) <= sure * deviation
        left += deviation / spreads / DRAWS
    return inside, left


def _read(reading: Reading, truth: np.ndarray, rng: np.random.Generator) -> Reading:
    return replace(reading, value=reading.given(truth) + reading.accuracy * rng.normal())
