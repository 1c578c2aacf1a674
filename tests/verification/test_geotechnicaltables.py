"""Geotechnical investigation and design tables, table 21.5, bearing capacity factors.

Where: what-when-how.com/Tutorial/topic-topic-8958bvhr/Geotechnical-Investigation-and-Design-Tables-294.html.
Key: [GeotechnicalTables]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_bearing_vesic_20_nq(agrees: Agrees) -> None:
    """Table: Nq at 20 degrees, Vesic, 6.4."""
    agrees("bearing-vesic-20-nq", "6.4")


def test_bearing_vesic_20_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 20 degrees, Vesic, 5.4."""
    agrees("bearing-vesic-20-ngamma", "5.4")


def test_bearing_hansen_20_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 20 degrees, Hansen, 2.95."""
    agrees("bearing-hansen-20-ngamma", "2.95")


def test_bearing_vesic_25_nc(agrees: Agrees) -> None:
    """Table: Nc at 25 degrees, Vesic, 20.7."""
    agrees("bearing-vesic-25-nc", "20.7")


def test_bearing_hansen_25_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 25 degrees, Hansen, 6.76."""
    agrees("bearing-hansen-25-ngamma", "6.76")


def test_bearing_vesic_30_nc(agrees: Agrees) -> None:
    """Table: Nc at 30 degrees, Vesic, 30.1."""
    agrees("bearing-vesic-30-nc", "30.1")


def test_bearing_vesic_30_nq(agrees: Agrees) -> None:
    """Table: Nq at 30 degrees, Vesic, 18.4."""
    agrees("bearing-vesic-30-nq", "18.4")


def test_bearing_vesic_30_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 30 degrees, Vesic, 22.4."""
    agrees("bearing-vesic-30-ngamma", "22.4")


def test_bearing_hansen_30_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 30 degrees, Hansen, 15.1."""
    agrees("bearing-hansen-30-ngamma", "15.1")


def test_bearing_vesic_35_nc(agrees: Agrees) -> None:
    """Table: Nc at 35 degrees, Vesic, 46.1."""
    agrees("bearing-vesic-35-nc", "46.1")


def test_bearing_vesic_35_nq(agrees: Agrees) -> None:
    """Table: Nq at 35 degrees, Vesic, 33.3."""
    agrees("bearing-vesic-35-nq", "33.3")


def test_bearing_vesic_35_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 35 degrees, Vesic, 48.0."""
    agrees("bearing-vesic-35-ngamma", "48.0")


def test_bearing_hansen_35_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 35 degrees, Hansen, 33.9."""
    agrees("bearing-hansen-35-ngamma", "33.9")


def test_bearing_vesic_40_nc(agrees: Agrees) -> None:
    """Table: Nc at 40 degrees, Vesic, 75."""
    agrees("bearing-vesic-40-nc", "75")


def test_bearing_hansen_40_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 40 degrees, Hansen, 80."""
    agrees("bearing-hansen-40-ngamma", "80")


def test_bearing_vesic_10_nq(agrees: Agrees) -> None:
    """Table: Nq at 10 degrees, Vesic, 2.47."""
    agrees("bearing-vesic-10-nq", "2.47")


def test_bearing_vesic_10_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 10 degrees, Vesic, 1.22."""
    agrees("bearing-vesic-10-ngamma", "1.22")


def test_bearing_hansen_10_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 10 degrees, Hansen, 0.39."""
    agrees("bearing-hansen-10-ngamma", "0.39")


def test_bearing_vesic_15_nq(agrees: Agrees) -> None:
    """Table: Nq at 15 degrees, Vesic, 3.94."""
    agrees("bearing-vesic-15-nq", "3.94")


def test_bearing_vesic_15_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 15 degrees, Vesic, 2.65."""
    agrees("bearing-vesic-15-ngamma", "2.65")


def test_bearing_hansen_15_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 15 degrees, Hansen, 1.18."""
    agrees("bearing-hansen-15-ngamma", "1.18")


def test_bearing_vesic_45_nc(agrees: Agrees) -> None:
    """Table: Nc at 45 degrees, Vesic, 134."""
    agrees("bearing-vesic-45-nc", "134")


def test_bearing_vesic_45_nq(agrees: Agrees) -> None:
    """Table: Nq at 45 degrees, Vesic, 135."""
    agrees("bearing-vesic-45-nq", "135")


def test_bearing_vesic_45_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 45 degrees, Vesic, 272."""
    agrees("bearing-vesic-45-ngamma", "272")


def test_bearing_hansen_45_ngamma(agrees: Agrees) -> None:
    """Table: Ngamma at 45 degrees, Hansen, 201."""
    agrees("bearing-hansen-45-ngamma", "201")
