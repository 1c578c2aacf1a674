"""What the pictures of one run are drawn from: plain arrays and words, with no machine model or engine behind them.

Scene, panel, film and stills read a `Story` and nothing else. `tipline.view.tell` makes one from a run.
Frames: the world (floor plane z = 0), and the truck frame at the set-up pose for the solids. SI units and radians.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "UPRIGHT",
    "Array",
    "DrawnForce",
    "DrawnLine",
    "DrawnSolid",
    "DrawnTyre",
    "Mark",
    "Place",
    "Story",
    "level",
    "nearest",
]

Array = NDArray[np.float64]
UPRIGHT = float(np.cos(np.pi / 4))
"""Cosine of the lean beyond which a truck has no tip lines any more."""


@dataclass(frozen=True)
class DrawnSolid:
    """One part: vertices (k, 3) [m] in the truck frame, triangles (m, 3) [indices], the body it moves with, its colour.

    `rise` (k, 3) is how far each vertex has moved when `Story.rise` is 1: mast stages slide, chains lengthen.
    """

    name: str
    body: int
    vertices: Array
    faces: NDArray[np.int64]
    colour: tuple[float, float, float]
    kind: str
    rise: Array | None = None


@dataclass(frozen=True)
class DrawnTyre:
    """One tyre: load (n,) [N], the floor point below it (n, 3), its axle, and outboard in the truck frame (+1 left)."""

    name: str
    load: Array
    contact: Array
    outboard: float
    front: bool
    width: float


@dataclass(frozen=True)
class DrawnLine:
    """A tip line: ends (n, 2, 3) in the world, the signed distance (n,) [m] of the balance point, the worst of it."""

    name: str
    swing: bool
    ends: Array
    distance: Array
    worst: float | None
    worst_time: float | None


@dataclass(frozen=True)
class DrawnForce:
    """A push or the wind on a body: force (n, 3) [N], and where it meets the body's outside (n, 3), in the world."""

    name: str
    force: Array
    point: Array


@dataclass(frozen=True)
class Place:
    """A hole or a soft place: outline (k, 2) in the world, its depth (n,) [m], and what to call it.

    planned: an event makes it, so its outline is shown before; else only once it has come about.
    """

    name: str
    kind: Literal["hole", "soft"]
    outline: Array
    depth: Array
    planned: bool = True


@dataclass(frozen=True)
class Mark:
    """Something that happened: when [s], in a few words, and whether it was an input or an answer."""

    time: float
    text: str
    cause: bool = False


@dataclass(frozen=True)
class Story:
    """All that is drawn of one run; n samples of time.

    Attributes
    ----------
    matrices : (n, bodies, 4, 4), truck frame at set-up to world, of each body
    balance : (n, 3), balance point on the floor; nan where there is none
    gravity : (n, 3) [m/s2], the picture's vertical
    hook, load_top : (n, 3) ends of the rope, or None
    outcome : the lines that say how it ended
    doubts : in how many runs it ended so, where it could go either way; else empty
    worst_time : when the worst distance was met [s]
    no_return, landing : when there was no way back, and when the falling truck or load met the floor [s], or None
    rise : (n,) share of the parts' `rise` that is reached, or None where nothing rises
    cause_points : (n, 3), what a close look is at
    ramp : a point of its edge [m], its direction (cosine, sine), its slope as a ratio, below 0 falling, its length [m]
    forces : pushes and wind, as they are told, one a body
    raised : outlines (4, 2) in the world of what stands out of the floor, and how high [m]
    look : where the cause is, in the truck frame of the first sample, and so where the camera stands
    """

    title: str
    run_id: str
    assumed: int
    demo: str
    estimate: str
    time: Array
    matrices: Array
    solids: tuple[DrawnSolid, ...]
    tyres: tuple[DrawnTyre, ...]
    lines: tuple[DrawnLine, ...]
    balance: Array
    gravity: Array
    roll: Array
    pitch: Array
    places: tuple[Place, ...]
    hook: Array | None
    load_top: Array | None
    rope_force: Array | None
    marks: tuple[Mark, ...]
    outcome: tuple[str, ...]
    worst_time: float
    worst_words: str
    look: Array
    cause_points: Array
    cause_words: str
    rise: Array | None = None
    start_words: str = "at rest"
    doubts: tuple[str, ...] = ()
    no_return: float | None = None
    landing: float | None = None
    ramp: tuple[float, float, float, float, float, float] | None = None
    raised: tuple[tuple[Array, float], ...] = ()
    forces: tuple[DrawnForce, ...] = ()

    def floor_at(self, x: Array, y: Array) -> Array:
        """Give the height of the floor at points of any shape [m]: 0 but on a ramp."""
        if self.ramp is None:
            return np.zeros(np.broadcast(x, y).shape)
        x0, y0, c, s, steep, long = self.ramp
        return np.asarray(steep * np.clip(c * (x - x0) + s * (y - y0), 0.0, long))

    def fallen(self, index: int) -> bool:
        """Tell whether the truck leans so far at a sample that tyre loads and tip lines mean nothing any more."""
        return bool(self.lying[index])

    @cached_property
    def lying(self) -> NDArray[np.bool_]:
        """Whether the truck has fallen, of each sample (n,) [true or false]."""
        up = -self.gravity / np.linalg.norm(self.gravity, axis=1, keepdims=True)
        return np.asarray((up * self.matrices[:, 0, :3, 2]).sum(axis=1) <= UPRIGHT)

    def off_floor(self, tyre: DrawnTyre, index: int) -> bool:
        """Tell whether a tyre carries nothing at a sample, or the truck has fallen: then no mark belongs to it."""
        return self.fallen(index) or not float(tyre.load[index]) > 0.0

    @property
    def marking(self) -> tuple[str, ...]:
        """The words that every frame carries."""
        values = "1 value assumed" if self.assumed == 1 else f"{self.assumed} values assumed"
        return ("computed, not recorded", f"run {self.run_id}", values, *(("DEMO",) if self.demo else ()))


def level(gravity: Array) -> Array:
    """Give the rotation (3, 3) that turns the world so that gravity (3,) [m/s2] points straight down the picture."""
    up = -gravity / np.linalg.norm(gravity)
    axis = np.array([up[1], -up[0], 0.0])  # up x z
    sine = float(np.linalg.norm(axis))
    if sine < 1e-12:
        return np.eye(3)
    k = axis / sine
    cross = np.array([[0.0, -k[2], k[1]], [k[2], 0.0, -k[0]], [-k[1], k[0], 0.0]])
    return np.asarray(np.eye(3) + sine * cross + (1.0 - float(up[2])) * (cross @ cross))


def nearest(time: Array, when: float) -> int:
    """Give the index of the sample, of times (n,) [s], nearest to `when` [s]."""
    return int(np.argmin(np.abs(time - when)))
