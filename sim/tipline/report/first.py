"""What a page tells first: values that are unusual, and what was not used, overridden or never met."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any, TypeAlias

from tipline.errors import InputError
from tipline.report import wording
from tipline.report.page import Page, PointList, Section
from tipline.report.terms import explained
from tipline.units import System

if TYPE_CHECKING:
    from tipline.floors.answers.report import FloorReport
    from tipline.incidents.report import IncidentReport
    from tipline.pose.assessment import PoseReport
    from tipline.runs.assessment import RunReport
    from tipline.set_ups.assessment import LoadsReport
    from tipline.slope_limits.maps import SlopeReport
    from tipline.sweeps.report import SweepReport
    from tipline.truck_fit.assessment import FitReport

    Report: TypeAlias = (
        RunReport | PoseReport | FloorReport | SlopeReport | SweepReport | LoadsReport | FitReport | IncidentReport
    )

__all__ = ["NOT_MET", "UNUSUAL", "first_on", "first_summary"]

UNUSUAL = "Unusual: is this meant?"
NOT_MET = "Not used, overridden or never met"
_IF_NOT = "What is computed below takes each of these as it stands. If one is a slip, the answer is of another truck."


def first_on(page: Page, report: Report, system: System) -> Page:
    """Give a page with these things in front, its lead made to depend on them, and its words explained."""
    sections: list[Section] = []
    lead, unusual, unmet = page.lead, report.unusual, report.not_met
    if unusual:
        sections.append(PointList(UNUSUAL, tuple(_asked(question, system) for question in unusual), _IF_NOT))
        lead += (
            ", if an unusual value is meant" if len(unusual) == 1 else f", if {len(unusual)} unusual values are meant"
        )
    if unmet:
        sections.append(PointList(NOT_MET, tuple(_said(sentence, system) for sentence in unmet)))
        lead += "; not everything that was given is used"
    return explained(replace(page, lead=lead, sections=(*sections, *page.sections)), system)


def first_summary(report: Report) -> Mapping[str, Any]:
    """Give the same for other programs, counted."""
    questions = [
        {
            "key": question.key,
            "value": question.value,
            "file": question.file,
            "line": question.line,
            "reason": question.reason,
            "remedy": question.remedy,
        }
        for question in report.unusual
    ]
    return {"unusual_count": len(questions), "unusual": questions, "not_used_or_met": list(report.not_met)}


def _asked(error: InputError, system: System) -> str:
    """Say a question with key and value as they are written."""
    reason = wording.spell(error.reason, system)
    return str(
        InputError(reason, file=error.file, line=error.line, key=error.key, value=error.value, remedy=error.remedy)
    )


def _said(text: str, system: System) -> str:
    """Say a sentence in the words of a system, keys as they are written in files."""
    return wording.spell(text, system).replace(".tire.", ".tyre.")
