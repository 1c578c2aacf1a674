"""The tables of greatest and least loads by set-up; texts only, nothing is computed."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite
from typing import TYPE_CHECKING

import numpy as np

from tipline.report.load_rules import SHORT
from tipline.report.load_words import base_words, bases_of, load_words, part_words, rounded, rounded_up
from tipline.report.page import PointList, Table
from tipline.report.wording import quantity, share
from tipline.scenario.labels import height_of
from tipline.set_ups.assessment import NOT_RATED
from tipline.set_ups.rules import LEAST
from tipline.units import System

if TYPE_CHECKING:
    from tipline.set_ups.assessment import LoadsReport

__all__ = [
    "by_height", "by_set_up", "greatest", "let_go", "not_known_of", "on_floor", "rules_of_thumb", "without_load",
]  # fmt: skip


def greatest(report: LoadsReport, jib: bool, system: System) -> Table:
    """Show the greatest loads at the top by extension and slabs, and by load centre or reach."""
    own = report.cells.jib == jib
    if not own.any():
        return Table("", (), ())
    top, name = float(report.cells.height[own].max()), "reach" if jib else "load centre"
    centres = np.unique(report.cells.centre[own]).tolist()
    heads = tuple(f"{name} {quantity(c, 'length', system)}" for c in centres)
    columns = [{"centre": c, "height": top} for c in centres]
    title = f"Greatest load on the {'jib' if jib else 'forks'}, {height_of(jib)} {quantity(top, 'length', system)}"
    what = (
        "The plate's load, and how much of the nearest rule it uses up."
        if report.has_plate
        else "The least of what the rules leave, which rule that is, and what tips the truck on the level at rest."
    )
    return _by_base(report, jib, title, heads, columns, f"{what} Gross loads: hook and rigging count.", system)


def by_height(report: LoadsReport, jib: bool, system: System) -> Table:
    """Show the same by height, at the shortest load centre or reach."""
    own = report.cells.jib == jib
    if not own.any():
        return Table("", (), ())
    centre, name = float(report.cells.centre[own].min()), "reach" if jib else "load centre"
    heights = np.unique(report.cells.height[own]).tolist()
    heads = tuple(f"at {quantity(h, 'length', system)}" for h in heights)
    columns = [{"centre": centre, "height": h} for h in heights]
    title = f"By {height_of(jib)}, {name} {quantity(centre, 'length', system)}"
    return replace(_by_base(report, jib, title, heads, columns, "", system), brief=False)


def _by_base(
    report: LoadsReport,
    jib: bool,
    title: str,
    heads: tuple[str, ...],
    columns: list[dict[str, float]],
    note: str,
    system: System,
) -> Table:
    """Show the cells of some columns by extension and slabs; those that are on no plate are named below."""
    rows, none = [], []
    for extension, slabs in bases_of(report):
        places = [_pick(report, jib, extension=extension, slabs=slabs, **column) for column in columns]
        cells = tuple("" if k is None else _cell(report, k, system) for k in places)
        if set(cells) <= {NOT_RATED, ""}:
            none.append(base_words(extension, slabs, system))
        else:
            rows.append((base_words(extension, slabs, system), *cells))
    if none:
        note += f" Not rated set-ups, so without a load here: {'; '.join(none)}."
    if not rows:
        rows = [("every set-up asked", *(NOT_RATED for _ in columns))]
    return Table(title, ("set-up", *heads), tuple(rows), note.strip())


def _pick(report: LoadsReport, jib: bool, **settings: float) -> int | None:
    """Return the first cell of an attachment with these values."""
    held = report.cells.jib == jib
    for name, value in settings.items():
        held &= np.abs(getattr(report.cells, name) - value) < 1e-9
    return int(np.argmax(held)) if held.any() else None


def _cell(report: LoadsReport, k: int, system: System) -> str:
    """Say the greatest load of a cell, what governs it and how near the nearest rule is."""
    load, rule = float(report.given[k]), report.nearest_rule(k)
    if not isfinite(load):
        return NOT_RATED
    if not report.has_plate:
        times = f", tips at {report.tips[k] / load:.2f} times" if load > 0.0 else ""
        return f"{rounded(load, system)}: {SHORT[rule]}{times}"
    return f"{load_words(load, system)}: {SHORT[rule]} {part_words(float(report.used(report.given)[k]))}"


def let_go(report: LoadsReport, system: System) -> Table:
    """Show where a load must stay on until the counterweight is home or slabs are off."""
    rows = []
    for base in report.unladen:
        if base.least <= 0.0:
            continue
        least = rounded_up(base.least, system) if isfinite(base.least) else "no load is enough"
        back = "tips back" if base.tips_back else f"{part_words(base.drive_share)} on the drive axle"
        rows.append((base_words(base.extension, base.slabs, system), least, LEAST[base.least_by], back))
    note = (
        "Below the least load the truck tips back, or its drive axle is too light to brake by. Before the load is let "
        "go of, run the counterweight home or take slabs off."
    )
    heads = ("set-up", "least load", "what governs", "without a load")
    return Table("Where the load must not be let go of", heads, tuple(rows), note, boxed=True)


def by_set_up(report: LoadsReport, system: System) -> Table:
    """Set a load that is asked about beside every extension, number of slabs and height: what is nearest in each."""
    wanted = report.wanted
    own = report.for_wanted
    if wanted is None or not own.any():
        return Table("", (), ())
    jib, centre = wanted.jib, wanted.centre
    heights = np.unique(report.cells.height[own]).tolist()
    rows = []
    for extension, slabs in bases_of(report):
        places = [_pick(report, jib, extension=extension, slabs=slabs, centre=centre, height=h) for h in heights]
        cells = ("" if k is None else _wanted_cell(report, k, wanted.mass, system) for k in places)
        stated = not report.has_plate or any(k is not None and isfinite(report.plate[k]) for k in places)
        rows.append((base_words(extension, slabs, system) + ("" if stated else f" ({NOT_RATED})"), *cells))
    out = "reach" if jib else "load centre"
    load = f"{load_words(wanted.mass, system)} at {out} {quantity(centre, 'length', system)}"
    heads = ("set-up", *(f"{height_of(jib)} {quantity(h, 'length', system)}" for h in heights))
    note = (
        "The rule this load comes nearest to in each set-up, and how much of it is used up. Above 100 % it is broken; "
        "above the plate nothing else counts."
    )
    return Table(f"Which set-up? {load}", heads, tuple(rows), note)


def _wanted_cell(report: LoadsReport, k: int, mass: float, system: System) -> str:
    plate, least = float(report.plate[k]), float(report.least_needed[k])
    if mass < least:
        need = rounded_up(least, system) if isfinite(least) else "more than any load"
        return f"too light: {need} needed"
    near = f"{SHORT[report.nearest_rule(k)]} {part_words(float(report.used(mass)[k]))}"
    if not report.has_plate:
        return near
    if not isfinite(plate):
        return near
    if mass > plate * (1.0 + 1e-9):
        return f"above the plate's {load_words(plate, system)}"
    return f"plate {part_words(mass / plate)}; {near}"


def on_floor(report: LoadsReport, system: System) -> Table:
    """Show what the load that is asked about puts on the floor in each set-up, and what spreaders leave of it."""
    if not report.floor:
        return Table("", (), ())
    rows = []
    for answer in report.floor:
        times = f"{answer.ratio:.2g} times" if isfinite(answer.ratio) else "not looked at"
        left = answer.spreaders or "none looked for"
        left = f"{answer.with_:.2g} times: {answer.spreaders}" if isfinite(answer.with_) else left
        left = "not needed" if isfinite(answer.ratio) and answer.ratio <= 1.0 else left
        rows.append((base_words(answer.extension, answer.slabs, system), times, answer.what, left))
    note = (
        f"{report.on}. The load carried low, standing. The figure is that below which 19 of 20 draws of the floor lie; "
        "above 1 the planning limit is exceeded. tipline floor tells more."
    )
    heads = ("set-up", "times the planning limit", "what governs", "with spreaders")
    return Table("On the floor, by set-up", heads, tuple(rows), note)


def without_load(report: LoadsReport, system: System) -> Table:
    """Show how the truck stands without a load, by extension and slabs."""
    rows = tuple(
        (
            base_words(base.extension, base.slabs, system),
            "tips back" if base.tips_back else part_words(base.drive_share),
            "none" if base.side_slope < 0.0 else share(min(base.side_slope, 1.0)),
            share(base.asked),
        )
        for base in report.unladen
    )
    note = (
        "Carried low, mast tilted back, no load. Side slope: where the frame starts to swing, or a fixed axle goes "
        "over; the test may let it swing onto its stop, so this is stricter than the test."
    )
    heads = ("set-up", "weight on the drive axle", "side slope held", "slope of the test")
    return Table("Without a load", heads, rows, note, brief=False)


def rules_of_thumb(report: LoadsReport, system: System) -> Table:
    """Show how rules of thumb for another load centre come out here."""
    rows = tuple(
        (
            quantity(rule.centre, "length", system),
            f"{rule.by_face:.2f} times",
            f"{rule.by_axle:.2f} times",
            "cautious" if max(rule.by_face, rule.by_axle) <= 1.0 else "too generous",
        )
        for rule in report.reduced
    )
    note = (
        "From one load centre to another, forks at the top: what equal load moment gives, as a multiple of what the "
        "stacking slope leaves there. About the fork face it is the published rule (29 CFR 1910.178, Appendix A); "
        "about the drive axle the handbook's. Neither knows height, attachment or sag."
    )
    heads = ("load centre", "about the fork face", "about the drive axle", "the rule is")
    return Table("Rules of thumb for another load centre", heads, rows, note, brief=False)


def not_known_of(report: LoadsReport) -> PointList:
    """Say what of an own truck is not known, and what it takes of the loads."""
    items = tuple(
        f"{what}, {part_words(part)} of the greatest loads: {measure}." for what, measure, part in report.not_known
    )
    note = (
        "Every load here is at the bad end of what nobody gave. What each takes alone, and how to get to know it, the "
        "most first."
    )
    return PointList("Not known of this truck", tuple(f"{item[:1].upper()}{item[1:]}" for item in items), note)
