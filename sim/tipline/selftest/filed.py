"""The method statement as a page and as PDF, to be filed: laws by subject, the checks, what others measured."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from math import isnan
from pathlib import Path

from tipline.errors import MissingPart
from tipline.report import html, wording
from tipline.report.page import Page, PointList, Section, Table
from tipline.report.paper import SHEETS, Paper, typeset
from tipline.selftest.check import Result
from tipline.selftest.measured import KINDS, MeasuredKind
from tipline.selftest.method import Law
from tipline.selftest.page import HEADING, difference, named_use
from tipline.selftest.references import references
from tipline.selftest.registry import run_checks
from tipline.selftest.second_library import RECORDED

__all__ = ["statement_page", "statement_pdf", "write_statement"]

_MECHANICS, _STEPPED, _CHECKS = (
    "The laws of mechanics",
    "Laws stepped in time, sought or put together",
    "The checks",
)
_LAW = ("law", "what it gives, and how", "what it takes, and where it holds", "source, and how far it was read")
_FILE = ("file", "what it gives, and how", "source, and how far it was read")
_CHECK = ("quantity", "computed", "printed", "off by", "source", "used by")
_KIND = ("what was measured", "values", "measured over ours", "scatter", "beside it", "source")
_SHARES: Mapping[tuple[str, ...], tuple[float, ...]] = {
    _LAW: (1.0, 2.6, 2.2, 1.8),
    _FILE: (1.1, 4.2, 1.6),
    _CHECK: (2.5, 1.1, 1.7, 0.8, 2.3, 1.2),
    _KIND: (2.2, 0.6, 0.9, 0.7, 1.8, 2.2),
}
"""How wide the columns of a table are on paper, to one another, by its heads."""
_QUESTION = "By which laws does this program work out its answers, from where are they, and how were they checked?"


def write_statement(stated: Sequence[Law], version: str, folder: Path, paper: Paper = "a4") -> tuple[str, ...]:
    """Write the statement into a folder as HTML and PDF; return what had to be left out, and why."""
    results = run_checks()
    (folder / "report.html").write_text(html.page_html(statement_page(stated, results, version)), encoding="utf-8")
    try:
        (folder / "report.pdf").write_bytes(statement_pdf(stated, results, version, paper))
    except MissingPart as error:
        return (f"report.pdf: {error}",)
    return ()


def statement_page(stated: Sequence[Law], results: Sequence[Result], version: str) -> Page:
    """Give the statement as a page: all sections, those of the laws first."""
    return Page(
        title=f"Method statement of tipline {version}",
        mark=f"{len(stated)} laws; {len(results)} checks",
        lead=f"{len(stated)} laws by subject, each with equation, range and source; then the checks",
        demo="",
        sections=tuple(section for _, sections in _parts(stated, results) for section in sections),
        said=(("The checks", HEADING),),
    )


def statement_pdf(stated: Sequence[Law], results: Sequence[Result], version: str, paper: Paper = "a4") -> bytes:
    """Give the statement as PDF; the same statement gives the same bytes."""
    page = statement_page(stated, results, version)
    data = {
        "title": page.title,
        "question": _QUESTION,
        "lead": page.lead,
        "demo": "",
        "mark": page.mark,
        "estimate": f"{wording.ESTIMATE} {wording.GOVERNING}",
        "picture": None,
        "said": [list(said) for said in page.said],
        "units": "",
        "parts": [
            {"title": title, "sections": [_plain(section) for section in sections]}
            for title, sections in _parts(stated, results)
        ],
        "annex": [],
        "opinion": "",
        "made": [["command", "report --method"], ["version of tipline", version]],
        "hashes": [],
        "again": ["tipline report --method --out FOLDER writes the statement of the version that is installed."],
        "paper": SHEETS[paper],
    }
    return typeset(data, {})


def _plain(section: Section) -> dict[str, object]:
    if isinstance(section, Table):
        rows = [[wording.tied(cell) for cell in row] for row in section.rows]
        shares = {"shares": _SHARES[section.columns]} if section.columns in _SHARES else {}
        return {"kind": "table", "title": section.title, "note": section.note, "columns": list(section.columns),
                "rows": rows, "long": True, **shares}  # fmt: skip
    items = [wording.tied(item) for item in section.items] if isinstance(section, PointList) else []
    return {"kind": "points", "title": section.title, "note": section.note, "items": items}


def _parts(known: Sequence[Law], results: Sequence[Result]) -> Iterator[tuple[str, list[Section]]]:
    """Yield the parts of the statement by their titles."""
    stated = [law for law in known if law.subject.startswith("mechanics: ")]
    stepped = [law for law in known if not law.subject.startswith("mechanics: ")]
    yield _MECHANICS, [_laws(subject, list(laws)) for subject, laws in groupby(stated, lambda law: law.subject)]
    yield _STEPPED, [_files(subject, list(laws)) for subject, laws in groupby(stepped, lambda law: law.subject)]
    yield _CHECKS, [*_checks(results), _recorded(), _measured(KINDS), _where_off(KINDS)]


def _laws(subject: str, laws: Sequence[Law]) -> Table:
    rows = tuple((law.name.replace("_", " "), f"{law.what} {law.equation}", _range(law), _from(law)) for law in laws)
    return Table(_titled(subject.removeprefix("mechanics: ")), _LAW, rows)


def _range(law: Law) -> str:
    refused = f"Refused: {law.refuses}" if law.refuses else ""
    return f"{law.inputs} {refused}".strip()


def _from(law: Law) -> str:
    used = f". Used by: {', '.join(law.commands)}" if law.commands else ""
    return f"{'; '.join(law.sources)}{used}"


def _files(subject: str, laws: Sequence[Law]) -> Table:
    rows = tuple((law.name, f"{law.what} {law.equation}", "; ".join(law.sources)) for law in laws)
    return Table(_titled(subject), _FILE, rows)


def _titled(subject: str) -> str:
    words = subject.replace("_", " ")
    return f"{words[:1].upper()}{words[1:]}"


def _checks(results: Sequence[Result]) -> Iterator[Table]:
    statuses = dict.fromkeys(result.check.status for result in results)
    for status in statuses:
        rows = tuple(
            (
                result.check.what,
                result.failure or f"{result.computed:.6g}",
                result.check.printed,
                difference(result),
                references()[result.check.source].title,
                named_use(result.used_by),
            )
            for result in results
            if result.check.status == status
        )
        yield Table(f"Numbers {status}", _CHECK, rows)


def _recorded() -> Table:
    rows = tuple(
        (
            row.what,
            f"{row.ours:.6g} {row.unit}",
            f"{row.other:.6g} {row.unit}",
            f"{row.library} {row.version}, {row.date}",
        )
        for row in RECORDED
    )
    note = "Recorded by our tests on the day shown; not computed now."
    return Table("Beside other libraries", ("quantity", "this program", "other", "library"), rows, note)


def _measured(kinds: Sequence[MeasuredKind]) -> Table:
    rows = []
    for kind in kinds:
        summary = kind.summary
        single = summary is None or isnan(summary.scatter)
        rows.append(
            (
                kind.title,
                "" if summary is None else str(summary.number),
                "as told" if summary is None else f"{summary.middle:.2f}",
                "" if summary is None or single else f"{summary.scatter:.2f}",
                kind.law,
                f"{kind.read}: {'; '.join(references()[key].title for key in kind.sources)}",
            )
        )
    note = (
        "Measured over ours: the geometric mean; scatter: the standard deviation of its logarithm, about the part by "
        "which one test lies off. No lift truck is among them."
    )
    return Table("Measured by others", _KIND, tuple(rows), note)


def _where_off(kinds: Sequence[MeasuredKind]) -> PointList:
    return PointList("Where these are off, and why", tuple(f"{kind.title}: {kind.off}" for kind in kinds))
