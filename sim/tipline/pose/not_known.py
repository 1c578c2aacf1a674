"""What is not known of a truck and its load, and what a set-up at rest comes to within it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

__all__ = ["Bracket", "Gain", "NotKnown"]


@dataclass(frozen=True)
class Bracket:
    """A figure [SI] with all that is likely, and from where to where it goes with all that is not known.

    ``tips``: one unknown alone tips the truck at an end of its range, where there is no such figure; low and high are
    then those of the ends with which it stands.
    """

    low: float
    likely: float
    high: float
    tips: bool = False

    @property
    def width(self) -> float:
        """From end to end, as a part of the likely figure."""
        return (self.high - self.low) / abs(self.likely) if self.likely else 0.0


@dataclass(frozen=True)
class Gain:
    """What knowing one thing would change: the steepest floor it could stand on at the bad end, now and then [1].

    ``measure``: how one gets to know it. ``low`` to ``high``: its band now [SI]. ``distance``: to the nearest line with
    all that is likely, nan where it tips then; ``alone``: with this one at its bad end, None where it tips [m].
    """

    what: str
    dimension: str
    low: float
    high: float
    measure: str
    before: float
    after: float
    line: str
    distance: float
    alone: float | None


@dataclass(frozen=True)
class NotKnown:
    """Tyre loads [N] and distances [m] by name as brackets, and the set-up with every unknown at its bad end.

    ``at_bad_end`` says how it stands then and ``exceeded`` which planning limits it exceeds; ``slope`` is the steepest
    floor [1] with all that is likely, by the nearest line, and ``line`` that line. ``gains``: the unknowns that matter
    most, the first the most. ``kinds``: what has no range but a kind, as it is taken, what it could be, how to know.
    """

    tyre_loads: Mapping[str, Bracket]
    distances: Mapping[str, Bracket]
    at_bad_end: str
    exceeded: tuple[str, ...]
    slope: float
    line: str
    gains: tuple[Gain, ...]
    kinds: tuple[str, ...] = ()
