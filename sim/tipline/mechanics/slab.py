"""Concrete slab on the ground under one tyre: closed formulas for a tyre inside, at an edge, at a corner.

The slab is a thin elastic plate on a bed of springs (subgrade reaction k, pressure per settlement), in full contact,
with no load and no cavity elsewhere. Deflection is positive down, stress is tension where the formula's source has it:
at the bottom under an inside or edge load, at the top some way in from a loaded corner. Nothing here holds for a floor
with something under it (deck, basement, pit, duct).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Final, Literal, NamedTuple

import numpy as np

from tipline.elementwise import is_array, log, sqrt, where
from tipline.mechanics._ranges import below, not_negative, positive, within

__all__ = [
    "GroundSlab",
    "Place",
    "SlabAnswer",
    "edge",
    "flexural_stiffness",
    "interior",
    "relative_stiffness_radius",
    "resisting_radius",
]

Place = Literal["interior", "edge", "corner"]

EULER: Final = 0.5772156649015329
_WIDE = 0.4


@dataclass(frozen=True)
class GroundSlab:
    """A floor slab on springs: thickness [m], modulus [Pa], Poisson's ratio [1], subgrade reaction [N/m3].

    Refuses (ValueError) what no slab on the ground can have: thickness outside 5 mm to 3 m, Poisson's ratio outside
    0 to 0.5, a modulus or a subgrade reaction that is not above 0.
    """

    thickness: float
    modulus: float
    poisson: float
    subgrade: float

    def __post_init__(self) -> None:
        positive("thickness", self.thickness, "m")
        within("thickness", self.thickness, 0.005, 3.0, "m", "for a plate on the ground")
        positive("modulus", self.modulus, "Pa")
        below("Poisson's ratio", not_negative("Poisson's ratio", self.poisson), 0.5)
        positive("subgrade reaction", self.subgrade, "N/m3")

    @cached_property
    def _stiffness_radius(self) -> float:
        """Radius of relative stiffness, once for all formulas that ask for it: twice a root is a quarter power."""
        return sqrt(sqrt(flexural_stiffness(self) / self.subgrade))


class SlabAnswer(NamedTuple):
    """Greatest tension [Pa] and deflection under the load [m], with what strains the formula's range, in words."""

    stress: float
    deflection: float
    warnings: tuple[str, ...] = ()


def flexural_stiffness(slab: GroundSlab) -> float:
    """Bending stiffness of the slab, per width.

    Parameters
    ----------
    slab : Slab
        [m, Pa, 1, N/m3]

    Returns
    -------
    float
        D = E h^3 / (12 (1 - nu^2)) [N m].

    Source: [TextbookMechanics]
    """
    h, nu = slab.thickness, slab.poisson
    return slab.modulus * h * h * h / (12.0 * (1.0 - nu**2))


def relative_stiffness_radius(slab: GroundSlab) -> float:
    """Radius of relative stiffness: how far a load spreads in the slab.

    Parameters
    ----------
    slab : Slab
        [m, Pa, 1, N/m3]

    Returns
    -------
    float
        l = (D / k)^(1/4) [m].

    Source: [Westergaard1926] (from memory)
    """
    return slab._stiffness_radius


def resisting_radius(radius: float, thickness: float) -> float:
    """Radius that gives a thin plate the stress of a thick one under a small patch (special theory).

    Parameters
    ----------
    radius : float
        Radius of the loaded circle [m]; 0 is a point.
    thickness : float
        Slab thickness [m].

    Returns
    -------
    float
        b = sqrt(1.6 a^2 + h^2) - 0.675 h if a < 1.724 h, else a [m].

    Raises
    ------
    ValueError
        If the radius is negative or the thickness not above 0.

    Source: [NPTELPavement29]
    """
    a, h = not_negative("radius", radius, "m"), positive("thickness", thickness, "m")
    return where(a < 1.724 * h, sqrt(1.6 * a**2 + h**2) - 0.675 * h, a)


def interior(
    slab: GroundSlab, load: float, radius: float, special: bool = True, supplementary: bool = False
) -> SlabAnswer:
    """Stress and deflection under a loaded circle far from every edge.

    Parameters
    ----------
    slab : Slab
        [m, Pa, 1, N/m3]
    load : float
        Tyre load [N].
    radius : float
        Radius of the loaded circle [m], below l.
    special : bool
        Special theory (thick slab, small patch) by `resisting_radius`; else the circle itself [1].
    supplementary : bool
        Add the small second term (b / l)^2 [1].

    Returns
    -------
    SlabAnswer
        Tension at the bottom [Pa], deflection [m], warnings.

    Raises
    ------
    ValueError
        If the load is negative, the radius not above 0, or l or more.

    Notes
    -----
    3 (1 + nu) P / (2 pi h^2) (ln(2 l / b) + 1/2 - gamma) [+ 3 (1 + nu) P / (64 h^2) (b / l)^2];
    P / (8 k l^2) (1 + (a / l)^2 / (2 pi) (ln(a / 2l) + gamma - 5/4)).
    Source: [Westergaard1926] (from memory), [IoannidesThesis]
    """
    P, a, ell = _inputs(slab, load, radius)
    h, nu = slab.thickness, slab.poisson
    b = resisting_radius(a, h) if special else a
    stress = 3.0 * (1.0 + nu) * P / (2.0 * math.pi * h**2) * (log(2.0 * ell / b) + 0.5 - EULER)
    if supplementary:
        stress += 3.0 * (1.0 + nu) * P / (64.0 * h**2) * (b / ell) ** 2
    patch = (a / ell) ** 2 / (2.0 * math.pi) * (log(a / (2.0 * ell)) + EULER - 1.25)
    return SlabAnswer(stress, P / (8.0 * slab.subgrade * ell**2) * (1.0 + patch), _warn(a, ell))


def edge(slab: GroundSlab, load: float, radius: float, shape: Literal["circle", "semicircle"] = "circle") -> SlabAnswer:
    """Stress and deflection at a free edge, far from corners.

    Parameters
    ----------
    slab : Slab
        [m, Pa, 1, N/m3]
    load : float
        Tyre load [N].
    radius : float
        Radius of the circle that touches the edge, or of the semicircle on it [m], below l.
    shape : str
        "circle" or "semicircle" [1].

    Returns
    -------
    SlabAnswer
        Tension at the bottom along the edge [Pa], deflection of the edge [m], warnings.

    Raises
    ------
    ValueError
        If the load is negative, the radius not above 0, or l or more, the shape not known.

    Notes
    -----
    3 (1 + nu) P / (pi (3 + nu) h^2) (ln(E h^3 / (100 k a^4)) + 1.84 - 4 nu / 3 + (1 - nu) / 2 + 1.18 (1 + 2 nu) a / l);
    semicircle: ... + 3.84 - 4 nu / 3 + (1 + 2 nu) a / (2 l). The later (1948) form. No transfer across a joint.
    Source: [Westergaard1948] (from memory)
    """
    P, a, ell = _inputs(slab, load, radius)
    E, h, nu, k = slab.modulus, slab.thickness, slab.poisson, slab.subgrade
    if shape not in ("circle", "semicircle"):
        msg = f"shape = {shape!r}: must be circle or semicircle"
        raise ValueError(msg)
    part = log(E * h * h * h / (100.0 * k * (a * a) ** 2)) - 4.0 * nu / 3.0
    if shape == "circle":
        part += 1.84 + (1.0 - nu) / 2.0 + 1.18 * (1.0 + 2.0 * nu) * a / ell
        patch = 1.0 - (0.76 + 0.4 * nu) * a / ell
    else:
        part += 3.84 + (1.0 + 2.0 * nu) * a / (2.0 * ell)
        patch = 1.0 - (0.323 + 0.17 * nu) * a / ell
    stress = 3.0 * (1.0 + nu) * P / (math.pi * (3.0 + nu) * h**2) * part
    return SlabAnswer(stress, P * sqrt(2.0 + 1.2 * nu) / sqrt(E * h * h * h * k) * patch, _warn(a, ell))


def _inputs(slab: GroundSlab, load: float, radius: float) -> tuple[float, float, float]:
    ell = relative_stiffness_radius(slab)
    a = below("radius", positive("radius", radius, "m"), ell, "m", "the radius of relative stiffness")
    return not_negative("load", load, "N"), a, ell


def _warn(a: float, ell: float) -> tuple[str, ...]:
    ratio = float(np.max(a / ell)) if is_array(ell) else a / ell
    if ratio <= _WIDE:
        return ()
    return (f"patch radius {ratio:.2f} of the radius of relative stiffness: the formula was made for up to {_WIDE}",)
