"""The page of a machine fitted to its weighings, and its summary; texts only, nothing is computed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from tipline import units
from tipline.report import wording
from tipline.report.page import Page, Picture, PointList, Section, Table
from tipline.report.sections import captioned, spelled
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


def fit_page(report: FitReport, system: System = "si", written: str = "", picture: Picture | None = None) -> Page:
    """Give the page of a fit; `written` names the file that holds it, `picture` shows what is left of each range."""
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
        said=tuple((word, wording.spell(text, system)) for word, text in _said(report, system, written) if text),
        picture=captioned(picture, system),
    )


def _lead(report: FitReport) -> str:
    if report.contradictions:
        worst = report.contradictions[0]
        return f"readings contradict each other, most of all the {worst.words} ({worst.where})"
    known = sum(fitted.told == "yes" for fitted in report.fitted)
    of = f"of {len(report.fitted)} values"
    return f"the readings agree with one another; they determine {known} {of}"


def _said(report: FitReport, system: System, written: str) -> tuple[tuple[str, str], ...]:
    moved = [fitted for fitted in report.fitted if fitted.told != "no"]
    sentences = []
    if moved:
        most = max(moved, key=lambda fitted: abs(fitted.value - fitted.unknown.value) / fitted.unknown.spread)
        sentences.append(("Most changed", f"{_sentence(most, system)}."))
    if report.advice:
        best = report.advice[0]
        before, after = (units.show(v, best.of.dimension, system, digits=2) for v in (best.before, best.after))
        sentences.append(
            (
                "What would tell more",
                f"Weigh it {best.how}: the {best.of.what} would be known within {after}, not {before}.",
            )
        )
    if written:
        sentences.append(
            (
                "New file",
                f"{written}: comments kept, fitted values with their range; what is determined is marked as measured.",
            )
        )
    return tuple(sentences)


def _sentence(fitted: Fitted, system: System) -> str:
    of = fitted.unknown
    before, value = (units.show(v, of.dimension, system) for v in (of.value, fitted.value))
    span = units.show_span(fitted.low, fitted.high, of.dimension, system)
    return f"The {of.what} is {value} (95 in 100: {span}); the file had {before}"


def _against(report: FitReport, system: System) -> Table:
    """Show what does not go with the other readings, by how much against what it may be off."""
    rows = []
    for reading in report.contradictions:
        apart = abs(reading.against) * reading.accuracy
        less = reading.against < 0.0
        rows.append(
            (
                reading.where,
                reading.words,
                _quantity(reading.value, reading, system),
                f"about {_quantity(apart, reading, system, digits=2)} {'less' if less else 'more'} than the others "
                "leave",
                _quantity(reading.accuracy, reading, system),
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
    for fitted in report.fitted:
        of = fitted.unknown
        how_told = _TOLD[fitted.told]
        before = units.show(of.value, of.dimension, system)
        after = units.show(fitted.value, of.dimension, system)
        span = units.show_span(fitted.low, fitted.high, of.dimension, system)
        rows.append((of.what, before, after, span, how_told))
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
    for advice in report.advice:
        before, after = (units.show(v, advice.of.dimension, system, digits=2) for v in (advice.before, advice.after))
        rows.append((advice.of.what, advice.how, f"within {before}", f"within {after}"))
    note = "With scales good to 1 % or 25 kg, whichever is more; 95 in 100 to either side."
    return Table("Which weighing would tell more", ("value", "weigh it", "now", "then"), tuple(rows), note)


def _readings(report: FitReport, system: System) -> Table:
    rows = tuple(
        (
            reading.where,
            reading.words,
            _quantity(reading.value, reading, system),
            _given(reading.before, reading, system),
            _given(reading.after, reading, system),
            _quantity(reading.accuracy, reading, system),
        )
        for reading in report.readings
    )
    heads = ("where", "reading", "read", "by the file", "fitted", "may be off")
    return Table("Every reading", heads, rows, brief=False)


def _given(value: float, reading: Told, system: System) -> str:
    """Give what the machine makes of a reading; of a plate's load only whether it is held: nothing above it is told."""
    return "held" if reading.least and value >= reading.value else _quantity(value, reading, system)


def _quantity(value: float, reading: Told, system: System, digits: int = 4) -> str:
    return units.show(value, reading.dimension, system, digits=digits)


def _capped(value: float, reading: Told) -> float:
    return min(value, reading.value) if reading.least else value


def fit_summary(report: FitReport, facts: Mapping[str, Any]) -> dict[str, Any]:
    """Give the fit for other programs, in SI."""
    return {
        "schema": FIT_SCHEMA,
        "title": report.title,
        "demo": bool(report.demo),
        "values": [
            {
                "key": fitted.unknown.name,
                "what": fitted.unknown.what,
                "unit": units.SI_UNIT[fitted.unknown.dimension],
                "file": fitted.unknown.value,
                "fitted": fitted.value,
                "low_95": fitted.low,
                "high_95": fitted.high,
                "told": fitted.told,
            }
            for fitted in report.fitted
        ],
        "told_only_together": [list(group) for group in report.together],
        "readings": [
            {
                "where": reading.where,
                "reading": reading.words,
                "unit": units.SI_UNIT[reading.dimension],
                "read": reading.value,
                "by_file": _capped(reading.before, reading),
                "fitted": _capped(reading.after, reading),
                "accuracy": reading.accuracy,
                "against_the_others": reading.against,
                "contradicts": reading.contradicts,
                "at_least": reading.least,
            }
            for reading in report.readings
        ],
        "further_weighings": [
            {"key": advice.of.name, "how": advice.how, "within_now": advice.before, "within_then": advice.after}
            for advice in report.advice
        ],
        "what_governs": list(report.governs),
        "estimate": wording.ESTIMATE,
        **facts,
    }
