"""Ask a floor: every tyre of every set-up at every place, each zone it touches, each way to give; the worst is kept.

Tyres that share a zone are asked alone and together: those on one spreader, and from the smallest gap up those that
stand next to each other (twins first, then an axle, then all). Each way to give says by itself whether the tyres
together or one of them ask more, so no reach has to be fixed for cones and spread areas. A cover is loaded together by
tyres that stand nearer to each other than it spans: a long row of lids or plates hands nothing further (our choice).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import hypot, inf
from typing import TYPE_CHECKING

from tipline.floors.known.of_zone import spreader_bands
from tipline.floors.modes.spreader import Laid
from tipline.floors.places.patch import Patch, as_one, clusters, spoken
from tipline.floors.places.tyres import patches
from tipline.floors.places.zones import Near, name_of, near, opening, under
from tipline.model.cover import Cover

if TYPE_CHECKING:
    from tipline.floors.places.loads import Loading
    from tipline.floors.places.route import Standing
    from tipline.model.floor import Floor, Material, Zone
    from tipline.model.machine import Tyre
    from tipline.model.plane import Point

__all__ = ["REACH", "Situation", "laid_under", "situations", "standing_together", "stood", "worst_places"]

REACH = 6.0
"""Other tyres farther off than this do not count (our choice: five to ten l) [m]."""


@dataclass(frozen=True)
class Situation:
    """One tyre, or several as one, at a place on one zone: the patch, the other tyres' patches, and what is near.

    ``laid``: the spreader under all of it; ``laids``: where several stand on different ones, or some on none, of each
    of the patch's members.
    """

    setup: str
    braking: float
    moving: bool
    patch: Patch
    others: tuple[Patch, ...]
    zone: Zone | Material
    share: float
    near: Near
    laid: Laid | None = None
    laids: tuple[Laid | None, ...] = ()

    @property
    def name(self) -> str:
        """Name of the zone."""
        return name_of(self.zone)

    @property
    def label(self) -> str:
        """Name of the zone, with the spreaders that are laid on it there."""
        laids = self.laids if self.laid is None else (self.laid,)
        sheets = list(dict.fromkeys(laid.sheet.name for laid in laids if laid is not None))
        return f"{self.name}, on {spoken(sheets)}" if sheets else self.name

    @property
    def bare(self) -> Situation:
        """The same without spreaders."""
        return replace(self, laid=None, laids=())


def situations(
    floor: Floor,
    loading: Loading,
    standings: Iterable[Standing],
    places: Mapping[str, Point],
    tyres: Mapping[str, Tyre],
) -> Iterator[Situation]:
    """Yield every tyre's situations along the places of a set-up, under its peak loads."""
    for standing in standings:
        standing_patches = patches(standing, places, tyres, loading.at(standing.turn))
        yield from stood(floor, standing_patches, loading.setup, braking=loading.braking, moving=loading.moving)


def stood(
    floor: Floor, patches_there: Sequence[Patch], setup: str, *, braking: float = 0.0, moving: bool = False
) -> Iterator[Situation]:
    """Yield the situations of patches that stand on a floor at the same time: each alone, then those together."""
    singles = []
    for patch in patches_there:
        others = tuple(other for other in patches_there if other is not patch and _apart(other, patch) < REACH)
        laid = laid_under(floor, patch)
        for zone, share in under(floor, patch):
            around = near(floor, zone, patch.at, patch.radius)
            singles.append(Situation(setup, braking, moving, patch, others, zone, share, around, laid))
    yield from singles
    for zone in {id(single.zone): single.zone for single in singles}.values():
        yield from standing_together([single for single in singles if single.zone is zone])


def standing_together(singles: Sequence[Situation]) -> Iterator[Situation]:
    """Yield the situations of tyres on one zone taken together: those on one spreader, then neighbours."""
    if len(singles) < 2:
        return
    units: list[Situation] = []
    for single in singles:
        same = [
            each for each in singles if each.laid is not None and single.laid and each.laid.sheet is single.laid.sheet
        ]
        if len(same) < 2:
            units.append(single)
        elif same[0] is single:
            assert single.laid is not None
            sheet = single.laid
            patch = as_one([each.patch for each in same], sheet.heading)
            units.append(
                replace(_joined(same, patch), laid=Laid.about(sheet.sheet, sheet.at, sheet.heading, patch, sheet.known))
            )
            yield units[-1]
    most = opening(singles[0].zone) if isinstance(singles[0].zone, Cover) else REACH
    for apart, places in clusters([unit.patch for unit in units], most):
        neighbours = [units[place] for place in places]
        joined = _joined(neighbours, as_one([unit.patch for unit in neighbours], neighbours[0].patch.heading, apart))
        laids = tuple(unit.laid for unit in neighbours)
        yield replace(joined, laids=laids if any(laids) else ())


def _joined(parts: Sequence[Situation], patch: Patch) -> Situation:
    """Return several situations as one, without spreader: as near to edges as the nearest of them is."""
    first, half = parts[0], 0.5 * min(patch.length, patch.width)

    def nearest(what: Callable[[Near], float]) -> float:
        return half + min(what(part.near) - 0.5 * min(part.patch.length, part.patch.width) for part in parts)

    around = replace(
        min(parts, key=lambda part: part.near.joint).near,
        edge=nearest(lambda near_slab: near_slab.edge),
        other_edge=nearest(lambda near_slab: near_slab.other_edge),
        joint=nearest(lambda near_slab: near_slab.joint),
        other_joint=nearest(lambda near_slab: near_slab.other_joint),
    )
    inside = {tyre.tyre for tyre in patch.singles}
    others = {other.tyre: other for part in parts for other in part.others if other.tyre not in inside}
    return replace(
        first,
        patch=patch,
        others=tuple(others.values()),
        share=min(part.share for part in parts),
        near=around,
        laid=None,
        laids=(),
    )


def _apart(patch: Patch, other: Patch) -> float:
    return hypot(patch.at[0] - other.at[0], patch.at[1] - other.at[1])


def laid_under(floor: Floor, patch: Patch) -> Laid | None:
    """Return the spreader of the floor that carries a patch wholly, the last one laid on top."""
    for sheet in reversed(floor.spreader):
        laid = Laid.about(sheet, sheet.at, sheet.heading, patch, spreader_bands(sheet, floor))
        if laid.carries(patch, sheet.heading):
            return laid
    return None


def worst_places(places: Iterable[Situation]) -> dict[tuple[str, str, str], tuple[Situation, ...]]:
    """Keep, of each set-up, tyre and zone, the places that can be worst: nearest to edge, joint, corner, cavity."""
    best: dict[tuple[str, str, str], dict[str, tuple[float, Situation]]] = {}
    for situation in places:
        group = best.setdefault((situation.setup, situation.patch.tyre, situation.label), {})
        for what, apart in _measures(situation).items():
            if what not in group or apart < group[what][0]:
                group[what] = (apart, situation)
    return {
        key: tuple({id(situation): situation for apart, situation in group.values() if apart < inf}.values())
        for key, group in best.items()
    }


def _measures(situation: Situation) -> dict[str, float]:
    around = situation.near
    return {
        "any": -situation.share,
        "edge": around.edge,
        "joint": around.joint,
        "corner": around.joint + around.other_joint,
        "cavity": around.cavity - around.radius,
    }
