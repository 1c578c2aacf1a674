"""Granular platform over soft clay: what a patch can be given before it punches through or the clay gives way.

Three routes, the lowest counts: punching of the platform over the clay, the clay under a 1 in 2 spread, and the
platform's own bearing capacity. The spread alone is unsafe over weak clay with a strong platform.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from tipline.elementwise import exp, greater, interpolated, least, lesser
from tipline.mechanics._ranges import below, not_negative, positive, within
from tipline.mechanics.bearing import Footing, FootingSoil, bearing_capacity

__all__ = ["PlatformResult", "platform_capacity", "punching_coefficient"]

_FRICTION = tuple(math.radians(angle) for angle in (35.0, 40.0, 45.0))
_LOGARITHM = tuple(math.log(coefficient) for coefficient in (3.1, 5.5, 10.0))
_LEAST_CLAY, _MOST_CLAY = 20e3, 80e3
_DEEPEST = 1.5
_NC = 2.0 + math.pi


@dataclass(frozen=True)
class PlatformResult:
    """Ultimate pressure [Pa], the route that governs, and the pressure [Pa] by each route and of the bare clay."""

    pressure: float
    governing: str
    punching: float
    load_spread: float
    platform_itself: float
    bare_clay: float
    notes: tuple[str, ...]


def punching_coefficient(friction: float) -> float:
    """Passive earth pressure times wall friction on the punched block, Kp tan(delta).

    Parameters
    ----------
    friction : float
        Friction angle of the platform [rad], 35 to 45 degrees.

    Returns
    -------
    float
        Kp tan(delta) [1]: 3.1, 5.5, 10 at 35, 40, 45 degrees, in between by the logarithm.

    Raises
    ------
    ValueError
        If the angle is outside 35 to 45 degrees.

    Notes
    -----
    Values from memory; the answer is very sensitive to them. Source: [BR470]
    """
    phi = within("platform friction angle", friction, _FRICTION[0], _FRICTION[-1], "rad", "35 to 45 degrees")
    return exp(interpolated(phi, _FRICTION, _LOGARITHM))


def platform_capacity(
    clay_strength: float,
    thickness: float,
    unit_weight: float,
    friction: float,
    width: float,
    length: float,
    sunk: float = 0.0,
    cohesion: float = 0.0,
) -> PlatformResult:
    """Ultimate pressure of a patch on a granular platform over clay, undrained.

    Parameters
    ----------
    clay_strength : float
        Undrained strength of the clay [Pa], 20 to 80 kPa.
    thickness : float
        Thickness of the platform [m]; what is left of it under the patch up to 1.5 times the patch's width.
    unit_weight : float
        Unit weight of the platform [N/m3].
    friction : float
        Its friction angle [rad], 35 to 45 degrees.
    width : float
        Shorter side of the patch [m].
    length : float
        Longer side [m].
    sunk : float
        How far the patch has sunk into the platform [m], less than its thickness.
    cohesion : float
        Cohesion of the platform [Pa]; counts in its own bearing capacity only.

    Returns
    -------
    PlatformResult
        The lowest of the routes [Pa], which one it is, each route [Pa], notes.

    Raises
    ------
    ValueError
        If a number is outside the range the method was made for.

    Notes
    -----
    Punching: cu Nc sc + gamma D^2 / W Kp tan(delta) sp, sc = 1 + 0.2 W / L, sp = 1 + W / L. Spread: cu Nc sc' on
    (W + D) (L + D). Platform itself: Meyerhof. Not for clay below 20 kPa; above 80 kPa the clay carries without it.
    Sunk by z: D^2 becomes D^2 - z^2 and D in the spread D - z, the clay has gamma z more beside the punched block than
    on it, and Meyerhof's footing is z deep (own extension). Formulas from memory.
    Source: [BR470], [MeyerhofHanna1978], [Meyerhof1963]
    """
    cu = within("clay strength", clay_strength, _LEAST_CLAY, _MOST_CLAY, "Pa", "made for clay of 20 to 80 kPa")
    a, b = positive("width", width, "m"), positive("length", length, "m")
    w, l = lesser(a, b), greater(a, b)  # noqa: E741
    z = below("sunk", not_negative("sunk", sunk, "m"), positive("thickness", thickness, "m"), "m", "the thickness")
    d = within("thickness left", thickness - z, 0.0, _DEEPEST * w, "m", "up to 1.5 widths")
    granular = FootingSoil(friction, cohesion, unit_weight)
    bare = cu * _NC * (1.0 + 0.2 * w / l)
    beside = unit_weight * z
    walls = unit_weight * (thickness**2 - z**2) / w
    punching = bare + beside + walls * punching_coefficient(friction) * (1.0 + w / l)
    spread = (cu * _NC * (1.0 + 0.2 * (w + d) / (l + d)) + beside) * (w + d) * (l + d) / (w * l)
    itself = bearing_capacity(granular, Footing(w, l, z), "meyerhof").pressure
    routes = {"punching": punching, "load spread": spread, "platform itself": itself}
    governing = min(routes, key=lambda name: least(routes[name]))
    notes = (
        ()
        if least(itself - bare) > 0.0
        else ("the platform itself carries less than the bare clay: wider patch or spreader",)
    )
    return PlatformResult(lesser(punching, spread, itself), governing, punching, spread, itself, bare, notes)
