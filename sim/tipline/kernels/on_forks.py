"""What becomes of a load on the forks: one held fixed, by what it would need; one that lies free, by where it is.

Source: [TextbookMechanics] (friction and moments of a body at rest)

Arrays:

job (N_JOB,) [SI]: what became of the load, columns J_*
"""

from math import hypot, sqrt

from tipline.endings import RULES
from tipline.kernels import layout as at
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.vector import back_turned, turned
from tipline.kernels.watching import (
    F_COS,
    F_FLOATING,
    F_HALF,
    F_HIGH,
    F_LASTING,
    F_MU,
    F_REACH,
    F_SIN,
    F_X,
    F_Y,
    F_Z,
    J_FAR,
    J_FLOATS,
    J_LEFT_AT,
    J_LOW,
    J_SLID_AT,
    J_SLIPS,
    J_TOPPLED_AT,
    J_TOPPLES,
    J_X,
    S_SINCE,
    Watch,
)

PRESSED = 1e-9
"""Acceleration that counts where nothing presses a load on the forks (numerical) [m/s2]."""
CARRIED, SLID, FELL, OFF_SHARE = RULES.carried, RULES.slid, RULES.fell, RULES.off_share


def spare(
    x: float, y: float, z: float, cosine: float, sine: float, friction: float, height: float, ahead: float, half: float
) -> tuple[float, float, float]:
    """Return what is left of a load's friction [1] and of its base [m], below 0 none, and what presses it on [m/s2].

    x, y, z: the acceleration that the forks must give it beside its weight's, carriage axes [m/s2]; cosine, sine: of
    their tilt back; friction: of the load on them; height, ahead, half: of its centre over its base, and how far the
    base reaches ahead of and beside it [m]. Along the forks only a push to the front needs friction; the fork face
    holds the other way.
    """
    along, normal = x * cosine + z * sine, -x * sine + z * cosine
    pressed = max(normal, PRESSED)
    slips = friction - hypot(min(along, 0.0), y) / pressed
    topples = min(ahead + height * along / pressed, half - height * abs(y) / pressed)
    return slips, topples, normal


def watch_fixed(k: int, dt: float, plant: Plant, cmd: Floats, mem: Memory, watch: Watch) -> None:
    """Hold what a load fixed on the forks would need against friction and its base.

    The need is a mean of central differences over all but two rows of the ring, at the step in the middle of them.
    A truck that drops into a hole takes the forks from under the load for a moment; they meet again when the load has
    hardly moved.
    """
    ring, forks, job, since = watch.ring, watch.forks, watch.job, int(watch.seen[S_SINCE])
    rows = ring.shape[0]
    width, now = rows - 2, ring[k % rows]
    r, v = mem.turn[at.CARRIAGE], mem.now[at.CARRIAGE]
    x, y, z = turned(r, forks[F_X], forks[F_Y], forks[F_Z])
    now[0] = v[0] + v[4] * z - v[5] * y
    now[1] = v[1] + v[5] * x - v[3] * z
    now[2] = v[2] + v[3] * y - v[4] * x
    for i in range(3):
        for j in range(3):
            now[3 + 3 * i + j] = r[i, j]
        now[12 + i] = cmd[at.K_GX + i]
    fill_between(k, since, ring)
    if k < width + 1:
        return
    # of a mean of central differences only its ends are left
    before, a, b = ring[(k + 1) % rows], ring[(k + 2) % rows], ring[(k - 1 + rows) % rows]
    middle = k - width + width // 2
    then = ring[middle % rows]
    scale = 0.5 / (width * dt)
    ax = scale * (now[0] + b[0] - a[0] - before[0]) - then[12]
    ay = scale * (now[1] + b[1] - a[1] - before[1]) - then[13]
    az = scale * (now[2] + b[2] - a[2] - before[2]) - then[14]
    x, y, z = back_turned(then[3:12].reshape((3, 3)), ax, ay, az)
    slips, topples, normal = spare(
        x, y, z, forks[F_COS], forks[F_SIN], forks[F_MU], forks[F_HIGH], forks[F_REACH], forks[F_HALF]
    )
    weight = sqrt(then[12] * then[12] + then[13] * then[13] + then[14] * then[14])
    carried = normal > CARRIED * weight
    lasts(carried and slips < 0.0, J_SLIPS, J_SLID_AT, forks[F_LASTING], middle, since, dt, job)
    lasts(carried and topples < 0.0, J_TOPPLES, J_TOPPLED_AT, forks[F_LASTING], middle, since, dt, job)
    lasts(normal <= 0.0, J_FLOATS, J_LEFT_AT, forks[F_FLOATING], middle, since, dt, job)


def fill_between(k: int, since: int, ring: Floats) -> None:
    """Fill the rows of a ring (n, columns) between its row of step k and that of so many steps before, evenly."""
    rows = ring.shape[0]
    now, last = ring[k % rows], ring[(k - since) % rows]
    for n in range(1, since):
        between = ring[(k - since + n) % rows]
        for i in range(ring.shape[1]):
            between[i] = last[i] + (now[i] - last[i]) * n / since


def counted(holds: bool, before: float, since: int) -> float:
    """Return for how many steps something has held, from the first look on: before, at the look so many steps ago."""
    if not holds:
        return 0.0
    return before + since if before > 0.0 else 1.0


def lasts(
    holds: bool, count: int, began: int, steps: float, k: int, since: int, dt: float, job: Floats
) -> None:  # fmt: skip
    """Count for how many steps something holds, and keep when it first began of what lasted; since: the last look."""
    before, job[count] = job[count], counted(holds, job[count], since)
    if before < steps <= job[count] and job[began] < 0.0:
        job[began] = (k - job[count] + 1.0) * dt


def watch_free(k: int, dt: float, plant: Plant, cmd: Floats, mem: Memory, job: Floats, struck: float) -> None:
    """Follow a load that lies free on the forks against the carriage; struck: the floor's force on it [N]."""
    c, p = mem.state[at.CARRIAGE], mem.state[at.LOAD]
    x, y, z = back_turned(mem.turn[at.CARRIAGE], p[0] - c[0], p[1] - c[1], p[2] - c[2])
    if k == 0:
        job[J_X], job[J_X + 1], job[J_X + 2] = x, y, z
    far = hypot(x - job[J_X], y - job[J_X + 1])
    job[J_FAR] = max(job[J_FAR], far)
    if far > SLID and job[J_SLID_AT] < 0.0:
        job[J_SLID_AT] = k * dt
    gx, gy, gz = cmd[at.K_GX], cmd[at.K_GY], cmd[at.K_GZ]
    weight = plant.mass[at.LOAD] * sqrt(gx * gx + gy * gy + gz * gz)
    if z - job[J_X + 2] < -FELL or struck > OFF_SHARE * weight:
        job[J_LOW] = k
        if job[J_LEFT_AT] < 0.0:
            job[J_LEFT_AT] = k * dt
