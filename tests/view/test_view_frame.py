"""What is written on a frame, and that the text parts fit into it."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tipline.view import frame, palette, plan
from tipline.view.canvas import Layout, text_size, wrap
from tipline.view.frame import Composer, marking_lines, so_far
from tipline.view.mark_sizes import arrow_scale
from tipline.view.scene import Frame
from tipline.view.story import Story

LONGEST = "truck: down, too light to steer; lightest tyre front-right-outer, 126.9 kN; least on the steer axle 14 %"
PLAN = 5
"""Lines of small letters that the plan has at least, above its note."""


def blank(story: Story, view: tuple[int, int]) -> Frame:
    """A frame as the scene gives it, with nothing in the picture."""
    spots = np.column_stack([np.linspace(200, 420, len(story.tyres)), np.full(len(story.tyres), 250.0)])
    return Frame(
        image=np.full((view[1], view[0], 3), 230, np.uint8),
        tyres=spots * [1.0, 0.8],
        lines=np.full((len(story.lines), 2, 2), 120.0),
        balance=np.array([[300.0, 180.0]]),
        places=np.array([[220.0, 240.0]] * len(story.places)),
        raised=np.array([[320.0, 260.0]] * len(story.raised)),
        rope=np.zeros((0, 2)),
        parts=np.array([[250.0, 50.0, 350.0, 200.0]]),
    )


def test_every_frame_is_marked(make_story: Callable[..., Story]) -> None:
    story = make_story()
    assert story.marking == ("computed, not recorded", "run a1b2c3d4", "7 values assumed", "DEMO")
    assert "DEMO" not in replace(story, demo=False).marking
    assert replace(story, assumed=1).marking[2] == "1 value assumed"
    first, second = marking_lines(story)
    assert first == "computed, not recorded · run a1b2c3d4 · 7 values assumed"
    assert "estimate" in second


def test_a_threshold_has_its_name_and_height(make_story: Callable[..., Story], monkeypatch: pytest.MonkeyPatch) -> None:
    ring = np.array([[7.0, 3.0], [7.1, 3.0], [7.1, 5.0], [7.0, 5.0]])
    story = replace(make_story(), raised=((ring, 0.02),))
    written, write = [], frame.write
    monkeypatch.setattr(frame, "write", lambda *args, **said: written.append(args[2]) or write(*args, **said))
    composer = Composer(story)
    composer.picture(blank(story, composer.layout.view), 0, "")
    assert "threshold, 20 mm high" in written


@pytest.mark.parametrize("draft", [False, True])
def test_marking_and_demo_are_drawn_and_fit(make_story: Callable[..., Story], draft: bool) -> None:
    story = make_story()
    composer = Composer(story, draft)
    lay = composer.layout
    with_demo = np.asarray(composer.picture(blank(story, lay.view), 150, "1/4 speed"))
    without = np.asarray(Composer(replace(story, demo=False), draft).picture(blank(story, lay.view), 150, "1/4 speed"))
    band = slice(lay.height - lay.bottom, lay.height)
    assert (with_demo[band] != without[band]).any()
    assert with_demo.shape == (lay.height, lay.width, 3)
    wide = text_size("DEMO", lay.small, True)[0] + 2 * lay.text + text_size(marking_lines(story)[0], lay.small, True)[0]
    assert wide < lay.width
    assert text_size(marking_lines(story)[1], lay.small)[0] + lay.text < lay.width


@pytest.mark.parametrize("draft", [False, True])
def test_speed_is_on_the_frame(make_story: Callable[..., Story], draft: bool) -> None:
    story = make_story()
    composer = Composer(story, draft)
    frame, lay = blank(story, composer.layout.view), composer.layout
    slow, real = (np.asarray(composer.picture(frame, 150, words)) for words in ("1/4 speed", ""))
    changed = np.argwhere((slow != real).any(axis=2))
    assert len(changed) > 100
    assert changed[:, 1].min() >= lay.width - lay.panel


def test_events_so_far(make_story: Callable[..., Story]) -> None:
    story = make_story()
    assert so_far(story, 0.5) == ("at rest",)
    assert so_far(story, 1.0) == ("1.00 s  floor breaks through under front-left",)
    assert so_far(story, 9.0)[-1].endswith("past the left tip line")


def test_same_story_same_picture(make_story: Callable[..., Story]) -> None:
    story = make_story()
    pictures = [
        Composer(story).picture(blank(story, Layout.of(False).view), 200, "1/4 speed").tobytes() for _ in range(2)
    ]
    assert pictures[0] == pictures[1]


def test_wrapped_lines_fit() -> None:
    text = "the floor gives way under the front-left-outer tyre while a_very_long_single_word_without_any_blank"
    for line in wrap(text, 17, 180.0):
        assert text_size(line, 17)[0] <= 180.0


def test_quantities_in_words() -> None:
    assert palette.force(82_040.0, "si") == "82.0 kN"
    assert palette.force(117_200.0, "si") == "117 kN"
    assert palette.force(10_000.0 * 4.4482216152605, "us") == "10,000 lbf"
    assert palette.short_length(-0.0004, "si") == "0 mm"
    assert palette.short_length(-0.1496, "si") == "-150 mm"
    assert palette.short_length(0.0254, "us") == "1.0 in"
    assert palette.depth(0.118, "us") == "4.65 in"  # as in the sentences about it
    assert palette.depth(0.118, "si") == "118 mm"
    assert palette.short_length(float("nan"), "si") == "-"
    assert palette.spelled("Tyre and tyre", "us") == "Tire and tire"
    assert palette.spelled("the tyre, by 115 mm", "us") == "the tire, by 4.53 in"
    assert palette.spelled("the tyre, by 115 mm", "si") == "the tyre, by 115 mm"


@pytest.mark.parametrize("draft", [False, True])
def test_the_longest_outcome_stays_above_the_plan(
    make_story: Callable[..., Story], monkeypatch: pytest.MonkeyPatch, draft: bool
) -> None:
    story = replace(make_story(), outcome=(LONGEST, "lifted load: dropped", "floor: broke"))
    written: list[tuple[float, str, int]] = []

    def note(draw: object, at: tuple[float, float], text: str, size: int, *rest: object, **more: object) -> None:
        written.append((at[1], text, size))

    monkeypatch.setattr(frame, "write", note)
    composer = Composer(story, draft)
    composer.picture(blank(story, composer.layout.view), 400, "", ended=True)
    floor = next(row for row in written if row[1] == "floor: broke")
    note_below = next(row for row in written if row[1].startswith("grid "))
    assert floor[0] + text_size("0", floor[2])[1] <= note_below[0] - PLAN * text_size("0", note_below[2])[1]
    assert any("truck: down" in text for _, text, _ in written)
    assert "distance to [mm]" not in [text for _, text, _ in written]


def test_the_last_frame_says_the_outcome_once_in_the_largest_letters(
    make_story: Callable[..., Story], monkeypatch: pytest.MonkeyPatch
) -> None:
    story = replace(make_story(), outcome=("The truck goes over to the left",))
    written: list[tuple[str, int]] = []

    def note(draw: object, at: object, text: str, size: int, *rest: object, **more: object) -> None:
        written.append((text, size))

    monkeypatch.setattr(frame, "write", note)
    composer = Composer(story)
    composer.picture(blank(story, composer.layout.view), 400, "", ended=True)
    large = [text for text, size in written if size == max(size for _, size in written)]
    assert " ".join(large).endswith("The truck goes over to the left")
    assert sum("goes over" in text or "truck" in text for text, _ in written) <= 2


@pytest.mark.parametrize("draft", [False, True])
def test_the_end_says_that_it_could_go_either_way_and_how_this_run_went(
    make_story: Callable[..., Story], monkeypatch: pytest.MonkeyPatch, draft: bool
) -> None:
    parted = (
        "stayed up in 50 of 50 runs; a tyre was left off the floor in 20; the lifted load slid in 3, was dropped in 7"
    )
    doubts = (parted, "the floor breaks in 15 of 20 runs")
    story = replace(make_story(), outcome=(LONGEST, "lifted load: kept", "floor: broke"), doubts=doubts)
    written: list[tuple[float, str, int]] = []

    def note(draw: object, at: tuple[float, float], text: str, size: int, *rest: object, **more: object) -> None:
        written.append((at[1], text, size))

    monkeypatch.setattr(frame, "write", note)
    composer = Composer(story, draft)
    composer.picture(blank(story, composer.layout.view), 400, "", ended=True)
    texts = [text for _, text, _ in written]
    assert "Outcome" not in texts
    shown = " ".join(texts[texts.index("Could go either way") :])
    told = [f"{doubt[:1].upper()}{doubt[1:]}." for doubt in doubts]
    assert " ".join(("Could go either way", *told, f"This run: {LONGEST}")) in shown
    last = next(row for row in written if row[1] == "floor: broke")
    note_below = next(row for row in written if row[1].startswith("grid "))
    assert last[0] + text_size("0", last[2])[1] <= note_below[0] - PLAN * text_size("0", note_below[2])[1]
    written.clear()
    composer.picture(blank(story, composer.layout.view), 400, "", ended=False)
    assert "Could go either way" not in [text for _, text, _ in written]


@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("draft", [False, True])
def test_rows_of_the_table_do_not_run_into_each_other(
    make_story: Callable[..., Story], monkeypatch: pytest.MonkeyPatch, draft: bool, system: Any
) -> None:
    story = make_story()
    past = tuple(replace(line, distance=np.full_like(line.distance, -1.999)) for line in story.lines)
    spans: dict[float, list[tuple[float, float, str]]] = {}

    def note(
        draw: object, at: tuple[float, float], text: str, size: int, colour: object = None, bold: bool = False,
        right: bool = False,
    ) -> None:  # fmt: skip
        wide = text_size(text, size, bold)[0]
        spans.setdefault(at[1], []).append((at[0] - wide, at[0], text) if right else (at[0], at[0] + wide, text))

    monkeypatch.setattr(frame, "write", note)
    composer = Composer(replace(story, lines=past), draft, system)
    composer.picture(blank(story, composer.layout.view), 400, "1/4 speed")
    table = [sorted(row) for row in spans.values() if len(row) == 3]
    assert len(table) == 1 + len(past)
    for row in table:
        for (_, end, one), (start, _, other) in itertools.pairwise(row):
            assert end + 3 <= start, (one, other)


@pytest.mark.parametrize("heaviest", [9.0e3, 4.3e4, 1.07e5, 2.9e5])
def test_arrows_are_to_a_round_scale_in_either_system(make_story: Callable[..., Story], heaviest: float) -> None:
    story = make_story()
    story = replace(story, tyres=tuple(replace(one, load=one.load / one.load[0] * heaviest) for one in story.tyres))
    metre, foot = frame.arrow_words(story, "si"), frame.arrow_words(story, "us")
    for words, start, unit in ((metre, "1 m = ", " kN"), (foot, "1 ft = ", " lbf")):
        number = words.removeprefix(start).removesuffix(unit).replace(",", "")
        assert number.rstrip("0") in ("1", "2", "5"), words
    for system in ("si", "us"):
        assert 0.3 < heaviest / arrow_scale(story, system) <= 1.25


def test_a_tyre_that_carries_nothing_has_no_label(make_story: Callable[..., Story]) -> None:
    """What hangs in the air says nothing by its load; that of a truck that lies says nothing either."""
    story = make_story()
    lifted = replace(story.tyres[1], load=np.zeros(len(story.time)))
    changed = replace(story, tyres=(story.tyres[0], lifted, *story.tyres[2:]))
    view = Layout.of(draft=False).view
    labelled = {text[0] for text in Composer(changed)._texts(blank(changed, view), 20)}
    assert story.tyres[0].name in labelled
    assert lifted.name not in labelled
    fallen = len(story.time) - 1
    assert story.fallen(fallen)
    lying = {text[0] for text in Composer(story)._texts(blank(story, view), fallen)}
    assert not lying & {tyre.name for tyre in story.tyres}


def test_the_plan_of_a_truck_that_fell_shows_what_lies_where_it_last_stood(make_story: Callable[..., Story]) -> None:
    """Grey is filled for truck and load, none for one that stands; the view stays with the last pose on its tyres."""
    story = make_story()
    fallen = len(story.time) - 1
    assert story.fallen(fallen)
    drawn = plan.Plan(story, (300, 200), 12)
    counts = [int((np.asarray(drawn.draw(index)) == palette.EDGE).all(axis=2).sum()) for index in (0, fallen)]
    assert counts[0] < 50
    assert counts[1] > 1000
    last = next(index for index in range(fallen, -1, -1) if not story.fallen(index))
    spot = story.tyres[0].contact[0][None]
    assert drawn._pixels(spot, fallen) == pytest.approx(drawn._pixels(spot, last))
