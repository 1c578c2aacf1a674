"""All kinds of measurements, and their records for other programs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict

from tipline.selftest.measured import bodies, footings, punched, slabs
from tipline.selftest.measured.comparison import MeasuredKind
from tipline.selftest.references import references

__all__ = ["KINDS", "as_records"]

# A new theme is a module with a tuple KINDS, added here by name.
KINDS: tuple[MeasuredKind, ...] = tuple(kind for theme in (bodies, footings, punched, slabs) for kind in theme.KINDS)


def as_records(kinds: Iterable[MeasuredKind] = KINDS) -> list[dict[str, object]]:
    """Give them as plain records for JSON, every measurement with ours beside it."""
    return [_record(kind) for kind in kinds]


def _record(kind: MeasuredKind) -> dict[str, object]:
    summary = kind.summary
    figures = asdict(summary) if summary else None
    if figures is not None and summary is not None and summary.number == 1:
        figures["scatter"] = None
    return {
        "name": kind.name,
        "title": kind.title,
        "sources": [references()[key].title for key in kind.sources],
        "read": kind.read,
        "law": kind.law,
        "measured_over_ours": figures,
        "off": kind.off,
        "used_by": list(kind.used_by.commands) if kind.used_by else [],
        "oracle": bool(kind.used_by and kind.used_by.oracle),
        "measurements": [
            {
                "what": row.what,
                "measured": row.printed or None,
                "ours": row.ours,
                "unit": row.unit,
                "measured_over_ours": row.ratio,
            }
            for row in kind.rows
        ],
    }
