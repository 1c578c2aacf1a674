"""Where more runs of a cause are drawn: about runs that came near what was found, and how each run counts then.

What is not known of a cause is told by shares: of each setting the share of its distribution that lies below its value.
So what is held before is even over a cube of side 1. Runs drawn nearer to what was found count by that even density
over the density of all that was drawn from, so that what is held before stays as it was.

Source: [Cornuet2012] (draws of all rounds weighed by the mixture of all rounds), [Silverman1986] (width of a kernel)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi, sqrt

import numpy as np
from numpy.typing import NDArray

from tipline.sweeps.draws import EDGE

__all__ = ["Kernel", "counting", "effective", "kernel_about"]

Array = NDArray[np.float64]
LEAST_CENTRES = 10.0
"""Runs that a round is drawn about, at least: of fewer near ones the chances are made alike (our choice)."""
NARROWEST, WIDEST = 0.005, 0.3
"""Deviation of a kernel, in shares (our choice: a round neither repeats a run nor forgets where it was)."""
HALVINGS = 40
"""Of the power that makes chances alike (our choice: to a part in a million millions)."""


@dataclass(frozen=True)
class Kernel:
    """A density over the cube of shares: normal laws about centres, mirrored at the ends of each share.

    Attributes
    ----------
    centres : (c, d); often : (c,) how often each is drawn about, summing to 1
    deviations : (d,) of the laws
    """

    centres: Array
    often: Array
    deviations: Array

    def density(self, shares: Array) -> Array:
        """Return the density (n,) at shares (n, d); that of an even spread is 1."""
        laws = np.ones((len(shares), len(self.centres)))
        for k, deviation in enumerate(self.deviations.tolist()):
            at, about = shares[:, None, k], self.centres[None, :, k]
            law = np.zeros_like(laws)
            for mirrored in (about, -about, 2.0 - about):
                law += np.exp(-0.5 * ((at - mirrored) / deviation) ** 2)
            laws *= law / (deviation * sqrt(2.0 * pi))
        density: Array = laws @ self.often
        return density

    def draw(self, count: int, drawn: np.random.Generator) -> Array:
        """Return shares (count, d)."""
        about = drawn.choice(len(self.often), size=count, p=self.often)
        shares = self.centres[about] + self.deviations * drawn.standard_normal((count, self.centres.shape[1]))
        mirrored: Array = np.abs(shares)
        return np.where(mirrored > 1.0, np.abs(2.0 - mirrored), mirrored).clip(EDGE, 1.0 - EDGE)


def effective(weights: Array) -> float:
    """Return how many runs of the same weight tell as much as these weights (n,); 0 where all are 0."""
    total = float(weights.sum())
    return total**2 / float((weights**2).sum()) if total > 0.0 else 0.0


def kernel_about(shares: Array, logs: Array, counts: Array) -> Kernel | None:
    """Return a kernel about runs near what was found; None where no run has any chance of it.

    shares : (n, d) of the runs; logs : (n,) of the chance of what was found given each; counts : (n,) how each counts
    """
    there = np.isfinite(logs)
    if not there.any():
        return None
    shares, logs, counts = shares[there], logs[there] - logs[there].max(), counts[there]
    often = counts * np.exp(_power(logs, counts) * logs)
    often /= often.sum()
    middle = often @ shares
    spread = np.sqrt(often @ (shares - middle) ** 2)
    scale = effective(often) ** (-1.0 / (shares.shape[1] + 4.0))
    kept = often > 0.0
    return Kernel(shares[kept], often[kept], np.clip(scale * spread, NARROWEST, WIDEST))


def _power(logs: Array, counts: Array) -> float:
    """Return the greatest power up to 1 of the chances at which enough runs are drawn about."""
    enough = min(LEAST_CENTRES, 0.5 * effective(counts))
    if effective(counts * np.exp(logs)) >= enough:
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        power = 0.5 * (low + high)
        if effective(counts * np.exp(power * logs)) >= enough:
            low = power
        else:
            high = power
    return low


def counting(shares: Array, first: int, kernels: Sequence[tuple[int, Kernel]]) -> Array:
    """Return how each run counts (n,) for what is held before.

    shares : (n, d) of all runs; first : how many were drawn evenly; kernels : how many were drawn from each other one
    """
    drawn = np.full(len(shares), float(first))
    for count, kernel in kernels:
        drawn += count * kernel.density(shares)
    counts: Array = len(shares) / drawn
    return counts
