"""Energy: what moves, what a hung load holds, and how far the truck stands below the crest over each tip line.

Source: [TextbookMechanics] (kinetic energy, pendulum), [Own] (crests)

Arrays:

crest (4, N_CREST) [SI]: a row a tip line, columns as `crest_height` reads them
"""

from math import hypot, sqrt

from tipline.kernels import layout as at
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.tiplines import MIDDLES, Three, carried_centre, hook, tread
from tipline.kernels.vector import back_turned, turned
from tipline.kernels.watching import (
    C_RADIUS,
    C_SOFT,
    F_STRAIGHT,
    O_FRONT_LEFT,
    O_HANGS,
    O_X,
    O_Y,
    O_Z,
    R_EXACT,
    S_HELD,
    Watch,
)

_START = (MIDDLES, MIDDLES + 3, 5, 3)
_END = (MIDDLES + 1, MIDDLES + 2, 1, 7)
"""Rows of the contacts where the lines start and end on which the truck is balanced when it goes over: the middles of
the outermost treads ahead and behind, their outer strips aside."""


def load_carried(plant: Plant, cmd: Floats) -> float:
    """Return the mass of a lifted load that is a body of its own, 0 once it has come off [kg]."""
    held: float = plant.mass[at.LOAD] if cmd[at.K_HELD] > 0.0 else 0.0
    return held


def unrest(plant: Plant, cmd: Floats, mem: Memory, outline: Floats) -> float:
    """Return the kinetic energy [J] less that of driving, of what the truck carries.

    Along the heading, speeds count from that of the point under the drive axle, in a turn from those of a truck that is
    led round as commanded at that speed; the spin of the wheels not at all.
    """
    r, v = mem.turn[at.CHASSIS], mem.now
    left, size = mem.energy[at.E_KINETIC], hypot(r[0, 0], r[1, 0])
    ex, ey = (r[0, 0] / size, r[1, 0] / size) if size > 0.0 else (1.0, 0.0)
    x, y, z = turned(r, outline[O_X], outline[O_Y], outline[O_Z])
    ahead = (v[0, 0] + v[0, 4] * z - v[0, 5] * y) * ex + (v[0, 1] + v[0, 5] * x - v[0, 3] * z) * ey
    mass, along = 0.0, 0.0
    for b in range(at.N_BODY):
        if b == at.LOAD and plant.mass[b] > 0.0 and load_carried(plant, cmd) == 0.0:
            left -= moving(b, plant, mem)
            continue
        mass += plant.mass[b]
        along += plant.mass[b] * (v[b, 0] * ex + v[b, 1] * ey)
    for i in range(plant.tyre.shape[0]):
        left -= 0.5 * plant.tyre[i, at.T_IW] * mem.spin[i] ** 2
    energy: float = left + 0.5 * mass * ahead * ahead - along * ahead
    if cmd[at.K_CURVE] != 0.0:
        energy += led_round(ahead, ahead * cmd[at.K_CURVE], ex, ey, plant, cmd, mem, outline)
    return energy


def led_round(
    ahead: float, turning: float, ex: float, ey: float, plant: Plant, cmd: Floats, mem: Memory, outline: Floats
) -> float:
    """Return what changes in `unrest` where the truck turns as well [J]; turning [rad/s], (ex, ey): its heading."""
    r, c, v, more = mem.turn[at.CHASSIS], mem.state[at.CHASSIS], mem.now, 0.0
    ox, oy, _ = turned(r, outline[O_X], outline[O_Y], outline[O_Z])
    for b in range(at.N_BODY):
        m = plant.mass[b]
        if m == 0.0 or (b == at.LOAD and load_carried(plant, cmd) == 0.0):
            continue
        # speed of this place of a truck that is led round, beside that along the heading
        wx, wy = -turning * (mem.state[b, 1] - c[1] - oy), turning * (mem.state[b, 0] - c[0] - ox)
        more += m * (0.5 * (wx * wx + wy * wy) - (v[b, 0] - ahead * ex) * wx - (v[b, 1] - ahead * ey) * wy)
        if b != at.LOAD or outline[O_HANGS] == 0.0:
            zx, zy, zz = back_turned(mem.turn[b], 0.0, 0.0, 1.0)
            ix, iy, iz = turned(plant.inertia[b], zx, zy, zz)
            sx, sy, sz = turned(mem.turn[b], ix, iy, iz)
            more += turning * (0.5 * turning * sz - v[b, 3] * sx - v[b, 4] * sy - v[b, 5] * sz)
    return more


def moving(b: int, plant: Plant, mem: Memory) -> float:
    """Return the kinetic energy of a body [J]."""
    v, r = mem.now[b], mem.turn[b]
    wx, wy, wz = back_turned(r, v[3], v[4], v[5])
    sx, sy, sz = turned(plant.inertia[b], wx, wy, wz)
    energy: float = 0.5 * plant.mass[b] * (v[0] ** 2 + v[1] ** 2 + v[2] ** 2) + 0.5 * (wx * sx + wy * sy + wz * sz)
    return energy


def swing_height(plant: Plant, cmd: Floats, mem: Memory, outline: Floats, straight: float) -> float:
    """Return what a hung load holds by standing aside of or above straight below the hook [J]."""
    m = load_carried(plant, cmd)
    if m == 0.0 or outline[O_HANGS] == 0.0:
        return 0.0
    gx, gy, gz = cmd[at.K_GX], cmd[at.K_GY], cmd[at.K_GZ]
    hx, hy, hz = hook(plant, mem.state, mem.turn)
    p, size = mem.state[at.LOAD], sqrt(gx * gx + gy * gy + gz * gz)
    below = ((p[0] - hx) * gx + (p[1] - hy) * gy + (p[2] - hz) * gz) / size
    height: float = m * size * max(straight - below, 0.0)
    return height


def away(
    sx: float, sy: float, sz: float, ex: float, ey: float, ez: float, x: float, y: float, z: float
) -> float:  # fmt: skip
    """Return how far a point lies from the straight line through two others."""
    ax, ay, az, dx, dy, dz = ex - sx, ey - sy, ez - sz, x - sx, y - sy, z - sz
    share = (dx * ax + dy * ay + dz * az) / (ax * ax + ay * ay + az * az)
    dx, dy, dz = dx - share * ax, dy - share * ay, dz - share * az
    return sqrt(dx * dx + dy * dy + dz * dz)


def crest_height(row: Floats, x: float, y: float, z: float) -> float:
    """Return how high a centre in chassis axes stands over a line when balanced on it [m]; row (N_CREST,)."""
    high: float = row[C_RADIUS] + away(row[0], row[1], row[2], row[3], row[4], row[5], x, y, z)
    return high


def rises(
    gravity: Three,
    load: float,
    plant: Plant,
    position: Floats,
    rot: Floats,
    outline: Floats,
    crest: Floats,
    foot: Floats,
    out: Floats,
) -> None:
    """Fill out (4,) with the energy [J] by which a rigid truck's weight stands below its crest over each tip line.

    The lines lie on the floor as it is; foot as `contacts` left it, whose middles are filled; load: the load's mass.
    """
    total, x, y, z = carried_centre(load, plant, position, rot, outline, True)
    c = position[at.CHASSIS]
    lx, ly, lz = back_turned(rot[at.CHASSIS], x - c[0], y - c[1], z - c[2])
    gx, gy, gz = total * gravity[0], total * gravity[1], total * gravity[2]
    for corner in range(4):
        i, row = int(outline[O_FRONT_LEFT + corner]), foot[MIDDLES + corner]
        row[3] = foot[2 * corner, 3]
        tread(i, 0.0, plant, position, rot, row[3], row)
    for j in range(4):
        start, end = foot[_START[j]], foot[_END[j]]
        ax, ay, az = end[0] - start[0], end[1] - start[1], end[3] - start[3]
        size = sqrt(ax * ax + ay * ay + az * az)
        ax, ay, az = ax / size, ay / size, az / size
        along = gx * ax + gy * ay + gz * az
        wx, wy, wz = gx - along * ax, gy - along * ay, gz - along * az
        rise = sqrt(wx * wx + wy * wy + wz * wz) * crest_height(crest[j], lx, ly, lz)
        out[j] = rise + wx * (x - start[0]) + wy * (y - start[1]) + wz * (z - start[3])


def energies_left(kinetic: float, plant: Plant, cmd: Floats, mem: Memory, watch: Watch, out: Floats) -> None:
    """Fill out (4,) with the energy to tip over each line, less all that moves and what springs hold, [J].

    Above 0 it cannot tip; below 0 energy alone does not rule it out, since not all of it moves the truck that way.
    Where C_SOFT is a bound it errs to the low side: what springs hold at rest then counts as free too.
    """
    gravity = (cmd[at.K_GX], cmd[at.K_GY], cmd[at.K_GZ])
    rises(
        gravity, load_carried(plant, cmd), plant, mem.state, mem.turn, watch.outline, watch.crest, watch.foot, out
    )  # fmt: skip
    spare = kinetic + swing_height(plant, cmd, mem, watch.outline, watch.forks[F_STRAIGHT]) + mem.energy[at.E_ELASTIC]
    if watch.rule[R_EXACT] > 0.0:
        spare -= watch.seen[S_HELD]
    for j in range(4):
        out[j] -= watch.crest[j, C_SOFT] + spare


def pushed(plant: Plant, cmd: Floats) -> bool:
    """Whether an outside force acts, of which the energy to tip knows nothing."""
    first = at.K_PLACE + plant.place.shape[0]
    force = 0.0
    for j in range(3 * plant.push.shape[0]):
        force += abs(cmd[first + j])
    return force > 0.0
