"""Wind load against wind speed.

By: Engineering ToolBox.
Where: engineeringtoolbox.com/wind-load-d_1775.html.
Key: [ToolBoxWind]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_wind_12(agrees: Agrees) -> None:
    """Table, air of 1.2 kg/m3: Wind pressure at 12 m/s, 86 Pa."""
    agrees("wind-12", "86 Pa")


def test_wind_20(agrees: Agrees) -> None:
    """Table, air of 1.2 kg/m3: Wind pressure at 20 m/s, 240 Pa."""
    agrees("wind-20", "240 Pa")


def test_wind_35(agrees: Agrees) -> None:
    """Table, air of 1.2 kg/m3: Wind pressure at 35 m/s, 735 Pa."""
    agrees("wind-35", "735 Pa")


def test_wind_wall(agrees: Agrees) -> None:
    """Example: Wind of 35 m/s on a 10 m2 wall, 7.35 kN."""
    agrees("wind-wall", "7.35 kN")
