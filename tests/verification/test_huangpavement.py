"""Pavement Analysis and Design, chapter 4.

By: Y. H. Huang.
Where: Input set seen as an exercise at transtutors.com q.5540967; answers from memory.
Key: [HuangPavement]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_stiffness_radius(agrees: Agrees) -> None:
    """10 in slab, 10,000 lbf on a circle of 6 in radius: Radius of relative stiffness, 42.97 in."""
    agrees("stiffness-radius", "42.97 in")


def test_resisting_radius(agrees: Agrees) -> None:
    """10 in slab, 10,000 lbf on a circle of 6 in radius: Radius of the special theory, 5.804 in."""
    agrees("resisting-radius", "5.804 in")


def test_interior_stress(agrees: Agrees) -> None:
    """10 in slab, 10,000 lbf on a circle of 6 in radius: Tyre inside the slab, stress, 143.7 psi."""
    agrees("interior-stress", "143.7 psi")


def test_interior_deflection(agrees: Agrees) -> None:
    """10 in slab, 10,000 lbf on a circle of 6 in radius: Tyre inside the slab, deflection, 0.0067 in."""
    agrees("interior-deflection", "0.0067 in")


def test_edge_stress(agrees: Agrees) -> None:
    """10 in slab, 10,000 lbf on a circle of 6 in radius: Tyre at the edge, stress, 279.4 psi."""
    agrees("edge-stress", "279.4 psi")


def test_edge_deflection(agrees: Agrees) -> None:
    """10 in slab, 10,000 lbf on a circle of 6 in radius: Tyre at the edge, deflection, 0.0207 in."""
    agrees("edge-deflection", "0.0207 in")


def test_corner_stress(agrees: Agrees) -> None:
    """10 in slab, 10,000 lbf on a circle of 6 in radius: Tyre at the corner, stress, 1926, 186.6 psi."""
    agrees("corner-stress", "186.6 psi")


def test_corner_deflection(agrees: Agrees) -> None:
    """10 in slab, 10,000 lbf on a circle of 6 in radius: Tyre at the corner, deflection, 1926, 0.0502 in."""
    agrees("corner-deflection", "0.0502 in")


def test_twin_radius(agrees: Agrees) -> None:
    """Circle for twins of 5000 lbf at 88.42 psi, 14 in apart, 7.85 in."""
    agrees("twin-radius", "7.85 in")
