"""A concrete slab as it is told, as bands: sizes, strengths, what is under it, joints, cavities.

Where nobody gave a value: thickness and concrete by the year it was built, steel and load transfer by the kind, all our
own choice, "common practice, no source". A cavity that nobody looked for is not ruled out: the likely radius is none,
the pessimistic one 0.3 m, for a slab built before 1980 or at an unknown time 0.45 m.
"""

from __future__ import annotations

import math
from dataclasses import replace

from tipline.floors.known.bands import OFFSETS, Band, Known, ZoneBands, step_of
from tipline.floors.known.soil import reaction_band, soil_bands
from tipline.mechanics.collapse import elastic_modulus_en, flexural_strength_aci, flexural_strength_en
from tipline.mechanics.joints import interlock_transfer
from tipline.mechanics.subgrade import reaction_from_modulus
from tipline.model.ground import SoilLayer
from tipline.model.slab import Cavity, Joint, Slab
from tipline.model.words import NOT_KNOWN
from tipline.units import show

__all__ = ["slab_bands"]

Three = tuple[float, float, float]
_OLD, _NEW = 1950, 1980
_THICKNESS: Three = (0.14, 0.09, 0.22)
_CONCRETE: dict[str, Three] = {
    "built before 1950": (20e6, 12e6, 32e6),
    "built from 1950 to 1979": (26e6, 15e6, 40e6),
    "built in 1980 or later": (32e6, 20e6, 46e6),
    "the year is not known": (24e6, 11e6, 48e6),
}
_WEAKEST, _STRONGEST = 8e6, 9e7
_MEAN_OVER_SPECIFIED = 8e6
_STEEL_AREA: dict[str, Three] = {
    "mesh": (142e-6, 60e-6, 393e-6),
    "bars": (393e-6, 142e-6, 785e-6),
    NOT_KNOWN: (0.0, 0.0, 142e-6),
}
_STEEL_YIELD: Three = (4.6e8, 2.5e8, 5.0e8)
_FIBRE: Three = (1.0e6, 0.0, 2.0e6)
_TRANSFER: dict[str, Three] = {
    "contraction": (0.4, 0.0, 0.8),
    "construction": (0.3, 0.0, 0.8),
    "isolation": (0.0, 0.0, 0.3),
    NOT_KNOWN: (0.3, 0.0, 0.8),
}
_WIDER, _FINER, _WIDEST = 5e-4, 2e-4, 0.02
"""By how much a crack may be wider in the cold than when it was measured, and finer in places, and the widest one [m]
(our choice: 10 m of slab that cool by 5 K, at 1e-5 a kelvin, open by 0.5 mm)."""
_CAVITY_DEPTH: Three = (0.1, 0.4, 0.02)
_SURVEYED, _RECENT, _AGED = 0.1, 0.3, 0.45
_CONE = Band(1.3, 1.0, 2.0, "assumed", "how much wider a punched cone gets below, over its height", "ratio")
"""From 45 degrees, where codes put half a depth, to 27 degrees, where EN 1992 puts two (from memory)."""
_UNDRAINED_OVER_REACTION = 2e-3
"""Undrained strength over subgrade reaction [m] (our choice, as in the table of soils by word: 30 kPa at 15 MN/m3, 110
at 50)."""
_PLATE = 1.0 / reaction_from_modulus(1.0)
"""Modulus over subgrade reaction of the 0.762 m plate [m], by definition of its formula."""


def slab_bands(known: Known, slab: Slab) -> ZoneBands:
    """Return the bands of a slab on the ground.

    Names: thickness, compressive_strength, flexural_strength, modulus (of the concrete), subgrade_reaction, steel_area,
    steel_depth (under the top), steel_yield, fibre_residual, edge_distance (how much nearer than drawn an edge or a
    joint may lie), joint_transfer (of a joint nobody told), cavity_radius (of a cavity nobody told), punching_cone, of
    the soil under it soil_undrained_strength, or soil_friction_angle, soil_cohesion and soil_unit_weight, and
    soil_stiffness.
    """
    thickness = _thickness(known, slab)
    strength = _concrete(known, slab)
    bands = {
        "thickness": thickness,
        "compressive_strength": strength,
        "flexural_strength": _flexural(strength, thickness),
        "modulus": _modulus(strength),
        "subgrade_reaction": reaction_band(known, slab.subgrade_reaction, slab.cbr, slab.soil, test=slab.plate_test),
        **_reinforcement(known, slab, thickness),
        "edge_distance": _position(known, slab),
        "joint_transfer": _of_any_joint(known, slab),
        "cavity_radius": _hidden_cavity(known, slab),
        "punching_cone": _CONE,
    }
    bands |= _soil(known, slab, bands["subgrade_reaction"])
    return ZoneBands(
        known.name,
        "slab",
        bands=bands,
        joints=tuple(_transfer(known, joint, index) for index, joint in enumerate(slab.joint)),
        cavities=tuple(_cavity(known, cavity, index) for index, cavity in enumerate(slab.cavity)),
        cavity_depths=tuple(_depth(known, cavity, index) for index, cavity in enumerate(slab.cavity)),
        joint_anywhere=slab.joints == NOT_KNOWN,
        assumed=tuple(known.assumed),
    )


def _thickness(known: Known, slab: Slab) -> Band:
    if slab.thickness is not None:
        year = "" if slab.information_from is None else f"as known in {slab.information_from}"
        return replace(known.told(slab.thickness, "thickness", "thickness", "length"), note=year)
    return known.filled("thickness", _THICKNESS, "not given", "length")


def _age(slab: Slab) -> str:
    if slab.built is None:
        return "the year is not known"
    if slab.built < _OLD:
        return "built before 1950"
    return "built from 1950 to 1979" if slab.built < _NEW else "built in 1980 or later"


def _concrete(known: Known, slab: Slab) -> Band:
    """Cylinder strength in the floor: cored as found, specified plus 8 MPa for the mean, ends from the specified."""
    if slab.concrete is None:
        return known.filled("concrete", _CONCRETE[_age(slab)], _age(slab), "pressure")
    band = known.told(slab.concrete, "compressive_strength", "concrete", "pressure")
    if step_of(band.how) == 0:
        return Band(
            band.likely, max(band.pessimistic, _WEAKEST), min(band.optimistic, _STRONGEST), band.how, "", "pressure"
        )
    likely = min(slab.concrete + _MEAN_OVER_SPECIFIED, _STRONGEST)
    better = min(likely * band.optimistic / band.likely, _STRONGEST)
    worse = max(band.pessimistic, _WEAKEST)
    return Band(likely, worse, better, band.how, "mean of a specified strength: 8 MPa above it", "pressure")


def _flexural(strength: Band, thickness: Band) -> Band:
    """Tension in bending at the first crack; the relations with the cylinder strength scatter by a fifth themselves."""
    likely = flexural_strength_aci(strength.likely)
    thick = max(thickness.pessimistic, 0.01)
    worse = min(
        0.8 * flexural_strength_aci(strength.pessimistic),
        flexural_strength_en(strength.pessimistic, thick).characteristic,
    )
    better = max(1.2 * flexural_strength_aci(strength.optimistic), likely)
    note = "from the concrete's strength: 0.62 sqrt(f'c), a fifth either way"
    return Band(likely, min(worse, likely), better, strength.how, note, "pressure")


def _modulus(strength: Band) -> Band:
    """Young's modulus from the mean strength; the stiffer slab draws more stress."""
    likely = elastic_modulus_en(strength.likely)
    low, high = (elastic_modulus_en(end) for end in (strength.low, strength.high))
    note = "from the concrete's strength; a standing load meets less, down to two thirds"
    return Band(likely, max(1.1 * likely, high), min(0.7 * likely, low), strength.how, note, "pressure")


def _soil(known: Known, slab: Slab, reaction: Band) -> dict[str, Band]:
    """Bands of the soil under the slab: by its word, or, where nobody knows that, from a subgrade reaction told."""
    if slab.soil == NOT_KNOWN and (slab.subgrade_reaction is not None or slab.plate_test is not None):
        factors = {"undrained_strength": _UNDRAINED_OVER_REACTION, "stiffness": _PLATE}
        note = "from the subgrade reaction"
        return {
            f"soil_{name}": known.filled(
                f"{name.replace('_', ' ')} of the soil",
                (factor * reaction.likely, factor * reaction.pessimistic, factor * reaction.optimistic),
                note,
                "pressure",
            )
            for name, factor in factors.items()
        }
    return soil_bands(known, SoilLayer(soil=slab.soil), "", "soil", slab.cbr).named("soil_")


def _reinforcement(known: Known, slab: Slab, thickness: Band) -> dict[str, Band]:
    """Steel and fibre, as far as the reinforcement has or may have them."""
    word = slab.reinforcement
    if word == "none":
        return {}
    if word == "fibre":
        if slab.fibre_residual is not None:
            return {"fibre_residual": known.told(slab.fibre_residual, "fibre_residual", "fibre_residual", "pressure")}
        return {"fibre_residual": known.filled("fibre residual strength", _FIBRE, "not given", "pressure")}
    return {
        "steel_area": known.told(slab.steel_area, "steel_area", "steel_area", "area_per_length")
        if slab.steel_area is not None
        else known.filled("steel area", _STEEL_AREA[word], f"reinforcement {word}", "area_per_length"),
        "steel_depth": known.told(slab.steel_depth, "steel_depth", "steel_depth", "length")
        if slab.steel_depth is not None
        else known.filled("steel depth", _usual_depth(thickness), "usual places of mesh in a slab", "length"),
        "steel_yield": known.told(slab.steel_yield, "steel_yield", "steel_yield", "pressure")
        if slab.steel_yield is not None
        else known.filled("steel yield", _STEEL_YIELD, "old plain to new ribbed steel", "pressure"),
    }


def _usual_depth(thickness: Band) -> Three:
    """Mesh meant low or in the middle often lies high: trodden down or up while the concrete is placed."""
    return 0.5 * thickness.likely, 0.3 * thickness.likely, 0.75 * thickness.likely


def _position(known: Known, slab: Slab) -> Band:
    """How much nearer to a tyre an edge or joint may lie than drawn, by the line that is known least."""
    fields = [f"joint.{i}.line" for i in range(len(slab.joint))] + [f"edge.{i}.line" for i in range(len(slab.edge))]
    origin = max((known.origin(name) for name in fields), key=step_of, default="measured")
    worse, better = OFFSETS["edge_distance"][step_of(origin)]
    return Band(0.0, worse, better, origin, "nearer than drawn", "length")


def _of_any_joint(known: Known, slab: Slab) -> Band:
    if slab.joints == NOT_KNOWN:
        return known.filled("load transfer of a joint not told", _TRANSFER[NOT_KNOWN], "joints not known", "ratio")
    return Band(*_TRANSFER[NOT_KNOWN], known.origin("joints"), "of a joint not told; all are told", "ratio")


def _transfer(known: Known, joint: Joint, index: int) -> Band:
    what = f"load transfer of {joint.kind} joint {index}"
    if joint.load_transfer is None and joint.opening is not None:
        wide = joint.opening
        ends = [interlock_transfer(w) for w in (wide, min(wide + _WIDER, _WIDEST), max(wide - _FINER, 0.0))]
        note = f"by how wide it stands open, {show(wide, 'length')}"
        return Band(ends[0], ends[1], ends[2], known.origin(f"joint.{index}.opening"), note, "ratio")
    if joint.load_transfer is None:
        return known.filled(what, _TRANSFER[joint.kind], "not given", "ratio")
    origin = known.origin(f"joint.{index}.load_transfer")
    worse, better = OFFSETS["joint_transfer"][step_of(origin)]
    transfer = joint.load_transfer
    return Band(transfer, max(transfer + worse, 0.0), min(transfer + better, 1.0), origin, "", "ratio")


def _hidden_cavity(known: Known, slab: Slab) -> Band:
    if slab.cavities == "surveyed":
        return Band(0.0, _SURVEYED, 0.0, known.origin("cavities"), "what a survey may miss", "length")
    aged = slab.built is None or slab.built < _NEW
    ends = (0.0, _AGED if aged else _RECENT, 0.0)
    return known.filled("radius of a hidden cavity", ends, "nobody has looked for one", "length")


def _cavity(known: Known, cavity: Cavity, index: int) -> Band:
    if cavity.radius is not None:
        return known.told(cavity.radius, "cavity", f"cavity.{index}.radius", "length")
    same_area = math.sqrt(math.prod(cavity.size or (0.0, 0.0)) / math.pi)
    return known.told(same_area, "cavity", f"cavity.{index}.size", "length")


def _depth(known: Known, cavity: Cavity, index: int) -> Band:
    if cavity.depth is not None:
        return known.told(cavity.depth, "cavity", f"cavity.{index}.depth", "length")
    return known.filled(f"depth of {cavity.name}", _CAVITY_DEPTH, "not given", "length")
