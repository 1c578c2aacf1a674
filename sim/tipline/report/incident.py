"""The page of an incident and its summary; texts only, nothing is computed."""

from __future__ import annotations

from math import isnan
from typing import TYPE_CHECKING, Any

from tipline import units
from tipline.incidents.report import Verdict, percent
from tipline.report import wording
from tipline.report.page import (
    ASSUMED,
    Links,
    Page,
    Pictures,
    PointList,
    Section,
    Table,
    first_of,
    further,
)
from tipline.report.sections import spelled
from tipline.units import System

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from tipline.incidents.report import Bin, CauseJudged, IncidentReport, Ranked, SettingJudged, Step
    from tipline.sweeps.keeping_up import Kept, KeptUp

__all__ = ["AT_MOMENTS", "INCIDENT_SCHEMA", "PICTURED", "TRIED", "incident_page", "incident_summary"]

PICTURED = "The moments of it, if it was this: "
"""Begins the title of the drawings of a cause's nearest run."""
AT_MOMENTS = (
    "The run that comes nearest to what was found. In brackets: from when to when the same happens in the nearest "
    "runs. Computed, not recorded."
)
TRIED = "What was told of made-up cases, and what was so"
"""Title of the picture of the calibration."""

INCIDENT_SCHEMA = "tipline.incident/1"
KEEPS_UP = "What in this model keeps the load up"
_NOT_TOLD = "not told"
_SUITS = (
    "How well it suits: of 100 records made up from its own runs near what was found, so many lie as far from all its "
    "other runs. Below 5 it is called not consistent. Runs near it: how many count for the figures; below "
    "20 no share is told of it, nor of any other that hangs on it."
)
_METHOD = (
    "Each cause is run with what is not known of it drawn anew, to where truck and load come to lie. What was found "
    "then has a chance given each run, by how well it is said to be known; the chance given a cause is the mean of "
    "that over its runs.",
    "Causes within a factor of 3 of each other, in nine in ten redraws of the runs, are told as not told apart "
    "(Kass and Raftery 1995, from memory).",
    "Nine in ten: of redraws of the runs, with the same findings. It says how well the number of runs fixes a figure, "
    "not whether ranges, records or model are right.",
)
_PROVED = (
    "Cases were made up from the runs themselves, each with errors in its records as stated, so that their cause is "
    "known. Where 70 to 90 % was told, about so many should have had that cause."
)
_RANKED = (
    "The settings of a made-up case are known too. Where each ranks among the runs of its cause, as the records weigh "
    "them, should be anywhere alike, and in the nine in ten told 9 times in 10; fewer say that the ranges told are too "
    "narrow. Off an even spread: the greatest distance of the ranks from it (Kolmogorov), with what it stays below 19 "
    "times in 20 if they are even; among many settings one or two may lie above."
)


def incident_page(
    report: IncidentReport, system: System = "si", drawn: Sequence[Pictures] = (), links: Links = ()
) -> Page:
    """Give the page of an incident; links: words and file of what lies beside the page."""
    fits = any(cause.verdict != Verdict.NOT for cause in report.causes)
    sections: list[Section] = [
        _verdicts(report, fits=fits),
        _misses(report),
        _recorded(report),
        *further([picture for picture in drawn if not picture.title.startswith((TRIED, PICTURED))]),
        *([_factors(report)] if fits else []),
        *(_known(cause, system) for cause in report.causes if cause.verdict != Verdict.NOT),
        *(section for cause in report.causes if cause.course for section in _happened(cause, drawn)),
        *(_keeps_up(report.keeps_up, report.keeps_up_of) if report.keeps_up is not None else ()),
        *([_further(report), _robust(report)] if fits else []),
        _made_up(report),
        _made_up_settings(report),
        *(picture for picture in drawn if picture.title == TRIED),
        PointList("Not examined", report.not_examined, "Causes of other kinds, of which the case lists none."),
        PointList("Beware", report.cautions),
        PointList("How causes are weighed", _METHOD, brief=False),
        _nearest(report),
        Table("Set in all runs", ("key", "value"), report.fixed, brief=False),
        _about(report),
        PointList(ASSUMED, report.assumed, brief=False),
        PointList("What governs", report.governs, brief=False),
    ]
    return Page(
        title=f"Incident: {report.title}",
        mark=wording.mark(report.demo, f"computed; {report.runs} runs of each cause", report.assumed_count),
        lead=wording.spell(report.heading, system),
        demo=report.demo,
        sections=spelled(sections, system),
        said=_said(report, system),
        picture=first_of(drawn),
        links=links,
    )


def _said(report: IncidentReport, system: System) -> tuple[tuple[str, str], ...]:
    points = [("Asked", report.question)] if report.question else []
    points += report.points
    if report.further and any(cause.verdict != Verdict.NOT for cause in report.causes):
        best = report.further[0]
        then = f"from {percent(best.now)} to {percent(best.then)}"
        text = f"{_upper(best.what)}: it would raise the probability that the right one of these causes gets {then}."
        points.append(("What to look for next", text))
    points += [("Beware", report.cautions[0])]
    return tuple((word, wording.spell(text, system)) for word, text in points)


def _verdicts(report: IncidentReport, *, fits: bool) -> Table:
    rows = tuple(
        (
            cause.said,
            _verdict(cause),
            _counted(cause.prior),
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
        return _NOT_TOLD
    return _ranged(percent(cause.probability), *(percent(end) for end in cause.span))


def _misses(report: IncidentReport) -> PointList:
    items = tuple(f"{_upper(cause.said)}. It misses most {cause.misses}." for cause in report.causes if cause.misses)
    note = "If the cause is still thought of, look at its ranges and at how well this finding is known."
    return PointList("Why a cause is not consistent", items, note)


def _verdict(cause: CauseJudged) -> str:
    if cause.verdict == Verdict.APART:
        return f"{cause.verdict} from: {'; '.join(cause.apart_from)}"
    return cause.verdict.value


def _recorded(report: IncidentReport) -> Table:
    rows = tuple(
        (found.what, found.value, found.within, found.known or "not said", "yes" if found.used else "no")
        for found in report.recorded
    )
    heads = ("what", "recorded", "how well known", "by whom, when, how", "used")
    return Table("What was found", heads, rows, "Places and angles are against where the truck stood before.")


def _factors(report: IncidentReport) -> Table:
    rows = tuple(
        (
            factor.what,
            factor.over,
            _factor(factor.alone, factor.alone_span),
            _factor(factor.beside, factor.beside_span),
        )
        for factor in report.factors
    )
    told = [cause for cause in report.causes if not isnan(cause.probability)]
    likeliest = max(told, key=lambda cause: cause.probability).said if told else ""
    note = (
        f"By how many times each finding speaks for {likeliest}; below 1 it speaks for the other cause. Beside all "
        "others: what it adds where they may tell the same. It does not depend on what was held before."
    )
    heads = ("finding", "against", "by itself (nine in ten)", "beside all others (nine in ten)")
    return Table("What each finding does", heads, rows, note if rows else "")


def _known(cause: CauseJudged, system: System) -> Table:
    rows = tuple((known.label, _shown(known, known.likely), *_spans(known)) for known in cause.known)
    heads = ("setting", "likely", "nine in ten with what was found", "nine in ten before")
    return Table(f"If it was this: {cause.said}", heads, rows, brief=False)


def _times(step: Step) -> str:
    early, late = wording.moment(step.earliest), wording.moment(step.latest)
    if step.runs == 1:
        return ""
    return f"the same in {step.runs}" if early == late else f"{early} to {late}"


def _happened(cause: CauseJudged, drawn: Sequence[Pictures]) -> Iterator[Section]:
    yield _course(cause)
    yield from (picture for picture in drawn if picture.title == f"{PICTURED}{cause.said}")


def _course(cause: CauseJudged) -> Table:
    rows = tuple(
        (
            wording.moment(step.at),
            _times(step),
            step.what,
        )
        for step in cause.course
    )
    note = (
        "In the run that comes nearest to what was found; the range is over the "
        f"{cause.course[0].of} nearest, of those in which the same happens. Computed, not recorded."
    )
    return Table(f"What happens if it was this: {cause.said}", ("at", "range", "what"), rows, note, brief=False)


def _keeps_up(found: KeptUp, cause: str) -> Iterator[Section]:
    """Yield what keeps the load up, which two do together, and what was not tried."""
    if not found.changes:
        text = f"If {cause}: it is up as it was in {_counted(found.before)} of {found.runs} runs; no change was sought."
        yield PointList(KEEPS_UP, (text,))
        return
    asked = _counted(found.share)
    rows = tuple(
        (
            _upper(one.said),
            _within(one.was, one),
            f"none, up to {_value(one, one.end)}" if one.to is None else _least(one),
            _counted(one.share),
        )
        for one in found.changes
        if not one.why_not
    )
    note = (
        f"If {cause}: in {found.runs} of its runs ({found.different} different), drawn as the findings weigh them, the "
        f"load is up in {_counted(found.before)} as it was. Told is the least change of one thing, all else as it was, "
        f"with which it is up in {asked} of them. Up: the truck neither over nor resting on its body, mast or load, "
        "and the load not dropped. Whether plate, manual and floor allow a change is not looked at."
    )
    heads = ("single change", "as it was", "least that keeps it up", "runs with the load up")
    yield Table(KEEPS_UP, heads, rows, note if rows else "")
    pairs = tuple(
        (
            f"{_upper(pair.first.said)}: {_value(pair.first, pair.to[0])}",
            f"{_upper(pair.second.said)}: {_value(pair.second, pair.to[1])}",
            _counted(pair.share),
        )
        for pair in found.pairs
    )
    note = "No single one does. Both go the same part of their way; others may do so too."
    yield Table("Which two together keep it up", ("one", "and", "runs with the load up"), pairs, note if pairs else "")
    none = [f"{_upper(one.said)}: {one.why_not}." for one in found.changes if one.why_not]
    if not pairs and all(one.to is None for one in found.changes):
        none.append("No single change and no two of them keep the load up in so many runs.")
    yield PointList("What cannot keep it up here", tuple(none), brief=False)


def _least(one: Kept) -> str:
    to = _value(one, one.to or 0.0)
    return to if one.lost_at is None else f"{to}; at {_value(one, one.lost_at)} too few are up again"


def _within(span: tuple[float, float], one: Kept) -> str:
    low, high = (_value(one, value) for value in span)
    return low if low == high else f"{low} to {high}"


def _value(one: Kept, value: float) -> str:
    return units.show(value, one.dimension) if one.dimension else f"{value:.0f}"


def _spans(known: SettingJudged) -> tuple[str, str]:
    after, before = (f"{_shown(known, low)} to {_shown(known, high)}" for low, high in (known.after, known.before))
    return after, before


def _shown(known: SettingJudged, value: float) -> str:
    return units.show(value, known.dimension, digits=2)


def _further(report: IncidentReport) -> Table:
    rows = tuple((one.what, one.within, percent(one.now), percent(one.then)) for one in report.further)
    note = "The probability that the right one of the listed causes gets, on average over what may be found."
    heads = ("further finding", "known within", "now", "with it")
    return Table("What to look for next", heads, rows, note if rows else "")


def _robust(report: IncidentReport) -> Table:
    rows = tuple(
        (
            robust.assumed,
            *(_NOT_TOLD if isnan(share) else percent(share) for share in robust.probabilities),
            "yes" if robust.same else "no",
        )
        for robust in report.robust
    )
    heads = ("with something else assumed", *(cause.said for cause in report.causes), "same cause likeliest")
    return Table("How much hangs on what is assumed", heads, rows, brief=False)


def _made_up(report: IncidentReport) -> Table:
    calibration = report.calibration
    rows = tuple(
        (
            f"{_counted(part.low)} to {_counted(part.high)}",
            str(part.cases),
            percent(part.told),
            _counted(part.was / part.cases),
            _span(part),
        )
        for part in calibration.bins
    )
    heads = ("told of a cause", "times", "told on average", "it was that cause", "95 % interval")
    right = round(calibration.named * calibration.cases)
    named = f"The likeliest cause was the right one in {right} of {calibration.cases}."
    return Table("Tried on made-up cases", heads, rows, f"{_PROVED} {named}", brief=False)


def _made_up_settings(report: IncidentReport) -> Table:
    causes, calibration = report.causes, report.calibration
    rows = tuple(
        (
            causes[one.cause].said,
            one.label,
            f"{one.within} of {one.cases}",
            _span(one),
            f"{one.off:.2f}",
            f"{one.allowed:.2f}",
        )
        for one in calibration.ranked
    )
    heads = ("cause", "setting", "in the nine in ten told", "95 % interval", "off an even spread", "even: below")
    note = _RANKED
    if calibration.few:
        note += f" Left out: {calibration.few} of {calibration.cases} cases with too few runs near for a range."
    return Table("Settings of the made-up cases", heads, rows, note if rows else "", brief=False)


def _span(part: Bin | Ranked) -> str:
    return f"{percent(part.span[0])} to {percent(part.span[1])}"


def _nearest(report: IncidentReport) -> Table:
    rows = tuple(
        (cause.said, f"tipline run {cause.scenario} {_set(cause)}")
        for cause in report.causes
        if cause.verdict != Verdict.NOT
    )
    note = "To see it: a run of its own, with report, pictures and film."
    return Table(
        "The run of each cause that comes nearest", ("cause", "command"), rows, note if rows else "", brief=False
    )


def _set(cause: CauseJudged) -> str:
    return " ".join(f"--set '{key}={value}'" for key, value in cause.changes.items())


def _about(report: IncidentReport) -> Table:
    lost = "; ".join(f"{cause.said}: {cause.lost}" for cause in report.causes if cause.lost)
    rows = (*report.names, ("runs of each cause", str(report.runs)), ("seed", str(report.seed)),
            ("runs without a result", lost or "none"))  # fmt: skip
    return Table("About this case", ("what", "which"), rows, brief=False)


def _counted(value: float) -> str:
    """Return a share that is given or counted, not estimated."""
    return f"{100 * value:.0f} %"


def _factor(value: float, span: tuple[float, float]) -> str:
    likely, low, high = (_number(given) for given in (value, *span))
    return "tells nothing" if likely == low == high == "1" else _ranged(f"{likely} times", low, high)


def _ranged(likely: str, low: str, high: str) -> str:
    """Return a likely figure with its range, which is left out where its figures are the same."""
    return likely if low == high else f"{likely} ({low} to {high})"


def _number(value: float) -> str:
    if value > 1000.0:
        return "over 1000"
    if value < 0.001:
        return "under 0.001"
    return f"{float(f'{value:.2g}'):.0f}" if value >= 10.0 else f"{value:.2g}"


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def incident_summary(report: IncidentReport) -> dict[str, Any]:
    """Give the summary of an incident, SI values."""
    return {
        "schema": INCIDENT_SCHEMA,
        "title": report.title,
        "question": report.question,
        "demo": bool(report.demo),
        "demo_of": report.demo or None,
        "heading": report.heading,
        "runs": report.runs,
        "seed": report.seed,
        "findings": [
            {"what": one.what, "value": one.value, "known": one.within, "by": one.known, "used": one.used}
            for one in report.recorded
        ],
        "causes": [_plain_cause(cause) for cause in report.causes],
        "factors": [
            {
                "finding": one.what,
                "against": one.over,
                "by_itself": one.alone,
                "by_itself_nine_in_ten": list(one.alone_span),
                "beside_all_others": one.beside,
                "beside_all_others_nine_in_ten": list(one.beside_span),
            }
            for one in report.factors
        ],
        "robust": [
            {"assumed": one.assumed, "probabilities": _plain_shares(one.probabilities), "same": one.same}
            for one in report.robust
        ],
        "made_up_cases": {
            "cases": report.calibration.cases,
            "named_right": report.calibration.named,
            "told": [
                {"from": part.low, "to": part.high, "cases": part.cases, "mean": part.told, "was": part.was}
                for part in report.calibration.bins
            ],
            "few": report.calibration.few,
            "settings": [
                {
                    "cause": report.causes[one.cause].name,
                    "what": one.label,
                    "cases": one.cases,
                    "in_nine_in_ten": one.within,
                    "by_tenths": list(one.tenths),
                    "off_even": one.off,
                    "off_even_19_in_20": one.allowed,
                }
                for one in report.calibration.ranked
            ],
        },
        "further": [{"what": one.what, "now": one.now, "then": one.then} for one in report.further],
        "keeps_up": None if report.keeps_up is None else _plain_kept(report.keeps_up, report.keeps_up_of),
        "not_examined": list(report.not_examined),
        "cautions": list(report.cautions),
        "assumed_count": report.assumed_count,
    }


def _plain_kept(found: KeptUp, cause: str) -> dict[str, Any]:
    return {
        "if": cause,
        "share_asked": found.share,
        "runs": found.runs,
        "different_runs": found.different,
        "up_as_it_was": found.before,
        "changes": [
            {
                "what": one.name,
                "unit": units.SI_UNIT[one.dimension] if one.dimension else "",
                "was": list(one.was),
                "tried_up_to": one.end,
                "least": one.to,
                "up": one.share,
                "lost_again_at": one.lost_at,
            }
            if not one.why_not
            else {"what": one.name, "not_tried": one.why_not}
            for one in found.changes
        ],
        "pairs": [
            {"what": [pair.first.name, pair.second.name], "to": list(pair.to), "up": pair.share} for pair in found.pairs
        ],
    }


def _plain_shares(shares: Sequence[float]) -> list[float | None]:
    return [None if isnan(share) else share for share in shares]


def _plain_step(step: Step) -> dict[str, Any]:
    return {
        "at_s": step.at,
        "earliest_s": step.earliest,
        "latest_s": step.latest,
        "runs": step.runs,
        "what": step.what,
    }


def _plain_cause(cause: CauseJudged) -> dict[str, Any]:
    return {
        "name": cause.name,
        "said": cause.said,
        "kind": cause.kind,
        "verdict": cause.verdict.value,
        "not_told_apart_from": list(cause.apart_from),
        "prior": cause.prior,
        "probability": _plain_shares([cause.probability])[0],
        "nine_in_ten": _plain_shares(cause.span),
        "fit": cause.fit,
        "runs": cause.runs,
        "without_result": cause.lost,
        "near": cause.near,
        "misses": cause.misses,
        "settings": [
            {
                "what": known.label,
                "unit": units.SI_UNIT[known.dimension],
                "likely": known.likely,
                "nine_in_ten": list(known.after),
                "before": list(known.before),
            }
            for known in cause.known
        ],
        "nearest": dict(cause.changes),
        "course": [_plain_step(step) for step in cause.course],
        "moments": [{"kind": moment.kind, **_plain_step(moment.step)} for moment in cause.drawn.moments],
    }
