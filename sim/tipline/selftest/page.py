"""The self-test as text for a terminal: by status and source, in columns that fit its width."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterable, Sequence

from tipline.selftest.check import Result
from tipline.selftest.printed import digits_like, shortened
from tipline.selftest.references import references
from tipline.selftest.second_library import Recorded
from tipline.selftest.used_by import COMMANDS, UsedBy

__all__ = ["HEADING", "NARROWEST", "WIDEST", "columns", "difference", "fitted", "named_use", "recorded_table", "table"]

HEADING = "These say the formulas are coded right; nothing about your truck, load or floor."
USED_BY = (
    "Used by: the commands whose answers rest on it (all: check, run, floor and slopes). In brackets an oracle, which "
    "no command calls: the commands whose answers our tests hold against it."
)
NARROWEST, WIDEST = 80, 120
_WIDTHS = 16, 19, 8, 15, 7
_GAP = 2
_WIDER = "*"


def table(results: Iterable[Result], width: int = WIDEST) -> str:
    """Write the results as one table of text in `width` columns (80 to 120), heading and count by status included.

    Sources are headings, in the order of the list within each status. Places in the sources, the reasons of wider
    tolerances and digits past the tenth decimal are left to the records.
    """
    rows, width = list(results), fitted(width)
    lines = [*textwrap.wrap(HEADING, width), ""]
    lines += [*textwrap.wrap(USED_BY, width), ""]
    lines += columns("", ("computed", "printed", "off by", "used by", ""), width)
    groups: dict[str, dict[str, list[Result]]] = {}
    for row in rows:
        groups.setdefault(row.check.status, {}).setdefault(row.check.source, []).append(row)
    for status, sources in groups.items():
        lines += ["", status.upper()]
        for source, held in sources.items():
            lines += textwrap.wrap(references()[source].title, width)
            lines += [line for row in held for line in _row(row, width)]
    lines.append("")
    lines += [line for text in _counts(rows) for line in textwrap.wrap(text, width)]
    if any(row.check.why_wider for row in rows):
        note = (
            f"{_WIDER} allows more than half of the last printed digit; --json gives the reason, places and all digits."
        )
        lines += textwrap.wrap(note, width)
    return "\n".join(lines)


def recorded_table(rows: Sequence[Recorded], width: int = WIDEST) -> str:
    """Write results that other libraries gave in our tests, under each library with its version and date."""
    width = fitted(width)
    heading = (
        f"{len(rows)} results recorded beside those of other libraries by our tests on the day shown; not computed now"
    )
    lines = [*textwrap.wrap(heading, width), "", *columns("", ("this program", "other", "off by", "", ""), width)]
    groups: dict[str, list[Recorded]] = {}
    for row in rows:
        groups.setdefault(f"{row.library} {row.version}, {row.date}", []).append(row)
    for library, held in groups.items():
        lines += ["", library]
        for row in held:
            numbers = f"{row.ours:.6g} {row.unit}", f"{row.other:.6g} {row.unit}"
            off = "0" if abs(row.difference) <= 1e-8 * abs(row.ours) else f"{row.difference:+.2g}"
            lines += columns(row.what, (numbers[0].strip(), numbers[1].strip(), off, "", ""), width)
    return "\n".join(lines)


def fitted(width: int) -> int:
    """Return the width that a table takes of what a terminal has."""
    return min(max(width, NARROWEST), WIDEST)


def _row(result: Result, width: int) -> list[str]:
    check = result.check
    computed = "failed" if result.failure else f"{digits_like(result.computed, check.printed)} {check.expected.unit}"
    what = f"{check.what} {_WIDER}" if check.why_wider else check.what
    agreement = "agrees" if result.passed else "DIFFERS"
    off = "" if result.failure else difference(result)
    cells = computed.strip(), shortened(check.printed), off, named_use(result.used_by), agreement
    return columns(what, cells, width) + (
        textwrap.wrap(result.failure, width, initial_indent="    ", subsequent_indent="    ") if result.failure else []
    )


def columns(what: str, cells: tuple[str, ...], width: int) -> list[str]:
    """Give the lines of one row: what is checked and its cells, on one line where they fit and below it where not."""
    gap, widths = " " * _GAP, _WIDTHS
    room = width - sum(widths) - _GAP * (len(widths) + 1)
    numbers = gap.join(cell.ljust(w) for cell, w in zip(cells, widths, strict=True))
    if len(what) <= room:
        return [f"{gap}{what.ljust(room)}{gap}{numbers}".rstrip()]
    words = textwrap.wrap(what, width, initial_indent=gap, subsequent_indent=2 * gap)
    return [*words, f"{gap}{' ' * room}{gap}{numbers}".rstrip()]


def difference(result: Result) -> str:
    """Write the difference, rounding noise as 0."""
    return "0" if abs(result.difference) <= 1e-9 * max(1.0, abs(result.computed)) else f"{result.difference:+.2g}"


def named_use(used_by: UsedBy) -> str:
    """Name the commands whose answers rest on it; in brackets those that are held against an oracle."""
    names = "all" if used_by.commands == COMMANDS else " ".join(used_by.commands)
    return f"({names})" if used_by.oracle else names


def _counts(rows: list[Result]) -> tuple[str, ...]:
    """Count what answers rest on and the oracles apart."""
    used = [row for row in rows if not row.used_by.oracle]
    oracles = [row for row in rows if row.used_by.oracle]
    out = f"{sum(row.passed for row in rows)} of {len(rows)} agree. Answers rest on {_kinds(used)}."
    return (out, f"No answer rests on the oracles: {_kinds(oracles)}.") if oracles else (out,)


def _kinds(rows: list[Result]) -> str:
    by_status = Counter(row.check.status for row in rows)
    kinds = ", ".join(f"{count} {status}" for status, count in by_status.items())
    return f"{len(rows)} ({kinds})" if rows else "none"
