"""Published numbers: the slopes of the four stability tests."""

from __future__ import annotations

from functools import partial

from tipline.oracles.rating import slope_tests
from tipline.selftest.check import Check

__all__ = ["CHECKS"]

_FAST = 60.0 / 3.6


def _slope(rated: float, speed: float, column: int) -> float:
    return slope_tests(rated, speed)[column]


CHECKS = tuple(
    Check(
        f"test-slope-{name}",
        what,
        printed,
        "MonashForklift",
        "p. 6",
        "seen in the source",
        partial(_slope, rated, _FAST, column),
        1e-9,
    )
    for name, what, printed, rated, column in (
        ("forward-light", "Test slope forward, load high, rated 4999 kg", "4 %", 4999.0, 0),
        ("forward-heavy", "Test slope forward, load high, rated 5000 kg", "3.5 %", 5000.0, 0),
        ("travelling", "Test slope forward, load low", "18 %", 5000.0, 1),
        ("sideways", "Test slope sideways, load high", "6 %", 5000.0, 2),
        ("unladen-light", "Steepest test slope sideways, unladen, rated 4999 kg", "40 %", 4999.0, 3),
        ("unladen-heavy", "Steepest test slope sideways, unladen, rated 5000 kg", "50 %", 5000.0, 3),
    )
)
