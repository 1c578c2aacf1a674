"""What a run asked of the floor, each tyre at its peak, against what was simulated and what is asked at rest."""

from __future__ import annotations

import json

import pytest

import tipline
from tipline.floors.laws.of_floor import floor_laws
from tipline.report import sections, summary, text

HOLDS = {"load.mass": "3.1 t", "run.duration": "3 s", "run.extend_to": "3 s"}
SLAB = "stop-with-the-load-up-breaks-a-slab"
LID = "driving-onto-a-trench-lid"


@pytest.fixture(scope="module")
def stopped() -> tipline.RunResult:
    return tipline.run(SLAB, HOLDS, spread=0, floor_spread=0)


@pytest.fixture(scope="module")
def broken() -> tipline.RunResult:
    return tipline.run(LID, {"run.extend_to": "4 s"}, spread=0, floor_spread=0)


@pytest.mark.slow
def test_each_tyre_is_asked_at_the_greatest_load_of_the_run(stopped: tipline.RunResult) -> None:
    found = stopped.report.floor_peaks
    assert {one.answer.tyre for one in found} == set(stopped.run.tyres)
    for one in found:
        loads = stopped.run.series(f"tyre_load.{one.answer.tyre}")
        assert one.answer.tyre_load == pytest.approx(loads.max())
        assert one.answer.tyre_load > 1.1 * loads[0] or one.answer.tyre.startswith("rear")
        assert stopped.run.time[loads.argmax()] == pytest.approx(one.time)
        assert one.answer.setup == "in the run"


def test_a_truck_that_only_stands_asks_what_its_pose_asks() -> None:
    result = tipline.run("the-same-lift-on-spreaders", {"run.duration": "1 s"}, spread=0, floor_spread=0)
    planned = result.report.pose.floor
    assert planned is not None
    for one in result.report.floor_peaks:
        alike = next(each for each in planned.answers if (each.tyre, each.mode) == (one.answer.tyre, one.answer.mode))
        assert one.answer.of_limit.high == pytest.approx(alike.of_limit.high, rel=0.05)
        assert one.answer.zone == alike.zone


@pytest.mark.slow
def test_a_tyre_at_the_load_at_which_the_floor_gave_way_asks_for_its_strength(broken: tipline.RunResult) -> None:
    """The lid lets go at the load that the law took from the same inputs; what happens in the trench is left out."""
    strength = next(law.strength for law in floor_laws(broken.case).zones if law.name == "cable trench")
    on_lid = [one for one in broken.report.floor_peaks if one.answer.zone == "cable trench"]
    assert on_lid
    first = min(place["at"] for place in broken.run.meta["places"])
    most = max(on_lid, key=lambda one: one.answer.tyre_load)
    assert most.time <= first + 2e-3
    assert most.answer.tyre_load == pytest.approx(strength, rel=0.15)
    assert most.answer.of_strength.likely == pytest.approx(most.answer.tyre_load / strength, rel=0.03)
    assert broken.run.series(f"tyre_load.{most.answer.tyre}").max() > 1.5 * strength


@pytest.mark.slow
def test_page_and_summary_tell_it_and_limits_exceeded_in_the_run_are_named(stopped: tipline.RunResult) -> None:
    told = text.page_text(sections.run_page(stopped.report), 200)
    assert "What each tyre put on the floor in the run" in told
    worst = stopped.report.floor_peaks[0].answer
    assert worst.exceeds
    assert f"on the floor, in the run: {worst.short}" in stopped.report.exceeded
    rows = json.loads(summary.text(summary.run_summary(stopped.report)))["floor_peaks"]
    assert [row["tyre"] for row in rows] == [one.answer.tyre for one in stopped.report.floor_peaks]
    assert rows[0]["of_planning_limit"]["high"] == pytest.approx(worst.of_limit.high)
    assert rows[0]["of_expected_strength"]["likely"] == pytest.approx(worst.of_strength.likely)
    assert rows[0]["tyre_load_kN"] == pytest.approx(worst.tyre_load / 1e3)


def test_a_rigid_floor_is_asked_nothing() -> None:
    settings = {"run.duration": "1.2 s", "run.extend_to": "1.2 s"}
    assert tipline.run("service-stop-load-low", settings, spread=0).report.floor_peaks == ()
