"""Ask a floor: every tyre of every set-up at every place, each zone it touches, each way to give; the worst is kept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import hypot, inf
from typing import TYPE_CHECKING

from tipline.assess.floor.answers import Answer
from tipline.assess.floor.bands import spreader_bands
from tipline.assess.floor.modes_spreader import Laid
from tipline.assess.floor.patches import patches
from tipline.assess.floor.spread import Ends, spread
from tipline.assess.floor.zones import Near, name_of, near, under

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from tipline.assess.floor.loads import Loading
    from tipline.assess.floor.modes import Mode
    from tipline.assess.floor.place import Patch
    from tipline.assess.floor.route import Standing
    from tipline.model.floor import Floor, Material, Zone
    from tipline.model.machine import Tyre
    from tipline.model.plane import Point

__all__ = ["REACH", "Asked", "Situation", "asked_of", "laid_under", "situations", "worst_places"]

REACH = 6.0
"""Other tyres farther off than this do not count [m]."""


@dataclass(frozen=True)
class Situation:
    """One tyre at one place on one zone: its patch, the other tyres' patches, and what is near."""

    setup: str
    braking: float
    moving: bool
    patch: Patch
    others: tuple[Patch, ...]
    zone: Zone | Material
    share: float
    near: Near
    laid: Laid | None = None

    @property
    def name(self) -> str:
        """Name of the zone."""
        return name_of(self.zone)

    @property
    def label(self) -> str:
        """Name of the zone, with the spreader that is laid on it there."""
        return self.name if self.laid is None else f"{self.name}, on {self.laid.sheet.name}"


def situations(
    floor: Floor,
    loading: Loading,
    standings: Iterable[Standing],
    places: Mapping[str, Point],
    tyres: Mapping[str, Tyre],
) -> Iterator[Situation]:
    """Yield every tyre's situations along the places of a set-up, under its peak loads."""
    for standing in standings:
        made = patches(standing, places, tyres, loading.peak)
        for patch in made:
            others = tuple(
                other
                for other in made
                if other is not patch and hypot(other.at[0] - patch.at[0], other.at[1] - patch.at[1]) < REACH
            )
            laid = laid_under(floor, patch)
            for zone, share in under(floor, patch):
                around = near(floor, zone, patch.at, patch.radius)
                yield Situation(
                    loading.setup, loading.braking, loading.moving, patch, others, zone, share, around, laid
                )


def laid_under(floor: Floor, patch: Patch) -> Laid | None:
    """Return the spreader of the floor that carries a patch wholly, the last one laid on top."""
    for sheet in reversed(floor.spreader):
        laid = Laid.about(sheet, sheet.at, sheet.heading, patch, spreader_bands(sheet, floor))
        if laid.carries(patch, sheet.heading):
            return laid
    return None


def worst_places(found: Iterable[Situation]) -> dict[tuple[str, str, str], tuple[Situation, ...]]:
    """Keep, of each set-up, tyre and zone, the places that can be worst: nearest to edge, joint, corner, cavity."""
    best: dict[tuple[str, str, str], dict[str, tuple[float, Situation]]] = {}
    for one in found:
        group = best.setdefault((one.setup, one.patch.tyre, one.label), {})
        for what, apart in _measures(one).items():
            if what not in group or apart < group[what][0]:
                group[what] = (apart, one)
    return {
        key: tuple({id(one): one for apart, one in group.values() if apart < inf}.values())
        for key, group in best.items()
    }


def _measures(one: Situation) -> dict[str, float]:
    around = one.near
    return {
        "any": -one.share,
        "edge": around.edge,
        "joint": around.joint,
        "corner": around.joint + around.other_joint,
        "cavity": around.cavity - around.radius,
    }


@dataclass(frozen=True)
class Asked:
    """An answer with what it was asked of, so that it can be asked again with other inputs."""

    answer: Answer
    mode: Mode
    situation: Situation
    bands: Mapping[str, Ends]
    weights: NDArray[np.float64] | None = None


def asked_of(
    situation: Situation, mode: Mode, bands: Mapping[str, Ends], weights: NDArray[np.float64] | None = None
) -> Asked:
    """Ask one mode over everything that is not known; ``weights`` of the draws of the zone, see `spread`."""
    used = {name: bands[name] for name in mode.inputs}
    found = spread(mode.asked, used, weights)
    answer = Answer(
        mode=mode.name,
        zone=situation.label,
        tyre=situation.patch.tyre,
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
    return Asked(answer, mode, situation, used, weights)
