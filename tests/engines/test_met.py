"""What a run never met is told: ramp, zones, soft ground, events too late; what it met is not."""

import pytest

from tipline import engines
from tipline.floors.laws.of_floor import floor_laws
from tipline.runs.assessment import assess_run
from tipline.runs.met import never_met
from tipline.scenario import read

RAMP, SIDE, SOFT = "stop-on-the-way-down-a-ramp", "soft-ground-under-one-side", "front-tyre-sinks-in-soft-ground"
WALK = {"setup.speed": "3.6 km/h", "run.duration": "2 s"}


def missed(name: str, changes: dict[str, str]) -> tuple[str, ...]:
    case = read(name, changes)
    return never_met(engines.simulate(case, zones=floor_laws(case).zones), case.inputs, case.floor, None)


def test_a_ramp_that_is_too_far_is_told_with_what_was_left() -> None:
    """1 m/s for 2 s are 2 m; the edge lies 9 m ahead of the drive axle."""
    one_stop = '[{kind = "ramp", begins = "9 m", slope = "6 %", goes = "down"}]'
    (said,) = missed(RAMP, {**WALK, "event": one_stop})
    assert said.startswith("The ramp was never reached: the nearest tyre came to ")
    left = float(said.split()[-5])
    assert said.endswith(" m from its edge.")
    assert left == pytest.approx(7.0, abs=0.05)


def test_a_ramp_that_is_driven_onto_is_not() -> None:
    assert missed(RAMP, {"event.1.at": "3.9 s", "run.duration": "4 s"}) == ()


def test_a_truck_that_drives_past_all_zones_is_told_and_one_that_drives_over_one_is_not() -> None:
    """The floor's strips lie across y = 0 to 1, 6 to 7.2 and 12 to 13 m."""
    (said,) = missed(SIDE, {**WALK, "setup.position": '["8 m", "3.5 m"]'})
    assert said.startswith("In the run no tyre comes onto any of the 4 zones and spreaders of the floor.")
    assert "backfilled strip, 2.5 m from" in said
    assert missed(SIDE, {**WALK, "setup.position": '["8 m", "4.5 m"]', "setup.heading": "90 deg"}) == ()


@pytest.mark.slow
def test_a_truck_that_drives_beside_all_covers_of_a_slab_is_told() -> None:
    """The rear tyres begin 0.5 m past the pipe trench, and 1 m/s for 2 s end 4 m short of the cable trench."""
    (said,) = missed("driving-onto-a-trench-lid", {**WALK, "setup.position": '["8 m", "7 m"]'})
    assert said.startswith("In the run no tyre comes onto any of the 4 covers and holes of the floor.")
    assert "the start is pipe trench, west, 2.4 m from" in said


def test_ground_that_never_yields_is_told() -> None:
    changes = {"event.0.bearing_pressure": "4 MPa", "run.duration": "2 s"}
    (said,) = missed(SOFT, changes)
    assert said == "The soft place under front-left never yielded: the tyre presses it less than its 4 MPa."
    assert missed(SOFT, {"run.duration": "2 s"}) == ()


def test_an_event_after_the_point_of_no_return_is_told() -> None:
    turned = '{at = "1 s", kind = "floor_turns", slope = "21 %", towards = "0 deg", over = "4 s"}'
    late = '{at = "8.9 s", kind = "push", at_part = "chassis", force = "1 kN", direction = "0 deg"}'
    case = read("floor-falls-ahead", {"event": f"[{turned}, {late}]", "run.duration": "9 s"})
    run = engines.simulate(case)
    report = assess_run(run, case)
    assert report.no_return is not None
    (said,) = never_met(run, case.inputs, case.floor, report.no_return)
    assert said.startswith("event.1, push at 8.9 s, had no part in it: from ")
    assert never_met(run, case.inputs, case.floor, None) == ()
