"""A measurement beside what we compute for it, and many of a kind: how far off they lie on the mean, how they scatter.

A measurement does not agree or differ: real bodies and soils scatter. So none of this is a check that passes or fails;
our tests hold the figures as they were found, and a change of a law shows there.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from math import exp, log, nan
from statistics import fmean, pstdev
from typing import Literal

from tipline.selftest.printed import read
from tipline.selftest.sources import Definition
from tipline.selftest.used_by import UsedBy, called, used_by

__all__ = ["MeasuredKind", "Measurement", "Read", "SetBeside", "Summary", "ToldRatio"]

Read = Literal["read in the source", "read in its abstract", "read at second hand", "from memory"]


@dataclass(frozen=True)
class Measurement:
    """What was measured, as text with its unit ("1773.7 kPa"), and the call that computes it [SI]."""

    what: str
    printed: str
    ours: Callable[[], float]

    def compare(self) -> SetBeside:
        """Compute ours and set it beside."""
        printed = read(self.printed)
        ours = self.ours() / printed.unit_in_si
        return SetBeside(self.what, self.printed, ours, printed.unit, printed.low / ours)


@dataclass(frozen=True)
class ToldRatio:
    """What a source tells only as measured over computed, by a formula that is ours too."""

    what: str
    ratio: float

    def compare(self) -> SetBeside:
        """Take it as told."""
        return SetBeside(self.what, "", None, "", self.ratio)


@dataclass(frozen=True)
class SetBeside:
    """One measurement and ours, in its unit, and measured over ours; of what was only told, the ratio alone."""

    what: str
    printed: str
    ours: float | None
    unit: str
    ratio: float


@dataclass(frozen=True)
class Summary:
    """Measured over ours, of a kind: how many, their middle (geometric mean), scatter, least and most.

    scatter: standard deviation of the logarithm, nan for one alone
    """

    number: int
    middle: float
    scatter: float
    least: float
    most: float


@dataclass(frozen=True)
class MeasuredKind:
    """Measurements of one kind.

    Attributes
    ----------
    name : keys it
    title : what was measured, by whom
    sources : keys of the references
    read : how far they were read
    law : which of our laws stands beside it
    measurements : the single ones
    off : where and by how much we are off, and what would explain it; what a source says only in words
    """

    name: str
    title: str
    sources: tuple[str, ...]
    read: Read
    law: str
    measurements: tuple[Measurement | ToldRatio, ...]
    off: str

    @cached_property
    def _found(self) -> tuple[tuple[SetBeside, ...], frozenset[Definition]]:
        with called() as calls:
            rows = tuple(measurement.compare() for measurement in self.measurements)
        return rows, frozenset(calls)

    @property
    def rows(self) -> tuple[SetBeside, ...]:
        """The measurements with ours beside them."""
        return self._found[0]

    @property
    def used_by(self) -> UsedBy | None:
        """Whose answers rest on what was computed; nothing where all is only told."""
        calls = self._found[1]
        return used_by(calls) if calls else None

    @property
    def summary(self) -> Summary | None:
        """The middle and the scatter; nothing where no number is told."""
        if not self.rows:
            return None
        logs = [log(row.ratio) for row in self.rows]
        scatter = pstdev(logs) if len(logs) > 1 else nan
        return Summary(len(logs), exp(fmean(logs)), scatter, exp(min(logs)), exp(max(logs)))
