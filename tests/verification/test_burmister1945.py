"""The general theory of stresses and displacements in layered soil systems, J. Applied Physics 16.

By: D. M. Burmister.
Where: Cited elsewhere; interface stresses (Fox 1948) from memory.
Key: [Burmister1945]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_two_layers_1(agrees: Agrees) -> None:
    """Table by Fox 1948: Stress between two layers, E1 / E2 = 1, h = a, nu = 0.5, 0.646."""
    agrees("two-layers-1", "0.646")


def test_two_layers_10(agrees: Agrees) -> None:
    """Table by Fox 1948: Stress between two layers, E1 / E2 = 10, h = a, nu = 0.5, 0.292."""
    agrees("two-layers-10", "0.292")


def test_two_layers_100(agrees: Agrees) -> None:
    """Table by Fox 1948: Stress between two layers, E1 / E2 = 100, h = a, nu = 0.5, 0.081."""
    agrees("two-layers-100", "0.081")
