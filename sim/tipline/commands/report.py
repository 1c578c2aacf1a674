"""`report`: the report of a folder set again from what is stored there, or of two of them side by side."""

from __future__ import annotations

import json
import secrets
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tipline.commands.folder import hold_links
from tipline.commands.given import named, one_of
from tipline.errors import InputError, MissingPart
from tipline.report import html
from tipline.report.comparison import comparison_page
from tipline.report.filed import Filed
from tipline.report.page import Page
from tipline.report.paper import PAPERS, Paper, filed_pdf
from tipline.report.stored import FILE, read_filed
from tipline.units import System

__all__ = ["ReportResult", "report_of", "summary_of", "write_report"]

COMPARED = "compare"


@dataclass(frozen=True)
class ReportResult:
    """A report set from what is stored: the report itself, and the units and the sheet it was asked in."""

    filed: Filed
    units: System
    paper: Paper

    @property
    def page(self) -> Page:
        """Its page."""
        return self.filed.pages[self.units]


def report_of(
    folder: Path | str, other: Path | str | None = None, units: System = "si", paper: Paper = "a4"
) -> ReportResult:
    """Set the report of a folder again, or that of two folders side by side; nothing is simulated.

    Parameters
    ----------
    folder : that run, check, floor, slopes, loads, sweep or reconstruct left
    other : another of the same command, to be set beside it
    units : of the report
    paper : its sheet, "a4" or "letter"

    Raises
    ------
    InputError
        A folder holds no report that this version reads, a link in it leads out of it, or the two are of different
        commands.

    Examples
    --------
    >>> import tempfile, tipline
    >>> with tempfile.TemporaryDirectory() as place:
    ...     left = tipline.write(tipline.check("front-tyre-breaks-through-load-high"), f"{place}/lift-1")
    ...     print(tipline.report_of(left).page.title)
    Front tyre breaks through with the load high on the jib
    """
    one_of(units, "units", ("si", "us"))
    one_of(paper, "paper", PAPERS)
    first = Path(named(folder, "folder", "a folder"))
    hold_links(first, FILE)
    filed = read_filed(first)
    if other is None:
        return ReportResult(filed, units, paper)
    second = Path(named(other, "other", "a folder"))
    hold_links(second, FILE)
    beside = read_filed(second)
    if filed.command != beside.command:
        reason = f"is of {beside.command}, and {first} is of {filed.command}"
        raise InputError(reason, file=str(second), remedy="Give two folders of one command")
    names = _names(first, second)
    systems: tuple[System, System] = ("si", "us")
    pages = {system: comparison_page(filed, beside, names, system) for system in systems}
    record = {
        "command": COMPARED,
        "arguments": {"first folder": names[0], "second folder": names[1]},
        "inputs": {
            f"{name}/{file}": mark
            for name, them in zip(names, (filed, beside), strict=True)
            for file, mark in them.made.get("inputs", {}).items()
        },
        "versions": filed.made.get("versions", {}) if filed.made.get("versions") == beside.made.get("versions") else {},
    }
    return ReportResult(Filed(COMPARED, pages, made=record), units, paper)


def _names(first: Path, second: Path) -> tuple[str, str]:
    """Name two folders as shortly as tells them apart."""
    short = first.resolve().name, second.resolve().name
    return short if short[0] != short[1] else (str(first), str(second))


def write_report(result: ReportResult, folder: Path) -> tuple[str, ...]:
    """Write a report into a folder, over one that is there; return what had to be left out, and why."""
    _over(folder / result.filed.left, html.page_html(result.page).encode())
    try:
        _over(folder / "report.pdf", filed_pdf(result.filed, result.units, result.paper))
    except MissingPart as error:
        return (f"report.pdf: {error}",)
    return ()


def _over(path: Path, data: bytes) -> None:
    """Write a file whole: what stood there stays until the new one is."""
    beside = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    try:
        beside.write_bytes(data)
        beside.replace(path)
    except OSError as error:
        beside.unlink(missing_ok=True)
        reason = f"cannot be written: {error.strerror or error}"
        raise InputError(reason, file=str(path), remedy="Give --out with a folder that you may write in") from error


def summary_of(folder: Path) -> dict[str, Any]:
    """Return the figures of a folder.

    Raises
    ------
    InputError
        There are none, or they cannot be read.
    """
    path = folder / "summary.json"
    try:
        summary = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError) as error:
        reason = "is not there" if isinstance(error, FileNotFoundError) else "cannot be read"
        raise InputError(reason, file=str(path), remedy="Give a folder as a command left it") from error
    if not isinstance(summary, dict):
        msg = "holds no figures"
        raise InputError(msg, file=str(path), remedy="Give a folder as a command left it")
    return summary
