"""What findings say of the causes of an incident, as tables; nothing is computed."""

from __future__ import annotations

from math import isnan
from typing import TYPE_CHECKING

from tipline import units
from tipline.incidents.report import Verdict, percent
from tipline.report.incident_words import NOT_TOLD, counted, factor_said, ranged, upper
from tipline.report.page import PointList, Table

if TYPE_CHECKING:
    from tipline.incidents.report import CauseJudged, IncidentReport, SettingJudged


__all__ = [
    "factor_table",
    "further_table",
    "misses",
    "record_table",
    "robust_table",
    "setting_table",
    "verdict_table",
]

_SUITS = (
    "How well it suits: of 100 records made up from its own runs near what was found, so many lie as far from all its "
    "other runs. Below 5 it is called not consistent. Runs near it: how many count for the figures; below "
    "20 no share is told of it, nor of any other that hangs on it."
)


def verdict_table(report: IncidentReport, *, fits: bool) -> Table:
    """Give what can be said of each cause; fits : whether any suits what was found."""
    rows = tuple(
        (
            cause.said,
            _verdict(cause),
            counted(cause.prior),
            _share(cause) if fits else "none fits",
            f"{100 * cause.fit:.0f} of 100",
            f"{cause.near:.0f} of {cause.runs}",
        )
        for cause in report.causes
    )
    heads = (
        "cause",
        "what can be said",
        "held before",
        "with what was found (nine in ten)",
        "how well it suits",
        "runs near it",
    )
    return Table("The causes listed", heads, rows, _SUITS)


def _share(cause: CauseJudged) -> str:
    if isnan(cause.probability):
        return NOT_TOLD
    return ranged(percent(cause.probability), *(percent(end) for end in cause.span))


def misses(report: IncidentReport) -> PointList:
    """Give what the nearest run of each cause misses that is not consistent."""
    items = tuple(f"{upper(cause.said)}. It misses most {cause.misses}." for cause in report.causes if cause.misses)
    note = "If the cause is still thought of, look at its ranges and at how well this finding is known."
    return PointList("Why a cause is not consistent", items, note)


def _verdict(cause: CauseJudged) -> str:
    if cause.verdict == Verdict.APART:
        return f"{cause.verdict} from: {'; '.join(cause.apart_from)}"
    return cause.verdict.value


def record_table(report: IncidentReport) -> Table:
    """Give what was found, with who says so and how well it is known."""
    rows = tuple(
        (record.what, record.value, record.within, record.known or "not said", "yes" if record.used else "no")
        for record in report.recorded
    )
    heads = ("what", "recorded", "how well known", "by whom, when, how", "used")
    return Table("What was found", heads, rows, "Places and angles are against where the truck stood before.")


def factor_table(report: IncidentReport) -> Table:
    """Give by what factor each finding speaks for the likeliest cause."""
    rows = tuple(
        (
            factor.what,
            factor.over,
            factor_said(factor.alone, factor.alone_span),
            factor_said(factor.beside, factor.beside_span),
        )
        for factor in report.factors
    )
    shared = [cause for cause in report.causes if not isnan(cause.probability)]
    likeliest = max(shared, key=lambda cause: cause.probability).said if shared else ""
    note = (
        f"By how many times each finding speaks for {likeliest}; below 1 it speaks for the other cause. Beside all "
        "others: what it adds where they may tell the same. It does not depend on what was held before."
    )
    heads = ("finding", "against", "by itself (nine in ten)", "beside all others (nine in ten)")
    return Table("What each finding does", heads, rows, note if rows else "")


def setting_table(cause: CauseJudged) -> Table:
    """Give what the findings say of the settings of a cause."""
    rows = tuple((known.label, _shown(known, known.likely), *_spans(known)) for known in cause.known)
    heads = ("setting", "likely", "nine in ten with what was found", "nine in ten before")
    return Table(f"If it was this: {cause.said}", heads, rows, brief=False)


def _spans(known: SettingJudged) -> tuple[str, str]:
    after, before = (f"{_shown(known, low)} to {_shown(known, high)}" for low, high in (known.after, known.before))
    return after, before


def _shown(known: SettingJudged, value: float) -> str:
    return units.show(value, known.dimension, digits=2)


def further_table(report: IncidentReport) -> Table:
    """Give the further findings that would tell most."""
    rows = tuple(
        (finding.what, finding.within, percent(finding.now), percent(finding.then)) for finding in report.further
    )
    note = "The probability that the right one of the listed causes gets, on average over what may be found."
    heads = ("further finding", "known within", "now", "with it")
    return Table("What to look for next", heads, rows, note if rows else "")


def robust_table(report: IncidentReport) -> Table:
    """Give the shares with something else assumed."""
    rows = tuple(
        (
            robust.assumed,
            *(NOT_TOLD if isnan(share) else percent(share) for share in robust.probabilities),
            "yes" if robust.same else "no",
        )
        for robust in report.robust
    )
    heads = ("with something else assumed", *(cause.said for cause in report.causes), "same cause likeliest")
    return Table("How much hangs on what is assumed", heads, rows, brief=False)
