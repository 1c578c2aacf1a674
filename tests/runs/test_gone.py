"""A truck that stays on its tyres and does not stay where it was to stand says so first, wherever its ending is told.

How far is by other routes: the way by hand from its forces or its speed, what it was told to drive by kinematics.
"""

from __future__ import annotations

from math import isnan, radians

import numpy as np
import pytest

from tipline.endings import also
from tipline.engines import simulate
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.report import sections, summary
from tipline.report.at_end import end_tables
from tipline.report.spread import neighbour, within_range
from tipline.results import COMPILED, PYBULLET
from tipline.runs.assessment import RunReport, assess_run
from tipline.runs.at_end import SEEN
from tipline.runs.endings import Ending
from tipline.runs.outcome import seen_of
from tipline.statics.barrier import crest_losses
from tipline.sweeps.batch import run_batch
from tipline.sweeps.spread import spread
from trucks import case

EMPTY = """
title = "empty"
machine = "demo-truck-a"
floor = "demo-hall-a"
[setup]
counterweight_extension = "0.4 m"
ballast_slabs = 2
attachment = "forks"
fork_height = "0.3 m"
[run]
duration = "5 s"
"""
Reports = dict[str, RunReport]


def turns(slope: str, towards: str, at: str = "1 s") -> str:
    return (
        f'[[event]]\nat = "{at}"\nkind = "floor_turns"\nslope = "{slope}"\ntowards = "{towards}"\nover = "1 s"\n'
    )  # fmt: skip


STOP = '[[event]]\nat = "1 s"\nkind = "service_stop"\ndeceleration = "6 m/s2"\n'


def ended(events: str, speed: str = "0 m/s", engine: str = COMPILED) -> RunReport:
    driven = case(EMPTY + events, {"setup.speed": speed})
    return assess_run(simulate(driven, losses=crest_losses(driven), engine=engine), driven)


@pytest.fixture(scope="module")
def reports() -> Reports:
    return {
        "away": ended(turns("32 deg", "180 deg")),
        "held": ended(turns("10 deg", "0 deg")),
        "left": ended(turns("20 deg", "90 deg")),
        "right": ended(turns("20 deg", "-90 deg")),
        "stop": ended(STOP, "2.5 m/s"),
        "stopped, then away": ended(STOP + turns("20 deg", "180 deg", "3 s"), "1 m/s"),
        "driven uphill": ended(turns("32 deg", "180 deg"), "1 m/s"),
        "driven": ended("", "1 m/s"),
    }


def test_an_empty_truck_that_slides_down_its_floor_says_so_in_every_place(reports: Reports) -> None:
    """Its brake locks the drive tyres, which slide, and the steer axle rolls: what is left of gravity is its way."""
    report = reports["away"]
    run, gone = report.run, report.outcome.gone
    assert gone is not None
    slope = radians(32) * np.clip(run.time - 1.0, 0.0, 1.0)
    front = run.series("tyre_load.front-left") + run.series("tyre_load.front-right")
    pull = np.maximum(0.0, G * np.sin(slope) - 0.65 * front * G / report.weight)
    step = np.diff(run.time, prepend=0.0)
    way = np.cumsum(np.cumsum(pull * step) * step)
    assert gone.far == pytest.approx(way[-1], rel=0.03)
    assert gone.since == pytest.approx(run.time[np.argmax(way > 0.05)], abs=0.05), "tyres give before they slide"
    words = f"rolls away: {gone.far:.3g} m by the end"
    assert report.heading == f"The truck stays on its tyres and {words}"
    assert sections.ended(report.outcome)[0] == ("truck", f"stayed on its tyres and {words.replace('rolls', 'rolled')}")
    assert summary.run_summary(report)["outcome"]["heading"] == report.heading
    assert (gone.since, f"the truck rolls or slides, {gone.far:.3g} m by the end") in report.events
    end = dict(row[:2] for row in end_tables(report.at_end, "si")[0].rows)
    assert end["gone since the start"] == f"{gone.far:.3g} m back"
    assert end["still moves"].startswith("yes, at ")
    assert "still" not in seen_of(run).decided


def test_limits_of_a_set_up_are_left_out_beside_a_truck_that_rolled_away(reports: Reports) -> None:
    page = sections.run_page(reports["away"])
    titles = [getattr(section, "title", "") for section in page.sections]
    assert "This run went beyond the limits of the set-up" in titles
    assert "This holds only while" not in titles


def test_both_engines_say_the_same(reports: Reports) -> None:
    pytest.importorskip("pybullet")
    assert ended(turns("32 deg", "180 deg"), engine=PYBULLET).heading == reports["away"].heading


def test_a_truck_that_its_brake_holds_or_that_is_driven_has_not_rolled_away(reports: Reports) -> None:
    for name in ("held", "driven"):
        assert reports[name].outcome.gone is None
        assert reports[name].heading == "The truck stays on its tyres"
    assert reports["held"].at_end.truck.at_rest
    assert reports["driven"].at_end.truck.moved[0] == pytest.approx(5.0, rel=0.02)


def test_a_truck_that_slides_aside_is_told_aside_on_both_sides_alike(reports: Reports) -> None:
    left, right = (reports[side].outcome.gone for side in ("left", "right"))
    assert left is not None
    assert right is not None
    assert left.far == pytest.approx(right.far, abs=1e-4)
    words = f"slides {1e3 * left.far:.1f} mm aside"
    assert {reports[side].heading for side in ("left", "right")} == {
        f"The truck ends with a tyre off the floor and {words}"
    }


def test_a_stop_that_slides_says_how_far_past_where_the_truck_was_to_stand(reports: Reports) -> None:
    """Told 6 m/s2 with a rise of 0.3 s, 2.5 m/s are gone after 0.15 s + 2.5 / 6 s; the rest of its way is the slide."""
    report = reports["stop"]
    gone, run = report.outcome.gone, report.run
    assert gone is not None
    late = run.time >= 1.0 + 0.5 * 0.3 + 2.5 / 6.0
    assert gone.far == pytest.approx(float(np.trapezoid(run.series("speed")[late], run.time[late])), abs=0.02)
    assert report.heading == f"The truck stays on its tyres and rolls or slides {1e3 * gone.far:.0f} mm"
    assert report.at_end.truck.speed < SEEN


def test_a_truck_that_drove_stopped_and_then_rolls_is_told_from_its_stop_on(reports: Reports) -> None:
    report = reports["stopped, then away"]
    gone = report.outcome.gone
    assert gone is not None
    assert 3.0 < gone.since < 4.5
    stood = report.run.series("tyre_contact_x.front-left")[report.run.at(2.9)]
    end = report.run.series("tyre_contact_x.front-left")[-1]
    assert gone.far == pytest.approx(stood - end, abs=0.05)
    assert report.heading.startswith("The truck stays on its tyres and rolls away: ")


def test_a_truck_that_is_driven_uphill_and_carried_down_is_off_its_way(reports: Reports) -> None:
    report = reports["driven uphill"]
    gone = report.outcome.gone
    assert gone is not None
    assert gone.far == pytest.approx(5.0 - report.at_end.truck.moved[0], rel=0.01)
    assert report.heading == (
        f"The truck stays on its tyres and does not go where it is driven: {gone.far:.3g} m off by the end"
    )


def test_one_of_many_runs_goes_as_far_as_the_recorded_one(reports: Reports) -> None:
    """Of a truck that is driven nothing is told there; beside another ending it is said that it rolls or slides."""
    away, held = (turns(slope, towards) for slope, towards in (("32 deg", "180 deg"), ("10 deg", "0 deg")))
    many = run_batch([case(EMPTY + away), case(EMPTY + held), case(EMPTY, {"setup.speed": "1 m/s"})])
    gone = reports["away"].outcome.gone
    assert gone is not None
    assert many[0].gone == pytest.approx(gone.far, rel=0.01)
    assert many[1].gone < 0.05
    assert isnan(many[2].gone)
    beside = spread(case(EMPTY + away), reports["away"].outcome, 1).endings[0]
    over = Ending("over", "none", "held")
    assert beside.said_against(over) == "stays on its tyres and rolls or slides"
    assert Ending("down", "none", "held").said_against(over) == "stays on its tyres"


@pytest.mark.parametrize(
    ("end", "goes", "said"),
    [
        ("stays on its tyres", "", "stays on its tyres"),
        ("stays on its tyres", "slides 2 m aside", "stays on its tyres and slides 2 m aside"),
        ("lifts a tyre and comes back down", "rolls", "lifts a tyre and comes back down, and rolls"),
    ],
)
def test_how_it_ended_and_how_it_went_read_as_a_sentence(end: str, goes: str, said: str) -> None:
    assert also(end, goes) == said


def test_no_other_ending_found_is_not_said_of_where_it_begins_to_roll(reports: Reports) -> None:
    """A spread tells endings alone: on a flatter floor this truck ends as well on its tyres, and stands."""
    beside = spread(case(EMPTY + turns("32 deg", "180 deg")), reports["away"].outcome, 1)
    said = neighbour(beside, "si")
    assert said.startswith("No other ending was found with slope from ")
    assert said.endswith("all else as given. From where on it rolls away was not looked for.")
    items = within_range(beside, reports["away"].heading, "si")[0].items
    assert any(item.endswith("From where on it rolls away was not looked for.") for item in items)
