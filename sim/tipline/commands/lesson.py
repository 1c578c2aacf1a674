"""`lesson`: pairs of runs as one page that a class is walked through."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from tipline.commands.given import Progress, named, one_of, silent
from tipline.commands.run import run
from tipline.errors import InputError
from tipline.playback.of_lesson import lesson_html
from tipline.playback.of_run import Played
from tipline.scenario import Case
from tipline.scenario.lesson import End, LessonFile, read_lesson
from tipline.units import System

__all__ = ["LESSON", "LessonResult", "lesson", "write_lesson"]

LESSON = "lesson.html"


@dataclass(frozen=True)
class LessonResult:
    """A lesson: its title, the page, and the texts it was made from by name."""

    title: str
    html: str
    files: dict[str, str]


def lesson(file: Path | str, units: System = "si", progress: Progress | None = None) -> LessonResult:
    """Make the page of a lesson: its four to six runs are simulated, and each pair must end as its file says.

    Parameters
    ----------
    file : a lesson file, or the name of a shipped one
    units : that the page begins with; it can be switched
    progress : told of each stage

    Raises
    ------
    InputError
        The file is wrong, or in a pair the one run does not fail or the other does not hold.
    NumericalError
        A simulation broke down.
    MissingPart
        NiceGUI, whose three.js draws the page's pictures, is not installed.

    Examples
    --------
    >>> import tipline
    >>> tipline.shipped()["lesson"]["tyre-breaks-through"]
    'A tyre breaks through with the load high'
    """
    one_of(units, "units", ("si", "us"))
    tell = progress or silent
    read = read_lesson(named(file, "file", "a lesson file or a shipped name"))
    tell("reading its scenarios", None)
    pairs = []
    cases = read.cases()
    for number, (fails, holds) in enumerate(cases):
        tell(f"simulating pair {number + 1} of {len(cases)}", None)
        pairs.append((_made(read, number, fails, "fails"), _made(read, number, holds, "holds")))
    tell("writing the lesson", None)
    html = lesson_html(read.lesson, pairs, units)
    return LessonResult(read.lesson.title, html, {read.document.shown: read.document.text})


def _made(read: LessonFile, number: int, case: Case, end: End) -> Played:
    """Simulate one run of a pair, and hold it to how it is to end."""
    result = run(case, spread=0, floor_spread=0)
    if result.report.fell != (end == "fails"):
        ended = result.report.ended[:1].lower() + result.report.ended[1:]
        reason = f"is to be the run that {end}, but in it {ended}"
        raise read.document.problem(("pair", number, end), reason, "Give another value, or another scenario")
    return Played(result.report, result.case)


def write_lesson(result: LessonResult, folder: Path) -> None:
    """Write the page and the file it was made from into a folder."""
    (folder / LESSON).write_text(result.html, encoding="utf-8")
    inputs = folder / "inputs"
    try:
        inputs.mkdir()
        for name, text in result.files.items():
            (inputs / Path(name).name).write_text(text, encoding="utf-8")
    except OSError as error:
        reason = f"cannot be written: {error.strerror or error}"
        raise InputError(reason, file=str(inputs), remedy="Give --out another folder") from error
