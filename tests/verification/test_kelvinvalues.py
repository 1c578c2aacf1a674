"""Kelvin functions of both kinds by their series, values at 1.

Where: keisoku.magicgifted.com/en/kelvin-functions-calculator.
Key: [KelvinValues]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_kelvin_ker_1(agrees: Agrees) -> None:
    """Table: Kelvin function ker(1), 0.2867062087."""
    agrees("kelvin-ker-1", "0.2867062087")


def test_kelvin_kei_1(agrees: Agrees) -> None:
    """Table: Kelvin function kei(1), -0.4949946365."""
    agrees("kelvin-kei-1", "-0.4949946365")
