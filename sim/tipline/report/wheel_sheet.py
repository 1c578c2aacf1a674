"""The wheel-load sheet: one page for the one who answers for a floor, with room for the answer; nothing is computed."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite
from typing import TYPE_CHECKING

from tipline.printable import spoken_of
from tipline.report.page import Page, Pictures, PointList, Section, Table
from tipline.report.sections import spelled
from tipline.report.wording import load, quantity
from tipline.units import System

if TYPE_CHECKING:
    from tipline.floors.answers.report import FloorReport, TyreSheet, WheelSheet

__all__ = ["sheet_page"]


def sheet_page(report: FloorReport, system: System = "si", pictures: tuple[Pictures, ...] = ()) -> Page:
    """Give the page; pictures: the sketch of the tyres."""
    sheet = report.sheet
    force, area = ("lbf", "in2") if system == "us" else ("kN", "m2")
    into = (
        "To read the answer back, write it into the floor file, in the zone it is for: allowed_wheel_load = "
        f'"... {force}", allowed_wheel_patch = "... {area}", allowed_by = "who, when".'
    )
    sections: list[Section] = [
        *(_truck(sheet, system) if sheet is not None else ()),
        _tyres(report, system),
        *pictures,
        PointList("The question", tuple(_asked(report, system))),
        PointList("What else is asked about a floor", () if sheet is None else tuple(_also(sheet, system)), _ALSO),
        Table("Answer", ("what", "value", "remarks"), _BLANK, into, boxed=True),
    ]
    return Page(
        title=f"Wheel-load sheet: {report.title}",
        mark=f"{'DEMO · ' if report.demo else ''}computed loads; no strength of the floor is stated here",
        lead="May these tyres stand and roll on this floor?",
        demo=report.demo,
        sections=spelled(sections, system),
        one_sheet=True,
    )


_ALSO = "As far as the inputs carry an answer; where they do not, who must say."
_PEAK = (
    "Peak rolling: the greatest in the truck's own stops, forward and in reverse, and in turns, as steady pulls; "
    "lips at joints come on top. Patch and pressures at that peak. Twins stand as one item too: their sum on the "
    "rectangle about both."
)


def _truck(sheet: WheelSheet, system: System) -> Iterator[Section]:
    """Show the truck: gross weight and what stands on each axle."""
    rows = []
    for setup in dict.fromkeys(axle.setup for axle in sheet.axles):
        rows.append((f"whole truck, {setup}", load(sheet.gross(setup), system), "the same"))
        rows += [
            (f"{axle.name}, {setup}", load(axle.static_load, system), load(axle.rolling_load, system))
            for axle in sheet.axles
            if axle.setup == setup
        ]
    columns = ("what", "at rest", "at most in a stop")
    yield Table(f"The truck: {sheet.truck}", columns, tuple(rows), "Gross weight, lifted load included.")


def _tyres(report: FloorReport, system: System) -> Table:
    twins = () if report.sheet is None else report.sheet.twins
    rows = [*(_row(tyre, system) for tyre in report.tyres), *(_row(twin, system) for twin in twins)]
    columns = ("tyre", "at rest", "peak rolling", "patch, along by across", "mean pressure", "peak pressure")
    notes = dict.fromkeys(note for tyre in report.tyres for note in tyre.notes if note.startswith("Patch"))
    rolling = () if report.sheet is None else report.sheet.rolling
    notes_of_rolling = " ".join(f"{text[:1].upper()}{text[1:]}." for text in rolling)
    return Table("Tyres, loads and patches", columns, tuple(rows), " ".join((_PEAK, notes_of_rolling, *notes)))


def _row(tyre: TyreSheet, system: System) -> tuple[str, ...]:
    long, wide = (quantity(side, "length", system) for side in tyre.patch)
    peak = tyre.rolling_load if isfinite(tyre.rolling_load) else tyre.peak_load
    return (
        f"{tyre.tyre}, {tyre.setup}",
        load(tyre.static_load, system),
        load(peak, system),
        f"{long} by {wide}",
        quantity(tyre.mean_pressure, "pressure", system),
        quantity(tyre.peak_pressure, "pressure", system),
    )


def _asked(report: FloorReport, system: System) -> Iterator[str]:
    sheet = report.sheet
    name = "A truck" if sheet is None else sheet.truck
    yield f"{name} on {report.floor}, {report.subject}."
    yield f"Zones: {'; '.join(dict.fromkeys(tyre.zone for tyre in report.tyres))}."
    yield f"Tyres of an axle apart, middle to middle: {_apart(report, system)}."
    yield "Standing: as long as the lift takes, minutes to hours. Rolling: walking speed. Say if either is not allowed."
    passes = None if sheet is None else sheet.passes
    yield f"Passes: not stated; planned: {24 * '_'}" if passes is None else f"Passes: {passes}, as planned."
    yield from [spreader.text for spreader in report.spreaders if spreader.found] or ["Spreaders: none planned."]


def _also(sheet: WheelSheet, system: System) -> Iterator[str]:
    for lip in sheet.lips:
        height, more = quantity(lip.height, "length", system), load(lip.more, system)
        yield (
            f"Joints: a lip of {height} adds at most {more} to {lip.tyre} ({lip.setup}), its rubber pressed that much "
            "further while the truck has not yet come up; not counted in the peak. How high lips and steps are is for "
            "whoever knows the floor."
        )
    for twins in sheet.twins:
        if isfinite(twins.circle):
            yield (
                f"Twins on a slab: {twins.tyre} ({twins.setup}) press on it as one circle of radius "
                f"{quantity(twins.circle, 'length', system)} with the load of both, "
                f"{load(twins.rolling_load, system)}. By Huang's formula for twins, from memory; what is asked "
                "of a slab here adds them up tyre by tyre."
            )
    for give in sheet.gives:
        depths = (give.depth.likely, give.depth.low, give.depth.high)
        likely, low, high = (quantity(float(f"{depth:.1e}"), "length", system) for depth in depths)
        yield (
            f"Settling under a standing truck, {spoken_of(give.zone)}: {give.tyre} presses it down by likely {likely} "
            f"at once, {low} to {high} by the ground's stiffness, far from edges and by itself; it comes back."
        )
    yield from sheet.told


def _apart(report: FloorReport, system: System) -> str:
    """Say how far the tyres of an axle are apart, and the axles."""
    sheet = report.sheet
    distances = [
        f"{a} to {b} {quantity(apart, 'length', system)}"
        for a, b, apart in report.spacing
        if sheet is None or sheet.places[a][0] == sheet.places[b][0]
    ]
    if sheet is not None:
        distances.append(f"wheelbase {quantity(sheet.wheelbase, 'length', system)}")
    return "; ".join(distances)


_BLANK = tuple(
    (what, 24 * "_", 24 * "_")
    for what in (
        "greatest tyre load allowed here",
        "on a patch no smaller than",
        "tyres no closer than",
        "conditions: speed, passes, spreaders, places to keep off",
        "holds until",
        "name, role, date, signature",
    )
)
