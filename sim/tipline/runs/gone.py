"""How far a truck went that was not told to: from where it was to stand, or off the way that it was driven."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, inf, isfinite, nan

import numpy as np
from numpy.typing import NDArray

from tipline.endings import GOES, GONE, IN_SHORT, RULES, TruckEnd, Went
from tipline.geometry.posed import posed
from tipline.kernels import layout as at
from tipline.results import Run, Watched
from tipline.runs.at_end import SEEN
from tipline.scenario.commanded import Inputs, drives
from tipline.scenario.driving import poses, stands_from, travelled
from tipline.units import show

__all__ = ["Gone", "gone_of", "rolling_of"]

Array = NDArray[np.float64]

FOLLOWS = 0.1
"""Part of the way driven by which a truck may lie off the one it was told (our choice: its drive keeps the speed on a
ramp within that)."""


@dataclass(frozen=True)
class Gone:
    """How the truck went that was not told to: how far till the end [m], and since when [s], nan where that is none."""

    how: Went
    far: float
    since: float = nan

    @property
    def goes(self) -> str:
        """What it does, after "the truck"."""
        return GOES[self.how].format(show(self.far, "length"))

    @property
    def in_short(self) -> str:
        """The same without how far."""
        return IN_SHORT[self.how]

    @property
    def went(self) -> str:
        """The same of a run that is over."""
        return GONE[self.how].format(show(self.far, "length"))


def gone_of(run: Run, seen: Watched, inputs: Inputs) -> Gone | None:
    """Return how the truck went untold; None where it did not, or fell, or lies still on something else than tyres."""
    way, end = _way(run), float(run.time[-1])
    moves = _speed(run, way) >= SEEN
    if seen.truck in (TruckEnd.OVER, TruckEnd.NO_RESULT) or (seen.truck == TruckEnd.RESTING and not moves):
        return None
    stands = stands_from(inputs, end)
    if stands is None:
        far = float(np.hypot(*(way[-1, :2] - poses(inputs.machine, inputs.scenario, end)[-1, :2])))
        driven = max(map(abs, travelled(inputs, end)))
        return Gone(Went.OFF, far) if far > RULES.rolled + FOLLOWS * driven else None
    first = run.at(stands) if drives(inputs.scenario) else 0
    gone = way[first:, :2] - way[first, :2]
    far, since = seen.away if first == 0 else _first_past(gone, run.time[first:])
    if not isfinite(since) or far <= RULES.rolled:
        return None
    ahead, left = gone[-1] @ way[first, 2:], gone[-1] @ (-way[first, 3], way[first, 2])
    along, aside = (Went.AWAY, Went.AWAY_ASIDE) if moves else (Went.MOVED, Went.MOVED_ASIDE)
    return Gone(aside if abs(left) > abs(ahead) else along, far, since)


def rolling_of(seen: Watched, inputs: Inputs, gone: Gone | None) -> tuple[float, str] | None:
    """Say among the events when it began to roll or slide, and how far it did, before it fell where it went over."""
    far, since = (gone.far, gone.since) if gone is not None else (inf, nan) if drives(inputs.scenario) else seen.away
    if not isfinite(since):
        return None
    until = "before it falls" if seen.truck == TruckEnd.OVER else "by the end"
    return since, f"the truck rolls or slides, {show(far, 'length')} {until}"


def _way(run: Run) -> Array:
    """Return where the floor below the drive axle's middle is, and which way the front looks (n, 4) [m; 1]."""
    truck = posed(run.poses[:, at.CHASSIS : at.CHASSIS + 1], np.array(run.meta["centres"])[at.CHASSIS : at.CHASSIS + 1])
    ahead = truck[:, 0, :2, 0] / np.maximum(np.hypot(truck[:, 0, 0, 0], truck[:, 0, 1, 0]), 1e-9)[:, None]
    return np.hstack([truck[:, 0, :2, 3], ahead])


def _speed(run: Run, way: Array) -> float:
    """Return how fast it goes at the end [m/s], over a short while: the sway of a truck that stands is none of it."""
    before = run.at(float(run.time[-1]) - RULES.window)
    took = float(run.time[-1] - run.time[before])
    return float(hypot(*(way[-1, :2] - way[before, :2]))) / took if took > 0.0 else 0.0


def _first_past(gone: Array, time: Array) -> tuple[float, float]:
    """Return how far it has gone at the end of ways (n, 2) [m], and when it first was past what counts [s], or nan."""
    past = np.flatnonzero(np.hypot(*gone.T) > RULES.rolled)
    return float(hypot(*gone[-1])), float(time[past[0]]) if len(past) else nan
