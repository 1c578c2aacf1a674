"""What was told of made-up cases of an incident beside what was so, as tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tipline.incidents.report import percent
from tipline.report.incident_words import counted
from tipline.report.page import Table

if TYPE_CHECKING:
    from tipline.incidents.report import Bin, IncidentReport, Ranked


__all__ = ["TRIED", "settings_tried", "shares_tried"]

TRIED = "What was told of made-up cases, and what was so"
"""Title of the picture of the calibration."""
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


def shares_tried(report: IncidentReport) -> Table:
    """Give the probabilities that made-up cases were told, beside how often it was so."""
    calibration = report.calibration
    rows = tuple(
        (
            f"{counted(part.low)} to {counted(part.high)}",
            str(part.cases),
            percent(part.told),
            counted(part.was / part.cases),
            _span(part),
        )
        for part in calibration.bins
    )
    heads = ("told of a cause", "times", "told on average", "it was that cause", "95 % interval")
    right = round(calibration.named * calibration.cases)
    named = f"The likeliest cause was the right one in {right} of {calibration.cases}."
    return Table("Tried on made-up cases", heads, rows, f"{_PROVED} {named}", brief=False)


def settings_tried(report: IncidentReport) -> Table:
    """Give how often the settings of made-up cases lay in what was told of them."""
    causes, calibration = report.causes, report.calibration
    rows = tuple(
        (
            causes[setting.cause].said,
            setting.label,
            f"{setting.within} of {setting.cases}",
            _span(setting),
            f"{setting.off:.2f}",
            f"{setting.allowed:.2f}",
        )
        for setting in calibration.ranked
    )
    heads = ("cause", "setting", "in the nine in ten told", "95 % interval", "off an even spread", "even: below")
    note = _RANKED
    if calibration.few:
        note += f" Left out: {calibration.few} of {calibration.cases} cases with too few runs near for a range."
    return Table("Settings of the made-up cases", heads, rows, note if rows else "", brief=False)


def _span(part: Bin | Ranked) -> str:
    return f"{percent(part.span[0])} to {percent(part.span[1])}"
