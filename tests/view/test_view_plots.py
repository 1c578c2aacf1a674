"""Plots: units on the axes, nothing on top of anything else, the same bytes each time."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from tipline.view.plots import draw_plots, put_apart
from tipline.view.story import Mark, Story


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[Figure]:
    """Every figure that is saved."""
    figures: list[Figure] = []
    save = Figure.savefig

    def keep(self: Figure, *args: Any, **options: Any) -> None:
        figures.append(self)
        save(self, *args, **options)

    monkeypatch.setattr(Figure, "savefig", keep)
    return figures


def crowded(story: Story) -> Story:
    """The story with many events close together."""
    marks = [
        Mark(
            1.0 + 0.01 * k,
            f"event {k}",
            k == 0,
        )
        for k in range(40)
    ]
    return replace(story, marks=tuple(marks))


@pytest.mark.parametrize(
    ("system", "units"), [("si", ("[kN]", "[mm]", "[deg]")), ("us", ("[1,000 lbf]", "[in]", "[deg]"))]
)
def test_every_axis_has_a_unit(make_story: Callable[..., Story], drawn: list[Figure], system: Any, units: Any) -> None:
    draw_plots(make_story(), system)
    assert [
        figure.axes[0].get_ylabel().split()[-1] if system == "si" else figure.axes[0].get_ylabel()[-len(u) :]
        for figure, u in zip(drawn, units, strict=True)
    ] == list(units)
    assert {figure.axes[0].get_xlabel() for figure in drawn} == {"time [s]"}


@pytest.mark.parametrize("kind", ["plain", "crowded"])
def test_no_text_overlaps_or_is_clipped(make_story: Callable[..., Story], drawn: list[Figure], kind: str) -> None:
    story = make_story()
    draw_plots(crowded(story) if kind == "crowded" else story)
    for figure in drawn:
        canvas = FigureCanvasAgg(figure)
        canvas.draw()
        renderer = canvas.get_renderer()
        axes = figure.axes[0]
        texts = [*axes.texts, *figure.texts, axes.xaxis.label, axes.yaxis.label]
        texts += [t for t in (*axes.get_xticklabels(), *axes.get_yticklabels()) if t.get_text()]
        low, high = axes.get_ylim()
        texts = [t for t in texts if t not in axes.get_yticklabels() or low <= t.get_position()[1] <= high]
        boxes = [(text.get_text(), text.get_window_extent(renderer)) for text in texts]
        whole = figure.bbox
        for words, box in boxes:
            assert box.x0 >= 0 and box.y0 >= 0 and box.x1 <= whole.x1 and box.y1 <= whole.y1, words
        for (one, a), (other, b) in itertools.combinations(boxes, 2):
            shared = min(a.x1, b.x1) - max(a.x0, b.x0), min(a.y1, b.y1) - max(a.y0, b.y0)
            assert min(shared) <= 1.0, (one, other)


@pytest.mark.slow
def test_same_input_same_bytes(make_story: Callable[..., Story]) -> None:
    assert draw_plots(make_story()) == draw_plots(make_story())


def test_svg_stands_alone_and_is_marked(make_story: Callable[..., Story], drawn: list[Figure]) -> None:
    for svg in draw_plots(make_story()).values():
        assert svg.startswith("<svg")
        assert not re.search(r"<(script|image)|https?://(?!www\.w3\.org)", svg)
    for figure in drawn:
        assert any("DEMO" in text.get_text() and "computed, not recorded" in text.get_text() for text in figure.texts)


def _gaps(values: Any) -> bool:
    """Whether a curve has a value that is missing."""
    return bool(np.isnan(np.asarray(values, dtype=float)).any())


def test_missing_values_are_gaps_not_errors(make_story: Callable[..., Story], drawn: list[Figure]) -> None:
    story = make_story()
    gap = replace(story.lines[2], distance=np.where(story.time > 1.5, np.nan, story.lines[2].distance))
    draw_plots(replace(story, lines=(*story.lines[:2], gap, *story.lines[3:])))
    (curve,) = (line for figure in drawn for axis in figure.axes for line in axis.lines if _gaps(line.get_ydata()))
    assert np.isnan(curve.get_ydata()).sum() == (story.time > 1.5).sum() > 0
    drawn.clear()
    draw_plots(replace(story, lines=(replace(gap, distance=np.full(len(story.time), np.nan)),)))
    curves = [line.get_ydata() for figure in drawn for axis in figure.axes for line in axis.lines]
    assert [np.isnan(values).all() for values in curves if _gaps(values)] == [True]


@given(st.lists(st.floats(-1.0, 4.0), min_size=1, max_size=8))
def test_spread_keeps_order_gap_and_limits(wanted: list[float]) -> None:
    placed = put_apart(wanted, 0.3, 0.0, 3.0)
    assert min(placed) >= -1e-9
    assert max(placed) <= 3.0 + 1e-9
    order = sorted(range(len(wanted)), key=lambda k: (wanted[k], k))
    assert all(placed[b] - placed[a] >= 0.3 - 1e-9 for a, b in itertools.pairwise(order))
