"""A case from its file to its page: errors where they stand, known causes found again, the same bits after a break."""

from __future__ import annotations

import json
from dataclasses import replace
from math import isnan, pi, radians
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import binomtest, chisquare

import tipline
from tipline.commands.reconstruct import ReconstructResult
from tipline.engines.prepare import prepare
from tipline.engines.resting import lies
from tipline.errors import InputErrors, NumericalError
from tipline.incidents.assessment import assess_incident
from tipline.incidents.report import Verdict
from tipline.kernels import layout as at
from tipline.model.shipped import find, list_shipped
from tipline.report.incident import incident_page, incident_summary
from tipline.report.text import page_text
from tipline.scenario import read
from tipline.scenario.incident_reader import read_incident
from tipline.sweeps.batch import run_batch
from tipline.view import course_drawings

BY_THE_PRESS = "truck-on-its-side-by-the-press"
FORWARD = "truck-forward-on-its-load"


@pytest.fixture(scope="module")
def told() -> dict[str, ReconstructResult]:
    """The shipped cases with few runs and their rounds, in this process.

    Of the load that fell forward 200: of 60, only 15 come near on the weak floor, and so few are told too surely.
    """
    changes = {
        name: {"runs": 200 if name == FORWARD else 60, "keeps_up.runs": 20 if name == FORWARD else 0}
        for name in list_shipped()["incident"]
    }
    return {name: tipline.reconstruct(name, own, workers=0) for name, own in changes.items()}


@pytest.mark.slow
def test_the_shipped_cases_end_as_they_were_made(told: dict[str, ReconstructResult]) -> None:
    """One told apart, one that cannot be, one whose cause is not listed."""
    press = told[BY_THE_PRESS].report
    assert press.heading.startswith("Consistent with what was found: a channel gave way under both left tyres")
    assert {cause.name: cause.verdict for cause in press.causes}["both tyres"] == Verdict.CONSISTENT
    words = [cause.verdict for result in told.values() for cause in result.report.causes]
    assert (
        words.count(Verdict.FEW) <= 1
    )  # of eight, with 60 or 200 runs each and four rounds of half as many; none with 300
    forward = told[FORWARD].report
    assert forward.heading.startswith("What was found does not tell apart: ")
    assert {cause.name for cause in forward.causes if cause.verdict == Verdict.APART} == {"pedal", "brake"}
    aisle = told["truck-on-its-right-side-in-the-aisle"].report
    assert aisle.heading == "No listed cause reproduces what was found"
    assert "turn" in aisle.not_examined


@pytest.mark.slow
def test_told_probabilities_hold_on_made_up_cases(told: dict[str, ReconstructResult]) -> None:
    """Over the three cases, 1800 made-up ones: what was told on average lies in the interval of what was so."""
    parts = [part for result in told.values() for part in result.report.calibration.bins]
    assert sum(result.report.calibration.cases for result in told.values()) == 1800
    outside = [part for part in parts if not part.span[0] <= part.told <= part.span[1]]
    assert len(outside) <= 2  # of some 16 intervals of 19 in 20
    assert len(parts) >= 10


@pytest.mark.slow
def test_settings_of_made_up_cases_rank_anywhere_alike(told: dict[str, ReconstructResult]) -> None:
    """Of all settings of the three cases; the nine in ten told of them holds in nine of ten, and ranks are even.

    Held beside few of 60 runs and without what is not known of so few, they held in 85 to 88 of 100.
    """
    ranked = [setting for result in told.values() for setting in result.report.calibration.ranked]
    assert len(ranked) >= 20
    assert sum(setting.off > setting.allowed for setting in ranked) <= 4  # each 1 time in 20: five of 26 in 1 of 100
    within, cases = sum(setting.within for setting in ranked), sum(setting.cases for setting in ranked)
    low, high = binomtest(within, cases).proportion_ci(0.99)
    assert low <= 0.9 <= high
    assert chisquare(np.sum([setting.tenths for setting in ranked], axis=0)).pvalue > 1e-3


@pytest.mark.slow
def test_page_and_summary_say_the_same(told: dict[str, ReconstructResult]) -> None:
    """No percentage without its list in the same sentence; figures of the summary are those of the page."""
    for result in told.values():
        page, summary = incident_page(result.report), incident_summary(result.report)
        text = " ".join(page_text(page).split())
        assert result.report.heading in text
        assert "may be the one" in text
        share = result.report.causes[0].probability
        assert summary["causes"][0]["probability"] == (None if isnan(share) else share)
        shared = dict(page.said).get("Shared out", "")
        assert all(cause.said in shared for cause in result.report.causes) or not shared
        assert json.loads(json.dumps(summary, allow_nan=False)) == summary
        of = "The run of each cause that comes nearest"
        typed = [
            next(section for section in incident_page(result.report, system).sections if section.title == of).rows  # type: ignore[union-attr]
            for system in ("si", "us")
        ]
        assert [row[1] for row in typed[0]] == [row[1] for row in typed[1]]  # a command to type is not restated
        ranked = [f"{one['in_nine_in_ten']} of {one['cases']}" for one in summary["made_up_cases"]["settings"]]
        rows = next(section for section in page.sections if section.title == "Settings of the made-up cases").rows  # type: ignore[union-attr]
        assert [row[2] for row in rows] == ranked


@pytest.mark.slow
def test_a_known_cause_is_found_again(told: dict[str, ReconstructResult]) -> None:
    """A run of the pull, taken as what was found: the pull fits, with 60 runs of each cause and none drawn nearer."""
    result = told[BY_THE_PRESS]
    first = [tables[:1] for tables in result.tables]
    table = first[0][0]
    run = next(k for k, word in enumerate(table.column("direction").tolist()) if word == "left")
    readings = tuple(
        replace(reading, value=_left(reading.of, reading.measured.column, table, run)) if reading.used else reading
        for reading in result.plan.readings
    )
    report = assess_incident(replace(result.plan, readings=readings), first, courses=False)
    assert report.causes[0].verdict != Verdict.NOT


@pytest.mark.slow
def test_the_course_of_events_is_that_of_the_nearest_runs(told: dict[str, ReconstructResult]) -> None:
    """In order, from the floor that gives way to the fall; a time lies between the earliest and the latest."""
    cause = next(one for one in told[BY_THE_PRESS].report.causes if one.name == "both tyres")
    assert [step.at for step in cause.course] == sorted(step.at for step in cause.course)
    assert cause.course[0].at == pytest.approx(1.0)
    assert cause.course[0].runs == cause.course[0].of == 5
    assert all(step.earliest <= step.at <= step.latest for step in cause.course)
    assert not told["truck-on-its-right-side-in-the-aisle"].report.causes[0].course  # none fits: nothing is told of it


@pytest.mark.slow
def test_the_moments_of_the_nearest_run_are_drawn_where_its_bodies_are(told: dict[str, ReconstructResult]) -> None:
    """It stands where it stood as the floor gives way, and lies on its left side at the end."""
    cause = next(one for one in told[BY_THE_PRESS].report.causes if one.name == "both tyres")
    moments = cause.drawn.moments
    kinds = [moment.kind for moment in moments]
    assert (kinds[0], kinds[-1], cause.drawn.over) == ("event", "outcome", "left")
    assert {"tyre off", "line crossed", "landing"} <= set(kinds)
    assert [moment.step.at for moment in moments] == sorted(moment.step.at for moment in moments)
    assert all(moment.step.earliest <= moment.step.at <= moment.step.latest for moment in moments)
    assert moments[0].matrices[0] == pytest.approx(np.eye(4), abs=0.05)
    assert moments[-1].matrices[0][1, 2] > 0.7  # what was up of it points to the left
    drawings = course_drawings(cause.drawn, "demo", "c")
    assert 4 <= len(drawings) <= len(moments)  # what happens at one moment is one drawing
    assert drawings[0][1].startswith("1.00 s: ")
    plain = {one["name"]: one for one in incident_summary(told[BY_THE_PRESS].report)["causes"]}
    assert [one["at_s"] for one in plain["both tyres"]["moments"]] == [moment.step.at for moment in moments]


@pytest.mark.slow
def test_what_keeps_the_load_up_is_told_of_the_likeliest_cause_only(told: dict[str, ReconstructResult]) -> None:
    """Of a stop a gentler one does; where no cause fits, nothing is told; page and summary have the same figures."""
    assert told["truck-on-its-right-side-in-the-aisle"].report.keeps_up is None
    report = told[FORWARD].report
    found = report.keeps_up
    assert found is not None
    assert report.keeps_up_of == max(report.causes, key=lambda cause: cause.probability).said
    assert (found.runs, found.share, found.before) == (20, 0.9, 0.0)
    stop = next(one for one in found.changes if one.name == "softer release")
    assert stop.to is not None
    assert stop.to < stop.was[0]
    assert stop.share >= 0.9
    text, summary = page_text(incident_page(report)), incident_summary(report)
    assert "What in this model keeps the load up" in text
    plain = {one["what"]: one for one in summary["keeps_up"]["changes"]}
    assert plain["softer release"]["least"] == stop.to
    assert plain["slope"] == {"what": "slope", "not_tried": "the floor is level"}


def _left(of: str, column: str, table: tipline.sweeps.table.SweepTable, run: int) -> float | str:  # type: ignore[name-defined]
    value = table.column(column)[run]
    return str(value) if of.endswith((".end", ".over")) else float(value)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "changes"),
    [
        ("free-load-slides-on-the-forks", {"load.friction_on_forks": 0.18}),
        ("load-shed-from-the-jib", {"load.mass": "2.6 t"}),
        ("service-stop-load-low", {"load.mass": "17 t"}),
    ],
)
def test_a_run_that_lies_still_before_it_is_decided_goes_on_until_it_is(name: str, changes: dict[str, object]) -> None:
    """It was taken for one that broke down: 35 of 72 such runs had no result."""
    (ended,) = run_batch([read(name, changes, table=False)], rests=True)
    assert ended.reason == ""
    assert ended.truck != "no result"
    assert ended.lies is not None


def test_where_a_truck_lies_by_hand() -> None:
    """Moved by 2 m ahead and 1 m left of where it stood, turned by 30 degrees to the left, on its left side."""
    prepared = prepare(read("front-tyre-breaks-through-load-high", table=False), dt=0.002)
    build = prepared.build
    stood_x, stood_y, heading = build.home[:3]
    turn, side = heading + radians(30.0), -0.5 * pi
    # turned about the vertical, then rolled about its own length
    yaw = np.array([0.0, 0.0, np.sin(turn / 2), np.cos(turn / 2)])
    roll = np.array([np.sin(side / 2), 0.0, 0.0, np.cos(side / 2)])
    state = np.zeros((1, at.N_BODY, 13))
    state[0, :, 3:7] = _product(yaw, roll)
    c, s = np.cos(turn), np.sin(turn)
    rotation = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]) @ np.array(
        [[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]]
    )
    ahead = np.array([2.0 * np.cos(heading) - np.sin(heading), 2.0 * np.sin(heading) + np.cos(heading), 0.4])
    state[0, at.CHASSIS, :3] = np.array([stood_x, stood_y, 0.0]) + ahead - rotation @ build.home[3:6]
    found = lies(prepared, state, 0.002, np.inf)
    assert found.truck_ahead == pytest.approx(2.0)
    assert found.truck_left == pytest.approx(1.0)
    assert found.truck_heading == pytest.approx(radians(30.0))
    assert found.truck_roll == pytest.approx(side)
    assert found.truck_pitch == pytest.approx(0.0, abs=1e-12)


def _product(a: np.ndarray, b: np.ndarray) -> np.ndarray:  # type: ignore[type-arg]
    x, y, z, w = a
    return np.array(
        [
            w * b[0] + x * b[3] + y * b[2] - z * b[1],
            w * b[1] - x * b[2] + y * b[3] + z * b[0],
            w * b[2] + x * b[1] - y * b[0] + z * b[3],
            w * b[3] - x * b[0] - y * b[1] - z * b[2],
        ]
    )


BAD = {
    'recorded = "broke"': ('recorded = "cracked"', "found.2.recorded", "held; sank; broke"),
    'recorded = "3 deg"': ('recorded = "3"', "found.3.recorded", "deg"),
    'within = "6 deg"\n': ("", "found.3", "within"),
    'within = "0.8 m"': ('within = "0 m"', "found.4.within", "error"),
    'name = "pull"\nkind': ('name = "one tyre"\nkind', "cause.1.name", "name of its own"),
    'kind = "pushed or pulled"': ('kind = "ghost"', "cause.0.kind", "cavity under a tyre"),
    'key = "event.0.force"': ('key = "event.0.strength"', "cause.0.variable.0.key", ""),
    'most = "10 kN"': ('most = "0.5 kN"', "cause.0.variable.0.most", ""),
    'under = "front-left", depth': ('under = "front", depth', "cause.1.set.event", ""),
    'recorded = "left"': ('recorded = "none"', "found.1.recorded", "contradicts found.0: a truck that is over went"),
    'recorded = "over"': ('recorded = "down"', "found.1.recorded", "a truck that ended down went over no side"),
    'said = "something pulled': (
        'set = { machine = "no-such-truck" }\nsaid = "something pulled',
        "cause.0.set",
        "no-such-truck",
    ),
    'how = "level"': ('of2 = "x"', "found.5.of2", "Keys here"),
}


@pytest.mark.parametrize("right", BAD)
def test_a_wrong_case_is_told_where_it_is_wrong(right: str, tmp_path: Path) -> None:
    """File, key and remedy of each slip."""
    wrong, key, remedy = BAD[right]
    text = find("incident", BY_THE_PRESS)[0].read_text()
    assert right in text
    file = tmp_path / "case.toml"
    file.write_text(text.replace(right, wrong, 1))
    with pytest.raises(InputErrors) as caught:
        read_incident(file)
    problems = [problem for problem in caught.value.problems if str(problem.key).startswith(key)]
    assert problems, [str(problem) for problem in caught.value.problems]
    assert remedy in str(problems[0])
    assert "case.toml" in str(problems[0])


@pytest.mark.slow
def test_a_cause_that_cannot_do_it_says_what_its_runs_miss(told: dict[str, ReconstructResult]) -> None:
    """Nothing in the aisle turned by 120 degrees: each cause says how far its runs turn, or where else they are off."""
    report = told["truck-on-its-right-side-in-the-aisle"].report
    assert all(cause.verdict == Verdict.NOT and cause.misses for cause in report.causes)
    assert any("120 deg was found, its runs leave" in cause.misses for cause in report.causes)
    assert "Why a cause is not consistent" in page_text(incident_page(report))
    press = told[BY_THE_PRESS].report
    assert not next(cause for cause in press.causes if cause.name == "both tyres").misses


@pytest.mark.slow
def test_a_cause_whose_runs_all_break_down_is_a_numerical_failure(told: dict[str, ReconstructResult]) -> None:
    """That is told apart from a cause that does not fit, with the first run's own words."""
    result = told[BY_THE_PRESS]
    table = result.tables[0][0]
    broken = table.column("truck").copy()
    broken[:] = "no result"

    class Broken:
        def column(self, name: str) -> object:
            return {"truck": broken, "reason": reason}.get(name, table.column(name))

        def __len__(self) -> int:
            return len(table)

    (reason := table.column("reason").copy())[:] = "it broke down"
    with pytest.raises(NumericalError, match="no run of the cause 'pull' gives a result"):
        assess_incident(result.plan, [[Broken()], *result.tables[1:]], courses=False)  # type: ignore[list-item]


def test_a_truck_over_to_the_left_lies_left_side_down(tmp_path: Path) -> None:
    """A roll to the other side, recorded before anything was moved, is refused; after a pull it is listed."""
    text = find("incident", BY_THE_PRESS)[0].read_text()
    file = tmp_path / "case.toml"
    file.write_text(text.replace('"-60 deg"', '"60 deg"').replace("moved = true\n", ""))
    with pytest.raises(InputErrors, match=r"contradicts found\.1: a truck over to the left lies left side down"):
        read_incident(file)
    file.write_text(text.replace('"-60 deg"', '"60 deg"'))
    assert not read_incident(file).readings[5].used


def test_what_was_recorded_after_a_move_is_not_used() -> None:
    """The roll that the crane foreman read while the truck was lifted is listed only."""
    readings = {reading.of: reading.used for reading in read_incident(BY_THE_PRESS).readings}
    assert readings["truck.roll"] is False
    assert sum(readings.values()) == 5
