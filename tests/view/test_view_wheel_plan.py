"""The sketch of the wheel-load sheet: what it names, and that it is no mirror image."""

from __future__ import annotations

from typing import Any

import pytest

from tipline import view
from tipline.floors.answers.demand import demand
from tipline.floors.answers.report import FloorReport
from tipline.scenario import read
from tipline.view.wheel_plan import draw_wheel_plan


@pytest.fixture(scope="module")
def report() -> FloorReport:
    return demand(
        read(
            "driving-onto-a-trench-lid",
            {"machine": "demo-truck-b", "floor": "demo-hall-b", "setup.counterweight_extension": "1 m"},
        ),
        detail=True,
    )


@pytest.mark.slow
def test_the_sketch_is_svg_with_a_caption_and_the_same_again(report: FloorReport) -> None:
    caption, svg = view.wheel_sketch(report)
    assert "front to the left" in caption
    assert svg.startswith("<svg")
    assert svg == draw_wheel_plan(report)
    assert svg != draw_wheel_plan(report, "us")


def test_the_left_side_lies_below_where_the_front_is_to_the_left(
    report: FloorReport, monkeypatch: pytest.MonkeyPatch
) -> None:
    import tipline.view.wheel_plan as drawing

    found: dict[str, tuple[float, float]] = {}
    told = drawing.draw_tyre

    def noted(axes: Any, place: tuple[float, float], patch: tuple[float, float], text: str) -> None:
        told(axes, place, patch, text)
        shape = axes.patches[-1]
        found[text.partition("\n")[0]] = (shape.get_x() + shape.get_width() / 2, shape.get_y() + shape.get_height() / 2)

    monkeypatch.setattr(drawing, "draw_tyre", noted)
    draw_wheel_plan(report)
    assert found["front-left-outer"][1] == pytest.approx(-1.05)
    assert found["front-right-outer"][1] == pytest.approx(1.05)
    assert found["front-left-outer"][0] == pytest.approx(0.0)
    assert found["rear-left"][0] == pytest.approx(2.5)
