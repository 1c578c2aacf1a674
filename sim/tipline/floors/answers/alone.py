"""A floor by itself, without a truck: the tyre load at which each part reaches its planning limit."""

from __future__ import annotations

from collections.abc import Mapping
from math import inf, sqrt

from tipline.floors.answers.demand import GOVERNS
from tipline.floors.answers.plan import areas_of, lines_of
from tipline.floors.answers.report import RIGID, Area, FloorPlan, FloorReport, Inverse
from tipline.floors.known.draws import PLANNED, TAIL
from tipline.floors.known.of_zone import ZoneBands, posted_answers, told_beside
from tipline.floors.known.ratio import ratio_at
from tipline.floors.known.span import Span
from tipline.floors.modes.evidence import bands_of
from tipline.floors.modes.mode import Unanswered
from tipline.floors.modes.of_zone import modes_of, no_strength
from tipline.floors.modes.situation import Situation
from tipline.floors.places.patch import Patch
from tipline.floors.places.zones import Near, cavity_radius, name_of
from tipline.model.floor import Floor, Material, Zone
from tipline.model.ground import Ground
from tipline.model.slab import Slab
from tipline.printable import spoken_of
from tipline.units import show

__all__ = ["MEAN_PRESSURE", "floor_alone"]

MEAN_PRESSURE = 1.5e6
"""Mean pressure under the one tyre that is asked for: a solid tyre's (common practice, no source) [Pa]."""
ON_GROUND = 0.3
"""Side of the patch on bare ground [m]: a tyre sinks until its patch is about as long as it is wide (our choice)."""
LEAST, MOST = 1e3, 1e6
"""Tyre loads looked at [N] (our choice: from a pallet truck's to far beyond any truck's)."""
_STEPS = 22
_JOINED = {
    "anywhere": "anywhere on {zone}",
    "at the first joint": "at the first joint of {zone}",
    "at a free edge": "at a free edge of {zone}",
}
"""Places on a part of a floor that are told in one breath with it."""


def floor_alone(floor: Floor) -> FloorReport:
    """Return, for each part of a floor, the load of one square patch alone at which the planning limit is reached.

    On bare ground the patch has a size and the pressure follows: at a given pressure sand bears any load on a patch
    wide enough, and clay bears all of them or none.

    Of each range the lower end is the load that planning goes by: 95 % of the draws carry more.
    """
    parts: list[Zone | Material] = [floor.elsewhere, *floor.zone]
    bands = {name_of(part): bands_of(part, floor) for part in parts}
    inverses: list[Inverse] = []
    unanswered: list[Unanswered] = []
    for part in parts:
        known = bands[name_of(part)]
        none = no_strength(part, known)
        if none is not None:
            unanswered.append(none)
            continue
        for where, near in _places(part).items():
            needed = _loads(part, near, known)
            if needed is not None:
                what = f"load of one tyre {where}{_patch_told(part)}"
                inverses.append(Inverse(name_of(part), what, needed, "force"))
    assumed = (*_patches(parts), *dict.fromkeys(line for known in bands.values() for line in known.assumed))
    return FloorReport(
        title=floor.title,
        demo="floor" if floor.demo else "",
        floor=floor.title,
        subject="the floor alone, no truck given",
        lead=_lead(inverses, unanswered),
        tyres=(),
        unanswered=tuple(unanswered),
        inverses=tuple(inverses),
        not_asked=(
            "several tyres together, stops and spreaders: give a scenario, and a route if it drives",
            *told_beside(parts),
            *posted_answers(parts),
        ),
        evidence=tuple(line for known in bands.values() for line in known.evidence),
        plan=FloorPlan((*_zones(floor), *areas_of(floor)), lines_of(floor)),
        assumed=assumed,
        assumed_count=len(assumed),
        governs=GOVERNS,
    )


def _places(part: Zone | Material) -> Mapping[str, Near]:
    if not isinstance(part, Slab):
        return {"anywhere": Near()}
    places = {"far from edges and joints": Near()}
    if part.joint:
        places["at the first joint"] = Near(joint=0.0, joint_index=0)
    places["at a free edge"] = Near(edge=0.0, joint=0.0)
    if part.cavity:
        radius = cavity_radius(part.cavity[0])
        places[f"over {spoken_of(part.cavity[0].name)}"] = Near(cavity=0.0, radius=radius, cavity_index=0, over=True)
    return places


def _loads(part: Zone | Material, near: Near, known: ZoneBands) -> Span | None:
    ends = [_load(part, near, known, share) for share in (PLANNED, None, TAIL)]
    return None if any(end == inf for end in ends) else Span(ends[0], ends[1], ends[2])


def _load(part: Zone | Material, near: Near, known: ZoneBands, share: float | None) -> float:
    """Find the load by halving, on its logarithm; inf where nothing is asked of this part."""
    low, high = LEAST, MOST
    for _ in range(_STEPS):
        middle = sqrt(low * high)
        ratio = _ratio(part, near, known, share, middle)
        if ratio is None:
            return inf
        low, high = (middle, high) if ratio <= 1.0 else (low, middle)
    return 0.0 if high <= LEAST * 1.001 else low


def _ratio(part: Zone | Material, near: Near, known: ZoneBands, share: float | None, load: float) -> float | None:
    """Return the greatest of the modes' demand over planning limit, by what is likely or at a fractile of the draws."""
    side = ON_GROUND if isinstance(part, Ground) else sqrt(load / MEAN_PRESSURE)
    patch = Patch("one tyre", (0.0, 0.0), 0.0, side, side, load)
    shifted = Near(
        edge=near.edge + patch.radius, other_edge=near.other_edge, joint=near.joint + patch.radius,
        joint_index=near.joint_index, cavity=near.cavity, radius=near.radius, cavity_index=near.cavity_index,
        over=near.over,
    )  # fmt: skip
    situation = Situation("alone", 0.0, False, patch, (), part, 1.0, shifted)
    worst = None
    for mode, bands in modes_of(situation, known):
        used = {name: bands[name] for name in mode.inputs}
        ratio = ratio_at(mode.ask, used, share, known.kept, arrays=mode.arrays) * mode.factor.value
        worst = ratio if worst is None else max(worst, ratio)
    return worst


def _patch_told(part: Zone | Material) -> str:
    return f" on a patch of {ON_GROUND:g} m by {ON_GROUND:g} m" if isinstance(part, Ground) else ""


def _patches(parts: list[Zone | Material]) -> list[str]:
    """Say on which patches the parts are asked."""
    tail = "one tyre alone, standing; assumed"
    on_ground = [f"patch on bare ground: {ON_GROUND:g} m by {ON_GROUND:g} m, {tail}"]
    if all(isinstance(part, Ground) for part in parts):
        return on_ground
    elsewhere = f"patch: square, mean pressure {MEAN_PRESSURE / 1e6:.3g} MPa, {tail}"
    return [elsewhere, *(on_ground if any(isinstance(part, Ground) for part in parts) else [])]


def _lead(inverses: list[Inverse], unanswered: list[Unanswered]) -> str:
    parts = []
    if unanswered:
        parts.append(
            f"others must answer for {', '.join(spoken_of(gap.zone) for gap in unanswered)}: strength not known here"
        )
    if inverses:
        least = min(inverses, key=lambda inverse: inverse.needed.low)
        likely, zone = show(least.needed.likely, "force", "si", 2), spoken_of(least.zone)
        where = least.what.removeprefix("load of one tyre ").partition(" on a patch")[0]
        tyre = f"one tyre {_JOINED.get(where, 'on {zone}, {where},').format(zone=zone, where=where)}"
        if least.needed.likely > 0.0:
            low = show(least.needed.low, "force", "si", 2) if least.needed.low > 0.0 else "no load at all"
            parts.append(f"likely {likely} under {tyre} reaches the planning limit; planning goes by {low}")
        else:
            parts.append(f"no tyre load is within the planning limit: {tyre.rstrip(',')}")
    return "; ".join(parts) or RIGID


def _zones(floor: Floor) -> tuple[Area, ...]:
    return tuple(Area(zone.name, zone.kind, zone.corners) for zone in floor.zone)
