"""What keeps the load up: the least change of each thing, held against single runs with just that setting."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from tipline.endings import LoadEnd, TruckEnd
from tipline.scenario import read
from tipline.scenario.case import Case
from tipline.sweeps.batch import run_batch
from tipline.sweeps.crew_changes import CHANGES, CrewLift
from tipline.sweeps.keeping_up import CLOSE, KeptUp, kept_up

BY_NAME = {change.name: change for change in CHANGES}
STOP = "pedal-lift-load-raised"


def ups(changes: Mapping[str, object]) -> bool:
    """Whether a run of the stop with other settings ends with the load up, by the words of its ending."""
    (ended,) = run_batch([read(STOP, changes, table=False)])
    return ended.truck in (TruckEnd.DOWN, TruckEnd.TOO_LIGHT, TruckEnd.TYRE_LIFTED, TruckEnd.TYRE_OFF) and (
        ended.lifted_load in (LoadEnd.KEPT, LoadEnd.SLID)
    )


@pytest.fixture(scope="module")
def stop() -> tuple[Case, KeptUp]:
    case = read(STOP, table=False)
    return case, kept_up([case], [1], 1.0)


@pytest.mark.slow
def test_the_least_change_is_where_single_runs_turn(stop: tuple[Case, KeptUp]) -> None:
    """At what is told the load stays up; nearer to what was, by two of the steps it is closed in to, it does not."""
    case, found = stop
    assert found.before == 0.0
    told = {one.name: one for one in found.changes if one.to is not None}
    assert {"height", "speed", "softer release"} <= set(told)
    for name, key in (("softer release", "event.0.deceleration"), ("speed", "setup.speed")):
        one = told[name]
        assert one.to is not None
        start = one.was[0]
        assert one.end < one.to < start
        assert ups({key: one.to})
        nearer = one.to + 0.1 * one.to + 2.0 * CLOSE * (start - one.end)  # what rounding and closing in leave
        assert not ups({key: min(nearer, start)})
        assert one.share == 1.0
        assert BY_NAME[name].has(CrewLift.of(case)) == pytest.approx(start)


@pytest.mark.slow
def test_what_is_not_there_is_not_tried_and_says_why(stop: tuple[Case, KeptUp]) -> None:
    _, found = stop
    why = {one.name: one.why_not for one in found.changes if one.why_not}
    assert why["slope"] == "the floor is level"
    assert why["eased lever"] == "nothing is lifted or lowered"
    assert "spreaders" in why
    assert found.pairs == ()  # a single one does


@pytest.mark.slow
def test_two_are_told_where_none_does_alone() -> None:
    """A pull that no slab, lower hook or shorter reach alone withstands: two do, and a run of its own says so."""
    case = read("side-pull-on-a-hung-load", {"event.0.force": "9.3 kN"}, table=False)
    found = kept_up([case], [1], 1.0)
    assert all(one.to is None for one in found.changes)
    assert found.pairs
    for pair in found.pairs:
        changes: dict[str, object] = {}
        for one, to in zip((pair.first, pair.second), pair.to, strict=True):
            changes |= BY_NAME[one.name].set_to(CrewLift.of(case), to)
        (ended,) = run_batch([read("side-pull-on-a-hung-load", {**case.source.changes, **changes}, table=False)])
        assert ended.truck not in (TruckEnd.OVER, TruckEnd.RESTING)
        assert pair.share == 1.0


def test_each_change_goes_only_farther_than_what_is_there() -> None:
    """Ballast of 2 slabs asked for 1 stays 2; a speed of 2 m/s held to 1.2 is 1.2; backwards it stays backwards."""
    case = read(STOP, {"setup.speed": -2.0}, table=False)
    assert BY_NAME["speed"].has(CrewLift.of(case)) == pytest.approx(2.0)
    assert BY_NAME["speed"].set_to(CrewLift.of(case), 1.2)["setup.speed"] == pytest.approx(-1.2)
    assert BY_NAME["slope"].has(CrewLift.of(case)) is None
    sloped = read(STOP, {"setup.slope": "3 deg", "setup.slope_towards": "90 deg"}, table=False)
    assert BY_NAME["slope"].set_to(CrewLift.of(sloped), 0.01) == {
        "setup.slope": 0.01, "setup.slope_towards": pytest.approx(1.5708, abs=1e-4),
    }  # fmt: skip


def test_plates_lie_one_under_each_tyre_and_apart() -> None:
    """On soft ground: four plates, each about its tyre's place, none over another, and the scenario reads with them."""
    case = read("slow-lean-on-soft-ground", table=False)
    assert BY_NAME["spreaders"].has(CrewLift.of(case)) == 0.0  # one lies elsewhere on this floor
    laid = read(case.source.name, BY_NAME["spreaders"].set_to(CrewLift.of(case), 0.02), table=False).floor.spreader
    assert len(laid) == len({sheet.name for sheet in laid}) == 4
    assert all(sheet.thickness == pytest.approx(0.02) for sheet in laid)
    ys = sorted(sheet.at[1] for sheet in laid)
    left, right = ys[2:], ys[:2]
    assert min(left) - max(right) > laid[0].size[1]
    assert max(sheet.at[0] for sheet in laid) - min(sheet.at[0] for sheet in laid) > laid[0].size[0]
    on_it = read("the-same-lift-on-spreaders", table=False)
    assert BY_NAME["spreaders"].has(CrewLift.of(on_it)) == pytest.approx(0.02)
    assert BY_NAME["spreaders"].set_to(CrewLift.of(on_it), 0.03) == {"floor.spreader.0.thickness": 0.03}
