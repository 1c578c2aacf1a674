"""Slab on the ground past its first crack: yield-line collapse loads, moment capacities, and two numbers.

A plain slab has no ductility to count on in planning: its planning limit is the first crack over factors. The first
crack is not collapse either: a supported slab carries on, so the expected strength is a best estimate with its range.
"""

from __future__ import annotations

import math
from typing import Final, Literal, NamedTuple

import numpy as np

from tipline.elementwise import greater, lesser
from tipline.mechanics._ranges import below, not_negative, positive
from tipline.mechanics.slab import GroundSlab, Place, relative_stiffness_radius

__all__ = [
    "CollapseLoad",
    "FlexuralStrength",
    "collapse_load",
    "elastic_modulus_en",
    "flexural_strength_aci",
    "flexural_strength_en",
    "meshed_moment",
    "meyerhof_load",
    "plain_moment",
    "tensile_strength_en",
]

Ductile = Literal["plain", "mesh", "bars", "fibre"]

_KNEE: Final = 0.2
_WIDE: Final = 0.4
_PSI: Final = 6894.757293168361


class CollapseLoad(NamedTuple):
    """Load that makes a yield-line mechanism [N], with what strains the formula's range, in words."""

    load: float
    warnings: tuple[str, ...] = ()


class FlexuralStrength(NamedTuple):
    """Tension at which concrete cracks, straight or in bending: mean and characteristic (5 %) value [Pa]."""

    mean: float
    characteristic: float


def meyerhof_load(place: Place, moment: float, slab: GroundSlab, radius: float) -> CollapseLoad:
    """Collapse load of a slab whose moment capacity is the same at top and bottom, Meyerhof's form of 1962.

    Parameters
    ----------
    place : str
        "interior", "edge" or "corner" [1].
    moment : float
        Moment capacity M0 per width [N m/m].
    slab : Slab
        [m, Pa, 1, N/m3]
    radius : float
        Radius of the loaded circle [m], below l.

    Returns
    -------
    CollapseLoad
        6 (1 + 2 a / l) M0, 3.5 (1 + 3 a / l) M0, 2 (1 + 4 a / l) M0 [N]; not a proven lower bound.

    Raises
    ------
    ValueError
        If the place is not known or a number is out of range.

    Source: [Meyerhof1962] (from memory)
    """
    M0, ratio = positive("moment", moment, "N m/m"), _ratio(slab, radius)
    factors = {"interior": (6.0, 2.0), "edge": (3.5, 3.0), "corner": (2.0, 4.0)}
    size, growth = factors[_place(place)]
    return CollapseLoad(size * (1.0 + growth * ratio) * M0, _warn(ratio))


def collapse_load(
    place: Place, sagging: float, hogging: float, slab: GroundSlab, radius: float, reinforcement: Ductile = "mesh"
) -> CollapseLoad:
    """Collapse load in the form in use for concrete floors, between a point load and a patch of 0.2 l.

    Parameters
    ----------
    place : str
        "interior", "edge" or "corner" [1].
    sagging, hogging : float
        Moment capacities per width: bottom after cracking Mp, top Mn [N m/m].
    slab : Slab
        [m, Pa, 1, N/m3]
    radius : float
        Radius of the loaded circle [m], below l.
    reinforcement : str
        "mesh", "bars" or "fibre"; "plain" is refused [1].

    Returns
    -------
    CollapseLoad
        At a / l = 0: 2 pi (Mp + Mn), pi (Mp + Mn) / 2 + 2 Mn, 2 Mn; from 0.2 on: 4 pi (Mp + Mn) / (1 - a / 3l),
        (pi (Mp + Mn) + 4 Mn) / (1 - 2a / 3l), 4 Mn / (1 - a / l) [N]; a straight line between.

    Raises
    ------
    ValueError
        If the slab is plain, the place not known, or a number out of range.

    Source: [TR34] (from memory)
    """
    _ductile(reinforcement)
    Mp, Mn = not_negative("sagging", sagging, "N m/m"), positive("hogging", hogging, "N m/m")
    ratio, where = _ratio(slab, radius), _place(place)
    share = lesser(ratio / _KNEE, 1.0)
    point, patch = _at_point(where, Mp, Mn), _at_patch(where, Mp, Mn, greater(ratio, _KNEE))
    return CollapseLoad((1.0 - share) * point + share * patch, _warn(ratio))


def plain_moment(thickness: float, strength: float) -> float:
    """Moment per width at which an uncracked section cracks.

    Parameters
    ----------
    thickness : float
        [m]
    strength : float
        Tension in bending at which the concrete cracks [Pa].

    Returns
    -------
    float
        f h^2 / 6 [N m/m].

    Raises
    ------
    ValueError
        If a number is not above 0.

    Source: [TextbookMechanics]
    """
    return positive("strength", strength, "Pa") * positive("thickness", thickness, "m") ** 2 / 6.0


def meshed_moment(area: float, steel: float, depth: float, strength: float, block: float = 0.85) -> float:
    """Moment capacity per width of a section with one layer of bars or mesh.

    Parameters
    ----------
    area : float
        Steel area per width [m2/m].
    steel : float
        Strength of the steel [Pa], over its factor.
    depth : float
        From the compressed face to the steel [m].
    strength : float
        Strength of the concrete [Pa], over its factor.
    block : float
        Share of it in the rectangular stress block [1], 0.6 to 1.

    Returns
    -------
    float
        As fy (d - As fy / (2 block fc)) [N m/m].

    Raises
    ------
    ValueError
        If a number is out of range, or the block is deeper than 0.36 of the depth: the steel would not yield first.

    Source: [EN1992] (from memory)
    """
    force = positive("area", area, "m2/m") * positive("steel", steel, "Pa")
    d, fc = positive("depth", depth, "m"), positive("strength", strength, "Pa")
    if not 0.6 <= block <= 1.0:
        msg = f"block = {block:.6g}: must be 0.6 to 1"
        raise ValueError(msg)
    x = force / (block * fc)
    below(
        "depth of the stress block over the depth", x / d, 0.36, "", "the concrete would fail before the steel yields"
    )
    return force * (d - 0.5 * x)


def flexural_strength_en(strength: float, thickness: float) -> FlexuralStrength:
    """Tension in bending at which a slab cracks, from its strength class (EN 1992-1-1, table 3.1 and 3.1.8).

    Parameters
    ----------
    strength : float
        Characteristic cylinder strength fck [Pa], 8 to 90 MPa.
    thickness : float
        [m]

    Returns
    -------
    FlexuralStrength
        max(1.6 - h[m], 1) times the tensile strengths of `tensile_strength_en` [Pa].

    Raises
    ------
    ValueError
        If a number is out of range.

    Source: [EN1992] (from memory)
    """
    straight = tensile_strength_en(strength)
    more = max(1.6 - positive("thickness", thickness, "m"), 1.0)
    return FlexuralStrength(more * straight.mean, more * straight.characteristic)


def tensile_strength_en(strength: float) -> FlexuralStrength:
    """Straight tension at which concrete cracks, from its strength class (EN 1992-1-1, table 3.1).

    Parameters
    ----------
    strength : float
        Characteristic cylinder strength fck [Pa], 8 to 90 MPa.

    Returns
    -------
    FlexuralStrength
        fctm = 0.30 fck^(2/3), above 50 MPa 2.12 ln(1 + fcm / 10) with fcm = fck + 8 MPa; 0.7 fctm [Pa].

    Raises
    ------
    ValueError
        If the strength is out of range.

    Source: [EN1992Table31]
    """
    fck = _strength(strength, 90e6) / 1e6
    fctm = 0.30 * fck ** (2.0 / 3.0) if fck <= 50.0 else 2.12 * math.log(1.0 + (fck + 8.0) / 10.0)
    return FlexuralStrength(1e6 * fctm, 0.7e6 * fctm)


def elastic_modulus_en(strength: float) -> float:
    """Young's modulus of concrete from its mean cylinder strength (EN 1992-1-1, table 3.1).

    Parameters
    ----------
    strength : float
        Mean cylinder strength fcm [Pa], 8 MPa above that of the class.

    Returns
    -------
    float
        Secant modulus Ecm [Pa], for a load of short duration.

    Raises
    ------
    ValueError
        If the strength is not greater than 0.

    Notes
    -----
    22 GPa (fcm / 10 MPa)^0.3. Source: [EN1992] (from memory)
    """
    return 22e9 * math.pow(positive("mean strength", strength, "Pa") / 1e7, 0.3)


def flexural_strength_aci(strength: float, lightweight: float = 1.0, edition: Literal["SI", "US"] = "SI") -> float:
    """Modulus of rupture (ACI 318-19, 19.2.3.1).

    Parameters
    ----------
    strength : float
        Cylinder strength f'c [Pa], 8 to 110 MPa.
    lightweight : float
        Factor of the concrete, 0.75 to 1 [1].
    edition : str
        "SI" 0.62 sqrt(MPa), "US" 7.5 sqrt(psi) [1].

    Returns
    -------
    float
        fr = 0.62 lambda sqrt(f'c) in MPa, or 7.5 lambda sqrt(f'c) in psi [Pa]; a low estimate of the mean.

    Raises
    ------
    ValueError
        If a number is out of range.

    Source: [ACI318] (from memory)
    """
    fc = _strength(strength, 110e6)
    if not 0.75 <= lightweight <= 1.0:
        msg = f"lightweight = {lightweight:.6g}: must be 0.75 to 1"
        raise ValueError(msg)
    if edition not in ("SI", "US"):
        msg = f"edition = {edition!r}: must be SI or US"
        raise ValueError(msg)
    unit, size = (1e6, 0.62) if edition == "SI" else (_PSI, 7.5)
    return size * lightweight * math.sqrt(fc / unit) * unit


def _at_point(place: Place, Mp: float, Mn: float) -> float:
    loads = {"interior": 2.0 * math.pi * (Mp + Mn), "edge": 0.5 * math.pi * (Mp + Mn) + 2.0 * Mn, "corner": 2.0 * Mn}
    return loads[place]


def _at_patch(place: Place, Mp: float, Mn: float, ratio: float) -> float:
    loads = {
        "interior": 4.0 * math.pi * (Mp + Mn) / (1.0 - ratio / 3.0),
        "edge": (math.pi * (Mp + Mn) + 4.0 * Mn) / (1.0 - 2.0 * ratio / 3.0),
        "corner": 4.0 * Mn / (1.0 - ratio),
    }
    return loads[place]


def _place(place: Place) -> Place:
    if place not in ("interior", "edge", "corner"):
        msg = f"place = {place!r}: must be interior, edge or corner"
        raise ValueError(msg)
    return place


def _ductile(reinforcement: Ductile) -> None:
    if reinforcement not in ("mesh", "bars", "fibre"):
        remedy = "plain concrete has no ductility: take plain_slab_numbers"
        msg = f"reinforcement = {reinforcement!r}: must be mesh, bars or fibre; {remedy}"
        raise ValueError(msg)


def _ratio(slab: GroundSlab, radius: float) -> float:
    ell = relative_stiffness_radius(slab)
    return below("radius", not_negative("radius", radius, "m"), ell, "m", "the radius of relative stiffness") / ell


def _strength(strength: float, most: float) -> float:
    fc = positive("strength", strength, "Pa")
    if not 8e6 <= fc <= most:
        msg = f"strength = {fc:.6g} Pa: must be 8e6 Pa to {most:.3g} Pa for this formula"
        raise ValueError(msg)
    return fc


def _warn(ratio: float) -> tuple[str, ...]:
    most = float(np.max(ratio))
    if most <= _WIDE:
        return ()
    return (f"patch radius {most:.2f} of the radius of relative stiffness: the formula was made for small patches",)
