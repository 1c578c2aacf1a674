"""Findings weighed against runs: how likely what was found is, had a cause put the truck there.

A finding is recorded with a known error, so the chance of a record, given a run, is a plain law: normal about what the
run left, or, for a word, the share of right records. The chance of it given a cause is the mean of that over runs
drawn from what is not known of the cause, each as it counts. Nothing is accepted or thrown away by a distance, and the
same runs serve every question: other findings, other errors, other priors, and records made up from the runs.

Source: [Wilkinson2013] (a simulator's answer with an error law of its own), [KassRaftery1995] (factors between causes)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log, pi, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

__all__ = ["HALF", "Agreement", "Evidence", "factor_span", "log_mean", "made_up", "peaks", "probabilities", "spread_of"]

Array = NDArray[np.float64]
HALF = 1.959963984540054
"""Standard deviations that hold 19 of 20 of a normal law on both sides."""
BOOTSTRAPS = 400
"""How often runs are drawn again for an interval (our choice)."""


@dataclass(frozen=True)
class Evidence:
    """One finding as it is weighed.

    value : recorded [SI], or the place of the word in ``words``; deviation : of the record [SI]; turns : an angle,
    which is the same after a whole turn; sure : share of right records, for a word
    """

    name: str
    value: float
    deviation: float = 0.0
    turns: bool = False
    words: tuple[str, ...] = ()
    sure: float = 1.0


@dataclass(frozen=True)
class Agreement:
    """What the runs of one cause left (runs, findings) [SI, or the place of a word], nan where a run left nothing."""

    left: Array

    def logs(self, findings: Sequence[Evidence], values: Array, wider: float = 1.0) -> Array:
        """Return the log chance of records given each run (records, runs, findings).

        values : (records, findings), nan where nothing was found; wider : factor on the error of every record that is
        not a word. That nothing was found goes with the runs that left nothing and with no other, and a record of
        something with none of them.
        """
        laws = [
            _word(record, self.left[:, k], values[:, k])
            if record.words
            else _number(record, self.left[:, k], values[:, k], wider)
            for k, record in enumerate(findings)
        ]
        return np.stack(laws, axis=-1)


def peaks(findings: Sequence[Evidence]) -> float:
    """Return the log chance of records that are just what a run left."""
    return sum(log(record.sure) if record.words else -log(record.deviation * sqrt(2.0 * pi)) for record in findings)


def _number(record: Evidence, left: Array, values: Array, wider: float) -> Array:
    off, deviation = values[:, None] - left[None, :], record.deviation * wider
    if record.turns:
        off = (off + pi) % (2.0 * pi) - pi
    peak = -log(deviation * sqrt(2.0 * pi))
    logs: Array = np.where(np.isnan(off), -np.inf, peak - 0.5 * (off / deviation) ** 2)
    return np.where(np.isnan(values)[:, None] & np.isnan(left)[None, :], peak, logs)


def _word(record: Evidence, left: Array, values: Array) -> Array:
    wrong = (1.0 - record.sure) / max(len(record.words) - 1, 1)
    return np.where(left[None, :] == values[:, None], log(record.sure), log(wrong))


def log_mean(logs: Array, counts: Array) -> Array:
    """Return the log of the mean of what has these logs (..., n), each with how it counts (n,).

    How it counts is taken in among the logs: of the greatest chance it may be 1e-200, and nothing is divided by that.
    """
    with np.errstate(divide="ignore"):
        mean: Array = logsumexp(logs + np.log(counts), axis=-1) - np.log(counts.sum())
    return mean


def probabilities(chances: Array, priors: Array) -> Array:
    """Return the probability of each cause (..., causes) from log chances (..., causes) and priors (causes,).

    Where no cause gives a record any chance, what was held before stands.
    """
    whole = chances + np.log(priors)
    best = whole.max(axis=-1, keepdims=True)
    shares = np.exp(whole - np.where(np.isfinite(best), best, 0.0))
    total = shares.sum(axis=-1, keepdims=True)
    result: Array = np.where(total > 0.0, shares / np.where(total > 0.0, total, 1.0), priors / priors.sum())
    return result


def spread_of(logs: Sequence[Array], counts: Sequence[Array], seed: int) -> Array:
    """Return log chances (draws, causes) with the runs of each cause (runs,) drawn again, by weights that sum to 1.

    counts : how each run counts (runs,), a column a cause

    Source: the Bayesian bootstrap, [Rubin1981]
    """
    drawn = np.random.Generator(np.random.Philox(key=seed))
    columns = []
    for ours, count in zip(logs, counts, strict=True):
        weights = drawn.dirichlet(np.ones(len(ours)), size=BOOTSTRAPS) * count
        columns.append(logsumexp(ours[None, :], b=weights, axis=1) - np.log(weights.sum(axis=1)))
    return np.stack(columns, axis=1)


def factor_span(drawn: Array, cause: int, other: int) -> tuple[float, float]:
    """Return the interval, nine in ten, of the log factor of a cause over another from log chances (draws, causes)."""
    with np.errstate(invalid="ignore"):
        ratio = drawn[:, cause] - drawn[:, other]
    ratio = ratio[~np.isnan(ratio)]
    if not len(ratio):
        return -np.inf, np.inf
    low, high = np.quantile(ratio, [0.05, 0.95], method="nearest")
    return float(low), float(high)


def made_up(findings: Sequence[Evidence], left: Array, drawn: np.random.Generator) -> Array:
    """Return records (n, findings) of what runs left (n, findings), each with its error: whoever finds it errs so."""
    values = np.array(left)
    for k, record in enumerate(findings):
        if record.words:
            wrong = drawn.random(len(left)) > record.sure
            other = drawn.integers(1, max(len(record.words), 2), size=len(left))
            values[:, k] = np.where(wrong, (left[:, k] + other) % len(record.words), left[:, k])
        else:
            values[:, k] += record.deviation * drawn.standard_normal(len(left))
    return values
