"""A way to give, asked over everything that is not known; of tyres together only what they ask more than fewer do."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tipline.floors.answers.report import Answer
from tipline.floors.known.ratio import Ends, ratio_of, spread
from tipline.floors.known.span import Span
from tipline.floors.modes.mode import Mode
from tipline.floors.modes.situation import Situation

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["Asked", "asked_of", "governing", "outdone"]


@dataclass(frozen=True)
class Asked:
    """An answer with what it was asked of, so that it can be asked again with other inputs."""

    answer: Answer
    mode: Mode
    situation: Situation
    bands: Mapping[str, Ends]
    kept: NDArray[np.bool_] | None = None


def asked_of(
    situation: Situation, mode: Mode, bands: Mapping[str, Ends], kept: NDArray[np.bool_] | None = None
) -> Asked:
    """Ask one mode over everything that is not known; ``kept``: which draws of the zone count, see `spread`."""
    used = {name: bands[name] for name in mode.inputs}
    found = spread(mode.asked, used, kept, arrays=mode.arrays)
    answer = Answer(
        mode=mode.name,
        zone=situation.label,
        tyre=situation.patch.tyre,
        tyres=situation.patch.tyres,
        setup=situation.setup,
        at=situation.patch.at,
        tyre_load=situation.patch.load,
        dimension=mode.dimension,
        demand=found.demand,
        strength=found.strength,
        of_strength=found.ratio,
        event=mode.event,
        factor=mode.factor.value,
        factor_source=mode.factor.source,
        source=mode.source,
        decides=found.decides.replace("_", " "),
        swings=found.swings,
        notes=mode.notes,
        strength_known=bool(mode.event),
    )
    return Asked(answer, mode, situation, used, kept)


def governing(asked: Sequence[Asked]) -> list[Asked]:
    """Leave out what tyres together are asked where one of them, or fewer together, ask as much in the same way."""
    kept: list[Asked] = []
    for one in sorted(asked, key=lambda each: len(each.answer.tyres)):
        if not any(
            _no_less(each.answer.of_limit, one.answer.of_limit) for each in _fewer(one.situation, one.mode, kept)
        ):
            kept.append(one)
    return kept


def outdone(situation: Situation, mode: Mode, bands: Mapping[str, Ends], before: Iterable[Asked]) -> bool:
    """Whether some of the tyres of a situation ask as much in the same way, on the likely and on the worst floor."""
    if not situation.patch.members:
        return False
    own = _at_ends(mode, bands)
    others = (_at_ends(each.mode, each.bands) for each in _fewer(situation, mode, before))
    return any(all(there >= here for there, here in zip(other, own, strict=True)) for other in others)


def _fewer(situation: Situation, mode: Mode, asked: Iterable[Asked]) -> Iterator[Asked]:
    """Yield what fewer of the tyres of a situation are asked in the same way, whatever they stand on there."""
    tyres, way = set(situation.patch.tyres), mode.name.partition(", ")[0]
    for one in asked:
        alike = one.situation.setup == situation.setup and one.situation.zone is situation.zone
        if alike and one.mode.name.partition(", ")[0] == way and set(one.situation.patch.tyres) < tyres:
            yield one


def _at_ends(mode: Mode, bands: Mapping[str, Ends]) -> tuple[float, float]:
    return (
        ratio_of(*mode.asked({name: bands[name].pessimistic for name in mode.inputs})),
        ratio_of(*mode.asked({name: bands[name].likely for name in mode.inputs})),
    )


def _no_less(span: Span, other: Span) -> bool:
    return span.high >= other.high * (1.0 - 1e-9) and span.likely >= other.likely * (1.0 - 1e-9)
