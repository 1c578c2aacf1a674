"""A page as plain text for a terminal: the short form, without pictures and long tables."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from itertools import zip_longest

from tipline.report import wording
from tipline.report.page import Page, Pictures, PointList, Section, Table

WIDTH = 100
MOST_POINTS = 8
_NARROWEST = 60
_NARROWEST_COLUMN = 8


def page_text(page: Page, width: int = WIDTH) -> str:
    """Give the short page as text no wider than `width` letters, without a line end after the last line."""
    width = max(width, _NARROWEST)
    blocks = ["\n".join((_wrapped(page.title, width), _wrapped(page.mark, width), "", _headed(page.lead, width)))]
    blocks.append("\n".join(_wrapped(f"{word}: {sentence}", width) for word, sentence in page.said))
    blocks += [_section(section, width) for section in page.sections if section.brief]
    if page.demo:
        blocks.append(_wrapped(wording.demo_note(page.demo), width))
    blocks.append(_wrapped(wording.ESTIMATE, width))
    return "\n\n".join(block for block in blocks if block)


def _section(section: Section, width: int) -> str:
    if isinstance(section, Pictures):
        return ""
    empty = not (section.rows if isinstance(section, Table) else section.items)
    if empty:
        return ""
    body = _table(section, width) if isinstance(section, Table) else _points(section, width)
    if section.note:
        body += "\n" + _wrapped(section.note, width, "  ")
    return f"{_wrapped(section.title, width)}\n{body}"


def _table(table: Table, width: int) -> str:
    indent = "  | " if table.boxed else "  "
    rows = table.rows if len(table.columns) == 2 else (table.columns, *table.rows)
    widths = _widths(rows, width - len(indent) - 2 * (len(table.columns) - 1))
    lines = []
    for row in rows:
        cells = [_lines(cell, most) for cell, most in zip(row, widths, strict=True)]
        for line in zip_longest(*cells, fillvalue=""):
            padded = (part.ljust(most) for part, most in zip(line, widths, strict=True))
            lines.append((indent + "  ".join(padded)).rstrip())
    return "\n".join(lines)


def _widths(rows: Sequence[Sequence[str]], room: int) -> list[int]:
    """Give the columns' widths; the widest one gives way until all of them fit into `room`."""
    widths = [max(1, *(len(cell) for cell in column)) for column in zip(*rows, strict=True)]
    while sum(widths) > room and max(widths) > _NARROWEST_COLUMN:
        widest = widths.index(max(widths))
        widths[widest] -= 1
    return widths


def _points(points: PointList, width: int) -> str:
    lines = [_wrapped(item, width, "  - ") for item in points.items[:MOST_POINTS]]
    if len(points.items) > MOST_POINTS:
        more = f"and {len(points.items) - MOST_POINTS} more; the page that is written lists all"
        lines.append(_wrapped(more, width, "  - "))
    return "\n".join(lines)


def _headed(text: str, width: int) -> str:
    """Underline what stands in the largest type elsewhere; capitals would spoil its units."""
    lines = _lines(f"{text[:1].upper()}{text[1:]}", width)
    return "\n".join((*lines, "=" * max(map(len, lines))))


def _wrapped(text: str, width: int, indent: str = "") -> str:
    return "\n".join(_lines(text, width, indent))


def _lines(text: str, width: int, indent: str = "") -> list[str]:
    """Break a text into lines, never between a number and its unit."""
    broken = textwrap.wrap(wording.tied(text), width, initial_indent=indent, subsequent_indent=" " * len(indent))
    return [line.replace(wording.NO_BREAK, " ") for line in broken]
