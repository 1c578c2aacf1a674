"""A lesson as a file: pairs of runs, one that fails beside one that holds with one thing changed, and what is asked."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Literal

from pydantic import Field

from tipline.errors import FROM_SET, InputError, InputErrors
from tipline.model.document import Document, read_text
from tipline.model.problems import Finding, build, refuse
from tipline.model.quantities import Count, Spec
from tipline.model.shipped import find
from tipline.scenario.case import Case
from tipline.scenario.reader import read
from tipline.scenario.sweep import Value
from tipline.scenario.sweep_reader import plain

__all__ = ["ENDS", "Choice", "End", "Lesson", "LessonFile", "Pair", "read_lesson"]

End = Literal["fails", "holds"]
ENDS: tuple[End, End] = ("fails", "holds")


class Choice(Spec):
    """An answer to choose: for which of the two runs it is ``right``, if any, and what else it ``confuses``.

    ``run`` is the one before whose outcome it stands, where it does not stand before both.
    """

    text: str = Field(min_length=1, max_length=160)
    right: End | None = None
    run: End | None = None
    confuses: str = Field(min_length=1, max_length=300)


class Pair(Spec):
    """Two runs of a scenario that differ in the value of one key, ``change``: one ``fails``, one ``holds``."""

    title: str = Field(min_length=1, max_length=80)
    scenario: str = Field(min_length=1)
    set: dict[str, Value] = Field(default_factory=dict)
    change: str = Field(min_length=1)
    fails: Value
    holds: Value
    before: str = Field(min_length=1, max_length=400)
    question: str = Field(min_length=1, max_length=200)
    choice: tuple[Choice, ...] = Field(min_length=2, max_length=6)
    shows: str = Field(min_length=1, max_length=400)
    notes: str = Field(default="", max_length=2000)
    notes_after: str = Field(default="", max_length=2000)

    def choices(self, end: End) -> tuple[Choice, ...]:
        """Return the answers that stand before the outcome of one of the runs."""
        return tuple(choice for choice in self.choice if choice.run in (None, end))


class Lesson(Spec):
    """A lesson of two or three pairs, so of four to six runs."""

    title: str = Field(min_length=1, max_length=120)
    aim: str = Field(min_length=1, max_length=300)
    audience: str = Field(default="", max_length=200)
    minutes: Count = Field(default=30, ge=1, le=480)
    pair: tuple[Pair, ...] = Field(min_length=2, max_length=3)


class LessonFile:
    """A lesson as read, with its file."""

    def __init__(self, lesson: Lesson, document: Document, folder: Path) -> None:
        self.lesson, self.document, self.folder = lesson, document, folder

    def cases(self) -> list[tuple[Case, Case]]:
        """Read both runs of each pair, the one that fails first; raises InputErrors with all problems found."""
        read: list[tuple[Case, Case]] = []
        problems: dict[str, InputError] = {}  # by what is said: most are said of both runs
        for number, pair in enumerate(self.lesson.pair):
            ends = []
            for end in ENDS:
                try:
                    ends.append(self._case(number, pair, end))
                except InputError as error:
                    each = error.problems if isinstance(error, InputErrors) else (error,)
                    placed = [self._told(number, pair, end, problem) for problem in each]
                    problems |= {str(problem): problem for problem in placed}
            if len(ends) == len(ENDS):
                read.append((ends[0], ends[1]))
        if problems:
            raise InputErrors(problems.values())
        return read

    def _case(self, number: int, pair: Pair, end: End) -> Case:
        """Read one run of a pair; its scenario is a shipped name, or a path seen from the lesson's folder."""
        try:
            path, shown = find("scenario", pair.scenario, self.folder)
        except InputError as error:
            raise self.document.problem(("pair", number, "scenario"), error.reason, error.remedy) from error
        scenario = pair.scenario if shown.startswith("scenarios/") else str(path)
        settings = {**pair.set, pair.change: getattr(pair, end)}
        return read(scenario, {key: plain(value) for key, value in settings.items()})

    def _told(self, number: int, pair: Pair, end: End, problem: InputError) -> InputError:
        """Give a problem of a setting its place in the lesson."""
        if problem.file != FROM_SET:
            return problem
        key = str(problem.key)
        if key in pair.set:
            place: tuple[str | int, ...] = ("pair", number, "set", key)
        else:  # without a value it is the key that is wrong
            place = ("pair", number, "change" if problem.value is None else end)
        return self.document.problem(place, problem.reason, problem.remedy)


def read_lesson(name: str) -> LessonFile:
    """Return the lesson of a file or a shipped name; raises InputError, or InputErrors with all problems found."""
    path, shown = find("lesson", name)
    document = Document.from_text(read_text(path, shown), shown)
    lesson = build(Lesson, document)
    refuse(_check(lesson), document)
    return LessonFile(lesson, document, path.parent)


def _check(lesson: Lesson) -> Iterator[Finding]:
    for number, pair in enumerate(lesson.pair):
        for end in ENDS:
            count = sum(choice.right == end for choice in pair.choices(end))
            if count != 1:
                yield Finding(
                    ("pair", number, "choice"),
                    f"{count or 'no'} answer{'s are' if count > 1 else ' is'} right for the run that {end}",
                    f'Give one of those asked for it right = "{end}"',
                )
            if len(pair.choices(end)) < 2:
                yield Finding(
                    ("pair", number, "choice"),
                    f"fewer than two answers can be chosen for the run that {end}",
                    "Give another, or take run out of one of the other",
                )
        if pair.change in pair.set:
            yield Finding(("pair", number, "set"), f"sets {pair.change}, which is what changes", "Take it out of set")
