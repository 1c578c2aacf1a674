"""Where truck and load first mark the floor in a run of many, against what the recorded run of the same case left."""

from math import cos, hypot, isnan, sin

import pytest

from shipped_runs import shipped_case, shipped_run
from tipline.engines.many import roll
from tipline.engines.resting import Lies
from tipline.floors.laws.of_floor import floor_laws
from tipline.runs.at_end import at_end

FALLS = "front-tyre-breaks-through-load-high"
STAYS = "service-stop-load-low"
APART = 0.15
"""[m]; the two engines lie apart by less at a fall of 7 m, and a mark is found to about as much."""


def left_by(name: str) -> Lies:
    case = shipped_case(name)
    lies = roll(case, floor_laws(case).zones, rests=True).lies
    assert lies is not None
    return lies


def test_both_mark_the_floor_where_the_recorded_run_has_it(tmp_path_factory: pytest.TempPathFactory) -> None:
    case, lies = shipped_case(FALLS), left_by(FALLS)
    end = at_end(shipped_run(tmp_path_factory, FALLS), case)
    setup = case.scenario.setup
    for body, ahead, left in (
        ("truck", lies.truck_mark_ahead, lies.truck_mark_left),
        ("lifted load", lies.load_mark_ahead, lies.load_mark_left),
    ):
        first = min((mark for mark in end.marks if mark.body == body), key=lambda mark: mark.since)
        x, y = first.first[0] - setup.position[0], first.first[1] - setup.position[1]
        c, s = cos(setup.heading), sin(setup.heading)
        assert hypot(c * x + s * y - ahead, c * y - s * x - left) < APART, body
    assert lies.load_mark_left > lies.truck_mark_left > 0.5, "it fell to the left, the load farther than the frame"


def test_what_stays_up_marks_nothing() -> None:
    lies = left_by(STAYS)
    assert all(
        isnan(value)
        for value in (lies.truck_mark_ahead, lies.truck_mark_left, lies.load_mark_ahead, lies.load_mark_left)
    )
