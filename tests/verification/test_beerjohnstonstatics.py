"""Vector Mechanics for Engineers: Statics.

By: F. P. Beer, E. R. Johnston.
Where: Chapter 4, problem 4.1.
Key: [BeerJohnstonStatics]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_tractor_rear_wheel(agrees: Agrees) -> None:
    """Problem 4.1: Tractor with 900 lb in the bucket, one rear wheel, 325 lbf (from memory)."""
    agrees("tractor-rear-wheel", "325 lbf")


def test_tractor_front_wheel(agrees: Agrees) -> None:
    """Problem 4.1: Tractor with 900 lb in the bucket, one front wheel, 1175 lbf (from memory)."""
    agrees("tractor-front-wheel", "1175 lbf")
