"""Influence values below the corner of a loaded rectangle, table P20.27 of a textbook of numerical methods.

Where: transtutors.com, question 684586.
Key: [CornerTableProblem]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_corner_1_12(agrees: Agrees) -> None:
    """Table P20.27: Stress below the corner of a rectangle, m = 0.1, n = 1.2, 0.02926."""
    agrees("corner-1-12", "0.02926")


def test_corner_2_14(agrees: Agrees) -> None:
    """Table P20.27: Stress below the corner of a rectangle, m = 0.2, n = 1.4, 0.05894."""
    agrees("corner-2-14", "0.05894")


def test_corner_3_16(agrees: Agrees) -> None:
    """Table P20.27: Stress below the corner of a rectangle, m = 0.3, n = 1.6, 0.08709."""
    agrees("corner-3-16", "0.08709")


def test_corner_4_12(agrees: Agrees) -> None:
    """Table P20.27: Stress below the corner of a rectangle, m = 0.4, n = 1.2, 0.10631."""
    agrees("corner-4-12", "0.10631")


def test_corner_5_14(agrees: Agrees) -> None:
    """Table P20.27: Stress below the corner of a rectangle, m = 0.5, n = 1.4, 0.13003."""
    agrees("corner-5-14", "0.13003")


def test_corner_6_16(agrees: Agrees) -> None:
    """Table P20.27: Stress below the corner of a rectangle, m = 0.6, n = 1.6, 0.15027."""
    agrees("corner-6-16", "0.15027")


def test_corner_7_16(agrees: Agrees) -> None:
    """Table P20.27: Stress below the corner of a rectangle, m = 0.7, n = 1.6, 0.16515."""
    agrees("corner-7-16", "0.16515")


def test_corner_8_14(agrees: Agrees) -> None:
    """Table P20.27: Stress below the corner of a rectangle, m = 0.8, n = 1.4, 0.17389."""
    agrees("corner-8-14", "0.17389")
