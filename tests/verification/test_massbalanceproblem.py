"""Mass and balance, centre of gravity from weighing nosewheel and main wheels.

Where: atplquestions.com/atpl-question/mass-balance/18.
Key: [MassBalanceProblem]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_scales_mass_balance(agrees: Agrees) -> None:
    """Answer B: 83.7 in.

    285 kg on a nosewheel, 2860 kg on main wheels 7 ft 8 in behind: centre behind the nosewheel.
    """
    agrees("scales-mass-balance", "83.7 in")
