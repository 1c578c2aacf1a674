"""The files that come with the program, by name: from the checkout, or from the installed package."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import Literal

from tipline.errors import InputError
from tipline.printable import printable

__all__ = ["PACKAGE", "Kind", "find", "lies_in", "list_shipped", "near", "only_in"]

Kind = Literal["machine", "floor", "stock", "scenario", "sweep", "incident", "lesson"]

_FOLDERS: dict[Kind, str] = {
    "machine": "models/machines",
    "floor": "models/floors",
    "stock": "models/spreaders",
    "scenario": "scenarios",
    "sweep": "scenarios/sweeps",
    "incident": "scenarios/incidents",
    "lesson": "scenarios/lessons",
}
PACKAGE = Path(__file__).resolve().parents[1]
_ASKED: dict[str, str] = {
    "sweep": "; run it with tipline sweep",
    "incident": "; ask of it with tipline reconstruct",
    "lesson": "; make it with tipline lesson",
}
_ALIKE = 0.5
_FEW = 6  # so many names fit into a message
_ONLY: ContextVar[Path | None] = ContextVar("only", default=None)


@contextmanager
def only_in(folder: Path) -> Iterator[None]:
    """Find no files but the shipped ones and those of a folder while this lasts: the names in them are a stranger's."""
    before = _ONLY.set(folder)
    try:
        yield
    finally:
        _ONLY.reset(before)


def lies_in(path: Path, folder: Path) -> bool:
    """Whether a path leads to a place in a folder, by whatever links."""
    try:
        return path.resolve().is_relative_to(folder.resolve())
    except (OSError, ValueError, RuntimeError):  # no name of a file, or links in a circle
        return False


def list_shipped() -> dict[Kind, tuple[str, ...]]:
    """Return the names of the shipped files of each kind."""
    return {kind: tuple(sorted(path.stem for path in _folder(kind).glob("*.toml"))) for kind in _FOLDERS}


def find(kind: Kind, name: str, beside: Path | None = None) -> tuple[Path, str]:
    """Return the file of a shipped name or a path, and how to call it in messages.

    What holds a slash or ends in ".toml" is a path, seen from the folder ``beside`` (default: where one stands).
    Raises InputError when there is no such file, with the nearest shipped name, or where `only_in` forbids it.
    """
    if not _is_path(name):
        path = _folder(kind) / f"{name}.toml"
        if name and "\0" not in name and len(name) < 200 and path.is_file():
            return path, f"{_FOLDERS[kind]}/{name}.toml"
        raise _absent(kind, name)
    if "\0" in name:
        raise _absent(kind, name)
    path = Path(name) if beside is None else beside / name
    only = _ONLY.get()
    if only is not None and not lies_in(path, only):
        msg = "leads out of the folder that is read"
        raise InputError(msg, file=_clip(name), remedy=f"Nothing outside {only} is read; put the {kind} file into it")
    _refuse_no_file(kind, path, name)
    return path, printable(str(path))


def _is_path(name: str) -> bool:
    return "/" in name or "\\" in name or name.lower().endswith(".toml") or name in {".", ".."}


def _folder(kind: Kind) -> Path:
    installed = PACKAGE / "_data"
    root = installed if installed.is_dir() else PACKAGE.parents[1]
    return root / _FOLDERS[kind]


def _refuse_no_file(kind: Kind, path: Path, name: str) -> None:
    try:
        if path.is_dir():
            msg = "is a folder, not a file"
            raise InputError(
                msg, file=_clip(name), remedy=f"Give a {kind} file in it, or a shipped name: {_names(kind)}"
            )
        if not path.exists():
            raise _absent(kind, name)
        if not path.is_file():
            msg = "is not a plain file"
            raise InputError(msg, file=_clip(name), remedy=f"Give a {kind} file")
    except OSError as error:
        msg = f"cannot be opened ({error.strerror})"
        raise InputError(msg, file=_clip(name), remedy="Check the name and the rights of the file") from error


def _absent(kind: Kind, name: str) -> InputError:
    other = next((kind for kind, names in list_shipped().items() if name in names), None)
    if other is not None:
        said = _ASKED.get(other, "")
        return InputError(
            f"is a shipped {other}, not a {kind}{said}", file=_clip(name), remedy=f"Shipped {kind}s: {_names(kind)}"
        )
    nearest = near(Path(name.replace("\0", "")).stem[:200], list_shipped()[kind])
    what = "no such file" if _is_path(name) else f"no shipped {kind} of that name"
    hint = f'Did you mean "{nearest}"? ' if nearest else ""
    return InputError(
        what,
        file=_clip(name) or '""',
        remedy=f"{hint}Shipped: {_names(kind)}; for your own file give its path, as ./my-lift.toml",
    )


def near(name: str, names: tuple[str, ...]) -> str:
    """Return the first of the names that begins so, else the nearest, of equally near ones the first, or ""."""
    begun = next((other for other in names if name and other.startswith(name)), None)
    if begun is not None:
        return begun
    likeness = {other: difflib.SequenceMatcher(None, name, other).ratio() for other in names}
    best = max(likeness, key=lambda other: likeness[other], default="")
    return best if best and likeness[best] >= _ALIKE else ""


def _names(kind: Kind) -> str:
    names = list_shipped()[kind]
    return ", ".join(names) or "none" if len(names) <= _FEW else "see tipline list"


def _clip(name: str) -> str:
    shown = printable(name).replace("\n", "?")
    return shown if len(shown) <= 120 else shown[:120] + "..."
