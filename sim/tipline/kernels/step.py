"""All forces of one time step: reads body states, fills wrenches, keeps memory, ledger and record."""

from math import sqrt

import numpy as np

from tipline.kernels.joints import axle_torque, play_spring, pull_only, push_only, soil_depth
from tipline.kernels.layout import (
    A_C,
    A_K,
    A_PULLS,
    A_STOP,
    AXLE,
    C_BODY,
    C_CHI,
    C_CT,
    C_K,
    C_KT,
    C_MU,
    C_X,
    C_Y,
    C_Z,
    CARRIAGE,
    CHASSIS,
    COUNTERWEIGHT,
    E_DISSIPATED,
    E_ELASTIC,
    E_FLOOR,
    E_GRAVITY,
    E_KINETIC,
    E_WORK,
    K_BRAKE,
    K_DRIVE,
    K_GX,
    K_GY,
    K_GZ,
    K_HELD,
    K_LIFT,
    K_PLACE,
    K_ROPE,
    K_SLIDE,
    K_TILT,
    L_CH_C,
    L_CH_K,
    L_CX,
    L_CZ,
    L_HX,
    L_HY,
    L_HZ,
    L_RO_C,
    L_RO_K,
    L_SL_C,
    L_SL_K,
    L_SX,
    L_TX,
    L_TY,
    L_TZ,
    L_UX,
    L_UZ,
    LAW_YIELDING,
    LOAD,
    M_DX,
    M_DY,
    M_DZ,
    M_KX,
    M_KY,
    M_KZ,
    M_PX,
    M_PY,
    M_PZ,
    MAST,
    N_BODY,
    N_SINGLE,
    N_TYRE_RECORD,
    P_COS,
    P_HARDEN,
    P_HX,
    P_HY,
    P_LAW,
    P_MOST,
    P_RATE,
    P_SIN,
    P_X,
    P_Y,
    P_YIELD,
    R_AXLE,
    R_AXLE_TORQUE,
    R_BODY_FORCE,
    R_CHAIN,
    R_COMPRESSION,
    R_CX,
    R_CY,
    R_CZ,
    R_DRAG,
    R_LIFT,
    R_LOAD,
    R_MAST_TX,
    R_MAST_TY,
    R_MAST_TZ,
    R_MAST_X,
    R_MAST_Y,
    R_MAST_Z,
    R_ROPE,
    R_SIDE,
    R_SPIN,
    R_SUPPORT,
    S_CHI,
    S_COS,
    S_CT,
    S_HI_1,
    S_HI_2,
    S_K,
    S_KIND,
    S_KT,
    S_LO_1,
    S_LO_2,
    S_MU,
    S_P,
    S_SIN,
    S_X,
    S_Y,
    S_Z,
    STRIPS,
    T_BODY,
    T_BRAKED,
    T_CHI,
    T_CT,
    T_IW,
    T_KT,
    T_MU,
    T_R,
    T_W,
    T_X,
    T_Y,
    T_Z,
    Floats,
    Memory,
    Plant,
)
from tipline.kernels.tyre import FLATTEST, bristle, spin, strip
from tipline.kernels.vector import (
    add_force,
    back_turned,
    point_velocity,
    quaternion_product,
    relative_rotation_vector,
    rotation,
    turned,
)


def tyre_normal(
    i: int, plant: Plant, position: Floats, rot: Floats, depth: Floats, speed: Floats, on_place: Floats, out: Floats
) -> float:
    """Fill out with one tyre's load, contact point, forces and return its stored energy [J].

    speed (6, 6) may be zeros. out: load, edge force ahead and to the left, damping part of the load, contact x, y, z, heading x, y, upright, compression, power lost.
    """
    tyre = plant.tyre[i]
    b = int(tyre[T_BODY])
    r = rot[b]
    hx, hy, hz = turned(r, tyre[T_X], tyre[T_Y], tyre[T_Z])
    ax, ay, az = r[0, 1], r[1, 1], r[2, 1]
    upright = sqrt(max(0.0, 1.0 - az * az))
    out[:] = 0.0
    if upright < FLATTEST:
        return 0.0
    out[9] = upright
    ex, ey = ay / upright, -ax / upright
    dx, dy = -az * ax / upright, -az * ay / upright
    load, energy, side_x, side_y = 0.0, 0.0, 0.0, 0.0
    cx, cy, cz, lost, height, excess = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    lever = tyre[T_W] / STRIPS
    for j in range(STRIPS):
        o = (j - (STRIPS - 1) / 2) * lever
        sx, sy, sz = hx + o * ax, hy + o * ay, hz + o * az
        x, y, z = position[b, 0] + sx, position[b, 1] + sy, position[b, 2] + sz
        # places are met where the tread meets the floor's top, which a leaning wheel carries aside of its hub
        reach = z / upright
        force, u, lx, ly, along, level = strip(
            tyre, x - reach * dx, y - reach * dy, z, ex, ey, upright, plant.place, depth, on_place
        )
        if force <= 0.0:
            continue
        h = (z - level) / upright
        rate = -point_velocity(speed[b], sx - h * dx, sy - h * dy, sz - h * upright)[2] / upright
        force = max(0.0, force - (lx * dx + ly * dy) / upright)
        damped = force * max(0.0, 1.0 + tyre[T_CHI] * rate)
        lost += (damped - force) * rate * upright
        excess += damped - force
        load += damped
        energy += u
        side_x += lx
        side_y += ly
        height += damped * h
        cx += damped * (x - h * dx + along * ex)
        cy += damped * (y - h * dy + along * ey)
        cz += damped * level
    if load <= 0.0:
        return energy
    h = height / load
    out[0], out[1], out[2], out[3] = load, side_x * ex + side_y * ey, -side_x * ey + side_y * ex, excess
    out[4], out[5], out[6] = cx / load, cy / load, cz / load
    out[7], out[8], out[9], out[10], out[11] = ex, ey, upright, tyre[T_R] - h, lost
    return energy


def apply_tyre(
    b: int,
    r: Floats,
    position: Floats,
    wrench: Floats,
    lossy: Floats,
    out: Floats,
    hub: tuple[float, float, float],
    drag: float,
    side: float,
) -> None:
    """Add one tyre's forces to its carrier: load and side at the contact, drag at hub height."""
    ex, ey = out[7], out[8]
    px, py, pz = out[4] - position[b, 0], out[5] - position[b, 1], out[6] - position[b, 2]
    # the load acts straight below the hub: its lever ahead turns the wheel, not the truck
    along = (px - hub[0]) * ex + (py - hub[1]) * ey
    px, py = px - along * ex, py - along * ey
    tx, ty = -ey, ex
    aside, pull = side + out[2], drag + out[1]
    add_force(wrench, b, px, py, pz, aside * tx, aside * ty, out[0])
    add_force(wrench, b, px, py, hub[2], pull * ex, pull * ey, 0.0)
    add_force(lossy, b, px, py, pz, side * tx, side * ty, out[3])
    add_force(lossy, b, px, py, hub[2], drag * ex, drag * ey, 0.0)


def tyres(
    k: int,
    dt: float,
    plant: Plant,
    cmd: Floats,
    mem: Memory,
    position: Floats,
    rot: Floats,
    speed: Floats,
    wrench: Floats,
    row: Floats,
) -> float:
    """Do all tyres of a step and the places under them; return their stored energy [J]."""
    n, m = plant.tyre.shape[0], plant.place.shape[0]
    out, on_place = np.zeros(12), np.zeros(m)
    place_force, place_area, place_slope = np.zeros(m), np.zeros(m), np.zeros(m)
    stored = 0.0
    for i in range(n):
        tyre = plant.tyre[i]
        b = int(tyre[T_BODY])
        r = rot[b]
        on_place[:] = 0.0
        energy = tyre_normal(i, plant, position, rot, mem.depth, speed, on_place, out)
        load, e = out[0], i * N_TYRE_RECORD
        hub = turned(r, tyre[T_X], tyre[T_Y], tyre[T_Z])
        ex, ey = out[7], out[8]
        v = point_velocity(speed[b], hub[0], hub[1], hub[2])
        px, py, pz = out[4] - position[b, 0], out[5] - position[b, 1], out[6] - position[b, 2]
        lever = tyre[T_R] - out[10]
        along, across = 0.0, 0.0
        if load > 0.0:
            c = point_velocity(speed[b], px, py, pz)
            along = v[0] * ex + v[1] * ey - mem.spin[i] * lever
            across = -c[0] * ey + c[1] * ex
        drag, side, bx, by, rubbed = bristle(
            mem.bristle[i, 0], mem.bristle[i, 1], along, across, dt, load, tyre[T_MU], tyre[T_KT], tyre[T_CT]
        )
        mem.bristle[i, 0], mem.bristle[i, 1] = bx, by
        drive = tyre[T_BRAKED] * cmd[k, K_DRIVE]
        # brake and drive act between wheel and truck: a truck that pitches on locked wheels takes them along
        carried = speed[b, 3] * r[0, 1] + speed[b, 4] * r[1, 1] + speed[b, 5] * r[2, 1]
        w0 = mem.spin[i]
        w1, held = spin(w0, carried, tyre[T_IW], -drag * lever, drive, tyre[T_BRAKED] * cmd[k, K_BRAKE], dt)
        mem.spin[i] = w1
        turned_by = (0.5 * (w0 + w1) - carried) * dt
        mem.energy[E_WORK] += drive * turned_by
        mem.energy[E_DISSIPATED] += rubbed + out[11] * dt - held * turned_by + 0.5 * drag * lever * (w1 - w0) * dt
        mem.energy[E_KINETIC] += 0.5 * tyre[T_IW] * w1 * w1
        for j in range(3):
            wrench[b, 3 + j] -= (drive + held) * r[j, 1]
            mem.lossy[b, 3 + j] -= (drive + held) * r[j, 1]
        if load > 0.0:
            apply_tyre(b, r, position, wrench, mem.lossy, out, hub, drag, side)
            compression = max(out[10], 1e-6)
            for j in range(m):
                if on_place[j] > 0.0:
                    place_force[j] += on_place[j]
                    place_area[j] += on_place[j] / load * 2.0 * tyre[T_W] * sqrt(2.0 * tyre[T_R] * compression)
                    place_slope[j] += 1.5 * on_place[j] / compression
        elif out[9] == 0.0:  # lies on its side: what the tread still held is lost
            mem.energy[E_DISSIPATED] += mem.tyre_energy[i]
        mem.tyre_energy[i] = energy
        stored += energy + 0.5 * tyre[T_KT] * (bx * bx + by * by)
        row[e + R_LOAD], row[e + R_DRAG], row[e + R_SIDE] = load, drag + out[1], side + out[2]
        row[e + R_COMPRESSION], row[e + R_SPIN] = max(out[10], 0.0), w1
        row[e + R_CX], row[e + R_CY], row[e + R_CZ] = out[4], out[5], out[6]
    sink(dt, plant, cmd[k], mem, place_force, place_area, place_slope)
    return stored


def sink(dt: float, plant: Plant, now: Floats, mem: Memory, force: Floats, area: Floats, slope: Floats) -> None:
    """Let every yielding place sink under its tyres for one step."""
    for j in range(plant.place.shape[0]):
        place = plant.place[j]
        if place[P_LAW] != LAW_YIELDING or now[K_PLACE + j] >= 0.0:
            continue
        before = mem.depth[j]
        if before == 0.0:
            mem.depth[j] = 1e-6
            continue
        mem.depth[j] = soil_depth(
            before, force[j], area[j], slope[j], place[P_YIELD], place[P_HARDEN], place[P_RATE], place[P_MOST], dt
        )
        mem.energy[E_FLOOR] += force[j] * (mem.depth[j] - before)


def given_depths(plant: Plant, now: Floats, mem: Memory, position: Floats, rot: Floats, still: Floats) -> None:
    """Set the commanded depth of places; what the tyres lose by it goes to the floor's account."""
    m = plant.place.shape[0]
    changed = False
    for j in range(m):
        if now[K_PLACE + j] >= 0.0 and now[K_PLACE + j] != mem.depth[j]:
            changed = True
    if not changed:
        return
    out, on_place = np.zeros(12), np.zeros(m)
    for i in range(plant.tyre.shape[0]):
        mem.energy[E_FLOOR] += tyre_normal(i, plant, position, rot, mem.depth, still, on_place, out)
    for j in range(m):
        if now[K_PLACE + j] >= 0.0:
            mem.depth[j] = now[K_PLACE + j]
    for i in range(plant.tyre.shape[0]):
        mem.energy[E_FLOOR] -= tyre_normal(i, plant, position, rot, mem.depth, still, on_place, out)


def axle_and_mast(
    k: int, dt: float, plant: Plant, cmd: Floats, mem: Memory, rot: Floats, speed: Floats, wrench: Floats, row: Floats
) -> float:
    """Add the axle's stop or spring and the mast joint; return their stored energy [J]."""
    r = rot[CHASSIS]
    a, m = plant.axle, plant.mast
    angle = relative_rotation_vector(r, rot[AXLE])[0]
    wx, wy, wz = (
        speed[AXLE, 3] - speed[CHASSIS, 3],
        speed[AXLE, 4] - speed[CHASSIS, 4],
        speed[AXLE, 5] - speed[CHASSIS, 5],
    )
    rate = back_turned(r, wx, wy, wz)[0]
    torque, stored = axle_torque(angle, rate, a[A_STOP], a[A_K], a[A_C], a[A_PULLS])
    elastic, _ = axle_torque(angle, 0.0, a[A_STOP], a[A_K], a[A_C], a[A_PULLS])
    mem.energy[E_DISSIPATED] -= (torque - elastic) * rate * dt
    for j in range(3):
        wrench[AXLE, 3 + j] += torque * r[j, 0]
        wrench[CHASSIS, 3 + j] -= torque * r[j, 0]
        mem.lossy[AXLE, 3 + j] += (torque - elastic) * r[j, 0]
        mem.lossy[CHASSIS, 3 + j] -= (torque - elastic) * r[j, 0]
    row[R_AXLE], row[R_AXLE_TORQUE] = angle, torque
    turn = 0.0 if k + 1 >= cmd.shape[0] else (cmd[k + 1, K_TILT] - cmd[k, K_TILT]) / dt
    px, py, pz = relative_rotation_vector(r, rot[MAST])
    wx, wy, wz = (
        speed[MAST, 3] - speed[CHASSIS, 3],
        speed[MAST, 4] - speed[CHASSIS, 4],
        speed[MAST, 5] - speed[CHASSIS, 5],
    )
    ux, uy, uz = back_turned(r, wx, wy, wz)
    py, uy = py - cmd[k, K_TILT], uy - turn
    tx, ex = play_spring(px, ux, m[M_PX], m[M_KX], m[M_DX])
    ty, ey = play_spring(py, uy, m[M_PY], m[M_KY], m[M_DY])
    tz, ez = play_spring(pz, uz, m[M_PZ], m[M_KZ], m[M_DZ])
    mem.energy[E_DISSIPATED] += (m[M_DX] * ux * ux + m[M_DY] * uy * uy + m[M_DZ] * uz * uz) * dt
    mem.energy[E_WORK] -= ty * turn * dt
    lx, ly, lz = turned(r, -m[M_DX] * ux, -m[M_DY] * uy, -m[M_DZ] * uz)
    mem.lossy[MAST, 3], mem.lossy[MAST, 4], mem.lossy[MAST, 5] = lx, ly, lz
    mem.lossy[CHASSIS, 3] -= lx
    mem.lossy[CHASSIS, 4] -= ly
    mem.lossy[CHASSIS, 5] -= lz
    gx, gy, gz = turned(r, tx, ty, tz)
    wrench[MAST, 3], wrench[MAST, 4], wrench[MAST, 5] = wrench[MAST, 3] + gx, wrench[MAST, 4] + gy, wrench[MAST, 5] + gz
    wrench[CHASSIS, 3] -= gx
    wrench[CHASSIS, 4] -= gy
    wrench[CHASSIS, 5] -= gz
    row[R_MAST_X], row[R_MAST_Y], row[R_MAST_Z] = px, py, pz
    row[R_MAST_TX], row[R_MAST_TY], row[R_MAST_TZ] = tx, ty, tz
    return stored + ex + ey + ez


def chain_and_slide(
    k: int,
    dt: float,
    plant: Plant,
    cmd: Floats,
    mem: Memory,
    position: Floats,
    rot: Floats,
    speed: Floats,
    wrench: Floats,
    row: Floats,
) -> float:
    """Add the lift chain, which only pulls, and the counterweight's slide; return their stored energy [J]."""
    link, last = plant.link, k + 1 >= cmd.shape[0]
    r = rot[MAST]
    x, y, z = (
        position[CARRIAGE, 0] - position[MAST, 0],
        position[CARRIAGE, 1] - position[MAST, 1],
        position[CARRIAGE, 2] - position[MAST, 2],
    )
    ax, ay, az = turned(r, link[L_UX], 0.0, link[L_UZ])
    lift = x * ax + y * ay + z * az - link[L_CX] * link[L_UX] - link[L_CZ] * link[L_UZ]
    v = point_velocity(speed[MAST], x, y, z)
    along = (speed[CARRIAGE, 0] - v[0]) * ax + (speed[CARRIAGE, 1] - v[1]) * ay + (speed[CARRIAGE, 2] - v[2]) * az
    pull = 0.0 if last else (cmd[k + 1, K_LIFT] - cmd[k, K_LIFT]) / dt
    tension, stored = pull_only(cmd[k, K_LIFT] - lift, pull - along, link[L_CH_K], link[L_CH_C])
    elastic = link[L_CH_K] * max(0.0, cmd[k, K_LIFT] - lift)
    mem.energy[E_DISSIPATED] += (tension - elastic) * (pull - along) * dt
    mem.energy[E_WORK] += tension * pull * dt
    add_force(wrench, CARRIAGE, 0.0, 0.0, 0.0, tension * ax, tension * ay, tension * az)
    add_force(wrench, MAST, x, y, z, -tension * ax, -tension * ay, -tension * az)
    damped = tension - elastic
    add_force(mem.lossy, CARRIAGE, 0.0, 0.0, 0.0, damped * ax, damped * ay, damped * az)
    add_force(mem.lossy, MAST, x, y, z, -damped * ax, -damped * ay, -damped * az)
    row[R_CHAIN], row[R_LIFT] = tension, lift
    if plant.mass[COUNTERWEIGHT] == 0.0:
        return stored
    r = rot[CHASSIS]
    x, y, z = (
        position[COUNTERWEIGHT, 0] - position[CHASSIS, 0],
        position[COUNTERWEIGHT, 1] - position[CHASSIS, 1],
        position[COUNTERWEIGHT, 2] - position[CHASSIS, 2],
    )
    ax, ay, az = -r[0, 0], -r[1, 0], -r[2, 0]
    out = x * ax + y * ay + z * az + link[L_SX]
    v = point_velocity(speed[CHASSIS], x, y, z)
    along = (
        (speed[COUNTERWEIGHT, 0] - v[0]) * ax
        + (speed[COUNTERWEIGHT, 1] - v[1]) * ay
        + (speed[COUNTERWEIGHT, 2] - v[2]) * az
    )
    push = 0.0 if last else (cmd[k + 1, K_SLIDE] - cmd[k, K_SLIDE]) / dt
    gap = cmd[k, K_SLIDE] - out
    force = link[L_SL_K] * gap + link[L_SL_C] * (push - along)
    mem.energy[E_DISSIPATED] += link[L_SL_C] * (push - along) ** 2 * dt
    mem.energy[E_WORK] += force * push * dt
    add_force(wrench, COUNTERWEIGHT, 0.0, 0.0, 0.0, force * ax, force * ay, force * az)
    add_force(wrench, CHASSIS, x, y, z, -force * ax, -force * ay, -force * az)
    damped = link[L_SL_C] * (push - along)
    add_force(mem.lossy, COUNTERWEIGHT, 0.0, 0.0, 0.0, damped * ax, damped * ay, damped * az)
    add_force(mem.lossy, CHASSIS, x, y, z, -damped * ax, -damped * ay, -damped * az)
    return stored + 0.5 * link[L_SL_K] * gap * gap


def rope(
    k: int,
    dt: float,
    plant: Plant,
    cmd: Floats,
    mem: Memory,
    position: Floats,
    rot: Floats,
    speed: Floats,
    wrench: Floats,
    row: Floats,
) -> float:
    """Add the rope between hook and lifted load, which only pulls; return its stored energy [J]."""
    link = plant.link
    row[R_ROPE] = 0.0
    if (
        plant.mass[LOAD] == 0.0
        or link[L_RO_K] == 0.0
        or (cmd[k, K_HELD] == 0.0 and (k == 0 or cmd[k - 1, K_HELD] == 0.0))
    ):
        return 0.0
    hx, hy, hz = turned(rot[CARRIAGE], link[L_HX], link[L_HY], link[L_HZ])
    tx, ty, tz = turned(rot[LOAD], link[L_TX], link[L_TY], link[L_TZ])
    x = position[CARRIAGE, 0] + hx - position[LOAD, 0] - tx
    y = position[CARRIAGE, 1] + hy - position[LOAD, 1] - ty
    z = position[CARRIAGE, 2] + hz - position[LOAD, 2] - tz
    size = sqrt(x * x + y * y + z * z)
    if size == 0.0:
        return 0.0
    x, y, z = x / size, y / size, z / size
    vh, vt = point_velocity(speed[CARRIAGE], hx, hy, hz), point_velocity(speed[LOAD], tx, ty, tz)
    wind = 0.0 if k + 1 >= cmd.shape[0] else (cmd[k + 1, K_ROPE] - cmd[k, K_ROPE]) / dt
    stretch = size - cmd[k, K_ROPE]
    rate = (vh[0] - vt[0]) * x + (vh[1] - vt[1]) * y + (vh[2] - vt[2]) * z - wind
    tension, stored = pull_only(stretch, rate, link[L_RO_K], link[L_RO_C])
    if cmd[k, K_HELD] == 0.0:
        mem.energy[E_DISSIPATED] += stored
        return 0.0
    mem.energy[E_DISSIPATED] += (tension - link[L_RO_K] * max(0.0, stretch)) * rate * dt
    mem.energy[E_WORK] -= tension * wind * dt
    add_force(wrench, LOAD, tx, ty, tz, tension * x, tension * y, tension * z)
    add_force(wrench, CARRIAGE, hx, hy, hz, -tension * x, -tension * y, -tension * z)
    damped = tension - link[L_RO_K] * max(0.0, stretch)
    add_force(mem.lossy, LOAD, tx, ty, tz, damped * x, damped * y, damped * z)
    add_force(mem.lossy, CARRIAGE, hx, hy, hz, -damped * x, -damped * y, -damped * z)
    row[R_ROPE] = tension
    return stored


def floor_level(plant: Plant, depth: Floats, x: float, y: float) -> float:
    """Return the level of the floor at a point: 0, or below it inside a place."""
    level = 0.0
    for j in range(plant.place.shape[0]):
        if depth[j] > 0.0:
            dx, dy = x - plant.place[j, P_X], y - plant.place[j, P_Y]
            u = plant.place[j, P_COS] * dx + plant.place[j, P_SIN] * dy
            v = -plant.place[j, P_SIN] * dx + plant.place[j, P_COS] * dy
            if abs(u) < plant.place[j, P_HX] and abs(v) < plant.place[j, P_HY]:
                level = min(level, -depth[j])
    return level


def body_points(
    dt: float, plant: Plant, mem: Memory, position: Floats, rot: Floats, speed: Floats, wrench: Floats, row: Floats
) -> float:
    """Add the floor's push on body corners (belly, mast, guard, lifted load ...); return the stored energy [J]."""
    stored, total = 0.0, 0.0
    for i in range(plant.point.shape[0]):
        point = plant.point[i]
        b = int(point[C_BODY])
        x, y, z = turned(rot[b], point[C_X], point[C_Y], point[C_Z])
        height = position[b, 2] + z
        v = point_velocity(speed[b], x, y, z)
        if height > 0.0:
            if mem.point_bristle[i, 2] == 1.0:
                mem.energy[E_DISSIPATED] += (
                    0.5 * point[C_KT] * (mem.point_bristle[i, 0] ** 2 + mem.point_bristle[i, 1] ** 2)
                )
            mem.point_bristle[i, :] = 0.0
            continue
        level = floor_level(plant, mem.depth, position[b, 0] + x, position[b, 1] + y)
        if level < 0.0 and height < -0.005:
            mem.point_bristle[i, 2] = 2.0
        elif level == 0.0 and (mem.point_bristle[i, 2] == 2.0 or (mem.point_bristle[i, 2] == 0.0 and height < -0.1)):
            continue  # below an edge: the wall beside it carries no weight
        if height >= level:
            continue
        force, energy = push_only(level - height, -v[2], point[C_K], point[C_CHI])
        elastic = point[C_K] * (level - height)
        if mem.point_bristle[i, 2] == 0.0:
            mem.point_bristle[i, 2] = 1.0
        fx, fy, bx, by, rubbed = bristle(
            mem.point_bristle[i, 0],
            mem.point_bristle[i, 1],
            v[0],
            v[1],
            dt,
            force,
            point[C_MU],
            point[C_KT],
            point[C_CT],
        )
        mem.point_bristle[i, 0], mem.point_bristle[i, 1] = bx, by
        mem.energy[E_DISSIPATED] += rubbed - (force - elastic) * v[2] * dt
        add_force(mem.lossy, b, x, y, z, fx, fy, force - elastic)
        add_force(wrench, b, x, y, z, fx, fy, force)
        stored += energy + 0.5 * point[C_KT] * (bx * bx + by * by)
        total += force
    row[R_BODY_FORCE] = total
    return stored


def supports(
    dt: float, plant: Plant, mem: Memory, position: Floats, rot: Floats, speed: Floats, wrench: Floats, row: Floats
) -> float:
    """Add the forks' push and friction on a free lifted load; return the stored energy [J]."""
    stored, total = 0.0, 0.0
    for i in range(plant.support.shape[0]):
        s = plant.support[i]
        kind = int(s[S_KIND])
        mine, other = (CARRIAGE, LOAD) if kind == 1 else (LOAD, CARRIAGE)
        px, py, pz = turned(rot[mine], s[S_X], s[S_Y], s[S_Z])
        ox = position[mine, 0] + px - position[other, 0]
        oy = position[mine, 1] + py - position[other, 1]
        oz = position[mine, 2] + pz - position[other, 2]
        lx, ly, lz = back_turned(rot[other], ox, oy, oz)
        lx, lz = s[S_COS] * lx - s[S_SIN] * lz, s[S_SIN] * lx + s[S_COS] * lz
        depth, u, v = s[S_P] - lz, lx, ly
        normal, first, second = 2, 0, 1
        if kind == 1:
            depth = lz - s[S_P]
        elif kind == 2:
            depth, u, v = s[S_P] - lx, ly, lz
            normal, first, second = 0, 1, 2
        outside = u < s[S_LO_1] or u > s[S_HI_1] or v < s[S_LO_2] or v > s[S_HI_2]
        if depth <= 0.0 or depth > 0.08 or outside:
            mem.energy[E_DISSIPATED] += (
                0.5 * s[S_KT] * (mem.support_bristle[i, 0] ** 2 + mem.support_bristle[i, 1] ** 2)
            )
            mem.support_bristle[i, 0] = mem.support_bristle[i, 1] = 0.0
            continue
        sign = -1.0 if kind == 1 else 1.0
        a = point_velocity(speed[mine], px, py, pz)
        c = point_velocity(speed[other], ox, oy, oz)
        wx, wy, wz = a[0] - c[0], a[1] - c[1], a[2] - c[2]
        q = rot[other].copy()
        for j in range(3):
            q[j, 0] = s[S_COS] * rot[other][j, 0] - s[S_SIN] * rot[other][j, 2]
            q[j, 2] = s[S_SIN] * rot[other][j, 0] + s[S_COS] * rot[other][j, 2]
        vn = sign * (wx * q[0, normal] + wy * q[1, normal] + wz * q[2, normal])
        v1 = wx * q[0, first] + wy * q[1, first] + wz * q[2, first]
        v2 = wx * q[0, second] + wy * q[1, second] + wz * q[2, second]
        force, energy = push_only(depth, -vn, s[S_K], s[S_CHI])
        f1, f2, b1, b2, rubbed = bristle(
            mem.support_bristle[i, 0], mem.support_bristle[i, 1], v1, v2, dt, force, s[S_MU], s[S_KT], s[S_CT]
        )
        mem.support_bristle[i, 0], mem.support_bristle[i, 1] = b1, b2
        mem.energy[E_DISSIPATED] += rubbed - (force - s[S_K] * depth) * vn * dt
        n = sign * force
        fx = n * q[0, normal] + f1 * q[0, first] + f2 * q[0, second]
        fy = n * q[1, normal] + f1 * q[1, first] + f2 * q[1, second]
        fz = n * q[2, normal] + f1 * q[2, first] + f2 * q[2, second]
        add_force(wrench, mine, px, py, pz, fx, fy, fz)
        add_force(wrench, other, ox, oy, oz, -fx, -fy, -fz)
        n = sign * (force - s[S_K] * depth)
        fx = n * q[0, normal] + f1 * q[0, first] + f2 * q[0, second]
        fy = n * q[1, normal] + f1 * q[1, first] + f2 * q[1, second]
        fz = n * q[2, normal] + f1 * q[2, first] + f2 * q[2, second]
        add_force(mem.lossy, mine, px, py, pz, fx, fy, fz)
        add_force(mem.lossy, other, ox, oy, oz, -fx, -fy, -fz)
        stored += energy + 0.5 * s[S_KT] * (b1 * b1 + b2 * b2)
        total += force
    row[R_SUPPORT] = total
    return stored


def pushes(
    k: int, dt: float, plant: Plant, cmd: Floats, mem: Memory, rot: Floats, speed: Floats, wrench: Floats
) -> None:
    """Add commanded outside forces (wind, side push) and book their work."""
    column = K_PLACE + plant.place.shape[0]
    for i in range(plant.push.shape[0]):
        fx, fy, fz = cmd[k, column], cmd[k, column + 1], cmd[k, column + 2]
        column += 3
        b = int(plant.push[i, 0])
        x, y, z = turned(rot[b], plant.push[i, 1], plant.push[i, 2], plant.push[i, 3])
        v = point_velocity(speed[b], x, y, z)
        mem.energy[E_WORK] += (fx * v[0] + fy * v[1] + fz * v[2]) * dt
        add_force(wrench, b, x, y, z, fx, fy, fz)


def bodies(
    k: int,
    dt: float,
    raw: Floats,
    plant: Plant,
    cmd: Floats,
    mem: Memory,
    position: Floats,
    rot: Floats,
    speed: Floats,
    row: Floats,
) -> None:
    """Unpack the engine's states into position, rotation and speed, record them, and book kinetic energy and gravity."""
    now, q = cmd[k], np.empty(4)
    kinetic, height, turning = 0.0, 0.0, 0.0
    for b in range(N_BODY):
        if plant.mass[b] == 0.0:
            continue
        quaternion_product(raw[b, 3:7], plant.frame[b], q)
        rotation(q, rot[b])
        for j in range(3):
            position[b, j] = raw[b, j]
            speed[b, j], speed[b, 3 + j] = raw[b, 7 + j], raw[b, 10 + j]
            row[13 * b + j] = raw[b, j]
            row[13 * b + 7 + j], row[13 * b + 10 + j] = raw[b, 7 + j], raw[b, 10 + j]
            height -= plant.mass[b] * now[K_GX + j] * raw[b, j]
            turning -= plant.mass[b] * (now[K_GX + j] - mem.gravity[j]) * raw[b, j]
        for j in range(4):
            row[13 * b + 3 + j] = q[j]
        wx, wy, wz = back_turned(rot[b], speed[b, 3], speed[b, 4], speed[b, 5])
        sx, sy, sz = turned(plant.inertia[b], wx, wy, wz)
        kinetic += 0.5 * plant.mass[b] * (speed[b, 0] ** 2 + speed[b, 1] ** 2 + speed[b, 2] ** 2)
        kinetic += 0.5 * (wx * sx + wy * sy + wz * sz)
    if k > 0:
        mem.energy[E_WORK] += turning
        # a step's force acts along the mean of the speeds before and after it; its loss was booked with the first alone
        for b in range(N_BODY):
            if plant.mass[b] > 0.0:
                for j in range(6):
                    mem.energy[E_DISSIPATED] -= 0.5 * mem.lossy[b, j] * (speed[b, j] - mem.speed[b, j]) * dt
    mem.lossy[:, :] = 0.0
    mem.speed[:, :] = speed
    mem.gravity[0], mem.gravity[1], mem.gravity[2] = now[K_GX], now[K_GY], now[K_GZ]
    mem.energy[E_KINETIC] = kinetic
    mem.energy[E_GRAVITY] = height


def step(k: int, dt: float, raw: Floats, plant: Plant, cmd: Floats, mem: Memory, wrench: Floats, rec: Floats) -> None:
    """Do step k: read raw (6, 13), fill wrench (6, 6) without gravity, update mem, write rec[k].

    raw rows: centre, quaternion xyzw of the engine's own frame, velocity, angular velocity (world).
    wrench rows: force [N] and torque about the centre [N m] (world).
    """
    n, m = plant.tyre.shape[0], plant.place.shape[0]
    position, rot, speed, still = (
        np.zeros((N_BODY, 3)),
        np.zeros((N_BODY, 3, 3)),
        np.zeros((N_BODY, 6)),
        np.zeros((N_BODY, 6)),
    )
    wrench[:, :] = 0.0
    row = rec[k]
    row[0] = k * dt
    bodies(k, dt, raw, plant, cmd, mem, position, rot, speed, row[1:])
    one = 1 + 13 * N_BODY + N_TYRE_RECORD * n
    single = row[one:]
    if m > 0:
        given_depths(plant, cmd[k], mem, position, rot, still)
    spinning = mem.energy[E_KINETIC]
    stored = tyres(k, dt, plant, cmd, mem, position, rot, speed, wrench, row[1 + 13 * N_BODY :])
    rolling = mem.energy[E_KINETIC] - spinning
    stored += axle_and_mast(k, dt, plant, cmd, mem, rot, speed, wrench, single)
    stored += chain_and_slide(k, dt, plant, cmd, mem, position, rot, speed, wrench, single)
    stored += rope(k, dt, plant, cmd, mem, position, rot, speed, wrench, single)
    stored += body_points(dt, plant, mem, position, rot, speed, wrench, single)
    if plant.support.shape[0] > 0:
        stored += supports(dt, plant, mem, position, rot, speed, wrench, single)
    pushes(k, dt, plant, cmd, mem, rot, speed, wrench)
    mem.energy[E_KINETIC] = spinning + rolling
    mem.energy[E_ELASTIC] = stored
    for j in range(m):
        row[one + N_SINGLE + j] = mem.depth[j]
    for j in range(6):
        row[one + N_SINGLE + m + j] = mem.energy[j]
