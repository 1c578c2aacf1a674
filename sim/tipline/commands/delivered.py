"""What a command leaves of a result: how it is wished for, the page and the figures, and the parts that all write."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tipline.report import html, summary
from tipline.report.page import Links, Page, Picture, Pictures
from tipline.units import System

if TYPE_CHECKING:
    from tipline.scenario import Case

__all__ = ["Delivered", "Wishes", "into", "links", "names", "write_drawings", "write_inputs"]

LINKS = {
    "replay.html": "the replay",
    "replay.mp4": "the film",
    "wheel-loads.html": "the wheel-load sheet",
    "summary.json": "the figures (summary.json)",
    "floor.csv": "every answer as a table (floor.csv)",
    "slopes.csv": "every direction as a table (slopes.csv)",
    "sweep.parquet": "every row with its inputs (sweep.parquet)",
    "run.parquet": "every quantity over time (run.parquet)",
    "inputs/resolved.toml": "every value used (resolved.toml)",
}
"""What a page can open of what lies beside it, in this order."""


@dataclass(frozen=True)
class Wishes:
    """What the user asked for: the units, whether to draw, whether a film too, whether it may be small."""

    system: System = "si"
    pictures: bool = True
    draft: bool = False
    film: bool = True


@dataclass(frozen=True)
class Delivered:
    """What was said: the page, and the summary under its fixed names.

    left_out : what of the folder is not there, and why; broken_off : whether the user ended the drawing of the film
    """

    page: Page
    summary: dict[str, Any]
    left_out: tuple[str, ...] = ()
    broken_off: bool = False


def into(folder: Path, delivered: Delivered, page: str = "report.html") -> Delivered:
    """Write page and summary into a folder."""
    (folder / page).write_text(html.page_html(delivered.page), encoding="utf-8")
    (folder / "summary.json").write_text(summary.text(delivered.summary), encoding="utf-8")
    return delivered


def links(there: Iterable[str]) -> Links:
    """Give words and file of what a page can open, of the files that will lie beside it."""
    names = set(there)
    return tuple((words, name) for name, words in LINKS.items() if name in names)


def write_drawings(title: str, drawings: Iterable[tuple[str, str, str]], folder: Path) -> tuple[Pictures, ...]:
    """Write drawings, each a file name, a caption and SVG, into a folder; give them for the page."""
    pictures = []
    for name, caption, svg in drawings:
        (folder / name).write_text(svg, encoding="utf-8")
        pictures.append(Picture(caption, svg=svg))
    return (Pictures(title, tuple(pictures)),) if pictures else ()


def write_inputs(case: Case, folder: Path, files: Mapping[str, str] | None = None) -> None:
    """Write the files given, those of the case unless others are named, and every value used."""
    from tipline.scenario import write_resolved

    folder.mkdir()
    for name, text in (files or case.files).items():
        place = folder / Path(name).name
        if place.exists() or place.name == "resolved.toml":
            place = folder / f"{Path(name).absolute().parent.name}-{place.name}"
        place.write_text(text, encoding="utf-8")
    write_resolved(case, folder / "resolved.toml")


def names(case: Case) -> tuple[tuple[str, str], ...]:
    """Say which truck, floor, attachment and events a page is about."""
    scenario = case.scenario
    rows = [
        ("truck", f"{case.machine.title} ({case.machine.name})"),
        ("floor", f"{case.floor.title} ({case.floor.name})"),
        ("attachment", scenario.setup.attachment),
    ]
    for number, event in enumerate(scenario.event, start=1):
        under = getattr(event, "under", ())
        where = f" under {', '.join(under)}" if under else ""
        rows.append((f"event {number}", event.kind.replace("_", " ") + where))
    return tuple(rows)
