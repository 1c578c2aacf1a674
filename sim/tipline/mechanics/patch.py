"""Contact patch of a tyre on a hard floor: area, mean and peak pressure, from a size marking or from dimensions.

Solid and band (press-on) tyres are a bed of springs under a disc. That is derived, not confirmed on a real tyre, and
`basis` says so; a pressure or an area from the maker's data sheet is better.
"""

from __future__ import annotations

import math
from typing import Final, Literal, NamedTuple

from tipline.mechanics._ranges import below, not_negative, positive
from tipline.mechanics.tyre import rubber_line_stiffness

__all__ = [
    "MOST_WORN",
    "ContactPatch",
    "TyreSize",
    "patch_from_pressure",
    "pneumatic_patch",
    "solid_patch",
    "twin_radius",
    "worn",
]

_PEAK: Final = 1.5
_SHAPE: Final = 0.5227
_DEEP: Final = 0.25
MOST_WORN: Final = 0.75
"""Share of the rubber that may be worn off (our choice): a tyre is replaced long before."""


class TyreSize(NamedTuple):
    """Outer diameter, width, rim diameter [m]; height of rubber or carcass on the rim [m]; what was assumed."""

    diameter: float
    width: float
    rim: float
    height: float
    assumed: tuple[str, ...]


class ContactPatch(NamedTuple):
    """Where a tyre touches: length, width [m], area [m2], mean and peak pressure [Pa], radius of the equal circle [m].

    compression of the tyre [m] and its stiffness there [N/m], nan where not known; basis says where it comes from;
    warnings in words.
    """

    length: float
    width: float
    area: float
    mean_pressure: float
    peak_pressure: float
    radius: float
    compression: float
    stiffness: float
    basis: str
    warnings: tuple[str, ...] = ()


def worn(size: TyreSize, wear: float) -> TyreSize:
    """Size of a tyre whose tread is worn down.

    Parameters
    ----------
    size : TyreSize
        New [m].
    wear : float
        Rubber worn off the radius [m], less than the height on the rim.

    Returns
    -------
    TyreSize
        Diameter less 2 w, height less w [m]

    Raises
    ------
    ValueError
        If the wear is negative, or leaves less than a quarter of the height.

    Source: [Own]
    """
    off = not_negative("wear", wear, "m")
    _sized(size)
    below(
        "wear", off, MOST_WORN * size.height, "m", "less than a quarter of the rubber would be left: replace the tyre"
    )
    return size._replace(diameter=size.diameter - 2.0 * off, height=size.height - off)


def solid_patch(
    load: float, size: TyreSize, modulus: float = 5e6, kind: Literal["solid", "band"] = "solid"
) -> ContactPatch:
    """Patch of a solid or band tyre on a hard flat floor.

    Parameters
    ----------
    load : float
        Tyre load [N], above 0.
    size : TyreSize
        As worn [m]; its height is the rubber.
    modulus : float
        Young's modulus of the rubber [Pa], 3 to 9 MPa.
    kind : str
        "solid" or "band"; the law is the same, the word goes into `basis` [1].

    Returns
    -------
    ContactPatch
        [m, Pa, N/m]

    Raises
    ------
    ValueError
        If a number is out of range, or the tyre would be compressed by half its rubber.

    Notes
    -----
    c = sqrt(2 R d), F = 4/3 b (Ec / t) sqrt(2 R) d^1.5, A = 2 c b, peak Ec d / t = 1.5 mean, stiffness 1.5 F / d.
    Up to d = t / 4, beyond it stiffens (a warning). Derived, not confirmed on a real tyre.
    Source: [Johnson1985] (from memory), [GentLindley1959] (from memory)
    """
    F, E = positive("load", load, "N"), positive("modulus", modulus, "Pa")
    if not 2e6 <= E <= 12e6:
        msg = f"modulus = {E:.6g} Pa: must be 2e6 Pa to 12e6 Pa for tyre rubber"
        raise ValueError(msg)
    _sized(size)
    R, b, t = 0.5 * size.diameter, size.width, size.height
    line = rubber_line_stiffness(E, b, t, R, F)
    d = (F / (4.0 / 3.0 * line * math.sqrt(2.0 * R))) ** (2.0 / 3.0)
    c = math.sqrt(2.0 * R * d)
    warnings = [f"tyre size: {item}" for item in size.assumed]
    if d > _DEEP * t:
        warnings.append(
            f"compressed by up to {100.0 * d / t:.0f} % of its rubber: stiffer than this law, so the patch is smaller"
        )
    basis = f"{kind} tyre as a bed of springs; derived, unconfirmed"
    return _patch(F, 2.0 * c, b, basis, warnings, d, 1.5 * F / d)


def _sized(size: TyreSize) -> None:
    """Refuse a size that no tyre has."""
    for name in ("diameter", "width", "height"):
        positive(f"tyre's {name}", getattr(size, name), "m")
    below("tyre's rim", not_negative("tyre's rim", size.rim, "m"), size.diameter, "m", "its diameter")


def pneumatic_patch(load: float, inflation: float, tread: float, carcass: float = 0.1) -> ContactPatch:
    """Patch of a pneumatic tyre: load over inflation, the carcass carrying a little.

    Parameters
    ----------
    load : float
        Tyre load [N], above 0.
    inflation : float
        Pressure above the air's [Pa], 0.1 to 1.5 MPa.
    tread : float
        Width of the tread [m]; the patch is no wider.
    carcass : float
        Share of the inflation added for the stiffness of the carcass [1], 0 to 0.3; 0.05 to 0.15 from memory.

    Returns
    -------
    ContactPatch
        A rectangle of that area [m, Pa]; compression and stiffness not known: the maker's.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    A = F / (p (1 + carcass)); oval of length L = sqrt(A / 0.5227) and width 0.6 L, its width held to the tread.
    Source: [PCAThickness] (from memory)
    """
    F, p = positive("load", load, "N"), positive("inflation", inflation, "Pa")
    if not 1e5 <= p <= 1.5e6:
        msg = f"inflation = {p:.6g} Pa: must be 1e5 Pa to 1.5e6 Pa"
        raise ValueError(msg)
    if not 0.0 <= carcass <= 0.3:
        msg = f"carcass = {carcass:.6g}: must be 0 to 0.3"
        raise ValueError(msg)
    area = F / (p * (1.0 + carcass))
    width = min(0.6 * math.sqrt(area / _SHAPE), positive("tread", tread, "m"))
    length = area / width
    warnings = [] if length <= 3.0 * width else ["patch more than three times as long as wide: overloaded or soft"]
    return _patch(F, length, width, "load over inflation; carcass share from memory", warnings)


def patch_from_pressure(load: float, pressure: float, width: float) -> ContactPatch:
    """Patch from the mean pressure that a data sheet gives.

    Parameters
    ----------
    load : float
        Tyre load [N], above 0.
    pressure : float
        Mean contact pressure [Pa], 0.1 to 20 MPa.
    width : float
        Tread width [m].

    Returns
    -------
    ContactPatch
        A rectangle as wide as the tread, F / (p b) long [m, Pa]; the peak is taken as 1.5 of the mean.

    Raises
    ------
    ValueError
        If a number is out of range.

    Source: [Own]
    """
    F, p, b = positive("load", load, "N"), positive("pressure", pressure, "Pa"), positive("width", width, "m")
    if not 1e5 <= p <= 20e6:
        msg = f"pressure = {p:.6g} Pa: must be 1e5 Pa to 20e6 Pa"
        raise ValueError(msg)
    return _patch(F, F / (p * b), b, "mean pressure as given; peak taken as 1.5 of it", [])


def twin_radius(load: float, pressure: float, spacing: float) -> float:
    """Radius of one circle that stands for a pair of twin tyres close together, on a slab.

    Parameters
    ----------
    load : float
        Load on one tyre of the pair [N].
    pressure : float
        Mean contact pressure [Pa].
    spacing : float
        Between the middles of the two [m].

    Returns
    -------
    float
        sqrt(0.8521 P / (q pi) + S / pi sqrt(P / (0.5227 q))) [m]; carries both loads.

    Raises
    ------
    ValueError
        If a number is not above 0, or the twins overlap, or stand more than three patch lengths apart (then take two).

    Source: [HuangPavement] (from memory)
    """
    P, q, S = positive("load", load, "N"), positive("pressure", pressure, "Pa"), positive("spacing", spacing, "m")
    length = math.sqrt(P / (_SHAPE * q))
    below("spacing", S, 3.0 * length, "m", "three patch lengths; take two patches")
    apart = 0.6 * length
    if apart > S:
        msg = f"spacing = {S:.6g} m: must be {apart:.6g} m or more; the twins would overlap"
        raise ValueError(msg)
    return math.sqrt(0.8521 * P / (q * math.pi) + S / math.pi * length)


def _patch(
    load: float,
    length: float,
    width: float,
    basis: str,
    warnings: list[str],
    compression: float = math.nan,
    stiffness: float = math.nan,
) -> ContactPatch:
    area = length * width
    mean = load / area
    radius = math.sqrt(area / math.pi)
    return ContactPatch(length, width, area, mean, _PEAK * mean, radius, compression, stiffness, basis, tuple(warnings))
