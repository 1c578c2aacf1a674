"""Object hanging from a mirror in a car that gathers speed, worked problem.

Where: chargersgame.org/an-object-is-hanging-by-a-string-from-your-rearview-mirror.
Key: [HungObjectProblem]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_hung_object(agrees: Agrees) -> None:
    """Angle of a string in a car that reaches 25 m/s in 5.7 s, 24.1 deg."""
    agrees("hung-object", "24.1 deg")
