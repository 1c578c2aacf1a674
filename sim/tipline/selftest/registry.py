"""The list of all checks, their run and their table."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from tipline.selftest import (
    derived_dynamics,
    derived_rating,
    derived_statics,
    derived_tipping,
    ground_covers,
    ground_layers,
    ground_plate,
    ground_slab,
    ground_soil,
    ground_spreaders,
    ground_strength,
    pendulum_engine,
    published_dynamics,
    published_mast,
    published_rating,
    published_statics,
    published_tipping,
    rocking_engine,
    shipped_trucks,
)
from tipline.selftest.check import Check, Result
from tipline.selftest.printed import digits_like
from tipline.selftest.references import references

__all__ = ["HEADING", "all_checks", "as_records", "run_checks", "table"]

HEADING = "These say the formulas are coded right; nothing about your truck, load or floor."

# A new theme is a module with a tuple CHECKS, added here by name.
_THEMES = (
    published_statics,
    published_tipping,
    published_dynamics,
    published_mast,
    published_rating,
    derived_statics,
    derived_tipping,
    derived_dynamics,
    derived_rating,
    pendulum_engine,
    rocking_engine,
    ground_slab,
    ground_strength,
    ground_spreaders,
    ground_plate,
    ground_layers,
    ground_soil,
    ground_covers,
    shipped_trucks,
)


def all_checks() -> tuple[Check, ...]:
    """Give every check, in the order of the themes; raise ValueError if two share a name or a source is not listed."""
    checks = tuple(check for theme in _THEMES for check in theme.CHECKS)
    twice = [name for name, count in Counter(check.name for check in checks).items() if count > 1]
    unknown = sorted({check.source for check in checks} - references().keys())
    if twice or unknown:
        msg = f"checks of one name: {twice}; sources not in references.toml: {unknown}"
        raise ValueError(msg)
    return checks


def run_checks(checks: Iterable[Check] | None = None) -> list[Result]:
    """Compute all checks, or those given."""
    return [check.run() for check in (all_checks() if checks is None else checks)]


def as_records(results: Iterable[Result]) -> list[dict[str, object]]:
    """Give the results as plain records for JSON."""
    listed = references()
    return [
        {
            "name": result.check.name,
            "what": result.check.what,
            "computed": result.computed if not result.failure else None,
            "printed": result.check.printed,
            "unit": result.check.expected.unit,
            "difference": result.difference if not result.failure else None,
            "tolerance": result.tolerance,
            "why_wider": result.check.why_wider,
            "passed": result.passed,
            "failure": result.failure,
            "source": listed[result.check.source].title,
            "place": result.check.place,
            "status": result.check.status,
        }
        for result in results
    ]


def table(results: Iterable[Result]) -> str:
    """Write the results as one table of text, heading and count by status included."""
    rows = list(results)
    head = ("check", "computed", "printed", "difference", "", "status", "source")
    cells = [head] + [_cells(result) for result in rows]
    widths = [max(len(row[column]) for row in cells) for column in range(len(head) - 1)]
    lines = ["  ".join([*(c.ljust(w) for c, w in zip(row, widths, strict=False)), row[-1]]).rstrip() for row in cells]
    return "\n".join([HEADING, "", *lines, "", _count(rows)])


def _cells(result: Result) -> tuple[str, ...]:
    check = result.check
    computed = "failed" if result.failure else f"{digits_like(result.computed, check.printed)} {check.expected.unit}"
    source = f"{references()[check.source].title}; {check.place}" if check.place else references()[check.source].title
    note = f" ({result.failure})" if result.failure else f" (tolerance {result.tolerance:g}: {check.why_wider})"
    return (
        check.what,
        computed.strip(),
        check.printed,
        "" if result.failure else _difference(result),
        "ok" if result.passed else "DIFFERS",
        check.status,
        source + (note if result.failure or check.why_wider else ""),
    )


def _difference(result: Result) -> str:
    """Write the difference, rounding noise as 0."""
    return "0" if abs(result.difference) <= 1e-9 * max(1.0, abs(result.computed)) else f"{result.difference:+.2g}"


def _count(rows: list[Result]) -> str:
    by_status = Counter(result.check.status for result in rows)
    kinds = ", ".join(f"{count} {status}" for status, count in by_status.items())
    return f"{sum(result.passed for result in rows)} of {len(rows)} agree ({kinds})."
