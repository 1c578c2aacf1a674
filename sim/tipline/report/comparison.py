"""Two filed reports side by side: what differs in the inputs, in how they were made, and in what they say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import chain, zip_longest
from typing import Any, NamedTuple

from tipline.report import wording
from tipline.report.filed import Filed
from tipline.report.page import OWN, Page, Pictures, PointList, Section, Table, filled
from tipline.units import System

__all__ = ["APART", "Difference", "comparison_page", "differing", "made_apart"]

APART = {"Left out", "In the same folder", "Go on with"}
"""Sections that tell of what was written, not of the result."""
_ABSENT = "not there"
_KINDS = ("arguments", "versions", "machine")


class Difference(NamedTuple):
    """A place in two reports with what either says there."""

    table: str
    row: str
    column: str
    one: str
    other: str


def differing(one: Page, other: Page) -> tuple[Difference, ...]:
    """Return where two pages say something else, pictures and what was written aside."""
    found = [Difference("Answer", "", "", one.lead, other.lead)]
    words = dict.fromkeys(word for word, _ in (*one.said, *other.said))
    said = dict(one.said), dict(other.said)
    found += [Difference("Answer", word, "", *(them.get(word, _ABSENT) for them in said)) for word in words]
    for first, second in _paired(one.sections, other.sections):
        found += _apart(first, second)
    return tuple(place for place in found if place.one != place.other)


def _paired(one: Sequence[Section], other: Sequence[Section]) -> Iterator[tuple[Section | None, Section | None]]:
    """Yield the sections of either page that have one title, in the order of the first page."""
    tables = [
        {section.title: section for section in sections if section.title not in APART and _told(section)}
        for sections in (one, other)
    ]
    for title in dict.fromkeys([*tables[0], *tables[1]]):
        yield tables[0].get(title), tables[1].get(title)


def _told(section: Section) -> bool:
    return not isinstance(section, Pictures) and filled(section)


def _apart(one: Section | None, other: Section | None) -> Iterator[Difference]:
    some = one or other
    if isinstance(some, Table):
        yield from _cells_apart(some, *(them if isinstance(them, Table) else None for them in (one, other)))
    elif isinstance(some, PointList):
        items = [them.items if isinstance(them, PointList) else () for them in (one, other)]
        lone = [[item for item in items[i] if item not in items[1 - i]] for i in (0, 1)]
        for left, right in zip_longest(*lone, fillvalue=_ABSENT):
            yield Difference(some.title, "", "", left, right)


def _cells_apart(some: Table, one: Table | None, other: Table | None) -> Iterator[Difference]:
    rows = [{} if them is None else _by_name(them) for them in (one, other)]
    for name in dict.fromkeys([*rows[0], *rows[1]]):
        cells = [them.get(name, ()) for them in rows]
        for index, (left, right) in enumerate(zip_longest(*cells, fillvalue=_ABSENT), start=1):
            column = some.columns[index] if index < len(some.columns) else ""
            yield Difference(some.title, name, column, left, right)


def _by_name(table: Table) -> dict[str, tuple[str, ...]]:
    """Return the rows by what they are of; of equal names the second is told apart by its place."""
    rows: dict[str, tuple[str, ...]] = {}
    for name, *cells in table.rows:
        rows[name if name not in rows else f"{name} (row {len(rows) + 1})"] = tuple(cells)
    return rows


def made_apart(one: Mapping[str, Any], other: Mapping[str, Any]) -> tuple[Difference, ...]:
    """Return what differs in arguments, versions and machine of two results, as `Filed.made` has them."""
    found = [
        Difference(kind, name, "", *(str(them.get(kind, {}).get(name, _ABSENT)) for them in (one, other)))
        for kind in _KINDS
        for name in dict.fromkeys([*one.get(kind, {}), *other.get(kind, {})])
    ]
    return tuple(place for place in found if place.one != place.other)


def comparison_page(one: Filed, other: Filed, names: tuple[str, str], system: System = "si") -> Page:
    """Give the page of two results of one command side by side; ``names``: of their folders."""
    pages = one.pages[system], other.pages[system]
    sections: list[Section] = [
        *_glance(pages, names),
        Table("The two", ("which", *names), (("title", *(page.title for page in pages)), *_answers(pages)), ""),
        *_inputs(one, other, names, system),
        *_as_table("What differs in how they were made", made_apart(one.made, other.made), names),
        *_side_by_side(*pages, names),
    ]
    leads = tuple(page.lead for page in pages)
    demo = pages[0].demo or pages[1].demo
    return Page(
        title=f"{names[0]} beside {names[1]}",
        mark=wording.mark(demo, f"two results of {one.command}, as stored", 0).rpartition(" · ")[0],
        lead=f"both: {leads[0]}"
        if leads[0] == leads[1]
        else "; ".join(f"in {name}: {_begun(lead)}" for name, lead in zip(names, leads, strict=True)),
        demo=demo,
        sections=tuple(sections),
    )


def _glance(pages: tuple[Page, Page], names: tuple[str, str]) -> tuple[Section, ...]:
    """Set what must be seen of either at a glance side by side."""
    items = tuple(
        replace(page.picture, caption=f"{name}: {page.picture.caption}")
        for name, page in zip(names, pages, strict=True)
        if page.picture is not None
    )
    return (Pictures("The two at a glance", items),) if items else ()


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
            one, other = (of.get(word, f"{page.lead}.") for of, page in zip(said, pages, strict=True))
            yield word, one, other


def _inputs(one: Filed, other: Filed, names: tuple[str, str], system: System) -> tuple[Section, ...]:
    values = [{given.key: given.said[system] for given in filed.inputs} for filed in (one, other)]
    title = "What differs in the inputs"
    rows = tuple(
        (key, values[0].get(key, _ABSENT), values[1].get(key, _ABSENT))
        for key in dict.fromkeys([*values[0], *values[1]])
        if values[0].get(key) != values[1].get(key)
    )
    if not rows:
        return (PointList(title, ("Nothing: every value is the same in both.",)),)
    return (Table(title, ("key", *names), rows),)


def _as_table(title: str, found: Sequence[Difference], names: tuple[str, str]) -> tuple[Section, ...]:
    rows = tuple((f"{place.table}: {place.row}", place.one, place.other) for place in found)
    return (Table(title, ("what", *names), rows),) if rows else ()


def _side_by_side(one: Page, other: Page, names: tuple[str, str]) -> Iterator[Section]:
    """Yield each short table that both have, a column of either beside that of the other."""
    for first, second in _paired(one.sections, other.sections):
        if not (isinstance(first, Table) and isinstance(second, Table)) or first.columns != second.columns:
            continue
        if not first.brief or first.boxed:
            continue
        left, right = _by_name(first), _by_name(second)
        absent = (_ABSENT,) * (len(first.columns) - 1)
        rows = tuple(
            (name, *chain.from_iterable(zip(left.get(name, absent), right.get(name, absent), strict=True)))
            for name in dict.fromkeys([*left, *right])
        )
        heads = tuple(f"{column}, {name}" for column in first.columns[1:] for name in names)
        yield Table(first.title, (first.columns[0], *heads), rows)
