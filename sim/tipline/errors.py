"""The errors a user can meet: each says what, where, what is allowed and what to do."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from math import ceil

from tipline.printable import setting_word

__all__ = [
    "FROM_SET", "PART", "CacheNote", "InputError", "InputErrors", "MissingPart", "NumericalError", "TiplineError",
    "argument", "as_typed", "change", "clipped",
]  # fmt: skip


ROWS, COLUMNS = 22, 80
"""What is told of several problems at a time: what a screen of 24 lines shows with the line before and after it."""
PART = 250
"""So many of the file's name, the key and the value of a problem are told, and twice that of reason and remedy."""


FROM_SET = "from --set"
"""Stands for a file where a value comes from a change."""
_OPTIONS = {"overrides": "--set", "folder": "--out", "form": "--format", "rules": "--rule"}
"""Options that have another name than the argument they give."""
_typed = ContextVar("typed", default=False)


@contextmanager
def as_typed() -> Iterator[None]:
    """Name what was given as one types it, by options and not by Python's arguments, while this lasts."""
    before = _typed.set(True)
    try:
        yield
    finally:
        _typed.reset(before)


def argument(name: str) -> str:
    """Return how an argument is given where the error will be read: by its name in Python, else by its option."""
    return _OPTIONS.get(name, f"--{name.replace('_', '-')}") if _typed.get() else name


def change(key: str, text: str, *, whole: bool = False) -> str:
    """Return how one value is changed where the error will be read; ``whole``: with the argument it goes into."""
    if _typed.get():
        word = setting_word(key, text)
        return f"--set {word}" if whole else word
    given = f"{{{key!r}: {text!r}}}"
    return f"overrides={given}" if whole else given


def clipped(text: str, most: int) -> str:
    """Return a text with no more than so many letters of it."""
    return text if len(text) <= most else f"{text[:most]}..."


def _rows(line: str) -> int:
    return ceil(len(line) / COLUMNS)


class TiplineError(Exception):
    """Any error that is told to the user in one message, without a traceback."""

    exit_code = 1


class InputError(TiplineError):
    """Something the user gave is wrong.

    ``reason`` holds what is wrong and what is allowed; ``file``, ``line``, ``key`` and ``value`` say
    where, as far as known; ``remedy`` says what to do.
    """

    exit_code = 2

    def __init__(
        self,
        reason: str,
        *,
        file: str | None = None,
        line: int | None = None,
        key: str | None = None,
        value: str | None = None,
        remedy: str = "",
    ) -> None:
        super().__init__(reason)
        self.reason = reason
        self.file = file
        self.line = line
        self.key = key
        self.value = value
        self.remedy = remedy

    def __str__(self) -> str:
        """Return the message in one line: file:line: key = value: reason. Remedy."""
        place = f"from {argument('overrides')}" if self.file == FROM_SET else clipped(self.file or "", PART)
        if place and self.line is not None:
            place = f"{place}:{self.line}"
        item = clipped(self.key or "", PART)
        if item and self.value is not None:
            item = f"{item} = {clipped(self.value, PART)}"
        text = ": ".join(part for part in (place, item, clipped(self.reason, 2 * PART)) if part)
        if not self.remedy:
            return text
        remedy = clipped(self.remedy, 2 * PART)
        return f"{text} {remedy}" if text.endswith("?") else f"{text}. {remedy}"


class InputErrors(InputError):  # noqa: N818 - a plural
    """All problems of what the user gave, told together; the attributes are those of the first."""

    def __init__(self, problems: Iterable[InputError]) -> None:
        self.problems: tuple[InputError, ...] = tuple(problems)
        if not self.problems:
            msg = "InputErrors needs at least one problem"
            raise ValueError(msg)
        first = self.problems[0]
        super().__init__(
            first.reason, file=first.file, line=first.line, key=first.key, value=first.value, remedy=first.remedy
        )

    def __str__(self) -> str:
        """Return one line for each problem, as many as a screen shows."""
        if len(self.problems) == 1:
            return str(self.problems[0])
        lines = [f"  {problem}" for problem in self.problems]
        shown, rows = 1, _rows(lines[0])
        while shown < len(lines) and (rows := rows + _rows(lines[shown])) <= ROWS:
            shown += 1
        left = len(lines) - shown
        more = [f"  and {left} more, told when these are corrected"] if left else []
        return "\n".join([f"{len(lines)} problems:", *lines[:shown], *more])


class NumericalError(TiplineError):
    """A calculation broke down, so there is no outcome; ``time`` in seconds where there is one."""

    exit_code = 3

    def __init__(self, reason: str, *, time: float | None = None, quantity: str = "", remedy: str = "") -> None:
        super().__init__(reason)
        self.reason = reason
        self.time = time
        self.quantity = quantity
        self.remedy = remedy

    def __str__(self) -> str:
        """Return the message in one line: at time: quantity: reason. Remedy."""
        when = "" if self.time is None else f"at {self.time:.4g} s"
        text = ": ".join(part for part in (when, self.quantity, self.reason) if part)
        return f"{text}. {self.remedy}" if self.remedy else text


class MissingPart(TiplineError):  # noqa: N818 - not every absence is a fault
    """An optional library or OpenGL is absent; ``install`` says what to install."""

    def __init__(self, reason: str, *, install: str = "") -> None:
        super().__init__(reason)
        self.reason = reason
        self.install = install

    def __str__(self) -> str:
        """Return what is absent and what to install."""
        return f"{self.reason}. To add it: {self.install}" if self.install else self.reason


class CacheNote(UserWarning):
    """What was to be kept for the next time lies elsewhere, or is not kept."""
