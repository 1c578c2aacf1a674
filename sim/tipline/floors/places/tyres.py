"""Contact patches of a truck's tyres in the world, at a place and under their loads."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Literal

from tipline.floors.places.patch import Patch
from tipline.mechanics.patch import ContactPatch, TyreSize, patch_from_pressure, pneumatic_patch, solid_patch
from tipline.model.plane import Point

if TYPE_CHECKING:
    from tipline.floors.places.route import Standing
    from tipline.model.machine import Tyre

__all__ = ["contact", "patches"]

LEAST_LOAD = 500.0
"""A tyre lighter than this is asked as if it weighed this (our choice: a patch needs some load) [N]."""
STIFF = 12e6
"""Pressure under a tyre too heavily loaded for its rubber's law (our choice: it stands nearly on its rim) [Pa]."""


def contact(tyre: Tyre, load: float) -> ContactPatch:
    """Return the patch of a tyre under a load [N]; a law that does not reach is replaced and says so."""
    load = max(load, LEAST_LOAD)
    if tyre.kind == "pneumatic" and tyre.inflation is not None:
        return pneumatic_patch(load, min(max(tyre.inflation, 1e5), 1.5e6), tyre.width)
    size = TyreSize(tyre.diameter, tyre.width, tyre.diameter - 2 * tyre.rubber_thickness, tyre.rubber_thickness, ())
    kind: Literal["solid", "band"] = "band" if tyre.kind == "band" else "solid"
    try:
        return solid_patch(load, size, min(max(tyre.rubber_modulus, 2e6), 12e6), kind)
    except ValueError:
        footprint = patch_from_pressure(load, STIFF, tyre.width)
        warning = f"{tyre.name}: loaded past what its rubber's law reaches; a pressure of 12 MPa is taken"
        return footprint._replace(warnings=(*footprint.warnings, warning))


def patches(
    standing: Standing, places: Mapping[str, Point], tyres: Mapping[str, Tyre], loads: Mapping[str, float]
) -> tuple[Patch, ...]:
    """Return the patch of every tyre with the truck at a place."""
    standing_patches = []
    for name, place in places.items():
        footprint = contact(tyres[name], loads[name])
        at = standing.point(*place)
        load = max(loads[name], LEAST_LOAD)
        standing_patches.append(
            Patch(
                name,
                at,
                standing.heading,
                footprint.length,
                footprint.width,
                load,
                footprint.peak_pressure,
                kind=tyres[name].kind,
            )
        )
    return tuple(standing_patches)
