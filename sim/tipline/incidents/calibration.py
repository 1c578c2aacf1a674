"""Whether told probabilities and ranges hold: of cases made up from the runs themselves, whose cause is known."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.stats import binomtest, kstest, kstwo

from tipline.incidents.drawing import effective
from tipline.incidents.judged import NINE_IN_TEN, Judged, told_range
from tipline.incidents.report import Bin, Calibration, Ranked

__all__ = ["calibration"]

Array = NDArray[np.float64]
BINS = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0)
TENTHS = 10
NARROWS = (NINE_IN_TEN[1] - NINE_IN_TEN[0]) / NINE_IN_TEN[0]
"""Runs near a case from which a range is narrower than all that was held possible: 9 for nine in ten."""


def calibration(judged: Judged, settings: Sequence[Mapping[str, Array]]) -> Calibration:
    """Return what was told of made-up cases beside what was so.

    settings : for each cause, by its words, what the runs (runs,) had of each setting [SI]
    """
    shares, truth, trials = judged.told_of_made_up()
    was = truth[:, None] == np.arange(shares.shape[1])[None, :]
    ranks: dict[tuple[int, str], list[tuple[float, bool]]] = {}
    few = 0
    drawn = np.random.Generator(np.random.Philox(key=judged.seed, counter=13 << 64))
    for cause, trial in zip(truth.tolist(), trials, strict=True):
        if trial.weights is None or effective(trial.weights) < NARROWS:
            few += 1
            continue
        for label, values in settings[cause].items():
            ranks.setdefault((cause, label), []).append(_rank(values, trial.run, trial.weights, drawn))
    return Calibration(
        cases=len(truth),
        named=float((shares.argmax(axis=1) == truth).mean()),
        bins=tuple(_bins(shares, was)),
        few=few,
        ranked=tuple(_ranked(*of, *map(np.array, zip(*pairs, strict=True))) for of, pairs in sorted(ranks.items())),
    )


def _rank(values: Array, run: int, weights: Array, drawn: np.random.Generator) -> tuple[float, bool]:
    """Return where a run's own value ranks among the others (runs,) as they weigh, and whether their range holds it.

    It counts with about the weight of a run beside them; which part of that and of equal values lies below it is drawn.
    """
    own, alike = values[run], 1.0 / effective(weights)
    below, same = float(weights[values < own].sum()), float(weights[values == own].sum())
    low, _, high = told_range(values, weights)
    return (below + float(drawn.random()) * (same + alike)) / (1.0 + alike), bool(low <= own <= high)


def _bins(shares: Array, was: NDArray[np.bool_]) -> Iterator[Bin]:
    for low, high in pairwise(BINS):
        inside = (shares >= low) & ((shares < high) | (high == 1.0))
        count, right = int(inside.sum()), int((inside & was).sum())
        if count:
            yield Bin(low, high, float(shares[inside].mean()), count, right, _interval(right, count))


def _ranked(cause: int, label: str, ranks: Array, held: NDArray[np.bool_]) -> Ranked:
    """Return how ranks (cases,), shares of the weight of the runs that lie below, are spread; held : in the range."""
    within = int(held.sum())
    return Ranked(
        cause=cause,
        label=label,
        cases=len(ranks),
        tenths=tuple(np.histogram(ranks, TENTHS, (0.0, 1.0))[0].tolist()),
        within=within,
        span=_interval(within, len(ranks)),
        off=float(kstest(ranks, "uniform").statistic),
        allowed=float(kstwo.ppf(0.95, len(ranks))),
    )


def _interval(right: int, count: int) -> tuple[float, float]:
    """Return the exact 95 % interval of a share."""
    span = binomtest(right, count).proportion_ci(0.95, "exact")
    return float(span.low), float(span.high)
