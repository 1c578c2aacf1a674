"""The tables of a PDF by its tags, cell by cell: what a reader of the file, or a machine, takes out of it."""

from __future__ import annotations

import ctypes
import re
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pypdfium2 as pdfium
from pypdfium2 import raw


class TaggedTable(NamedTuple):
    """A table as its tags have it: title without its number, heads, rows; blanks and marks of no width left out."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def squeezed(text: str) -> str:
    """A text without what a line break may have put in or taken away."""
    return re.sub(r"[\s\u00a0\u200b\u2060]+", "", text).replace("\x02", "-")  # so a hyphen at the end of a line is read


@dataclass
class _Gathered:
    """A table while its sheets are read: cells by row and column."""

    title: str
    columns: dict[int, str] = field(default_factory=lambda: defaultdict(str))
    cells: dict[tuple[int, int], str] = field(default_factory=lambda: defaultdict(str))
    wide: int = 0


@cache
def tagged_tables(data: bytes | Path) -> tuple[TaggedTable, ...]:
    """Read every table, one that goes over several sheets as one."""
    gathered: list[_Gathered] = []
    for page in pdfium.PdfDocument(data):
        words = _by_mark(page)
        tree = raw.FPDF_StructTree_GetForPage(page.raw)
        tops = _children(tree, raw.FPDF_StructTree_CountChildren, raw.FPDF_StructTree_GetChildAtIndex)
        for kind, element in _walked(tops):
            if kind == "Caption":  # within its table, or before it where that goes over several sheets
                title = squeezed(_text(element, words))
                if title.startswith("Table"):
                    gathered.append(_Gathered(re.sub(r"^Table\d+\.", "", title)))
            else:
                _gather(gathered[-1], element, words, head=kind == "THead")
        raw.FPDF_StructTree_Close(tree)
    return tuple(_whole(table) for table in gathered)


def _gather(table: _Gathered, part: Any, words: dict[int, str], *, head: bool) -> None:
    for row, element in enumerate(_children(part)):
        for column, cell in enumerate(_children(element) if element else ()):
            table.wide = max(table.wide, column + 1)
            text = _text(cell, words) if cell else ""
            if head:
                table.columns[column] += text
            else:
                table.cells[row, column] += text


def _whole(table: _Gathered) -> TaggedTable:
    rows = range(1 + max((row for row, _ in table.cells), default=-1))
    cells = tuple(tuple(squeezed(table.cells[row, column]) for column in range(table.wide)) for row in rows)
    return TaggedTable(table.title, tuple(squeezed(table.columns[column]) for column in range(table.wide)), cells)


def _by_mark(page: Any) -> dict[int, str]:
    """The letters of a sheet by the mark that the tags know them by."""
    letters, found = page.get_textpage(), defaultdict[int, list[str]](list)
    for index in range(letters.count_chars()):
        item = raw.FPDFText_GetTextObject(letters.raw, index)
        if item:
            found[raw.FPDFPageObj_GetMarkedContentID(item)].append(chr(raw.FPDFText_GetUnicode(letters.raw, index)))
    return {mark: "".join(texts) for mark, texts in found.items()}


def _children(
    element: Any,
    count: Callable[[Any], int] = raw.FPDF_StructElement_CountChildren,
    child: Callable[[Any, int], Any] = raw.FPDF_StructElement_GetChildAtIndex,
) -> list[Any]:
    """The parts of an element in their places; nothing in the place of one that is on another sheet."""
    return [child(element, index) or None for index in range(count(element))]


def _walked(elements: list[Any]) -> Iterator[tuple[str, Any]]:
    """Captions, heads and bodies in the order of the file."""
    for element in elements:
        if element is None:
            continue
        kind = _type(element)
        if kind in ("Caption", "THead", "TBody"):
            yield kind, element
        else:
            yield from _walked(_children(element))


def _type(element: Any) -> str:
    size = raw.FPDF_StructElement_GetType(element, None, 0)
    buffer = ctypes.create_string_buffer(size)
    raw.FPDF_StructElement_GetType(element, buffer, size)
    return buffer.raw.decode("utf-16-le").rstrip("\0")


def _text(element: Any, words: dict[int, str]) -> str:
    count = raw.FPDF_StructElement_GetMarkedContentIdCount(element)
    marks = (raw.FPDF_StructElement_GetMarkedContentIdAtIndex(element, index) for index in range(count))
    own = "".join(words.get(mark, "") for mark in marks if mark >= 0)
    return own + "".join(_text(part, words) for part in _children(element) if part)
