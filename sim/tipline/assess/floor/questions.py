"""What to find out: the inputs whose true value would narrow the governing answer most."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf, isfinite, log

from tipline.assess.floor.answers import Question, Span, Unanswered, ratio_words
from tipline.assess.floor.ask import Asked
from tipline.assess.floor.spread import Ends, spread

__all__ = ["questions"]

MOST = 2
HOW = {
    "thickness": "Core it: how thick is {zone}",
    "flexural_strength": "Test a core: how strong is the concrete of {zone}",
    "compressive_strength": "Test a core: how strong is the concrete of {zone}",
    "modulus": "Test a core: how stiff is the concrete of {zone}",
    "subgrade_reaction": "Load a plate on the ground, or find the soil report: how stiff is the ground under {zone}",
    "cavity_radius": "Sound it (hammer, chain, radar): is there a cavity under {zone}, and how wide",
    "joint_transfer": "Measure how much of its sinking a joint of {zone} hands on",
    "edge_distance": "Find out where the joints and free edges of {zone} run",
    "undrained_strength": "Test the clay on site: how strong is it under {zone}",
    "friction_angle": "Test the ground on site: its friction angle at {zone}",
    "cohesion": "Test the ground on site: its cohesion at {zone}",
    "platform_thickness": "Dig a small hole: how thick is the platform of {zone}",
    "platform_friction_angle": "Ask what the platform of {zone} is made of and how it was rolled",
    "steel_area": "Find the drawing, or open a place: which steel lies in {zone}",
    "steel_depth": "Find the drawing, or scan: how deep the steel lies in {zone}",
    "base_thickness": "Core it: how thick is the base of {zone}",
}


@dataclass(frozen=True)
class _Known:
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
    asked: dict[str, Question] = {}
    for name, band in worst.bands.items():
        how = HOW.get(name.rpartition(" ")[2])
        if how is None or band.pessimistic == band.optimistic:
            continue
        text = how.format(zone=worst.answer.zone)
        one = Question(text, now, _then(worst, name, band).scaled(worst.answer.factor))
        if text not in asked or _width(one.then) < _width(asked[text].then):
            asked[text] = one
    order = sorted(asked.values(), key=lambda one: _width(one.then))
    better = [one for one in order if _width(one.then) < _width(now) - 1e-6]
    return tuple([*found, *(_told(one) for one in better)][:MOST])


def _then(worst: Asked, name: str, band: Ends) -> Span:
    """Ask again with one input known to be at its likely value."""
    known: Mapping[str, Ends] = {**worst.bands, name: _Known(band.likely, band.likely, band.likely)}
    return spread(worst.mode.asked, known).ratio


def _told(one: Question) -> Question:
    now, then = ratio_words(one.now), ratio_words(one.then)
    text = f"{one.text}? If it is as likely, {now} of the planning limit becomes {then}."
    return Question(text, one.now, one.then)


def _width(span: Span) -> float:
    if not isfinite(span.high) or span.low <= 0.0:
        return inf
    return log(span.high / span.low)
