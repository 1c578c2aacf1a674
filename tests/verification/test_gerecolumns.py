"""Mechanics of Materials, problem 11.5-1.

By: J. M. Gere.
Where: questionai.com, Mecanica dos Materiais, chapter 11, section 11.5, exercise 1.
Key: [GereColumns]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_eccentric_column(agrees: Agrees) -> None:
    """Problem 11.5-1: Middle of a 30 in column under 2800 lb half an inch off, 0.112 in."""
    agrees("eccentric-column", "0.112 in")
