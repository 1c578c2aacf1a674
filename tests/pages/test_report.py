"""Pages say what the report holds, in the words and units asked for; the summary keeps its names."""

from __future__ import annotations

import json
import re
from base64 import b64encode
from dataclasses import replace
from html.parser import HTMLParser
from types import SimpleNamespace
from typing import Any

import pytest

import tipline
from tipline.report import html, sections, summary, text, wording
from tipline.report import page as pages
from tipline.report.page import Picture, Pictures, PointList, Table
from tipline.report.sections import Beside
from tipline.report.spread import neighbour
from tipline.runs.endings import EndingChange


class Page(HTMLParser):
    """Collect what a browser would load, run and show."""

    def __init__(self, source: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.links: list[str] = []
        self.alts: list[str] = []
        self.words: list[str] = []
        self.feed(source)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.links += [value or "" for name, value in attrs if name in ("src", "href")]
        self.alts += [dict(attrs).get("alt") or ""] if tag == "img" else []

    def handle_data(self, data: str) -> None:
        self.words.append(data.replace("\u00a0", " "))


SVG = '<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg" width="10"><path d="M0 0"/></svg>'


def test_page_is_one_file_with_everything_inside(run_report) -> None:
    drawn = Pictures("Pictures", (Picture("at rest", data=b"\xff\xd8", media="image/jpeg"), Picture("loads", svg=SVG)))
    source = html.page_html(sections.run_page(run_report, beside=Beside((drawn,))))
    page = Page(source)
    inside = ["data:image/jpeg;base64,/9g=", f"data:image/svg+xml;base64,{b64encode(SVG.encode()).decode()}"]
    assert [link for link in page.links if not link.startswith("#")] == inside
    assert page.alts == ["at rest", "loads"]
    assert not {"link", "svg", "script"} & set(page.tags)


def test_every_section_that_holds_something_is_on_the_page(run_report, pose_report) -> None:
    for made in (sections.run_page(run_report), sections.pose_page(pose_report)):
        words = Page(html.page_html(made)).words
        titles = [one.title for one in made.sections if getattr(one, "rows", ()) or getattr(one, "items", ())]
        assert len(titles) > 6
        assert [title for title in titles if title not in words] == []


def test_text_from_files_cannot_become_markup(run_report) -> None:
    source = html.page_html(sections.run_page(replace(run_report, title="<b>bold</b>")))
    page = Page(source)
    assert "script" not in page.tags
    assert "b" not in page.tags
    assert "<script>alert(1)</script> tyre & rim" in page.words


def test_run_page_says_outcome_worst_and_what_is_missing(run_report) -> None:
    page = text.page_text(sections.run_page(run_report, beside=Beside(omissions=("film: no OpenGL",))))
    for expected in (
        "went over to the left",
        "-12 mm (past it)",
        "tip left",
        "1.84 s",
        "swing left",
        "rear-right: 0.2 kN at 1.80 s",
        "8.3 %",
        "231 kN",
        "film: no OpenGL",
        "DEMO · computed, not recorded · run 7d3f01 · 2 assumed values",
        "the maker's capacity plate and manual",
    ):
        assert expected in page, expected
    assert "up to the point of no return, 1.70 s." in " ".join(page.split())
    assert "Hole-depth limit" in page
    assert "This holds only while" not in page
    assert "It ended in a fall." in page
    assert "So the limits of the set-up are left out here." in " ".join(page.split())
    held = replace(run_report.outcome, truck="down", lifted_load="kept", floor="held", direction=None)
    stayed = replace(run_report, outcome=held, exceeded=())
    limits = text.page_text(sections.run_page(stayed))
    assert "| gross load at most  5.32 tonne" in limits
    assert "| floor level within  1 %" in limits
    assert re.search(
        r"hole depth +hook height 3 m +hook height 6.2 m\n.*\n? +120 mm +a tyre lifted, came back +over \(this run\)",
        page,
    )
    assert max(len(line) for line in page.splitlines()) <= text.WIDTH


def test_runs_of_a_spread_without_a_result_are_counted(doubtful) -> None:
    fewer = replace(doubtful, spread=replace(doubtful.spread, asked=52))
    assert "2 of 52 runs" in " ".join(text.page_text(sections.run_page(fewer)).split())
    assert "of 50 runs have no result" not in " ".join(text.page_text(sections.run_page(doubtful)).split())


def test_limits_that_a_run_went_beyond_are_left_out_and_each_reason_is_told_first(run_report) -> None:
    """A tyre off the floor, a hole, a stop harder than the limit: no limits of the set-up beside them."""
    kept = replace(run_report.outcome, truck="down", lifted_load="kept", floor="held", direction=None)
    title = "This run went beyond the limits of the set-up"
    for outcome, exceeded, first in (
        (replace(kept, truck="tyre-off"), (), "The truck ended with a tyre off the floor: all of its tyres have"),
        (replace(kept, floor="broke"), (), "The floor broke: a hole or a sinking floor is in none of the limits."),
        (kept, ("the stop is harder than its limit",), "A planning limit is exceeded, as said above."),
    ):
        sections_of = sections.run_page(replace(run_report, outcome=outcome, exceeded=exceeded)).sections
        assert "This holds only while" not in {one.title for one in sections_of}
        told = next(one for one in sections_of if one.title == title)
        assert isinstance(told, PointList)
        assert told.items[0].startswith(first)
        assert exceeded == next((one.items for one in sections_of if one.title == "Planning limit exceeded"), ())
        assert told.items[-1].startswith("So the limits of the set-up are left out here.")


def test_down_is_never_said_without_the_lightest_tyre_and_the_steer_axle(run_report) -> None:
    outcome = replace(run_report.outcome, truck="down", direction=None)
    page = sections.run_page(replace(run_report, outcome=outcome, no_return=None))
    rows = dict(next(section for section in page.sections if section.title == "How it ended").rows)
    assert rows["lightest tyre"] == "rear-right: 0.2 kN at 1.80 s"
    assert rows["least on the steer axle"] == "8.3 % of the weight"
    assert "Lightest tyre: rear-right, 0.2 kN at 1.80 s." in dict(page.said)["How near"]


def test_us_pages_use_us_units_and_spelling(run_report) -> None:
    page = text.page_text(sections.run_page(run_report, "us"))
    assert "tyre" not in page.replace(run_report.title, "")
    assert "-0.5 in" in page
    assert "lbf" in page
    assert " kN" not in page


def test_long_lists_are_cut_on_the_short_page_only(run_report) -> None:
    many = replace(run_report, assumed=tuple(f"value {index}" for index in range(30)))
    page = sections.run_page(many)
    assert "value 29" not in text.page_text(page)
    assert f"and {30 - text.MOST_POINTS} more" in text.page_text(page)
    assert "value 29" in html.page_html(page)


def test_full_page_lists_set_up_with_origins(pose_report) -> None:
    inputs = {
        "load.size": {"value": "1.8 m, 1.4 m", "si": [1.8, 1.4], "quantity": "length", "origin": "told"},
        "load.mass": {"value": "4 tonne", "si": 4000.0, "quantity": "mass", "origin": "drawing"},
        "machine.mast.mass": {"value": "1 tonne", "si": 1000.0, "quantity": "mass", "origin": "demo"},
    }
    words = Page(html.page_html(sections.pose_page(pose_report, "si", Beside(inputs=inputs)))).words
    assert {"lifted load: mass", "4 tonne", "drawing", "1.8 m, 1.4 m"} <= set(words)
    assert "machine mast mass" not in words
    words = Page(html.page_html(sections.pose_page(pose_report, "us", Beside(inputs=inputs)))).words
    assert {"8,820 lb", "5.91 ft, 4.59 ft"} <= set(words)


def test_us_pages_restate_what_reports_tell_in_words(run_report) -> None:
    told = replace(
        run_report,
        events=((1.0, "the floor gives way under the front-left tyre by 115 mm"),),
        assumed=("mass of lifted load: 6 tonne, assumed",),
        holds_only_while=(("no stop shorter than, from 5 km/h,", 4.36, "length"),),
        outcome=replace(run_report.outcome, truck="down", lifted_load="kept", floor="held", direction=None),
        exceeded=(),
    )
    words = Page(html.page_html(sections.run_page(told, "us"))).words
    assert "the floor gives way under the front-left tire by 4.53 in" in words
    assert "mass of lifted load: 13,200 lb" in words
    assert {"no stop shorter than, from 3.1 mph", "14.3 ft"} <= set(words)


def test_a_number_stays_with_its_unit(run_report) -> None:
    source = html.page_html(sections.run_page(run_report))
    assert "1.84\u00a0s" in source
    assert "-12\u00a0mm (past it)" in source


def test_no_line_of_a_terminal_ends_between_a_number_and_its_unit() -> None:
    said = "a" * 40 + " between 49 % and 59 kN " * 6
    table = Table("t", ("first", "second"), ((said, said),), brief=True)
    page = pages.Page("p", "m", "l", False, (PointList("q", (said,)), table))
    for width in range(60, 100):
        assert not any(line.lstrip("- ").startswith(("%", "kN")) for line in text.page_text(page, width).splitlines())
        assert "  %" not in text.page_text(page, width)


@pytest.mark.parametrize("width", [60, 80, 132])
def test_short_pages_fit_the_terminal(run_report, pose_report, width: int) -> None:
    long = replace(run_report, title="A title that goes on for longer than most terminals are wide " * 3)
    for page in (sections.run_page(long), sections.pose_page(pose_report)):
        assert max(len(line) for line in text.page_text(page, width).splitlines()) <= width


def test_events_are_numbered_in_the_order_of_time(run_report) -> None:
    told = replace(run_report, events=((2.0, "late"), (1.0, "early")))
    events = next(section for section in sections.run_page(told).sections if section.title == "Events")
    assert events.rows == (("1", "1.00 s", "early"), ("2", "2.00 s", "late"))


def test_where_the_play_of_the_mast_lies_is_said(pose_report) -> None:
    page = " ".join(text.page_text(sections.pose_page(replace(pose_report, lean="left"))).split())
    assert "The play of the mast is taken to the left." in page
    assert "play" not in text.page_text(sections.pose_page(pose_report))


@pytest.mark.parametrize(
    ("value", "words"), [(0.1325, "13.2 %"), (0.000695, "0.1 %"), (0.0, "0 %"), (-1e-9, "0 %"), (0.25, "25 %")]
)
def test_shares_have_one_decimal_at_most(value: float, words: str) -> None:
    assert wording.share(value) == words


@pytest.mark.parametrize(
    ("value", "words"), [(293.0, "0.3 kN"), (76_000.0, "76.0 kN"), (99_970.0, "100 kN"), (231_400.0, "231 kN")]
)
def test_tyre_loads_have_one_unit(value: float, words: str) -> None:
    assert wording.load(value, "si") == words


def test_unmarked_when_not_a_demo(pose_report) -> None:
    page = sections.pose_page(pose_report)
    assert "DEMO" not in text.page_text(page)
    assert "DEMO" not in html.page_html(page)


def test_pose_page_says_limits(pose_report) -> None:
    page = text.page_text(sections.pose_page(pose_report))
    words = (
        "Stands at rest; nearest limit: letting the drive pedal go; a planning limit is exceeded",
        "94 mm",
        "1.1 m/s2",
        "less than 10 %",
        "drive axle 89 %",
        "190 kN",
    )
    for expected in words:
        assert expected in page, expected
    hung = text.page_text(sections.pose_page(replace(pose_report, hole_depth_limits={})))
    assert "Hole-depth limit" not in hung


def test_summary_has_the_promised_names(run_report) -> None:
    data = json.loads(summary.text(summary.run_summary(run_report)))
    assert data["schema"] == "tipline.summary/2"
    assert set(data["outcome"]) == {
        "truck",
        "lifted_load",
        "floor",
        "lead",
        "direction",
        "as_expected",
        "heading",
        "cause",
    }
    distance = data["worst"]["distance_to_tip_line_mm"]
    assert set(distance) == {"front", "back", "left", "right", "swing"}
    assert distance["left"] == {"value": -12.0, "time_s": 1.84}
    assert distance["swing"]["right"]["time_s"] == 0.1
    assert data["worst"]["energy_left_kJ"]["front"] == {"value": 42.0, "time_s": 0.5}
    assert data["worst"]["lightest_tyre"] == {"tyre": "rear-right", "load_kN": 0.24, "time_s": 1.8}
    assert data["rest"] == {
        "tyre_loads_kN": {"front-left": 84.0, "rear-right": 11.0},
        "axle_share": {"drive": 0.89, "steer": 0.11},
        "weight_kN": 190.0,
    }
    assert data["peak"]["tyre_loads_kN"]["front-left"] == {"value": 231.0, "time_s": 1.62}
    assert set(data["numerics"]) == {"time_step_s", "energy_error", "force_balance_error"}
    assert data["holds_only_while"][0] == {"what": "gross load at most", "value": 5320.0, "unit": "kg"}
    assert data["outcome_table"] == {
        "row": {"key": "event.0.depth", "unit": "m", "values": [0.08, 0.12]},
        "column": {"key": "setup.hook_height", "unit": "m", "values": [3.0, 6.2]},
        "outcome": [["down", "down"], ["tyre-lifted", "over"]],
        "this_run": [1, 1],
    }
    assert {"scenario", "assumed", "governs", "run_id", "demo"} <= set(data)


def test_summary_keeps_every_digit(run_report) -> None:
    data = json.loads(summary.text(summary.run_summary(run_report)))
    value = data["worst"]["distance_to_tip_line_mm"]["front"]["value"]
    assert value == run_report.distances["front"][0] * 1e3


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), float("-inf")])
def test_summary_writes_null_with_a_reason_for_what_is_not_finite(run_report, bad: float) -> None:
    source = summary.text(summary.run_summary(replace(run_report, steer_axle_share=bad)))
    assert "NaN" not in source
    assert "Infinity" not in source
    data = json.loads(source)
    assert data["worst"]["steer_axle_share"] is None
    assert data["null_because"]["worst.steer_axle_share"] == summary.NO_REASON
    assert data["worst"]["energy_left_kJ"]["left"] == {"value": None, "time_s": None}
    assert data["null_because"]["worst.energy_left_kJ.left.value"] == "it went over"


def test_pose_summary(pose_report) -> None:
    data = json.loads(summary.text(summary.pose_summary(pose_report)))
    assert data["schema"] == "tipline.check/1"
    assert data["hole_depth_limit_mm"] == {"left": 94.0}
    assert data["holds_against"] == [{"what": "stop no shorter than", "value": 1.1, "unit": "m/s2"}]
    assert data["planning_limits_exceeded"] == ["the steer axle carries less than 10 %"]
    assert data["energy_to_tip_kJ"] == {"front": 61.0}
    assert set(data["null_because"]) == {"share_of_load_it_stands_with"}


def test_a_pose_that_does_not_stand_says_where_it_goes_and_what_it_could_hold(pose_report) -> None:
    fallen = replace(pose_report, stands="tips", over="front", fold_factor=0.825)
    page = text.page_text(sections.pose_page(fallen, beside=Beside(assumed=10)))
    assert "Why: Before anything happens its weight lies ahead of the front tip line." in page
    assert "With 82.5 % of the lifted load it would still stand." in page
    assert "10 assumed values" in page


def test_heading_says_that_it_could_go_either_way_with_this_run_beside_it(run_report, doubtful) -> None:
    assert sections.run_page(run_report).lead == "The truck goes over to the left"
    page = sections.run_page(doubtful)
    assert page.lead == "Could go either way: the truck stayed up in 41 of 50 runs"
    assert page.said[0] == ("This run", "The truck goes over to the left.")
    told = " ".join(text.page_text(page).split())
    assert "Could go either way: the truck stayed up in 41 of 50 runs ====" in told
    for line in (
        "The truck stayed up in 41 of 50 runs; as given the truck goes over to the left.",
        "The truck lifted a tyre and came back down in 41; went over in 9.",
        "The lifted load stayed where it was in 41; dropped in 9.",
        "At 109 mm of hole depth, 9 mm shallower, it ends with a tyre off the floor; as given it is 118 mm.",
        "What decides most: hole depth, shallower in the runs that stayed up.",
        "Worked out by Tipline's own compiled engine.",
    ):
        assert line in told, line
    assert "The floor broke in" not in told
    assert page.lead in Page(html.page_html(page)).words


def test_full_page_lists_what_was_varied_and_how_it_is_known(doubtful) -> None:
    table = next(section for section in sections.run_page(doubtful).sections if section.title == "What was varied")
    assert table.rows == (
        ("hole depth", "118 mm", "106 mm to 130 mm", "told"),
        ("stiffness of all tyres", "100 %", "85 % to 115 %", "assumed; kept within its limits"),
        ("friction on the forks", "0.3", "0.26 to 0.34", "told"),
    )
    assert "common practice, no source" in table.note
    us = next(s for s in sections.run_page(doubtful, "us").sections if s.title == "What was varied")
    assert us.rows[0][1] == "4.65 in"
    assert us.rows[1][0] == "stiffness of all tires"


def test_spread_tells_what_it_could_not_do(doubtful) -> None:
    def told(**changes: object) -> str:
        return " ".join(text.page_text(sections.run_page(replace(doubtful, **changes))).split())

    few = replace(doubtful.spread, asked=50, runs=48, change=replace(doubtful.spread.change, at=None), decides="")
    page = told(spread=few)
    assert "2 of 50 runs have no result: what was drawn is more than the truck can do." in page
    assert "No other ending found with hole depth from 100 mm to 130 mm, all else as given. Looked for in steps" in page
    assert "no single input stands out" in page
    assert "Not computed: none of 50 runs has a result." in told(spread=replace(doubtful.spread, runs=0))
    edge = told(spread=replace(doubtful.spread, edge="tyre-lifted", edge_said="lifts a tyre", change=None))
    assert "This run is on the edge: with a longer time step, as in the runs beside it, it lifts a tyre." in edge
    further = replace(
        doubtful.spread, stays_until=replace(doubtful.spread.change, at=0.09, ending="down", said="stays up")
    )
    falls = "At 90 mm of hole depth, 28 mm shallower, it stays up."
    assert falls in told(spread=further)
    assert falls not in edge
    assert falls in told(spread=replace(further, edge="tyre-off", change=None))
    again = replace(doubtful.spread, change=replace(doubtful.spread.change, comes_back=True))
    assert "A little farther it ends as this run again: there is more than one change." in told(spread=again)
    assert "A little farther" not in edge


def test_summary_gives_the_spread_under_a_key_of_its_own(run_report, doubtful) -> None:
    assert summary.run_summary(run_report)["spread"] is None
    found = json.loads(summary.text(summary.run_summary(doubtful)))["spread"]
    assert (found["runs"], found["stayed_up"], found["could_go_either_way"]) == (50, 41, True)
    assert found["stayed_up_share_interval_95"] == [0.692, 0.902]
    assert found["change"] == {
        "what": "hole depth",
        "unit": "m",
        "here": 0.118,
        "at": 0.109,
        "ends": "tyre-off",
        "comes_back": False,
        "looked_through": [0.1, 0.13],
    }
    assert [one["unit"] for one in found["varied"]] == ["m", "", ""]


def test_a_truck_without_a_load_does_not_come_to_rest_on_one(run_report) -> None:
    outcome = replace(run_report.outcome, truck="resting", lifted_load="none", direction="back")
    assert dict(sections.ended(outcome))["truck"] == "came to rest on its body or mast, past the back line"


def test_the_heading_of_a_set_up_names_the_plate_before_any_other_limit(pose_report) -> None:
    """A gross load above the plate was "a planning limit is exceeded", at the end of a line that begins "Stands"."""
    plate = "the gross load 10.9 tonne is above the capacity plate's 9.5 tonne"
    floor = "on the floor: the front-left tyre loads the hall slab to 2.4 times the planning limit"
    heads = [replace(pose_report, exceeded=beyond).heading for beyond in ((floor, plate), (floor,), ("a stop", floor))]
    assert [head.rpartition("; ")[2] for head in heads] == [
        "the gross load is above the capacity plate",
        "the planning limit of the floor is exceeded",
        "a planning limit is exceeded",
    ]


def test_the_nearest_other_ending_is_told_before_the_one_that_falls() -> None:
    """Of a floor that holds 480 kg lighter the first screen told 2.1 tonne heavier only."""
    lighter = EndingChange("lifted weight", "mass", 10900.0, 10420.0, "down", 5000.0, 20000.0)
    lighter = replace(lighter, said="stays on its tyres", side="lighter")
    heavier = replace(lighter, at=13000.0, said="comes to rest on its body", side="heavier")
    spread: Any = SimpleNamespace(runs=10, change=lighter, stays_until=heavier, edge_said="")
    assert neighbour(spread, "si") == (
        "At 10.4 tonne of lifted weight, 480 kg lighter, it stays on its tyres; at 13 tonne of lifted weight, 2.1 "
        "tonne heavier, it comes to rest on its body."
    )
    spread.stays_until = lighter
    assert neighbour(spread, "si") == "At 10.4 tonne of lifted weight, 480 kg lighter, it stays on its tyres."
    spread.change = spread.stays_until = None
    assert neighbour(spread, "si") == ""


def test_a_floor_for_which_others_must_answer_is_headed_by_that_and_by_what_is_known() -> None:
    """Four lines of the largest type until now: the whole sentence with its ranges."""
    hung = tipline.floor("wind-on-a-hung-panel", {"floor": "demo-yard-c"}).report
    assert hung.heading.startswith("others must answer for the surface of the main floor: strength not known here; ")
    assert len(hung.heading) < 200
    assert "nine in ten" not in hung.heading


def test_a_limit_that_is_not_known_and_a_floor_that_is_not_asked_say_why() -> None:
    """A search that ran out was told as a lean of 70 degrees or more, which is none."""
    pose: Any = SimpleNamespace(
        hole_depth_limits={"front": 0.029, "back": float("nan")},
        reasons={"hole_depth_limit_mm.back": "no pose was found"},
        floor=None,
    )
    (table,) = sections.hole_depths(pose, "si")
    assert table.rows[0] == ("front", "29 mm")
    assert table.rows[1] == ("back", "not known: no pose was found")
    (broken,), (rigid,) = (sections.on_the_floor(pose, broke=broke) for broke in (True, False))
    assert "gives way where an event says so; elsewhere it is taken as rigid" in broken.items[0]
    assert rigid.items == ("The floor is taken as rigid: its strength is not looked at.",)
