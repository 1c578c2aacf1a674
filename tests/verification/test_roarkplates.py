"""Roark's Formulas for Stress and Strain, table 11.4, rectangular plates, all edges simply supported.

By: W. C. Young, R. G. Budynas.
Where: de.scribd.com/doc/248898958, pp. 507-525, case 1.
Key: [RoarkPlates]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_plate_even_stress_10(agrees: Agrees) -> None:
    """Table 11.4, case 1: Stress factor of a plate on four sides, sides 1 to 1, even pressure, 0.2874."""
    agrees("plate-even-stress-10", "0.2874")


def test_plate_even_stress_14(agrees: Agrees) -> None:
    """Table 11.4, case 1: Stress factor of a plate on four sides, sides 1 to 1.4, even pressure, 0.4530."""
    agrees("plate-even-stress-14", "0.4530")


def test_plate_even_stress_18(agrees: Agrees) -> None:
    """Table 11.4, case 1: Stress factor of a plate on four sides, sides 1 to 1.8, even pressure, 0.5688."""
    agrees("plate-even-stress-18", "0.5688")


def test_plate_even_stress_20(agrees: Agrees) -> None:
    """Table 11.4, case 1: Stress factor of a plate on four sides, sides 1 to 2, even pressure, 0.6102."""
    agrees("plate-even-stress-20", "0.6102")


def test_plate_even_sag_10(agrees: Agrees) -> None:
    """Table 11.4, case 1: Deflection factor of the same plate, sides 1 to 1, 0.0444."""
    agrees("plate-even-sag-10", "0.0444")


def test_plate_even_sag_14(agrees: Agrees) -> None:
    """Table 11.4, case 1: Deflection factor of the same plate, sides 1 to 1.4, 0.0770."""
    agrees("plate-even-sag-14", "0.0770")


def test_plate_even_sag_18(agrees: Agrees) -> None:
    """Table 11.4, case 1: Deflection factor of the same plate, sides 1 to 1.8, 0.1017."""
    agrees("plate-even-sag-18", "0.1017")


def test_plate_even_sag_20(agrees: Agrees) -> None:
    """Table 11.4, case 1: Deflection factor of the same plate, sides 1 to 2, 0.1110."""
    agrees("plate-even-sag-20", "0.1110")


def test_plate_middle_sag_10(agrees: Agrees) -> None:
    """Table 11.4, case 1: Deflection factor, load in the middle, sides 1 to 1, 0.1267."""
    agrees("plate-middle-sag-10", "0.1267")


def test_plate_middle_sag_14(agrees: Agrees) -> None:
    """Table 11.4, case 1: Deflection factor, load in the middle, sides 1 to 1.4, 0.1621."""
    agrees("plate-middle-sag-14", "0.1621")


def test_plate_middle_sag_20(agrees: Agrees) -> None:
    """Table 11.4, case 1: Deflection factor, load in the middle, sides 1 to 2, 0.1805."""
    agrees("plate-middle-sag-20", "0.1805")


def test_plate_patch_20_20(agrees: Agrees) -> None:
    """Table 11.4, case 1: Stress factor of a square plate, patch 0.2 x 0.2 of its side, 1.28."""
    agrees("plate-patch-20-20", "1.28")


def test_plate_patch_40_40(agrees: Agrees) -> None:
    """Table 11.4, case 1: Stress factor of a square plate, patch 0.4 x 0.4 of its side, 0.84."""
    agrees("plate-patch-40-40", "0.84")


def test_plate_patch_20_100(agrees: Agrees) -> None:
    """Table 11.4, case 1: Stress factor of a square plate, patch 0.2 x 1 of its side, 0.63."""
    agrees("plate-patch-20-100", "0.63")


def test_plate_patch_80_80(agrees: Agrees) -> None:
    """Table 11.4, case 1: Stress factor of a square plate, patch 0.8 x 0.8 of its side, 0.42."""
    agrees("plate-patch-80-80", "0.42")


def test_plate_even_stress_12(agrees: Agrees) -> None:
    """Table 11.4, case 1: Stress factor of a plate on four sides, sides 1 to 1.2, even pressure, 0.3762."""
    agrees("plate-even-stress-12", "0.3762")


def test_plate_even_stress_16(agrees: Agrees) -> None:
    """Table 11.4, case 1: Stress factor of a plate on four sides, sides 1 to 1.6, even pressure, 0.5172."""
    agrees("plate-even-stress-16", "0.5172")


def test_plate_even_stress_30(agrees: Agrees) -> None:
    """Table 11.4, case 1: Stress factor of a plate on four sides, sides 1 to 3, even pressure, 0.7134."""
    agrees("plate-even-stress-30", "0.7134")


def test_plate_even_sag_12(agrees: Agrees) -> None:
    """Table 11.4, case 1: Deflection factor of the same plate, sides 1 to 1.2, 0.0616."""
    agrees("plate-even-sag-12", "0.0616")


def test_plate_even_sag_16(agrees: Agrees) -> None:
    """Table 11.4, case 1: Deflection factor of the same plate, sides 1 to 1.6, 0.0906."""
    agrees("plate-even-sag-16", "0.0906")


def test_plate_even_sag_30(agrees: Agrees) -> None:
    """Table 11.4, case 1: Deflection factor of the same plate, sides 1 to 3, 0.1335."""
    agrees("plate-even-sag-30", "0.1335")


def test_plate_middle_sag_12(agrees: Agrees) -> None:
    """Table 11.4, case 1: Deflection factor, load in the middle, sides 1 to 1.2, 0.1478."""
    agrees("plate-middle-sag-12", "0.1478")


def test_plate_middle_sag_16(agrees: Agrees) -> None:
    """Table 11.4, case 1: Deflection factor, load in the middle, sides 1 to 1.6, 0.1715."""
    agrees("plate-middle-sag-16", "0.1715")


def test_plate_middle_sag_18(agrees: Agrees) -> None:
    """Table 11.4, case 1: Deflection factor, load in the middle, sides 1 to 1.8, 0.1770."""
    agrees("plate-middle-sag-18", "0.1770")
