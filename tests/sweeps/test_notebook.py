"""Every public result shows itself in a notebook and goes to pandas, each time with the DEMO mark and the cautions."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Any

import pyarrow.parquet as pq
import pytest

pytest.importorskip("pandas")
pytest.importorskip("xarray")

import tipline
from tipline.endings import ENDED
from tipline.notebook import ESTIMATE, GOVERNING
from tipline.report.page import ASSUMED, PointList
from tipline.report.sweeps import sweep_page
from tipline.runs.outcome_table import outcome_table
from tipline.scenario import read

pytestmark = pytest.mark.slow

DEMO = "DEMO: machine, floor and lifted load are invented; no real one has these figures."

SCENARIO = "front-tyre-breaks-through-load-high"
SHORT = {"run.duration": "2.5 s", "run.extend_to": "2.5 s"}
SWEEP = f"""title = "t"
scenario = "{SCENARIO}"
method = "monte-carlo"
runs = 3
set = {{ "run.duration" = "2.5 s", "run.extend_to" = "2.5 s" }}
[[variable]]
key = "event.0.depth"
least = "60 mm"
most = "160 mm"
"""
WHOLE = {"RunResult", "FloorResult", "SlopeResult", "SweepResult"}
"""What holds a case with its report: the report, the run and the table are what goes to pandas."""
PARTS = {
    "AtEnd",
    "EndingChange",
    "Ending",
    "NearLimit",
    "Outcome",
    "FloorPlan",
    "FromAbove",
    "Share",
    "Span",
    "StressMap",
    "Together",
    "Varied",
    "Watched",
    "WheelSheet",
}
"""What is shown with the whole only."""
OVER = {"Run", "SlopeReport", "SweepTable"}
"""Arrays over time, direction or run."""


def results_in(found: Any) -> Iterator[Any]:
    """Yield a result and those it holds, whatever they offer."""
    yield found
    for one in fields(found):
        held = getattr(found, one.name)
        spec = type(held).__module__.startswith(("tipline.model", "tipline.scenario"))
        if is_dataclass(held) and not spec and type(held).__name__ not in PARTS:
            yield from results_in(held)


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """One of each kind, by the name of its class."""
    file: Path = tmp_path_factory.mktemp("sweep") / "sweep.toml"
    file.write_text(SWEEP, encoding="utf-8")
    case = replace(read(SCENARIO, SHORT), cells=())
    broken = read("second-tyre-fails-after-the-first", {"run.duration": "4 s", "run.extend_to": "4 s"})
    ran = tipline.run(case, spread=2, floor_spread=0)
    full = read(SCENARIO)
    table = outcome_table(full, [["over"] * len(line) for line in full.cells])
    made = [
        replace(ran, report=replace(ran.report, outcome_table=table)),
        tipline.run(broken, spread=0, floor_spread=2),
        tipline.check(SCENARIO),
        tipline.floor("demo-hall-b"),
        tipline.floor("second-tyre-fails-after-the-first"),
        tipline.slopes(SCENARIO, heights="1", directions=8),
        tipline.sweep(file, workers=0),
    ]
    return {type(one).__name__: one for whole in made for one in results_in(whole)}


KINDS = [
    "Breaks", "CheckResult", "EndingTable", "FloorReport", "FloorResult", "PoseReport", "Run", "RunReport",
    "RunResult", "SlopeReport", "SlopeResult", "Spread", "SweepReport", "SweepResult", "SweepTable",
]  # fmt: skip


def test_these_are_all_kinds_there_are(results: dict[str, Any]) -> None:
    assert sorted(results) == KINDS


@pytest.mark.parametrize("kind", KINDS)
def test_a_notebook_shows_it_with_its_cautions(results: dict[str, Any], kind: str) -> None:
    shown = results[kind]._repr_html_()
    assert shown.startswith("<div><h3>")
    assert shown.count("DEMO · ") == 1
    for words in (DEMO, ESTIMATE, GOVERNING):
        assert shown.count(words.replace("'", "&#39;")) == 1, words
    assert "<style" not in shown
    assert len(shown) < 40_000


@pytest.mark.parametrize("kind", sorted(set(KINDS) - WHOLE))
def test_it_goes_to_pandas_with_its_cautions(results: dict[str, Any], kind: str) -> None:
    frame = results[kind].to_pandas()
    assert len(frame)
    assert frame.attrs["demo"] == 1
    assert frame.attrs["caution"] == f"{DEMO} {ESTIMATE} {GOVERNING}"
    assert results[kind].to_pandas().equals(frame)


@pytest.mark.parametrize("kind", sorted(OVER))
def test_arrays_go_to_xarray_with_their_cautions(results: dict[str, Any], kind: str) -> None:
    held = results[kind].to_xarray()
    assert held.attrs["demo"] == 1
    assert held.attrs["caution"] == f"{DEMO} {ESTIMATE} {GOVERNING}"


def test_the_file_of_a_sweep_carries_its_cautions(results: dict[str, Any], tmp_path: Path) -> None:
    results["SweepTable"].to_parquet(tmp_path / "sweep.parquet")
    told = json.loads(pq.read_schema(tmp_path / "sweep.parquet").metadata[b"tipline"])
    assert (told["demo"], told["caution"]) == (1, f"{DEMO} {ESTIMATE} {GOVERNING}")


def test_the_heading_of_a_part_says_how_its_runs_ended(results: dict[str, Any]) -> None:
    assert "<strong>the truck went over in 12</strong>" in results["EndingTable"]._repr_html_()
    spread = results["Spread"]
    shown = spread._repr_html_()  # the word for its own ending is said in full, not left to be read as the load's
    assert ENDED[spread.here.truck] in shown.split("</strong>")[0]
    assert "&lt;SweepTable" not in results["SweepTable"]._repr_html_()
    assert f"{spread.like_this} of {spread.runs} runs ended" in replace(spread, either_way=False)._repr_html_()
    assert "Could go either way" in replace(spread, either_way=True)._repr_html_()


def test_no_demo_mark_where_it_is_none(results: dict[str, Any]) -> None:
    own = replace(results["EndingTable"], demo="")
    assert "DEMO" not in own._repr_html_()
    assert own.to_pandas().attrs == {"demo": 0, "caution": f"{ESTIMATE} {GOVERNING}"}


def test_what_is_assumed_in_a_sweep_is_on_its_page_and_only_counted_in_a_notebook(results: dict[str, Any]) -> None:
    shown = results["SweepReport"]._repr_html_()
    (assumed,) = (part for part in sweep_page(results["SweepReport"]).sections if part.title == ASSUMED)
    assert isinstance(assumed, PointList)
    assert len(assumed.items) > 3
    assert assumed.items[0] not in shown
    assert "assumed values" in shown


def test_figures_of_a_report_are_those_of_the_report(results: dict[str, Any]) -> None:
    pose, run = results["PoseReport"], results["RunReport"]
    frame = pose.to_pandas().set_index(["what", "of"])
    assert frame.loc[("distance to the tip line", "left"), "value"] == pose.distances["left"]
    assert frame.loc[("tyre load", "front-left"), "unit"] == "N"
    told = run.to_pandas().set_index(["what", "of"])
    worst = told.loc[("worst distance to the tip line", "left")]
    assert (worst["value"], worst["time_s"], worst["unit"]) == (*run.distances["left"], "m")
    assert told.attrs["outcome"]["truck"] == run.outcome.truck
    asked = results["FloorReport"]
    assert list(asked.to_pandas()["zone"]) == [answer.zone for answer in asked.answers]
