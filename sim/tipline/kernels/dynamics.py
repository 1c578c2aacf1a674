"""The bodies of the truck in joint coordinates: from coordinates to body states, and one step under given wrenches.

Chassis free; steer axle on a hinge along the truck's long axis; mast on a ball joint; carriage slides on the mast along
the lift, counterweight on the chassis to the rear; a lifted load that is a body of its own is free. Mass matrix from
composite rigid bodies about the chassis' centre; explicit Coriolis and gyroscopic terms; speeds first, then places.

Source: [Featherstone2008] (composite rigid bodies, from memory)

Arrays:

x (N_X,) [SI]: coordinates
u (N_U,) [SI]: speeds
mass (6,) [kg]: of the bodies
inertia (6, 3, 3) [kg m2]: of the bodies, in `world_inertia` (3, 3) of one
axle (N_AXLE,) [SI], mast (N_MAST,) [SI], link (N_LINK,) [SI]: as in `layout.Plant`
q (n,) [1]: an array in which a quaternion stands
own (3, 3) [kg m2]: a body's inertia, world
f (6, 6) [N, N m]: what is left of each body's wrench
h (n, n) [SI]: the mass matrix; its lower half is filled
place (3,) [m]: from the chassis' centre to a body's
out (N_U,) [SI]: generalised forces
"""

from math import cos, sin, sqrt

from tipline.kernels import layout as at
from tipline.kernels.joints import dead_zone, stop_of
from tipline.kernels.layout import Floats
from tipline.kernels.vector import back_turned, turned

# coordinates
(X_PLACE, X_TURN, X_AXLE, X_MAST, X_LIFT, X_SLIDE, X_LOAD, X_LOAD_TURN) = (0, 3, 7, 8, 12, 13, 14, 17)
N_X = 21
"""Chassis' centre and quaternion; axle angle; mast's quaternion in chassis axes; lift, slide; load's centre and
quaternion."""
# speeds
(U_SPEED, U_TURN, U_AXLE, U_MAST, U_LIFT, U_SLIDE, U_LOAD, U_LOAD_TURN) = (0, 3, 6, 7, 10, 11, 12, 15)
N_U = 18
"""World velocities of chassis and load; rates of axle, lift, slide; turning of the mast in its own axes."""
N_JOINED = 12
"""Speeds of the bodies that hang together: all but the load's."""


def cross(ax: float, ay: float, az: float, bx: float, by: float, bz: float) -> tuple[float, float, float]:
    """Return the cross product a x b."""
    return ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx


def quaternion_turn(q: Floats, j: int, out: Floats) -> None:
    """Fill out (3, 3) with the rotation of the unit quaternion (x, y, z, w) that starts at q[j]."""
    x, y, z, w = q[j], q[j + 1], q[j + 2], q[j + 3]
    out[0, 0] = 1.0 - 2.0 * (y * y + z * z)
    out[0, 1] = 2.0 * (x * y - z * w)
    out[0, 2] = 2.0 * (x * z + y * w)
    out[1, 0] = 2.0 * (x * y + z * w)
    out[1, 1] = 1.0 - 2.0 * (x * x + z * z)
    out[1, 2] = 2.0 * (y * z - x * w)
    out[2, 0] = 2.0 * (x * z - y * w)
    out[2, 1] = 2.0 * (y * z + x * w)
    out[2, 2] = 1.0 - 2.0 * (x * x + y * y)


def turn_by(q: Floats, j: int, wx: float, wy: float, wz: float, dt: float, own: bool) -> None:
    """Turn the quaternion at q[j] by w dt; own: w is in the turned axes, else in the axes it is turned from."""
    size = sqrt(wx * wx + wy * wy + wz * wz)
    half = 0.5 * size * dt
    s = sin(half) / size if size > 1e-9 else 0.5 * dt
    bx, by, bz, bw = wx * s, wy * s, wz * s, cos(half)
    ax, ay, az, aw = q[j], q[j + 1], q[j + 2], q[j + 3]
    cx, cy, cz = cross(ax, ay, az, bx, by, bz)
    if not own:
        cx, cy, cz = -cx, -cy, -cz
    x, y, z = aw * bx + ax * bw + cx, aw * by + ay * bw + cy, aw * bz + az * bw + cz
    w = aw * bw - ax * bx - ay * by - az * bz
    n = 1.0 / sqrt(x * x + y * y + z * z + w * w)
    q[j], q[j + 1], q[j + 2], q[j + 3] = x * n, y * n, z * n, w * n


def hang(
    raw: Floats,
    body: int,
    host: int,
    arm: tuple[float, float, float],
    turning: tuple[float, float, float],
    own: tuple[float, float, float],
) -> None:
    """Fill a body's centre and velocities from its host's.

    arm: from the host's centre to the joint (world); turning: the body's angular velocity; own: from the joint to its
    centre.
    """
    ax, ay, az = arm
    wx, wy, wz = turning
    dx, dy, dz = own
    fx, fy, fz = cross(raw[host, 10], raw[host, 11], raw[host, 12], ax, ay, az)
    gx, gy, gz = cross(wx, wy, wz, dx, dy, dz)
    raw[body, 0], raw[body, 1], raw[body, 2] = raw[host, 0] + ax + dx, raw[host, 1] + ay + dy, raw[host, 2] + az + dz
    raw[body, 7] = raw[host, 7] + fx + gx
    raw[body, 8] = raw[host, 8] + fy + gy
    raw[body, 9] = raw[host, 9] + fz + gz
    raw[body, 10], raw[body, 11], raw[body, 12] = wx, wy, wz


def place_bodies(
    x: Floats, u: Floats, mass: Floats, axle: Floats, mast: Floats, link: Floats, turn: Floats, raw: Floats
) -> None:
    """Fill raw (6, 13) with centre, quaternion, velocity, angular velocity of every body; turn (2, 3, 3) is scratch.

    Quaternions are those of the body axes. Masts turn with their carriage.
    """
    r, m = turn[0], turn[1]
    quaternion_turn(x, X_TURN, r)
    for j in range(3):
        raw[0, j], raw[0, 7 + j], raw[0, 10 + j] = x[j], u[j], u[U_TURN + j]
    qx, qy, qz, qw = x[3], x[4], x[5], x[6]
    raw[0, 3], raw[0, 4], raw[0, 5], raw[0, 6] = qx, qy, qz, qw
    wx, wy, wz = u[3], u[4], u[5]
    s, c = sin(0.5 * x[X_AXLE]), cos(0.5 * x[X_AXLE])
    raw[1, 3], raw[1, 4], raw[1, 5], raw[1, 6] = qw * s + qx * c, qy * c + qz * s, qz * c - qy * s, qw * c - qx * s
    quaternion_turn(raw[1], 3, m)
    da = u[U_AXLE]
    hang(
        raw, at.AXLE, at.CHASSIS,
        turned(r, axle[at.A_CX], axle[at.A_CY], axle[at.A_CZ]),
        (wx + da * r[0, 0], wy + da * r[1, 0], wz + da * r[2, 0]),
        turned(m, -axle[at.A_AX], -axle[at.A_AY], -axle[at.A_AZ]),
    )  # fmt: skip
    bx, by, bz, bw = x[8], x[9], x[10], x[11]
    cx, cy, cz = cross(qx, qy, qz, bx, by, bz)
    raw[2, 3], raw[2, 4], raw[2, 5] = qw * bx + qx * bw + cx, qw * by + qy * bw + cy, qw * bz + qz * bw + cz
    raw[2, 6] = qw * bw - qx * bx - qy * by - qz * bz
    quaternion_turn(raw[2], 3, m)
    mx, my, mz = turned(m, u[U_MAST], u[U_MAST + 1], u[U_MAST + 2])
    turning = (wx + mx, wy + my, wz + mz)
    hang(
        raw, at.MAST, at.CHASSIS, turned(r, mast[at.M_CX], mast[at.M_CY], mast[at.M_CZ]), turning,
        turned(m, -mast[at.M_MX], -mast[at.M_MY], -mast[at.M_MZ]),
    )  # fmt: skip
    lift, dl = x[X_LIFT], u[U_LIFT]
    out = turned(m, link[at.L_CX] + lift * link[at.L_UX], link[at.L_CY], link[at.L_CZ] + lift * link[at.L_UZ])
    hang(raw, at.CARRIAGE, at.MAST, (0.0, 0.0, 0.0), turning, out)
    ux, uy, uz = turned(m, link[at.L_UX], 0.0, link[at.L_UZ])
    raw[3, 7], raw[3, 8], raw[3, 9] = raw[3, 7] + dl * ux, raw[3, 8] + dl * uy, raw[3, 9] + dl * uz
    for j in range(3, 7):
        raw[3, j] = raw[2, j]
    if mass[at.COUNTERWEIGHT] > 0.0:
        out = turned(r, link[at.L_SX] - x[X_SLIDE], link[at.L_SY], link[at.L_SZ])
        hang(raw, at.COUNTERWEIGHT, at.CHASSIS, (0.0, 0.0, 0.0), (wx, wy, wz), out)
        for j in range(3):
            raw[4, 7 + j] -= u[U_SLIDE] * r[j, 0]
        for j in range(3, 7):
            raw[4, j] = raw[0, j]
    if mass[at.LOAD] > 0.0:
        for j in range(7):
            raw[5, j] = x[X_LOAD + j]
        for j in range(6):
            raw[5, 7 + j] = u[U_LOAD + j]


def world_inertia(inertia: Floats, r: Floats, out: Floats) -> None:
    """Fill out (3, 3) with a body's inertia in world axes."""
    for i in range(3):
        ax, ay, az = back_turned(inertia, r[i, 0], r[i, 1], r[i, 2])
        for j in range(i, 3):
            out[i, j] = out[j, i] = ax * r[j, 0] + ay * r[j, 1] + az * r[j, 2]


def net(
    b: int,
    mass: Floats,
    gravity: tuple[float, float, float],
    own: Floats,
    speed: Floats,
    wrench: Floats,
    a: tuple[float, float, float],
    turning: tuple[float, float, float],
    out: Floats,
) -> None:
    """Fill out[b] (6,) with a body's wrench and weight less what a and turning ask for.

    a, turning: the accelerations that the body has when no speed of a joint changes; own: its inertia, world axes.
    """
    ax, ay, az = a
    gx, gy, gz = gravity
    m, wx, wy, wz = mass[b], speed[b, 3], speed[b, 4], speed[b, 5]
    out[b, 0], out[b, 1] = wrench[b, 0] + m * (gx - ax), wrench[b, 1] + m * (gy - ay)
    out[b, 2] = wrench[b, 2] + m * (gz - az)
    hx, hy, hz = turned(own, wx, wy, wz)
    cx, cy, cz = cross(wx, wy, wz, hx, hy, hz)
    tx, ty, tz = turned(own, turning[0], turning[1], turning[2])
    out[b, 3], out[b, 4], out[b, 5] = wrench[b, 3] - cx - tx, wrench[b, 4] - cy - ty, wrench[b, 5] - cz - tz


def add_body(m: float, x: float, y: float, z: float, own: Floats, h: Floats) -> None:
    """Add a body of mass m at (x, y, z) from the chassis' centre to the free chassis' part of the mass matrix."""
    h[0, 0] += m
    h[1, 1] += m
    h[2, 2] += m
    h[4, 0] += m * z
    h[5, 0] -= m * y
    h[3, 1] -= m * z
    h[5, 1] += m * x
    h[3, 2] += m * y
    h[4, 2] -= m * x
    h[3, 3] += own[0, 0] + m * (y * y + z * z)
    h[4, 4] += own[1, 1] + m * (x * x + z * z)
    h[5, 5] += own[2, 2] + m * (x * x + y * y)
    h[4, 3] += own[1, 0] - m * x * y
    h[5, 3] += own[2, 0] - m * x * z
    h[5, 4] += own[2, 1] - m * y * z


def add_column(
    j: int, x: float, y: float, z: float, p: tuple[float, float, float], turning: tuple[float, float, float], h: Floats
) -> None:
    """Couple joint speed j to the chassis: a body at (x, y, z) gets momentum p and own angular momentum by it."""
    px, py, pz = p
    cx, cy, cz = cross(x, y, z, px, py, pz)
    h[j, 0] += px
    h[j, 1] += py
    h[j, 2] += pz
    h[j, 3] += cx + turning[0]
    h[j, 4] += cy + turning[1]
    h[j, 5] += cz + turning[2]


def add_push(f: Floats, b: int, x: float, y: float, z: float, out: Floats) -> None:
    """Add a body's net wrench f[b] at (x, y, z) to the chassis' part of the generalised forces."""
    cx, cy, cz = cross(x, y, z, f[b, 0], f[b, 1], f[b, 2])
    out[0] += f[b, 0]
    out[1] += f[b, 1]
    out[2] += f[b, 2]
    out[3] += f[b, 3] + cx
    out[4] += f[b, 4] + cy
    out[5] += f[b, 5] + cz


def add_ball(
    b: int, m: float, place: Floats, d: tuple[float, float, float], axes: Floats, own: Floats, f: Floats, h: Floats,
    out: Floats,
) -> None:  # fmt: skip
    """Add what a body does that turns with the mast about its joint.

    place: from the chassis' centre to the body's; d: from the joint to it; axes: the mast's; own: its inertia (world).
    """
    dx, dy, dz = d
    for j in range(3):
        ex, ey, ez = axes[0, j], axes[1, j], axes[2, j]
        sx, sy, sz = cross(ex, ey, ez, dx, dy, dz)
        lx, ly, lz = turned(own, ex, ey, ez)
        add_column(U_MAST + j, place[0], place[1], place[2], (m * sx, m * sy, m * sz), (lx, ly, lz), h)
        out[U_MAST + j] += sx * f[b, 0] + sy * f[b, 1] + sz * f[b, 2] + ex * f[b, 3] + ey * f[b, 4] + ez * f[b, 5]
        # angular momentum about the joint
        cx, cy, cz = cross(dx, dy, dz, m * sx, m * sy, m * sz)
        lx, ly, lz = lx + cx, ly + cy, lz + cz
        for i in range(j + 1):
            h[U_MAST + j, U_MAST + i] += axes[0, i] * lx + axes[1, i] * ly + axes[2, i] * lz


def add_slide(
    j: int, b: int, m: float, place: Floats, way: tuple[float, float, float], f: Floats, h: Floats, out: Floats
) -> None:
    """Add a body that slides by joint speed j along a world direction."""
    ex, ey, ez = way
    add_column(j, place[0], place[1], place[2], (m * ex, m * ey, m * ez), (0.0, 0.0, 0.0), h)
    h[j, j] = m
    out[j] = ex * f[b, 0] + ey * f[b, 1] + ez * f[b, 2]


def swung(
    base: tuple[float, float, float], w: tuple[float, float, float], turning: tuple[float, float, float],
    d: tuple[float, float, float],
) -> tuple[float, float, float]:  # fmt: skip
    """Return the acceleration at d from a point that has base, on a body that turns with w and turns faster."""
    px, py, pz = cross(w[0], w[1], w[2], d[0], d[1], d[2])
    cx, cy, cz = cross(w[0], w[1], w[2], px, py, pz)
    tx, ty, tz = cross(turning[0], turning[1], turning[2], d[0], d[1], d[2])
    return base[0] + cx + tx, base[1] + cy + ty, base[2] + cz + tz


def accelerations(  # noqa: PLR0913 - floats and arrays only: compiled code has a structure unpacked at every call
    held: float,
    gravity: tuple[float, float, float],
    mass: Floats,
    inertia: Floats,
    axle: Floats,
    mast: Floats,
    link: Floats,
    u: Floats,
    position: Floats,
    rot: Floats,
    speed: Floats,
    wrench: Floats,
    h: Floats,
    a: Floats,
) -> None:
    """Fill a (N_U,) with how fast speeds u (N_U,) change under wrenches (6, 6).

    held: inertia [kg m2] by which the steer axle's swing seems heavier, as a stop that a step is too long for holds it.
    position (6, 3), rot (6, 3, 3), speed (6, 6): body states at x and u. h (23, 12) is scratch.
    """
    own, f, out, place = h[12:15, :3], h[15:21, :6], h[21], h[22]
    h[:12, :] = 0.0
    out[:] = 0.0
    nothing = (0.0, 0.0, 0.0)
    r = rot[at.CHASSIS]
    w = (speed[0, 3], speed[0, 4], speed[0, 5])
    world_inertia(inertia[0], r, own)
    net(0, mass, gravity, own, speed, wrench, nothing, nothing, f)
    add_body(mass[0], 0.0, 0.0, 0.0, own, h)
    add_push(f, 0, 0.0, 0.0, 0.0, out)
    for b in range(1, at.LOAD):
        if mass[b] > 0.0:
            joined(
                b, gravity, mass, inertia, axle, mast, link, u, position, rot, speed, wrench, w, own, f, out, place, h
            )
    h[U_AXLE, U_AXLE] += held
    solve_positive(h, out, N_JOINED if mass[at.COUNTERWEIGHT] > 0.0 else U_SLIDE)  # its speed is the last
    for j in range(N_JOINED):
        a[j] = out[j]
    if mass[at.LOAD] > 0.0:
        b = at.LOAD
        world_inertia(inertia[b], rot[b], own)
        net(b, mass, gravity, own, speed, wrench, nothing, nothing, f)
        solve_positive(own, f[b, 3:], 3)
        for j in range(3):
            a[U_LOAD + j] = f[b, j] / mass[b]
            a[U_LOAD_TURN + j] = f[b, 3 + j]


def held_by_stop(dt: float, angle: float, axle: Floats) -> float:
    """Return the inertia [kg m2] by which a pivoting axle (N_AXLE,) that is on its stop seems heavier in a long step.

    A fourth of stiffness x the square of the step [s]: what a spring does that is stepped at the mean of two instants.
    It adds no damping, and no step is too long for it. angle: of the axle [rad].
    """
    if axle[at.A_PULLS] > 0.0 or dead_zone(angle, stop_of(axle, angle)) == 0.0:
        return 0.0
    held: float = 0.25 * axle[at.A_K] * dt * dt + 0.5 * axle[at.A_C] * dt
    return held


def move(kick: float, dt: float, a: Floats, x: Floats, u: Floats, free: bool) -> None:
    """Change speeds u (N_U,) by a (N_U,) for a time kick [s], then coordinates x (N_X,) by them for a time dt [s].

    free: whether a lifted load is a body of its own.
    """
    for j in range(N_U):
        u[j] += kick * a[j]
    for j in range(3):
        x[j] += dt * u[j]
    turn_by(x, X_TURN, u[U_TURN], u[U_TURN + 1], u[U_TURN + 2], dt, False)
    x[X_AXLE] += dt * u[U_AXLE]
    turn_by(x, X_MAST, u[U_MAST], u[U_MAST + 1], u[U_MAST + 2], dt, True)
    x[X_LIFT] += dt * u[U_LIFT]
    x[X_SLIDE] += dt * u[U_SLIDE]
    if free:
        for j in range(3):
            x[X_LOAD + j] += dt * u[U_LOAD + j]
        turn_by(x, X_LOAD_TURN, u[U_LOAD_TURN], u[U_LOAD_TURN + 1], u[U_LOAD_TURN + 2], dt, False)


def joined(  # noqa: PLR0913 - floats and arrays only: compiled code has a structure unpacked at every call
    b: int,
    gravity: tuple[float, float, float],
    mass: Floats,
    inertia: Floats,
    axle: Floats,
    mast: Floats,
    link: Floats,
    u: Floats,
    position: Floats,
    rot: Floats,
    speed: Floats,
    wrench: Floats,
    w: tuple[float, float, float],
    own: Floats,
    f: Floats,
    out: Floats,
    place: Floats,
    h: Floats,
) -> None:
    """Add a body that hangs on the chassis to mass matrix and forces; w is the chassis' angular velocity."""
    nothing, r, m = (0.0, 0.0, 0.0), rot[at.CHASSIS], mass[b]
    turning = (speed[b, 3], speed[b, 4], speed[b, 5])
    # what it turns with beside the chassis is fixed in it or in the chassis, and is carried round with w
    faster = cross(w[0], w[1], w[2], turning[0] - w[0], turning[1] - w[1], turning[2] - w[2])
    for j in range(3):
        place[j] = position[b, j] - position[0, j]
    world_inertia(inertia[b], rot[b], own)
    if b == at.COUNTERWEIGHT:
        c = (0.0, 0.0, 0.0)
    elif b == at.AXLE:
        c = turned(r, axle[at.A_CX], axle[at.A_CY], axle[at.A_CZ])
    else:
        c = turned(r, mast[at.M_CX], mast[at.M_CY], mast[at.M_CZ])
    d = (place[0] - c[0], place[1] - c[1], place[2] - c[2])
    a = swung(swung(nothing, w, nothing, c), turning, faster, d)
    way = (-r[0, 0], -r[1, 0], -r[2, 0])
    slides, along = -1, 0.0
    if b == at.CARRIAGE:
        way, slides, along = turned(rot[b], link[at.L_UX], 0.0, link[at.L_UZ]), U_LIFT, u[U_LIFT]
    elif b == at.COUNTERWEIGHT:
        slides, along = U_SLIDE, u[U_SLIDE]
    if slides >= 0:
        kx, ky, kz = cross(turning[0], turning[1], turning[2], way[0], way[1], way[2])
        a = (a[0] + 2.0 * along * kx, a[1] + 2.0 * along * ky, a[2] + 2.0 * along * kz)
    net(b, mass, gravity, own, speed, wrench, a, faster, f)
    add_body(m, place[0], place[1], place[2], own, h)
    add_push(f, b, place[0], place[1], place[2], out)
    if b == at.AXLE:
        ex, ey, ez = r[0, 0], r[1, 0], r[2, 0]
        sx, sy, sz = cross(ex, ey, ez, d[0], d[1], d[2])
        lx, ly, lz = turned(own, ex, ey, ez)
        add_column(U_AXLE, place[0], place[1], place[2], (m * sx, m * sy, m * sz), (lx, ly, lz), h)
        h[U_AXLE, U_AXLE] = ex * lx + ey * ly + ez * lz + m * (sx * sx + sy * sy + sz * sz)
        out[U_AXLE] = sx * f[b, 0] + sy * f[b, 1] + sz * f[b, 2] + ex * f[b, 3] + ey * f[b, 4] + ez * f[b, 5]
    elif b in (at.MAST, at.CARRIAGE):
        add_ball(b, m, place, d, rot[at.MAST], own, f, h, out)
    if slides >= 0:
        add_slide(slides, b, m, place, way, f, h, out)
    if b == at.CARRIAGE:
        for j in range(3):
            sx, sy, sz = cross(rot[b, 0, j], rot[b, 1, j], rot[b, 2, j], d[0], d[1], d[2])
            h[U_LIFT, U_MAST + j] = m * (sx * way[0] + sy * way[1] + sz * way[2])


def solve_positive(h: Floats, b: Floats, n: int) -> None:
    """Solve h x = b in place of b (n,) for a symmetric positive h (n, n), SI; its lower half is read and overwritten.

    From the last row up: joints that do not couple leave zeros, and these are passed over.
    """
    for k in range(n - 1, -1, -1):
        pivot = 1.0 / h[k, k]
        h[k, k] = pivot
        for j in range(k):
            if h[k, j] != 0.0:
                share = h[k, j] * pivot
                for i in range(j + 1):
                    h[j, i] -= share * h[k, i]
                b[j] -= share * b[k]
    for k in range(n):
        s = b[k]
        for j in range(k):
            s -= h[k, j] * b[j]
        b[k] = s * h[k, k]
