"""Derived numbers: balance point, tyre loads, lean. Each was found by a second route outside this program."""

from __future__ import annotations

import math
from functools import partial

from tipline.oracles.statics import (
    balance_point,
    slope_gravity,
    tyre_loads,
)
from tipline.selftest.check import Check

__all__ = ["CHECKS"]

_SPRINGS = ((0.0, 0.85), (0.0, -0.85), (-1.9, 0.75), (-1.9, -0.75))
_STIFF = (3e6, 3e6, 2e6, 2e6)
_SQUARE = ((0.8, 0.8), (0.8, -0.8), (-0.8, 0.8), (-0.8, -0.8))
_NAMES = ("front left", "front right", "rear left", "rear right")


def _four(tyre: int) -> float:
    return float(tyre_loads(200e3, (-0.50, 0.12), _SPRINGS, _STIFF)[tyre])


def _three(tyre: int) -> float:
    return float(tyre_loads(150e3, (-0.10, 0.62), _SPRINGS, _STIFF)[tyre])


def _low_spot(tyre: int, depth: float = 8e-3) -> float:
    return float(tyre_loads(160e3, (0.0, 0.0), _SQUARE, (4e6,) * 4, (depth, 0.0, 0.0, 0.0))[tyre])


def _hung_margin() -> float:
    gravity = slope_gravity(math.atan(0.05), 0.0)
    return -float(balance_point([12e3, 4e3], [(-1.2, 0.0, 0.8), (1.4, 0.0, 3.0)], gravity)[0])


def _slope_shift(axis: int) -> float:
    gravity = slope_gravity(math.atan(0.04), math.radians(30.0))
    return float(balance_point([1.0], [(0.0, 0.0, 1.5)], gravity)[axis])


def _derived(name: str, what: str, printed: str, call: partial[float]) -> Check:
    return Check(name, what, printed, "Own", "", "derived here", call)


CHECKS = (
    *(
        _derived(f"four-springs-{tyre}", f"Truck on four springs, {_NAMES[tyre]} tyre", printed, partial(_four, tyre))
        for tyre, printed in enumerate(("82.9781 kN", "64.3904 kN", "31.7828 kN", "20.8488 kN"))
    ),
    *(
        _derived(
            f"one-clear-{tyre}",
            f"Same, one tyre clear of the floor, {_NAMES[tyre]} tyre",
            printed,
            partial(_three, tyre),
        )
        for tyre, printed in enumerate(("122.276 kN", "19.8297 kN", "7.89474 kN", "0.00000 kN"))
    ),
    *(
        _derived(
            f"low-spot-{tyre}",
            f"Square truck, front left over 8 mm, {_NAMES[tyre]} tyre",
            printed,
            partial(_low_spot, tyre),
        )
        for tyre, printed in enumerate(("32.0000 kN", "48.0000 kN", "48.0000 kN", "32.0000 kN"))
    ),
    _derived(
        "hung-load-slope",
        "Balance point behind the front axle, hung load, 5 % down",
        "482.500 mm",
        partial(_hung_margin),
    ),
    _derived("slope-shift-x", "Balance point moved by a 4 % slope, ahead", "51.96 mm", partial(_slope_shift, 0)),
    _derived("slope-shift-y", "Balance point moved by a 4 % slope, to the left", "30.00 mm", partial(_slope_shift, 1)),
)
