"""Many cases, one row of results each, by the compiled engine."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from threading import Lock
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.endings import LINES, SIDES, Decided, TruckEnd, leading
from tipline.engines.many import Rolled, Start, begun
from tipline.engines.resting import Lies
from tipline.errors import NumericalError
from tipline.kernels import watching as w
from tipline.kernels.compiled import compiled
from tipline.model.machine import Machine
from tipline.scenario.commanded import drives

if TYPE_CHECKING:
    from tipline.geometry.ground import ZoneLaw
    from tipline.scenario.case import Case

__all__ = ["BatchResult", "run_batch"]

Array = NDArray[np.float64]

_WHY = tuple(Decided)
_NAN = float("nan")
FEW, MANY = 2, 6
"""How few runs may be ready before more are made so, and how many then (our choice: more than one a thread)."""


@dataclass(frozen=True)
class BatchResult:
    """How one case of a batch ended.

    Attributes
    ----------
    truck, lifted_load, floor, lead : as in `Outcome`; all "no result" where the run broke down
    direction : the tip line that its weight is past at the end
    reason : why there is no result, else empty
    time : when the run was ended [s]; why : what ended it
    step : the time step it was run with [s]: shorter than asked for where it broke down with a longer one
    least_distance : of the balance point to each tip line [m], up to where there was no way back
    least_swing : the same to the two swing lines; empty where the steer axle does not pivot
    roll, pitch : least and most [rad], right side and front down positive
    peak_load, least_load : of each tyre [N]; steer_share : the least share of the tyre loads on the steer axle
    peak_depth : deepest place under each tyre that had one, or of each zone below the floor [m]
    ledger_error : energy missing as a share of what went through
    gone : how far a truck that was not to drive rolled or slid [m], nan where it was to, or fell
    lies : where truck and load lie at rest, where that was asked
    """

    truck: str
    lifted_load: str
    floor: str
    lead: str
    direction: str | None
    reason: str
    time: float
    why: str
    step: float
    least_distance: Mapping[str, float]
    least_swing: Mapping[str, float]
    roll: tuple[float, float]
    pitch: tuple[float, float]
    peak_load: tuple[float, ...]
    least_load: tuple[float, ...]
    steer_share: float
    peak_depth: Mapping[str, float]
    ledger_error: float
    gone: float = _NAN
    lies: Lies | None = None


Run = Callable[[], BatchResult]
"""Runs a case that is ready, and tells how it ended."""


def run_batch(
    cases: Sequence[Case],
    zones: Sequence[Sequence[ZoneLaw]] | None = None,
    dt: float | None = None,
    threads: int = 1,
    early: bool = True,
    rests: bool = False,
    start: Start | None = None,
) -> list[BatchResult]:
    """Run many cases; a case that breaks down costs itself only.

    Parameters
    ----------
    cases : read cases; neighbours that share machine, set-up and load share their assembly
    zones : how the floor answers in each case; left out, the zones of the floor files that say so themselves
    dt : time step [s], kept throughout; left out, 1 ms, or the case's own where a spring of the truck needs it, and up
        to 8 ms where what is commanded keeps its course and all moves smoothly; 2 ms where it is to go on to rest
    threads : how many runs at once; the results do not depend on it
    early : end a run before its duration once nothing is commanded any more and it is still or swings evenly
    rests : go on past the ending until nothing moves any more, and tell where all lies
    start : of runs before these, with the last of which the first may have truck and pose in common

    Raises
    ------
    InputError
        A case asks for what cannot be simulated.
    """
    laws = [None] * len(cases) if zones is None else list(zones)
    if len(laws) != len(cases):
        msg = f"{len(laws)} sets of floor zones for {len(cases)} cases"
        raise ValueError(msg)
    start = start or Start()
    begins = (partial(_begun, case, law, start, dt, early, rests) for case, law in zip(cases, laws, strict=True))
    if threads <= 1:
        return [begin()() for begin in begins]
    compiled("roll_out")
    stock, results = _Stock(begins), dict[int, BatchResult]()

    def work() -> None:
        for index, run in stock:
            results[index] = run()

    with ThreadPoolExecutor(threads) as pool:
        try:
            # threads take the next case by themselves: who waits for each result asks for Python's lock at each
            for worker in [pool.submit(work) for _ in range(threads)]:
                worker.result()
        finally:
            stock.close()
    return [results[index] for index in range(len(cases))]


class _Stock:
    """Runs that are ready to go, for threads to take, and made so several at a time by whichever thread finds few.

    Making ready is Python, a quarter of a run where the truck varies. Two threads that did it at once would hand
    Python's lock to and fro at each of some ninety places where numpy lets go of it; taking turns at each run, each
    would find all that Python works on in the other core.
    """

    def __init__(self, begins: Iterator[Callable[[], Run]]) -> None:
        self._begins, self._turn, self._over = enumerate(begins), Lock(), False
        self._ready: deque[tuple[int, Run]] = deque()

    def __iter__(self) -> Iterator[tuple[int, Run]]:
        """Give the index of a run and the run, to each thread others, until none is left."""
        while self._ready or not self._over:
            if len(self._ready) < FEW and not self._over and self._turn.acquire(blocking=not self._ready):
                try:
                    self._fill()
                finally:
                    self._turn.release()
            with suppress(IndexError):  # another thread has taken the last
                yield self._ready.popleft()

    def close(self) -> None:
        """Have nothing more begun."""
        self._over = True
        self._ready.clear()

    def _fill(self) -> None:
        while len(self._ready) < MANY and not self._over:
            index, begin = next(self._begins, (-1, None))
            if begin is None:
                self._over = True
            else:
                self._ready.append((index, begin()))


def _begun(
    case: Case, zones: Sequence[ZoneLaw] | None, start: Start, dt: float | None, early: bool, rests: bool
) -> Run:
    """Prepare a case; return what runs it and tells how it ended."""
    try:
        run = begun(case, zones, dt, early=early, rests=rests, start=start)
    except NumericalError as error:
        nothing = _nothing(str(error), case.machine)
        return lambda: nothing

    def told() -> BatchResult:
        try:
            return _result(run())
        except NumericalError as error:
            return _nothing(str(error), case.machine)

    return told


def _result(rolled: Rolled) -> BatchResult:
    """Tell how a run ended from what was seen of it."""
    seen, why = rolled.seen, _WHY[int(rolled.watch.seen[w.S_WHY])]
    if why == Decided.ERROR:
        least = f"with a step of {rolled.dt * 1e3:.3g} ms too"
        return _nothing(f"it broke down at {rolled.time:.3f} s, {least}", rolled.prepared.case.machine)
    swing = {side: seen.distance[f"swing.{side}"][0] for side in SIDES if f"swing.{side}" in seen.distance}
    return BatchResult(
        truck=seen.truck,
        lifted_load=seen.lifted_load,
        floor=seen.floor,
        lead=leading(seen.truck, seen.line, seen.lifted_load, seen.floor, held=seen.load_held),
        direction=seen.line or None,
        reason="",
        time=rolled.time,
        why=why.value,
        step=rolled.dt,
        least_distance={line: seen.distance[line][0] for line in LINES},
        least_swing=swing,
        roll=seen.roll,
        pitch=seen.pitch,
        peak_load=tuple(load for load, _ in seen.peak_load.values()),
        least_load=tuple(seen.lightest.values()),
        steer_share=seen.steer_share[0],
        peak_depth=seen.deepest,
        ledger_error=seen.ledger_error,
        gone=_NAN
        if drives(rolled.prepared.case.scenario) or seen.truck in (TruckEnd.OVER, TruckEnd.RESTING)
        else rolled.gone,
        lies=rolled.lies,
    )


def _nothing(reason: str, machine: Machine) -> BatchResult:
    """Tell of a case without a result."""
    word, tyres = (
        TruckEnd.NO_RESULT.value,
        (_NAN,) * (len(machine.drive_axle.tyre) + len(machine.steer_axle.tyre)),
    )
    return BatchResult(
        word, word, word, word, None, reason, _NAN, Decided.ERROR.value, _NAN, {}, {}, (_NAN,) * 2, (_NAN,) * 2,
        tyres, tyres, _NAN, {}, _NAN,
    )  # fmt: skip
