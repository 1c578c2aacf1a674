"""One check: a number as printed, its source and status, and the call of product code that must give it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from tipline.errors import TiplineError
from tipline.selftest.printed import Printed, read
from tipline.selftest.sources import Definition
from tipline.selftest.used_by import UsedBy, called, used_by

__all__ = ["Check", "Result", "Status", "derived"]

Status = Literal["seen in the source", "from memory", "common practice, no source", "derived here"]
_SLACK = 1e-9


@dataclass(frozen=True)
class Check:
    """A number with its source, and the product code that computes it.

    `printed` is number and unit as text ("72,000 in lbf", "87 to 94 %"); `call` returns SI units. The tolerance is
    half a unit of the last printed digit; another one is given in the printed unit, and a wider one says why.
    """

    name: str
    what: str
    printed: str
    source: str
    place: str
    status: Status
    call: Callable[[], float]
    tolerance: float | None = None
    why_wider: str = ""

    def __post_init__(self) -> None:
        expected = read(self.printed)
        if self.tolerance is not None and self.tolerance > expected.half_digit and not self.why_wider:
            msg = f"check {self.name}: a tolerance wider than half the last digit must say why"
            raise ValueError(msg)

    @property
    def expected(self) -> Printed:
        """The printed text as numbers."""
        return read(self.printed)

    def run(self) -> Result:
        """Compute it and compare."""
        expected = self.expected
        with called() as calls:
            try:
                value, failure = float(self.call()) / expected.unit_in_si, ""
            except (ValueError, ArithmeticError, TiplineError) as error:
                value, failure = math.nan, str(error)
        tolerance = expected.half_digit if self.tolerance is None else self.tolerance
        difference = value - min(max(value, expected.low), expected.high)
        passed = abs(difference) <= tolerance * (1.0 + _SLACK)
        return Result(self, value, difference, tolerance, passed, failure, frozenset(calls))


@dataclass(frozen=True)
class Result:
    """What a check gave, in the printed unit; the difference from a printed range is taken to its nearer end.

    `called`: what of the program it called itself.
    """

    check: Check
    computed: float
    difference: float
    tolerance: float
    passed: bool
    failure: str = ""
    called: frozenset[Definition] = frozenset()

    @cached_property
    def used_by(self) -> UsedBy:
        """Whose answers rest on it."""
        return used_by(self.called)


def derived(
    name: str, what: str, printed: str, call: Callable[[], float], source: str = "Own", place: str = ""
) -> Check:
    """Return a check of a number that was worked out here by another way, from a source's formula or our own."""
    return Check(name, what, printed, source, place, "derived here", call)
