"""Lessons: files that are read or refused with their line, and pairs of which one fails and one holds."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

import tipline
from tipline.commands import lesson as command
from tipline.errors import InputError, InputErrors
from tipline.model.shipped import find, list_shipped
from tipline.scenario import Case
from tipline.scenario.lesson import read_lesson

NAMES = list_shipped()["lesson"]
TEXT = find("lesson", "tyre-breaks-through")[0].read_text(encoding="utf-8")


@pytest.mark.parametrize("name", NAMES)
def test_shipped_lessons_ask_before_each_outcome_and_say_what_is_mixed_up(name: str) -> None:
    lesson = read_lesson(name).lesson
    assert 4 <= 2 * len(lesson.pair) <= 6
    for pair in lesson.pair:
        assert pair.fails != pair.holds
        assert pair.notes
        for end in ("fails", "holds"):
            assert [choice.right for choice in pair.choice].count(end) == 1  # type: ignore[arg-type]
        assert any(choice.right is None for choice in pair.choice)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('right = "fails"', "", "no answer is right for the run that fails"),
        ('right = "holds"', 'right = "fails"', "2 answers are right for the run that fails"),
        ('title = "How deep the hole is"', "", "title"),
        (
            'change = "event.0.depth"',
            'change = "event.0.depth"\nset = { "event.0.depth" = "1 m" }',
            "Take it out of set",
        ),
        ("minutes = 30", "minuts = 30", "minuts"),
        ("minutes = 30", "minutes = 0", "minutes"),
    ],
)
def test_a_wrong_lesson_is_refused_with_its_file(tmp_path: Path, old: str, new: str, told: str) -> None:
    file = tmp_path / "own.toml"
    assert old in TEXT
    file.write_text(TEXT.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_lesson(str(file))
    assert told in str(caught.value)
    assert "own.toml" in str(caught.value)


def test_an_answer_can_stand_before_one_of_both_runs_alone(tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    file.write_text(TEXT.replace('right = "fails"', 'right = "fails"\nrun = "fails"', 1), encoding="utf-8")
    pair = read_lesson(str(file)).lesson.pair[0]
    assert len(pair.choices("fails")) == len(pair.choice)
    assert [choice.right for choice in pair.choices("holds")] == [choice.right for choice in pair.choice[1:]]
    file.write_text(TEXT.replace('right = "fails"', 'right = "fails"\nrun = "holds"', 1), encoding="utf-8")
    with pytest.raises(InputError, match="no answer is right for the run that fails"):
        read_lesson(str(file))
    *_, last = TEXT.split("[[pair]]\n")
    few = last.replace("[[pair.choice]]\n", '[[pair.choice]]\nrun = "fails"\n').replace('run = "fails"\n', "", 1)
    file.write_text(TEXT.replace(last, few), encoding="utf-8")
    with pytest.raises(InputErrors, match="fewer than two answers can be chosen for the run that holds"):
        read_lesson(str(file))


def test_one_pair_is_too_few(tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    file.write_text(TEXT[: TEXT.rindex("[[pair]]\n")], encoding="utf-8")
    with pytest.raises(InputErrors, match="pair"):
        read_lesson(str(file))


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (
            'change = "setup.hook_height"',
            'change = "setup.hok_height"',
            'pair.1.change = "setup.hok_height": unknown key',
        ),
        ('change = "setup.hook_height"', 'change = "event.3.depth"', 'pair.1.change = "event.3.depth": no entry'),
        ('fails = "7 m"', 'fails = "7 q"', 'pair.1.fails = "7 q": unknown length unit'),
        ('holds = "95 mm"', "holds = 95", "pair.0.holds = 95: a number without a unit"),
        ('fails = "7 m"', 'fails = "7 m"\nset = { "load.mas" = "5 t" }', 'pair.1.set.load.mas = "5 t": unknown key'),
        ('fails = "7 m"', 'fails = "7 m"\nset = { "load.mass" = "5 q" }', 'pair.1.set.load.mass = "5 q": unknown mass'),
        (
            'scenario = "front-tyre-breaks-through-load-high"',
            'scenario = "no-such-lift"',
            'pair.0.scenario = "no-such-lift": no shipped scenario',
        ),
    ],
)
def test_a_wrong_setting_is_told_with_its_line_before_anything_is_simulated(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, old: str, new: str, told: str
) -> None:
    file = tmp_path / "own.toml"
    assert old in TEXT
    text = TEXT.replace(old, new, 1)
    file.write_text(text, encoding="utf-8")
    monkeypatch.setattr(command, "run", lambda *_, **__: pytest.fail("simulated"))
    with pytest.raises(InputErrors) as caught:
        tipline.lesson(str(file))
    assert len(caught.value.problems) == 1  # though both runs of the pair have it
    line = 1 + text[: text.index(new)].count("\n") + new.count("\n")
    assert f"own.toml:{line}: {told}" in str(caught.value)


class Ends:
    """Stands in for a result: whether the truck fell in it, and how that is said."""

    def __init__(self, fell: bool) -> None:
        self.report = self
        self.case = None
        self.fell, self.ended = fell, "The truck goes over" if fell else "The truck stays on its tyres"


def test_a_pair_that_does_not_end_as_it_says_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Any] = []

    def run(case: Case, **_: Any) -> Ends:
        (event,) = case.scenario.event
        asked.append((case.scenario.setup.hook_height, getattr(event, "depth", None)))
        return Ends(fell=True)

    monkeypatch.setattr(command, "run", run)
    with pytest.raises(InputError) as caught:
        tipline.lesson("tyre-breaks-through")
    assert "pair.0.holds" in str(caught.value)
    assert "is to be the run that holds, but in it the truck goes over" in str(caught.value)
    assert asked == [(7.0, pytest.approx(0.118)), (7.0, pytest.approx(0.095))]
    monkeypatch.setattr(command, "run", lambda *_, **__: Ends(fell=False))
    with pytest.raises(InputError, match=r"pair\.0\.fails"):
        tipline.lesson("tyre-breaks-through")


@pytest.mark.slow
def test_the_template_is_a_lesson_that_ends_as_it_says(tmp_path: Path) -> None:
    made = tipline.lesson(tipline.new("lesson", tmp_path / "mine.toml"))
    assert made.title == "My lesson"
    assert "What a class is to have seen at the end of it." in made.html


def test_an_absent_lesson_is_told_with_those_there_are() -> None:
    with pytest.raises(InputError, match="tyre-breaks-through"):
        tipline.lesson("tyre-breaks-thru")
    with pytest.raises(InputError, match="is a shipped scenario, not a lesson"):
        tipline.lesson("service-stop-load-high")
