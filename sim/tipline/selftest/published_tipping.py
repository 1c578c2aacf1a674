"""Published numbers: tip or slide, turn speed, lifting acceleration."""

from __future__ import annotations

import math

from tipline.mechanics.resistance import turn_speed
from tipline.oracles.tipping import sliding_deceleration, static_stability_factor, tip_or_slide
from tipline.selftest.check import Check
from tipline.units import FOOT as FT

__all__ = ["CHECKS"]

_G_FT = 32.2 * FT


def _sliding_speed(friction: float, radius: float, half_width: float, height: float) -> float:
    """Speed at which a vehicle in a flat turn slides before it overturns."""
    first = tip_or_slide(friction, half_width, height)
    if first.first != "slides":
        msg = f"it tips first, at {first.ratio:.4g} of its weight"
        raise ValueError(msg)
    return turn_speed(radius, 9.81 * first.ratio)


CHECKS = (
    Check(
        "turn-overturns",
        "Vehicle on a 50 m track, speed at which it overturns",
        "24.76 m/s",
        "OverturningProblem",
        "",
        "seen in the source",
        lambda: turn_speed(50.0, 9.81 * static_stability_factor(2.0, 0.8)),
    ),
    Check(
        "turn-slides",
        "Same vehicle, speed at which it slides first",
        "14 m/s",
        "OverturningProblem",
        "",
        "seen in the source",
        lambda: _sliding_speed(0.4, 50.0, 1.0, 0.8),
    ),
    Check(
        "block-tips",
        "Block twice as high as wide on an incline, tips",
        "26.56 deg",
        "Wolfson2016",
        "problem 12.48",
        "seen in the source",
        lambda: math.atan(tip_or_slide(0.63, 0.25, 0.5).ratio),
        0.01,
        "26.565 is cut, not rounded, in the source",
    ),
    Check(
        "block-would-slide",
        "Same block with a broad base, slides",
        "32.2 deg",
        "Wolfson2016",
        "problem 12.48",
        "seen in the source",
        lambda: math.atan(tip_or_slide(0.63, 1.0, 0.5).ratio),
    ),
    Check(
        "top-heavy-crate",
        "Crate of 2.5 m, centre of gravity 19 cm above its middle, tips",
        "41 deg",
        "TopHeavyCrateProblem",
        "part A",
        "seen in the source",
        lambda: math.atan(static_stability_factor(2.5, 1.25 + 0.19)),
    ),
    Check(
        "crate-tips",
        "Crate of 1.2 m, friction 0.70, tips",
        "34 deg",
        "HallidayResnickWalker2008",
        "crate with machinery on a ramp",
        "from memory",
        lambda: math.atan(tip_or_slide(0.70, 0.6, 0.9).ratio),
    ),
    Check(
        "crate-slides",
        "Crate of 1.2 m, friction 0.60, slides",
        "31 deg",
        "HallidayResnickWalker2008",
        "crate with machinery on a ramp",
        "from memory",
        lambda: math.atan(tip_or_slide(0.60, 0.6, 0.9).ratio),
    ),
    Check(
        "crate-on-forks",
        "Deceleration at which a crate slides on the forks, friction 0.30",
        "9.66 ft/s2",
        "BeerJohnstonDynamics",
        "chapter 16, fork truck",
        "seen in the source",
        lambda: sliding_deceleration(0.30, _G_FT),
    ),
)
