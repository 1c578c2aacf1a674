"""What to find out: the inputs whose answer would narrow the governing figure most, and what it could come to then.

An answer is drawn again with one input known as a measurement on the spot knows it: a spot of a floor, so a spread is
left. A question is only told where the answer would take `LEAST` or more off the range.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf, isfinite, log

from tipline.assess.floor.answers import Question, Span, Unanswered, range_words
from tipline.assess.floor.ask import Asked
from tipline.assess.floor.known import OFFSETS, SPREADS, step_of
from tipline.assess.floor.spread import Ends, spread

__all__ = ["LEAST", "questions"]

MOST = 2
LEAST = 0.15
"""Part of the range (of its ends' ratio, on the logarithm) that an answer has to take off to be told (our choice)."""
HOW: dict[str, tuple[str, str]] = {
    "thickness": ("Core it: how thick is {zone}", "thickness"),
    "flexural_strength": ("Test a core: how strong is the concrete of {zone}", "compressive_strength"),
    "compressive_strength": ("Test a core: how strong is the concrete of {zone}", "compressive_strength"),
    "modulus": ("Test a core: how stiff is the concrete of {zone}", "compressive_strength"),
    "subgrade_reaction": (
        "Load a plate on the ground, or find the soil report: how stiff is the ground under {zone}",
        "subgrade_reaction",
    ),
    "soil_stiffness": (
        "Load a plate on the ground, or find the soil report: how stiff is it under {zone}",
        "stiffness",
    ),
    "cavity_radius": ("Sound it (hammer, chain, radar): is there a cavity under {zone}, and how wide", "cavity"),
    "joint_transfer": ("Measure how much of its sinking a joint of {zone} hands on", "joint_transfer"),
    "edge_distance": ("Find out where the joints and free edges of {zone} run", "edge_distance"),
    "hidden_joint": ("Find out where the joints of {zone} run", "edge_distance"),
    "undrained_strength": ("Test the clay on site: how strong is it under {zone}", "soil_strength"),
    "friction_angle": ("Test the ground on site: its friction angle at {zone}", "friction_angle"),
    "cohesion": ("Test the ground on site: its cohesion at {zone}", "soil_strength"),
    "platform_thickness": ("Dig a small hole: how thick is the platform of {zone}", "layer_thickness"),
    "platform_friction_angle": (
        "Ask what the platform of {zone} is made of and how it was rolled",
        "friction_angle",
    ),
    "steel_area": ("Find the drawing, or open a place: which steel lies in {zone}", "steel_area"),
    "steel_depth": ("Find the drawing, or scan: how deep the steel lies in {zone}", "steel_depth"),
    "base_thickness": ("Core it: how thick is the base of {zone}", "layer_thickness"),
    "class_load": ("Read the class off the cover of {zone}", ""),
    "plate_thickness": ("Measure how thick the plate of {zone} is", "plate_thickness"),
    "span": ("Measure the clear opening under {zone}", "span"),
}
"""The question by input, and how a measured value of it is known (see `known`)."""


@dataclass(frozen=True)
class _Measured:
    likely: float
    pessimistic: float
    optimistic: float


def questions(worst: Asked | None, unanswered: Sequence[Unanswered]) -> tuple[Question, ...]:
    """Return the two questions whose answers would change the result most; what is underneath comes first."""
    nothing = Span(inf, inf, inf)
    found = [Question(f"What is underneath {one.zone}? Until that is known there is no number.", nothing, nothing)
             for one in unanswered if one.unknown_below]  # fmt: skip
    if worst is None:
        return tuple(found[:MOST])
    now = worst.answer.of_limit
    best: dict[str, Span] = {}
    for name, band in worst.bands.items():
        how, kind = HOW.get(name, HOW.get(name.rpartition(" ")[2], ("", "")))
        if not how or band.pessimistic == band.optimistic or step_of(getattr(band, "how", "")) == 0:
            continue
        then = _then(worst, name, _measured(band, kind))
        if how not in best or _width(then) < _width(best[how]):
            best[how] = then
    order = sorted(best.items(), key=lambda one: _width(one[1]))
    asked = [
        Question(_told(how.format(zone=worst.answer.zone), now, then), now, then)
        for how, then in order
        if _width(then) <= (1.0 - LEAST) * _width(now) and range_words(then) != range_words(now)
    ]
    return tuple([*found, *asked][:MOST])


def _measured(band: Ends, kind: str) -> _Measured:
    """Return a band as it would be, were its likely value found on the spot; never wider than it is."""
    told = band.likely
    if kind in OFFSETS:
        ends = [told + off for off in OFFSETS[kind][0]]
    else:
        ends = [told * part for part in SPREADS[kind][0]] if kind else [told, told]
    low, high = sorted((band.pessimistic, band.optimistic))
    ends = [min(max(end, low), high) for end in ends]
    worse, better = ends if (ends[1] - ends[0]) * (band.optimistic - band.pessimistic) >= 0.0 else ends[::-1]
    return _Measured(told, worse, better)


def _then(worst: Asked, name: str, band: Ends) -> Span:
    """Ask again with one input known as a measurement knows it."""
    known: Mapping[str, Ends] = {**worst.bands, name: band}
    found = spread(worst.mode.asked, known, worst.weights, arrays=worst.mode.arrays).ratio
    return found.scaled(worst.answer.factor)


def _told(text: str, now: Span, then: Span) -> str:
    told = f"{text}? If it is as likely, nine in ten draws of {range_words(now)} of the planning limit become "
    told += range_words(then)
    if now.high > 1.0 >= then.high:
        return f"{told}: no longer exceeded."
    return f"{told}: still exceeded." if now.high > 1.0 else f"{told}."


def _width(span: Span) -> float:
    if not isfinite(span.high) or span.low <= 0.0:
        return inf
    return log(span.high / span.low)
