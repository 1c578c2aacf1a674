"""The plan of a set-up at rest: where its figures say, with labels that stand apart, at no cost to speak of."""

from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import replace
from itertools import combinations
from math import hypot, nan

import pytest

import tipline
from few import slow_but
from shipped_pages import posed
from tipline.model.plane import Point, hull
from tipline.model.shipped import list_shipped
from tipline.pose.assessment import PoseReport
from tipline.view import set_up_drawing
from tipline.view.set_up_plan import _Plan
from tipline.view.sketch import WIDE, Sketch

HIGH = "front-tyre-breaks-through-load-high"
FALLS = "unladen-counterweight-out-falls-back"
SOME = (HIGH, FALLS, "driving-onto-a-trench-lid", "the-same-lift-on-spreaders")


def away(point: Point, line: tuple[Point, Point]) -> float:
    """How far left of a line a point lies."""
    (ax, ay), (bx, by) = line
    return ((bx - ax) * (point[1] - ay) - (by - ay) * (point[0] - ax)) / hypot(bx - ax, by - ay)


def test_a_hull_is_the_ring_of_the_outermost_points() -> None:
    """By hand: the corners of a square, whatever lies within or along its sides."""
    square = ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0))
    assert hull((*square, (1.0, 1.0), (0.3, 1.7), (1.0, 0.0), (2.0, 1.0), (0.0, 2.0))) == square


def test_the_balance_point_is_drawn_as_far_from_the_lines_as_the_table_says(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """Lines run clockwise, so that inside is right of them; in plan, where no stop of the axle counts."""
    report = posed(tmp_path_factory, HIGH)
    for line in ("front", "back"):
        drawn = -away(report.above.balance, report.above.lines[line])
        assert drawn == pytest.approx(report.distances[line], abs=2e-3)
    for side in ("left", "right"):  # all of the weight here, that of the frame alone in the table
        drawn = -away(report.above.balance, report.above.swing[f"swing.{side}"])
        assert drawn == pytest.approx(report.swing[side], rel=0.1)
    assert report.above.balance == pytest.approx(report.balance_point, abs=1e-9)


def test_a_set_up_that_does_not_stand_is_drawn_with_its_weight_past_the_line_it_goes_over(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    report = posed(tmp_path_factory, FALLS)
    above = report.above
    assert (above.stands, report.over) == (False, "back")
    assert [away(above.balance, above.lines[line]) > 0.0 for line in ("front", "back", "left", "right")] == [
        False, True, False, False,
    ]  # fmt: skip
    caption, svg = set_up_drawing(report)
    assert "does not stand" in caption
    assert " kN" not in svg


def test_a_truck_turned_on_its_floor_has_the_same_plan() -> None:
    """Turned by a right angle and set elsewhere: truck and lines are the same in the truck's own frame."""
    one, other = (
        tipline.check(HIGH, {"setup.position": [x, 2.0], "setup.heading": heading}).above
        for x, heading in ((0.0, 0.0), (7.0, 1.5707963267948966))
    )
    assert other.balance == pytest.approx(one.balance, abs=1e-6)
    for line, ends in one.lines.items():
        assert sum(other.lines[line], ()) == pytest.approx(sum(ends, ()), abs=1e-6)
    assert (other.place, round(other.heading, 6)) == ((7.0, 2.0), 1.570796)


@pytest.mark.parametrize("name", slow_but(list_shipped()["scenario"], *SOME))
@pytest.mark.parametrize("system", ["si", "us"])
def test_its_labels_stand_apart_and_on_the_drawing(
    tmp_path_factory: pytest.TempPathFactory, name: str, system: tipline.units.System
) -> None:
    plan = _Plan(posed(tmp_path_factory, name), system)
    plan.drawn()
    written = plan.sketch.texts
    assert len(written) > 9
    assert [text for text, x0, y0, x1, y1 in written if x0 < 0 or y0 < 0 or x1 > WIDE or y1 > plan.tall] == []
    assert [
        (one[0], other[0])
        for one, other in combinations(written, 2)
        if min(one[3], other[3]) - max(one[1], other[1]) > 0.5 and min(one[4], other[4]) - max(one[2], other[2]) > 0.5
    ] == []


def test_tyre_loads_are_discs_by_their_area(tmp_path_factory: pytest.TempPathFactory) -> None:
    report = posed(tmp_path_factory, HIGH)
    shares = {"front-left": 40e3, "front-right": 10e3, "rear-left": 0.0, "rear-right": nan}
    made: PoseReport = replace(report, tyre_loads=shares)
    radii = [float(found) for found in re.findall(r'r="([0-9.]+)" fill="#f7be00"', set_up_drawing(made)[1])]
    assert radii == [pytest.approx(2.0 * min(radii), rel=0.02), min(radii)]


def test_what_a_file_calls_a_thing_cannot_break_the_drawing() -> None:
    sketch = Sketch(100.0, 'a "title" of <it>')
    sketch.text((10.0, 50.0), "<script>&")
    assert "&lt;script&gt;&amp;" in sketch.svg()
    assert "<script>" not in sketch.svg()


@pytest.mark.slow
def test_no_library_of_plots_is_loaded_for_it() -> None:
    code = (
        "import sys, tipline; from tipline.view import set_up_drawing;"
        f"set_up_drawing(tipline.check({HIGH!r}));"
        "print([n for n in ('matplotlib', 'PIL', 'pyvista', 'scipy', 'numba') if n in sys.modules])"
    )
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "[]\n"
