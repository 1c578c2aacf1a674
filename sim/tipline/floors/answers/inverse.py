"""The other way round: which thickness a slab would need for what stands on it, over the rest of what is not known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tipline.closing_in import closed_in
from tipline.floors.answers.mode_answer import ModeAnswer
from tipline.floors.answers.report import Inverse
from tipline.floors.known.draws import PLANNED, TAIL
from tipline.floors.known.ratio import Ends, ratio_at
from tipline.floors.known.span import Span

__all__ = ["thickness_needed"]

THINNEST, THICKEST = 0.06, 1.5
"""Thicknesses looked at [m] (our choice: from a screed to a foundation)."""
_CLOSE = 5e-4
"""How closely a thickness is found [m] (numerical)."""
_THICKNESS, _BENDING = "thickness", "flexural_strength"


@dataclass(frozen=True)
class _Ends:
    likely: float
    pessimistic: float
    optimistic: float


def thickness_needed(mode_answers: Sequence[ModeAnswer]) -> tuple[Inverse, ...]:
    """Return, by slab zone where a planning limit is exceeded, the thickness at which none would be.

    Over the rest of what is not known: nine in ten draws, as every range; its upper end keeps the planning limit as
    planning goes by it.
    """
    zones: dict[str, list[ModeAnswer]] = {}
    for mode_answer in mode_answers:
        if _THICKNESS in mode_answer.bands and "modulus" in mode_answer.bands:
            zones.setdefault(mode_answer.answer.zone, []).append(mode_answer)
    inverses = []
    for zone, modes in zones.items():
        if any(mode.answer.exceeds for mode in modes):
            span = Span(_least(modes, TAIL), _least(modes, None), _least(modes, PLANNED))
            inverses.append(
                Inverse(zone, "slab thickness for this set-up, to stay within every planning limit", span, "length")
            )
    return tuple(inverses)


def _least(modes: Sequence[ModeAnswer], share: float | None) -> float:
    """Return the least thickness that keeps every mode within its limit, or the greatest looked at."""
    needed = THINNEST
    for mode in sorted(modes, key=lambda each: -each.answer.of_limit.high):
        if not _within(mode, needed, share):
            needed = _bisected(mode, needed, share)
    return needed


def _bisected(mode_answer: ModeAnswer, low: float, share: float | None) -> float:
    high = THICKEST
    if not _within(mode_answer, high, share):
        return high
    return closed_in(lambda thickness: _within(mode_answer, thickness, share), low, high, close=_CLOSE)[1]


def _within(mode_answer: ModeAnswer, thickness: float, share: float | None) -> bool:
    """Whether a mode stays within its limit at a thickness: by what is likely, or by a fractile of the draws."""
    known: dict[str, Ends] = {**mode_answer.bands, _THICKNESS: _Ends(thickness, thickness, thickness)}
    if _BENDING in known:
        known[_BENDING] = _of_size(mode_answer.bands, thickness)
    mode = mode_answer.mode
    return ratio_at(mode.ask, known, share, mode_answer.kept, arrays=mode.arrays) * mode.factor.value <= 1.0


def _of_size(bands: Mapping[str, Ends], thickness: float) -> Ends:
    """Return the strength in bending with the pessimistic end that a thicker slab has."""
    band = bands[_BENDING]
    size = min(_by_size(thickness) / _by_size(bands[_THICKNESS].pessimistic), 1.0)
    return _Ends(band.likely, band.pessimistic * size, band.optimistic)


def _by_size(thickness: float) -> float:
    """Return how much more a thin slab takes in bending: 1.6 - h, at least 1 (EN 1992-1-1, from memory)."""
    return max(1.6 - thickness, 1.0)
