"""Slab on the ground: closed formulas, exact field of a disc, several tyres, patch and joint."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np

from tipline.mechanics.kelvin import Kelvin, first_kind, second_kind
from tipline.mechanics.patch import twin_radius
from tipline.mechanics.slab import GroundSlab, edge, interior, relative_stiffness_radius, resisting_radius
from tipline.mechanics.slab_field import RingField, SeveralTyres, several_tyres
from tipline.oracles.slab import corner
from tipline.oracles.slab_field import disc_field
from tipline.selftest.check import Check
from tipline.units import INCH as IN
from tipline.units import POUND_FORCE as LBF

__all__ = ["CHECKS"]

PSI = LBF / IN**2
PCI = PSI / IN

# A textbook's slab: 10 in, 4 million psi, 100 pci, under 10,000 lbf on a circle of 6 in radius.
US = GroundSlab(10 * IN, 4e6 * PSI, 0.15, 100 * PCI)
US_LOAD = (US, 10_000 * LBF, 6 * IN)
SI = GroundSlab(0.20, 31e9, 0.2, 50e6)
SI_LOAD = (SI, 100e3, 0.15)

_interior = partial(interior, *US_LOAD)
_HUANG = ("HuangPavement", "10 in slab, 10,000 lbf on a circle of 6 in radius")


def _memory(
    name: str, what: str, printed: str, call: Callable[[], float], tolerance: float | None = None, why: str = ""
) -> Check:
    return Check(name, what, printed, *_HUANG, "from memory", call, tolerance, why)


def _derived(
    name: str,
    what: str,
    printed: str,
    call: Callable[[], float],
    source: str = "Westergaard1926",
    place: str = "formula from memory",
) -> Check:
    return Check(name, what, printed, source, place, "derived here", call)


def _exact_stress() -> float:
    return float(6.0 * disc_field(*US_LOAD, [0.0]).radial[0] / US.thickness**2)


def _neighbour(field: Callable[[float], RingField]) -> RingField:
    return field(relative_stiffness_radius(SI))


def _disc() -> RingField:
    return _neighbour(lambda r: disc_field(*SI_LOAD, [r]))


def _pair(spacing: float) -> SeveralTyres:
    return several_tyres(SI, [100e3] * 2, [0.15] * 2, [[0.0, 0.0], [spacing, 0.0]], [[0.0, 0.0]], thick=True)


def _cross(spacing: float) -> float:
    """Lesser principal stress at the bottom under one of two tyres."""
    moment = _pair(spacing).moment[0]
    return float(6.0 * min(moment[0, 0], moment[1, 1]) / SI.thickness**2)


def _bottom(spacing: float) -> float:
    return float(_pair(spacing).bottom[0])


def _sag(spacing: float) -> float:
    return float(_pair(spacing).deflection[0])


def _pairs(name: str, what: str, printed: str, call: Callable[[], float], tolerance: float) -> Check:
    why = "derived by adding the closed formula under the one tyre to the point field of the other"
    return Check(name, what, printed, "Own", "superposition", "derived here", call, tolerance, why)


_HANKEL = ("Own", "Hankel integral")


def _kelvin(name: str, at: float, printed: str, source: str, kind: Callable[[float], Kelvin], part: int) -> Check:
    what = f"Kelvin function {name}({at:g})"
    return Check(
        f"kelvin-{name}-{at:g}", what, printed, source, "table", "seen in the source", lambda: float(kind(at)[part][0])
    )


def _first(s: float) -> Kelvin:
    return first_kind(np.array([s]))


def _second(s: float) -> Kelvin:
    return second_kind(np.array([s]))


CHECKS = (
    Check(
        "stiffness-radius-9in",
        "Radius of relative stiffness, 9 in slab on 200 pci",
        "35.3 in",
        "WSDOTCurling",
        "steps 2 and 4",
        "seen in the source",
        lambda: relative_stiffness_radius(GroundSlab(9 * IN, 5e6 * PSI, 0.15, 200 * PCI)),
    ),
    _memory("stiffness-radius", "Radius of relative stiffness", "42.97 in", lambda: relative_stiffness_radius(US)),
    _memory("resisting-radius", "Radius of the special theory", "5.804 in", lambda: resisting_radius(6 * IN, 10 * IN)),
    _memory("interior-stress", "Tyre inside the slab, stress", "143.7 psi", lambda: _interior().stress),
    _memory("interior-deflection", "Tyre inside the slab, deflection", "0.0067 in", lambda: _interior().deflection),
    _memory(
        "edge-stress",
        "Tyre at the edge, stress",
        "279.4 psi",
        lambda: edge(*US_LOAD).stress,
        0.14,
        "the textbook rounds on the way",
    ),
    _memory("edge-deflection", "Tyre at the edge, deflection", "0.0207 in", lambda: edge(*US_LOAD).deflection),
    _memory(
        "corner-stress",
        "Tyre at the corner, stress, 1926",
        "186.6 psi",
        lambda: corner(*US_LOAD, form="1926").stress,
        0.09,
        "the textbook rounds on the way",
    ),
    _memory(
        "corner-deflection",
        "Tyre at the corner, deflection, 1926",
        "0.0502 in",
        lambda: corner(*US_LOAD, form="1926").deflection,
    ),
    Check(
        "twin-radius",
        "Circle for twins of 5000 lbf at 88.42 psi, 14 in apart",
        "7.85 in",
        "HuangPavement",
        "twin tyres",
        "from memory",
        lambda: twin_radius(5000 * LBF, 88.42 * PSI, 14 * IN),
    ),
    _derived(
        "interior-supplementary",
        "Tyre inside, with the supplementary term",
        "143.847 psi",
        lambda: _interior(supplementary=True).stress,
        "IoannidesThesis",
        "formula printed, value derived",
    ),
    _derived(
        "interior-ordinary",
        "Tyre inside, ordinary theory with the supplementary term",
        "142.029 psi",
        lambda: _interior(special=False, supplementary=True).stress,
        "IoannidesThesis",
        "formula printed, value derived",
    ),
    _derived(
        "edge-half-stress",
        "Half circle on the edge, stress",
        "329.902 psi",
        lambda: edge(*US_LOAD, shape="semicircle").stress,
        "Westergaard1948",
    ),
    _derived(
        "edge-half-deflection",
        "Half circle on the edge, deflection",
        "0.0222093 in",
        lambda: edge(*US_LOAD, shape="semicircle").deflection,
        "Westergaard1948",
    ),
    _derived(
        "corner-stress-1985",
        "Tyre at the corner, stress, 1985",
        "190.254 psi",
        lambda: corner(*US_LOAD).stress,
        "Ioannides1985",
        "formula printed, value derived",
    ),
    _derived(
        "corner-deflection-1985",
        "Tyre at the corner, deflection, 1985",
        "0.0560091 in",
        lambda: corner(*US_LOAD).deflection,
        "Ioannides1985",
        "formula printed, value derived",
    ),
    _derived(
        "disc-deflection",
        "Exact plate without end, deflection",
        "0.00669902 in",
        lambda: float(disc_field(*US_LOAD, [0.0]).deflection[0]),
        "Own",
        "Hankel integral",
    ),
    _derived("disc-stress", "Exact plate without end, stress", "142.03 psi", _exact_stress, "Own", "Hankel integral"),
    _derived("si-radius", "200 mm slab on 50 MN/m3", "0.810042 m", lambda: relative_stiffness_radius(SI)),
    _derived("si-interior-stress", "100 kN inside, stress", "3.38979 MPa", lambda: interior(*SI_LOAD).stress),
    _derived(
        "si-interior-deflection", "100 kN inside, deflection", "0.374654 mm", lambda: interior(*SI_LOAD).deflection
    ),
    _derived(
        "si-edge-stress", "100 kN at the edge, stress", "6.14494 MPa", lambda: edge(*SI_LOAD).stress, "Westergaard1948"
    ),
    _derived(
        "si-edge-deflection",
        "100 kN at the edge, deflection",
        "1.13498 mm",
        lambda: edge(*SI_LOAD).deflection,
        "Westergaard1948",
    ),
    _derived(
        "si-corner-stress",
        "100 kN at the corner, stress, 1926",
        "4.14324 MPa",
        lambda: corner(*SI_LOAD, form="1926").stress,
    ),
    _derived(
        "si-corner-deflection",
        "100 kN at the corner, deflection, 1985",
        "2.98274 mm",
        lambda: corner(*SI_LOAD).deflection,
        "Ioannides1985",
        "formula printed, value derived",
    ),
    _derived(
        "next-deflection", "Deflection at l from 100 kN", "0.239527 mm", lambda: float(_disc().deflection[0]), *_HANKEL
    ),
    _derived("next-radial", "Moment along the radius there", "148.23 N", lambda: float(_disc().radial[0]), *_HANKEL),
    _derived("next-across", "Moment across it there", "5367.94 N", lambda: float(_disc().across[0]), *_HANKEL),
    _kelvin("ber", 2.0, "0.751734", "KelvinTable", _first, 0),
    _kelvin("bei", 2.0, "0.972292", "KelvinTable", _first, 1),
    _kelvin("ber", 5.0, "-6.230082", "KelvinTable", _first, 0),
    _kelvin("bei", 5.0, "0.116034", "KelvinTable", _first, 1),
    _kelvin("ker", 1.0, "0.2867062087", "KelvinValues", _second, 0),
    _kelvin("kei", 1.0, "-0.4949946365", "KelvinValues", _second, 1),
    _pairs("pair-far-stress", "Two tyres 1.2 m apart, stress under one", "3.8065 MPa", lambda: _bottom(1.2), 0.0038),
    _pairs("pair-far-cross", "Lesser principal stress there", "3.1491 MPa", lambda: _cross(1.2), 0.0047),
    _pairs("pair-far-deflection", "Deflection there", "0.538094 mm", lambda: _sag(1.2), 0.00054),
    _pairs("pair-near-stress", "Two tyres 0.4 m apart, stress under one", "5.0922 MPa", lambda: _bottom(0.4), 0.028),
    _pairs("pair-near-deflection", "Deflection there, 0.4 m apart", "0.701441 mm", lambda: _sag(0.4), 0.0021),
)
