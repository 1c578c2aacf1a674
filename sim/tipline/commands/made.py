"""How a result was made: command and arguments, versions of libraries, the machine, the hashes of its input files."""

from __future__ import annotations

import json
import platform
from collections.abc import Mapping
from hashlib import sha256
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, cast

from tipline.errors import InputError
from tipline.model.document import read_text
from tipline.model.shipped import lies_in
from tipline.scenario.case import Source, Text

if TYPE_CHECKING:
    from tipline.model.shipped import Kind

__all__ = ["LIBRARIES", "changed", "hashes", "kept_in", "made_of", "part_of", "plain", "source_of"]

T = TypeVar("T", str, dict[str, Any], list[Any])
_CALLED = {str: "text", dict: "table", list: "list"}
_FROM = "made.read_from"

LIBRARIES = ("tipline", "numpy", "scipy", "numba", "pybullet", "pydantic", "pyarrow")
"""Whose versions may change a figure."""
_CPU = Path("/proc/cpuinfo")


def made_of(command: str, arguments: Mapping[str, Any], source: Source | None, inputs: Path) -> dict[str, Any]:
    """Return how a result was made, as plain JSON values.

    ``source``: what its case was read from, None where it was not read as it is; ``inputs``: the folder of its files.
    """
    return {
        "command": command,
        "arguments": {name: plain(value) for name, value in arguments.items()},
        "read_from": None if source is None else _told(source, inputs),
        "inputs": hashes(inputs),
        "versions": {name: installed for name in LIBRARIES if (installed := _installed(name))},
        "machine": {
            "system": f"{platform.system()} {platform.machine()}",
            "processor": _processor(),
            "python": platform.python_version(),
        },
    }


def _told(source: Source, inputs: Path) -> dict[str, Any]:
    """Tell what a case was read from: the name it was given by, the changes, and which file is which text."""
    there = {path.read_text(encoding="utf-8"): path.name for path in sorted(inputs.iterdir()) if path.is_file()}
    return {
        "name": source.name,
        "changes": plain(source.changes),
        "texts": [
            {
                "kind": text.kind,
                "given": text.given,
                "stem": text.stem,
                "shown": text.shown,
                "file": f"{inputs.name}/{there[text.text]}",
            }
            for text in source.texts
        ],
    }


def source_of(record: Mapping[str, Any], folder: Path) -> Source:
    """Return what a case was read from, its texts as they lie in the folder of a result now.

    Raises
    ------
    InputError
        The record was changed, or a file is gone, cannot be read or does not lie in the folder.
    """
    origin = part_of(record, "read_from", dict, folder, "made")
    texts = []
    for index, entry in enumerate(part_of(origin, "texts", list, folder, _FROM)):
        at = f"{_FROM}.texts.{index}"
        table = part_of({"": entry}, "", dict, folder, at)
        kind, given, stem, shown = (part_of(table, key, str, folder, at) for key in ("kind", "given", "stem", "shown"))
        path = kept_in(folder, table.get("file"), f"{at}.file")
        texts.append(Text(cast("Kind", kind), given, str(path.parent), stem, shown, read_text(path, str(path))))
    changes = part_of(origin, "changes", dict, folder, _FROM)
    return Source(part_of(origin, "name", str, folder, _FROM), changes, tuple(texts))


def part_of(record: Mapping[str, Any], name: str, kind: type[T], folder: Path, at: str) -> T:
    """Return a part of the record of how a result was made, which stands at a key of its summary.

    Raises
    ------
    InputError
        It is not of that kind.
    """
    value = record.get(name)
    if isinstance(value, kind):
        return value
    raise changed(folder, f"{at}.{name}".rstrip("."), value, f"is no {_CALLED[kind]}")


def changed(folder: Path, key: str, value: object, reason: str) -> InputError:
    """Return the error of a record that says what no command writes."""
    shown = json.dumps(value, default=str)
    remedy = "Give the folder as the command wrote it"
    return InputError(reason, file=str(folder / "summary.json"), key=key, value=shown, remedy=remedy)


def kept_in(folder: Path, file: object, key: str) -> Path:
    """Return the place of a file that the folder of a result keeps; ``key``: where its summary names it.

    Raises
    ------
    InputError
        It is gone, or does not lie among the inputs there.
    """
    if not isinstance(file, str) or not lies_in(folder / file, folder / "inputs"):
        raise changed(folder, key, file, "is no file of the folder's inputs, and nothing else is read")
    path = folder / file
    if not path.is_file():
        msg = "is not there"
        raise InputError(msg, file=str(path), remedy="Put back the file as the command wrote it")
    return path


def hashes(inputs: Path) -> dict[str, str]:
    """Return the SHA-256 of every file of a folder by its name there, with the folder's in front."""
    if not inputs.is_dir():
        return {}
    files = sorted(path for path in inputs.iterdir() if path.is_file())
    return {f"{inputs.name}/{path.name}": sha256(path.read_bytes()).hexdigest() for path in files}


def plain(value: Any) -> Any:
    """Return an argument as JSON has it: numbers, texts, lists and tables; anything else in words."""
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if value is None or isinstance(value, bool | int | float):
        return value
    return str(value)


def _installed(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return ""


def _processor() -> str:
    """Return the type of processor: its bits may differ from another's."""
    try:
        lines = _CPU.read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        lines = []
    named = (line.partition(":")[2].strip() for line in lines if line.startswith("model name"))
    return next(named, platform.processor() or "unknown")
