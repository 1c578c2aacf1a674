"""How steep the floor may fall in every direction: for heights and set-ups, with what goes first, and which line."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from math import inf, isfinite, nan, pi, tan

from tipline.kernels import layout as at
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.model.machine import Machine
from tipline.scenario import Case
from tipline.scenario.labels import height_of
from tipline.scenario.spec import Ramp, Scenario
from tipline.slope_limits.maps import (
    RADII,
    WHAT,
    BrakingMap,
    Needed,
    SlopeMap,
    SlopeReport,
    StopCurve,
    TurnCurve,
    speed_in_turn,
)
from tipline.slope_limits.solving import SetUp, SlopeJob, first_of, slope_kernel
from tipline.statics.planning import governs, plate_row, stops_planned
from tipline.statics.together import towards
from tipline.statics.truck import truck_of
from tipline.units import show

__all__ = [
    "assess_slopes",
]


def assess_slopes(
    setups: Sequence[SetUp],
    directions: int = 72,
    progress: Callable[[float], None] | None = None,
) -> SlopeReport:
    """Find the slope limits of set-ups, all of one scenario, in so many even directions.

    A set-up that does not stand on a level floor is reported, not raised. Loads numba.
    """
    trucks = [truck_of(setup.case) for setup in setups]
    jobs = [SlopeJob(setup, truck, directions) for setup, truck in zip(setups, trucks, strict=True)]
    run, tell = slope_kernel(jobs[0]), progress or (lambda part: None)
    spent = _timed(jobs, lambda job: job.solve(run), lambda part: tell(0.5 * part))
    braked = _timed(jobs, lambda job: job.solve_braking(run), lambda part: tell(0.5 + 0.5 * part))
    maps = tuple(job.map() for job in jobs)
    return replace(_report(setups, jobs, maps, spent), braking_time=braked)


def _timed(jobs: Sequence[SlopeJob], solve: Callable[[SlopeJob], None], tell: Callable[[float], None]) -> float:
    """Solve every job, two at a time; return the time taken [s]."""
    began = time.perf_counter()
    with ThreadPoolExecutor(2) as pool:  # compiled code lets other threads run
        for done, _ in enumerate(pool.map(solve, jobs), start=1):
            tell(done / len(jobs))
    return time.perf_counter() - began


def _report(setups: Sequence[SetUp], jobs: list[SlopeJob], maps: tuple[SlopeMap, ...], spent: float) -> SlopeReport:
    case, job = setups[0].case, jobs[0]
    turns = tuple(_turn(job, slope_map) for job, slope_map in zip(jobs, maps, strict=True))
    stops = tuple(_stops(label, jobs, maps) for label in dict.fromkeys(slope_map.label for slope_map in maps))
    braking = tuple(braking_map for job in jobs for braking_map in job.braking)
    needed = _needed(case, maps, stops, braking)
    return SlopeReport(
        title=case.scenario.title,
        demo=case.demo,
        maps=maps,
        turns=turns,
        stops=stops,
        track=job.track,
        wheelbase=case.machine.wheelbase,
        brake=job.brake,
        braking=braking,
        needed=needed,
        exceeded=_exceeded(maps, needed),
        notes=_notes(job),
        assumed=tuple(case.assumed),
        assumed_count=case.assumed_count,
        governs=governs(case.load, case.machine, plate_row(case.inputs, job.truck)),
        solve_time=spent,
    )


def _turn(job: SlopeJob, slope_map: SlopeMap) -> TurnCurve:
    """Turn the sideways pull that the worse side holds into speeds by radius."""
    picked = [first_of(dict(zip(WHAT, row[: len(WHAT)].tolist(), strict=True))) for row in job.turn]
    pull, what = min(((G * tan(value) if isfinite(value) else nan, what) for value, what in picked), key=_last_nan)
    pull = pull if slope_map.stands else 0.0
    return TurnCurve(
        slope_map.label,
        slope_map.height,
        slope_map.hook,
        pull,
        what,
        tuple(speed_in_turn(radius, pull) for radius in RADII),
    )


def _last_nan(pair: tuple[float, str]) -> float:
    return pair[0] if isfinite(pair[0]) else inf


def _stops(label: str, jobs: list[SlopeJob], maps: tuple[SlopeMap, ...]) -> StopCurve:
    chosen = [(job, slope_map) for job, slope_map in zip(jobs, maps, strict=True) if slope_map.label == label]
    limits = []
    for job, slope_map in chosen:
        for row in job.stop:
            value, what = first_of(dict(zip(WHAT, row[: len(WHAT)].tolist(), strict=True)))
            limits.append((G * tan(value) if slope_map.stands else 0.0, what))
    ahead, behind = limits[::2], limits[1::2]
    return StopCurve(
        label=label,
        heights=tuple(slope_map.height for _, slope_map in chosen),
        hook=chosen[0][1].hook,
        forward=tuple(value for value, _ in ahead),
        reverse=tuple(value for value, _ in behind),
        forward_what=tuple(what for _, what in ahead),
        reverse_what=tuple(what for _, what in behind),
        hung=chosen[0][0].truck.hung,
    )


def _needed(
    case: Case, maps: tuple[SlopeMap, ...], stops: tuple[StopCurve, ...], braking: tuple[BrakingMap, ...]
) -> tuple[Needed, ...]:
    """Set what the scenario itself asks for beside the limits of its own height."""
    height = case.height
    own = [slope_map for slope_map in maps if not slope_map.label and abs(slope_map.height - height) < 1e-6]
    if not own:
        return ()
    out, (slope, azimuth) = [], case.slope
    if slope > 0.0:
        limit = float(own[0].first[own[0].at(azimuth)])
        out.append(Needed(f"the floor falls {towards(azimuth)}", slope, limit, "slope"))
    index = stops[0].heights.index(own[0].height)
    for name, value in stops_planned(case.machine, case.scenario):
        sense = stops[0].forward if case.scenario.setup.speed >= 0.0 else stops[0].reverse
        out.append(Needed(f"{name} as a {stops[0].word}", value, sense[index], "acceleration"))
    for event in case.scenario.event:
        if isinstance(event, Ramp):
            out += _needed_on_ramp(case.machine, case.scenario, event, own[0], braking)
    return tuple(out)


def _needed_on_ramp(
    machine: Machine, scenario: Scenario, ramp: Ramp, own: SlopeMap, braking: tuple[BrakingMap, ...]
) -> list[Needed]:
    """Set a ramp beside the limit of standing on it, and of the planned stops that are the truck's own."""
    azimuth = ramp.towards if ramp.goes == "down" else ramp.towards + pi
    out = [Needed(f"the ramp {ramp.goes}, standing on it", ramp.slope, float(own.first[own.at(azimuth)]), "slope")]
    sense = 1 if scenario.setup.speed >= 0.0 else -1
    for name, rate in stops_planned(machine, scenario):
        for braking_map in braking:
            same = (braking_map.label, braking_map.height, braking_map.sense) == (own.label, own.height, sense)
            if same and name == f"the {braking_map.stop}" and abs(braking_map.deceleration - rate) < 1e-9:
                limit = float(braking_map.first[braking_map.at(azimuth)])
                out.append(Needed(f"the ramp {ramp.goes}, {name} on it", ramp.slope, limit, "slope"))
    return out


def _exceeded(maps: tuple[SlopeMap, ...], needed: tuple[Needed, ...]) -> tuple[str, ...]:
    out = []
    for slope_map in maps:
        if not slope_map.stands:
            with_ = f", {slope_map.label}" if slope_map.label else ""
            out.append(
                f"at a {height_of(slope_map.hook)} of {show(slope_map.height, 'length')}{with_}, it does not stand on "
                "a level floor"
            )
    for stop in needed:
        if stop.asked > stop.limit:
            need, limit = show(stop.asked, stop.dimension), show(stop.limit, stop.dimension)
            out.append(f"{stop.name}: {need}, more than the limit {limit}")
    return tuple(out)


def _notes(job: SlopeJob) -> tuple[str, ...]:
    """Say what is in the limits and what is not."""
    play = " The mast's play lies to the lower side." if job.truck.plant.mast[at.M_PX] > 0.0 else ""
    out = [
        f"At rest, parked, the slope growing slowly; tyres and mast give.{play} Driving, braking and rocking "
        "come on top.",
        f"The parking brake holds {show(job.brake, 'force')} on the drive axle; the steer tyres roll freely. Past "
        "rolling or sliding the later limits are those of a truck that is kept from moving.",
    ]
    if job.truck.hung:
        out.append(
            "The hung load acts at its hook. In a stop it swings to about twice the angle of a steady pull, and counts "
            "so; in a turn it is taken steady."
        )
    if job.truck.outline.pivots:
        out.append(
            "Swing: one drive tyre goes light and the frame swings about the other and the pivot until it meets the "
            "stop. At rest it may stand there; what its fall onto the stop adds is not in these limits but in a "
            "simulation."
        )
    return tuple(out)
