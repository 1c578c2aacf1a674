"""What others measured as text for a terminal: kind by kind, single ones where they are few, and where we are off."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from math import isnan

from tipline.selftest.measured.comparison import MeasuredKind, SetBeside
from tipline.selftest.page import WIDEST, columns, fitted, named_use
from tipline.selftest.references import references

__all__ = ["HEADING", "measured_table"]

HEADING = "Measured by others"
_SAID = (
    "Published tests of real bodies, floors and soils, and what this program computes for them. They neither agree nor "
    "differ: they lie somewhere. On the mean is the geometric mean of measured over ours; the scatter is the standard "
    "deviation of its logarithm, about the part by which one test lies off. No lift truck is among them."
)
_FEW = 12


def measured_table(kinds: Sequence[MeasuredKind], width: int = WIDEST) -> str:
    """Write the kinds in `width` columns (80 to 120); of more than a dozen only the least and the most are shown."""
    width = fitted(width)
    counted = sum(len(kind.rows) for kind in kinds)
    lines = [*textwrap.wrap(f"{HEADING.upper()}: {counted} values of {len(kinds)} kinds", width), ""]
    lines += [*textwrap.wrap(_SAID, width), ""]
    lines += columns("", ("ours", "measured", "over", "", ""), width)
    for kind in kinds:
        lines += ["", *_kind(kind, width)]
    return "\n".join(lines)


def _kind(kind: MeasuredKind, width: int) -> Iterator[str]:
    yield from textwrap.wrap(kind.title, width)
    yield from textwrap.wrap(f"{kind.read}: {'; '.join(references()[key].title for key in kind.sources)}", width)
    used = f"; used by {named_use(kind.used_by)}" if kind.used_by else ""
    yield from textwrap.wrap(f"beside it: {kind.law}{used}", width)
    few = len(kind.rows) <= _FEW
    for row in kind.rows if few else _ends(kind.rows):
        yield from columns(row.what, (_ours(row), row.printed, f"{row.ratio:.2f}", "", ""), width)
    yield from _summed(kind, width, few=few)
    yield from textwrap.wrap(kind.off, width, initial_indent="  ", subsequent_indent="  ")


def _ends(rows: Sequence[SetBeside]) -> tuple[SetBeside, SetBeside]:
    return min(rows, key=lambda row: row.ratio), max(rows, key=lambda row: row.ratio)


def _ours(row: SetBeside) -> str:
    return "as told" if row.ours is None else f"{row.ours:.4g} {row.unit}".strip()


def _summed(kind: MeasuredKind, width: int, *, few: bool) -> Iterator[str]:
    summary = kind.summary
    if summary is None or isnan(summary.scatter):
        return
    shown = "" if few else f"; the least and the most of {summary.number} are shown"
    text = f"On the mean measured is {summary.middle:.2f} times ours, scatter {summary.scatter:.2f}{shown}."
    yield from textwrap.wrap(text, width, initial_indent="  ", subsequent_indent="  ")
