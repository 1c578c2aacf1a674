"""A filed report to and from one JSON file, with its pictures as files beside it, so that no engine is needed again."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import fields
from hashlib import sha256
from pathlib import Path
from typing import Any

from tipline.errors import InputError
from tipline.report.filed import Filed, FiledInput
from tipline.report.page import Page, Picture, Pictures, PointList, Section, Table

__all__ = ["FILE", "SCHEMA", "read_filed", "write_filed"]

FILE = "report.json"
SCHEMA = "tipline.report/1"
PAGES = ("report.html", "sweep.html")
"""What a page that is set again is written over."""
_KINDS: Mapping[str, type[Table] | type[PointList] | type[Pictures]] = {
    "table": Table,
    "points": PointList,
    "pictures": Pictures,
}
_ENDING = {"image/jpeg": ".jpg", "image/png": ".png", "image/svg+xml": ".svg"}
_MEDIA = {".jpg": "image/jpeg", ".jpeg": "image/jpeg", ".png": "image/png", ".svg": "image/svg+xml"}


def write_filed(filed: Filed, folder: Path) -> None:
    """Write a report into the folder it is of; pictures that lie there already are not written again."""
    there = {sha256(path.read_bytes()).hexdigest(): path.name for path in folder.iterdir() if path.suffix in _MEDIA}

    def keep(picture: Picture) -> str:
        data = picture.svg.encode() or picture.data
        mark = sha256(data).hexdigest()
        if mark not in there:
            name = f"picture-{len(there) + 1}{_ENDING['image/svg+xml' if picture.svg else picture.media]}"
            (folder / name).write_bytes(data)
            there[mark] = name
        return there[mark]

    plain = {
        "schema": SCHEMA,
        "command": filed.command,
        "page": filed.left,
        "drawn_in": filed.drawn,
        "pages": {system: _page(page, keep) for system, page in filed.pages.items()},
        "inputs": [
            {"key": given.key, "value": dict(given.said), "origin": given.origin, "within": dict(given.within)}
            for given in filed.inputs
        ],
        "sources": [list(pair) for pair in filed.sources],
        "made": dict(filed.made),
        "names": [list(pair) for pair in filed.names],
    }
    (folder / FILE).write_text(json.dumps(plain, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


def read_filed(folder: Path) -> Filed:
    """Read the report of a folder.

    Raises
    ------
    InputError
        There is none, a picture of it is gone, or it is not one that this version reads.
    """
    path = folder / FILE
    try:
        plain = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError) as error:
        reason = "is not there" if isinstance(error, FileNotFoundError) else "cannot be read"
        raise InputError(reason, file=str(path), remedy=_REMEDY) from error
    if not isinstance(plain, dict) or plain.get("schema") != SCHEMA:
        msg = f"is no report of the form {SCHEMA}"
        raise InputError(msg, file=str(path), remedy=_REMEDY)
    if plain.get("page", PAGES[0]) not in PAGES:
        reason, shown = f"must be one of {', '.join(PAGES)}", json.dumps(plain["page"])
        raise InputError(reason, file=str(path), key="page", value=shown, remedy=_REMEDY)
    try:
        return Filed(
            command=plain["command"],
            pages={system: _read_page(page, folder) for system, page in plain["pages"].items()},
            inputs=tuple(
                FiledInput(entry["key"], entry["value"], entry["origin"], entry.get("within", {}))
                for entry in plain["inputs"]
            ),
            drawn=plain["drawn_in"],
            made=plain["made"],
            sources=tuple((title, seen) for title, seen in plain["sources"]),
            left=plain["page"],
            names=tuple((what, which) for what, which in plain.get("names", ())),
        )
    except (KeyError, TypeError, AttributeError) as error:
        msg = "was changed: a part of it is missing"
        raise InputError(msg, file=str(path), remedy=_REMEDY) from error


_REMEDY = (
    "Give the folder of a run, check, floor, slopes, loads, sweep or reconstruct of this version, as it was written"
)


def _page(page: Page, keep: Callable[[Picture], str]) -> dict[str, Any]:
    return {
        **{name: getattr(page, name) for name in ("title", "mark", "lead", "demo", "one_sheet")},
        "said": [list(pair) for pair in page.said],
        "links": [list(pair) for pair in page.links],
        "picture": None if page.picture is None else _picture(page.picture, keep),
        "sections": [_section(section, keep) for section in page.sections],
    }


def _picture(picture: Picture, keep: Callable[[Picture], str]) -> dict[str, str]:
    return {"caption": picture.caption, "file": keep(picture)}


def _section(section: Section, keep: Callable[[Picture], str]) -> dict[str, Any]:
    plain: dict[str, Any] = {field.name: getattr(section, field.name) for field in fields(section)}
    if isinstance(section, Pictures):
        plain["items"] = [_picture(picture, keep) for picture in section.items]
    kind = next(name for name, kind in _KINDS.items() if isinstance(section, kind))
    return {"kind": kind, **plain}


def _read_page(plain: Mapping[str, Any], folder: Path) -> Page:
    given = {name: plain[name] for name in ("title", "mark", "lead", "demo", "one_sheet")}
    return Page(
        **given,
        sections=tuple(_read_section(section, folder) for section in plain["sections"]),
        said=tuple((word, sentence) for word, sentence in plain["said"]),
        picture=None if plain["picture"] is None else _read_picture(plain["picture"], folder),
        links=tuple((words, file) for words, file in plain["links"]),
    )


def _read_picture(plain: Mapping[str, str], folder: Path) -> Picture:
    path = folder / Path(plain["file"]).name
    try:
        data = path.read_bytes()
    except OSError as error:
        msg = "a picture of the report is gone"
        raise InputError(msg, file=str(path), remedy=_REMEDY) from error
    if path.suffix == ".svg":
        return Picture(plain["caption"], svg=data.decode("utf-8"))
    return Picture(plain["caption"], data=data, media=_MEDIA[path.suffix])


def _read_section(plain: Mapping[str, Any], folder: Path) -> Section:
    given = {name: value for name, value in plain.items() if name != "kind"}
    kind = _KINDS[plain["kind"]]
    if kind is Pictures:
        return Pictures(**{**given, "items": tuple(_read_picture(item, folder) for item in given["items"])})
    if kind is PointList:
        return PointList(**{**given, "items": tuple(given["items"])})
    rows = tuple(tuple(row) for row in given["rows"])
    return Table(**{**given, "columns": tuple(given["columns"]), "rows": rows})
