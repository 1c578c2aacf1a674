"""Kelvin functions of the first kind, table from -7 to 7.

Where: calculatorlib.com/kelvin-function-first-kind-ber-bei-table-calculator.
Key: [KelvinTable]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_kelvin_ber_2(agrees: Agrees) -> None:
    """Table: Kelvin function ber(2), 0.751734."""
    agrees("kelvin-ber-2", "0.751734")


def test_kelvin_bei_2(agrees: Agrees) -> None:
    """Table: Kelvin function bei(2), 0.972292."""
    agrees("kelvin-bei-2", "0.972292")


def test_kelvin_ber_5(agrees: Agrees) -> None:
    """Table: Kelvin function ber(5), -6.230082."""
    agrees("kelvin-ber-5", "-6.230082")


def test_kelvin_bei_5(agrees: Agrees) -> None:
    """Table: Kelvin function bei(5), 0.116034."""
    agrees("kelvin-bei-5", "0.116034")
