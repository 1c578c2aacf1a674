"""Derived numbers: side thresholds, braking, drop depths, force-angle measure."""

from __future__ import annotations

import math

from tipline.mechanics.resistance import stopping_distance, turn_speed
from tipline.oracles.energy import (
    hole_depth_limit,
    hole_depth_limit_disc,
    hole_depth_limit_springs,
    landing_depth,
    rise_to_tip,
    slow_depth,
)
from tipline.oracles.tipping import (
    backward_threshold,
    braking_threshold,
    fixed_axle_threshold,
    parts_threshold,
    pivoting_axle_threshold,
    sliding_deceleration,
    static_stability_factor,
    tip_or_slide,
)
from tipline.selftest import invented
from tipline.selftest.check import derived
from tipline.units import FOOT as FT
from tipline.units import STANDARD_GRAVITY as G

__all__ = ["CHECKS"]

_TONNES_20 = 20_000 * G


def _laden_brake(height: float) -> float:
    return braking_threshold(*invented.laden(14_000.0, height))


_SPRING_DEPTH = (0.6, 1.1, _TONNES_20, [_TONNES_20 / 2.0] * 2, [1.5e6] * 2, 1.5e6)

CHECKS = (
    derived(
        "tilt-angle-car",
        "Tilt angle of a rigid car of static stability factor 1.41",
        "54.65 deg",
        lambda: math.atan(static_stability_factor(2.82, 1.0)),
        "NHTSA-HS809868",
        "factor printed, angle derived",
    ),
    derived(
        "tilt-angle-suv",
        "Tilt angle of a rigid sport utility vehicle of factor 1.17",
        "49.48 deg",
        lambda: math.atan(static_stability_factor(2.34, 1.0)),
        "NHTSA-HS809868",
        "factor printed, angle derived",
    ),
    derived(
        "turn-speed",
        "Speed that lifts the inner tyres in a 3.5 m turn",
        "4.57988 m/s",
        lambda: turn_speed(3.5, G * static_stability_factor(1.10, 0.90)),
    ),
    derived(
        "crate-stops",
        "Shortest stop from 10 ft/s with a crate on the forks",
        "5.176 ft",
        lambda: stopping_distance(10 * FT, sliding_deceleration(0.30, 32.2 * FT)),
        "BeerJohnstonDynamics",
        "inputs printed, value derived",
    ),
    derived(
        "pivoting-axle",
        "Short truck, pivoting axle, frame starts to swing",
        "0.514894",
        lambda: pivoting_axle_threshold(1.10, 0.45, 0.70, 0.25),
    ),
    derived("fixed-axle", "Short truck, axle locked", "0.753571", lambda: fixed_axle_threshold(1.10, 1.00, 0.45, 0.70)),
    derived(
        "brake-lifts-rear",
        "Deceleration that lifts the rear tyres",
        "2.65729 m/s2",
        lambda: G * braking_threshold([1.0], [(-0.42, 0.0, 1.55)]),
    ),
    derived(
        "brake-load-low", "Invented truck, 14 t low, deceleration that tips it", "0.202032", lambda: _laden_brake(0.9)
    ),
    derived(
        "brake-load-high",
        "Invented truck, 14 t raised, deceleration that tips it",
        "0.0815586",
        lambda: _laden_brake(3.6),
    ),
    derived(
        "side-slope-laden",
        "Invented truck, 14 t raised, side slope that tips it",
        "0.383928",
        lambda: parts_threshold(
            *invented.laden(14_000.0, 3.6), invented.FRONT_TRACK, invented.WHEELBASE, invented.PIVOT_HEIGHT
        ),
    ),
    derived(
        "falls-back",
        "Invented truck, counterweight out, six slabs, empty: below 0 it falls back",
        "-0.04604",
        lambda: backward_threshold(*invented.truck(1.2, 6), invented.WHEELBASE),
    ),
    derived(
        "slides-first",
        "Body with friction 0.6 and d/h 1.125: ratio at which it slides",
        "0.600000",
        lambda: tip_or_slide(0.6, 0.9, 0.8).ratio,
    ),
    derived(
        "rise-level",
        "Rise of the centre of gravity over the edge, level",
        "152.996 mm",
        lambda: rise_to_tip(0.6, 1.1),
        "MessuriKlein1985",
        "formula from memory",
    ),
    derived(
        "rise-slope",
        "Rise over the edge on a 10 % side slope",
        "98.7533 mm",
        lambda: rise_to_tip(0.6, 1.1, math.atan(0.1)),
    ),
    derived("depth-bound", "Hole-depth limit, fixed line", "152.996 mm", lambda: hole_depth_limit(0.6, 1.1)),
    derived(
        "depth-bound-tread",
        "Hole-depth limit sideways, tread 240 mm wide",
        "214.686 mm",
        lambda: hole_depth_limit_disc(0.6, 1.1, 0.3, 0.24),
    ),
    derived(
        "depth-bound-roll",
        "Hole-depth limit lengthways, wheel radius 0.3 m",
        "200.000 mm",
        lambda: hole_depth_limit_disc(0.6, 1.1, 0.3, 0.24, "lengthways"),
    ),
    derived(
        "depth-bound-springs",
        "Hole-depth limit, 20 t on 1.5 MN/m a side",
        "120.308 mm",
        lambda: hole_depth_limit_springs(*_SPRING_DEPTH),
    ),
    derived(
        "depth-landing",
        "Drop that tips it, landing without rebound",
        "236.544 mm",
        lambda: landing_depth(0.6, 1.1, 1.2, 0.40),
    ),
    derived("depth-slow", "Slow sinking that tips it", "574.623 mm", lambda: slow_depth(0.6, 1.1, 1.2)),
)
