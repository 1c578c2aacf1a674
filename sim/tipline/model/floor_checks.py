"""Checks between the parts of one floor, and of one stock of spreaders."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tipline.model.areas import Answered
from tipline.model.floor import OPENINGS, Floor, Zone
from tipline.model.material_checks import check_answered, check_sheet
from tipline.model.past import PastLoad
from tipline.model.plane import Outline, area_of, crosses_itself, shared_area
from tipline.model.plausible import refused
from tipline.model.plausible_floor import FLOOR_RULES, STOCK_RULES
from tipline.model.positions import Path
from tipline.model.problems import Finding
from tipline.model.spreaders import Stock
from tipline.units import show

__all__ = ["check_floor", "check_stock"]

_LEAST_AREA = 1e-4
_TOUCHING = 1e-3
"""Zones that share less than this [m2] only touch."""


def check_floor(floor: Floor) -> Iterator[Finding]:
    """Yield what does not fit together in a floor."""
    yield from _check_names("zone", (zone.name for zone in floor.zone))
    yield from _check_names("spreader", (spreader.name for spreader in floor.spreader))
    if isinstance(floor.elsewhere, Answered):
        yield from check_answered(floor.elsewhere, ("elsewhere",), None)
    placed: list[tuple[Zone, Outline]] = []
    for index, zone in enumerate(floor.zone):
        at = ("zone", index)
        problems = list(_check_place(zone, at))
        yield from problems
        if problems:
            continue
        if isinstance(zone, Answered):
            yield from check_answered(zone, at, zone.corners)
        yield from _check_overlap(zone, at, placed)
        placed.append((zone, zone.corners))
    for index, spreader in enumerate(floor.spreader):
        yield from check_sheet(spreader, ("spreader", index))
    yield from _check_names("past_load", (past.name for past in floor.past_load))
    for index, past in enumerate(floor.past_load):
        yield from _check_past(past, floor, ("past_load", index))
    yield from refused(floor, FLOOR_RULES)


def _check_past(past: PastLoad, floor: Floor, at: Path) -> Iterator[Finding]:
    if (past.mass is None) == (past.load is None):
        yield Finding(at, "a past load has a mass or a load, one of them", "Give mass or load, that of all its tyres")
    part = floor.carried(past)
    if part is None:
        names = ", ".join(zone.name for zone in floor.zone) or "none"
        yield Finding((*at, "zone"), f"no zone has this name; there are: {names}", "Correct it, or give the place (at)")
    elif past.at is not None and past.zone is not None and getattr(part, "name", None) != past.zone:
        there = getattr(part, "name", "the main floor")
        yield Finding((*at, "zone"), f"at lies on {there}", "Correct one of them, or leave zone out")
    elif not isinstance(part, Answered):
        reason = f"is on a part of kind {part.kind}, of which nothing is asked"
        yield Finding(at, reason, "Leave it out, or correct its place")


def check_stock(stock: Stock) -> Iterator[Finding]:
    """Yield what does not fit together in a stock of spreaders."""
    yield from _check_names("item", (item.name for item in stock.item))
    for index, item in enumerate(stock.item):
        yield from check_sheet(item, ("item", index))
    yield from refused(stock, STOCK_RULES)


def _check_names(key: str, names: Iterable[str]) -> Iterator[Finding]:
    seen: set[str] = set()
    for index, name in enumerate(names):
        if name in seen:
            yield Finding(
                (key, index, "name"), f"two {key}s have this name", f'Give each {key} its own name, as "{name[:30]} 2"'
            )
        seen.add(name)


def _check_place(zone: Zone, at: Path) -> Iterator[Finding]:
    rectangle = zone.corner is not None and zone.size is not None
    some_rectangle = zone.corner is not None or zone.size is not None
    if zone.outline is not None and some_rectangle:
        yield Finding((*at, "outline"), "a zone has corner and size, or an outline, not both", "Remove one")
    elif zone.outline is None and not rectangle:
        yield Finding(
            at,
            "a zone needs corner and size, or an outline",
            'Add corner and size, as size = ["6 m", "4 m"], or outline',
        )
    elif zone.outline is not None and abs(area_of(zone.outline)) < _LEAST_AREA:
        yield Finding((*at, "outline"), "the outline encloses no area", "Give three or more points around the zone")
    elif zone.outline is not None and crosses_itself(zone.outline):
        yield Finding((*at, "outline"), "the outline crosses itself", "Give its points in order around the zone")


def _check_overlap(zone: Zone, at: Path, placed: Iterable[tuple[Zone, Outline]]) -> Iterator[Finding]:
    """Two coverings cannot lie in one place, nor two openings; an opening may lie within a covering."""
    for other, outline in placed:
        if (zone.kind in OPENINGS) != (other.kind in OPENINGS):
            continue
        shared = shared_area(zone.corners, outline)
        if shared > _TOUCHING:
            reason = f'lies over the zone "{other.name}" by {show(shared, "area")}'
            yield Finding((*at, "name"), reason, "Correct the place of one of them, or leave the other out there")
            return
