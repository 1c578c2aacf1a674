"""Every shipped scenario ends as it says, and its neighbour, a small step away, ends otherwise."""

from __future__ import annotations

import functools
import re
from collections.abc import Mapping
from dataclasses import replace

import pytest

import tipline
from few import slow_but
from shipped_runs import shipped_run
from tipline import engines
from tipline.floors.laws.of_floor import floor_laws
from tipline.model.shipped import find, list_shipped
from tipline.runs.met import never_met
from tipline.runs.outcome import Outcome, outcome_of
from tipline.runs.outcome_table import outcome_table
from tipline.scenario import Case, read
from tipline.scenario.spec import Expect, Neighbour
from tipline.statics.barrier import crest_losses
from tipline.sweeps.batch import BatchResult, run_batch

NAMES = list_shipped()["scenario"]
HIGH = "front-tyre-breaks-through-load-high"
SOME = slow_but(NAMES, HIGH, "service-stop-load-low", "floor-falls-sideways", "free-load-slides-on-the-forks")
"""The fast set has the endings of all of them by the compiled engine (`tests/sweeps/test_batch.py`)."""
SIDES = {"left": "right", "right": "left"}
MIRRORED: dict[str, dict[str, str]] = {
    HIGH: {"event.0.under": '["front-right"]'},
    "rear-tyre-breaks-through": {"event.0.under": '["rear-right"]'},
    "front-tyre-sinks-in-soft-ground": {
        "event.0.under": '["front-right"]',
        "load.centre_offset": '["0 m", "-0.1 m"]',
    },
    "floor-falls-sideways": {"event.0.towards": "-90 deg"},
    "floor-falls-diagonally": {"event.0.towards": "-45 deg"},
    "side-pull-on-a-hung-load": {"event.0.direction": "-90 deg"},
}


FACTORY: list[pytest.TempPathFactory] = []


@pytest.fixture(scope="module", autouse=True)
def _factory(tmp_path_factory: pytest.TempPathFactory) -> None:
    FACTORY[:] = [tmp_path_factory]


@functools.cache
def the_case(name: str) -> Case:
    return read(name)


@functools.cache
def played(name: str, changes: tuple[tuple[str, str], ...] = ()) -> tuple[Outcome, tuple[str, ...]]:
    """Run a scenario, without its table, and return how it ended, and what it never met.

    Each set of changes is run once a session.
    """
    case = replace(read(name, dict(changes)), cells=())
    neighbour = tuple(neighbour_of(name).set.items())
    if changes in ((), neighbour):
        run = shipped_run(FACTORY[0], name, neighbour=changes == neighbour)
    else:
        run = engines.simulate(case, losses=crest_losses(case), zones=floor_laws(case).zones)
    return outcome_of(run, case.inputs), never_met(run, case.inputs, case.floor, None)


def ending(name: str, changes: tuple[tuple[str, str], ...] = ()) -> Outcome:
    """Return how a scenario ended."""
    return played(name, changes)[0]


def expect_of(name: str) -> Expect:
    expect = the_case(name).scenario.expect
    assert expect is not None, f"{name} does not say what is expected"
    return expect


def neighbour_of(name: str) -> Neighbour:
    neighbour = expect_of(name).neighbour
    assert neighbour is not None, f"{name} has no neighbour"
    return neighbour


def differences(stated: Expect | Neighbour, found: Outcome | BatchResult) -> list[str]:
    """Name what is stated and came out otherwise."""
    parts = ("truck", "lifted_load", "floor", "lead", "direction")
    told = {part: getattr(stated, part, None) for part in parts}
    return [
        f"{part}: expected {value!r}, got {getattr(found, part)!r}"
        for part, value in told.items()
        if value is not None and value != getattr(found, part)
    ]


def test_there_are_enough_of_them_and_they_use_every_truck() -> None:
    assert len(NAMES) >= 12
    assert {the_case(name).machine.name for name in NAMES} == {"demo-truck-a", "demo-truck-b", "demo-truck-c"}
    titles = [the_case(name).scenario.title for name in NAMES]
    assert len(set(titles)) == len(titles)


@pytest.mark.parametrize("name", NAMES)
def test_says_that_it_is_invented_and_why_it_ends_so(name: str) -> None:
    text = find("scenario", name)[0].read_text(encoding="utf-8")
    assert "invented" in text
    assert the_case(name).demo
    for because in (expect_of(name).because, neighbour_of(name).because):
        assert re.search(r"\d", because), f"no number in: {because}"
        assert len(because) > 60, because


@pytest.mark.parametrize("name", SOME)
def test_ends_as_stated(name: str) -> None:
    assert differences(expect_of(name), ending(name)) == []


@pytest.mark.parametrize("name", SOME)
def test_meets_all_that_it_has(name: str) -> None:
    assert played(name)[1] == ()
    assert played(name, tuple(neighbour_of(name).set.items()))[1] == ()


@pytest.mark.parametrize("name", SOME)
def test_neighbour_ends_as_stated_and_otherwise(name: str) -> None:
    neighbour = neighbour_of(name)
    found = ending(name, tuple(neighbour.set.items()))
    assert differences(neighbour, found) == []
    own = ending(name)
    assert (found.truck, found.lifted_load) != (own.truck, own.lifted_load)


@pytest.mark.parametrize("name", NAMES)
def test_neighbour_is_one_setting_15_to_20_percent_away(name: str) -> None:
    (key, value), *others = neighbour_of(name).set.items()
    assert others == []
    own = float(the_case(name).resolved[key]["si"])
    there = float(read(name, {key: value}).resolved[key]["si"])
    assert 0.15 - 1e-9 <= abs(there / own - 1.0) <= 0.20 + 1e-9, f"{key} changes by {there / own - 1.0:+.1%}"


@pytest.mark.parametrize("name", slow_but(MIRRORED, HIGH))
def test_mirrored_scene_ends_mirrored(name: str) -> None:
    own, mirrored = ending(name), ending(name, tuple(MIRRORED[name].items()))
    assert (mirrored.truck, mirrored.lifted_load, mirrored.floor) == (own.truck, own.lifted_load, own.floor)
    assert mirrored.direction == SIDES.get(own.direction or "", own.direction)


@pytest.mark.slow
def test_table_says_what_the_run_says_and_what_its_cells_say() -> None:
    case = read(HIGH)
    result = tipline.run(case, spread=0)
    table = result.report.outcome_table
    assert table is not None
    assert (table.row.key, table.column.key) == ("event.0.depth", "setup.hook_height")
    assert table.row.values == pytest.approx((0.080, 0.100, 0.118, 0.140))
    assert table.this == (2, 2)
    assert table.outcomes[2][2] == result.report.outcome.truck == "over"
    low = ending(HIGH, (("event.0.depth", "140 mm"), ("setup.hook_height", "3 m")))
    assert table.outcomes[3][0] == low.truck
    over = [[word == "over" for word in line] for line in table.outcomes]
    assert any(map(any, over))
    assert not all(map(all, over))
    for column in zip(*over, strict=True):
        assert list(column) == sorted(column), "a deeper hole is held where a shallower one is not"


def test_table_marks_no_cell_when_the_run_is_none_of_them() -> None:
    case = read(HIGH, {"load.mass": "4.4 t"})
    outcomes = [["down"] * len(line) for line in case.cells]
    assert outcome_table(case, outcomes).this == (2, 2), "cells share every other change"
    moved = read(HIGH, {"event.0.depth": "97 mm"})
    assert outcome_table(moved, outcomes).this is None


def compiled_ending(name: str, changes: Mapping[str, object], step: float) -> BatchResult:
    """Run a scenario to its duration in the compiled engine, which at a step moves as pybullet does."""
    case = replace(read(name, dict(changes)), cells=())
    return run_batch([case], [floor_laws(case).zones], dt=step, early=False)[0]


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_half_the_time_step_ends_the_same(name: str) -> None:
    for stated, changes in ((expect_of(name), {}), (neighbour_of(name), neighbour_of(name).set)):
        assert differences(stated, compiled_ending(name, changes, 0.5e-3)) == []


@pytest.mark.slow
@pytest.mark.parametrize("name", [name for name in NAMES if "event.0.depth" in the_case(name).resolved])
@pytest.mark.parametrize("factor", [0.98, 1.02])
def test_two_percent_of_depth_change_nothing(name: str, factor: float) -> None:
    for stated, changes in ((expect_of(name), {}), (neighbour_of(name), neighbour_of(name).set)):
        depth = float(read(name, changes).resolved["event.0.depth"]["si"]) * factor
        found = compiled_ending(name, {**changes, "event.0.depth": f"{depth * 1e3:.2f} mm"}, 1e-3)
        assert found.truck == stated.truck
