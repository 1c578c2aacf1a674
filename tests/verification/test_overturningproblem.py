"""Wheeled vehicle on a circular track, overturns or slides, worked problem.

Where: clay6.com/qa/52661.
Key: [OverturningProblem]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_turn_overturns(agrees: Agrees) -> None:
    """Vehicle on a 50 m track, speed at which it overturns, 24.76 m/s."""
    agrees("turn-overturns", "24.76 m/s")


def test_turn_slides(agrees: Agrees) -> None:
    """Same vehicle, speed at which it slides first, 14 m/s."""
    agrees("turn-slides", "14 m/s")
