"""How a run ended, in three lines, and whether that is decided yet.

Truck: ``over`` once its weight is past a line it turns on, to stay; ``resting`` when something other than tyres
carries it; ``left-up`` or ``lifted`` when a tyre stays or was off the floor; else ``down``. A tyre is off when it bears
less than 1 % of its rest load for 10 ms or more; it is left up when it was so for nine tenths of the last swing, or
never came back, or is off when nothing moves, so that neither a touch in passing nor the moment of a swing at which the
run ends decides the word. Decided means: fallen; or moving, swinging and springing with less energy than any line asks
for; or still; or rocking and swinging within the lines without getting worse. A lifted load goes down with a truck that
goes over: ``dropped``.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import pi, sqrt

import numpy as np
from numpy.typing import NDArray

from tipline.kernels import layout as at
from tipline.runs.motion import Motion
from tipline.scenario import Case
from tipline.scenario.spec import Breakthrough, LoadShed
from tipline.statics import lines
from tipline.statics.planning import LEAST_STEER_SHARE

__all__ = ["Outcome", "TruckState", "load_base", "load_state", "settled", "truck_state", "tyres_off"]

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]

OFF_SHARE = 0.01
OFF_TIME = 0.01
MOSTLY = 0.9
"""Share of a swing for which a tyre bears nothing that is left up."""
LYING = pi / 3
"""Lean beyond which the truck lies on its side."""
FALLEN = pi / 4
"""Lean beyond which a truck that is past a line counts as over, whatever it lands on."""
WINDOW = 0.25
"""Time [s] over which an ending must hold."""
AT_REST = 1.0
"""Time [s] for which nothing may move: a truck that rocks lingers where it turns back."""
LONG_SWING = 2.0
"""Time [s] taken for one swing of the truck on its tyres, or longer."""
STILL = 1e-5
"""Kinetic energy as a share of weight times one metre below which a truck is still."""
SINKING = 1e-3
"""Speed [m/s] at which a place still sinks; depth [m] from which it has sunk."""
_CARRIED, FLOATING = 0.2, 0.2
"""Share of its weight on the forks below which a load falls with them; time [s] of that after which it is off them."""
SMOOTHED, LASTING = 0.02, 0.05
"""Time [s] over which the acceleration of a load is taken, and for which it must ask for too much."""


@dataclass(frozen=True)
class Outcome:
    """How a run ended: truck, lifted load, floor; the worst of them in words; the tip line that was crossed."""

    truck: str
    lifted_load: str
    floor: str
    lead: str
    direction: str | None = None


@dataclass(frozen=True)
class TruckState:
    """The truck's part, with the line it is past and the sample after which there was no way back (None: never)."""

    word: str
    line: str | None
    no_return: int | None


def tyres_off(motion: Motion) -> Bools:
    """Return whether each tyre is off the floor, (n, tyres)."""
    light = _light(motion)
    need = max(1, round(OFF_TIME / _step(motion.run.time)))
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
    return np.asarray(loads < np.maximum(OFF_SHARE * loads[0], 1e-3 * OFF_SHARE * weight))


def _step(time: Array) -> float:
    return float(time[1] - time[0]) if len(time) > 1 else 1.0


def _last(motion: Motion, seconds: float) -> slice:
    time = motion.run.time
    return slice(int(np.searchsorted(time, time[-1] - seconds)), len(time))


def _on_body(motion: Motion) -> Bools:
    weight = motion.masses.sum(axis=1) * np.linalg.norm(motion.gravity, axis=1)
    return np.asarray(motion.run.series("body_force") > OFF_SHARE * weight)


def past_line(motion: Motion) -> tuple[str | None, int | None, bool]:
    """Return the line that the weight is past at the end, the first sample from which it is so, and whether it fell.

    A line counts only while the truck turns on it: every tyre it turns away from is off the floor, or it lies. Past a
    line and leaning beyond FALLEN it has fallen, and what it lands on and rolls back to no longer counts.
    """
    off, lying = tyres_off(motion), motion.lean > LYING
    masks = {
        line: ((motion.by_weight[line] < 0.0) & _turning_on(motion, off, line)) | (lying & _leans_to(motion, line))
        for line in lines.LINES
    }
    fallen = np.flatnonzero(np.any(list(masks.values()), axis=0) & (motion.lean > FALLEN))
    end = int(fallen[0]) + 1 if len(fallen) else len(motion.lean)
    best: tuple[str | None, int | None] = (None, None)
    for line, mask in masks.items():
        past = mask[:end]
        if past[-1]:
            inside = np.flatnonzero(~past)
            since = int(inside[-1]) + 1 if len(inside) else 0
            # a rope that still pulls inwards keeps the balance point back for a moment
            beyond = np.flatnonzero(~(motion.distances[line][since:] > 0.0))
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
    part = _last(motion, AT_REST)
    height = motion.masses[part].sum(axis=1) * np.linalg.norm(motion.gravity[part], axis=1)
    return bool((motion.kinetic[part] < STILL * height).all())


def settled(motion: Motion, energy_left: dict[str, Array]) -> bool:
    """Whether the ending is decided."""
    line, _, fell = past_line(motion)
    if fell:
        return True
    if motion.run.time[-1] < _quiet_from(motion) or _still_sinking(motion) or _still_told(motion):
        return False
    if is_still(motion):
        return True
    if line is not None or _on_body(motion)[_last(motion, WINDOW)].any():
        return False
    part = _last(motion, WINDOW)
    if not _pushed(motion, part) and all((energy_left[name][part] > 0.0).all() for name in lines.LINES):
        return True
    return _steady(motion)


def _still_sinking(motion: Motion) -> bool:
    run, part = motion.run, _last(motion, WINDOW)
    for name, channel in run.channels.items():
        if name.startswith("place_depth.") and channel.values[-1] - channel.values[part][0] > SINKING * WINDOW:
            return True
    return False


def _still_told(motion: Motion) -> bool:
    """Whether the floor turns, or the carriage, the mast or the counterweight moves on the truck, as told."""
    part = _last(motion, WINDOW)
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
        return LONG_SWING
    points = motion.truck.assembly.points
    length = float(np.linalg.norm(np.asarray(points.hook) - motion.truck.assembly.centre[at.LOAD]))
    return max(LONG_SWING, 2.0 * pi * sqrt(length / float(np.linalg.norm(motion.gravity[-1]))))


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
    if count < at.EVEN_HALVES + 1:
        return False
    edges = np.searchsorted(time, _quiet_from(motion) + half * np.arange(count + 1) - 1e-9)
    parts = [slice(start, end) for start, end in pairwise(edges.tolist())]
    lately = _last(motion, at.EVEN_HALVES * half)
    if not all((motion.by_weight[line][lately] > 0.0).all() for line in lines.LINES):
        return False
    near = [motion.distances[line] for line in lines.LINES]
    up = motion.rot[:, at.CHASSIS, 2]
    roll, pitch = np.arctan2(up[:, 1], up[:, 2]), np.arctan2(-up[:, 0], np.hypot(up[:, 1], up[:, 2]))
    leans = [(one, at.ALIKE) for one in (roll, -roll, pitch, -pitch)]
    for value, spare in (*leans, *((one, at.NEARER) for one in near)):
        least = np.array([value[part].min() for part in parts])
        before = np.minimum.accumulate(least)[-at.EVEN_HALVES - 1 : -1]
        if (least[-at.EVEN_HALVES :] < before - spare).any():
            return False
    height = float(motion.masses[-1].sum() * np.linalg.norm(motion.gravity[-1]))
    lively = [float(motion.kinetic[part].max()) for part in parts[-2:]]
    return lively[1] <= max(lively[0], at.SLOW * height)


def truck_state(motion: Motion, *, decided: bool) -> TruckState:
    """Say how the truck ended."""
    line, since, fell = past_line(motion)
    part = _last(motion, WINDOW)
    on_body = bool(_on_body(motion)[part].all())
    if line is not None and (fell or not on_body):
        return TruckState("over", line, since)
    if on_body:
        return TruckState("resting", line, since)
    if not decided:
        return TruckState("undecided", None, None)
    off = tyres_off(motion)
    if _left_up(motion, off):
        return TruckState("left-up", None, None)
    if off.any():
        return TruckState("lifted", None, None)
    light = float(steer_share(motion).min()) < LEAST_STEER_SHARE
    return TruckState("down, too light to steer" if light else "down", None, None)


def _left_up(motion: Motion, off: Bools) -> bool:
    """Whether a tyre is off where nothing moves, or went off and never came back, or was off for most of a swing."""
    at_end = off[_last(motion, WINDOW)].all(axis=0)
    if is_still(motion):
        return bool(at_end.any())
    if any(bool(one[int(one.argmax()) :].all()) for one in off[:, at_end].T):
        return True
    period = _swing_time(motion)
    light = _light(motion)[_last(motion, period)].sum(axis=0) * _step(motion.run.time)
    return bool((light >= MOSTLY * period).any())


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
        return "none", []
    shed = [event.at for event in case.scenario.event if isinstance(event, LoadShed)]
    if shed and shed[0] <= motion.run.time[-1]:
        return "dropped", []
    if truck.word == "over":
        return "dropped", []
    if motion.truck.hung:
        return "kept", []
    return _free(motion) if case.load.on_forks == "free" else _fixed(motion, truck)


def _free(motion: Motion) -> tuple[str, list[tuple[float, str]]]:
    """Follow a load that lies free on the forks against the carriage."""
    turned = np.einsum("nji,nj->ni", motion.rot[:, at.CARRIAGE], motion.own[:, at.LOAD] - motion.own[:, at.CARRIAGE])
    moved = turned - turned[0]
    time = motion.run.time
    slid = np.flatnonzero(np.hypot(moved[:, 0], moved[:, 1]) > 0.02)
    weight = motion.masses[:, at.LOAD] * np.linalg.norm(motion.gravity, axis=1)
    low = (moved[:, 2] < -0.1) | (motion.run.series("load_floor_force") > OFF_SHARE * weight)
    if low[_last(motion, WINDOW)].any():
        fell = int(np.flatnonzero(low)[0])
        return "dropped", [(float(time[fell]), "the load falls off the forks")]
    if len(slid):
        far = 1e3 * float(np.hypot(moved[:, 0], moved[:, 1]).max())
        return "slid", [(float(time[slid[0]]), f"the load slides on the forks, {far:.0f} mm at most")]
    return "kept", []


def _fixed(motion: Motion, truck: TruckState) -> tuple[str, list[tuple[float, str]]]:
    """Hold what a load fixed on the forks would have needed against friction and its base.

    Along the forks only a push to the front needs friction; the fork face holds the other way. A truck that drops into
    a hole takes the forks from under the load for a moment; they meet again when the load has hardly moved.
    """
    case, run = motion.truck.case, motion.run
    load = case.load
    if load is None or len(run.time) < 3:
        return "kept", []
    along, up, needed = _needed(motion)
    normal = needed @ up
    ahead, aside = needed @ along, needed @ np.array([0.0, 1.0, 0.0])
    until = len(run.time) if truck.no_return is None else truck.no_return
    lasting = max(2, round(LASTING / _step(run.time)))
    carried = normal > _CARRIED * float(np.linalg.norm(motion.gravity[0]))
    slips = carried & (np.hypot(np.minimum(ahead, 0.0), aside) > load.friction_on_forks * normal)
    pressed = np.maximum(normal, 1e-9)
    fore, side = -load.height_of_centre * ahead / pressed, -load.height_of_centre * aside / pressed
    reach, half = load_base(motion.truck.case)
    topples = carried & ((fore > reach) | (np.abs(side) > half))
    found = []
    floating = max(2, round(FLOATING / _step(run.time)))
    for word, text, mask, need in (
        ("dropped", "leave the forks", normal <= 0.0, floating),
        ("dropped", "topple on the forks", topples, lasting),
        ("slid", "slide on the forks", slips, lasting),
    ):
        first = _lasts(mask[:until], need)
        if first is not None:
            note = f"the load would {text} (it was held fixed in this run)"
            found.append((word, (float(run.time[first]), note)))
    return (found[0][0] if found else "kept"), [event for _, event in found]


def _needed(motion: Motion) -> tuple[Array, Array, Array]:
    """Return the forks' directions ahead and up in carriage axes, and the force per mass the load needs, (n, 3)."""
    tilt = motion.truck.case.scenario.setup.tilt
    along, up = np.array([np.cos(tilt), 0.0, np.sin(tilt)]), np.array([-np.sin(tilt), 0.0, np.cos(tilt)])
    time = motion.run.time
    width = max(1, round(SMOOTHED / _step(time)))
    speed = motion.run.velocities[:, at.LOAD, :3]
    acceleration = np.gradient(speed, time, axis=0)
    kernel = np.ones(width) / width
    padded = np.pad(acceleration, ((width // 2, width - 1 - width // 2), (0, 0)), mode="edge")
    smooth = np.column_stack([np.convolve(padded[:, axis], kernel, mode="valid") for axis in range(3)])
    return along, up, np.einsum("nji,nj->ni", motion.rot[:, at.CARRIAGE], smooth - motion.gravity)


def load_base(case: Case) -> tuple[float, float]:
    """Return how far the load's base reaches ahead of and beside its centre [m]; it ends at the fork tips."""
    load, forks = case.load, case.machine.forks
    if load is None:
        return 0.0, 0.0
    ahead = load.size[0] / 2 - load.centre_offset[0]
    half = load.size[1] / 2 - abs(load.centre_offset[1])
    if forks is not None:
        out = load.load_centre if load.load_centre is not None else load.size[0] / 2 + load.centre_offset[0]
        ahead = min(ahead, forks.length - out)
        half = min(half, forks.spread / 2 + forks.width / 2 - abs(load.centre_offset[1]))
    return ahead, half


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
        return "broke"
    places = motion.run.meta.get("places", ())
    if any(place["law"] == "plug" for place in places):
        return "broke"
    for place in places:
        depth = motion.run.series(f"place_depth.{place['index']}")[-1]
        if place["law"] in ("yielding", "creeping") and depth > SINKING:
            return "sank"
    return "held"


def leading(truck: TruckState, load: str, floor: str) -> str:
    """Say the worst of the three in a few words."""
    to = "" if truck.line is None else f" to the {truck.line}"
    resting = "resting on its body or mast" if load == "none" else "resting on its body, mast or load"
    ranked = (
        (truck.word == "over", f"over{to}"),
        (truck.word == "undecided", "undecided"),
        (truck.word == "resting" and bool(to), f"{resting}, past the {truck.line} line"),
        (load == "dropped", "the lifted load dropped"),
        (truck.word == "resting", resting),
        (truck.word == "left-up", "a tyre left up"),
        (load == "slid", "the lifted load slid"),
        (truck.word == "lifted", "a tyre lifted and came back"),
        (floor == "broke", f"{truck.word}; the floor broke"),
        (floor == "sank", f"{truck.word}; the floor sank"),
    )
    return next((text for holds, text in ranked if holds), truck.word)
