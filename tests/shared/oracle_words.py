"""How a run ended, by numpy over all its samples: the oracle of the words and decisions watched step by step."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import pi, sqrt

import numpy as np
from numpy.typing import NDArray

import oracle_lines as lines
from oracle_motion import Motion
from tipline.endings import RULES, FloorEnd, LoadEnd, TruckEnd
from tipline.geometry.setting import load_base
from tipline.kernels import layout as at
from tipline.scenario.spec import Breakthrough, LoadShed

__all__ = ["TruckState", "floor_state", "load_state", "settled", "steer_share", "truck_state", "tyres_off"]

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class TruckState:
    """The truck's part, with the line it is past and the sample after which there was no way back (None: never)."""

    word: str
    line: str | None
    no_return: int | None


def tyres_off(motion: Motion) -> Bools:
    """Return whether each tyre is off the floor, (n, tyres)."""
    light = _light(motion)
    need = max(1, round(RULES.off_time / _step(motion.run.time)))
    off: Bools = np.zeros_like(light)
    for tyre in range(light.shape[1]):
        edges = np.flatnonzero(np.diff(np.concatenate(([0], light[:, tyre].astype(np.int8), [0]))))
        for start, stop in zip(edges[::2], edges[1::2], strict=True):
            if stop - start >= need:
                off[start:stop, tyre] = True
    return off


def _light(motion: Motion) -> Bools:
    """Return whether each tyre bears next to nothing, (n, tyres)."""
    run = motion.run
    loads = np.column_stack([run.series(f"tyre_load.{name}") for name in run.tyres])
    weight = float(motion.masses[0].sum() * np.linalg.norm(motion.gravity[0]))
    return np.asarray(loads < np.maximum(RULES.off_share * loads[0], RULES.off_least * weight))


def _step(time: Array) -> float:
    return float(time[1] - time[0]) if len(time) > 1 else 1.0


def _last(motion: Motion, seconds: float) -> slice:
    time = motion.run.time
    return slice(int(np.searchsorted(time, time[-1] - seconds + 0.5 * _step(time))), len(time))


def _at_looks(motion: Motion, values: Array) -> Array:
    """Return values over time (n,) as they were at the last look at the lines."""
    every = max(1, round(RULES.looks / _step(motion.run.time)))
    return values[np.arange(len(values)) // every * every]


def _on_body(motion: Motion) -> Bools:
    weight = motion.masses.sum(axis=1) * np.linalg.norm(motion.gravity, axis=1)
    return np.asarray(motion.run.series("body_force") > RULES.off_share * weight)


def past_line(motion: Motion) -> tuple[str | None, int | None, bool]:
    """Return the line that the weight is past at the end, the first sample from which it is so, and whether it fell.

    Lines are looked at every few steps. One counts only while the truck turns on it: every tyre it turns away from is
    off the floor, or it lies. Past a line and leaning beyond RULES.fallen it has fallen, and what it lands on and rolls
    back to no longer counts.
    """
    off, lying = tyres_off(motion), motion.lean > RULES.lying
    masks = {
        line: _at_looks(
            motion,
            ((motion.by_weight[line] < 0.0) & _turning_on(motion, off, line)) | (lying & _leans_to(motion, line)),
        )
        for line in lines.LINES
    }
    fallen = np.flatnonzero(np.any(list(masks.values()), axis=0) & (motion.lean > RULES.fallen))
    end = int(fallen[0]) + 1 if len(fallen) else len(motion.lean)
    best: tuple[str | None, int | None] = (None, None)
    for line, mask in masks.items():
        past = mask[:end]
        if past[-1]:
            inside = np.flatnonzero(~past)
            since = int(inside[-1]) + 1 if len(inside) else 0
            # a rope that still pulls inwards keeps the balance point back for a moment
            beyond = np.flatnonzero(~(_at_looks(motion, motion.distances[line])[since:] > 0.0))
            since += int(beyond[0]) if len(beyond) else 0
            if best[1] is None or since < best[1]:
                best = (line, since)
    return *best, len(fallen) > 0


def _turning_on(motion: Motion, off: Bools, line: str) -> Bools:
    """Whether every tyre away from the line is off the floor, (n,)."""
    tyre, build = motion.truck.plant.tyre, motion.truck.build
    braked = tyre[:, at.T_BRAKED] > 0.0
    across = tyre[:, at.T_Y] + build.centre[tyre[:, at.T_BODY].astype(int), 1]
    left = across > 0.5 * (across.max() + across.min())
    away = {"front": ~braked, "back": braked, "left": ~left, "right": left}[line]
    return np.asarray(off[:, away].all(axis=1))


def _leans_to(motion: Motion, line: str) -> Bools:
    """Whether the chassis leans mostly towards a line, (n,)."""
    up = motion.rot[:, at.CHASSIS, :, 2]
    yaw = motion.rot[:, at.CHASSIS, :, 0]
    heading = np.arctan2(yaw[:, 1], yaw[:, 0])
    ahead = up[:, 0] * np.cos(heading) + up[:, 1] * np.sin(heading)
    left = -up[:, 0] * np.sin(heading) + up[:, 1] * np.cos(heading)
    fore = np.abs(ahead) > np.abs(left)
    picked = {
        "front": fore & (ahead > 0),
        "back": fore & (ahead < 0),
        "left": ~fore & (left > 0),
        "right": ~fore & (left < 0),
    }
    return np.asarray(picked[line])


def is_still(motion: Motion) -> bool:
    """Whether nothing moves at the end."""
    part = _last(motion, RULES.at_rest)
    height = motion.masses[part].sum(axis=1) * np.linalg.norm(motion.gravity[part], axis=1)
    return bool((motion.kinetic[part] < RULES.still * height).all())


def settled(motion: Motion, energy_left: dict[str, Array]) -> bool:
    """Whether the ending is decided."""
    line, _, fell = past_line(motion)
    if fell:
        return True
    if motion.run.time[-1] < _quiet_from(motion) or _still_sinking(motion) or _still_told(motion):
        return False
    if is_still(motion):
        return True
    if line is not None or _on_body(motion)[_last(motion, RULES.window)].any():
        return False
    part = _last(motion, RULES.window)
    if not _pushed(motion, part) and all((energy_left[name][part] > 0.0).all() for name in lines.LINES):
        return True
    return _steady(motion)


def _still_sinking(motion: Motion) -> bool:
    run, part = motion.run, _last(motion, RULES.window)
    for name, channel in run.channels.items():
        if (
            name.startswith("place_depth.")
            and channel.values[-1] - channel.values[part][0] > RULES.sinking * RULES.window
        ):
            return True
    return False


def _still_told(motion: Motion) -> bool:
    """Whether the floor turns, or the carriage, the mast or the counterweight moves on the truck, as told."""
    part = _last(motion, RULES.window)
    first, last = part.start, -1
    if np.abs(motion.gravity[first] - motion.gravity[last]).max() > 1e-9:
        return True

    def seen(body: int, host: int, index: int) -> Array:
        return np.asarray(motion.rot[index, host].T @ (motion.own[index, body] - motion.own[index, host]))

    pairs = ((at.COUNTERWEIGHT, at.CHASSIS, 2e-3), (at.CARRIAGE, at.MAST, 1e-2), (at.MAST, at.CHASSIS, 1e-2))
    return any(np.linalg.norm(seen(a, b, first) - seen(a, b, last)) > least for a, b, least in pairs)


def _pushed(motion: Motion, part: slice) -> bool:
    """Whether an outside force acts, which the energy to tip by weight alone knows nothing of."""
    channels = motion.run.channels
    return any(channel.values[part].any() for name, channel in channels.items() if name.startswith("outside_"))


def _swing_time(motion: Motion) -> float:
    """Return the time [s] taken for one swing of the truck on its tyres, or of a hung load."""
    if not motion.truck.hung:
        return RULES.long_swing
    points = motion.truck.assembly.points
    length = float(np.linalg.norm(np.asarray(points.hook) - motion.truck.assembly.centre[at.LOAD]))
    return max(RULES.long_swing, 2.0 * pi * sqrt(length / float(np.linalg.norm(motion.gravity[-1]))))


def _quiet_from(motion: Motion) -> float:
    """Return the time [s] of the last command."""
    return float(motion.run.meta.get("commanded_until_s", 0.0))


def _steady(motion: Motion) -> bool:
    """Whether the truck swings on without getting worse since the last command.

    By half swings: each of the last ones leaned no further and came no nearer to a line than any before it, the weight
    was within the lines all the time, and the last was no livelier than the one before.
    """
    time, half = motion.run.time, 0.5 * _swing_time(motion)
    count = int((time[-1] - _quiet_from(motion)) / half + 1e-6)
    if count < RULES.even_halves + 1:
        return False
    edges = np.searchsorted(time, _quiet_from(motion) + half * np.arange(count + 1) - 1e-9)
    parts = [slice(start, end) for start, end in pairwise(edges.tolist())]
    lately = _last(motion, RULES.even_halves * half)
    if not all((motion.by_weight[line][lately] > 0.0).all() for line in lines.LINES):
        return False
    near = [motion.distances[line] for line in lines.LINES]
    up = motion.rot[:, at.CHASSIS, 2]
    roll, pitch = np.arctan2(up[:, 1], up[:, 2]), np.arctan2(-up[:, 0], np.hypot(up[:, 1], up[:, 2]))
    leans = [(one, RULES.alike) for one in (roll, -roll, pitch, -pitch)]
    for value, spare in (*leans, *((one, RULES.nearer) for one in near)):
        least = np.array([value[part].min() for part in parts])
        before = np.minimum.accumulate(least)[-RULES.even_halves - 1 : -1]
        if (least[-RULES.even_halves :] < before - spare).any():
            return False
    height = float(motion.masses[-1].sum() * np.linalg.norm(motion.gravity[-1]))
    lively = [float(motion.kinetic[part].max()) for part in parts[-2:]]
    return lively[1] <= max(lively[0], RULES.slow * height)


def truck_state(motion: Motion, *, decided: bool) -> TruckState:
    """Say how the truck ended."""
    line, since, fell = past_line(motion)
    part = _last(motion, RULES.window)
    on_body = bool(_on_body(motion)[part].all())
    if line is not None and (fell or not on_body):
        return TruckState(TruckEnd.OVER, line, since)
    if on_body:
        return TruckState(TruckEnd.RESTING, line, since)
    if not decided:
        return TruckState(TruckEnd.UNDECIDED, None, None)
    off = tyres_off(motion)
    if _stays_off(motion, off):
        return TruckState(TruckEnd.TYRE_OFF, None, None)
    if off.any():
        return TruckState(TruckEnd.TYRE_LIFTED, None, None)
    light = float(steer_share(motion).min()) < RULES.light_to_steer
    return TruckState(TruckEnd.TOO_LIGHT if light else TruckEnd.DOWN, None, None)


def _stays_off(motion: Motion, off: Bools) -> bool:
    """Whether a tyre is off where nothing moves, or went off and never came back, or was off for most of a swing."""
    at_end = off[_last(motion, RULES.window)].all(axis=0)
    if is_still(motion):
        return bool(at_end.any())
    if any(bool(one[int(one.argmax()) :].all()) for one in off[:, at_end].T):
        return True
    period = _swing_time(motion)
    light = _light(motion)[_last(motion, period)].sum(axis=0) * _step(motion.run.time)
    return bool((light >= RULES.mostly * period).any())


def steer_share(motion: Motion) -> Array:
    """Return the part of the tyre loads that the steer axle carries, (n,); nan where no tyre bears."""
    run = motion.run
    loads = np.column_stack([run.series(f"tyre_load.{name}") for name in run.tyres])
    total = loads.sum(axis=1)
    steer = loads[:, motion.truck.plant.tyre[:, at.T_BRAKED] == 0.0].sum(axis=1)
    share: Array = np.divide(steer, total, out=np.full_like(total, np.nan), where=total > 0.0)
    return share


def load_state(motion: Motion, truck: TruckState) -> tuple[str, list[tuple[float, str]]]:
    """Say how the lifted load ended, with what happened to it and when."""
    case = motion.truck.case
    if case.load is None:
        return LoadEnd.NONE, []
    shed = [event.at for event in case.scenario.event if isinstance(event, LoadShed)]
    if shed and shed[0] <= motion.run.time[-1]:
        return LoadEnd.DROPPED, []
    if truck.word == TruckEnd.OVER:
        return LoadEnd.DROPPED, []
    if motion.truck.hung:
        return LoadEnd.KEPT, []
    return _free(motion) if case.load.on_forks == "free" else _fixed(motion, truck)


def _free(motion: Motion) -> tuple[str, list[tuple[float, str]]]:
    """Follow a load that lies free on the forks against the carriage."""
    turned = np.einsum("nji,nj->ni", motion.rot[:, at.CARRIAGE], motion.own[:, at.LOAD] - motion.own[:, at.CARRIAGE])
    moved = turned - turned[0]
    time = motion.run.time
    slid = np.flatnonzero(np.hypot(moved[:, 0], moved[:, 1]) > RULES.slid)
    weight = motion.masses[:, at.LOAD] * np.linalg.norm(motion.gravity, axis=1)
    low = (moved[:, 2] < -RULES.fell) | (motion.run.series("load_floor_force") > RULES.off_share * weight)
    if low[_last(motion, RULES.window)].any():
        fell = int(np.flatnonzero(low)[0])
        return LoadEnd.DROPPED, [(float(time[fell]), "the load falls off the forks")]
    if len(slid):
        far = 1e3 * float(np.hypot(moved[:, 0], moved[:, 1]).max())
        return LoadEnd.SLID, [(float(time[slid[0]]), f"the load slides on the forks, {far:.0f} mm at most")]
    return LoadEnd.KEPT, []


def _fixed(motion: Motion, truck: TruckState) -> tuple[str, list[tuple[float, str]]]:
    """Hold what a load fixed on the forks would have needed against friction and its base.

    Along the forks only a push to the front needs friction; the fork face holds the other way. A truck that drops into
    a hole takes the forks from under the load for a moment; they meet again when the load has hardly moved.
    """
    case, run = motion.truck.case, motion.run
    load = case.load
    if load is None or len(run.time) < 3:
        return LoadEnd.KEPT, []
    along, up, needed = _needed(motion)
    normal = needed @ up
    ahead, aside = needed @ along, needed @ np.array([0.0, 1.0, 0.0])
    until = len(run.time) if truck.no_return is None else truck.no_return
    lasting = max(2, round(RULES.lasting / _step(run.time)))
    carried = normal > RULES.carried * float(np.linalg.norm(motion.gravity[0]))
    slips = carried & (np.hypot(np.minimum(ahead, 0.0), aside) > load.friction_on_forks * normal)
    pressed = np.maximum(normal, 1e-9)
    fore, side = -load.height_of_centre * ahead / pressed, -load.height_of_centre * aside / pressed
    reach, half = load_base(load, case.machine)
    topples = carried & ((fore > reach) | (np.abs(side) > half))
    found = []
    floating = max(2, round(RULES.floating / _step(run.time)))
    for word, text, mask, need in (
        (LoadEnd.DROPPED, "leave the forks", normal <= 0.0, floating),
        (LoadEnd.DROPPED, "topple on the forks", topples, lasting),
        (LoadEnd.SLID, "slide on the forks", slips, lasting),
    ):
        first = _lasts(mask[:until], need)
        if first is not None:
            note = f"the load would {text} (it was held fixed in this run)"
            found.append((word, (float(run.time[first]), note)))
    return (found[0][0] if found else LoadEnd.KEPT), [event for _, event in found]


def _needed(motion: Motion) -> tuple[Array, Array, Array]:
    """Return the forks' directions ahead and up in carriage axes, and the force per mass the load needs, (n, 3)."""
    tilt = motion.truck.case.scenario.setup.tilt
    along, up = np.array([np.cos(tilt), 0.0, np.sin(tilt)]), np.array([-np.sin(tilt), 0.0, np.cos(tilt)])
    time = motion.run.time
    width = max(1, round(RULES.smoothed / _step(time)))
    speed = motion.run.velocities[:, at.LOAD, :3]
    acceleration = np.gradient(speed, time, axis=0)
    kernel = np.ones(width) / width
    padded = np.pad(acceleration, ((width // 2, width - 1 - width // 2), (0, 0)), mode="edge")
    smooth = np.column_stack([np.convolve(padded[:, axis], kernel, mode="valid") for axis in range(3)])
    return along, up, np.einsum("nji,nj->ni", motion.rot[:, at.CARRIAGE], smooth - motion.gravity)


def _lasts(mask: Bools, need: int) -> int | None:
    """Return the first sample from which a mask holds for ``need`` samples."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], mask.astype(np.int8), [0]))))
    for start, stop in zip(edges[::2], edges[1::2], strict=True):
        if stop - start >= need:
            return int(start)
    return None


def floor_state(motion: Motion) -> str:
    """Say how the floor ended."""
    end = motion.run.time[-1]
    if any(isinstance(event, Breakthrough) and event.at <= end for event in motion.truck.case.scenario.event):
        return FloorEnd.BROKE
    places = motion.run.meta.get("places", ())
    if any(place["law"] == "plug" for place in places):
        return FloorEnd.BROKE
    for place in places:
        depth = motion.run.series(f"place_depth.{place['index']}")[-1]
        if place["law"] in ("yielding", "creeping") and depth > RULES.sunk:
            return FloorEnd.SANK
    return FloorEnd.HELD
