"""Punching shear by ACI 318, step-by-step example of a calculator.

Where: calcdomain.com/punching-shear.html; 400 x 400 mm column, d = 167 mm.
Key: [CalcdomainPunching]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_punching_perimeter_167(agrees: Agrees) -> None:
    """Step-by-step example: Perimeter b0, 400 mm column, d = 167 mm, 2268 mm."""
    agrees("punching-perimeter-167", "2268 mm")
