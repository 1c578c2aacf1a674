"""Lessons: files that are read or refused with their line, and pairs of which one fails and one holds."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

import tipline
from tipline.commands import lesson as command
from tipline.errors import InputError, InputErrors
from tipline.model.shipped import find, list_shipped
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


def test_one_pair_is_too_few(tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    file.write_text(TEXT[: TEXT.rindex("[[pair]]\n")], encoding="utf-8")
    with pytest.raises(InputErrors, match="pair"):
        read_lesson(str(file))


class Ends:
    """Stands in for a result: whether the truck fell in it, and how that is said."""

    def __init__(self, fell: bool) -> None:
        self.report = self
        self.case = None
        self.fell, self.ended = fell, "The truck goes over" if fell else "The truck stays on its tyres"


def test_a_pair_that_does_not_end_as_it_says_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Any] = []

    def run(scenario: str, changes: Any, **_: Any) -> Ends:
        asked.append((scenario, changes))
        return Ends(fell=True)

    monkeypatch.setattr(command, "run", run)
    with pytest.raises(InputError) as caught:
        tipline.lesson("tyre-breaks-through")
    assert "pair.0.holds" in str(caught.value)
    assert "is to be the run that holds, but in it the truck goes over" in str(caught.value)
    assert asked == [
        ("front-tyre-breaks-through-load-high", {"event.0.depth": "118 mm"}),
        ("front-tyre-breaks-through-load-high", {"event.0.depth": "95 mm"}),
    ]
    monkeypatch.setattr(command, "run", lambda *_, **__: Ends(fell=False))
    with pytest.raises(InputError, match=r"pair\.0\.fails"):
        tipline.lesson("tyre-breaks-through")


def test_an_absent_lesson_is_told_with_those_there_are() -> None:
    with pytest.raises(InputError, match="tyre-breaks-through"):
        tipline.lesson("tyre-breaks-thru")
    with pytest.raises(InputError, match="is a shipped scenario, not a lesson"):
        tipline.lesson("service-stop-load-high")
