"""Measured by others: published tests of real bodies, floors and soils beside what this program computes for them."""

from __future__ import annotations

from tipline.selftest.measured.comparison import MeasuredKind, Measurement, SetBeside, Summary, ToldRatio
from tipline.selftest.measured.listed import KINDS, as_records
from tipline.selftest.measured.page import HEADING, measured_table

__all__ = [
    "HEADING",
    "KINDS",
    "MeasuredKind",
    "Measurement",
    "SetBeside",
    "Summary",
    "ToldRatio",
    "as_records",
    "measured_table",
]
