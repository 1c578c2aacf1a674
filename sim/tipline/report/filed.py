"""A report that can be filed: the sections of a page in their parts, with what was asked, given and assumed.

Facts, what was computed, assumptions and opinion stand apart. Nothing is said here that a page says: its sections are
taken as they are, each under the part that its title belongs to.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from tipline.report.first import NOT_MET, UNUSUAL
from tipline.report.method import method_sections
from tipline.report.page import ASSUMED, Page, PointList, Section, Table, filled
from tipline.report.sections import NAMED, OF_SCENARIO, SET, spelled, spoken_setting
from tipline.units import System

__all__ = ["ANNEX", "PARTS", "QUESTIONS", "Filed", "FiledInput", "FiledPart", "parts_of"]

QUESTIONS = {
    "run": "What happens in this scenario, and why?",
    "check": "How near is this set-up to tipping, at rest?",
    "floor": "What does this floor carry, and how near is it to giving way?",
    "slopes": "Which slope of the floor is the greatest in each direction, and what goes first?",
    "loads": "What are the greatest and the least loads of this truck's set-ups?",
    "sweep": "How does this scenario end over what may vary?",
    "reconstruct": "Which of these causes goes with what was found, and how far can that be relied on?",
    "compare": "What differs between these two results?",
}
"""What a report answers, by its command."""
DECIDES, FACTS, COMPUTED, METHOD, CHECKS, LIMITS, CAUTIONS, ANNEX = (
    "What decides",
    "Facts: what was given",
    "What was computed from it",
    "Method",
    "Checks of this result",
    "Assumptions and limits",
    "Cautions",
    "Annex: every input",
)
_DROPPED = {"In the same folder", SET}
"""Sections that a page has for its own folder, or that stand in a report with more: its own table of what is set."""
PARTS: dict[str, str] = {
    UNUSUAL: DECIDES,
    NOT_MET: DECIDES,
    "Planning limit exceeded": DECIDES,
    "Planning limits exceeded": DECIDES,
    "This run went beyond the limits of the set-up": DECIDES,
    "This holds only while": DECIDES,
    "What was found": FACTS,
    "Set in all runs": FACTS,
    "The two": FACTS,
    "What differs in the inputs": FACTS,
    "What differs in how they were made": FACTS,
    NAMED: FACTS,
    SET: FACTS,
    "What was varied": FACTS,
    "Changed in all runs": FACTS,
    "About this sweep": METHOD,
    "The mast": METHOD,
    "How to read this": METHOD,
    "The rules, and how far each number is known": METHOD,
    "What is in these limits": METHOD,
    "About this run": METHOD,
    "How causes are weighed": METHOD,
    "About this case": METHOD,
    "Tried on made-up cases": METHOD,
    "Settings of the made-up cases": METHOD,
    "What was told of made-up cases, and what was so": METHOD,
    "How much hangs on what is assumed": CHECKS,
    "Not examined": LIMITS,
    "How exactly it was computed": CHECKS,
    "What the scenario's file expects": CHECKS,
    ASSUMED: LIMITS,
    "Left out": LIMITS,
    "Not looked at here": LIMITS,
    "What governs": CAUTIONS,
    "Beware": CAUTIONS,
}
"""The part of the report that a section belongs to, by its title; any other tells what was computed."""
_ORDER = (DECIDES, FACTS, COMPUTED, METHOD, CHECKS, LIMITS, CAUTIONS, ANNEX)
_NOBODY = ("assumed", "default")
"""Origins of values that nobody gave."""


@dataclass(frozen=True)
class FiledInput:
    """An input by its dotted key: value and, where it carries one, range in words in either system; its origin."""

    key: str
    said: Mapping[str, str]
    origin: str
    within: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Filed:
    """A report as it is stored: the command, its page in either system of units, every input, and how it was made.

    ``inputs``: every input; ``drawn``: the units that drawings show; ``made``: command, arguments, versions, machine
    and the hashes of the input files; ``sources``: titles and how far they were read; ``left``: the file of the
    page itself; ``names``: truck, floor and events in words, for a page that does not name them.
    """

    command: str
    pages: Mapping[System, Page]
    inputs: Sequence[FiledInput] = ()
    drawn: System = "si"
    made: Mapping[str, Any] = field(default_factory=dict)
    sources: Sequence[tuple[str, str]] = ()
    left: str = "report.html"
    names: Sequence[tuple[str, str]] = ()


@dataclass(frozen=True)
class FiledPart:
    """A part of the report with its sections."""

    title: str
    sections: tuple[Section, ...]


def parts_of(filed: Filed, system: System) -> tuple[FiledPart, ...]:
    """Give the parts of a report in their order, those that hold nothing left out."""
    held: dict[str, list[Section]] = {title: [] for title in _ORDER}
    for section in filed.pages[system].sections:
        if section.title not in _DROPPED and filled(section):
            held[_part(section)].append(section)
    held[METHOD][:0] = spelled(method_sections(filed.command, filed.sources), system)
    held[ANNEX] += _inputs(filed, system)
    pointed = [PointList("Every value", (_ANNEXED,))] if held[ANNEX] else []
    held[FACTS] += [*_named(filed, system), *_set(filed, system), *pointed]
    return tuple(FiledPart(title, tuple(sections)) for title, sections in held.items() if sections)


def _part(section: Section) -> str:
    if isinstance(section, Table) and section.boxed:
        return DECIDES
    return PARTS.get(section.title, COMPUTED)


def _named(filed: Filed, system: System) -> list[Section]:
    """Name truck, floor and events, where the page does not."""
    if not filed.names or any(section.title == NAMED for section in filed.pages[system].sections):
        return []
    return [*spelled([Table(NAMED, ("what", "which"), tuple(filed.names))], system)]


def _set(filed: Filed, system: System) -> list[Section]:
    """Tell the set-up, load and events with between what each may lie."""
    rows = tuple(
        (spoken_setting(given.key), given.said[system], given.within.get(system, ""), given.origin)
        for given in filed.inputs
        if given.key.startswith(OF_SCENARIO)
    )
    return [*spelled([Table(SET, ("what", "value", *_HEADS), rows, _MAY_LIE)], system)] if rows else []


def _inputs(filed: Filed, system: System) -> list[Section]:
    """List what was given with its origins, and what nobody gave."""
    rows = [(given.key, given.said[system], given.within.get(system, ""), given.origin) for given in filed.inputs]
    heads = ("key", "value", *_HEADS)
    tables = (
        Table(title, heads, tuple(row for row in rows if (row[3] in _NOBODY) == nobody), note)
        for title, note, nobody in (
            ("Every value that was given, with its origin", _GIVEN, False),
            ("Every value that nobody gave", _DEFAULTS, True),
        )
    )
    return [table for table in tables if table.rows]


_HEADS = ("may lie from, to", "origin")
_MAY_LIE = (
    "May lie from, to: by how the value is known, where the program takes a range for it, one input moved at a time; "
    "what is varied here has the range it is given. The other values are taken as they stand."
)
_ANNEXED = "Each value that was given stands with its origin in the annex, and so does each that nobody gave."
_GIVEN = f"Keys as the files have them, list entries counted from 0. Origin: where the value comes from. {_MAY_LIE}"
_DEFAULTS = (
    "Assumed: a property of truck, load or floor that no file gives. Default: a setting that nobody gave and that is "
    "no property of them."
)
