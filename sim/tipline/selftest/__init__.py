"""Our own checks against published and derived values: one list, one table, each a call of product code."""

from __future__ import annotations

from tipline.selftest.check import Check, Result, Status
from tipline.selftest.page import HEADING, recorded_table, table
from tipline.selftest.references import Reference, references
from tipline.selftest.registry import all_checks, as_records, run_checks
from tipline.selftest.second_library import RECORDED, Recorded, recorded

__all__ = [
    "HEADING",
    "RECORDED",
    "Check",
    "Recorded",
    "Reference",
    "Result",
    "Status",
    "all_checks",
    "as_records",
    "recorded",
    "recorded_table",
    "references",
    "run_checks",
    "table",
]
