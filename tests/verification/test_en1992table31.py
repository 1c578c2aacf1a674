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


def test_fctm_16(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 16 MPa, 1.9 MPa."""
    agrees("fctm-16", "1.9 MPa")


def test_fctm_20(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 20 MPa, 2.2 MPa."""
    agrees("fctm-20", "2.2 MPa")


def test_fctm_25(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 25 MPa, 2.6 MPa."""
    agrees("fctm-25", "2.6 MPa")


def test_fctm_30(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 30 MPa, 2.9 MPa."""
    agrees("fctm-30", "2.9 MPa")


def test_fctm_35(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 35 MPa, 3.2 MPa."""
    agrees("fctm-35", "3.2 MPa")


def test_fctm_40(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 40 MPa, 3.5 MPa."""
    agrees("fctm-40", "3.5 MPa")


def test_fctm_45(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 45 MPa, 3.8 MPa."""
    agrees("fctm-45", "3.8 MPa")


def test_fctm_50(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 50 MPa, 4.1 MPa."""
    agrees("fctm-50", "4.1 MPa")


def test_fctm_55(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 55 MPa, 4.2 MPa."""
    agrees("fctm-55", "4.2 MPa")


def test_fctm_60(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 60 MPa, 4.4 MPa."""
    agrees("fctm-60", "4.4 MPa")


def test_fctm_70(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 70 MPa, 4.6 MPa."""
    agrees("fctm-70", "4.6 MPa")


def test_fctm_80(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 80 MPa, 4.8 MPa."""
    agrees("fctm-80", "4.8 MPa")


def test_fctm_90(agrees: Agrees) -> None:
    """Fctm: Mean tensile strength of concrete, fck 90 MPa, 5.0 MPa."""
    agrees("fctm-90", "5.0 MPa")


def test_fctk_12(agrees: Agrees) -> None:
    """Fctk,0.05: 5 % tensile strength of concrete, fck 12 MPa, 1.1 MPa."""
    agrees("fctk-12", "1.1 MPa")


def test_fctk_16(agrees: Agrees) -> None:
    """Fctk,0.05: 5 % tensile strength of concrete, fck 16 MPa, 1.3 MPa."""
    agrees("fctk-16", "1.3 MPa")


def test_fctk_20(agrees: Agrees) -> None:
    """Fctk,0.05: 5 % tensile strength of concrete, fck 20 MPa, 1.5 MPa."""
    agrees("fctk-20", "1.5 MPa")


def test_fctk_25(agrees: Agrees) -> None:
    """Fctk,0.05: 5 % tensile strength of concrete, fck 25 MPa, 1.8 MPa."""
    agrees("fctk-25", "1.8 MPa")


def test_fctk_30(agrees: Agrees) -> None:
    """Fctk,0.05: 5 % tensile strength of concrete, fck 30 MPa, 2.0 MPa."""
    agrees("fctk-30", "2.0 MPa")


def test_fctk_35(agrees: Agrees) -> None:
    """Fctk,0.05: 5 % tensile strength of concrete, fck 35 MPa, 2.2 MPa."""
    agrees("fctk-35", "2.2 MPa")


def test_fctk_40(agrees: Agrees) -> None:
    """Fctk,0.05: 5 % tensile strength of concrete, fck 40 MPa, 2.5 MPa."""
    agrees("fctk-40", "2.5 MPa")


def test_fctk_45(agrees: Agrees) -> None:
    """Fctk,0.05: 5 % tensile strength of concrete, fck 45 MPa, 2.7 MPa."""
    agrees("fctk-45", "2.7 MPa")


def test_fctk_50(agrees: Agrees) -> None:
    """Fctk,0.05: 5 % tensile strength of concrete, fck 50 MPa, 2.9 MPa."""
    agrees("fctk-50", "2.9 MPa")


def test_fctk_70(agrees: Agrees) -> None:
    """Fctk,0.05: 5 % tensile strength of concrete, fck 70 MPa, 3.2 MPa."""
    agrees("fctk-70", "3.2 MPa")


def test_fctk_80(agrees: Agrees) -> None:
    """Fctk,0.05: 5 % tensile strength of concrete, fck 80 MPa, 3.4 MPa."""
    agrees("fctk-80", "3.4 MPa")


def test_fctk_90(agrees: Agrees) -> None:
    """Fctk,0.05: 5 % tensile strength of concrete, fck 90 MPa, 3.5 MPa."""
    agrees("fctk-90", "3.5 MPa")


def test_ecm_12(agrees: Agrees) -> None:
    """Ecm: Young's modulus of concrete, fck 12 MPa, 27 GPa."""
    agrees("ecm-12", "27 GPa")


def test_ecm_16(agrees: Agrees) -> None:
    """Ecm: Young's modulus of concrete, fck 16 MPa, 29 GPa."""
    agrees("ecm-16", "29 GPa")


def test_ecm_20(agrees: Agrees) -> None:
    """Ecm: Young's modulus of concrete, fck 20 MPa, 30 GPa."""
    agrees("ecm-20", "30 GPa")


def test_ecm_25(agrees: Agrees) -> None:
    """Ecm: Young's modulus of concrete, fck 25 MPa, 31 GPa."""
    agrees("ecm-25", "31 GPa")


def test_ecm_30(agrees: Agrees) -> None:
    """Ecm: Young's modulus of concrete, fck 30 MPa, 33 GPa."""
    agrees("ecm-30", "33 GPa")


def test_ecm_35(agrees: Agrees) -> None:
    """Ecm: Young's modulus of concrete, fck 35 MPa, 34 GPa."""
    agrees("ecm-35", "34 GPa")


def test_ecm_40(agrees: Agrees) -> None:
    """Ecm: Young's modulus of concrete, fck 40 MPa, 35 GPa."""
    agrees("ecm-40", "35 GPa")


def test_ecm_45(agrees: Agrees) -> None:
    """Ecm: Young's modulus of concrete, fck 45 MPa, 36 GPa."""
    agrees("ecm-45", "36 GPa")


def test_ecm_50(agrees: Agrees) -> None:
    """Ecm: Young's modulus of concrete, fck 50 MPa, 37 GPa."""
    agrees("ecm-50", "37 GPa")


def test_ecm_55(agrees: Agrees) -> None:
    """Ecm: Young's modulus of concrete, fck 55 MPa, 38 GPa."""
    agrees("ecm-55", "38 GPa")


def test_ecm_60(agrees: Agrees) -> None:
    """Ecm: Young's modulus of concrete, fck 60 MPa, 39 GPa."""
    agrees("ecm-60", "39 GPa")


def test_ecm_70(agrees: Agrees) -> None:
    """Ecm: Young's modulus of concrete, fck 70 MPa, 41 GPa."""
    agrees("ecm-70", "41 GPa")


def test_ecm_80(agrees: Agrees) -> None:
    """Ecm: Young's modulus of concrete, fck 80 MPa, 42 GPa."""
    agrees("ecm-80", "42 GPa")


def test_ecm_90(agrees: Agrees) -> None:
    """Ecm: Young's modulus of concrete, fck 90 MPa, 44 GPa."""
    agrees("ecm-90", "44 GPa")
