"""The results under the folder of runs: what each is, and which of its files may be looked at."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from tipline.model.document import toml_data
from tipline.printable import printable
from tipline.workbench.begun import ASKED, BEGUN, beside

__all__ = ["HEAD", "MARK", "MOST_LISTED", "PAGES", "Entry", "entries", "entry_of", "file_in", "folder_of"]

MOST_LISTED = 60
"""How many results are listed, the newest first (our choice)."""
_MOST_SUMMARY = 20_000_000
MARK = b'class="demo">DEMO'
"""How a page of a lesson is marked."""
HEAD = 65_536
"""How much of such a page [bytes] is read for its mark, which stands before the runs it plays (our choice)."""
PAGES = ("report.html", "sweep.html", "lesson.html")
"""The page of a result, by which of them it has."""
_LESSON = PAGES[-1]
_SHOWN = (".html", ".json", ".parquet", ".png", ".jpg", ".svg", ".mp4", ".csv", ".toml", ".pdf")
"""Endings of what results are made of; nothing else is handed out."""


@dataclass(frozen=True)
class Entry:
    """A result: the name of its folder, title, how it ended, when it was made, the files that can be opened.

    ``fitted``: the file of a machine that was fitted. ``begun``: whether it is not whole and can be gone on with.
    """

    name: str
    kind: str
    title: str
    said: str
    date: str
    demo: bool
    page: str
    replay: bool
    film: bool
    pdf: bool
    fitted: str
    begun: bool = False


def entries(runs: Path) -> list[Entry]:
    """Give the results in the folder of runs, the newest first."""
    newest = sorted(_folders(runs), reverse=True)[:MOST_LISTED]
    return [entry for _, folder in newest if (entry := entry_of(folder)) is not None]


def folder_of(runs: Path, name: str) -> Path | None:
    """Give the folder of a result by its name; None where the folder of runs has none, whatever the name is."""
    return next((folder for _, folder in _folders(runs) if folder.name == name), None)


def file_in(folder: Path, path: str) -> Path | None:
    """Give a file of a result; None for what lies outside its folder, is hidden, or is no part of a result."""
    parts = path.split("/")
    if any(part in ("", ".", "..") or part.startswith(".") or "\\" in part or "\0" in part for part in parts):
        return None
    place = folder.joinpath(*parts)
    try:
        inside = place.resolve().is_relative_to(folder.resolve())
        return place if inside and place.is_file() and place.suffix.lower() in _SHOWN else None
    except OSError:
        return None


def _folders(runs: Path) -> Iterator[tuple[float, Path]]:
    """Yield the folders of results with the time of each; one that a link leads to lies elsewhere."""
    try:
        places = list(runs.iterdir())
    except OSError:
        return
    for place in places:
        if place.name.startswith(".") or place.is_symlink():
            continue
        with suppress(OSError):  # one that is being made in another tab may be gone since it was looked for
            heads = (beside(place) / ASKED, place / "summary.json", place / _LESSON)
            head = next((head for head in heads if head.is_file()), None)
            if head is not None and place.is_dir():
                yield head.stat().st_mtime, place


def entry_of(folder: Path) -> Entry | None:
    """Give what is listed of a folder; None where its summary cannot be read, but for a lesson, which has none.

    It is read once, and anew where the folder has another file or another summary since.
    """
    summary, lesson, request = folder / "summary.json", folder / _LESSON, beside(folder) / ASKED
    try:
        if request.is_file():
            return _begun(folder, request)
        head = lesson if lesson.is_file() else summary
        stat = head.stat()
        return _entry(head, (stat.st_mtime_ns, stat.st_size, folder.stat().st_mtime_ns))
    except OSError:
        return None


def _begun(folder: Path, request: Path) -> Entry | None:
    """Give what is listed of a sweep or an incident that is not whole; raises OSError."""
    with suppress(ValueError, RecursionError):
        facts = json.loads(request.read_bytes()[:HEAD])
        if isinstance(facts, dict) and facts.get("command") in BEGUN and folder.is_dir():
            title = printable(str(facts.get("name", "")).removesuffix(".toml").replace("-", " "))[:200]
            date = time.strftime("%d.%m.%Y %H:%M", time.localtime(request.stat().st_mtime))
            said = "Not whole yet: it was cancelled, or broke off. What was made of it is kept."
            return Entry(
                folder.name, BEGUN[str(facts["command"])], title, said, date, False, "", False, False, False, "", True
            )
    return None


@lru_cache(maxsize=4 * MOST_LISTED)
def _entry(head: Path, stamp: tuple[int, int, int]) -> Entry | None:
    """Read what is listed of a folder by its summary, or by the page of its lesson, as of a time and a size."""
    folder, (modified, size, _) = head.parent, stamp
    lesson = head.name == _LESSON
    try:
        facts = _facts_of_lesson(folder) if lesson else None
        if facts is None and size < _MOST_SUMMARY:
            facts = json.loads(head.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return None
    if not isinstance(facts, dict):
        return None
    schema = str(facts.get("schema", ""))
    kind = "lesson" if lesson else schema.removeprefix("tipline.").partition("/")[0].replace("summary", "run")
    page = next((name for name in PAGES if (folder / name).is_file()), "")
    return Entry(
        name=folder.name,
        kind=kind,
        title=printable(str(_first(facts, "scenario", "title", "floor", "machine") or folder.name))[:200],
        said=printable(_said(facts))[:300],
        date=time.strftime("%d.%m.%Y %H:%M", time.localtime(modified * 1e-9)),
        demo=bool(facts.get("demo")),
        page=page,
        replay=(folder / "replay.html").is_file(),
        film=(folder / "replay.mp4").is_file(),
        pdf=(folder / "report.pdf").is_file(),
        fitted=next((place.name for place in folder.glob("*-fitted.toml")), ""),
    )


def _facts_of_lesson(folder: Path) -> dict[str, Any]:
    """Give the title of a lesson, and whether what it plays is invented; raises ValueError or OSError."""
    own = next((folder / "inputs").glob("*.toml"), None)
    title = folder.name if own is None else toml_data(own.read_text(encoding="utf-8")).get("title")
    with (folder / _LESSON).open("rb") as page:
        return {"title": title, "demo": MARK in page.read(HEAD)}


def _first(facts: dict[str, Any], *keys: str) -> Any:
    return next((facts[key] for key in keys if isinstance(facts.get(key), str)), None)


def _said(facts: dict[str, Any]) -> str:
    outcome = facts.get("outcome")
    if isinstance(outcome, dict):
        return str(outcome.get("heading") or outcome.get("truck") or "")
    return str(_first(facts, "heading", "short", "lead", "stands") or "")
