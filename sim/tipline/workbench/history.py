"""The results under the folder of runs: what each is, and which of its files may be looked at."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tipline.printable import printable

__all__ = ["MOST_LISTED", "Entry", "entries", "entry_of", "file_in", "folder_of"]

MOST_LISTED = 60
"""How many results are listed, the newest first (our choice)."""
_MOST_SUMMARY = 20_000_000
_PAGES = ("report.html", "sweep.html")
_SHOWN = (".html", ".json", ".parquet", ".png", ".jpg", ".svg", ".mp4", ".csv", ".toml", ".pdf")
"""Endings of what results are made of; nothing else is handed out."""


@dataclass(frozen=True)
class Entry:
    """A result: the name of its folder, title, how it ended, when it was made, the files that can be opened."""

    name: str
    kind: str
    title: str
    said: str
    made: str
    demo: bool
    page: str
    replay: bool
    film: bool


def entries(runs: Path) -> list[Entry]:
    """Give the results in the folder of runs, the newest first."""
    found = sorted(_folders(runs), reverse=True)[:MOST_LISTED]
    return [entry for _, folder in found if (entry := entry_of(folder)) is not None]


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
        summary = place / "summary.json"
        if place.name.startswith(".") or place.is_symlink() or not summary.is_file():
            continue
        yield summary.stat().st_mtime, place


def entry_of(folder: Path) -> Entry | None:
    """Give what is listed of a folder; None where its summary cannot be read."""
    summary = folder / "summary.json"
    try:
        stat = summary.stat()
        told = json.loads(summary.read_text(encoding="utf-8")) if stat.st_size < _MOST_SUMMARY else None
    except (OSError, ValueError):
        return None
    if not isinstance(told, dict):
        return None
    schema = str(told.get("schema", ""))
    kind = schema.removeprefix("tipline.").partition("/")[0].replace("summary", "run")
    page = next((name for name in _PAGES if (folder / name).is_file()), "")
    return Entry(
        name=folder.name,
        kind=kind,
        title=printable(str(_first(told, "scenario", "title", "floor", "machine") or folder.name))[:200],
        said=printable(_said(told))[:300],
        made=time.strftime("%d.%m.%Y %H:%M", time.localtime(stat.st_mtime)),
        demo=bool(told.get("demo")),
        page=page,
        replay=(folder / "replay.html").is_file(),
        film=(folder / "replay.mp4").is_file(),
    )


def _first(told: dict[str, Any], *keys: str) -> Any:
    return next((told[key] for key in keys if isinstance(told.get(key), str)), None)


def _said(told: dict[str, Any]) -> str:
    outcome = told.get("outcome")
    if isinstance(outcome, dict):
        return str(outcome.get("heading") or outcome.get("truck") or "")
    return str(_first(told, "heading", "short", "lead", "stands") or "")
