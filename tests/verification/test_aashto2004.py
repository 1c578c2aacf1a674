"""A Policy on Geometric Design of Highways and Streets, exhibit 3-1.

By: American Association of State Highway and Transportation Officials.
Where: Table copied at piping-designer.com, 2927-braking-distance.
Key: [AASHTO2004]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_road_braking_15(agrees: Agrees) -> None:
    """Exhibit 3-1: Braking distance from 15 mph at 11.2 ft/s2, 21.6 ft."""
    agrees("road-braking-15", "21.6 ft")


def test_road_braking_30(agrees: Agrees) -> None:
    """Exhibit 3-1: Braking distance from 30 mph at 11.2 ft/s2, 86.4 ft."""
    agrees("road-braking-30", "86.4 ft")


def test_road_braking_60(agrees: Agrees) -> None:
    """Exhibit 3-1: Braking distance from 60 mph at 11.2 ft/s2, 345.5 ft."""
    agrees("road-braking-60", "345.5 ft")
