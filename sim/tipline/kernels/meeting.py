"""Where solids of different bodies meet in one step: boxes about load, frame, guard, mast, jib and counterweight.

A corner that enters a box is pushed out by the face it came in through, two edges that cross are pushed apart along
their common normal. Each is a spring from the depth at which it began, damped and with friction, equal and opposite on
the two bodies. What one contact gives up as it slips off an edge the next one may take up, and no more than that.
Pairs that are apart are not looked at again before they could be together.

Source: [HuntCrossley1975] (damped contact, from memory), [DupontEtAl2002] (friction, from memory)

Arrays:

a, b, box (N_BOX,) [SI]: rows of `layout.Plant.box`
pair (N_PAIR,) [SI]: a row of `layout.Plant.pair`
middles (2, 3) [m], frames (2, 3, 3) [1]: of two boxes
meets (N_MEETS,) [SI]: what is kept of a pair
kept (N_KEPT,) [SI]: what is kept of a contact
crossings (CROSSINGS, N_KEPT) [SI]: of those of edges
energy (N_ENERGY,) [J]: the ledger
"""

from math import sqrt

from tipline.kernels import layout as at
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.touch import FASTER, LONGEST, turns
from tipline.kernels.tyre import bristle
from tipline.kernels.vector import add_force, point_velocity, turned

FAR = 2.0 * LONGEST * FASTER
"""Distance [m] past which the balls about boxes tell soon enough when to look again (numerical)."""
CROSSED = 0.03
"""Depth [m] past which edges that are found across each other are those of bodies that met elsewhere (our choice)."""
TAKEN = 1.0
"""By how much [m] the face of a contact that takes another's place goes before all others (numerical: more than any of
them can be crossed in a step). By less a load that slid over the tips of its forks was stopped there by its front."""
ALIKE = 0.7
"""Cosine between the pushes of two contacts of which one may take the other's place (our choice)."""
PARALLEL = 0.1
"""Sine of the angle between edges below which they do not cross (our choice): their corners touch instead."""
ASIDE = 0.2
"""How far [rad] the push of two edges may turn out of the angle between the faces of each (our choice): a beam that
lies flat presses with both its edges."""


def frame_of(box: Floats, position: Floats, rot: Floats, middle: Floats, axes: Floats) -> None:
    """Fill middle (3,) and axes (3, 3), a column each, of a box in the world."""
    b = int(box[at.B_BODY])
    r, c, s = rot[b], box[at.B_COS], box[at.B_SIN]
    x, y, z = turned(r, box[at.B_X], box[at.B_Y], box[at.B_Z])
    middle[0], middle[1], middle[2] = position[b, 0] + x, position[b, 1] + y, position[b, 2] + z
    for j in range(3):
        axes[j, 0], axes[j, 1], axes[j, 2] = c * r[j, 0] - s * r[j, 2], r[j, 1], s * r[j, 0] + c * r[j, 2]


def along(axes: Floats, k: int, x: float, y: float, z: float) -> float:
    """Return how far (x, y, z) reaches along column k of axes."""
    reach: float = axes[0, k] * x + axes[1, k] * y + axes[2, k] * z
    return reach


def gap(a: Floats, b: Floats, middles: Floats, axes: Floats) -> float:
    """Return the greatest distance [m] at which a face of one box keeps the other off, below 0 where none does.

    a, b: rows of the boxes; middles (2, 3), axes (2, 3, 3): from `frame_of`. Never more than their distance.
    """
    dx, dy, dz = middles[1, 0] - middles[0, 0], middles[1, 1] - middles[0, 1], middles[1, 2] - middles[0, 2]
    most = -1e300
    for side in range(2):
        own, other = (a, b) if side == 0 else (b, a)
        p, q = axes[side], axes[1 - side]
        for k in range(3):
            apart = abs(along(p, k, dx, dy, dz)) - own[at.B_HX + k]
            for j in range(3):
                apart -= other[at.B_HX + j] * abs(along(p, k, q[0, j], q[1, j], q[2, j]))
            most = max(most, apart)
    return most


def closing(a: Floats, b: Floats, speed: Floats) -> float:
    """Return the greatest speed [m/s] at which points of two boxes can come nearer to each other."""
    v, w = speed[int(a[at.B_BODY])], speed[int(b[at.B_BODY])]
    x, y, z = v[0] - w[0], v[1] - w[1], v[2] - w[2]
    most: float = sqrt(x * x + y * y + z * z) + a[at.B_ARM] * turns(v) + b[at.B_ARM] * turns(w)
    return most


def meet(
    dt: float, plant: Plant, mem: Memory, position: Floats, rot: Floats, speed: Floats, wrench: Floats, row: Floats
) -> float:
    """Add what the lifted load and the solids of the truck do to each other; return the stored energy [J]."""
    pairs, wait = plant.pair.shape[0], mem.wait
    row[at.R_SUPPORT] = 0.0
    wait[pairs] -= dt
    if wait[pairs] > 0.0:
        return 0.0
    stored, carried, soonest, passed = 0.0, 0.0, LONGEST, wait[pairs + 1] - wait[pairs]
    for i in range(pairs):
        wait[i] -= passed
        if wait[i] <= 0.0:
            pair = plant.pair[i]
            a, b = plant.box[int(pair[at.Q_A])], plant.box[int(pair[at.Q_B])]
            apart = nearness(a, b, position, rot, mem.middles, mem.frames)
            wait[i] = 0.0
            if apart > 0.0:
                wait[i] = min(LONGEST, apart / (closing(a, b, speed) + FASTER))
            if apart <= 0.0 or mem.meets[i, at.X_TOUCHES] > 0.0:
                if apart > 0.0:
                    frame_of(a, position, rot, mem.middles[0], mem.frames[0])
                    frame_of(b, position, rot, mem.middles[1], mem.frames[1])
                stored += touching(
                    dt, pair, a, b, position, speed, mem.middles, mem.frames, mem.meets[i], mem.corners[i],
                    mem.crossings[i], mem.energy, wrench, mem.lossy, mem.axes,
                )  # fmt: skip
                carried += mem.meets[i, at.X_LIFT]
                if pair[at.Q_RESTS] > 0.0:
                    row[at.R_SUPPORT] += mem.meets[i, at.X_FORCE]
        soonest = min(soonest, wait[i])
    wait[pairs] = wait[pairs + 1] = soonest
    if carried > 0.0:
        row[at.R_BODY_FORCE] += carried
    return stored


def nearness(a: Floats, b: Floats, position: Floats, rot: Floats, middles: Floats, axes: Floats) -> float:
    """Return a distance [m] that two boxes surely keep, 0 or less where they may touch; fills their frames then.

    Of boxes far apart it is that of the balls about them, which takes no frames.
    """
    p, q = int(a[at.B_BODY]), int(b[at.B_BODY])
    ax, ay, az = turned(rot[p], a[at.B_X], a[at.B_Y], a[at.B_Z])
    bx, by, bz = turned(rot[q], b[at.B_X], b[at.B_Y], b[at.B_Z])
    x = position[p, 0] + ax - position[q, 0] - bx
    y = position[p, 1] + ay - position[q, 1] - by
    z = position[p, 2] + az - position[q, 2] - bz
    apart: float = sqrt(x * x + y * y + z * z) - a[at.B_ROUND] - b[at.B_ROUND]
    if apart > FAR:
        return apart
    frame_of(a, position, rot, middles[0], axes[0])
    frame_of(b, position, rot, middles[1], axes[1])
    return max(apart, gap(a, b, middles, axes))


def touching(  # noqa: PLR0913 - floats and arrays only: compiled code has a structure unpacked at every call
    dt: float,
    pair: Floats,
    a: Floats,
    b: Floats,
    position: Floats,
    speed: Floats,
    middles: Floats,
    frames: Floats,
    meets: Floats,
    corners: Floats,
    crossings: Floats,
    energy: Floats,
    wrench: Floats,
    lossy: Floats,
    axes: Floats,
) -> float:
    """Let two boxes touch by corners and edges; return the energy stored [J].

    meets (N_MEETS,), corners (16, 4), crossings (144, 4): of the pair; for each contact the face, or the sense of the
    push, 0 none; friction's bristle along two directions; the depth at which it began [m]. axes (3, 3): scratch.
    """
    meets[at.X_BEFORE], meets[at.X_WAS] = meets[at.X_GIVEN], meets[at.X_TOUCHES]
    meets[at.X_GIVEN] = meets[at.X_TOUCHES] = meets[at.X_FORCE] = meets[at.X_LIFT] = 0.0
    stored = 0.0
    for i in range(3):
        for j in range(3):
            stored += crossing(
                dt, i, j, pair, a, b, position, speed, middles, frames, meets, crossings, energy, wrench, lossy, axes
            )
    for c in range(16):
        stored += corner(
            dt, c, pair, a, b, position, speed, middles, frames, meets, corners[c], energy, wrench, lossy, axes
        )
    return stored


def corner(  # noqa: PLR0913 - floats and arrays only: compiled code has a structure unpacked at every call
    dt: float,
    c: int,
    pair: Floats,
    a: Floats,
    b: Floats,
    position: Floats,
    speed: Floats,
    middles: Floats,
    frames: Floats,
    meets: Floats,
    kept: Floats,
    energy: Floats,
    wrench: Floats,
    lossy: Floats,
    axes: Floats,
) -> float:
    """Let corner c, of a below 8, else of b, touch the other box; return the energy stored [J]."""
    side = c // 8
    own, other = (a, b) if side == 0 else (b, a)
    p, q = frames[side], frames[1 - side]
    sx = own[at.B_HX] if c & 1 else -own[at.B_HX]
    sy = own[at.B_HY] if c & 2 else -own[at.B_HY]
    sz = own[at.B_HZ] if c & 4 else -own[at.B_HZ]
    x, y, z = turned(p, sx, sy, sz)
    x, y, z = x + middles[side, 0], y + middles[side, 1], z + middles[side, 2]
    dx, dy, dz = x - middles[1 - side, 0], y - middles[1 - side, 1], z - middles[1 - side, 2]
    inside, face, goes = True, 0, 1.0
    for k in range(3):
        inside = inside and abs(along(q, k, dx, dy, dz)) < other[at.B_HX + k]
    if not inside:
        if kept[0] != 0.0:
            face, goes = int(abs(kept[0])) - 1, 1.0 if kept[0] > 0.0 else -1.0
            way = goes if side == 0 else -goes
            depth = other[at.B_HX + face] - goes * along(q, face, dx, dy, dz)
            give_up(depth, way * q[0, face], way * q[1, face], way * q[2, face], pair, kept, meets, energy)
        return 0.0
    mine, its = int(own[at.B_BODY]), int(other[at.B_BODY])
    if kept[0] == 0.0:
        vx, vy, vz = against(mine, its, x, y, z, position, speed)
        least, sense = 1e300, 1.0 if side == 0 else -1.0
        for k in range(3):
            far = along(q, k, dx, dy, dz)
            way = 1.0 if far >= 0.0 else -1.0
            before = other[at.B_HX + k] - abs(far) + way * along(q, k, vx, vy, vz) * dt
            # where a contact that pushed the same way has just given up, this one takes its place
            if 0.0 < before < CROSSED and follows(
                sense * way * q[0, k], sense * way * q[1, k], sense * way * q[2, k], meets
            ):
                before -= TAKEN
            if before < least:
                least, face, goes = before, k, way
        kept[0] = goes * (face + 1.0)
        kept[3] = max(
            0.0, other[at.B_HX + face] - abs(along(q, face, dx, dy, dz)) + goes * along(q, face, vx, vy, vz) * dt
        )
    face, goes = int(abs(kept[0])) - 1, 1.0 if kept[0] > 0.0 else -1.0
    for j in range(3):
        axes[j, 0] = goes * q[j, face]
        axes[j, 1], axes[j, 2] = q[j, (face + 1) % 3], q[j, (face + 2) % 3]
    depth = other[at.B_HX + face] - along(axes, 0, dx, dy, dz)
    sense = 1.0 if side == 0 else -1.0
    return push(dt, depth, sense, mine, its, x, y, z, pair, meets, kept, axes, position, speed, energy, wrench, lossy)


def crossing(  # noqa: PLR0913 - as above
    dt: float,
    i: int,
    j: int,
    pair: Floats,
    a: Floats,
    b: Floats,
    position: Floats,
    speed: Floats,
    middles: Floats,
    frames: Floats,
    meets: Floats,
    crossings: Floats,
    energy: Floats,
    wrench: Floats,
    lossy: Floats,
    axes: Floats,
) -> float:
    """Let the edges of a along its axis i touch those of b along its axis j; return the energy stored [J]."""
    p, q = frames[0], frames[1]
    px, py, pz = p[0, i], p[1, i], p[2, i]
    qx, qy, qz = q[0, j], q[1, j], q[2, j]
    nx, ny, nz = py * qz - pz * qy, pz * qx - px * qz, px * qy - py * qx
    size = sqrt(nx * nx + ny * ny + nz * nz)
    skewed = size > PARALLEL
    if size > 0.0:
        nx, ny, nz = nx / size, ny / size, nz / size
    i1, i2, j1, j2 = (i + 1) % 3, (i + 2) % 3, (j + 1) % 3, (j + 2) % 3
    mine, its = int(a[at.B_BODY]), int(b[at.B_BODY])
    stored = 0.0
    # how far the common normal turns out of the faces of each
    on_1, on_2, at_1, at_2 = (
        along(p, i1, nx, ny, nz),
        along(p, i2, nx, ny, nz),
        along(q, j1, nx, ny, nz),
        along(q, j2, nx, ny, nz),
    )
    for e in range(4):
        u1, u2 = 1.0 if e & 1 else -1.0, 1.0 if e & 2 else -1.0
        least, most = min(u1 * on_1, u2 * on_2), max(u1 * on_1, u2 * on_2)
        for f in range(4):
            kept = crossings[16 * (3 * i + j) + 4 * e + f]
            w1, w2 = 1.0 if f & 1 else -1.0, 1.0 if f & 2 else -1.0
            goes = kept[0]
            if goes == 0.0:
                if not skewed:
                    continue
                if least > -ASIDE and max(w1 * at_1, w2 * at_2) < ASIDE:
                    goes = 1.0
                elif most < ASIDE and min(w1 * at_1, w2 * at_2) > -ASIDE:
                    goes = -1.0
                else:
                    continue
            h1, h2, g1, g2 = u1 * a[at.B_HX + i1], u2 * a[at.B_HX + i2], w1 * b[at.B_HX + j1], w2 * b[at.B_HX + j2]
            ax, ay, az = (
                middles[0, 0] + h1 * p[0, i1] + h2 * p[0, i2],
                middles[0, 1] + h1 * p[1, i1] + h2 * p[1, i2],
                middles[0, 2] + h1 * p[2, i1] + h2 * p[2, i2],
            )
            dx, dy, dz = (
                ax - middles[1, 0] - g1 * q[0, j1] - g2 * q[0, j2],
                ay - middles[1, 1] - g1 * q[1, j1] - g2 * q[1, j2],
                az - middles[1, 2] - g1 * q[2, j1] - g2 * q[2, j2],
            )
            depth = goes * (nx * dx + ny * dy + nz * dz)
            s, t = 1e300, 1e300
            if skewed:
                both, on_p, on_q = px * qx + py * qy + pz * qz, px * dx + py * dy + pz * dz, qx * dx + qy * dy + qz * dz
                s, t = (both * on_q - on_p) / (size * size), (on_q - both * on_p) / (size * size)
            if depth <= 0.0 or abs(s) > a[at.B_HX + i] or abs(t) > b[at.B_HX + j]:
                if kept[0] != 0.0:
                    give_up(depth, -goes * nx, -goes * ny, -goes * nz, pair, kept, meets, energy)
                continue
            x, y, z = ax + s * px, ay + s * py, az + s * pz
            if kept[0] == 0.0:
                vx, vy, vz = against(mine, its, x, y, z, position, speed)
                before = depth - goes * (nx * vx + ny * vy + nz * vz) * dt
                if before > CROSSED:
                    continue
                kept[0], kept[3] = goes, max(0.0, before)
            # along the other's edge, and square to it
            axes[0, 0], axes[1, 0], axes[2, 0] = -goes * nx, -goes * ny, -goes * nz
            axes[0, 1], axes[1, 1], axes[2, 1] = qx, qy, qz
            axes[0, 2], axes[1, 2], axes[2, 2] = ny * qz - nz * qy, nz * qx - nx * qz, nx * qy - ny * qx
            stored += push(
                dt, depth, 1.0, mine, its, x, y, z, pair, meets, kept, axes, position, speed, energy, wrench, lossy
            )
    return stored


def against(
    mine: int, its: int, x: float, y: float, z: float, position: Floats, speed: Floats
) -> tuple[float, float, float]:
    """Return the velocity of a point of one body against another's at the same place of the world."""
    v = point_velocity(speed[mine], x - position[mine, 0], y - position[mine, 1], z - position[mine, 2])
    w = point_velocity(speed[its], x - position[its, 0], y - position[its, 1], z - position[its, 2])
    return v[0] - w[0], v[1] - w[1], v[2] - w[2]


def follows(x: float, y: float, z: float, meets: Floats) -> bool:
    """Whether a push of the first box along (x, y, z) may take up what a contact gave up that pushed the same way."""
    held: bool = meets[at.X_BEFORE] + meets[at.X_GIVEN] > 0.0
    same: bool = x * meets[at.X_WAY] + y * meets[at.X_WAY + 1] + z * meets[at.X_WAY + 2] > ALIKE
    return held and same


def take_up(depth: float, pair: Floats, kept: Floats, meets: Floats, energy: Floats) -> None:
    """Let a contact that began deep press from less deep, as far as the energy that others gave up allows."""
    pressed, k = depth - kept[3], pair[at.Q_K]
    takes = min(0.5 * k * (depth * depth - pressed * pressed), meets[at.X_BEFORE] + meets[at.X_GIVEN])
    kept[3] = depth - sqrt(pressed * pressed + 2.0 * takes / k)
    energy[at.E_DISSIPATED] -= takes
    of_before = min(takes, meets[at.X_BEFORE])
    meets[at.X_BEFORE] -= of_before
    meets[at.X_GIVEN] -= takes - of_before


def give_up(
    depth: float, x: float, y: float, z: float, pair: Floats, kept: Floats, meets: Floats, energy: Floats
) -> None:
    """End a contact that pushes the first box along (x, y, z): its energy is lost, or taken up by the next one."""
    pressed = max(0.0, depth - kept[3])
    lost = 0.5 * pair[at.Q_K] * pressed * pressed
    energy[at.E_DISSIPATED] += lost + 0.5 * pair[at.Q_KT] * (kept[1] * kept[1] + kept[2] * kept[2])
    meets[at.X_GIVEN] += lost
    if lost > 0.0:
        meets[at.X_WAY], meets[at.X_WAY + 1], meets[at.X_WAY + 2] = x, y, z
    kept[0] = kept[1] = kept[2] = kept[3] = 0.0


def push(  # noqa: PLR0913 - floats and arrays only: compiled code has a structure unpacked at every call
    dt: float,
    depth: float,
    sense: float,
    mine: int,
    its: int,
    x: float,
    y: float,
    z: float,
    pair: Floats,
    meets: Floats,
    kept: Floats,
    axes: Floats,
    position: Floats,
    speed: Floats,
    energy: Floats,
    wrench: Floats,
    lossy: Floats,
) -> float:
    """Push a body out of another along the first of axes (3, 3), with friction along the others; return the energy.

    sense: 1 where that body is the first of the pair, else -1.
    """
    kept[3] = min(kept[3], depth)
    if kept[3] > 0.0 and follows(sense * axes[0, 0], sense * axes[1, 0], sense * axes[2, 0], meets):
        take_up(depth, pair, kept, meets, energy)
    pressed, k = depth - kept[3], pair[at.Q_K]
    vx, vy, vz = against(mine, its, x, y, z, position, speed)
    rate = -along(axes, 0, vx, vy, vz)
    elastic = k * pressed
    damping = min(elastic * pair[at.Q_CHI] + pair[at.Q_C], pair[at.Q_MOST] / (dt * max(1.0, meets[at.X_WAS])))
    force = max(0.0, elastic + damping * rate) if elastic > 0.0 else 0.0
    f1, f2, b1, b2, rubbed = bristle(
        kept[1], kept[2], along(axes, 1, vx, vy, vz), along(axes, 2, vx, vy, vz), dt, force, pair[at.Q_MU],
        pair[at.Q_KT], pair[at.Q_CT],
    )  # fmt: skip
    kept[1], kept[2] = b1, b2
    energy[at.E_DISSIPATED] += rubbed + (force - elastic) * rate * dt
    fx, fy, fz = turned(axes, force, f1, f2)
    lx, ly, lz = turned(axes, force - elastic, f1, f2)
    ax, ay, az = x - position[mine, 0], y - position[mine, 1], z - position[mine, 2]
    bx, by, bz = x - position[its, 0], y - position[its, 1], z - position[its, 2]
    add_force(wrench, mine, ax, ay, az, fx, fy, fz)
    add_force(wrench, its, bx, by, bz, -fx, -fy, -fz)
    add_force(lossy, mine, ax, ay, az, lx, ly, lz)
    add_force(lossy, its, bx, by, bz, -lx, -ly, -lz)
    meets[at.X_TOUCHES] += 1.0
    meets[at.X_FORCE] += force
    meets[at.X_LIFT] += fz if its == at.LOAD else -fz
    held: float = 0.5 * elastic * pressed + 0.5 * pair[at.Q_KT] * (b1 * b1 + b2 * b2)
    return held
