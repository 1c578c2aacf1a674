"""Which ways to give a zone has under a tyre, and which zones get no strength from us."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import inf, sqrt

from tipline.floors.known.of_zone import Band, ZoneBands
from tipline.floors.known.ratio import likely
from tipline.floors.modes.asphalt import asphalt_modes
from tipline.floors.modes.cover import cover_modes
from tipline.floors.modes.ground import BEARING, GroundLayer, ground_modes
from tipline.floors.modes.mode import Factor, Mode, Unanswered
from tipline.floors.modes.situation import Situation
from tipline.floors.modes.slab import NEAR, SlabPlace, slab_modes, slab_of
from tipline.floors.modes.spreader import (
    SOFT_REACTION,
    Sheets,
    gap_mode,
    ground_modes_under,
    patch_below,
    plate_relief,
    slab_modes_under,
    soft_modes_under,
)
from tipline.floors.places.patch import Patch
from tipline.floors.places.zones import name_of, opening
from tipline.model.areas import Answered
from tipline.model.asphalt import Asphalt
from tipline.model.cover import Cover
from tipline.model.floor import HoleZone, Material, SoftZone, Zone
from tipline.model.ground import Ground
from tipline.model.slab import Slab, Suspended
from tipline.model.words import NOT_KNOWN

__all__ = ["ALLOWED", "PAST_FIRST_CRACK", "ground_of", "modes_of", "no_strength", "slab_place"]

Known = tuple[Mode, Mapping[str, Band]]
ALLOWED = Factor(1.0, "as allowed by whoever answers for the floor")
PLATFORM = "platform "
MOST_LAYERS = 3
TOLD_NEAR = 1.0
"""A cavity whose rim is nearer than this is in the name of what may give (our choice) [m]."""
MEET = 4.0
"""Tyres with no more than this many thicknesses of the slab between them may go through it in one plug: two
cones meet there, twice the depth wide each. Source: [EN1992]"""
AS_TOLD = ""
SOFT_GROUND = Band(
    SOFT_REACTION, 0.5 * SOFT_REACTION, 2.0 * SOFT_REACTION, "assumed", "of a soft place", "subgrade_reaction"
)
"""Stiffness of a soft place under a spreader: half to double, as for soil by word (common practice, no source)."""
PAST_FIRST_CRACK = Band(0.5, 0.0, 1.0, "assumed", "between first crack and the load of yield lines", "ratio")
"""Where between them a plain slab breaks: nobody knows, so all of it."""
_OPEN = Factor(1.0, "there is no floor")
ENGINEER = "a structural engineer who knows the building's drawings"


def modes_of(situation: Situation, zone_bands: ZoneBands) -> Iterator[Known]:
    """Yield the ways in which the zone of a situation can give, each with the bands of its inputs there."""
    zone, patch = situation.zone, situation.patch
    if isinstance(zone, Answered) and zone.allowed_wheel_load is not None and _as_a_wheel(patch):
        yield _allowed(situation, zone), {}
    if no_strength(zone, zone_bands) is not None:
        return
    if isinstance(zone, Slab) and patch.members:
        yield from _punching_together(situation, zone, zone_bands)
    elif isinstance(zone, Slab):
        yield from _of_slab(situation, zone, zone_bands)
    elif isinstance(zone, Ground):
        yield from _of_ground(situation, zone, zone_bands)
    elif isinstance(zone, Asphalt):
        parts = (*_on_asphalt(situation), *situation.others)
        for mode in asphalt_modes(parts, patch, zone_bands.bands, situation.moving):
            yield mode, zone_bands.bands
    elif isinstance(zone, Cover):
        yield from _of_cover(situation, zone, zone_bands)
    elif isinstance(zone, SoftZone):
        yield from _of_soft(situation, zone.bearing_pressure)
    elif isinstance(zone, HoleZone) and not patch.members:
        yield Mode("open hole", "force", "drops in", _OPEN, "as told", (), lambda _: (patch.load, 0.0)), {}


def _of_slab(situation: Situation, zone: Slab, zone_bands: ZoneBands) -> Iterator[Known]:
    place, bands = slab_place(situation, zone, zone_bands), _slab_bands(situation, zone_bands)
    if situation.laid is None:
        modes = slab_modes(place)
    else:
        thick = {**likely(zone_bands.bands), "thickness": zone_bands["thickness"].high}
        bands |= situation.laid.bands
        modes = slab_modes_under(place, situation.laid, plate_relief(place, situation.laid, slab_of(thick)))
    for mode in modes:
        yield mode, bands


def _punching_together(situation: Situation, zone: Slab, zone_bands: ZoneBands) -> Iterator[Known]:
    """Yield a plug under several tyres at once; their bending is asked of each with the others added.

    Tyres share a plug where the sections that codes check can meet: two depths from the face of each (EN 1992-1-1,
    6.4.2; from memory).
    """
    if situation.patch.gap > MEET * zone_bands["thickness"].high:
        return
    place, bands = slab_place(situation, zone, zone_bands), _slab_bands(situation, zone_bands)
    if situation.laid is not None:
        modes = slab_modes_under(place, situation.laid, 1.0)
        bands |= situation.laid.bands
    elif situation.laids:
        sheets = Sheets(situation.patch, situation.laids)
        modes = sheets.slab_modes(place)
        bands |= sheets.bands
    else:
        modes = slab_modes(place)
    for mode in modes:
        if mode.name.startswith("punching"):
            yield mode, bands


def _of_ground(situation: Situation, zone: Ground, zone_bands: ZoneBands) -> Iterator[Known]:
    layers, platform, bands = ground_of(zone, zone_bands)
    if situation.laids:
        sheets = Sheets(situation.patch, situation.laids)
        bands |= sheets.bands
        modes = sheets.ground_modes(layers, platform, situation.braking)
    elif situation.laid is None:
        modes = ground_modes(situation.patch, layers, platform, situation.braking)
    else:
        bands |= situation.laid.bands
        modes = ground_modes_under(situation.patch, situation.laid, layers, platform, situation.braking)
    for mode in modes:
        yield mode, bands


def _on_asphalt(situation: Situation) -> tuple[Patch, ...]:
    """Return the patches that press on asphalt, under spreaders where they stand on some."""
    if situation.laid is not None:
        return (replace(patch_below(situation.patch, situation.laid, situation.laid.sheet.thickness), members=()),)
    laids = situation.laids or (None,) * len(situation.patch.members)
    if not situation.patch.members:
        return (situation.patch,)
    parts = zip(situation.patch.members, laids, strict=True)
    return tuple(part if laid is None else patch_below(part, laid, laid.sheet.thickness) for part, laid in parts)


def _of_cover(situation: Situation, zone: Cover, zone_bands: ZoneBands) -> Iterator[Known]:
    if situation.laid is not None and situation.laid.sheet.kind == "steel_plate":
        clear = opening(zone)
        span = zone_bands.bands.get("span", Band(clear, clear, clear, "told" if zone.span else "assumed"))
        yield gap_mode(situation.patch, situation.laid), {**situation.laid.bands, "span": span}
        return
    for mode in cover_modes(situation.patch, zone, zone_bands.bands):
        yield mode, zone_bands.bands


def _of_soft(situation: Situation, law: float) -> Iterator[Known]:
    if situation.laid is None:
        if not situation.patch.members:
            yield _soft(situation.patch, law), {}
        return
    bands = {"subgrade_reaction": SOFT_GROUND, **situation.laid.bands}
    for mode in soft_modes_under(situation.patch, situation.laid, lambda below: _soft(below, law)):
        yield mode, bands


def _soft(patch: Patch, law: float) -> Mode:
    source = "bearing pressure as told"
    name = "yielding of a soft place"
    return Mode(name, "pressure", "sinks in", BEARING, source, (), lambda _: (patch.pressure, law), arrays=True)


def _as_a_wheel(patch: Patch) -> bool:
    """Whether an allowed wheel load is for this: one tyre, or twins, which stand nearer than a tyre is wide."""
    return not patch.members or (len(patch.members) == 2 and patch.gap < patch.members[0].width)


def no_strength(zone: Zone | Material, bands: ZoneBands) -> Unanswered | None:
    """Return why a zone gets no strength from us, None where it may have one."""
    if isinstance(zone, Slab | Asphalt | Ground | Suspended) and bands.refused:
        return Unanswered(name_of(zone), bands.refused, ENGINEER, zone.posted, zone.below == NOT_KNOWN)
    return None


def slab_place(situation: Situation, slab: Slab, bands: ZoneBands) -> SlabPlace:
    """Return a tyre's place on a slab; a cavity that nobody looked for may be right under it."""
    around, patch = situation.near, situation.patch
    others = tuple((other.at, other.load, other.radius) for other in situation.others)
    cavity_known = _told_cavity(situation)
    hidden = bands["cavity_radius"].high > 0.0
    reinforcement = slab.reinforcement if slab.reinforcement in ("mesh", "bars", "fibre") else "none"
    return SlabPlace(
        patch=patch,
        others=others,
        to_edge=around.edge,
        to_other_edge=around.other_edge,
        to_joint=around.joint,
        to_other_joint=around.other_joint,
        cavity=around.cavity if cavity_known else (0.0 if hidden else inf),
        over_cavity=around.over,
        joint_anywhere=bands.joint_anywhere,
        reinforcement=reinforcement,
        edge_along=around.edge_along,
        joint_along=around.joint_along,
    )


def _slab_bands(situation: Situation, zone: ZoneBands) -> dict[str, Band]:
    """Return a slab's bands at a place: the nearest joint's transfer, the nearest told cavity, a joint nobody told."""
    around, bands = situation.near, dict(zone.bands)
    bands["hidden_joint"] = _hidden_joint(situation)
    bands["hidden_transfer"] = zone["joint_transfer"]
    bands["past_first_crack"] = PAST_FIRST_CRACK
    if 0 <= around.joint_index < len(zone.joints):
        bands["joint_transfer"] = zone.joints[around.joint_index]
    if _told_cavity(situation) and around.cavity_index < len(zone.cavities):
        bands["cavity_radius"] = zone.cavities[around.cavity_index]
    return bands


def _hidden_joint(situation: Situation) -> Band:
    """Return the way to a joint nobody told of: a truck that drives crosses it, one that stands may be anywhere."""
    if situation.moving:
        return Band(0.0, 0.0, 0.0, "not known", "driven over")
    middle = NEAR * (1.0 - sqrt(0.5))
    return Band(middle, 0.0, NEAR, "not known", "distance to a hidden joint")


def _told_cavity(situation: Situation) -> bool:
    """Whether a told cavity is near enough to be asked for in place of one that nobody told of."""
    around = situation.near
    return around.cavity - 1.5 * around.radius - situation.patch.radius < TOLD_NEAR


def _allowed(situation: Situation, zone: Answered) -> Mode:
    """Compare with a wheel load that somebody allowed; a smaller patch than it was allowed for counts as more load."""
    patch, least = situation.patch, zone.allowed_wheel_patch
    small = 1.0 if least is None else max(least / patch.area, 1.0)
    notes: tuple[str, ...] = (
        () if small == 1.0 else ("the patch is smaller than allowed: load raised in that ratio (our choice)",)
    )
    who = zone.allowed_by or "somebody not named"
    most = zone.allowed_wheel_load or inf
    return Mode(
        "allowed wheel load",
        "force",
        AS_TOLD,
        ALLOWED,
        f"allowed by {who}",
        (),
        lambda _: (patch.load * small, most),
        notes,
    )


def ground_of(zone: Ground, zone_bands: ZoneBands) -> tuple[tuple[GroundLayer, ...], str | None, dict[str, Band]]:
    """Return the layers that a tyre reaches, the front of the platform's names, and the bands by those names."""
    bands: dict[str, Band] = {
        **zone_bands.bands,
        "author": Band(0.5, 0.0, 1.0, "assumed", "between the authors' formulas", "ratio"),
    }
    layers: list[GroundLayer] = []
    above: tuple[str, ...] = ()
    if zone_bands.platform is not None:
        bands |= zone_bands.platform.named(PLATFORM)
        apparent = zone.platform is not None and zone.platform.cohesion is None
        layers.append(GroundLayer("platform", zone_bands.platform.undrained, PLATFORM, (), apparent))
        above = (PLATFORM + "thickness",)
    for soil, layer in zip(zone.layer[:MOST_LAYERS], zone_bands.layers, strict=False):
        start = f"{layer.name} "
        bands |= layer.named(start)
        layers.append(GroundLayer(layer.name, layer.undrained, start, above, soil.cohesion is None))
        if "thickness" not in layer.bands:
            break
        above = (*above, start + "thickness")
    return tuple(layers), PLATFORM if zone_bands.platform is not None else None, bands
