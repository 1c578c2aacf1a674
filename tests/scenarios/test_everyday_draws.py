"""Everyday scenarios nobody chose, drawn over trucks, floors, set-ups, loads and events: each run has an outcome."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from everyday import EVENTS, FLOORS, SHIPPED, Drawn, draw

from tipline import engines
from tipline.errors import InputError, NumericalError
from tipline.floors.laws.of_floor import floor_laws
from tipline.model.shipped import list_shipped
from tipline.runs.outcome import outcome_of
from tipline.scenario import Case, read
from tipline.statics.barrier import crest_losses
from tipline.sweeps.batch import run_batch

SEED = 20011
"""Any other serves as well: what is drawn is not chosen."""
BROKE_DOWN = [
    *(draw(SEED + 1, index) for index in (188, 467)),
    draw(23, 378),
    draw(32, 774),
    *(draw(31, index) for index in (325, 588, 792, 962, 1190)),
    *(draw(42, index) for index in (63, 890)),
]
"""Draws that had no outcome once, in the order of their engines."""


def alone(case: Case) -> str:
    """Run a case in pybullet; return what it broke down with, empty where it has an outcome."""
    try:
        run = engines.simulate(case, losses=crest_losses(case), zones=floor_laws(case, compiled=True).zones)
    except NumericalError as error:
        return str(error)
    return "" if outcome_of(run, case.inputs).truck else "no word"


def in_a_batch(case: Case) -> str:
    """Run a case in the compiled engine, likewise."""
    try:
        found = run_batch([case], [floor_laws(case, compiled=True).zones])[0]
    except NumericalError as error:
        return str(error)
    return found.reason if found.truck == "no result" else ""


def broken(draws: list[Drawn], folder: Path) -> tuple[list[str], Counter[str]]:
    """Run draws, every fourth one in pybullet, the others compiled; return what broke down, and counts."""
    told, counts = [], Counter[str]()
    for index, one in enumerate(draws):
        try:
            case = read(one.written(folder))
            how = in_a_batch if index % 4 else alone
            error = how(case)
        except InputError as refused:
            counts["refused"] += 1
            told += [f"{one}: {refused}"] if counts["refused"] > len(draws) // 10 else []
            continue
        counts[how.__name__] += 1
        if error:
            told.append(f"{one} ({how.__name__}): {error}")
    return told, counts


@pytest.mark.slow
def test_the_draws_reach_every_truck_floor_and_event() -> None:
    draws = [draw(SEED, index) for index in range(500)]
    assert {one.machine for one in draws} == set(list_shipped()["machine"])
    assert {one.ground for one in draws} == {*SHIPPED, *FLOORS}
    assert {kind for one in draws for kind in one.events} == set(EVENTS)
    assert draws[7] == draw(SEED, 7)


@pytest.mark.slow
def test_a_dozen_everyday_runs_have_an_outcome(tmp_path: Path) -> None:
    told, counts = broken([draw(SEED, index) for index in range(12)], tmp_path)
    assert told == []
    assert counts["alone"] > 1
    assert counts["in_a_batch"] > 5


@pytest.mark.slow
def test_a_hundred_and_twenty_everyday_runs_have_an_outcome(tmp_path: Path) -> None:
    """The first of 500, and those that broke down: a tyre that yawed in a hole, one in three ruts; one that drove
    backward onto a mat in the rut of another, which took that rut along while this one climbed out of it; two that
    rolled onto a threshold on soft ground, which their ruts ate up; three on the border of soft ground and firm, whose
    tyres were let go by an end of their rut that went on; twins that turned, each over an end of the other's rut; a
    slab that broke below a threshold; and soft ground in such a slab, where a hole not deep yet held before it.
    """
    told, counts = broken([*(draw(SEED + 1, index) for index in range(120)), *BROKE_DOWN], tmp_path)
    assert told == []
    assert counts["refused"] < 12
