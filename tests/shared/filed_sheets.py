"""A PDF as its sheets: their sizes, texts and letters."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pypdfium2 as pdfium
from pypdfium2.raw import FPDFText_GetFontSize

A4, LETTER = (595.28, 841.89), (612.0, 792.0)
MARGIN = 22 / 25.4 * 72


class Letter(NamedTuple):
    """A letter of a sheet: left, right, how far its foot is from the sheet's foot, and its size [points]."""

    text: str
    left: float
    right: float
    foot: float
    size: float


@cache
def sheets(data: bytes | Path) -> tuple[tuple[float, float, str, tuple[Letter, ...]], ...]:
    """Each sheet's width and height [points], its text line by line, and its letters but blanks."""
    found = []
    for page in pdfium.PdfDocument(data):
        words = page.get_textpage()
        text = words.get_text_range().replace("\r\n", "\n").replace("\u00a0", " ").replace("\u200b", "")
        letters = []
        for index in range(words.count_chars()):
            one, (left, foot, right, _) = words.get_text_range(index, 1), words.get_charbox(index, loose=True)
            if one.strip():
                letters.append(Letter(one, left, right, foot, FPDFText_GetFontSize(words.raw, index)))
        found.append((*page.get_size(), text, tuple(letters)))
    return tuple(found)


def text_of(data: bytes | Path) -> str:
    return "\n".join(text for _, _, text, _ in sheets(data))


def summary_of(folder: Path) -> dict[str, Any]:
    told: dict[str, Any] = json.loads((folder / "summary.json").read_text(encoding="utf-8"))
    return told
