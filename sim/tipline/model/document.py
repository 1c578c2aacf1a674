"""One TOML text with the place and the origin of each value, and changes made to it by key."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from math import isfinite
from numbers import Integral, Real
from pathlib import Path as FilePath
from typing import Any

from tipline.errors import FROM_SET, InputError, InputErrors, argument, change
from tipline.model.positions import Path, line_numbers
from tipline.model.quantities import DEFAULT, ORIGINS
from tipline.printable import STEERING, printable

__all__ = ["Document", "Overrides", "changes_for", "checked", "dotted", "in_words", "parsed", "read_text", "toml_data"]

Overrides = Mapping[str, "str | float | Sequence[Any]"]
"""Values by dotted key that replace those of a file: text as it would stand there, or SI numbers, flags, lists."""

MOST_BYTES = 1_000_000
MOST_WHOLE = 10**18
"""Whole numbers given in Python are smaller than this: no setting takes more, and a float could hold it no longer."""
KEPT = 8
"""How many texts are kept as read: scenario, machine and floor are read anew for each row of a sweep."""
MOST_PARTS = 100
"""A key in a text has at most so many parts (our choice; ours have six): tomllib keeps each of its beginnings."""
_PART = r"""(?:[\w-]+|"[^"\n]*"|'[^'\n]*')"""
_LONG_KEY = re.compile(rf"(?<![\w-]){_PART}(?:[ \t]*\.[ \t]*{_PART}){{{MOST_PARTS}}}")
_WHERE = re.compile(r"\(at line (\d+), column \d+\)")


def dotted(path: Path) -> str:
    """Return a path as a user writes it: ``event.0.depth``."""
    return ".".join(str(part) for part in path)


def toml_data(text: str) -> dict[str, Any]:
    """Return the data of a text in TOML; raises ValueError where it is none, RecursionError where it is too deep."""
    long = _LONG_KEY.search(text)
    if long:
        line = text.count("\n", 0, long.start()) + 1
        msg = f"A key has more than {MOST_PARTS} parts (at line {line}, column 1)"
        raise tomllib.TOMLDecodeError(msg)
    return tomllib.loads(text)


def read_text(path: FilePath, shown: str) -> str:
    """Return the text of a file; raises InputError when it is too large, not text or cannot be read."""
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            msg = f"is {size / 1e6:.1f} MB; a file may have at most {MOST_BYTES / 1e6:.0f} MB"
            raise InputError(msg, file=shown, remedy="Give a TOML file; they have a few kB")
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        msg = f"is not UTF-8 text (byte {error.start})"
        raise InputError(msg, file=shown, remedy="Save it as UTF-8 in your editor") from error
    except OSError as error:
        msg = f"cannot be read ({error.strerror})"
        what = "name" if isinstance(error, FileNotFoundError) else "rights"
        raise InputError(msg, file=shown, remedy=f"Check the {what} of the file") from error


@dataclass
class Document:
    """Values as plain data; ``origins`` by dotted path.

    ``base`` is where ``data`` stands in the text, ``prefix`` what stands before its keys in a change. ``numbers`` are
    the places whose numbers were given in Python, in SI; ``filled`` those that were filled in from a table of the file,
    with its key.
    """

    shown: str
    text: str
    data: dict[str, Any]
    origins: dict[str, str] = field(default_factory=dict)
    base: Path = ()
    prefix: Path = ()
    changed: set[Path] = field(default_factory=set)
    numbers: set[Path] = field(default_factory=set)
    filled: dict[Path, str] = field(default_factory=dict)

    @classmethod
    def from_text(cls, text: str, shown: str) -> Document:
        """Read TOML; raises InputError with the line when it is not, or when an origin is not known."""
        try:
            known = parsed(text, shown)
            return replace(known, data=_copied(known.data), origins=dict(known.origins), changed=set(), numbers=set())
        except ValueError as error:
            raise _not_toml(error, shown) from error
        except RecursionError as error:
            msg = "is nested too deeply"
            raise InputError(msg, file=shown, remedy="Give a file in the form of the shipped ones") from error

    def part(self, key: str) -> Document:
        """Return the table under a key as a document of its own, at the same place in the same text."""
        inside = {path[1:] for path in self.changed if path[:1] == (key,)}
        start = f"{key}."
        origins = {name.removeprefix(start): origin for name, origin in self.origins.items() if name.startswith(start)}
        return Document(
            self.shown, self.text, self.data.pop(key), origins, (*self.base, key), (*self.prefix, key), inside
        )

    def find(self, path: Path) -> tuple[Any, bool]:
        """Return the value at a path, and whether there is one."""
        node: Any = self.data
        part: Any
        for part in path:
            try:
                node = node[part]
            except (KeyError, IndexError, TypeError):
                return None, False
        return node, True

    def given(self, path: Path) -> str | None:
        """Return the path at which a value was given: its own or that of a scalar above; None if it was not."""
        node: Any = self.data
        part: Any
        for depth, part in enumerate(path):
            if not isinstance(node, dict | list):
                return dotted(path[:depth])
            try:
                node = node[part]
            except (KeyError, IndexError, TypeError):
                return None
        return dotted(path)

    def problem(self, path: Path, reason: str, remedy: str, *, absent: bool = False) -> InputError:
        """Return an error at a path, with file, line and the value as it was written."""
        if path in self.filled:
            return self._of_filled(path, reason)
        value, there = self.find(path)
        shown = None if absent or not there or isinstance(value, dict) else in_words(value)
        key = dotted((*self.base, *path))
        if any(path[: len(changed)] == changed for changed in self.changed):
            return InputError(reason, file=FROM_SET, key=dotted((*self.prefix, *path)), value=shown, remedy=remedy)
        return InputError(reason, file=self.shown, line=self.line(path), key=key, value=shown, remedy=remedy)

    def _of_filled(self, path: Path, reason: str) -> InputError:
        table, key = self.filled[path], dotted(path)
        reason = f"does not go together: {key}, filled in from it, {reason}"
        remedy = f"Correct what it tells, or give {key} in the file"
        at = dotted((*self.base, table))
        return InputError(reason, file=self.shown, line=self.line((table,)), key=at, remedy=remedy)

    def line(self, path: Path) -> int:
        """Return the line of a path, or of the nearest table around it."""
        lines = _lines(self.text)
        path = (*self.base, *path)
        while path and path not in lines:
            path = path[:-1]
        return lines.get(path, 1)

    def change(self, key: str, value: object) -> None:
        """Set one value by its dotted key, list entries by index (from 0) or by name.

        Text is read as it would stand in the file; a number is in SI, a flag and a list are as they are.
        """
        self._set(key.split("."), value, key)

    def rewrite(self, path: Path, say: Callable[[float], str]) -> None:
        """Put a text in the place of each number at a path."""

        def said(node: Any) -> Any:
            if isinstance(node, list):
                return [said(entry) for entry in node]
            number = isinstance(node, int | float) and not isinstance(node, bool) and isfinite(node)
            return say(node) if number else node

        above, there = self.find(path[:-1])
        if there:
            above[path[-1]] = said(above[path[-1]])

    def in_si(self, path: Path) -> bool:
        """Whether the numbers at a path were given in Python."""
        return any(path[: len(given)] == given for given in self.numbers)

    def _unpack(self, node: Any, path: Path, problems: list[InputError]) -> Any:
        for text in node if isinstance(node, dict) else (node,):
            if isinstance(text, str) and (control := STEERING.search(text)):
                reason = f"holds a control character, U+{ord(control[0]):04X}, which would steer a screen"
                where = {"file": self.shown, "line": self.line(path), "key": printable(dotted(path))}
                problems.append(InputError(reason, value=in_words(text), remedy="Remove it", **where))  # type: ignore[arg-type]
        if isinstance(node, dict) and "value" in node:
            self._note_origin(node, path, problems)
            return self._unpack(node["value"], path, problems)
        if isinstance(node, dict):
            return {key: self._unpack(value, (*path, key), problems) for key, value in node.items()}
        if isinstance(node, list):
            return [self._unpack(value, (*path, index), problems) for index, value in enumerate(node)]
        return node

    def _note_origin(self, node: dict[str, Any], path: Path, problems: list[InputError]) -> None:
        where = {"file": self.shown, "line": self.line(path)}
        remedy = f'Write {{ value = "1.8 m", origin = "drawing" }}; origins: {", ".join(ORIGINS)}'
        for key in node.keys() - {"value", "origin"}:
            reason = "unknown key beside a value"
            problems.append(InputError(reason, key=dotted((*path, key)), remedy=remedy, **where))  # type: ignore[arg-type]
        origin = node.get("origin")
        if isinstance(origin, str) and origin in (*ORIGINS, DEFAULT):
            self.origins[dotted(path)] = origin
        elif origin is not None:
            key, reason = dotted((*path, "origin")), "not a known origin"
            problems.append(InputError(reason, key=key, value=in_words(origin), remedy=remedy, **where))  # type: ignore[arg-type]

    def _set(self, parts: list[str], text: object, key: str) -> None:
        full = dotted((*self.prefix, key))
        node: Any = self.data
        path: Path = ()
        for depth, part in enumerate(parts):
            if not part:
                msg = "the key has an empty part"
                raise InputError(
                    msg, file=FROM_SET, key=full, remedy=f"Write it like {change('event.0.depth', '95 mm')}"
                )
            step: Any = part
            if isinstance(node, list):
                step = _index(node, part, full)
            elif not isinstance(node, dict):
                msg = f"{dotted(path)} is a single value, it holds no {part}"
                raise InputError(msg, file=FROM_SET, key=full, value=in_words(text), remedy="Shorten the key")
            path = (*path, step)
            if depth < len(parts) - 1:
                node = node[step] if isinstance(node, list) else node.setdefault(step, {})
        self._put(node, path, text, full)

    def _put(self, node: Any, path: Path, text: object, full: str) -> None:
        name = dotted(path)
        for old in [old for old in self.origins if old == name or old.startswith(f"{name}.")]:
            del self.origins[old]
        self.origins[name] = "told"
        problems: list[InputError] = []
        plain = _from_text(text) if isinstance(text, str) else _plain(text, full)
        node[path[-1]] = self._unpack(plain, path, problems)
        if problems:
            first = problems[0]
            raise InputError(first.reason, file=FROM_SET, key=full, value=in_words(text), remedy=first.remedy)
        self.changed.add(path)
        self.numbers.discard(path)
        if not isinstance(text, str):
            self.numbers.add(path)


@lru_cache(maxsize=KEPT)
def parsed(text: str, shown: str) -> Document:
    """Return a text as read, for copies only: what is kept nobody changes."""
    document = Document(shown, text, {})
    problems: list[InputError] = []
    document.data = document._unpack(toml_data(text), (), problems)
    if problems:
        raise InputErrors(problems)
    return document


def _copied(node: Any) -> Any:
    if isinstance(node, dict):
        return {key: _copied(value) for key, value in node.items()}
    return [_copied(value) for value in node] if isinstance(node, list) else node


@lru_cache(maxsize=KEPT)
def _lines(text: str) -> dict[Path, int]:
    return line_numbers(text)


def checked(overrides: Overrides | None) -> Overrides:
    """Return changes that are a mapping from keys to values, none of them empty; raises InputError."""
    given: object = {} if overrides is None else overrides
    wanted = f"Write {change('event.0.depth', '95 mm')}"
    if not isinstance(given, Mapping):
        reason = "changes are values by key"
        raise InputError(reason, key=argument("overrides"), value=in_words(given), remedy=wanted)
    for key, value in given.items():
        empty = not isinstance(key, str) or not key.strip() or (isinstance(value, str) and not value.strip())
        if empty:
            reason = "a change needs a key and a value"
            raise InputError(reason, file=FROM_SET, key=str(key), value=in_words(value), remedy=wanted)
    return given


def changes_for(overrides: Overrides, start: str) -> Iterator[tuple[str, object]]:
    """Yield the changes whose key begins with ``start`` and a dot, without it."""
    for key, text in overrides.items():
        if key.startswith(f"{start}."):
            yield key.removeprefix(f"{start}."), text


def in_words(value: object) -> str:
    """Return a value the way it stands in a file, shortened."""
    if isinstance(value, str):
        text = json.dumps(value if len(value) <= 60 else value[:60] + "...", ensure_ascii=False)
        return "".join(letter if letter.isprintable() else "?" for letter in text)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        text = "[" + ", ".join(in_words(entry) for entry in value[:6]) + (", ..." if len(value) > 6 else "") + "]"
    else:
        try:
            text = "{...}" if isinstance(value, dict) else str(value)
        except ValueError:
            text = "a very long number"
    return text if len(text) <= 80 else text[:80] + "..."


def _index(entries: list[Any], part: str, full: str) -> int:
    names = [entry.get("name") for entry in entries if isinstance(entry, dict)]
    if part in names:
        return names.index(part)
    if part.isascii() and part.isdigit() and len(part) < 6 and int(part) < len(entries):
        return int(part)
    known = ", ".join(str(name) for name in names if name)
    most = f"0 to {len(entries) - 1}" if entries else "none, the list is empty"
    msg = f'no entry "{part[:40]}"; entries: {most}'
    raise InputError(
        msg, file=FROM_SET, key=full[:200], remedy=f"Use an index{f' or a name: {known}' if known else ''}"
    )


def _from_text(text: str) -> Any:
    """Return a number, a flag, a list or a table if the text is one in TOML, else the text itself."""
    try:
        value = toml_data(f"value = {text}")["value"] if "\n" not in text else text
    except (ValueError, RecursionError):
        return text
    return value if isinstance(value, bool | int | float | list | dict | str) else text


def _plain(value: object, key: str) -> Any:
    """Return a number, a flag or a list, or a text in one, as plain data; raises InputError for anything else."""
    if hasattr(value, "tolist"):  # an array's, or one of its numbers
        value = value.tolist()
    if isinstance(value, str | bool):
        return value
    if isinstance(value, Integral) and abs(int(value)) < MOST_WHOLE:
        return int(value)
    if isinstance(value, Real) and not isinstance(value, Integral):
        return float(value)
    if isinstance(value, Sequence):
        return [_plain(entry, key) for entry in value]
    reason = "a setting is text as it would stand in the file, a number in SI units, true or false, or a list of these"
    raise InputError(reason, file=FROM_SET, key=key, value=in_words(value), remedy='Write it like "95 mm" or 0.095')


def _not_toml(error: ValueError, shown: str) -> InputError:
    where = _WHERE.search(str(error))
    reason = _WHERE.sub("", str(error)).strip()
    line = int(where[1]) if where else None
    if "digits" in reason:
        reason = "a number is too long"
    remedy = "Check quotes, brackets and equals signs; each key may stand once"
    return InputError(f"is not valid TOML: {reason[:200]}", file=shown, line=line, remedy=remedy)
