"""How what is not known is drawn: a distribution for each kind of band, always the same draws, and their fractiles.

A band has a likely value and two ends. Half of the draws lie on either side of the likely value; one in twenty lies at
the pessimistic end or past it, one in twenty at the optimistic end, as the characteristic values of standards are 5 %
fractiles (EN 1990, 4.2; from memory). The shape is the normal one on either side by itself. On the logarithm where all
three are above 0 (sizes, strengths, stiffnesses: errors there are factors), cut at the 1 % fractiles; straight where
one is not (how much nearer an edge lies, what a joint hands on, a cavity that may not be there), and there cut at the
ends, which are mostly bounds. What lies past a cut, or out of a formula's range (`LIMITS`), is put at it. Our own
choice, but for the characteristic value.

Two kinds are drawn otherwise (`EVEN`, `PANEL`): what nobody knows at all, and the way to a joint nobody told of.

Each input of a part of the floor has one column of draws, stratified (a Latin hypercube: each of ``count`` steps of
probability once, in an order that follows from its name alone), so ways to give that share an input share its draws,
and an answer that is asked again with one input known differs in that input only.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from math import ceil, erf, inf, sqrt
from typing import Protocol
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

__all__ = ["COUNT", "FEW", "PLANNED", "TAIL", "Ends", "columns", "fractile", "moving", "spoken_input"]

Array = NDArray[np.float64]

COUNT = 2000
"""How many floors are drawn."""
FEW = 400
"""How many are drawn of a way to give that is asked set after set.

Of soils known by word the 95 % draw of 2000 lay within 5 % of that of 16000 others, that of 400 within 12 % (tested).
"""
TAIL = 0.05
"""Share of the draws beyond either end of what is told as nine in ten (by definition)."""
PLANNED = 1.0 - TAIL
"""Fractile of demand over planning limit that planning goes by: the draw that 95 % of the draws do not exceed.

The factors in a planning limit are made for characteristic values, which standards take as 5 % fractiles of strength
(EN 1990, 4.2; from memory); all at its worst at once is far rarer than that.
"""
EVEN = ("past_first_crack", "author")
"""Inputs between two ends of which nobody knows anything: drawn evenly."""
PANEL = "hidden_joint"
"""Way to the nearest joint, drawn as from a place anywhere on a square panel of twice the greatest way."""
SPOKEN = {
    "past_first_crack": "strength past the first crack",
    "author": "bearing formula",
    "hidden_joint": "way to a hidden joint",
    "hidden_transfer": "load handed on at a hidden joint",
    "joint_transfer": "load handed on at the joint",
    "cavity_radius": "size of the cavity",
    "edge_distance": "way to the free edge",
    "subgrade_reaction": "stiffness of the ground below",
    "modulus": "modulus of the concrete",
}
"""Inputs whose name says too little to a reader; the others are told by their name."""
LIMITS = {"compressive_strength": (8e6, 90e6)}
"""Ends of what the formulas take: concrete up to the strongest class of the table. Source: [EN1992Table31]"""
_REACH, _CUT = 1.6448536269514722, 2.3263478740408408
"""Ends of a band on the normal scale, its 95 % fractile; where its tails are cut, its 99 % fractile (our choice)."""
_SCALE = np.linspace(-_CUT, _CUT, 1201)
_BELOW = np.array([0.5 * (1.0 + erf(step / sqrt(2.0))) for step in _SCALE])
"""Part of the draws below each step of that scale, by definition of the normal distribution."""


def spoken_input(name: str) -> str:
    """Name an input in a sentence."""
    return SPOKEN.get(name, name.replace("_", " "))


class Ends(Protocol):
    """A band: its likely value and its two ends."""

    @property
    def likely(self) -> float:
        """Give the value in SI."""
        ...

    @property
    def pessimistic(self) -> float:
        """Give the value in SI."""
        ...

    @property
    def optimistic(self) -> float:
        """Give the value in SI."""
        ...


def moving(bands: Mapping[str, Ends]) -> list[str]:
    """Name the inputs that are not known for certain."""
    return [name for name, band in bands.items() if band.pessimistic != band.optimistic]


def columns(bands: Mapping[str, Ends], count: int = COUNT, where: str = "") -> dict[str, Array]:
    """Draw every input of the bands ``count`` times, a column (count,) [SI] a name; other ``where``, other order."""
    return {
        name: _column(name, band.likely, band.pessimistic, band.optimistic, where, count)
        for name, band in bands.items()
    }


@lru_cache(maxsize=256)
def _column(name: str, likely: float, worse: float, better: float, where: str, count: int) -> Array:
    """Return the draws of one input, which all ways to give and all tyres share."""
    if worse == better:
        return _kept(np.full(count, likely))
    return _kept(_drawn_at(name, likely, worse, better, _steps(name, where, count)))


def _drawn_at(name: str, likely: float, worse: float, better: float, probability: Array) -> Array:
    """Return the values of an input at probabilities, 0 its pessimistic end and 1 its optimistic one."""
    if name in EVEN:
        return worse + probability * (better - worse)
    if name == PANEL:
        return worse + (1.0 - np.sqrt(1.0 - probability)) * (better - worse)
    part = np.interp(probability, _BELOW, _SCALE) / _REACH
    end, apart = np.where(part < 0.0, worse, better), np.abs(part)
    if min(worse, likely, better) <= 0.0:
        return np.asarray(likely + (end - likely) * np.minimum(apart, 1.0))
    values = np.asarray(likely * (end / likely) ** apart)
    low, high = LIMITS.get(name.rpartition(" ")[2], (0.0, inf))
    return np.clip(values, min(low, likely), max(high, likely))


def fractile(values: Array, share: float) -> float:
    """Return the least of the values (n,), in any unit, that ``share`` [1] of them do not exceed."""
    index = max(ceil(share * len(values) * (1.0 - 1e-12)) - 1, 0)
    return float(np.partition(values, index)[index])


@lru_cache(maxsize=512)
def _steps(name: str, where: str, count: int) -> Array:
    """Return the middles of ``count`` steps of probability in an order that follows from the names."""
    first = crc32(f"{where}/{name}".encode()) << 20
    order = np.argsort(_mixed(np.arange(first, first + count, dtype=np.uint64)), kind="stable")
    return _kept((order + 0.5) / count)


def _mixed(numbers: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """Return whole numbers mixed beyond recognition: SplitMix64 (Steele, Lea, Flood 2014; from memory).

    Written out, so that draws stay the same bits whatever numpy is there, and its generators need not be loaded.
    """
    bits = numbers * np.uint64(0x9E3779B97F4A7C15)
    bits = (bits ^ (bits >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    bits = (bits ^ (bits >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return bits ^ (bits >> np.uint64(31))


def _kept(values: Array) -> Array:
    values.setflags(write=False)
    return values
