"""Answers that cannot be or that are unusual, by the same rules as files, told at the question that gave them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from tipline.asking.lift import FILES, LAST_OF_SIZE, files_of, lift_of
from tipline.asking.questions import QUESTIONS, LiftQuestion
from tipline.errors import InputError, InputErrors
from tipline.model.shipped import Kind
from tipline.scenario import Case
from tipline.scenario.case import Text
from tipline.scenario.reader import read

__all__ = ["case_of_answers", "oddities", "slip_of"]

_OTHER_UNIT = {"kg": ("t",), "t": ("kg",), "lb": ("t",), "mm": ("cm", "m"), "cm": ("mm", "m"), "m": ("mm", "cm")}
"""Units that people write for each other."""
_SOME_TRUCK = "10 t"
"""While nothing tells how large the lift is, the other answers are looked at on a truck of this weight (our choice)."""


def case_of_answers(answers: Mapping[str, str], meant: Sequence[str] = (), folder: str = ".") -> Case:
    """Return the case of a lift, read from the files its answers make; raises InputError or InputErrors."""
    files = files_of(lift_of(answers, tuple(meant)))
    kinds: tuple[Kind, ...] = ("machine", "floor", "scenario")
    texts = [
        Text(kind, f"./{name}", folder, Path(name).stem, name, files[name])
        for kind, name in zip(kinds, FILES, strict=True)
    ]
    return read("./scenario.toml", texts=texts)


def oddities(answers: Mapping[str, str], meant: Sequence[str] = ()) -> Iterator[tuple[LiftQuestion, InputError]]:
    """Yield what cannot be or is unusual among the answers, with the question whose answer it is."""
    try:
        case = case_of_answers(answers, meant)
    except InputErrors as error:
        problems: Sequence[InputError] = error.problems
    except InputError as error:
        problems = (error,) if error.key != LAST_OF_SIZE or LAST_OF_SIZE in answers else ()
        problems = (*problems, *(_on_some_truck(answers, meant) if error.key == LAST_OF_SIZE else ()))
    else:
        problems = case.unusual
    for problem in problems:
        question = _question_of(problem)
        if question is not None and question.key not in meant:
            yield question, problem


def _on_some_truck(answers: Mapping[str, str], meant: Sequence[str]) -> Sequence[InputError]:
    """Return what is odd among the other answers of a lift whose size is not known, or not yet."""
    try:
        return case_of_answers({**answers, LAST_OF_SIZE: _SOME_TRUCK}, meant).unusual
    except InputErrors as error:
        return error.problems
    except InputError as error:
        return (error,)


def _question_of(problem: InputError) -> LiftQuestion | None:
    file = Path(problem.file or "").stem
    for question in QUESTIONS:
        for where in question.where:
            of, _, key = where.partition(":")
            if of == file and (problem.key or "").startswith(key):
                return question
        if problem.key == question.key:
            return question
    return (
        next((question for question in QUESTIONS if question.key == "weight"), None)
        if problem.key == "plate_and_tape"
        else None
    )


def slip_of(question: LiftQuestion, answers: Mapping[str, str]) -> str | None:
    """Return the answer with another unit with which it is no longer odd: "8.5 t" for "8.5 kg"; None for none."""
    parts = answers[question.key].split(",")
    for index, part in enumerate(parts):
        for unit, others in _OTHER_UNIT.items():
            for other in others:
                said = [*parts[:index], _with_unit(part, unit, other), *parts[index + 1 :]]
                meant = ", ".join(" ".join(text.split()) for text in said)
                if said != parts and not _odd(question, {**answers, question.key: meant}):
                    return meant
    return None


def _with_unit(part: str, unit: str, other: str) -> str:
    stem = part.rstrip().removesuffix(unit)
    number = stem != part.rstrip() and stem.rstrip()[-1:].isdigit()
    return f"{stem.strip()} {other}" if number else part


def _odd(question: LiftQuestion, answers: Mapping[str, str]) -> bool:
    return any(oddity.key == question.key for oddity, _ in oddities(answers))
