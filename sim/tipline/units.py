"""Quantities as text with a unit, read into SI and shown again; a small table, nothing guessed.

Units are case-sensitive. A "ton" is refused, because it means 907, 1000 or 1016 kg by country.

Source: conversion factors are exact by definition (international yard and pound, 1959; standard gravity
9.80665 m/s2), from memory.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Sequence
from decimal import Decimal
from functools import lru_cache
from itertools import pairwise
from typing import Literal

__all__ = [
    "DIMENSIONS", "FOOT", "FREEZING", "INCH", "KM_PER_HOUR", "MILE_PER_HOUR", "MILLIMETRE", "MILLISECOND", "POUND",
    "POUND_FORCE", "SI_UNIT", "STANDARD_GRAVITY", "System", "exact", "full", "parse", "restate", "retyped", "show",
    "show_alike", "show_span", "units_of",
]  # fmt: skip

System = Literal["si", "us"]
"""Units in which quantities are shown."""
STANDARD_GRAVITY = 9.80665
"""Standard gravity [m/s2]: the conventional value, ISO 80000-3, from memory."""
FREEZING = 273.15
"""0 degC in kelvin."""
_FT, _IN, _LB, _G = 0.3048, 0.0254, 0.45359237, STANDARD_GRAVITY
_LBF = _LB * _G
FOOT, INCH, POUND, POUND_FORCE, KM_PER_HOUR, MILE_PER_HOUR = _FT, _IN, _LB, _LBF, 1 / 3.6, 0.44704
MILLIMETRE, MILLISECOND = 1e-3, 1e-3
"""One of each in SI: for pages and pictures whose unit is chosen by the place and not by `show`."""
_DEG = math.pi / 180.0
_PSI = _LBF / _IN**2

_LENGTH = {"m": 1.0, "cm": 0.01, "mm": 0.001, "km": 1000.0, "in": _IN, "ft": _FT, "yd": 3 * _FT}
_MASS = {"kg": 1.0, "t": 1000.0, "tonne": 1000.0, "g": 0.001, "lb": _LB, "short_ton": 2000 * _LB}
_FORCE = {"N": 1.0, "kN": 1e3, "MN": 1e6, "kgf": _G, "lbf": _LBF, "kip": 1000 * _LBF}
_SPEED = {
    "m/s": 1.0,
    "mm/s": 1e-3,
    "km/h": KM_PER_HOUR,
    "ft/s": _FT,
    "in/s": _IN,
    "ft/min": _FT / 60,
    "mph": MILE_PER_HOUR,
}
_ANGLE = {"rad": 1.0, "mrad": 1e-3, "deg": _DEG}
_TORQUE = {"Nm": 1.0, "kNm": 1e3, "MNm": 1e6, "lbfft": _LBF * _FT}

# "N m", "N*m" and "Nm" are one unit; the key is the one without the blank.
_UNITS: dict[str, dict[str, float]] = {
    "length": _LENGTH,
    "mass": _MASS,
    "force": _FORCE,
    "time": {"s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0},
    "speed": _SPEED,
    "acceleration": {"m/s2": 1.0, "g": _G, "ft/s2": _FT},
    "angle": _ANGLE,
    "angular_speed": {"rad/s": 1.0, "deg/s": _DEG},
    "slope": {**_ANGLE},
    "stiffness": {
        "N/m": 1.0,
        "kN/m": 1e3,
        "MN/m": 1e6,
        "N/mm": 1e3,
        "kN/mm": 1e6,
        "lbf/in": _LBF / _IN,
        "kip/in": 1000 * _LBF / _IN,
    },
    "torsion_stiffness": {
        "Nm/rad": 1.0,
        "kNm/rad": 1e3,
        "MNm/rad": 1e6,
        "Nm/deg": 1 / _DEG,
        "kNm/deg": 1e3 / _DEG,
        "lbfft/deg": _LBF * _FT / _DEG,
    },
    "pressure": {
        "Pa": 1.0,
        "kPa": 1e3,
        "MPa": 1e6,
        "GPa": 1e9,
        "bar": 1e5,
        "N/mm2": 1e6,
        "kN/m2": 1e3,
        "psi": _PSI,
        "ksi": 1e3 * _PSI,
        "psf": _LBF / _FT**2,
        "ksf": 1e3 * _LBF / _FT**2,
    },
    "areal_load": {"Pa": 1.0, "kPa": 1e3, "kN/m2": 1e3, "psf": _LBF / _FT**2, "ksf": 1e3 * _LBF / _FT**2, "psi": _PSI},
    "pressure_gradient": {"Pa/m": 1.0, "kPa/m": 1e3, "MPa/m": 1e6, "MN/m3": 1e6, "kN/m3": 1e3, "psi/in": _PSI / _IN},
    "subgrade_reaction": {
        "N/m3": 1.0,
        "kN/m3": 1e3,
        "MN/m3": 1e6,
        "MPa/m": 1e6,
        "pci": _PSI / _IN,
        "psi/in": _PSI / _IN,
    },
    "unit_weight": {"N/m3": 1.0, "kN/m3": 1e3, "pcf": _LBF / _FT**3, "lbf/ft3": _LBF / _FT**3},
    "density": {"kg/m3": 1.0, "t/m3": 1000.0, "tonne/m3": 1000.0, "lb/ft3": _LB / _FT**3},
    "inertia": {"kgm2": 1.0, "tm2": 1000.0, "lbft2": _LB * _FT**2},
    "ratio": {"%": 0.01},
    "torque": _TORQUE,
    "frequency": {"Hz": 1.0, "kHz": 1000.0},
    "energy": {"J": 1.0, "kJ": 1e3, "MJ": 1e6, "Wh": 3600.0, "ftlbf": _LBF * _FT},
    "temperature": {"K": 1.0, "degC": 1.0, "degF": 5 / 9},
    "area_per_length": {"m2/m": 1.0, "mm2/m": 1e-6, "cm2/m": 1e-4, "in2/ft": _IN**2 / _FT},
    "area": {"m2": 1.0, "cm2": 1e-4, "mm2": 1e-6, "ft2": _FT**2, "in2": _IN**2},
}
DIMENSIONS = tuple(_UNITS)

_SPELLED = {
    "Nm": "N m", "kNm": "kN m", "MNm": "MN m", "lbfft": "lbf ft", "Nm/rad": "N m/rad", "kNm/rad": "kN m/rad",
    "MNm/rad": "MN m/rad", "Nm/deg": "N m/deg", "kNm/deg": "kN m/deg", "lbfft/deg": "lbf ft/deg", "kgm2": "kg m2",
    "tm2": "t m2", "lbft2": "lb ft2", "ftlbf": "ft lbf",
}  # fmt: skip
# The unit whose factor is 1: a value written in it reads back to the same bits.
SI_UNIT = {
    name: _SPELLED.get(unit, unit)
    for name, table in _UNITS.items()
    for unit in [next((unit for unit, factor in table.items() if factor == 1.0), "")]
}
_JOINED = {spelled: unit for unit, spelled in _SPELLED.items()}
_SLOPE_UNITS = ("%", "deg", "rad", "1:50", "mm/m", "in/ft")
_RISE = {"%": 0.01, "mm/m": 0.001, "cm/m": 0.01, "in/ft": 1 / 12}
_OFFSET = {"degC": 273.15, "degF": 459.67 * 5 / 9}

_BLANKS = re.compile("[\u00a0\u2007\u2009\u202f]")
"""Blanks that word processors put between a number and its unit, so that no line is broken there."""
_NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_QUANTITY = re.compile(rf"({_NUMBER})\s*([^\s0-9+\-.,:][^,:]*)?", re.ASCII)
_FEET_INCHES = re.compile(r"([+-]?)([0-9]+)\s*ft\s+([0-9]+(?:\.[0-9]+)?)\s*in", re.ASCII)
_RATIO_SLOPE = re.compile(rf"({_NUMBER})\s*:\s*({_NUMBER})", re.ASCII)
_TONS = {"ton", "tons", "Ton", "Tons", "TON"}
_TON_REMEDY = "a ton is 907, 1000 or 1016 kg by country: write tonne (1000 kg) or short_ton (907.185 kg)"


def units_of(dimension: str) -> tuple[str, ...]:
    """Return the units a dimension may be written in, the way a user writes them."""
    if dimension == "slope":
        return _SLOPE_UNITS
    return tuple(_SPELLED.get(unit, unit) for unit in _UNITS[dimension])


@lru_cache(maxsize=1024)
def parse(text: str, dimension: str) -> float:
    """Return the SI value of a quantity such as ``"115 mm"``, ``"6 ft 3 in"``, ``"2 %"`` or ``"1:50"``.

    ``dimension`` is one of `DIMENSIONS`. A slope becomes its angle [rad]. Raises ValueError in plain words when
    the unit is absent, unknown, ambiguous or of another dimension, and when the value is not finite.
    """
    text = _BLANKS.sub(" ", text).strip()
    special = _parse_special(text, dimension)
    if special is not None:
        return _finite(special, text)
    match = _QUANTITY.fullmatch(text)
    if match is None:
        raise ValueError(_unreadable(text, dimension))
    number, unit = float(match[1]), _squeeze(match[2] or "")
    if not unit:
        if dimension == "ratio":
            return _finite(number, text)
        msg = f"a number without a unit; write one of {_list(dimension)}"
        raise ValueError(msg)
    if dimension == "slope" and unit in _RISE:
        return _finite(math.atan(number * _RISE[unit]), text)
    factor = _UNITS[dimension].get(unit)
    if factor is None:
        raise ValueError(_unknown_unit((match[2] or "").strip(), dimension))
    value = number * factor
    return _finite(value + _OFFSET[unit] if unit in _OFFSET else value, text)


def _parse_special(text: str, dimension: str) -> float | None:
    if dimension == "length" and (match := _FEET_INCHES.fullmatch(text)):
        size = float(match[2]) * _FT + float(match[3]) * _IN
        return -size if match[1] == "-" else size
    if dimension == "slope" and (match := _RATIO_SLOPE.fullmatch(text)):
        rise, run = float(match[1]), float(match[2])
        if run == 0.0:
            msg = "a slope ratio needs a length other than 0, such as 1:50"
            raise ValueError(msg)
        return math.atan(rise / run)
    return None


def _squeeze(unit: str) -> str:
    for old, new in (("*", " "), ("·", " "), ("^", ""), ("²", "2"), ("³", "3"), ("°C", "degC"), ("°", "deg")):
        unit = unit.replace(old, new)
    return _JOINED.get(unit, unit)


def _finite(value: float, text: str) -> float:
    if not math.isfinite(value):
        msg = f"{_clip(text)} is not a finite number"
        raise ValueError(msg)
    return value


def _unreadable(text: str, dimension: str) -> str:
    if text.lower().lstrip("+-").startswith(("nan", "inf")):
        return "not a finite number; give a number with a unit"
    if re.match(r"[+-]?[0-9]+,[0-9]", text):
        return "a comma in a number can be read two ways; write 5.2 or 10000, with a point and no thousands mark"
    if not text:
        return f"empty; give a number with one of {_list(dimension)}"
    return f"not a number with a unit; write a number and one of {_list(dimension)}"


def _unknown_unit(unit: str, dimension: str) -> str:
    kind = dimension.replace("_", " ")
    if unit in _TONS and dimension == "mass":
        return f'"{unit}" is refused: {_TON_REMEDY}'
    other = next((name for name, units in _UNITS.items() if _squeeze(unit) in units), None)
    if other is not None:
        named = "tonne, a unit of mass" if unit == "t" else f"a unit of {other.replace('_', ' ')}"
        return f'"{unit}" is {named}, but {kind} is needed; use one of {_list(dimension)}'
    known = {name.lower(): name for name in units_of(dimension)}
    near = difflib.get_close_matches(unit.lower(), known, n=1, cutoff=0.6)
    hint = f', did you mean "{known[near[0]]}"?' if near else ";"
    return f'unknown {kind} unit "{_clip(unit)}"{hint} use one of {_list(dimension)}'


def _list(dimension: str) -> str:
    return ", ".join(units_of(dimension))


def _clip(text: str, most: int = 40) -> str:
    return text if len(text) <= most else text[:most] + "..."


# Dimension -> (unit shown, its factor, used from this size on); the last row serves what is smaller.
_Row = tuple[str, float, float]
_SHOWN: dict[str, dict[str, tuple[_Row, ...]]] = {
    "si": {
        "length": (("m", 1.0, 1.0), ("mm", 0.001, 0.0)),
        "mass": (("tonne", 1000.0, 1000.0), ("kg", 1.0, 0.0)),
        "force": (("kN", 1e3, 1e3), ("N", 1.0, 0.0)),
        "time": (("s", 1.0, 0.1), ("ms", 1e-3, 0.0)),
        "speed": (("m/s", 1.0, 0.1), ("mm/s", 1e-3, 0.0)),
        "acceleration": (("m/s2", 1.0, 0.0),),
        "angle": (("deg", _DEG, 0.0),),
        "angular_speed": (("deg/s", _DEG, 0.0),),
        "stiffness": (("MN/m", 1e6, 1e6), ("kN/m", 1e3, 0.0)),
        "torsion_stiffness": (("MN m/rad", 1e6, 1e6), ("kN m/rad", 1e3, 0.0)),
        "pressure": (("MPa", 1e6, 1e6), ("kPa", 1e3, 0.0)),
        "areal_load": (("kN/m2", 1e3, 0.0),),
        "pressure_gradient": (("MPa/m", 1e6, 1e6), ("kPa/m", 1e3, 0.0)),
        "subgrade_reaction": (("MN/m3", 1e6, 1e6), ("kN/m3", 1e3, 0.0)),
        "unit_weight": (("kN/m3", 1e3, 0.0),),
        "density": (("kg/m3", 1.0, 0.0),),
        "inertia": (("kg m2", 1.0, 0.0),),
        "torque": (("kN m", 1e3, 1e3), ("N m", 1.0, 0.0)),
        "frequency": (("Hz", 1.0, 0.0),),
        "energy": (("kJ", 1e3, 1e3), ("J", 1.0, 0.0)),
        "area_per_length": (("mm2/m", 1e-6, 0.0),),
        "area": (("m2", 1.0, 0.0),),
    },
    "us": {
        "length": (("ft", _FT, 3 * _FT), ("in", _IN, 0.0)),
        "mass": (("lb", _LB, 0.0),),
        "force": (("lbf", _LBF, 0.0),),
        "speed": (("ft/s", _FT, 0.1 * _FT), ("in/s", _IN, 0.0)),
        "acceleration": (("ft/s2", _FT, 0.0),),
        "stiffness": (("lbf/in", _LBF / _IN, 0.0),),
        "torsion_stiffness": (("lbf ft/deg", _LBF * _FT / _DEG, 0.0),),
        "pressure": (("psi", _PSI, 0.0),),
        "areal_load": (("psf", _LBF / _FT**2, 0.0),),
        "pressure_gradient": (("psi/in", _PSI / _IN, 0.0),),
        "subgrade_reaction": (("pci", _PSI / _IN, 0.0),),
        "unit_weight": (("pcf", _LBF / _FT**3, 0.0),),
        "density": (("lb/ft3", _LB / _FT**3, 0.0),),
        "inertia": (("lb ft2", _LB * _FT**2, 0.0),),
        "torque": (("lbf ft", _LBF * _FT, 0.0),),
        "energy": (("ft lbf", _LBF * _FT, 0.0),),
        "area_per_length": (("in2/ft", _IN**2 / _FT, 0.0),),
        "area": (("ft2", _FT**2, 0.0),),
    },
}

# The units that our texts use and that US texts replace, to the dimension and factor.
_SAID_UNITS = {
    unit: (dimension, factor)
    for dimension, rows in _SHOWN["si"].items()
    if dimension in _SHOWN["us"]
    for unit, factor, _ in rows
}
_SAID = re.compile(
    rf"(?<![\w.,+-])({_NUMBER}) "
    rf"(km/h|degC|{'|'.join(sorted(map(re.escape, _SAID_UNITS), key=len, reverse=True))})(?![\w/])",
    re.ASCII,
)

_LONG = re.compile(
    rf"(?<![\w.])[0-9]{{4,}}(?= (?:{'|'.join(row[0] for rows in _SHOWN['us'].values() for row in rows)})\b)"
)


def show(value: float, dimension: str, system: System = "si", digits: int = 3) -> str:
    """Return an SI value as text with a unit, to so many significant digits and no trailing zeros.

    A slope [rad] is shown in percent, a ratio as a plain number, a temperature [K] in degC or degF.
    """
    if not math.isfinite(value):
        return "not finite"
    if dimension == "slope":
        return f"{_digits(100 * math.tan(value), digits)} %"
    if dimension == "ratio":
        return _digits(value, digits)
    if dimension == "temperature":
        celsius = value - 273.15
        return f"{_digits(celsius, digits)} degC" if system == "si" else f"{_digits(celsius * 1.8 + 32, digits)} degF"
    unit, factor = _shown_in(value, dimension, system)
    return f"{_digits(value / factor, digits)} {unit}"


def _shown_in(value: float, dimension: str, system: System) -> tuple[str, float]:
    """Return the unit a value is shown in, and its factor."""
    rows = _SHOWN[system].get(dimension) or _SHOWN["si"][dimension]
    if value == 0.0:
        return rows[0][:2]
    return next(row[:2] for row in rows if abs(value) * (1 + 1e-9) >= row[2])


def full(value: float, dimension: str, system: System = "si") -> str:
    """Return an SI value as text to as many digits, from 3 to 6, as tell it whole.

    Where none of these does: to 4, in US units to as many as tell it in SI, so that none looks finer than it was.
    """
    enough = _enough(value, dimension, system)
    if system == "us" and enough is None:
        return show(value, dimension, system, _enough(value, dimension, "si") or 3)
    return show(value, dimension, system, enough or 4)


def _enough(value: float, dimension: str, system: System) -> int | None:
    """Return how many digits, from 3 to 6, tell a value whole; None where these do not."""
    whole = float(show(value, dimension, system, 12).split()[0])
    near = (float(show(value, dimension, system, digits).split()[0]) for digits in range(3, 7))
    return next((digits for digits, number in enumerate(near, 3) if math.isclose(number, whole, rel_tol=1e-8)), None)


def show_span(low: float, high: float, dimension: str, system: System = "si", digits: int = 3) -> str:
    """Return from where to where, both in the unit of the greater one."""
    return " to ".join(show_alike((low, high), dimension, system, digits))


def show_alike(values: Sequence[float], dimension: str, system: System = "si", digits: int = 3) -> tuple[str, ...]:
    """Return SI values as `show` does, but all in the unit of the greatest: a range, or the two figures of a place."""
    if dimension not in _SHOWN["si"] or not all(map(math.isfinite, values)):
        return tuple(show(value, dimension, system, digits) for value in values)
    unit, factor = _shown_in(max(values, key=abs), dimension, system)
    return tuple(f"{_digits(value / factor, digits)} {unit}" for value in values)


def exact(value: float, dimension: str) -> str:
    """Return an SI value as text that `parse` reads back to the same bits, in the unit shown that needs few digits."""
    shown = [("%", math.tan(value) / 0.01), ("deg", value / _DEG)] if dimension == "slope" else []
    shown += [(unit, value / factor) for unit, factor, _ in _SHOWN["si"].get(dimension, ())]
    for unit, number in shown:
        text = f"{number:.9g} {unit}"
        if parse(text, dimension) == value:
            return text
    return f"{value!r} {SI_UNIT[dimension]}"


def retyped(text: str, dimension: str, system: System) -> str:
    """Return a quantity as somebody typed it, to four digits in US units where these are asked for.

    What is in them already, or has no other unit there, stays as it is.
    """
    if system == "si" or dimension not in _SHOWN["us"]:
        return text
    value = parse(text, dimension)
    match = _QUANTITY.fullmatch(_BLANKS.sub(" ", text).strip())
    unit = "" if match is None else _squeeze(match[2] or "")
    if match is None or unit.startswith(_US_STARTS):
        return text
    if unit == "km/h":
        return f"{_digits(value / MILE_PER_HOUR, 4)} mph"
    return show(value, dimension, system, 4)


_US_STARTS = ("in", "ft", "yd", "lb", "short", "kip", "mph", "psi", "psf", "pc", "ksi", "ksf")
"""How units of the inch, the foot and the pound begin, no others do."""


def restate(text: str, system: System) -> str:
    """Return a text of ours with each quantity in it, such as "115 mm", in the units of the system.

    A restated number has the fewest digits, three as a rule at most, that leave it within half of the last place its
    origin is written to, in this text, and within 1 % of it, 2 % where that has one digit and neither weighs nor
    carries: 5 km/h is 3.1 mph, not 3.11. What differs in the text goes on to differ. US texts have commas between
    thousands, as in 4,530 lbf, for readers only: `parse` does not take them. Both ends of "840 mm to 982 mm" get the
    unit of the greater one: 2.76 ft to 3.22 ft.
    """
    if system == "si":
        return text
    places: dict[str, int] = {}
    for number, unit in _SAID.findall(text):
        places[unit] = min(places.get(unit, 0), _place(number))
    greater = _greater_ends(text)
    most = _MOST_DIGITS
    while True:
        numbers: dict[tuple[str, str], set[float]] = {}

        def again(said: re.Match[str], most: int = most, numbers: dict[tuple[str, str], set[float]] = numbers) -> str:
            words, value = _restated(said[1], said[2], places[said[2]], most, greater.get(said.start(), 0.0))
            numbers.setdefault((said[2], words), set()).add(value)
            return words

        restated = _SAID.sub(again, text)
        if most > 2 * _MOST_DIGITS or all(len(values) == 1 for values in numbers.values()):
            return _LONG.sub(lambda number: f"{int(number[0]):,}", restated)
        most += 1


_MOST_DIGITS = 3
_NEAR, _NEAR_ROUND = 0.01, 0.02
"""How far a restated number may lie from its origin, as a part of it: our choice; an inch is 1.6 % over 25 mm."""
_WEIGHS = ("mass", "force", "torque", "pressure", "areal_load")


def _place(number: str) -> int:
    """Return the place of the last digit that is written, as a power of ten; -1 for tenths."""
    exponent = Decimal(number).as_tuple().exponent
    return exponent if isinstance(exponent, int) else 0


def _greater_ends(text: str) -> dict[int, float]:
    """Return the greater end [SI] of the range that a quantity is an end of, by the quantity's place in the text."""
    greater: dict[int, float] = {}
    for low, high in pairwise(_SAID.finditer(text)):
        (dimension, small), (other, great) = (_SAID_UNITS.get(said[2], ("", 0.0)) for said in (low, high))
        if dimension and dimension == other and text[low.end() : high.start()] == " to ":
            greater[low.start()] = greater[high.start()] = max(abs(float(low[1])) * small, abs(float(high[1])) * great)
    return greater


def _restated(number: str, unit: str, place: int, most: int, greater: float) -> tuple[str, float]:
    """Return a quantity of a text in US units, in those that ``greater`` [SI] has where that is more; its number."""
    value = float(number)
    if unit == "degC":
        return f"{value * 9 / 5 + 32:.0f} degF", value
    if unit == "km/h":
        dimension, factor, there = "speed", KM_PER_HOUR, ("mph", MILE_PER_HOUR)
    else:
        dimension, factor = _SAID_UNITS[unit]
        there = _shown_in(max(abs(value) * factor, greater), dimension, "us")
    exact_there, half = value * factor / there[1], 0.5 * 10.0**place * factor / there[1]
    digits = len(Decimal(number).normalize().as_tuple().digits)
    near = _NEAR_ROUND if digits == 1 and dimension not in _WEIGHS else _NEAR
    most = max(most, digits)
    texts = (_digits(exact_there, count) for count in range(1, most))
    off = min(half, near * abs(exact_there)) * (1.0 + 1e-9)
    text = next((text for text in texts if abs(float(text) - exact_there) <= off), _digits(exact_there, most))
    return f"{text} {there[0]}", value


def _digits(value: float, digits: int) -> str:
    if value == 0.0:
        return "0"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    text = f"{round(value, places):.{max(places, 0)}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
