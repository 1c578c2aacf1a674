"""A set-up at rest within what is not known of truck and load: from where to where, and at the bad end of it all.

Each unknown is taken to both ends of its range, the others likely. Its bad end is the one with which the truck stands
on the less steep floor by its nearest line: distance to the line by height of centre, which counts for a centre that
lies higher as well as for one nearer to the line. Planning goes by all bad ends at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf
from typing import TYPE_CHECKING

import numpy as np

from tipline.model.own_truck import MEASURED, bands_of
from tipline.pose.assessment import PoseReport, assess_pose, both_leans
from tipline.pose.not_known import Bracket, Gain, NotKnown
from tipline.scenario.checks import check_scenario
from tipline.statics.truck import truck_of
from tipline.sweeps.inputs import Knob, at_rest

if TYPE_CHECKING:
    from tipline.scenario import Case

__all__ = ["AT_BAD_END", "at_bad_end", "heaviest", "with_not_known"]

TOLD = 2
"""Of so many unknowns it is said what knowing them would change."""
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
    """A set-up at rest: the least steep floor by its lines, that line, tyre loads and distances."""

    slope: float
    line: str
    loads: dict[str, float]
    distances: dict[str, float]


def with_not_known(report: PoseReport, case: Case) -> PoseReport:
    """Add what a set-up comes to within what is not known of an own truck; its limits are those at the bad end.

    A truck whose file gives every value is left as it is.
    """
    if case.machine.plate_and_tape is None or not report.stands.startswith("stands"):
        return report
    bad_case, knobs, likely, ends = _at_ends(case)
    bad = assess_pose(bad_case)
    gains = _gains(case, knobs, likely, ends)
    known = NotKnown(
        tyre_loads={name: _bracket(name, "loads", likely, ends) for name in likely.loads},
        distances={line: _bracket(line, "distances", likely, ends) for line in report.distances},
        at_bad_end=bad.stands,
        exceeded=bad.exceeded,
        slope=likely.slope,
        line=likely.line,
        gains=gains,
    )
    exceeded = (*report.exceeded, *(f"{AT_BAD_END}: {one}" for one in bad.exceeded if one not in report.exceeded))
    return replace(
        report,
        not_known=known,
        exceeded=exceeded,
        together=bad.together,
        holds_only_while=bad.holds_only_while or report.holds_only_while,
    )


def at_bad_end(case: Case) -> Case:
    """Return a case of an own truck with every unknown at its bad end, any other as it is."""
    return case if case.machine.plate_and_tape is None else _at_ends(case)[0]


def heaviest(case: Case) -> Case:
    """Return a case of an own truck with every unknown where it presses hardest on a tyre, any other as it is."""
    if case.machine.plate_and_tape is None:
        return case
    loaded = case
    for knob in at_rest(case):
        low, high = (max(_stood(_set(case, knob, end)).loads.values()) for end in (knob.input.low, knob.input.high))
        loaded = _set(loaded, knob, knob.input.low if low > high else knob.input.high)
    return loaded


def _at_ends(case: Case) -> tuple[Case, Sequence[Knob], _AtRest, list[tuple[_AtRest, _AtRest]]]:
    knobs, likely = at_rest(case), _stood(case)
    ends = [(_stood(_set(case, one, one.input.low)), _stood(_set(case, one, one.input.high))) for one in knobs]
    for knob, pair in zip(knobs, ends, strict=True):
        case = _set(case, knob, _bad(knob, pair))
    return case, knobs, likely, ends


def _set(case: Case, knob: Knob, value: float) -> Case:
    changed = knob.set(case, value)
    return case if any(check_scenario(changed.scenario, changed.machine)) else changed


def _bad(knob: Knob, ends: tuple[_AtRest, _AtRest]) -> float:
    return knob.input.low if ends[0].slope <= ends[1].slope else knob.input.high


def _stood(case: Case) -> _AtRest:
    truck = truck_of(case)
    poses = both_leans(truck, truck.gravity(*case.slope))
    worse = min(poses, key=lambda pose: min(pose.distances.values()) if pose.stands else _GONE)
    names = truck.build.tyres
    if not worse.stands:
        return _AtRest(_GONE, "", dict.fromkeys(names, 0.0), {})
    mass = truck.plant.mass
    height = float(mass @ worse.position[:, 2] / mass.sum())
    distances = {line: min(pose.distances[line] for pose in poses) for line in worse.distances}
    line = min(distances, key=lambda one: distances[one])
    loads = np.max([pose.loads for pose in poses], axis=0)
    return _AtRest(distances[line] / height, line, dict(zip(names, loads.tolist(), strict=True)), distances)


def _bracket(name: str, figure: str, likely: _AtRest, ends: Sequence[tuple[_AtRest, _AtRest]]) -> Bracket:
    """Return from where to where a figure goes: what each unknown does to it alone, added up on each side."""
    here = getattr(likely, figure)[name]
    low = high = here
    for pair in ends:
        moved = [getattr(one, figure).get(name, 0.0) - here for one in pair]
        low += min(0.0, *moved)
        high += max(0.0, *moved)
    return Bracket(low, here, high)


def _gains(
    case: Case, knobs: Sequence[Knob], likely: _AtRest, ends: Sequence[tuple[_AtRest, _AtRest]]
) -> tuple[Gain, ...]:
    """Say of the unknowns that cost most what the bad end comes to once each of them is measured."""
    worth = [likely.slope - min(pair[0].slope, pair[1].slope) for pair in ends]
    first = sorted(range(len(knobs)), key=lambda index: -worth[index])[:TOLD]
    bad = [_bad(knob, pair) for knob, pair in zip(knobs, ends, strict=True)]
    measures = {band.what: band.measure for band in bands_of(case.machine)} | _HOW

    def corner(values: Sequence[float]) -> float:
        at = case
        for knob, value in zip(knobs, values, strict=True):
            at = _set(at, knob, value)
        return max(_stood(at).slope, 0.0)

    before = corner(bad)
    gains = []
    for index in (index for index in first if worth[index] > 0.0):
        given = knobs[index].input
        least, most = given.here - MEASURED * abs(given.here), given.here + MEASURED * abs(given.here)
        known = [*bad[:index], min(max(bad[index], least), most), *bad[index + 1 :]]
        measure = measures.get(given.what, "measure it")
        gains.append(Gain(given.what, given.dimension, given.low, given.high, measure, before, corner(known)))
    return tuple(gains)
