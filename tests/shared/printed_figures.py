"""Figures as a page prints them, read back with half a unit of their last digit, and as summary.json has them."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from tipline import units
from tipline.units import System

__all__ = ["Figure", "apart", "at", "figures_in", "of", "of_leaf", "share", "slope"]

DIGITS = 3
"""What a page shows where it does not round by decimals."""
_SHOWN = {
    "si": "m mm kg tonne kN N s ms m/s mm/s km/h m/s2 deg deg/s MN/m kN/m N/m MPa kPa kN/m2 MN/m3 kN/m3 kJ J % kg/m3",
    "us": "ft in lb lbf s ms ft/s in/s mph ft/s2 deg deg/s lbf/in psi psf pci pcf in/ft %",
}
_LONG = {"si": ("MN m/rad", "kN m/rad", "kN m", "N m", "mm2/m"), "us": ("lbf ft/deg", "ft lbf", "lbf ft", "in2/ft")}
"""Units of two words, which are looked for first."""
_FAMILY = {"%": "%", "km/h": "m/s", "in/ft": "%"}
_DIMENSIONS = {unit: name for name in units.DIMENSIONS if name != "slope" for unit in units.units_of(name)}
_SUFFIX = {
    "kN": ("N", 1e3), "mm": ("m", 1e-3), "m": ("m", 1.0), "s": ("s", 1.0), "kJ": ("J", 1e3), "kg": ("kg", 1.0),
    "kPa": ("Pa", 1e3), "rad": ("rad", 1.0), "deg": ("rad", math.pi / 180.0), "percent": ("%", 0.01),
}  # fmt: skip


class Figure(NamedTuple):
    """A number in SI, the SI unit it is of ("%" for parts of one, "" for a bare number), and how far it may be off."""

    value: float
    unit: str
    half: float = 0.0


def of(value: float, unit: str, factor: float = 1.0) -> Figure:
    """A figure of a summary: its SI unit, and what its own unit is of that."""
    return Figure(value * factor, unit)


def of_leaf(name: str, value: float) -> Figure:
    """A figure of a summary whose name ends with its unit."""
    unit, factor = _SUFFIX[name.rpartition("_")[2]]
    return Figure(value * factor, unit)


def share(value: float) -> Figure:
    return Figure(value, "%")


def slope(radians: float) -> Figure:
    """A slope, which is shown in percent."""
    return Figure(math.tan(radians), "%")


def at(entry: Mapping[str, Any]) -> Figure:
    """A value with its SI unit beside it."""
    unit = str(entry["unit"])
    if unit == "rad":
        return slope(entry["value"])
    return Figure(entry["value"], unit or "%")


def figures_in(text: str, system: System = "si", digits: int = DIGITS) -> Iterator[Figure]:
    """Every number of a text, with its unit where one follows."""
    for match in _pattern(system).finditer(text):
        digits_shown, unit = match[1].replace(",", ""), (match[2] or "").replace("\u00a0", " ")
        number = float(digits_shown)
        half = _half(digits_shown, number, digits)
        factor, family = _si(unit)
        yield Figure(number * factor, family, half * factor)


def _pattern(system: System) -> re.Pattern[str]:
    names = sorted((*_LONG[system], *_SHOWN[system].split()), key=len, reverse=True)
    listed = "|".join(re.escape(name).replace(r"\ ", "[ \u00a0]") for name in names)
    return re.compile(rf"(?<![\w.,/\-])(-?\d[\d,]*(?:\.\d+)?)(?:[ \u00a0]({listed})(?![\w/]))?(?![\w])", re.ASCII)


def _half(shown: str, number: float, digits: int) -> float:
    """Half a unit of the last digit; zeros at the end of a number may stand for digits that were rounded away."""
    decimals = len(shown.partition(".")[2])
    half = 0.5 * 10.0**-decimals
    if number and not decimals and shown.endswith("0"):
        zeros = len(shown) - len(shown.rstrip("0"))
        rounded = math.floor(math.log10(abs(number))) + 1 - digits
        half = 0.5 * 10.0 ** max(0, min(zeros, rounded))
    return half * (1.0 + 1e-6)


def _si(unit: str) -> tuple[float, str]:
    if not unit:
        return 1.0, ""
    if unit == "%":
        return 0.01, "%"
    if unit == "in/ft":
        return 1.0 / 12.0, "%"
    dimension = _DIMENSIONS[unit]
    return units.parse(f"1 {unit}", dimension), units.SI_UNIT[dimension]


def apart(printed: Iterable[Figure], known: Iterable[Figure | None]) -> str:
    """Say where figures as printed and as known, in one order, are not the same; "" where they are."""
    seen, meant = list(printed), [figure for figure in known if figure is not None]
    if len(seen) != len(meant):
        return f"{len(seen)} figures are printed, {len(meant)} known: {seen} / {meant}"
    for one, other in zip(seen, meant, strict=True):
        bare = not one.unit and other.unit in ("%", "")
        if one.unit != other.unit and not bare:
            return f"{one} is not of the unit of {other}"
        if abs(one.value - other.value) > one.half + other.half + 1e-9 * abs(other.value):
            return f"{one} is not {other}"
    return ""
