"""What the pages and summary.json say of weighings: first of all where scales and file do not agree."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from tipline.report.page import Section, Table
from tipline.report.wording import quantity
from tipline.units import System

if TYPE_CHECKING:
    from tipline.pose.weighings import Weighed

__all__ = ["disagreement", "weighing_summary", "weighings"]

_NOTE = (
    "Every figure here is of the truck as its file has it. Fuel, driver and tools are told apart from an error only "
    "by size: up to 2 % or 150 kg counts as agreement (our choice)."
)


def disagreement(comparisons: Sequence[Weighed]) -> str:
    """Give what leads the page where a weighing and the file do not agree; "" where all do."""
    wrong = [comparison for comparison in comparisons if comparison.disagrees]
    if not wrong:
        return ""
    name, by = max(wrong[0].misfit.items(), key=lambda item: abs(item[1]))
    of = "in all" if name == "total" else f"on the {name}"
    way = "heavier" if by > 0.0 else "lighter"
    return f"the machine file is {quantity(abs(by), 'mass', 'si')} {way} {of} than weighed"


def weighings(comparisons: Sequence[Weighed], system: System) -> tuple[Section, ...]:
    """Give the table of weighings."""
    if not comparisons:
        return ()
    wrong = any(comparison.disagrees for comparison in comparisons)
    rows = []
    for comparison in comparisons:
        for name, read in comparison.reading.items():
            by = comparison.misfit[name]
            apart = f"file {quantity(abs(by), 'mass', system)} {'more' if by > 0.0 else 'less'}"
            weights = quantity(read, "mass", system), quantity(comparison.own[name], "mass", system)
            rows.append((comparison.setup, name, *weights, apart))
    title = "Scales and machine file do not agree" if wrong else "Scales and machine file agree"
    notes = " ".join(
        f"{comparison.note[:1].upper()}{comparison.note[1:]}." for comparison in comparisons if comparison.note
    )
    remedy = "Correct masses and centres in the file, or the weighing, before you use any figure. " if wrong else ""
    heads = ("weighed", "of", "scales", "file", "difference")
    return (Table(title, heads, tuple(rows), f"{remedy}{_NOTE} {notes}".strip(), brief=wrong, boxed=wrong),)


def weighing_summary(comparisons: Sequence[Weighed]) -> list[dict[str, Any]]:
    """Give the weighings for summary.json."""
    return [
        {
            "setup": comparison.setup,
            "reading_kg": dict(comparison.reading),
            "file_kg": dict(comparison.own),
            "file_more_by_kg": dict(comparison.misfit),
            "agrees": not comparison.disagrees,
            "note": comparison.note or None,
        }
        for comparison in comparisons
    ]
