"""Forklift stability and other technical safety issues, p. 6.

By: Monash University Accident Research Centre.
Where: yumpu.com/en/document/view/46679176.
Key: [MonashForklift]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_test_slope_forward_light(agrees: Agrees) -> None:
    """Page 6: Test slope forward, load high, rated 4999 kg, 4 %."""
    agrees("test-slope-forward-light", "4 %")


def test_test_slope_forward_heavy(agrees: Agrees) -> None:
    """Page 6: Test slope forward, load high, rated 5000 kg, 3.5 %."""
    agrees("test-slope-forward-heavy", "3.5 %")


def test_test_slope_travelling(agrees: Agrees) -> None:
    """Page 6: Test slope forward, load low, 18 %."""
    agrees("test-slope-travelling", "18 %")


def test_test_slope_sideways(agrees: Agrees) -> None:
    """Page 6: Test slope sideways, load high, 6 %."""
    agrees("test-slope-sideways", "6 %")


def test_test_slope_unladen_light(agrees: Agrees) -> None:
    """Page 6: Steepest test slope sideways, unladen, rated 4999 kg, 40 %."""
    agrees("test-slope-unladen-light", "40 %")


def test_test_slope_unladen_heavy(agrees: Agrees) -> None:
    """Page 6: Steepest test slope sideways, unladen, rated 5000 kg, 50 %."""
    agrees("test-slope-unladen-heavy", "50 %")
