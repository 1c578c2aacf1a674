"""Our own checks against published and derived values: one list, one table, each a call of product code."""

from __future__ import annotations

from tipline.selftest.check import Check, Result, Status
from tipline.selftest.references import Reference, references
from tipline.selftest.registry import HEADING, all_checks, as_records, run_checks, table

__all__ = [
    "HEADING",
    "Check",
    "Reference",
    "Result",
    "Status",
    "all_checks",
    "as_records",
    "references",
    "run_checks",
    "table",
]
