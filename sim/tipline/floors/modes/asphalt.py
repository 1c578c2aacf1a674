"""The ways in which asphalt on a base can give: the soil below under what reaches it; the warm surface is no number.

Source: [Odemark1949], [AhlvinUlery1962], [DasTables2014], [Vesic1975]
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import hypot, pi, radians

from tipline.elementwise import greater, lesser, sqrt
from tipline.floors.known.ratio import Ends
from tipline.floors.modes.ground import BEARING
from tipline.floors.modes.mode import Inputs, Mode
from tipline.floors.places.patch import Patch
from tipline.mechanics.asphalt import loading_time_factor, temperature_factor
from tipline.mechanics.bearing import Footing, FootingSoil, bearing_capacity
from tipline.mechanics.halfspace import circle_axis_stress, point_stress
from tipline.mechanics.layered import odemark_thickness
from tipline.model.plane import Point
from tipline.units import FREEZING

__all__ = ["SOFT_ABOVE", "asphalt_modes", "stress_below"]

SOFT_ABOVE = FREEZING + 35.0
"""Surface temperature from which standing tyres are warned of (common practice, no source) [K]."""
ROUND_CLAY = 6.05
"""Bearing factor of a rough disc on clay (from memory)."""
POISSON = 0.4
"""Poisson's ratio of every layer (common practice, no source)."""
TWENTY = 293.15
"""Temperature for which the stiffness of asphalt is told, 20 degC, by definition [K]."""
ROLLING, STANDING = 0.1, 1800.0
"""How long a load stays: a tyre at walking pace over its own length, and half an hour (our choice) [s]."""
WEIGHT = 10e3
"""Unit weight counted for the soil under the base [N/m3]: wet (our choice)."""


def asphalt_modes(parts: Sequence[Patch], patch: Patch, bands: Mapping[str, Ends], moving: bool) -> Iterator[Mode]:
    """Yield what reaches the soil under the middle of a patch against what it bears; nothing about creep of asphalt.

    parts: the patches of all tyres near, which add up in the soil. patch: the one asked, or several of them as one.
    """
    undrained = "undrained_strength" in bands
    strength = ("undrained_strength",) if undrained else ("friction_angle", "cohesion")
    inputs = ("thickness", "asphalt_stiffness", "surface_temperature", "base_thickness", "base_stiffness")
    source = "equivalent layer of Odemark, circle on a half-space; "
    source += "clay under a rough disc" if undrained else "Vesic, no weight of the soil beside counted"
    notes = ("the equivalent layer is 1 to 7 % off the exact layered solution",)
    time = ROLLING if moving else STANDING

    def ask(x: Inputs) -> tuple[float, float]:
        stress = stress_below(parts, patch.at, x, time)
        if undrained:
            return stress, ROUND_CLAY * x["undrained_strength"]
        side = sqrt(patch.load / stress)
        soil = FootingSoil(lesser(x["friction_angle"], radians(45.0)), x["cohesion"], WEIGHT)
        return stress, bearing_capacity(soil, Footing(side, side), "vesic").pressure

    name = "soil below the pavement"
    yield Mode(
        name, "pressure", "sinks in", BEARING, source, (*inputs, "soil_stiffness", *strength), ask, notes, arrays=True
    )


def stress_below(parts: Sequence[Patch], at: Point, x: Inputs, time: float) -> float:
    """Return the stress on the soil under a point [Pa], the asphalt softened by warmth and time.

    Each patch as a disc: exact under its middle, beside it falling off as under a point load: 5 % from 0.5 m down.
    """
    warm = lesser(greater(x["surface_temperature"], 265.0), 340.0)
    stiff = x["asphalt_stiffness"] * temperature_factor(TWENTY, warm) * loading_time_factor(time)
    soil, base = x["soil_stiffness"], greater(x["base_stiffness"], x["soil_stiffness"])
    whole = odemark_thickness(x["thickness"], greater(stiff, base), base, POISSON, POISSON)
    deep = odemark_thickness(whole + x["base_thickness"], base, soil, POISSON, POISSON, 0.8)
    return sum(_of_disc(part, hypot(part.at[0] - at[0], part.at[1] - at[1]), deep) for part in parts)


def _of_disc(patch: Patch, apart: float, deep: float) -> float:
    """Return the stress of one disc at a depth [Pa], ``apart`` from its axis [m] (Boussinesq)."""
    radius = sqrt(patch.area / pi)
    down = sqrt(radius * radius + deep * deep)
    fades = point_stress(1.0, down, apart) / point_stress(1.0, down, 0.0)
    return circle_axis_stress(patch.pressure, radius, deep) * fades
