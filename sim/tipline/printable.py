"""Texts of others where they are shown: nothing in them steers a terminal, a page or a spreadsheet."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

__all__ = ["STEERING", "cell", "printable", "spoken_of", "tyres_spoken"]

STEERING = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
"""Control characters but for the tab and the end of a line, and what turns the direction of writing."""
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""How what a spreadsheet would work out begins."""


def printable(text: str) -> str:
    """Return a text with a question mark for each character that steers."""
    return STEERING.sub("?", text)


def cell(value: Any) -> Any:
    """Return a value for a cell of CSV; a text that a spreadsheet would work out gets an apostrophe before it."""
    return f"'{value}" if isinstance(value, str) and value.startswith(_FORMULA) else value


def spoken_of(zone: str) -> str:
    """Name a part of a floor in a sentence: "the old slab"; one with an article, capital or number stays as told."""
    return ", on ".join(_with_article(part) for part in zone.split(", on "))


def tyres_spoken(names: Sequence[str]) -> str:
    """Name tyres in a sentence: "the front-left and front-right tyres"."""
    if len(names) == 1:
        return f"the {names[0]} tyre"
    return f"the {', '.join(names[:-1])} and {names[-1]} tyres"


def _with_article(name: str) -> str:
    begun = name.split(" ", maxsplit=1)[0]
    named = name[:1].isupper() or name[:1].isdigit() or name[-1:].isdigit() or begun in {"the", "a", "an"}
    return name if named else f"the {name}"
