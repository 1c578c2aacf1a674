"""Worked footings on sand, 123 pcf, 31 degrees, examples 6.4 and 4-2.

Where: scribd.com/document/247945153.
Key: [FootingExamples]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_footing_square_terzaghi(agrees: Agrees) -> None:
    """Example 6.4: Footing 3 x 3 ft at 2 ft in sand of 31 degrees, Terzaghi, 9,720 psf."""
    agrees("footing-square-terzaghi", "9,720 psf")


def test_footing_rectangle_meyerhof(agrees: Agrees) -> None:
    """Example 4-2: Footing 3 x 4.16 ft at 2 ft in the same sand, Meyerhof, 11,642 psf."""
    agrees("footing-rectangle-meyerhof", "11,642 psf")
