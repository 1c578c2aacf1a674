"""What a page is made of: typed sections that hold texts and pictures, the same for HTML and for a terminal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from tipline.notebook import to_frame


@dataclass(frozen=True)
class Table:
    """Rows of texts under headings.

    `brief`: the short page shows it too; `boxed`: it must not be overlooked; `printed`: on paper too, though the short
    page leaves it out.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""
    brief: bool = True
    boxed: bool = False
    printed: bool = False

    def to_pandas(self) -> Any:
        """Return the table's texts as a pandas table; raises MissingPart without pandas."""
        return to_frame([dict(zip(self.columns, row, strict=True)) for row in self.rows], {})


@dataclass(frozen=True)
class PointList:
    """A list of sentences."""

    title: str
    items: tuple[str, ...]
    note: str = ""
    brief: bool = True


@dataclass(frozen=True)
class Picture:
    """One picture: SVG text, or bytes of an image with their media type."""

    caption: str
    svg: str = ""
    data: bytes = b""
    media: str = ""


@dataclass(frozen=True)
class Pictures:
    """Pictures under one heading; the short page leaves them out. `small`: several stand side by side."""

    title: str
    items: tuple[Picture, ...]
    note: str = ""
    brief: bool = False
    small: bool = False


ASSUMED, OWN = "Assumed", "This run"
"""Titles that a page points to from its first screen, and writes larger there."""
Section = Table | PointList | Pictures
Links = tuple[tuple[str, str], ...]
"""Words and file, beside the page, of what can be opened from it."""


@dataclass(frozen=True)
class Half:
    """One of two results on a first screen: its name, its sentences under a word each, what must be seen of it.

    Narrow and side by side on every screen; on paper and in a terminal the sections named in `HALVED` say the same.
    """

    name: str
    said: tuple[tuple[str, str], ...]
    picture: Picture | None = None


GLANCE, TWO = "The two at a glance", "The two"
HALVED = (GLANCE, TWO)
"""Sections of which halves tell all on a screen."""


@dataclass(frozen=True)
class Page:
    """A page: its title, the line it is marked with, the lead in the largest type, and the sections.

    Beside the lead on the first screen: ``said``, sentences under a word each (why, how near); ``picture``, what must
    be seen at a glance; ``halves``, instead of these, two results side by side; ``links``, words and file of what lies
    beside the page. ``one_sheet``: it is handed over as one sheet of paper.
    """

    title: str
    mark: str
    lead: str
    demo: str
    sections: tuple[Section, ...]
    said: tuple[tuple[str, str], ...] = ()
    picture: Picture | None = None
    halves: tuple[Half, ...] = ()
    links: Links = ()
    one_sheet: bool = False


def filled(section: Section) -> bool:
    """Return whether a section holds anything; one that does not is left out."""
    return bool(section.rows if isinstance(section, Table) else section.items)


def first_of(pictures: Sequence[Pictures]) -> Picture | None:
    """Give the picture for the first screen: the first there is."""
    return next((item for picture in pictures for item in picture.items), None)


def further(pictures: Sequence[Pictures]) -> tuple[Pictures, ...]:
    """Leave out the picture that stands on the first screen."""
    first = first_of(pictures)
    return tuple(
        replace(picture, items=tuple(item for item in picture.items if item is not first)) for picture in pictures
    )
