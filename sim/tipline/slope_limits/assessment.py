"""How steep the floor may fall in every direction: for heights and set-ups, with what goes first, and which line.

Statics with all that gives: tyres, mast, its play (to the lower side), frame torsion or the stop of a pivoting axle.
A hung load acts at its hook. The slope grows slowly from level; nothing that moves is in it.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from math import cos, inf, isfinite, nan, pi, sin, tan
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipline.endings import LINES, SIDES
from tipline.errors import InputError
from tipline.geometry.outline import left_tyres
from tipline.geometry.setting import load_base
from tipline.kernels import equilibrium as solver
from tipline.kernels import layout as at
from tipline.kernels import slopes as kernel
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.mechanics.resistance import turn_speed
from tipline.model.load import LiftedLoad
from tipline.model.machine import Machine
from tipline.notebook import Shown, marks, to_dataset, to_frame
from tipline.scenario import Case
from tipline.scenario.driving import WALKING
from tipline.scenario.labels import height_of
from tipline.scenario.spec import Ramp, Scenario
from tipline.statics import limits
from tipline.statics.planning import deceleration_word, governs, plate_row, stops_planned
from tipline.statics.together import shortest_stop, towards
from tipline.statics.truck import Truck, truck_of
from tipline.units import show

__all__ = [
    "WHAT",
    "BrakingMap",
    "Compared",
    "Needed",
    "RampRun",
    "SetUp",
    "SlopeJob",
    "SlopeMap",
    "SlopeReport",
    "StopCurve",
    "TurnCurve",
    "assess_slopes",
    "slope_kernel",
]  # fmt: skip

Array = NDArray[np.float64]
WHAT = ("lifts", "swings", "tips", "slides", "rolls", "load slips", "load topples")
"""What can go first; "" where nothing does up to the steepest slope that is looked at."""
STEEPEST = kernel.STEEPEST
BRAKING_DIRECTIONS = 24
"""How many directions are asked while braking, at most."""
RADII = (*(0.25 * k for k in range(6, 13)), 3.5, 4.0, 4.5, *(float(k) for k in range(5, 16)))
_SAME, _AT_ONCE = 0.02, 0.005
"""A tyre that lifts within that share of a swing or a tip is part of it; a swing within that share of a tip is one
(our choice). Above them the radii [m] that speeds in a turn are told for (our choice)."""


@dataclass(frozen=True)
class SetUp:
    """A set-up to ask at one height: its case, the words for what is changed in it ("" for the scenario's own)."""

    case: Case
    label: str = ""


def _nearest_of(azimuths: Array, azimuth: float) -> int:
    return int(np.argmax(np.cos(azimuths - azimuth)))


@dataclass(frozen=True)
class SlopeMap:
    """Slope limits of one set-up at one height by direction.

    Attributes
    ----------
    label, height, hook : what is changed in the set-up; the height of fork or hook [m], and which of them it is
    stands : whether it stands on a level floor; without it all limits are 0
    azimuth : (n,) float array [rad]: where the floor falls to, from the heading, 0 ahead, pi/2 left
    limits : (n,) float arrays [rad] by what goes, as in `WHAT`; nan where it does not come before it tips
    first : (n,) float array [rad]: the least of them; ``what`` : which it is
    tyre, side, line : which lifts, to which it swings, over which it tips
    on_stop : (n,) flags: it stood on the stop of its axle before it tipped
    """

    label: str
    height: float
    hook: bool
    stands: bool
    azimuth: Array
    limits: dict[str, Array]
    first: Array
    what: tuple[str, ...]
    tyre: tuple[str, ...]
    side: tuple[str, ...]
    line: tuple[str, ...]
    on_stop: NDArray[np.bool_]

    @property
    def worst(self) -> int:
        """The direction with the least limit."""
        return int(np.nanargmin(np.where(np.isfinite(self.first), self.first, inf)))

    @property
    def least(self) -> float:
        """The least limit [rad], infinite where nothing goes."""
        least = float(self.first[self.worst])
        return least if isfinite(least) else inf

    def at(self, azimuth: float) -> int:
        """Return the direction nearest to an azimuth."""
        return _nearest_of(self.azimuth, azimuth)

    def words(self, index: int) -> str:
        """Say what goes first in a direction."""
        if not self.stands:
            return "it does not stand on a level floor"
        what, at_once = self.what[index], self.limits["swings"][index] >= (1 - _SAME) * self.limits["tips"][index]
        side, line = self.side[index], self.line[index]
        if what == "swings":
            return f"the frame swings to the {side} onto its stop, where it stands at rest up to {self.up_to(index)}"
        if what == "tips" and at_once and line in SIDES:
            return f"the frame swings to the {side}, and past its stop it goes over"
        return {
            "lifts": f"{self.tyre[index]} lifts",
            "tips": f"tips over the {line} line",
            "slides": "slides aside",
            "rolls": "rolls away",
            "load slips": "the load slips on the forks",
            "load topples": "the load topples on the forks",
            "": "nothing goes up to the steepest slope looked at",
        }[what]

    def up_to(self, index: int) -> str:
        """Say at which slope it tips in a direction."""
        tips = self.limits["tips"][index]
        return show(tips, "slope") if isfinite(tips) else f"{show(STEEPEST, 'slope')} or more"


@dataclass(frozen=True)
class BrakingMap:
    """Slope limits of one set-up at one height while a steady stop brakes it, by direction.

    Attributes
    ----------
    label, height, hook : as in `SlopeMap`
    stop, deceleration, sense : which stop, how hard [m/s2]; +1 driving forward, -1 in reverse
    azimuth : (n,) float array [rad], as in `SlopeMap`
    limits : (n,) float arrays [rad] by what goes
    first : (n,) float array [rad]: the least of them, 0 where the stop alone is too much, nan where nothing goes up to
        the steepest slope that is looked at; ``what`` : which it is
    line : which it tips over
    """

    label: str
    height: float
    hook: bool
    stop: str
    deceleration: float
    sense: int
    azimuth: Array
    limits: dict[str, Array]
    first: Array
    what: tuple[str, ...]
    line: tuple[str, ...]

    @property
    def worst(self) -> int:
        """The direction with the least limit."""
        return int(np.argmin(np.where(np.isfinite(self.first), self.first, inf)))

    def at(self, azimuth: float) -> int:
        """Return the direction nearest to an azimuth."""
        return _nearest_of(self.azimuth, azimuth)


@dataclass(frozen=True)
class TurnCurve:
    """Greatest steady speed [m/s] on a level floor by radius [m] at one height: the worse side, and what goes first."""

    label: str
    height: float
    hook: bool
    pull: float
    what: str
    speed: tuple[float, ...]
    radius: tuple[float, ...] = RADII

    def at(self, radius: float) -> float:
        """Return the greatest steady speed [m/s] on a radius [m]."""
        return _turn_speed(radius, self.pull)


@dataclass(frozen=True)
class StopCurve:
    """Greatest steady deceleration [m/s2] by height [m] on a level floor, driving forward and in reverse."""

    label: str
    heights: tuple[float, ...]
    hook: bool
    forward: tuple[float, ...]
    reverse: tuple[float, ...]
    forward_what: tuple[str, ...]
    reverse_what: tuple[str, ...]
    hung: bool

    @property
    def word(self) -> str:
        """Which deceleration it is: steady, or with the load's swing."""
        return deceleration_word(swung=self.hung)

    def length(self, sense: str, speed: float = WALKING) -> tuple[float, ...]:
        """Return the shortest stops [m] from a speed [m/s], ``sense`` "forward" or "reverse"."""
        return tuple(shortest_stop(speed, value) for value in getattr(self, sense))


@dataclass(frozen=True)
class Needed:
    """A slope or stop that the scenario itself asks for, and the limit it meets: [rad] or [m/s2]."""

    name: str
    asked: float
    limit: float
    dimension: str


@dataclass(frozen=True)
class Compared:
    """Statics beside simulation in one direction: slopes [rad] at which something goes first, and at which it is over.

    The simulated ones are (held, went): the last slope that held and the first that did not; nan = not reached.
    """

    label: str
    height: float
    hook: bool
    azimuth: float
    static_first: float
    static_what: str
    static_tips: float
    first: tuple[float, float]
    what: str
    tips: tuple[float, float]
    over: str
    runs: int


@dataclass(frozen=True)
class RampRun:
    """A ramp driven onto, and stopped on: slopes [rad] at which something goes first, and at which it is over.

    ``goes`` up or down, ``sense`` +1 driving forward, -1 in reverse, at ``speed`` [m/s]; ``stop`` names the stop, ""
    where it drives on. ``azimuth``: where the floor falls to, from the heading. ``static``: the limit by statics in
    that direction, the lower of driving on and of the stop's steady ``deceleration`` [m/s2], and what goes. Simulated
    pairs are (held, went): the steepest that held and the least that did not; nan = not reached.
    """

    label: str
    height: float
    hook: bool
    goes: str
    sense: int
    speed: float
    stop: str
    deceleration: float
    azimuth: float
    static: float
    static_what: str
    first: tuple[float, float]
    what: str
    tips: tuple[float, float]
    over: str
    runs: int


@dataclass(frozen=True)
class SlopeReport(Shown):
    """Slope limits of set-ups by height and direction, with limit curves of turns and stops."""

    title: str
    demo: str
    maps: tuple[SlopeMap, ...]
    turns: tuple[TurnCurve, ...]
    stops: tuple[StopCurve, ...]
    track: float
    wheelbase: float
    brake: float
    braking: tuple[BrakingMap, ...] = ()
    simulated: tuple[Compared, ...] = ()
    driven: tuple[RampRun, ...] = ()
    needed: tuple[Needed, ...] = ()
    exceeded: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    assumed_count: int = 0
    governs: tuple[str, ...] = ()
    solve_time: float = nan
    braking_time: float = nan
    reasons: dict[str, str] = field(default_factory=dict)
    unusual: tuple[InputError, ...] = ()
    not_met: tuple[str, ...] = ()

    @property
    def worst(self) -> tuple[SlopeMap, int]:
        """The map and the direction with the least limit of all."""
        least = min(self.maps, key=lambda slope_map: slope_map.least)
        return least, least.worst

    def rows(self) -> list[dict[str, Any]]:
        """Give one record a set-up, height and direction; slopes in percent, None where not reached."""
        return [
            {
                "set_up": slope_map.label or "as in the scenario",
                "height_m": slope_map.height,
                "height_of": "hook" if slope_map.hook else "fork",
                "azimuth_deg": round(float(np.degrees(slope_map.azimuth[i])), 6),
                "first_percent": _percent(slope_map.first[i]),
                "first": slope_map.what[i],
                "line": slope_map.line[i],
                "tyre": slope_map.tyre[i],
                **{f"{name.replace(' ', '_')}_percent": _percent(slope_map.limits[name][i]) for name in WHAT},
                "stands_level": slope_map.stands,
            }
            for slope_map in self.maps
            for i in range(len(slope_map.azimuth))
        ]

    def to_pandas(self) -> Any:
        """Return the records as a pandas table; raises MissingPart without pandas."""
        return to_frame(self.rows(), marks(self.demo))

    def to_xarray(self) -> Any:
        """Return limits [rad] by set-up and height, direction and kind, as one dataset; what goes first as words.

        ``braking`` has the limits in the truck's stops by stop and sense, nan where nothing goes up to the steepest
        slope that is looked at. Raises MissingPart without xarray.
        """
        return to_dataset(self._arrays(), {"title": self.title, "units": "rad", **marks(self.demo)})

    def _arrays(self) -> dict[str, tuple[tuple[str, ...], Any]]:
        names = [slope_map.label or "as in the scenario" for slope_map in self.maps]
        case, ways = "case", [(stop.stop, stop.sense) for stop in self.braking[: len(self.braking) // len(self.maps)]]
        braked = np.array([braking_map.first for braking_map in self.braking]).reshape(len(self.maps), len(ways), -1)
        arrays: dict[str, tuple[tuple[str, ...], Any]] = {
            "set_up": ((case,), names),
            "height": ((case,), [slope_map.height for slope_map in self.maps]),
            "azimuth": (("azimuth",), self.maps[0].azimuth),
            "kind": (("kind",), list(WHAT)),
            "limit": (
                (case, "azimuth", "kind"),
                [np.stack(list(slope_map.limits.values()), axis=1) for slope_map in self.maps],
            ),
            "first": ((case, "azimuth"), [slope_map.first for slope_map in self.maps]),
            "what": ((case, "azimuth"), [list(slope_map.what) for slope_map in self.maps]),
            "turn_speed": ((case, "radius"), [turn.speed for turn in self.turns]),
            "radius": (("radius",), list(RADII)),
        }
        if self.braking:
            arrays["braking"] = ((case, "way", "braking_azimuth"), braked)
            arrays["way"] = (("way",), [f"{stop}, {'forward' if sense > 0 else 'in reverse'}" for stop, sense in ways])
            arrays["braking_azimuth"] = (("braking_azimuth",), self.braking[0].azimuth)
        return arrays


def _percent(slope: float) -> float | None:
    return 100.0 * tan(slope) if isfinite(slope) else None


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


def slope_kernel(job: SlopeJob) -> Callable[..., None]:
    """Load the compiled kernel, and have it compiled for these arrays before the clock runs."""
    from tipline.kernels.compiled import compiled

    run = compiled("slope_limits")
    job.call(run, np.zeros(0), way_of(), np.zeros((0, kernel.N_LIMIT)))
    return run


class SlopeJob:
    """One set-up at one height: what the kernel is given, and what it found."""

    def __init__(self, setup: SetUp, truck: Truck, directions: int) -> None:
        self.setup, self.truck = setup, truck
        case, tyre = setup.case, truck.plant.tyre
        around = np.arange(directions) * (2.0 * pi / directions)
        self.azimuth = np.where(around > pi + 1e-9, around - 2.0 * pi, around)
        self.left = left_tyres(truck.plant).astype(np.float64)
        front = tyre[tyre[:, at.T_BODY] == at.CHASSIS, at.T_Y]
        self.track = float(front.max() - front.min())
        self.heading = case.scenario.setup.heading
        self.ends = np.array([case.machine.wheelbase, 0.5 * self.track, self.heading])
        self.forks = _forks(case.load, case.machine, case.scenario.setup.tilt)
        self.mirrored = limits.mirrored(truck)
        self.brake = case.machine.drive.parking_brake_force
        self.limits = np.full((directions, kernel.N_LIMIT), np.nan)
        self.braking: list[BrakingMap] = []
        self.turn, self.stop = np.full((2, kernel.N_LIMIT), np.nan), np.full((2, kernel.N_LIMIT), np.nan)

    def call(self, run: Callable[..., None], azimuth: Array, way: Array, out: Array) -> None:
        """Ask the kernel, compiled or not, for azimuths (n,) [rad], fill out (n, N_LIMIT); `way_of` gives the way."""
        truck = self.truck
        level = truck.gravity(0.0, 0.0)
        rests = {lean: truck.rest(level, lean, compiled=True) for lean in (1.0, -1.0)}
        leans = [1.0 if sin(angle) >= -1e-9 else -1.0 for angle in azimuth]
        starts = np.array([rests[lean].q if rests[lean].stands else truck.start(lean) for lean in leans])
        starts = starts.reshape(-1, solver.N_Q)
        home = truck.build.home
        run(azimuth + self.heading, G, way, self.forks, self.left, self.ends, starts, truck.plant, home, out)

    def solve(self, run: Callable[..., None]) -> None:
        """Fill in what the kernel finds."""
        self.limits[:] = self._around(run, self.azimuth, way_of(brake=self.brake))
        self.call(run, np.array([0.5 * pi, -0.5 * pi]), way_of(level=True), self.turn)
        self.call(run, np.array([0.0, pi]), way_of(level=True, more=float(self.truck.hung)), self.stop)

    def _around(self, run: Callable[..., None], azimuth: Array, way: Array) -> Array:
        """Ask all directions; of a truck even on both sides, half of them."""
        out = np.full((len(azimuth), kernel.N_LIMIT), np.nan)
        chosen = np.flatnonzero(~(self.mirrored & (np.sin(azimuth) < -1e-9)))
        rows = out[chosen]
        self.call(run, azimuth[chosen], way, rows)
        out[chosen] = rows
        for i in np.setdiff1d(np.arange(len(azimuth)), chosen):
            out[i] = self._other_side(out[int(np.argmax(np.cos(azimuth + azimuth[i])))])
        return out

    def solve_braking(self, run: Callable[..., None]) -> None:
        """Find the slope limits in the truck's own stops, driving forward and in reverse, in fewer directions."""
        drive, case = self.setup.case.machine.drive, self.setup.case
        azimuth = self.azimuth[:: max(1, len(self.azimuth) // BRAKING_DIRECTIONS)]
        for name, rate in (("service stop", drive.service_deceleration), ("pedal lift", drive.pedal_lift_deceleration)):
            for sense in (1, -1):
                pull = sense * rate / G * np.array([cos(self.heading), sin(self.heading)])
                rows = self._around(run, azimuth, way_of(more=float(self.truck.hung), pull=pull))
                picked = [_first(dict(zip(WHAT, row[: len(WHAT)].tolist(), strict=True))) for row in rows]
                self.braking.append(
                    BrakingMap(
                        label=self.setup.label,
                        height=case.height,
                        hook=case.hook_height is not None,
                        stop=name,
                        deceleration=rate,
                        sense=sense,
                        azimuth=azimuth,
                        limits={word: rows[:, column] for column, word in enumerate(WHAT)},
                        first=np.array([value for value, _ in picked]),
                        what=tuple(what for _, what in picked),
                        line=tuple(_line_of(row) for row in rows),
                    )
                )

    def _other_side(self, row: Array) -> Array:
        """Return limits as they are mirrored to the other side."""
        out, tyre = row.copy(), self.truck.plant.tyre
        out[kernel.SIDE] = -row[kernel.SIDE]
        line = int(row[kernel.LINE])
        out[kernel.LINE] = {kernel.H_LEFT: kernel.H_RIGHT, kernel.H_RIGHT: kernel.H_LEFT}.get(line, line)
        if row[kernel.TYRE] >= 0.0:
            own = tyre[int(row[kernel.TYRE])]
            like = (tyre[:, at.T_BODY] == own[at.T_BODY]) & (tyre[:, at.T_Y] * own[at.T_Y] <= 0.0)
            apart = np.abs(np.abs(tyre[:, at.T_Y]) - abs(own[at.T_Y]))
            out[kernel.TYRE] = float(np.argmin(np.where(like, apart, inf)))
        return out

    def map(self) -> SlopeMap:
        """Return the map of what was found."""
        case = self.setup.case
        limits = {name: self.limits[:, column] for column, name in enumerate(WHAT)}
        names = self.truck.build.tyres
        stands = not bool((limits["tips"] <= 0.0).any())
        if not stands:
            limits = {name: np.zeros(len(self.azimuth)) for name in WHAT}
        picked = [_first({name: float(values[i]) for name, values in limits.items()}) for i in range(len(self.azimuth))]
        sides = {1.0: "left", -1.0: "right"}
        return SlopeMap(
            label=self.setup.label,
            height=case.height,
            hook=case.hook_height is not None,
            stands=stands,
            azimuth=self.azimuth,
            limits=limits,
            first=np.array([value for value, _ in picked]),
            what=tuple(what for _, what in picked),
            tyre=tuple("" if row[kernel.TYRE] < 0.0 else names[int(row[kernel.TYRE])] for row in self.limits),
            side=tuple(sides.get(row[kernel.SIDE], "") for row in self.limits),
            line=tuple(_line_of(row) for row in self.limits),
            on_stop=self.limits[:, kernel.ON_STOP] > 0.0,
        )


def way_of(
    brake: float = inf, *, level: bool = False, more: float = 0.0, pull: Array | Sequence[float] = (0.0, 0.0)
) -> Array:
    """Tell the kernel what the slope does to the truck, a row [SI] of kernels.slopes; pull (2,), a share of gravity."""
    return np.array([brake, float(level), more, *pull])


def _line_of(row: Array) -> str:
    return "" if row[kernel.LINE] < 0.0 else LINES[int(row[kernel.LINE])]


def _forks(load: LiftedLoad | None, machine: Machine, tilt: float) -> Array:
    """Return what the kernel is told of a load on the forks; nothing of a hung one."""
    out = np.zeros(7)
    if load is None or load.hung_by is not None:
        return out
    ahead, half = load_base(load, machine)
    out[:] = 1.0, load.friction_on_forks, cos(tilt), sin(tilt), load.height_of_centre, ahead, half
    return out


def _first(limits: dict[str, float]) -> tuple[float, str]:
    """Return the least limit and what it is; what lifts as part of a swing or a fall, or swings into one, is that."""
    known = {name: value for name, value in limits.items() if isfinite(value)}
    if not known:
        return nan, ""
    what = min(known, key=lambda name: known[name])
    value = known[what]
    if what == "lifts":
        what = next((name for name in ("swings", "tips") if known.get(name, inf) <= (1 + _SAME) * value), what)
    if what == "swings" and known.get("tips", inf) <= (1 + _AT_ONCE) * known["swings"]:
        what = "tips"
    return value, what


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
    picked = [_first(dict(zip(WHAT, row[: len(WHAT)].tolist(), strict=True))) for row in job.turn]
    pull, what = min(((G * tan(value) if isfinite(value) else nan, what) for value, what in picked), key=_last_nan)
    pull = pull if slope_map.stands else 0.0
    return TurnCurve(
        slope_map.label,
        slope_map.height,
        slope_map.hook,
        pull,
        what,
        tuple(_turn_speed(radius, pull) for radius in RADII),
    )


def _turn_speed(radius: float, pull: float) -> float:
    return turn_speed(radius, pull) if isfinite(pull) else nan


def _last_nan(pair: tuple[float, str]) -> float:
    return pair[0] if isfinite(pair[0]) else inf


def _stops(label: str, jobs: list[SlopeJob], maps: tuple[SlopeMap, ...]) -> StopCurve:
    chosen = [(job, slope_map) for job, slope_map in zip(jobs, maps, strict=True) if slope_map.label == label]
    limits = []
    for job, slope_map in chosen:
        for row in job.stop:
            value, what = _first(dict(zip(WHAT, row[: len(WHAT)].tolist(), strict=True)))
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


def across(slope: float, azimuth: float, track: float, wheelbase: float) -> tuple[float, float]:
    """Return how much lower the lower tyres stand on a slope [m]: across the drive tyres, and along the truck."""
    return track * tan(slope) * abs(sin(azimuth)), wheelbase * tan(slope) * abs(cos(azimuth))
