"""Square footing on clay, worked problem.

Where: studyxapp.com, question q66703141.
Key: [ClayFootingProblem]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_footing_clay_terzaghi(agrees: Agrees) -> None:
    """Solution: Footing 2 x 2 m at 1.5 m in clay of 60 kPa, Terzaghi, 473.1 kPa."""
    agrees("footing-clay-terzaghi", "473.1 kPa")
