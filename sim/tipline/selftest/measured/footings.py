"""Footings loaded until they sank in: on sands from published tables, five large ones, one on soft clay.

Where: [FootingTestTable], [BriaudGibbens1994], [BothkennarFooting]. Soils told as lighter than 13.5 kN/m3 lie under
water, where only their buoyant weight counts (from memory: the tests of Muhs and Weiss, 1969 to 1973).
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from math import pi, radians, sqrt
from typing import NamedTuple

from tipline.closing_in import closed_in
from tipline.floors.modes.ground import GroundLayer, Sunk, bearing_mode
from tipline.floors.places.patch import Patch
from tipline.mechanics.soils import soil_class
from tipline.mechanics.subgrade import settlement_near_failure
from tipline.selftest.measured.comparison import MeasuredKind, Measurement, ToldRatio

__all__ = ["KINDS", "WATER", "LoadedFooting", "loaded_footings"]

SOILS = """
9.85 34.9 | 0.6 0.3 2: 270
10.2 37.7 | 0.6 0 2: 200 | 0.6 0.3 2: 570 | 0.5 0 1: 154 165 | 0.5 0 2: 203 195 | 0.5 0 3: 214 | 0.52 0 3.85: 186
10.2 37.7 | 0.5 0.3 1: 681 | 0.5 0.3 2: 542 530 | 0.5 0.3 3: 402 | 0.52 0.3 3.85: 413
10.85 44.8 | 0.6 0 2: 860 | 0.6 0.3 2: 1760
11.7 37 | 0.5 0 1: 111 132 | 0.5 0 2: 143 | 0.5 0.013 1: 137 | 0.5 0.029 4: 109 | 0.5 0.127 4: 187
11.7 37 | 0.5 0.3 1: 406 446 | 0.5 0.3 4: 322 | 0.5 0.5 2: 565 | 0.5 0.5 4: 425
11.77 37 | 0.5 0 2: 123 134 | 0.5 0.3 1: 370 | 0.5 0.5 2: 464
11.97 39 | 1 0.2 3: 710
11.93 40 | 1 0 3: 630
12 40 | 0.5 0 4: 461 | 0.5 0.5 4: 1140
12.27 42 | 0.5 0.49 4: 1492
12.41 44 | 0.5 0 1: 782 | 0.5 0 4: 797 | 0.5 0.3 1: 1940 | 0.5 0.5 2: 2847 | 0.5 0.5 4: 2033
15.8 32 | 0.991 0.711 1: 1773.7 | 1.492 0.762 1: 1540 | 2.489 0.762 1: 1158 | 3.004 0.762 1: 1019.4
15.8 32 | 3.016 0.889 1: 1161.2
17.1 42.8 | 0.3 0 1: 404
19.5 38.75 | 1 0 1: 377 368 335 305 400 296 390 435 | 0.71 0 1: 438.4
16.8 40.55 | 1 0 1: 773 685 560 500 598 584 716 825 922 659 640 626 726 927 | 0.7 0 1: 612.25
20.8 44.95 | 0.75 0 1: 856.9 1020.44 | 0.45 0 1: 953.09 454.32
20.8 45.7 | 0.3 0 1: 422.23 600 900 1688.89
14.6 31.95 | 0.91 0 1: 324.84 | 0.61 0 1: 94.06 196.18 322.49 | 0.46 0 1: 259.92
19 37 | 0.61 0 1: 257.99
17.1 39.75 | 0.8 0 1: 348.44 | 0.63 0 1: 365.33 | 0.46 0 1: 103.97
15.8 37.9 | 0.31 0 1: 478.67
20.4 41 | 1.2 0 1: 1129.86 978.47 | 0.3 0 1: 1277.78 522.22 811.11 333.33 233.33
16.2 40.8 | 0.76 0 1: 744.46 | 0.31 0 1: 260.15 468.26
"""
"""Weight [kN/m3] and angle [degree] | width [m], depth [m], length over width: pressures [kPa], all as printed."""
UNDER_WATER = 13.5
WATER = 9.81
"""Weight of water [kN/m3]: by definition of a buoyant weight, what it takes off."""
_DRY = 9.0
_MIDDLE = 0.5
_AT_25 = (("0.991 m", "850 kN"), ("1.492 m", "1500 kN"), ("2.489 m", "3600 kN"), ("3.004 m", "4500 kN"),
          ("3.016 m", "5200 kN"))  # fmt: skip
"""The five footings of 15.8 kN/m3 and 32 degrees: load at a settlement of 25 mm, from memory of [BriaudGibbens1994]."""
_SETTLED = 0.025
_POISSON = 0.3
"""Of sand that drains, as in the law of what is punched out of a slab (common practice, no source)."""


class LoadedFooting(NamedTuple):
    """One footing: weight [kN/m3], angle [degree], width, depth [m], length over width; pressure measured [kPa]."""

    weight: float
    angle: float
    width: float
    depth: float
    ratio: float
    printed: str

    @property
    def pressure(self) -> float:
        """The measured pressure [Pa]."""
        return 1e3 * float(self.printed)

    @property
    def under_water(self) -> bool:
        """Whether only the buoyant weight of its soil counts."""
        return self.weight < UNDER_WATER


def loaded_footings() -> Iterator[LoadedFooting]:
    """Yield the tests of the table."""
    for line in SOILS.strip().splitlines():
        soil, *sizes = line.split("|")
        for size in sizes:
            place, pressures = size.split(":")
            weight, angle, width, depth, ratio = map(float, (*soil.split(), *place.split()))
            for printed in pressures.split():
                yield LoadedFooting(weight, angle, width, depth, ratio, printed)


def _expected(footing: LoadedFooting) -> float:
    """Return the pressure [Pa] at which it is expected to sink in, midway between the authors of the formulas."""
    patch = Patch("footing", (0.0, 0.0), 0.0, footing.width, footing.ratio * footing.width, 1.0)
    sand = GroundLayer("sand", undrained=False, start="")
    known = {
        "cohesion": 0.0,
        "friction_angle": radians(footing.angle),
        "unit_weight": 1e3 * (footing.weight + (WATER if footing.under_water else 0.0)),
        "author": _MIDDLE,
        "water_depth": 0.0 if footing.under_water else _DRY,
    }
    return float(bearing_mode(patch, sand, 0.0, Sunk(footing.depth, footing.depth)).ask(known)[1])


def _load_at_25(footing: LoadedFooting) -> float:
    """Return the load [N] at which it is expected to have settled by 25 mm, its stiffness told by word."""
    area = footing.width**2
    capacity, radius = _expected(footing) * area, sqrt(area / pi)
    stiffness = soil_class("medium sand").modulus.likely

    def settled(load: float) -> bool:
        return settlement_near_failure(load, capacity, radius, stiffness, _POISSON) >= _SETTLED

    return closed_in(settled, 0.0, capacity, most=50)[0]


def _large() -> Iterator[Measurement]:
    by_width = {
        f"{footing.width:.3f} m": footing
        for footing in loaded_footings()
        if (footing.weight, footing.angle) == (15.8, 32.0)
    }
    for width, printed in _AT_25:
        yield Measurement(f"load at 25 mm, {width} square", printed, partial(_load_at_25, by_width[width]))


def _named(footing: LoadedFooting) -> str:
    shape = f"{footing.width:g} x {footing.ratio * footing.width:.4g} m, {footing.depth:g} m deep"
    return f"{shape}, {footing.weight:g} kN/m3, {footing.angle:g} deg"


KINDS = (
    MeasuredKind(
        "footings on sand",
        "Footings and plates, 0.3 to 3 m wide, on sands of measured angle and weight: greatest pressure",
        ("FootingTestTable", "BriaudGibbens1994"),
        "read at second hand",
        "bearing of the ground, midway between four authors, no cohesion",
        tuple(
            Measurement(_named(footing), f"{footing.printed} kPa", partial(_expected, footing))
            for footing in loaded_footings()
        ),
        "Right on the mean; one footing in three lies outside 0.65 to 1.5 times ours. Of 1 m and wider ours is a "
        "quarter too high (0.81), of narrower ones a tenth too low (1.11): strength falls with pressure, which one "
        "angle does not tell. One angle also stands for a whole site of loose and dense places.",
    ),
    MeasuredKind(
        "large footings at 25 mm",
        "Five footings 1 to 3 m square on medium dense silty sand: load at a settlement of 25 mm",
        ("BriaudGibbens1994", "FootingTestTable"),
        "from memory",
        'settlement that grows towards failure, stiffness by the word "medium sand"',
        tuple(_large()),
        "The ground was nearly twice as stiff as the word tells. A word's stiffness is that of sand that was never "
        "loaded before; what was laid down and dug away, or dried out, is stiffer. A plate test in the floor file "
        "takes the place of the word.",
    ),
    MeasuredKind(
        "footing on soft clay",
        "Footing of 2.2 m on soft sensitive clay: strength found by it over the peak in triaxial compression",
        ("BothkennarFooting",),
        "read in its abstract",
        "bearing of clay, undrained strength as measured",
        (ToldRatio("the least told: 30 % less", 0.70),),
        "Sensitive clay gives way bit by bit and never has its peak strength everywhere at once; nothing of ours "
        "takes that off. What is told as measured counts down to 0.80 of itself with us, so this lies below.",
    ),
    MeasuredKind(
        "granular platforms over clay",
        "Footings on sand or stone over clay, small, in a centrifuge and in the field: greatest pressure",
        ("PlatformMethods85Cases", "LeeRandolphCassidy2013", "OkamuraEtAl1997"),
        "read in its abstract",
        "platform over clay, the least of punching, of the clay under a spread, and of the platform itself",
        (),
        "Of 85 cases load spread and punching, each alone, told too much in some and too little in others, and none of "
        "the methods caught the thickness of the platform; of 49 in a centrifuge both were worse than a block like a "
        "cone, whose sides go wider with thicker sand and weaker clay. Ours takes the least of the two and one angle "
        "for each. By how much they were off is not in the abstracts, and no single load was read.",
    ),
)
