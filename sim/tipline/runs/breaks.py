"""How often a floor that holds to a strength is expected to break, over the range of what is not known of it.

Draws from the distributions of `draws`, always the same ones; each draw gives the parts their strengths, and a run
with them shows whether one breaks and how the truck ends. Where a plain slab breaks between first crack and the load of
yield lines is drawn too. What nobody told of (a hidden joint) and a spreader's own thickness are not drawn.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING, Any

import numpy as np

from tipline.floors.known.draws import columns, moving, spoken_input
from tipline.floors.known.span import Span
from tipline.floors.laws.of_floor import floor_laws
from tipline.floors.modes.evidence import bands_of
from tipline.floors.modes.of_zone import PAST_FIRST_CRACK
from tipline.floors.modes.situation import Situation
from tipline.model.cover import Cover
from tipline.model.floor import Floor
from tipline.model.slab import Slab
from tipline.notebook import Shown, marks, to_frame
from tipline.printable import spoken_of
from tipline.runs.endings import Ending, could_go_either_way

if TYPE_CHECKING:
    from tipline.geometry.ground import ZoneLaw
    from tipline.results import Run
    from tipline.scenario import Case

__all__ = ["Breaks", "Drawn", "breaks_of", "broke_by_load", "drawn_floors", "weakest"]

Draw = Mapping[str, Mapping[str, float]]


@dataclass(frozen=True)
class Drawn:
    """A floor with drawn inputs: the laws, and the least tyre load at which a part of it breaks [N]."""

    inputs: Mapping[str, float]
    zones: tuple[ZoneLaw, ...]
    strength: float


@dataclass(frozen=True)
class Breaks(Shown):
    """Over ``runs`` draws: in how many the floor broke, least strength drawn and greatest [N], and how the truck ended.

    ``strength``: of the weakest part that the tyres meet; its ``likely`` is that of the run itself. ``decides``: the
    input that goes with it most. ``endings``: how often the truck ended in which way, most often first; ``either_way``:
    whether it could go either way, the run itself among them (see `runs.endings`). ``lost``: why runs have no result.
    """

    runs: int
    broke: int
    strength: Span
    decides: str
    endings: tuple[tuple[str, int], ...]
    either_way: bool
    demo: str
    lost: tuple[tuple[str, int], ...] = ()

    @property
    def doubt(self) -> str:
        """The count in words where it could go either way, else ""."""
        said = f"with the floor's strength drawn it stayed up in {self.stayed_up} of {self.runs} runs"
        return said if self.either_way else ""

    @property
    def stayed_up(self) -> int:
        """In how many runs the truck stayed up."""
        return sum(count for word, count in self.endings if Ending(word).stayed_up)

    def to_pandas(self) -> Any:
        """Return how often the truck ended in which way as a pandas table; raises MissingPart without pandas."""
        return to_frame([{"truck": word, "runs": count} for word, count in self.endings], marks(self.demo))


def drawn_floors(case: Case, count: int, met: Sequence[Situation]) -> list[Drawn]:
    """Return ``count`` drawn floors; none where none of them is weaker or stronger than another."""
    drawn = _draws(case.floor, count)
    floors = []
    for draw in drawn:
        zones = floor_laws(case, draw, met).zones
        flat = {f"{name} of {part}": value for part, own in draw.items() for name, value in own.items()}
        floors.append(Drawn(flat, zones, weakest(zones)))
    strengths = {drawn_floor.strength for drawn_floor in floors}
    return floors if len(strengths) > 1 else []


def broke_by_load(run: Run) -> bool:
    """Whether a part of the floor let a tyre through by itself; a hole that the scenario makes does not count."""
    return any(place["law"] == "plug" for place in run.meta["places"])


def weakest(zones: Sequence[ZoneLaw]) -> float:
    """Return the least tyre load at which a part breaks [N], inf where none does."""
    return min((zone.weakest for zone in zones if zone.law == "holds"), default=float("inf"))


def _draws(floor: Floor, count: int) -> list[Draw]:
    sets: dict[str, dict[str, list[float]]] = {}
    for part in (floor.elsewhere, *floor.zone):
        if isinstance(part, Slab | Cover):
            bands = bands_of(part, floor)
            model = {"past_first_crack": PAST_FIRST_CRACK} if isinstance(part, Slab) else {}
            known = {} if bands.refused else {**bands.bands, **model}
            if moving(known):
                drawn = columns(known, count, bands.name)
                if bands.kept is not None:
                    rows = np.flatnonzero(bands.kept)[:count]
                    drawn = {name: column[rows] for name, column in columns(known).items()}
                sets[bands.name] = {name: column.tolist() for name, column in drawn.items()}
    return [
        {part: {name: column[index] for name, column in drawn.items()} for part, drawn in sets.items()}
        for index in range(count if sets else 0)
    ]


def breaks_of(
    drawn: Sequence[Drawn],
    ended: Sequence[tuple[str, bool]],
    here: str,
    likely: float,
    *,
    demo: str,
    lost: Sequence[str] = (),
) -> Breaks:
    """Return the count: ``ended`` has each draw's outcome of the truck and whether the floor broke.

    here, likely: the outcome of the run itself and its least strength [N]. demo: what of it is invented. lost: why a
    draw has no result, one entry a draw that has none.
    """
    strengths = [floor.strength for floor in drawn]
    words = Counter(word for word, _ in ended)
    return Breaks(
        runs=len(drawn),
        broke=sum(broke for _, broke in ended),
        strength=Span(min(*strengths, likely), likely, max(*strengths, likely)),
        decides=_decides(drawn),
        endings=tuple(words.most_common()),
        either_way=could_go_either_way(Ending(word) for word in (here, *words)),
        demo=demo,
        lost=tuple(Counter(lost).most_common()),
    )


def _decides(drawn: Sequence[Drawn]) -> str:
    """Return the input whose order goes most with that of the strengths (rank correlation), "" where none does."""
    order = _ranks([floor.strength for floor in drawn])
    middle = (len(drawn) - 1) / 2
    best, most = "", 0.0
    for name in drawn[0].inputs:
        ranks = _ranks([floor.inputs[name] for floor in drawn])
        spread = sqrt(sum((rank - middle) ** 2 for rank in ranks))
        if spread == 0.0:
            continue
        together = abs(sum((a - middle) * (b - middle) for a, b in zip(order, ranks, strict=True))) / spread
        if together > most:
            best, most = name, together
    name, _, part = best.partition(" of ")
    return f"{spoken_input(name)} of {spoken_of(part)}" if part else spoken_input(name)


def _ranks(values: Sequence[float]) -> list[float]:
    """Return the place of each value in their order, equal ones sharing the mean of theirs."""
    return [sum(other < value for other in values) + (values.count(value) - 1) / 2 for value in values]
