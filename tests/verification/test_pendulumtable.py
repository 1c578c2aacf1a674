"""Period of a pendulum by elliptic integral, table.

By: George Mason University.
Where: physics.gmu.edu/~mrseth/pass6.html.
Key: [PendulumTable]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_pendulum_10(agrees: Agrees) -> None:
    """Table: Period of a 1 m pendulum let go at 10 degrees, 2.00989262729860052 s."""
    agrees("pendulum-10", "2.00989262729860052 s")


def test_pendulum_20(agrees: Agrees) -> None:
    """Table: Period of a 1 m pendulum let go at 20 degrees, 2.02145125782457619 s."""
    agrees("pendulum-20", "2.02145125782457619 s")


def test_pendulum_30(agrees: Agrees) -> None:
    """Table: Period of a 1 m pendulum let go at 30 degrees, 2.04098988951913023 s."""
    agrees("pendulum-30", "2.04098988951913023 s")


def test_pendulum_40(agrees: Agrees) -> None:
    """Table: Period of a 1 m pendulum let go at 40 degrees, 2.06893785189358914 s."""
    agrees("pendulum-40", "2.06893785189358914 s")


def test_pendulum_50(agrees: Agrees) -> None:
    """Table: Period of a 1 m pendulum let go at 50 degrees, 2.10593461928364287 s."""
    agrees("pendulum-50", "2.10593461928364287 s")


def test_pendulum_60(agrees: Agrees) -> None:
    """Table: Period of a 1 m pendulum let go at 60 degrees, 2.15287466688051548 s."""
    agrees("pendulum-60", "2.15287466688051548 s")


def test_pendulum_70(agrees: Agrees) -> None:
    """Table: Period of a 1 m pendulum let go at 70 degrees, 2.21097618054218626 s."""
    agrees("pendulum-70", "2.21097618054218626 s")


def test_pendulum_80(agrees: Agrees) -> None:
    """Table: Period of a 1 m pendulum let go at 80 degrees, 2.28188592401963935 s."""
    agrees("pendulum-80", "2.28188592401963935 s")


def test_pendulum_one_per_cent(agrees: Agrees) -> None:
    """Table: Small-angle period too short at 0.40016 rad, 1 %."""
    agrees("pendulum-one-per-cent", "1 %")


def test_pendulum_ten_per_cent(agrees: Agrees) -> None:
    """Table: Small-angle period too short at 1.26933 rad, 10 %."""
    agrees("pendulum-ten-per-cent", "10 %")
