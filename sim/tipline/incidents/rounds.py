"""The runs of a cause: first over all that is not known of it, then in rounds nearer to what was found.

Rounds are added while too few runs lie near what was found, and a round brings any nearer. Each follows from the runs
before it and the seed alone, so that a case that was stopped goes on to the same bits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import log
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipline.endings import TruckEnd
from tipline.incidents.drawing import Kernel, counting, kernel_about
from tipline.incidents.judged import BARELY, SUITS, Judged, as_found, left_by
from tipline.incidents.report import NEAR_ENOUGH
from tipline.scenario.incident import KINDS_OF_FINDING
from tipline.scenario.incident_plan import CausePlan, IncidentPlan
from tipline.scenario.sweep_plan import SweepPlan
from tipline.sweeps.draws import unit_rows, value_at
from tipline.sweeps.table import SweepTable

__all__ = ["CauseRuns", "next_round"]

Array = NDArray[np.float64]
PART = 2
"""A round has the first runs over this (our choice: each learns from those before)."""


@dataclass(frozen=True)
class CauseRuns:
    """All runs of one cause.

    Attributes
    ----------
    plan, place : of the incident, and the place of the cause in it
    tables : of the first runs and of each round
    """

    plan: IncidentPlan
    place: int
    tables: tuple[SweepTable, ...]

    def __len__(self) -> int:
        """Return how many runs there are."""
        return sum(len(table) for table in self.tables)

    @property
    def own(self) -> CausePlan:
        """The cause with its first runs."""
        return self.plan.causes[self.place]

    def column(self, name: str) -> NDArray[Any]:
        """Return a column of all runs (runs,), numbers in SI."""
        return np.concatenate([table.column(name) for table in self.tables])

    @cached_property
    def whole(self) -> NDArray[np.bool_]:
        """Which runs (runs,) have a result."""
        return np.array([word != TruckEnd.NO_RESULT for word in self.column("truck").tolist()])

    def left(self, of: str) -> Array:
        """Return what the runs with a result (whole,) left of a kind of finding [SI], words by their place."""
        measured = KINDS_OF_FINDING[of]
        values = self._set(measured.setting) if measured.setting else self.column(measured.column)
        return left_by(values[self.whole], measured)

    def _set(self, key: str) -> Array:
        """Return what all runs (runs,) had of a setting of the files [SI], nan where they have none."""
        for varied in self.own.plan.inputs:
            if key in varied.keys:
                base = varied.base[varied.keys.index(key)] if varied.relative else 1.0
                return base * np.asarray(self.column(varied.column), dtype=np.float64)
        given: Any = self.own.plan.case.scenario
        for name in key.split("."):
            given = getattr(given, name, None)
        return np.full(len(self), np.nan if given is None else float(given))

    @cached_property
    def _drawn(self) -> tuple[Array, tuple[tuple[int, Kernel], ...]]:
        """The shares of all runs (runs, settings), and the kernel of each round with how many it drew."""
        sweep, inputs, last = self.own.plan.sweep, self.own.plan.inputs, self.tables[-1]
        if len(self.tables) == 1:
            return unit_rows(sweep.method, sweep.seed, len(last), len(inputs), 0, len(last)), ()
        before = CauseRuns(self.plan, self.place, self.tables[:-1])
        shares, kernels = before._drawn
        kernel = before.kernel()
        if kernel is None:
            msg = "a round was drawn where no run has any chance of what was found"
            raise ValueError(msg)
        more = kernel.draw(len(last), before.generator())
        _held_to(last, inputs, more)
        return np.concatenate([shares, more]), (*kernels, (len(last), kernel))

    @cached_property
    def counts(self) -> Array:
        """How each run with a result (whole,) counts for what is held before."""
        shares, kernels = self._drawn
        return counting(shares, len(self.tables[0]), kernels)[self.whole]

    @cached_property
    def judged(self) -> Judged:
        """The cause as if it were the only one."""
        used = [reading for reading in self.plan.readings if reading.used]
        left = np.stack([self.left(reading.of) for reading in used], axis=1)
        findings = tuple(as_found(reading) for reading in used)
        return Judged(findings, (left,), np.ones(1), self.plan.incident.seed, (self.counts,))

    def kernel(self) -> Kernel | None:
        """Return where the next round is drawn; None where no run has any chance of what was found."""
        return kernel_about(self._drawn[0][self.whole], self.judged.logs[0], self.counts)

    def generator(self) -> np.random.Generator:
        """Return what the next round is drawn with."""
        return np.random.Generator(np.random.Philox(key=self.own.plan.sweep.seed, counter=len(self.tables) << 192))


def _held_to(table: SweepTable, inputs: Sequence[Any], shares: Array) -> None:
    """Refuse a round that was not drawn so: its runs would count for what they do not."""
    for k, varied in enumerate(inputs):
        if table.column(varied.column).tolist() != [value_at(varied, share) for share in shares[:, k].tolist()]:
            msg = "these runs were drawn about other findings than those they are weighed by"
            raise ValueError(msg)


def next_round(runs: CauseRuns) -> SweepPlan | None:
    """Return the next round of a cause; None where there is none."""
    incident, plan = runs.plan.incident, runs.own.plan
    if len(runs.tables) > incident.rounds or not runs.whole.any() or not _wanted(runs):
        return None
    kernel = runs.kernel()
    if kernel is None:
        return None
    rows = -(-incident.runs // PART)
    shares = tuple(tuple(row) for row in kernel.draw(rows, runs.generator()).tolist())
    return replace(plan, sweep=plan.sweep.model_copy(update={"runs": rows}), rows=rows, shares=shares)


def _wanted(runs: CauseRuns) -> bool:
    """Whether another round is worth its time.

    A cause that does not suit gets one, and another while the last brought a run that is nearer by more than a bare
    mention, so that a cause is not given up whose runs only lay wide.
    """
    judged = runs.judged
    if judged.fit(0) >= SUITS:
        return judged.near(0) < NEAR_ENOUGH
    logs, last = judged.logs[0], len(runs.tables) - 1
    if last == 0:
        return True
    before = int(runs.whole[: len(runs) - len(runs.tables[last])].sum())
    return bool(logs[before:].max(initial=-np.inf) > logs[:before].max(initial=-np.inf) + log(BARELY))
