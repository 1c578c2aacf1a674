"""Whether told probabilities and ranges hold: of cases made up from the runs themselves, whose cause is known."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.stats import binomtest, kstest, kstwo

from tipline.incidents.judged import Judged
from tipline.incidents.report import Bin, Calibration, Ranked

__all__ = ["calibration"]

Array = NDArray[np.float64]
BINS = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0)
TENTHS = 10
MIDDLE = (0.05, 0.95)
"""The nine in ten that is told of a setting, as shares of the weight of its runs."""


def calibration(judged: Judged, settings: Sequence[Mapping[str, Array]]) -> Calibration:
    """Return what was told of made-up cases beside what was so.

    settings : for each cause, by its words, what the runs (runs,) had of each setting [SI]
    """
    told, truth, weighed = judged.told_of_made_up()
    was = truth[:, None] == np.arange(told.shape[1])[None, :]
    ranks: dict[tuple[int, str], list[float]] = {}
    alone = 0
    for cause, (run, shares) in zip(truth.tolist(), weighed, strict=True):
        if np.isnan(shares).any():
            alone += 1
            continue
        for label, values in settings[cause].items():
            ranks.setdefault((cause, label), []).append(float(shares[values < values[run]].sum()))
    return Calibration(
        cases=len(truth),
        named=float((told.argmax(axis=1) == truth).mean()),
        bins=tuple(_bins(told, was)),
        alone=alone,
        ranked=tuple(_ranked(*of, np.array(found)) for of, found in sorted(ranks.items())),
    )


def _bins(told: Array, was: NDArray[np.bool_]) -> Iterator[Bin]:
    for low, high in pairwise(BINS):
        inside = (told >= low) & ((told < high) | (high == 1.0))
        count, right = int(inside.sum()), int((inside & was).sum())
        if count:
            yield Bin(low, high, float(told[inside].mean()), count, right, _interval(right, count))


def _ranked(cause: int, label: str, ranks: Array) -> Ranked:
    """Return how ranks (cases,), shares of the weight of the runs that lie below, are spread."""
    within = int(((ranks >= MIDDLE[0]) & (ranks <= MIDDLE[1])).sum())
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
