"""The page of greatest and least loads by set-up, its summary and table; texts only, nothing is computed."""

from __future__ import annotations

from dataclasses import replace
from math import ceil, floor, isfinite, log10
from typing import TYPE_CHECKING, Any

import numpy as np

from tipline import units
from tipline.model.structure import STRUCTURE
from tipline.report import wording
from tipline.report.page import Page, Pictures, PointList, Section, Table, first_of, further
from tipline.report.sections import captioned, spelled
from tipline.report.wording import NOT_GIVEN, quantity, share
from tipline.scenario.labels import height_of
from tipline.set_ups.assessment import NOT_RATED, TEACHING
from tipline.set_ups.rules import GREATEST, LEAST
from tipline.units import System

if TYPE_CHECKING:
    from collections.abc import Mapping

    from tipline.set_ups.assessment import LoadsReport

__all__ = ["LOADS_SCHEMA", "loads_page", "loads_summary"]

LOADS_SCHEMA = "tipline.loads/1"
_SHORT = {
    "plate": "plate",
    "stacking": "stacking slope",
    "travelling": "travelling slope",
    "lateral": "side slope",
    "steer axle": "steer axle",
    "hung, of tipping": "hung-load limit",
    "hung, own stop": "own stop",
    "drive tyres": "drive tyres",
    "forks": "fork stamp",
    "carriage": "carriage moment",
    "mast": "mast moment",
}
_STRENGTH_RULES = {
    "forks": "Fork stamp: both forks share the load evenly; farther out than stamped by equal bending moment, nearer "
    "no more than stamped (that forks are stamped so: ISO 2330, from memory).",
    "carriage": "Carriage: gross load, and half way out the jib's own weight, about the fork face, at rest.",
    "mast": "Mast: the same about the front of its channels, upright, at rest.",
}
_ASSUMED = "Not stated in the machine file, or stated without where it comes from; each may change the answer."


def loads_page(report: LoadsReport, system: System = "si", pictures: tuple[Pictures, ...] = ()) -> Page:
    """Give the page of greatest and least loads."""
    use = "" if report.has_plate else f" · {TEACHING}"
    sections: list[Section] = [
        _let_go(report, system),
        _wanted(report, system),
        _floor(report, system),
        *(_greatest(report, jib, system) for jib in (False, True)),
        *further(pictures),
        *(_by_height(report, jib, system) for jib in (False, True)),
        _without(report, system),
        _thumb(report, system),
        _not_known(report),
        PointList("How to read this", _notes(report)),
        PointList("The rules, and how far each number is known", _rules(report)),
        PointList("Assumed", tuple(text.removesuffix(", assumed") for text in report.assumed), _ASSUMED),
        PointList("What governs", report.governs),
    ]
    return Page(
        title=f"Greatest and least loads: {report.title}",
        mark=wording.mark(report.demo, f"computed; {len(report.cells)} set-ups{use}", report.assumed_count),
        lead=wording.spell(_lead(report, system), system),
        demo=report.demo,
        sections=spelled(sections, system),
        said=tuple((word, wording.spell(text, system)) for word, text in _said(report, system) if text),
        picture=captioned(first_of(pictures), system),
    )


def _lead(report: LoadsReport, system: System) -> str:
    if not report.has_plate:
        best = int(np.argmax(report.given))
        most = _rounded(float(report.given[best]), system)
        return f"{TEACHING}: no capacity plate is given; by our rules {most} at most, {_where(report, best, system)}"
    rated, stated = report.rated, int(np.isfinite(report.plate).sum())
    assert rated is not None
    most = _load(rated, system)
    if not stated:
        return f"no set-up asked is on the capacity plate, which rates the truck at {most}"
    return f"the capacity plate governs: {most} at most; {stated} of {len(report.cells)} set-ups are on it"


def _said(report: LoadsReport, system: System) -> tuple[tuple[str, str], ...]:
    """Say what governs, what is nearest to it, and where the load cannot be let go of."""
    if not report.has_plate:
        best = int(np.argmax(report.given))
        first = f"{GREATEST[report.governing(best)]} governs there; what is above it was not tested by anybody."
        points = [("What governs", f"{first[:1].upper()}{first[1:]}")]
    else:
        points = [("Nearest rule", _nearest_sentence(report, system))]
    points.insert(0, ("Which set-up", _which(report, system)))
    if report.not_known:
        what, measure, part = report.not_known[0]
        points.append(("Not known", f"The {what} takes {_part(part)} of the greatest loads; to know it, {measure}."))
    back = [base for base in report.unladen if base.tips_back]
    heavy = max(report.unladen, key=lambda base: base.least)
    if back:
        base = max(back, key=lambda base: base.least)
        where = _base(base.extension, base.slabs, system)
        points.append(("Tips back", f"With the {where}, it tips back without a load."))
    if heavy.least > 0.0:
        least = _rounded_up(heavy.least, system) if isfinite(heavy.least) else "more than it can be given"
        where = _base(heavy.extension, heavy.slabs, system)
        points.append(("Least load", f"{least} must stay on it with the {where}, until the counterweight is home."))
    aside = [base for base in report.unladen if base.side_slope < base.asked]
    if aside:
        worst = min(aside, key=lambda base: base.side_slope)
        held = f"a side slope of {share(worst.side_slope)} only" if worst.side_slope > 0.0 else "no side slope"
        where = _base(worst.extension, worst.slabs, system)
        points.append(
            (
                "Side slope",
                f"Without a load, with the {where}, it holds {held}; the slope of the test is {share(worst.asked)}.",
            )
        )
    return tuple(points)


def _which(report: LoadsReport, system: System) -> str:
    """Say of a load that is asked about with which set-ups on the plate it is within plate and least load."""
    wanted, own = report.wanted, report.for_wanted
    if wanted is None or not report.has_plate or not own.any():
        return ""
    out = "reach" if wanted.jib else "load centre"
    load = f"{_load(wanted.mass, system)} at {out} {quantity(wanted.centre, 'length', system)}"
    within = (report.plate >= wanted.mass * (1.0 - 1e-9)) & (report.least_needed <= wanted.mass)
    cells, bases = report.cells, []
    for extension, slabs in _bases(report):
        here = own & (np.abs(cells.extension - extension) < 1e-9) & (cells.slabs == slabs)
        if here.any() and bool(within[here].all()):
            bases.append(_base(extension, slabs, system))
    if not bases:
        return f"{load} is not within the plate at every height with any set-up asked."
    return f"{load} is within the plate with: {'; '.join(bases)}."


def _nearest_sentence(report: LoadsReport, system: System) -> str:
    """Say which rule the plate's loads come nearest to, or go past."""
    used = np.where(np.isfinite(report.plate), report.used(report.given), -1.0)
    if not (used > 0.0).any():
        return ""
    worst = int(np.argmax(used))
    rule, part = GREATEST[report.nearest_rule(worst)], _part(float(used[worst]))
    load = _load(float(report.plate[worst]), system)
    beyond = " The plate governs all the same: the maker knows what no file tells." if used[worst] > 1.0 else ""
    return f"{load} {_where(report, worst, system)}: {part} of what {rule} allows.{beyond}"


def _load(mass: float, system: System) -> str:
    """Give a load to 10 kg in the hundreds, as plates state it."""
    return units.show(mass, "mass", system, digits=4) if isfinite(mass) else NOT_GIVEN


def _rounded(mass: float, system: System) -> str:
    """Give a load that was worked out, down to the next of three digits: what is not rated is given no benefit."""
    step = 10.0 ** (floor(log10(mass)) - 2) if mass > 0.0 else 1.0
    return quantity(floor(mass / step) * step, "mass", system)


def _rounded_up(mass: float, system: System) -> str:
    """Give a load that is needed, up to the next of three digits."""
    step = 10.0 ** (floor(log10(mass)) - 2) if mass > 0.0 else 1.0
    return quantity(ceil(mass / step) * step, "mass", system)


def _part(of_one: float) -> str:
    """Give a part in whole percent; finer than that no rule is."""
    return f"{100 * of_one:.0f} %" if isfinite(of_one) else "more than all"


def _where(report: LoadsReport, k: int, system: System) -> str:
    cells = report.cells
    out = "on the jib, reach" if cells.jib[k] else "on the forks, load centre"
    length = quantity(float(cells.centre[k]), "length", system)
    at = f"{height_of(bool(cells.jib[k]))} {quantity(float(cells.height[k]), 'length', system)}"
    return f"{out} {length}, {_base(float(cells.extension[k]), int(cells.slabs[k]), system)}, {at}"


def _base(extension: float, slabs: int, system: System) -> str:
    out = "counterweight home" if extension == 0.0 else f"counterweight {quantity(extension, 'length', system)} out"
    return f"{out}, {slabs or 'no'} slab{'' if slabs == 1 else 's'}"


def _cell(report: LoadsReport, k: int, system: System) -> str:
    """Say the greatest load of a cell, what governs it and how near the nearest rule is."""
    load, rule = float(report.given[k]), report.nearest_rule(k)
    if not isfinite(load):
        return NOT_RATED
    if not report.has_plate:
        times = f", tips at {report.tips[k] / load:.2f} times" if load > 0.0 else ""
        return f"{_rounded(load, system)}: {_SHORT[rule]}{times}"
    return f"{_load(load, system)}: {_SHORT[rule]} {_part(float(report.used(report.given)[k]))}"


def _bases(report: LoadsReport) -> list[tuple[float, int]]:
    pairs = zip(report.cells.extension.tolist(), report.cells.slabs.tolist(), strict=True)
    return sorted({(extension, int(slabs)) for extension, slabs in pairs})


def _pick(report: LoadsReport, jib: bool, **settings: float) -> int | None:
    """Return the first cell of an attachment with these values."""
    held = report.cells.jib == jib
    for name, value in settings.items():
        held &= np.abs(getattr(report.cells, name) - value) < 1e-9
    return int(np.argmax(held)) if held.any() else None


def _greatest(report: LoadsReport, jib: bool, system: System) -> Table:
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


def _by_height(report: LoadsReport, jib: bool, system: System) -> Table:
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
    for extension, slabs in _bases(report):
        places = [_pick(report, jib, extension=extension, slabs=slabs, **column) for column in columns]
        cells = tuple("" if k is None else _cell(report, k, system) for k in places)
        if set(cells) <= {NOT_RATED, ""}:
            none.append(_base(extension, slabs, system))
        else:
            rows.append((_base(extension, slabs, system), *cells))
    if none:
        note += f" Not rated set-ups, so without a load here: {'; '.join(none)}."
    if not rows:
        rows = [("every set-up asked", *(NOT_RATED for _ in columns))]
    return Table(title, ("set-up", *heads), tuple(rows), note.strip())


def _let_go(report: LoadsReport, system: System) -> Table:
    """Show where a load must stay on until the counterweight is home or slabs are off."""
    rows = []
    for base in report.unladen:
        if base.least <= 0.0:
            continue
        least = _rounded_up(base.least, system) if isfinite(base.least) else "no load is enough"
        back = "tips back" if base.tips_back else f"{_part(base.drive_share)} on the drive axle"
        rows.append((_base(base.extension, base.slabs, system), least, LEAST[base.least_by], back))
    note = (
        "Below the least load the truck tips back, or its drive axle is too light to brake by. Before the load is let "
        "go of, run the counterweight home or take slabs off."
    )
    heads = ("set-up", "least load", "what governs", "without a load")
    return Table("Where the load must not be let go of", heads, tuple(rows), note, boxed=True)


def _wanted(report: LoadsReport, system: System) -> Table:
    """Set a load that is asked about beside every extension, number of slabs and height: what is nearest in each."""
    wanted = report.wanted
    own = report.for_wanted
    if wanted is None or not own.any():
        return Table("", (), ())
    jib, centre = wanted.jib, wanted.centre
    heights = np.unique(report.cells.height[own]).tolist()
    rows = []
    for extension, slabs in _bases(report):
        places = [_pick(report, jib, extension=extension, slabs=slabs, centre=centre, height=h) for h in heights]
        cells = ("" if k is None else _wanted_cell(report, k, wanted.mass, system) for k in places)
        stated = not report.has_plate or any(k is not None and isfinite(report.plate[k]) for k in places)
        rows.append((_base(extension, slabs, system) + ("" if stated else f" ({NOT_RATED})"), *cells))
    out = "reach" if jib else "load centre"
    load = f"{_load(wanted.mass, system)} at {out} {quantity(centre, 'length', system)}"
    heads = ("set-up", *(f"{height_of(jib)} {quantity(h, 'length', system)}" for h in heights))
    note = (
        "The rule this load comes nearest to in each set-up, and how much of it is used up. Above 100 % it is broken; "
        "above the plate nothing else counts."
    )
    return Table(f"Which set-up? {load}", heads, tuple(rows), note)


def _wanted_cell(report: LoadsReport, k: int, mass: float, system: System) -> str:
    plate, least = float(report.plate[k]), float(report.least_needed[k])
    if mass < least:
        need = _rounded_up(least, system) if isfinite(least) else "more than any load"
        return f"too light: {need} needed"
    near = f"{_SHORT[report.nearest_rule(k)]} {_part(float(report.used(mass)[k]))}"
    if not report.has_plate:
        return near
    if not isfinite(plate):
        return near
    if mass > plate * (1.0 + 1e-9):
        return f"above the plate's {_load(plate, system)}"
    return f"plate {_part(mass / plate)}; {near}"


def _floor(report: LoadsReport, system: System) -> Table:
    """Show what the load that is asked about puts on the floor in each set-up, and what spreaders leave of it."""
    if not report.floor:
        return Table("", (), ())
    rows = []
    for answer in report.floor:
        times = f"{answer.ratio:.2g} times" if isfinite(answer.ratio) else "not looked at"
        left = answer.spreaders or "none looked for"
        left = f"{answer.with_:.2g} times: {answer.spreaders}" if isfinite(answer.with_) else left
        left = "not needed" if isfinite(answer.ratio) and answer.ratio <= 1.0 else left
        rows.append((_base(answer.extension, answer.slabs, system), times, answer.what, left))
    note = (
        f"{report.on}. The load carried low, standing. The figure is that below which 19 of 20 draws of the floor lie; "
        "above 1 the planning limit is exceeded. tipline floor tells more."
    )
    heads = ("set-up", "times the planning limit", "what governs", "with spreaders")
    return Table("On the floor, by set-up", heads, tuple(rows), note)


def _without(report: LoadsReport, system: System) -> Table:
    rows = tuple(
        (
            _base(base.extension, base.slabs, system),
            "tips back" if base.tips_back else _part(base.drive_share),
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


def _thumb(report: LoadsReport, system: System) -> Table:
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


def _not_known(report: LoadsReport) -> PointList:
    """Say what of an own truck is not known, and what it takes of the loads."""
    items = tuple(
        f"{what}, {_part(part)} of the greatest loads: {measure}." for what, measure, part in report.not_known
    )
    note = (
        "Every load here is at the bad end of what nobody gave. What each takes alone, and how to get to know it, the "
        "most first."
    )
    return PointList("Not known of this truck", tuple(f"{item[:1].upper()}{item[1:]}" for item in items), note)


def _notes(report: LoadsReport) -> tuple[str, ...]:
    plate = (
        "The plate governs, and nothing above it is shown. A set-up whose extension and slabs are not on it is "
        f"{NOT_RATED}, and no load is given for it."
        if report.has_plate
        else "Without the maker's capacity plate no figure here is a rating. They show what limits such a truck, and "
        "are for teaching only."
    )
    return (
        f"{plate}",
        "This explains what limits each set-up. It is no load chart: do not hang it in a cab.",
        "Tyres, mast and chain give under the load, as in a pose at rest; the tests take the sag out by tilting back. "
        "Here it stays in, which is stricter.",
        "The ordinary tests know no load that swings. The rules for a hung load are ours and a crane rule; they are no "
        "rating of a jib.",
        _strength(report),
    )


def _strength(report: LoadsReport) -> str:
    """Say which strengths are in the loads: those that the machine file states, and no other."""
    stated = [STRUCTURE[name] for name in STRUCTURE if name in report.greatest]
    if not stated:
        return (
            "Strength of forks, chains, jib and mast is not in these loads. Read the stamp on a fork and ask the maker "
            "for the largest moment of carriage and mast: forks.rated_load, carriage.largest_moment and "
            "mast.largest_moment in the machine file take them."
        )
    return f"Of strength only this is in these loads: {', '.join(stated)}. Chains, jib and frame are not."


def _rules(report: LoadsReport) -> tuple[str, ...]:
    rules = report.rules
    heavy = rules.stacking_of(report.rated)
    return (
        f"Stacking: {share(heavy)} falling ahead, mast upright, asked at each height. 3.5 % from 5 tonne rated, 4 % "
        "below (national forklift rules, seen in examination texts; ISO 22915-2 from memory).",
        f"Travelling: {share(rules.travelling)} falling ahead, forks at 300 mm, mast tilted back (the same sources).",
        f"Side slope: {share(rules.lateral)}, mast tilted back (the same sources). The frame starting to swing counts.",
        f"Without a load: {share(rules.unladen)} and {share(rules.per_speed)} for each km/h of top speed (the same "
        "sources). ISO 22915-2 has 1.4 % for each km/h as we remember it: a parameter, per_speed.",
        f"Steer axle: {share(rules.steer_share)} of the weight (common practice, no source; some want 20 %).",
        f"Drive axle, least load: {share(rules.drive_share)} of the weight (our choice).",
        "A floor that falls behind by the stacking slope, least load (our choice; no standard has such a test).",
        f"Hung load: {share(rules.hung_share)} of the load that tips it on the level (an Australian rule for cranes "
        "that carry their load, as a regulator quotes it), and its own service stop with the load's swing.",
        "Drive tyres: what they are rated for in the machine file, level, at rest.",
        *(_STRENGTH_RULES[name] for name in STRUCTURE if name in report.greatest),
    )


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
        "assumed": list(report.assumed),
        "what_governs": list(report.governs),
        "estimate": wording.ESTIMATE,
        "solve_time_s": report.solve_time,
        **facts,
    }
