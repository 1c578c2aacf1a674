"""Influence coefficients for a uniform load on a circular area, table.

By: M. G. Spangler.
Where: Table 10.5 of a textbook of geotechnical engineering, p. 368, issuhub.com/view/index/4772?pageIndex=389.
Key: [Spangler1951]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_circle_axis_50(agrees: Agrees) -> None:
    """Table 10.5, column r / a = 0: Stress below the middle of a circle, z / a = 0.5, 0.911."""
    agrees("circle-axis-50", "0.911")


def test_circle_axis_100(agrees: Agrees) -> None:
    """Table 10.5, column r / a = 0: Stress below the middle of a circle, z / a = 1, 0.646."""
    agrees("circle-axis-100", "0.646")


def test_circle_axis_150(agrees: Agrees) -> None:
    """Table 10.5, column r / a = 0: Stress below the middle of a circle, z / a = 1.5, 0.424."""
    agrees("circle-axis-150", "0.424")


def test_circle_axis_250(agrees: Agrees) -> None:
    """Table 10.5, column r / a = 0: Stress below the middle of a circle, z / a = 2.5, 0.200."""
    agrees("circle-axis-250", "0.200")


def test_circle_axis_400(agrees: Agrees) -> None:
    """Table 10.5, column r / a = 0: Stress below the middle of a circle, z / a = 4, 0.087."""
    agrees("circle-axis-400", "0.087")
