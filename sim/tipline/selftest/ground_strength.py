"""Strength of a slab: tension by class, collapse loads, punching by code, joints, timber and steel over a gap."""

from __future__ import annotations

from collections.abc import Callable

from tipline.mechanics.collapse import (
    collapse_load,
    elastic_modulus_en,
    flexural_strength_aci,
    flexural_strength_en,
    meyerhof_load,
    tensile_strength_en,
)
from tipline.mechanics.covers import four_sided_patch
from tipline.mechanics.fatigue import passes_to_crack
from tipline.mechanics.joints import interlock_transfer
from tipline.mechanics.punching import control_perimeter, plain_punching_aci, punching_en, two_way_aci
from tipline.mechanics.slab import GroundSlab
from tipline.selftest.check import Check, Status
from tipline.units import INCH as IN
from tipline.units import POUND_FORCE as LBF

__all__ = ["CHECKS"]

PSI = LBF / IN**2
# Stiff enough for l = 0.75 m: 150 mm, 30 GPa, nu = 0.2.
_SLAB = GroundSlab(0.15, 30e9, 0.2, 30e9 * 0.15**3 / (12.0 * 0.96) / 0.75**4)


def _seen(source: str, place: str, name: str, what: str, printed: str, call: Callable[[], float]) -> Check:
    return Check(name, what, printed, source, place, "seen in the source", call)


def _derived(name: str, what: str, printed: str, call: Callable[[], float], source: str) -> Check:
    return Check(name, what, printed, source, "formula from memory", "derived here", call)


def _class(fck: int, printed: str) -> Check:
    what = f"Mean tensile strength of concrete, fck {fck} MPa"
    return _seen("EN1992Table31", "fctm", f"fctm-{fck}", what, printed, lambda: tensile_strength_en(fck * 1e6).mean)


def _class_low(fck: int, printed: str) -> Check:
    what = f"5 % tensile strength of concrete, fck {fck} MPa"
    return _seen(
        "EN1992Table31",
        "fctk,0.05",
        f"fctk-{fck}",
        what,
        printed,
        lambda: tensile_strength_en(fck * 1e6).characteristic,
    )


def _class_modulus(fck: int, printed: str) -> Check:
    what = f"Young's modulus of concrete, fck {fck} MPa"
    mean = (fck + 8.0) * 1e6
    return _seen("EN1992Table31", "Ecm", f"ecm-{fck}", what, printed, lambda: elastic_modulus_en(mean))


def _column(reduction: float = 1.0) -> float:
    return two_way_aci(4000 * PSI, 12 * IN, 12 * IN, 6 * IN, size_factor=False, edition="US", reduction=reduction).load


# By the class, fck [MPa]; of fctk at 55 and 60 MPa the table rounds what it has rounded before.
_MEAN = {
    12: "1.6 MPa",
    16: "1.9 MPa",
    20: "2.2 MPa",
    25: "2.6 MPa",
    30: "2.9 MPa",
    35: "3.2 MPa",
    40: "3.5 MPa",
    45: "3.8 MPa",
    50: "4.1 MPa",
    55: "4.2 MPa",
    60: "4.4 MPa",
    70: "4.6 MPa",
    80: "4.8 MPa",
    90: "5.0 MPa",
}
_LOW = {
    12: "1.1 MPa",
    16: "1.3 MPa",
    20: "1.5 MPa",
    25: "1.8 MPa",
    30: "2.0 MPa",
    35: "2.2 MPa",
    40: "2.5 MPa",
    45: "2.7 MPa",
    50: "2.9 MPa",
    70: "3.2 MPa",
    80: "3.4 MPa",
    90: "3.5 MPa",
}
_MODULUS = {
    12: "27 GPa",
    16: "29 GPa",
    20: "30 GPa",
    25: "31 GPa",
    30: "33 GPa",
    35: "34 GPa",
    40: "35 GPa",
    45: "36 GPa",
    50: "37 GPa",
    55: "38 GPa",
    60: "39 GPa",
    70: "41 GPa",
    80: "42 GPa",
    90: "44 GPa",
}
_SQUARE = (30e6, 0.4, 0.4, 0.2)
_EN = (30e6, 0.3, 0.3, 0.16, 0.005)
_EN_CORNER = (32e6, 0.2, 0.3, 0.15, 0.006, (0.0, 0.0))


def _place(name: str, where: str, radius: float, printed: str) -> Check:
    what = f"Collapse load, {where}, a / l = {radius / 0.75:.3g}"
    return _derived(
        name,
        what,
        printed,
        lambda: collapse_load(where, 10e3, 12e3, _SLAB, radius).load,  # type: ignore[arg-type]
        "TR34",
    )


def _meyerhof(where: str, printed: str) -> Check:
    what = f"Collapse load, {where}, form of 1962"
    return _derived(
        f"meyerhof-{where}",
        what,
        printed,
        lambda: meyerhof_load(where, 10e3, _SLAB, 0.15).load,  # type: ignore[arg-type]
        "Meyerhof1962",
    )


_MEMORY: Status = "from memory"

CHECKS = (
    _seen(
        "ColleyHumphrey1967",
        "as cited",
        "interlock-wide-crack",
        "Share of a load across a crack 1.5 mm wide",
        "15 %",
        lambda: interlock_transfer(1.5e-3) / (1.0 + interlock_transfer(1.5e-3)),
    ),
    _derived(
        "interlock-fine-crack",
        "Deflection transfer of a crack 0.9 mm wide, as an effectiveness of 60 % would have it: 0.43",
        "0.434",
        lambda: interlock_transfer(0.9e-3),
        "ColleyHumphrey1967",
    ),
    _derived("interlock-closed-crack", "Of one as good as closed", "0.900", lambda: interlock_transfer(1e-4), "Own"),
    *(_class(fck, printed) for fck, printed in _MEAN.items()),
    *(_class_low(fck, printed) for fck, printed in _LOW.items()),
    *(_class_modulus(fck, printed) for fck, printed in _MODULUS.items()),
    _seen(
        "RuptureProblem",
        "part 2",
        "rupture-3569",
        "Modulus of rupture, 3569 psi",
        "448 psi",
        lambda: flexural_strength_aci(3569 * PSI, edition="US"),
    ),
    _seen(
        "GradeSlabSheet",
        "modulus of rupture",
        "rupture-16",
        "Modulus of rupture, 16 MPa",
        "2.48 MPa",
        lambda: flexural_strength_aci(16e6),
    ),
    _seen(
        "CalcadyPunching",
        "example",
        "punching-us-perimeter",
        "Perimeter b0, 12 in column, d = 6 in",
        "72 in",
        lambda: control_perimeter(12 * IN, 12 * IN, 3 * IN).length,
    ),
    _seen("CalcadyPunching", "example", "punching-us", "Vc, same column, 4000 psi", "109.3 kip", _column),
    _seen("CalcadyPunching", "example", "punching-us-phi", "0.75 Vc", "82.0 kip", lambda: _column(0.75)),
    _seen(
        "CalcdomainPunching",
        "step-by-step example",
        "punching-perimeter-167",
        "Perimeter b0, 400 mm column, d = 167 mm",
        "2268 mm",
        lambda: control_perimeter(0.4, 0.4, 0.0835).length,
    ),
    _seen(
        "ReuvenPunching",
        "results",
        "punching-perimeter-200",
        "Perimeter b0, 400 mm column, d = 200 mm",
        "2400 mm",
        lambda: two_way_aci(*_SQUARE).perimeter,
    ),
    _seen(
        "ReuvenPunching",
        "results",
        "punching-stress",
        "vc, same column, 30 MPa",
        "1.807 MPa",
        lambda: two_way_aci(*_SQUARE, size_factor=False).stress,
    ),
    _seen(
        "ReuvenPunching",
        "results",
        "punching-stress-phi",
        "0.75 vc",
        "1.356 MPa",
        lambda: two_way_aci(*_SQUARE, size_factor=False, reduction=0.75).stress,
    ),
    _seen(
        "ReuvenPunching",
        "results",
        "punching-load-phi",
        "0.75 Vc",
        "650.7 kN",
        lambda: two_way_aci(*_SQUARE, size_factor=False, reduction=0.75).load,
    ),
    _derived(
        "punching-si",
        "Vc, 300 mm column, d = 160 mm, 28 MPa",
        "514.08 kN",
        lambda: two_way_aci(28e6, 0.3, 0.3, 0.16, size_factor=False).load,
        "ACI318",
    ),
    _derived(
        "passes-to-crack",
        "Passes to a crack at 0.6 of the flexural strength",
        "31013",
        lambda: passes_to_crack(0.6),
        "PCAFatigue",
    ),
    _derived("en-stress", "vRd,c, 300 mm patch, d = 160 mm", "0.59189 MPa", lambda: punching_en(*_EN).stress, "EN1992"),
    _derived("en-perimeter", "u1 at 2 d", "3210.62 mm", lambda: punching_en(*_EN).perimeter, "EN1992"),
    _derived("en-load", "VRd,c at 2 d", "304.05 kN", lambda: punching_en(*_EN).at_perimeter, "EN1992"),
    _derived("en-face", "VRd,max at the face, 0.4 nu fcd", "811.01 kN", lambda: punching_en(*_EN).at_face, "EN1992"),
    _derived(
        "en-face-early",
        "VRd,max at the face, 0.5 nu fcd as before the amendment",
        "1013.76 kN",
        lambda: punching_en(*_EN, face_share=0.5).at_face,
        "EN1992",
    ),
    _derived(
        "en-corner-perimeter", "u1 at a corner", "971.24 mm", lambda: punching_en(*_EN_CORNER).perimeter, "EN1992"
    ),
    _derived("en-corner-load", "VRd,c at a corner", "93.626 kN", lambda: punching_en(*_EN_CORNER).load, "EN1992"),
    _derived(
        "plain-punching",
        "Plain slab of 180 mm, 25 MPa, 300 mm patch, 0.6 Vn",
        "228.10 kN",
        lambda: plain_punching_aci(25e6, 0.3, 0.3, 0.18, reduction=0.6).load,
        "ACI318",
    ),
    _place("collapse-interior", "interior", 0.15, "296.207 kN"),
    _place("collapse-edge", "edge", 0.15, "135.133 kN"),
    _place("collapse-corner", "corner", 0.15, "60.000 kN"),
    _place("collapse-interior-small", "interior", 0.05, "190.889 kN"),
    _place("collapse-edge-small", "edge", 0.05, "84.0826 kN"),
    _place("collapse-corner-small", "corner", 0.05, "36.000 kN"),
    _meyerhof("interior", "84.000 kN"),
    _meyerhof("edge", "56.000 kN"),
    _meyerhof("corner", "36.000 kN"),
    _derived(
        "flexural-en",
        "Mean flexural strength, fck 30 MPa, 200 mm",
        "4.0551 MPa",
        lambda: flexural_strength_en(30e6, 0.2).mean,
        "EN1992",
    ),
    Check(
        "square-plate-sag",
        "Square plate on four sides, point load, w D / (P a^2)",
        "0.0116",
        "TimoshenkoPlates",
        "table of a load in the middle",
        _MEMORY,
        lambda: four_sided_patch(1.0, 1.0, 1.0, 1.0, 0.3, (0.05, 0.05)).deflection,
        1e-4,
        "ours is a patch of a twentieth of the side, the table's a point",
    ),
)
