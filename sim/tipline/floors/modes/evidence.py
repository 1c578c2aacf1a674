"""What a floor has carried: of the drawn floors only those count that would not have given way under it.

That a load stood and nothing broke says that the floor there is none of the weak ones that were drawn. What a part of a
floor is made of (thickness, strength, ground) is drawn as the same all over it, so that it tells of all of the part;
this is an assumption of ours, and said so. What belongs to one place is drawn for the old place by itself: a cavity and
a joint nobody told of, how far an edge lies from where it was drawn. The load counts once however often it came, for
nothing here tires; its tyres share it evenly, which is the least that the heaviest of them carried.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import reduce
from math import sqrt

import numpy as np

from tipline.floors.known.bands import ZoneBands
from tipline.floors.known.draws import COUNT, Ends, columns, fractile
from tipline.floors.known.of_zone import zone_bands
from tipline.floors.known.ratio import Kept, ask_over, ratios
from tipline.floors.modes.mode import Mode
from tipline.floors.modes.of_zone import ALLOWED, PAST_FIRST_CRACK, modes_of
from tipline.floors.modes.situation import Situation
from tipline.floors.modes.slab import CRACKS
from tipline.floors.places.patch import Patch
from tipline.floors.places.zones import Near, near
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.model.floor import Floor, Material, Zone
from tipline.model.past import PastLoad
from tipline.units import show

__all__ = ["LEAST_LEFT", "PLACE", "bands_of", "left_likely"]

LEAST_LEFT = 100
"""With fewer draws left what was told of the floor and of its past do not go together, and the past is left out."""
PLACE = ("cavity_radius", "hidden_joint", "hidden_transfer", "edge_distance")
"""Inputs that belong to a place, not to the whole of a part."""
ASSUMED = (
    "That a floor carried a load tells of the place where it stood; that thickness, strength and ground are the same "
    "all over {zone} is an assumption of ours"
)


def bands_of(part: Zone | Material, floor: Floor) -> ZoneBands:
    """Return the bands of a part of a floor, with the draws that are left by what it has carried."""
    bands = zone_bands(part, floor)
    past = [past_load for past_load in floor.past_load if floor.carried(past_load) is part]
    if bands.refused or not past:
        return bands
    left = {load.name: _left(load, part, floor, bands) for load in past}
    kept = reduce(np.logical_and, left.values())
    lines = tuple(_told(load, int(left[load.name].sum())) for load in past)
    count = int(kept.sum())
    if count < LEAST_LEFT:
        why = (
            f"What is told of {bands.name} and what it has carried do not go together: in {count} of {COUNT} draws it "
            "would have carried it. The past is left out here; look at both again"
        )
        return replace(bands, evidence=(*lines, why))
    return replace(bands, kept=kept, evidence=(*lines, f"{count} of {COUNT} draws are left. {_assumed(bands.name)}"))


def left_likely(bands: ZoneBands) -> dict[str, float]:
    """Return the middle of each input over the draws that are left, for runs; nothing where all are."""
    if bands.kept is None:
        return {}
    known = {**bands.bands, "past_first_crack": PAST_FIRST_CRACK}
    for layer in (*bands.layers, *(() if bands.platform is None else (bands.platform,))):
        known |= layer.named(f"{layer.name} ")
    return {name: fractile(column[bands.kept], 0.5) for name, column in columns(known).items()}


def _assumed(zone: str) -> str:
    return ASSUMED.format(zone=zone)


def _told(past: PastLoad, left: int) -> str:
    often = "once" if past.times == 1 else f"{past.times} times"
    share = "" if past.tyres == 1 else f", an even share on {past.tyres} tyres"
    cracks = ", and no crack was found" if past.no_crack else ""
    return (
        f"{past.name}: {show(_tyre_load(past), 'force')} on a tyre{share}, {often}{cracks}: "
        f"the floor would have carried it in {left} of {COUNT} draws"
    )


def _tyre_load(past: PastLoad) -> float:
    whole = past.load if past.load is not None else G * (past.mass or 0.0)
    return whole / past.tyres


def _left(past: PastLoad, part: Zone | Material, floor: Floor, bands: ZoneBands) -> Kept:
    """Return of each draw whether the part would have carried a load."""
    load = _tyre_load(past)
    side = sqrt(load / past.pressure)
    patch = Patch(past.name, past.at or (0.0, 0.0), 0.0, side, side, load)
    around = Near() if past.at is None else near(floor, part, past.at, patch.radius)
    situation = Situation("the past", 0.0, True, patch, (), part, 1.0, around)
    kept = np.ones(COUNT, dtype=bool)
    for mode, known in _noticed(situation, bands, past.no_crack):
        used = {name: known[name] for name in mode.inputs}
        shared = {name: band for name, band in used.items() if name not in PLACE}
        place = {name: band for name, band in used.items() if name in PLACE}
        drawn = {**columns(shared), **columns(place, where=past.name)}
        kept &= ratios(*ask_over(mode.ask, drawn, COUNT, arrays=mode.arrays)) <= 1.0
    return kept


def _noticed(situation: Situation, bands: ZoneBands, no_crack: bool) -> Iterator[tuple[Mode, Mapping[str, Ends]]]:
    """Yield the ways to give that would have been noticed."""
    for mode, known in modes_of(situation, bands):
        noticed = mode.event != CRACKS or (no_crack and "hidden_joint" not in mode.inputs)
        if noticed and mode.factor is not ALLOWED:
            yield mode, known
