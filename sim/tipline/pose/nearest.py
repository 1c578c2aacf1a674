"""Which limit of a set-up at rest is the nearest: of each how much is used up, its own stop among them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf, isfinite
from typing import TYPE_CHECKING

from tipline.endings import RULES
from tipline.model.structure import STRUCTURE
from tipline.statics.planning import FLOOR_LEVEL, deceleration_word
from tipline.units import MILLIMETRE, show

if TYPE_CHECKING:
    from tipline.model.machine import Drive

__all__ = ["HOLE", "Limit", "NearLimit", "nearest_of", "own_stops", "strengths"]

Limit = tuple[str, float, str]
"""What is limited, the limit [SI], its dimension."""
HOLE = 0.05
"""Depth [m] of a hole that a hole-depth limit is set against: our choice, as deep as a cover that is missing."""


@dataclass(frozen=True)
class NearLimit:
    """A limit in a few words and with its figures, and how much of it is used up: 1 at the limit."""

    short: str
    words: str
    part: float


def own_stops(drive: Drive, holds: Sequence[Limit], *, swung: bool) -> tuple[NearLimit, ...]:
    """Say of the truck's own stops, driving forward, how hard they are against what the set-up holds."""
    start = f"{deceleration_word(swung=swung)} driving forward"
    least, goes = min(((value, label) for label, value, _ in holds if label.startswith(start)), default=(inf, ""))
    if not isfinite(least):
        return ()
    most, what = show(least, "acceleration", digits=2), goes.partition(" (")[2].removesuffix(")")
    stops = []
    for name, value in (
        ("its own service stop", drive.service_deceleration),
        ("letting the drive pedal go", drive.pedal_lift_deceleration),
    ):
        stop = show(value, "acceleration", digits=2)
        words = f"{name} brakes it at {stop}; driving forward, {_happens(what)} from {most} on"
        stops.append(
            NearLimit(
                f"{name} brakes it harder than it can take" if value > least else name, words, value / max(least, 1e-3)
            )
        )
    return tuple(stops)


def _happens(what: str) -> str:
    """Say what happens at a limit as a sentence: "it tips over the front line", "the braked tyres slide"."""
    return what if what.startswith(("the ", "frame ")) else f"it {what}"


def strengths(load: float, most: Mapping[str, float]) -> tuple[NearLimit, ...]:
    """Say how much of what forks, carriage and mast carry by their makers a gross load [kg] uses up; ``most`` [kg]."""
    near = []
    for name, limit in most.items():
        words = f"{STRUCTURE[name]} allows a gross load of {show(limit, 'mass')} here"
        part = load / limit if limit > 0.0 else inf
        short = f"the gross load is above {STRUCTURE[name]}" if part > 1.0 else STRUCTURE[name]
        near.append(NearLimit(short, words, part))
    return tuple(near)


def nearest_of(
    alone: Sequence[NearLimit], holes: Mapping[str, float], steer: float, holds: Sequence[Limit]
) -> NearLimit | None:
    """Return the limit of which most is used up, None where there is none; ``alone``: those found by themselves."""
    near = [*alone]
    known = {side: depth for side, depth in holes.items() if isfinite(depth)}
    if known:
        side = min(known, key=lambda name: known[name])
        depth = max(known[side], 1e-3)
        words = f"a hole {known[side] / MILLIMETRE:.0f} mm deep under the {side} side could tip it"
        near.append(NearLimit(words, words, HOLE / depth))
    if isfinite(steer):
        words = f"{100 * steer:.1f} % of the weight on the steer axle"
        near.append(NearLimit(words, words, 2.0 * RULES.light_to_steer / max(steer, 1e-3)))
    slopes = [(label, value) for label, value, kind in holds if kind == "slope"]
    if slopes:
        label, least = min(slopes, key=lambda direction: direction[1])
        words = f"a {label.partition(' (')[0]} of {show(least, 'slope')}"
        near.append(NearLimit(words, words, FLOOR_LEVEL / max(least, 1e-4)))
    return max(near, key=lambda limit: limit.part) if near else None
