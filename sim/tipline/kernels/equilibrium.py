"""Equilibrium of the truck at rest: the pose at which the stored energy is least, and whether it stands.

Unknowns: height of the drive-axle point over the floor, roll and pitch (rotation vector about world x and y),
axle angle, mast rotation about x, y, z, lift. The truck's place and heading are held: friction forces follow the
tyre loads
(see `friction`). Where the stiffness matrix is not positive definite the step is a damped descent, so the search
runs downhill and never rests on a crest; a search that leaves the range in which a truck can stand has tipped.

Source: [TextbookMechanics] (least energy, definite stiffness), [Own] (how the floor's side forces are shared)

Arrays:

q (8,) [m, rad]: the unknowns
tyre (n, 14) [SI]: each tyre's state
gravity (3,) [m/s2], outside (6, 6) [N, N m]: what acts on the bodies
command (3,) [rad, rad, m]: tilt, lift and slide from the set-up
home (6,) [m, rad]: as in `pose`
k (8, 8) [SI]: stiffness
scale (8,) [SI]: roots of its diagonal
base, out (8,) [N, N m]: generalised forces
drag, side (n,) [1]: a tyre's share
child (3, 3) [1], a, b (3, 3) [1]: rotations
"""

from math import cos, sin, sqrt

import numpy as np

from tipline.kernels import layout as at
from tipline.kernels.joints import axle_torque, play_spring, pull_only, stop_of
from tipline.kernels.layout import Floats, Plant
from tipline.kernels.vector import add_force, back_turned, turned
from tipline.kernels.wheels import tyre_normal

Q_HEIGHT, Q_ROLL, Q_PITCH, Q_AXLE, Q_MAST_X, Q_MAST_Y, Q_MAST_Z, Q_LIFT = range(8)
N_Q = 8
STANDS, TIPPED, UNSTABLE, FAILED = range(4)
FURTHEST = 0.6
"""Roll, pitch or mast rotation beyond which the search counts as tipped (our choice: no truck stands so) [rad]."""
USUAL = (1e-9, FURTHEST, True)
"""The last arguments of `solve` as usual (numerical): a compiled call that leaves arguments out costs 0.16 ms."""
CREEP_FORCE, CREEP_STEP, CREEP_MOST = 1e-3, 5e-5, 12
"""A search that is at a crest or creeps to one (numerical): forces as a share of the weight, step [m, rad], and such
steps running while the stiffness is not definite."""


def exponential(x: float, y: float, z: float, out: Floats) -> None:
    """Fill out (3, 3) with the rotation of the rotation vector (x, y, z)."""
    t = sqrt(x * x + y * y + z * z)
    s, c = (sin(t) / t, (1.0 - cos(t)) / (t * t)) if t > 1e-7 else (1.0, 0.5)
    out[0, 0] = 1.0 - c * (y * y + z * z)
    out[0, 1] = c * x * y - s * z
    out[0, 2] = c * x * z + s * y
    out[1, 0] = c * x * y + s * z
    out[1, 1] = 1.0 - c * (x * x + z * z)
    out[1, 2] = c * y * z - s * x
    out[2, 0] = c * x * z - s * y
    out[2, 1] = c * y * z + s * x
    out[2, 2] = 1.0 - c * (x * x + y * y)


def product(a: Floats, b: Floats, out: Floats) -> None:
    """Fill out (3, 3) with the matrix product a b."""
    for i in range(3):
        for j in range(3):
            out[i, j] = a[i, 0] * b[0, j] + a[i, 1] * b[1, j] + a[i, 2] * b[2, j]


def pose(q: Floats, plant: Plant, home: Floats, slide: float, position: Floats, rot: Floats) -> None:
    """Fill position (6, 3) and rot (6, 3, 3) of the bodies at q.

    home (6,): world x, y of the drive-axle point, heading [rad], and that point in chassis axes from the chassis'
    centre. Tilt, lift and slide are measured from the set-up pose.
    """
    turn, base, part = np.zeros((3, 3), q.dtype), np.zeros((3, 3), q.dtype), np.zeros((3, 3), q.dtype)
    exponential(q[Q_ROLL], q[Q_PITCH], 0.0, turn)
    exponential(0.0, 0.0, home[2], base)
    product(turn, base, rot[at.CHASSIS])
    r = rot[at.CHASSIS]
    ox, oy, oz = turned(r, home[3], home[4], home[5])
    position[at.CHASSIS, 0], position[at.CHASSIS, 1], position[at.CHASSIS, 2] = (
        home[0] - ox,
        home[1] - oy,
        q[Q_HEIGHT] - oz,
    )
    a, m, link = plant.axle, plant.mast, plant.link
    exponential(q[Q_AXLE], 0.0, 0.0, part)
    product(r, part, rot[at.AXLE])
    joint(r, rot[at.AXLE], position, at.AXLE, a[at.A_CX], a[at.A_CY], a[at.A_CZ], a[at.A_AX], a[at.A_AY], a[at.A_AZ])
    exponential(q[Q_MAST_X], q[Q_MAST_Y], q[Q_MAST_Z], part)
    product(r, part, rot[at.MAST])
    joint(r, rot[at.MAST], position, at.MAST, m[at.M_CX], m[at.M_CY], m[at.M_CZ], m[at.M_MX], m[at.M_MY], m[at.M_MZ])
    rot[at.CARRIAGE, :, :] = rot[at.MAST]
    x, y, z = turned(
        rot[at.MAST],
        link[at.L_CX] + q[Q_LIFT] * link[at.L_UX],
        link[at.L_CY],
        link[at.L_CZ] + q[Q_LIFT] * link[at.L_UZ],
    )
    position[at.CARRIAGE, 0], position[at.CARRIAGE, 1], position[at.CARRIAGE, 2] = (
        position[at.MAST, 0] + x,
        position[at.MAST, 1] + y,
        position[at.MAST, 2] + z,
    )
    rot[at.COUNTERWEIGHT, :, :] = r
    x, y, z = turned(r, link[at.L_SX] - slide, link[at.L_SY], link[at.L_SZ])
    position[at.COUNTERWEIGHT, 0], position[at.COUNTERWEIGHT, 1], position[at.COUNTERWEIGHT, 2] = (
        position[at.CHASSIS, 0] + x,
        position[at.CHASSIS, 1] + y,
        position[at.CHASSIS, 2] + z,
    )


def joint(
    r: Floats,
    child: Floats,
    position: Floats,
    body: int,
    cx: float,
    cy: float,
    cz: float,
    bx: float,
    by: float,
    bz: float,
) -> None:
    """Place a body so that its point (bx, by, bz) meets the chassis' point (cx, cy, cz)."""
    ax, ay, az = turned(r, cx, cy, cz)
    dx, dy, dz = turned(child, bx, by, bz)
    position[body, 0] = position[at.CHASSIS, 0] + ax - dx
    position[body, 1] = position[at.CHASSIS, 1] + ay - dy
    position[body, 2] = position[at.CHASSIS, 2] + az - dz


def friction(gx: float, gy: float, gz: float, plant: Plant, tyre: Floats, drag: Floats, side: Floats) -> None:
    """Share the forces along the floor between the tyres, as multiples of unit weight per mass times the total load.

    The drag along the truck's heading stands on the braked tyres alone, by their loads; the side forces are load
    times a linear function of the place along the truck, so that the turning moment about the vertical closes too.
    """
    n = plant.tyre.shape[0]
    total, held, ex, ey = 0.0, 0.0, 1.0, 0.0
    for i in range(n):
        total += tyre[i, 0]
        held += tyre[i, 0] * plant.tyre[i, at.T_BRAKED]
        if tyre[i, 0] > 0.0:
            ex, ey = tyre[i, 7], tyre[i, 8]
    ratio_along = (gx * ex + gy * ey) / gz  # positive: forces on the truck act forward (gz < 0)
    ratio_side = (-gx * ey + gy * ex) / gz
    m0, m1, m2, twist = 0.0, 0.0, 0.0, 0.0
    for i in range(n):
        load = tyre[i, 0]
        drag[i] = side[i] = 0.0
        if load <= 0.0:
            continue
        if held > 0.0:
            drag[i] = ratio_along * total * load * plant.tyre[i, at.T_BRAKED] / held
        along, across = tyre[i, 4] * ex + tyre[i, 5] * ey, -tyre[i, 4] * ey + tyre[i, 5] * ex
        m0, m1, m2 = m0 + load, m1 + load * along, m2 + load * along * along
        # the moment that drag and the even side force leave open about the vertical through the load centre
        twist += across * (ratio_along * load - drag[i])
    second = m2 - m1 * m1 / m0 if m0 > 0.0 else 0.0
    for i in range(n):
        load = tyre[i, 0]
        if load > 0.0:
            along = tyre[i, 4] * ex + tyre[i, 5] * ey
            side[i] = ratio_side * load
            if second > 1e-9 * m0:
                side[i] -= load * (along - m1 / m0) * twist / second


def residual(  # noqa: PLR0913 - floats and arrays only: compiled code has a structure unpacked at every call
    q: Floats,
    plant: Plant,
    gravity: Floats,
    outside: Floats,
    home: Floats,
    depth: Floats,
    command: Floats,
    position: Floats,
    rot: Floats,
    tyre: Floats,
    out: Floats,
) -> float:
    """Fill out (8,) with the generalised forces at q, tyre (n, 14) with each tyre's state; return stored energy [J].

    outside (6, 6): constant wrenches on the bodies (wind); command (3,): tilt, lift, slide relative to the set-up.
    tyre columns 0 to 11 as in `tyre_normal`; 12, 13: drag and side force.
    """
    pose(q, plant, home, command[2], position, rot)
    wrench, on_place, sunk = outside.copy(), np.zeros(depth.shape[0], q.dtype), np.zeros(at.STRIPS, q.dtype)
    still, settled = np.zeros((at.N_BODY, 6), q.dtype), np.zeros((3, at.STRIPS), q.dtype) - 1.0
    gx, gy, gz = gravity[0], gravity[1], gravity[2]
    energy = 0.0
    for b in range(at.N_BODY):
        if b != at.LOAD:
            wrench[b, 0] += plant.mass[b] * gx
            wrench[b, 1] += plant.mass[b] * gy
            wrench[b, 2] += plant.mass[b] * gz
            energy -= plant.mass[b] * gz * position[b, 2]
    if plant.mass[at.LOAD] > 0.0:
        x, y, z = turned(rot[at.CARRIAGE], plant.link[at.L_HX], plant.link[at.L_HY], plant.link[at.L_HZ])
        w = plant.mass[at.LOAD]
        add_force(
            wrench,
            at.CARRIAGE,
            x,
            y,
            z,
            w * gx + outside[at.LOAD, 0],
            w * gy + outside[at.LOAD, 1],
            w * gz + outside[at.LOAD, 2],
        )
        energy -= w * gz * (position[at.CARRIAGE, 2] + z)
    n = plant.tyre.shape[0]
    for i in range(n):
        energy += tyre_normal(i, plant, position, rot, depth, still, on_place, sunk, settled, tyre[i])
    drag, side = np.zeros(n, q.dtype), np.zeros(n, q.dtype)
    fx, fy, fz = gx, gy, gz
    total = plant.mass.sum()
    for b in range(at.N_BODY):
        fx += outside[b, 0] / total
        fy += outside[b, 1] / total
        fz += outside[b, 2] / total
    friction(fx, fy, fz, plant, tyre, drag, side)
    for i in range(n):
        tyre[i, 12], tyre[i, 13] = drag[i], side[i]
        if tyre[i, 0] > 0.0:
            b = int(plant.tyre[i, at.T_BODY])
            ex, ey = tyre[i, 7], tyre[i, 8]
            x, y, z = tyre[i, 4] - position[b, 0], tyre[i, 5] - position[b, 1], tyre[i, 6] - position[b, 2]
            add_force(wrench, b, x, y, z, drag[i] * ex - side[i] * ey, drag[i] * ey + side[i] * ex, tyre[i, 0])
    return energy + gather(q, plant, home, command, position, rot, wrench, out)


def moment_about(
    wrench: Floats, position: Floats, body: int, x: float, y: float, z: float
) -> tuple[float, float, float]:
    """Return the moment of a body's wrench about a world point."""
    dx, dy, dz = position[body, 0] - x, position[body, 1] - y, position[body, 2] - z
    fx, fy, fz = wrench[body, 0], wrench[body, 1], wrench[body, 2]
    return (
        wrench[body, 3] + dy * fz - dz * fy,
        wrench[body, 4] + dz * fx - dx * fz,
        wrench[body, 5] + dx * fy - dy * fx,
    )


def gather(
    q: Floats, plant: Plant, home: Floats, command: Floats, position: Floats, rot: Floats, wrench: Floats, out: Floats
) -> float:
    """Turn body wrenches into generalised forces, the joints' springs added; return the joints' stored energy [J]."""
    out[:] = 0.0
    r, a, m, link = rot[at.CHASSIS], plant.axle, plant.mast, plant.link
    ox, oy, oz = home[0], home[1], q[Q_HEIGHT]  # the drive-axle point: base of height, roll and pitch
    for b in range(at.N_BODY):
        if b == at.LOAD:
            continue
        mx, my, _ = moment_about(wrench, position, b, ox, oy, oz)
        out[Q_HEIGHT] += wrench[b, 2]
        out[Q_ROLL] += mx
        out[Q_PITCH] += my
    x, y, z = turned(r, a[at.A_CX], a[at.A_CY], a[at.A_CZ])
    moment = moment_about(
        wrench, position, at.AXLE, position[at.CHASSIS, 0] + x, position[at.CHASSIS, 1] + y, position[at.CHASSIS, 2] + z
    )
    torque, energy = axle_torque(q[Q_AXLE], 0.0, stop_of(a, q[Q_AXLE]), a[at.A_K], 0.0, a[at.A_PULLS])
    out[Q_AXLE] = back_turned(r, moment[0], moment[1], moment[2])[0] + torque
    x, y, z = turned(r, m[at.M_CX], m[at.M_CY], m[at.M_CZ])
    x, y, z = x + position[at.CHASSIS, 0], y + position[at.CHASSIS, 1], z + position[at.CHASSIS, 2]
    first = moment_about(wrench, position, at.MAST, x, y, z)
    second = moment_about(wrench, position, at.CARRIAGE, x, y, z)
    mx, my, mz = back_turned(r, first[0] + second[0], first[1] + second[1], first[2] + second[2])
    tx, ex = play_spring(q[Q_MAST_X], 0.0, m[at.M_PX], m[at.M_KX], 0.0)
    ty, ey = play_spring(q[Q_MAST_Y] - command[0], 0.0, m[at.M_PY], m[at.M_KY], 0.0)
    tz, ez = play_spring(q[Q_MAST_Z], 0.0, m[at.M_PZ], m[at.M_KZ], 0.0)
    out[Q_MAST_X], out[Q_MAST_Y], out[Q_MAST_Z] = mx + tx, my + ty, mz + tz
    tension, ec = pull_only(command[1] - q[Q_LIFT], 0.0, link[at.L_CH_K], 0.0)
    x, y, z = turned(rot[at.MAST], link[at.L_UX], 0.0, link[at.L_UZ])
    out[Q_LIFT] = wrench[at.CARRIAGE, 0] * x + wrench[at.CARRIAGE, 1] * y + wrench[at.CARRIAGE, 2] * z + tension
    return energy + ex + ey + ez + ec


def least_pivot(k: Floats, scale: Floats, extra: float) -> float:
    """Return the least Cholesky pivot of the scaled symmetric part of k, extra on its diagonal (positive: definite)."""
    n = k.shape[0]
    a = np.zeros((n, n), k.dtype)
    for i in range(n):
        for j in range(n):
            a[i, j] = 0.5 * (k[i, j] + k[j, i]) / sqrt(scale[i] * scale[j])
        a[i, i] += extra
    least = 1e300
    for j in range(n):
        pivot: float = a[j, j]
        least = min(least, pivot)
        if pivot <= 0.0:
            return pivot
        for i in range(j + 1, n):
            f = a[i, j] / a[j, j]
            for c in range(j + 1, n):
                a[i, c] -= f * a[j, c]
    return least


def stiffness(  # noqa: PLR0913 - floats and arrays only: compiled code has a structure unpacked at every call
    q: Floats,
    base: Floats,
    plant: Plant,
    gravity: Floats,
    outside: Floats,
    home: Floats,
    depth: Floats,
    command: Floats,
    position: Floats,
    rot: Floats,
    tyre: Floats,
    k: Floats,
) -> None:
    """Fill k (8, 8) with the negative derivative of the generalised forces; base holds the forces at q."""
    out, moved = np.zeros(N_Q, q.dtype), q.copy()
    for j in range(N_Q):
        d = 1e-7
        moved[j] = q[j] + d
        residual(moved, plant, gravity, outside, home, depth, command, position, rot, tyre, out)
        moved[j] = q[j]
        for i in range(N_Q):
            k[i, j] = -(out[i] - base[i]) / d


def solve(  # noqa: PLR0913 - floats and arrays only: compiled code has a structure unpacked at every call
    q: Floats,
    plant: Plant,
    gravity: Floats,
    outside: Floats,
    home: Floats,
    depth: Floats,
    command: Floats,
    position: Floats,
    rot: Floats,
    tyre: Floats,
    k: Floats,
    reuse: bool,
    tolerance: float = USUAL[0],
    furthest: float = FURTHEST,
    downhill: bool = True,
) -> tuple[int, int, float, float, float]:
    """Find the equilibrium from the start q (8,), in place.

    Return status, iterations, residual / weight, least pivot, and the stored energy [J].

    k (8, 8) is the stiffness matrix, kept for the next call: reuse = True starts with it and forms it anew only when
    the residual falls by less than half. tolerance is the residual, as a share of the weight, at which it rests;
    furthest is the roll, pitch or mast rotation [rad] beyond which it has tipped. downhill = False gives up where the
    stiffness is not positive definite, so that a pose followed in small steps is not left for another one.
    Fills position, rot, tyre. Status: STANDS, TIPPED, UNSTABLE or FAILED.
    """
    weight = plant.mass.sum() * sqrt(gravity[0] ** 2 + gravity[1] ** 2 + gravity[2] ** 2)
    scale, out, creeping = np.ones(N_Q, q.dtype), np.zeros(N_Q, q.dtype), 0
    energy = residual(q, plant, gravity, outside, home, depth, command, position, rot, tyre, out)
    size = np.abs(out).max() / weight
    fresh, damping, previous = reuse, 0.0, 1e300
    for iteration in range(80):
        if not np.isfinite(size):
            return FAILED, iteration, size, 0.0, energy
        if not fresh or size > previous / 2.0:
            stiffness(q, out, plant, gravity, outside, home, depth, command, position, rot, tyre, k)
            fresh = True
            for j in range(N_Q):
                scale[j] = max(abs(k[j, j]), 1e-3 * weight)
            damping = 0.0
            if least_pivot(k, scale, 0.0) <= 0.0:
                if not downhill:
                    return UNSTABLE, iteration, size, 0.0, energy
                damping = 1e-3
                while least_pivot(k, scale, damping) <= 1e-6 and damping < 1e3:
                    damping *= 3.0
        previous = size
        matrix = k.copy()
        for j in range(N_Q):
            matrix[j, j] += damping * scale[j]
        step = np.linalg.solve(matrix.astype(np.float64), out.astype(np.float64))
        longest = max(np.abs(step[Q_ROLL:Q_LIFT]).max() / 0.05, abs(step[Q_HEIGHT]) / 0.05, abs(step[Q_LIFT]) / 0.05)
        q += step / max(1.0, longest)
        if (
            abs(q[Q_ROLL]) > furthest
            or abs(q[Q_PITCH]) > furthest
            or abs(q[Q_MAST_X]) > furthest
            or abs(q[Q_MAST_Y]) > furthest
        ):
            return TIPPED, iteration, size, 0.0, energy
        energy = residual(q, plant, gravity, outside, home, depth, command, position, rot, tyre, out)
        size = np.abs(out).max() / weight
        slow = damping > 0.0 and size < CREEP_FORCE and 0.05 * longest < CREEP_STEP
        creeping = creeping + 1 if slow else 0
        if creeping >= CREEP_MOST:
            return UNSTABLE, iteration, size, 0.0, energy
        if size < tolerance and damping == 0.0:
            if not reuse:
                state = tyre.copy()
                stiffness(q, out, plant, gravity, outside, home, depth, command, position, rot, tyre, k)
                for j in range(N_Q):
                    scale[j] = max(abs(k[j, j]), 1e-3 * weight)
                tyre[:, :] = state
                pose(q, plant, home, command[2], position, rot)
            pivot = least_pivot(k, scale, 0.0)
            return (STANDS if pivot > 0.0 else UNSTABLE), iteration, size, pivot, energy
        if size < tolerance:
            # at rest, but the stiffness was not definite: form it here and judge
            fresh = False
    # forces close, but only where the stiffness is not definite: a crest, not a rest
    return (UNSTABLE if size < 1e-6 else FAILED), 80, size, 0.0, energy


def mirrored(q: Floats, heading: float) -> Floats:
    """Return the unknowns (8,) mirrored in the truck's own middle plane, for a world heading [rad]."""
    out, c, s = q.copy(), cos(heading), sin(heading)
    roll, pitch = c * q[Q_ROLL] + s * q[Q_PITCH], c * q[Q_PITCH] - s * q[Q_ROLL]
    out[Q_ROLL], out[Q_PITCH] = -c * roll - s * pitch, c * pitch - s * roll
    out[Q_AXLE], out[Q_MAST_X], out[Q_MAST_Z] = -q[Q_AXLE], -q[Q_MAST_X], -q[Q_MAST_Z]
    return out
