"""How to read forklift tire sizes.

Where: forklifttire.com/articles/how-to-read-forklift-tire-sizes, three-number format.
Key: [TyreMarkingsGuide]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_marking_diameter(agrees: Agrees) -> None:
    """Three-number format: Outer diameter of a tyre marked 28x9-15, 28 in."""
    agrees("marking-diameter", "28 in")


def test_marking_rim(agrees: Agrees) -> None:
    """Three-number format: Rim of a tyre marked 28x9-15, 15 in."""
    agrees("marking-rim", "15 in")
