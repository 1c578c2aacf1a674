"""Results of many runs that were begun and are not whole: what they were made from is kept, to go on with.

Beside the folder of a sweep or an incident lies, while it is made, a hidden one with its files and what was asked. It
may come from somebody else: its files are handed in as any other, so that nothing else on the disk is read.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from tipline.errors import InputError
from tipline.workbench.bench import MOST_BYTES, MOST_FILES, Bench, FileKind

__all__ = ["ASKED", "BEGUN", "beside", "files_of", "kept_to_go_on"]

BEGUN: dict[str, FileKind] = {"sweep": "sweep", "reconstruct": "incident"}
"""Commands whose results are gone on with, with the kind of their file."""
ASKED = "request.json"
"""In the hidden folder: which command, of which file, in which units."""


def beside(folder: Path) -> Path:
    """Give the hidden folder beside that of a result."""
    return folder.with_name(f".{folder.name}.begun")


@contextmanager
def kept_to_go_on(folder: Path, request: Mapping[str, str], files: Mapping[str, str]) -> Iterator[Path]:
    """Keep what a result is made from while it is made; where it breaks off that stays, if any run is there.

    ``request``: the command, the name of its file, the units; ``files``: texts by name.
    """
    own = beside(folder)
    if not folder.exists():
        shutil.rmtree(own, ignore_errors=True)
    own.mkdir(parents=True, exist_ok=True)
    for name, text in files.items():
        (own / name).write_text(text, encoding="utf-8")
    (own / ASKED).write_text(json.dumps(dict(request)), encoding="utf-8")
    try:
        yield folder
    except BaseException:
        if not any(folder.rglob("*.parquet")):
            shutil.rmtree(folder, ignore_errors=True)
            shutil.rmtree(own, ignore_errors=True)
        raise
    shutil.rmtree(own, ignore_errors=True)


def files_of(folder: Path) -> tuple[dict[str, str], dict[str, str]]:
    """Give what was asked for a result that is not whole, and its files by name.

    Raises
    ------
    InputError
        It is none, or its files are not of these pages.
    """
    own = beside(folder)
    request: dict[str, str] = {}
    with suppress(OSError, ValueError, RecursionError):
        data = json.loads((own / ASKED).read_bytes()[:MOST_BYTES])
        request = {str(key): str(value) for key, value in data.items()} if isinstance(data, dict) else {}
    kind = BEGUN.get(request.get("command", ""))
    if kind is None:
        msg = "is no sweep and no incident that was begun here"
        raise InputError(msg, key="run", value=repr(folder.name[:80]), remedy="Take one of the list")
    bench = Bench()
    places = [place for place in sorted(own.glob("*.toml")) if place.is_file() and not place.is_symlink()]
    for _ in range(2):  # those that name others come after these
        for place in places[:MOST_FILES]:
            with suppress(InputError, OSError):
                if place.stat().st_size <= MOST_BYTES:
                    bench.hand_in(place.name, place.read_bytes())
    if request.get("name") not in bench.names(kind):
        msg = "its file is not there, or names one that is not"
        raise InputError(msg, key=kind, value=repr(request.get("name", "")[:80]), remedy="Start it once more")
    return request, bench.all_files()
