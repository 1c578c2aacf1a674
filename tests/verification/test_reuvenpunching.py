"""Punching shear by ACI 318, worked example of a calculator.

Where: reuven.tools/tools/punching-shear; 400 x 400 mm column, d = 200 mm, 30 MPa.
Key: [ReuvenPunching]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_punching_perimeter_200(agrees: Agrees) -> None:
    """Results: Perimeter b0, 400 mm column, d = 200 mm, 2400 mm."""
    agrees("punching-perimeter-200", "2400 mm")


def test_punching_stress(agrees: Agrees) -> None:
    """Results: vc, same column, 30 MPa, 1.807 MPa."""
    agrees("punching-stress", "1.807 MPa")


def test_punching_stress_phi(agrees: Agrees) -> None:
    """Results: 0.75 vc, 1.356 MPa."""
    agrees("punching-stress-phi", "1.356 MPa")


def test_punching_load_phi(agrees: Agrees) -> None:
    """Results: 0.75 Vc, 650.7 kN."""
    agrees("punching-load-phi", "650.7 kN")
