"""Everything that is not known, together: demand and strength over the draws, and all at its worst at once.

How inputs are drawn stands in `draws`. The worst corner is the set where each input lies at whichever of its ends asks
for more while the others are likely, or all pessimistic ends, or a draw, whichever of these asks for most.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import inf, isfinite
from typing import NamedTuple, cast

import numpy as np
from numpy.typing import NDArray

from tipline.floors.known.bands import Band, ZoneBands
from tipline.floors.known.draws import COUNT, FEW, PLANNED, TAIL, Ends, columns, fractile
from tipline.floors.known.span import Span

__all__ = [
    "Asker",
    "Ends",
    "Inputs",
    "Kept",
    "RatioRange",
    "drawn",
    "likely",
    "over_draws",
    "ratio_at",
    "ratio_of",
    "ratios",
]

Array = NDArray[np.float64]
Kept = NDArray[np.bool_]
Inputs = Mapping[str, float]
Asker = Callable[[Inputs], tuple[float, float]]


class RatioRange(NamedTuple):
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


def over_draws(ask: Asker, bands: Mapping[str, Ends], kept: Kept | None = None, *, arrays: bool = False) -> RatioRange:
    """Ask for (demand, strength) over all draws; a strength of 0 gives an infinite ratio.

    kept: which draws count, where what a floor has carried rules some out; what is likely is then the middle of those
    that are left. arrays: the asker takes them.
    """
    middle = likely(bands)
    ends = {
        name: [ask({**middle, name: value}) for value in (band.pessimistic, band.optimistic)]
        if band.pessimistic != band.optimistic
        else []
        for name, band in bands.items()
    }
    demand, strength = _over(ask, bands, kept, arrays)
    all_ratios = ratios(demand, strength)
    at_likely = ask(middle)
    at_worst = _worst(ask, bands, ends, (float(demand[all_ratios.argmax()]), float(strength[all_ratios.argmax()])))
    return RatioRange(
        _span(all_ratios, ratio_of(*at_likely), ratio_of(*at_worst), kept),
        _span(demand, at_likely[0], at_worst[0], kept),
        _span(strength, at_likely[1], at_worst[1], kept),
        {name: _swing(pair) for name, pair in ends.items()},
    )


def ratio_at(
    ask: Asker, bands: Mapping[str, Ends], share: float | None, kept: Kept | None = None, *, arrays: bool = False
) -> float:
    """Return demand over strength at a fractile of the draws, or by what is likely where that is None."""
    if share is None and kept is None:
        return ratio_of(*ask(likely(bands)))
    return fractile(ratios(*_over(ask, bands, kept, arrays)), 0.5 if share is None else share)


def _span(values: Array, at_likely: float, at_worst: float, kept: Kept | None) -> Span:
    """Return nine in ten of the values about the likely one, with the worst corner's."""
    middle = at_likely if kept is None else fractile(values, 0.5)
    return Span(fractile(values, TAIL), middle, fractile(values, PLANNED), at_worst)


def ratios(demand: Array, strength: Array) -> Array:
    """Return demand over strength (n,), both in one unit; infinite without strength, 0 where nothing is asked."""
    there = strength > 0.0
    quotients = np.where(there, demand / np.where(there, strength, 1.0), inf)
    return np.where(demand > 0.0, quotients, 0.0)


def ratio_of(demand: float, strength: float) -> float:
    """Return demand over strength as `ratios` does."""
    if demand <= 0.0:
        return 0.0
    return demand / strength if strength > 0.0 else inf


def drawn(known: Mapping[str, Band], bands: ZoneBands, draw: Inputs) -> dict[str, float]:
    """Return a mode's inputs with those that were drawn; a told joint or cavity has a band of its own.

    In its own band it takes the place that the draw has in the part's, as far from likely towards the same end. What no
    part's band holds, such as where between first crack and collapse a slab breaks, or a spreader's thickness, is drawn
    under its own name.
    """
    inputs = likely(known)
    for name, value in draw.items():
        own, whole = known.get(name), bands.bands.get(name)
        if own is None:
            continue
        if whole is None or own == whole:
            inputs[name] = value
            continue
        worse = (value - whole.likely) * (whole.pessimistic - whole.likely) > 0.0
        end, own_end = (whole.pessimistic, own.pessimistic) if worse else (whole.optimistic, own.optimistic)
        if end != whole.likely:
            inputs[name] = own.likely + (value - whole.likely) / (end - whole.likely) * (own_end - own.likely)
    return inputs


def _over(ask: Asker, bands: Mapping[str, Ends], kept: Kept | None, arrays: bool) -> tuple[Array, Array]:
    """Ask over the draws that count: all where the asker takes arrays, else a few."""
    if kept is None:
        count = COUNT if arrays else FEW
        return ask_over(ask, columns(bands, count), count, arrays=arrays)
    rows = np.flatnonzero(kept)
    rows = rows if arrays else rows[:FEW]
    drawn = {name: column[rows] for name, column in columns(bands).items()}
    return ask_over(ask, drawn, len(rows), arrays=arrays)


def ask_over(ask: Asker, drawn: Mapping[str, Array], count: int, *, arrays: bool) -> tuple[Array, Array]:
    """Ask over columns of inputs (count,) [SI], all at once where the asker takes arrays, else set after set."""
    if arrays or not drawn:
        demand, strength = ask(cast("Inputs", drawn))
        return np.broadcast_to(demand, count), np.broadcast_to(strength, count)
    lists = {name: column.tolist() for name, column in drawn.items()}
    both = np.array([ask(dict(zip(lists, row, strict=True))) for row in zip(*lists.values(), strict=True)])
    return both[:, 0], both[:, 1]


def _worst(
    ask: Asker,
    bands: Mapping[str, Ends],
    ends: Mapping[str, Sequence[tuple[float, float]]],
    of_draws: tuple[float, float],
) -> tuple[float, float]:
    """Return demand and strength with all at its worst at once."""
    pessimistic = {name: band.pessimistic for name, band in bands.items()}
    chosen = {
        name: band.optimistic
        if ends[name] and ratio_of(*ends[name][1]) > ratio_of(*ends[name][0])
        else pessimistic[name]
        for name, band in bands.items()
    }
    corners = [ask(pessimistic)] if chosen == pessimistic else [ask(pessimistic), ask(chosen)]
    return max([*corners, of_draws], key=lambda pair: ratio_of(*pair))


def _swing(ends: Sequence[tuple[float, float]]) -> float:
    if not ends:
        return 1.0
    low, high = sorted(ratio_of(*pair) for pair in ends)
    if low == high:
        return 1.0
    return high / low if low > 0.0 and isfinite(high) else inf
