"""The simulation loop: step the kernels and the world together, watch the ledger, keep the record."""

from __future__ import annotations

import time as clock
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from math import isfinite
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.endings import RULES
from tipline.engines.commands import notes as command_notes
from tipline.engines.prepare import Prepared, prepare
from tipline.engines.record import to_run
from tipline.engines.watching import watch_of, watched
from tipline.engines.world import World, load_pybullet
from tipline.errors import NumericalError
from tipline.kernels import layout as at
from tipline.kernels import reading
from tipline.kernels import watching as w
from tipline.kernels.compiled import compiled
from tipline.kernels.packed import pack
from tipline.scenario.spec import Scenario

if TYPE_CHECKING:
    from tipline.geometry.ground import ZoneLaw
    from tipline.results import Run, Watched
    from tipline.scenario.case import Case

__all__ = ["HALVINGS", "simulate"]

Array = NDArray[np.float64]

EXTEND_BY = 2.0
"""Time [s] by which a run that is not decided goes on at once (our choice)."""
FINEST = 1e-4
"""Shortest step [s], that of the files too (our choice)."""
HALVINGS = 2
"""How often a run that has broken down is run again with half the step."""
BREAKDOWNS = ("energy ledger", "state of the bodies", "speed of a body")
"""What a shorter step may mend."""


def simulate(
    case: Case,
    progress: Callable[[float], None] | None = None,
    losses: Array | None = None,
    zones: Sequence[ZoneLaw] | None = None,
    notes: Sequence[str] = (),
) -> Run:
    """Run a case to its duration; with losses on in steps of 2 s (to run.extend_to) while its ending is not decided.

    A run that breaks down is run again with half the step, twice at most, and its notes say so.

    losses: (4,) what springs give on the crest over each tip line [J] (see `statics.barrier.crest_losses`); left out,
    the energies left are told from a bound.

    zones: how the floor answers the tyres; left out, the zones of the floor file that say so themselves. notes: what a
    reader should know of them.

    Raises
    ------
    NumericalError
        The state became not finite, too fast, or the energy ledger did not close, with a quarter of the step too.
    InputError, MissingPart
        As in `prepare` and `load_pybullet`.
    """
    tried: list[tuple[float, NumericalError]] = []
    while True:
        try:
            return _simulate(case, progress, losses, zones, (*notes, *_mended(case.scenario, tried)))
        except NumericalError as error:
            if error.quantity not in BREAKDOWNS:
                raise
            tried.append((case.scenario.run.time_step, error))
        if len(tried) > HALVINGS or 0.5 * tried[-1][0] < FINEST:
            first = tried[0][1]
            too = " and ".join(_milliseconds(step) for step, _ in tried[1:])
            reason = f"{first.reason}; with a step of {too} it broke down too" if too else first.reason
            raise NumericalError(reason, time=first.time, quantity=first.quantity, remedy=first.remedy)
        case = _finer(case)


def _milliseconds(step: float) -> str:
    return f"{step * 1e3:.3g} ms"


def _mended(scenario: Scenario, tried: Sequence[tuple[float, NumericalError]]) -> tuple[str, ...]:
    """Say with which step a run was made after all."""
    if not tried:
        return ()
    steps, first = " and ".join(_milliseconds(step) for step, _ in tried), tried[0][1]
    now = _milliseconds(scenario.run.time_step)
    return (f"run with a time step of {now}: with {steps} it broke down ({first.quantity}: {first.reason})",)


def _finer(case: Case) -> Case:
    """Return the case with half the step, recorded as often as before."""
    run = case.scenario.run
    half = run.model_copy(update={"time_step": 0.5 * run.time_step, "record_every": 2 * run.record_every})
    return replace(case, scenario=case.scenario.model_copy(update={"run": half}))


def _simulate(
    case: Case,
    progress: Callable[[float], None] | None,
    losses: Array | None,
    zones: Sequence[ZoneLaw] | None,
    notes: Sequence[str],
) -> Run:
    """Run a case with its own step."""
    started = clock.perf_counter()
    load_pybullet()  # before the kernels are compiled, which takes a while
    prepared = prepare(case, zones=zones)
    prepared = replace(prepared, notes=(*prepared.notes, *command_notes(case.scenario), *notes))
    run = case.scenario.run
    with World(prepared, run.time_step) as world:
        loop = _Loop(prepared, world, losses)
        loop.advance_to(run.duration, progress)
        while losses is not None and not loop.decided and loop.time < run.extend_to - 1e-9:
            loop.advance_to(min(loop.time + EXTEND_BY, run.extend_to), progress)
        return to_run(prepared, loop.record[: loop.k], loop.watched(), clock.perf_counter() - started)


class _Loop:
    """One run under way."""

    def __init__(self, prepared: Prepared, world: World, losses: Array | None = None) -> None:
        self.prepared, self.world = prepared, world
        self.dt = prepared.case.scenario.run.time_step
        plant = prepared.build.plant
        steps = len(prepared.commands.table)
        self.record = np.zeros((steps, at.record_width(len(plant.tyre), len(plant.place))))
        self.k = 0
        self._state, self._wrench = np.zeros((reading.ROWS, 13)), np.zeros((6 + reading.CALLS // 2, 6))
        self._raw, self._calls = self._state[:6], self._wrench[6:].reshape(reading.CALLS, 3)
        packed = pack(plant, prepared.memory, watch_of(prepared, self.dt, losses))
        self._buffer, self._index, self._plant, self._memory, self.watch = packed
        self._look = int(self.watch.rule[w.R_LOOK])

    @property
    def time(self) -> float:
        """Time reached."""
        return self.k * self.dt

    @property
    def decided(self) -> bool:
        """Whether the ending is decided at the last step."""
        return int(self.watch.seen[w.S_WHY]) not in (w.NOT_YET, w.BY_TIME)

    def watched(self) -> Watched:
        """Return what was seen so far."""
        return watched(self.prepared, self.watch, self._plant.place, self._memory.depth, self.k, self.dt)

    def advance_to(self, end: float, progress: Callable[[float], None] | None) -> None:
        """Step until `end`."""
        table, world, state, wrench = self.prepared.commands.table, self.world, self._state, self._wrench
        step, buffer, index = compiled("packed_step"), self._buffer, self._index
        read, apply, advance, calls = world.read_joints, world.apply, world.step, self._calls
        first, record, dt, fastest = self.k, self.record, self.dt, 0.0
        last = min(round(end / self.dt) + 1, len(table))
        gravities = table[:, [at.K_GX, at.K_GY, at.K_GZ]]
        turns = {first, *(np.flatnonzero((np.diff(gravities, axis=0) != 0.0).any(axis=1)) + 1).tolist()}
        for begin, stop in pairwise(self._stretches(first, last, turns)):
            if begin in turns:
                world.set_gravity(gravities[begin])
            for k in range(begin, stop):
                read(state)
                fastest = step(k, dt, state, table, wrench, record, buffer, index)
                apply(calls)
                advance()
            self.k = stop
            if (stop - 1) % self._look == 0:
                self._watch(stop - 1, fastest)
                if progress is not None and (stop - 1) % (10 * self._look) == 0:
                    progress((stop - 1 - first) / max(last - first, 1))
        _refuse_nonsense(fastest, (self.k - 1) * dt)
        self.prepared.build.plant.place[:] = self._plant.place  # with what tyres opened

    def _stretches(self, first: int, last: int, turns: set[int]) -> list[int]:
        """Cut the steps where gravity turns, and after each step at which the ledger is looked at."""
        looks = range(first - first % self._look + 1, last, self._look)
        return sorted({first, last} | {k for k in {*turns, *looks} if first < k < last})

    def _watch(self, k: int, fastest: float) -> None:
        """Stop a run that has broken down."""
        _refuse_nonsense(fastest, k * self.dt)
        seen = self.watch.seen
        if seen[w.S_BROKEN] > 0.0:
            missing, through = float(seen[w.S_MISSING + w.LOOKS - 1]), float(seen[w.S_MOST])
            msg = f"{missing / 1e3:.3g} kJ unaccounted for, {through / 1e3:.3g} kJ went through"
            raise NumericalError(msg, time=k * self.dt, quantity="energy ledger", remedy=self._at_work(k))

    def _at_work(self, k: int) -> str:
        """Say which inputs were at work in the steps since the ledger last closed."""
        made, span = self.prepared.build, self.record[max(0, k - round(RULES.landing / self.dt) - self._look) : k + 1]
        one = 1 + 13 * at.N_BODY + at.N_TYRE_RECORD * len(made.tyres)
        places = span[:, one + at.N_SINGLE : one + at.N_SINGLE + len(made.plant.place)]
        commands = self.prepared.commands.table[max(0, k - len(span) + 1) : k + 1]
        work = {
            "a part of the truck strikes the floor (machine)": span[:, one + at.R_BODY_FORCE].any(),
            "the lifted load strikes the floor (load.mass, load.size)": span[:, one + at.R_LOAD_FLOOR].any(),
            "the lifted load lies free on the forks (load.on_forks)": span[:, one + at.R_SUPPORT].any(),
            "the floor sinks or breaks under tyres (floor, event)": np.ptp(places, axis=0).any(),
            "something is commanded (event)": np.ptp(commands, axis=0).any(),
        }
        told = [name for name, there in work.items() if there] or [
            "the truck rolls or rocks on its tyres (machine, setup)"
        ]
        return f"At that time {', '.join(told)}: change one of these, and report this with the input files"


def _refuse_nonsense(fastest: float, time: float) -> None:
    """Refuse a state that is not finite (nan) or too fast."""
    remedy = "Look for a mass, a size or a stiffness far from those of the rest (machine, load)"
    if not isfinite(fastest):
        msg = "not a finite number"
        raise NumericalError(msg, time=time, quantity="state of the bodies", remedy=remedy)
    if fastest > RULES.fastest:
        msg = f"{fastest:.3g} m/s or rad/s, beyond {RULES.fastest:g}"
        raise NumericalError(msg, time=time, quantity="speed of a body", remedy=remedy)
