"""Calculation sheet for a concrete slab on grade under a lift truck, to ACI 360R and ACI 318.

Where: scribd.com/document/626101458; modulus of rupture of 16 MPa concrete.
Key: [GradeSlabSheet]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_rupture_16(agrees: Agrees) -> None:
    """Modulus of rupture: Modulus of rupture, 16 MPa, 2.48 MPa."""
    agrees("rupture-16", "2.48 MPa")
