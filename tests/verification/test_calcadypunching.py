"""Punching shear calculator, worked example.

Where: calcady.com, two-way shear of a 12 in column, d = 6 in.
Key: [CalcadyPunching]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_punching_us_perimeter(agrees: Agrees) -> None:
    """Example: Perimeter b0, 12 in column, d = 6 in, 72 in."""
    agrees("punching-us-perimeter", "72 in")


def test_punching_us(agrees: Agrees) -> None:
    """Example: Vc, same column, 4000 psi, 109.3 kip."""
    agrees("punching-us", "109.3 kip")


def test_punching_us_phi(agrees: Agrees) -> None:
    """Example: 0.75 Vc, 82.0 kip."""
    agrees("punching-us-phi", "82.0 kip")
