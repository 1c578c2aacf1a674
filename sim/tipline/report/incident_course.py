"""What happens in the nearest runs of a cause of an incident: its table, and the drawings of its moments."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tipline.report import wording
from tipline.report.page import Pictures, Section, Table

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from tipline.incidents.report import CauseJudged, Step


__all__ = ["AT_MOMENTS", "PICTURED", "happened"]

PICTURED = "The moments of it, if it was this: "
"""Begins the title of the drawings of a cause's nearest run."""
AT_MOMENTS = (
    "The run that comes nearest to what was found. In brackets: from when to when the same happens in the nearest "
    "runs. Computed, not recorded."
)


def _times(step: Step) -> str:
    early, late = wording.moment(step.earliest), wording.moment(step.latest)
    if step.runs == 1:
        return ""
    return f"the same in {step.runs}" if early == late else f"{early} to {late}"


def happened(cause: CauseJudged, drawn: Sequence[Pictures]) -> Iterator[Section]:
    """Yield the course of events in the nearest run of a cause, and what is drawn of it."""
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
