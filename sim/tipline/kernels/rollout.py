"""A run in compiled code: forces, bodies, places that open, and what is watched, step by step, for both engines.

The bodies are moved here, or by an engine with joints that is read before each step and takes the step's wrenches.

Arrays:

u (N_U,) [SI]: speeds
ring (steps, columns) [SI]: what was seen of the last steps
"""

from tipline.endings import RULES
from tipline.kernels import layout as at
from tipline.kernels.decide import goes_on
from tipline.kernels.dynamics import N_U, N_X, accelerations, held_by_stop, move, place_bodies
from tipline.kernels.layout import Floats
from tipline.kernels.ledger import audit
from tipline.kernels.pace import LONGER, at_once
from tipline.kernels.packed import Index
from tipline.kernels.places import open_places
from tipline.kernels.reading import CALLS, ROWS, SCRATCH, X_ROW, bodies_from_joints, fastest, fill_calls
from tipline.kernels.reduce import reduce
from tipline.kernels.shaped import shaped
from tipline.kernels.step import forces
from tipline.kernels.unpacked import memory_in, plant_in, watch_in
from tipline.kernels.watch import watch_step
from tipline.kernels.watching import (
    BY_ERROR,
    NOT_YET,
    R_AT_ONCE,
    R_BEGINS,
    R_DURATION,
    R_LOOK,
    R_SMOOTH,
    S_LEFT_OUT,
    S_SINCE,
    S_WHY,
)

RESTS = RULES.rests


def roll_out(
    first: int, last: int, dt: float, read: bool, state: Floats, cmd: Floats, wrench: Floats, record: Floats,
    buffer: Floats, index: Index,
) -> tuple[int, float]:  # fmt: skip
    """Step a run on from step first; return the steps done, and the greatest speed of a body where they are read.

    It ends before step last, once its ending is decided and it need not go on, or where it breaks down. With one row of
    record for all steps it may take several at once, as `pace` has it; else it has a row for each. buffer, index: the
    truck, memory and watch as `packed.pack` has them; cmd: its last row lasts. read: state (ROWS, 13) holds what an
    engine has of its joints and bodies, as in `kernels.reading`, and wrench (11, 6) is filled with what it is to apply;
    else state holds coordinates and speeds, which are stepped on, and the truck has identity frames. The speed [m/s or
    rad/s] is nan where a state or a wrench is not a finite number.
    """
    plant, mem, watch = plant_in(buffer, index), memory_in(buffer, index), watch_in(buffer, index)
    flat, state, wrench = (
        state.reshape(state.size),
        shaped(state, (ROWS, 13)),
        shaped(wrench, (at.N_BODY + CALLS // 2, 6)),
    )
    x = flat[13 * X_ROW : 13 * X_ROW + N_X]
    u = flat[13 * X_ROW + N_X : 13 * X_ROW + N_X + N_U]
    scratch = shaped(flat[13 * SCRATCH : 13 * SCRATCH + 276], (23, 12))
    a, before = flat[13 * SCRATCH + 276 : 13 * SCRATCH + 294], flat[13 * SCRATCH + 294 : 13 * SCRATCH + 312]
    look, keeps, why, k, speed = int(watch.rule[R_LOOK]), record.shape[0] > 1, NOT_YET, first, 0.0
    duration, smooth = int(watch.rule[R_DURATION]), watch.rule[R_SMOOTH]
    most, done, looked = 1 if keeps else int(watch.rule[R_AT_ONCE]), 1, first - 1
    while k < last and (why == NOT_YET or (why != BY_ERROR and goes_on(k, watch))):
        if read:
            bodies_from_joints(state, plant, mem)
        else:
            place_bodies(x, u, plant.mass, plant.axle, plant.mast, plant.link, mem.turn, state)
        open_places(k, watch.waiting, state, plant, mem)
        row, now = record[k if keeps else 0], min(k, cmd.shape[0] - 1)
        forces(now, done * dt, state, plant, cmd, mem, wrench, row)
        row[0] = k * dt
        why = watch_step(k, dt, plant, cmd[now], mem, watch, row)
        if k % look < done and audit(k, mem, watch):
            why = BY_ERROR
        if read:
            reduce(plant, mem, wrench)
            fill_calls(state, wrench, wrench[at.N_BODY :].reshape((CALLS, 3)))
            speed = fastest(state, wrench)
        else:
            gravity = (cmd[now, at.K_GX], cmd[now, at.K_GY], cmd[now, at.K_GZ])
            single = row[1 + 13 * at.N_BODY + at.N_TYRE_RECORD * plant.tyre.shape[0] :]
            held = held_by_stop(min(LONGER * done, most) * dt, single[at.R_AXLE], plant.axle) if done > 1 else 0.0
            accelerations(
                held, gravity, plant.mass, plant.inertia, plant.axle, plant.mast, plant.link, u, mem.state, mem.turn,
                mem.now, wrench, scratch, a,
            )  # fmt: skip
            ahead, was = duration - k if k < duration else last - 1 - k, done
            if most > 1:
                ahead = min(most, ahead, int(cmd[now, at.K_EVEN]))
                done = at_once(ahead, done, dt, smooth, a, before, u, single, plant, mem)
            move(0.5 * (was + done) * dt, done * dt, a, x, u, plant.mass[at.LOAD] > 0.0)
            watch.seen[S_SINCE] = done
        looked = k
        k += done
        if k == 1 and watch.rule[R_BEGINS] > 1.0 and stood(u):
            k = int(watch.rule[R_BEGINS])
            watch.seen[S_LEFT_OUT] = k - 1
            stand_still(watch.ring)
    watch.seen[S_WHY] = why
    return looked + 1, speed


def stood(u: Floats) -> bool:
    """Whether the truck stands: nothing has begun to move after the first step."""
    most = 0.0
    for j in range(u.shape[0]):
        most = max(most, abs(u[j]))
    return most < RESTS


def stand_still(ring: Floats) -> None:
    """Fill a ring of the last steps with the first."""
    for j in range(1, ring.shape[0]):
        for i in range(ring.shape[1]):
            ring[j, i] = ring[0, i]
