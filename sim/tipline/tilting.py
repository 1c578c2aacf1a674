"""Set-ups for slope limits, and simulated slopes: the floor turned slowly to a slope, again and again, by bisection."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf, isfinite, nan
from typing import TYPE_CHECKING

import numpy as np

from tipline import units
from tipline.errors import InputError, InputErrors
from tipline.scenario import Case
from tipline.scenario.checks import check_scenario
from tipline.scenario.spec import FloorTurns, Run

if TYPE_CHECKING:
    from tipline.assess.slopes import Compared, SetUp, SlopeMap, SlopeReport

__all__ = ["asked_heights", "at_height", "directions_to_simulate", "set_ups", "simulate_slopes"]

CARRYING = 0.3
"""Fork height from which an even spread of heights starts [m]."""
MOST_HEIGHTS = 60
RATE = np.radians(3.0)
"""How fast the floor turns [rad/s]: slow beside the sway of a truck on its tyres."""
BEFORE, AFTER = 0.2, 2.0
"""Time [s] at rest before it turns, and at the slope after."""
MOVED = 0.03
"""Way along the floor [m] from which a parked truck counts as moving."""
_NARROW = 0.01
_MOST_RUNS = 16


def asked_heights(case: Case, text: str | None) -> tuple[float, ...]:
    """Read heights such as "0.3 m, 2 m" or a count such as "20", spread evenly; without a text, four and the own one.

    Raises
    ------
    InputError
        A height cannot be read, or there are too many.
    """
    setup = case.scenario.setup
    if setup.attachment == "none" and setup.fork_height is None:
        return (case.fork_height,)
    own = case.fork_height if case.hook_height is None else case.hook_height
    if text is None:
        return tuple(sorted({*_spread(case, own, 4), own}))
    if text.strip().isdigit():
        count = int(text)
        if not 1 <= count <= MOST_HEIGHTS:
            raise _unread(text, f"between 1 and {MOST_HEIGHTS} heights can be asked")
        return _spread(case, own, count)
    found = []
    for part in text.split(","):
        try:
            found.append(units.parse(part, "length"))
        except ValueError as error:
            raise _unread(text, str(error)) from None
    if len(found) > MOST_HEIGHTS:
        raise _unread(text, f"at most {MOST_HEIGHTS} heights can be asked")
    return tuple(dict.fromkeys(found))


def _unread(text: str, reason: str) -> InputError:
    return InputError(reason, key="--heights", value=text, remedy='Write it like "0.3 m, 2 m, 5 m", or a count like 20')


def _spread(case: Case, own: float, count: int) -> tuple[float, ...]:
    """Return heights from the lowest that the load leaves room for to the top."""
    mast, jib, load = case.machine.mast, case.machine.jib, case.load
    low, top = min(CARRYING, own), mast.top_fork_height
    if case.hook_height is not None and jib is not None:
        rises = jib.rise_pins if case.scenario.setup.jib_rise is None else (case.scenario.setup.jib_rise,)
        low, top = min(rises) + CARRYING, top + max(rises)
        if load is not None and load.hung_by is not None:
            low = max(low, load.hung_by + load.size[2] + 0.1)
        low = min(low, own)
    return tuple(float(value) for value in (np.linspace(low, top, count) if count > 1 else (own,)))


def at_height(case: Case, height: float) -> Case:
    """Return a case at another fork height (hook height on a jib), with nothing happening.

    Raises
    ------
    InputError
        The machine cannot do this.
    """
    scenario = case.scenario
    key = "fork_height" if case.hook_height is None else "hook_height"
    setup = scenario.setup if scenario.setup.attachment == "none" else scenario.setup.model_copy(update={key: height})
    still = scenario.model_copy(update={"setup": setup, "event": (), "table": None, "expect": None})
    found = [
        InputError(one.reason, key=".".join(str(part) for part in one.path), value=f"{height:g} m", remedy=one.remedy)
        for one in check_scenario(still, case.machine)
    ]
    if found:
        raise InputErrors(found)
    return replace(case, scenario=still, cells=())


def set_ups(cases: Sequence[tuple[str, Case]], heights: str | None) -> list[SetUp]:
    """Return every set-up to ask: each case, with the words for what is changed in it, at each height.

    The scenario's own height keeps what happens in it, so that its stops can be set beside the limits.
    """
    from tipline.assess.slopes import SetUp

    out = []
    for label, case in cases:
        own = case.fork_height if case.hook_height is None else case.hook_height
        for height in asked_heights(case, heights):
            out.append(SetUp(case if height == own and not label else at_height(case, height), label))
    return out


def directions_to_simulate(report: SlopeReport, count: int) -> list[tuple[SlopeMap, int]]:
    """Pick maps and directions: the least limit of the scenario's set-up, then ahead, left, behind, and diagonals."""
    maps = [one for one in report.maps if one.stands and not one.label]
    if not maps:
        return []
    worst = min(maps, key=lambda one: float(one.first[one.worst]) if isfinite(one.first[one.worst]) else inf)
    wanted = [worst.worst, *(worst.at(azimuth) for azimuth in np.radians([0, 90, 180, -90, 45, 135, -45, -135]))]
    wanted += range(len(worst.azimuth))
    kept = [index for index in dict.fromkeys(wanted) if isfinite(worst.first[index])]
    return [(worst, index) for index in kept[:count]]


def simulate_slopes(
    report: SlopeReport,
    cases: Mapping[tuple[str, float], Case],
    count: int,
    progress: Callable[[float], None] | None = None,
) -> tuple[Compared, ...]:
    """Simulate so many directions of a report; cases by label and height.

    Raises
    ------
    NumericalError, MissingPart
        As in `tipline.engine.simulate`.
    """
    picked = directions_to_simulate(report, count)
    out = []
    for done, (one, index) in enumerate(picked):
        out.append(_compare(one, index, at_height(cases[one.label, one.height], one.height)))
        if progress is not None:
            progress((done + 1) / len(picked))
    return tuple(out)


@dataclass(frozen=True)
class _Tried:
    slope: float
    went: str
    over: str


def _compare(one: SlopeMap, index: int, case: Case) -> Compared:
    from tipline.assess.slopes import Compared

    azimuth = float(one.azimuth[index])
    first, tips = float(one.first[index]), float(one.found["tips"][index])
    tried: list[_Tried] = []
    _bisect(case, azimuth, first, tried, lambda run: bool(run.went))
    if isfinite(tips):
        _bisect(case, azimuth, tips, tried, lambda run: bool(run.over))
    went = [run for run in tried if run.went]
    fell = [run for run in tried if run.over]
    return Compared(
        label=one.label,
        height=one.height,
        hook=one.hook,
        azimuth=azimuth,
        static_first=first,
        static_what=one.words(index),
        static_tips=tips,
        first=_bracket(tried, lambda run: bool(run.went)),
        what=min(went, key=lambda run: run.slope).went if went else "",
        tips=_bracket(tried, lambda run: bool(run.over)),
        over=min(fell, key=lambda run: run.slope).over if fell else "",
        runs=len(tried),
    )


def _bracket(tried: Sequence[_Tried], goes: Callable[[_Tried], bool]) -> tuple[float, float]:
    """Return the least slope that went, and the greatest below it that held."""
    high = min((run.slope for run in tried if goes(run)), default=inf)
    low = max((run.slope for run in tried if not goes(run) and run.slope < high), default=nan)
    return low, high if isfinite(high) else nan


def _bisect(case: Case, azimuth: float, guess: float, tried: list[_Tried], goes: Callable[[_Tried], bool]) -> None:
    """Add runs until the slope is known to a hundredth, or it does not go up to a quarter above the guess."""
    most = min(1.25 * guess, 0.9)
    for _ in range(_MOST_RUNS):
        low, high = _bracket(tried, goes)
        if not isfinite(high):
            x = 1.03 * guess if not isfinite(low) or low < guess else min(low * 1.08, most)
            if isfinite(low) and low >= most - 1e-9:
                return
        elif not isfinite(low):
            x = high * 0.93
            if x < 0.01:
                return
        elif high - low <= _NARROW * high:
            return
        else:
            x = 0.5 * (low + high)
        tried.append(_turned(case, azimuth, x))


def _turned(case: Case, azimuth: float, slope: float) -> _Tried:
    """Turn the floor to a slope and say what went first, "" if nothing, and over which line it is at the end."""
    from tipline import assess, engine

    over = slope / RATE
    turn = FloorTurns.model_construct(kind="floor_turns", at=BEFORE, slope=slope, towards=azimuth, over=over, rate=None)
    step = case.scenario.run.time_step
    seconds = BEFORE + over + AFTER
    how = Run.model_construct(duration=seconds, time_step=step, extend_to=seconds, record_every=1, stand=0.0)
    setup = case.scenario.setup.model_copy(update={"slope": 0.0, "slope_towards": 0.0, "speed": 0.0})
    turned = replace(
        case, scenario=case.scenario.model_copy(update={"event": (turn,), "run": how, "setup": setup}), cells=()
    )
    record = engine.simulate(turned, zones=())
    went, line = assess.first_to_go(record, turned, MOVED)
    return _Tried(slope, went, line)
