"""Words of the trade or of ours that a page explains where it uses them first."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from tipline.floors.known.draws import COUNT
from tipline.report import wording
from tipline.report.page import Page, Pictures, Section, Table
from tipline.units import System

__all__ = ["TERMS", "Term", "explained"]


class Term(NamedTuple):
    """A word, how it is found in a text, and what it means."""

    word: str
    used: re.Pattern[str]
    means: str


TERMS = (
    Term(
        "A draw",
        re.compile(r"(?:\bten|[0-9]|%|\bthe) draws?\b"),
        f"one floor of {COUNT}, with all that is not known picked anew.",
    ),
    Term(
        "Swing",
        re.compile(r"\bframe (?:starts to |starting to )?swings?\b|^swing (?:left|right)$"),
        "one drive tyre goes light, and the frame turns about the other one and the pin of the steer axle until it "
        "meets its stop.",
    ),
)


def explained(page: Page, system: System) -> Page:
    """Give a page with each of these words explained where it stands first: on the first screen, or below a section."""
    for term in TERMS:
        means = wording.spell(term.means, system)
        if any(term.used.search(text) for text in (page.lead, *(sentence for _, sentence in page.said))):
            page = replace(page, said=(*page.said, (term.word, f"{means[:1].upper()}{means[1:]}")))
            continue
        first = next((section for section in page.sections if _uses(section, term)), None)
        if first is not None:
            note = f"{first.note} {term.word}: {means}".strip()
            sections = (replace(section, note=note) if section is first else section for section in page.sections)
            page = replace(page, sections=tuple(sections))
    return page


def _uses(section: Section, term: Term) -> bool:
    return any(term.used.search(text) for text in _texts(section))


def _texts(section: Section) -> Iterator[str]:
    if isinstance(section, Table):
        if not section.rows:
            return
        yield from section.columns
        yield from (cell for row in section.rows for cell in row)
    elif isinstance(section, Pictures):
        yield from (picture.caption for picture in section.items)
    else:
        yield from section.items
    yield section.note
