"""Slope limits of one set-up at one height, solved in every direction by the kernel, and what goes first of them.

Statics with all that gives: tyres, mast, its play (to the lower side), frame torsion or the stop of a pivoting axle.
A hung load acts at its hook.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import cos, inf, isfinite, nan, pi, sin

import numpy as np
from numpy.typing import NDArray

from tipline.endings import LINES
from tipline.geometry.outline import left_tyres
from tipline.geometry.setting import load_base
from tipline.kernels import equilibrium as solver
from tipline.kernels import layout as at
from tipline.kernels import slopes as kernel
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.model.load import LiftedLoad
from tipline.model.machine import Machine
from tipline.scenario import Case
from tipline.slope_limits.maps import PART_OF, WHAT, BrakingMap, SlopeMap
from tipline.statics import limits
from tipline.statics.truck import Truck

__all__ = [
    "SetUp",
    "SlopeJob",
    "first_of",
    "slope_kernel",
    "way_of",
]

Array = NDArray[np.float64]
BRAKING_DIRECTIONS = 24
"""How many directions are asked while braking, at most."""
_AT_ONCE = 0.005
"""A swing within that share of a tip is one (our choice)."""


@dataclass(frozen=True)
class SetUp:
    """A set-up to ask at one height: its case, the words for what is changed in it ("" for the scenario's own)."""

    case: Case
    label: str = ""


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
                picked = [first_of(dict(zip(WHAT, row[: len(WHAT)].tolist(), strict=True))) for row in rows]
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
        rows = zip(*limits.values(), strict=True)
        picked = [first_of(dict(zip(WHAT, map(float, row), strict=True))) for row in rows]
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


def first_of(limits: dict[str, float]) -> tuple[float, str]:
    """Return the least limit and what it is; what lifts as part of a swing or a fall, or swings into one, is that."""
    known = {name: value for name, value in limits.items() if isfinite(value)}
    if not known:
        return nan, ""
    what = min(known, key=lambda name: known[name])
    value = known[what]
    if what == "lifts":
        what = next((name for name in ("swings", "tips") if known.get(name, inf) <= (1 + PART_OF) * value), what)
    if what == "swings" and known.get("tips", inf) <= (1 + _AT_ONCE) * known["swings"]:
        what = "tips"
    return value, what
