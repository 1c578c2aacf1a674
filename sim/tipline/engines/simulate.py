"""A recorded run, in the engine asked for: to its duration, on while its ending is open, again where it broke down."""

from __future__ import annotations

import time as clock
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from importlib.util import find_spec
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.engines.commands import notes as command_notes
from tipline.engines.guards import refuse_impossible_bodies
from tipline.engines.loop import Loop
from tipline.engines.prepare import Prepared, prepare
from tipline.engines.record import to_run
from tipline.engines.rolled import Rolling
from tipline.engines.stepped import Stepped
from tipline.engines.world import World, load_pybullet
from tipline.errors import NumericalError
from tipline.results import COMPILED, PYBULLET
from tipline.units import MILLISECOND

if TYPE_CHECKING:
    from tipline.geometry.ground import ZoneLaw
    from tipline.results import Run
    from tipline.scenario.case import Case
    from tipline.scenario.spec import Scenario

__all__ = ["HALVINGS", "engine_of", "simulate"]

Array = NDArray[np.float64]

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
    engine: str = "",
) -> Run:
    """Run a case to its duration; with losses on (to run.extend_to) till its ending is decided and what fell lies.

    A run that breaks down is run again with half the step, twice at most, and its notes say so.

    losses: (4,) what springs give on the crest over each tip line [J] (see `statics.barrier.crest_losses`); left out,
    and where it is nan, the energies left are told from a bound.

    zones: how the floor answers the tyres; left out, the zones of the floor file that say so themselves. notes: what a
    reader should know of them. engine: "pybullet" or "compiled"; left out, pybullet where it is installed.

    Raises
    ------
    NumericalError
        The state became not finite, too fast, or the energy ledger did not close, with a quarter of the step too.
    InputError, MissingPart
        As in `prepare` and `engine_of`.
    """
    made_by = engine_of(engine)
    tried: list[tuple[float, NumericalError]] = []
    while True:
        try:
            return _simulate(case, progress, losses, zones, (*notes, *_mended(case.scenario, tried)), made_by)
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
    return f"{step / MILLISECOND:.3g} ms"


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


def engine_of(name: str) -> str:
    """Return the engine that is asked for, "" where nobody says: pybullet where it is installed, else the compiled one.

    Raises
    ------
    MissingPart
        pybullet is asked for and not installed.
    """
    if name == PYBULLET:
        load_pybullet()
    return name or (PYBULLET if find_spec(PYBULLET) is not None else COMPILED)


@contextmanager
def _loop(prepared: Prepared, losses: Array | None, engine: str) -> Iterator[Loop]:
    if engine == COMPILED:
        refuse_impossible_bodies(prepared.build, prepared.raw)
        yield Rolling(prepared, losses)
        return
    with World(prepared, prepared.case.scenario.run.time_step) as world:
        yield Stepped(prepared, world, losses)


def _simulate(
    case: Case,
    progress: Callable[[float], None] | None,
    losses: Array | None,
    zones: Sequence[ZoneLaw] | None,
    notes: Sequence[str],
    engine: str,
) -> Run:
    """Run a case with its own step."""
    started = clock.perf_counter()
    prepared = prepare(case, zones=zones)
    prepared = replace(prepared, notes=(*prepared.notes, *command_notes(case.scenario), *notes))
    run = case.scenario.run
    with _loop(prepared, losses, engine) as loop:
        loop.advance_to(run.duration, progress)
        if losses is not None:
            loop.run_out(run.extend_to, progress)
        return to_run(loop, clock.perf_counter() - started)
