"""What the table of a sweep says: shares with their intervals, what decides, thresholds; and what to beware of.

A share is that of the runs of this list. The interval says how well the number of runs fixes it, nothing else.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import isfinite, nan
from typing import Any, Literal, Protocol

import numpy as np
from numpy.typing import NDArray

from tipline.endings import TruckEnd
from tipline.errors import MissingPart
from tipline.runs.endings import interval
from tipline.scenario.sweep import BAD_FLOOR, BAD_LOAD, BAD_TRUCK
from tipline.scenario.sweep_plan import SweepPlan, SweptInput
from tipline.sweeps import words as say
from tipline.sweeps.outcome_map import OutcomeMap, outcome_map
from tipline.sweeps.report import Effect, FoundThreshold, Index, InputGroup, Share, SweepReport
from tipline.sweeps.unmet import counted

__all__ = ["assess_sweep", "sobol_indices"]

Array = NDArray[np.float64]
NO_RESULT: str = TruckEnd.NO_RESULT
MOST_POINTS = 2000
"""Runs that a plot shows; of more, evenly picked ones."""
GOVERNS = ("the maker's capacity plate and manual", "local codes and the rules of the site", "a qualified engineer")
_GROUPS = 3
_RESAMPLES = 200
_PARTS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("truck", "truck", ("down", *BAD_TRUCK)),
    ("lifted_load", "lifted load", ("none", "kept", *BAD_LOAD)),
    ("floor", "floor", ("held", *BAD_FLOOR)),
)


class Columns(Protocol):
    """A table that is read column by column, numbers in SI."""

    @property
    def names(self) -> tuple[str, ...]:
        """The columns."""

    def column(self, name: str) -> NDArray[Any]:
        """Return a column (rows,), in SI or texts."""


def assess_sweep(plan: SweepPlan, table: Columns, fingerprint: str, notes: Sequence[str] = ()) -> SweepReport:
    """Say what a sweep found; ``notes``: what a reader should know of how it was run.

    Raises
    ------
    MissingPart
        Sensitivity was asked and SALib is not installed.
    """
    return _Assessed(plan, table, fingerprint, tuple(notes)).report()


def sobol_indices(values: Array, labels: Sequence[str], seed: int) -> tuple[Index, ...]:
    """Return first and total Sobol indices of results in the order in which they were drawn for sensitivity.

    Parameters
    ----------
    values : (blocks * (inputs + 2),) float array in any one unit, nan where there is no result; a block with one is
        left out
    labels : the inputs' names
    seed : of the resampling that gives the half-widths

    Returns
    -------
    one index an input; none where all results are equal or fewer than four blocks are whole

    Raises
    ------
    MissingPart
        SALib is not installed.

    Source: Saltelli et al. (2010), Computer Physics Communications 181:259, as SALib computes it.
    """
    try:
        from SALib.analyze import sobol
    except ImportError as error:
        msg = "sensitivity needs SALib"
        raise MissingPart(msg, install='pip install "tipline[sweeps]"') from error
    blocks = np.asarray(values, dtype=np.float64).reshape(-1, len(labels) + 2)
    whole = blocks[np.isfinite(blocks).all(axis=1)]
    if len(whole) < 4 or np.ptp(whole) == 0.0:
        return ()
    problem = {"num_vars": len(labels), "names": list(labels), "bounds": [[0.0, 1.0]] * len(labels)}
    indices = sobol.analyze(
        problem, whole.ravel(), calc_second_order=False, num_resamples=_RESAMPLES, conf_level=0.95, seed=seed % 2**32
    )
    columns = (indices["S1"], indices["S1_conf"], indices["ST"], indices["ST_conf"])
    return tuple(Index(label, *(float(part) for part in row)) for label, *row in zip(labels, *columns, strict=True))


class _Assessed:
    """A plan and its table, with what is read from it once."""

    def __init__(self, plan: SweepPlan, table: Columns, fingerprint: str, notes: tuple[str, ...]) -> None:
        self.plan, self.table, self.fingerprint, self.notes = plan, table, fingerprint, notes
        self.truck = table.column("truck")
        self.known = np.array([word is not None and word != NO_RESULT for word in self.truck], dtype=bool)
        self.inputs = {
            swept_input.label: (swept_input, table.column(swept_input.column)) for swept_input in plan.inputs
        }
        sought, sweep = plan.sought, plan.sweep
        self.outcome = sweep.outcome if sweep.threshold is None else sweep.threshold.outcome
        self.kind: Literal["drawn", "listed", "indices", "thresholds"] = "drawn"
        if sweep.method in ("grid", "threshold"):
            self.kind = "listed" if sought is None else "thresholds"
        elif sweep.method == "sensitivity":
            self.kind = "indices"
        self.measure, self.dimension, self.values = self._measure()
        self.ended = self._ended()

    def _measure(self) -> tuple[str, str, Array]:
        """Return what is measured beside the ending, its dimension, and its values; nan without a result."""
        sought = self.plan.sought
        if sought is None:
            return "least distance to a tip line", "length", self._numbers("least_distance")
        at = self._numbers("threshold")
        limit = sought.figures
        reason = [str(text) for text in self.table.column("reason")]
        above = np.array([text.startswith("not up to") for text in reason], dtype=bool)
        at[above] = limit["most"]
        self.bound = above | np.array([text.startswith("already at") for text in reason], dtype=bool)
        return f"threshold of {sought.label}", "ratio" if sought.relative else sought.dimension, at

    def _numbers(self, name: str) -> Array:
        values = self.table.column(name).astype(np.float64)
        values[~self.known] = nan
        return values

    def _ended(self) -> NDArray[np.bool_]:
        """Return which runs ended with the outcome asked for, or with a worse one."""
        name, _, words = self._part()
        if name not in self.table.names:
            return np.zeros(len(self.truck), dtype=bool)
        worse = set(words[words.index(self.outcome) :])
        mask: NDArray[np.bool_] = np.array([word in worse for word in self.table.column(name)], dtype=bool)
        mask &= self.known
        return mask

    def _part(self) -> tuple[str, str, tuple[str, ...]]:
        """Return column, words and endings of the part of a run that the outcome asked for is of."""
        return next(part for part in _PARTS if self.outcome in part[2])

    def map(self) -> OutcomeMap | None:
        """Return the endings of a grid over its first two inputs."""
        if self.kind != "listed":
            return None
        name, part, _ = self._part()
        words = [str(word) if known else "" for word, known in zip(self.table.column(name), self.known, strict=True)]
        return outcome_map(self.inputs, part, words, self.ended)

    def share(self, count: int, runs: int, part: str, word: str) -> Share:
        """Return a share; of runs that were listed and not drawn, without an interval."""
        low, high = interval(count, runs) if self.kind == "drawn" else (nan, nan)
        return Share(part, word, count, runs, low, high)

    def shares(self) -> tuple[Share, ...]:
        """Return every ending that there is."""
        shares = []
        runs = int(self.known.sum())
        for name, part, words in _PARTS:
            if name not in self.table.names:
                continue
            counts = Counter(str(word) for word in self.table.column(name)[self.known])
            shares += [self.share(counts[word], runs, part, word) for word in words if counts[word]]
        return tuple(shares)

    def asked(self) -> Share:
        """Return the share of the outcome asked for."""
        return self.share(int(self.ended.sum()), int(self.known.sum()), "asked", self.outcome)

    def effects(self) -> tuple[Effect, ...]:
        """Return what changes with each input, the one that changes most first."""
        effects = [
            Effect(label, self._groups(swept_input, values), swept_input.shape != "values")
            for label, (swept_input, values) in self.inputs.items()
        ]
        effects = [effect for effect in effects if len(effect.groups) > 1]
        return tuple(sorted(effects, key=self._last))

    def _last(self, effect: Effect) -> float:
        """Return what sorts an effect: the one that changes most first, those that are not known last."""
        size = effect.reach if self.kind == "thresholds" else effect.span
        return -size if isfinite(size) else 1.0

    def _groups(self, swept_input: SweptInput, values: NDArray[Any]) -> tuple[InputGroup, ...]:
        """Return the runs by value where values are listed, else by thirds of what was drawn."""
        if swept_input.shape == "values":
            held = list(dict.fromkeys(swept_input.values))
            return tuple(self._group(swept_input.say(value), np.asarray(values == value)) for value in held)
        edges = np.quantile(values.astype(np.float64), np.linspace(0.0, 1.0, _GROUPS + 1))
        place = np.searchsorted(edges[1:-1], values.astype(np.float64), side="right")
        said = swept_input.say_edges(edges.tolist())
        return tuple(self._group(f"{said[k]} to {said[k + 1]}", place == k) for k in range(_GROUPS))

    def _group(self, words: str, inside: NDArray[np.bool_]) -> InputGroup:
        known = inside & self.known
        share = self.share(int((self.ended & inside).sum()), int(known.sum()), "asked", self.outcome)
        values = self.values[known]
        finite = values[np.isfinite(values)]
        bound = int(self.bound[known].sum()) if self.kind == "thresholds" else 0
        return InputGroup(words, share, float(finite.mean()) if len(finite) else nan, bound)

    def indices(self) -> tuple[tuple[Index, ...], tuple[Index, ...]]:
        """Return Sobol indices of the ending and of the measure."""
        if self.kind != "indices":
            return (), ()
        ended = self.ended.astype(np.float64)
        ended[~self.known] = nan
        labels, seed = [swept_input.label for swept_input in self.plan.inputs], self.plan.sweep.seed
        return sobol_indices(ended, labels, seed), sobol_indices(self.values, labels, seed)

    def thresholds(self) -> tuple[FoundThreshold, ...]:
        """Return the thresholds in the order of the rows."""
        if self.kind != "thresholds":
            return ()
        table = self.table
        columns = [table.column(name) for name in ("threshold", "held", "truck", "direction", "changes_back", "reason")]
        said = [[swept_input.say(value) for value in values.tolist()] for swept_input, values in self.inputs.values()]
        return tuple(
            FoundThreshold(
                tuple(words[row] for words in said), float(at), float(held), str(truck), str(line or ""), bool(back),
                str(reason or ""),
            )
            for row, (at, held, truck, line, back, reason) in enumerate(zip(*columns, strict=True))
        )  # fmt: skip

    def points(self) -> dict[str, Array]:
        """Return what plots need, evenly picked rows where there are many."""
        rows = len(self.truck)
        picked = np.unique(np.linspace(0, rows - 1, min(rows, MOST_POINTS)).round().astype(int))
        ended = (self.bound if self.kind == "thresholds" else self.ended).astype(np.float64)
        ended[~self.known] = nan
        points = {"ended": ended[picked], "measure": self.values[picked]}
        for label, (_, values) in self.inputs.items():
            if values.dtype.kind in "fiu":
                points[label] = values[picked].astype(np.float64)
        return points

    def report(self) -> SweepReport:
        """Put it together."""
        plan, case, sweep = self.plan, self.plan.case, self.plan.sweep
        ending, measured = self.indices()
        report = SweepReport(
            title=sweep.title,
            question=sweep.question,
            scenario=case.scenario.title,
            demo=case.demo,
            method=sweep.method,
            kind=self.kind,
            fingerprint=self.fingerprint,
            seed=sweep.seed,
            rows=len(self.truck),
            lost=int((~self.known).sum()),
            outcome=self.outcome,
            lead="",
            asked=None if self.kind == "thresholds" else self.asked(),
            shares=() if self.kind == "thresholds" else self.shares(),
            measure=self.measure,
            dimension=self.dimension,
            effects=self.effects() if self.kind != "indices" else (),
            indices=ending,
            measure_indices=measured,
            thresholds=self.thresholds(),
            sought="" if plan.sought is None else plan.sought.label,
            within=plan.within,
            map=self.map(),
            inputs=tuple(
                (swept_input.label, ", ".join(swept_input.keys), _varies(swept_input), swept_input.origin)
                for swept_input in plan.inputs
            ),
            searched=() if plan.sought is None else _searched(plan.sought, plan.within),
            fixed=tuple(plan.fixed.items()),
            reasons=self._reasons(),
            not_met=self._not_met(),
            assumed=case.assumed,
            assumed_count=case.assumed_count,
            governs=GOVERNS,
            points=self.points(),
            point_units={
                swept_input.label: ("ratio" if swept_input.relative else swept_input.dimension, swept_input.relative)
                for swept_input in plan.inputs
            },
        )
        return say.told(report, self.notes)

    def _not_met(self) -> tuple[str, ...]:
        """Return in how many runs something of the scenario was not met."""
        if "not_met" not in self.table.names:
            return ()
        return counted(self.table.column("not_met")[self.known].tolist())

    def _reasons(self) -> tuple[tuple[str, int], ...]:
        """Return why runs have no result, most often first."""
        reasons = Counter(str(text) for text in self.table.column("reason")[~self.known])
        return tuple(reasons.most_common(5))


def _searched(swept_input: SweptInput, within: float) -> tuple[str, str, str, str]:
    """Return the setting whose threshold is sought, with the range looked at."""
    least, most = (swept_input.say(swept_input.figures[end]) for end in ("least", "most"))
    of = " of what the files give" if swept_input.relative else ""
    how = f"looked for from {least} to {most}{of}, narrowed down to {swept_input.say(within)} or less"
    return swept_input.label, ", ".join(swept_input.keys), how, "sought"


def _varies(swept_input: SweptInput) -> str:
    return f"{swept_input.words()} of what the files give" if swept_input.relative else swept_input.words()
