"""Where in a TOML text each key and each value stands; the text is known to be valid TOML."""

from __future__ import annotations

import re

__all__ = ["Path", "line_numbers", "value_places"]

Path = tuple[str | int, ...]

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}(?!")'
    r"|'''.*?'{3,5}(?!')"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_SCALAR = re.compile(r"[^,\]}#\n]*")


def line_numbers(text: str) -> dict[Path, int]:
    """Return the line (from 1) of each table, key and list entry, by its path."""
    scanner = _Scanner(text)
    scanner.document()
    return scanner.lines


def value_places(text: str) -> dict[Path, tuple[int, int]]:
    """Return from which to which character of the text each value stands, by its path."""
    scanner = _Scanner(text)
    scanner.document()
    return scanner.places


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[Path, int] = {}
        self.places: dict[Path, tuple[int, int]] = {}
        self._counts: dict[Path, int] = {}
        self._seen_to = 0
        self._line = 1

    def document(self) -> None:
        table: Path = ()
        self._skip(_BLANK)
        while self.at < len(self.text):
            table = self._header() if self.text[self.at] == "[" else self._pair(table)
            self._skip(_BLANK)

    def _header(self) -> Path:
        start = self.at
        several = self.text.startswith("[[", self.at)
        self.at += 2 if several else 1
        keys = self._key()
        self.at += 2 if several else 1
        path: Path = ()
        for key in keys[:-1]:
            self._note((*path, key), start)
            path = self._last((*path, key))
        path = (*path, keys[-1])
        if several:
            self._counts[path] = self._counts.get(path, -1) + 1
            self._note(path, start)
        path = self._last(path)
        self._note(path, start)
        return path

    def _last(self, path: Path) -> Path:
        return (*path, self._counts[path]) if path in self._counts else path

    def _pair(self, table: Path) -> Path:
        start = self.at
        path = table
        for key in self._key():
            path = (*path, key)
            self._note(path, start)
        self.at += 1  # the equals sign
        self._skip(_SPACE)
        self._value(path)
        return table

    def _key(self) -> tuple[str, ...]:
        keys: list[str] = []
        while True:
            self._skip(_SPACE)
            if self.text[self.at] in "\"'":
                keys.append(_unquote(self._take(_STRING)))
            else:
                keys.append(self._take(_BARE_KEY))
            self._skip(_SPACE)
            if self.text[self.at] != ".":
                return tuple(keys)
            self.at += 1

    def _value(self, path: Path) -> None:
        start, first = self.at, self.text[self.at]
        if first == "[":
            self._array(path)
        elif first == "{":
            self._inline_table(path)
        elif first in "\"'":
            self._take(_STRING)
        else:
            self._take(_SCALAR)
        self.places[path] = start, self.at

    def _array(self, path: Path) -> None:
        self.at += 1
        index = 0
        self._skip(_BLANK)
        while self.text[self.at] != "]":
            self._note((*path, index), self.at)
            self._value((*path, index))
            self._skip(_BLANK)
            if self.text[self.at] == ",":
                self.at += 1
                self._skip(_BLANK)
            index += 1
        self.at += 1

    def _inline_table(self, path: Path) -> None:
        self.at += 1
        self._skip(_BLANK)
        while self.text[self.at] != "}":
            self._pair(path)
            self._skip(_BLANK)
            if self.text[self.at] == ",":
                self.at += 1
                self._skip(_BLANK)
        self.at += 1

    def _note(self, path: Path, at: int) -> None:
        if at > self._seen_to:
            self._line += self.text.count("\n", self._seen_to, at)
            self._seen_to = at
        self.lines.setdefault(path, self._line)

    def _skip(self, pattern: re.Pattern[str]) -> None:
        self._take(pattern)

    def _take(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None:
            msg = f"not valid TOML at character {self.at}"
            raise ValueError(msg)
        self.at = match.end()
        return match[0]


def _unquote(key: str) -> str:
    import tomllib

    return next(iter(tomllib.loads(f"{key} = 0")))
