"""A lift on the bench: the files it is made of, chosen or handed in, and the values that were changed in them.

What is handed in is text of a bounded size, read as data. A file is found by a shipped name, or among what was handed
in; nothing else on the disk can be reached by a name in it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Literal

from tipline.errors import FROM_SET, InputError, InputErrors, TiplineError
from tipline.model.document import MOST_BYTES, Document, toml_data
from tipline.model.reader import change_machine, to_floor, to_machine
from tipline.model.shipped import Kind, list_shipped
from tipline.printable import printable
from tipline.scenario import Case, read
from tipline.scenario.case import Text
from tipline.scenario.resolved import resolved_file, resolved_text
from tipline.scenario.templates import template

__all__ = ["FIRST", "MOST_BYTES", "MOST_FILES", "OWN", "Bench", "FileKind", "plain_name", "problems_of", "words_of"]

FIRST = "front-tyre-breaks-through-load-high"
"""What lies on the bench at first."""
OWN = "my-lift.toml"
"""A lift of one's own, begun from the template of a scenario."""
MOST_FILES = 20
"""How many files one bench takes (our choice)."""
FileKind = Kind | Literal["route"]
_KEYS: dict[FileKind, set[str]] = {
    "route": {"path"},
    "stock": {"item"},
    "lesson": {"pair"},
    "incident": {"cause", "found"},
    "sweep": {"method", "variable"},
    "scenario": {"setup", "event", "load", "run", "expect"},
    "machine": {"plate_and_tape", "drive_axle", "chassis", "mast", "wheelbase"},
}
"""By what keys a file is known to be of a kind, the first that has one; else it is a floor."""
_SHIPPED = {"machine": "models/machines/", "floor": "models/floors/"}
"""How shipped files of these kinds are called in messages."""
_NAMED: tuple[Kind, ...] = ("scenario", "machine", "floor")
"""Kinds of files that another file names."""
_CALLED: dict[str, str] = {"stock": "a list of spreaders", "incident": "an incident"}
"""How kinds of files are called, where not "a" and their own word."""
_DEVICE = re.compile(r"con|prn|aux|nul|(com|lpt)[0-9]", re.IGNORECASE)
"""Names that are a device on Windows, whatever stands after the point (Microsoft, Naming files, paths and namespaces,
from memory)."""


@dataclass
class Bench:
    """What a case is read from: the scenario by name, texts that were handed in, values changed by dotted key.

    ``files``: texts of other kinds that were handed in, for commands that take them.
    """

    name: str = FIRST
    texts: dict[tuple[Kind, str], Text] = field(default_factory=dict)
    changes: dict[str, str] = field(default_factory=dict)
    files: dict[tuple[FileKind, str], str] = field(default_factory=dict)

    def case(self, *, table: bool = False) -> Case:
        """Read the case as it stands now.

        Raises
        ------
        InputError
            A file or a value is wrong, or a file names one that is not here.
        """
        for text in self.texts.values():
            if text.kind == "scenario" and text.given == self.name:
                self._hold(_data(text.text))
        self._hold({kind: self.changes[kind] for kind in ("machine", "floor") if kind in self.changes})
        self._known("scenario", self.name)
        return read(self.name, self.changes, table=table, texts=self.given)

    @property
    def given(self) -> tuple[Text, ...]:
        """The texts that were handed in; a file may name one that lies beside it with "./" before it."""
        texts = tuple(self.texts.values())
        return (*texts, *(replace(text, given=f"./{text.given}") for text in texts))

    def names(self, kind: FileKind) -> tuple[str, ...]:
        """Give what can be chosen of a kind: what was handed in, then what is shipped."""
        own = [given for own_kind, given in (*self.texts, *self.files) if own_kind == kind]
        return (*own, *(() if kind == "route" else list_shipped()[kind]))

    def all_files(self) -> dict[str, str]:
        """Give every text that was handed in by its name, to be laid side by side in a folder."""
        return {name: text for (_, name), text in self.files.items()} | {
            name: text.text for (_, name), text in self.texts.items()
        }

    def choose(self, name: str) -> None:
        """Lay another scenario on the bench, without the changes made to the one before.

        Raises
        ------
        InputError
            There is no such scenario.
        """
        if name == OWN and ("scenario", OWN) not in self.texts:
            self._keep("scenario", OWN, template("scenario"))
        self._known("scenario", name)
        self.name, self.changes = name, {}

    def change(self, key: str, text: str) -> None:
        """Change a value, or take the change away where the text is empty."""
        if text.strip():
            self.changes[key] = text.strip()
        else:
            self.changes.pop(key, None)

    def hand_in(self, name: str, data: bytes) -> FileKind:
        """Take a file that was handed in, and lay it on the bench; tells of which kind it is.

        Raises
        ------
        InputError
            It is too large, no text, no TOML, cannot be, or is one file too many; the bench is as it was.
        """
        own = plain_name(name)
        if len(data) > MOST_BYTES:
            reason = f"is larger than {MOST_BYTES / 1e6:.0f} MB"
            raise InputError(reason, file=own, remedy="Give a TOML file; they have a few kB")
        try:
            text = data.decode("utf-8-sig")
            kind = _kind_of(toml_data(text))
            if kind not in _NAMED:
                return self._hand_in_file(kind, own, text)
            _hold_together(kind, text, own)
        except UnicodeDecodeError as error:
            msg = "is not UTF-8 text"
            raise InputError(msg, file=own, remedy="Save it as UTF-8 in your editor") from error
        except (ValueError, RecursionError) as error:
            msg = f"is not TOML ({error})"
            raise InputError(msg, file=own, remedy="Give a file as tipline new writes it") from error
        before = Bench(self.name, dict(self.texts), dict(self.changes))
        self._keep(kind, own, text)
        if kind == "scenario":
            self.choose(own)
        else:
            self.changes = {key: value for key, value in self.changes.items() if not key.startswith(f"{kind}.")}
            self.change(kind, own)
            return kind
        try:
            self.case()
        except InputError:
            self.name, self.texts, self.changes = before.name, before.texts, before.changes
            raise
        return kind

    def problems(self, error: TiplineError) -> list[tuple[str, str]]:
        """Give what is wrong as `problems_of` does, keys of machine and floor as they stand in the forms."""
        whose: dict[str, str] = {name: kind for kind, name in self.texts if kind in _SHIPPED}
        problems = error.problems if isinstance(error, InputErrors) else (error,)
        given = []
        for problem, (key, words) in zip(problems, problems_of(error), strict=True):
            file = (problem.file or "") if isinstance(problem, InputError) else ""
            kind = whose.get(file) or next((kind for kind, start in _SHIPPED.items() if file.startswith(start)), "")
            given.append((f"{kind}.{key}" if kind and key else key, words))
        return given

    def text(self, kind: Kind = "scenario") -> str:
        """Give the set-up as one file that every command takes, or its machine or floor alone; raises as `case`."""
        if kind in ("machine", "floor"):
            return resolved_file(self.case(), "machine" if kind == "machine" else "floor")
        return resolved_text(self.case(table=True))

    def _hand_in_file(self, kind: FileKind, name: str, text: str) -> FileKind:
        """Take a file that a command asks for; other files that it names must be here."""
        for named, other in _names_in(toml_data(text)):
            self._known(named, other)
        self._bound(kind, name)
        self.files[kind, name] = text
        return kind

    def _bound(self, kind: FileKind, name: str) -> None:
        """Refuse a file of another kind under a name that is there, as they are laid side by side, and one too many.

        A name that is there but for capitals is refused too.
        """
        held = self.all_files()
        other = next((other for other, given in (*self.texts, *self.files) if given == name and other != kind), None)
        if other is not None:
            called = [_CALLED.get(each, f"a {each}") for each in (other, kind)]
            msg = f"is the name of {called[0]} here already, and this is {called[1]}"
            raise InputError(msg, file=name, remedy="Give it another name")
        alike = next((other for other in held if other != name and other.lower() == name.lower()), None)
        if alike is not None:
            msg = f"differs by capitals only from {alike}, which is here already: many computers take the two for one"
            raise InputError(msg, file=name, remedy="Give it another name, or the same one to replace it")
        if name not in held and len(held) >= MOST_FILES:
            msg = f"there are {MOST_FILES} files here already"
            raise InputError(msg, file=name, remedy="Open the pages in a new tab for more")

    def _keep(self, kind: Kind, name: str, text: str) -> None:
        self._bound(kind, name)
        self.texts[kind, name] = Text(kind, name, "", printable(Path(name).stem), name, text)

    def _hold(self, data: Mapping[str, Any]) -> None:
        """Refuse a file that names another one which is not here."""
        for kind in ("machine", "floor"):
            given = data.get(kind)
            if isinstance(given, str):
                self._known("machine" if kind == "machine" else "floor", given)

    def _known(self, kind: Kind, name: str) -> None:
        if name not in self.names(kind) and (kind, name.removeprefix("./")) not in self.texts:
            msg = f"there is no {kind} of that name here"
            remedy = f"Choose one of the list, or hand in the {kind} file first"
            raise InputError(msg, key=kind, value=repr(printable(name)[:80]), remedy=remedy)


def plain_name(name: str) -> str:
    """Give a name of letters, digits, "-", "_" and one ending, which any computer takes for a file."""
    given = re.sub(r"\.toml$", "", re.split(r"[/\\]", name)[-1].rstrip(" ."), flags=re.IGNORECASE)
    stem = re.sub(r"[^A-Za-z0-9_-]+", "-", given)[:60].strip("-") or "file"
    return f"{stem}{'-file' if _DEVICE.fullmatch(stem) else ''}.toml"


def _data(text: str) -> dict[str, Any]:
    """Give the data of a text; that it is no TOML is told by who reads it."""
    try:
        return toml_data(text)
    except (ValueError, RecursionError):
        return {}


def _hold_together(kind: Kind, text: str, name: str) -> None:
    """Refuse a machine or a floor that cannot be; whether the set-up suits it is told beside the form."""
    if kind == "scenario":
        return
    document = Document.from_text(text, name)
    document.data.setdefault("name", Path(name).stem)
    if kind == "machine":
        to_machine(change_machine(document, ()))
    else:
        to_floor(document)


def _kind_of(data: Mapping[str, Any]) -> FileKind:
    return next((kind for kind, keys in _KEYS.items() if data.keys() & keys), "floor")


def _names_in(node: Any) -> Iterator[tuple[Kind, str]]:
    """Yield each file that a text names, with its kind, wherever it stands in it."""
    if isinstance(node, list):
        for entry in node:
            yield from _names_in(entry)
    elif isinstance(node, dict):
        for kind in _NAMED:
            value = node.get(kind)
            if isinstance(value, str) and value:
                yield kind, value
            if kind in _keys_in(node):
                yield from ((kind, name) for name in _values_in(node) if isinstance(name, str))
        for value in node.values():
            yield from _names_in(value)


def _keys_in(node: Mapping[str, Any]) -> Iterator[Any]:
    """Yield the keys that get values beside them: a variable of a sweep may have several, a pair of a lesson one."""
    yield from _listed(node.get("key"))
    yield node.get("change")


def _values_in(node: Mapping[str, Any]) -> Iterator[Any]:
    for name in ("values", "fails", "holds"):
        yield from _listed(node.get(name))


def _listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [value]


def problems_of(error: TiplineError) -> list[tuple[str, str]]:
    """Give what is wrong: the key, "" where it is none, and a sentence with what is allowed and what to do."""
    problems = error.problems if isinstance(error, InputErrors) else (error,)
    return [(each.key or "" if isinstance(each, InputError) else "", _sentence(each)) for each in problems]


def words_of(error: TiplineError) -> str:
    """Give an error as a reader of the pages meets it, all problems in a line each."""
    return "\n".join(f"{key}: {said}" if key else said for key, said in problems_of(error))


def _sentence(error: TiplineError) -> str:
    if not isinstance(error, InputError):
        return str(error)
    value = f"{error.value} " if error.value is not None else ""
    where = (
        ""
        if error.file in (None, FROM_SET)
        else f" ({error.file}{'' if error.line is None else f', line {error.line}'})"
    )
    remedy = f" {error.remedy}." if error.remedy else ""
    return f"{value}{error.reason}{where}.{remedy}"
