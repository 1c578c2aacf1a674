"""Punching: a tyre pushing a plug out of a concrete slab, by three codes, and what the ground takes off the load.

All loads are nominal strengths unless a factor is given. The patch is a rectangle with sides square
to the edges; the weakest of the perimeters inside the slab, at an edge and at a corner counts.
"""

from __future__ import annotations

import math
from typing import Final, Literal, NamedTuple

from tipline.elementwise import greater, greatest, least, lesser, sqrt, where
from tipline.mechanics._ranges import below, not_negative, positive, within
from tipline.mechanics.slab import Place

__all__ = [
    "CodePunching",
    "Perimeter",
    "PunchingEN",
    "control_perimeter",
    "plain_punching_aci",
    "punching_en",
    "two_way_aci",
]

Edges = tuple[float, float]

INTERIOR: Place = "interior"
FAR: Final = (math.inf, math.inf)
_PSI: Final = 6894.757293168361
# alpha_s inside, at an edge and in a corner. Source: [ACI318]
_ALPHA: Final = (40.0, 30.0, 20.0)
# Two-way shear of ACI 318, metric and inch-pound edition: square root of strength in MPa or psi.
_TWO_WAY: Final = {"SI": (1e6, 0.33, 0.17, 0.17 * 2.0, 0.083), "US": (_PSI, 4.0, 2.0, 4.0, 1.0)}
_ROOT_LIMIT: Final = 8.3e6
_MOST_RATIO: Final = 0.02


class Perimeter(NamedTuple):
    """Length [m] of the control perimeter and where the tyre stands: "interior", "edge", "corner"."""

    length: float
    place: Place


class CodePunching(NamedTuple):
    """Load that punches [N], shear stress at which it does [Pa], perimeter [m], place, warnings."""

    load: float
    stress: float
    perimeter: float
    place: Place
    warnings: tuple[str, ...] = ()


class PunchingEN(NamedTuple):
    """Load that punches [N]: the less of that at 2 d and that at the patch's face; both, u1 and u0 [m], place."""

    load: float
    at_perimeter: float
    at_face: float
    stress: float
    perimeter: float
    face: float
    place: Place
    warnings: tuple[str, ...] = ()


def control_perimeter(
    along: float, across: float, reach: float, to_edge: Edges = FAR, rounded: bool = False
) -> Perimeter:
    """Shortest perimeter at a distance from a rectangular patch, open where it meets a free edge.

    Parameters
    ----------
    along, across : float
        Sides of the patch [m].
    reach : float
        Distance of the perimeter from the patch [m].
    to_edge : tuple of float
        From the patch to the nearest free edge met along, and across [m]; infinite if there is none.
    rounded : bool
        Round corners (EN 1992) instead of square ones (ACI) [1].

    Returns
    -------
    Perimeter
        Length [m] and place: the least of 2 (a + b) + 4 t, 2 (a + e) + b + 2 t at an edge, a + e + b + e' + t in a
        corner; t = 2 r for a square turn, pi r / 2 for a round one.

    Raises
    ------
    ValueError
        If a side or the reach is not above 0, or the patch lies over an edge.

    Source: [ACI318] (from memory), [EN1992] (from memory)
    """
    a, b, r = positive("along", along, "m"), positive("across", across, "m"), positive("reach", reach, "m")
    for distance in map(least, to_edge):
        if not distance >= 0.0:
            msg = f"to_edge = {distance:.6g} m: must be 0 or more; the patch lies over the edge"
            raise ValueError(msg)
    turn = 0.5 * math.pi * r if rounded else 2.0 * r
    length, place = 2.0 * (a + b) + 4.0 * turn, INTERIOR
    others: tuple[tuple[float, Place], ...] = (
        (2.0 * (a + to_edge[0]) + b + 2.0 * turn, "edge"),
        (2.0 * (b + to_edge[1]) + a + 2.0 * turn, "edge"),
        (a + to_edge[0] + b + to_edge[1] + turn, "corner"),
    )
    for other, there in others:
        place = where(other <= length, there, place)
        length = lesser(length, other)
    return Perimeter(length, place)


def _by_place(place: Place, interior: float, edge: float, corner: float) -> float:
    return where(place == "interior", interior, where(place == "edge", edge, corner))


def two_way_aci(
    strength: float,
    along: float,
    across: float,
    depth: float,
    to_edge: Edges = FAR,
    size_factor: bool = True,
    lightweight: float = 1.0,
    edition: Literal["SI", "US"] = "SI",
    reduction: float = 1.0,
) -> CodePunching:
    """Nominal two-way shear strength of a reinforced slab (ACI 318-19, 22.6.5.2).

    Parameters
    ----------
    strength : float
        Cylinder strength f'c [Pa], 8 to 110 MPa.
    along, across : float
        Sides of the patch [m].
    depth : float
        Effective depth d to the reinforcement [m].
    to_edge : tuple of float
        From the patch to the free edges along and across [m].
    size_factor : bool
        Take sqrt(2 / (1 + 0.004 d[mm])), at most 1; editions before 2019 do not [1].
    lightweight : float
        Factor of the concrete, 0.75 to 1 [1].
    edition : str
        "SI" or "US" coefficients, which differ by 1 % [1].
    reduction : float
        Strength reduction factor phi [1]: 0.75 for planning; 1 leaves the nominal strength.

    Returns
    -------
    CodePunching
        phi Vc [N], phi vc [Pa], b0 [m], place, warnings.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    min(0.33, 0.17 (1 + 2 / beta), 0.083 (2 + alpha_s d / b0)) lambda_s lambda sqrt(f'c) on b0 d at d / 2.
    Source: [ACI318]
    """
    fc, d = _concrete(strength), positive("depth", depth, "m")
    if edition not in _TWO_WAY:
        msg = f"edition = {edition!r}: must be SI or US"
        raise ValueError(msg)
    unit, plain, shape, per_side, around = _TWO_WAY[edition]
    b0, place = control_perimeter(along, across, 0.5 * d, to_edge)
    beta = greater(along, across) / lesser(along, across)
    lowest = lesser(plain, shape + per_side / beta, around * (2.0 + _by_place(place, *_ALPHA) * d / b0))
    size = lesser(1.0, sqrt(2.0 / (1.0 + 0.004 * 1e3 * d))) if size_factor else 1.0
    root, warnings = _root(fc, unit)
    stress = _reduction(reduction) * lowest * size * _lightweight(lightweight) * root
    return CodePunching(stress * b0 * d, stress, b0, place, warnings)


def plain_punching_aci(
    strength: float,
    along: float,
    across: float,
    thickness: float,
    to_edge: Edges = FAR,
    lightweight: float = 1.0,
    reduction: float = 1.0,
) -> CodePunching:
    """Nominal two-way shear strength of a plain slab (ACI 318-19, 14.5.5).

    Parameters
    ----------
    strength : float
        Cylinder strength f'c [Pa], 8 to 110 MPa.
    along, across : float
        Sides of the patch [m].
    thickness : float
        Slab thickness h [m]; 50 mm are left out where it was cast on the ground, which is the caller's choice.
    to_edge : tuple of float
        From the patch to the free edges along and across [m].
    lightweight : float
        Factor of the concrete, 0.75 to 1 [1].
    reduction : float
        Strength reduction factor phi [1]: 0.6 for planning; 1 leaves the nominal strength.

    Returns
    -------
    CodePunching
        phi Vn [N], phi vn [Pa], b0 [m], place, warnings.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    0.11 (1 + 2 / beta) lambda sqrt(f'c) b0 h, at most 0.22 lambda sqrt(f'c) b0 h, at h / 2.
    Source: [ACI318] (from memory)
    """
    fc, h = _concrete(strength), positive("thickness", thickness, "m")
    b0, place = control_perimeter(along, across, 0.5 * h, to_edge)
    beta = greater(along, across) / lesser(along, across)
    root, warnings = _root(fc, 1e6)
    stress = _reduction(reduction) * lesser(0.22, 0.11 * (1.0 + 2.0 / beta)) * _lightweight(lightweight) * root
    return CodePunching(stress * b0 * h, stress, b0, place, warnings)


def punching_en(
    strength: float,
    along: float,
    across: float,
    depth: float,
    reinforcement: float,
    to_edge: Edges = FAR,
    partial: float = 1.5,
    face_share: float = 0.4,
) -> PunchingEN:
    """Punching of a reinforced slab without shear reinforcement (EN 1992-1-1, 6.4).

    Parameters
    ----------
    strength : float
        Characteristic cylinder strength fck [Pa], 8 to 110 MPa.
    along, across : float
        Sides of the patch [m].
    depth : float
        Effective depth d [m].
    reinforcement : float
        Mean ratio of the bars rho_l [1], up to 0.02; 0 leaves the least value v_min, with a warning.
    to_edge : tuple of float
        From the patch to the free edges along and across [m].
    partial : float
        Factor gamma_c on the concrete [1]; 1 for a best estimate.
    face_share : float
        Share of nu fcd allowed at the face: 0.4 after the amendment, which is the lower; 0.5 before it [1].

    Returns
    -------
    PunchingEN
        Loads [N], stress at 2 d [Pa], u1 and u0 [m], place, warnings.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    v = max(0.18 / gamma_c k (100 rho fck)^(1/3), 0.035 k^1.5 sqrt(fck)), k = 1 + sqrt(200 mm / d), at most 2, on u1 at
    2 d; at the face face_share nu fcd with nu = 0.6 (1 - fck / 250 MPa). No factor for eccentric load: a tyre pushes
    straight down.
    Source: [EN1992] (from memory)
    """
    fck, d = _concrete(strength) / 1e6, positive("depth", depth, "m")
    rho = not_negative("reinforcement", reinforcement)
    below("reinforcement", rho, _MOST_RATIO + 1e-12, "", "the clause ends there")
    gamma = positive("partial", partial)
    u1, place = control_perimeter(along, across, 2.0 * d, to_edge, rounded=True)
    k = lesser(2.0, 1.0 + sqrt(0.2 / d))
    v = greater(0.18 / gamma * k * (100.0 * rho * fck) ** (1.0 / 3.0), 0.035 * k**1.5 * sqrt(fck)) * 1e6
    u0 = _face(along, across, d, place, to_edge)
    nu = 0.6 * (1.0 - fck / 250.0)
    face = positive("face_share", face_share) * nu * fck * 1e6 / gamma * u0 * d
    at_perimeter = v * u1 * d
    warnings = (
        ()
        if least(rho) > 0.0
        else ("the clause is for reinforced slabs; without bars use the plain formula beside it",)
    )
    return PunchingEN(lesser(at_perimeter, face), at_perimeter, face, v, u1, u0, place, warnings)


def _face(along: float, across: float, d: float, place: Place, to_edge: Edges) -> float:
    """Perimeter of the patch itself, u0; at an edge and a corner no more than 3 d of it count beyond the far side."""
    along_it = to_edge[0] <= to_edge[1]
    side, out = where(along_it, across, along), where(along_it, along, across)
    at_edge, in_corner = lesser(side + 3.0 * d, side + 2.0 * out), lesser(3.0 * d, along + across)
    return _by_place(place, 2.0 * (along + across), at_edge, in_corner)


def _concrete(strength: float) -> float:
    fc = positive("strength", strength, "Pa")
    return within("strength", fc, 8e6, 110e6, "Pa", "for these formulas")


def _root(fc: float, unit: float) -> tuple[float, tuple[str, ...]]:
    """Square root of the strength in its edition's unit, as a stress, held to the code's limit with a warning."""
    root = sqrt(fc / unit) * unit
    limit = _ROOT_LIMIT if unit == 1e6 else 100.0 * unit
    if greatest(root) <= limit:
        return root, ()
    return lesser(root, limit), ("square root of the strength held to 8.3 MPa (100 psi), the code's limit for shear",)


def _reduction(factor: float) -> float:
    return below("reduction", positive("reduction", factor), 1.0 + 1e-12, "", "a factor above 1 adds strength")


def _lightweight(factor: float) -> float:
    if not 0.75 <= factor <= 1.0:
        msg = f"lightweight = {factor:.6g}: must be 0.75 to 1"
        raise ValueError(msg)
    return factor
