"""Top-heavy cubic crate on an incline, worked problem.

Where: jiskha.com/questions/817030.
Key: [TopHeavyCrateProblem]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_top_heavy_crate(agrees: Agrees) -> None:
    """Part A: Crate of 2.5 m, centre of gravity 19 cm above its middle, tips, 41 deg."""
    agrees("top-heavy-crate", "41 deg")
