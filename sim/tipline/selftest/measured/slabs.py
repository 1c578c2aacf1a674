"""Concrete floors on the ground loaded until they failed, and what concrete itself was measured to bear."""

from __future__ import annotations

from functools import partial
from math import sqrt

from tipline.closing_in import closed_in
from tipline.floors.modes.of_zone import PAST_FIRST_CRACK
from tipline.mechanics.collapse import elastic_modulus_en, flexural_strength_aci, meyerhof_load, plain_moment
from tipline.mechanics.fatigue import passes_to_crack
from tipline.mechanics.slab import GroundSlab, interior
from tipline.selftest.measured.comparison import MeasuredKind, Measurement

__all__ = ["KINDS"]

_PSI = 6894.757293168361
_STRENGTHS = (4000, 8000)
"""Cylinder strengths over which the fit was made [psi]."""
_PER_DECADE = 0.0685
"""Fall of the stress a beam bears, in parts of its strength, per tenfold passes, from nothing up and back. Source:
[TepfersKutti1979], from memory"""
_SLAB, _RADIUS, _STRENGTH = GroundSlab(0.15, 30e9, 0.2, 50e6), 0.15, 4.5e6
"""A slab of 150 mm on 50 MN/m3 under a circle of 300 mm (our choice: the slabs' own sizes were not read).

From 127 to 300 mm, 30 to 100 MN/m3 and 200 to 500 mm the answer is 1.22 to 1.40.
"""


def _past_first_crack() -> float:
    """Return the load at which a plain slab is expected to be through, over that of its first crack."""
    crack = _STRENGTH / interior(_SLAB, 1.0, _RADIUS).stress
    late = meyerhof_load("interior", plain_moment(_SLAB.thickness, _STRENGTH), _SLAB, _RADIUS).load
    return float((late / crack) ** PAST_FIRST_CRACK.likely)


def _ratio_for(passes: int) -> float:
    """Return the stress over strength that is borne so often."""
    return closed_in(lambda ratio: passes_to_crack(ratio) <= passes, 0.45, 1.0, most=50)[0]


def _rupture(psi: int) -> Measurement:
    measured = f"{11.7 * sqrt(psi) * _PSI / 1e6:.2f} MPa"
    return Measurement(f"flexural strength at {psi} psi", measured, partial(flexural_strength_aci, psi * _PSI))


def _modulus(psi: int) -> Measurement:
    measured = f"{(40_000 * sqrt(psi) + 1e6) * _PSI / 1e9:.1f} GPa"
    return Measurement(f"Young's modulus at {psi} psi", measured, partial(elastic_modulus_en, psi * _PSI))


KINDS = (
    MeasuredKind(
        "slabs on ground until through",
        "Plain slabs on ground under one load: greatest load over that at which beams of their concrete would crack",
        ("GuoSlabStrength",),
        "read in its abstract",
        "breaking after the first crack, midway to the load of yield lines; a slab of our choice, inside",
        (Measurement("load when through over that of the first crack, mean of two studies", "2.8", _past_first_crack),),
        "Twice ours, and half as much again as the end of our range: the ground takes more of a cracked slab's load "
        "than yield lines count. At the first crack below, full-size slabs under wheels bore close to the strength of "
        "beams, which is what ours takes (the abstract gives no figure). So ours tells when it cracks, and lets it "
        "break early.",
    ),
    MeasuredKind(
        "fibre slabs on ground punched",
        "Three slabs on ground with 20, 30 and 40 kg/m3 of steel fibres under a load in the middle",
        ("ManfrediEtAl2022",),
        "read in its abstract",
        "collapse and punching of a slab on ground with fibres go by an earlier edition of the same report",
        (),
        "The authors found less than 10 % between tests and the report's formulas, and that what these give to "
        "concrete, fibres and ground singly is not how the slabs bore. Single loads and sizes were not read.",
    ),
    MeasuredKind(
        "flexural strength of concrete",
        "Beams of concrete of 21 to 83 MPa, kept moist: the fit of their flexural strength",
        ("CarrasquilloEtAl1981",),
        "from memory",
        "modulus of rupture by the code, which is the likely strength of a slab whose concrete is told by its class",
        tuple(_rupture(psi) for psi in _STRENGTHS),
        "Half as much again as ours. The code's number is a low one for design, and moist beams bear more than a "
        "floor that dries (by a quarter and more, from memory). A floor whose beams were tested should be told so.",
    ),
    MeasuredKind(
        "stiffness of concrete",
        "Cylinders of the same concretes: the fit of Young's modulus",
        ("CarrasquilloEtAl1981",),
        "from memory",
        "Young's modulus by strength, stones of quartzite",
        tuple(_modulus(psi) for psi in _STRENGTHS),
        "A sixth less than ours, whose stones are quartzite. The stress in a slab on ground moves by 2 % with it.",
    ),
    MeasuredKind(
        "fatigue of concrete in bending",
        "Beams loaded from nothing up again and again: the line through their lives",
        ("TepfersKutti1979",),
        "from memory",
        "passes until plain concrete cracks",
        tuple(
            Measurement(f"stress over strength borne {passes} times", f"{1.0 - _PER_DECADE * k:.3f}",
                        partial(_ratio_for, passes))
            for k, passes in ((2, 100), (5, 100_000))
        ),
        "Ours is lower by 7 % at a hundred passes and 15 % at a hundred thousand: the law is one for design, near the "
        "lower edge of tests, and lives scatter by a factor of ten either way.",
    ),
    MeasuredKind(
        "asphalt in the sun",
        "Surfaces of asphalt on hot days: temperature, where it was measured",
        ("SolaimanianKennedy1993",),
        "read in its abstract",
        "heat balance of the surface, the same as theirs",
        (),
        "In 83 of 100 cases their law came within 3 K of what was measured; single readings were not read.",
    ),
)  # fmt: skip
