"""The floor in plan and the stress map: what is drawn, in both systems of units, the same bits each time."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from cases import nine_tonnes
from few import slow_but
from tipline import scenario
from tipline.floors.answers.alone import floor_alone
from tipline.floors.answers.demand import demand
from tipline.floors.answers.report import FloorReport
from tipline.model import read_floor
from tipline.view import floor_drawings
from tipline.view.floor_plan import draw_floor_plan
from tipline.view.stress_map import draw_stress_map


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> FloorReport:
    path: Path = tmp_path_factory.mktemp("floor") / "case.toml"
    path.write_text(nine_tonnes("demo-hall-c"), encoding="utf-8")
    return demand(scenario.read(path))


@pytest.mark.slow
def test_drawings_are_svg_with_captions(report: FloorReport) -> None:
    drawn = floor_drawings(report)
    assert [name for name, _, _ in drawn] == ["floor-plan.svg", "stress-map.svg"]
    for _, caption, svg in drawn:
        assert caption
        assert ET.fromstring(svg).tag.endswith("svg")
    assert "closed formulas" in drawn[1][1]


@pytest.mark.slow
def test_the_same_report_gives_the_same_drawing(report: FloorReport) -> None:
    assert draw_floor_plan(report) == draw_floor_plan(report)
    assert report.stress is not None
    assert draw_stress_map(report.stress, True) == draw_stress_map(report.stress, True)


@pytest.mark.slow
def test_units_change_what_is_written(report: FloorReport) -> None:
    assert report.stress is not None
    assert draw_stress_map(report.stress, True, "us") != draw_stress_map(report.stress, True, "si")
    assert draw_floor_plan(report, "us") != draw_floor_plan(report, "si")


def test_every_shape_of_the_floor_is_in_the_plan(report: FloorReport) -> None:
    kinds = {area.kind for area in report.plan.areas}
    assert kinds == {"rigid", "slab", "cavity"}
    assert {kind for kind, _ in report.plan.lines} == {"joint", "free edge"}
    assert {name for name, _ in report.plan.patches} == {"front-left", "front-right", "rear-left", "rear-right"}


@pytest.mark.parametrize("name", slow_but(["demo-hall-d", "demo-site-b", "demo-yard-d"], "demo-yard-d"))
def test_a_floor_alone_can_be_drawn(name: str) -> None:
    assert draw_floor_plan(floor_alone(read_floor(name))).startswith("<svg")
