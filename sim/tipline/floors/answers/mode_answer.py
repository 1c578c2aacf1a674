"""A way to give, asked over everything that is not known; of tyres together only what they ask more than fewer do."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tipline.floors.answers.report import Answer
from tipline.floors.known.draws import spoken_input
from tipline.floors.known.ratio import Ends, over_draws, ratio_of
from tipline.floors.known.span import Span
from tipline.floors.modes.mode import Mode
from tipline.floors.modes.situation import Situation

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["ModeAnswer", "governing", "mode_answer_of", "outdone"]


@dataclass(frozen=True)
class ModeAnswer:
    """An answer with what it was asked of, so that it can be asked again with other inputs.

    ``kept`` (draws,), flags: which draws of the zone count; None: all do.
    """

    answer: Answer
    mode: Mode
    situation: Situation
    bands: Mapping[str, Ends]
    kept: NDArray[np.bool_] | None = None


def mode_answer_of(
    situation: Situation, mode: Mode, bands: Mapping[str, Ends], kept: NDArray[np.bool_] | None = None
) -> ModeAnswer:
    """Ask one mode over everything that is not known.

    ``kept`` (draws,), flags: which draws of the zone count, see `over_draws`.
    """
    used = {name: bands[name] for name in mode.inputs}
    ratio_range = over_draws(mode.ask, used, kept, arrays=mode.arrays)
    answer = Answer(
        mode=mode.name,
        zone=situation.label,
        tyre=situation.patch.tyre,
        tyres=situation.patch.tyres,
        setup=situation.setup,
        at=situation.patch.at,
        tyre_load=situation.patch.load,
        dimension=mode.dimension,
        demand=ratio_range.demand,
        strength=ratio_range.strength,
        of_strength=ratio_range.ratio,
        event=mode.event,
        factor=mode.factor.value,
        factor_source=mode.factor.source,
        source=mode.source,
        decides=spoken_input(ratio_range.decides),
        swings=ratio_range.swings,
        notes=mode.notes,
        strength_known=bool(mode.event),
    )
    return ModeAnswer(answer, mode, situation, used, kept)


def governing(mode_answers: Sequence[ModeAnswer]) -> list[ModeAnswer]:
    """Leave out what tyres together are asked where one of them, or fewer together, ask as much in the same way."""
    kept: list[ModeAnswer] = []
    for mode_answer in sorted(mode_answers, key=lambda each: len(each.answer.tyres)):
        if not any(
            _no_less(each.answer.of_limit, mode_answer.answer.of_limit)
            for each in _fewer(mode_answer.situation, mode_answer.mode, kept)
        ):
            kept.append(mode_answer)
    return kept


def outdone(situation: Situation, mode: Mode, bands: Mapping[str, Ends], before: Iterable[ModeAnswer]) -> bool:
    """Whether some of the tyres of a situation ask as much in the same way, on the likely and on the worst floor."""
    if not situation.patch.members:
        return False
    own = _at_ends(mode, bands)
    others = (_at_ends(each.mode, each.bands) for each in _fewer(situation, mode, before))
    return any(all(there >= here for there, here in zip(other, own, strict=True)) for other in others)


def _fewer(situation: Situation, mode: Mode, mode_answers: Iterable[ModeAnswer]) -> Iterator[ModeAnswer]:
    """Yield what fewer of the tyres of a situation are asked in the same way, whatever they stand on there."""
    tyres, way = set(situation.patch.tyres), mode.name.partition(", ")[0]
    for mode_answer in mode_answers:
        alike = mode_answer.situation.setup == situation.setup and mode_answer.situation.zone is situation.zone
        if alike and mode_answer.mode.name.partition(", ")[0] == way and set(mode_answer.situation.patch.tyres) < tyres:
            yield mode_answer


def _at_ends(mode: Mode, bands: Mapping[str, Ends]) -> tuple[float, float]:
    return (
        ratio_of(*mode.ask({name: bands[name].pessimistic for name in mode.inputs})),
        ratio_of(*mode.ask({name: bands[name].likely for name in mode.inputs})),
    )


def _no_less(span: Span, other: Span) -> bool:
    return span.high >= other.high * (1.0 - 1e-9) and span.likely >= other.likely * (1.0 - 1e-9)
