"""The batch engine: many cases stepped in compiled code on the same kernels, one row of results each.

Forces, bodies and joints are those of the one-at-a-time engine; at the same time step the motion is the same. The words
and least distances follow `assess`, watched while it runs. What the batch engine cannot do is run by the one-at-a-time
engine, and the result says so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from math import ceil, cos, inf, pi, sin, sqrt
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.endings import LINES, RULES, SIDES, Decided, FloorEnd, LoadEnd, TruckEnd
from tipline.engines.prepare import Prepared, prepare
from tipline.engines.simulate import HALVINGS, simulate
from tipline.errors import NumericalError
from tipline.kernels import dynamics as joint
from tipline.kernels import equilibrium as rest
from tipline.kernels import layout as at
from tipline.kernels import rollout as ro
from tipline.kernels import tiplines as tip
from tipline.kernels.compiled import compiled
from tipline.kernels.vector import quaternion_product
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.runs.assessment import assess_run, decider
from tipline.runs.motion import Shape
from tipline.runs.outcome import TruckState, leading, load_base
from tipline.scenario.spec import Breakthrough, LoadShed
from tipline.statics import lines
from tipline.statics.truck import Truck

if TYPE_CHECKING:
    from tipline.geometry.ground import ZoneLaw
    from tipline.results import Run
    from tipline.scenario.case import Case

__all__ = ["BATCH", "ONE_AT_A_TIME", "BatchResult", "Rolled", "cannot", "roll", "run_batch"]

Array = NDArray[np.float64]

BATCH, ONE_AT_A_TIME = "batch", "one at a time"
STEP = 2e-3
"""Time step [s] of the batch engine where none is asked for; shorter where a spring of the truck needs it."""
SOFTER = 1.3
"""Factor on what springs give on the crest, for what the bound leaves out: stop or frame of the steer axle, chain."""
LINES_EVERY = 4e-3
"""Time [s] between two looks at the tip lines."""
_WORDS, _LOADS, _WHY = tuple(TruckEnd), tuple(LoadEnd), tuple(Decided)
_NAN = float("nan")


@dataclass(frozen=True)
class BatchResult:
    """How one case of a batch ended.

    Attributes
    ----------
    truck, lifted_load, floor, lead : as in `Outcome`; all "no result" where the run broke down
    direction : the tip line that its weight is past at the end
    engine : BATCH or ONE_AT_A_TIME; reason : why not the batch engine, else empty
    time : when the run was ended [s]; why : what ended it
    step : the time step it was run with [s]: shorter than asked for where it broke down with a longer one
    least_distance : of the balance point to each tip line [m], up to where there was no way back
    least_swing : the same to the two swing lines; empty where the steer axle does not pivot
    roll, pitch : least and most [rad], right side and front down positive
    peak_load, least_load : of each tyre [N]; steer_share : the least share of the tyre loads on the steer axle
    peak_depth : deepest place under each tyre that had one, or of each zone below the floor [m]
    ledger_error : energy missing as a share of what went through
    """

    truck: str
    lifted_load: str
    floor: str
    lead: str
    direction: str | None
    engine: str
    reason: str
    time: float
    why: str
    step: float
    least_distance: Mapping[str, float]
    least_swing: Mapping[str, float]
    roll: tuple[float, float]
    pitch: tuple[float, float]
    peak_load: tuple[float, ...]
    least_load: tuple[float, ...]
    steer_share: float
    peak_depth: Mapping[str, float]
    ledger_error: float


@dataclass(frozen=True)
class Rolled:
    """One run of the batch engine: its start, its result row (see kernels.rollout) and its record, if kept.

    pivots : whether the steer axle does
    """

    prepared: Prepared
    dt: float
    row: Array
    record: Array
    pivots: bool


def cannot(case: Case) -> str:
    """Say why a case needs the one-at-a-time engine; empty if it does not."""
    load = case.load
    if load is not None and load.hung_by is None and load.on_forks == "free":
        return "the lifted load lies free on the forks: whether it slides or drops is not followed in a batch"
    return ""


def run_batch(
    cases: Sequence[Case],
    zones: Sequence[Sequence[ZoneLaw]] | None = None,
    dt: float | None = None,
    threads: int = 1,
    early: bool = True,
) -> list[BatchResult]:
    """Run many cases; a case that breaks down costs itself only.

    Parameters
    ----------
    cases : read cases; neighbours that share machine, set-up and load share their assembly
    zones : how the floor answers in each case; left out, the zones of the floor files that say so themselves
    dt : time step [s]; left out, 2 ms, or the case's own where a spring of the truck needs it
    threads : how many runs at once; the results do not depend on it
    early : end a run before its duration once nothing is commanded any more and it is still or swings evenly

    Raises
    ------
    InputError
        A case asks for what cannot be simulated.
    """
    laws = [None] * len(cases) if zones is None else list(zones)
    if len(laws) != len(cases):
        msg = f"{len(laws)} sets of floor zones for {len(cases)} cases"
        raise ValueError(msg)
    start = _Start()
    work = [(case, law, start) for case, law in zip(cases, laws, strict=True)]
    if threads <= 1:
        return [_one(case, law, known, dt, early) for case, law, known in work]
    compiled("roll_out")
    with ThreadPoolExecutor(threads) as pool:
        return list(pool.map(lambda item: _one(item[0], item[1], item[2], dt, early), work))


class _Start:
    """Prepares cases, keeping the last assembly for a case with the same machine, set-up and load."""

    def __init__(self) -> None:
        self._last: Prepared | None = None

    def prepare(self, case: Case, zones: Sequence[ZoneLaw] | None, dt: float) -> Prepared:
        last = self._last
        same = last is not None and _same_truck(last.case, case)
        kept = last.assembly if same and last is not None else None
        made = prepare(case, dt=dt, zones=zones, assembly=kept, brief=True)
        self._last = made
        return made


def _same_truck(one: Case, other: Case) -> bool:
    return one.load == other.load and one.scenario.setup == other.scenario.setup and one.machine == other.machine


def _one(case: Case, zones: Sequence[ZoneLaw] | None, start: _Start, dt: float | None, early: bool) -> BatchResult:
    reason = cannot(case)
    try:
        if reason:
            return _alone(case, zones, reason)
        return _result(roll(case, zones, dt, early=early, start=start))
    except NumericalError as error:
        return _nothing(ONE_AT_A_TIME if reason else BATCH, f"{reason}; {error}" if reason else str(error), case)


def roll(
    case: Case,
    zones: Sequence[ZoneLaw] | None = None,
    dt: float | None = None,
    *,
    early: bool = True,
    keep: bool = False,
    start: _Start | None = None,
) -> Rolled:
    """Run one case in compiled code; keep: with its record, as the one-at-a-time engine keeps it.

    A run that breaks down is run again with half the step, as often as the one-at-a-time engine does.

    Raises
    ------
    NumericalError, InputError
        As in `prepare`.
    """
    prepare_it = (start or _Start()).prepare
    step = dt or STEP
    try:
        prepared = prepare_it(case, zones, step)
    except NumericalError as error:
        if dt is not None or error.quantity != "time step":
            raise
        step = min(case.scenario.run.time_step, STEP)
        prepared = prepare_it(case, zones, step)
    rolled = _roll_out(prepared, step, early, keep)
    for _ in range(HALVINGS):
        if int(rolled.row[ro.O_ENDING]) != ro.FAILED:
            break
        step *= 0.5
        rolled = _roll_out(prepare_it(case, zones, step), step, early, keep)
    return rolled


def _roll_out(prepared: Prepared, dt: float, early: bool, keep: bool) -> Rolled:
    plant, memory = prepared.build.plant, prepared.memory
    tyres = len(plant.tyre)
    x, u = _coordinates(prepared)
    frame = np.zeros((at.N_BODY, 4))
    frame[:, 3] = 1.0
    table, rule, shape = prepared.commands.table, _rules(prepared, dt, early), _shape(prepared, dt)
    rows = int(rule[ro.F_CAP]) + 2 if keep else 1
    record = np.zeros((rows, at.record_width(tyres, len(plant.place))))
    out = np.zeros(ro.N_RESULT + 2 * tyres + len(plant.place))
    ring = np.zeros((max(1, round(RULES.smoothed / dt)) + 2, 15))
    steps = compiled("roll_out")(
        dt, x, u, plant._replace(frame=frame), table, memory, _waiting(prepared, dt), rule, np.zeros((6, 13)),
        np.zeros((6, 6)), np.zeros((23, 12)), np.zeros((2, 3, 3)), np.zeros(ro.N_WATCH + 4 * tyres),
        np.zeros((2 * int(rule[ro.F_WINDOW]), tyres)), shape, np.zeros((tip.N_LINES, tip.N_LINE)), np.zeros((9, 4)),
        np.zeros((2, 6)), ring, np.zeros(tip.N_JOB),
        crests(prepared), record, out,
    )  # fmt: skip
    return Rolled(prepared, dt, out, record[:steps] if keep else record[:0], bool(shape[tip.S_PIVOTS] > 0.0))


def _coordinates(prepared: Prepared) -> tuple[Array, Array]:
    """Return joint coordinates and speeds at time zero."""
    raw, q, frame = prepared.raw, prepared.q, prepared.build.plant.frame
    x, u = np.zeros(joint.N_X), np.zeros(joint.N_U)
    for body, place, speed in ((at.CHASSIS, joint.X_PLACE, joint.U_SPEED), (at.LOAD, joint.X_LOAD, joint.U_LOAD)):
        x[place : place + 3] = raw[body, :3]
        quaternion_product(raw[body, 3:7], frame[body], x[place + 3 : place + 7])
        u[speed : speed + 6] = raw[body, 7:]
    x[joint.X_AXLE], x[joint.X_LIFT] = q[rest.Q_AXLE], q[rest.Q_LIFT]
    angle = q[[rest.Q_MAST_X, rest.Q_MAST_Y, rest.Q_MAST_Z]]
    size = float(np.linalg.norm(angle))
    share = np.sin(size / 2) / size if size > 0.0 else 0.5
    x[joint.X_MAST : joint.X_MAST + 4] = [*(share * angle), np.cos(size / 2)]
    return x, u


def _rules(prepared: Prepared, dt: float, early: bool) -> Array:
    plant, table, run = prepared.build.plant, prepared.commands.table, prepared.case.scenario.run
    changes = prepared.commands.changes
    period = RULES.long_swing
    if plant.mass[at.LOAD] > 0.0 and prepared.assembly.points.hook is not None:
        arm = float(np.linalg.norm(np.asarray(prepared.assembly.points.hook) - prepared.assembly.centre[at.LOAD]))
        period = max(period, 2.0 * pi * sqrt(arm / float(np.linalg.norm(table[-1, : at.K_GZ + 1]))))
    weight = float(plant.mass.sum() * np.linalg.norm(table[0, : at.K_GZ + 1]))
    rule = np.zeros(ro.N_RULE)
    rule[ro.F_DURATION], rule[ro.F_CAP] = round(run.duration / dt), round(max(run.duration, run.extend_to) / dt) + 1
    rule[ro.F_QUIET_FROM] = float(changes[-1]) + 1.0 if len(changes) else 0.0
    if early and len(changes) and not len(plant.zone):
        rule[ro.F_BEGINS] = min([float(changes[0]), *_waiting(prepared, dt)[:, ro.W_STEP].tolist()])
    rule[ro.F_WINDOW], rule[ro.F_QUIET], rule[ro.F_HOLD] = (
        ceil(0.5 * period / dt),
        RULES.at_rest / dt,
        RULES.window / dt,
    )
    rule[ro.F_FALLEN], rule[ro.F_STILL], rule[ro.F_EARLY] = RULES.fallen, RULES.still * weight, float(early)
    rule[ro.F_OFF], rule[ro.F_OFF_STEPS], rule[ro.F_LIGHT] = (
        RULES.off_share,
        max(1, round(RULES.off_time / dt)),
        RULES.light_to_steer,
    )
    rule[ro.F_MOSTLY] = RULES.mostly
    rule[ro.F_FASTEST], rule[ro.F_LEDGER_SHARE], rule[ro.F_LEDGER_FLOOR] = (
        RULES.fastest,
        RULES.ledger_share,
        RULES.ledger_floor,
    )
    rule[ro.F_SINKS], rule[ro.F_EVERY] = RULES.sinking * dt, max(1, round(LINES_EVERY / dt))
    rule[ro.F_LOOK] = max(1, ceil(RULES.landing / ro.LOOKS / dt))
    return rule


def _shape(prepared: Prepared, dt: float) -> Array:
    """Return what `kernels.tiplines` reads of a truck and its lifted load."""
    plant, case = prepared.build.plant, prepared.case
    found, load, tyres = lines.outline(plant), case.load, len(plant.tyre)
    shape = np.zeros(tip.N_SHAPE + tyres)
    corners = (found.front_left, found.front_right, found.rear_left, found.rear_right)
    shape[tip.S_FRONT_LEFT : tip.S_REAR_RIGHT + 1] = corners
    shape[tip.S_PIVOTS], shape[tip.S_LIGHT] = float(found.pivots), found.light
    shape[tip.N_SHAPE :] = np.where(_left(prepared), 1.0, -1.0)
    points = prepared.assembly.points
    if points.hook is not None and points.load_top is not None:
        rope = float(np.linalg.norm(np.asarray(points.hook) - np.asarray(points.load_top)))
        below = float(np.linalg.norm(np.asarray(points.load_top) - prepared.assembly.centre[at.LOAD]))
        shape[tip.S_STRAIGHT] = rope + below
    if load is not None and load.hung_by is None:
        tilt = case.scenario.setup.tilt
        shape[tip.S_FIXED] = 1.0
        shape[tip.S_X : tip.S_Z + 1] = prepared.build.own_centre[at.LOAD] - prepared.build.centre[at.CARRIAGE]
        shape[tip.S_COS], shape[tip.S_SIN] = cos(tilt), sin(tilt)
        shape[tip.S_REACH], shape[tip.S_HALF] = load_base(case)
        shape[tip.S_HIGH], shape[tip.S_MU] = load.height_of_centre, load.friction_on_forks
        shape[tip.S_LASTING], shape[tip.S_FLOATING] = (
            max(2, round(RULES.lasting / dt)),
            max(2, round(RULES.floating / dt)),
        )
    return shape


def crests(prepared: Prepared) -> Array:
    """Return where the truck turns over each line (4, N_CREST), and a bound for what its springs give on the crest.

    There the whole weight stands on the tyres of one side, beside the truck on their outer strips, and the mast bends
    under what it carries as the truck leans. Both count in full, though a part is there at rest too.
    """
    build, plant, points = prepared.build, prepared.build.plant, prepared.assembly.points
    shape = Shape.of(Truck(prepared.case, prepared.assembly, build, plant, lines.outline(plant)))
    masses, centres = plant.mass, build.centre.copy()
    if points.hook is not None:
        centres[at.LOAD] = points.hook
    centre = masses @ centres / masses.sum() - build.centre[at.CHASSIS]
    on_mast = [at.MAST, at.CARRIAGE, at.LOAD]
    joint = build.centre[at.CHASSIS] + plant.mast[at.M_CX : at.M_CZ + 1]
    ahead, _, above = G * (masses[on_mast] @ (centres[on_mast] - joint))
    left, braked = _left(prepared), plant.tyre[:, at.T_BRAKED] > 0.0
    sides = {"front": braked, "back": ~braked, "left": left, "right": ~left}
    rows = np.zeros((4, tip.N_CREST))
    for row, line in zip(rows, LINES, strict=True):
        start, end, radius = shape.ends[line]
        row[tip.C_START : tip.C_END], row[tip.C_END : tip.C_RADIUS], row[tip.C_RADIUS] = start, end, radius
        fore, tyre = line in ("front", "back"), plant.tyre[sides[line]]
        force = G * float(masses.sum()) / len(tyre)
        share = 1.0 if fore else 1.0 / at.STRIPS
        pressed = (force / (4.0 / 3.0 * share * tyre[:, at.T_K] * np.sqrt(2.0 * tyre[:, at.T_R]))) ** (2.0 / 3.0)
        crest = float(shape.crest(line, centre))
        bend = float(above) * sqrt(max(0.0, 1.0 - ((centre - start)[2] + radius) ** 2 / crest**2))
        bend += float(ahead) if line == "back" else 0.0  # what bends it ahead at rest is let go too
        k, play = (plant.mast[at.M_KY], plant.mast[at.M_PY]) if fore else (plant.mast[at.M_KX], plant.mast[at.M_PX])
        row[tip.C_SOFT] = SOFTER * (0.6 * force * float(pressed.sum()) + 0.5 * bend**2 / k + 2.0 * bend * play)
    return rows


def _left(prepared: Prepared) -> NDArray[np.bool_]:
    """Return which tyres are on the left."""
    tyre = prepared.build.plant.tyre
    across = tyre[:, at.T_Y] + prepared.build.centre[tyre[:, at.T_BODY].astype(int), 1]
    return np.asarray(across > 0.5 * (across.max() + across.min()))


def _waiting(prepared: Prepared, dt: float) -> Array:
    rows = [
        [round(order.at / dt), index, order.tyre, order.aside, *np.array(order.size) / 2, order.law, *order.soil, 0.0]
        for index, order in enumerate(prepared.orders)
        if order.where is None and order.at < inf
    ]
    return np.array(rows, dtype=np.float64).reshape(-1, ro.N_WAIT)


def _result(rolled: Rolled) -> BatchResult:
    row, case, tyres = rolled.row, rolled.prepared.case, len(rolled.prepared.build.plant.tyre)
    if int(row[ro.O_ENDING]) == ro.FAILED:
        least = f"with a step of {rolled.dt * 1e3:.3g} ms too"
        return _nothing(BATCH, f"it broke down at {row[ro.O_TIME]:.3f} s, {least}", case)
    first, line = ro.N_RESULT, int(row[ro.O_LINE])
    distance = [_NAN if value >= tip.NONE else value for value in row[ro.O_DISTANCE : ro.N_RESULT].tolist()]
    truck = TruckState(_WORDS[int(row[ro.O_ENDING])], None if line < 0 else LINES[line], None)
    load, (floor, depths) = _load_word(case, truck, row), _floor(rolled)
    return BatchResult(
        truck=truck.word,
        lifted_load=load,
        floor=floor,
        lead=leading(truck, load, floor),
        direction=truck.line,
        engine=BATCH,
        reason="",
        time=float(row[ro.O_TIME]),
        why=_WHY[int(row[ro.O_WHY])],
        step=rolled.dt,
        least_distance=dict(zip(LINES, distance[:4], strict=True)),
        least_swing=dict(zip(SIDES, distance[4:], strict=True)) if rolled.pivots else {},
        roll=(float(row[ro.O_ROLL_LEAST]), float(row[ro.O_ROLL_MOST])),
        pitch=(float(row[ro.O_PITCH_LEAST]), float(row[ro.O_PITCH_MOST])),
        peak_load=tuple(row[first : first + tyres].tolist()),
        least_load=tuple(row[first + tyres : first + 2 * tyres].tolist()),
        steer_share=float(row[ro.O_STEER]),
        peak_depth=depths,
        ledger_error=float(row[ro.O_LEDGER]),
    )


def _load_word(case: Case, truck: TruckState, row: Array) -> str:
    """Say how the lifted load ended, as `runs.outcome.load_state`."""
    if case.load is None:
        return LoadEnd.NONE
    gone = any(isinstance(event, LoadShed) and event.at <= row[ro.O_TIME] for event in case.scenario.event)
    if gone or truck.word == TruckEnd.OVER:
        return LoadEnd.DROPPED
    return LoadEnd.KEPT if case.load.hung_by is not None else _LOADS[int(row[ro.O_LOAD])]


def _floor(rolled: Rolled) -> tuple[str, dict[str, float]]:
    """Say how the floor ended, as `runs.outcome.floor_state`, and how deep its places were."""
    prepared, end = rolled.prepared, max(rolled.row[ro.O_TIME], rolled.prepared.case.scenario.run.duration)
    place, tyres = prepared.build.plant.place, prepared.build.tyres
    peak, ending = rolled.row[ro.N_RESULT + 2 * len(tyres) :], prepared.memory.depth
    used, law, deepest = place[:, at.P_HX] > 0.0, place[:, at.P_LAW], dict[str, float]()
    for order, there, deep in zip(prepared.orders, used, peak.tolist(), strict=True):
        if there:
            name = tyres[order.tyre] if order.tyre >= 0 else order.source
            deepest[name] = max(deep, deepest.get(name, 0.0))
    broken = any(isinstance(event, Breakthrough) and event.at <= end for event in prepared.case.scenario.event)
    if broken or (used & (law == at.LAW_PLUG)).any():
        return FloorEnd.BROKE, deepest
    soft = (law == at.LAW_YIELDING) | (law == at.LAW_CREEPING)
    return (FloorEnd.SANK if (used & soft & (ending > RULES.sunk)).any() else FloorEnd.HELD), deepest


def _alone(case: Case, zones: Sequence[ZoneLaw] | None, reason: str) -> BatchResult:
    """Run a case in the one-at-a-time engine."""
    single = replace(case, cells=())
    run = simulate(single, decided=decider(single), zones=zones)
    report = assess_run(run, single)
    roll_of, pitch_of, loads = run.series("roll"), run.series("pitch"), _loads(run)
    deepest: dict[str, float] = {}
    for place in run.meta["places"]:
        name = place["tyre"] or place["source"]
        deep = float(run.series(f"place_depth.{place['index']}").max())
        deepest[name] = max(deep, deepest.get(name, 0.0))
    return BatchResult(
        truck=report.outcome.truck,
        lifted_load=report.outcome.lifted_load,
        floor=report.outcome.floor,
        lead=report.outcome.lead,
        direction=report.outcome.direction,
        engine=ONE_AT_A_TIME,
        reason=reason,
        time=float(run.time[-1]),
        why="ended as a single run",
        step=run.meta["time_step_s"],
        least_distance={line: value for line, (value, _) in report.distances.items()},
        least_swing={side: value for side, (value, _) in report.swing.items()},
        roll=(float(roll_of.min()), float(roll_of.max())),
        pitch=(float(pitch_of.min()), float(pitch_of.max())),
        peak_load=tuple(loads.max(axis=0).tolist()),
        least_load=tuple(loads.min(axis=0).tolist()),
        steer_share=report.steer_axle_share,
        peak_depth=deepest,
        ledger_error=float(run.meta["energy_error"]),
    )


def _loads(run: Run) -> Array:
    return np.column_stack([run.series(f"tyre_load.{name}") for name in run.tyres])


def _nothing(engine: str, reason: str, case: Case) -> BatchResult:
    """Tell of a case without a result."""
    word, tyres = TruckEnd.NO_RESULT, (_NAN,) * (len(case.machine.drive_axle.tyre) + len(case.machine.steer_axle.tyre))
    return BatchResult(
        word, word, word, word, None, engine, reason, _NAN, _WHY[ro.BY_ERROR], _NAN, {}, {}, (_NAN,) * 2, (_NAN,) * 2,
        tyres, tyres, _NAN, {}, _NAN,
    )  # fmt: skip
