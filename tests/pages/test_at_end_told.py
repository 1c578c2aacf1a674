"""Where a run's truck and load are at its end, as page and summary tell it."""

from __future__ import annotations

from dataclasses import replace
from math import degrees
from typing import Any

import pytest

from tipline.report.at_end import end_summary, end_tables


def test_the_page_says_where_truck_and_load_are_and_how_they_lie(run_report: Any) -> None:
    table, marks = end_tables(run_report.at_end, "si")
    rows = {what: cells for what, *cells in table.rows}
    assert table.columns == ("what", "truck", "lifted load")
    assert rows["place on the floor"] == ["x 0.1 m, y 1.65 m", "x 1.73 m, y 7.52 m"]
    assert rows["gone since the start"] == ["120 mm ahead, 1.65 m to the left", "430 mm back, 7.54 m to the left"]
    assert rows["heading"][0] == "3.4 deg left of x; turned by 3.4 deg to the left"
    assert rows["roll"] == ["92.2 deg left side down", "90 deg left side down"]
    assert rows["pitch"] == ["1.3 deg front up", "level"]
    assert rows["lies or stands on"] == ["its left side", "its left side"]
    assert rows["still moves"] == ["no", "yes, at 0.3 m/s"]
    assert marks.rows[0][0] == "truck, sill front left"
    assert marks.rows[0][1].startswith("2.40 s (x ")
    assert marks.rows[1][2:] == ("x 300 mm, y 750 mm, 118 mm deep; 60 mm", "on the floor")
    assert marks.rows[2][2].endswith("; not given")
    assert marks.rows[2][3] == "off it since 1.55 s"


def test_us_units_are_for_the_page_and_the_summary_stays_in_si(run_report: Any) -> None:
    table, _ = end_tables(run_report.at_end, "us")
    assert {what: cells for what, *cells in table.rows}["place on the floor"][1] == "x 5.68 ft, y 24.7 ft"
    told = end_summary(run_report.at_end)
    assert told["truck"]["place_m"] == [0.1, 1.65, 0.84]
    assert degrees(told["truck"]["roll_rad"]) == pytest.approx(-92.25, abs=0.01)
    assert (told["marks"][0]["corner"], told["marks"][0]["scraped_m"]) == ("sill front left", 0.035)
    assert told["tyres"]["rear-right"]["on_floor"] is False


def test_a_truck_that_stands_stands_on_its_tyres_and_no_speed_has_three_digits(run_report: Any) -> None:
    """The underside of a load is what it stands on; "its underside" of a truck was read as fallen on its belly."""
    end = run_report.at_end
    standing = replace(end.truck, down="underside", speed=0.0529)
    table, _ = end_tables(replace(end, truck=standing, lifted_load=standing), "si")
    rows = {what: cells for what, *cells in table.rows}
    assert rows["lies or stands on"] == ["its tyres or belly", "its underside"]
    assert rows["still moves"][0] == "yes, at 53 mm/s"
