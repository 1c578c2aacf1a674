"""All forces of one time step: reads body states, fills wrenches, keeps memory, ledger and record."""

from tipline.kernels import layout as at
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.links import axle_and_mast, chain_and_slide, rope
from tipline.kernels.meeting import meet
from tipline.kernels.touch import body_points
from tipline.kernels.vector import add_force, back_turned, point_velocity, quaternion_product, rotation, turned
from tipline.kernels.wheels import given_depths, steer, tyres


def pushes(
    k: int, dt: float, plant: Plant, cmd: Floats, mem: Memory, rot: Floats, speed: Floats, wrench: Floats
) -> None:
    """Add commanded outside forces (wind, side push) and book their work."""
    column = at.K_PLACE + plant.place.shape[0]
    for i in range(plant.push.shape[0]):
        fx, fy, fz = cmd[k, column], cmd[k, column + 1], cmd[k, column + 2]
        column += 3
        b = int(plant.push[i, 0])
        x, y, z = turned(rot[b], plant.push[i, 1], plant.push[i, 2], plant.push[i, 3])
        v = point_velocity(speed[b], x, y, z)
        mem.energy[at.E_WORK] += (fx * v[0] + fy * v[1] + fz * v[2]) * dt
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
    """Unpack the engine's states into position, rotation and speed, record them, book kinetic energy and gravity."""
    now, q = cmd[k], mem.tyre
    kinetic, height, turning = 0.0, 0.0, 0.0
    for b in range(at.N_BODY):
        if plant.mass[b] == 0.0:
            continue
        quaternion_product(raw[b, 3:7], plant.frame[b], q)
        rotation(q, rot[b])
        for j in range(3):
            position[b, j] = raw[b, j]
            speed[b, j], speed[b, 3 + j] = raw[b, 7 + j], raw[b, 10 + j]
            row[13 * b + j] = raw[b, j]
            row[13 * b + 7 + j], row[13 * b + 10 + j] = raw[b, 7 + j], raw[b, 10 + j]
            height -= plant.mass[b] * now[at.K_GX + j] * raw[b, j]
            turning -= plant.mass[b] * (now[at.K_GX + j] - mem.gravity[j]) * raw[b, j]
        for j in range(4):
            row[13 * b + 3 + j] = q[j]
        wx, wy, wz = back_turned(rot[b], speed[b, 3], speed[b, 4], speed[b, 5])
        sx, sy, sz = turned(plant.inertia[b], wx, wy, wz)
        kinetic += 0.5 * plant.mass[b] * (speed[b, 0] ** 2 + speed[b, 1] ** 2 + speed[b, 2] ** 2)
        kinetic += 0.5 * (wx * sx + wy * sy + wz * sz)
    if k > 0:
        mem.energy[at.E_WORK] += turning
        # a step's force acts along the mean of the speeds before and after it; its loss was booked with the first alone
        for b in range(at.N_BODY):
            if plant.mass[b] > 0.0:
                for j in range(6):
                    mem.energy[at.E_DISSIPATED] -= 0.5 * mem.lossy[b, j] * (speed[b, j] - mem.speed[b, j]) * dt
    mem.lossy[:, :] = 0.0
    for b in range(at.N_BODY):
        for j in range(6):
            mem.speed[b, j] = speed[b, j]
    mem.gravity[0], mem.gravity[1], mem.gravity[2] = now[at.K_GX], now[at.K_GY], now[at.K_GZ]
    mem.energy[at.E_KINETIC] = kinetic
    mem.energy[at.E_GRAVITY] = height


def step(k: int, dt: float, raw: Floats, plant: Plant, cmd: Floats, mem: Memory, wrench: Floats, rec: Floats) -> None:
    """Do `forces` of step k and record it in rec[k]."""
    forces(k, dt, raw, plant, cmd, mem, wrench, rec[k])


def forces(k: int, dt: float, raw: Floats, plant: Plant, cmd: Floats, mem: Memory, wrench: Floats, row: Floats) -> None:
    """Do step k: read raw (6, 13), fill wrench (6, 6) without gravity, update mem, write row.

    raw rows: centre, quaternion xyzw of the engine's own frame, velocity, angular velocity (world).
    wrench rows: force [N] and torque about the centre [N m] (world).
    """
    n, m = plant.tyre.shape[0], plant.place.shape[0]
    position, rot, speed = mem.state, mem.turn, mem.now
    wrench[:, :] = 0.0
    row[0] = k * dt
    bodies(k, dt, raw, plant, cmd, mem, position, rot, speed, row[1:])
    singles = 1 + 13 * at.N_BODY + at.N_TYRE_RECORD * n
    single = row[singles:]
    steer(plant, cmd[k], mem, position, rot)
    if m > 0:
        given_depths(plant, cmd[k], mem, position, rot)
    spinning = mem.energy[at.E_KINETIC]
    stored = tyres(k, dt, plant, cmd, mem, position, rot, speed, wrench, row[1 + 13 * at.N_BODY :])
    rolling = mem.energy[at.E_KINETIC] - spinning
    stored += axle_and_mast(k, dt, plant, cmd, mem, rot, speed, wrench, single)
    stored += chain_and_slide(k, dt, plant, cmd, mem, position, rot, speed, wrench, single)
    stored += rope(k, dt, plant, cmd, mem, position, rot, speed, wrench, single)
    stored += body_points(dt, plant, mem, position, rot, speed, wrench, single)
    if plant.pair.shape[0] > 0:
        stored += meet(dt, plant, mem, position, rot, speed, wrench, single)
    pushes(k, dt, plant, cmd, mem, rot, speed, wrench)
    mem.energy[at.E_KINETIC] = spinning + rolling
    mem.energy[at.E_ELASTIC] = stored
    for j in range(m):
        row[singles + at.N_SINGLE + j] = mem.depth[j]
    for j in range(6):
        row[singles + at.N_SINGLE + m + j] = mem.energy[j]
