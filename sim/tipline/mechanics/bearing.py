"""Bearing capacity of soil under a patch: Terzaghi, Meyerhof, Hansen, Vesic and EN 1997-1 annex D.

Ultimate pressures, no factor of any kind. Footing and patch are the same thing here: a rigid rectangle on level ground,
`width` the shorter side unless an eccentricity makes it the longer one. Drained soil: friction and cohesion; undrained
clay: friction 0 and cohesion = undrained strength. Water: `weight_over_water` gives the unit weight that counts.

Under a tyre on bare sand the width is 0.3 m or so and the weight term small: 90 to 370 kPa for 36 to 40 degrees by
author. A heavy solid tyre is above that; a crust's cohesion of 10 to 20 kPa then decides more than the friction angle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, NamedTuple

from tipline.elementwise import atan, exp, greater, greatest, least, lesser, sin, sqrt, tan, where
from tipline.mechanics._ranges import finite, not_negative, positive, within

__all__ = [
    "METHODS",
    "BearingFactors",
    "BearingResult",
    "Footing",
    "FootingLoad",
    "FootingSoil",
    "Method",
    "bearing_capacity",
    "bearing_factors",
    "effective_footing",
    "weight_over_water",
]

Method = Literal["terzaghi", "meyerhof", "hansen", "vesic", "en1997"]
METHODS: tuple[Method, ...] = ("terzaghi", "meyerhof", "hansen", "vesic", "en1997")
_MOST_FRICTION = math.radians(45.0)
_SEEN_FRICTION = math.radians(42.0)
_TERZAGHI_FRICTION = math.radians(35.0)
_TEN_DEGREES = math.radians(10.0)
_WATER = 9.81e3
_LEAST_BUOYANT = 1.5e3
_NO_LOAD = 1e-12


class BearingFactors(NamedTuple):
    """Factors [1] on cohesion, surcharge and soil weight: Nc, Nq, N_gamma."""

    cohesion: float
    surcharge: float
    weight: float


@dataclass(frozen=True)
class FootingSoil:
    """Friction angle [rad], cohesion or undrained strength [Pa], unit weight [N/m3]."""

    friction: float
    cohesion: float
    unit_weight: float

    def __post_init__(self) -> None:
        within("friction angle", self.friction, 0.0, _MOST_FRICTION, "rad", "0 to 45 degrees")
        not_negative("cohesion", self.cohesion, "Pa")
        within("unit weight", self.unit_weight, 1e3, 3e4, "N/m3", "1 to 30 kN/m3")
        if greatest(self.friction) == 0.0 and least(self.cohesion) == 0.0:
            msg = "friction angle = 0 and cohesion = 0: must not both be 0; that is a liquid"
            raise ValueError(msg)


@dataclass(frozen=True)
class Footing:
    """Sides [m], depth of the base [m], distance of the load from the middle along each side [m]."""

    width: float
    length: float
    depth: float = 0.0
    off_width: float = 0.0
    off_length: float = 0.0

    def __post_init__(self) -> None:
        positive("width", self.width, "m")
        positive("length", self.length, "m")
        not_negative("depth", self.depth, "m")
        finite("eccentricity", self.off_width, "m")
        finite("eccentricity", self.off_length, "m")


class FootingLoad(NamedTuple):
    """Force on the base: down [N], and level along the width and along the length [N]."""

    vertical: float
    along_width: float = 0.0
    along_length: float = 0.0


@dataclass(frozen=True)
class BearingResult:
    """Ultimate pressure [Pa] on the effective area, force [N], effective sides [m], terms [Pa], notes in words."""

    pressure: float
    force: float
    width: float
    length: float
    from_cohesion: float
    from_surcharge: float
    from_weight: float
    notes: tuple[str, ...]


class _Factors(NamedTuple):
    cohesion: float
    surcharge: float
    weight: float


_ONE = _Factors(1.0, 1.0, 1.0)


def bearing_factors(friction: float, method: Method) -> BearingFactors:
    """Factors on cohesion, surcharge and weight of the soil.

    Parameters
    ----------
    friction : float
        Friction angle [rad], 0 to 45 degrees.
    method : {"terzaghi", "meyerhof", "hansen", "vesic", "en1997"}
        Author [1].

    Returns
    -------
    BearingFactors
        Nc, Nq, N_gamma [1].

    Raises
    ------
    ValueError
        If the angle is out of range or the method unknown.

    Notes
    -----
    Nq = exp(pi tan phi) tan^2(45 + phi / 2), Nc = (Nq - 1) cot phi (2 + pi at 0). N_gamma: Meyerhof
    (Nq - 1) tan 1.4 phi, Hansen 1.5 (Nq - 1) tan phi, Vesic 2 (Nq + 1) tan phi, EN 1997 2 (Nq - 1) tan phi. Terzaghi:
    Nq = exp((1.5 pi - phi) tan phi) / (2 cos^2(45 + phi / 2)), Nc = 5.7 at 0; his N_gamma had no formula: a fit is
    used, within 14 % of his table from 20 to 35 degrees and 21 % above it at 40; so he is refused past 35 degrees.
    Source: [Meyerhof1963], [Hansen1970], [Vesic1975], [EN1997], [Terzaghi1943], [Coduto2001]
    """
    phi = within("friction angle", friction, 0.0, _MOST_FRICTION, "rad", "0 to 45 degrees")
    if method not in METHODS:
        msg = f"method = {method!r}: must be one of {', '.join(METHODS)}"
        raise ValueError(msg)
    t, drained = tan(phi), greatest(phi) > 0.0
    if method == "terzaghi":
        within("friction angle", phi, 0.0, _TERZAGHI_FRICTION, "rad", "Terzaghi: 0 to 35 degrees; take another method")
        nq = math.exp((1.5 * math.pi - phi) * t) / (2.0 * math.cos(0.25 * math.pi + 0.5 * phi) ** 2)
        nc = (nq - 1.0) / t if phi > 0.0 else 5.7
        return BearingFactors(nc, nq, 2.0 * (nq + 1.0) * t / (1.0 + 0.4 * math.sin(4.0 * phi)))
    nq = exp(math.pi * t) * tan(0.25 * math.pi + 0.5 * phi) ** 2
    nc = (nq - 1.0) / t if drained else 2.0 + math.pi
    weight = {
        "meyerhof": (nq - 1.0) * tan(1.4 * phi),
        "hansen": 1.5 * (nq - 1.0) * t,
        "vesic": 2.0 * (nq + 1.0) * t,
        "en1997": 2.0 * (nq - 1.0) * t,
    }
    return BearingFactors(nc, nq, weight[method])


def effective_footing(footing: Footing) -> tuple[float, float]:
    """Sides of the part of a footing that has the load at its middle.

    Parameters
    ----------
    footing : Footing
        The footing [m].

    Returns
    -------
    tuple of float
        Effective width and length [m], along the sides they belong to.

    Raises
    ------
    ValueError
        If the load stands at or beyond an edge.

    Notes
    -----
    B - 2 e each way. Source: [Meyerhof1963]
    """
    width = footing.width - 2.0 * abs(footing.off_width)
    length = footing.length - 2.0 * abs(footing.off_length)
    return positive("effective width", width, "m"), positive("effective length", length, "m")


def weight_over_water(unit_weight: float, to_water: float, reach: float) -> float:
    """Weigh soil, per volume, as it counts over a depth of soil in whose reach water stands.

    Parameters
    ----------
    unit_weight : float
        Unit weight of the soil above water [N/m3].
    to_water : float
        From the top of that depth down to the water [m]; below 0 it stands above the top.
    reach : float
        The depth [m]: under a footing its width, beside one the depth of its base.

    Returns
    -------
    float
        [N/m3]

    Raises
    ------
    ValueError
        If the unit weight or the reach is not above 0, or the depth to the water not finite.

    Notes
    -----
    Buoyant weight (9.81 kN/m3 less, at least 1.5) with water at the top or above, full weight with water below the
    reach, straight between: a footing fails within about its own width below its base. Source: [WaterTableFade]
    """
    gamma, b = positive("unit weight", unit_weight, "N/m3"), positive("reach", reach, "m")
    buoyant = greater(gamma - _WATER, lesser(_LEAST_BUOYANT, gamma))
    share = lesser(greater(finite("depth to the water", to_water, "m") / b, 0.0), 1.0)
    return buoyant + share * (gamma - buoyant)


def bearing_capacity(
    soil: FootingSoil, footing: Footing, method: Method, load: FootingLoad | None = None, surcharge: float = 0.0
) -> BearingResult:
    """Ultimate bearing pressure of a rectangular patch or footing on level ground.

    Parameters
    ----------
    soil : FootingSoil
        The soil [rad, Pa, N/m3].
    footing : Footing
        Sides, depth and eccentricity [m].
    method : {"terzaghi", "meyerhof", "hansen", "vesic", "en1997"}
        Author [1].
    load : FootingLoad or None
        The load [N]; needed where it leans, for its inclination lowers the capacity.
    surcharge : float
        Pressure beside the footing beyond the soil above its base [Pa].

    Returns
    -------
    BearingResult
        Ultimate pressure [Pa] on the effective area, its force [N], its three terms [Pa], notes.

    Raises
    ------
    ValueError
        If a number is out of range, the load slides before it sinks, or the method knows no leaning load.

    Notes
    -----
    c Nc sc dc ic + q Nq sq dq iq + gamma B' N_gamma sg dg ig / 2; Hansen's undrained factors add instead. Notes are
    added past 42 degrees, past a depth of one width and for a load outside the middle third. Terzaghi has no leaning
    load and no depth factors; EN 1997 no depth factors. Source: [Meyerhof1963], [Hansen1970], [Vesic1975], [EN1997],
    [Terzaghi1943]
    """
    factors = bearing_factors(soil.friction, method)
    side_width, side_length = effective_footing(footing)
    width, length = lesser(side_width, side_length), greater(side_width, side_length)
    ratio, area = width / length, width * length
    leaning = _leaning(load, soil, area, turned=side_width > side_length)
    shape, depth = _shape(method, soil.friction, ratio, factors), _depth(method, soil.friction, footing.depth / width)
    slope = _ONE if leaning is None else _inclination(method, soil, leaning, area, ratio, factors)
    q = soil.unit_weight * footing.depth + not_negative("surcharge", surcharge, "Pa")
    on_cohesion = shape.cohesion * depth.cohesion * slope.cohesion
    if method == "hansen" and greatest(soil.friction) == 0.0:
        on_cohesion = shape.cohesion + depth.cohesion + slope.cohesion - 2.0
    terms = (
        soil.cohesion * factors.cohesion * on_cohesion,
        q * factors.surcharge * shape.surcharge * depth.surcharge * slope.surcharge,
        0.5 * soil.unit_weight * width * factors.weight * shape.weight * depth.weight * slope.weight,
    )
    pressure = sum(terms)
    return BearingResult(pressure, pressure * area, width, length, *terms, _notes(soil, footing, width))


def _leaning(load: FootingLoad | None, soil: FootingSoil, area: float, *, turned: bool) -> FootingLoad | None:
    """Give a load that leans, level parts along the shorter and longer effective side; refuse one that slides."""
    if load is None:
        return None
    finite("level load", load.along_width, "N")
    finite("level load", load.along_length, "N")
    h = _level(load)
    if greatest(h) == 0.0:
        return None
    v = positive("vertical load", load.vertical, "N")
    hold = v * tan(soil.friction) + soil.cohesion * area
    if least(hold - h) <= 0.0:
        limit = f"must be below {least(hold):.6g} N, at which the patch slides before it sinks"
        msg = f"level load = {greatest(h):.6g} N: {limit}"
        raise ValueError(msg)
    across, along = load.along_width, load.along_length
    return FootingLoad(v, where(turned, along, across), where(turned, across, along))


def _level(load: FootingLoad) -> float:
    return sqrt(load.along_width**2 + load.along_length**2)


def _shape(method: Method, phi: float, ratio: float, n: BearingFactors) -> _Factors:
    if method == "terzaghi":
        return _Factors(1.0 + 0.3 * ratio, 1.0, 1.0 - 0.2 * ratio)
    if method == "meyerhof":
        kp = tan(0.25 * math.pi + 0.5 * phi) ** 2
        rest = where(phi > _TEN_DEGREES, 1.0 + 0.1 * kp * ratio, 1.0)
        return _Factors(1.0 + 0.2 * kp * ratio, rest, rest)
    if method == "en1997":
        sq = 1.0 + ratio * sin(phi)
        sc = (sq * n.surcharge - 1.0) / (n.surcharge - 1.0) if greatest(phi) > 0.0 else 1.0 + 0.2 * ratio
        return _Factors(sc, sq, 1.0 - 0.3 * ratio)
    sc = 1.0 + n.surcharge / n.cohesion * ratio if greatest(phi) > 0.0 or method == "vesic" else 1.0 + 0.2 * ratio
    along = sin(phi) if method == "hansen" else tan(phi)
    return _Factors(sc, 1.0 + along * ratio, 1.0 - 0.4 * ratio)


def _depth(method: Method, phi: float, relative: float) -> _Factors:
    if method in ("terzaghi", "en1997"):
        return _ONE
    if method == "meyerhof":
        root = tan(0.25 * math.pi + 0.5 * phi) * relative
        rest = where(phi > _TEN_DEGREES, 1.0 + 0.1 * root, 1.0)
        return _Factors(1.0 + 0.2 * root, rest, rest)
    k = where(relative <= 1.0, relative, atan(relative))
    return _Factors(1.0 + 0.4 * k, 1.0 + 2.0 * tan(phi) * (1.0 - sin(phi)) ** 2 * k, 1.0)


def _inclination(
    method: Method, soil: FootingSoil, load: FootingLoad, area: float, ratio: float, n: BearingFactors
) -> _Factors:
    if method == "terzaghi":
        msg = "method = 'terzaghi': has no leaning load; take 'meyerhof', 'hansen', 'vesic' or 'en1997'"
        raise ValueError(msg)
    h, phi, c = _level(load), soil.friction, soil.cohesion
    drained = greatest(phi) > 0.0
    if method == "meyerhof":
        lean = atan(h / load.vertical)
        weight = greater(1.0 - lean / phi, 0.0) ** 2 if drained else 0.0
        rest = (1.0 - 2.0 * lean / math.pi) ** 2
        return _Factors(rest, rest, weight)
    m = _exponent(load, ratio)
    if not drained:
        share = h / (area * c)
        ic = 1.0 - m * share / n.cohesion if method == "vesic" else 0.5 + 0.5 * sqrt(1.0 - share)
        return _Factors(ic, 1.0, 1.0)
    whole = load.vertical + area * c / tan(phi)
    if method == "hansen":
        iq, weight = (1.0 - 0.5 * h / whole) ** 5, (1.0 - 0.7 * h / whole) ** 5
    else:
        iq, weight = (1.0 - h / whole) ** m, (1.0 - h / whole) ** (m + 1.0)
    ic = iq - (1.0 - iq) / (n.surcharge - 1.0 if method == "hansen" else n.cohesion * tan(phi))
    return _Factors(greater(ic, 0.0), iq, weight)


def _exponent(load: FootingLoad, ratio: float) -> float:
    """Give Vesic's exponent for the direction of the level load."""
    across, along = (2.0 + ratio) / (1.0 + ratio), (2.0 + 1.0 / ratio) / (1.0 + 1.0 / ratio)
    part = load.along_length**2 / greater(_level(load) ** 2, _NO_LOAD)
    return along * part + across * (1.0 - part)


def _notes(soil: FootingSoil, footing: Footing, width: float) -> tuple[str, ...]:
    notes = []
    if greatest(soil.friction) > _SEEN_FRICTION:
        notes.append("friction angle above 42 degrees: the factors grow faster than anyone has measured")
    if greatest(footing.depth - width) > 0.0:
        notes.append("base deeper than its width: meant for shallow footings")
    if abs(footing.off_width) > least(footing.width) / 6.0 or abs(footing.off_length) > least(footing.length) / 6.0:
        notes.append("load outside the middle third: the far edge lifts")
    return tuple(notes)
