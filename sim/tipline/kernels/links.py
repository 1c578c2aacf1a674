"""What holds the bodies together in one step: axle stop or spring, mast joint, chain, slide, rope.

Source: [TextbookMechanics]
"""

from math import sqrt

from tipline.kernels import layout as at
from tipline.kernels.joints import axle_torque, play_spring, pull_only, push_only, stop_of
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.vector import add_force, back_turned, point_velocity, relative_rotation_vector, turned


def axle_and_mast(
    k: int, dt: float, plant: Plant, cmd: Floats, mem: Memory, rot: Floats, speed: Floats, wrench: Floats, row: Floats
) -> float:
    """Add the axle's stop or spring and the mast joint; return their stored energy [J]."""
    r = rot[at.CHASSIS]
    a, m = plant.axle, plant.mast
    angle = relative_rotation_vector(r, rot[at.AXLE])[0]
    wx, wy, wz = (
        speed[at.AXLE, 3] - speed[at.CHASSIS, 3],
        speed[at.AXLE, 4] - speed[at.CHASSIS, 4],
        speed[at.AXLE, 5] - speed[at.CHASSIS, 5],
    )
    rate = back_turned(r, wx, wy, wz)[0]
    stop = stop_of(a, angle)
    torque, stored = axle_torque(angle, rate, stop, a[at.A_K], a[at.A_C], a[at.A_PULLS])
    elastic, _ = axle_torque(angle, 0.0, stop, a[at.A_K], a[at.A_C], a[at.A_PULLS])
    torque -= a[at.A_PIN] * rate
    mem.energy[at.E_DISSIPATED] -= (torque - elastic) * rate * dt
    for j in range(3):
        wrench[at.AXLE, 3 + j] += torque * r[j, 0]
        wrench[at.CHASSIS, 3 + j] -= torque * r[j, 0]
        mem.lossy[at.AXLE, 3 + j] += (torque - elastic) * r[j, 0]
        mem.lossy[at.CHASSIS, 3 + j] -= (torque - elastic) * r[j, 0]
    row[at.R_AXLE], row[at.R_AXLE_TORQUE] = angle, torque
    turn = 0.0 if k + 1 >= cmd.shape[0] else (cmd[k + 1, at.K_TILT] - cmd[k, at.K_TILT]) / dt
    px, py, pz = relative_rotation_vector(r, rot[at.MAST])
    wx, wy, wz = (
        speed[at.MAST, 3] - speed[at.CHASSIS, 3],
        speed[at.MAST, 4] - speed[at.CHASSIS, 4],
        speed[at.MAST, 5] - speed[at.CHASSIS, 5],
    )
    ux, uy, uz = back_turned(r, wx, wy, wz)
    py, uy = py - cmd[k, at.K_TILT], uy - turn
    tx, ex = play_spring(px, ux, m[at.M_PX], m[at.M_KX], m[at.M_DX])
    ty, ey = play_spring(py, uy, m[at.M_PY], m[at.M_KY], m[at.M_DY])
    tz, ez = play_spring(pz, uz, m[at.M_PZ], m[at.M_KZ], m[at.M_DZ])
    mem.energy[at.E_DISSIPATED] += (m[at.M_DX] * ux * ux + m[at.M_DY] * uy * uy + m[at.M_DZ] * uz * uz) * dt
    mem.energy[at.E_WORK] += ty * turn * dt
    lx, ly, lz = turned(r, -m[at.M_DX] * ux, -m[at.M_DY] * uy, -m[at.M_DZ] * uz)
    mem.lossy[at.MAST, 3], mem.lossy[at.MAST, 4], mem.lossy[at.MAST, 5] = lx, ly, lz
    mem.lossy[at.CHASSIS, 3] -= lx
    mem.lossy[at.CHASSIS, 4] -= ly
    mem.lossy[at.CHASSIS, 5] -= lz
    gx, gy, gz = turned(r, tx, ty, tz)
    wrench[at.MAST, 3], wrench[at.MAST, 4], wrench[at.MAST, 5] = (
        wrench[at.MAST, 3] + gx,
        wrench[at.MAST, 4] + gy,
        wrench[at.MAST, 5] + gz,
    )
    wrench[at.CHASSIS, 3] -= gx
    wrench[at.CHASSIS, 4] -= gy
    wrench[at.CHASSIS, 5] -= gz
    row[at.R_MAST_X], row[at.R_MAST_Y], row[at.R_MAST_Z] = px, py, pz
    row[at.R_MAST_TX], row[at.R_MAST_TY], row[at.R_MAST_TZ] = tx, ty, tz
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
    r = rot[at.MAST]
    x, y, z = (
        position[at.CARRIAGE, 0] - position[at.MAST, 0],
        position[at.CARRIAGE, 1] - position[at.MAST, 1],
        position[at.CARRIAGE, 2] - position[at.MAST, 2],
    )
    ax, ay, az = turned(r, link[at.L_UX], 0.0, link[at.L_UZ])
    lift = x * ax + y * ay + z * az - link[at.L_CX] * link[at.L_UX] - link[at.L_CZ] * link[at.L_UZ]
    v = point_velocity(speed[at.MAST], x, y, z)
    along = (
        (speed[at.CARRIAGE, 0] - v[0]) * ax + (speed[at.CARRIAGE, 1] - v[1]) * ay + (speed[at.CARRIAGE, 2] - v[2]) * az
    )
    pull = 0.0 if last else (cmd[k + 1, at.K_LIFT] - cmd[k, at.K_LIFT]) / dt
    tension, stored = pull_only(cmd[k, at.K_LIFT] - lift, pull - along, link[at.L_CH_K], link[at.L_CH_C])
    elastic = link[at.L_CH_K] * max(0.0, cmd[k, at.K_LIFT] - lift)
    mem.energy[at.E_DISSIPATED] += (tension - elastic) * (pull - along) * dt
    mem.energy[at.E_WORK] += tension * pull * dt
    # end stops of the mast push the carriage back, as stiff as the chain
    top, top_stored = push_only(lift - link[at.L_TOP], along, link[at.L_CH_K], 0.5)
    foot, foot_stored = push_only(link[at.L_FOOT] - lift, -along, link[at.L_CH_K], 0.5)
    held = foot - top
    firm = link[at.L_CH_K] * (max(0.0, link[at.L_FOOT] - lift) - max(0.0, lift - link[at.L_TOP]))
    stored += top_stored + foot_stored
    mem.energy[at.E_DISSIPATED] -= (held - firm) * along * dt
    add_force(wrench, at.CARRIAGE, 0.0, 0.0, 0.0, held * ax, held * ay, held * az)
    add_force(wrench, at.MAST, x, y, z, -held * ax, -held * ay, -held * az)
    lost = held - firm
    add_force(mem.lossy, at.CARRIAGE, 0.0, 0.0, 0.0, lost * ax, lost * ay, lost * az)
    add_force(mem.lossy, at.MAST, x, y, z, -lost * ax, -lost * ay, -lost * az)
    add_force(wrench, at.CARRIAGE, 0.0, 0.0, 0.0, tension * ax, tension * ay, tension * az)
    add_force(wrench, at.MAST, x, y, z, -tension * ax, -tension * ay, -tension * az)
    damped = tension - elastic
    add_force(mem.lossy, at.CARRIAGE, 0.0, 0.0, 0.0, damped * ax, damped * ay, damped * az)
    add_force(mem.lossy, at.MAST, x, y, z, -damped * ax, -damped * ay, -damped * az)
    row[at.R_CHAIN], row[at.R_LIFT] = tension, lift
    if plant.mass[at.COUNTERWEIGHT] == 0.0:
        return stored
    r = rot[at.CHASSIS]
    x, y, z = (
        position[at.COUNTERWEIGHT, 0] - position[at.CHASSIS, 0],
        position[at.COUNTERWEIGHT, 1] - position[at.CHASSIS, 1],
        position[at.COUNTERWEIGHT, 2] - position[at.CHASSIS, 2],
    )
    ax, ay, az = -r[0, 0], -r[1, 0], -r[2, 0]
    out = x * ax + y * ay + z * az + link[at.L_SX]
    v = point_velocity(speed[at.CHASSIS], x, y, z)
    along = (
        (speed[at.COUNTERWEIGHT, 0] - v[0]) * ax
        + (speed[at.COUNTERWEIGHT, 1] - v[1]) * ay
        + (speed[at.COUNTERWEIGHT, 2] - v[2]) * az
    )
    push = 0.0 if last else (cmd[k + 1, at.K_SLIDE] - cmd[k, at.K_SLIDE]) / dt
    gap = cmd[k, at.K_SLIDE] - out
    force = link[at.L_SL_K] * gap + link[at.L_SL_C] * (push - along)
    mem.energy[at.E_DISSIPATED] += link[at.L_SL_C] * (push - along) ** 2 * dt
    mem.energy[at.E_WORK] += force * push * dt
    add_force(wrench, at.COUNTERWEIGHT, 0.0, 0.0, 0.0, force * ax, force * ay, force * az)
    add_force(wrench, at.CHASSIS, x, y, z, -force * ax, -force * ay, -force * az)
    damped = link[at.L_SL_C] * (push - along)
    add_force(mem.lossy, at.COUNTERWEIGHT, 0.0, 0.0, 0.0, damped * ax, damped * ay, damped * az)
    add_force(mem.lossy, at.CHASSIS, x, y, z, -damped * ax, -damped * ay, -damped * az)
    bent: float = 0.5 * link[at.L_SL_K] * gap * gap
    return stored + bent


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
    row[at.R_ROPE] = 0.0
    if (
        plant.mass[at.LOAD] == 0.0
        or link[at.L_RO_K] == 0.0
        or (cmd[k, at.K_HELD] == 0.0 and (k == 0 or cmd[k - 1, at.K_HELD] == 0.0))
    ):
        return 0.0
    hx, hy, hz = turned(rot[at.CARRIAGE], link[at.L_HX], link[at.L_HY], link[at.L_HZ])
    tx, ty, tz = turned(rot[at.LOAD], link[at.L_TX], link[at.L_TY], link[at.L_TZ])
    x = position[at.CARRIAGE, 0] + hx - position[at.LOAD, 0] - tx
    y = position[at.CARRIAGE, 1] + hy - position[at.LOAD, 1] - ty
    z = position[at.CARRIAGE, 2] + hz - position[at.LOAD, 2] - tz
    size = sqrt(x * x + y * y + z * z)
    if size == 0.0:
        return 0.0
    x, y, z = x / size, y / size, z / size
    vh, vt = point_velocity(speed[at.CARRIAGE], hx, hy, hz), point_velocity(speed[at.LOAD], tx, ty, tz)
    wind = 0.0 if k + 1 >= cmd.shape[0] else (cmd[k + 1, at.K_ROPE] - cmd[k, at.K_ROPE]) / dt
    stretch = size - cmd[k, at.K_ROPE]
    rate = (vh[0] - vt[0]) * x + (vh[1] - vt[1]) * y + (vh[2] - vt[2]) * z - wind
    tension, stored = pull_only(stretch, rate, link[at.L_RO_K], link[at.L_RO_C])
    if cmd[k, at.K_HELD] == 0.0:
        mem.energy[at.E_DISSIPATED] += stored
        return 0.0
    mem.energy[at.E_DISSIPATED] += (tension - link[at.L_RO_K] * max(0.0, stretch)) * rate * dt
    mem.energy[at.E_WORK] -= tension * wind * dt
    add_force(wrench, at.LOAD, tx, ty, tz, tension * x, tension * y, tension * z)
    add_force(wrench, at.CARRIAGE, hx, hy, hz, -tension * x, -tension * y, -tension * z)
    damped = tension - link[at.L_RO_K] * max(0.0, stretch)
    add_force(mem.lossy, at.LOAD, tx, ty, tz, damped * x, damped * y, damped * z)
    add_force(mem.lossy, at.CARRIAGE, hx, hy, hz, -damped * x, -damped * y, -damped * z)
    row[at.R_ROPE] = tension
    return stored
