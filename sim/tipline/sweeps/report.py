"""The report of a sweep: shares with their intervals, effects, indices, thresholds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isfinite, nan
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from tipline.errors import InputError
from tipline.notebook import Shown, marks, to_frame
from tipline.pose.not_known import NotKnown
from tipline.sweeps.outcome_map import OutcomeMap

__all__ = ["Effect", "FoundThreshold", "Index", "InputGroup", "Share", "SweepReport"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Share:
    """How many of the runs with a result ended so; ``low``, ``high``: 95 % interval, nan for a grid."""

    part: str
    word: str
    count: int
    runs: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """The share itself; nan without runs."""
        return self.count / self.runs if self.runs else nan


@dataclass(frozen=True)
class InputGroup:
    """Runs in which an input has one value, or lies in one part of its range; ``mean``: of the measure."""

    words: str
    share: Share
    mean: float
    bound: int = 0


@dataclass(frozen=True)
class Effect:
    """What changes with one input: its groups from low to high, by share of the outcome and by mean of the measure.

    ``thirds`` : whether each group is a third of the runs, by the values that were drawn; else it is all with one value
    """

    label: str
    groups: tuple[InputGroup, ...]
    thirds: bool = False

    @property
    def span(self) -> float:
        """Least to greatest share."""
        shares = [group.share.share for group in self.groups if isfinite(group.share.share)]
        return max(shares) - min(shares) if shares else nan

    @property
    def reach(self) -> float:
        """Least to greatest mean of the measure."""
        means = [group.mean for group in self.groups if isfinite(group.mean)]
        return max(means) - min(means) if means else nan


@dataclass(frozen=True)
class Index:
    """Sobol indices of one input: ``first`` alone, ``total`` with all it does together; half-widths at 95 %."""

    label: str
    first: float
    first_half: float
    total: float
    total_half: float


@dataclass(frozen=True)
class FoundThreshold:
    """One threshold found; ``at``: least value with the outcome, ``held``: greatest tried below it without; SI."""

    values: tuple[str, ...]
    at: float
    held: float
    truck: str
    direction: str
    changes_back: bool
    reason: str


@dataclass(frozen=True, repr=False)
class SweepReport(Shown):
    """What a sweep found.

    Attributes
    ----------
    kind : how its runs were chosen: drawn at random, listed one by one, for indices, or for thresholds
    outcome : the ending that is asked for; "or worse" goes without saying
    asked : the share of the runs that ended so, None for thresholds
    shares : every ending of truck, lifted load and floor
    measure, dimension : what effects and indices measure beside the share, and its dimension
    effects : by input, the one that changes most first
    indices, measure_indices : Sobol indices of the ending (0 or 1) and of the measure
    thresholds : one a row; sought : words for what was varied, its dimension in ``dimension``; within : how narrowly
    inputs : words, keys, how it varies, origin; fixed : keys and values changed in all runs
    searched : of thresholds the same four of the setting that was sought
    map : of a grid over two inputs or more, its endings over the first two
    points : (n,) float arrays [SI units of ``point_units``] for plots, n runs at most 2000: inputs by words, "ended" (1
        where with the outcome; of thresholds, where it lies beyond the range), "measure"; nan without result
    sentences, cautions : in words
    unusual : what the files give, and the ends of what varies, that is more often a slip than meant
    not_met : what is not used, overridden or never met
    not_known : of an own truck what the scenario's set-up, as it is without the changes, comes to at rest
    """

    title: str
    question: str
    scenario: str
    demo: str
    method: str
    kind: Literal["drawn", "listed", "indices", "thresholds"]
    fingerprint: str
    seed: int
    rows: int
    lost: int
    outcome: str
    lead: str
    asked: Share | None
    shares: tuple[Share, ...]
    measure: str
    dimension: str
    effects: tuple[Effect, ...]
    indices: tuple[Index, ...] = ()
    measure_indices: tuple[Index, ...] = ()
    thresholds: tuple[FoundThreshold, ...] = ()
    sought: str = ""
    within: float = 0.0
    map: OutcomeMap | None = None
    inputs: tuple[tuple[str, str, str, str], ...] = ()
    searched: tuple[()] | tuple[str, str, str, str] = ()
    fixed: tuple[tuple[str, str], ...] = ()
    sentences: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    reasons: tuple[tuple[str, int], ...] = ()
    unusual: tuple[InputError, ...] = ()
    not_met: tuple[str, ...] = ()
    not_known: NotKnown | None = None
    assumed: tuple[str, ...] = ()
    assumed_count: int = 0
    governs: tuple[str, ...] = ()
    points: Mapping[str, Array] = field(default_factory=dict)
    point_units: Mapping[str, tuple[str, bool]] = field(default_factory=dict)

    def __repr__(self) -> str:
        """Say which sweep it is."""
        return f"<SweepReport {self.title!r}: {self.rows} rows, {self.lead}>"

    def to_pandas(self) -> Any:
        """Return the effects as a pandas table, one record a group; raises MissingPart without pandas."""
        return to_frame(
            [
                {
                    "input": effect.label,
                    "group": group.words,
                    "runs": group.share.runs,
                    "with_outcome": group.share.count,
                    "low": group.share.low,
                    "high": group.share.high,
                    "mean": group.mean,
                }
                for effect in self.effects
                for group in effect.groups
            ],
            {**marks(self.demo), "cautions": list(self.cautions)},
        )
