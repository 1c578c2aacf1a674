"""The drawing of a fit: each range before and after it on the scale of its row."""

from __future__ import annotations

import re
from itertools import combinations
from typing import get_args

import pytest

import tipline
from tipline.report.fit import fit_page
from tipline.truck_fit.assessment import FitReport, Fitted
from tipline.truck_fit.unknowns import Unknown
from tipline.units import System
from tipline.view import fit_drawing
from tipline.view.fit_ranges import _MOST, _value
from tipline.view.sketch import WIDE, Sketch

LONG = "stiffness of the mast against leaning to the side with the forks all the way up"


def fitted(what: str, left: float = 0.25) -> Fitted:
    """A mass of 100 kg, 10 kg of deviation by the file; 102 kg with 97 to 107 left of it."""
    of = Unknown(("chassis.mass"), what, "mass", 100.0, 10.0, 50.0, 200.0, origin="assumed")
    return Fitted(of, 102.0, 97.0, 107.0, left, "yes")


def test_a_range_lies_where_its_ends_say() -> None:
    """By hand: 80.4 to 119.6 kg (1.96 deviations) from edge to edge, 8 to 552: 97 lies at 8 + 544 x 16.6 / 39.2."""
    sketch = Sketch(100.0, "")
    _value(sketch, fitted("mass of the chassis"), 0.0, "si")
    drawn = sketch.svg()
    left = re.search(r'<polyline points="([0-9.]+),[0-9.]+ ([0-9.]+),', drawn)
    dot = re.search(r'<circle cx="([0-9.]+)"', drawn)
    assert left is not None
    assert dot is not None
    assert [float(end) for end in left.groups()] == pytest.approx([238.4, 377.1], abs=0.06)
    assert float(dot[1]) == pytest.approx(307.8, abs=0.06)
    assert 'points="8.0,23.0 552.0,23.0 552.0,38.0 8.0,38.0"' in drawn


def test_what_the_readings_tell_most_of_stands_first_and_the_rest_is_counted() -> None:
    report = FitReport("A truck", "", tuple(fitted(f"value {k}", 1.0 - 0.05 * k) for k in range(9)), (), (), ())
    caption, svg = fit_drawing(report)
    assert re.findall(r">(value [0-9])<", svg) == [f"value {k}" for k in range(8, 8 - _MOST, -1)]
    assert f"The {_MOST} of 9 values that the readings tell most of." in caption


@pytest.mark.parametrize("system", get_args(System))
def test_its_labels_stand_apart_however_long_a_name_is(system: System) -> None:
    sketch = Sketch(100.0, "")
    _value(sketch, fitted(LONG), 0.0, system)
    _value(sketch, fitted("mass of the chassis"), 44.0, system)
    assert len(sketch.texts) == 4
    assert max(box[3] for box in sketch.texts) <= WIDE
    assert [
        (one[0], other[0])
        for one, other in combinations(sketch.texts, 2)
        if min(one[3], other[3]) > max(one[1], other[1]) and min(one[4], other[4]) > max(one[2], other[2])
    ] == []


@pytest.mark.slow
def test_the_page_of_a_fit_tells_two_digits_of_what_is_not_known_in_pounds_too() -> None:
    """Was 639 lb for 290 kg, told to two digits, and 6,420 beside 6,410 lb for one value."""
    weighed = {"weighings": '[{total = "10.6 t", slabs = 2, attachment = "forks"}]'}
    report = tipline.fit("demo-truck-a", weighed).report
    page = fit_page(report, "us")
    said = dict(page.said)
    within = re.search(r"within ([0-9,]+) lb, not ([0-9,]+) lb", said["What would tell more"])
    value = re.search(r"is ([0-9,]+ lb)", said["Most changed"])
    assert within is not None
    assert value is not None
    best = report.advice[0]
    for told, known in zip(within.groups(), (best.after, best.before), strict=True):
        assert len(told.strip("0")) <= 2
        assert float(told) == pytest.approx(known / 0.45359237, rel=0.05)
    assert any(value[1] in row for section in page.sections for row in getattr(section, "rows", ()))
