"""Made-up runs played to the kernel that watches: what it would see of a run that no engine made."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tipline.engines.prepare import Prepared, prepare
from tipline.engines.record import watched_channels
from tipline.engines.watching import watch_of, watched
from tipline.kernels import layout as at
from tipline.kernels import watching as w
from tipline.kernels.uncompiled import for_python
from tipline.kernels.vector import rotation
from tipline.kernels.watch import watch_step
from tipline.results import Run
from tipline.scenario import Case

Array = NDArray[np.float64]


def played(run: Run, case: Case, losses: Array | None = None) -> Run:
    """Return the run with what the kernel sees of it, step by step, the run's end being its duration.

    Read are poses, velocities, tyre loads and contacts, gravity, the commanded acceleration ahead, outside forces, what
    springs hold, and what floor and rope bear. Without losses nothing is taken off for springs.
    """
    dt, steps = float(run.time[1] - run.time[0]), len(run.time)
    prepared = prepare(case, dt=dt)
    plant = prepared.build.plant._replace(push=_pushes(run, prepared))
    rows = watch_of(prepared, dt, np.zeros(4) if losses is None else losses)
    rows.rule[w.R_DURATION], rows.rule[w.R_CAP], rows.rule[w.R_QUIET_FROM] = steps - 1, 10 * steps, 0.0
    watch = w.Watch(*(for_python(array) for array in rows))
    plain, memory = at.Plant(*map(for_python, plant)), at.Memory(*map(for_python, prepared.memory))
    record = _record(run, plant)
    told = np.zeros((steps, at.N_WATCHED))
    for k in range(steps):
        _place(run, prepared, k, memory)
        row = for_python(record[k])
        watch_step(k, dt, plain, for_python(_commands(run, plant, k)), memory, watch, row)
        told[k] = row[-at.N_WATCHED :].astype(np.float64)
    seen = w.Watch(*(array.astype(np.float64) for array in watch))
    found = watched(prepared, seen, plant.place, memory.depth.astype(np.float64), steps, dt)
    return replace(run.with_channels(watched_channels(told, found)), watched=found)


def _pushes(run: Run, prepared: Prepared) -> Array:
    """Return where outside forces act (n, 4)."""
    rows = [[one["body"], *(one["point"] - prepared.build.centre[one["body"]])] for one in run.meta.get("outside", ())]
    return np.array(rows, dtype=np.float64).reshape(-1, 4)


def _commands(run: Run, plant: at.Plant, k: int) -> Array:
    """Return the row of commands in force at a sample."""
    row = np.zeros(at.K_PLACE + len(plant.place) + 3 * len(plant.push))
    row[at.K_GX : at.K_GZ + 1] = [run.series(f"gravity_{axis}")[k] for axis in "xyz"]
    row[at.K_HELD], row[at.K_ACC] = 1.0, run.series("commanded_ax")[k]
    for i in range(len(plant.push)):
        first = at.K_PLACE + len(plant.place) + 3 * i
        row[first : first + 3] = [run.series(f"outside_{axis}.{i}")[k] for axis in "xyz"]
    return row


def _record(run: Run, plant: at.Plant) -> Array:
    """Return the columns of the record that are watched (n, columns)."""
    record = np.zeros((len(run.time), at.record_width(len(plant.tyre), len(plant.place))))
    for i, name in enumerate(run.tyres):
        first = 1 + 13 * at.N_BODY + i * at.N_TYRE_RECORD
        record[:, first + at.R_LOAD] = run.series(f"tyre_load.{name}")
        for j, axis in enumerate("xyz"):
            record[:, first + at.R_CX + j] = run.series(f"tyre_contact_{axis}.{name}")
    single = 1 + 13 * at.N_BODY + at.N_TYRE_RECORD * len(plant.tyre)
    for column, name in (
        (at.R_BODY_FORCE, "body_force"),
        (at.R_ROPE, "rope_force"),
        (at.R_LOAD_FLOOR, "load_floor_force"),
    ):
        record[:, single + column] = run.series(name)
    return record


def _place(run: Run, prepared: Prepared, k: int, memory: at.Memory) -> None:
    """Fill a memory with the bodies and energies of a sample."""
    plant, build, kinetic = prepared.build.plant, prepared.build, 0.0
    for b in range(at.N_BODY):
        turn = np.zeros((3, 3))
        rotation(run.poses[k, b, 3:], turn)
        arm = turn @ (build.centre[b] - np.array(run.meta["centres"][b]))
        turning = run.velocities[k, b, 3:]
        speed = run.velocities[k, b, :3] + np.cross(turning, arm)
        memory.state[b], memory.turn[b] = for_python(run.poses[k, b, :3] + arm), for_python(turn)
        memory.now[b] = for_python(np.concatenate((speed, turning)))
        if plant.mass[b] > 0.0:
            own = turn.T @ turning
            kinetic += 0.5 * float(plant.mass[b] * speed @ speed + own @ plant.inertia[b] @ own)
    memory.energy[at.E_KINETIC], memory.energy[at.E_ELASTIC] = kinetic, float(run.series("energy.elastic")[k])
    memory.spin[:] = 0.0
