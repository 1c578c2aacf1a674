"""Car of 1800 kg on two axles, worked problem of a school textbook.

Where: ask.learncbse.in/t/a-car-of-weight-1800-kg/13959.
Key: [CarAxleProblem]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_school_car_front_wheel(agrees: Agrees) -> None:
    """Car of 1800 kg, one front wheel, 3675 N."""
    agrees("school-car-front-wheel", "3675 N")


def test_school_car_rear_wheel(agrees: Agrees) -> None:
    """Car of 1800 kg, one rear wheel, 5145 N."""
    agrees("school-car-rear-wheel", "5145 N")
