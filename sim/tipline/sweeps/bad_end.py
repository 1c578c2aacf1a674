"""A set-up at rest within what is not known of truck and load: from where to where, and at the bad end of it all.

The bad end of an unknown is the one with which the truck stands on the less steep floor by its nearest line: distance
to the line by height of centre, which counts for a centre that lies higher as well as for one nearer to the line.
Planning goes by all bad ends at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf, nan
from typing import TYPE_CHECKING

from tipline.pose.assessment import PoseReport, assess_limits
from tipline.pose.nearest import Limit
from tipline.pose.not_known import Gain, NotKnown
from tipline.sweeps.ends import GONE, AtRest, BadEnds, ends_of, held_slope, stood

if TYPE_CHECKING:
    from tipline.runs.endings import VariedInput
    from tipline.scenario import Case

__all__ = ["AT_BAD_END", "Heaviest", "MeasuredInput", "at_bad_end", "heaviest", "not_known_of", "with_not_known"]

TOLD = 2
"""Of so many unknowns it is said what knowing them would change."""
LITTLE = 0.005
"""A distance [m] that is not worth a word (our choice)."""
HARDLY = 0.005
"""A slope [1] by so much steeper is not worth a measurement: it reads the same in whole percent (our choice)."""
_HOW = {
    "lifted weight": "weigh the load",
    "centre of the lifted load, out from its middle": "weigh it at both ends, or lift one end",
    "centre of the lifted load, left of its middle": "weigh it at both sides",
    "height of centre of the lifted load": "ask its maker, or hang it from two points",
    "stiffness of all tyres": "measure by how much the axle comes down under a known load",
}
AT_BAD_END = "with all that is not known at its bad end"


def with_not_known(report: PoseReport, case: Case) -> PoseReport:
    """Add what a set-up comes to within what is not known of an own truck; its limits are those at the bad end.

    A truck whose file gives every value is left as it is.
    """
    if case.machine.plate_and_tape is None:
        return report
    ends = ends_of(case)
    if not report.stands.startswith("stands") or not ends.likely.line:
        gains = _good(ends)
        return replace(report, not_known=NotKnown({}, {}, report.stands, (), 0.0, "", gains)) if gains else report
    corners = dict([ends.bad(ends.likely.line), ends.bad("front")])
    bad = [assess_limits(corner, ends.likely.poses) for corner in corners.values()]
    beyond = dict.fromkeys(limit for corner in bad for limit in corner.exceeded if limit not in report.exceeded)
    worst = min(
        bad, key=lambda corner: (corner.stands.startswith("stands"), min(corner.distances.values(), default=GONE))
    )
    known = NotKnown(
        tyre_loads={name: ends.load(name) for name in ends.likely.most},
        distances={line: ends.distance(line) for line in report.distances},
        at_bad_end=worst.stands,
        exceeded=tuple(beyond),
        slope=held_slope(case, ends.likely.line, ends.likely),
        line=ends.likely.line,
        gains=_gains(ends),
        kinds=tuple(words for words, _ in ends.kinds if words),
    )
    return replace(
        report,
        not_known=known,
        exceeded=(*report.exceeded, *(f"{AT_BAD_END}: {limit}" for limit in beyond)),
        holds_only_while=_least_of(report, bad),
    )


def not_known_of(case: Case) -> NotKnown | None:
    """Return what the set-up of an own truck comes to within what is not known; None where a file gives every value."""
    return None if case.machine.plate_and_tape is None else with_not_known(assess_limits(case), case).not_known


def _least_of(report: PoseReport, bad: Sequence[PoseReport]) -> tuple[Limit, ...]:
    """Return the limits of a set-up: load and height as set up, what is held the least at any bad end.

    The distance of a stop is the longest. Where it does not stand at a bad end there is nothing that it holds.
    """
    rows: list[Limit] = []
    for label, value, kind in report.holds_only_while:
        others = [[held for name, held, _ in corner.holds_only_while if name == label] for corner in bad]
        least = value
        if kind in {"slope", "acceleration"}:
            least = min([value, *(values[0] if values else 0.0 for values in others)])
        elif label.startswith("no stop shorter"):
            least = max([value, *(values[0] if values else inf for values in others)])
        rows.append((label, least, kind))
    return tuple(rows)


def at_bad_end(case: Case) -> Case:
    """Return a case of an own truck with every unknown at its bad end for the nearest line, any other as it is."""
    if case.machine.plate_and_tape is None:
        return case
    ends = ends_of(case)
    return ends.bad(ends.likely.line)[1]


@dataclass(frozen=True)
class MeasuredInput:
    """One unknown that is measured as likely while all others press hardest: what, from where to where it lies now."""

    what: str
    dimension: str
    low: float
    high: float
    measure: str
    case: Case


@dataclass(frozen=True)
class Heaviest:
    """A case with every unknown where it presses hardest on a tyre; and with those that add most measured, one each."""

    case: Case
    measured: tuple[MeasuredInput, ...] = ()


def heaviest(case: Case) -> Heaviest:
    """Find where an own truck presses hardest on a tyre, and what a measurement takes off; any other stays as it is."""
    if case.machine.plate_and_tape is None:
        return Heaviest(case)
    ends, measured = ends_of(case), []
    corner, measures = ends.worst_for(lambda pose: -_most(pose)), _measures(ends)
    added = [max(map(_most, pair)) - _most(ends.likely) for pair in ends.pairs]
    for index in sorted(range(len(added)), key=lambda place: -added[place])[:TOLD]:
        given = ends.knobs[index].input
        value = _once_measured(given, corner[index])
        if added[index] > 0.0 and value not in (given.low, given.high):
            known = ends.corner(corner, known={index: value})
            how = measures.get(given.what, "measure it")
            measured.append(MeasuredInput(given.what, given.dimension, given.low, given.high, how, known))
    return Heaviest(ends.corner(corner), tuple(measured))


def _most(pose: AtRest) -> float:
    return max(pose.most.values(), default=-inf)


def _once_measured(given: VariedInput, end: int) -> float:
    """Return an unknown that is measured as likely, as near to an end of its range as the measurement leaves it."""
    left = given.once_measured
    return min(max((given.low, given.here, given.high)[end + 1], given.here - left), given.here + left)


def _measures(ends: BadEnds) -> dict[str, str]:
    """Return how one gets to know each unknown."""
    return {band.what: band.measure for band in ends.bands} | _HOW


def _good(ends: BadEnds) -> tuple[Gain, ...]:
    """Tell of a truck that tips which unknowns alone, at an end of their range, make it stand."""
    gains, measures = [], _measures(ends)
    for knob, pair in zip(ends.knobs, ends.pairs, strict=True):
        given = knob.input
        if any(pose.line for pose in pair):
            measure = measures.get(given.what, "measure it")
            gains.append(Gain(given.what, given.dimension, given.low, given.high, measure, 0.0, 0.0, "", nan, None))
    return tuple(gains[:TOLD])


def _gains(ends: BadEnds) -> tuple[Gain, ...]:
    """Say of the unknowns that cost most what the bad end comes to once each of them is measured."""
    line, likely, measures = ends.likely.line, ends.likely, _measures(ends)
    worth = [likely.slope - min(pose.by_line(line) for pose in pair) for pair in ends.pairs]
    bad, case = ends.bad(line)
    at_worst = ends.stood(case)
    before = held_slope(case, line, at_worst)
    gains: list[Gain] = []
    for index in sorted(range(len(worth)), key=lambda place: -worth[place])[: 2 * TOLD]:
        given = ends.knobs[index].input
        known = _once_measured(given, bad[index])
        if worth[index] <= 0.0 or len(gains) == TOLD or known in (given.low, given.high):
            continue  # of what is known as a measurement would tell it there is nothing to gain
        corner = ends.corner(bad, known={index: known})
        after = held_slope(corner, line, stood(corner, at_worst))
        after = after if after - before >= HARDLY else before
        measure = measures.get(given.what, "measure it")
        worst = min(ends.pairs[index], key=lambda pose: pose.by_line(line))
        alone = worst.distances.get(line)
        here = likely.distances[line]
        if after <= before and alone is not None and alone > here - LITTLE:
            continue  # the platform tests hold it within less at the bad end of the others
        gains.append(
            Gain(given.what, given.dimension, given.low, given.high, measure, before, after, line, here, alone)
        )
    return tuple(gains)
