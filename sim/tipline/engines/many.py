"""Many runs in compiled code, one after the other or at once, of which only the ending is asked: no row a step is kept.

Forces, bodies, joints and what is watched are those of a run that is recorded; at the same time step the motion is the
same. Where no step is asked for, several are taken at once where all moves smoothly (`kernels.pace`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import hypot
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from tipline.engines.prepare import Prepared, prepare
from tipline.engines.resting import Lies, lies
from tipline.engines.rolled import own_axes, state_of
from tipline.engines.simulate import HALVINGS
from tipline.engines.watching import watch_of, watched
from tipline.errors import NumericalError
from tipline.kernels import layout as at
from tipline.kernels import watching as w
from tipline.kernels.compiled import compiled
from tipline.kernels.packed import Pack, pack
from tipline.results import Watched

if TYPE_CHECKING:
    from tipline.geometry.ground import ZoneLaw
    from tipline.scenario.case import Case

__all__ = ["STEP", "Rolled", "Start", "begun"]

STEP = 1e-3
"""Time step [s] of these runs where none is asked for (our choice: that of a recorded one); shorter where a spring of
the truck needs it, up to eight times as long where what is commanded keeps its course and all moves smoothly."""
STEP_TO_REST = 2e-3
"""That [s] of one that goes on to rest, which keeps a row for each step (our choice)."""
SMOOTH = 1.5e-5
"""How far [m] changing accelerations may take a part aside within steps that are taken at once (our choice: a
seven-hundredth of what a tyre is pressed in; peak loads of nine kinds of case then lie within 1 % of single steps')."""
STRETCH = 0.5
"""Time [s] between two looks at whether a run that is to go on to rest is there (our choice: short beside a fall)."""


@dataclass(frozen=True)
class Rolled:
    """One run: its start, what it was watched by, what was seen, and where all lies if it was to go on to rest.

    gone : how far the floor's point below the drive axle's middle is from where it was at the start [m]
    """

    prepared: Prepared
    dt: float
    watch: w.Watch
    seen: Watched
    steps: int
    gone: float
    lies: Lies | None = None

    @property
    def time(self) -> float:
        """When it ended [s]."""
        return (self.steps - 1) * self.dt

    @property
    def stepped(self) -> int:
        """Steps that were stepped: those in which the truck only stands before anything begins are left out."""
        return self.steps - int(self.watch.seen[w.S_LEFT_OUT])


class Ready(NamedTuple):
    """A case that is ready to run, as often as is wanted: none of it is changed by a run.

    ``pack`` and ``state`` (ROWS, 13) [SI] may be made for a case before it with the same truck and pose, which a run
    steps copies of: what it is watched by and what is about to happen is its own.
    """

    prepared: Prepared
    watch: w.Watch
    pack: Pack
    state: NDArray[np.float64]

    def to_step(self, at_once: int) -> tuple[Pack, NDArray[np.float64]]:
        """Return all that a run steps on, in a buffer, by which so many steps may be taken at once, and its state.

        The state is (ROWS, 13) [SI].
        """
        packed = self.pack.copy()
        watch = packed.watch
        watch.rule[:], watch.waiting[:] = self.watch.rule, self.watch.waiting
        watch.rule[w.R_AT_ONCE] = at_once
        return packed, self.state.copy()

    def rows(self, count: int) -> NDArray[np.float64]:
        """Return rows of a record (count, columns) [SI], nothing in them."""
        plant = self.prepared.build.plant
        return np.zeros((count, at.record_width(len(plant.tyre), len(plant.place))))


class Start:
    """Makes cases ready to run, keeping the last: what follows from the same truck, pose or commands is taken.

    Threads may share it.
    """

    def __init__(self) -> None:
        self._last: Ready | None = None

    def prepare(self, case: Case, zones: Sequence[ZoneLaw] | None, dt: float, *, early: bool, goes_on: bool) -> Ready:
        """Prepare a case as `prepare` does, its commands in brief, with what `watch_of` has its run watched by."""
        last = self._last
        prepared = prepare(case, dt=dt, zones=zones, like=None if last is None else last.prepared, brief=True)
        like = last if last is not None and prepared.packed is last.prepared.packed else None
        watch = watch_of(
            prepared,
            dt,
            early=early,
            tells=False,
            smooth=SMOOTH,
            goes_on=goes_on,
            like=None if like is None else like.watch,
        )
        self._last = ready = _ready(prepared, watch, like)
        return ready


def _ready(prepared: Prepared, watch: w.Watch, like: Ready | None) -> Ready:
    """Pack what a run steps, or take it of another case with the same truck where its pose and shapes are the same."""
    if (
        like is not None
        and prepared.build is like.prepared.build
        and watch.swing is like.watch.swing
        and len(watch.waiting) == len(like.watch.waiting)
    ):
        return Ready(prepared, watch, like.pack, like.state)
    return Ready(prepared, watch, pack(own_axes(prepared.build.plant), prepared.memory, watch), state_of(prepared))


def begun(
    case: Case,
    zones: Sequence[ZoneLaw] | None = None,
    dt: float | None = None,
    *,
    early: bool = True,
    rests: bool = False,
    start: Start | None = None,
) -> Callable[[], Rolled]:
    """Prepare one case; return what runs it in compiled code.

    early : end it before its duration once nothing can change any more
    rests : go on past the ending, until nothing moves any more, and tell where truck and load lie; it is not early then

    A run that breaks down is run again with half the step, as often as one that is recorded. That step, and one that is
    asked for, is kept throughout.

    Raises
    ------
    NumericalError, InputError
        As in `prepare`; what runs it raises likewise, where it is prepared anew with a shorter step.
    """
    start, early = start or Start(), early and not rests
    usual = STEP_TO_REST if rests else STEP
    step = dt or usual
    try:
        ready = start.prepare(case, zones, step, early=early, goes_on=rests)
    except NumericalError as error:
        if dt is not None or error.quantity != "time step":
            raise
        step = min(case.scenario.run.time_step, usual)
        ready = start.prepare(case, zones, step, early=early, goes_on=rests)

    def run() -> Rolled:
        again, shorter = ready, step
        at_once = ready.prepared.packed.at_once if dt is None else 1
        rolled = _to_rest(again, shorter) if rests else _roll_out(again, shorter, at_once)
        for _ in range(HALVINGS):
            if int(rolled.watch.seen[w.S_WHY]) != w.BY_ERROR:
                break
            shorter *= 0.5
            again = start.prepare(case, zones, shorter, early=early, goes_on=rests)
            rolled = _to_rest(again, shorter) if rests else _roll_out(again, shorter, 1)
        return rolled

    return run


def _roll_out(ready: Ready, dt: float, at_once: int) -> Rolled:
    """Run until the ending is decided, by so many steps at once at most."""
    packed, steps = _stepped(ready, dt, at_once)
    seen = watched(ready.prepared, packed.watch, packed.places, packed.depth, steps, dt)
    return Rolled(ready.prepared, dt, packed.watch, seen, steps, _gone(packed))


def _stepped(ready: Ready, dt: float, at_once: int) -> tuple[Pack, int]:
    """Step a run to its end; return all that it was stepped on, and the steps."""
    packed, state = ready.to_step(at_once)
    row, last = ready.rows(1), int(packed.watch.rule[w.R_CAP]) + 1
    table, buffer, index = ready.prepared.commands.table, packed.buffer, packed.index
    steps, _ = compiled("roll_out")(0, last, dt, False, state, table, np.zeros((11, 6)), row, buffer, index)
    return packed, steps


def _to_rest(ready: Ready, dt: float) -> Rolled:
    """Run on until nothing moves, at most for as long as the run may take, with a row of the record for each step."""
    prepared, (packed, state), wrench = ready.prepared, ready.to_step(1), np.zeros((11, 6))
    table, buffer, index, watch = prepared.commands.table, packed.buffer, packed.index, packed.watch
    rule, seen = watch.rule, watch.seen
    last, stretch, k = int(rule[w.R_CAP]) + 1, max(1, round(STRETCH / dt)), 0
    record = ready.rows(last)
    while k < last and not (_decided(watch) and seen[w.S_REST] >= rule[w.R_QUIET]) and not _told(k, watch):
        k, _ = compiled("roll_out")(k, min(k + stretch, last), dt, False, state, table, wrench, record, buffer, index)
    first = min([*watch.waiting[:, w.W_STEP], *prepared.commands.changes, np.inf])
    states = record[:k, 1 : 1 + 13 * at.N_BODY].reshape(k, at.N_BODY, 13)
    ended = watched(prepared, watch, packed.places, packed.depth, k, dt)
    return Rolled(prepared, dt, watch, ended, k, _gone(packed), lies(prepared, states, dt, float(first)))


def _gone(packed: Pack) -> float:
    """Return how far it is from where it was at the start [m], as a recorded run is watched."""
    memory, watch = packed.memory, packed.watch
    below = memory.turn[at.CHASSIS] @ watch.outline[[w.O_X, w.O_Y, w.O_Z]]
    x, y = memory.state[at.CHASSIS, :2] + below[:2] - watch.seen[[w.S_START_X, w.S_START_Y]]
    return hypot(x, y)


def _decided(watch: w.Watch) -> bool:
    """Whether the ending is decided: what is still may be so before that, while something is yet to come."""
    return int(watch.seen[w.S_WHY]) != w.NOT_YET


def _told(k: int, watch: w.Watch) -> bool:
    """Whether a run is broken down, or has had its duration and ends with a truck that only rocks on its tyres."""
    why = int(watch.seen[w.S_WHY])
    decided = _decided(watch) and why != w.BY_TIME and watch.seen[w.S_FELL] == 0.0
    return why == w.BY_ERROR or (decided and k > watch.rule[w.R_DURATION])
