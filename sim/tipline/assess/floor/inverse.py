"""The other way round: which thickness a slab would need for what stands on it, over the rest of what is not known."""

from __future__ import annotations

from collections.abc import Sequence

from tipline.assess.floor.answers import Inverse, Span
from tipline.assess.floor.ask import Asked

__all__ = ["least_value", "thickness_needed"]

THINNEST, THICKEST = 0.06, 1.5
_CLOSE = 5e-4


def thickness_needed(asked: Sequence[Asked]) -> tuple[Inverse, ...]:
    """Return, by slab zone, the thickness at which no way to give exceeds its planning limit.

    The low end is with everything else as good as it may be, the high end with everything else as bad.
    """
    zones: dict[str, list[Asked]] = {}
    for one in asked:
        if "thickness" in one.bands and "modulus" in one.bands:
            zones.setdefault(one.answer.zone, []).append(one)
    found = []
    for zone, modes in zones.items():
        needed = [max(least_value(one, end) for one in modes) for end in ("optimistic", "likely", "pessimistic")]
        span = Span(needed[0], needed[1], needed[2])
        found.append(
            Inverse(zone, "slab thickness for this set-up, to stay within every planning limit", span, "length")
        )
    return tuple(found)


def least_value(one: Asked, end: str, name: str = "thickness") -> float:
    """Return the least value of an input at which a mode stays within its limit, or the greatest looked at."""
    others = {key: getattr(band, end) for key, band in one.bands.items()}

    def within(value: float) -> bool:
        inputs = {**others, name: value}
        if name == "thickness" and end == "pessimistic" and "flexural_strength" in others:
            inputs["flexural_strength"] *= min(_by_size(value) / _by_size(others[name]), 1.0)
        demand, strength = one.mode.asked(inputs)
        return demand * one.mode.factor.value <= strength

    low, high = THINNEST, THICKEST
    if within(low):
        return low
    if not within(high):
        return high
    while high - low > _CLOSE:
        middle = 0.5 * (low + high)
        low, high = (low, middle) if within(middle) else (middle, high)
    return high


def _by_size(thickness: float) -> float:
    """Return how much more a thin slab takes in bending: 1.6 - h, at least 1 (EN 1992-1-1, from memory)."""
    return max(1.6 - thickness, 1.0)
