"""Patch, joints, spreaders, and a slab's two numbers: each derived by a second route."""

from __future__ import annotations

from collections.abc import Callable

from tipline.floors.modes.cover import STEEL_POISSON, STEEL_UNIT, four_sided_stress
from tipline.floors.places.patch import Patch
from tipline.mechanics.collapse import meshed_moment
from tipline.mechanics.covers import four_sided_patch
from tipline.mechanics.joints import line_stiffness, planning_stress_transfer
from tipline.mechanics.patch import TyreSize, patch_from_pressure, pneumatic_patch, solid_patch, worn
from tipline.mechanics.slab import GroundSlab
from tipline.mechanics.spreaders import (
    MatAnswer,
    SteelOnSoil,
    braking_grip,
    effective_area,
    placement_distance,
    plate_over_gap_one_way,
    slab_patch,
    steel_on_soil,
    timber_mat,
)
from tipline.selftest.check import Check
from tipline.selftest.ground_slab import SI

__all__ = ["CHECKS"]

_TYRE = TyreSize(0.90, 0.35, 0.66, 0.12, ())
_STIFF = GroundSlab(0.15, 30e9, 0.2, 30e9 * 0.15**3 / (12.0 * 0.96) / 0.75**4)
_STEEL = GroundSlab(0.05, 210e9, 0.3, 20e6)

_PIT = Patch("on a pit", (0.0, 0.0), 0.0, 0.3, 0.3, 100e3)


def _derived(name: str, what: str, printed: str, call: Callable[[], float], source: str, place: str = "") -> Check:
    return Check(name, what, printed, source, place or "formula from memory", "derived here", call)


def _solid(field: int) -> float:
    return float(solid_patch(100e3, _TYRE)[field])  # type: ignore[arg-type]


def _mat() -> MatAnswer:
    return timber_mat(100e3, 3.0, 0.30, 0.35, 0.9, 0.1, 30e6)


def _steel() -> SteelOnSoil:
    return steel_on_soil(200e3, _STEEL, 2.0, 2.0, 0.16925687506432688, 1.0)


_BEAM = "finite-element beam on springs"
_PLATE = "finite differences"
_HAND = "by hand"

CHECKS = (
    _derived("solid-length", "Solid tyre, 100 kN, patch length", "284.99 mm", lambda: _solid(0), "Johnson1985"),
    _derived("solid-mean", "Mean pressure of that patch", "1.00254 MPa", lambda: _solid(3), "Johnson1985"),
    _derived("solid-peak", "Peak pressure of that patch", "1.50382 MPa", lambda: _solid(4), "Johnson1985"),
    _derived("solid-radius", "Radius of the equal circle", "178.186 mm", lambda: _solid(5), "Johnson1985"),
    _derived("solid-compression", "Compression of that tyre", "22.561 mm", lambda: _solid(6), "Johnson1985"),
    _derived("solid-stiffness", "Stiffness there, N/m over 10^6", "6.64869", lambda: _solid(7) / 1e6, "Johnson1985"),
    _derived(
        "air-length",
        "Pneumatic tyre, 100 kN at 0.9 MPa, patch length",
        "382.964 mm",
        lambda: pneumatic_patch(100e3, 0.9e6, 0.3).length,
        "PCAThickness",
    ),
    _derived(
        "data-sheet-length",
        "100 kN at 2 MPa on 0.25 m of tread, patch length",
        "200 mm",
        lambda: patch_from_pressure(100e3, 2e6, 0.25).length,
        "Own",
        _HAND,
    ),
    _derived(
        "worn-height", "Rubber left of 120 mm after 50 mm", "70 mm", lambda: worn(_TYRE, 0.05).height, "Own", _HAND
    ),
    _derived(
        "joint-stiffness",
        "Interlock that hands over 0.8, N/m2 over 10^6",
        "256.97",
        lambda: line_stiffness(0.8, SI) / 1e6,
        "Crovetti1994",
    ),
    _derived(
        "joint-planning",
        "Stress transfer for planning at a deflection transfer of 0.6",
        "0.13286",
        lambda: planning_stress_transfer(0.6),
        "Own",
        "below finite elements of two panels",
    ),
    _derived(
        "mesh-moment",
        "Moment capacity of 393 mm2/m in 100 mm, kN m per m",
        "16.2282",
        lambda: meshed_moment(393e-6, 500e6 / 1.15, 0.1, 20e6) / 1e3,
        "EN1992",
    ),
    _derived("steel-area", "Effective area, 2 x 2 m of 50 mm steel", "2.27921", lambda: _steel().area, "Own", _HAND),
    _derived(
        "steel-pressure", "Ground pressure under it, 200 kN", "87.7496 kPa", lambda: _steel().pressure, "Own", _HAND
    ),
    _derived("steel-stress", "Stress of the steel", "92.49 MPa", lambda: _steel().stress, "Own", _HAND),
    _derived(
        "area-far", "Effective area of a very large plate, l = 0.5 m", "2.000", lambda: effective_area(1e4, 0.5), "Own"
    ),
    _derived(
        "placement",
        "Least distance to a plate's edge, l = 0.6 m",
        "0.45 m",
        lambda: placement_distance(0.6, 3.0, 1.0),
        "Own",
        _HAND,
    ),
    _derived(
        "slab-patch",
        "Patch under 50 mm of steel, from 0.30 m",
        "0.40 m",
        lambda: slab_patch(0.3, 0.3, 0.05).length,
        "TextbookMechanics",
        _HAND,
    ),
    _derived(
        "gap-beam-stress",
        "30 mm plate over a 0.6 m gap, 100 kN, stress",
        "125.0 MPa",
        lambda: plate_over_gap_one_way(100e3, 0.6, 1.5, 0.03, 0.3, 0.3).stress,
        "TextbookMechanics",
        _HAND,
    ),
    _derived(
        "gap-beam-sag",
        "Sag of that plate",
        "1.41369 mm",
        lambda: plate_over_gap_one_way(100e3, 0.6, 1.5, 0.03, 0.3, 0.3).sag,
        "TextbookMechanics",
        _HAND,
    ),
    _derived(
        "gap-plate-stress",
        "Plate on four sides of a 0.6 m pit, 100 kN, stress",
        "78.5 MPa",
        lambda: four_sided_stress(_PIT, 0.03, (0.57, 0.57)),
        "TimoshenkoPlates",
        _PLATE,
    ),
    _derived(
        "gap-plate-sag",
        "Sag of that plate",
        "0.5913 mm",
        lambda: four_sided_patch(100e3, 0.6, 0.6, STEEL_UNIT * 0.03**3, STEEL_POISSON, (0.3, 0.3)).deflection,
        "TimoshenkoPlates",
        _PLATE,
    ),
    _derived(
        "mat-pressure",
        "Timber mat, 100 kN, ground pressure",
        "97.881 kPa",
        lambda: _mat().pressure,
        "Hetenyi1946",
        _BEAM,
    ),
    _derived("mat-bending", "Same, bending over its strength", "0.3576", lambda: _mat().bending, "Hetenyi1946", _BEAM),
    _derived("mat-shear", "Same, shear over its strength", "0.30864", lambda: _mat().shear, "EN1995"),
    _derived("mat-across", "Same, bearing across the grain", "0.21630", lambda: _mat().across, "EN1995"),
    _derived(
        "grip",
        "Braking on a 500 kg plate of friction 0.2, tyre load 49 kN",
        "0.220014",
        lambda: braking_grip(49e3, 500.0, 0.3, 0.2).least,
        "TextbookMechanics",
    ),
)
