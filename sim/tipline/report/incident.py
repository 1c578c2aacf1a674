"""The page of an incident; texts only, nothing is computed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tipline.incidents.report import NEAR_ENOUGH, Verdict, percent
from tipline.printable import setting_word, shell_word
from tipline.report import wording
from tipline.report.incident_course import AT_MOMENTS, PICTURED, happened
from tipline.report.incident_kept_up import kept_up_sections
from tipline.report.incident_summary import incident_summary
from tipline.report.incident_tried import TRIED, settings_tried, shares_tried
from tipline.report.incident_weighed import (
    factor_table,
    further_table,
    misses,
    record_table,
    robust_table,
    setting_table,
    verdict_table,
)
from tipline.report.incident_words import runs_said, upper
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
    from collections.abc import Sequence

    from tipline.incidents.report import CauseJudged, IncidentReport


__all__ = ["AT_MOMENTS", "PICTURED", "TRIED", "incident_page", "incident_summary"]

_METHOD = (
    "Each cause is run with what is not known of it drawn anew, to where truck and load come to lie. What was found "
    "then has a chance given each run, by how well it is said to be known; the chance given a cause is the mean of "
    "that over its runs.",
    f"Where fewer than {NEAR_ENOUGH:.0f} runs count as near what was found, half as many again are added, drawn about "
    "those that come nearest, in some rounds. Each run counts by how much sparser it was drawn, so that what was held "
    "before stays as it was (Cornuet and others 2012).",
    "Causes within a factor of 3 of each other, in nine in ten redraws of the runs, are told as not told apart "
    "(Kass and Raftery 1995, from memory).",
    "Nine in ten: of redraws of the runs, with the same findings. It says how well the number of runs fixes a figure, "
    "not whether ranges, records or model are right.",
    "Nine in ten of a setting: of what the runs had, as the findings weigh them, and wider the fewer are near: what "
    "was so counts as one more run beside them (Tibshirani and others 2019).",
)


def incident_page(
    report: IncidentReport, system: System = "si", drawn: Sequence[Pictures] = (), links: Links = ()
) -> Page:
    """Give the page of an incident; links: words and file of what lies beside the page."""
    fits = any(cause.verdict != Verdict.NOT for cause in report.causes)
    sections: list[Section] = [
        verdict_table(report, fits=fits),
        misses(report),
        record_table(report),
        *further([picture for picture in drawn if not picture.title.startswith((TRIED, PICTURED))]),
        *([factor_table(report)] if fits else []),
        *(setting_table(cause) for cause in report.causes if cause.verdict != Verdict.NOT),
        *(section for cause in report.causes if cause.course for section in happened(cause, drawn)),
        *(kept_up_sections(report.keeps_up, report.keeps_up_of) if report.keeps_up is not None else ()),
        *([further_table(report), robust_table(report)] if fits else []),
        shares_tried(report),
        settings_tried(report),
        *(picture for picture in drawn if picture.title == TRIED),
        PointList("Not examined", report.not_examined, "Causes of other kinds, of which the case lists none."),
        PointList("Beware", report.cautions),
        PointList("How causes are weighed", _METHOD, brief=False),
        _nearest(report),
        Table("Set in all runs", ("key", "value"), report.fixed, brief=False),
        _about(report),
        PointList(ASSUMED, tuple(text.removesuffix(", assumed") for text in report.assumed), brief=False),
        PointList("What governs", report.governs, brief=False),
    ]
    return Page(
        title=f"Incident: {report.title}",
        mark=wording.mark(
            report.demo, f"computed; {runs_said(report.causes)} runs of each cause", report.assumed_count
        ),
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
        text = f"{upper(best.what)}: it would raise the probability that the right one of these causes gets {then}."
        points.append(("What to look for next", text))
    points += [("Beware", report.cautions[0])]
    return tuple((word, wording.spell(text, system)) for word, text in points)


def _nearest(report: IncidentReport) -> Table:
    rows = tuple(
        (cause.said, f"tipline run {shell_word(cause.scenario)} {_set(cause)}".rstrip())
        for cause in report.causes
        if cause.verdict != Verdict.NOT
    )
    note = "To see it: a run of its own, with report, pictures and film."
    return Table(
        "The run of each cause that comes nearest", ("cause", "command"), rows, note if rows else "", brief=False
    )


def _set(cause: CauseJudged) -> str:
    return " ".join(f"--set {setting_word(key, value)}" for key, value in cause.changes.items())


def _about(report: IncidentReport) -> Table:
    lost = "; ".join(f"{cause.said}: {cause.lost}" for cause in report.causes if cause.lost)
    rounds = "; ".join(f"{cause.said}: {cause.rounds}" for cause in report.causes if cause.rounds)
    rows = (
        *report.names,
        ("runs of each cause", f"{runs_said(report.causes)}; the first {report.runs} over all that is not known of it"),
        ("rounds of more runs nearer to what was found", rounds or "none"),
        ("seed", str(report.seed)),
        ("runs without a result", lost or "none"),
    )
    return Table("About this case", ("what", "which"), rows, brief=False)
