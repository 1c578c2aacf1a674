"""Spreaders under a tyre: steel plates on soil, on a slab and over a gap, timber mats, steps, friction, placement.

A plate straight on soil spreads a load by its stiffness; on a concrete slab the concrete is the stiff layer, and a
plate only widens the patch. Bending of slab and plate together is `plate_fe.solve_plate` with a `SteelPlate`.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

from tipline.elementwise import cos, cosh, greater, greatest, least, lesser, log, sin, sinh, where
from tipline.mechanics._ranges import below, not_negative, positive
from tipline.mechanics.constants import STANDARD_GRAVITY
from tipline.mechanics.slab import EULER, GroundSlab, relative_stiffness_radius, resisting_radius

__all__ = [
    "TIMBER_GRADES",
    "BrakingGrip",
    "MatAnswer",
    "SpannedGap",
    "SpreadPatch",
    "SteelOnSoil",
    "Timber",
    "braking_grip",
    "effective_area",
    "placement_distance",
    "plate_over_gap_one_way",
    "slab_patch",
    "steel_on_soil",
    "timber_mat",
]


class SteelOnSoil(NamedTuple):
    """Greatest ground pressure under the plate by the load [Pa], area it acts on [m2], plate stress [Pa], warnings."""

    pressure: float
    area: float
    stress: float
    warnings: tuple[str, ...]


class SpreadPatch(NamedTuple):
    """Patch on the slab under a plate [m], and its mean pressure per load [1/m2]."""

    length: float
    width: float
    pressure_per_load: float


class SpannedGap(NamedTuple):
    """Plate over a gap: bending stress [Pa], sag [m], reaction on each bearing edge [N], warnings."""

    stress: float
    sag: float
    reaction: float
    warnings: tuple[str, ...]


class Timber(NamedTuple):
    """Characteristic strength in bending, shear, across the grain [Pa], mean modulus [Pa]; grade in `timber_mat`."""

    bending: float
    shear: float
    across: float
    modulus: float


class MatAnswer(NamedTuple):
    """Timber mat: ground pressure [Pa]; stress over design strength in bending, shear, across the grain [1]; worst."""

    pressure: float
    bending: float
    shear: float
    across: float
    governs: str
    warnings: tuple[str, ...]


class BrakingGrip(NamedTuple):
    """Deceleration over gravity that the tyre on the plate, and the plate on the floor, can hand over; the less [1]."""

    tyre_on_plate: float
    plate_on_floor: float
    least: float


# Grades of EN 338: bending, shear, compression across the grain, mean modulus along it. From memory.
TIMBER_GRADES: Final = {
    "C24": Timber(24e6, 4.0e6, 2.5e6, 11e9),
    "D30": Timber(30e6, 3.9e6, 5.3e6, 11e9),
    "D40": Timber(40e6, 4.2e6, 5.5e6, 13e9),
}


# Length by lambda from which a beam on springs is without end: its ends change nothing by 1e-12 (numerical).
_ENDLESS: Final = 30.0


def effective_area(area: float, stiffness_radius: float) -> float:
    """Area that, at the peak pressure, carries a load in the middle of a plate on springs.

    Parameters
    ----------
    area : float
        Area of the plate [m2].
    stiffness_radius : float
        l = (D / k)^(1/4) of the plate on this soil [m].

    Returns
    -------
    float
        (A_p^-2 + (8 l^2)^-2)^(-1/2) [m2]; within -4 to -1.6 % of finite elements in six cases. 8 l^2 is exact for a
        plate without end under a point load.

    Raises
    ------
    ValueError
        If a number is not above 0.

    Source: [Own]
    """
    far = 8.0 * positive("stiffness_radius", stiffness_radius, "m") ** 2
    carries: float = (positive("area", area, "m2") ** -2 + far**-2) ** -0.5
    return carries


def steel_on_soil(
    load: float, plate: GroundSlab, length: float, width: float, radius: float, to_edge: float
) -> SteelOnSoil:
    """Ground pressure and plate stress under a tyre on a steel plate laid straight on soil.

    Parameters
    ----------
    load : float
        Tyre load [N].
    plate : Slab
        The plate as a slab: its thickness, modulus, Poisson's ratio, the soil's subgrade reaction [m, Pa, 1, N/m3].
    length, width : float
        Of the plate [m].
    radius : float
        Radius of the circle of the tyre patch's area [m].
    to_edge : float
        From the middle of the patch to the nearest edge of the plate [m].

    Returns
    -------
    SteelOnSoil
        Pressure [Pa], area [m2], stress [Pa], warnings. The stress is that of a plate without end: finite elements
        give less on a small stiff plate, and up to 6 % more where the plate's ends lift.

    Raises
    ------
    ValueError
        If the patch is nearer to the edge than `placement_distance`, larger than the plate, or a number is out of
        range; `plate_fe.solve_plate` answers those.

    Notes
    -----
    p = P / A_eff; M = P (1 + nu) / (4 pi) (ln(2 l / b) + 1/2 - gamma), 6 M / t^2. Not for a plate on a floor slab.
    Source: [Own], [Westergaard1926] (from memory)
    """
    P, a = not_negative("load", load, "N"), positive("radius", radius, "m")
    area = positive("length", length, "m") * positive("width", width, "m")
    ell, t, nu = relative_stiffness_radius(plate), plate.thickness, plate.poisson
    below("radius", a, 0.5 * min(length, width), "m", "half of the plate's shorter side")
    needed = greatest(placement_distance(ell, length, width))
    if not to_edge >= needed:
        msg = f"to_edge = {to_edge:.6g} m: must be {needed:.6g} m or more; move the plate or use plate_fe.solve_plate"
        raise ValueError(msg)
    carries = effective_area(area, ell)
    b = resisting_radius(a, t)
    moment = greater(P * (1.0 + nu) / (4.0 * math.pi) * (log(2.0 * ell / b) + 0.5 - EULER), 0.0)
    warnings = []
    if least(8.0 * ell**2) < 0.5 * area:
        warnings.append("the plate is too thin for its size: its ends lift and carry nothing")
    if greatest(b - ell) > 0.0:
        warnings.append("patch wider than the plate's stiffness radius: the plate only follows the ground")
        carries = where(b > ell, greater(carries, math.pi * a**2), carries)
    return SteelOnSoil(P / carries, carries, 6.0 * moment / t**2, tuple(warnings))


def placement_distance(stiffness_radius: float, length: float, width: float) -> float:
    """Least distance from a patch's middle to a plate's edge for the formulas of a load in the middle.

    Parameters
    ----------
    stiffness_radius : float
        l of the plate on its soil [m].
    length, width : float
        Of the plate [m].

    Returns
    -------
    float
        l, or nine tenths of half the shorter side where the plate is stiffer than that [m].

    Raises
    ------
    ValueError
        If a number is not above 0.

    Source: [Own]
    """
    side = min(positive("length", length, "m"), positive("width", width, "m"))
    return lesser(positive("stiffness_radius", stiffness_radius, "m"), 0.45 * side)


def slab_patch(
    length: float, width: float, thickness: float, plate_length: float = math.inf, plate_width: float = math.inf
) -> SpreadPatch:
    """Patch for punching on a slab under a steel plate or a mat: 45 degrees through its thickness, no more.

    Parameters
    ----------
    length, width : float
        Tyre patch on the plate [m].
    thickness : float
        Of the plate, or of all layers together [m].
    plate_length, plate_width : float
        Of the plate [m]; the patch cannot be larger.

    Returns
    -------
    SpreadPatch
        a + 2 t by b + 2 t, no more than the plate [m], and one over its area [1/m2]

    Raises
    ------
    ValueError
        If a number is not above 0, or the tyre patch is larger than the plate.

    Source: [TextbookMechanics] (from memory)
    """
    a, b, t = positive("length", length, "m"), positive("width", width, "m"), positive("thickness", thickness, "m")
    if not (a <= plate_length and b <= plate_width):
        msg = f"patch {a:.6g} x {b:.6g} m: must lie wholly on the plate of {plate_length:.6g} x {plate_width:.6g} m"
        raise ValueError(msg)
    a, b = lesser(a + 2.0 * t, plate_length), lesser(b + 2.0 * t, plate_width)
    return SpreadPatch(a, b, 1.0 / (a * b))


def plate_over_gap_one_way(
    load: float, span: float, plate_width: float, thickness: float, length: float, width: float, modulus: float = 210e9
) -> SpannedGap:
    """Plate lying on both sides of a trench, tyre in the middle of the gap.

    Parameters
    ----------
    load : float
        Tyre load [N].
    span : float
        Clear gap plus the plate's thickness [m].
    plate_width : float
        Of the plate, along the trench [m].
    thickness : float
        Of the plate [m], a tenth of the span or less.
    length, width : float
        Tyre patch across and along the trench [m].
    modulus : float
        Young's modulus of the plate [Pa].

    Returns
    -------
    SpannedGap
        [Pa, m, N]

    Raises
    ------
    ValueError
        If a number is not above 0, the plate too thick to be a plate, or narrower than the patch.

    Notes
    -----
    Simple beam of the patch's width plus half the span (common practice, no source), no wider than the plate:
    M = P (L / 4 - c / 8), sag P (8 L^3 - 4 L c^2 + c^3) / (384 E I). Source: [TextbookMechanics] (from memory)
    """
    P, L, E = not_negative("load", load, "N"), positive("span", span, "m"), positive("modulus", modulus, "Pa")
    t, c = _thin(thickness, L), lesser(positive("length", length, "m"), L)
    narrowest = least(positive("plate_width", plate_width, "m"))
    if positive("width", width, "m") > narrowest:
        msg = f"width = {width:.6g} m: must be the plate's {narrowest:.6g} m or less"
        raise ValueError(msg)
    b = lesser(plate_width, width + 0.5 * L)
    moment = P * (L / 4.0 - c / 8.0)
    sag = P * (8.0 * L**3 - 4.0 * L * c**2 + c**3) / (384.0 * E * b * t**3 / 12.0)
    return SpannedGap(6.0 * moment / (b * t**2), sag, 0.5 * P, _sag_warning(sag, L))


def timber_mat(  # noqa: PLR0913 - the published quantities of a mat
    load: float,
    length: float,
    patch_length: float,
    patch_width: float,
    mat_width: float,
    depth: float,
    subgrade: float,
    grade: str | Timber = "D30",
    modification: float = 0.9,
    partial: float = 1.3,
    worn_out: bool = False,
) -> MatAnswer:
    """Timber mat on soil as a beam on springs, tyre in the middle.

    Parameters
    ----------
    load : float
        Tyre load [N].
    length : float
        Of the mat, along the grain [m].
    patch_length, patch_width : float
        Tyre patch along and across the grain [m].
    mat_width : float
        Width of timber that works together: the whole mat if bolted, else only the planks under the tyre [m].
    depth : float
        Thickness of the timber [m].
    subgrade : float
        Subgrade reaction of the soil [N/m3].
    grade : str or Timber
        "C24", "D30" or "D40" [1], or strengths and modulus of one's own [Pa].
    modification : float
        k_mod for moisture and duration, 0.5 to 1.1 [1].
    partial : float
        gamma_M [1], 1 or more; 1 with k_mod 1 for a best estimate.
    worn_out : bool
        Halve the bending stiffness, for a worn mat [1].

    Returns
    -------
    MatAnswer
        [Pa, 1]

    Raises
    ------
    ValueError
        If a number is out of range or the grade not known.

    Notes
    -----
    lambda = (k b / (4 E I))^(1/4); p = P lambda / (2 b) (cosh + cos + 2) / (sinh + sin), M = P / (4 lambda)
    (cosh - cos) / (sinh + sin), of lambda L, less P c / 8 under the patch; the timber across the grain bears on the
    patch with 30 mm more at either end (k_c,90 = 1). Source: [Hetenyi1946] (from memory), [EN1995] (from memory)
    """
    P, L, h = not_negative("load", load, "N"), positive("length", length, "m"), positive("depth", depth, "m")
    b, k = positive("mat_width", mat_width, "m"), positive("subgrade", subgrade, "N/m3")
    c, d = positive("patch_length", patch_length, "m"), positive("patch_width", patch_width, "m")
    below("patch_length", c, L, "m", "the mat's length")
    if not isinstance(grade, Timber) and grade not in TIMBER_GRADES:
        msg = f"grade = {grade!r}: must be one of {', '.join(TIMBER_GRADES)}"
        raise ValueError(msg)
    if not (0.5 <= modification <= 1.1 and 1.0 <= partial < math.inf):
        msg = f"modification = {modification:.6g}, partial = {partial:.6g}: must be 0.5 to 1.1, and 1 or more"
        raise ValueError(msg)
    timber, share = grade if isinstance(grade, Timber) else TIMBER_GRADES[grade], modification / partial
    for name, value in timber._asdict().items():
        positive(f"timber {name}", value, "Pa")
    EI = timber.modulus * b * h**3 / 12.0 * (0.5 if worn_out else 1.0)
    rate = (k * b / (4.0 * EI)) ** 0.25
    pressure, moment = _beam_on_springs(P, L, b, rate)
    moment = greater(moment - P * c / 8.0, 0.0)
    bending = 6.0 * moment / (b * h**2) / (share * timber.bending)
    shear = 1.5 * 0.5 * P / (b * h) / (share * timber.shear)
    across = P / (min(c + 0.06, L) * min(d, b)) / (share * timber.across)
    used = {"bending": bending, "shear": shear, "bearing across the grain": across}
    governs = max(used, key=lambda name: greatest(used[name]))
    warnings = []
    steepest = greatest(rate)
    if steepest * L > math.pi:
        warnings.append(f"longer than it can use: {L:.2f} m, of which about {2.0 / steepest:.2f} m carry")
    if d > b:
        warnings.append("the tyre is wider than the timber that works together")
    return MatAnswer(pressure, bending, shear, across, governs, tuple(warnings))


def braking_grip(load: float, plate_mass: float, tyre_friction: float, plate_friction: float) -> BrakingGrip:
    """Braking that a tyre on a loose plate can hand to the floor.

    Parameters
    ----------
    load : float
        Tyre load on the plate [N], above 0.
    plate_mass : float
        Of the plate [kg].
    tyre_friction : float
        Tyre on plate [1]; wet steel 0.2 to 0.3, from memory.
    plate_friction : float
        Plate on floor or soil [1].

    Returns
    -------
    BrakingGrip
        Horizontal force over tyre load [1]: of the tyre mu, of the plate mu' (1 + m g / P), the lesser counts.

    Raises
    ------
    ValueError
        If a number is negative or the load not above 0.

    Source: [TextbookMechanics]
    """
    P = positive("load", load, "N")
    tyre = not_negative("tyre_friction", tyre_friction)
    weight = STANDARD_GRAVITY * not_negative("plate_mass", plate_mass, "kg")
    plate = not_negative("plate_friction", plate_friction) * (1.0 + weight / P)
    return BrakingGrip(tyre, plate, min(tyre, plate))


def _beam_on_springs(P: float, L: float, b: float, rate: float) -> tuple[float, float]:
    """Pressure and moment in the middle of a beam with free ends on springs, the ends no farther than any is felt."""
    x = lesser(rate * L, _ENDLESS)
    down = sinh(x) + sin(x)
    pressure = P * rate / (2.0 * b) * (cosh(x) + cos(x) + 2.0) / down
    return pressure, P / (4.0 * rate) * (cosh(x) - cos(x)) / down


def _thin(thickness: float, span: float) -> float:
    t = positive("thickness", thickness, "m")
    below("thickness", t, 0.1 * span + 1e-12, "m", "a tenth of the span; thicker, it is no thin plate")
    if least(t) < 0.003:
        msg = f"thickness = {least(t):.6g} m: must be 0.003 m or more; a thinner sheet bridges nothing"
        raise ValueError(msg)
    return t


def _sag_warning(sag: float, span: float) -> tuple[str, ...]:
    if greatest(sag - span / 100.0) <= 0.0:
        return ()
    return (f"sags by {greatest(sag) * 1e3:.0f} mm: rocks and creeps off its bearings",)
