"""`repeat`: the inputs of a result's own folder run again, and in which of three grades the new result is the same."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any, Literal

from tipline.commands.delivered import RESOLVED
from tipline.commands.folder import hold_links
from tipline.commands.given import Progress, named, silent
from tipline.commands.made import changed, hashes, kept_in, part_of, source_of
from tipline.commands.report import summary_of
from tipline.commands.write import write
from tipline.errors import InputError
from tipline.model.shipped import only_in
from tipline.report.comparison import Difference, differing, made_apart
from tipline.report.page import Page, PointList, Table
from tipline.report.stored import read_filed
from tipline.scenario import read
from tipline.scenario.incident_reader import read_incident
from tipline.scenario.sweep_reader import read_sweep

__all__ = ["Grade", "RepeatResult", "repeat"]

Grade = Literal["identical", "same in every figure reported", "differs"]
ARGUMENTS = {
    "run": ("scenario", "spread", "floor_spread", "strict", "engine"),
    "check": ("scenario", "strict"),
    "floor": ("subject", "overrides", "route", "stock", "strict"),
    "slopes": ("scenario", "heights", "beside", "directions", "simulate", "ramps", "strict"),
    "loads": (
        "machine", "overrides", "grid", "rules", "load", "load_centre", "reach", "strict", "floor", "stock", "position",
    ),
    "sweep": ("file", "overrides"),
    "reconstruct": ("case", "overrides"),
}  # fmt: skip
"""The commands whose folders hold what it takes to make them again, with what is told of each, its subject first:
what else they take may lead elsewhere, as a place to write to does."""
_FILES = {"scenario", "subject", "machine", "file", "case", "floor", "stock", "route"}
_NOT_RESULT = {"made", "timings_s", "solve_time_s", "left_out", "unusual", "run_id"}
"""What of a summary is of its making: where files lay, how long it took."""
_RECORDS = ("run.parquet", "sweep.parquet", "runs/*/sweep.parquet")
_TABLES = ("floor.csv", "slopes.csv", "loads.csv")


@dataclass(frozen=True)
class RepeatResult:
    """A result made again: how far it is the same, what differs in it, and what differs in how it was made.

    ``changed``: input files that are not as they were; ``made``: arguments, versions, machine that differ.
    """

    folder: str
    command: str
    grade: Grade
    changed: tuple[str, ...]
    made: tuple[Difference, ...]
    differences: tuple[Difference, ...]
    demo: str = ""

    @property
    def why(self) -> tuple[str, ...]:
        """What may be the cause, in sentences."""
        causes = [f"{text}." for text in self.changed]
        causes += [f"{place.table}: {place.row} was {place.left}, is {place.right}." for place in self.made]
        if self.grade == "differs" and not causes:
            return ("Inputs, versions and machine are the same: report this with the folder.",)
        return tuple(causes)

    @property
    def page(self) -> Page:
        """What came of it, as a page."""
        rows = tuple(tuple(place) for place in self.differences)
        heads = ("table", "row", "column", "stored", "now")
        sections = (
            PointList("What is not as it was", self.why),
            Table("What differs", heads, rows),
        )
        lead = {"identical": "identical, to the last bit", "differs": f"differs, in {len(rows)} places"}
        return Page(
            title=f"{self.folder}: {self.command} made again",
            mark=f"{'DEMO · ' if self.demo else ''}compared with what is stored",
            lead=lead.get(self.grade, self.grade),
            demo=self.demo,
            sections=sections,
        )

    def summary(self) -> dict[str, Any]:
        """Give it for other programs."""
        return {
            "schema": "tipline.repeat/1",
            "folder": self.folder,
            "command": self.command,
            "grade": self.grade,
            "changed_inputs": list(self.changed),
            "made_otherwise": [_plain(place) for place in self.made],
            "differences": [_plain(place) for place in self.differences],
        }


def repeat(folder: Path | str, progress: Progress | None = None) -> RepeatResult:
    """Run the inputs of a result's folder again and say how far the new result is the same.

    Parameters
    ----------
    folder : that run, check, floor, slopes, loads, sweep or reconstruct left
    progress : told of each stage

    Raises
    ------
    InputError
        The folder holds no result that this version reads, its inputs are not all in it, or something in it leads out
        of it.
    NumericalError
        The simulation broke down.

    Examples
    --------
    >>> import tempfile, tipline
    >>> with tempfile.TemporaryDirectory() as place:
    ...     left = tipline.write(tipline.check("front-tyre-breaks-through-load-high"), f"{place}/lift-1")
    ...     tipline.repeat(left).grade
    'identical'
    """
    tell, place = progress or silent, Path(named(folder, "folder", "a folder"))
    hold_links(place, "summary.json")
    then, filed = summary_of(place), read_filed(place)
    record = then.get("made")
    if not isinstance(record, dict) or str(record.get("command")) not in ARGUMENTS:
        msg = "does not say how it was made"
        raise InputError(msg, file=str(place / "summary.json"), remedy="Make the result once more with this version")
    tell("running the inputs again", None)
    with tempfile.TemporaryDirectory(prefix="tipline-repeat-") as work, only_in(place):
        new = write(_again(record, place, tell), Path(work) / "new", filed.drawn, pictures=False, film=False)
        again, now = read_filed(new), summary_of(new)
        same = _without(then) == _without(now) and _records_same(place, new)
    differences = differing(filed.pages["si"], again.pages["si"])
    if not same and not differences:
        differences = differing(filed.pages["us"], again.pages["us"])
    return RepeatResult(
        folder=str(place),
        command=record["command"],
        grade=_grade(same, differences),
        changed=_changed(record.get("inputs", {}), hashes(place / "inputs")),
        made=tuple(part for part in made_apart(record, now["made"]) if part.table != "arguments"),
        differences=differences,
        demo=filed.pages["si"].demo,
    )


def _plain(place: Difference) -> dict[str, str]:
    """Give a place for other programs, under the names it has had there from the first."""
    named = place._asdict()
    return {**{key: named[key] for key in ("table", "row", "column")}, "one": place.left, "other": place.right}


def _grade(same: bool, differences: Sequence[Difference]) -> Grade:
    if differences:
        return "differs"
    return "identical" if same else "same in every figure reported"


def _again(record: Mapping[str, Any], folder: Path, tell: Progress) -> Any:
    """Call the command anew with its arguments, files being those of the folder."""
    given = _arguments(record, folder)
    if given.get(ARGUMENTS[record["command"]][0]) is None:
        msg = "was made from what had been read already, and does not hold it"
        raise InputError(msg, file=str(folder), remedy="Make the result from files, which its folder then keeps")
    if record.get("read_from"):
        source = source_of(record, folder)
        if record["command"] == "sweep":
            given = {"file": read_sweep(given["file"], source.changes, texts=source.texts)}
        elif record["command"] == "reconstruct":
            given = {"case": read_incident(given["case"], source.changes, texts=source.texts)}
        else:
            case = read(source.name, source.changes, texts=source.texts)
            given |= {name: case for name, value in record["arguments"].items() if value == RESOLVED}
    function: Callable[..., Any] = getattr(import_module(f"tipline.commands.{record['command']}"), record["command"])
    return function(**given, progress=tell)


def _arguments(record: Mapping[str, Any], folder: Path) -> dict[str, Any]:
    """Return the arguments of a command as they are told, files of the result's folder where they lie."""
    given = {}
    for name, value in part_of(record, "arguments", dict, folder, "made").items():
        key = f"made.arguments.{name}"
        if name not in ARGUMENTS[record["command"]]:
            raise changed(folder, key, value, f"is not told of a {record['command']}")
        is_file = name in _FILES and value is not None
        given[name] = str(kept_in(folder, value, key).resolve()) if is_file else value
    return given


def _without(summary: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in summary.items() if name not in _NOT_RESULT}


def _records_same(first: Path, second: Path) -> bool:
    """Whether every recorded quantity and every row of a table is the same."""
    for name in _TABLES:
        if (first / name).is_file() and (first / name).read_bytes() != (second / name).read_bytes():
            return False
    for path in (path for name in _RECORDS for path in sorted(first.glob(name))):
        import pyarrow.parquet as pq

        beside = second / path.relative_to(first)
        if not beside.is_file() or not _alike(pq.read_table(path), pq.read_table(beside)):
            return False
    return True


def _alike(first: Any, second: Any) -> bool:
    """Whether two tables have the same columns with the same bits, nan being the same as nan."""
    if first.column_names != second.column_names or first.num_rows != second.num_rows:
        return False
    pairs = ((first.column(name).to_numpy(), second.column(name).to_numpy()) for name in first.column_names)
    return all(
        left.tolist() == right.tolist() if left.dtype == object else left.tobytes() == right.tobytes()
        for left, right in pairs
    )


def _changed(then: Mapping[str, str], now: Mapping[str, str]) -> tuple[str, ...]:
    changes: Sequence[tuple[str, str]] = [
        (name, "is gone" if name not in now else "was changed since")
        for name, mark in then.items()
        if now.get(name) != mark
    ]
    return tuple(f"{name} {how}" for name, how in changes)
