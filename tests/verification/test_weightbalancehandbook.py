"""Aircraft Weight and Balance Handbook, centre of gravity of a nosewheel aircraft from scales, example.

By: Federal Aviation Administration.
Where: As quoted by flight-study.com/2021/11/electronic-calculator.html.
Key: [WeightBalanceHandbook]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_scales_nosewheel(agrees: Agrees) -> None:
    """Use of an electronic calculator, example: 13.2 in.

    2006 lb on main wheels and a nosewheel 78 in ahead, 340 lb on that: centre ahead of the main wheels.
    """
    agrees("scales-nosewheel", "13.2 in")
