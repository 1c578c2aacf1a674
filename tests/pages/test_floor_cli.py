"""The floor command: folder, exit code, tables, wheel-load sheet and the answer read back; the line in check."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

import tipline
from cases import nine_tonnes
from tipline import cli

Invoke = Callable[..., Result]

WAY = """
title = "in by the gate"
path = [["2 m", "2.6 m"], ["14 m", "2.6 m"], ["14 m", "9 m"]]
turning_radius = "2.5 m"
"""
ASSURING = re.compile(r"\b(safe|safely|ok|okay|permitted|approved|yes|pass|passes)\b", re.IGNORECASE)


@pytest.fixture
def invoke(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Invoke:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "way.toml").write_text(WAY, encoding="utf-8")
    return lambda *words: CliRunner().invoke(cli.app, [str(word) for word in words])


def scenario(floor: str, x: float, y: float) -> str:
    Path("case.toml").write_text(nine_tonnes(floor, x, y, title="nine tonnes <on the forks>"), encoding="utf-8")
    return "case.toml"


@pytest.mark.slow
def test_a_thin_slab_leaves_a_whole_folder_and_exits_4(invoke: Invoke) -> None:
    result = invoke("floor", scenario("demo-hall-c", 6.0, 5.5), "--stock", "demo-stock-a", "--out", "out", "--quiet")
    assert result.exit_code == 4, result.stderr
    assert {path.name for path in Path("out").iterdir()} == {
        "report.html", "report.json", "summary.json", "floor.csv", "wheel-loads.html", "floor-plan.svg",
        "stress-map.svg", "inputs",
    }  # fmt: skip
    text = result.stdout
    told = " ".join(text.split())
    assert " times the planning limit: " in told
    assert "How sure: Likely " in told
    assert "ll at its worst at once" in " ".join(text.split())
    assert "times the expected strength" in text
    assert "What to find out" in text
    assert not ASSURING.search(text)
    page = Path("out/report.html").read_text(encoding="utf-8")
    assert "&lt;on the forks&gt;" in page
    assert "DEMO" in page


@pytest.mark.slow
def test_table_and_summary_hold_the_same_answers(invoke: Invoke) -> None:
    result = invoke("floor", scenario("demo-hall-c", 6.0, 5.5), "--out", "out", "--no-pictures", "--json", "--quiet")
    summary = json.loads(result.stdout)
    assert summary == json.loads(Path("out/summary.json").read_text(encoding="utf-8"))
    with Path("out/floor.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert len(rows) == len(summary["answers"]) > 10
    assert {(row["demo"], row["caution"][:5]) for row in rows} == {("1", "DEMO:")}
    assert summary["governing"].items() >= summary["answers"][0].items()
    for row, answer in zip(rows, summary["answers"], strict=True):
        assert row["mode"] == answer["mode"]
        assert float(row["planning_limit_likely"]) == pytest.approx(answer["planning_limit_likely"])
        assert float(row["expected_strength_likely"]) > float(row["planning_limit_likely"])
    high = [round(answer["of_planning_limit_high"], 9) for answer in summary["answers"]]
    assert high == sorted(high, reverse=True)


@pytest.mark.slow
def test_a_route_is_swept_and_drawn(invoke: Invoke) -> None:
    name = scenario("demo-hall-d", 6.0, 5.0)
    result = invoke("floor", name, "--route", "way.toml", "--out", "out", "--units", "us", "--quiet")
    assert result.exit_code == 4
    assert "tire" in result.stdout
    change, spreaders = (
        next(line for line in result.stdout.splitlines() if line.startswith(word))
        for word in ("Change one thing", "Choose spreaders")
    )
    assert change.endswith('lb" --route way.toml')
    assert spreaders.endswith(f"tipline floor {name} --route way.toml --stock demo-stock-a")
    assert "pipe trench, west" in Path("out/report.html").read_text(encoding="utf-8").replace("\u00a0", " ")
    sheet = Path("out/wheel-loads.html").read_text(encoding="utf-8")
    assert "... lbf" in sheet
    words, pictures = re.subn(r'base64,[^"]*', "", sheet)
    assert pictures == 1
    assert "kN" not in words
    summary = json.loads(Path("out/summary.json").read_text(encoding="utf-8"))
    assert {tyre["set_up"] for tyre in summary["tyres"]} == {"laden", "empty"}
    assert "track of" not in Path("out/floor-plan.svg").read_text(encoding="utf-8")[:200]


HOLLOW = """title = "Demo: a slab washed out at its corner"
demo = true
origin = "demo"
[[zone]]
name = "slab"
kind = "slab"
corner = ["0 m", "0 m"]
size = ["24 m", "15 m"]
below = "soil"
thickness = "6 in"
concrete = "4000 psi"
soil = "firm clay"
outer_edge = "free"
[[zone.cavity]]
name = "washed out"
at = ["4.2 m", "14 m"]
radius = "5 m"
"""


@pytest.mark.slow
def test_a_slab_that_would_tip_into_a_cavity_is_said_beside_the_other_answers(invoke: Invoke) -> None:
    """All ground within 5 m of the corner is gone, and with it what could balance the front tyres' side."""
    Path("hollow.toml").write_text(HOLLOW, encoding="utf-8")
    way = 'path = [["4 m", "13 m"], ["4 m", "13.4 m"]]'
    Path("up.toml").write_text(way, encoding="utf-8")
    name = scenario("hollow.toml", 4.0, 13.4)
    result = invoke("floor", name, "--set", "setup.heading=90 deg", "--out", "told")
    assert result.exit_code == 4, result.output
    assert "no support balances the load: the slab" in " ".join(result.stdout.split())
    told = json.loads(Path("told/summary.json").read_text(encoding="utf-8"))
    assert len(told["left_out"]) == 1
    assert told["left_out"][0].startswith("the stress map of slab about front-")
    assert told["answers"]
    assert told["tyres"]
    assert not Path("told/stress-map.svg").exists()
    assert Path("told/floor-plan.svg").exists()
    along = invoke("floor", name, "--route", "up.toml", "--json", "--no-pictures", "--out", "along")
    assert along.exit_code == 4, along.output
    told = json.loads(along.stdout)
    assert told["left_out"]
    assert {tyre["set_up"] for tyre in told["tyres"]} == {"laden", "empty"}


def test_a_floor_without_limits_exceeded_exits_0(invoke: Invoke) -> None:
    result = invoke("floor", scenario("demo-yard-b", 6.0, 5.0), "--out", "out", "--no-pictures", "--quiet")
    assert result.exit_code == 0
    assert " times the planning limit: " in " ".join(result.stdout.split())
    assert not ASSURING.search(result.stdout)


def test_a_floor_alone_tells_loads_and_who_must_answer(invoke: Invoke) -> None:
    result = invoke("floor", "demo-hall-e", "--out", "out", "--no-pictures", "--quiet")
    assert result.exit_code == 0
    assert "Others must answer" in result.stdout
    assert "who must answer" in result.stdout
    result = invoke("floor", "demo-hall-b", "--out", "other", "--no-pictures", "--quiet")
    assert "Tyre loads at which a planning limit is reached" in result.stdout


def test_the_sheets_answer_is_read_back(invoke: Invoke) -> None:
    name = scenario("demo-hall-e", 14.0, 8.0)
    before = invoke("floor", name, "--out", "before", "--no-pictures", "--quiet")
    assert before.exit_code == 0
    sheet = Path("before/wheel-loads.html").read_text(encoding="utf-8")
    assert "greatest tyre load allowed here" in sheet
    assert "allowed_wheel_load" in sheet
    floor = Path(tipline.__file__).parents[2] / "models/floors/demo-hall-e.toml"
    answered = floor.read_text(encoding="utf-8").replace(
        'posted = "350 psf"', 'allowed_wheel_load = "60 kN"\nallowed_by = "a letter"', 1
    )
    Path("mine.toml").write_text(answered, encoding="utf-8")
    after = invoke("floor", name, "--set", "floor=mine.toml", "--out", "after", "--no-pictures", "--quiet")
    assert after.exit_code == 4, after.stderr
    page = Path("after/report.html").read_text(encoding="utf-8").replace("\u00a0", " ")
    assert re.search(r">\d\.\d+ times what was allowed<", page)
    assert "allowed by a letter" in after.stdout


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("floor", "nowhere"), "no shipped scenario of that name"),
        (("floor", "demo-hall-b", "--route", "way.toml"), "a route needs a truck"),
        (("floor", "case.toml", "--route", "none.toml"), "no such file"),
        (("floor", "case.toml", "--stock", "none"), "no shipped stock of that name"),
        (("floor", "case.toml", "--route", "back.toml"), "turns back along its own line"),
        (("floor", "case.toml", "--route", "twice.toml"), "lies on the point before it"),
        (("floor", "case.toml", "--route", "short.toml"), "path"),
    ],
)
def test_what_is_wrong_is_one_message_and_leaves_nothing(invoke: Invoke, words: tuple[str, ...], told: str) -> None:
    scenario("demo-hall-c", 6.0, 5.5)
    Path("back.toml").write_text('path = [["0 m", "0 m"], ["5 m", "0 m"], ["1 m", "0 m"]]', encoding="utf-8")
    Path("twice.toml").write_text('path = [["0 m", "0 m"], ["0 m", "0 m"]]', encoding="utf-8")
    Path("short.toml").write_text('path = [["0 m", "0 m"]]', encoding="utf-8")
    result = invoke(*words, "--out", "out", "--quiet")
    assert result.exit_code == 2
    assert told in result.stderr
    assert not Path("out").exists()


def test_check_has_the_floors_line_and_exits_4(invoke: Invoke) -> None:
    result = invoke("check", scenario("demo-hall-c", 6.0, 5.5), "--quiet")
    assert result.exit_code == 4
    assert "What the truck puts on the floor" in result.stdout
    told = " ".join(result.stdout.split())
    assert "on the floor: the front-right tyre loads the old slab to " in told
    told = json.loads(invoke("check", "case.toml", "--json", "--quiet").stdout)
    assert "times the planning limit" in told["floor"]["lead"]


def test_check_on_a_rigid_floor_says_so(invoke: Invoke) -> None:
    result = invoke("check", scenario("demo-hall-a", 6.0, 5.5), "--quiet")
    assert result.exit_code == 0
    assert "taken as rigid" in result.stdout
