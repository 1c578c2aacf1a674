"""A case run again and again within what is not known of it, and where it would end otherwise.

All inputs fill their ranges evenly together, and a run's values follow from its index alone. The runs are those of the
compiled engine. The floor's own strength stays as in the run: its range is a matter of `runs.breaks`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.children import cores
from tipline.closing_in import closed_in
from tipline.endings import IN_SHORT, Went
from tipline.errors import InputError
from tipline.runs.endings import NO_RESULT, Ending, EndingChange, Spread, could_go_either_way, counted, interval, parted
from tipline.scenario.checks import check_scenario
from tipline.scenario.spec import RunSettings
from tipline.sweeps.batch import BatchResult, run_batch
from tipline.sweeps.inputs import Knob, knobs, leading

if TYPE_CHECKING:
    from tipline.geometry.ground import ZoneLaw
    from tipline.runs.outcome import Outcome
    from tipline.scenario import Case

__all__ = ["FEWEST", "RUNS", "drawn", "drawn_case", "planned", "spread"]

Array = NDArray[np.float64]
Progress = Callable[[float], None]

RUNS = 50
"""How many runs, where nobody says."""
FEWEST = 6
"""How many runs at least, where nobody says."""
MOST_TIME = 2000.0
"""Time [s] that all runs may last together at most, where nobody says how many (our choice)."""
SEED = 20261
BLOCK = 10
"""How many runs, one after the other, take each a tenth of every range."""
STANDS_OUT = 2.5
"""From how many standard deviations of chance on an input counts as deciding (our choice: chance alone passes it
once in eighty)."""
STEPS = (0.05, 0.10, 0.20, 0.35, 0.50, 0.75, 1.00)
"""Where a change of the ending is looked for, as a share of the quantity, on both sides (our choice)."""
FINE = 1.0 / 200.0
"""How closely a change is found, as a share of the quantity; a length at least to `FINE_LENGTH` [m] (our
choice)."""
FINE_LENGTH = 5e-4
BESIDE, APART = 5, 0.01
"""At so many values on each side of a change, this share of the quantity apart, the ending is looked at
(our choice)."""
_CHUNK = 10
_CANNOT = "what was drawn is more than the truck can do"
_BROKE_DOWN = "the simulation broke down"
_SEARCHING = 0.3
"""The part of the work taken for the search (our choice)."""
_FAR = 0.5
"""Way [m] from which a run beside another is told to roll or slide (our choice: one that drops shifts by less)."""


def planned(settings: RunSettings, runs: int | None) -> tuple[int, str]:
    """Return how many runs to make, and why these are fewer than usual; asked: None where nobody says."""
    if runs is not None:
        return runs, ""
    if settings.spread is not None:
        return settings.spread, ""
    lasts = settings.duration + settings.stand
    most = max(FEWEST, int(MOST_TIME / lasts))
    if most < RUNS:
        return most, f"{most} runs only, as each covers up to {lasts:g} s"
    return RUNS, ""


def drawn(index: int, count: int) -> Array:
    """Return the point (count,) between 0 and 1 [1] of the run with an index from 0.

    A Latin hypercube of every ten runs: in each direction one of them lies in each tenth. The draws are those of a
    counter, so that a point follows from its index alone.
    """
    block, place = divmod(index, BLOCK)
    steps = np.tile(np.arange(BLOCK), (count, 1))
    own = _generator(block).permuted(steps, axis=1)[:, place]
    point: Array = (own + _generator(block, place).random(count)) / BLOCK
    return point


def _generator(*key: int) -> np.random.Generator:
    return np.random.Generator(np.random.Philox(np.random.SeedSequence((SEED, *key))))


def spread(
    case: Case,
    outcome: Outcome,
    count: int,
    zones: Sequence[ZoneLaw] | None = None,
    reason: str = "",
    progress: Progress | None = None,
    drawn: Callable[[int, int], None] | None = None,
) -> Spread:
    """Run a case ``count`` times within what is not known of it, and look for where it would end otherwise.

    Parameters
    ----------
    case, outcome : the case of the run itself, and how that ended
    count, reason : how many runs, and why not as many as usual; see `planned`
    zones : how the floor answers, in all runs
    progress : told the part that is done
    drawn : told in how many of the runs so far the truck stayed up, and how many these are
    """
    tell = progress or _silent
    varied = knobs(case)
    goes = "" if outcome.gone is None else outcome.gone.in_short
    here = Ending(outcome.truck, outcome.lifted_load, outcome.floor, load_held=outcome.load_held, goes=goes)
    points = [_point(varied, index) for index in range(count)]
    endings: list[Ending] = []
    for first in range(0, count, _CHUNK):
        tell((1.0 - _SEARCHING) * first / count)
        endings += _endings([_case(case, varied, values) for values in points[first : first + _CHUNK]], zones)
        if drawn is not None:
            kept = [ending for ending in endings if ending.truck != NO_RESULT]
            drawn(sum(ending.stayed_up for ending in kept), len(kept))
    led = None if count == 0 else leading(case)
    changes = _Changes(None, None, None)
    if led is not None:
        tell(1.0 - _SEARCHING)
        changes = _ChangeSearch(case, *led, here, zones).look()
    tell(1.0)
    return _told(varied, points, endings, here, changes, reason, case.demo)


def drawn_case(case: Case, index: int) -> Case | None:
    """Return the case of the run with an index from 0; None where it asks for what the truck cannot do."""
    varied = knobs(case)
    drawn = _case(case, varied, _point(varied, index))
    return None if any(check_scenario(drawn.scenario, drawn.machine)) else drawn


def _told(
    varied: Sequence[Knob],
    points: Sequence[tuple[float, ...]],
    endings: Sequence[Ending],
    here: Ending,
    changes: _Changes,
    reason: str,
    demo: str,
) -> Spread:
    kept = [(values, ending) for values, ending in zip(points, endings, strict=True) if ending.truck != NO_RESULT]
    ended = [ending for _, ending in kept]
    up = [ending.stayed_up for ending in ended]
    alike = [ending.kind == here.kind for ending in ended]
    decides, how = _decides(varied, [values for values, _ in kept], up, alike)
    return Spread(
        demo=demo,
        asked=len(points),
        runs=len(kept),
        here=here,
        stayed_up=sum(up),
        interval=interval(sum(up), len(kept)),
        truck=counted(ending.truck for ending in ended),
        lifted_load=counted(ending.lifted_load for ending in ended),
        floor=counted(ending.floor for ending in ended),
        like_this=sum(alike),
        either_way=could_go_either_way([here, *ended]),
        decides=decides,
        decides_how=how,
        inputs=tuple(knob.input for knob in varied),
        change=changes.change,
        stays_until=changes.stays_until,
        edge="" if changes.edge is None else changes.edge.against(here),
        lost=counted(ending.reason or _BROKE_DOWN for ending in endings if ending.truck == NO_RESULT),
        edge_said="" if changes.edge is None else changes.edge.said_against(here),
        reason=reason,
        values=tuple(values for values, _ in kept),
        endings=tuple(ended),
    )


def _decides(
    varied: Sequence[Knob], points: Sequence[tuple[float, ...]], up: Sequence[bool], alike: Sequence[bool]
) -> tuple[str, str]:
    """Return the input that parts the runs most, and how; ("", "") where none stands out from chance.

    Parted are those whose truck stayed up from the others; where all did or none, those that ended like the run itself.
    """
    group, words = (up, "stayed up") if len(set(up)) > 1 else (alike, "ended like this one")
    apart = [parted([values[place] for values in points], group) for place in range(len(varied))]
    best = max(range(len(apart)), key=lambda place: abs(apart[place]), default=None)
    if best is None or abs(apart[best]) < STANDS_OUT:
        return "", ""
    knob = varied[best]
    return knob.input.what, f"{knob.more if apart[best] > 0.0 else knob.less} in the runs that {words}"


def _silent(part: float) -> None:
    """Tell nobody."""


def _point(varied: Sequence[Knob], index: int) -> tuple[float, ...]:
    parts = drawn(index, len(varied))
    ends = [(knob.input.low, knob.input.high) for knob in varied]
    return tuple(low + float(part) * (high - low) for (low, high), part in zip(ends, parts, strict=True))


def _case(case: Case, varied: Sequence[Knob], values: Sequence[float]) -> Case:
    for knob, value in zip(varied, values, strict=True):
        case = knob.set(case, value)
    return case


def _endings(cases: Sequence[Case], zones: Sequence[ZoneLaw] | None) -> list[Ending]:
    """Run cases; one that asks for what the truck cannot do has no result."""
    possible = [not any(check_scenario(case.scenario, case.machine)) for case in cases]
    feasible = [case for case, fits in zip(cases, possible, strict=True) if fits]
    try:
        results = run_batch(feasible, None if zones is None else [zones] * len(feasible), threads=cores())
        for place, result in enumerate(results):
            if result.truck == NO_RESULT:  # a shorter step may carry it through
                case = feasible[place]
                step = case.scenario.run.time_step
                results[place] = run_batch([case], None if zones is None else [zones], dt=step)[0]
    except InputError as error:
        if len(cases) > 1:
            return [ending for case in cases for ending in _endings([case], zones)]
        return [Ending(NO_RESULT, reason=error.reason)]
    ended = iter(results)
    return [_ending(next(ended)) if fits else Ending(NO_RESULT, reason=_CANNOT) for fits in possible]


def _ending(result: BatchResult) -> Ending:
    reason = result.reason if result.truck == NO_RESULT else ""
    goes = IN_SHORT[Went.MOVED] if result.gone > _FAR else ""
    return Ending(result.truck, result.lifted_load, result.floor, reason, goes=goes)


@dataclass(frozen=True)
class _Changes:
    """Where the ending changes, where the truck no longer stays up or does, and how the batch engine ends the case."""

    change: EndingChange | None
    stays_until: EndingChange | None
    edge: Ending | None


class _ChangeSearch:
    """Looks for the nearest value of a quantity at which a case ends otherwise: bisection, and a look beside it."""

    def __init__(self, case: Case, knob: Knob, scale: float, here: Ending, zones: Sequence[ZoneLaw] | None) -> None:
        self._case, self._knob, self._scale, self._here, self._zones = case, knob, scale, here, zones
        self._known: dict[float, Ending] = {}
        self._fine = FINE * scale
        if knob.input.dimension == "length":
            self._fine = min(self._fine, FINE_LENGTH)

    def look(self) -> _Changes:
        """Find where the ending changes, and where it changes whether the truck stays up if that lies farther."""
        here = self._here
        own = self._at([self._knob.input.here])[0]
        if own.truck == NO_RESULT:
            return _Changes(None, None, None)
        if own.kind != here.kind:
            apart = (own.stayed_up, own.fell) != (here.stayed_up, here.fell)
            return _Changes(None, None if apart else self._turn(), own)
        change = self._nearest(lambda ending: ending.truck != NO_RESULT and ending.kind != here.kind)
        if change.at is None or self._falls(self._at([change.at])[0]):
            return _Changes(change, None, None)
        return _Changes(change, self._turn(), None)

    def _turn(self) -> EndingChange | None:
        """Find where it changes whether the truck stays up."""
        falls = self._nearest(self._falls)
        return falls if falls.at is not None else None

    def _falls(self, ending: Ending) -> bool:
        """Whether the truck stays up where it fell, or falls where it stayed up."""
        return ending.stayed_up if self._here.fell else ending.fell

    def _at(self, values: Sequence[float]) -> list[Ending]:
        new = [value for value in dict.fromkeys(values) if value not in self._known]
        endings = _endings([self._knob.set(self._case, value) for value in new], self._zones) if new else []
        self._known.update(zip(new, endings, strict=True))
        return [self._known[value] for value in values]

    def _held(self, value: float) -> float:
        """Return the value that can be had nearest to one."""
        given, step = self._knob.input, self._knob.step
        held = min(max(value, given.low), given.high)
        return held if step == 0.0 or held == given.high else min(round(held / step) * step, given.high)

    def _nearest(self, other: Callable[[Ending], bool]) -> EndingChange:
        """Step away from the value on both sides until the ending is another, then close in on where it turns."""
        given, change, back = self._knob.input, None, False
        same = {-1.0: given.here, 1.0: given.here}
        open_sides = set(same)
        for part in STEPS:
            ahead = {side: self._held(given.here + side * part * self._scale) for side in sorted(open_sides)}
            ahead = {side: value for side, value in ahead.items() if value != same[side]}
            endings = dict(zip(ahead, self._at(list(ahead.values())), strict=True))
            open_sides -= {side for side, ending in endings.items() if ending.truck == NO_RESULT}
            moved = [side for side in ahead if side in open_sides]
            turned = [self._between(same[side], ahead[side], other) for side in moved if other(endings[side])]
            if turned:
                change = self._nearer(min(turned, key=lambda value: (abs(value - given.here), value)), other)
                back = self._comes_back(change, other)
                break
            same.update({side: ahead[side] for side in moved})
        if change is None:
            return EndingChange(given.what, given.dimension, given.here, None, "", same[-1.0], same[1.0])
        there, side = self._at([change])[0], self._knob.more if change > given.here else self._knob.less
        words, said = there.against(self._here), there.said_against(self._here)
        return EndingChange(
            given.what, given.dimension, given.here, change, words, same[-1.0], same[1.0], back, said, side
        )

    def _beside(self, change: float, away: float) -> list[float]:
        """Return the values beside a change, the nearest to it first: farther from the run's own, or with -1 nearer."""
        here = self._knob.input.here
        step = max(APART * self._scale, self._fine, self._knob.step)
        side = away if change > here else -away
        beside = dict.fromkeys(self._held(change + side * k * step) for k in range(1, BESIDE + 1))
        return [value for value in beside if value != change and (value - here) * (change - here) > 0.0]

    def _nearer(self, change: float, other: Callable[[Ending], bool]) -> float:
        """Return the change nearest to the run's own value: one that bisection stepped over may lie before another."""
        while True:
            values = self._beside(change, -1.0)
            ended = [other(ending) for ending in self._at(values)]
            if not any(ended):
                return change
            last = len(ended) - 1 - ended[::-1].index(True)
            same = values[last + 1] if last + 1 < len(values) else self._knob.input.here
            change = self._between(same, values[last], other)

    def _comes_back(self, change: float, other: Callable[[Ending], bool]) -> bool:
        """Whether the ending is the run's own again a little farther than a change."""
        endings = self._at(self._beside(change, 1.0))
        return any(ending.truck != NO_RESULT and not other(ending) for ending in endings)

    def _between(self, same: float, differs: float, other: Callable[[Ending], bool]) -> float:
        return closed_in(lambda value: other(self._at([value])[0]), same, differs, close=self._fine, at=self._held)[1]
