"""The compiled engine: whole runs in compiled code on the same kernels, many one after the other or at once.

Forces, bodies, joints and what is watched are those of the one-at-a-time engine; at the same time step the motion is
the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.engines.prepare import Prepared, prepare
from tipline.engines.simulate import HALVINGS
from tipline.engines.watching import watch_of, watched
from tipline.errors import NumericalError
from tipline.kernels import dynamics as joint
from tipline.kernels import equilibrium as rest
from tipline.kernels import layout as at
from tipline.kernels import watching as w
from tipline.kernels.compiled import compiled
from tipline.kernels.rollout import Bodies
from tipline.kernels.vector import quaternion_product
from tipline.results import Watched

if TYPE_CHECKING:
    from tipline.geometry.ground import ZoneLaw
    from tipline.scenario.case import Case

__all__ = ["STEP", "Rolled", "Start", "roll"]

Array = NDArray[np.float64]

STEP = 2e-3
"""Time step [s] of the batch engine where none is asked for (our choice); shorter where a spring of the truck needs
it."""
LINES_EVERY = 4e-3
"""Time [s] between two looks at the tip lines (our choice: short beside every sway)."""


@dataclass(frozen=True)
class Rolled:
    """One run of the batch engine: its start, what it was watched by, what was seen, and its record, if kept."""

    prepared: Prepared
    dt: float
    watch: w.Watch
    seen: Watched
    steps: int
    record: Array

    @property
    def time(self) -> float:
        """When it ended [s]."""
        return (self.steps - 1) * self.dt

    @property
    def stepped(self) -> int:
        """Steps that were stepped: those in which the truck only stands before anything begins are left out."""
        return self.steps - int(self.watch.seen[w.S_LEFT_OUT])


class Start:
    """Prepares cases, keeping the last assembly for a case with the same machine, set-up and load."""

    def __init__(self) -> None:
        self._last: Prepared | None = None

    def prepare(self, case: Case, zones: Sequence[ZoneLaw] | None, dt: float) -> Prepared:
        """Prepare a case as `prepare` does, its commands in brief."""
        last = self._last
        same = last is not None and _same_truck(last.case, case)
        kept = last.assembly if same and last is not None else None
        made = prepare(case, dt=dt, zones=zones, assembly=kept, brief=True)
        self._last = made
        return made


def _same_truck(one: Case, other: Case) -> bool:
    return one.load == other.load and one.scenario.setup == other.scenario.setup and one.machine == other.machine


def roll(
    case: Case,
    zones: Sequence[ZoneLaw] | None = None,
    dt: float | None = None,
    *,
    early: bool = True,
    keep: bool = False,
    start: Start | None = None,
) -> Rolled:
    """Run one case in compiled code; keep: with its record, as the one-at-a-time engine keeps it.

    A run that breaks down is run again with half the step, as often as the one-at-a-time engine does.

    Raises
    ------
    NumericalError, InputError
        As in `prepare`.
    """
    prepare_it = (start or Start()).prepare
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
        if int(rolled.watch.seen[w.S_WHY]) != w.BY_ERROR:
            break
        step *= 0.5
        rolled = _roll_out(prepare_it(case, zones, step), step, early, keep)
    return rolled


def _roll_out(prepared: Prepared, dt: float, early: bool, keep: bool) -> Rolled:
    plant, memory, table = prepared.build.plant, prepared.memory, prepared.commands.table
    frame = np.zeros((at.N_BODY, 4))
    frame[:, 3] = 1.0
    watch = watch_of(prepared, dt, early=early, lines_every=LINES_EVERY, tells=False)
    rows = int(watch.rule[w.R_CAP]) + 2 if keep else 1
    record = np.zeros((rows, at.record_width(len(plant.tyre), len(plant.place))))
    bodies = Bodies(
        *_coordinates(prepared), np.zeros((6, 13)), np.zeros((6, 6)), np.zeros((23, 12)), np.zeros((2, 3, 3))
    )
    steps = compiled("roll_out")(dt, bodies, plant._replace(frame=frame), table, memory, watch, record)
    seen = watched(prepared, watch, plant.place, memory.depth, steps, dt)
    return Rolled(prepared, dt, watch, seen, steps, record[:steps] if keep else record[:0])


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
