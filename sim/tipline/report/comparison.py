"""Two filed reports side by side: what differs in the inputs, in how they were made, and in what they say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import chain, zip_longest
from typing import Any, NamedTuple

from tipline.report import wording
from tipline.report.filed import Filed
from tipline.report.page import GLANCE, OWN, TWO, Half, Page, Pictures, PointList, Section, Table, filled
from tipline.units import System

__all__ = ["APART", "Difference", "comparison_page", "differing", "made_apart"]

APART = {"Left out", "In the same folder"}
"""Sections that tell of what was written, not of the result."""
_ABSENT = "not there"
_KINDS = ("arguments", "versions", "machine")


class Difference(NamedTuple):
    """A place in two reports with what either says there."""

    table: str
    row: str
    column: str
    left: str
    right: str


def differing(left: Page, right: Page) -> tuple[Difference, ...]:
    """Return where two pages say something else, pictures and what was written aside."""
    places = [Difference("Answer", "", "", left.lead, right.lead)]
    words = dict.fromkeys(word for word, _ in (*left.said, *right.said))
    said = dict(left.said), dict(right.said)
    places += [Difference("Answer", word, "", *(them.get(word, _ABSENT) for them in said)) for word in words]
    for first, second in _paired(left.sections, right.sections):
        places += _apart(first, second)
    return tuple(place for place in places if place.left != place.right)


def _paired(left: Sequence[Section], right: Sequence[Section]) -> Iterator[tuple[Section | None, Section | None]]:
    """Yield the sections of either page that have one title, in the order of the first page."""
    tables = [
        {section.title: section for section in sections if section.title not in APART and _told(section)}
        for sections in (left, right)
    ]
    for title in dict.fromkeys([*tables[0], *tables[1]]):
        yield tables[0].get(title), tables[1].get(title)


def _told(section: Section) -> bool:
    return not isinstance(section, Pictures) and filled(section)


def _apart(left: Section | None, right: Section | None) -> Iterator[Difference]:
    either = left or right
    if isinstance(either, Table):
        yield from _cells_apart(either, *(section if isinstance(section, Table) else None for section in (left, right)))
    elif isinstance(either, PointList):
        items = [section.items if isinstance(section, PointList) else () for section in (left, right)]
        alone = [[item for item in items[i] if item not in items[1 - i]] for i in (0, 1)]
        for first, second in zip_longest(*alone, fillvalue=_ABSENT):
            yield Difference(either.title, "", "", first, second)


def _cells_apart(either: Table, left: Table | None, right: Table | None) -> Iterator[Difference]:
    rows = [{} if table is None else _by_name(table) for table in (left, right)]
    for name in dict.fromkeys([*rows[0], *rows[1]]):
        cells = [named.get(name, ()) for named in rows]
        for index, (first, second) in enumerate(zip_longest(*cells, fillvalue=_ABSENT), start=1):
            column = either.columns[index] if index < len(either.columns) else ""
            yield Difference(either.title, name, column, first, second)


def _by_name(table: Table) -> dict[str, tuple[str, ...]]:
    """Return the rows by what they are of; of equal names the second is told apart by its place."""
    rows: dict[str, tuple[str, ...]] = {}
    for name, *cells in table.rows:
        rows[name if name not in rows else f"{name} (row {len(rows) + 1})"] = tuple(cells)
    return rows


def made_apart(left: Mapping[str, Any], right: Mapping[str, Any]) -> tuple[Difference, ...]:
    """Return what differs in arguments, versions and machine of two results, as `Filed.made` has them."""
    places = [
        Difference(kind, name, "", *(str(record.get(kind, {}).get(name, _ABSENT)) for record in (left, right)))
        for kind in _KINDS
        for name in dict.fromkeys([*left.get(kind, {}), *right.get(kind, {})])
    ]
    return tuple(place for place in places if place.left != place.right)


def comparison_page(left: Filed, right: Filed, names: tuple[str, str], system: System = "si") -> Page:
    """Give the page of two results of one command side by side; ``names``: of their folders."""
    pages = left.pages[system], right.pages[system]
    sections: list[Section] = [
        *_glance(pages, names),
        Table(TWO, ("which", *names), (("title", *(page.title for page in pages)), *_answers(pages)), ""),
        *_inputs(left, right, names, system),
        *_as_table("What differs in how they were made", made_apart(left.made, right.made), names),
        *_side_by_side(*pages, names),
    ]
    leads = tuple(page.lead for page in pages)
    demo = pages[0].demo or pages[1].demo
    return Page(
        title=f"{names[0]} beside {names[1]}",
        mark=wording.mark(demo, f"two results of {left.command}, as stored", 0).rpartition(" · ")[0],
        lead=f"both: {leads[0]}"
        if leads[0] == leads[1]
        else "; ".join(f"in {name}: {_begun(lead)}" for name, lead in zip(names, leads, strict=True)),
        demo=demo,
        sections=tuple(sections),
        halves=tuple(_half(name, page) for name, page in zip(names, pages, strict=True)),
    )


def _half(name: str, page: Page) -> Half:
    """Give one of the two on the first screen: what it is of, and what stands on the first screen of its own page."""
    return Half(f"{name}: {page.title}", page.said, page.picture)


def _glance(pages: tuple[Page, Page], names: tuple[str, str]) -> tuple[Section, ...]:
    """Set what must be seen of either at a glance side by side."""
    items = tuple(
        replace(page.picture, caption=f"{name}: {page.picture.caption}")
        for name, page in zip(names, pages, strict=True)
        if page.picture is not None
    )
    return (Pictures(GLANCE, items),) if items else ()


def _begun(lead: str) -> str:
    """Go on with a lead after a colon."""
    return f"{lead[:1].lower()}{lead[1:]}"


def _answers(pages: tuple[Page, Page]) -> Iterator[tuple[str, str, str]]:
    yield "answer", pages[0].lead, pages[1].lead
    said = dict(pages[0].said), dict(pages[1].said)
    for word in dict.fromkeys([*said[0], *said[1]]):
        if word != OWN:  # the lead of a page that has no sentence of its own run says it
            yield word, said[0].get(word, _ABSENT), said[1].get(word, _ABSENT)
        else:
            left, right = (of.get(word, f"{page.lead}.") for of, page in zip(said, pages, strict=True))
            yield word, left, right


def _inputs(left: Filed, right: Filed, names: tuple[str, str], system: System) -> tuple[Section, ...]:
    values = [{given.key: given.said[system] for given in filed.inputs} for filed in (left, right)]
    title = "What differs in the inputs"
    rows = tuple(
        (key, values[0].get(key, _ABSENT), values[1].get(key, _ABSENT))
        for key in dict.fromkeys([*values[0], *values[1]])
        if values[0].get(key) != values[1].get(key)
    )
    if not rows:
        return (PointList(title, ("Nothing: every value is the same in both.",)),)
    return (Table(title, ("key", *names), rows),)


def _as_table(title: str, places: Sequence[Difference], names: tuple[str, str]) -> tuple[Section, ...]:
    rows = tuple((f"{place.table}: {place.row}", place.left, place.right) for place in places)
    return (Table(title, ("what", *names), rows),) if rows else ()


def _side_by_side(left: Page, right: Page, names: tuple[str, str]) -> Iterator[Section]:
    """Yield each short table that both have, a column of either beside that of the other."""
    for first, second in _paired(left.sections, right.sections):
        if not (isinstance(first, Table) and isinstance(second, Table)) or first.columns != second.columns:
            continue
        if not first.brief or first.boxed:
            continue
        named = _by_name(first), _by_name(second)
        absent = (_ABSENT,) * (len(first.columns) - 1)
        rows = tuple(
            (name, *chain.from_iterable(zip(*(cells.get(name, absent) for cells in named), strict=True)))
            for name in dict.fromkeys([*named[0], *named[1]])
        )
        heads = tuple(f"{column}, {name}" for column in first.columns[1:] for name in names)
        yield Table(first.title, (first.columns[0], *heads), rows)
