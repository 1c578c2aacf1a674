"""The first page of a lift from answers: less than a page, answer first; nothing is computed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING

from tipline import units
from tipline.report import wording
from tipline.report.not_known import band_words, distance_ends, knowing, load_ends, wide
from tipline.report.page import Page, Picture, PointList, Section, Table
from tipline.report.sections import captioned, limits_box, spelled
from tipline.report.terms import explained
from tipline.report.wording import gap, quantity, share
from tipline.units import System

if TYPE_CHECKING:
    from tipline.pose.assessment import PoseReport

__all__ = ["SCHEMA", "First", "start_page"]

SCHEMA = "tipline.start/1"
_TYRES_NOTE = (
    "Likely, and from the least to the most with all that is not known; wide: that range over the likely load. "
    "Pressures are means."
)
_NOTHING = "Nothing can be told that it holds: with all that is not known at its bad end it does not stand."
_FILLED = 5
"""So many of the values that were filled in stand on the first page."""


@dataclass(frozen=True)
class First:
    """What the first page is made of; ``filled``: what, low, likely, high and dimension of what nobody gave.

    ``strength``: the parts of the truck whose strength is known, in words.
    """

    pose: PoseReport
    pressures: Mapping[str, tuple[float, float, float]]
    of_plate: float | None
    open: tuple[str, ...]
    odd: tuple[str, ...]
    filled: tuple[tuple[str, float, float, float, str], ...]
    has_plate: bool
    strength: tuple[str, ...] = ()
    picture: Picture | None = None


def start_page(first: First, system: System = "si") -> Page:
    """Give the first page."""
    pose = first.pose
    sections: list[Section] = []
    if first.odd:
        sections.append(PointList("Unusual: is this meant?", first.odd))
    beyond = tuple(
        limit for limit in pose.exceeded if not limit.startswith("on the floor:")
    )  # the first lines tell those
    sections += [PointList("Planning limit exceeded", beyond), _tyres(first, system)]
    if pose.not_known is not None and pose.not_known.distances and not pose.not_known.at_bad_end.startswith("stands"):
        sections.append(PointList("This holds only while", (_NOTHING,)))
    elif pose.holds_only_while:
        box = limits_box(pose, system)
        note = "All of these at once, with what is not known at its bad end; a hole or sinking floor is not in them."
        sections.append(Table(box.title, box.columns, box.rows, note, boxed=True))
    if pose.not_known is not None:
        sections.append(PointList("What knowing more would change", knowing(pose.not_known, system)))
    sections.append(PointList("Assumed", _filled(first, system)))
    page = Page(
        title=pose.title,
        mark=wording.mark(pose.demo, "first page, computed, at rest", pose.assumed_count),
        lead=wording.spell(pose.heading, system),
        demo=pose.demo,
        sections=spelled(sections, system),
        said=tuple((word, wording.spell(text, system)) for word, text in _said(first, system) if text),
        picture=captioned(first.picture, system),
    )
    return explained(page, system)


def _said(first: First, system: System) -> list[tuple[str, str]]:
    pose = first.pose
    return [
        ("Nearest tip line", _nearest(pose, system)),
        ("Capacity plate", _plate(first)),
        ("Floor", f"{pose.floor.short[:1].upper()}{pose.floor.short[1:]}." if pose.floor else _RIGID),
    ]


_RIGID = "It is taken as rigid: its strength is not looked at."


def _nearest(pose: PoseReport, system: System) -> str:
    known = {line: value for line, value in pose.distances.items() if isfinite(value)}
    if pose.not_known is None or not known:
        return f"The {pose.over} one: the truck goes over it, for it does not stand." if pose.over else ""
    line = min(known, key=lambda name: known[name])
    bracket = pose.not_known.distances[line]
    within = f"{distance_ends(bracket, line == pose.not_known.line, system)} with what is not known"
    bad = pose.not_known.at_bad_end
    end = "" if bad.startswith("stands") else f" With all of it at its bad end it {bad}."
    return f"The {line} one, {gap(bracket.likely, system)} from the balance point; {within}.{end}"


def _plate(first: First) -> str:
    if first.of_plate is not None:
        return f"The gross load is {share(first.of_plate)} of what it allows in this set-up; the plate governs."
    if first.has_plate:
        return "It has no row for this set-up: not a rated set-up."
    return "Not given: for teaching only."


def _tyres(first: First, system: System) -> Table:
    known = first.pose.not_known
    rows = []
    for name, (low, likely, high) in first.pressures.items():
        if known is None:
            continue
        load = known.tyre_loads[name]
        span = units.show_span(low, high, "pressure", system)
        loads = f"{wording.load(load.likely, system)} ({load_ends(load, system)})"
        rows.append((name, loads, wide(load), f"{quantity(likely, 'pressure', system)} ({span})"))
    heads = ("tyre", "load", "wide", "pressure")
    return Table("What each tyre puts on the floor", heads, tuple(rows), _TYRES_NOTE)


def _filled(first: First, system: System) -> tuple[str, ...]:
    lines = [
        f"{what}: {units.show(likely, kind, system, digits=2)}, from {band_words(low, high, kind, system)}"
        for what, low, likely, high, kind in first.filled[:_FILLED]
    ]
    more = len(first.filled) - _FILLED
    lines += [f"and {more} more ranges; tipline check lists every value"] if more > 0 else []
    known = f"only {' and '.join(first.strength)}" if first.strength else "not looked at, for no stamp was read"
    lines.append(f"strength: {known}")
    if first.open:
        lines.append(f"nobody could answer: {', '.join(key.replace('_', ' ') for key in first.open)}")
    return tuple(lines)
