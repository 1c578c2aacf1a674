"""The slopes and export commands through the command line, their drawings, and results in a notebook."""

from __future__ import annotations

import csv
import json
import math
import re
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner, Result

import tipline
from tipline import cli
from tipline.errors import MissingPart
from tipline.report.page import Table
from tipline.report.slopes import slopes_page
from tipline.report.wording import NO_BREAK
from tipline.view.slope_map import clearest

Invoke = Callable[..., Result]
SCENARIO = "floor-falls-diagonally"


@pytest.fixture
def invoke(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Invoke:
    monkeypatch.chdir(tmp_path)
    return lambda *words: CliRunner().invoke(cli.app, [str(word) for word in words])


def test_slopes_leaves_page_table_summary_and_drawings(invoke: Invoke, tmp_path: Path) -> None:
    words = ("slopes", SCENARIO, "--heights", "0.5 m, 3 m", "--directions", "24", "--out", "out", "--quiet")
    result = invoke(*words, "--beside", "counterweight_extension = 0.6 m")
    assert result.exit_code == 0, result.output
    out = tmp_path / "out"
    assert {
        "report.html",
        "report.json",
        "summary.json",
        "slopes.csv",
        "slope-map.svg",
        "limit-curves.svg",
        "inputs",
    } == {path.name for path in out.iterdir()}
    rows = list(csv.DictReader((out / "slopes.csv").read_text(encoding="utf-8").splitlines()))
    assert len(rows) == 24 * 2 * 2
    assert {(row["demo"], row["caution"][:5]) for row in rows} == {("1", "DEMO:")}
    told = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    assert told["schema"] == "tipline.slopes/1"
    assert told["least"]["percent"] == pytest.approx(min(float(row["first_percent"]) for row in rows), abs=1e-9)
    assert told["least"]["set_up"] == "counterweight extension 0.6 m"
    said = " ".join(result.stdout.split())
    assert "Least slope limit at rest" in said
    assert "In its own " in said  # a limit at rest never stands without what the truck's own stops leave of it
    assert not re.search(r"\.[0-9][0-9]+ %", said)
    page = (out / "report.html").read_text(encoding="utf-8")
    for text in ("DEMO", f"at 2{NO_BREAK}m</th>", "falling ahead", "from axle to axle", "deg)"):
        assert text in page, text
    drawn = (out / "slope-map.svg").read_text(encoding="utf-8")
    assert drawn.startswith("<svg")
    assert drawn.count("stroke-dasharray") > 2


def test_the_page_shows_the_speed_at_which_a_turn_pulls_as_much_as_the_truck_holds() -> None:
    """3.2 m/s2 on 5 m is 4 m/s; on 10 ft 3.123 m/s; of a set-up that turning does not tip there is none."""
    report = tipline.slopes(SCENARIO, heights="1", directions=8).report
    for pull, system, head, shown in (
        (3.2, "si", "at 5 m", "14.4 km/h"),
        (3.2, "us", "at 10 ft", "7.0 mph"),
        (math.nan, "si", "at 5 m", "not reached"),
    ):
        turns = tuple(replace(turn, pull=pull) for turn in report.turns)
        page = slopes_page(replace(report, turns=turns), system)
        (table,) = (part for part in page.sections if part.title == "Greatest steady speed in a turn")
        column = [name.replace(NO_BREAK, " ") for name in table.columns].index(head)
        assert [row[column].replace(NO_BREAK, " ") for row in table.rows] == [shown] * len(report.turns)


def test_a_difference_of_height_below_5_mm_is_not_told() -> None:
    report = tipline.slopes(SCENARIO, heights="1", directions=8).report
    worst = report.maps[0]
    fall = float(np.tan(worst.first[worst.worst]) * abs(np.cos(worst.azimuth[worst.worst])))
    for apart, told in ((4.8e-3, False), (5.2e-3, True)):
        page = slopes_page(replace(report, wheelbase=apart / fall), "si")
        said = " ".join(text for part in page.sections for text in getattr(part, "items", ()))
        assert ("5 mm from axle to axle" in said.replace(NO_BREAK, " ")) is told


@pytest.mark.slow
def test_slopes_in_us_units_and_json(invoke: Invoke) -> None:
    words = ("slopes", SCENARIO, "--heights", "1", "--directions", "8", "--no-pictures", "--quiet")
    assert "in/ft" in invoke(*words, "--units", "us", "--out", "us").stdout
    assert f"at 6{NO_BREAK}ft</th>" in Path("us/report.html").read_text(encoding="utf-8")
    told = json.loads(invoke(*words, "--json", "--out", "json").stdout)
    assert [row["height_m"] for row in told["limits"]] == [3.0] * 8
    assert told["timings_s"]["solving"] > 0.0


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (("--heights", "3"), None),
        (("--heights", "tall"), "--heights"),
        (("--heights", "99 m"), "fork_height"),
        (("--heights", "0"), "--heights"),
        (("--directions", "3"), "--directions"),
        (("--beside", "nothing"), "--beside"),
    ],
)
def test_wrong_words_are_told_and_leave_nothing(
    invoke: Invoke, tmp_path: Path, words: tuple[str, ...], named: str | None
) -> None:
    more = ("--out", "out", "--quiet", "--no-pictures") if "--directions" in words else (
        "--out", "out", "--quiet", "--no-pictures", "--directions", "8",
    )  # fmt: skip
    result = invoke("slopes", SCENARIO, *words, *more)
    assert result.exit_code == (0 if named is None else 2), result.output
    if named is not None:
        assert named in result.stderr
        assert list(tmp_path.iterdir()) == []


def test_slopes_exits_4_where_the_scenario_asks_for_more(invoke: Invoke) -> None:
    words = ("--heights", "1", "--directions", "8", "--no-pictures", "--quiet", "--out", "out")
    result = invoke("slopes", SCENARIO, *words, "--set", "setup.slope=15 deg", "--set", "setup.slope_towards=0 deg")
    assert result.exit_code == 4, result.output
    assert "more than the limit" in result.stdout


@pytest.mark.parametrize(("form", "name"), [("urdf", "truck.urdf"), ("mjcf", "truck.xml"), ("glb", "truck.glb")])
def test_export_leaves_the_files_and_says_what_they_hold(invoke: Invoke, tmp_path: Path, form: str, name: str) -> None:
    result = invoke("export", SCENARIO, "--format", form, "--out", "out", "--quiet")
    assert result.exit_code == 0, result.output
    assert "Not in these files" in result.stdout
    assert (tmp_path / "out" / name).stat().st_size > 1000
    assert "DEMO" in (tmp_path / "out" / "about.txt").read_text(encoding="utf-8")
    assert (tmp_path / "out" / "inputs" / "resolved.toml").is_file()


def test_export_refuses_another_format(invoke: Invoke) -> None:
    assert invoke("export", SCENARIO, "--format", "step").exit_code == 2


@pytest.mark.slow
def test_results_show_themselves_in_a_notebook() -> None:
    pose = tipline.check(SCENARIO)
    shown = pose._repr_html_()
    assert shown.startswith("<div>")
    assert shown.endswith("</div>")
    assert "<table>" in shown
    assert "DEMO" in shown
    assert "<style" not in shown
    assert f"{pose.assumed_count} assumed values" in shown
    found = tipline.slopes(SCENARIO, heights="1", directions=8)
    limits = found.report
    assert "Slope limits" in found._repr_html_() == limits._repr_html_()
    assert repr(found) == f"<SlopeResult {limits.title!r}>"
    asked = tipline.floor("demo-hall-b")
    assert repr(asked) == f"<FloorResult {asked.report.title!r}>"
    assert asked.report.lead in asked._repr_html_()
    frame = limits.to_pandas()
    assert len(frame) == 8
    assert frame["height_m"].tolist() == [3.0] * 8


def test_slope_limits_as_a_dataset_hold_what_the_table_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    report = tipline.slopes(SCENARIO, heights="1 m, 3 m", directions=8).report
    held, rows = report.to_xarray(), report.to_pandas()
    assert dict(held.sizes) == {"case": 2, "azimuth": 8, "kind": 7, "way": 4, "braking_azimuth": 8, "radius": 21}
    first = 100.0 * np.tan(held["first"].values.ravel())
    assert first == pytest.approx(rows["first_percent"].to_numpy(dtype=float), nan_ok=True)
    tips = held["limit"].sel(kind="tips").isel(case=1).values
    assert 100.0 * np.tan(tips) == pytest.approx(rows["tips_percent"].to_numpy(dtype=float)[8:], nan_ok=True)
    assert held["height"].values.tolist() == [1.0, 3.0]
    assert (
        held["braking"].sel(way="service stop, forward").isel(case=1, braking_azimuth=0) == report.braking[4].first[0]
    )
    assert held.attrs["demo"] == 1
    shown = report._repr_html_()
    for words in ("Slope limits while braking", "service stop, 1.6 m/s2, forward", "from axle to axle", "deg)"):
        assert words in shown, words
    monkeypatch.setitem(sys.modules, "xarray", None)
    with pytest.raises(MissingPart, match="pip install"):
        report.to_xarray()


@pytest.mark.slow
def test_simulated_ramps_stand_on_page_map_and_in_the_summary(invoke: Invoke, tmp_path: Path) -> None:
    words = ("slopes", SCENARIO, "--heights", "3 m", "--directions", "24", "--out", "out", "--quiet", "--ramps", "1")
    result = invoke(*words, "--units", "us")
    assert result.exit_code == 0, result.output
    told = json.loads((tmp_path / "out" / "summary.json").read_text(encoding="utf-8"))
    one = told["driven"][0]
    assert (one["ramp"], one["driving"], one["stop"]) == ("down", "forward", "pedal lift")
    assert one["over"] == "front"
    low, high = one["simulated_over_percent"]
    assert low < high < 6.0
    text = " ".join(result.stdout.split())
    assert "driving forward down a ramp at 3.1 mph and stopping there (pedal lift), simulated:" in text
    page = (tmp_path / "out" / "report.html").read_text(encoding="utf-8")
    for part in ("Onto a ramp", "in/ft", "Slope limits while braking", "tire lifts"):
        assert part in page, part


@pytest.mark.slow
def test_ramps_are_driven_at_the_own_height_whatever_heights_are_asked() -> None:
    """This one is driven at 3 m; asked for 1 m alone, it was left out without a word."""
    found = tipline.slopes(SCENARIO, heights="1 m", directions=8, ramps=1).report
    assert [one.height for one in found.maps] == pytest.approx([1.0, 3.0])
    assert [one.height for one in found.driven] == pytest.approx([3.0])


def test_ring_labels_stand_where_the_limit_is_far_from_the_rings() -> None:
    """A limit of 20 % all around but for 25 % on the left behind: only there no label of 10, 20 or 30 % is on it."""
    one = tipline.slopes(SCENARIO, heights="3 m", directions=16).report.maps[0]
    behind = np.argmin(np.abs(one.azimuth - np.radians(112.5)))
    percent = np.where(np.arange(16) == behind, 25.0, 20.0)
    made = replace(one, first=np.arctan(percent / 100.0))
    assert np.degrees(clearest(made, np.array([10.0, 20.0, 30.0]), 30.0)) == pytest.approx(112.5)


def test_where_no_ramp_can_be_driven_it_is_said() -> None:
    found = tipline.slopes(SCENARIO, {"load.mass": "30 t"}, heights="3 m", directions=8, ramps=1).report
    assert found.driven == ()
    assert found.notes[-1].startswith("No ramp was driven")


def test_a_title_with_signs_of_html_is_escaped() -> None:
    shown = tipline.check(SCENARIO, {"title": "<script>1</script>"})._repr_html_()
    assert "<script>" not in shown
    assert "&lt;script&gt;" in shown


def test_a_table_goes_to_pandas_and_says_what_to_install_without(monkeypatch: pytest.MonkeyPatch) -> None:
    table = Table("t", ("a", "b"), (("1", "2"), ("3", "4")))
    assert table.to_pandas()["b"].tolist() == ["2", "4"]
    monkeypatch.setitem(sys.modules, "pandas", None)
    with pytest.raises(MissingPart, match="pip install"):
        table.to_pandas()
