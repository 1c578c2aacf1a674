"""What in this model would have kept the load up, as sections of the page of an incident."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tipline import units
from tipline.report.incident_words import counted, upper
from tipline.report.page import PointList, Section, Table

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tipline.sweeps.keeping_up import Kept, KeptUp


__all__ = ["kept_up_sections"]

KEEPS_UP = "What in this model keeps the load up"


def kept_up_sections(kept: KeptUp, cause: str) -> Iterator[Section]:
    """Yield what keeps the load up, which two do together, and what was not tried."""
    if not kept.changes:
        text = f"If {cause}: it is up as it was in {counted(kept.before)} of {kept.runs} runs; no change was sought."
        yield PointList(KEEPS_UP, (text,))
        return
    share = counted(kept.share)
    rows = tuple(
        (
            upper(change.said),
            _within(change.was, change),
            f"none, up to {_value(change, change.end)}" if change.to is None else _least(change),
            counted(change.share),
        )
        for change in kept.changes
        if not change.why_not
    )
    note = (
        f"If {cause}: in {kept.runs} of its runs ({kept.different} different), drawn as the findings weigh them, the "
        f"load is up in {counted(kept.before)} as it was. Told is the least change of one thing, all else as it was, "
        f"with which it is up in {share} of them. Up: the truck neither over nor resting on its body, mast or load, "
        "and the load not dropped. Whether plate, manual and floor allow a change is not looked at."
    )
    heads = ("single change", "as it was", "least that keeps it up", "runs with the load up")
    yield Table(KEEPS_UP, heads, rows, note if rows else "")
    pairs = tuple(
        (
            f"{upper(pair.first.said)}: {_value(pair.first, pair.to[0])}",
            f"{upper(pair.second.said)}: {_value(pair.second, pair.to[1])}",
            counted(pair.share),
        )
        for pair in kept.pairs
    )
    note = "No single one does. Both go the same part of their way; others may do so too."
    yield Table("Which two together keep it up", ("one", "and", "runs with the load up"), pairs, note if pairs else "")
    none = [f"{upper(change.said)}: {change.why_not}." for change in kept.changes if change.why_not]
    if not pairs and all(change.to is None for change in kept.changes):
        none.append("No single change and no two of them keep the load up in so many runs.")
    yield PointList("What cannot keep it up here", tuple(none), brief=False)


def _least(change: Kept) -> str:
    to = _value(change, change.to or 0.0)
    return to if change.lost_at is None else f"{to}; at {_value(change, change.lost_at)} too few are up again"


def _within(span: tuple[float, float], change: Kept) -> str:
    low, high = (_value(change, value) for value in span)
    return low if low == high else f"{low} to {high}"


def _value(change: Kept, value: float) -> str:
    return units.show(value, change.dimension) if change.dimension else f"{value:.0f}"
