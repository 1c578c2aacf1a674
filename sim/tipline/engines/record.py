"""From the raw record to a run with names and units; merged bodies get the pose that follows from their host."""

from __future__ import annotations

import platform
from importlib.metadata import PackageNotFoundError, version
from math import inf
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipline.engines.commands import push_points
from tipline.kernels import layout as at
from tipline.kernels.wheels import steering
from tipline.results import COMPILED, PYBULLET, Channel, Run, Watched

if TYPE_CHECKING:
    from tipline.engines.loop import Loop
    from tipline.engines.prepare import Prepared

__all__ = ["to_run", "watched_channels"]

Array = NDArray[np.float64]

_TYRE = (
    (at.R_LOAD, "tyre_load", "N", "tyre load"),
    (at.R_DRAG, "tyre_drag", "N", "force along the tyre"),
    (at.R_SIDE, "tyre_side", "N", "force across the tyre"),
    (at.R_COMPRESSION, "tyre_compression", "m", "compression"),
    (at.R_CX, "tyre_contact_x", "m", "contact x"),
    (at.R_CY, "tyre_contact_y", "m", "contact y"),
    (at.R_CZ, "tyre_contact_z", "m", "contact z"),
    (at.R_SPIN, "wheel_speed", "rad/s", "wheel speed"),
)
_SINGLE = (
    (at.R_AXLE, "axle_angle", "rad", "steer axle against the frame"),
    (at.R_AXLE_TORQUE, "axle_torque", "N m", "torque of stop or frame on the steer axle"),
    (at.R_MAST_X, "mast_angle_x", "rad", "mast sideways"),
    (at.R_MAST_Y, "mast_angle_y", "rad", "mast forward"),
    (at.R_MAST_Z, "mast_angle_z", "rad", "mast twist"),
    (at.R_MAST_TX, "mast_moment_x", "N m", "moment of the mast sideways"),
    (at.R_MAST_TY, "mast_moment_y", "N m", "moment of the mast forward"),
    (at.R_MAST_TZ, "mast_moment_z", "N m", "twist of the mast"),
    (at.R_CHAIN, "chain_force", "N", "lift chain"),
    (at.R_ROPE, "rope_force", "N", "rope"),
    (at.R_BODY_FORCE, "body_force", "N", "what carries the truck beside its tyres"),
    (at.R_LOAD_FLOOR, "load_floor_force", "N", "floor on a hung or free lifted load"),
    (at.R_SUPPORT, "fork_force", "N", "forks on a free load"),
    (at.R_LIFT, "lift", "m", "carriage above its height at set-up"),
)
_LAWS = {at.LAW_GIVEN: "given", at.LAW_YIELDING: "yielding", at.LAW_PLUG: "plug", at.LAW_CREEPING: "creeping"}
_LIBRARIES = {PYBULLET: ("pybullet", "numpy", "numba"), COMPILED: ("numpy", "numba")}
"""Whose versions stand beside a run of each engine."""
_ENERGY = ("kinetic", "gravity", "elastic", "dissipated", "work_in", "floor")


def to_run(loop: Loop, seconds: float) -> Run:
    """Name the columns of what a loop has recorded; seconds: how long it took."""
    prepared, record, watched = loop.prepared, loop.record[: loop.k], loop.watched()
    build = prepared.build
    tyres, places = len(build.tyres), len(build.plant.place)
    every = prepared.case.scenario.run.record_every
    rows = record[::every]
    poses, speeds = _bodies(prepared, rows)
    first = 1 + 13 * at.N_BODY
    channels = {}
    for index, tyre in enumerate(build.tyres):
        for column, name, unit, label in _TYRE:
            values = rows[:, first + index * at.N_TYRE_RECORD + column].copy()
            channels[f"{name}.{tyre}"] = Channel(values, unit, f"{label}, {tyre}")
    single = first + tyres * at.N_TYRE_RECORD
    for column, name, unit, label in _SINGLE:
        channels[name] = Channel(rows[:, single + column].copy(), unit, label)
    for index, order in enumerate(prepared.orders):
        values = rows[:, single + at.N_SINGLE + index].copy()
        channels[f"place_depth.{index}"] = Channel(values, "m", f"depth of place {index} ({order.source})")
    for index, name in enumerate(_ENERGY):
        values = rows[:, single + at.N_SINGLE + places + index].copy()
        channels[f"energy.{name}"] = Channel(values, "J", f"{name.replace('_', ' ')} energy")
    channels |= _motion(prepared, poses, speeds, len(rows), every)
    channels |= _outside(prepared, len(rows), every)
    channels |= _steering(prepared, len(rows), every)
    channels |= watched_channels(rows[:, single + at.N_SINGLE + places + len(_ENERGY) :], watched)
    meta = _meta(prepared, loop.engine, watched.ledger_error, seconds)
    return Run(rows[:, 0].copy(), poses, speeds, channels, at.BODIES, build.tyres, meta, watched)


def watched_channels(columns: Array, watched: Watched) -> dict[str, Channel]:
    """Name what was told of each step as it was watched (n, N_WATCHED) [SI]."""
    channels = {
        f"distance.{name}": Channel(columns[:, at.W_DISTANCE + j].copy(), "m", f"distance to the {_spoken(name)} line")
        for j, name in enumerate(watched.distance)
    }
    for j, name in enumerate(watched.energy_left):
        channels[f"energy_left.{name}"] = Channel(columns[:, at.W_ENERGY + j].copy(), "J", f"energy left, {name} line")
    channels["balance_x"] = Channel(columns[:, at.W_BALANCE].copy(), "m", "balance point x")
    channels["balance_y"] = Channel(columns[:, at.W_BALANCE + 1].copy(), "m", "balance point y")
    share = columns[:, at.W_STEER].copy()
    channels["steer_axle_share"] = Channel(share, "", "share of the tyre loads on the steer axle")
    return channels


def _spoken(name: str) -> str:
    return name.replace(".", " ")


def _bodies(prepared: Prepared, rows: Array) -> tuple[Array, Array]:
    build, count = prepared.build, len(rows)
    poses, speeds = np.zeros((count, 6, 7)), np.zeros((count, 6, 6))
    for body in range(6):
        if build.plant.mass[body] > 0.0:
            block = rows[:, 1 + 13 * body : 14 + 13 * body]
            poses[:, body], speeds[:, body] = block[:, :7], block[:, 7:]
            poses[:, body, 3:] *= _signs(poses[:, body, 3:])[:, None]
    for body in range(6):
        if build.plant.mass[body] > 0.0:
            continue
        host = body
        while host in build.hosts:
            host = build.hosts[host]
        host = at.CARRIAGE if host == body else host
        offset = build.own_centre[body] - build.centre[host] if body in build.hosts else np.zeros(3)
        arm = _turn(poses[:, host, 3:], offset)
        poses[:, body, :3], poses[:, body, 3:] = poses[:, host, :3] + arm, poses[:, host, 3:]
        speeds[:, body, :3] = speeds[:, host, :3] + np.cross(speeds[:, host, 3:], arm)
        speeds[:, body, 3:] = speeds[:, host, 3:]
    return poses, speeds


def _signs(q: Array) -> Array:
    """Return the sign (n,) that each of these quaternions (n, 4) takes so that none jumps to its opposite.

    Both turn alike; pybullet goes over from one to the other as a body turns round.
    """
    jumps = (q[1:] * q[:-1]).sum(axis=1) < 0.0
    signs: Array = np.concatenate(([1.0], np.cumprod(np.where(jumps, -1.0, 1.0), dtype=np.float64)))
    return signs


def _turn(q: Array, point: Array) -> Array:
    """Turn one point by each quaternion (n, 4)."""
    u, w = q[:, :3], q[:, 3:]
    cross = np.cross(u, point) + w * point
    turned: Array = point + 2.0 * np.cross(u, cross)
    return turned


def _motion(prepared: Prepared, poses: Array, speeds: Array, count: int, every: int) -> dict[str, Channel]:
    table = prepared.commands.table[: count * every : every]
    q = poses[:, at.CHASSIS, 3:]
    ahead, left, up = (_turn(q, axis) for axis in np.eye(3))
    yaw = np.unwrap(np.arctan2(ahead[:, 1], ahead[:, 0]))
    heading = np.column_stack([np.cos(yaw), np.sin(yaw), np.zeros(count)])
    left_of = heading[:, [1, 0, 2]] * (-1.0, 1.0, 0.0)
    aside = table[:, at.K_SPEED] ** 2 * table[:, at.K_CURVE]
    acceleration = table[:, at.K_ACC, None] * heading + aside[:, None] * left_of
    return {
        "roll": Channel(np.arctan2(left[:, 2], up[:, 2]), "rad", "roll, right side down positive"),
        "pitch": Channel(
            np.arctan2(-ahead[:, 2], np.hypot(ahead[:, 0], ahead[:, 1])), "rad", "pitch, front down positive"
        ),
        "yaw": Channel(yaw, "rad", "heading"),
        "speed": Channel((speeds[:, at.CHASSIS, :3] * ahead).sum(axis=1), "m/s", "forward speed"),
        "commanded_ax": Channel(acceleration[:, 0], "m/s2", "commanded acceleration x"),
        "commanded_ay": Channel(acceleration[:, 1], "m/s2", "commanded acceleration y"),
        "gravity_x": Channel(table[:, at.K_GX].copy(), "m/s2", "gravity x"),
        "gravity_y": Channel(table[:, at.K_GY].copy(), "m/s2", "gravity y"),
        "gravity_z": Channel(table[:, at.K_GZ].copy(), "m/s2", "gravity z"),
    }


def _steering(prepared: Prepared, count: int, every: int) -> dict[str, Channel]:
    """Give the angles to which the wheels are steered, where they are at any time."""
    curve = prepared.commands.table[: count * every : every, at.K_CURVE]
    tyres = zip(prepared.build.tyres, prepared.build.plant.tyre, strict=True) if curve.any() else ()
    return {
        f"steering.{name}": Channel(
            np.arcsin([steering(row, value) for value in curve.tolist()]), "rad", f"steered to the left, {name}"
        )
        for name, row in tyres
        if row[at.T_BRAKED] == 0.0
    }


def _outside(prepared: Prepared, count: int, every: int) -> dict[str, Channel]:
    """Give the outside forces (wind, pushes) as commanded."""
    table = prepared.commands.table[: count * every : every]
    first = at.K_PLACE + len(prepared.build.plant.place)
    return {
        f"outside_{axis}.{index}": Channel(
            table[:, first + 3 * index + column].copy(), "N", f"outside force {index} along {axis}"
        )
        for index in range(len(prepared.build.plant.push))
        for column, axis in enumerate("xyz")
    }


def _meta(prepared: Prepared, engine: str, ledger_error: float, seconds: float) -> dict[str, Any]:
    case, build = prepared.case, prepared.build
    places = [
        {
            "index": index,
            "source": "breakthrough" if row[at.P_LAW] == at.LAW_PLUG else order.source,
            "tyre": build.tyres[order.tyre] if order.tyre >= 0 else "",
            "x": float(row[at.P_X]),
            "y": float(row[at.P_Y]),
            "heading": float(np.arctan2(row[at.P_SIN], row[at.P_COS])),
            "size": [2.0 * float(row[at.P_HX]), 2.0 * float(row[at.P_HY])],
            "at": float(order.at if order.at < inf else row[at.P_AT]),
            "law": _LAWS[int(row[at.P_LAW])],
            "zone": prepared.zones[int(row[at.P_ZONE])].name if order.at == inf else "",
        }
        for index, (order, row) in enumerate(zip(prepared.orders, build.plant.place, strict=True))
        if row[at.P_HX] > 0.0
    ]
    changes = prepared.commands.changes
    return {
        "title": case.scenario.title,
        "demo": case.demo,
        "engine": engine,
        "commanded_until_s": float(prepared.commands.time[changes[-1] + 1]) if len(changes) else 0.0,
        "time_step_s": case.scenario.run.time_step,
        "energy_error": ledger_error,
        "stands_at_start": prepared.stands,
        "notes": list(prepared.notes),
        "places": places,
        "outside": [
            {
                "body": int(row[0]),
                "point": (row[1:] + build.centre[int(row[0])]).tolist(),
                "kind": case.scenario.event[event].kind,
            }
            for row, (event, _) in zip(build.plant.push, push_points(case.scenario, prepared.assembly)[1], strict=True)
        ],
        "centres": [
            (build.own_centre if body in build.hosts else build.centre)[body].tolist() for body in range(at.N_BODY)
        ],
        "assumed_count": case.assumed_count,
        "versions": {name: _version(name) for name in ("tipline", *_LIBRARIES[engine])},
        "python": platform.python_version(),
        "timings_s": {"simulation": seconds},
    }


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "not installed"
