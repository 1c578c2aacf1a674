"""Many runs in compiled code, one after the other or at once, of which only the ending is asked: no row a step is kept.

Forces, bodies, joints and what is watched are those of a run that is recorded; at the same time step the motion is the
same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from tipline.engines.prepare import Prepared, prepare
from tipline.engines.rolled import bodies_of, own_axes
from tipline.engines.simulate import HALVINGS
from tipline.engines.watching import watch_of, watched
from tipline.errors import NumericalError
from tipline.kernels import layout as at
from tipline.kernels import watching as w
from tipline.kernels.compiled import compiled
from tipline.results import Watched

if TYPE_CHECKING:
    from tipline.geometry.ground import ZoneLaw
    from tipline.scenario.case import Case

__all__ = ["STEP", "Rolled", "Start", "roll"]

STEP = 2e-3
"""Time step [s] of these runs where none is asked for (our choice); shorter where a spring of the truck needs it."""
LINES_EVERY = 4e-3
"""Time [s] between two looks at the tip lines (our choice: short beside every sway)."""


@dataclass(frozen=True)
class Rolled:
    """One run: its start, what it was watched by, and what was seen."""

    prepared: Prepared
    dt: float
    watch: w.Watch
    seen: Watched
    steps: int

    @property
    def time(self) -> float:
        """When it ended [s]."""
        return (self.steps - 1) * self.dt

    @property
    def stepped(self) -> int:
        """Steps that were stepped: those in which the truck only stands before anything begins are left out."""
        return self.steps - int(self.watch.seen[w.S_LEFT_OUT])


class Start:
    """Prepares cases, keeping the last assembly for a case with the same machine, set-up and load."""

    def __init__(self) -> None:
        self._last: Prepared | None = None

    def prepare(self, case: Case, zones: Sequence[ZoneLaw] | None, dt: float) -> Prepared:
        """Prepare a case as `prepare` does, its commands in brief."""
        last = self._last
        same = last is not None and _same_truck(last.case, case)
        kept = last.assembly if same and last is not None else None
        prepared = prepare(case, dt=dt, zones=zones, assembly=kept, brief=True)
        self._last = prepared
        return prepared


def _same_truck(case: Case, other: Case) -> bool:
    return case.load == other.load and case.scenario.setup == other.scenario.setup and case.machine == other.machine


def roll(
    case: Case,
    zones: Sequence[ZoneLaw] | None = None,
    dt: float | None = None,
    *,
    early: bool = True,
    start: Start | None = None,
) -> Rolled:
    """Run one case in compiled code; early: end it before its duration once nothing can change any more.

    A run that breaks down is run again with half the step, as often as one that is recorded.

    Raises
    ------
    NumericalError, InputError
        As in `prepare`.
    """
    prepare_it = (start or Start()).prepare
    step = dt or STEP
    try:
        prepared = prepare_it(case, zones, step)
    except NumericalError as error:
        if dt is not None or error.quantity != "time step":
            raise
        step = min(case.scenario.run.time_step, STEP)
        prepared = prepare_it(case, zones, step)
    rolled = _roll_out(prepared, step, early)
    for _ in range(HALVINGS):
        if int(rolled.watch.seen[w.S_WHY]) != w.BY_ERROR:
            break
        step *= 0.5
        rolled = _roll_out(prepare_it(case, zones, step), step, early)
    return rolled


def _roll_out(prepared: Prepared, dt: float, early: bool) -> Rolled:
    plant, memory, table = own_axes(prepared.build.plant), prepared.memory, prepared.commands.table
    watch = watch_of(prepared, dt, early=early, lines_every=LINES_EVERY, tells=False)
    row = np.zeros((1, at.record_width(len(plant.tyre), len(plant.place))))
    last = int(watch.rule[w.R_CAP]) + 1
    steps = compiled("roll_out")(0, last, dt, bodies_of(prepared), plant, table, memory, watch, row)
    return Rolled(prepared, dt, watch, watched(prepared, watch, plant.place, memory.depth, steps, dt), steps)
