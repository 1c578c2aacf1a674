"""Many runs in compiled code, one after the other or at once, of which only the ending is asked: no row a step is kept.

Forces, bodies, joints and what is watched are those of a run that is recorded; at the same time step the motion is the
same. Where no step is asked for, several are taken at once where all moves smoothly (`kernels.pace`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from tipline.endings import TruckEnd
from tipline.engines.prepare import Prepared, prepare
from tipline.engines.resting import Lies, lies
from tipline.engines.rolled import own_axes, state_of
from tipline.engines.simulate import HALVINGS
from tipline.engines.watching import taking_at_once, watch_of, watched
from tipline.errors import NumericalError
from tipline.kernels import layout as at
from tipline.kernels import watching as w
from tipline.kernels.compiled import compiled
from tipline.kernels.packed import pack
from tipline.results import Watched

if TYPE_CHECKING:
    from tipline.geometry.ground import ZoneLaw
    from tipline.scenario.case import Case

__all__ = ["STEP", "Rolled", "Start", "roll"]

STEP = 2e-3
"""Time step [s] of these runs where none is asked for (our choice); shorter where a spring of the truck needs it, up to
four times as long where nothing is commanded any more and all moves smoothly."""
SMOOTH = 2e-5
"""How far [m] changing accelerations may take a part aside within steps that are taken at once (our choice: a
five-hundredth of what a tyre is pressed in; peak loads of nine kinds of case then lie within 1 % of those at 1 ms)."""
STRETCH = 0.5
"""Time [s] between two looks at whether a run that is to go on to rest is there (our choice: short beside a fall)."""
FALLS = (TruckEnd.OVER, TruckEnd.RESTING)
"""Endings that are run again by single steps: in a fall least distances jump, by more than long steps may move them."""


@dataclass(frozen=True)
class Rolled:
    """One run: its start, what it was watched by, what was seen, and where all lies if it was to go on to rest."""

    prepared: Prepared
    dt: float
    watch: w.Watch
    seen: Watched
    steps: int
    lies: Lies | None = None

    @property
    def time(self) -> float:
        """When it ended [s]."""
        return (self.steps - 1) * self.dt

    @property
    def stepped(self) -> int:
        """Steps that were stepped: those in which the truck only stands before anything begins are left out."""
        return self.steps - int(self.watch.seen[w.S_LEFT_OUT])


class Start:
    """Prepares cases and what they are watched by, keeping the last: what follows from the same truck or pose is taken.

    Threads may share it.
    """

    def __init__(self) -> None:
        self._last: tuple[Prepared, w.Watch] | None = None

    def prepare(
        self, case: Case, zones: Sequence[ZoneLaw] | None, dt: float, *, early: bool, goes_on: bool
    ) -> tuple[Prepared, w.Watch]:
        """Prepare a case as `prepare` does, its commands in brief, with what `watch_of` has its run watched by."""
        last, like = self._last or (None, None)
        prepared = prepare(case, dt=dt, zones=zones, like=last, brief=True)
        if last is None or prepared.packed is not last.packed:
            like = None
        watch = watch_of(prepared, dt, early=early, tells=False, smooth=SMOOTH, goes_on=goes_on, like=like)
        self._last = prepared, watch
        return prepared, watch


def roll(
    case: Case,
    zones: Sequence[ZoneLaw] | None = None,
    dt: float | None = None,
    *,
    early: bool = True,
    rests: bool = False,
    start: Start | None = None,
) -> Rolled:
    """Run one case in compiled code; early: end it before its duration once nothing can change any more.

    rests : go on past the ending, until nothing moves any more, and tell where truck and load lie; it is not early then

    A run that breaks down is run again with half the step, as often as one that is recorded. That step, and one that is
    asked for, is kept throughout; so is the usual one of a truck that falls.

    Raises
    ------
    NumericalError, InputError
        As in `prepare`.
    """
    start, early = start or Start(), early and not rests
    step = dt or STEP
    try:
        prepared, watch = start.prepare(case, zones, step, early=early, goes_on=rests)
    except NumericalError as error:
        if dt is not None or error.quantity != "time step":
            raise
        step = min(case.scenario.run.time_step, STEP)
        prepared, watch = start.prepare(case, zones, step, early=early, goes_on=rests)
    rolling = _to_rest if rests else _roll_out
    at_once = prepared.packed.at_once if dt is None and not rests else 1
    rolled = rolling(prepared, taking_at_once(watch, at_once), step)
    if at_once > 1 and rolled.seen.truck in FALLS:
        rolled = rolling(prepared, watch, step)
    for _ in range(HALVINGS):
        if int(rolled.watch.seen[w.S_WHY]) != w.BY_ERROR:
            break
        step *= 0.5
        rolled = rolling(*start.prepare(case, zones, step, early=early, goes_on=rests), step)
    return rolled


def _roll_out(prepared: Prepared, watch: w.Watch, dt: float) -> Rolled:
    buffer, index, plant, memory, watch = pack(own_axes(prepared.build.plant), prepared.memory, watch)
    row = np.zeros((1, at.record_width(len(plant.tyre), len(plant.place))))
    last, table, state = int(watch.rule[w.R_CAP]) + 1, prepared.commands.table, state_of(prepared)
    steps, _ = compiled("roll_out")(0, last, dt, False, state, table, np.zeros((11, 6)), row, buffer, index)
    return Rolled(prepared, dt, watch, watched(prepared, watch, plant.place, memory.depth, steps, dt), steps)


def _to_rest(prepared: Prepared, watch: w.Watch, dt: float) -> Rolled:
    """Run on until nothing moves, at most for as long as the run may take, with a row of the record for each step."""
    buffer, index, plant, memory, watch = pack(own_axes(prepared.build.plant), prepared.memory, watch)
    table, state, wrench = prepared.commands.table, state_of(prepared), np.zeros((11, 6))
    rule, seen = watch.rule, watch.seen
    last, stretch, k = int(rule[w.R_CAP]) + 1, max(1, round(STRETCH / dt)), 0
    record = np.zeros((last, at.record_width(len(plant.tyre), len(plant.place))))
    while k < last and not (_decided(watch) and seen[w.S_REST] >= rule[w.R_QUIET]) and not _told(k, watch):
        k, _ = compiled("roll_out")(k, min(k + stretch, last), dt, False, state, table, wrench, record, buffer, index)
    first = min([*watch.waiting[:, w.W_STEP], *prepared.commands.changes, np.inf])
    states = record[:k, 1 : 1 + 13 * at.N_BODY].reshape(k, at.N_BODY, 13)
    ended = watched(prepared, watch, plant.place, memory.depth, k, dt)
    return Rolled(prepared, dt, watch, ended, k, lies(prepared, states, dt, float(first)))


def _decided(watch: w.Watch) -> bool:
    """Whether the ending is decided: what is still may be so before that, while something is yet to come."""
    return int(watch.seen[w.S_WHY]) != w.NOT_YET


def _told(k: int, watch: w.Watch) -> bool:
    """Whether a run is broken down, or has had its duration and ends with a truck that only rocks on its tyres."""
    why = int(watch.seen[w.S_WHY])
    decided = _decided(watch) and why != w.BY_TIME and watch.seen[w.S_FELL] == 0.0
    return why == w.BY_ERROR or (decided and k > watch.rule[w.R_DURATION])
