"""One way for a floor to give: what it is asked with, what it answers, and what gets no answer from us."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tipline.floors.known.ratio import Inputs

__all__ = ["Factor", "Inputs", "Mode", "Unanswered"]


@dataclass(frozen=True)
class Factor:
    """Expected strength over planning limit, where the number comes from, and the keys of that in references.toml."""

    value: float
    source: str
    keys: tuple[str, ...] = ()


@dataclass(frozen=True)
class Mode:
    """One way to give: ``ask`` gives (demand, strength) in ``dimension`` for a set of the named inputs.

    ``arrays``: it also takes arrays of inputs, a set in each place, and gives arrays (see `tipline.elementwise`); one
    that has branches on its inputs, or calls what has, is asked set after set.
    """

    name: str
    dimension: str
    event: str
    factor: Factor
    source: str
    inputs: tuple[str, ...]
    ask: Callable[[Inputs], tuple[float, float]]
    notes: tuple[str, ...] = ()
    arrays: bool = False


@dataclass(frozen=True)
class Unanswered:
    """A zone without a strength from us: why, who must answer, and what a posted figure [Pa] does not decide."""

    zone: str
    why: str
    who: str
    posted: float | None = None
    unknown_below: bool = False
