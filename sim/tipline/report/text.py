"""A page as plain text for a terminal: the short form, without pictures and long tables."""

from __future__ import annotations

import textwrap

from tipline.report import wording
from tipline.report.page import Page, Pictures, Points, Section, Table

WIDTH = 100
MOST_POINTS = 8


def page_text(page: Page) -> str:
    """Give the short page as text, without a line end after the last line."""
    blocks = [f"{page.title}\n{page.mark}\n\n{page.lead.upper()}"]
    blocks += [_section(section) for section in page.sections if section.brief]
    if page.demo:
        blocks.append(_wrapped(wording.DEMO, ""))
    blocks.append(_wrapped(wording.ESTIMATE, ""))
    return "\n\n".join(block for block in blocks if block)


def _section(section: Section) -> str:
    if isinstance(section, Pictures):
        return ""
    empty = not (section.rows if isinstance(section, Table) else section.items)
    if empty:
        return ""
    body = _table(section) if isinstance(section, Table) else _points(section)
    if section.note:
        body += "\n" + _wrapped(section.note, "  ")
    return f"{section.title}\n{body}"


def _table(table: Table) -> str:
    widths = [max(len(row[column]) for row in (table.columns, *table.rows)) for column in range(len(table.columns))]
    rows = table.rows if len(table.columns) == 2 else (table.columns, *table.rows)
    indent = "  | " if table.boxed else "  "
    lines = []
    for row in rows:
        cells = [cell.ljust(width) for cell, width in zip(row, widths, strict=True)]
        lines.append(_wrapped("  ".join(cells).rstrip(), indent, hang=widths[0] + 2))
    return "\n".join(lines)


def _points(points: Points) -> str:
    lines = [_wrapped(item, "  - ") for item in points.items[:MOST_POINTS]]
    if len(points.items) > MOST_POINTS:
        lines.append(f"  - and {len(points.items) - MOST_POINTS} more; report.html and inputs/resolved.toml list all")
    return "\n".join(lines)


def _wrapped(text: str, indent: str, hang: int = 0) -> str:
    later = " " * (len(indent) + hang)
    return textwrap.fill(
        text, WIDTH, initial_indent=indent, subsequent_indent=later, replace_whitespace=False, drop_whitespace=True
    )
