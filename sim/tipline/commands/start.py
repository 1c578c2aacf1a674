"""`start`: thirteen questions, each of which may stay open, to a first page and the three files of a lift."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from tipline.asking.lift import files_of, lift_of
from tipline.asking.odd import case_of_answers, oddities
from tipline.asking.questions import QUESTIONS
from tipline.commands.check import CheckResult, check, write_plan
from tipline.commands.delivered import Delivered, Wishes, into
from tipline.commands.given import Progress, silent
from tipline.errors import InputError, argument
from tipline.floors.places.tyres import contact
from tipline.model.document import in_words, read_text, toml_data
from tipline.model.own_truck import bands_of
from tipline.model.structure import STRUCTURE, structural_loads
from tipline.report import start as pages
from tipline.report.page import Picture
from tipline.report.summary import pose_summary
from tipline.statics.planning import plate_row
from tipline.statics.truck import truck_of

__all__ = ["ANSWERS", "StartResult", "answers_text", "page_of", "read_answers", "start", "write_start"]

ANSWERS = "answers.toml"


@dataclass(frozen=True)
class StartResult:
    """A lift from answers: the set-up assessed, pressures [Pa] under the tyres, share of the plate, the files.

    ``pressures``: by tyre, at the least, likely and greatest load. ``of_plate``: gross load as a part of what the plate
    allows in this set-up, None where it has no row for it. ``open``: the questions that nobody could answer. ``odd``:
    what is unusual among the answers.
    """

    answers: Mapping[str, str]
    meant: tuple[str, ...]
    pose: CheckResult
    pressures: Mapping[str, tuple[float, float, float]]
    of_plate: float | None
    open: tuple[str, ...]
    odd: tuple[str, ...]
    filled: tuple[tuple[str, float, float, float, str], ...]
    files: Mapping[str, str]

    def _repr_html_(self) -> str:
        """Show the page in a notebook."""
        from tipline.report import html

        return html.page_html(page_of(self, Wishes()).page)


def start(answers: Mapping[str, str] | Path | str, progress: Progress | None = None) -> StartResult:
    """Give the first page of a lift from answers to thirteen questions; what is left out nobody knows.

    Parameters
    ----------
    answers : by question, as typed in the terminal ("load": "5.2 t, nameplate"), or a file of them; "?" says that
        nobody knows. ``meant`` in them lists the questions whose unusual answer is meant. ``tipline start --questions``
        lists the questions
    progress : told of each stage

    Raises
    ------
    InputError
        An answer cannot be read or cannot be, or nothing is known that gives the lift its size.
    NumericalError
        The pose at rest was not found.

    Examples
    --------
    >>> import tipline
    >>> first = tipline.start({"load": "5.2 t, weighed", "plate": "12.25 t, 0.6 m, 5.5 m", "height": "3 m"})
    >>> first.pose.stands, f"{first.of_plate:.2f} of the plate"
    ('stands', '0.42 of the plate')
    """
    tell = progress or silent
    given, meant = read_answers(answers)
    lift_of(given, meant)
    tell("assessing", None)
    case = case_of_answers(given, meant)
    pose = check(case)
    truck = truck_of(case)
    row = plate_row(case.inputs, truck)
    odd = tuple(str(problem) for _, problem in oddities(given, meant))
    return StartResult(
        answers=given,
        meant=meant,
        pose=replace(pose, not_met=()),
        pressures=_pressures(pose),
        of_plate=None if row is None else truck.load_mass / row.load,
        open=tuple(question.key for question in QUESTIONS if _is_open(given, question.key)),
        odd=odd,
        filled=tuple((band.what, band.low, band.likely, band.high, band.dimension) for band in bands_of(case.machine)),
        files={**files_of(lift_of(given, meant)), ANSWERS: answers_text(given, meant)},
    )


def _is_open(answers: Mapping[str, str], key: str) -> bool:
    return all(value is None for value in lift_of({key: answers.get(key, "?")}).values.values())


def _pressures(pose: CheckResult) -> dict[str, tuple[float, float, float]]:
    known = pose.not_known
    if known is None:
        return {}
    axles = (pose.case.machine.drive_axle, pose.case.machine.steer_axle)
    tyres = {tyre.name: tyre for axle in axles for tyre in axle.tyre}
    pressures = {}
    for name, bracket in known.tyre_loads.items():
        low, likely, high = (
            contact(tyres[name], load).mean_pressure for load in (bracket.low, bracket.likely, bracket.high)
        )
        pressures[name] = (low, likely, high)
    return pressures


def read_answers(answers: Mapping[str, str] | Path | str) -> tuple[dict[str, str], tuple[str, ...]]:
    """Return answers by question, and the questions whose unusual answer is meant; raises InputError."""
    given: Any = answers
    shown: str | None = None
    if isinstance(answers, Path | str):
        shown = str(answers)
        try:
            given = toml_data(read_text(Path(answers), shown))
        except (ValueError, RecursionError) as error:
            msg = f"is not TOML: {error}"
            raise InputError(msg, file=shown, remedy='Write each answer as load = "5.2 t, weighed"') from error
    if not isinstance(given, Mapping):
        msg = "must be answers by question, or a file of them"
        raise InputError(msg, key=argument("answers"), value=in_words(given), remedy='Give {"load": "5.2 t, weighed"}')
    meant = given.get("meant", ())
    texts = {str(key): value for key, value in given.items() if key != "meant"}
    for key, value in texts.items():
        if not isinstance(value, str):
            msg = "must be text in quotes"
            raise InputError(msg, file=shown, key=key, value=in_words(value), remedy='Write it as load = "5.2 t"')
    keys = {question.key for question in QUESTIONS}
    if isinstance(meant, str) or not set(meant) <= keys:
        msg = "must be a list of questions"
        raise InputError(msg, file=shown, key="meant", remedy=f"Questions: {', '.join(sorted(keys))}")
    return texts, tuple(meant)


def answers_text(answers: Mapping[str, str], meant: tuple[str, ...] = ()) -> str:
    """Return answers as a file: each under its question, with an example."""
    lines = ['# Answers for tipline start --answers THIS-FILE; "?" where nobody knows.', ""]
    lines += [f"meant = {in_words(list(meant))}", ""] if meant else []
    for question in QUESTIONS:
        lines += [f"# {question.ask}", f"# Usual: {question.usual}; for example: {question.example}"]
        lines += [f"{question.key} = {in_words(answers.get(question.key, '?'))}", ""]
    return "\n".join(lines)


def page_of(result: StartResult, wishes: Wishes, picture: Picture | None = None) -> Delivered:
    """Give the first page and its summary."""
    machine = result.pose.case.machine
    first = pages.First(
        pose=result.pose,
        pressures=result.pressures,
        of_plate=result.of_plate,
        open=result.open,
        odd=result.odd,
        filled=result.filled,
        has_plate="plate" not in result.open,
        strength=tuple(STRUCTURE[name] for name in structural_loads(machine, "forks", 1.0)),
        picture=picture,
    )
    summary = {
        **pose_summary(result.pose, {"assumed_count": result.pose.assumed_count}),
        "schema": pages.SCHEMA,
        "of_plate": result.of_plate,
        "pressures_kPa": {tyre: [pressure * 1e-3 for pressure in three] for tyre, three in result.pressures.items()},
        "open_questions": list(result.open),
        "unusual": list(result.odd),
    }
    return Delivered(pages.start_page(first, wishes.system), summary)


def write_start(result: StartResult, folder: Path, wishes: Wishes) -> Delivered:
    """Write the first page, its summary, and the files of the lift with the answers they were made from."""
    for name, text in result.files.items():
        (folder / name).write_text(text, encoding="utf-8")
    return into(folder, page_of(result, wishes, picture=write_plan(result.pose, folder, wishes)))
