"""Texts of others where they are shown: nothing in them steers a terminal, a page or a spreadsheet."""

from __future__ import annotations

import re
import shlex
from collections.abc import Sequence
from typing import Any

__all__ = ["STEERING", "cell", "printable", "setting_word", "shell_word", "spoken_of", "tyres_spoken"]

STEERING = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
"""Control characters but for the tab and the end of a line, and what turns the direction of writing."""
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""How what a spreadsheet would work out begins."""

_BARE = re.compile(r"[A-Za-z0-9_./:+][A-Za-z0-9_./:=+-]*")
"""What needs no quotes in any shell; a comma makes two of one word in PowerShell, a backslash goes in a POSIX shell."""
_QUOTED = re.compile(r"""(?!.*%[^%]+%)(?:[^\x00-\x1f\x7f"\u201c-\u201e$`!\\]|\\(?=[^\\"]))*""")
"""What double quotes keep as it is in POSIX shells, PowerShell and cmd: variables, history and what ends the quotes
apart, which printed quotes do in PowerShell, and backslashes that stand before one another or at the end."""


def shell_word(text: str) -> str:
    """Return a text as one word of a command that can be typed.

    Double quotes are read alike in POSIX shells, PowerShell and cmd. What no quotes keep in all three is quoted as a
    POSIX shell takes it.
    """
    if _BARE.fullmatch(text):
        return text
    return f'"{text}"' if _QUOTED.fullmatch(text) else shlex.quote(text)


def setting_word(key: str, value: str) -> str:
    """Return key and value as one word after --set; texts in a list or a table of TOML get single quotes."""
    listed = value[:1] in ("[", "{") and "'" not in value and "\\" not in value
    return shell_word(f"{key}={value.replace(chr(34), chr(39)) if listed else value}")


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
