"""Concrete beam test, modulus of rupture by code and by experiment, worked problem.

Where: homeworksource.com/p/1050338, part 2.
Key: [RuptureProblem]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_rupture_3569(agrees: Agrees) -> None:
    """Part 2: Modulus of rupture, 3569 psi, 448 psi."""
    agrees("rupture-3569", "448 psi")
