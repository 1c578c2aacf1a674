"""Everything that is not known, together: corners of the bands and a small Latin hypercube between them.

The same draws for the same bands: the seed is fixed. A band has a likely, a pessimistic and an optimistic end, so the
corners are the sets where each input is at one of its ends.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import product
from math import inf, isfinite
from random import Random
from typing import NamedTuple, Protocol

from tipline.assess.floor.answers import Span
from tipline.assess.floor.known import Band, ZoneBands

__all__ = ["Ends", "Spread", "between", "drawn", "draws", "likely", "spread"]

SEED = 20
INSIDE = 24
"""How many sets lie between the corners."""
MOST_CORNERS = 6
"""Of more inputs than this only those that move the answer most go to all their corners."""

Inputs = Mapping[str, float]


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


class Spread(NamedTuple):
    """Ratio, demand and strength over the draws; ``swings``: ratio at an input's one end over that at its other."""

    ratio: Span
    demand: Span
    strength: Span
    swings: dict[str, float]

    @property
    def decides(self) -> str:
        """The input that moves the ratio most, "" where none does."""
        best = max(self.swings, key=lambda name: self.swings[name], default="")
        return best if best and self.swings[best] > 1.0 + 1e-9 else ""


def likely(bands: Mapping[str, Ends]) -> dict[str, float]:
    """Return every input at its likely value."""
    return {name: band.likely for name, band in bands.items()}


def spread(asked: Callable[[Inputs], tuple[float, float]], bands: Mapping[str, Ends]) -> Spread:
    """Ask for (demand, strength) over all draws; a strength of 0 gives an infinite ratio."""
    middle = likely(bands)
    known: dict[tuple[tuple[str, float], ...], tuple[float, float]] = {}

    def ask(inputs: Inputs) -> tuple[float, float]:
        key = tuple(sorted(inputs.items()))
        if key not in known:
            known[key] = asked(inputs)
        return known[key]

    at_likely = ask(middle)
    swings = {name: _swing(ask, middle, name, band) for name, band in bands.items()}
    found = [at_likely, *(ask(inputs) for inputs in draws(bands, swings))]
    ratios = [_ratio(*pair) for pair in found]
    return Spread(
        Span(min(ratios), ratios[0], max(ratios)),
        Span(min(pair[0] for pair in found), at_likely[0], max(pair[0] for pair in found)),
        Span(min(pair[1] for pair in found), at_likely[1], max(pair[1] for pair in found)),
        swings,
    )


def draws(bands: Mapping[str, Ends], swings: Mapping[str, float] | None = None) -> list[dict[str, float]]:
    """Return the sets of inputs: the corners of the bands that matter most, then the hypercube."""
    moving = [name for name, band in bands.items() if band.pessimistic != band.optimistic]
    order = sorted(moving, key=lambda name: -(swings or {}).get(name, 0.0))
    most, rest = order[:MOST_CORNERS], order[MOST_CORNERS:]
    sets = []
    for ends in product((False, True), repeat=len(most)):
        for others in (False, True) if rest else (False,):
            worse = dict(zip(most, ends, strict=True)) | dict.fromkeys(rest, others)
            sets.append({name: _end(band, worse.get(name)) for name, band in bands.items()})
    return sets + between(bands, INSIDE)


def between(bands: Mapping[str, Ends], count: int) -> list[dict[str, float]]:
    """Draw a Latin hypercube between the ends: each input takes each of ``count`` steps once; always the same."""
    moving = [name for name, band in bands.items() if band.pessimistic != band.optimistic]
    if not moving:
        return []
    random = Random(SEED)
    columns = {}
    for name in moving:
        steps = list(range(count))
        random.shuffle(steps)
        columns[name] = [(step + random.random()) / count for step in steps]
    sets = []
    for index in range(count):
        inputs = likely(bands)
        for name in moving:
            band, part = bands[name], columns[name][index]
            inputs[name] = band.pessimistic + part * (band.optimistic - band.pessimistic)
        sets.append(inputs)
    return sets


def drawn(known: Mapping[str, Band], bands: ZoneBands, draw: Inputs) -> dict[str, float]:
    """Return a mode's inputs with those that were drawn; a told joint or cavity has a band of its own.

    In its own band it takes the place that the draw has in the part's. What no part's band holds, such as where
    between first crack and collapse a slab breaks, or a spreader's thickness, is drawn under its own name.
    """
    inputs = likely(known)
    for name, value in draw.items():
        own, whole = known.get(name), bands.bands.get(name)
        if own is None:
            continue
        if whole is None or own == whole:
            inputs[name] = value
            continue
        width = whole.optimistic - whole.pessimistic
        if width != 0.0:
            part = (value - whole.pessimistic) / width
            inputs[name] = own.pessimistic + part * (own.optimistic - own.pessimistic)
    return inputs


def _swing(ask: Callable[[Inputs], tuple[float, float]], middle: Inputs, name: str, band: Ends) -> float:
    if band.pessimistic == band.optimistic:
        return 1.0
    ends = [_ratio(*ask({**middle, name: value})) for value in (band.pessimistic, band.optimistic)]
    low, high = min(ends), max(ends)
    if low == high:
        return 1.0
    return high / low if low > 0.0 and isfinite(high) else inf


def _ratio(demand: float, strength: float) -> float:
    if demand <= 0.0:
        return 0.0
    return demand / strength if strength > 0.0 else inf


def _end(band: Ends, worse: bool | None) -> float:
    if worse is None:
        return band.likely
    return band.pessimistic if worse else band.optimistic
