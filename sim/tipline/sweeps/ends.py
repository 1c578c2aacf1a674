"""A set-up at rest with each of what is not known at both ends of its range, and with many of them at once.

How a truck and its load stand within what nobody knows is looked for among poses that could be: each unknown at either
end with the others likely; then, for every tyre load and every distance, all unknowns at once at the end that lowers
it, and at the end that raises it; and all of those again with what has no range but a kind, as whether the steer axle
swings on a pin. A band that hangs on another, as a wheelbase on the own weight, is at its end as it is then.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import inf, pi, tan
from typing import TYPE_CHECKING

import numpy as np

from tipline.model.own_truck import TruckBand, bands_of, other_kinds
from tipline.pose.leans import both_leans
from tipline.pose.not_known import Bracket
from tipline.scenario.checks import check_scenario
from tipline.statics.limits import STEEPEST, height_of_centre
from tipline.statics.truck import Pose, truck_of
from tipline.sweeps.inputs import Knob, at_rest

if TYPE_CHECKING:
    from tipline.scenario import Case

__all__ = ["GONE", "AtRest", "BadEnds", "ends_of", "held_slope", "stood"]

GONE = -inf
LIKELY = 0
_FALLS = {"front": 0.0, "left": 0.5 * pi, "back": pi, "right": -0.5 * pi}
"""Azimuth [rad] to which a floor falls square to a line (our choice of axes: x ahead, y to the left)."""
_FOLLOWED = 4
"""So many poses are found on the way to where a distance is nought (numerical)."""
Corner = tuple[int, ...]
"""Of each unknown -1 at its low end, 1 at its high end, 0 likely."""


@dataclass(frozen=True)
class AtRest:
    """A set-up at rest: the steepest floor it stands on by its nearest line, that line, and what else is asked of it.

    ``least`` and ``most`` are each tyre's load [N] over both sides to which the mast may lean; ``distances`` [m] the
    least over both. ``line`` is empty where it does not stand.
    """

    slope: float
    line: str
    least: dict[str, float]
    most: dict[str, float]
    distances: dict[str, float]
    height: float = 1.0
    poses: tuple[Pose, ...] = ()

    def by_line(self, line: str) -> float:
        """Return the steepest floor it stands on by a line."""
        return self.distances[line] / self.height if line in self.distances else GONE


def stood(case: Case, near: AtRest | None = None) -> AtRest:
    """Find how a case stands, with the mast's play to either side; from the poses of one that is near it is quicker."""
    truck = truck_of(case)
    pull = truck.gravity(*case.slope)
    poses = both_leans(truck, pull, () if near is None else near.poses)
    worse = min(poses, key=lambda pose: min(pose.distances.values()) if pose.stands else GONE)
    if not worse.stands:
        return AtRest(GONE, "", {}, {}, {})
    height = height_of_centre(truck, worse)
    distances = {line: min(pose.distances[line] for pose in poses) for line in worse.distances}
    line = min(distances, key=lambda name: round(distances[name], 6))  # of two that are as near the first
    least, most = (
        dict(zip(truck.build.tyres, of([pose.loads for pose in poses], axis=0).tolist(), strict=True))
        for of in (np.min, np.max)
    )
    kept = poses[:1] if all(map(truck.hangs_still, poses)) else poses
    return AtRest(distances[line] / height, line, least, most, distances, height, kept)


def held_slope(case: Case, line: str, at_rest: AtRest) -> float:
    """Return the steepest floor [1] that a case stands on, falling square to a line; 0 where it does not stand level.

    Tyres and mast give: the distance to the line is followed along the slope to where it is nought.
    """
    if not at_rest.line:
        return 0.0
    truck, side = truck_of(case), line.removeprefix("swing.")
    pose = truck.solve(truck.gravity(0.0, 0.0), at_rest.poses[-1 if side == "right" else 0])
    seen = [(0.0, pose.distances[line])] if pose.stands and line in pose.distances else []
    aim, most = (0.7 * seen[0][1] / at_rest.height if seen else 0.0), STEEPEST
    for _ in range(_FOLLOWED):
        if not seen or aim <= seen[-1][0]:
            break
        turned = truck.solve(truck.gravity(aim, _FALLS[side]), pose)
        if turned.stands and turned.distances.get(line, -inf) > 0.0:
            pose = turned
            seen.append((aim, turned.distances[line]))
            (before, far), (here, near) = seen[-2:]
            most = min(most, here + near * (here - before) / (far - near)) if near < far else most
        else:
            most = aim
        aim = 0.5 * (seen[-1][0] + most)
    return tan(max(most if len(seen) > 1 else 0.0, 0.0))


def ends_of(case: Case) -> BadEnds:
    """Take each of what is not known of a case to both ends of its range."""
    knobs = at_rest(case)
    likely = stood(case)
    ends = BadEnds(case, knobs, likely, ())
    pairs = []
    for place in range(len(knobs)):
        alone = [tuple(end if place == other else LIKELY for other in range(len(knobs))) for end in (-1, 1)]
        pairs.append((ends.stood(ends.corner(alone[0])), ends.stood(ends.corner(alone[1]))))
    return replace(ends, pairs=tuple(pairs))


@dataclass(frozen=True)
class BadEnds:
    """A case with each unknown at both ends of its range, the others likely: ``pairs`` of low and high end.

    Corners have much in common: what was set of one, and how it stood, is kept for the others.
    """

    case: Case
    knobs: Sequence[Knob]
    likely: AtRest
    pairs: Sequence[tuple[AtRest, AtRest]]
    _steps: dict[tuple[int, int, int], tuple[Case, Case]] = field(default_factory=dict, repr=False)
    """By a case, an unknown and its end: that case, and the case with it there."""
    _stood: dict[int, tuple[Case, AtRest]] = field(default_factory=dict, repr=False)

    @cached_property
    def kinds(self) -> tuple[tuple[str, Case], ...]:
        """The case with what has no range but a kind, in words, as it is taken and otherwise."""
        others = other_kinds(self.case.machine)
        return ("", self.case), *((kind.words, replace(self.case, machine=kind.machine, cells=())) for kind in others)

    @cached_property
    def bands(self) -> tuple[TruckBand, ...]:
        """What is not known of the truck; the first of the unknowns, in the same order."""
        return bands_of(self.case.machine)

    def corner(self, ends: Corner, case: Case | None = None, known: Mapping[int, float] | None = None) -> Case:
        """Return the case with each unknown at an end, or at a value [SI] by its place where that is ``known``."""
        case = self.case if case is None else case
        for place, (knob, end) in enumerate(zip(self.knobs, ends, strict=True)):
            if known is not None and place in known:
                case = _set(case, knob, (known[place],))
            elif end != LIKELY:
                case = self._at_end(case, place, end)
        return case

    def _at_end(self, case: Case, place: int, end: int) -> Case:
        step = id(case), place, end
        if step not in self._steps:
            knob = self.knobs[place]
            value = (knob.input.low, knob.input.high)[end > 0]
            # a band's own end hangs on the others: past it, it is held to it
            self._steps[step] = case, _set(case, knob, (end * inf, value) if place < len(self.bands) else (value,))
        return self._steps[step][1]

    def stood(self, case: Case) -> AtRest:
        """Find how a case stands, from the likely poses."""
        if id(case) not in self._stood:
            self._stood[id(case)] = case, stood(case, self.likely)
        return self._stood[id(case)][1]

    def worst_for(self, worth: Callable[[AtRest], float]) -> Corner:
        """Return the ends at which a figure is least, each unknown by itself; likely where it only raises it."""
        here, ends = worth(self.likely), []
        for low, high in self.pairs:
            worths = worth(low), worth(high)
            ends.append(LIKELY if min(worths) >= here else -1 if worths[0] <= worths[1] else 1)
        return tuple(ends)

    def bad(self, line: str) -> tuple[Corner, Case]:
        """Return the ends that are bad for a line, and the case there with the kind that is bad for it."""
        ends = self.worst_for(lambda pose: pose.by_line(line))
        cases = [self.corner(ends, case) for _, case in self.kinds]
        if len(cases) == 1:
            return ends, cases[0]
        return ends, min(cases, key=lambda case: self.stood(case).by_line(line))

    @cached_property
    def seen(self) -> tuple[AtRest, ...]:
        """Every pose that was looked at: one unknown at an end, and the corners of every figure."""
        corners: dict[Corner, None] = {}
        for worth in self._figures():
            corners[self.worst_for(worth)] = None
            corners[self.worst_for(lambda pose, worth=worth: -worth(pose) if pose.line else inf)] = None  # type: ignore[misc]
        poses = [self.likely, *(pose for pair in self.pairs for pose in pair)]
        for _, case in self.kinds:
            cases = [self.corner(ends, case) for ends in corners if any(ends)]
            if case is self.case:
                poses += [self.likely, *map(self.stood, cases)]
            else:
                own = self.stood(case)
                poses += [own, *(stood(corner, own) for corner in cases)]
        return tuple(poses)

    def _figures(self) -> Iterator[Callable[[AtRest], float]]:
        yield from (lambda pose, name=name: pose.most.get(name, inf) for name in self.likely.most)
        yield from (lambda pose, line=line: pose.distances.get(line, inf) for line in self.likely.distances)

    def load(self, name: str) -> Bracket:
        """Return from where to where a tyre's load goes [N]."""
        held = [pose for pose in self.seen if name in pose.most]
        low, high = min(pose.least[name] for pose in held), max(pose.most[name] for pose in held)
        return Bracket(low, self.likely.most[name], high, self.tips)

    def distance(self, line: str) -> Bracket:
        """Return from where to where a distance goes [m]."""
        held = [pose.distances[line] for pose in self.seen if line in pose.distances]
        return Bracket(min(held), self.likely.distances[line], max(held), self.tips)

    @property
    def tips(self) -> bool:
        """Whether it tips with one or more of what is not known at an end."""
        return any(not pose.line for pose in self.seen)


def _set(case: Case, knob: Knob, values: Sequence[float]) -> Case:
    """Return the case with the first of the values with which truck and set-up go together, else as it is."""
    for value in values:
        changed = knob.set(case, value)
        moved = changed.machine is not case.machine or changed.load is not case.load
        if moved and not any(check_scenario(changed.scenario, changed.machine)):
            return changed
    return case
