"""What the pages and summary.json say of weighings: first of all where scales and file do not agree."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from tipline.report.page import Section, Table
from tipline.report.wording import System, quantity

if TYPE_CHECKING:
    from tipline.pose.weighings import Weighed

__all__ = ["disagreement", "weighing_summary", "weighings"]

_NOTE = (
    "Every figure here is of the truck as its file has it. Fuel, driver and tools are told apart from an error only "
    "by size: up to 2 % or 150 kg counts as agreement (our choice)."
)


def disagreement(found: Sequence[Weighed]) -> str:
    """Give what leads the page where a weighing and the file do not agree; "" where all do."""
    wrong = [one for one in found if one.disagrees]
    if not wrong:
        return ""
    name, by = max(wrong[0].misfit.items(), key=lambda item: abs(item[1]))
    of = "in all" if name == "total" else f"on the {name}"
    way = "heavier" if by > 0.0 else "lighter"
    return f"the machine file is {quantity(abs(by), 'mass', 'si')} {way} {of} than weighed"


def weighings(found: Sequence[Weighed], system: System) -> tuple[Section, ...]:
    """Give the table of weighings."""
    if not found:
        return ()
    wrong = any(one.disagrees for one in found)
    rows = []
    for one in found:
        for name, read in one.reading.items():
            by = one.misfit[name]
            apart = f"file {quantity(abs(by), 'mass', system)} {'more' if by > 0.0 else 'less'}"
            weights = quantity(read, "mass", system), quantity(one.own[name], "mass", system)
            rows.append((one.setup, name, *weights, apart))
    title = "Scales and machine file do not agree" if wrong else "Scales and machine file agree"
    notes = " ".join(f"{one.note[:1].upper()}{one.note[1:]}." for one in found if one.note)
    remedy = "Correct masses and centres in the file, or the weighing, before you use any figure. " if wrong else ""
    heads = ("weighed", "of", "scales", "file", "difference")
    return (Table(title, heads, tuple(rows), f"{remedy}{_NOTE} {notes}".strip(), brief=wrong, boxed=wrong),)


def weighing_summary(found: Sequence[Weighed]) -> list[dict[str, Any]]:
    """Give the weighings for summary.json."""
    return [
        {
            "setup": one.setup,
            "reading_kg": dict(one.reading),
            "file_kg": dict(one.own),
            "file_more_by_kg": dict(one.misfit),
            "agrees": not one.disagrees,
            "note": one.note or None,
        }
        for one in found
    ]
