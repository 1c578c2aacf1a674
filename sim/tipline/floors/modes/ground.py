"""The ways in which bare ground can give under a tyre or a spreader: bearing of each layer, punching of a platform.

Source: [Meyerhof1963], [Hansen1970], [Vesic1975], [EN1997], [BR470]
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import radians
from typing import NamedTuple

from tipline.elementwise import greater, greatest, lesser, tan, where
from tipline.floors.modes.mode import Factor, Inputs, Mode
from tipline.floors.places.patch import Patch
from tipline.mechanics.bearing import Footing, FootingLoad, FootingSoil, Method, bearing_capacity, weight_over_water
from tipline.mechanics.granular_platform import platform_capacity

__all__ = ["GroundLayer", "Sunk", "bearing_mode", "ground_modes", "platform_mode"]

BEARING = Factor(2.0, "2 to 3 on the ultimate pressure; common practice, no source")
AUTHORS: tuple[Method, ...] = ("meyerhof", "hansen", "vesic", "en1997")
SPREAD = 0.5
"""Widening of a load with depth, 1 in 2 each side (common practice, no source)."""
BARE_CLAY = 5.14
"""Bearing factor of a strip on clay, 2 + pi. Source: [Vesic1975]"""
WEIGHT = 18e3
"""Unit weight of soil asked undrained [N/m3]: it adds nothing but at depth (our choice)."""
WATER = "water_depth"
"""Input: how deep the water stands [m]."""
SUCTION = 0.5
"""Part of a cohesion known by word that is suction, which goes where water stands at the base (our choice).

The rest is interlock. Crushed stone in triaxial tests keeps most of its cohesion when it is wetted (from memory).
"""
COUNTED = 1.5 * (1.0 - 1e-9)
"""No more of a platform counts than this many patch widths, the method's range. Source: [BR470]"""
PLATFORM_CLAY = (20e3, 80e3)
"""Undrained strengths for which the method was made [Pa]. Source: [BR470]"""
PLATFORM_FRICTION = (radians(35.0), radians(45.0))
"""Friction of a platform for which its coefficients are given [rad]. Source: [BR470]"""


class Sunk(NamedTuple):
    """How far a patch has gone down: its lowest part, and its base on the mean [m]."""

    lowest: float = 0.0
    mean: float = 0.0


SURFACE = Sunk()


@dataclass(frozen=True)
class GroundLayer:
    """One layer: how it is asked, the front of its inputs' names, the inputs that add up to the depth of its top.

    ``apparent``: whether its cohesion stands for a word, so that part of it is suction.
    """

    name: str
    undrained: bool
    start: str
    above: tuple[str, ...] = ()
    apparent: bool = False


def ground_modes(
    patch: Patch, layers: tuple[GroundLayer, ...], platform: str | None, braking: float, sunk: Sunk = SURFACE
) -> Iterator[Mode]:
    """Yield the ways in which ground gives under a patch; ``platform``: the front of its inputs' names.

    ``sunk``: how far the patch has gone into it; layers that it has left behind are for the caller to leave out.
    """
    for layer in layers:
        yield bearing_mode(patch, layer, braking, sunk)
    over = next((layer for layer in layers if layer.above and layer.undrained), None)
    if platform is not None and over is not None and len(over.above) == 1:
        yield platform_mode(patch, over, platform, sunk)


def bearing_mode(patch: Patch, layer: GroundLayer, braking: float, sunk: Sunk = SURFACE) -> Mode:
    """Return the bearing capacity of a layer under a patch, on the area the load has spread to at its top."""
    names = ("undrained_strength",) if layer.undrained else ("cohesion", "friction_angle", "unit_weight")
    inputs: tuple[str, ...] = (*(layer.start + name for name in names), *layer.above)
    inputs += () if layer.undrained else ("author", WATER)
    top = not layer.above

    def ask(x: Inputs) -> tuple[float, float]:
        deep = greater(sum(x[name] for name in layer.above) - sunk.lowest, 0.0)
        footing = Footing(patch.width + 2 * SPREAD * deep, patch.length + 2 * SPREAD * deep, sunk.mean)
        level = braking * patch.load if top else 0.0
        soil, beside = _soil(x, layer, footing, deep + sunk.mean)
        demand = patch.load / (footing.width * footing.length)
        return demand, _capacity(soil, footing, FootingLoad(patch.load, 0.0, level), beside, x)

    name = "bearing of the ground" if top else f"bearing of the {layer.name} below"
    authors = "between the lowest and the highest of Meyerhof, Hansen, Vesic, EN 1997"
    notes: tuple[str, ...] = ("with the pull of braking",) if braking > 0.0 and top else ()
    if not top:
        notes += ("the load spread 1 in 2 down to it (common practice, no source)",)
    source = "undrained, Vesic" if layer.undrained else authors
    return Mode(name, "pressure", "sinks in", BEARING, source, inputs, ask, notes, arrays=True)


def platform_mode(patch: Patch, layer: GroundLayer, platform: str, sunk: Sunk = SURFACE) -> Mode:
    """Return a granular platform over clay: the lowest of punching, spread and its own bearing."""
    clay, thick = layer.start + "undrained_strength", platform + "thickness"
    angle, weight, cohesion = (platform + name for name in ("friction_angle", "unit_weight", "cohesion"))
    inputs: tuple[str, ...] = (clay, thick, angle, weight, cohesion, WATER)

    def ask(x: Inputs) -> tuple[float, float]:
        width, length = lesser(patch.width, patch.length), greater(patch.width, patch.length)
        cu, friction = x[clay], lesser(x[angle], PLATFORM_FRICTION[1])
        down = lesser(sunk.mean, 0.99 * x[thick])
        deep = lesser(greater(x[thick] - sunk.lowest, 0.01 * x[thick]), COUNTED * width) + down
        gamma = weight_over_water(x[weight], x[WATER], deep)
        within = lesser(greater(cu, PLATFORM_CLAY[0]), PLATFORM_CLAY[1]), greater(friction, PLATFORM_FRICTION[0])
        platform = platform_capacity(within[0], deep, gamma, within[1], width, length, down, x[cohesion])
        # where the method was not made for it nothing is counted for the platform
        bare = cu * BARE_CLAY * (1.0 + 0.2 * width / length)
        outside = (cu < PLATFORM_CLAY[0]) | (friction < PLATFORM_FRICTION[0])
        return patch.pressure, where(outside, bare, platform.pressure)

    source = "lowest of punching, 1 in 2 spread and the platform's own bearing; from memory"
    notes: tuple[str, ...] = ("no more of the platform counted than 1.5 patch widths",)
    return Mode("platform over clay", "pressure", "punches in", BEARING, source, inputs, ask, notes, arrays=True)


def _soil(x: Inputs, layer: GroundLayer, footing: Footing, base: float) -> tuple[FootingSoil, float]:
    """Return the soil under a footing whose base lies ``base`` deep, and what the soil beside it has more by [Pa].

    Water below the base by the footing's width or more takes nothing off its weight.
    """
    start = layer.start
    if layer.undrained:
        return FootingSoil(0.0, x[start + "undrained_strength"], WEIGHT), 0.0
    friction, weight = lesser(x[start + "friction_angle"], radians(45.0)), x[start + "unit_weight"]
    width = lesser(footing.width, footing.length)
    below = weight_over_water(weight, x[WATER] - base, width)
    beside = (weight_over_water(weight, x[WATER], footing.depth) - below) * footing.depth if footing.depth else 0.0
    dry = lesser(greater((x[WATER] - base) / width, 0.0), 1.0)
    cohesion = x[start + "cohesion"] * (1.0 - SUCTION * (1.0 - dry) if layer.apparent else 1.0)
    return FootingSoil(friction, cohesion, below), beside


def _capacity(soil: FootingSoil, footing: Footing, load: FootingLoad, beside: float, x: Inputs) -> float:
    """Return the ultimate pressure; where braking slides the patch before it sinks, that is none."""
    if greatest(soil.friction) == 0.0:
        return _one(soil, footing, "vesic", load, beside)
    capacities = [_one(soil, footing, author, load, beside) for author in AUTHORS]
    low, high = lesser(*capacities), greater(*capacities)
    return low + x["author"] * (high - low)


def _one(soil: FootingSoil, footing: Footing, author: Method, load: FootingLoad, beside: float) -> float:
    """Return the pressure by one author: none where the level load slides the patch."""
    if load.along_length == 0.0:
        return bearing_capacity(soil, footing, author, load, beside).pressure
    hold = load.vertical * tan(soil.friction) + soil.cohesion * footing.width * footing.length
    slides = load.along_length >= hold
    held = load._replace(along_length=where(slides, 0.0, load.along_length))
    return where(slides, 0.0, bearing_capacity(soil, footing, author, held, beside).pressure)
