"""The list of all checks, their run and their records."""

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
    mast,
    pendulum_engine,
    published_dynamics,
    published_statics,
    published_tipping,
    rocking_engine,
    shipped_trucks,
    textbook_trucks,
)
from tipline.selftest.check import Check, Result
from tipline.selftest.references import references

__all__ = ["THEMES", "all_checks", "as_records", "run_checks"]

# A new theme is a module with a tuple CHECKS, added here by name.
THEMES = (
    published_statics,
    published_tipping,
    published_dynamics,
    derived_statics,
    derived_tipping,
    derived_dynamics,
    derived_rating,
    mast,
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
    textbook_trucks,
)


def all_checks() -> tuple[Check, ...]:
    """Give every check, in the order of the themes; raise ValueError if two share a name or a source is not listed."""
    checks = tuple(check for theme in THEMES for check in theme.CHECKS)
    twice = [name for name, count in Counter(check.name for check in checks).items() if count > 1]
    unknown = sorted({check.source for check in checks} - references().keys())
    if twice or unknown:
        msg = f"checks of one name: {twice}; sources not in references.toml: {unknown}"
        raise ValueError(msg)
    return checks


def run_checks(checks: Iterable[Check] | None = None) -> list[Result]:
    """Compute all checks, or those given.

    Examples
    --------
    >>> import tipline
    >>> from tipline.selftest import all_checks
    >>> [result.passed for result in tipline.self_test(all_checks()[:2])]
    [True, True]
    """
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
            "used_by": list(result.used_by.commands) if not result.used_by.oracle else [],
            "oracle": result.used_by.oracle,
            "met_by": list(result.used_by.tests),
        }
        for result in results
    ]
