"""A set-up at rest within what is not known of truck and load: from where to where, and at the bad end of it all.

Each unknown is taken to both ends of its range, the others likely. Its bad end is the one with which the truck stands
on the less steep floor by its nearest line: distance to the line by height of centre, which counts for a centre that
lies higher as well as for one nearer to the line. Planning goes by all bad ends at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf, nan
from typing import TYPE_CHECKING

import numpy as np

from tipline.model.own_truck import MEASURED, bands_of
from tipline.pose.assessment import PoseReport, assess_pose, both_leans
from tipline.pose.nearest import Limit
from tipline.pose.not_known import Bracket, Gain, NotKnown
from tipline.scenario.checks import check_scenario
from tipline.statics.truck import truck_of
from tipline.sweeps.inputs import Knob, at_rest

if TYPE_CHECKING:
    from tipline.scenario import Case

__all__ = ["AT_BAD_END", "at_bad_end", "heaviest", "with_not_known"]

TOLD = 2
"""Of so many unknowns it is said what knowing them would change."""
LITTLE = 0.005
"""A distance [m] that is not worth a word (our choice)."""
_GONE = -inf
_HOW = {
    "lifted weight": "weigh the load",
    "centre of the lifted load, out from its middle": "weigh it at both ends, or lift one end",
    "centre of the lifted load, left of its middle": "weigh it at both sides",
    "height of centre of the lifted load": "ask its maker, or hang it from two points",
    "stiffness of all tyres": "measure by how much the axle comes down under a known load",
}
AT_BAD_END = "with all that is not known at its bad end"


@dataclass(frozen=True)
class _AtRest:
    """A set-up at rest with an unknown at a value: the least steep floor, its line, tyre loads, distances, height."""

    slope: float
    line: str
    loads: dict[str, float]
    distances: dict[str, float]
    height: float = 1.0
    value: float = 0.0

    def by_line(self, line: str) -> float:
        """Return the steepest floor it stands on by a line."""
        return self.distances[line] / self.height if line in self.distances else _GONE


def with_not_known(report: PoseReport, case: Case) -> PoseReport:
    """Add what a set-up comes to within what is not known of an own truck; its limits are those at the bad end.

    A truck whose file gives every value is left as it is.
    """
    if case.machine.plate_and_tape is None:
        return report
    ends = _ends_of(case)
    if not report.stands.startswith("stands") or not ends.likely.line:
        gains = ends.good()
        return replace(report, not_known=NotKnown({}, {}, report.stands, (), 0.0, "", gains)) if gains else report
    corners = {tuple(ends.bad(line)): None for line in (ends.likely.line, "front")}
    bad = [assess_pose(ends.corner(values)) for values in corners]
    beyond = dict.fromkeys(one for corner in bad for one in corner.exceeded if one not in report.exceeded)
    worst = min(bad, key=lambda one: (one.stands.startswith("stands"), min(one.distances.values(), default=_GONE)))
    known = NotKnown(
        tyre_loads={name: ends.bracket(name, "loads") for name in ends.likely.loads},
        distances={line: ends.bracket(line, "distances") for line in report.distances},
        at_bad_end=worst.stands,
        exceeded=tuple(beyond),
        slope=ends.likely.slope,
        line=ends.likely.line,
        gains=ends.gains(),
    )
    return replace(
        report,
        not_known=known,
        exceeded=(*report.exceeded, *(f"{AT_BAD_END}: {one}" for one in beyond)),
        holds_only_while=_least_of(report, bad),
    )


def _least_of(report: PoseReport, bad: Sequence[PoseReport]) -> tuple[Limit, ...]:
    """Return the limits of a set-up: load and height as set up, what is held the least at any bad end.

    The distance of a stop is the longest. Where it does not stand at a bad end there is nothing that it holds.
    """
    rows: list[Limit] = []
    for label, value, kind in report.holds_only_while:
        others = [[one for name, one, _ in corner.holds_only_while if name == label] for corner in bad]
        least = value
        if kind in {"slope", "acceleration"}:
            least = min([value, *(one[0] if one else 0.0 for one in others)])
        elif label.startswith("no stop shorter"):
            least = max([value, *(one[0] if one else inf for one in others)])
        rows.append((label, least, kind))
    return tuple(rows)


def at_bad_end(case: Case) -> Case:
    """Return a case of an own truck with every unknown at its bad end for the nearest line, any other as it is."""
    if case.machine.plate_and_tape is None:
        return case
    ends = _ends_of(case)
    return ends.corner(ends.bad(ends.likely.line))


def heaviest(case: Case) -> Case:
    """Return a case of an own truck with every unknown where it presses hardest on a tyre, any other as it is."""
    if case.machine.plate_and_tape is None:
        return case
    ends = _ends_of(case)
    return ends.corner([max(pair, key=lambda one: max(one.loads.values(), default=0.0)).value for pair in ends.pairs])


def _ends_of(case: Case) -> _BadEnds:
    knobs = at_rest(case)
    pairs = [
        (_stood(_set(case, one, one.input.low), one.input.low), _stood(_set(case, one, one.input.high), one.input.high))
        for one in knobs
    ]
    return _BadEnds(case, knobs, _stood(case), pairs)


@dataclass(frozen=True)
class _BadEnds:
    """A case with each unknown at both ends of its range, the others likely."""

    case: Case
    knobs: Sequence[Knob]
    likely: _AtRest
    pairs: Sequence[tuple[_AtRest, _AtRest]]

    def bad(self, line: str) -> list[float]:
        """Return the bad end of each unknown for a line."""
        return [min(pair, key=lambda one: one.by_line(line)).value for pair in self.pairs]

    def corner(self, values: Sequence[float]) -> Case:
        """Return the case with each unknown at a value."""
        case = self.case
        for knob, value in zip(self.knobs, values, strict=True):
            case = _set(case, knob, value)
        return case

    def bracket(self, name: str, figure: str) -> Bracket:
        """Return from where to where a figure goes: what each unknown does to it alone, added up on each side."""
        here = getattr(self.likely, figure)[name]
        low = high = here
        for pair in self.pairs:
            moved = [getattr(one, figure)[name] - here for one in pair if one.line]
            low += min([0.0, *moved])
            high += max([0.0, *moved])
        if figure == "loads":
            low = max(low, 0.0)
        return Bracket(low, here, high, any(not one.line for pair in self.pairs for one in pair))

    def good(self) -> tuple[Gain, ...]:
        """Tell of a truck that tips which unknowns alone, at an end of their range, make it stand."""
        gains = []
        for knob, pair in zip(self.knobs, self.pairs, strict=True):
            given = knob.input
            if any(one.line for one in pair):
                measure = self.measures.get(given.what, "measure it")
                gains.append(Gain(given.what, given.dimension, given.low, given.high, measure, 0.0, 0.0, "", nan, None))
        return tuple(gains[:TOLD])

    @property
    def measures(self) -> dict[str, str]:
        """How one gets to know each unknown."""
        return {band.what: band.measure for band in bands_of(self.case.machine)} | _HOW

    def gains(self) -> tuple[Gain, ...]:
        """Say of the unknowns that cost most what the bad end comes to once each of them is measured."""
        line = self.likely.line
        worth = [self.likely.slope - min(one.by_line(line) for one in pair) for pair in self.pairs]
        bad = self.bad(line)
        before = max(_stood(self.corner(bad)).slope, 0.0)
        gains: list[Gain] = []
        for index in sorted(range(len(worth)), key=lambda place: -worth[place])[: 2 * TOLD]:
            given = self.knobs[index].input
            if worth[index] <= 0.0 or len(gains) == TOLD:
                continue
            half = MEASURED * abs(given.here)
            known = [*bad[:index], min(max(bad[index], given.here - half), given.here + half), *bad[index + 1 :]]
            after = max(_stood(self.corner(known)).slope, 0.0)
            measure = self.measures.get(given.what, "measure it")
            worst = min(self.pairs[index], key=lambda one: one.by_line(line))
            alone = worst.distances.get(line)
            here = self.likely.distances[line]
            if after <= before and alone is not None and alone > here - LITTLE:
                continue  # the platform tests hold it within less at the bad end of the others
            gains.append(
                Gain(given.what, given.dimension, given.low, given.high, measure, before, after, line, here, alone)
            )
        return tuple(gains)


def _set(case: Case, knob: Knob, value: float) -> Case:
    changed = knob.set(case, value)
    return case if any(check_scenario(changed.scenario, changed.machine)) else changed


def _stood(case: Case, value: float = 0.0) -> _AtRest:
    truck = truck_of(case)
    poses = both_leans(truck, truck.gravity(*case.slope))
    worse = min(poses, key=lambda pose: min(pose.distances.values()) if pose.stands else _GONE)
    if not worse.stands:
        return _AtRest(_GONE, "", {}, {}, 1.0, value)
    mass = truck.plant.mass
    height = float(mass @ worse.position[:, 2] / mass.sum())
    distances = {line: min(pose.distances[line] for pose in poses) for line in worse.distances}
    line = min(distances, key=lambda one: distances[one])
    loads = np.max([pose.loads for pose in poses], axis=0)
    by_name = dict(zip(truck.build.tyres, loads.tolist(), strict=True))
    return _AtRest(distances[line] / height, line, by_name, distances, height, value)
