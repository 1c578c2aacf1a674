"""What a run leaves of its end: where truck and lifted load are and how they lie, and what marked the floor.

Read from the recorded arrays alone, so that what is found after an incident can be set beside it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isnan, nan
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipline.geometry import assemble
from tipline.geometry.ground import floor_rise, ramp_rows
from tipline.geometry.posed import leaning, posed
from tipline.kernels import layout as at

if TYPE_CHECKING:
    from tipline.model.floor import Floor
    from tipline.model.machine import Machine
    from tipline.results import Run
    from tipline.scenario import Case

__all__ = ["AtEnd", "FloorMark", "Lie", "TyreMark", "at_end"]

Array = NDArray[np.float64]

SKIDS_FROM = 0.98
"""Share of the greatest friction from which a tyre skids (our choice: a rolling tyre near it leaves rubber as well)."""
LEAST_SKID = 0.05
"""Skids [m] shorter than that in all are no mark to be found (our choice: under half a length of contact)."""
SEEN = 0.01
"""Speed [m/s] and turning [rad/s] below which nothing is seen to move (our choice: 10 mm in a second)."""
_UPRIGHT = "underside"
_FACES = {
    (0, 1): "front",
    (0, -1): "rear",
    (1, 1): "left side",
    (1, -1): "right side",
    (2, 1): "top",
    (2, -1): _UPRIGHT,
}


@dataclass(frozen=True)
class Lie:
    """Where a body is at the end and how it lies. SI and radians.

    Attributes
    ----------
    place : (3,) of its point on the floor's plan, and the height above the floor's level: of the truck the middle of
        the drive axle, of a lifted load the middle of its stated size
    moved : (2,) how far that point went from the start, ahead and to the left as the truck stood then
    heading : of its front, counter-clockwise from the floor's x; ``turned``: by how much from the start
    roll, pitch : against the floor; right side and front down positive
    down : which side of it is the lowest, "underside" for one that stands
    speed, turning : how fast it still moves [m/s] and turns [rad/s]
    """

    place: tuple[float, float, float]
    moved: tuple[float, float]
    heading: float
    turned: float
    roll: float
    pitch: float
    down: str
    speed: float
    turning: float

    @property
    def upright(self) -> bool:
        """Whether it stands and does not lie on another side."""
        return self.down == _UPRIGHT

    @property
    def at_rest(self) -> bool:
        """Whether it moves no faster than anybody would see."""
        return max(self.speed, self.turning) < SEEN


@dataclass(frozen=True)
class FloorMark:
    """Where a corner of truck or lifted load touched the floor. SI.

    ``since`` [s], ``first`` (2,): when and where it did so first; ``last`` (2,): where it did so last; ``scraped``: how
    far it went while it touched; ``at_end``: whether it still does.
    """

    body: str
    corner: str
    since: float
    first: tuple[float, float]
    last: tuple[float, float]
    scraped: float
    at_end: bool


@dataclass(frozen=True)
class TyreMark:
    """Where a tyre is at the end, or bore on the floor last. SI.

    ``place`` (2,), ``depth``: of the hole or soft place it stands in then; ``on_floor``: whether it bears at the end;
    ``until`` [s]: when it did so last; ``skidded``: how far it went with its friction used up, nan where not known.
    """

    tyre: str
    place: tuple[float, float]
    depth: float
    on_floor: bool
    until: float
    skidded: float


@dataclass(frozen=True)
class AtEnd:
    """The end of a run at ``time`` [s]: truck, lifted load (None without one), corners in the order they touched."""

    time: float
    truck: Lie
    lifted_load: Lie | None
    marks: tuple[FloorMark, ...]
    tyres: tuple[TyreMark, ...]


@dataclass(frozen=True)
class _Wheel:
    """The body that carries a wheel, its radius [m] and its friction, nan where parts of the floor differ in theirs."""

    body: int
    radius: float
    friction: float


def at_end(run: Run, case: Case) -> AtEnd:
    """Return what a run leaves of its end."""
    assembly = assemble(case.machine, case.scenario.setup, case.load)
    matrices, ramp = posed(run.poses, np.array(run.meta["centres"])), ramp_rows(case.scenario)
    axle = np.array([0.0, 0.0, case.machine.drive_axle.tyre[0].diameter / 2])
    start = matrices[0, at.CHASSIS, :3, 0]
    corners = [(contact.body, contact.name, contact.position) for contact in assembly.contacts]
    load = None
    if case.load is not None:
        middle = np.mean([position for body, _, position in corners if body == at.LOAD], axis=0)
        load = _lie(run, matrices[:, at.LOAD], middle, start, at.LOAD)
    return AtEnd(
        time=float(run.time[-1]),
        truck=_lie(run, matrices[:, at.CHASSIS], axle, start, at.CHASSIS),
        lifted_load=load,
        marks=tuple(
            sorted(_marks(run, matrices, corners, ramp), key=lambda mark: (mark.since, mark.body, mark.corner))
        ),
        tyres=tuple(_tyre_marks(run, matrices, _wheels(case.floor, case.machine))),
    )


def _lie(run: Run, matrices: Array, point: Array, start: Array, body: int) -> Lie:
    """Say where a point (3,) of a body is at the end, and how the body lies; start (3,): the truck's front then."""
    way = matrices[:, :3, :3] @ point + matrices[:, :3, 3]
    ahead, left, up = matrices[-1, :3, :3].T
    heading = _azimuth(matrices[:, :3, 0])
    roll, pitch = leaning(matrices[-1, :3, :3])
    gone, along = way[-1, :2] - way[0, :2], start[:2] / np.hypot(*start[:2])
    return Lie(
        place=(float(way[-1, 0]), float(way[-1, 1]), float(way[-1, 2])),
        moved=(float(gone @ along), float(along[0] * gone[1] - along[1] * gone[0])),
        heading=_within(float(heading[-1])),
        turned=float(heading[-1] - heading[0]),
        roll=roll,
        pitch=pitch,
        down=_lowest(ahead, left, up),
        speed=float(np.linalg.norm(run.velocities[-1, body, :3])),
        turning=float(np.linalg.norm(run.velocities[-1, body, 3:])),
    )


def _azimuth(axis: Array) -> Array:
    """Return the heading (n,) of an axis (n, 3) without jumps [rad]."""
    return np.unwrap(np.arctan2(axis[:, 1], axis[:, 0]))


def _within(angle: float) -> float:
    """Return an angle from -pi to pi."""
    return float(np.arctan2(np.sin(angle), np.cos(angle)))


def _lowest(ahead: Array, left: Array, up: Array) -> str:
    """Name the side of a body that faces the floor most."""
    heights = np.array([ahead[2], left[2], up[2]])
    axis = int(np.argmax(np.abs(heights)))
    return _FACES[axis, -int(np.sign(heights[axis]))]


def _marks(run: Run, matrices: Array, corners: Sequence[tuple[int, str, Array]], ramp: Array) -> Iterator[FloorMark]:
    """Yield what touched the floor of the corners, each a body, a name and a point (3,) of the truck at set-up."""
    for body, name, position in corners:
        way = matrices[:, body, :3, :3] @ position + matrices[:, body, :3, 3]
        touches = way[:, 2] < floor_rise(ramp, way[:, 0], way[:, 1]) - _deep(run, way)
        when = np.flatnonzero(touches)
        if not len(when):
            continue
        steps = np.hypot(*np.diff(way[:, :2], axis=0).T)
        yield FloorMark(
            body="lifted load" if body == at.LOAD else "truck",
            corner=name.replace("-", " ").removeprefix("load "),
            since=float(run.time[when[0]]),
            first=_plan(way, when[0]),
            last=_plan(way, when[-1]),
            scraped=float(steps[touches[1:] & touches[:-1]].sum()),
            at_end=bool(touches[-1]),
        )


def _plan(way: Array, index: Any) -> tuple[float, float]:
    return float(way[index, 0]), float(way[index, 1])


def _deep(run: Run, way: Array) -> Array:
    """Return how far the floor lies below its level under points (n, 2 or 3) over time [m]."""
    deep = np.zeros(len(way))
    for place in run.meta.get("places", ()):
        c, s = np.cos(place["heading"]), np.sin(place["heading"])
        x, y = way[:, 0] - place["x"], way[:, 1] - place["y"]
        long, wide = place["size"]
        inside = (np.abs(c * x + s * y) < long / 2) & (np.abs(c * y - s * x) < wide / 2)
        deep = np.where(inside, np.maximum(deep, run.series(f"place_depth.{place['index']}")), deep)
    return deep


def _wheels(floor: Floor, machine: Machine) -> Mapping[str, _Wheel]:
    """Return the wheels of each axle, by the start of their tyres' names."""
    alike = all(getattr(part, "friction", None) is None for part in (floor.elsewhere, *floor.zone))
    wheels = {}
    for end, row, body in (("front", machine.drive_axle.tyre, at.CHASSIS), ("rear", machine.steer_axle.tyre, at.AXLE)):
        of_floor = floor.friction.against(row[0].kind) if alike else nan
        wheels[end] = _Wheel(body, row[0].diameter / 2, of_floor if row[0].friction is None else row[0].friction)
    return wheels


def _tyre_marks(run: Run, matrices: Array, wheels: Mapping[str, _Wheel]) -> Iterator[TyreMark]:
    for name in run.tyres:
        load, wheel = run.series(f"tyre_load.{name}"), wheels[name.partition("-")[0]]
        way = np.stack([run.series(f"tyre_contact_{axis}.{name}") for axis in "xyz"], axis=1)
        bears = np.flatnonzero(load > 0.0)
        last = int(bears[-1]) if len(bears) else 0
        pull = np.hypot(run.series(f"tyre_drag.{name}"), run.series(f"tyre_side.{name}"))
        slides = (load > 0.0) & (pull >= SKIDS_FROM * wheel.friction * load)
        far = float((np.hypot(*_slip(run, name, way, matrices, wheel))[1:] * np.diff(run.time))[slides[1:]].sum())
        yield TyreMark(
            tyre=name,
            place=_plan(way, last),
            depth=float(_deep(run, way)[last]),
            on_floor=bool(load[-1] > 0.0),
            until=float(run.time[last]) if len(bears) else nan,
            skidded=nan if isnan(wheel.friction) else far if far >= LEAST_SKID else 0.0,
        )


def _slip(run: Run, name: str, contact: Array, matrices: Array, wheel: _Wheel) -> tuple[Array, Array]:
    """Return how fast the tread goes over the floor where it bears (n,), along the wheel and across it [m/s]."""
    axle, velocity = matrices[:, wheel.body, :2, 1], run.velocities[:, wheel.body]
    steered = run.series(f"steering.{name}") if f"steering.{name}" in run.channels else np.zeros(len(run.time))
    heading = np.arctan2(-axle[:, 0], axle[:, 1]) + steered
    c, s = np.cos(heading), np.sin(heading)
    arm = contact - run.poses[:, wheel.body, :3]
    lever = wheel.radius - run.series(f"tyre_compression.{name}")
    hub = velocity[:, :3] + np.cross(velocity[:, 3:], arm + np.outer(lever, (0.0, 0.0, 1.0)))
    tread = velocity[:, :3] + np.cross(velocity[:, 3:], arm)
    along = c * hub[:, 0] + s * hub[:, 1] - lever * run.series(f"wheel_speed.{name}")
    return along, c * tread[:, 1] - s * tread[:, 0]
