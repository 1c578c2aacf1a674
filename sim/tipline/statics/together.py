"""Floor slope and stop that a set-up holds at once, with a share of every distance left.

Definition. Each tip line has its distance on a level floor at rest. With the floor falling by ``slope`` in any
direction and the truck braking by ``deceleration`` forward or in reverse, both at once, no distance may fall below
1 - ``share`` of that, and one falls to exactly that. A load on the forks keeps as much of its friction and of its
base, where the floor falls ahead and the truck brakes forward: the other way the fork face holds it. The slope is
``floor_level``, or less where that alone would take more than half of the share; the stop gets the rest. A hung load
swings after a stop to twice the angle of a steady pull, so its part of the stop counts twice. The mast's play lies to
the worse side.

Source: [Own]
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import atan2, cos, inf, nan, sin

import numpy as np
from numpy.typing import NDArray

from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.mechanics.resistance import stopping_distance
from tipline.statics.on_forks import SLIPS, left_on_forks
from tipline.statics.truck import Pose, Truck

__all__ = ["Together", "both_at_once", "least_share"]

Array = NDArray[np.float64]
_PROBE = 0.3
"""Deceleration [m/s2] from which the first estimate is made (numerical)."""
_CLOSE = 1e-4
"""Distance to a line [m] that counts as none (numerical)."""
ON_FORKS = "on the forks"
"""In the place of a line: what holds the load there governs."""


@dataclass(frozen=True)
class Together:
    """What holds at once: floor slope [rad], deceleration [m/s2], and the line, azimuth and sense that govern."""

    slope: float
    deceleration: float
    line: str
    azimuth: float
    forward: bool


def loaded_pose(truck: Truck, slope: float, azimuth: float, braking: float, near: Pose) -> Pose:
    """Solve the pose on a slope while braking (forward positive) with the hung load at the far end of its swing."""
    pull = truck.gravity(slope, azimuth) + braking * truck.ahead()
    twice = truck.load_mass * braking * truck.ahead() if truck.hung else None
    return truck.solve(pull, near, on_load=twice)


def least_share(pose: Pose, level: dict[str, float]) -> tuple[float, str]:
    """Return the least distance as a share of its level value, and of which line."""
    if not pose.stands:
        return -inf, ""
    return min((pose.distances[line] / apart, line) for line, apart in level.items())


def both_at_once(truck: Truck, poses: tuple[Pose, Pose], share: float, floor_level: float) -> Together:
    """Find slope and stop; ``poses`` are the level ones at rest with the mast leaning left and right."""
    level = {line: min(pose.distances[line] for pose in poses) for line in poses[0].distances}
    if min(level.values()) <= 0.0:
        return Together(nan, nan, min(level, key=lambda line: level[line]), nan, forward=True)
    by_slope, by_braking = _responses(truck, poses, level)
    budget = {line: share * apart for line, apart in level.items()}
    steepness = {line: float(np.hypot(*by_slope[line])) for line in level}
    slope = min([floor_level, *(0.5 * budget[line] / (G * steepness[line]) for line in level if steepness[line] > 0.0)])
    guesses = []
    for line in level:
        left = budget[line] - G * sin(slope) * steepness[line]
        azimuth = atan2(by_slope[line][1], by_slope[line][0])
        for forward in (True, False):
            loss = by_braking[line][0 if forward else 1]
            if loss > 1e-9:
                guesses.append((left / loss, line, azimuth, forward))
    best = Together(slope, inf, "", nan, forward=True)
    for guess, line, azimuth, forward in sorted(guesses):
        if guess > 1.25 * best.deceleration:
            break
        near = poses[0] if sin(azimuth) >= 0.0 else poses[1]
        deceleration = _solve_stop(
            truck, near, lambda pose: least_share(pose, level)[0], 1.0 - share, slope, azimuth,
            1.0 if forward else -1.0, guess,
        )  # fmt: skip
        if deceleration < best.deceleration:
            best = Together(slope, deceleration, line, azimuth, forward)
    return _with_the_load(truck, poses, best, share)


def _with_the_load(truck: Truck, poses: tuple[Pose, Pose], best: Together, share: float) -> Together:
    """Brake less where a load on the forks would not keep its share of what holds it."""
    near = poses[0]
    level = {name: min(left_on_forks(truck, pose)[name] for pose in poses) for name in left_on_forks(truck, near)}
    if not level:
        return best
    if min(level.values()) <= 0.0:
        return Together(best.slope, 0.0, ON_FORKS, 0.0, forward=True)

    def least(pose: Pose) -> float:
        return min(left_on_forks(truck, pose)[name] / held for name, held in level.items()) if pose.stands else -inf

    guess = best.deceleration if best.deceleration < inf else G
    if least(loaded_pose(truck, best.slope, 0.0, guess, near)) >= 1.0 - share:
        return best
    guess = min(guess, G * share * level[SLIPS])
    deceleration = _solve_stop(truck, near, least, 1.0 - share, best.slope, 0.0, 1.0, guess)
    if not deceleration < best.deceleration:
        return best
    return Together(best.slope, deceleration, ON_FORKS, 0.0, forward=True)


def _responses(
    truck: Truck, poses: tuple[Pose, Pose], level: dict[str, float]
) -> tuple[dict[str, Array], dict[str, tuple[float, float]]]:
    """Return how much each distance falls per m/s2 of pull (ahead, left), and of braking (forward, in reverse)."""
    tilt = 0.01
    ahead = truck.solve(truck.gravity(tilt, 0.0), poses[0])
    left = truck.solve(truck.gravity(tilt, np.pi / 2), poses[0])
    brake = loaded_pose(truck, 0.0, 0.0, _PROBE, poses[0])
    pull = G * sin(tilt)
    by_slope, by_braking = {}, {}
    for line in level:
        rest = poses[0].distances[line]
        fall = np.array([rest - ahead.distances[line], rest - left.distances[line]]) / pull
        by_slope[line] = fall if ahead.stands and left.stands else np.zeros(2)
        loss = (rest - brake.distances[line]) / _PROBE if brake.stands else fall[0]
        by_braking[line] = (float(loss), float(-loss))
    return by_slope, by_braking


def _solve_stop(
    truck: Truck,
    near: Pose,
    share_left: Callable[[Pose], float],
    target: float,
    slope: float,
    azimuth: float,
    sense: float,
    guess: float,
) -> float:
    """Find the deceleration at which the least share meets the target, by false position inside a bracket."""
    low, high, over, under = 0.0, inf, nan, nan
    x = guess
    for _ in range(25):
        pose = loaded_pose(truck, slope, azimuth, sense * x, near)
        gap = share_left(pose) - target
        if abs(gap) < _CLOSE:
            return x
        if gap > 0.0:
            low, over, near = x, gap, pose
        else:
            high, under = x, gap
        if high == inf:
            x = 1.2 * low if np.isnan(over) else min(2.0 * low, low * (1.0 + max(over, 0.05)))
        elif np.isfinite(over) and np.isfinite(under):
            x = low + (high - low) * min(max(over / (over - under), 0.02), 0.98)
        elif np.isfinite(under):
            x = max(high * (1.0 - target + under) / (1.0 - target), 0.25 * high) if under > target - 1.0 else 0.5 * high
        else:
            x = 0.5 * (low + high)
        if high - low < 1e-9 * max(high, 1e-3):
            break
    return low


def shortest_stop(speed: float, deceleration: float) -> float:
    """Return the distance [m] in which a steady deceleration stops the truck from a speed [m/s]; none does, no end."""
    return stopping_distance(speed, deceleration) if deceleration > 0.0 else inf


def towards(azimuth: float) -> str:
    """Say a direction from the heading in words."""
    side = sin(azimuth)
    if abs(side) < 0.02:
        return "ahead" if cos(azimuth) > 0.0 else "behind"
    if abs(cos(azimuth)) < 0.02:
        return "left" if side > 0.0 else "right"
    angle = abs(np.degrees(atan2(sin(azimuth), cos(azimuth))))
    return f"{angle:.0f} degrees {'left' if side > 0.0 else 'right'} of ahead"
