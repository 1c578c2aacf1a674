"""How far one thing can go before the truck tips, slides or rolls, everything else as stated.

The search follows the compliant pose as the one thing grows. What tells how near the end is are the loads that must
vanish first: the steer tyres' for a fall to the front, the drive tyres' for one to the back, those of the other side
for one to a side; on a pivoting axle only the drive tyre's of the other side, when the frame starts to swing onto its
stop.

Source: [Own]
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import atan2, cos, inf, isfinite, nan

import numpy as np
from numpy.typing import NDArray

from tipline.geometry.outline import left_tyres
from tipline.kernels import layout as at
from tipline.statics.truck import Pose, Truck

__all__ = [
    "STEEPEST", "Reach", "friction_left", "height_of_centre", "holding_loads", "mirrored", "moving", "rigid_slope",
    "search",
]  # fmt: skip

Array = NDArray[np.float64]
Sample = tuple[float, Pose, dict[str, float]]
Step = Callable[[float, Pose], Pose]
Friction = Callable[[Pose], dict[str, float]]

STEEPEST = 0.6
"""Slopes beyond this [rad] are not looked at: our choice, no floor that trucks stand on falls so."""
CLOSE = 0.01
"""Relative width at which a search ends (numerical)."""
SLIP_CLOSE = 0.003
"""The same of the search for slipping, which comes nearer faster (numerical)."""
_MOST_SOLVES = 14


@dataclass(frozen=True)
class Reach:
    """How far it can go: ``tips`` over ``line``; ``slips``, and ``how``: "slides" or "rolls". nan = not reached.

    ``load``: where what it carries goes first, and ``load_how``.
    """

    tips: float
    line: str
    slips: float
    how: str
    load: float = nan
    load_how: str = ""

    @property
    def first(self) -> float:
        """What comes first, nan where neither does."""
        known = [value for value in (self.tips, self.gives) if isfinite(value)]
        return min(known, default=nan)

    @property
    def gives(self) -> float:
        """Where friction, brake or what holds the load gives way, nan where none does."""
        return min((value for value in (self.slips, self.load) if isfinite(value)), default=nan)

    @property
    def what(self) -> str:
        """Word for what comes first."""
        if isfinite(self.gives) and not self.gives > self.tips:
            return self.load_how if self.gives == self.load else self.how
        return "swings" if self.line.startswith("swing") else "tips"


def holding_loads(truck: Truck, pose: Pose) -> dict[str, float]:
    """Return by line the load [N] that must vanish before the truck goes over it."""
    braked = truck.plant.tyre[:, at.T_BRAKED] > 0.0
    left = left_tyres(truck.plant)
    loads = pose.loads
    if truck.outline.pivots:
        sides = {"swing.left": loads[braked & ~left].sum(), "swing.right": loads[braked & left].sum()}
    else:
        sides = {"left": loads[~left].sum(), "right": loads[left].sum()}
    return {"front": float(loads[~braked].sum()), "back": float(loads[braked].sum())} | {
        side: float(value) for side, value in sides.items()
    }


def friction_left(truck: Truck, pose: Pose, brake: float = inf) -> dict[str, float]:
    """Return what is left of what holds the truck on the floor, below 0 = it moves.

    Along the truck only the drive axle holds, by friction and at most by ``brake`` [N]; sideways every tyre does. Each
    axle is one: its tyres share the pull by their loads. "drive" and "brake" are forces as a share of the weight,
    "steer" is a friction ratio.
    """
    plant, total = truck.plant, float(pose.loads.sum())
    drag, side, loads = pose.tyre[:, 12], pose.tyre[:, 13], pose.loads
    braked = plant.tyre[:, at.T_BRAKED] > 0.0
    spare = plant.tyre[:, at.T_MU] * loads - np.hypot(drag, side)
    left = {"drive": float(spare[braked].sum()) / total}
    if isfinite(brake):
        left["brake"] = (brake - abs(float(drag.sum()))) / total
    if loads[~braked].sum() > 1e-3 * total:
        left["steer"] = float(spare[~braked].sum() / loads[~braked].sum())
    return left


def mirrored(truck: Truck) -> bool:
    """Whether left and right are alike, so that one side tells the other."""
    tyre, centre = truck.plant.tyre, truck.build.centre
    body = tyre[:, at.T_BODY].astype(int)
    across = tyre[:, at.T_Y] + centre[body, 1]
    rest = np.delete(tyre, at.T_ASIDE, axis=1)[:, at.T_R :].tolist()  # how far aside it stands is in `across`
    rows = sorted((b, abs(y), y > 0.0, *more) for b, y, more in zip(body, across.round(9), rest, strict=True))
    pairs = [
        (left[:2] + left[3:]) == (right[:2] + right[3:]) for left, right in zip(rows[::2], rows[1::2], strict=False)
    ]
    hook = truck.plant.link[at.L_HY] + centre[at.CARRIAGE, 1]
    return len(rows) % 2 == 0 and all(pairs) and bool(np.abs(centre[:, 1]).max() < 1e-9) and abs(hook) < 1e-9


def moving(pose: Pose) -> str:
    """Say how a truck moves that nothing holds: it rolls along, or slides aside."""
    return "rolls" if abs(float(pose.tyre[:, 12].sum())) > abs(float(pose.tyre[:, 13].sum())) else "slides"


def rigid_slope(truck: Truck, pose: Pose, azimuth: float) -> float:
    """Estimate the slope [rad] towards an azimuth from the heading at which a rigid truck goes over a line."""
    height, heading = height_of_centre(truck, pose), truck.case.scenario.setup.heading
    best = inf
    for name, apart in pose.distances.items():
        if f"swing.{name}" in pose.distances:
            continue  # the frame swings before the truck goes over to that side
        along = pose.ends[name][1] - pose.ends[name][0]
        towards = cos(azimuth + heading - atan2(along[0], -along[1]))  # lines run clockwise: out is to their left
        if towards > 1e-6:
            best = min(best, float(np.arctan2(apart, height * towards)))
    return best


def height_of_centre(truck: Truck, pose: Pose) -> float:
    """Return how high the centre of truck and load lies [m]; a hung load counts at its hook."""
    points = pose.position[:, 2].copy()
    hook = pose.position[at.CARRIAGE] + pose.rot[at.CARRIAGE] @ truck.plant.link[at.L_HX : at.L_HZ + 1]
    points[at.LOAD] = hook[2]
    return float(truck.plant.mass @ points / truck.plant.mass.sum())


def search(
    truck: Truck,
    start: Pose,
    step: Step,
    first: float,
    most: float,
    friction: Friction,
    carried: Friction | None = None,
) -> Reach:
    """Follow the pose from 0 until it tips, at most to ``most``; ``first`` is a first step well below the end.

    ``step(x, near)`` solves the pose at x from a pose near it; ``friction`` and ``carried`` say what is left of what
    holds the truck, and what it carries.
    """
    path = [(0.0, start, holding_loads(truck, start))]
    fails, root, line, last = inf, inf, "", inf
    x = first
    for _ in range(_MOST_SOLVES):
        pose = step(x, path[-1][1])
        if not pose.stands:
            fails = min(fails, x)
        else:
            path.append((x, pose, holding_loads(truck, pose)))
            last, (root, line) = root, _vanishing(path[-2], path[-1])
        low = path[-1][0]
        if fails <= low * (1.0 + CLOSE) or low >= most or root <= low:
            break
        if root < fails and abs(root - last) <= CLOSE * root and root - low <= 4.0 * CLOSE * root:
            break
        aim = 0.975 * root if low < 0.975 * root else low + 0.6 * (root - low)
        x = aim if aim < fails else 0.5 * (low + fails)
        x = min(x, most)
    tips = min(root, fails) if path[-1][0] < most else nan
    if fails < inf:
        tips = min(tips, fails) if root <= fails else path[-1][0]
    slips, _ = _slip(path, step, friction, tips)
    load, load_how = (nan, "") if carried is None else _slip(path, step, carried, tips)
    return Reach(tips, line, slips, moving(path[-1][1]), load, load_how)


def _slip(path: list[Sample], step: Step, friction: Friction, tips: float) -> tuple[float, str]:
    """Find where the first of what holds gives way, and which, between poses of the path.

    It is solved there until that no longer moves.
    """
    known = [(x, friction(pose)) for x, pose, _ in path]
    near = [(x, pose) for x, pose, _ in path]
    slip, which = _slipping(known, tips)
    for _ in range(4):
        if not isfinite(slip) or slip <= 0.0:
            break
        pose = step(slip, min(near, key=lambda neighbour: abs(neighbour[0] - slip))[1])
        if not pose.stands:
            break
        before = slip
        known = sorted([*known, (slip, friction(pose))], key=lambda point: point[0])
        near.append((slip, pose))
        slip, which = _slipping(known, tips)
        if abs(slip - before) <= SLIP_CLOSE * before:
            break
    return slip, which


def _vanishing(before: Sample, now: Sample) -> tuple[float, str]:
    """Extrapolate which holding load vanishes first, and where."""
    roots = {}
    for name, load in now[2].items():
        fall = (before[2][name] - load) / (now[0] - before[0])
        if fall > 0.0:
            roots[name] = now[0] + load / fall
    if not roots:
        return inf, ""
    first = min(roots, key=lambda name: roots[name])
    # both drive tyres going light together is a fall to the back, not a swing to whichever is first by a hair
    whole = [name for name in ("front", "back") if roots.get(name, inf) <= 1.03 * roots[first]]
    return roots[first], whole[0] if whole else first


def _slipping(path: list[tuple[float, dict[str, float]]], tips: float) -> tuple[float, str]:
    """Find where along the path the first of what holds it is used up, and which, no further than where it tips."""
    first, which = nan, ""
    for name in path[0][1]:
        known = [(x, left[name]) for x, left in path if name in left]
        for index in range(1, len(known)):
            (x0, left0), (x1, left1) = known[index - 1], known[index]
            if left1 < left0 and (left1 <= 0.0 or index == len(known) - 1):
                x = max(x0 + left0 * (x1 - x0) / (left0 - left1), 0.0)
                if (left1 <= 0.0 or x < tips) and not x > first:
                    first, which = x, name
                break
    return first, which
