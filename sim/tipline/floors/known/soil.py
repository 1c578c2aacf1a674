"""Soil by word or by numbers as bands: strength, weight, stiffness, subgrade reaction.

Likely and pessimistic values by word are those of `mechanics.soils`; the optimistic end lies as far above the likely
one, in ratio, as the pessimistic one below (our own choice). Clay, silt and peat are asked by their undrained strength,
for a tyre comes and goes faster than they drain; sand and gravel by friction and cohesion. Under a patch as small as a
tyre's a few kPa of cohesion decide: a rolled base without any carries 100 to 500 kPa by the formulas, where plate tests
of road building load it to 500 kPa as a routine [PlateTestPressure]. So cohesion by word has a best estimate, none at
its pessimistic end (soaked, or clean and loose), and two and a half times the likely or a crust's 5 kPa at its
optimistic one (our own choice). A soil that nobody knows reaches from soft clay to compacted fill and does not cover
peat.

Beside 99 footings that were loaded until they gave [FootingTestTable] the pressures expected of sands by word are right
in the middle within 2 %, and 87 lie in nine in ten. Three soils as heavy and strong as rolled gravel, not named in the
source, gave 0.39 of what is expected of that word: without fines or suction its cohesion is not there.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from tipline.floors.known.bands import SHARES, Band, Known, LayerBands, step_of, widened
from tipline.mechanics.soils import SoilClass, soil_class
from tipline.mechanics.subgrade import SLAB_PLATE_RADIUS, cohesion_from_cbr, reaction_for_size, reaction_from_plate
from tipline.model.ground import PlateTest, SoilLayer, SoilNumbers
from tipline.model.words import NOT_KNOWN
from tipline.units import show

__all__ = ["reaction_band", "soil_bands", "stiffness_band"]

Three = tuple[float, float, float]
_MOST_FRICTION = math.radians(45.0)
"""Friction beyond this is not counted: the bearing factors end there (our choice) [rad]."""
_CRUST, _MOST_COHESION = 5e3, 2.5
"""Cohesion [Pa] that a word for sand may have at its best, of suction and roots, and the most of a likely one that its
best end may be [1] (our choice)."""
_UNKNOWN: dict[str, Three] = {
    "undrained_strength": (40e3, 10e3, 130e3),
    "friction": (math.radians(30.0), math.radians(20.0), math.radians(42.0)),
    "unit_weight": (18e3, 15e3, 21e3),
    "modulus": (15e6, 1.5e6, 120e6),
    "reaction": (25e6, 4e6, 120e6),
}
"""Likely, pessimistic, optimistic, where nobody knows the soil: from soft clay to dense gravel (our choice)."""
_SHARES_OF = {
    "undrained_strength": "soil_strength",
    "friction": "friction_angle",
    "unit_weight": "unit_weight",
    "modulus": "stiffness",
    "reaction": "subgrade_reaction",
}
_CBR_OF_CLAY = (0.01, 0.08)
"""Bearing ratios for which the strength of clay is taken from them. Source: [Black1962], range of the relation"""

_BY_RATIO = ((0.005, 6e6), (0.01, 10e6), (0.02, 20e6), (0.05, 40e6), (0.10, 60e6), (0.40, 110e6), (1.0, 200e6))
"""Subgrade reaction of the 0.762 m plate [N/m3] by bearing ratio: middle of wide ranges, from memory."""


def soil_bands(known: Known, soil: SoilNumbers, at: str, name: str, ratio: float | None = None) -> LayerBands:
    """Return the bands of one layer whose values stand under the key ``at``; ``ratio``: bearing ratio measured on it.

    Names: ``undrained_strength``, or ``cohesion`` and ``friction_angle``; with both ``unit_weight``, ``stiffness``.
    """
    here = _Here(known, soil.soil, at, name)
    bands: dict[str, Band] = {}
    undrained = _is_undrained(soil)
    if undrained:
        bands["undrained_strength"] = _undrained(here, soil, ratio)
    else:
        bands["friction_angle"] = here.number(soil.friction_angle, "friction_angle", "friction", "angle")
        bands["cohesion"] = _cohesion(here, soil)
    bands["unit_weight"] = here.number(soil.unit_weight, "unit_weight", "unit_weight", "unit_weight")
    bands["stiffness"] = here.number(soil.stiffness, "stiffness", "modulus", "pressure")
    return LayerBands(name, undrained, bands)


def stiffness_band(known: Known, word: str, at: str, what: str) -> Band:
    """Return the band of the stiffness of a soil known by its word, which stands under the key ``at``."""
    return _Here(known, word, at, what).by_word("stiffness", "modulus", "pressure")


def reaction_band(
    known: Known, reaction: float | None, ratio: float | None, word: str, at: str = "", test: PlateTest | None = None
) -> Band:
    """Return the band of the subgrade reaction under a slab: as told, by a test, by bearing ratio, or by word."""
    if reaction is not None:
        return known.told(reaction, "subgrade_reaction", "subgrade_reaction", "subgrade_reaction")
    if test is not None:
        undrained = _is_undrained(SoilLayer(soil=word))
        band = known.told(_from_plate(test, undrained), "subgrade_reaction", "plate_test.sinking", "subgrade_reaction")
        return replace(band, note=f"from a plate of {show(test.diameter, 'length')}")
    if ratio is not None:
        origin = known.origin("cbr")
        worse, better = SHARES["bearing_ratio"][step_of(origin)]
        likely = _from_ratio(ratio)
        how = f"by bearing ratio, {origin}"
        ends = (likely, likely * worse, likely * better)
        return known.filled("subgrade reaction", ends, "from the bearing ratio", "subgrade_reaction", how)
    return _Here(known, word, at, "").by_word("subgrade reaction", "reaction", "subgrade_reaction")


@dataclass(frozen=True)
class _Here:
    """Fills bands of one soil: numbers told under the key ``at``, else from its word."""

    known: Known
    word: str
    at: str
    layer: str

    @property
    def word_origin(self) -> str:
        return self.known.origin(_key(self.at, "soil"))

    def number(self, value: float | None, name: str, quantity: str, dimension: str) -> Band:
        """Return the band of a number told, else by word."""
        if value is None:
            return self.by_word(name.replace("_", " "), quantity, dimension)
        kind = "soil_strength" if name in {"undrained_strength", "cohesion"} else name
        band = self.known.told(value, kind, _key(self.at, name), dimension)
        return _capped(band) if dimension == "angle" else band

    def by_word(self, what: str, quantity: str, dimension: str) -> Band:
        """Return the band that stands for the word, never narrower than that of a number known in the same way."""
        if self.word == NOT_KNOWN:
            return self.fill(what, _UNKNOWN[quantity], dimension)
        likely, worse = _span(soil_class(self.word), quantity)
        _, low, high = widened(likely, worse, likely * likely / worse, self.word_origin)
        number = SHARES[_SHARES_OF[quantity]][step_of(self.word_origin)]
        low, high = min(low, likely * number[0]), max(high, likely * number[1])
        if dimension == "angle":
            high = max(min(high, _MOST_FRICTION), likely)
        return self.fill(what, (likely, low, high), dimension)

    def fill(self, what: str, ends: Three, dimension: str) -> Band:
        """Note a band that nobody told."""
        what = f"{what} of the {self.layer}" if self.layer else what
        if self.word == NOT_KNOWN:
            return self.known.filled(what, ends, "the soil is not known", dimension)
        return self.known.filled(what, ends, f"from the word {self.word}", dimension, f"by word, {self.word_origin}")


def _key(at: str, name: str) -> str:
    return f"{at}.{name}" if at else name


def _span(row: SoilClass, quantity: str) -> tuple[float, float]:
    span = getattr(row, quantity)
    if span is None:
        return _UNKNOWN[quantity][:2]
    return span.likely, span.pessimistic


def _is_undrained(soil: SoilNumbers) -> bool:
    """Whether a soil is asked by its undrained strength: told so by a number, else by its word, not known = yes."""
    if soil.undrained_strength is not None:
        return True
    if soil.friction_angle is not None:
        return False
    return soil.soil == NOT_KNOWN or soil_class(soil.soil).undrained_strength is not None


def _undrained(here: _Here, soil: SoilNumbers, ratio: float | None) -> Band:
    """Undrained strength: as told, from the bearing ratio within its range (to half or double), or by word."""
    if soil.undrained_strength is None and ratio is not None and _CBR_OF_CLAY[0] <= ratio <= _CBR_OF_CLAY[1]:
        likely, how = cohesion_from_cbr(ratio), f"by bearing ratio, {here.known.origin('cbr')}"
        ends = (likely, 0.5 * likely, 2.0 * likely)
        what = f"undrained strength of the {here.layer}"
        return here.known.filled(what, ends, "from the bearing ratio", "pressure", how)
    return here.number(soil.undrained_strength, "undrained_strength", "undrained_strength", "pressure")


def _cohesion(here: _Here, soil: SoilNumbers) -> Band:
    if soil.cohesion is not None:
        return here.number(soil.cohesion, "cohesion", "cohesion", "pressure")
    if here.word == NOT_KNOWN:
        return here.fill("cohesion", (0.0, 0.0, _CRUST), "pressure")
    likely = soil_class(here.word).cohesion.likely
    best = max(_MOST_COHESION * likely, _CRUST) * (1.0 + 0.1 * step_of(here.word_origin))
    return here.fill("cohesion", (likely, 0.0, best), "pressure")


def _capped(band: Band) -> Band:
    """Hold the optimistic end of a friction angle to what the formulas take, or to what was told."""
    best = max(min(band.optimistic, _MOST_FRICTION), band.likely)
    return Band(band.likely, band.pessimistic, best, band.how, band.note, band.dimension)


def _from_plate(test: PlateTest, undrained: bool) -> float:
    """Return the subgrade reaction [N/m3] of the plate that slabs are designed with, by a reading on a smaller one."""
    kind: Literal["clay", "sand"] = "clay" if undrained else "sand"
    own = reaction_from_plate(test.pressure, test.sinking)
    return reaction_for_size(own, 2.0 * SLAB_PLATE_RADIUS, kind, plate=test.diameter)


def _from_ratio(ratio: float) -> float:
    """Return the subgrade reaction [N/m3] for a bearing ratio [1], straight on logarithms between the table's points.

    Beyond its ends the first and last pieces go on.
    """
    pieces = list(pairwise(_BY_RATIO))
    low, high = next((piece for piece in pieces if ratio <= piece[1][0]), pieces[-1])
    part = math.log(ratio / low[0]) / math.log(high[0] / low[0])
    return low[1] * math.pow(high[1] / low[1], part)
