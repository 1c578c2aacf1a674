"""A filed report as PDF: its texts go as data into the template `paper.typ`, never into its markup."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from tipline.errors import MissingPart
from tipline.report import wording
from tipline.report.filed import ANNEX, QUESTIONS, Filed, parts_of
from tipline.report.page import GLANCE, Picture, Pictures, Section, Table
from tipline.units import System

if TYPE_CHECKING:
    from types import ModuleType

__all__ = ["PAPERS", "SHEETS", "Paper", "filed_pdf", "load_typst", "made_rows", "typeset"]

Paper = Literal["a4", "letter"]
PAPERS: tuple[Paper, ...] = ("a4", "letter")
SHEETS: Mapping[Paper, str] = {"a4": "a4", "letter": "us-letter"}
_ENDING = {"image/jpeg": "jpg", "image/png": "png"}
_OTHER_UNITS = (
    "Drawings and stills show the units in which they were made; captions, texts and tables have been restated."
)
_OPINION = "For the author to write, by hand if need be. The program has no opinion: what it computed stands above."


def load_typst() -> ModuleType:
    """Return the library that sets the pages.

    Raises
    ------
    MissingPart
        It is not installed.
    """
    try:
        import typst
    except ImportError as error:
        msg = "A report as PDF needs the library typst, which is not installed"
        raise MissingPart(msg, install='pip install "tipline[paper]"') from error
    module: ModuleType = typst
    return module


def filed_pdf(filed: Filed, system: System = "si", paper: Paper = "a4") -> bytes:
    """Give a report as PDF; the same report gives the same bytes."""
    data, files = _document(filed, system)
    return typeset({**data, "paper": SHEETS[paper]}, files)


def typeset(data: Mapping[str, Any], files: Mapping[str, bytes]) -> bytes:
    """Set a document of the template's data with its pictures by file name."""
    template = resources.files("tipline.report").joinpath("paper.typ").read_bytes()
    text = json.dumps(data, ensure_ascii=False).encode()
    with tempfile.TemporaryDirectory(prefix="tipline-paper-") as place:  # the library takes pictures from a disk only
        for name, content in {"main.typ": template, "data.json": text, **files}.items():
            (Path(place) / name).write_bytes(content)
        pdf: bytes = load_typst().compile(
            Path(place) / "main.typ",
            root=place,
            ignore_system_fonts=True,  # the same letters everywhere
            pdf_standards=["ua-1"],  # refuses a picture without words for it
        )
    return pdf


def _document(filed: Filed, system: System) -> tuple[dict[str, Any], dict[str, bytes]]:
    page, files = filed.pages[system], dict[str, bytes]()

    def shown(picture: Picture) -> dict[str, str]:
        name = f"picture-{len(files) + 1}.{'svg' if picture.svg else _ENDING[picture.media]}"
        files[name] = picture.svg.encode() or picture.data
        return {"file": name, "caption": wording.tied(picture.caption)}

    parts = [
        {"title": part.title, "sections": [_section(section, shown) for section in _said_once(part.sections)]}
        for part in parts_of(filed, system)
    ]
    data = {
        "title": page.title,
        "question": QUESTIONS[filed.command],
        "lead": wording.tied(f"{page.lead[:1].upper()}{page.lead[1:]}"),
        "demo": wording.demo_note(page.demo),
        "mark": page.mark,
        "estimate": f"{wording.ESTIMATE} {wording.GOVERNING}",
        "picture": None if page.picture is None else shown(page.picture),
        "said": [[word, wording.tied(sentence)] for word, sentence in page.said],
        "units": _OTHER_UNITS if filed.drawn != system and page.picture is not None else "",
        "parts": [part for part in parts if part["title"] != ANNEX],
        "annex": [part for part in parts if part["title"] == ANNEX],
        "opinion": _OPINION,
        "made": [list(row) for row in made_rows(filed)],
        "hashes": [list(row) for row in filed.made.get("inputs", {}).items()],
        "again": _again(filed),
    }
    return data, files


def _said_once(sections: Sequence[Section]) -> Iterator[Section]:
    """Yield sections, a note that stands below an earlier one left out."""
    notes: set[str] = set()
    for section in sections:
        yield replace(section, note="") if section.note in notes else section
        notes.add(section.note)


def _section(section: Section, shown: Any) -> dict[str, Any]:
    plain = {"title": section.title, "note": wording.tied(section.note)}
    if isinstance(section, Pictures):
        return {
            **plain,
            "kind": "pictures",
            "small": section.small,
            "glance": section.title == GLANCE,
            "items": [shown(picture) for picture in section.items],
        }
    if isinstance(section, Table):
        rows = [[wording.tied(cell) for cell in row] for row in section.rows]
        columns = [wording.tied(head) for head in section.columns]
        return {**plain, "kind": "table", "columns": columns, "rows": rows, "boxed": section.boxed}
    return {**plain, "kind": "points", "items": [wording.tied(item) for item in section.items]}


def made_rows(filed: Filed) -> Iterator[tuple[str, str]]:
    """Yield what a reader must know to make a report again: command, source and changes, versions, machine."""
    record = filed.made
    source = record.get("read_from") or {}
    yield "command", str(record.get("command", filed.command))
    if source:
        yield "read from", str(source["name"])
        yield from (("changed", f"{key} = {_plainly(value)}") for key, value in source["changes"].items())
    for key, value in record.get("arguments", {}).items():
        if value not in (None, "", [], {}) and not (source and _of_source(key, value)):
            yield key.replace("_", " "), _plainly(value)
    for name, version in record.get("versions", {}).items():
        yield f"version of {name}", str(version)
    for name, value in record.get("machine", {}).items():
        yield name.replace("_", " "), str(value)


def _of_source(key: str, value: Any) -> bool:
    """Whether an argument says no more than what the result was read from."""
    return key == "overrides" or str(value).startswith("inputs/")


def _plainly(value: Any) -> str:
    """Give an argument in words: yes and no, lists and tables without what nobody gave."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping):
        given = {key: entry for key, entry in value.items() if entry is not None}
        return "; ".join(f"{key}: {_plainly(entry)}" for key, entry in given.items()) or "as usual"
    return ", ".join(map(_plainly, value)) if isinstance(value, list) else str(value)


def _again(filed: Filed) -> list[str]:
    if filed.command == "compare":
        return ["tipline report FOLDER OTHER sets the two side by side again, from what is stored in them."]
    return [
        "tipline repeat FOLDER runs the inputs of this report's folder again and says whether the result is identical, "
        "the same in every figure reported, or differs, and in what.",
        "tipline report FOLDER sets this report again from what is stored, without any simulation.",
        "tipline report --method prints every law with its equation, source and range, and the checks against "
        f"published values, of the version that is installed; this report is of version "
        f"{filed.made.get('versions', {}).get('tipline', 'unknown')}.",
    ]
