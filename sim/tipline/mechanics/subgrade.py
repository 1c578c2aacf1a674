"""Elastic settlement of a loaded circle, and the modulus of subgrade reaction by plate size, modulus or CBR.

k [N/m3] is no property of the soil: it falls with the size of what presses. A value is worth little without its plate.
All relations between k, E and CBR scatter by a factor of two and more.
"""

from __future__ import annotations

import math
from typing import Literal

from tipline.mechanics._ranges import not_negative, positive, within

__all__ = [
    "cohesion_from_cbr",
    "reaction_for_size",
    "reaction_from_modulus",
    "reaction_from_plate",
    "rigid_circle_settlement",
    "settlement_near_failure",
]

SLAB_PLATE_RADIUS = 0.381
_SMALL_PLATE = 0.3
_FAILURE = 0.8


def rigid_circle_settlement(force: float, radius: float, modulus: float, poisson: float) -> float:
    """Settlement of a rigid circle on an elastic half-space.

    Parameters
    ----------
    force : float
        Central force [N].
    radius : float
        Radius [m].
    modulus : float
        Young's modulus of the soil [Pa].
    poisson : float
        Poisson's ratio [1], 0 to 0.5.

    Returns
    -------
    float
        Settlement [m].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    P (1 - nu^2) / (2 a E). Far from failure only. Source: [PoulosDavis1974]
    """
    nu = within("Poisson's ratio", poisson, 0.0, 0.5)
    stiffness = 2.0 * positive("radius", radius, "m") * positive("modulus", modulus, "Pa") / (1.0 - nu * nu)
    return not_negative("force", force, "N") / stiffness


def settlement_near_failure(force: float, capacity: float, radius: float, modulus: float, poisson: float) -> float:
    """Settlement of a rigid circle that grows beyond the elastic one as the load nears the bearing capacity.

    Parameters
    ----------
    force : float
        Central force [N], no more than the capacity.
    capacity : float
        Force at which the soil gives way [N].
    radius : float
        Radius [m].
    modulus : float
        Young's modulus of the soil under small loads [Pa].
    poisson : float
        Poisson's ratio [1], 0 to 0.5.

    Returns
    -------
    float
        Settlement [m].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    Hyperbola: the elastic settlement over 1 - 0.8 P / P_u, five times the elastic one at the capacity. The 0.8 is the
    failure ratio of soils in triaxial tests, 0.7 to 0.95 (from memory). Source: [Kondner1963], [PoulosDavis1974]
    """
    share = within("force over capacity", force / positive("capacity", capacity, "N"), 0.0, 1.0)
    return rigid_circle_settlement(force, radius, modulus, poisson) / (1.0 - _FAILURE * share)


def reaction_from_plate(pressure: float, sinking: float) -> float:
    """Modulus of subgrade reaction from a reading of a plate-load test.

    Parameters
    ----------
    pressure : float
        Pressure under the plate [Pa].
    sinking : float
        Sinking of the plate at that pressure [m].

    Returns
    -------
    float
        k of that plate [N/m3].

    Raises
    ------
    ValueError
        If a number is not greater than 0.

    Notes
    -----
    p / w. Source: [Terzaghi1955]
    """
    return positive("pressure", pressure, "Pa") / positive("sinking", sinking, "m")


def reaction_for_size(
    reaction: float,
    width: float,
    soil: Literal["clay", "sand"],
    length: float | None = None,
    plate: float = _SMALL_PLATE,
) -> float:
    """Modulus of subgrade reaction of a footing, from that of a small square plate.

    Parameters
    ----------
    reaction : float
        k of the plate [N/m3].
    width : float
        Width of the footing [m], from the plate's up to 10 m.
    soil : {"clay", "sand"}
        Kind of soil [1].
    length : float or None
        Length of the footing [m]; None = square. Counts in clay only.
    plate : float
        Width of the plate [m].

    Returns
    -------
    float
        k of the footing [N/m3].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    Sand: k1 ((B + b) / (2 B))^2. Clay: k1 b / B, long footings times (L / B + 0.5) / (1.5 L / B), which is against a
    square plate. b is the plate's width, 0.3 m in the source. Formulas from memory. Source: [Terzaghi1955]
    """
    b = positive("plate width", plate, "m")
    wide = within("width", width, b, 10.0, "m", "no smaller than the plate")
    k = positive("modulus of subgrade reaction", reaction, "N/m3")
    if soil == "sand":
        return k * ((wide + b) / (2.0 * wide)) ** 2
    slender = (
        1.0 if length is None else within("length", length, wide, math.inf, "m", "no smaller than the width") / wide
    )
    return k * b / wide * (slender + 0.5) / (1.5 * slender)


def reaction_from_modulus(modulus: float, radius: float = SLAB_PLATE_RADIUS) -> float:
    """Modulus of subgrade reaction under a flexible circle on an even half-space.

    Parameters
    ----------
    modulus : float
        Young's modulus of the soil [Pa], undrained (Poisson's ratio 0.5).
    radius : float
        Radius of the circle [m]; 0.381 m is the plate that slabs are designed with.

    Returns
    -------
    float
        k of that circle [N/m3].

    Raises
    ------
    ValueError
        If a number is not greater than 0.

    Notes
    -----
    E / (1.5 a). Source: [PalmerBarber1940]
    """
    return positive("modulus", modulus, "Pa") / (1.5 * positive("radius", radius, "m"))


def cohesion_from_cbr(cbr: float) -> float:
    """Undrained strength of clay from its CBR.

    Parameters
    ----------
    cbr : float
        California bearing ratio [1] as a share, 0.01 to 0.08.

    Returns
    -------
    float
        Undrained strength [Pa].

    Raises
    ------
    ValueError
        If the CBR is out of range.

    Notes
    -----
    23 kPa for each per cent; from memory, to half or double. Source: [Black1962]
    """
    return 23e3 * 100.0 * within("CBR", cbr, 0.01, 0.08, why="1 to 8 %")
