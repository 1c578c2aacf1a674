"""Printed numbers as text: value, last digit, unit. "lbf" is written where a source says lb and means a force."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from tipline.units import FOOT as FT
from tipline.units import INCH as IN
from tipline.units import KM_PER_HOUR
from tipline.units import POUND as LB
from tipline.units import POUND_FORCE as LBF
from tipline.units import STANDARD_GRAVITY as G

__all__ = ["Printed", "digits_like", "read", "shortened"]

_UNITS = {
    "": 1.0,
    "%": 0.01,
    "m": 1.0,
    "mm": 1e-3,
    "in": IN,
    "ft": FT,
    "kg": 1.0,
    "t": 1000.0,
    "lb": LB,
    "N": 1.0,
    "kN": 1e3,
    "lbf": LBF,
    "in lbf": IN * LBF,
    "s": 1.0,
    "m/s": 1.0,
    "km/h": KM_PER_HOUR,
    "m/s2": 1.0,
    "ft/s2": FT,
    "g": G,
    "rad": 1.0,
    "deg": math.pi / 180.0,
    "Pa": 1.0,
    "kPa": 1e3,
    "MPa": 1e6,
    "GPa": 1e9,
    "psi": LBF / IN**2,
    "psf": LBF / FT**2,
    "kip": 1e3 * LBF,
    "kJ": 1e3,
    "kN m": 1e3,
    "MN m/rad": 1e6,
}
_TEXT = re.compile(r"^(-?[\d,]*\.?\d+)(?: to (-?[\d,]*\.?\d+))?(?: (\D.*))?$")


@dataclass(frozen=True)
class Printed:
    """A printed number, or a printed range, in its own unit."""

    low: float
    high: float
    half_digit: float
    unit: str
    unit_in_si: float


def read(text: str) -> Printed:
    """Read a printed number ("6,125 lb") or range ("87 to 94 %"); raise ValueError if it is neither."""
    match = _TEXT.match(text)
    unit = (match[3] or "") if match else ""
    if not match or unit not in _UNITS:
        msg = f"printed value {text!r}: must be a number, or two with 'to', then a unit out of {sorted(_UNITS)}"
        raise ValueError(msg)
    low, high = match[1], match[2] or match[1]
    half = 0.5 * 10.0 ** -min(_decimals(low), _decimals(high))
    return Printed(_number(low), _number(high), half, unit, _UNITS[unit])


def digits_like(value: float, text: str) -> str:
    """Write a value with one digit more than the printed text has, and at most ten after the point."""
    return f"{value:.{min(_decimals(text.split(maxsplit=1)[0]) + 1, 10)}f}"


def shortened(text: str) -> str:
    """Cut a printed number after its tenth decimal, with dots where digits were left out."""
    number, _, unit = text.partition(" ")
    left_out = _decimals(number) - 10
    return text if left_out <= 0 else f"{number[:-left_out]}.. {unit}".rstrip()


def _number(text: str) -> float:
    return float(text.replace(",", ""))


def _decimals(text: str) -> int:
    return len(text.partition(".")[2])
