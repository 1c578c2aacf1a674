"""What to find out: the inputs whose answer would narrow the governing figure most, and what it could come to then.

An answer is drawn again with what one question answers for known as a measurement on the spot knows it: a spot of a
floor, so a spread is left. A question is only told where the answer would take `LEAST` or more off the range, and bring
down its upper end.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf, isfinite, log

from tipline.floors.answers.mode_answer import ModeAnswer
from tipline.floors.answers.report import Question
from tipline.floors.known.bands import OFFSETS, SHARES, step_of
from tipline.floors.known.ratio import Ends, over_draws
from tipline.floors.known.span import Span, digits, range_words
from tipline.floors.modes.mode import Unanswered
from tipline.printable import spoken_of

__all__ = ["LEAST", "question_of_truck", "questions"]

MOST = 2
LEAST = 0.15
"""Part of the range (of its ends' ratio, on the logarithm) that an answer has to take off to be told (our choice)."""
CORE = "core"
LESS = 0.95
"""Part of the upper figure, by which planning goes, that may be left where a question is told (our choice)."""
OF_TRUCK = 0.02
"""Part of the upper figure that a measurement of the truck has to take off to be told (our choice)."""
TEXTS = {
    CORE: "Core it and test the core: how thick is {zone}, and how strong is its concrete",
    "thickness": "Core it: how thick is {zone}",
    "concrete": "Test a core: how strong is the concrete of {zone}",
    "reaction": "Load a plate on the ground, or find the soil report: how stiff is the ground under {zone}",
    "cavity": "Sound it (hammer, chain, radar): is there a cavity under {zone}, and how wide",
    "transfer": "Measure: how much of a load does a joint of {zone} hand on, or how wide is its crack",
    "joints": "Find out: where do the joints and free edges of {zone} run",
    "clay": "Test the clay on site: how strong is it under {zone}",
    "ground": "Test the ground on site: what friction angle and cohesion has {zone}",
    "water": "Dig a hole, or ask: how far down is the water under {zone}",
    "platform": "Dig a small hole: how thick is the granular layer of {zone}",
    "platform ground": "Ask, or test: what is the granular layer of {zone} made of, and how was it rolled",
    "steel": "Find the drawing, scan, or open a place: which steel lies in {zone}, and how deep",
    "base": "Core it: how thick is the base of {zone}",
    "class": "Read it off the cover: what class is {zone}",
    "plate": "Measure: how thick is the plate of {zone}, and how wide is the opening below",
}
HOW = {
    "thickness": (CORE, "thickness"),
    "flexural_strength": (CORE, "compressive_strength"),
    "compressive_strength": (CORE, "compressive_strength"),
    "modulus": (CORE, "compressive_strength"),
    "subgrade_reaction": ("reaction", "subgrade_reaction"),
    "soil_stiffness": ("reaction", "stiffness"),
    "cavity_radius": ("cavity", "cavity"),
    "joint_transfer": ("transfer", "joint_transfer"),
    "edge_distance": ("joints", "edge_distance"),
    "hidden_joint": ("joints", "edge_distance"),
    "undrained_strength": ("clay", "soil_strength"),
    "friction_angle": ("ground", "friction_angle"),
    "cohesion": ("ground", "soil_strength"),
    "water_depth": ("water", "water_table"),
    "platform thickness": ("platform", "layer_thickness"),
    "platform friction_angle": ("platform ground", "friction_angle"),
    "platform cohesion": ("platform ground", "soil_strength"),
    "steel_area": ("steel", "steel_area"),
    "steel_depth": ("steel", "steel_depth"),
    "base_thickness": ("base", "layer_thickness"),
    "class_load": ("class", ""),
    "plate_thickness": ("plate", "plate_thickness"),
    "span": ("plate", "span"),
    "other_span": ("plate", "span"),
    "bar_depth": ("plate", "plate_thickness"),
    "bar_thickness": ("plate", "plate_thickness"),
}
"""What answers for an input, and how a measured value of it is known (see `known`)."""


@dataclass(frozen=True)
class _Measured:
    likely: float
    pessimistic: float
    optimistic: float


def questions(worst: ModeAnswer | None, unanswered: Sequence[Unanswered]) -> tuple[Question, ...]:
    """Return the two questions whose answers would change the result most; what is underneath comes first."""
    nothing = Span(inf, inf, inf)
    underneath = [
        Question(f"What is underneath {spoken_of(gap.zone)}? Until that is known there is no number.", nothing, nothing)
        for gap in unanswered
        if gap.unknown_below
    ]
    if worst is None:
        return tuple(underneath[:MOST])
    now = worst.answer.of_limit
    narrowing = []
    for group, names in _groups(worst).items():
        then = _then(worst, {name: _measured(worst.bands[name], HOW[_key(name)][1]) for name in names})
        if _width(then) <= (1.0 - LEAST) * _width(now) and then.high <= LESS * now.high:
            best = _then(worst, {name: _best(worst.bands[name]) for name in names}).high
            text = TEXTS[_text_of(group, names)].format(zone=spoken_of(worst.answer.zone))
            narrowing.append(Question(f"{text}? {_told(now, then, best)}", now, then))
    narrowing.sort(key=lambda question: _width(question.then))
    return tuple([*underneath, *narrowing][:MOST])


def question_of_truck(what: str, now: Span, then: Span) -> Question | None:
    """Return what to measure of a truck or its load, with what governs now and once it is measured.

    None where it takes less than `OF_TRUCK` off the upper figure.
    """
    if not isfinite(now.high) or then.high > (1.0 - OF_TRUCK) * now.high:
        return None
    held = " Then the planning limit is no longer exceeded." if then.high <= 1.0 < now.high else ""
    change = f"The figure that planning goes by goes from {digits(now.high)} to {digits(then.high)} times the limit"
    return Question(f"{what[:1].upper()}{what[1:]}. {change}.{held}", now, then)


def _groups(worst: ModeAnswer) -> dict[str, list[str]]:
    """Group the inputs that are not known from the spot by what would answer for them."""
    groups: dict[str, list[str]] = {}
    for name, band in worst.bands.items():
        known = band.pessimistic == band.optimistic or step_of(getattr(band, "how", "")) == 0
        if _key(name) in HOW and not known:
            groups.setdefault(HOW[_key(name)][0], []).append(name)
    return groups


def _key(name: str) -> str:
    """Return an input's name without that of the layer in front of it; a platform's keeps that."""
    return name if name in HOW else name.rpartition(" ")[2]


def _text_of(group: str, names: Sequence[str]) -> str:
    """Return which text asks for a group: one core tells thickness and strength, where both are asked for."""
    if group != CORE or len({name == "thickness" for name in names}) == 2:
        return group
    return "thickness" if "thickness" in names else "concrete"


def _best(band: Ends) -> _Measured:
    return _Measured(band.optimistic, band.optimistic, band.optimistic)


def _measured(band: Ends, kind: str) -> _Measured:
    """Return a band as it would be, were its likely value found on the spot; never wider than it is."""
    middle = band.likely
    if kind in OFFSETS:
        ends = [middle + off for off in OFFSETS[kind][0]]
    else:
        ends = [middle * part for part in SHARES[kind][0]] if kind else [middle, middle]
    low, high = sorted((band.pessimistic, band.optimistic))
    ends = [min(max(end, low), high) for end in ends]
    worse, better = ends if (ends[1] - ends[0]) * (band.optimistic - band.pessimistic) >= 0.0 else ends[::-1]
    return _Measured(middle, worse, better)


def _then(worst: ModeAnswer, found_out: Mapping[str, Ends]) -> Span:
    """Ask again with some inputs known otherwise."""
    known: Mapping[str, Ends] = {**worst.bands, **found_out}
    ratio = over_draws(worst.mode.ask, known, worst.kept, arrays=worst.mode.arrays).ratio
    return ratio.scaled(worst.answer.factor)


def _told(now: Span, then: Span, best: float) -> str:
    """Say what the answer does to the range, and whether it can bring the planning limit to be kept."""
    sentence = (
        f"Now likely {digits(now.likely)} times the planning limit, nine in ten draws {range_words(now)}; if it comes "
        f"out as likely, {digits(then.likely)} times, nine in ten draws {range_words(then)}."
    )
    if now.high <= 1.0:
        return sentence
    if then.high <= 1.0:
        return f"{sentence} Then it is no longer exceeded."
    if best <= 1.0:
        return f"{sentence} Still exceeded; it has to come out better than likely."
    return f"{sentence} Still exceeded, even at the best it may come to."


def _width(span: Span) -> float:
    if not isfinite(span.high) or span.low <= 0.0:
        return inf
    return log(span.high / span.low)
