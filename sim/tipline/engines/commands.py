"""From the scenario's events to the command table that the kernels read, one row a time step.

Source: [TextbookMechanics]
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import cos, inf, sin, sqrt, tan
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.errors import InputError
from tipline.geometry.ground import ZoneLaw, middle_of
from tipline.geometry.plant import Build, hub_height
from tipline.kernels import layout as at
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.mechanics.resistance import wind_force
from tipline.model.floor import Floor
from tipline.model.machine import Machine
from tipline.model.plane import Rectangle, rectangle_of
from tipline.scenario.commanded import Inputs
from tipline.scenario.driving import curvature, driven
from tipline.scenario.profiles import move, ramp
from tipline.scenario.spec import (
    Breakthrough,
    CounterweightMove,
    DriveEvent,
    FloorTurns,
    LoadShed,
    Lower,
    Push,
    Raise,
    Ramp,
    Scenario,
    Setup,
    SoftPlace,
    Swing,
    Threshold,
    TiltMove,
    Turn,
    Wind,
)

if TYPE_CHECKING:
    from tipline.geometry.assembly import Assembly
    from tipline.scenario.case import Case

__all__ = ["CommandTable", "PlaceOrder", "brief_commands", "commands", "notes", "place_orders", "push_points"]

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]

_TAIL = 0.1
"""Time [s] at the end of a table in which nothing may change if its last row is to hold for good (our choice: fifty of
the longest steps)."""
_SOON = 0.5
"""Time [s] after the last event has begun in which most that is commanded has come to its end (our choice: what takes
longer costs a second, longer table)."""
_COURSE = 5e-3
"""A command takes another course where it bends by more than this share of its range from one step to the next (our
choice: a change that takes 0.2 s or less does as it begins and ends)."""
_FAR = 64
"""Rows to the next such place from which on it counts as far (numerical: more steps than any are taken at once)."""
DRAG = 1.2
"""Drag factor of truck and load as blunt bodies (common practice, no source)."""


@dataclass(frozen=True)
class PlaceOrder:
    """A place on the floor to come: under which tyre (or at which rectangle from the start), when, and its law.

    aside [m] is how far left of that tyre's hub the middle lies, where one place is under several tyres.
    """

    at: float  # inf: when a tyre opens it
    tyre: int
    size: tuple[float, float]
    law: int
    depth: float = 0.0
    over: float = 0.0
    soil: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    aside: float = 0.0
    where: tuple[float, float, float] | None = None
    source: str = ""


@dataclass(frozen=True)
class CommandTable:
    """The table (n, columns) [SI] of `kernels.layout`, times (n,) [s], the speed commanded at them (n,) [m/s].

    ``changes``: the first and the last row after which something changes, none where nothing does. ``made_from``: what
    all of it but the depths of places was made from, beside the truck on its floor; ``else_changes``, ``else_turns``:
    changes of that, and rows at which it takes another course.
    """

    table: Array
    time: Array
    speed: Array
    changes: tuple[int, ...]
    made_from: tuple[object, ...]
    else_changes: tuple[int, ...]
    else_turns: tuple[int, ...]


def place_orders(
    inputs: Inputs, floor: Floor, tyres: Sequence[str], zones: Sequence[ZoneLaw] = ()
) -> tuple[PlaceOrder, ...]:
    """List the places that the floor's zones and the events make, and one for each tyre to open in a zone."""
    orders = []
    for zone in floor.zone:
        if zone.kind not in ("rigid", "hole") or zone.depth == 0.0:
            continue
        area = rectangle_of(zone.corners)
        if zone.corner is not None and zone.size is not None:
            area = Rectangle(middle_of(zone.corner, zone.size, zone.heading), zone.heading, zone.size)
        if area is None:
            msg = f"the zone {zone.name} lies below the floor and is no rectangle; only a rectangle can be simulated"
            raise InputError(msg, key="floor.zone", remedy="Give corner, size and heading.")
        where = (*area.middle, area.heading)
        orders.append(PlaceOrder(0.0, -1, area.size, at.LAW_GIVEN, zone.depth, where=where, source=zone.name))
    for event in inputs.scenario.event:
        if isinstance(event, Breakthrough):
            orders += [
                PlaceOrder(
                    event.at, tyre, size, at.LAW_GIVEN, event.depth, event.over, source="breakthrough", aside=aside
                )
                for tyre, aside, size in _spots(inputs.machine, tyres, event.under, event.hole)
            ]
        if isinstance(event, Threshold):
            orders.append(_threshold(event, inputs.scenario.setup))
        if isinstance(event, SoftPlace):
            soil = (event.bearing_pressure, event.hardening, event.rate_speed, event.most_depth)
            orders += [
                PlaceOrder(event.at, tyre, size, at.LAW_YIELDING, soil=soil, source="soft_place", aside=aside)
                for tyre, aside, size in _spots(inputs.machine, tyres, event.under, event.size)
            ]
    if any(zone.law != "firm" for zone in zones):
        orders += [PlaceOrder(inf, tyre, (0.0, 0.0), at.LAW_YIELDING, source="floor") for tyre in range(len(tyres))]
    return tuple(orders)


def _threshold(event: Threshold, setup: Setup) -> PlaceOrder:
    """Return a place above the floor, square to the azimuth in which it lies from the start."""
    way = setup.heading + event.towards
    ahead, aside = event.begins + 0.5 * event.length, event.left_of
    x = setup.position[0] + ahead * cos(way) - aside * sin(way)
    y = setup.position[1] + ahead * sin(way) + aside * cos(way)
    size = (event.length, event.width)
    return PlaceOrder(0.0, -1, size, at.LAW_GIVEN, -event.height, where=(x, y, way), source="threshold")


def _spots(
    machine: Machine, tyres: Sequence[str], under: Sequence[str], size: tuple[float, float]
) -> list[tuple[int, float, tuple[float, float]]]:
    """Return tyre, middle beside its hub and size of the places under tyres; places side by side that meet are one."""
    spots: list[tuple[int, float, tuple[float, float]]] = []
    for axle in (machine.drive_axle.tyre, machine.steer_axle.tyre):
        row = sorted((tyre for tyre in axle if tyre.name in under), key=lambda tyre: tyre.across)
        start = 0
        for end in range(1, len(row) + 1):
            if end == len(row) or row[end].across - row[end - 1].across > size[1]:
                first, between = row[start], row[end - 1].across - row[start].across
                spots.append((tyres.index(first.name), 0.5 * between, (size[0], size[1] + between)))
                start = end
    return spots


def push_points(
    scenario: Scenario, assembly: Assembly
) -> tuple[list[tuple[int, float, float, float]], list[tuple[int, float]]]:
    """Return where outside forces act (body, point in the truck frame), and of each the event's index and share."""
    points: list[tuple[int, float, float, float]] = []
    users: list[tuple[int, float]] = []
    for index, event in enumerate(scenario.event):
        if isinstance(event, Push):
            body = at.BODIES.index(event.at_part)
            points.append((body, *_spot(assembly.centre[body])))
            users.append((index, 1.0))
        if isinstance(event, Wind):
            azimuth = event.from_azimuth
            faces = [(body, *_face(assembly, body, azimuth)) for body in range(at.N_BODY) if assembly.mass[body] > 0.0]
            faces = [face for face in faces if face[0] in (at.CHASSIS, at.MAST, at.LOAD)]
            whole = sum(face[1] for face in faces)
            for body, area, middle in faces:
                points.append((body, *_spot(middle)))
                users.append((index, area / whole * event.area if event.area is not None else area))
    return points, users


def _spot(point: Array) -> tuple[float, float, float]:
    return float(point[0]), float(point[1]), float(point[2])


def _face(assembly: Assembly, body: int, azimuth: float) -> tuple[float, Array]:
    """Return the area [m2] that a body's outline shows to the wind, and its middle."""
    corners = np.concatenate([part.vertices for part in assembly.parts if part.body == body])
    low, high = corners.min(axis=0), corners.max(axis=0)
    length, width, height = high - low
    return float((abs(cos(azimuth)) * width + abs(sin(azimuth)) * length) * height), 0.5 * (low + high)


def commands(
    case: Case,
    orders: Sequence[PlaceOrder],
    users: Sequence[tuple[int, float]],
    build: Build,
    dt: float,
    length: float,
    like: CommandTable | None = None,
) -> CommandTable:
    """Build the table over `length` seconds; like: another for the same truck with as many places on the same floor."""
    steps = round(length / dt) + 1
    elsewhere = [event for event in case.scenario.event if not isinstance(event, Breakthrough | SoftPlace)]
    made_from = steps, dt, elsewhere
    if like is not None and like.made_from == made_from:
        table, time, speed = like.table.copy(), like.time, like.speed
        else_changes, else_turns = like.else_changes, like.else_turns
    else:
        time = np.arange(steps, dtype=np.float64) * dt
        table, speed = _but_for_places(case, len(orders), users, build, dt, time)
        courses = [_course(column) for column in table[:, (table != table[0]).any(axis=0)].T]
        else_changes, else_turns = (sum(parts, ()) for parts in zip(*courses, strict=True)) if courses else ((), ())
    changes, turns = else_changes, [1, *else_turns]  # the first step is taken alone
    for index, order in enumerate(orders):
        depth = order.depth * ramp(time, order.at, order.over) if order.at < inf else np.full(steps, at.BY_LAW)
        if order.law == at.LAW_YIELDING and order.at < inf:
            depth = np.where(time >= order.at - 1e-9, at.BY_LAW, 0.0)
        table[:, at.K_PLACE + index] = depth
        changes_of_it, turns_of_it = _course(depth)
        changes += changes_of_it
        turns += [*turns_of_it, round(order.at / dt)] if order.at < inf else []
    table[:, at.K_EVEN] = _rows_to_next(turns, steps)
    ends = (min(changes), max(changes)) if changes else ()
    return CommandTable(table, time, speed, ends, made_from, else_changes, else_turns)


def _course(values: Array) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Return the first and last row after which values (n,) change, and the rows at which they take another course."""
    step = values[1:] - values[:-1]
    changed = step.nonzero()[0]
    if not len(changed):
        return (), ()
    first, last = int(changed[0]), int(changed[-1])
    steps = step[max(0, first - 1) : last + 2]
    bent = np.abs(steps[1:] - steps[:-1]) > _COURSE * np.ptp(values[first : last + 2])
    return (first, last), tuple((bent.nonzero()[0] + max(1, first)).tolist())


def _rows_to_next(turns: Iterable[int], rows: int) -> Array:
    """Return of each of so many rows how far it is to the next of some in no order, `_FAR` at most."""
    left, before = np.full(rows, float(_FAR)), 0
    for turn in sorted(set(turns)):
        begin = max(before, turn - _FAR)
        left[begin:turn] = np.arange(turn - begin, 0, -1)[: max(0, rows - begin)]
        before = turn
    return left


def _but_for_places(
    case: Case, places: int, users: Sequence[tuple[int, float]], build: Build, dt: float, time: Array
) -> tuple[Array, Array]:
    """Return the table with nothing yet told of its places, and the speed: what a place does not change."""
    steps = len(time)
    table = np.zeros((steps, at.K_PLACE + places + 3 * len(users)))
    table[:, at.K_HELD] = 1.0
    table[:, at.K_ROPE] = case.load.hung_by if case.load is not None and case.load.hung_by is not None else 0.0
    table[:, [at.K_GX, at.K_GY, at.K_GZ]] = _gravity(case.scenario, case.slope, time)
    speed = _drive(case.machine, case.scenario, time, table, build)
    curve = curvature(case.scenario, time)
    steps_over = any(isinstance(event, Threshold) for event in case.scenario.event)
    if curve.any() or len(build.plant.ramp) or steps_over:
        table[:, at.K_SPEED], table[:, at.K_KEEPS], table[:, at.K_CURVE] = speed, 1.0, curve
        table[:-1, at.K_YAWS] = np.diff(speed * curve) / dt
    _hydraulics(case, time, table)
    first = at.K_PLACE + places
    for index, (event, share) in enumerate(users):
        table[:, first + 3 * index : first + 3 * index + 3] = _outside(case.scenario, event, share, time)
    return table, speed


def brief_commands(
    case: Case,
    orders: Sequence[PlaceOrder],
    users: Sequence[tuple[int, float]],
    build: Build,
    dt: float,
    length: float,
    like: CommandTable | None = None,
) -> CommandTable:
    """Build the table only as far as its last row holds for good, at most over `length` seconds; like: as above."""
    duration = case.scenario.run.duration + 2 * dt
    for shorter in (_last_ends(case.scenario) + _TAIL + _SOON, duration):
        if shorter <= duration:
            command_table = commands(case, orders, users, build, dt, shorter, like)
            if _lasts(case.scenario, command_table):
                return command_table
    return commands(case, orders, users, build, dt, length, like)


def _last_ends(scenario: Scenario) -> float:
    """Return when the last event has begun [s], or ended where its end is told."""
    ends = (getattr(event, "at", 0.0) + (getattr(event, "lasts", None) or 0.0) for event in scenario.event)
    return max(ends, default=0.0)


def _lasts(scenario: Scenario, command_table: CommandTable) -> bool:
    """Whether the last row of a table holds for good: every event has begun and ended, and nothing changes there.

    A truck that is still told to speed up or slow down has a change to come.
    """
    end = float(command_table.time[-1]) - _TAIL
    if any(isinstance(event, Ramp) for event in scenario.event) or _last_ends(scenario) >= end:
        return False
    still = not any(row >= np.searchsorted(command_table.time, end) for row in command_table.changes)
    return bool(still and command_table.table[-1, at.K_ACC] == 0.0)


def _gravity(scenario: Scenario, fall_at_rest: tuple[float, float], time: Array) -> Array:
    """Gravity over time (n or 1, 3): the floor stays level in its own frame and gravity turns."""
    heading, (slope, towards) = scenario.setup.heading, fall_at_rest
    turns = [event for event in scenario.event if isinstance(event, FloorTurns)]
    fall = tan(slope) * np.array([[cos(heading + towards), sin(heading + towards)]])
    for event in sorted(turns, key=lambda e: e.at):
        azimuth = heading + event.towards
        goal = tan(event.slope) * np.array([cos(azimuth), sin(azimuth)])
        start = fall[-1].copy()
        over = event.over if event.over is not None else _turn_time(event, start, goal)
        fall = fall + ramp(time, event.at, over)[:, None] * (goal - start)
    down = np.full((len(fall), 3), -1.0)
    down[:, :2] = fall
    pull: Array = G * down / np.linalg.norm(down, axis=1, keepdims=True)
    return pull


def _turn_time(event: FloorTurns, start: Array, goal: Array) -> float:
    if not event.rate:
        return 0.0
    return float(np.arctan(np.linalg.norm(goal - start)) / event.rate)


def _drive(machine: Machine, scenario: Scenario, time: Array, table: Array, build: Build) -> Array:
    """Fill brake and drive torque and the commanded acceleration; return the commanded speed over time."""
    drive, setup = machine.drive, scenario.setup
    parked = _torque(build, drive.parking_brake_force, 0.0)
    speed = np.full(len(time), setup.speed)
    if setup.speed == 0.0:
        table[:, at.K_BRAKE] = parked
    stopping = np.zeros(len(time), dtype=bool)
    for change in driven(machine, scenario, time):
        event, after = change.event, change.after
        if isinstance(event, DriveEvent):
            stopping[after] = False
            table[after, at.K_BRAKE] = 0.0
            torque = _torque_per_acceleration(build, change.rate * np.sign(event.speed - change.before))
            table[after, at.K_DRIVE] = change.wish[after] * torque
        else:
            stopping[after] = True
            table[after, at.K_DRIVE] = 0.0
            torque = change.rate * _torque_per_acceleration(build, -change.rate * np.sign(change.before))
            table[after, at.K_BRAKE] = torque * ramp(time, event.at, change.rise)[after]
        table[after, at.K_ACC] = change.wish[after]
        speed = np.where(after, change.speed, speed)
    if len(build.plant.ramp):
        moving = stopping | (table[:, at.K_BRAKE] == 0.0)
        _hold_on_ramp(table, time, speed, moving, stopping, build, parked)
    return speed


def _hold_on_ramp(
    table: Array, time: Array, speed: Array, moving: Bools, stopping: Bools, build: Build, parked: float
) -> None:
    """Add what keeps the commanded speed on a ramp: drive uphill, drag downhill; a stop brakes by as much more or less.

    What this leaves open the kernels close: the drive follows its speed as long as nothing brakes.

    Where the tyres are follows from the commanded speed, what stands on them from the level floor. At standstill the
    parking brake holds, where that is more.
    """
    need = _grade_torque(np.concatenate(([0.0], np.cumsum(speed[:-1]) * (time[1] - time[0]))), build)
    sense = np.where(speed != 0.0, np.sign(speed), 0.0)
    rolls = moving & ~stopping & (speed != 0.0)
    table[rolls, at.K_DRIVE] += need[rolls]
    brakes = stopping & (speed != 0.0)
    brake = table[:, at.K_BRAKE] - sense * need
    table[brakes, at.K_BRAKE] = np.maximum(brake, 0.0)[brakes]
    table[brakes, at.K_DRIVE] = (sense * np.maximum(-brake, 0.0))[brakes]
    stands = (stopping | (moving & (speed == 0.0))) & ~brakes
    table[stands, at.K_BRAKE] = np.maximum(table[:, at.K_BRAKE], parked)[stands]


def _grade_torque(way: Array, build: Build) -> Array:
    """Return the torque ahead [N m] of each driven tyre that keeps the truck from rolling down the ramp.

    One value for each way driven (n,) [m].
    """
    plant, home, row = build.plant, build.home, build.plant.ramp[0]
    body = plant.tyre[:, at.T_BODY].astype(int)
    hub = plant.tyre[:, at.T_X : at.T_Z + 1] + build.centre[body]
    mass, front, share = plant.mass, body == at.CHASSIS, _shares(build, 0.0)
    # square to the slope the wheel's hub is that high, and its push along the level acts on that lever
    lever = _hub_heights(build, 0.0)[int(np.argmax(front))] / sqrt(1.0 + row[at.G_TAN] ** 2)
    along = cos(home[2]) * row[at.G_COS] + sin(home[2]) * row[at.G_SIN]
    aside = -sin(home[2]) * row[at.G_COS] + cos(home[2]) * row[at.G_SIN]
    start = row[at.G_COS] * (home[0] - row[at.G_X]) + row[at.G_SIN] * (home[1] - row[at.G_Y])
    total = np.zeros(len(way))
    for tyre, place, part in zip(plant.tyre, hub, share, strict=True):
        at_edge = start + along * (place[0] + way) + aside * place[1]
        smooth = tyre[at.T_R] * abs(row[at.G_TAN])
        total += part * np.clip(at_edge / smooth + 0.5, 0.0, 1.0)
        total -= part * np.clip((at_edge - row[at.G_LONG]) / smooth + 0.5, 0.0, 1.0)
    torque: Array = lever / front.sum() * G * float(mass.sum()) * row[at.G_TAN] * along * total
    return torque


def _shares(build: Build, ahead: float) -> Array:
    """Return the part of the weight on each tyre (n,) of a rigid truck speeding up by ``ahead`` [m/s2] on a level."""
    plant, body = build.plant, build.plant.tyre[:, at.T_BODY]
    front, total = (body == at.CHASSIS).tolist(), float(plant.mass.sum())
    hubs = (plant.tyre[:, at.T_X] + build.centre[body.astype(np.intp), 0])[body != at.CHASSIS]
    along, _, high = (plant.mass @ build.centre / total).tolist()
    steer, driven_tyres = (along - ahead / G * high) / float(hubs.mean()), sum(front)
    ends = steer / len(hubs), (1.0 - steer) / driven_tyres
    return np.array([ends[is_front] for is_front in front])


def _hub_heights(build: Build, ahead: float) -> Array:
    """Return how high each tyre's hub stands over the floor (n,): its rolling radius, and the lever of its drive."""
    loads = np.maximum(_shares(build, ahead), 0.0) * float(build.plant.mass.sum()) * G
    return np.array([hub_height(row, load) for row, load in zip(build.plant.tyre, loads, strict=True)])


def _torque(build: Build, force: float, ahead: float) -> float:
    """Return the torque on each tyre of the drive axle that together push with a force on the floor."""
    plant, levers = build.plant, _hub_heights(build, ahead)
    return force / float((1.0 / levers[plant.tyre[:, at.T_BRAKED] > 0.0]).sum())


def _torque_per_acceleration(build: Build, ahead: float) -> float:
    """Return the torque on each tyre of the drive axle for 1 m/s2, pressed as at ``ahead``; wheels take their part."""
    plant, levers = build.plant, _hub_heights(build, ahead)
    return _torque(build, float(plant.mass.sum() + (plant.tyre[:, at.T_IW] / levers**2).sum()), ahead)


def _hydraulics(case: Case, time: Array, table: Array) -> None:
    """Fill lift, tilt, slide and whether the rope holds."""
    machine, setup = case.machine, case.scenario.setup
    height = case.height
    tilt, out = setup.tilt, setup.counterweight_extension
    for event in sorted(
        (e for e in case.scenario.event if not isinstance(e, Swing | Ramp | Threshold)), key=lambda e: e.at
    ):
        if isinstance(event, Raise | Lower):
            usual = machine.mast.lift_speed if isinstance(event, Raise) else machine.mast.lower_speed
            stop = event.stopping
            table[:, at.K_LIFT] += move(time, event.at, event.to - height, event.speed or usual, stop)
            height = event.to
        elif isinstance(event, TiltMove):
            table[:, at.K_TILT] -= move(time, event.at, event.to - tilt, event.speed or machine.mast.tilt_speed, 0.3)
            tilt = event.to
        elif isinstance(event, CounterweightMove):
            table[:, at.K_SLIDE] += move(
                time, event.at, event.to - out, event.speed or machine.counterweight.speed, 0.3
            )
            out = event.to
        elif isinstance(event, LoadShed):
            if case.load is None or case.load.hung_by is None:
                msg = "only a hung load can come off at once"
                raise InputError(msg, key="event", value='"load_shed"', remedy="Hang the load by a rope on the jib.")
            table[time >= event.at - 1e-9, at.K_HELD] = 0.0


def _outside(scenario: Scenario, index: int, share: float, time: Array) -> Array:
    """Force over time (n, 3) of one push or of the wind on one body."""
    event, heading, down = scenario.event[index], scenario.setup.heading, 0.0
    if isinstance(event, Push):
        size = event.force * ramp(time, event.at, event.over)
        if event.lasts is not None:
            size[time >= event.at + event.lasts - 1e-9] = 0.0
        azimuth, down = heading + event.direction, event.down
    elif isinstance(event, Wind):
        size = wind_force(event.speed, share, DRAG) * ramp(time, event.at, event.over)
        azimuth = heading + event.from_azimuth + np.pi
    else:
        return np.zeros((len(time), 3))
    force: Array = size[:, None] * np.array([cos(down) * cos(azimuth), cos(down) * sin(azimuth), -sin(down)])
    return force


def notes(scenario: Scenario) -> tuple[str, ...]:
    """Return what a reader should know about how events are carried out."""
    sentences = []
    if any(isinstance(event, Ramp) for event in scenario.event):
        sentences.append(
            "on the ramp the drive keeps its speed, and a stop its deceleration: the brake pulls more downhill and "
            "less uphill, by what the slope takes; the ramp's edges are sharp, and it is as wide as the floor"
        )
    if any(isinstance(event, Threshold) for event in scenario.event):
        sentences.append("the drive keeps its speed over the threshold, whose edges are sharp; only tyres meet it")
    if any(isinstance(event, Turn) for event in scenario.event):
        sentences.append(
            "in the turn the drive keeps its speed, and every wheel of the steer axle stands square to the line to the "
            "middle of the turn; how far the wheels of this truck can be steered is not known"
        )
    if any(isinstance(event, Push) and event.down for event in scenario.event):
        sentences.append(
            "a push that points down or up keeps the force told for it however the truck gives way; what holds a load "
            "fast pulls more as it is lifted, and less as the truck tips"
        )
    if any(isinstance(event, Wind) for event in scenario.event):
        sentences.append(f"wind pressure on the outlines of chassis, mast and load with drag factor {DRAG:g}, assumed")
    return tuple(sentences)
