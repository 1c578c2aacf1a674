"""Causes judged by their runs: chances, verdicts, what each finding does, and what made-up cases say of all that."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import log
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

from tipline.incidents.drawing import effective
from tipline.incidents.report import FindingFactor, Robust, Verdict
from tipline.incidents.weighing import (
    HALF,
    Agreement,
    Evidence,
    factor_span,
    log_mean,
    made_up,
    peaks,
    probabilities,
    spread_of,
)
from tipline.scenario.incident import KINDS_OF_FINDING, Measured
from tipline.scenario.incident_plan import FindingRead

__all__ = [
    "BARELY",
    "FEWEST",
    "NINE_IN_TEN",
    "SUITS",
    "TRIED",
    "Judged",
    "as_found",
    "evenly",
    "left_by",
    "quantiles",
    "told_range",
]

Array = NDArray[np.float64]
MADE_UP = 200
"""Cases made up for how well a cause suits and what a further finding does (our choice: known within 7 in 100)."""
TRIED = 600
"""Cases made up for the calibration (our choice: a share known within 4 in 100)."""
SUITS = 0.05
"""A cause is not consistent where fewer of the records made up from its own runs suit it as badly (our choice)."""
BARELY = 3.0
"""A factor between two causes up to this is worth no more than a bare mention [KassRaftery1995]: not told apart."""
FEWEST = 20.0
"""Runs that must count as near what was found, for a cause to be judged (our choice: a factor known within a third)."""
NINE_IN_TEN = (0.05, 0.5, 0.95)
MOST_AT_ONCE = 4_000_000
"""Numbers held at a time (our choice: 32 MB)."""


def as_found(reading: FindingRead) -> Evidence:
    """Return a finding as it is weighed."""
    return _evidence(reading.of, reading.measured, reading.value, reading.within, reading.sure)


def _evidence(name: str, measured: Measured, value: float | str, within: float, sure: float) -> Evidence:
    if measured.words:
        return Evidence(name, float(measured.words.index(str(value))), words=measured.words, sure=sure)
    return Evidence(name, float(value), within / HALF, turns=measured.dimension == "angle")


def left_by(column: NDArray[Any], measured: Measured) -> Array:
    """Return a column (runs,) of the table as numbers [SI], words by their place, -1 for one that nobody records."""
    if not measured.words:
        return np.asarray(column, dtype=np.float64)
    places = {word: float(place) for place, word in enumerate(measured.words)}
    return np.array([places.get(str(word) if word is not None else "none", -1.0) for word in column.tolist()])


@dataclass(frozen=True)
class MadeUp:
    """A made-up case: its run among those of its cause, and their weights (runs,), None where none has any chance."""

    run: int
    weights: Array | None


@dataclass(frozen=True)
class Judged:
    """What findings say of causes, from the runs of each.

    Attributes
    ----------
    findings : as they are weighed (F)
    left : what the runs of each cause left (runs, F), those without a result taken out
    priors : (causes,) summing to 1
    seed : of redraws and made-up cases
    drawn_nearer : how each run of each cause counts (runs,) for what was held before; none: all alike
    """

    findings: tuple[Evidence, ...]
    left: tuple[Array, ...]
    priors: Array
    seed: int
    drawn_nearer: tuple[Array, ...] = ()

    @cached_property
    def counts(self) -> tuple[Array, ...]:
        """How each run of each cause counts (runs,) for what was held before."""
        return self.drawn_nearer or tuple(np.ones(len(ours)) for ours in self.left)

    @cached_property
    def values(self) -> Array:
        """The records (1, F)."""
        return np.array([[record.value for record in self.findings]])

    @cached_property
    def by_finding(self) -> tuple[Array, ...]:
        """Log chance of each record given each run, a table (runs, F) a cause."""
        return tuple(Agreement(ours).logs(self.findings, self.values)[0] for ours in self.left)

    @cached_property
    def logs(self) -> tuple[Array, ...]:
        """The same of all records together (runs,)."""
        return tuple(table.sum(axis=1) for table in self.by_finding)

    @cached_property
    def chances(self) -> Array:
        """Log chance of all records given each cause (causes,)."""
        return self._means(self.logs)

    def _means(self, logs: Sequence[Array]) -> Array:
        """Return the log mean (causes,) of what has these logs, (runs,) of each cause."""
        return np.array([log_mean(ours, counts) for ours, counts in zip(logs, self.counts, strict=True)])

    @cached_property
    def probabilities(self) -> Array:
        """Of each cause (causes,), if one of them it was."""
        return probabilities(self.chances, self.priors)

    @cached_property
    def _redrawn(self) -> Array:
        return spread_of(self.logs, self.counts, self.seed)

    def span(self, cause: int) -> tuple[float, float]:
        """Return where nine in ten redraws of the runs put the probability of a cause."""
        low, high = np.quantile(probabilities(self._redrawn, self.priors)[:, cause], [0.05, 0.95])
        return float(low), float(high)

    def weights(self, cause: int) -> Array:
        """Return the weights (runs,) of the runs of a cause by the findings, summing to 1; alike where none has any."""
        shares = _shares(self.logs[cause], self.counts[cause])
        return self.held(cause) if shares is None else shares

    def held(self, cause: int) -> Array:
        """Return the weights (runs,) of the runs of a cause by what was held before, summing to 1."""
        weights: Array = self.counts[cause] / self.counts[cause].sum()
        return weights

    def near(self, cause: int) -> float:
        """Return how many runs count as near what was found; 0 where none has any chance."""
        return effective(self.weights(cause)) if np.isfinite(self.chances[cause]) else 0.0

    @cached_property
    def likeliest(self) -> int:
        """The cause of the greatest probability."""
        return int(np.argmax(self.probabilities))

    def fit(self, cause: int) -> float:
        """Return the share of records made up from its runs near what was found that lie as far from all other runs.

        How rare such runs are does not count here: a cause that seldom does so, but then just so, suits.
        """
        drawn = self._drawn(1000 + cause)
        runs = drawn.choice(len(self.left[cause]), size=MADE_UP, p=self.weights(cause))
        records = made_up(self.findings, self.left[cause][runs], drawn)
        far = self._farness(records, cause, runs)
        return float((far >= self._farness(self.values, cause, None)[0]).sum() + 1) / (MADE_UP + 1)

    def missed(self, cause: int, among: NDArray[np.bool_]) -> int:
        """Return which finding the nearest of some runs (runs,) of a cause misses most."""
        table = self.by_finding[cause][among]
        best = table[int(np.argmax(table.sum(axis=1)))]
        most = [peaks([record]) for record in self.findings]
        return int(np.argmax(np.array(most) - best))

    def _farness(self, records: Array, cause: int, own: NDArray[np.intp] | None) -> Array:
        """Return how far records (records, F) lie from the nearest run of a cause, not their own, in logs of chance."""
        best = [logs.max(axis=1) for logs in self._in_parts(records, cause, own)]
        return peaks(self.findings) - np.concatenate(best)

    def _in_parts(self, records: Array, cause: int, own: NDArray[np.intp] | None) -> Iterator[Array]:
        """Yield the log chance of some records after others given each run (some, runs), each without its own run."""
        left = self.left[cause]
        step = max(1, MOST_AT_ONCE // max(1, left.size))
        for start in range(0, len(records), step):
            logs = Agreement(left).logs(self.findings, records[start : start + step]).sum(axis=2)
            if own is not None:
                logs[np.arange(len(logs)), own[start : start + step]] = -np.inf
            yield logs

    def chances_of(self, records: Array, causes: Sequence[int], own: NDArray[np.intp]) -> Array:
        """Return log chances (records, causes); own: the run (records,) of the first cause that each was made up from.

        That run is left out, so that a record is never judged by itself.
        """
        columns = []
        for place, cause in enumerate(causes):
            counts = self.counts[cause]
            others = counts.sum() - (counts[own] if place == 0 else 0.0)
            parts = self._in_parts(records, cause, own if place == 0 else None)
            sums = np.concatenate([logsumexp(logs, axis=1, b=counts) for logs in parts])
            columns.append(sums - np.log(np.where(others > 0.0, others, 1.0)))
        return np.stack(columns, axis=1)

    def verdicts(self) -> tuple[tuple[Verdict, tuple[int, ...]], ...]:
        """Return for each cause what can be said of it, and the causes that it cannot be told apart from."""
        fits = [self.fit(cause) for cause in range(len(self.left))]
        suits = [cause for cause, fit in enumerate(fits) if fit >= SUITS]
        said: list[tuple[Verdict, tuple[int, ...]]] = []
        for cause in range(len(self.left)):
            others = tuple(other for other in suits if other != cause and self._alike(cause, other))
            if cause not in suits:
                said.append((Verdict.NOT, ()))
            elif self.near(cause) < FEWEST:
                said.append((Verdict.FEW, ()))
            else:
                said.append((Verdict.APART if others else Verdict.CONSISTENT, others))
        return tuple(said)

    def _alike(self, cause: int, other: int) -> bool:
        """Whether the findings do not tell two causes apart: a factor up to BARELY lies in nine in ten redraws."""
        low, high = factor_span(self._redrawn, cause, other)
        return low <= log(BARELY) and high >= -log(BARELY)

    def factors(self) -> Iterator[FindingFactor]:
        """Yield by what factor each finding favours the likeliest cause over each other one."""
        best = self.likeliest
        for k, record in enumerate(self.findings):
            alone = [table[:, k] for table in self.by_finding]
            without = [np.delete(table, k, axis=1).sum(axis=1) for table in self.by_finding]
            by_itself = spread_of(alone, self.counts, self.seed)
            fewer = self._redrawn - spread_of(without, self.counts, self.seed)
            means, means_without = self._means(alone), self._means(without)
            for other in range(len(self.left)):
                if other == best:
                    continue
                whole = self.chances[best] - self.chances[other]
                rest = means_without[best] - means_without[other]
                own = means[best] - means[other]
                yield FindingFactor(
                    record.name,
                    str(other),
                    _exp(float(own)),
                    _both(factor_span(by_itself, best, other)),
                    _exp(float(whole - rest)),
                    _both(factor_span(fewer, best, other)),
                )

    def robust(self) -> tuple[Robust, ...]:
        """Return the probabilities with other errors of the records, other priors, and half of the runs."""
        assumed: list[tuple[str, Array]] = []
        for words, wider in (("every record twice as well known", 0.5), ("every record half as well known", 2.0)):
            logs = [Agreement(ours).logs(self.findings, self.values, wider)[0].sum(axis=1) for ours in self.left]
            assumed.append((words, probabilities(self._means(logs), self.priors)))
        for cause in range(len(self.left)):
            priors = self.priors * np.where(np.arange(len(self.left)) == cause, 3.0, 1.0)
            assumed.append((f"cause {cause} held three times likelier before", probabilities(self.chances, priors)))
        for words, half in (("one half of the runs, every other one", 0), ("the other half of the runs", 1)):
            chances = np.array(
                [log_mean(ours[half::2], counts[half::2]) for ours, counts in zip(self.logs, self.counts, strict=True)]
            )
            assumed.append((words, probabilities(chances, self.priors)))
        best = self.likeliest
        return tuple(Robust(words, tuple(p.tolist()), int(np.argmax(p)) == best) for words, p in assumed)

    def told_of_made_up(self, cases: int = TRIED) -> tuple[Array, NDArray[np.intp], list[MadeUp]]:
        """Return probabilities (cases, causes) told of cases made up from the runs, and the cause of each (cases,).

        With them, for each case, its run and the weights that the runs of its cause are given: where its own settings
        rank among them tells whether ranges of settings hold.
        """
        drawn = self._drawn(7)
        truth = drawn.choice(len(self.left), size=cases, p=self.priors)
        shares = np.empty((cases, len(self.left)))
        trials = [MadeUp(0, None)] * cases
        for cause in range(len(self.left)):
            ours = np.flatnonzero(truth == cause)
            if not len(ours):
                continue
            runs = drawn.choice(len(self.left[cause]), size=len(ours), p=self.held(cause))
            records = made_up(self.findings, self.left[cause][runs], drawn)
            order = [cause, *(other for other in range(len(self.left)) if other != cause)]
            chances = np.empty((len(ours), len(self.left)))
            chances[:, order] = self.chances_of(records, order, runs)
            shares[ours] = probabilities(chances, self.priors)
            logs = np.concatenate(list(self._in_parts(records, cause, runs)))
            for place, run, own in zip(ours.tolist(), runs.tolist(), logs, strict=True):
                trials[place] = MadeUp(run, _shares(own, self.counts[cause]))
        return shares, truth, trials

    def with_one_more(self, name: str, columns: Sequence[Array], samples: int = MADE_UP) -> tuple[float, float]:
        """Return the probability that the right cause gets on average, now and with one more finding.

        columns : what the runs of each cause left of it (runs,). Cases are drawn from causes and runs as the findings
        weigh them; the further finding is made up for each with its usual error.
        """
        measured = KINDS_OF_FINDING[name]
        record = _evidence(name, measured, measured.words[0] if measured.words else 0.0, measured.usual, 0.95)
        drawn = self._drawn(11)
        truth = drawn.choice(len(self.left), size=samples, p=self.probabilities)
        weights = [self.weights(cause) for cause in range(len(self.left))]
        right = 0.0
        for cause in truth.tolist():
            run = int(drawn.choice(len(weights[cause]), p=weights[cause]))
            values = made_up([record], columns[cause][[run], None], drawn)
            chances = np.empty(len(self.left))
            for other, column in enumerate(columns):
                held = weights[other].copy()
                if other == cause and held[run] < 1.0:
                    held[run] = 0.0  # a record is never judged by itself
                logs = Agreement(column[:, None]).logs([record], values)[0, :, 0]
                chances[other] = log_mean(logs, held)
            right += float(probabilities(chances, self.probabilities)[int(cause)])
        return float((self.probabilities**2).sum()), right / samples

    def _drawn(self, key: int) -> np.random.Generator:
        return np.random.Generator(np.random.Philox(key=self.seed, counter=key << 64))


def _shares(logs: Array, counts: Array) -> Array | None:
    """Return weights (runs,) that sum to 1 from logs of chances and how runs count; None where none has any chance."""
    total = logsumexp(logs, b=counts)
    return counts * np.exp(logs - total) if np.isfinite(total) else None


def _both(span: tuple[float, float]) -> tuple[float, float]:
    return _exp(span[0]), _exp(span[1])


def _exp(value: float) -> float:
    return float(np.exp(min(value, 700.0)))


def evenly(weights: Array, count: int) -> NDArray[np.intp]:
    """Return so many runs (count,), each as often as its weight (runs,) asks, within one: drawn at even steps."""
    steps = (np.arange(count) + 0.5) / count
    return np.minimum(np.searchsorted(np.cumsum(weights) / weights.sum(), steps), len(weights) - 1)


def quantiles(values: Array, weights: Array, shares: Sequence[float]) -> tuple[float, ...]:
    """Return the values (of (runs,)) below which these shares of the weight (runs,) lie."""
    order = np.argsort(values, kind="stable")
    summed = np.cumsum(weights[order])
    places = np.minimum(np.searchsorted(summed, np.asarray(shares) * summed[-1]), len(values) - 1)
    return tuple(float(values[order][place]) for place in places)


def told_range(values: Array, weights: Array) -> tuple[float, float, float]:
    """Return where nine in ten of a setting lie, of (runs,) with their weights, and its middle: low, middle, high.

    What was so is one more run beside those made, of about their weight: one in near + 1 of the whole. Half of it
    counted below any value and half above, a share p of the whole is p + (p - 1/2) / near of the runs made.

    Source: [Tibshirani2019] (the case itself counts with its own weight)
    """
    below, half, _ = NINE_IN_TEN
    share = max(below + (below - half) / effective(weights), 0.0)
    low, middle = quantiles(values, weights, (share, half))
    (high,) = quantiles(-values, weights, (share,))
    return low, middle, -high
