"""Fundamentals of Physics, 8th ed., chapter 12.

By: D. Halliday, R. Resnick, J. Walker.
Where: Problem texts at solutioninn.com; answers from memory.
Key: [HallidayResnickWalker2008]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_skidding_car_front_wheel(agrees: Agrees) -> None:
    """Car on a horizontal road: Car of 11 kN with locked wheels, one front wheel, 3.5 kN (from memory)."""
    agrees("skidding-car-front-wheel", "3.5 kN")


def test_skidding_car_rear_wheel(agrees: Agrees) -> None:
    """Car on a horizontal road: Car of 11 kN with locked wheels, one rear wheel, 2.0 kN (from memory)."""
    agrees("skidding-car-rear-wheel", "2.0 kN")


def test_crate_tips(agrees: Agrees) -> None:
    """Crate with machinery on a ramp: Crate of 1.2 m, friction 0.70, tips, 34 deg (from memory)."""
    agrees("crate-tips", "34 deg")


def test_crate_slides(agrees: Agrees) -> None:
    """Crate with machinery on a ramp: Crate of 1.2 m, friction 0.60, slides, 31 deg (from memory)."""
    agrees("crate-slides", "31 deg")
