"""Where truck and load first mark the floor in a run of many, against what the recorded run of the same case left."""

from math import cos, hypot, isnan, sin

import numpy as np
import pytest

from shipped_runs import shipped_case, shipped_run
from tipline.engines.many import begun
from tipline.engines.prepare import prepare
from tipline.engines.resting import Lies, lies
from tipline.floors.laws.of_floor import floor_laws
from tipline.runs.at_end import at_end

FALLS = "front-tyre-breaks-through-load-high"
STAYS = "service-stop-load-low"
APART = 0.15
"""[m]; the two engines lie apart by less at a fall of 7 m, and a mark is found to about as much."""


def left_by(name: str) -> Lies:
    case = shipped_case(name)
    left = begun(case, floor_laws(case).zones, rests=True)().lies
    assert left is not None
    return left


def test_both_mark_the_floor_where_the_recorded_run_has_it(tmp_path_factory: pytest.TempPathFactory) -> None:
    case, marks = shipped_case(FALLS), left_by(FALLS)
    end = at_end(shipped_run(tmp_path_factory, FALLS), case)
    setup = case.scenario.setup
    for body, ahead, left in (
        ("truck", marks.truck_mark_ahead, marks.truck_mark_left),
        ("lifted load", marks.load_mark_ahead, marks.load_mark_left),
    ):
        first = min((mark for mark in end.marks if mark.body == body), key=lambda mark: mark.since)
        x, y = first.first[0] - setup.position[0], first.first[1] - setup.position[1]
        c, s = cos(setup.heading), sin(setup.heading)
        assert hypot(c * x + s * y - ahead, c * y - s * x - left) < APART, body
    assert marks.load_mark_left > marks.truck_mark_left > 0.5, "it fell to the left, the load farther than the frame"


def test_what_stays_up_marks_nothing() -> None:
    marks = left_by(STAYS)
    assert all(
        isnan(value)
        for value in (
            marks.truck_mark_ahead,
            marks.truck_mark_left,
            marks.load_mark_ahead,
            marks.load_mark_left,
        )
    )


def dropped(from_height: float) -> Lies:
    """An upright truck, lifted off the floor, that sinks at 1 m/s and goes ahead at 3 m/s, as states 2 ms apart."""
    prepared = prepare(shipped_case(STAYS))
    times = 0.002 * np.arange(400)
    states = np.repeat(prepared.raw[None], len(times), axis=0)
    heading = float(prepared.build.home[2])
    states[:, :, 3:7] = 0.0, 0.0, sin(heading / 2.0), cos(heading / 2.0)
    states[:, :, 0] += 3.0 * cos(heading) * times[:, None]
    states[:, :, 1] += 3.0 * sin(heading) * times[:, None]
    states[:, :, 2] += from_height - times[:, None]
    return lies(prepared, states, 0.002, 0.0)


def test_a_mark_is_where_the_corner_came_down_and_not_where_it_was_looked_at() -> None:
    """1 mm higher it comes down 1 ms later and 3 mm farther ahead; between two looks it goes 24 mm."""
    places = np.array([dropped(0.1 + 0.001 * higher).truck_mark_ahead for higher in range(10)])
    assert np.diff(places) == pytest.approx(np.full(9, 0.003), abs=1e-9)
