"""What slope limits are told as: maps by direction, curves of turns and stops, what was simulated beside them.

The slope grows slowly from level; nothing that moves is in a map at rest.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import cos, inf, isfinite, nan, sin, tan
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipline.endings import SIDES
from tipline.errors import InputError
from tipline.kernels.slopes import STEEPEST
from tipline.mechanics.resistance import turn_speed
from tipline.notebook import Shown, marks, to_dataset, to_frame
from tipline.pose.not_known import NotKnown
from tipline.scenario.driving import WALKING
from tipline.statics.planning import deceleration_word
from tipline.statics.together import shortest_stop
from tipline.units import show

__all__ = [
    "PART_OF",
    "RADII",
    "WHAT",
    "BrakingMap",
    "Compared",
    "Needed",
    "RampRun",
    "SlopeMap",
    "SlopeReport",
    "StopCurve",
    "TurnCurve",
    "across",
    "speed_in_turn",
]

Array = NDArray[np.float64]
WHAT = ("lifts", "swings", "tips", "slides", "rolls", "load slips", "load topples")
"""What can go first; "" where nothing does up to the steepest slope that is looked at."""
RADII = (*(0.25 * k for k in range(6, 13)), 3.5, 4.0, 4.5, *(float(k) for k in range(5, 16)))
"""Radii [m] that speeds in a turn are told for (our choice)."""
PART_OF = 0.02
"""A tyre that lifts within that share of a swing or a tip is part of it (our choice)."""


def across(slope: float, azimuth: float, track: float, wheelbase: float) -> tuple[float, float]:
    """Return how much lower the lower tyres stand on a slope [m]: across the drive tyres, and along the truck."""
    return track * tan(slope) * abs(sin(azimuth)), wheelbase * tan(slope) * abs(cos(azimuth))


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
        what, at_once = self.what[index], self.limits["swings"][index] >= (1 - PART_OF) * self.limits["tips"][index]
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
        return speed_in_turn(radius, self.pull)


def speed_in_turn(radius: float, pull: float) -> float:
    """Return the greatest steady speed [m/s] on a radius [m] under a pull aside [m/s2]; nan where none is known."""
    return turn_speed(radius, pull) if isfinite(pull) else nan


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
    """Slope limits of set-ups by height and direction, with limit curves of turns and stops.

    ``not_known`` : of an own truck what the scenario's own set-up comes to within what is not known.
    """

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
    not_known: NotKnown | None = None

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
