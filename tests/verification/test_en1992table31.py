"""EN 1992-1-1, table 3.1, strength classes of concrete.

By: European Committee for Standardization.
Where: Table copied at buildinghow.com, Volume C, Materials, Concrete and Steel; its worked line for C70 holds a slip.
Key: [EN1992Table31]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_fctm_12(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 12 MPa, 1.6 MPa."""
    agrees("fctm-12", "1.6 MPa")


def test_fctm_20(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 20 MPa, 2.2 MPa."""
    agrees("fctm-20", "2.2 MPa")


def test_fctm_25(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 25 MPa, 2.6 MPa."""
    agrees("fctm-25", "2.6 MPa")


def test_fctm_30(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 30 MPa, 2.9 MPa."""
    agrees("fctm-30", "2.9 MPa")


def test_fctm_40(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 40 MPa, 3.5 MPa."""
    agrees("fctm-40", "3.5 MPa")


def test_fctm_50(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 50 MPa, 4.1 MPa."""
    agrees("fctm-50", "4.1 MPa")


def test_fctm_60(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 60 MPa, 4.4 MPa."""
    agrees("fctm-60", "4.4 MPa")


def test_fctm_90(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 90 MPa, 5.0 MPa."""
    agrees("fctm-90", "5.0 MPa")


def test_fctk_25(agrees: Agrees) -> None:
    """Fctk,0.05: 5 % tensile strength of concrete, fck 25 MPa, 1.8 MPa."""
    agrees("fctk-25", "1.8 MPa")


def test_fctk_30(agrees: Agrees) -> None:
    """Fctk,0.05: 5 % tensile strength of concrete, fck 30 MPa, 2.0 MPa."""
    agrees("fctk-30", "2.0 MPa")


def test_fctk_50(agrees: Agrees) -> None:
    """Fctk,0.05: 5 % tensile strength of concrete, fck 50 MPa, 2.9 MPa."""
    agrees("fctk-50", "2.9 MPa")


def test_fctk_90(agrees: Agrees) -> None:
    """Fctk,0.05: 5 % tensile strength of concrete, fck 90 MPa, 3.5 MPa."""
    agrees("fctk-90", "3.5 MPa")
