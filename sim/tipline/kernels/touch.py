"""Where bodies touch in one step: corners on the floor, and a free load on the forks.

Source: [HuntCrossley1975] (damped contact, from memory), [DupontEtAl2002] (friction, from memory)
"""

from tipline.kernels import layout as at
from tipline.kernels.joints import push_only
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.ramp import grade, highest, rise
from tipline.kernels.tyre import bristle
from tipline.kernels.vector import add_force, back_turned, point_velocity, turned

NOWHERE = -1e3
"""Level of the floor under a point that none carries (numerical) [m]."""
SHALLOW = 0.005
"""How far [m] below the floor's top a corner in a place may be to meet the floor beside it, not the wall: our choice,
as deep as corners of a fallen truck press into a floor."""


def floor_level(plant: Plant, depth: Floats, x: float, y: float) -> float:
    """Return the level of the floor at a point: 0, or below it inside a place; bodies do not meet what stands out."""
    level = 0.0
    for j in range(plant.place.shape[0]):
        if depth[j] > 0.0:
            dx, dy = x - plant.place[j, at.P_X], y - plant.place[j, at.P_Y]
            u = plant.place[j, at.P_COS] * dx + plant.place[j, at.P_SIN] * dy
            v = -plant.place[j, at.P_SIN] * dx + plant.place[j, at.P_COS] * dy
            if abs(u) < plant.place[j, at.P_HX] and abs(v) < plant.place[j, at.P_HY]:
                level = min(level, -depth[j])
    return level


def let_go(mem: Memory, i: int, stiffness: float) -> None:
    """Give up what the friction of a corner holds, in the air or past an edge, and book it as lost."""
    x, y = mem.point_bristle[i, 0], mem.point_bristle[i, 1]
    mem.energy[at.E_DISSIPATED] += 0.5 * stiffness * (x * x + y * y)
    mem.point_bristle[i, 0] = mem.point_bristle[i, 1] = 0.0


def body_points(  # noqa: C901 - one pass over the corners, with what each may meet
    dt: float, plant: Plant, mem: Memory, position: Floats, rot: Floats, speed: Floats, wrench: Floats, row: Floats
) -> float:
    """Add the floor's push on body corners (belly, mast, guard, lifted load ...); return the stored energy [J]."""
    stored, total, under_load = 0.0, 0.0, 0.0
    for i in range(plant.point.shape[0]):
        point = plant.point[i]
        b = int(point[at.C_BODY])
        crest, slope_x, slope_y = 0.0, 0.0, 0.0
        if plant.ramp.shape[0] > 0:
            crest = highest(plant.ramp[0], position[b, 0], position[b, 1], point[at.C_ARM])
        if position[b, 2] - crest > point[at.C_ARM] and mem.point_bristle[i, 2] == 0.0:
            continue
        r = rot[b]
        height = position[b, 2] + r[2, 0] * point[at.C_X] + r[2, 1] * point[at.C_Y] + r[2, 2] * point[at.C_Z]
        if plant.ramp.shape[0] > 0:
            x, y, _ = turned(r, point[at.C_X], point[at.C_Y], point[at.C_Z])
            height -= rise(plant.ramp[0], position[b, 0] + x, position[b, 1] + y)
            steep = grade(plant.ramp[0], position[b, 0] + x, position[b, 1] + y)
            slope_x, slope_y = steep * plant.ramp[0, at.G_COS], steep * plant.ramp[0, at.G_SIN]
        if height > 0.0:
            if mem.point_bristle[i, 2] != 0.0:
                let_go(mem, i, point[at.C_KT])
                mem.point_bristle[i, 2] = mem.point_bristle[i, 3] = 0.0
            continue
        x, y, z = turned(r, point[at.C_X], point[at.C_Y], point[at.C_Z])
        level = floor_level(plant, mem.depth, position[b, 0] + x, position[b, 1] + y)
        state = mem.point_bristle[i, 2]
        before = mem.point_bristle[i, 3] if state > 0.0 else level
        if level < 0.0 and height < -SHALLOW:
            mem.point_bristle[i, 2] = 2.0
        elif level < 0.0 and not 1.0 <= state <= 2.0:
            mem.point_bristle[i, 2] = 3.0
        elif level == 0.0 and state == 3.0:
            mem.point_bristle[i, 2], level = 4.0, height  # the floor beside meets it from where it is, not all at once
        elif level == 0.0 and state == 4.0:
            level = before
        elif level == 0.0 and (state == 2.0 or (state == 0.0 and height < -0.1)):
            level = NOWHERE  # below an edge: the wall beside it carries no weight
        mem.point_bristle[i, 3] = level
        if level != before:  # the floor came up or went down under it
            _, held = push_only(before - height, 0.0, point[at.C_K], 0.0)
            _, holds = push_only(level - height, 0.0, point[at.C_K], 0.0)
            mem.energy[at.E_FLOOR] += held - holds
        if height >= level:
            let_go(mem, i, point[at.C_KT])
            continue
        v = point_velocity(speed[b], x, y, z)
        lifted = v[2] - slope_x * v[0] - slope_y * v[1]
        force, energy = push_only(level - height, -lifted, point[at.C_K], point[at.C_CHI])
        elastic = point[at.C_K] * (level - height)
        if mem.point_bristle[i, 2] == 0.0:
            mem.point_bristle[i, 2] = 1.0
        fx, fy, bx, by, rubbed = bristle(
            mem.point_bristle[i, 0],
            mem.point_bristle[i, 1],
            v[0],
            v[1],
            dt,
            force,
            point[at.C_MU],
            point[at.C_KT],
            point[at.C_CT],
        )
        mem.point_bristle[i, 0], mem.point_bristle[i, 1] = bx, by
        mem.energy[at.E_DISSIPATED] += rubbed - (force - elastic) * lifted * dt
        add_force(mem.lossy, b, x, y, z, fx, fy, force - elastic)
        add_force(wrench, b, x, y, z, fx - slope_x * force, fy - slope_y * force, force)
        stored += energy + 0.5 * point[at.C_KT] * (bx * bx + by * by)
        if b == at.LOAD:
            under_load += force
        else:
            total += force
    row[at.R_BODY_FORCE], row[at.R_LOAD_FLOOR] = total, under_load
    return stored


def supports(
    dt: float, plant: Plant, mem: Memory, position: Floats, rot: Floats, speed: Floats, wrench: Floats, row: Floats
) -> float:
    """Add the forks' push and friction on a free lifted load; return the stored energy [J]."""
    stored, total = 0.0, 0.0
    for i in range(plant.support.shape[0]):
        s = plant.support[i]
        kind = int(s[at.S_KIND])
        mine, other = (at.CARRIAGE, at.LOAD) if kind == 1 else (at.LOAD, at.CARRIAGE)
        px, py, pz = turned(rot[mine], s[at.S_X], s[at.S_Y], s[at.S_Z])
        ox = position[mine, 0] + px - position[other, 0]
        oy = position[mine, 1] + py - position[other, 1]
        oz = position[mine, 2] + pz - position[other, 2]
        lx, ly, lz = back_turned(rot[other], ox, oy, oz)
        lx, lz = s[at.S_COS] * lx - s[at.S_SIN] * lz, s[at.S_SIN] * lx + s[at.S_COS] * lz
        depth, u, v = s[at.S_P] - lz, lx, ly
        normal, first, second = 2, 0, 1
        if kind == 1:
            depth = lz - s[at.S_P]
        elif kind == 2:
            depth, u, v = s[at.S_P] - lx, ly, lz
            normal, first, second = 0, 1, 2
        outside = u < s[at.S_LO_1] or u > s[at.S_HI_1] or v < s[at.S_LO_2] or v > s[at.S_HI_2]
        if depth <= 0.0 or depth > 0.08 or outside:
            mem.energy[at.E_DISSIPATED] += (
                0.5 * s[at.S_KT] * (mem.support_bristle[i, 0] ** 2 + mem.support_bristle[i, 1] ** 2)
            )
            mem.support_bristle[i, 0] = mem.support_bristle[i, 1] = 0.0
            continue
        sign = -1.0 if kind == 1 else 1.0
        a = point_velocity(speed[mine], px, py, pz)
        c = point_velocity(speed[other], ox, oy, oz)
        wx, wy, wz = a[0] - c[0], a[1] - c[1], a[2] - c[2]
        q = mem.axes
        for j in range(3):
            q[j, 1] = rot[other][j, 1]
            q[j, 0] = s[at.S_COS] * rot[other][j, 0] - s[at.S_SIN] * rot[other][j, 2]
            q[j, 2] = s[at.S_SIN] * rot[other][j, 0] + s[at.S_COS] * rot[other][j, 2]
        vn = sign * (wx * q[0, normal] + wy * q[1, normal] + wz * q[2, normal])
        v1 = wx * q[0, first] + wy * q[1, first] + wz * q[2, first]
        v2 = wx * q[0, second] + wy * q[1, second] + wz * q[2, second]
        force, energy = push_only(depth, -vn, s[at.S_K], s[at.S_CHI])
        f1, f2, b1, b2, rubbed = bristle(
            mem.support_bristle[i, 0], mem.support_bristle[i, 1], v1, v2, dt, force, s[at.S_MU], s[at.S_KT], s[at.S_CT]
        )
        mem.support_bristle[i, 0], mem.support_bristle[i, 1] = b1, b2
        mem.energy[at.E_DISSIPATED] += rubbed - (force - s[at.S_K] * depth) * vn * dt
        n = sign * force
        fx = n * q[0, normal] + f1 * q[0, first] + f2 * q[0, second]
        fy = n * q[1, normal] + f1 * q[1, first] + f2 * q[1, second]
        fz = n * q[2, normal] + f1 * q[2, first] + f2 * q[2, second]
        add_force(wrench, mine, px, py, pz, fx, fy, fz)
        add_force(wrench, other, ox, oy, oz, -fx, -fy, -fz)
        n = sign * (force - s[at.S_K] * depth)
        fx = n * q[0, normal] + f1 * q[0, first] + f2 * q[0, second]
        fy = n * q[1, normal] + f1 * q[1, first] + f2 * q[1, second]
        fz = n * q[2, normal] + f1 * q[2, first] + f2 * q[2, second]
        add_force(mem.lossy, mine, px, py, pz, fx, fy, fz)
        add_force(mem.lossy, other, ox, oy, oz, -fx, -fy, -fz)
        stored += energy + 0.5 * s[at.S_KT] * (b1 * b1 + b2 * b2)
        total += force
    row[at.R_SUPPORT] = total
    return stored
