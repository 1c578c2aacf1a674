"""The questions of `start` in a terminal: one at a time, with back, quit and what is odd asked again at once."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path

from tipline.asking.odd import oddities, slip_of
from tipline.asking.questions import QUESTIONS, LiftQuestion, read_answer
from tipline.cli.streams import tell
from tipline.commands.start import answers_text, read_answers
from tipline.errors import InputError
from tipline.printable import printable

__all__ = ["KEPT", "Left", "ask"]

KEPT = Path("tipline-answers.toml")
"""Where answers are kept while the questions are asked."""
_HELP = (
    'Press Enter alone, or type "?", where nobody knows. "back" returns to the question before, where Enter keeps the '
    'answer; "quit" ends, and what was answered is kept.'
)


class Left(Exception):  # noqa: N818 - no error: somebody goes away
    """The questions were left before the last one was answered."""


class _Dialogue:
    """Answers so far, kept in a file after each of them."""

    def __init__(self, answers: Mapping[str, str], meant: tuple[str, ...]) -> None:
        self.answers = dict(answers)
        self.meant = set(meant)
        self._odd = ("", "")
        self._known: set[str] = set()

    def keep(self) -> None:
        """Write the answers, whole or not at all."""
        answered = {question.key: self.answers[question.key] for question in QUESTIONS if question.key in self.answers}
        lines = answers_text(answered, tuple(sorted(self.meant))).splitlines()
        kept = (line for line in lines if line.partition(" =")[0] in (*answered, "meant"))
        new = KEPT.with_suffix(".new")
        new.write_text("\n".join(kept) + "\n", encoding="utf-8")
        new.replace(KEPT)

    def take(self, question: LiftQuestion, text: str) -> bool:
        """Take an answer; say what is wrong or odd with it and return False where it is to be asked again."""
        try:
            read_answer(question, text)
        except InputError as error:
            tell(f"    {error.reason}. {error.remedy}")
            return False
        again = self._odd == (question.key, text)
        if self.answers.get(question.key) != text:
            self.meant.discard(question.key)
        answers = {**self.answers, question.key: text}
        odd = list(oddities(answers, tuple(self.meant)))
        problems = [problem for other, problem in odd if self._by(question, other, problem)]
        unusual = [problem for problem in problems if _may_be_meant(problem)]
        if problems and not (again and len(unusual) == len(problems)):
            self._odd = (question.key, text)
            slip = slip_of(question, answers)
            guess = f' Did you mean "{slip}"?' if slip else ""
            keep = " Type it again if it is meant." if len(unusual) == len(problems) else f" {problems[0].remedy}."
            tell(f"    {text}: {problems[0].reason}.{guess}{keep}")
            return False
        if problems:
            self.meant.add(question.key)
        self.answers = answers
        self._known = {problem.reason for _, problem in odd}
        return True

    def _by(self, question: LiftQuestion, other: LiftQuestion, problem: InputError) -> bool:
        """Whether a problem is asked at this question: its own, or that of another which its answer has made."""
        if other.key == question.key:
            return True
        anew = problem.reason not in self._known
        return anew and (other.key not in self.answers or not _may_be_meant(problem))


def _may_be_meant(problem: InputError) -> bool:
    return "If it is meant" in (problem.remedy or "")


def ask(resume: bool) -> tuple[dict[str, str], tuple[str, ...]]:
    """Ask all questions and return the answers, and the questions whose odd answer is meant.

    Raises Left where somebody quits, EOFError where nobody answers any more, and KeyboardInterrupt; what was answered
    until then is in `KEPT`.
    """
    answers, meant = read_answers(KEPT) if resume and KEPT.exists() else ({}, ())
    asking = _Dialogue(answers, meant)
    tell(_HELP)
    if KEPT.exists() and not resume:
        tell(f"{KEPT} has earlier answers: tipline start --resume goes on with them, an answer here replaces them.")
    passed = {question.key for question in QUESTIONS if question.key in answers}
    if len(passed) == len(QUESTIONS):  # all answered, and no page came of it: each may be answered anew
        passed = set()
    index = 0
    while index < len(QUESTIONS):
        question = QUESTIONS[index]
        if question.key in passed:
            index += 1
            continue
        before = asking.answers.get(question.key)
        _show(question, index, before)
        text = _read()
        if text.casefold() == "quit":
            raise Left
        if text.casefold() == "back":
            passed = set()
            index = max(index - 1, 0)
            continue
        if text.casefold() in ("help", "h"):
            tell(_HELP)
            continue
        if asking.take(question, text or before or "?"):
            asking.keep()
            index += 1
    return asking.answers, tuple(sorted(asking.meant))


def _show(question: LiftQuestion, index: int, before: str | None) -> None:
    tell(f"\n{index + 1}/{len(QUESTIONS)}  {question.ask}")
    earlier = f"; you answered: {before}" if before else ""
    tell(f"    usual: {question.usual}; for example: {question.example}{earlier}")
    tell("  > ", end=False)


def _read() -> str:
    line = sys.stdin.readline()
    if not line:
        raise EOFError
    return " ".join(printable(line).split())
