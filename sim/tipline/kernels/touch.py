"""Where bodies touch the floor in one step, by their corners.

Source: [HuntCrossley1975] (damped contact, from memory), [DupontEtAl2002] (friction, from memory)
"""

from math import sqrt

from tipline.kernels import layout as at
from tipline.kernels.joints import push_only
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.ramp import grade, highest, rise
from tipline.kernels.tyre import bristle
from tipline.kernels.vector import add_force, point_velocity, turned

FASTER = 5.0
"""Speed [m/s] that a body may gain between two looks at what it is to meet (our choice: more than a fall gives)."""
LONGEST = 0.05
"""Longest time [s] between two looks (our choice)."""
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
    stored, total, under_load, again = 0.0, 0.0, 0.0, plant.pair.shape[0] + 2
    # the corner that may be down first: how high it is, and at most how fast; divided once, not for each
    near, fast, of, going, turning = LONGEST, 1.0, -1, 0.0, 0.0
    row[at.R_BODY_FORCE] = row[at.R_LOAD_FLOOR] = 0.0
    mem.wait[again] -= dt
    if mem.wait[again] > 0.0:
        return 0.0
    for i in range(plant.point.shape[0]):
        point = plant.point[i]
        b = int(point[at.C_BODY])
        if b != of:
            of, going, turning = b, moves(speed[b]), turns(speed[b])
        most = going + point[at.C_ARM] * turning + FASTER
        crest, slope_x, slope_y = 0.0, 0.0, 0.0
        if plant.ramp.shape[0] > 0:
            crest = highest(plant.ramp[0], position[b, 0], position[b, 1], point[at.C_ARM])
        if position[b, 2] - crest > point[at.C_ARM] and mem.point_bristle[i, 2] == 0.0:
            if (position[b, 2] - crest - point[at.C_ARM]) * fast < near * most:
                near, fast = position[b, 2] - crest - point[at.C_ARM], most
            continue
        r = rot[b]
        height = position[b, 2] + r[2, 0] * point[at.C_X] + r[2, 1] * point[at.C_Y] + r[2, 2] * point[at.C_Z]
        if plant.ramp.shape[0] > 0:
            x, y, _ = turned(r, point[at.C_X], point[at.C_Y], point[at.C_Z])
            height -= rise(plant.ramp[0], position[b, 0] + x, position[b, 1] + y)
            steep = grade(plant.ramp[0], position[b, 0] + x, position[b, 1] + y)
            slope_x, slope_y = steep * plant.ramp[0, at.G_COS], steep * plant.ramp[0, at.G_SIN]
        if height * fast < near * most:
            near, fast = max(height, 0.0), most
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
        elastic, energy = push_only(level - height, 0.0, point[at.C_K], 0.0)
        damping = min(point[at.C_CHI] * elastic + point[at.C_C], point[at.C_MOST] / dt)
        force = max(0.0, elastic - damping * lifted)
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
    soonest = near / fast
    if plant.ramp.shape[0] > 0:
        soonest = 0.0  # a slope is also come to along the level
    mem.wait[again] = mem.wait[again + 1] = soonest
    return stored


def moves(v: Floats) -> float:
    """Return how fast a body's centre moves [m/s]; v (6,)."""
    return sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2])


def turns(v: Floats) -> float:
    """Return how fast a body turns [rad/s]; v (6,)."""
    return sqrt(v[3] * v[3] + v[4] * v[4] + v[5] * v[5])
