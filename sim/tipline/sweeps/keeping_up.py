"""What in this model keeps the load up: the least change of each thing open to a crew that does so in enough runs.

The same runs are made again with each change, so that what differs is the change alone. Where no change alone does it,
two of them at their farthest are tried together.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import ceil, floor, log10
from typing import TYPE_CHECKING, Any

from tipline.children import cores
from tipline.closing_in import closed_in
from tipline.endings import LoadEnd, TruckEnd
from tipline.errors import InputError
from tipline.scenario.reader import read_again
from tipline.sweeps.batch import BatchResult, run_batch
from tipline.sweeps.crew_changes import CHANGES, CrewChange, CrewLift
from tipline.sweeps.job import zones_of

if TYPE_CHECKING:
    from tipline.scenario.case import Case

__all__ = ["Kept", "KeptByTwo", "KeptUp", "kept_up"]

FELL = (TruckEnd.OVER, TruckEnd.RESTING, TruckEnd.UNDECIDED, TruckEnd.NO_RESULT)
BETWEEN = (0.25, 0.5, 0.75)
"""Parts of the way at which a change is tried where its farthest does not do (our choice)."""
CLOSE = 1.0 / 32.0
"""Part of the way within which the least change is told (our choice: five halvings)."""
BACK = 8
"""Steps in which a farthest that the scenario does not read with is taken back (our choice)."""
MOST_PAIRS = 3
"""Pairs that are told (our choice)."""


@dataclass(frozen=True)
class Kept:
    """What one change does.

    Attributes
    ----------
    name, said, dimension : of the change
    was : least and most of it in the runs as they were [SI]; end : the farthest that was tried
    to : the least that keeps the load up in enough runs [SI], None where none does
    share : of the runs in which the load is up with it, at the farthest where none does
    lost_at : the nearest value beyond it at which too few runs keep it up again, None where that was not seen
    why_not : why it was not tried, "" where it was
    """

    name: str
    said: str
    dimension: str
    was: tuple[float, float] = (0.0, 0.0)
    end: float = 0.0
    to: float | None = None
    share: float = 0.0
    lost_at: float | None = None
    why_not: str = ""


@dataclass(frozen=True)
class KeptByTwo:
    """Two changes that do it together where neither does alone: how far each goes [SI], and in what share of runs."""

    first: Kept
    second: Kept
    to: tuple[float, float]
    share: float


@dataclass(frozen=True)
class KeptUp:
    """What keeps the load up, in how many runs, of how many different ones, for which share; ``before``: as it was."""

    runs: int
    different: int
    share: float
    before: float
    changes: tuple[Kept, ...]
    pairs: tuple[KeptByTwo, ...]


def is_up(result: BatchResult) -> bool:
    """Whether the truck is neither over nor resting on its body, and the load is not dropped."""
    return result.truck not in FELL and result.lifted_load != LoadEnd.DROPPED


def kept_up(
    cases: Sequence[Case], counts: Sequence[int], share: float, tell: Callable[[float], None] = lambda _part: None
) -> KeptUp:
    """Find what keeps the load up in a share of some runs, each counted so often; ``tell``: the part that is done."""
    search = _Search(cases, counts, share)
    before = search.share_up({})
    if before >= share:
        return KeptUp(sum(counts), len(cases), share, before, (), ())
    changes = []
    for number, change in enumerate(CHANGES):
        tell(number / len(CHANGES))
        changes.append(search.alone(change))
    pairs = () if any(kept.to is not None for kept in changes) else search.by_two(changes)
    return KeptUp(sum(counts), len(cases), share, before, tuple(changes), pairs)


def _outward(value: float, start: float, end: float, digits: int) -> float:
    """Return a value rounded to so many digits away from a start, no farther than an end."""
    if value in (0.0, end):
        return value
    places = digits - 1 - floor(log10(abs(value)))
    away = round((ceil if end > start else floor)(value * 10.0**places) * 10.0**-places, max(places, 0))
    return min(away, end) if end > start else max(away, end)


class _Search:
    def __init__(self, cases: Sequence[Case], counts: Sequence[int], share: float) -> None:
        self._cases, self._counts = list(cases), list(counts)
        self._needed = share * sum(counts)
        self._order = list(range(len(cases)))
        self._by_name = {change.name: change for change in CHANGES}

    def share_up(self, values: dict[str, float]) -> float:
        """Return the share of the runs in which the load is up with some changes."""
        up = sum(self._counts[index] for index, fine in self._made(self._order, values) if fine)
        return up / sum(self._counts)

    def does(self, values: dict[str, float]) -> bool:
        """Whether enough runs keep the load up with some changes; those that fell last are asked first."""
        spare = sum(self._counts) - self._needed
        at_once = cores()
        fell: list[int] = []
        for start in range(0, len(self._order), at_once):
            for index, fine in self._made(self._order[start : start + at_once], values):
                fell += [] if fine else [index]
            if sum(self._counts[index] for index in fell) > spare + 1e-9:
                self._order = [*fell, *(index for index in self._order if index not in fell)]
                return False
        return True

    def _made(self, indices: Sequence[int], values: dict[str, float]) -> list[tuple[int, bool]]:
        """Make some of the runs with changes; tell of each whether the load is up."""
        cases = [self._changed(self._cases[index], values) for index in indices]
        whole = [(index, case) for index, case in zip(indices, cases, strict=True) if case is not None]
        results = run_batch([case for _, case in whole], [zones_of(case) for _, case in whole], threads=cores())
        fine = {index: is_up(result) for (index, _), result in zip(whole, results, strict=True)}
        return [(index, fine.get(index, False)) for index in indices]

    def _changed(self, case: Case, values: dict[str, float]) -> Case | None:
        """Return a case with changes, each only where it goes farther than what the case has; None if it does not read.

        The changes are set together, so that one may make room for another.
        """
        changes: dict[str, Any] = {}
        lift = CrewLift.of(case)
        for name, value in values.items():
            change = self._by_name[name]
            own = change.has(lift)
            if own is not None and (value - own) * (change.end(lift) - own) > 0.0:
                changes |= change.set_to(lift, value)
        try:
            return read_again(case, changes) if changes else case
        except InputError:
            return None

    def alone(self, change: CrewChange) -> Kept:
        """Return what a change does by itself."""
        has = [change.has(CrewLift.of(case)) for case in self._cases]
        known = [value for value in has if value is not None]
        if len(known) < len(has):
            return Kept(change.name, change.said, change.dimension, why_not=change.absent)
        end = change.end(CrewLift.of(self._cases[0]))
        start = max(known) if end < min(known) else min(known)
        was = (min(known), max(known))
        end = self._within_reach(change, start, end)
        kept = Kept(change.name, change.said, change.dimension, was, end, why_not="it is there already")
        if end == start:
            return kept
        steps = self._steps(change, start, end)
        to, lost_at = self._least(change, start, end, steps)
        share = self.share_up({change.name: end if to is None else to})
        return Kept(change.name, change.said, change.dimension, was, end, to, share, lost_at)

    def _within_reach(self, change: CrewChange, start: float, end: float) -> float:
        """Return the farthest towards the end that every case reads with; the start where none does."""
        steps = self._steps(change, start, end)
        tried = steps[::-1] if steps else [end + (start - end) * k / BACK for k in range(BACK)]
        return next(
            (x for x in tried if all(self._changed(case, {change.name: x}) is not None for case in self._cases)), start
        )

    def _steps(self, change: CrewChange, start: float, end: float) -> list[float]:
        """Return the values it can have beyond the start, up to the end, nearest first; none where it can have any."""
        low, high = min(start, end), max(start, end)
        within = {step for step in change.steps(CrewLift.of(self._cases[0])) if low - 1e-9 <= step <= high + 1e-9}
        return sorted((step for step in within if abs(step - start) > 1e-9), reverse=end < start)

    def _least(
        self, change: CrewChange, start: float, end: float, steps: Sequence[float]
    ) -> tuple[float | None, float | None]:
        """Return the least value that does it, and the next one beyond where it is lost again."""
        if steps:
            places = [steps[round(part * (len(steps) - 1))] for part in BETWEEN]
        else:
            places = [start + part * (end - start) for part in BETWEEN]
        enough, before, lost = None, start, None
        if self.does({change.name: end}):
            enough = end
        else:
            for place in places:
                if place != end and self.does({change.name: place}):
                    enough = place
                    break
                before = place
            later = [place for place in places if enough is not None and abs(place - start) > abs(enough - start)]
            lost = next((place for place in later if not self.does({change.name: place})), end) if enough else None
        if enough is None:
            return None, None
        allowed = [start, *steps]

        def at(value: float) -> float:
            return min(allowed, key=lambda step: abs(step - value)) if steps else value

        _, least = closed_in(
            lambda value: self.does({change.name: value}), before, enough, close=CLOSE * abs(end - start), at=at
        )
        rounder = (_outward(least, start, end, digits) for digits in (2, 3)) if not steps else ()
        return next((value for value in rounder if self.does({change.name: value})), least), lost

    def by_two(self, alone: Sequence[Kept]) -> tuple[KeptByTwo, ...]:
        """Return the pairs that do it together, each as near to what was as one common part of both ways allows."""
        pairs: list[KeptByTwo] = []
        tried = [change for change in alone if not change.why_not]
        for first, second in combinations(tried, 2):
            if len(pairs) == MOST_PAIRS:
                break
            if self.does(self._part_of(first, second, 1.0)):
                pairs.append(self._least_of_two(first, second))
        return tuple(pairs)

    def _least_of_two(self, first: Kept, second: Kept) -> KeptByTwo:
        """Return how far both must go, where they do it at their farthest."""
        _, part = closed_in(lambda part: self.does(self._part_of(first, second, part)), 0.0, 1.0, close=CLOSE)
        values = self._part_of(first, second, part)
        return KeptByTwo(first, second, (values[first.name], values[second.name]), self.share_up(values))

    def _part_of(self, first: Kept, second: Kept, part: float) -> dict[str, float]:
        """Return both at a common part of the way to their ends, each at the value it can have beyond that."""
        values = {}
        for change in (first, second):
            start = change.was[1] if change.end < change.was[0] else change.was[0]
            value = start + part * (change.end - start)
            steps = self._steps(self._by_name[change.name], start, change.end)
            beyond = [step for step in steps if abs(step - start) >= abs(value - start) - 1e-9]
            values[change.name] = beyond[0] if beyond else value
        return values
