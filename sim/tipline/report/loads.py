"""The page of greatest and least loads by set-up, its summary; texts only, nothing is computed."""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING, Any

import numpy as np

from tipline.report import wording
from tipline.report.load_rules import meaning, notes, rules_list, with_meanings
from tipline.report.load_tables import (
    by_height,
    by_set_up,
    greatest,
    let_go,
    not_known_of,
    on_floor,
    rules_of_thumb,
    without_load,
)
from tipline.report.load_words import base_words, bases_of, cell_words, load_words, part_words, rounded, rounded_up
from tipline.report.page import Links, Page, Pictures, PointList, Section, first_of, further
from tipline.report.sections import captioned, spelled
from tipline.report.wording import quantity, share
from tipline.set_ups.assessment import TEACHING
from tipline.set_ups.rules import GREATEST
from tipline.units import System

if TYPE_CHECKING:
    from collections.abc import Mapping

    from tipline.set_ups.assessment import LoadsReport

__all__ = ["LOADS_SCHEMA", "loads_page", "loads_summary"]

LOADS_SCHEMA = "tipline.loads/1"
_ASSUMED = "Not stated in the machine file, or stated without where it comes from; each may change the answer."


def loads_page(
    report: LoadsReport, system: System = "si", pictures: tuple[Pictures, ...] = (), links: Links = ()
) -> Page:
    """Give the page of greatest and least loads; links: words and file of what lies beside the page."""
    use = "" if report.has_plate else f" · {TEACHING}"
    sections: list[Section] = [
        let_go(report, system),
        by_set_up(report, system),
        on_floor(report, system),
        *(greatest(report, jib, system) for jib in (False, True)),
        *further(pictures),
        *(by_height(report, jib, system) for jib in (False, True)),
        without_load(report, system),
        rules_of_thumb(report, system),
        not_known_of(report),
        PointList("How to read this", notes(report)),
        PointList("The rules, and how far each number is known", rules_list(report)),
        PointList("Assumed", tuple(text.removesuffix(", assumed") for text in report.assumed), _ASSUMED),
        PointList("What governs", report.governs),
    ]
    return Page(
        title=f"Greatest and least loads: {report.title}",
        mark=wording.mark(report.demo, f"computed; {len(report.cells)} set-ups{use}", report.assumed_count),
        lead=wording.spell(_lead(report, system), system),
        demo=report.demo,
        sections=spelled(tuple(with_meanings(report, sections, _first_rule(report))), system),
        said=tuple((word, wording.spell(text, system)) for word, text in _said(report, system) if text),
        picture=captioned(first_of(pictures), system),
        links=links,
    )


def _first_rule(report: LoadsReport) -> tuple[str, ...]:
    """Return the rule that is explained on the first screen."""
    if not report.has_plate:
        return (report.governing(int(np.argmax(report.given))),)
    nearest = _nearest_cell(report)
    return () if nearest is None else (report.nearest_rule(nearest),)


def _nearest_cell(report: LoadsReport) -> int | None:
    """Return the cell whose load on the plate comes nearest to one of the rules, or goes farthest past it."""
    used = np.where(np.isfinite(report.plate), report.used(report.given), -1.0)
    return int(np.argmax(used)) if (used > 0.0).any() else None


def _lead(report: LoadsReport, system: System) -> str:
    if not report.has_plate:
        best = int(np.argmax(report.given))
        most = rounded(float(report.given[best]), system)
        return (
            f"{TEACHING}: no capacity plate is given; by our rules {most} at most, {cell_words(report, best, system)}"
        )
    rated, stated = report.rated, int(np.isfinite(report.plate).sum())
    assert rated is not None
    most = load_words(rated, system)
    if not stated:
        return f"no set-up asked is on the capacity plate, which rates the truck at {most}"
    return f"the capacity plate governs: {most} at most; {stated} of {len(report.cells)} set-ups are on it"


def _said(report: LoadsReport, system: System) -> tuple[tuple[str, str], ...]:
    """Say what governs, what is nearest to it, and where the load cannot be let go of."""
    if not report.has_plate:
        best = int(np.argmax(report.given))
        rule = report.governing(best)
        first = f"{GREATEST[rule]} governs there; what is above it was not tested by anybody."
        points = [("What governs", f"{first[:1].upper()}{first[1:]} {meaning(report, rule)}")]
    else:
        points = [("Nearest rule", _nearest_sentence(report, system))]
    points.insert(0, ("Which set-up", _which(report, system)))
    if report.not_known:
        what, measure, part = report.not_known[0]
        points.append(
            ("Not known", f"The {what} takes {part_words(part)} of the greatest loads; to know it, {measure}.")
        )
    back = [base for base in report.unladen if base.tips_back]
    heavy = max(report.unladen, key=lambda base: base.least)
    if back:
        base = max(back, key=lambda base: base.least)
        set_up = base_words(base.extension, base.slabs, system)
        points.append(("Tips back", f"With the {set_up}, it tips back without a load."))
    if heavy.least > 0.0:
        least = rounded_up(heavy.least, system) if isfinite(heavy.least) else "more than it can be given"
        set_up = base_words(heavy.extension, heavy.slabs, system)
        points.append(("Least load", f"{least} must stay on it with the {set_up}, until the counterweight is home."))
    aside = [base for base in report.unladen if base.side_slope < base.asked]
    if aside:
        worst = min(aside, key=lambda base: base.side_slope)
        held = f"a side slope of {share(worst.side_slope)} only" if worst.side_slope > 0.0 else "no side slope"
        set_up = base_words(worst.extension, worst.slabs, system)
        points.append(
            (
                "Side slope",
                f"Without a load, with the {set_up}, it holds {held}; the slope of the test is {share(worst.asked)}.",
            )
        )
    return tuple(points)


def _which(report: LoadsReport, system: System) -> str:
    """Say of a load that is asked about with which set-ups on the plate it is within plate and least load."""
    lifted, own = report.wanted, report.for_wanted
    if lifted is None or not report.has_plate or not own.any():
        return ""
    out = "reach" if lifted.jib else "load centre"
    load = f"{load_words(lifted.mass, system)} at {out} {quantity(lifted.centre, 'length', system)}"
    within = (report.plate >= lifted.mass * (1.0 - 1e-9)) & (report.least_needed <= lifted.mass)
    cells, bases = report.cells, []
    for extension, slabs in bases_of(report):
        here = own & (np.abs(cells.extension - extension) < 1e-9) & (cells.slabs == slabs)
        if here.any() and bool(within[here].all()):
            bases.append(base_words(extension, slabs, system))
    if not bases:
        return f"{load} is not within the plate at every height with any set-up asked."
    return f"{load} is within the plate with: {'; '.join(bases)}."


def _nearest_sentence(report: LoadsReport, system: System) -> str:
    """Say which rule the plate's loads come nearest to, or go past."""
    worst = _nearest_cell(report)
    if worst is None:
        return ""
    used = float(report.used(report.given)[worst])
    rule, part = report.nearest_rule(worst), part_words(used)
    load = load_words(float(report.plate[worst]), system)
    beyond = " The plate governs all the same: the maker knows what no file tells." if used > 1.0 else ""
    allows = f"{part} of what {GREATEST[rule]} allows"
    return f"{load} {cell_words(report, worst, system)}: {allows}. {meaning(report, rule)}{beyond}"


def _for_wanted(report: LoadsReport) -> list[dict[str, Any]]:
    """Give each set-up that may take the load that is asked about, and how much of the nearest rule it uses up."""
    wanted, cells = report.wanted, report.cells
    if wanted is None:
        return []
    used = report.used(wanted.mass)
    return [
        {
            "extension_m": float(cells.extension[k]),
            "slabs": int(cells.slabs[k]),
            "height_m": float(cells.height[k]),
            "plate_kg": float(report.plate[k]) if isfinite(report.plate[k]) else None,
            "nearest_rule": report.nearest_rule(k),
            "part_of_nearest_rule": float(used[k]) if isfinite(used[k]) else None,
            "least_kg": float(report.least_needed[k]) if isfinite(report.least_needed[k]) else None,
        }
        for k in np.flatnonzero(report.for_wanted).tolist()
    ]


def loads_summary(report: LoadsReport, facts: Mapping[str, Any]) -> dict[str, Any]:
    """Give every cell and what was found besides for other programs, in SI."""
    return {
        "schema": LOADS_SCHEMA,
        "title": report.title,
        "demo": bool(report.demo),
        "use": "explains the capacity plate" if report.has_plate else TEACHING,
        "rated_kg": report.rated,
        "rules": dict(vars(report.rules)),
        "set_ups": report.rows(),
        "without_a_load": [
            {
                "extension_m": base.extension,
                "slabs": base.slabs,
                "drive_axle_share": base.drive_share,
                "tips_back": base.tips_back,
                "side_slope": base.side_slope if isfinite(base.side_slope) else None,
                "side_slope_of_test": base.asked,
                "least_kg": base.least if isfinite(base.least) else None,
                "least_by": base.least_by or None,
            }
            for base in report.unladen
        ],
        "rules_of_thumb": [
            {
                "load_centre_m": rule.centre,
                "about_fork_face_times": rule.by_face,
                "about_drive_axle_times": rule.by_axle,
            }
            for rule in report.reduced
        ],
        "not_known": [
            {"what": what, "measure": measure, "takes_part": part} for what, measure, part in report.not_known
        ],
        "on_floor": [
            {
                "extension_m": answer.extension,
                "slabs": answer.slabs,
                "of_planning_limit": answer.ratio if isfinite(answer.ratio) else None,
                "what": answer.what,
                "spreaders": answer.spreaders or None,
                "with_spreaders": answer.with_ if isfinite(answer.with_) else None,
            }
            for answer in report.floor
        ],
        "wanted_kg": None if report.wanted is None else report.wanted.mass,
        "for_wanted": _for_wanted(report),
        "assumed": list(report.assumed),
        "what_governs": list(report.governs),
        "estimate": wording.ESTIMATE,
        "solve_time_s": report.solve_time,
        **facts,
    }
