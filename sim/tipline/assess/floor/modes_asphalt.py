"""The ways in which asphalt on a base can give: the soil below under what reaches it; the warm surface is no number."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import pi, radians, sqrt

from tipline.assess.floor.modes import Inputs, Mode
from tipline.assess.floor.modes_ground import BEARING
from tipline.assess.floor.place import Patch
from tipline.assess.floor.spread import Ends
from tipline.mechanics.asphalt import loading_time_factor, temperature_factor
from tipline.mechanics.bearing import Footing, FootingSoil, bearing_capacity
from tipline.mechanics.layered import odemark_thickness

__all__ = ["SOFT_ABOVE", "asphalt_modes", "stress_below"]

SOFT_ABOVE = 273.15 + 35.0
"""Surface temperature from which standing tyres are warned of (common practice, no source) [K]."""
ROUND_CLAY = 6.05
"""Bearing factor of a rough disc on clay (from memory)."""
POISSON = 0.4
TWENTY = 293.15
ROLLING, STANDING = 0.1, 1800.0
"""How long a load stays [s]."""
WEIGHT = 10e3
"""Unit weight counted for the soil under the base [N/m3]: wet."""


def asphalt_modes(patch: Patch, bands: Mapping[str, Ends], moving: bool) -> Iterator[Mode]:
    """Yield what reaches the soil against what it bears; nothing about the asphalt's own creep."""
    undrained = "undrained_strength" in bands
    strength = ("undrained_strength",) if undrained else ("friction_angle", "cohesion")
    inputs = ("thickness", "asphalt_stiffness", "surface_temperature", "base_thickness", "base_stiffness")
    source = "equivalent layer of Odemark, circle on a half-space; "
    source += "clay under a rough disc" if undrained else "Vesic, no weight of the soil beside counted"
    notes = ("the equivalent layer is 1 to 7 % off the exact layered solution",)
    time = ROLLING if moving else STANDING

    def asked(x: Inputs) -> tuple[float, float]:
        stress = stress_below(patch, x, time)
        if undrained:
            return stress, ROUND_CLAY * x["undrained_strength"]
        side = sqrt(patch.load / stress)
        soil = FootingSoil(min(x["friction_angle"], radians(45.0)), x["cohesion"], WEIGHT)
        return stress, bearing_capacity(soil, Footing(side, side), "vesic").pressure

    name = "soil below the pavement"
    yield Mode(name, "pressure", "sinks in", BEARING, source, (*inputs, "soil_stiffness", *strength), asked, notes)


def stress_below(patch: Patch, x: Inputs, time: float) -> float:
    """Return the stress on the soil under the middle of a patch [Pa], the asphalt softened by warmth and time."""
    warm = min(max(x["surface_temperature"], 265.0), 340.0)
    stiff = x["asphalt_stiffness"] * temperature_factor(TWENTY, warm) * loading_time_factor(time)
    soil, base = x["soil_stiffness"], max(x["base_stiffness"], x["soil_stiffness"])
    whole = odemark_thickness(x["thickness"], max(stiff, base), base, POISSON, POISSON)
    both = odemark_thickness(whole + x["base_thickness"], base, soil, POISSON, POISSON, 0.8)
    a = sqrt(patch.area / pi)
    part: float = 1.0 - both**3 / (a * a + both * both) ** 1.5
    return patch.pressure * part
