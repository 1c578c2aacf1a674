"""What a set-up at rest holds against, one thing at a time: slopes, stops, more weight, the strength of its parts."""

from __future__ import annotations

from dataclasses import replace
from math import inf, isfinite, nan, pi, tan

import numpy as np

from tipline.kernels import layout as at
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.model.structure import STRUCTURE
from tipline.pose.leans import Leans, lean_towards
from tipline.pose.nearest import Limit
from tipline.pose.strength import gross_loads
from tipline.statics import limits
from tipline.statics.on_forks import left_on_forks
from tipline.statics.planning import deceleration_word
from tipline.statics.together import towards
from tipline.statics.truck import Truck

__all__ = ["held_alone"]

_AROUND = {"ahead": 0.0, "behind": pi, "left": pi / 2, "right": -pi / 2}


def held_alone(truck: Truck, level: Leans, poses: Leans) -> tuple[Limit, ...]:
    """Find what the set-up holds against, one at a time."""
    reaches = _slopes(truck, level)
    rows: list[Limit] = []
    for name in _AROUND:
        rows += _rows(f"slope falling {name}", reaches[name], "slope")
    azimuth, worst = _worst_slope(truck, level, reaches)
    if isfinite(worst.first):
        label = f"slope in the worst direction, falling {towards(azimuth)} ({_where(worst)})"
        rows.append((label, worst.first, "slope"))
    for sense, name, slope in ((1.0, "forward", reaches["ahead"]), (-1.0, "in reverse", reaches["behind"])):
        for swung in (False, True) if truck.hung else (False,):
            reach = replace(_stop(truck, poses, sense, slope.tips, swung=swung), how="the braked tyres slide")
            rows += _rows(f"{deceleration_word(swung=swung)} driving {name}", reach, "acceleration")
    if truck.load_mass > 0.0:
        reach = _extra(truck, poses)
        if isfinite(reach.tips):
            rows.append((f"more weight at the same load centre ({_where(reach)})", reach.tips, "mass"))
    rows += [(f"a gross load, by {STRUCTURE[name]}", most, "mass") for name, most in gross_loads(truck).items()]
    return tuple(rows)


def _where(reach: limits.Reach) -> str:
    if reach.what == "swings":
        return f"frame swings to the {reach.line.removeprefix('swing.')}"
    return f"tips over the {reach.line} line" if reach.what == "tips" else reach.what


def _rows(label: str, reach: limits.Reach, dimension: str) -> list[Limit]:
    tips = limits.Reach(reach.tips, reach.line, nan, "")
    ways = ((reach.slips, reach.how), (reach.load, reach.load_how))
    rows = [(f"{label} ({how})", x, dimension) for x, how in sorted(ways) if isfinite(x) and not x > reach.tips]
    if isfinite(reach.tips):
        rows.append((f"{label} ({_where(tips)})", reach.tips, dimension))
    return rows


def _slope(truck: Truck, level: Leans, azimuth: float, first: float) -> limits.Reach:
    brake = truck.case.machine.drive.parking_brake_force
    return limits.search(
        truck,
        lean_towards(level, azimuth),
        lambda x, near: truck.solve(truck.gravity(x, azimuth), near),
        first,
        limits.STEEPEST,
        lambda pose: limits.friction_left(truck, pose, brake),
        lambda pose: left_on_forks(truck, pose),
    )


def _slopes(truck: Truck, level: Leans) -> dict[str, limits.Reach]:
    reaches: dict[str, limits.Reach] = {}
    for name, azimuth in _AROUND.items():
        if name == "right" and limits.mirrored(truck):
            left = reaches["left"]
            reaches[name] = replace(left, line=left.line.replace("left", "right"))
            continue
        rigid = limits.rigid_slope(truck, lean_towards(level, azimuth), azimuth)
        reaches[name] = _slope(truck, level, azimuth, min(0.7 * rigid, limits.STEEPEST))
    return reaches


def _worst_slope(truck: Truck, level: Leans, known: dict[str, limits.Reach]) -> tuple[float, limits.Reach]:
    """Find the direction in which the least slope is too much: estimated all around, then solved where it is least."""
    best = min(_AROUND, key=lambda name: known[name].first if isfinite(known[name].first) else inf)
    around = np.radians(np.arange(-175.0, 181.0, 5.0))
    if limits.mirrored(truck):
        around = around[around >= 0.0]
    rough = np.array([_rough(truck, level, azimuth, known) for azimuth in around])
    azimuth = float(around[int(np.argmin(rough))])
    if rough.min() >= 0.99 * known[best].first or not isfinite(rough.min()):
        return _AROUND[best], known[best]
    reach = _slope(truck, level, azimuth, 0.85 * float(rough.min()))
    return (azimuth, reach) if reach.first < known[best].first else (_AROUND[best], known[best])


_LEVEL = 1e-9
"""A slope [rad] that stands for none at all: where nothing holds, on ice, the truck slips on it (numerical)."""


def _rough(truck: Truck, level: Leans, azimuth: float, known: dict[str, limits.Reach]) -> float:
    """Estimate the slope limit in a direction from the rigid one and what the four main directions gave."""
    pose = lean_towards(level, azimuth)
    weights = {name: max(np.cos(azimuth - around), 0.0) for name, around in _AROUND.items()}
    tips = slips = 0.0
    for name, weight in weights.items():
        reach = known[name]
        rigid = tan(limits.rigid_slope(truck, pose, _AROUND[name]))
        tips += (weight * rigid / tan(max(reach.tips, _LEVEL))) ** 2 if isfinite(reach.tips) else weight**2
        slips += (weight / tan(max(reach.gives, _LEVEL))) ** 2 if isfinite(reach.gives) else 0.0
    estimate = float(np.arctan(tan(limits.rigid_slope(truck, pose, azimuth)) / np.sqrt(max(tips, 1e-12))))
    return min(estimate, float(np.arctan(1.0 / np.sqrt(slips))) if slips > 0.0 else inf)


def _stop(truck: Truck, poses: Leans, sense: float, slope: float, *, swung: bool) -> limits.Reach:
    """Find the deceleration that it holds: steady, or with the hung load at the far end of its swing."""
    start = lean_towards(poses, 0.0)
    rigid = limits.rigid_slope(truck, start, 0.0 if sense > 0.0 else pi)
    first = G * tan(0.9 * slope if isfinite(slope) else 0.6 * rigid) * (0.6 if swung else 1.0)
    on_load = sense * truck.load_mass * truck.ahead() if swung else None
    return limits.search(
        truck,
        start,
        lambda x, near: truck.solve(
            start.gravity + sense * x * truck.ahead(), near, None if on_load is None else x * on_load
        ),
        first,
        G,
        lambda pose: limits.friction_left(truck, pose),
        lambda pose: left_on_forks(truck, pose),
    )


def _extra(truck: Truck, poses: Leans) -> limits.Reach:
    start = lean_towards(poses, 0.0)
    point = start.position[at.CARRIAGE] + start.rot[at.CARRIAGE] @ truck.plant.link[at.L_HX : at.L_HZ + 1]
    out = float((point[:2] - np.array(truck.case.scenario.setup.position)) @ truck.ahead()[:2])
    first = truck.load_mass
    if out > 0.0 and start.distances["front"] > 0.0:
        first = 0.7 * float(truck.plant.mass.sum()) * start.distances["front"] / out
    return limits.search(
        truck,
        start,
        lambda x, near: truck.with_load(truck.load_mass + x).solve(start.gravity, near),
        first,
        10.0 * truck.load_mass,
        lambda _: {},
    )
