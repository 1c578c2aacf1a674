"""Bearing capacity, platforms and subgrade reaction against tables and worked footings."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from math import radians

from tipline.mechanics.bearing import (
    BearingResult,
    Footing,
    FootingLoad,
    FootingSoil,
    Method,
    bearing_capacity,
    bearing_factors,
)
from tipline.mechanics.granular_platform import platform_capacity
from tipline.mechanics.subgrade import (
    cohesion_from_cbr,
    reaction_for_size,
    reaction_from_modulus,
    rigid_circle_settlement,
)
from tipline.selftest.check import Check, Status, derived
from tipline.units import FOOT as FT
from tipline.units import INCH as IN
from tipline.units import POUND_FORCE as LBF

__all__ = ["CHECKS"]

_PCF = LBF / FT**3
_PSI = LBF / IN**2
_PCI = _PSI / IN
_SEEN: Status = "seen in the source"
_NAMES = ("Nc", "Nq", "Ngamma")
_FACTORS: tuple[tuple[Method, int, str, int, str], ...] = (
    ("vesic", 20, "GeotechnicalTables", 1, "6.4"),
    ("vesic", 20, "GeotechnicalTables", 2, "5.4"),
    ("hansen", 20, "GeotechnicalTables", 2, "2.95"),
    ("vesic", 25, "GeotechnicalTables", 0, "20.7"),
    ("hansen", 25, "GeotechnicalTables", 2, "6.76"),
    ("vesic", 30, "GeotechnicalTables", 0, "30.1"),
    ("vesic", 30, "GeotechnicalTables", 1, "18.4"),
    ("vesic", 30, "GeotechnicalTables", 2, "22.4"),
    ("hansen", 30, "GeotechnicalTables", 2, "15.1"),
    ("vesic", 35, "GeotechnicalTables", 0, "46.1"),
    ("vesic", 35, "GeotechnicalTables", 1, "33.3"),
    ("vesic", 35, "GeotechnicalTables", 2, "48.0"),
    ("hansen", 35, "GeotechnicalTables", 2, "33.9"),
    ("vesic", 40, "GeotechnicalTables", 0, "75"),
    ("hansen", 40, "GeotechnicalTables", 2, "80"),
    ("vesic", 10, "GeotechnicalTables", 1, "2.47"),
    ("vesic", 10, "GeotechnicalTables", 2, "1.22"),
    ("hansen", 10, "GeotechnicalTables", 2, "0.39"),
    ("vesic", 15, "GeotechnicalTables", 1, "3.94"),
    ("vesic", 15, "GeotechnicalTables", 2, "2.65"),
    ("hansen", 15, "GeotechnicalTables", 2, "1.18"),
    ("vesic", 45, "GeotechnicalTables", 0, "134"),
    ("vesic", 45, "GeotechnicalTables", 1, "135"),
    ("vesic", 45, "GeotechnicalTables", 2, "272"),
    ("hansen", 45, "GeotechnicalTables", 2, "201"),
    ("vesic", 34, "BearingFactorTables", 2, "41.06"),
    ("vesic", 38, "BearingFactorTables", 2, "78.0"),
    ("hansen", 34, "BearingFactorTables", 2, "28.77"),
    ("hansen", 38, "BearingFactorTables", 2, "56.17"),
    ("meyerhof", 0, "BearingFactorTables", 0, "5.14"),
    ("meyerhof", 10, "BearingFactorTables", 2, "0.37"),
    ("meyerhof", 32, "BearingFactorTables", 0, "35.5"),
    ("meyerhof", 20, "BearingFactorTables", 2, "2.9"),
    ("meyerhof", 30, "BearingFactorTables", 2, "15.7"),
    ("meyerhof", 36, "BearingFactorTables", 2, "44.4"),
    ("meyerhof", 40, "BearingFactorTables", 2, "93.7"),
    ("terzaghi", 0, "BearingFactorTables", 0, "5.7"),
    ("terzaghi", 10, "BearingFactorTables", 1, "2.7"),
    ("terzaghi", 20, "BearingFactorTables", 0, "17.7"),
    ("terzaghi", 25, "BearingFactorTables", 0, "25.1"),
    ("terzaghi", 25, "BearingFactorTables", 1, "12.7"),
    ("terzaghi", 30, "BearingFactorTables", 0, "37.2"),
    ("terzaghi", 30, "BearingFactorTables", 1, "22.5"),
    ("terzaghi", 35, "BearingFactorTables", 0, "57.8"),
    ("terzaghi", 35, "BearingFactorTables", 1, "41.4"),
)
_SAND = FootingSoil(radians(31.0), 0.0, 123.0 * _PCF)
_SHEET_SOIL = FootingSoil(radians(30.0), 0.0, 10e3)
_SHEET = Footing(1.0, 6.0, 0.75, 0.15, 0.44)
_SHEET_LOAD = FootingLoad(200e3, 60e3, 30e3)
_TYRE = 200e3 / 0.105


def _factor(method: Method, angle: int, which: int) -> float:
    return bearing_factors(radians(angle), method)[which]


def _sheet(load: FootingLoad | None = _SHEET_LOAD) -> BearingResult:
    return bearing_capacity(_SHEET_SOIL, _SHEET, "en1997", load)


def _leaning(method: Method, friction: float, cohesion: float) -> float:
    soil = FootingSoil(radians(friction), cohesion, 18e3)
    return bearing_capacity(soil, Footing(0.4, 0.5, 0.1), method, FootingLoad(60e3, 9e3, 0.0)).pressure


def _check(name: str, what: str, printed: str, source: str, place: str, call: Callable[[], float]) -> Check:
    return Check(name, what, printed, source, place, _SEEN, call)


CHECKS = (
    *(
        _check(
            f"bearing-{method}-{angle}-{_NAMES[which].lower()}",
            f"{_NAMES[which]} at {angle} degrees, {method.capitalize()}",
            printed,
            source,
            "table",
            partial(_factor, method, angle, which),
        )
        for method, angle, source, which, printed in _FACTORS
    ),
    _check(
        "footing-square-terzaghi",
        "Footing 3 x 3 ft at 2 ft in sand of 31 degrees, Terzaghi",
        "9,720 psf",
        "FootingExamples",
        "example 6.4",
        lambda: bearing_capacity(_SAND, Footing(3 * FT, 3 * FT, 2 * FT), "terzaghi").pressure,
    ),
    _check(
        "footing-rectangle-meyerhof",
        "Footing 3 x 4.16 ft at 2 ft in the same sand, Meyerhof",
        "11,642 psf",
        "FootingExamples",
        "example 4-2",
        lambda: bearing_capacity(_SAND, Footing(3 * FT, 4.16 * FT, 2 * FT), "meyerhof").pressure,
    ),
    _check(
        "footing-clay-terzaghi",
        "Footing 2 x 2 m at 1.5 m in clay of 60 kPa, Terzaghi",
        "473.1 kPa",
        "ClayFootingProblem",
        "solution",
        lambda: bearing_capacity(FootingSoil(0.0, 60e3, 19e3), Footing(2.0, 2.0, 1.5), "terzaghi").pressure,
    ),
    _check(
        "footing-leaning-en1997",
        "Footing 1 x 6 m, load leaning and off its middle, EN 1997 annex D",
        "95 kPa",
        "BearingSheetEN1997",
        "drained, Rd",
        lambda: _sheet().pressure,
    ),
    _check(
        "footing-leaning-iq",
        "Same, inclination factor iq",
        "0.493631",
        "BearingSheetEN1997",
        "drained, iq; its effective length printed as 5.1 m is 5.12 m",
        lambda: _sheet().from_surcharge / _sheet(None).from_surcharge,
    ),
    _check(
        "footing-leaning-igamma",
        "Same, inclination factor on the weight",
        "0.328062",
        "BearingSheetEN1997",
        "drained",
        lambda: _sheet().from_weight / _sheet(None).from_weight,
    ),
    derived(
        "leaning-meyerhof",
        "Patch 0.4 x 0.5 m, 60 kN with 9 kN level, c 10 kPa, 30 degrees",
        "469.649 kPa",
        lambda: _leaning("meyerhof", 30, 10e3),
        "Meyerhof1963",
        "formula from memory",
    ),
    derived(
        "leaning-hansen",
        "Same, Hansen",
        "389.195 kPa",
        lambda: _leaning("hansen", 30, 10e3),
        "Hansen1970",
        "formula from memory",
    ),
    derived(
        "leaning-vesic",
        "Same, Vesic",
        "461.012 kPa",
        lambda: _leaning("vesic", 30, 10e3),
        "Vesic1975",
        "formula from memory",
    ),
    derived(
        "leaning-clay-vesic",
        "Same on clay of 50 kPa, Vesic",
        "239.607 kPa",
        lambda: _leaning("vesic", 0, 50e3),
        "Vesic1975",
        "formula from memory",
    ),
    derived(
        "leaning-clay-hansen",
        "Same on clay of 50 kPa, Hansen",
        "237.828 kPa",
        lambda: _leaning("hansen", 0, 50e3),
        "Hansen1970",
        "formula from memory",
    ),
    derived(
        "platform-punching",
        "Patch 0.5 x 2.4 m on 0.5 m of platform at 40 degrees over clay of 40 kPa",
        "280.69 kPa",
        lambda: platform_capacity(40e3, 0.5, 20e3, radians(40.0), 0.5, 2.4).pressure,
        "BR470",
        "formula from memory",
    ),
    derived(
        "platform-spread",
        "Same, by load spread 1 in 2 alone",
        "531.30 kPa",
        lambda: platform_capacity(40e3, 0.5, 20e3, radians(40.0), 0.5, 2.4).load_spread,
        "BR470",
        "formula from memory",
    ),
    derived(
        "subgrade-half-space",
        "k of a half-space of 7500 psi under the 30 in plate",
        "333.3",
        lambda: reaction_from_modulus(7500.0 * _PSI) / _PCI,
        "PalmerBarber1940",
        "formula seen, value derived; in pci",
    ),
    derived(
        "subgrade-sand-size",
        "k of sand under 1.2 m, over that under 0.3 m",
        "0.390625",
        lambda: reaction_for_size(1.0, 1.2, "sand"),
        "Terzaghi1955",
        "formula from memory",
    ),
    derived(
        "subgrade-clay-size",
        "k of clay under 1 x 2 m, over that under 0.3 m",
        "0.25000",
        lambda: reaction_for_size(1.0, 1.0, "clay", 2.0),
        "Terzaghi1955",
        "formula from memory",
    ),
    derived(
        "cbr-strength",
        "Undrained strength from a CBR of 3 %",
        "69.000 kPa",
        lambda: cohesion_from_cbr(0.03),
        "Black1962",
        "formula from memory",
    ),
    derived(
        "settle-rigid",
        "Rigid plate of 0.2 m radius under 100 kN, same soil",
        "11.3750 mm",
        lambda: rigid_circle_settlement(100e3, 0.2, 20e6, 0.3),
    ),
)
