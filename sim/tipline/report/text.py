"""A page as plain text for a terminal: the short form, without pictures and long tables."""

from __future__ import annotations

import textwrap

from tipline.report import wording
from tipline.report.sections import Page, Pictures, Points, Section, Table

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
    body = _table(section) if isinstance(section, Table) else _points(section)
    if not body:
        return ""
    if section.note:
        body += "\n" + _wrapped(section.note, "  ")
    return f"{section.title}\n{body}"


def _table(table: Table) -> str:
    widths = [max(len(row[column]) for row in (table.columns, *table.rows)) for column in range(len(table.columns))]
    lines = []
    for row in table.rows:
        cells = [cell.ljust(width) for cell, width in zip(row, widths, strict=True)]
        lines.append(_wrapped("  ".join(cells).rstrip(), "  ", hang=widths[0] + 2))
    if len(table.columns) > 2:
        heads = "  ".join(head.ljust(width) for head, width in zip(table.columns, widths, strict=True))
        lines.insert(0, "  " + heads.rstrip())
    return "\n".join(lines)


def _points(points: Points) -> str:
    mark = "  | " if points.boxed else "  - "
    most = len(points.items) if points.boxed else MOST_POINTS
    lines = [_wrapped(item, mark, hang=0) for item in points.items[:most]]
    if len(points.items) > most:
        lines.append(f"  - and {len(points.items) - most} more; report.html and inputs/resolved.toml list all")
    return "\n".join(lines)


def _wrapped(text: str, indent: str, hang: int = 0) -> str:
    later = " " * (len(indent) + hang)
    return textwrap.fill(
        text, WIDTH, initial_indent=indent, subsequent_indent=later, replace_whitespace=False, drop_whitespace=True
    )
