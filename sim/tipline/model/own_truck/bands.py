"""What is not known of a truck, as bands from low over likely to high, each from what is known of it.

Sizes go by the cube root of the own weight and masses by the own weight, as of trucks that are like each other. All
shares are our own choice, from compact heavy trucks seen drawn and weighed: common practice, no source. A centre's
height is bounded besides by the platform tests that a maker's truck has passed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan

from tipline.model.own_truck.slope_tests import PLATFORM, height_by_tilt_ahead, height_by_tilt_aside
from tipline.model.plate_and_tape import PlateAndTape

__all__ = ["MEASURED", "Estimate", "TruckBand", "estimate"]


@dataclass(frozen=True)
class TruckBand:
    """A value that nobody gave: its key, what it is in words, dimension, and from where to where it may lie [SI].

    ``measure``: how one would get to know it.
    """

    key: str
    what: str
    dimension: str
    low: float
    likely: float
    high: float
    measure: str


MEASURED = 0.03
"""Half-width that a band keeps once the value is measured, as a part of it: our choice, a tape's or a scale's error
and what sags or leans meanwhile."""
LOWERED_LOAD = 0.3
"""Height of the forks in the platform test with the load lowered [m] (ISO 22915-2, from memory)."""
_SIZE = {
    "wheelbase": (0.75, 0.90, 1.10),
    "drive_track": (0.50, 0.62, 0.80),
    "drive_tyre_diameter": (0.27, 0.32, 0.38),
    "fork_face": (0.17, 0.22, 0.29),
}
"""Lengths [m] for the cube root of the own weight in tonnes."""
_STEER_TRACK = (0.80, 0.93, 1.02)
"""Track of the steer axle, in terms of the drive axle's."""
_MASS = {
    "counterweight_mass": (0.22, 0.33, 0.45),
    "mast_mass": (0.09, 0.14, 0.20),
    "slab_mass": (0.025, 0.045, 0.07),
}
"""Masses as parts of the own weight."""
_OWN_OF_RATED = (0.60, 0.85, 1.15)
_OWN_WITHOUT_STROKE = (0.95, 1.25, 1.70)
"""Own weight in terms of the rated load: with a counterweight that slides out, and without."""
_STROKE = 0.5
"""Stroke of a counterweight of which nobody told, as a length above, where the truck is lighter than one without."""
_HEIGHT = (0.33, 0.42, 0.55)
"""Height of the own centre, as lengths above: over the axles, in the frame, and at a deck's height."""
_TO_SPARE = (1.0, 1.17, 1.40)
"""Holding moment at the rated set-up, in terms of what the platform test with the load raised asks at the least."""
_SAG = (0.006, 0.011, 0.020)
"""Angle [rad] by which the mast leans ahead under the rated load at full height."""
_WORDS = {
    "own_weight": ("own weight", "mass", "weigh the truck, or read its nameplate"),
    "rated_load": ("rated load", "mass", "read the capacity plate"),
    "wheelbase": ("wheelbase", "length", "measure from axle to axle"),
    "drive_track": ("track of the drive axle", "length", "measure between the middles of the outer drive tyres"),
    "steer_track": ("track of the steer axle", "length", "measure between the middles of the steer tyres"),
    "drive_tyre_diameter": ("diameter of the drive tyres", "length", "read the size on the tyre"),
    "fork_face": ("fork face ahead of the drive axle", "length", "measure from the wheel hub to the fork face"),
    "counterweight_mass": ("mass of the sliding counterweight", "mass", "read it on the packing list"),
    "mast_mass": ("mass of the mast", "mass", "ask the maker for it"),
    "slab_mass": ("mass of one ballast slab", "mass", "read it on the packing list, or weigh one"),
    "drive_axle_load": ("load on the drive axle, unladen", "mass", "weigh the truck axle by axle"),
    "own_height_of_centre": ("height of the truck's own centre", "length", "weigh it with one axle raised"),
    "mast_sag": (
        "lean of the mast under the rated load at full height",
        "angle",
        "measure how far the hook moves ahead when a known load goes up",
    ),
}


@dataclass
class Estimate:
    """A truck's main figures [SI], as given or likely, and what of them nobody gave."""

    known: PlateAndTape
    value: dict[str, float]
    bands: dict[str, TruckBand]

    def take(self, key: str, three: tuple[float, float, float]) -> float:
        """Settle a value: as given, else as chosen within its band, else the likely one."""
        given = getattr(self.known, key)
        if given is not None:
            self.value[key] = float(given)
            return self.value[key]
        low, likely, high = sorted(three)
        self.bands[key] = TruckBand(key, *_WORDS[key][:2], low, likely, high, _WORDS[key][2])
        self.value[key] = min(max(self.known.chosen.get(key, likely), low), high)
        return self.value[key]

    def told(self, key: str, usual: float) -> float:
        """Settle a value that has no band: as given, else as usual."""
        given = getattr(self.known, key)
        self.value[key] = usual if given is None else float(given)
        return self.value[key]


def _times(factors: tuple[float, float, float], by: float) -> tuple[float, float, float]:
    return factors[0] * by, factors[1] * by, factors[2] * by


def estimate(known: PlateAndTape) -> Estimate:
    """Settle the main figures of a truck, one after the other; raises ValueError where neither weight is known."""
    out = Estimate(known, {}, {})
    _weights(out)
    size = (out.value["own_weight"] / 1000.0) ** (1.0 / 3.0)
    out.value["size"] = size
    _lengths(out, size)
    _masses(out)
    _axle_loads(out)
    _height_of_centre(out)
    out.take("mast_sag", _SAG)
    return out


def _weights(out: Estimate) -> None:
    known = out.known
    axles = (known.drive_axle_load, known.steer_axle_load)
    if known.own_weight is None and axles[0] is not None and axles[1] is not None:
        out.value["own_weight"] = axles[0] + axles[1]
    elif known.own_weight is not None:
        out.value["own_weight"] = known.own_weight
    elif known.rated_load is not None:
        out.take("own_weight", _times(_own_of_rated(known), known.rated_load))
    else:
        msg = "neither the rated load nor the own weight is known"
        raise ValueError(msg)
    own, parts = out.value["own_weight"], _own_of_rated(known)
    out.take("rated_load", (own / parts[2], own / parts[1], own / parts[0]))


def _own_of_rated(known: PlateAndTape) -> tuple[float, float, float]:
    return _OWN_OF_RATED if known.counterweight_stroke else _OWN_WITHOUT_STROKE


def _lengths(out: Estimate, size: float) -> None:
    for key, factors in _SIZE.items():
        out.take(key, _times(factors, size))
    v = out.value
    out.take("steer_track", _times(_STEER_TRACK, v["drive_track"]))
    out.told("steer_tyre_diameter", 0.87 * v["drive_tyre_diameter"])
    out.told("drive_tyre_width", 0.42 * v["drive_tyre_diameter"])
    out.told("steer_tyre_width", 0.43 * v["steer_tyre_diameter"])
    out.told("rated_load_centre", 0.5 if v["rated_load"] < 5000.0 else 0.6)
    out.told("lift_height", 2.4 * size)
    light = v["own_weight"] < _OWN_WITHOUT_STROKE[0] * v["rated_load"]
    out.told("counterweight_stroke", round(_STROKE * size, 1) if light else 0.0)
    out.told("top_speed", 2.5)
    out.told("rated_extension", v["counterweight_stroke"])
    out.told("weighed_extension", 0.0)
    out.told("slabs_most", 0.0)
    out.told("rated_slabs", 0.0)
    out.told("weighed_slabs", 0.0)
    out.told("mast_stages", max(1.0, min(5.0, -(-v["lift_height"] // (0.85 * size)))))
    out.told("lowered_mast_height", v["lift_height"] / v["mast_stages"] + 0.37 * size)


def _masses(out: Estimate) -> None:
    own = out.value["own_weight"]
    for key, factors in _MASS.items():
        slides = out.value["counterweight_stroke"] > 0.0 or getattr(out.known, key) is not None
        stacks = out.value["slabs_most"] > 0.0
        if (key != "counterweight_mass" or slides) and (key != "slab_mass" or stacks):
            out.take(key, _times(factors, own))
        else:
            out.value[key] = 0.0 if key == "slab_mass" else factors[1] * own


def _rated(out: Estimate) -> tuple[float, float]:
    """Return mass of the truck at the plate's set-up, and by how much its holding moment is more than as weighed."""
    v = out.value
    slabs = v["rated_slabs"] - v["weighed_slabs"]
    back = v["wheelbase"] + 0.1 * v["size"]
    more = slabs * v["slab_mass"] * back
    more += v["counterweight_mass"] * (v["rated_extension"] - v["weighed_extension"])
    more += v["slab_mass"] * (v["rated_slabs"] * v["rated_extension"] - v["weighed_slabs"] * v["weighed_extension"])
    return v["own_weight"] + slabs * v["slab_mass"], more


def _raised(v: Mapping[str, float]) -> float:
    """Mass times height of rated load and of mast, carriage and forks raised to the full height [kg m]."""
    lift = v["lift_height"]
    mast = v["mast_mass"] * 0.5 * (v["mast_stages"] - 1.0) / v["mast_stages"] * lift
    return mast + 0.085 * v["own_weight"] * lift + v["rated_load"] * (lift + v["rated_load_centre"])


def _axle_loads(out: Estimate) -> None:
    """Settle the unladen load on the drive axle: weighed, or from what the rated load at full height needs to stand."""
    v, known = out.value, out.known
    own, base = v["own_weight"], v["wheelbase"]
    if known.drive_axle_load is None and known.steer_axle_load is not None:
        v["drive_axle_load"] = own - known.steer_axle_load
        return
    weight, more = _rated(out)
    arm = v["rated_load"] * (v["fork_face"] + v["rated_load_centre"])
    tilt = PLATFORM.stacks(v["rated_load"]) * (_HEIGHT[1] * v["size"] * weight + _raised(v))
    needed = _times(_TO_SPARE, arm + tilt)
    least, most = 0.05 * own, 0.80 * own
    drive = [min(max(own - (held - more) / base, least), most) for held in needed]
    out.take("drive_axle_load", (drive[2], drive[1], drive[0]))


def _height_of_centre(out: Estimate) -> None:
    v = out.value
    own, base = v["own_weight"], v["wheelbase"]
    behind = base * (1.0 - v["drive_axle_load"] / own)
    weight, more = _rated(out)
    spare = own * behind + more - v["rated_load"] * (v["fork_face"] + v["rated_load_centre"])
    rated, reach = v["rated_load"], v["rated_load_centre"]
    tests = [
        height_by_tilt_ahead(spare, PLATFORM.stacks(rated), weight, _raised(v)),
        height_by_tilt_ahead(spare, PLATFORM.driving, weight, rated * (LOWERED_LOAD + reach)),
    ]
    share = behind / base
    half = 0.5 * ((1.0 - share) * v["drive_track"] + share * v["steer_track"])
    pivots = out.known.steer_axle_kind != "fixed"
    stop, pivot = (STOP, PIVOT * v["steer_tyre_diameter"] * share) if pivots else (0.0, 0.0)
    tests.append(height_by_tilt_aside(half, PLATFORM.tilts_aside(v["top_speed"]), stop, pivot))
    low, likely, high = _times(_HEIGHT, v["size"])
    high = min(high, max(min(tests), low))
    out.take("own_height_of_centre", (low, min(likely, high), high))


STOP = atan(0.07)
"""Swing of a pivoting steer axle to its stop [rad], 4 degrees: our choice, common practice."""
PIVOT = 0.58
"""Height of a steer axle's pivot, in terms of its tyres' diameter: our choice, common practice."""
