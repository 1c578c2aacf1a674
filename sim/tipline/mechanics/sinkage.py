"""How far a patch sinks into soil: Bekker and Reece at low pressure, a plate-load curve for heavy tyres, rate.

The pressure-sinkage constants of vehicle mobility come from plates at up to about 200 kPa. A heavy solid tyre stands at
five times that; carried up there they give sinkages of 0.1 to 1.4 m that nobody measured. They are refused above
250 kPa. The plate-load curve starts with the subgrade reaction and ends at the ultimate bearing pressure.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from tipline.mechanics._ranges import not_negative, positive, within

__all__ = [
    "TERRAINS",
    "PlateLoadCurve",
    "SunkPatch",
    "Terrain",
    "bekker_sinkage",
    "clay_curve",
    "plate_load_pressure",
    "plate_load_sinkage",
    "reece_pressure",
    "sand_curve",
    "sinkage_in_time",
    "sunk_patch",
]

MOST_PRESSURE = 250e3
_WHY = "the constants were measured up to about 200 kPa; take a plate-load curve"
_UNDRAINED_TOP, _UNDRAINED_DEEP, _DEEP_AT = 6.05, 9.0, 0.8
_STEP = 1e-3


class SunkPatch(NamedTuple):
    """Contact of a wheel that has sunk, seen from above: length [m], mean depth of its base below the surface [m]."""

    length: float
    depth: float


class Terrain(NamedTuple):
    """Constants of one terrain: exponent [1], kc [N/m^(n+1)], kphi [N/m^(n+2)]."""

    exponent: float
    cohesive: float
    frictional: float


TERRAINS = {
    "dry sand": Terrain(1.1, 0.99e3, 1528.43e3),
    "sandy loam": Terrain(0.7, 5.27e3, 1515.04e3),
    "dense sand of a test track": Terrain(0.793, 102e3, 5301e3),
}


@dataclass(frozen=True)
class PlateLoadCurve:
    """Pressure by sinkage: ultimate, start [Pa], first slope k [N/m3], growth [Pa/m] to a depth [m], weight [Pa/m].

    p = start + ultimate (1 - exp(-k z / ultimate)) + growth min(z, growth_to) + weight z.
    """

    ultimate: float
    reaction: float
    start: float = 0.0
    growth: float = 0.0
    growth_to: float = math.inf
    weight: float = 0.0

    def __post_init__(self) -> None:
        positive("ultimate pressure", self.ultimate, "Pa")
        positive("modulus of subgrade reaction", self.reaction, "N/m3")
        for name, value in (("start", self.start), ("growth", self.growth), ("weight", self.weight)):
            not_negative(name, value)
        positive("depth of growth", min(self.growth_to, 1e9), "m")


def bekker_sinkage(terrain: Terrain, force: float, width: float, length: float) -> float:
    """Sinkage of a flat patch by Bekker's law.

    Parameters
    ----------
    terrain : Terrain
        Constants of the terrain [1, N/m^(n+1), N/m^(n+2)].
    force : float
        Force on the patch [N].
    width : float
        One side of the patch [m].
    length : float
        The other side [m].

    Returns
    -------
    float
        Sinkage [m].

    Raises
    ------
    ValueError
        If the pressure is above 250 kPa, where nobody measured, or a number is out of range.

    Notes
    -----
    p = (kc / b + kphi) z^n with b the shorter side. Constants copied from public codes that name the table.
    Source: [Wong2008]
    """
    b = min(positive("width", width, "m"), positive("length", length, "m"))
    p = within("pressure", positive("force", force, "N") / (width * length), 0.0, MOST_PRESSURE, "Pa", _WHY)
    positive("exponent", terrain.exponent)
    positive("frictional", terrain.frictional, "N/m^(n+2)")
    not_negative("cohesive", terrain.cohesive, "N/m^(n+1)")
    return math.pow(p / (terrain.cohesive / b + terrain.frictional), 1.0 / terrain.exponent)


def reece_pressure(
    cohesion: float,
    unit_weight: float,
    cohesive: float,
    frictional: float,
    exponent: float,
    width: float,
    sinkage: float,
) -> float:
    """Pressure under a flat patch by Reece's law.

    Parameters
    ----------
    cohesion : float
        Cohesion of the soil [Pa].
    unit_weight : float
        Unit weight [N/m3].
    cohesive : float
        k'c [1].
    frictional : float
        k'phi [1].
    exponent : float
        n [1].
    width : float
        Shorter side of the patch [m].
    sinkage : float
        Sinkage [m].

    Returns
    -------
    float
        Pressure [Pa].

    Raises
    ------
    ValueError
        If the pressure comes out above 250 kPa, or a number is out of range.

    Notes
    -----
    p = (c k'c + gamma b k'phi) (z / b)^n. From memory. Source: [Wong2008]
    """
    b = positive("width", width, "m")
    soil = not_negative("cohesion", cohesion, "Pa") * not_negative("k'c", cohesive)
    soil += positive("unit weight", unit_weight, "N/m3") * b * not_negative("k'phi", frictional)
    p = soil * math.pow(not_negative("sinkage", sinkage, "m") / b, positive("exponent", exponent))
    return within("pressure", p, 0.0, MOST_PRESSURE, "Pa", _WHY)


def clay_curve(strength: float, unit_weight: float, ultimate: float, reaction: float) -> PlateLoadCurve:
    """Plate-load curve of clay, that grows as the bearing factor does from the surface to deep.

    Parameters
    ----------
    strength : float
        Undrained strength [Pa].
    unit_weight : float
        Unit weight [N/m3].
    ultimate : float
        Ultimate bearing pressure at the surface [Pa].
    reaction : float
        First slope k of that patch [N/m3].

    Returns
    -------
    PlateLoadCurve
        The curve [Pa, N/m3, m].

    Raises
    ------
    ValueError
        If a number is not greater than 0.

    Notes
    -----
    The factor goes from 6.05 at the surface to 9 at 0.8 m; the soil's weight is added. The two ends are known for
    round plates, the path between them is our own choice. Source: [Skempton1951], [Own]
    """
    growth = positive("strength", strength, "Pa") * (_UNDRAINED_DEEP - _UNDRAINED_TOP) / _DEEP_AT
    return PlateLoadCurve(
        ultimate, reaction, growth=growth, growth_to=_DEEP_AT, weight=positive("unit weight", unit_weight, "N/m3")
    )


def sand_curve(surcharge_factor: float, unit_weight: float, ultimate: float, reaction: float) -> PlateLoadCurve:
    """Plate-load curve of sand or gravel, that grows with the soil beside the patch.

    Parameters
    ----------
    surcharge_factor : float
        Bearing factor Nq [1].
    unit_weight : float
        Unit weight [N/m3].
    ultimate : float
        Ultimate bearing pressure at the surface [Pa].
    reaction : float
        First slope k of that patch [N/m3].

    Returns
    -------
    PlateLoadCurve
        The curve [Pa, N/m3, m].

    Raises
    ------
    ValueError
        If a number is not greater than 0.

    Notes
    -----
    gamma z Nq is added. Source: [Own]
    """
    weight = positive("unit weight", unit_weight, "N/m3") * positive("Nq", surcharge_factor)
    return PlateLoadCurve(ultimate, reaction, weight=weight)


def plate_load_pressure(curve: PlateLoadCurve, sinkage: float) -> float:
    """Pressure that the soil holds at a sinkage, slowly loaded.

    Parameters
    ----------
    curve : PlateLoadCurve
        The curve [Pa, N/m3, m].
    sinkage : float
        Sinkage that stays [m].

    Returns
    -------
    float
        Pressure [Pa].

    Raises
    ------
    ValueError
        If the sinkage is negative.

    Notes
    -----
    p = start + qu (1 - exp(-k z / qu)) + growth and weight with depth. The ends are k and qu; the path between is our
    own choice, to be fitted to a plate-load test where there is one. Source: [Own]
    """
    z = not_negative("sinkage", sinkage, "m")
    rising = curve.ultimate * -math.expm1(-curve.reaction * z / curve.ultimate)
    return curve.start + rising + curve.growth * min(z, curve.growth_to) + curve.weight * z


def plate_load_sinkage(curve: PlateLoadCurve, pressure: float) -> float:
    """Sinkage at which the soil holds a pressure.

    Parameters
    ----------
    curve : PlateLoadCurve
        The curve [Pa, N/m3, m].
    pressure : float
        Pressure [Pa].

    Returns
    -------
    float
        Sinkage [m]; infinite where the curve never gets there: the ground gives way.

    Raises
    ------
    ValueError
        If the pressure is negative.

    Notes
    -----
    The root of `plate_load_pressure`. Source: [Own]
    """
    from scipy.optimize import brentq

    p = not_negative("pressure", pressure, "Pa")
    if p <= curve.start:
        return 0.0
    deep = 1e4
    if plate_load_pressure(curve, deep) <= p:
        return math.inf
    return float(brentq(lambda z: plate_load_pressure(curve, z) - p, 0.0, deep, xtol=1e-12, rtol=1e-12))


def sinkage_in_time(
    curve: PlateLoadCurve,
    times: Sequence[float],
    pressures: Sequence[float],
    rate_speed: float,
    rebound: float,
    step: float = _STEP,
) -> float:
    """Sinkage at the end of a history of pressure, where soil holds more the faster it is pressed.

    Parameters
    ----------
    curve : PlateLoadCurve
        The curve for slow loading [Pa, N/m3, m].
    times : sequence of float
        Times [s], from 0 and growing.
    pressures : sequence of float
        Pressures at these times [Pa], straight between them.
    rate_speed : float
        Speed of sinking at which it holds twice as much [m/s].
    rebound : float
        Slope of unloading [N/m3], much steeper than k.
    step : float
        Time step [s].

    Returns
    -------
    float
        Sinkage, with what would come back [m].

    Raises
    ------
    ValueError
        If the history is out of order or a number out of range.

    Notes
    -----
    z = zp + p / ku, zp' = v0 (p / py(zp) - 1) while p > py. v0 is a guess of 5 to 50 mm/s until fitted to a test.
    Source: [Perzyna1966], [Own]
    """
    if len(times) != len(pressures) or len(times) < 2 or times[0] != 0.0:
        msg = f"{len(times)} times and {len(pressures)} pressures: must be two or more of each, from 0 s"
        raise ValueError(msg)
    not_negative("pressure", pressures[0], "Pa")
    v0, ku = positive("rate speed", rate_speed, "m/s"), positive("rebound", rebound, "N/m3")
    h = within("step", step, 1e-6, 1.0, "s")
    z = 0.0
    for i in range(len(times) - 1):
        length = positive("time between two points", times[i + 1] - times[i], "s")
        n = max(1, math.ceil(length / h - 1e-9))
        for k in range(n):
            p = pressures[i] + (pressures[i + 1] - pressures[i]) * (k + 1) / n
            z = _sunk(curve, z, not_negative("pressure", p, "Pa"), v0 * length / n)
    return z + not_negative("pressure", pressures[-1], "Pa") / ku


def _sunk(curve: PlateLoadCurve, z: float, p: float, reach: float) -> float:
    """Give the lasting sinkage after one implicit step; reach is the rate speed times the step."""
    holds = plate_load_pressure(curve, z)
    if p <= holds:
        return z
    low, high = z, z + reach * (p / max(holds, 1.0) - 1.0)
    for _ in range(60):
        middle = 0.5 * (low + high)
        over = p / max(plate_load_pressure(curve, middle), 1.0) - 1.0
        low, high = (middle, high) if z + reach * max(over, 0.0) > middle else (low, middle)
    return 0.5 * (low + high)


def sunk_patch(length: float, radius: float, sinking: float, ends: int = 2) -> SunkPatch:
    """Contact of a wheel with the ground it has sunk into: the tread's arc comes to bear beyond the flat patch.

    Parameters
    ----------
    length : float
        Length of the flat patch [m], less than the wheel's diameter.
    radius : float
        Of the wheel [m].
    sinking : float
        Depth of the flat part below the surface [m]; past the hub's level the contact grows no more.
    ends : int
        At how many ends the arc bears [1]: 2 standing, pressed straight down; 1 rolling, with the rut behind it open.

    Returns
    -------
    SunkPatch
        [m, m]

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    Half the chord is sqrt(c^2 + z (2 h - z)), c half the flat patch, h = sqrt(R^2 - c^2); the arc is taken as a
    parabola, two thirds of the sinking deep on the mean. Own geometry; not compared with tests on tyres. Source: [Own]
    """
    R = positive("radius", radius, "m")
    half = 0.5 * within("length", positive("length", length, "m"), 0.0, 2.0 * R, "m", "no more than the diameter")
    z = not_negative("sinking", sinking, "m")
    if ends not in (0, 1, 2):
        msg = f"ends = {ends!r}: must be 0, 1 or 2"
        raise ValueError(msg)
    hub = math.sqrt(R * R - half * half)
    down = min(z, hub)
    more = ends * (math.sqrt(half * half + down * (2.0 * hub - down)) - half)
    whole = 2.0 * half + more
    return SunkPatch(whole, z * (2.0 * half + 2.0 / 3.0 * more) / whole)
