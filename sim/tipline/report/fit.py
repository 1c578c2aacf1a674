"""The page of a machine fitted to its weighings, and its summary; texts only, nothing is computed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from tipline import units
from tipline.report import wording
from tipline.report.page import Page, PointList, Section, Table
from tipline.report.sections import spelled
from tipline.report.wording import System

if TYPE_CHECKING:
    from collections.abc import Mapping

    from tipline.truck_fit.assessment import FitReport, Fitted, Told

__all__ = ["FIT_SCHEMA", "fit_page", "fit_summary"]

FIT_SCHEMA = "tipline.fit/1"
_TOLD = {"yes": "determined", "partly": "partly determined", "no": "not determined"}
_NOTES = (
    "Least squares within limits. The file's own values count too, each as uncertain as its origin says; so what no "
    "reading tells stays as it was.",
    "A range holds the true value in 95 of 100 fits, if readings are off by no more than their stated accuracy and the "
    "rest of the file is right. What is not fitted is taken as the file has it.",
    "Forks lowered, mast upright, the truck rigid: tyres and mast that give change a reading by less than 0.3 %.",
    "Of a capacity plate only this counts: the maker's truck holds each row's load on the slope of the stacking test.",
)


def fit_page(report: FitReport, system: System = "si", written: str = "") -> Page:
    """Give the page of a fit; `written` names the file that holds it."""
    sections: list[Section] = [
        _against(report, system),
        _values(report, system),
        PointList("Told only together", tuple(_together(group) for group in report.together)),
        _advice(report, system),
        _readings(report, system),
        PointList("How to read this", _NOTES),
        PointList("What governs", report.governs),
    ]
    return Page(
        title=f"Fitted to what was weighed: {report.title}",
        mark=wording.mark(report.demo, "computed; a machine file fitted", report.assumed_count),
        lead=wording.spell(_lead(report), system),
        demo=report.demo,
        sections=spelled(sections, system),
        said=tuple((word, wording.spell(text, system)) for word, text in _said(report, written) if text),
    )


def _lead(report: FitReport) -> str:
    if report.contradictions:
        worst = report.contradictions[0]
        return f"readings contradict each other, most of all the {worst.words} ({worst.where})"
    known = sum(one.told == "yes" for one in report.fitted)
    of = f"of {len(report.fitted)} values"
    return f"the readings go together; they determine {known} {of}"


def _said(report: FitReport, written: str) -> tuple[tuple[str, str], ...]:
    moved = [one for one in report.fitted if one.told != "no"]
    found = []
    if moved:
        most = max(moved, key=lambda one: abs(one.value - one.unknown.value) / one.unknown.spread)
        found.append(("Most changed", f"{_sentence(most)}."))
    if report.advice:
        best = report.advice[0]
        before, after = (units.show(v, best.of.dimension, digits=2) for v in (best.before, best.after))
        found.append(
            (
                "What would tell more",
                f"Weigh it {best.how}: the {best.of.what} would be known within {after}, not {before}.",
            )
        )
    if written:
        found.append(
            (
                "New file",
                f"{written}: comments kept, fitted values with their range; what is determined is marked as measured.",
            )
        )
    return tuple(found)


def _sentence(one: Fitted) -> str:
    before = units.show(one.unknown.value, one.unknown.dimension)
    return f"The {one.unknown.what} is {_range(one)}; the file had {before}"


def _range(one: Fitted) -> str:
    low, value, high = (units.show(v, one.unknown.dimension) for v in (one.low, one.value, one.high))
    return f"{value} (95 in 100: {low} to {high})"


def _against(report: FitReport, system: System) -> Table:
    """Show what does not go with the other readings, by how much against what it may be off."""
    rows = []
    for one in report.contradictions:
        apart = abs(one.against) * one.accuracy
        less = one.against < 0.0
        rows.append(
            (
                one.where,
                one.words,
                _quantity(one.value, one, system),
                f"about {_quantity(apart, one, system, digits=2)} {'less' if less else 'more'} than the others leave",
                _quantity(one.accuracy, one, system),
            )
        )
    note = (
        "Each against a fit of all the other readings, in what it may be off by its stated accuracy: more than three "
        "times is no chance. One wrong reading can put the others in doubt as well; the worst stands first."
    )
    heads = ("where", "reading", "read", "it is", "stated accuracy")
    return Table("Readings that contradict the others", heads, tuple(rows), note, boxed=True)


def _values(report: FitReport, system: System) -> Table:
    rows = []
    for one in report.fitted:
        of = one.unknown
        told = _TOLD[one.told]
        before = units.show(of.value, of.dimension, system)
        after = units.show(one.value, of.dimension, system)
        span = f"{units.show(one.low, of.dimension, system)} to {units.show(one.high, of.dimension, system)}"
        rows.append((of.what, before, after, span, told))
    note = (
        "Determined: the readings leave a quarter of the doubt there was, or less; the new file marks it as measured. "
        "Not determined: they leave nine tenths of it or more. What lies between is told only with others."
    )
    heads = ("value", "file", "fitted", "95 in 100", "by the readings")
    return Table("What the readings make of the file", heads, tuple(rows), note)


def _together(group: tuple[str, ...]) -> str:
    names = f"{', '.join(group[:-1])} and {group[-1]}"
    return f"The readings tell {names} only together: one can go up and the other down, and no scale shows it."


def _advice(report: FitReport, system: System) -> Table:
    rows = []
    for one in report.advice:
        before, after = (units.show(v, one.of.dimension, system, digits=2) for v in (one.before, one.after))
        rows.append((one.of.what, one.how, f"within {before}", f"within {after}"))
    note = "With scales good to 1 % or 25 kg, whichever is more; 95 in 100 to either side."
    return Table("Which weighing would tell more", ("value", "weigh it", "now", "then"), tuple(rows), note)


def _readings(report: FitReport, system: System) -> Table:
    rows = tuple(
        (
            one.where,
            one.words,
            _quantity(one.value, one, system),
            _given(one.before, one, system),
            _given(one.after, one, system),
            _quantity(one.accuracy, one, system),
        )
        for one in report.readings
    )
    heads = ("where", "reading", "read", "by the file", "fitted", "may be off")
    return Table("Every reading", heads, rows, brief=False)


def _given(value: float, one: Told, system: System) -> str:
    """Give what the machine makes of a reading; of a plate's load only whether it is held: nothing above it is told."""
    return "held" if one.least and value >= one.value else _quantity(value, one, system)


def _quantity(value: float, one: Told, system: System, digits: int = 4) -> str:
    return units.show(value, one.dimension, system, digits=digits)


def _capped(value: float, one: Told) -> float:
    return min(value, one.value) if one.least else value


def fit_summary(report: FitReport, facts: Mapping[str, Any]) -> dict[str, Any]:
    """Give the fit for other programs, in SI."""
    return {
        "schema": FIT_SCHEMA,
        "title": report.title,
        "demo": bool(report.demo),
        "values": [
            {
                "key": one.unknown.name,
                "what": one.unknown.what,
                "unit": units.SI_UNIT[one.unknown.dimension],
                "file": one.unknown.value,
                "fitted": one.value,
                "low_95": one.low,
                "high_95": one.high,
                "told": one.told,
            }
            for one in report.fitted
        ],
        "told_only_together": [list(group) for group in report.together],
        "readings": [
            {
                "where": one.where,
                "reading": one.words,
                "unit": units.SI_UNIT[one.dimension],
                "read": one.value,
                "by_file": _capped(one.before, one),
                "fitted": _capped(one.after, one),
                "accuracy": one.accuracy,
                "against_the_others": one.against,
                "contradicts": one.contradicts,
                "at_least": one.least,
            }
            for one in report.readings
        ],
        "further_weighings": [
            {"key": one.of.name, "how": one.how, "within_now": one.before, "within_then": one.after}
            for one in report.advice
        ],
        "what_governs": list(report.governs),
        "estimate": wording.ESTIMATE,
        **facts,
    }
