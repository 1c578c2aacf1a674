"""The simulation loop: step the kernels and the world together, watch the ledger, keep the record."""

from __future__ import annotations

import time as clock
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from math import atan2, ceil, cos, inf, isfinite, sin
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.endings import RULES
from tipline.engines.commands import notes as command_notes
from tipline.engines.prepare import Prepared, fill_place, prepare
from tipline.engines.record import to_run
from tipline.engines.world import World, load_pybullet
from tipline.errors import NumericalError
from tipline.kernels import layout as at
from tipline.kernels import reading
from tipline.kernels.compiled import compiled
from tipline.kernels.packed import pack
from tipline.scenario.spec import Scenario

if TYPE_CHECKING:
    from tipline.geometry.ground import ZoneLaw
    from tipline.results import Run
    from tipline.scenario.case import Case

__all__ = ["HALVINGS", "Decide", "simulate"]

Array = NDArray[np.float64]
Decide = Callable[["Run"], bool]
"""Told the run so far; answers whether its ending is decided."""

WATCH_EVERY = 20
EXTEND_BY = 2.0
FINEST = 1e-4
"""Shortest step [s], that of the files too."""
HALVINGS = 2
"""How often a run that has broken down is run again with half the step."""
BREAKDOWNS = ("energy ledger", "state of the bodies", "speed of a body")
"""What a shorter step may mend."""


def simulate(
    case: Case,
    progress: Callable[[float], None] | None = None,
    decided: Decide | None = None,
    zones: Sequence[ZoneLaw] | None = None,
    notes: Sequence[str] = (),
) -> Run:
    """Run a case to its duration, and on in steps of 2 s (to run.extend_to) while its ending is not decided.

    A run that breaks down is run again with half the step, twice at most, and its notes say so.

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
            return _simulate(case, progress, decided, zones, (*notes, *_mended(case.scenario, tried)))
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
    decided: Decide | None,
    zones: Sequence[ZoneLaw] | None,
    notes: Sequence[str],
) -> Run:
    """Run a case with its own step."""
    started = clock.perf_counter()
    load_pybullet()  # before the kernels are compiled, which takes a while
    prepared = prepare(case, zones=zones)
    prepared = replace(prepared, notes=(*prepared.notes, *command_notes(case), *notes))
    run = case.scenario.run
    with World(prepared, run.time_step) as world:
        loop = _Loop(prepared, world)
        loop.advance_to(run.duration, progress)
        result = to_run(prepared, loop.record[: loop.k], loop.ledger_error, clock.perf_counter() - started)
        while decided is not None and not decided(result) and loop.time < run.extend_to - 1e-9:
            loop.advance_to(min(loop.time + EXTEND_BY, run.extend_to), progress)
            result = to_run(prepared, loop.record[: loop.k], loop.ledger_error, clock.perf_counter() - started)
    return result


class _Loop:
    """One run under way."""

    def __init__(self, prepared: Prepared, world: World) -> None:
        self.prepared, self.world = prepared, world
        self.dt = prepared.case.scenario.run.time_step
        plant = prepared.build.plant
        steps = len(prepared.commands.table)
        self.record = np.zeros((steps, at.record_width(len(plant.tyre), len(plant.place))))
        self.k, self.ledger_error = 0, 0.0
        self._state, self._wrench = np.zeros((reading.ROWS, 13)), np.zeros((6 + reading.CALLS // 2, 6))
        self._raw, self._calls = self._state[:6], self._wrench[6:].reshape(reading.CALLS, 3)
        self._buffer, self._index, self._plant, _ = pack(plant, prepared.memory)
        self._start = 0.0
        self._missing = deque([0.0], maxlen=max(2, ceil(RULES.landing / (WATCH_EVERY * self.dt))))
        self._most = 0.0
        self._waiting: dict[int, list[int]] = {
            round(order.at / self.dt): [] for order in prepared.orders if order.where is None and order.at < inf
        }
        for index, order in enumerate(prepared.orders):
            if order.where is None and order.at < inf:
                self._waiting[round(order.at / self.dt)].append(index)

    @property
    def time(self) -> float:
        """Time reached."""
        return self.k * self.dt

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
            if begin in self._waiting:
                self._open_places(begin)
            if begin in turns:
                world.set_gravity(gravities[begin])
            for k in range(begin, stop):
                read(state)
                fastest = step(k, dt, state, table, wrench, record, buffer, index)
                apply(calls)
                advance()
            self.k = stop
            if (stop - 1) % WATCH_EVERY == 0:
                self._watch(stop - 1, fastest)
                if progress is not None and (stop - 1) % 200 == 0:
                    progress((stop - 1 - first) / max(last - first, 1))
        _refuse_nonsense(fastest, (self.k - 1) * dt)
        self.prepared.build.plant.place[:] = self._plant.place  # with what tyres opened

    def _stretches(self, first: int, last: int, turns: set[int]) -> list[int]:
        """Cut the steps where something begins, where gravity turns, and after each step to be watched."""
        watched = range(first - first % WATCH_EVERY + 1, last, WATCH_EVERY)
        return sorted({first, last} | {k for k in {*self._waiting, *turns, *watched} if first < k < last})

    def _open_places(self, k: int) -> None:
        """Put the places that begin now under their tyres, square to the wheel."""
        for index in self._waiting[k]:
            order = self.prepared.orders[index]
            x, y, heading = self._tyre_place(order.tyre)
            x, y = x - order.aside * sin(heading), y + order.aside * cos(heading)
            for plant in (self._plant, self.prepared.build.plant):  # what is stepped, and what is told
                fill_place(plant, index, order, x, y, heading)

    def _tyre_place(self, tyre: int) -> tuple[float, float, float]:
        """Return where a tyre stands now and which way it points (world)."""
        from tipline.kernels.vector import quaternion_product, rotation

        plant = self.prepared.build.plant
        row = plant.tyre[tyre]
        body = int(row[at.T_BODY])
        raw, q, turn = np.zeros((6, 13)), np.empty(4), np.zeros((3, 3))
        self.world.read(raw)
        quaternion_product(raw[body, 3:7], plant.frame[body], q)
        rotation(q, turn)
        hub = raw[body, :3] + turn @ row[at.T_X : at.T_Z + 1]
        return float(hub[0]), float(hub[1]), atan2(-turn[0, 1], turn[1, 1])

    def _watch(self, k: int, fastest: float) -> None:
        """Stop a run that has broken down; the ledger is looked at on two looks apart in time, never twice on one."""
        _refuse_nonsense(fastest, k * self.dt)
        self._audit(k)

    def _audit(self, k: int) -> None:
        kinetic, height, elastic, dissipated, work, floor = self.record[k, -6:].tolist()
        total = kinetic + height + elastic + dissipated + floor - work
        if k == 0:
            self._start = total
        through = kinetic + abs(work) + dissipated + abs(floor)
        self._most = max(self._most, through)
        missing = abs(total - self._start)
        allowed = RULES.ledger_floor + RULES.ledger_share * self._most
        # the loss of a landing is booked a step late: while a body strikes the floor the ledger stands open
        self._missing.append(missing)
        lasting = min(self._missing)
        self.ledger_error = max(self.ledger_error, lasting / max(self._most, RULES.ledger_floor / RULES.ledger_share))
        if not isfinite(total) or lasting > allowed:
            msg = f"{missing / 1e3:.3g} kJ unaccounted for, {self._most / 1e3:.3g} kJ went through"
            raise NumericalError(msg, time=k * self.dt, quantity="energy ledger", remedy=self._at_work(k))

    def _at_work(self, k: int) -> str:
        """Say which inputs were at work in the steps since the ledger last closed."""
        made, span = self.prepared.build, self.record[max(0, k - round(RULES.landing / self.dt) - WATCH_EVERY) : k + 1]
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
