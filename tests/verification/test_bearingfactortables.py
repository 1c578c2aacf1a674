"""Bearing capacity factors by Terzaghi, Meyerhof, Vesic and Hansen, tables.

Where: geotechnicalinfo.com/bearing_capacity_factors.html.
Key: [BearingFactorTables]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_bearing_meyerhof_0_nc(agrees: Agrees) -> None:
    """Table: Nc at 0 degrees, Meyerhof, 5.14."""
    agrees("bearing-meyerhof-0-nc", "5.14")


def test_bearing_meyerhof_20_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 20 degrees, Meyerhof, 2.9."""
    agrees("bearing-meyerhof-20-ngamma", "2.9")


def test_bearing_meyerhof_30_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 30 degrees, Meyerhof, 15.7."""
    agrees("bearing-meyerhof-30-ngamma", "15.7")


def test_bearing_meyerhof_36_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 36 degrees, Meyerhof, 44.4."""
    agrees("bearing-meyerhof-36-ngamma", "44.4")


def test_bearing_meyerhof_40_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 40 degrees, Meyerhof, 93.7."""
    agrees("bearing-meyerhof-40-ngamma", "93.7")


def test_bearing_terzaghi_0_nc(agrees: Agrees) -> None:
    """Table: Nc at 0 degrees, Terzaghi, 5.7."""
    agrees("bearing-terzaghi-0-nc", "5.7")


def test_bearing_terzaghi_20_nc(agrees: Agrees) -> None:
    """Table: Nc at 20 degrees, Terzaghi, 17.7."""
    agrees("bearing-terzaghi-20-nc", "17.7")


def test_bearing_terzaghi_30_nc(agrees: Agrees) -> None:
    """Table: Nc at 30 degrees, Terzaghi, 37.2."""
    agrees("bearing-terzaghi-30-nc", "37.2")


def test_bearing_terzaghi_30_nq(agrees: Agrees) -> None:
    """Table: Nq at 30 degrees, Terzaghi, 22.5."""
    agrees("bearing-terzaghi-30-nq", "22.5")


def test_bearing_terzaghi_35_nc(agrees: Agrees) -> None:
    """Table: Nc at 35 degrees, Terzaghi, 57.8."""
    agrees("bearing-terzaghi-35-nc", "57.8")


def test_bearing_terzaghi_35_nq(agrees: Agrees) -> None:
    """Table: Nq at 35 degrees, Terzaghi, 41.4."""
    agrees("bearing-terzaghi-35-nq", "41.4")


def test_bearing_terzaghi_10_nq(agrees: Agrees) -> None:
    """Table: Nq at 10 degrees, Terzaghi, 2.7."""
    agrees("bearing-terzaghi-10-nq", "2.7")


def test_bearing_meyerhof_10_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 10 degrees, Meyerhof, 0.37."""
    agrees("bearing-meyerhof-10-ngamma", "0.37")


def test_bearing_meyerhof_32_nc(agrees: Agrees) -> None:
    """Table: Nc at 32 degrees, Meyerhof, 35.5."""
    agrees("bearing-meyerhof-32-nc", "35.5")


def test_bearing_vesic_34_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 34 degrees, Vesic, 41.06."""
    agrees("bearing-vesic-34-ngamma", "41.06")


def test_bearing_vesic_38_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 38 degrees, Vesic, 78.0."""
    agrees("bearing-vesic-38-ngamma", "78.0")


def test_bearing_hansen_34_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 34 degrees, Hansen, 28.77."""
    agrees("bearing-hansen-34-ngamma", "28.77")


def test_bearing_hansen_38_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 38 degrees, Hansen, 56.17."""
    agrees("bearing-hansen-38-ngamma", "56.17")


def test_bearing_terzaghi_25_nc(agrees: Agrees) -> None:
    """Table: Nc at 25 degrees, Terzaghi, 25.1."""
    agrees("bearing-terzaghi-25-nc", "25.1")


def test_bearing_terzaghi_25_nq(agrees: Agrees) -> None:
    """Table: Nq at 25 degrees, Terzaghi, 12.7."""
    agrees("bearing-terzaghi-25-nq", "12.7")
