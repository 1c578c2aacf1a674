"""What is said of a sweep's table: shares, intervals, what decides, thresholds, cautions; page, summary and plots."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy import stats

from few import slow_but
from tipline import view
from tipline.report import html, summary, text
from tipline.report.notebook import fragment_of
from tipline.report.page import Picture, Pictures
from tipline.report.page import Table as Table_
from tipline.report.sweeps import sweep_page, sweep_summary
from tipline.runs.endings import interval
from tipline.scenario.sweep_reader import read_sweep
from tipline.selftest import recorded
from tipline.sweeps.assessment import assess_sweep
from tipline.sweeps.report import Effect, Index, InputGroup, Share, SweepReport
from tipline.sweeps.words import measured, told

ASSURING = re.compile(r"\b(safe|safely|ok|okay|permitted|approved|pass|passes|verdict|margin)\b", re.IGNORECASE)
HEAD = 'title = "t <b>"\nquestion = "what & why"\nscenario = "front-tyre-breaks-through-load-high"\n'
DEPTH = '[[variable]]\nkey = "event.0.depth"\nleast = "60 mm"\nmost = "160 mm"\n'
MASS = '[[variable]]\nkey = "load.mass"\nleast = "4 t"\nmost = "5 t"\norigin = "drawing"\n'
SLABS = '[[variable]]\nkey = "setup.ballast_slabs"\nvalues = [2, 4]\n'
DRAWN = HEAD + 'method = "monte-carlo"\nruns = 200\n[set]\n"setup.tilt" = "1 deg"\n' + DEPTH + MASS
GRID = HEAD + 'method = "grid"\n' + SLABS + DEPTH + "count = 3\n"
SOUGHT = '[threshold]\nkey = "event.0.depth"\nleast = "20 mm"\nmost = "300 mm"\n'
SEEK = HEAD + 'method = "threshold"\n' + SOUGHT + SLABS + MASS + "count = 2\n"


class Table:
    """Columns held in memory."""

    def __init__(self, columns: Mapping[str, Any]) -> None:
        self.columns = {name: np.asarray(values) for name, values in columns.items()}
        self.names = tuple(columns)

    def column(self, name: str) -> np.ndarray:
        return self.columns[name].copy()


def said(text_: str, columns: Mapping[str, Any], folder: Path) -> SweepReport:
    path = folder / "sweep.toml"
    path.write_text(text_, encoding="utf-8")
    return assess_sweep(read_sweep(path), Table(columns), "mark")


def drawn(folder: Path, lost: int = 0) -> SweepReport:
    """200 runs that go over above 110 mm, whatever the mass; the last ones without a result."""
    depth = np.linspace(0.06, 0.16, 200)
    mass = 4000.0 + 1000.0 * np.modf(np.arange(200) * 0.618)[0]
    truck = np.where(depth > 0.11, "over", "tyre-lifted").astype(object)
    truck[200 - lost :] = "no result"
    return said(
        DRAWN,
        {
            "run": np.arange(200),
            "event.0.depth": depth,
            "load.mass": mass,
            "truck": truck,
            "lifted_load": np.where(truck == "over", "dropped", "kept").astype(object),
            "floor": np.full(200, "broke", dtype=object),
            "reason": np.where(truck == "no result", "broke down", "").astype(object),
            "least_distance": 0.11 - depth,
        },
        folder,
    )


@pytest.mark.parametrize(
    ("count", "runs", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_the_interval_is_wilsons(count: int, runs: int, low: float, high: float) -> None:
    """Newcombe (1998), Statistics in Medicine 17:857, table I, score method; from memory."""
    assert interval(count, runs) == pytest.approx((low, high), abs=5.1e-5)


@pytest.mark.parametrize(("count", "runs"), [(0, 1), (1, 1), (0, 50), (1, 50), (41, 50), (50, 50), (3, 100_000)])
def test_the_interval_is_that_of_scipy(count: int, runs: int) -> None:
    """Second library: scipy.stats.binomtest, Wilson's interval without correction."""
    told = stats.binomtest(count, runs).proportion_ci(0.95, method="wilson")
    ours = interval(count, runs)
    assert ours == pytest.approx((told.low, told.high), abs=1e-8)
    if (count, runs) == (41, 50):
        for name, own, other in (("wilson-low", ours[0], told.low), ("wilson-high", ours[1], told.high)):
            assert (100.0 * own, 100.0 * other) == pytest.approx(recorded(name).pair, rel=1e-9)


def test_shares_are_counts_with_intervals(tmp_path: Path) -> None:
    report = drawn(tmp_path)
    assert report.asked is not None
    assert (report.asked.count, report.asked.runs) == (100, 200)
    assert (report.asked.low, report.asked.high) == interval(100, 200)
    assert [(one.part, one.word, one.count) for one in report.shares] == [
        ("truck", "tyre-lifted", 100), ("truck", "over", 100),
        ("lifted load", "kept", 100), ("lifted load", "dropped", 100), ("floor", "broke", 200),
    ]  # fmt: skip
    assert report.lead == "could go either way: 100 of 200 runs went over"


def test_what_decides_leads_and_what_does_not_comes_last(tmp_path: Path) -> None:
    report = drawn(tmp_path)
    assert [effect.label for effect in report.effects] == ["hole depth", "lifted load"]
    low, middle, high = report.effects[0].groups
    assert (low.share.count, high.share.count) == (0, high.share.runs)
    assert low.share.runs + middle.share.runs + high.share.runs == 200
    assert report.effects[0].span == 1.0
    assert report.effects[1].span < 0.15
    assert (
        "The share changes most with hole depth: 0 % (0 of 67 runs) in the third of the runs from 60 mm to 93 mm,"
        in report.sentences[1]
    )


def test_runs_without_a_result_are_in_no_share_and_are_told(tmp_path: Path) -> None:
    report = drawn(tmp_path, lost=20)
    assert report.asked is not None
    assert (report.asked.count, report.asked.runs, report.lost) == (80, 180, 20)
    assert "20 of 200 rows have no result: broke down" in report.sentences
    assert any("20 rows without a result" in caution for caution in report.cautions)


def test_cautions_name_the_assumed_ranges(tmp_path: Path) -> None:
    report = drawn(tmp_path)
    assert any("The ranges of 1 of 2 are assumed: hole depth." in caution for caution in report.cautions)
    assert any("not for your truck" in caution for caution in report.cautions)


def grid(folder: Path) -> SweepReport:
    depth = np.tile([0.06, 0.11, 0.16], 2)
    truck = np.array(["down", "tyre-lifted", "over", "down", "down", "tyre-off"], dtype=object)
    none = np.full(6, "", dtype=object)
    columns = {"run": np.arange(6), "setup.ballast_slabs": np.repeat([2, 4], 3), "event.0.depth": depth, "truck": truck}
    return said(GRID, {**columns, "reason": none, "least_distance": 0.1 - depth}, folder)


def test_a_grid_has_no_chances(tmp_path: Path) -> None:
    report = grid(tmp_path)
    assert report.lead == "1 of 6 combinations went over"
    assert all(np.isnan(share.low) for share in report.shares)
    assert any("no chances" in caution for caution in report.cautions)
    assert [group.words for group in report.effects[0].groups] == ["60 mm", "110 mm", "160 mm"]


def test_a_grid_of_two_inputs_is_a_map_and_says_where_the_ending_changes(tmp_path: Path) -> None:
    report = grid(tmp_path)
    assert report.map is not None
    assert (report.map.across.words, report.map.up.words) == (("2", "4"), ("60 mm", "110 mm", "160 mm"))
    (panel,) = report.map.panels
    assert panel.words.tolist() == [["down", "down"], ["tyre-lifted", "down"], ["over", "tyre-off"]]
    assert panel.ended.tolist() == [[False, False], [False, False], [True, False]]
    assert [(line.across, line.ended, line.stayed) for line in report.map.lines()] == [
        ("2", "160 mm", "60 mm to 110 mm"), ("4", "", "all tried, 60 mm to 160 mm"),
    ]  # fmt: skip
    assert report.sentences[1] == (
        "At ballast slabs 2 runs went over with hole depth 160 mm, not with 60 mm to 110 mm; at ballast slabs 4 no run "
        "went over."
    )
    table = next(one for one in sweep_page(report).sections if one.title == "Where the ending changes")
    assert isinstance(table, Table_)
    assert table.columns[1:] == ("hole depth with which they went over", "hole depth with which they did not")
    assert table.rows == (("2", "160 mm", "60 mm to 110 mm"), ("4", "none", "all tried, 60 mm to 160 mm"))


def test_what_a_grid_asks_for_is_read_and_spelled_in_every_sentence(tmp_path: Path) -> None:
    report = told(replace(grid(tmp_path), outcome="tyre-off"), ())
    assert report.sentences[1].startswith(
        "At ballast slabs 2 runs ended with a tyre off the floor, or worse, with hole"
    )
    drawn_ = Pictures("Plots", tuple(Picture(caption) for _, caption, _ in view.sweep_drawings(report, "us")))
    shown = html.page_html(sweep_page(report, "us", (drawn_,)))
    assert "ended with a tire off the floor, or worse; circle: did not" in shown
    assert "tyre" not in shown.replace("front-tyre", "")


LIMITS = '[[variable]]\nkey = "setup.tilt"\nvalues = ["0 deg", "1 deg"]\n'


@pytest.mark.slow
def test_more_inputs_make_more_maps_and_gaps_are_told(tmp_path: Path) -> None:
    """One run without a result, and one line on which a deeper hole does not tip where a shallower one does."""
    truck = np.array(["down", "over", "down", "no result", "over", "down", *["down"] * 6], dtype=object)
    slabs, depth, tilt = np.meshgrid([2, 4], [0.06, 0.11, 0.16], [0.0, np.radians(1.0)], indexing="ij")
    columns = {
        "run": np.arange(12), "setup.ballast_slabs": slabs.ravel(), "event.0.depth": depth.ravel(),
        "setup.tilt": tilt.ravel(), "truck": truck,
        "reason": np.full(12, "", dtype=object), "least_distance": np.zeros(12),
    }  # fmt: skip
    report = said(GRID + LIMITS, columns, tmp_path)
    assert report.map is not None
    assert report.map.others == ("tilt",)
    assert [panel.others for panel in report.map.panels] == [("0 deg",), ("1 deg",)]
    first, _, third, _ = report.map.lines()
    assert (first.ended, first.stayed, first.lost, first.changes) == ("160 mm", "60 mm to 110 mm", "", 1)
    assert (third.ended, third.stayed, third.lost, third.changes) == ("60 mm", "160 mm", "110 mm", 1)
    drawing = {name: svg for name, _, svg in view.sweep_drawings(report)}["map.svg"]
    assert drawing.count("<image") == 2


def test_an_ending_that_comes_and_goes_is_warned_of(tmp_path: Path) -> None:
    columns = {
        "run": np.arange(6), "setup.ballast_slabs": np.repeat([2, 4], 3),
        "event.0.depth": np.tile([0.06, 0.11, 0.16], 2),
        "truck": np.array(["over", "down", "over", "down", "down", "over"], dtype=object),
        "reason": np.full(6, "", dtype=object), "least_distance": np.zeros(6),
    }  # fmt: skip
    report = said(GRID, columns, tmp_path)
    assert report.map is not None
    assert report.map.lines()[0].ended == "60 mm; 160 mm"
    assert any("In 1 of 2 lines of the map the ending changes more than once" in one for one in report.cautions)


def test_a_grid_over_one_input_has_no_map(tmp_path: Path) -> None:
    columns = {
        "run": np.arange(3), "event.0.depth": np.array([0.06, 0.11, 0.16]), "truck": np.array(["down", "over", "over"]),
        "reason": np.full(3, ""), "least_distance": np.zeros(3),
    }  # fmt: skip
    assert said(HEAD + 'method = "grid"\n' + DEPTH + "count = 3\n", columns, tmp_path).map is None


def thresholds(folder: Path) -> SweepReport:
    truck = np.array(["over", "over", "over", "tyre-lifted"], dtype=object)
    columns = {
        "run": np.arange(4),
        "setup.ballast_slabs": np.array([2, 2, 4, 4]),
        "load.mass": np.array([4000.0, 5000.0, 4000.0, 5000.0]),
        "threshold": np.array([0.12, 0.10, 0.16, np.nan]),
        "held": np.array([0.119, 0.099, 0.159, 0.3]),
        "changes_back": np.array([False, True, False, False]),
        "truck": truck,
        "direction": np.array(["left", "left", "left", None], dtype=object),
        "reason": np.array(["", "", "", "not up to hole depth 300 mm"], dtype=object),
    }
    return said(SEEK, columns, folder)


def test_thresholds_say_the_range_and_what_moves_it(tmp_path: Path) -> None:
    report = thresholds(tmp_path)
    assert report.lead == (
        "goes over from hole depth 100 mm to 160 mm on, by set-up; in 1 of 4 set-ups not at every greater one; "
        "in 1 of 4 set-ups not within the range looked at"
    )
    assert report.sentences[0].startswith("Least hole depth at which it goes over: 100 mm with ballast slabs 2, lifted")
    assert report.sentences[1] == "In 1 of 4 set-ups it does not come to that up to hole depth 300 mm."
    slabs = next(effect for effect in report.effects if effect.label == "ballast slabs")
    assert [group.mean for group in slabs.groups] == pytest.approx([0.11, 0.23])  # the end of the range stands in
    assert [group.bound for group in slabs.groups] == [0, 1]
    varied = next(one for one in sweep_page(report).sections if one.title == "What was varied")
    assert isinstance(varied, Table_)
    assert varied.rows[-1][:2] == ("hole depth", "event.0.depth")
    assert varied.rows[-1][2].startswith("looked for from 20 mm to 300 mm, narrowed down to 0.56 mm")
    assert report.sentences[2].startswith(
        "The threshold moves most with ballast slabs: 230 mm at 4 (1 of 2 with the end of the range) against 110 mm"
    )
    assert any("In 1 rows a greater value ended without it again" in caution for caution in report.cautions)


@pytest.mark.parametrize(
    ("value", "dimension", "within", "words"),
    [
        (0.0987, "length", 0.005, "95 mm"),
        (0.0987, "length", 0.00056, "98 mm"),
        (0.0987, "length", 0.0, "98.7 mm"),
        (0.1, "length", 0.0001, "100 mm"),
        (0.003, "length", 0.005, "0 mm"),
        (1.2345, "length", 0.0001, "1.23 m"),
        (4321.0, "mass", 100.0, "4.3 tonne"),
        (math.atan(0.0987), "slope", math.atan(0.005), "9.5 %"),
        (0.8765, "ratio", 0.02, "86 %"),
        (17.3, "", 1.0, "17"),
    ],
)
def test_a_threshold_has_no_digit_finer_than_it_was_sought(
    value: float, dimension: str, within: float, words: str
) -> None:
    assert measured(value, dimension, within) == words


def test_a_table_of_thresholds_is_rounded_to_how_narrowly_they_were_sought(tmp_path: Path) -> None:
    report = told(replace(thresholds(tmp_path), within=0.05), ())
    assert report.lead.startswith("goes over from hole depth 100 mm to 150 mm on")
    shown = next(one for one in sweep_page(report).sections if one.title == "Thresholds")
    assert isinstance(shown, Table_)
    assert [row[-3:-1] for row in shown.rows] == [
        ("100 mm", "just below it"), ("100 mm", "50 mm"), ("150 mm", "just below it"), ("none", "300 mm"),
    ]  # fmt: skip


def test_a_threshold_is_rounded_in_the_units_of_the_page_too(tmp_path: Path) -> None:
    """160 mm are 6.299 in, and 5 mm are 0.197 in: the page goes by steps of 0.2 in."""
    page = sweep_page(told(replace(thresholds(tmp_path), within=0.005), ()), "us")
    assert page.lead.startswith("goes over from hole depth 3.8 in to 6.2 in on")
    shown, means = (
        next(one for one in page.sections if one.title == title) for title in ("Thresholds", "By ballast slabs")
    )
    assert dict(page.said)["Found"].startswith("Least hole depth at which it goes over: 3.8 in with")
    assert isinstance(shown, Table_)
    assert [row[-3] for row in shown.rows] == ["4.6 in", "3.8 in", "6.2 in", "none"]
    assert isinstance(means, Table_)
    assert [row[1] for row in means.rows] == ["4.2 in", "9 in"]


def test_the_end_of_the_range_is_known_as_given_and_not_rounded(tmp_path: Path) -> None:
    report = told(replace(thresholds(tmp_path), within=0.2), ())
    shown = next(one for one in sweep_page(report).sections if one.title == "Thresholds")
    assert isinstance(shown, Table_)
    assert shown.rows[-1][-3:] == ("none", "300 mm", "not up to hole depth 300 mm")


def test_means_over_other_settings_are_told_only_where_there_are_any(tmp_path: Path) -> None:
    report = thresholds(tmp_path)
    assert "means over the other settings" in report.sentences[2]
    alone = told(replace(report, effects=report.effects[:1]), ())
    assert alone.sentences[2].endswith("against 110 mm at 2.")


def test_a_plot_names_no_mark_that_is_not_in_it(tmp_path: Path) -> None:
    report = thresholds(tmp_path)
    found = replace(report, points={**report.points, "ended": np.zeros(4)})
    told_of = "<!-- beyond the range looked at -->"
    assert [told_of in view.sweep_drawings(made)[-1][-1] for made in (report, found)] == [True, False]


@pytest.mark.parametrize("made", slow_but([drawn, grid, thresholds], thresholds))
@pytest.mark.parametrize("system", slow_but(["si", "us"], "us"))
def test_page_summary_plots_and_notebook(made: Any, system: Any, tmp_path: Path) -> None:
    report = made(tmp_path)
    page = sweep_page(report, system)
    shown = html.page_html(page).split("<body>")[1] + text.page_text(page)
    assert "DEMO" in page.mark
    assert sweep_page(replace(report, assumed_count=31), system).mark.endswith("31 assumed values")
    assert f"{report.assumed_count} assumed values" in fragment_of(report)
    assert page.demo
    assert "t &lt;b&gt;" in shown
    assert "What was varied" in shown
    assert "what & why" in text.page_text(page)
    assert not ASSURING.search(shown)
    if system == "us":
        assert "tyre" not in shown.replace("front-tyre", "")
        assert " mm" not in text.page_text(page)
    written = json.loads(summary.text(sweep_summary(report)))
    assert written["schema"] == "tipline.sweep/1"
    assert written["lead"] == report.lead
    drawings = view.sweep_drawings(report, system)
    assert [name for name, _, _ in drawings] == (
        ["map.svg"] * (made is grid) + ["shares.svg"] * (made is not thresholds) + ["effects.svg", "inputs.svg"]
    )
    assert all(svg.startswith("<svg") and svg == again for (_, _, svg), (_, _, again) in zip(
        drawings, view.sweep_drawings(report, system), strict=True))  # fmt: skip
    assert "<p>Found: " in fragment_of(report)


@pytest.mark.slow
def test_indices_come_with_how_well_they_are_known(tmp_path: Path) -> None:
    report = replace(
        drawn(tmp_path), kind="indices",
        indices=(Index("weight", -0.03, 0.21, 0.28, 0.18), Index("depth", 0.62, 0.31, 1.02, 0.25)),
    )  # fmt: skip
    apart = told(report, ())
    assert apart.lead == "depth decides most"
    assert apart.sentences[1] == (
        "Of how runs differ in whether they went over, depth by itself makes 62 % (give or take 31 %), together with "
        "others 100 % (give or take 25 %); then, each together with others, weight 28 % (give or take 18 %)."
    )
    assert any("more runs narrow them" in caution for caution in apart.cautions)
    zero = told(
        replace(report, indices=(Index("weight", 0.0, 0.0, 0.0, 0.0), Index("depth", 1.0, 0.001, 1.0, 0.0))), ()
    )
    assert zero.sentences[1].endswith(
        "by itself makes 100 % (give or take 1 %), together with others 100 % (give or take 1 %); then, each together "
        "with others, weight nothing seen in these runs."
    )
    table = next(one for one in sweep_page(zero).sections if one.title.startswith("Sobol indices: whether"))
    assert isinstance(table, Table_)
    assert table.rows[1] == ("weight", "none seen", "none seen")
    drawing = {name: svg for name, _, svg in view.sweep_drawings(zero)}["indices.svg"]
    assert "<!-- none seen -->" in drawing
    least = replace(zero, indices=(Index("weight", -0.004, 0.002, -0.001, 0.0), zero.indices[1]))
    table = next(one for one in sweep_page(least).sections if one.title.startswith("Sobol indices: whether"))
    assert isinstance(table, Table_)
    assert table.rows[1] == ("weight", "0.00 ± 0.01", "0.00 ± 0.01")
    assert "<!-- 0.00, 0.00 -->" in {name: svg for name, _, svg in view.sweep_drawings(least)}["indices.svg"]
    close = told(replace(report, indices=(Index("weight", 0.3, 0.2, 0.5, 0.3), report.indices[1])), ())
    assert close.lead == "not told apart by this many runs: depth, weight"


def test_a_report_is_a_table_of_its_effects_too(tmp_path: Path) -> None:
    frame = drawn(tmp_path).to_pandas()
    assert list(frame["input"]) == ["hole depth"] * 3 + ["lifted load"] * 3
    assert frame["with_outcome"].sum() == 200


def test_an_effect_reaches_from_the_least_to_the_greatest_of_its_groups() -> None:
    """Shares 0.2 to 0.75, means 1.5 to 4; a group without either counts for neither."""
    rows = ((1, 2, 4.0), (1, 5, math.nan), (3, 4, 1.5), (0, 0, 2.0))
    groups = tuple(
        InputGroup("", Share("truck", "over", count, runs, math.nan, math.nan), mean) for count, runs, mean in rows
    )
    effect = Effect("depth", groups)
    assert effect.span == pytest.approx(0.55)
    assert effect.reach == pytest.approx(2.5)
    assert math.isnan(Effect("depth", groups[1:2]).reach)
