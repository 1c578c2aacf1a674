"""Principles of Geotechnical Engineering, tables of chapter 10.

By: B. M. Das.
Where: scribd.com/document/690024700/Tables-C10, tables 10.1 and 10.7.
Key: [DasTables2014]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_point_0(agrees: Agrees) -> None:
    """Table 10.1: Stress under a point force, r / z = 0, over P / z2, 0.4775."""
    agrees("point-0", "0.4775")


def test_point_20(agrees: Agrees) -> None:
    """Table 10.1: Stress under a point force, r / z = 0.2, over P / z2, 0.4329."""
    agrees("point-20", "0.4329")


def test_point_50(agrees: Agrees) -> None:
    """Table 10.1: Stress under a point force, r / z = 0.5, over P / z2, 0.2733."""
    agrees("point-50", "0.2733")


def test_point_100(agrees: Agrees) -> None:
    """Table 10.1: Stress under a point force, r / z = 1, over P / z2, 0.0844."""
    agrees("point-100", "0.0844")


def test_point_200(agrees: Agrees) -> None:
    """Table 10.1: Stress under a point force, r / z = 2, over P / z2, 0.0085."""
    agrees("point-200", "0.0085")
