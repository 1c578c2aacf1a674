"""Runs that come down hard or break a floor in turn: each ends with an outcome, and its ledger closes at 1 ms.

Measured.

A tyre down in a hole stays down. The rim law is not applied to a strip that hangs over a wall or has been down in a
place: it lifted trucks out of holes with megajoules.
"""

from __future__ import annotations

import pytest

from tipline.engines import simulate
from tipline.floors.laws.of_floor import floor_laws
from tipline.results import Run
from tipline.runs.outcome import Outcome, outcome_of
from tipline.scenario import read
from tipline.scenario.case import Case
from tipline.statics.barrier import crest_losses
from trucks import FREE, case, hole


def ended(case: Case) -> tuple[Outcome, Run]:
    """How a case ends, and its run, which was not made with a shorter step than asked for."""
    result = simulate(case, losses=crest_losses(case), zones=floor_laws(case).zones)
    assert result.meta["time_step_s"] == 1e-3
    return outcome_of(result, case.inputs), result


@pytest.mark.slow
def test_a_second_tyre_that_breaks_through_to_peat_ends_over_with_a_ledger_that_closes() -> None:
    """Peat carries less than soft clay, so that the right tyre goes down after the left one and the truck over."""
    outcome, result = ended(read("second-tyre-fails-after-the-first", {"floor.zone.0.soil": "peat"}))
    assert (outcome.truck, outcome.floor) == ("over", "broke")
    assert result.meta["energy_error"] < 0.01


@pytest.mark.slow
@pytest.mark.parametrize("depth", [210, 300])
def test_a_load_that_lies_free_ends_with_an_outcome_over_a_deep_hole(depth: int) -> None:
    """The load comes off the forks, or not, while the truck comes down; what is missing stays below 1 %."""
    outcome, result = ended(case(FREE + hole("front-left", f"{depth} mm")))
    print(f"\n{depth} mm: {outcome}, ledger {result.meta['energy_error']:.2%}")
    assert outcome.truck != "undecided"
    assert result.meta["energy_error"] < 0.01
