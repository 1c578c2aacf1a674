"""A whole run in compiled code: forces, bodies, places that open, and what is watched, until its ending is decided."""

from typing import NamedTuple

from tipline.endings import RULES
from tipline.kernels import layout as at
from tipline.kernels.dynamics import advance, place_bodies
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.ledger import audit
from tipline.kernels.places import open_places
from tipline.kernels.step import forces
from tipline.kernels.watch import watch_step
from tipline.kernels.watching import BY_ERROR, NOT_YET, R_BEGINS, R_LOOK, S_LEFT_OUT, S_WHY, Watch

RESTS = RULES.rests


class Bodies(NamedTuple):
    """The bodies of a run in joint coordinates, and what a step of theirs needs."""

    x: Floats  # (N_X,) coordinates, kept up to date
    u: Floats  # (N_U,) speeds
    raw: Floats  # (6, 13) states [scratch]
    wrench: Floats  # (6, 6) [scratch]
    scratch: Floats  # (23, 12)
    turn: Floats  # (2, 3, 3) [scratch]


def roll_out(
    first: int, last: int, dt: float, bodies: Bodies, plant: Plant, cmd: Floats, mem: Memory, watch: Watch,
    record: Floats,
) -> int:  # fmt: skip
    """Step a run on from step first; return the steps done.

    With one row of record for all steps it ends once its ending is decided; with a row for each it goes on to before
    step last. Either ends where it breaks down. plant: with identity frames; cmd: its last row lasts.
    """
    x, u, raw, wrench = bodies.x, bodies.u, bodies.raw, bodies.wrench
    look, keeps, why, k = int(watch.rule[R_LOOK]), record.shape[0] > 1, NOT_YET, first
    while k < last and (why == NOT_YET or (keeps and why != BY_ERROR)):
        place_bodies(x, u, plant.mass, plant.axle, plant.mast, plant.link, bodies.turn, raw)
        open_places(k, watch.waiting, raw, plant, mem)
        row, now = record[k if keeps else 0], min(k, cmd.shape[0] - 1)
        forces(now, dt, raw, plant, cmd, mem, wrench, row)
        row[0] = k * dt
        why = watch_step(k, dt, plant, cmd[now], mem, watch, row)
        if k % look == 0 and audit(k, mem, watch):
            why = BY_ERROR
        gravity = (cmd[now, at.K_GX], cmd[now, at.K_GY], cmd[now, at.K_GZ])
        advance(
            dt, gravity, plant.mass, plant.inertia, plant.axle, plant.mast, plant.link, x, u, mem.state, mem.turn,
            mem.now, wrench, bodies.scratch,
        )  # fmt: skip
        k += 1
        if k == 1 and watch.rule[R_BEGINS] > 1.0 and stood(u):
            k = int(watch.rule[R_BEGINS])
            watch.seen[S_LEFT_OUT] = k - 1
            stand_still(watch.ring)
    watch.seen[S_WHY] = why
    return k


def stood(u: Floats) -> bool:
    """Whether the truck stands: nothing has begun to move after the first step."""
    fastest = 0.0
    for j in range(u.shape[0]):
        fastest = max(fastest, abs(u[j]))
    return fastest < RESTS


def stand_still(ring: Floats) -> None:
    """Fill a ring of the last steps with the first."""
    for j in range(1, ring.shape[0]):
        for i in range(ring.shape[1]):
            ring[j, i] = ring[0, i]
