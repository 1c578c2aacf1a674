"""Tabulated values for determining the complete pattern of stresses, strains, and deflections beneath a uniform
circular load on a homogeneous half space, HRB Bulletin 342.

By: R. G. Ahlvin, H. H. Ulery.
Where: Table of the function A copied at pdfcoffee.com/table-106-variation-of-a-with-z-r-and-r-r-pdf-free.html;
formulas from memory and derived again.
Key: [AhlvinUlery1962]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_circle_a_0_50(agrees: Agrees) -> None:
    """Function A of a loaded circle, r / R = 0, z / R = 0.5, 0.55279.

    Table of A; three of its numbers are misprints and left out.
    """
    agrees("circle-a-0-50", "0.55279")


def test_circle_a_0_100(agrees: Agrees) -> None:
    """Function A of a loaded circle, r / R = 0, z / R = 1, 0.29289.

    Table of A; three of its numbers are misprints and left out.
    """
    agrees("circle-a-0-100", "0.29289")


def test_circle_a_20_50(agrees: Agrees) -> None:
    """Function A of a loaded circle, r / R = 0.2, z / R = 0.5, 0.54403.

    Table of A; three of its numbers are misprints and left out.
    """
    agrees("circle-a-20-50", "0.54403")


def test_circle_a_20_100(agrees: Agrees) -> None:
    """Function A of a loaded circle, r / R = 0.2, z / R = 1, 0.28763.

    Table of A; three of its numbers are misprints and left out.
    """
    agrees("circle-a-20-100", "0.28763")


def test_circle_a_60_50(agrees: Agrees) -> None:
    """Function A of a loaded circle, r / R = 0.6, z / R = 0.5, 0.46448.

    Table of A; three of its numbers are misprints and left out.
    """
    agrees("circle-a-60-50", "0.46448")


def test_circle_a_80_50(agrees: Agrees) -> None:
    """Function A of a loaded circle, r / R = 0.8, z / R = 0.5, 0.38390.

    Table of A; three of its numbers are misprints and left out.
    """
    agrees("circle-a-80-50", "0.38390")


def test_circle_a_100_50(agrees: Agrees) -> None:
    """Function A of a loaded circle, r / R = 1, z / R = 0.5, 0.28156.

    Table of A; three of its numbers are misprints and left out.
    """
    agrees("circle-a-100-50", "0.28156")


def test_circle_a_100_100(agrees: Agrees) -> None:
    """Function A of a loaded circle, r / R = 1, z / R = 1, 0.17868.

    Table of A; three of its numbers are misprints and left out.
    """
    agrees("circle-a-100-100", "0.17868")


def test_circle_a_100_200(agrees: Agrees) -> None:
    """Function A of a loaded circle, r / R = 1, z / R = 2, 0.08269.

    Table of A; three of its numbers are misprints and left out.
    """
    agrees("circle-a-100-200", "0.08269")


def test_circle_a_120_50(agrees: Agrees) -> None:
    """Function A of a loaded circle, r / R = 1.2, z / R = 0.5, 0.18556.

    Table of A; three of its numbers are misprints and left out.
    """
    agrees("circle-a-120-50", "0.18556")


def test_circle_a_150_50(agrees: Agrees) -> None:
    """Function A of a loaded circle, r / R = 1.5, z / R = 0.5, 0.09499.

    Table of A; three of its numbers are misprints and left out.
    """
    agrees("circle-a-150-50", "0.09499")
