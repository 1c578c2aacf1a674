"""What a command leaves of a result: how it is wished for, the page and the figures, and the parts that all write."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tipline.commands.made import made_of
from tipline.report import html, summary
from tipline.report.page import Links, Page, Picture, Pictures
from tipline.report.paper import Paper, filed_pdf, load_typst
from tipline.units import System

if TYPE_CHECKING:
    from tipline.model.floor import Floor
    from tipline.model.machine import Machine
    from tipline.scenario import Case
    from tipline.scenario.case import Source
    from tipline.sweeps.input_ranges import InputRanges

__all__ = [
    "RESOLVED",
    "Delivered",
    "Order",
    "Wishes",
    "floor_named",
    "into",
    "links",
    "names",
    "read_from",
    "truck_named",
    "write_drawing",
    "write_drawings",
    "write_inputs",
]

RESOLVED = "inputs/resolved.toml"
"""Every value used, in the folder of a result: a scenario that reads back to the same case."""
LINKS = {
    "replay.html": "the replay",
    "replay.mp4": "the film",
    "wheel-loads.html": "the wheel-load sheet",
    "summary.json": "the figures (summary.json)",
    "floor.csv": "every answer as a table (floor.csv)",
    "slopes.csv": "every direction as a table (slopes.csv)",
    "sweep.parquet": "every row with its inputs (sweep.parquet)",
    "loads.csv": "every set-up as a table (loads.csv)",
    "run.parquet": "every quantity over time (run.parquet)",
    RESOLVED: "every value used (resolved.toml)",
}
"""What a page can open of what lies beside it, in this order."""


@dataclass(frozen=True)
class Wishes:
    """What the user asked for: units, whether to draw, stills, a film that may be small; a PDF and its sheet.

    Raises MissingPart where a PDF is asked for and what sets it is not installed.
    """

    system: System = "si"
    pictures: bool = True
    draft: bool = False
    film: bool = True
    pdf: bool = False
    paper: Paper = "a4"
    stills: bool = True

    def __post_init__(self) -> None:
        if self.pdf:
            load_typst()


@dataclass(frozen=True)
class Order:
    """What a command was asked, so that its report can be set and its result made again.

    ``arguments``: of its function, files by their place in the folder; ``page_in``: the page in a system of units;
    ``inputs``: as `Case.quantified` has them; ``source``: what it was read from, as far as it was; ``ranges``: between
    what each input may lie, where it carries a range; ``names``: in words of truck, floor and events.
    """

    command: str
    arguments: Mapping[str, Any]
    wishes: Wishes
    page_in: Callable[[System], Page]
    inputs: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    source: Source | None = None
    ranges: InputRanges = field(default_factory=dict)
    names: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Delivered:
    """What was said: the page, and the summary under its fixed names.

    left_out : what of the folder is not there, and why; broken_off : whether the user ended the drawing of the film
    """

    page: Page
    summary: dict[str, Any]
    left_out: tuple[str, ...] = ()
    broken_off: bool = False


def into(folder: Path, delivered: Delivered, page: str = "report.html", order: Order | None = None) -> Delivered:
    """Write page and summary into a folder; with what was asked also the report to be filed, as PDF where wished."""
    (folder / page).write_text(html.page_html(delivered.page), encoding="utf-8")
    if order is not None:
        record = made_of(order.command, order.arguments, order.source, folder / "inputs")
        delivered = replace(delivered, summary={**delivered.summary, "made": record})
        _file(folder, delivered.page, page, order, record)
    (folder / "summary.json").write_text(summary.text(delivered.summary), encoding="utf-8")
    return delivered


def _file(folder: Path, page: Page, left: str, order: Order, record: Mapping[str, Any]) -> None:
    """Store the report in both systems of units, and set it as PDF where that was wished for."""
    from tipline.commands.sources import sources_of
    from tipline.report.filed import Filed, FiledInput
    from tipline.report.sections import range_of, setting
    from tipline.report.stored import write_filed
    from tipline.report.wording import spell

    own = order.wishes.system
    systems: tuple[System, System] = ("si", "us")
    pages = {system: page if system == own else order.page_in(system) for system in systems}
    inputs = tuple(
        FiledInput(
            key,
            {str(system): spell(setting(entry, system), system) for system in systems},
            str(entry["origin"]),
            {str(system): spell(range_of(*order.ranges[key], system), system) for system in systems}
            if key in order.ranges
            else {},
        )
        for key, entry in order.inputs.items()
    )
    filed = Filed(order.command, pages, inputs, own, record, sources_of(order.command), left, order.names)
    write_filed(filed, folder)
    if order.wishes.pdf:
        (folder / "report.pdf").write_bytes(filed_pdf(filed, own, order.wishes.paper))


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


def write_drawing(drawing: tuple[str, str], name: str, folder: Path) -> Picture:
    """Write one drawing, its caption and SVG, into a folder; give it for the first screen of the page."""
    caption, svg = drawing
    (folder / name).write_text(svg, encoding="utf-8")
    return Picture(caption, svg=svg)


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


def read_from(case: Case) -> Source | None:
    """Return what a case was read from; None where something was replaced in it since."""
    read_as = case.as_read
    as_it_was = (case.scenario, case.machine, case.floor, case.load) == (*read_as.parts, read_as.scenario.load)
    return case.source if as_it_was else None


def truck_named(machine: Machine) -> tuple[str, str]:
    """Say which truck it is, as a row of what a page is about."""
    return "truck", f"{machine.title} ({machine.name})"


def floor_named(floor: Floor) -> tuple[str, str]:
    """Say which floor it is, as a row of what a page is about."""
    return "floor", f"{floor.title} ({floor.name})"


def names(case: Case) -> tuple[tuple[str, str], ...]:
    """Say which truck, floor, attachment and events a page is about."""
    scenario = case.scenario
    rows = [
        truck_named(case.machine),
        floor_named(case.floor),
        ("attachment", scenario.setup.attachment),
    ]
    for number, event in enumerate(scenario.event, start=1):
        under = getattr(event, "under", ())
        where = f" under {', '.join(under)}" if under else ""
        rows.append((f"event {number}", event.kind.replace("_", " ") + where))
    return tuple(rows)
