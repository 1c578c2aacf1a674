"""Theory of Plates and Shells, 2nd ed., chapter 8.

By: S. P. Timoshenko, S. Woinowsky-Krieger.
Where: From memory; equal to a Hankel integral in the tests.
Key: [TimoshenkoPlates]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_square_plate_sag(agrees: Agrees) -> None:
    """Table of a load in the middle: Square plate on four sides, point load, w D / (P a^2), 0.0116."""
    agrees("square-plate-sag", "0.0116")
