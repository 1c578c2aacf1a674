"""No label of a drawing lies on another one: floors, wheel-load sheets, slopes, loads, sweeps, stills, as shipped.

Boxes round every text that is shown, as the drawing library lays them out; of stills, as they are written.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text

import tipline
from cases import SHORT_SWEEPS
from few import slow_but
from shipped_pages import reconstructed
from tipline import view
from tipline.model.shipped import list_shipped
from tipline.view import canvas, frame, plan
from tipline.view.canvas import Layout, text_size

TOUCH = 0.5
"""Letters have room round them in their box: less than this [points] of overlap is none that is seen."""
SOME = ("demo-site-b",)
UNDER = (
    "stop-with-the-load-up-breaks-a-slab", "the-same-lift-on-spreaders", "driving-onto-a-trench-lid",
    "soft-ground-under-one-side", "second-tyre-fails-after-the-first",
)  # fmt: skip
"""Scenarios on floors that are not rigid, a kind each."""


def overlaps(figure: Figure) -> list[tuple[str, str]]:
    """Give each pair of texts whose boxes lie over each other."""
    renderer: Any = FigureCanvasAgg(figure).get_renderer()
    figure.draw(renderer)
    outside = set(_outside(figure))
    shown = [
        text
        for text in figure.findobj(Text)
        if isinstance(text, Text)
        and text not in outside
        and text.get_visible()
        and text.get_text().strip()
        and text.get_window_extent().width
    ]
    boxes = [(text.get_text(), Text.get_window_extent(text, renderer)) for text in shown]  # without leaders
    least = TOUCH * figure.dpi / 72.0
    return [
        (one, other)
        for (one, a), (other, b) in combinations(boxes, 2)
        if min(a.x1, b.x1) - max(a.x0, b.x0) > least and min(a.y1, b.y1) - max(a.y0, b.y0) > least
    ]


def _outside(figure: Figure) -> Iterator[Text]:
    """Yield the numbers of ticks beyond the ends of their axis: laid out, and never drawn."""
    for axes in figure.axes:
        for axis in (axes.xaxis, axes.yaxis):
            low, high = sorted(axis.get_view_interval())
            for tick in axis.get_major_ticks():
                if not low - 1e-9 <= tick.get_loc() <= high + 1e-9:
                    yield from (tick.label1, tick.label2)


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


def test_two_texts_at_one_place_are_found() -> None:
    figure = Figure()
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.text(0.5, 0.5, "one")
    axes.text(0.51, 0.5, "other")
    axes.text(0.1, 0.1, "apart")
    assert overlaps(figure) == [("one", "other")]


@pytest.mark.parametrize(
    "names", [SOME, pytest.param(tuple(list_shipped()["floor"]), marks=pytest.mark.slow)], ids=["some", "all"]
)
def test_labels_of_floors_stand_apart(drawn: list[Figure], names: tuple[str, ...]) -> None:
    for name in names:
        view.floor_drawings(tipline.floor(name).report)
        assert [(name, pair) for figure in drawn for pair in overlaps(figure)] == []
        drawn.clear()


@pytest.mark.slow
def test_labels_of_floors_under_a_truck_and_of_sheets_stand_apart(drawn: list[Figure]) -> None:
    for name in UNDER:
        report = tipline.floor(name).report
        for system in ("si", "us"):
            view.floor_drawings(report, system)
            view.wheel_sketch(report, system)
            assert [(name, pair) for figure in drawn for pair in overlaps(figure)] == []
            drawn.clear()


@pytest.mark.parametrize("name", slow_but(list_shipped()["machine"], "demo-truck-a"))
@pytest.mark.parametrize("system", slow_but(["si", "us"], "us"))
def test_labels_of_load_charts_stand_apart(drawn: list[Figure], name: str, system: Any) -> None:
    view.load_drawings(tipline.loads(name).report, system)
    assert drawn
    assert [pair for figure in drawn for pair in overlaps(figure)] == []


@pytest.mark.slow
@pytest.mark.parametrize("name", list_shipped()["sweep"])
def test_labels_of_sweeps_stand_apart(drawn: list[Figure], name: str) -> None:
    report = tipline.sweep(name, SHORT_SWEEPS[name]).report
    for system in ("si", "us"):
        view.sweep_drawings(report, system)
    assert len(drawn) > 3
    assert [pair for figure in drawn for pair in overlaps(figure)] == []


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "system"),
    [("front-tyre-breaks-through-load-high", "si"), ("stop-with-the-load-up-breaks-a-slab", "us")],
)
def test_letters_of_stills_stand_apart_and_are_large_enough(
    opengl: None, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, name: str, system: Any
) -> None:
    """At rest, at the worst, at the landing, at the end; each of the pictures that a still is put together of."""
    written: dict[int, list[tuple[str, tuple[float, float, float, float]]]] = {}
    pictures: list[Any] = []
    sizes: set[int] = set()
    write = canvas.write

    def note(draw: Any, at: tuple[float, float], text: str, size: int, *more: Any, **options: Any) -> None:
        write(draw, at, text, size, *more, **options)
        _, bold, right = (*more, *(None, False, False)[len(more) :])
        wide, high = text_size(text, size, options.get("bold", bold))
        x = at[0] - (wide if options.get("right", right) else 0.0)
        pictures.append(draw.im)  # kept, so that no other picture takes its number
        sizes.add(size)
        written.setdefault(id(draw.im), []).append((text, (x, at[1], x + wide, at[1] + 0.8 * high)))

    monkeypatch.setattr(frame, "write", note)
    monkeypatch.setattr(plan, "write", note)
    found = tipline.run(name, spread=0, floor_spread=0)
    with closing(view.begin_stills(found.run, found.report, found.case, system)) as begun:
        stills = begun.write(tmp_path)
    assert len(stills) == 4
    assert sum(map(len, written.values())) > 80
    assert min(sizes) >= Layout.of(draft=False).height / 40
    over = [
        (one, other)
        for texts in written.values()
        for (one, a), (other, b) in combinations(texts, 2)
        if min(a[2], b[2]) - max(a[0], b[0]) > TOUCH and min(a[3], b[3]) - max(a[1], b[1]) > TOUCH
    ]
    assert over == []


@pytest.mark.slow
def test_labels_of_an_incident_stand_apart(drawn: list[Figure], tmp_path_factory: pytest.TempPathFactory) -> None:
    report = reconstructed(tmp_path_factory).report
    for system in ("si", "us"):
        view.incident_drawings(report, system)
        view.calibration_drawings(report, system)
    assert len(drawn) >= 4
    assert [pair for figure in drawn for pair in overlaps(figure)] == []


@pytest.mark.slow
def test_labels_of_slopes_stand_apart(drawn: list[Figure]) -> None:
    report = tipline.slopes("floor-falls-sideways", directions=16).report
    view.slope_drawings(report)
    assert drawn
    assert [pair for figure in drawn for pair in overlaps(figure)] == []
