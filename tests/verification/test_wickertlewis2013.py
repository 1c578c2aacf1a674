"""An Introduction to Mechanical Engineering, 3rd ed.

By: J. Wickert, K. Lewis.
Where: fliphtml5.com/yfogw/gatn, p. 157 of the book.
Key: [WickertLewis2013]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_wickert_front_wheel(agrees: Agrees) -> None:
    """Page 157: Lift truck with 800 lb, one front wheel, 1262 lbf."""
    agrees("wickert-front-wheel", "1262 lbf")


def test_wickert_rear_wheel(agrees: Agrees) -> None:
    """Page 157: Lift truck with 800 lb, one rear wheel, 888 lbf."""
    agrees("wickert-rear-wheel", "888 lbf")


def test_wickert_tipping_load(agrees: Agrees) -> None:
    """Page 157: Load that tips the lift truck, 6125 lb."""
    agrees("wickert-tipping-load", "6125 lb")
