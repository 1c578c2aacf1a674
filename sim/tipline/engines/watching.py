"""What a run is watched by, made from a prepared case, and what was seen of it, put into words: for every engine.

Source: [Own] (the bound of what springs give on a crest)
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import ceil, cos, inf, nan, pi, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from tipline.endings import LINES, RULES, SIDES, Decided, FloorEnd, LoadEnd, TruckEnd
from tipline.engines.prepare import Prepared, size_of
from tipline.geometry.outline import Outline, crest_rows, left_tyres, outline
from tipline.geometry.setting import load_base
from tipline.kernels import equilibrium
from tipline.kernels import layout as at
from tipline.kernels import watching as w
from tipline.kernels.crests import crest_height
from tipline.kernels.decide import name_ending
from tipline.kernels.tiplines import N_FOOT
from tipline.kernels.watch import NONE, past_line
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.model.load import LiftedLoad
from tipline.results import Timed, Watched
from tipline.scenario.spec import Breakthrough, LoadShed, Scenario
from tipline.units import MILLIMETRE

__all__ = ["crest_bounds", "ending_of", "watch_of", "watched"]

Array = NDArray[np.float64]

SOFTER = 1.3
"""Factor on what springs give on the crest, for what the bound leaves out: stop or frame of the steer axle, chain (our
choice: a bound that is too wide costs time, one that is too narrow an ending)."""
_WEIGHTLESS = np.array([0.0, 0.0, -1e-12])
"""Gravity [m/s2] under which a pose stores what its springs hold and nothing else, as good as none (numerical)."""
_NAMES = (*LINES, *(f"swing.{side}" for side in SIDES))
_TRUCK, _DECIDED = tuple(TruckEnd), tuple(Decided)


def watch_of(
    prepared: Prepared,
    dt: float,
    losses: Array | None = None,
    *,
    early: bool = False,
    tells: bool = True,
    smooth: float = 0.0,
    goes_on: bool = False,
    like: w.Watch | None = None,
) -> w.Watch:
    """Return what a run of a prepared case is watched by.

    losses : (4,) what springs give on the crest over each tip line, counted from rest [J]; left out, and where it is
        nan, a bound for that
    early : end it before its duration once nothing can change any more
    tells : write distances and energies of each step into its row of the record, not only of those that may decide
    smooth : how far aside [m] changing accelerations may take a part of it within steps that are taken at once
    goes_on : step on though it is decided
    like : of another run of the same truck with the same step and losses, that no run was stepped with
    """
    plant = prepared.build.plant
    tyres, waiting = len(plant.tyre), _waiting(prepared, dt)
    rule = _rules(prepared, dt, early, waiting)
    rule[w.R_EVERY], rule[w.R_TELLS] = max(1, round(RULES.looks / dt)), tells
    rule[w.R_GOES_ON] = rule[w.R_CAP] + 2.0 if goes_on else 0.0
    rule[w.R_AT_ONCE], rule[w.R_SMOOTH], rule[w.R_EXACT] = 1, smooth, losses is not None
    swing = 2 * int(rule[w.R_WINDOW])
    if like is not None and len(like.swing) == swing:
        return like._replace(rule=np.array(rule, dtype=np.float64), waiting=waiting)
    row, forks, crest = _truck(prepared, dt)
    if losses is not None:
        crest[:, w.C_SOFT] = _from_rest(losses, crest[:, w.C_SOFT], prepared)
    return w.Watch(
        rule=np.array(rule, dtype=np.float64),
        outline=row,
        forks=forks,
        crest=crest,
        waiting=waiting,
        seen=np.zeros(w.N_SEEN),
        tyre=np.zeros((tyres, w.N_TYRE_SEEN)),
        swing=np.zeros((swing, tyres)),
        line=np.zeros((4, w.N_LINE)),
        least=np.zeros((w.N_LEAST + tyres, 2)),
        kept=np.zeros((4, w.N_LEAST + tyres, 2)),
        foot=np.zeros((N_FOOT, 4)),
        sums=np.zeros((2, 6)),
        ring=np.zeros((max(1, round(RULES.smoothed / dt)) + 2, 15)),
        job=np.zeros(w.N_JOB),
        deepest=np.zeros(len(plant.place)),
    )


def _truck(prepared: Prepared, dt: float) -> tuple[Array, Array, Array]:
    """Return what of a watch follows from the truck: outline, forks, crest."""
    build, load = prepared.build, prepared.case.load
    edges = outline(build, build.plant, hangs=load is not None and load.hung_by is not None)
    return edges.row, _forks(prepared, dt), crest_bounds(prepared, edges)


def _rules(prepared: Prepared, dt: float, early: bool, waiting: Array) -> list[float]:
    plant, table, run = prepared.build.plant, prepared.commands.table, prepared.case.scenario.run
    changes, packed = prepared.commands.changes, prepared.packed
    swing = 2.0 * pi * sqrt(packed.swings_by / size_of(table[-1, : at.K_GZ + 1]))
    period, weight = max(RULES.long_swing, swing), packed.mass * size_of(table[0, : at.K_GZ + 1])
    rule = [0.0] * w.N_RULE
    rule[w.R_DURATION], rule[w.R_CAP] = round(run.duration / dt), round(max(run.duration, run.extend_to) / dt)
    rule[w.R_QUIET_FROM] = changes[-1] + 1.0 if changes else 0.0
    if early and changes and not len(plant.zone):
        rule[w.R_BEGINS] = min([float(changes[0]), *waiting[:, w.W_STEP].tolist()])
    rule[w.R_WINDOW], rule[w.R_QUIET] = ceil(0.5 * period / dt), RULES.at_rest / dt
    rule[w.R_HOLD], rule[w.R_OFF_STEPS] = RULES.window / dt, max(1, round(RULES.off_time / dt))
    rule[w.R_STILL], rule[w.R_EARLY] = RULES.still * weight, float(early)
    rule[w.R_SINKS], rule[w.R_LOOK] = RULES.sinking * dt, max(1, ceil(RULES.landing / w.LOOKS / dt))
    return rule


def _forks(prepared: Prepared, dt: float) -> Array:
    """Return what is watched of a lifted load (N_FORKS,)."""
    case, points = prepared.case, prepared.assembly.points
    row, load = np.zeros(w.N_FORKS), case.load
    if points.hook is not None and points.load_top is not None:
        row[w.F_STRAIGHT] = size_of(points.hook - points.load_top)
        row[w.F_STRAIGHT] += size_of(points.load_top - prepared.assembly.centre[at.LOAD])
    if load is not None and load.hung_by is None:
        tilt = case.scenario.setup.tilt
        row[w.F_KIND] = w.FREE if load.on_forks == "free" else w.FIXED
        row[w.F_X : w.F_Z + 1] = prepared.build.own_centre[at.LOAD] - prepared.build.centre[at.CARRIAGE]
        row[w.F_COS], row[w.F_SIN] = cos(tilt), sin(tilt)
        row[w.F_REACH], row[w.F_HALF] = load_base(load, case.machine)
        row[w.F_HIGH], row[w.F_MU] = load.height_of_centre, load.friction_on_forks
        row[w.F_LASTING], row[w.F_FLOATING] = max(2, round(RULES.lasting / dt)), max(2, round(RULES.floating / dt))
    return row


def crest_bounds(prepared: Prepared, edges: Outline) -> Array:
    """Return where the truck turns over each line (4, N_CREST) [m], with a bound [J] of what springs give on the crest.

    There the whole weight stands on the tyres of one side, beside the truck on their outer strips, and the mast bends
    under what it carries as the truck leans. Both count in full, though a part is there at rest too.
    """
    build, plant, points = prepared.build, prepared.build.plant, prepared.assembly.points
    masses, centres = plant.mass, build.centre.copy()
    if points.hook is not None:
        centres[at.LOAD] = points.hook
    centre = (masses @ centres / masses.sum() - build.centre[at.CHASSIS]).tolist()
    on_mast, mast = [at.MAST, at.CARRIAGE, at.LOAD], plant.mast.tolist()
    joint = build.centre[at.CHASSIS] + plant.mast[at.M_CX : at.M_CZ + 1]
    ahead, _, above = (G * (masses[on_mast] @ (centres[on_mast] - joint))).tolist()
    left, braked = left_tyres(plant), plant.tyre[:, at.T_BRAKED] > 0.0
    rows, weight = crest_rows(build, plant, edges), G * float(masses.sum())
    stiffness = 4.0 / 3.0 * plant.tyre[:, at.T_K] * np.sqrt(2.0 * plant.tyre[:, at.T_R])
    for line, (row, side) in enumerate(zip(rows, (braked, ~braked, left, ~left), strict=True)):
        under, fore = stiffness[side].tolist(), line in (w.FRONT, w.BACK)
        force, share = weight / len(under), 1.0 if fore else 1.0 / at.STRIPS
        pressed = sum((force / (share * rate)) ** (2.0 / 3.0) for rate in under)
        axis = row.tolist()
        crest, up = crest_height(axis, *centre), centre[2] - axis[w.C_START + 2] + axis[w.C_RADIUS]
        bend = above * sqrt(max(0.0, 1.0 - up**2 / crest**2))
        bend += ahead if line == w.BACK else 0.0  # what bends it ahead at rest is let go too
        k, play = (mast[at.M_KY], mast[at.M_PY]) if fore else (mast[at.M_KX], mast[at.M_PX])
        row[w.C_SOFT] = SOFTER * (0.6 * force * pressed + 0.5 * bend**2 / k + 2.0 * bend * play)
    return rows


def _from_rest(losses: Array, bounds: Array, prepared: Prepared) -> Array:
    """Return what springs give on each crest (4,) [J] counted from rest: what is known, else its bound.

    A bound leaves out what springs hold at rest, which is free on the crest as well. Of a rope that is left out here
    too: it is stretched on the crest as it is at rest.
    """
    if np.isfinite(losses).all():
        return losses
    plant, home = prepared.build.plant, prepared.build.home
    state = np.zeros((at.N_BODY, 3)), np.zeros((at.N_BODY, 3, 3)), np.zeros((len(plant.tyre), 14))
    held = equilibrium.residual(
        prepared.q, plant, _WEIGHTLESS, np.zeros((6, 6)), home, prepared.memory.depth, np.zeros(3), *state,
        np.zeros(equilibrium.N_Q),
    )  # fmt: skip
    return np.where(np.isfinite(losses), losses, bounds + held)


def _waiting(prepared: Prepared, dt: float) -> Array:
    """Return the places that begin under tyres (n, N_WAIT)."""
    rows = [
        [round(order.at / dt), index, order.tyre, order.aside, along / 2, across / 2, order.law, *order.soil]
        for index, order in enumerate(prepared.orders)
        if order.where is None and order.at < inf
        for along, across in (order.size,)
    ]
    return np.array(rows, dtype=np.float64).reshape(-1, w.N_WAIT)


def ending_of(watch: w.Watch) -> tuple[int, TruckEnd]:
    """Say which tip line the weight is past, -1 none, and how the truck ended."""
    line = past_line(watch.line)
    return line, _TRUCK[name_ending(line, watch)]


def watched(prepared: Prepared, watch: w.Watch, places: Array, depth: Array, steps: int, dt: float) -> Watched:
    """Say what was seen of a run of so many steps, and how it ended; places (m, N_PLACE), depth (m,) [m] then."""
    end, names, used = (steps - 1) * dt, prepared.build.tyres, places[:, at.P_HX].tolist()
    line, truck = ending_of(watch)
    over = line if truck in (TruckEnd.OVER, TruckEnd.RESTING) else -1
    no_return = float(watch.line[over, w.D_SINCE]) if over >= 0 else None
    of_all = watch.least.tolist()
    least = [_timed(value, when) for value, when in (watch.kept[over].tolist() if over >= 0 else of_all)]
    load, events = _load(prepared.case.load, prepared.case.scenario, truck, watch, end, no_return, dt)
    count, why = len(_NAMES) if watch.outline[w.O_PIVOTS] > 0.0 else len(LINES), int(watch.seen[w.S_WHY])
    seen, tyre = watch.seen.tolist(), watch.tyre.tolist()
    return Watched(
        truck=truck.value,
        lifted_load=load.value,
        floor=_floor(prepared.case.scenario, used, places[:, at.P_LAW].tolist(), depth.tolist(), end).value,
        line=LINES[over] if over >= 0 else "",
        decided="" if why in (w.NOT_YET, w.BY_TIME) else _DECIDED[why].value,
        no_return=no_return,
        load_events=tuple(events),
        distance=dict(zip(_NAMES[:count], least[w.L_DISTANCE : w.L_DISTANCE + count], strict=True)),
        energy_left=dict(zip(LINES, least[w.L_ENERGY : w.L_STEER], strict=True)),
        steer_share=least[w.L_STEER],
        least_load=dict(zip(names, least[w.N_LEAST :], strict=True)),
        lightest={name: value for name, (value, _) in zip(names, of_all[w.N_LEAST :], strict=True)},
        peak_load={name: (row[w.Y_PEAK], row[w.Y_PEAK_AT]) for name, row in zip(names, tyre, strict=True)},
        off={
            name: (row[w.Y_OFF_AT], row[w.Y_BACK_AT] if row[w.Y_BACK_AT] >= 0.0 else None)
            for name, row in zip(names, tyre, strict=True)
            if row[w.Y_OFF_AT] >= 0.0
        },
        roll=(seen[w.S_ROLL_LEAST], seen[w.S_ROLL_MOST]),
        pitch=(seen[w.S_PITCH_LEAST], seen[w.S_PITCH_MOST]),
        away=(seen[w.S_AWAY], seen[w.S_AWAY_AT] if seen[w.S_AWAY_AT] >= 0.0 else nan),
        deepest=_deepest(prepared, watch, used),
        ledger_error=seen[w.S_LEDGER],
        load_held=bool(watch.forks[w.F_KIND] == w.FIXED),
    )


def _timed(value: float, when: float) -> Timed:
    return (value, when) if abs(value) < NONE else (nan, nan)


def _load(
    load: LiftedLoad | None,
    scenario: Scenario,
    truck: TruckEnd,
    watch: w.Watch,
    end: float,
    no_return: float | None,
    dt: float,
) -> tuple[LoadEnd, list[tuple[float, str]]]:
    """Say how the lifted load ended, with what happened to it and when, up to where there was no way back."""
    if load is None:
        return LoadEnd.NONE, []
    shed = any(isinstance(event, LoadShed) and event.at <= end for event in scenario.event)
    if shed or truck == TruckEnd.OVER:
        return LoadEnd.DROPPED, []
    if load.hung_by is not None:
        return LoadEnd.KEPT, []
    if load.on_forks == "free":
        return _free(watch, end, dt)
    return _fixed(watch, inf if no_return is None else no_return, dt)


def _free(watch: w.Watch, end: float, dt: float) -> tuple[LoadEnd, list[tuple[float, str]]]:
    """Say what became of a load that lies free on the forks: where it is at the end counts."""
    job = watch.job.tolist()
    if job[w.J_LOW] * dt >= end - RULES.window - 0.5 * dt:
        return LoadEnd.DROPPED, [(job[w.J_LEFT_AT], "the load falls off the forks")]
    if job[w.J_SLID_AT] >= 0.0:
        far = job[w.J_FAR] / MILLIMETRE
        return LoadEnd.SLID, [(job[w.J_SLID_AT], f"the load slides on the forks, {far:.0f} mm at most")]
    return LoadEnd.KEPT, []


def _fixed(watch: w.Watch, until: float, dt: float) -> tuple[LoadEnd, list[tuple[float, str]]]:
    """Say what a load held fixed on the forks would have done."""
    job, ends = watch.job.tolist(), []
    for word, began, steps, text in (
        (LoadEnd.DROPPED, w.J_LEFT_AT, w.F_FLOATING, "leave the forks"),
        (LoadEnd.DROPPED, w.J_TOPPLED_AT, w.F_LASTING, "topple on the forks"),
        (LoadEnd.SLID, w.J_SLID_AT, w.F_LASTING, "slide on the forks"),
    ):
        if job[began] >= 0.0 and job[began] + (watch.forks[steps] - 0.5) * dt < until:
            ends.append((word, (job[began], f"the load would {text} (it was held fixed in this run)")))
    return ends[0][0] if ends else LoadEnd.KEPT, [event for _, event in ends]


def _floor(
    scenario: Scenario, used: Iterable[float], laws: Iterable[float], depth: Iterable[float], end: float
) -> FloorEnd:
    """Say how the floor ended; what the scenario breaks within its duration is broken, however early a run ends.

    used, laws, depth : of each place: above 0 [m] where it is there, its law, how deep it is [m]
    """
    until = max(end, scenario.run.duration)
    breaks = any(isinstance(event, Breakthrough) and event.at <= until for event in scenario.event)
    there = [(law, deep) for half, law, deep in zip(used, laws, depth, strict=True) if half > 0.0]
    if breaks or any(law == at.LAW_PLUG for law, _ in there):
        return FloorEnd.BROKE
    soft = (at.LAW_YIELDING, at.LAW_CREEPING)
    return FloorEnd.SANK if any(law in soft and deep > RULES.sunk for law, deep in there) else FloorEnd.HELD


def _deepest(prepared: Prepared, watch: w.Watch, used: Iterable[float]) -> Mapping[str, float]:
    depths: dict[str, float] = {}
    for order, half, deep in zip(prepared.orders, used, watch.deepest.tolist(), strict=True):
        if half > 0.0:
            name = prepared.build.tyres[order.tyre] if order.tyre >= 0 else order.source
            depths[name] = max(deep, depths.get(name, 0.0))
    return depths
