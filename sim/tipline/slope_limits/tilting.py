"""Simulated slopes by bisection, beside the limits of statics.

The floor is turned slowly to a slope, again and again; or the truck drives onto a ramp, and on, or stops there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import atan, inf, isfinite, nan, pi
from typing import Literal

import numpy as np

from tipline.closing_in import closed_in
from tipline.results import COMPILED
from tipline.scenario import Case
from tipline.scenario.driving import WALKING
from tipline.scenario.spec import FloorTurns, PedalLift, Ramp, RunSettings, ServiceStop
from tipline.slope_limits.asked import SAME, at_height
from tipline.slope_limits.maps import Compared, RampRun, SlopeMap, SlopeReport

__all__ = [
    "RAMPS",
    "by_statics",
    "compare",
    "directions_to_simulate",
    "drive_onto",
    "simulate_ramps",
    "simulate_slopes",
    "turn_floor",
]  # fmt: skip

RATE = np.radians(3.0)
"""How fast the floor turns [rad/s]: slow beside the sway of a truck on its tyres (our choice)."""
BEFORE, AFTER, LONGEST = 0.2, 2.0, 10.0
"""Time [s] at rest before it turns, and at the slope after; the longest, where what becomes of it is not decided
(our choice).

A truck just past its limit falls slowly: ended after 2 s, it seems to hold 3 % more than it does.
"""
MOVED = 0.03
"""Way along the floor [m] from which a parked truck counts as moving (our choice: past the give of its tyres)."""
Goes = Literal["up", "down"]
RAMPS: tuple[tuple[Goes, int, str], ...] = (
    ("down", 1, "pedal lift"),
    ("down", 1, "service stop"),
    ("down", 1, ""),
    ("up", 1, ""),
    ("up", -1, "service stop"),
    ("down", -1, "service stop"),
    ("up", 1, "service stop"),
    ("up", -1, ""),
    ("down", -1, ""),
    ("down", -1, "pedal lift"),
    ("up", -1, "pedal lift"),
    ("up", 1, "pedal lift"),
)
"""Ways to drive onto a ramp, in the order they are simulated: up or down, +1 forward or -1 in reverse, the stop."""
ROOM = 0.5
"""How far [m] ahead of the foremost part the ramp begins, and how far the last axle is on it when a stop begins (our
choice: clear of the edge before it and behind it)."""
STEEPEST = atan(0.3)
"""Ramps beyond this are not driven: drive tyres slip on them, and how a truck slides back is another question
(our choice)."""
_NARROW = 0.01
"""Relative width at which a slope is known (numerical)."""
_MOST_RUNS = 16


def directions_to_simulate(report: SlopeReport, count: int) -> list[tuple[SlopeMap, int]]:
    """Pick maps and directions: the least limit of the scenario's set-up, then ahead, left, behind, and diagonals."""
    maps = [slope_map for slope_map in report.maps if slope_map.stands and not slope_map.label]
    if not maps:
        return []
    worst = min(maps, key=lambda slope_map: slope_map.least)
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
    NumericalError
        As in `tipline.engines.simulate`.
    """
    picked = directions_to_simulate(report, count)
    out = []
    for done, (slope_map, index) in enumerate(picked):
        out.append(compare(slope_map, index, at_height(cases[slope_map.label, slope_map.height], slope_map.height)))
        if progress is not None:
            progress((done + 1) / len(picked))
    return tuple(out)


@dataclass(frozen=True)
class Tried:
    """One slope simulated: what went first, and over which line it was at the end; "" for nothing."""

    slope: float
    went: str
    over: str


def compare(slope_map: SlopeMap, index: int, case: Case) -> Compared:
    """Simulate one direction of a map: the slopes between which something goes first, and it tips."""
    azimuth = float(slope_map.azimuth[index])
    first, tips = float(slope_map.first[index]), float(slope_map.limits["tips"][index])
    tried: list[Tried] = []

    def turned(slope: float) -> Tried:
        return turn_floor(case, azimuth, slope)

    _bisect(turned, first, min(1.25 * first, 0.9), tried, lambda run: bool(run.went))
    if isfinite(tips):
        _bisect(turned, tips, min(1.25 * tips, 0.9), tried, lambda run: bool(run.over))
    went = [run for run in tried if run.went]
    fell = [run for run in tried if run.over]
    return Compared(
        label=slope_map.label,
        height=slope_map.height,
        hook=slope_map.hook,
        azimuth=azimuth,
        static_first=first,
        static_what=slope_map.words(index),
        static_tips=tips,
        first=_bracket(tried, lambda run: bool(run.went)),
        what=min(went, key=lambda run: run.slope).went if went else "",
        tips=_bracket(tried, lambda run: bool(run.over)),
        over=min(fell, key=lambda run: run.slope).over if fell else "",
        runs=len(tried),
    )


def _bracket(tried: Sequence[Tried], goes: Callable[[Tried], bool]) -> tuple[float, float]:
    """Return the least slope that went, and the greatest below it that held."""
    high = min((run.slope for run in tried if goes(run)), default=inf)
    low = max((run.slope for run in tried if not goes(run) and run.slope < high), default=nan)
    return low, high if isfinite(high) else nan


def _bisect(
    tries: Callable[[float], Tried],
    guess: float,
    most: float,
    tried: list[Tried],
    goes: Callable[[Tried], bool],
    grow: float = 1.08,
    narrow: float = _NARROW,
) -> None:
    """Add runs until the slope is known to a hundredth (``narrow``), or it does not go up to ``most``."""
    begun = len(tried)
    for _ in range(_MOST_RUNS):
        low, high = _bracket(tried, goes)
        if not isfinite(high):
            x = 1.03 * guess if not isfinite(low) or low < guess else low * grow
            if isfinite(low) and low >= most - 1e-9:
                return
            x = min(x, most)
        elif not isfinite(low):
            x = high * 0.93 if high > 0.5 * guess else high * 0.6
            if x < 0.01:
                return
        else:
            break
        tried.append(tries(x))
    else:
        return

    def went(slope: float) -> bool:
        tried.append(tries(slope))
        return goes(tried[-1])

    closed_in(went, low, high, part=narrow, most=_MOST_RUNS - len(tried) + begun)


def turn_floor(case: Case, azimuth: float, slope: float) -> Tried:
    """Turn the floor to a slope and say what went first, "" if nothing, and over which line it is at the end."""
    from tipline import engines
    from tipline.runs.assessment import first_to_go
    from tipline.statics.barrier import crest_losses

    over = slope / RATE
    turn = FloorTurns.model_construct(kind="floor_turns", at=BEFORE, slope=slope, towards=azimuth, over=over, rate=None)
    step = case.scenario.run.time_step
    seconds = BEFORE + over + AFTER
    most = BEFORE + over + LONGEST
    how = RunSettings.model_construct(duration=seconds, time_step=step, extend_to=most, record_every=1, stand=0.0)
    setup = case.scenario.setup.model_copy(update={"slope": 0.0, "slope_towards": 0.0, "speed": 0.0})
    turned = replace(
        case, scenario=case.scenario.model_copy(update={"event": (turn,), "run": how, "setup": setup}), cells=()
    )
    record = engines.simulate(turned, losses=crest_losses(turned), zones=(), engine=COMPILED)
    went, line = first_to_go(record, MOVED)
    return Tried(slope, went, line)


def simulate_ramps(
    report: SlopeReport, case: Case, count: int, progress: Callable[[float], None] | None = None
) -> tuple[RampRun, ...]:
    """Simulate so many of the `RAMPS` at the scenario's own height, at its speed, or at a walk where it stands.

    Raises
    ------
    NumericalError, InputError
        As in `tipline.engines.simulate`.
    """
    own = case.height
    maps = [
        slope_map
        for slope_map in report.maps
        if slope_map.stands and not slope_map.label and abs(slope_map.height - own) <= SAME
    ]
    if not maps:
        return ()
    picked, out = RAMPS[:count], []
    for done, (goes, sense, stop) in enumerate(picked):
        out.append(_simulate_ramp(report, maps[0], at_height(case, own), goes, sense, stop))
        if progress is not None:
            progress((done + 1) / len(picked))
    return tuple(out)


def _simulate_ramp(report: SlopeReport, slope_map: SlopeMap, case: Case, goes: Goes, sense: int, stop: str) -> RampRun:
    speed = abs(case.scenario.setup.speed) or min(WALKING, case.machine.drive.top_speed)
    # uphill the floor falls behind the way it drives
    azimuth = pi if (goes == "up") == (sense > 0) else 0.0
    static, what, rate = by_statics(report, slope_map, azimuth, sense, stop)
    guess = 0.03 if static == 0.0 else min(static if isfinite(static) else STEEPEST, 0.8 * STEEPEST)
    tried: list[Tried] = []

    def driven(slope: float) -> Tried:
        return drive_onto(case, goes, sense, stop, speed, slope)

    for goal in ("went", "over"):
        known = [run.slope for run in tried if getattr(run, goal) or run.went]
        start = min(known, default=guess) if goal == "over" else guess
        _bisect(driven, start, STEEPEST, tried, lambda run, goal=goal: bool(getattr(run, goal)), 1.4, 0.02)  # type: ignore[misc]
    went, fell = [run for run in tried if run.went], [run for run in tried if run.over]
    return RampRun(
        label=slope_map.label,
        height=slope_map.height,
        hook=slope_map.hook,
        goes=goes,
        sense=sense,
        speed=speed,
        stop=stop,
        deceleration=rate,
        azimuth=azimuth,
        static=static,
        static_what=what,
        first=_bracket(tried, lambda run: bool(run.went)),
        what=min(went, key=lambda run: run.slope).went if went else "",
        tips=_bracket(tried, lambda run: bool(run.over)),
        over=min(fell, key=lambda run: run.slope).over if fell else "",
        runs=len(tried),
    )


def by_statics(
    report: SlopeReport, slope_map: SlopeMap, azimuth: float, sense: int, stop: str
) -> tuple[float, str, float]:
    """Return the slope limit by statics of a truck that drives and stops there, what goes, and the deceleration.

    A truck that drives is not held by its parking brake: that it would roll or slide when parked is no limit to it.
    """
    index, rate = slope_map.at(azimuth), 0.0
    known = {
        name: float(values[index])
        for name, values in slope_map.limits.items()
        if name not in ("slides", "rolls") and isfinite(values[index])
    }
    what = min(known, key=lambda name: known[name], default="")
    if what == "lifts":
        what = next((name for name in ("swings", "tips") if known.get(name, inf) <= 1.02 * known["lifts"]), what)
    limit = known.get(what, nan)
    own = slope_map.label, slope_map.height, stop, sense
    for braking_map in report.braking:
        if (braking_map.label, braking_map.height, braking_map.stop, braking_map.sense) == own:
            rate, braked = braking_map.deceleration, float(braking_map.first[braking_map.at(azimuth)])
            if braked < limit or not isfinite(limit):
                limit, what = braked, braking_map.what[braking_map.at(azimuth)]
    return limit, what, rate


def drive_onto(case: Case, goes: Goes, sense: int, stop: str, speed: float, slope: float) -> Tried:
    """Drive onto a ramp, and on or to a stop with the last axle on it; say what went first, and over which line."""
    from tipline import engines
    from tipline.geometry import assemble
    from tipline.runs.assessment import first_to_go
    from tipline.statics.barrier import crest_losses

    reach = [sense * contact.position[0] for contact in assemble(case.machine, case.scenario.setup, case.load).contacts]
    ahead = 0.0 if sense > 0 else case.machine.wheelbase
    begins = max(*reach, ahead + case.machine.drive_axle.tyre[0].diameter) + ROOM
    on = (begins + (case.machine.wheelbase if sense > 0 else 0.0) + ROOM) / speed
    ramp = Ramp.model_construct(
        kind="ramp", begins=begins, slope=slope, goes=goes, towards=0.0 if sense > 0 else pi, length=50.0
    )
    events: tuple[Ramp | ServiceStop | PedalLift, ...] = (ramp,)
    seconds = on + AFTER
    drive = case.machine.drive
    if stop == "service stop":
        events += (ServiceStop.model_construct(kind="service_stop", at=on, deceleration=None),)
        seconds += speed / drive.service_deceleration
    elif stop:
        events += (PedalLift.model_construct(kind="pedal_lift", at=on, deceleration=None),)
        seconds += speed / drive.pedal_lift_deceleration
    step, most = case.scenario.run.time_step, seconds + LONGEST - AFTER
    how = RunSettings.model_construct(duration=seconds, time_step=step, extend_to=most, record_every=1, stand=0.0)
    changes = {"slope": 0.0, "slope_towards": 0.0, "speed": sense * speed}
    setup = case.scenario.setup.model_copy(update=changes)
    on_ramp = case.scenario.model_copy(update={"event": events, "run": how, "setup": setup})
    ridden = replace(case, scenario=on_ramp, cells=())
    record = engines.simulate(ridden, losses=crest_losses(ridden), zones=(), engine=COMPILED)
    went, line = first_to_go(record, inf)
    touched = float(record.series("body_force").max()) > 0.0 or float(record.series("load_floor_force").max()) > 0.0
    return Tried(slope, went or ("something other than a tyre touches the ramp" if touched else ""), line)
