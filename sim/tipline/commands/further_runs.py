"""The runs made beside a run: the cells of its table, draws within what is not known of it, and of its floor."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import inf, isfinite
from typing import TYPE_CHECKING

from tipline.children import cores
from tipline.commands.given import Progress
from tipline.errors import InputError, NumericalError
from tipline.results import COMPILED
from tipline.scenario import Case

if TYPE_CHECKING:
    from tipline.floors.modes.situation import Situation
    from tipline.geometry.ground import ZoneLaw
    from tipline.results import Run
    from tipline.runs.breaks import Breaks
    from tipline.runs.endings import Spread
    from tipline.runs.outcome import Outcome
    from tipline.runs.outcome_table import EndingTable

__all__ = ["breaks_of", "recorded_spread", "spread_of", "table_of"]

ABOVE = 1.02
_EVERY = 10
"""Every how many steps a run that is only outlined is recorded: 50 times a second."""
AFTER = 3.0
"""Time after the last event for which such a run goes on, unless its ending is decided later [s]."""


def table_of(case: Case, here: str, tell: Progress) -> EndingTable:
    """Run every cell of a case's table but the run itself, whose outcome is ``here``."""
    from tipline.floors.laws.of_floor import floor_laws
    from tipline.runs.outcome_table import outcome_table, same_inputs
    from tipline.sweeps.batch import run_batch

    outcomes, done, count = [], 0, sum(len(line) for line in case.cells)
    for line in case.cells:
        tell("simulating the table", done / count)
        others = [cell for cell in line if not same_inputs(cell, case)]
        # with the run's own step, so that a cell says what a run of its own would
        zones = [floor_laws(cell).zones for cell in others]
        ended = iter(run_batch(others, zones, dt=case.scenario.run.time_step, threads=cores()))
        outcomes.append([here if same_inputs(cell, case) else next(ended).truck for cell in line])
        done += len(line)
    return outcome_table(case, outcomes)


def spread_of(
    case: Case,
    outcome: Outcome,
    zones: Sequence[ZoneLaw],
    runs: int | None,
    tell: Progress,
    drawn: Callable[[int, int], None] | None = None,
) -> Spread | None:
    """Run the case within what is not known of lifted load, tyres, events and friction."""
    from tipline.sweeps import spread

    count, reason = spread.planned(case.scenario.run, runs)
    if count <= 0:
        return None
    return spread.spread(case, outcome, count, zones, reason, lambda part: tell("simulating the spread", part), drawn)


def recorded_spread(case: Case, count: int, tell: Progress) -> list[tuple[Run, bool]]:
    """Make the first ``count`` runs of a case's spread again and record them: each with whether its truck stayed up.

    Those that have no result are left out.
    """
    from tipline.floors.laws.of_floor import floor_laws
    from tipline.runs.endings import Ending
    from tipline.runs.outcome import outcome_of
    from tipline.sweeps.spread import drawn_case

    zones, runs = floor_laws(case).zones, []
    for index in range(count):
        tell("simulating the spread", index / count)
        drawn = drawn_case(case, index)
        if drawn is None:
            continue
        try:
            run = _recorded(drawn, zones)
        except (InputError, NumericalError):
            continue
        outcome = outcome_of(run, drawn.inputs)
        runs.append((run, Ending(outcome.truck).stayed_up))
    return runs


def _recorded(case: Case, zones: Sequence[ZoneLaw]) -> Run:
    """Record a run with the step that a spread's runs have, so that it ends as it did there."""
    from tipline import engines
    from tipline.engines.many import STEP
    from tipline.statics.barrier import crest_losses

    settings = case.scenario.run
    coarse = settings.model_copy(update={"time_step": STEP, "record_every": _EVERY})
    short = replace(case, scenario=case.scenario.model_copy(update={"run": coarse}), cells=())
    losses = crest_losses(case)
    try:
        return engines.simulate(short, losses=losses, zones=zones, engine=COMPILED)
    except NumericalError as error:
        if error.quantity != "time step":
            raise
        return engines.simulate(case, losses=losses, zones=zones, engine=COMPILED)


def breaks_of(
    case: Case, record: Run, zones: Sequence[ZoneLaw], met: Sequence[Situation], count: int, tell: Progress
) -> Breaks | None:
    """Run the case on floors drawn from what is not known, where the floor has parts that hold to a strength.

    A drawn floor whose every part is stronger than any tyre load of a run that broke nothing needs no run of its own.
    """
    from tipline import engines
    from tipline.runs import breaks
    from tipline.runs.outcome import outcome_of
    from tipline.runs.outcome_table import NO_RESULT
    from tipline.statics.barrier import crest_losses

    likely = breaks.weakest(zones)
    drawn = breaks.drawn_floors(case, count, met) if isfinite(likely) else []
    if not drawn:
        return None
    short = _short(case)
    here = outcome_of(record, case.inputs)
    enough, word = (inf, "") if breaks.broke_by_load(record) else (_most_load(record), here.truck)
    ended: dict[int, tuple[str, bool]] = {}
    lost: list[str] = []
    for done, index in enumerate(sorted(range(len(drawn)), key=lambda i: -drawn[i].strength)):
        tell("simulating the range of the floor's strength", done / len(drawn))
        if drawn[index].strength > ABOVE * enough:
            ended[index] = word, False
            continue
        try:
            run = engines.simulate(short, losses=crest_losses(short), zones=drawn[index].zones, engine=COMPILED)
        except NumericalError as error:
            ended[index] = NO_RESULT, False
            lost.append(error.reason)
            continue
        outcome, broke = outcome_of(run, short.inputs), breaks.broke_by_load(run)
        ended[index] = outcome.truck, broke
        if not broke and enough == inf:
            enough, word = _most_load(run), outcome.truck
    in_order = [ended[index] for index in range(len(drawn))]
    return breaks.breaks_of(drawn, in_order, here.truck, likely, demo=case.demo, lost=lost)


def _short(case: Case) -> Case:
    """Return the case with no more time than its events take and what follows at once; undecided runs are extended."""
    scenario = case.scenario
    last = max((getattr(event, "at", 0.0) for event in scenario.event), default=0.0)
    run = scenario.run.model_copy(update={"duration": min(scenario.run.duration, last + AFTER)})
    return replace(case, scenario=scenario.model_copy(update={"run": run}), cells=())


def _most_load(run: Run) -> float:
    """Return the greatest load of any tyre over a run [N]."""
    return float(max(run.series(f"tyre_load.{name}").max() for name in run.tyres))
