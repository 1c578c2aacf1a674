"""The tyres of one step: loads, friction, wheel spin, and the places on the floor under them.

Source: [TextbookMechanics] (moments on a wheel), [Pacejka2012] (side slip), [KimballLovell1927] (losses a swing), [Own]
(what of a place is whose)

Arrays:

out (14,) [SI]: as in `tyre_normal`
sunk (STRIPS,) [1]: 1 where a strip is down in a place
settled (3, STRIPS) [N, 1, N]: as in `layout.Memory`
bent (2,) [m]: bristles along and across
"""

from math import cos, sqrt

from tipline.endings import RULES
from tipline.kernels import layout as at
from tipline.kernels.ground import BEGUN, bend, ground, is_over, sink, zone_at
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.ramp import ramp_strip, rise, way
from tipline.kernels.strips import strip
from tipline.kernels.tyre import FLATTEST, WEDGED, bristle, spin
from tipline.kernels.vector import add_force, add_torque, point_velocity, turned, wheel_axis

HOLD = 0.15
"""Time in which a drive comes back to its speed on a ramp or in a turn (our choice) [s]."""
GRIPS = 1.2
"""Frequency times step of a wheel on its grip, of the 2 that is survived, up to which what pushes it follows from its
spin before the step: in a longer one from that after it, as it is while it grips (numerical)."""
SPINS = 0.5
"""Speed of the tread past the one asked for, from which the drive lets go of a wheel that spins (our choice: its motor
turns no faster than its pump feeds it) [m/s]."""
DRIVEN = cos(RULES.fallen)
"""Upright part of the truck's own vertical below which nobody drives it any more (our choice: it has fallen)."""
SETTLES = 0.2
"""Time in which rubber settles to its load (our choice) [s]: with the damping that goes with speed, the part lost a
swing is then much the same from a swing in four seconds, a truck that sways, to six a second, one that bounces."""


def tyre_normal(
    i: int,
    plant: Plant,
    position: Floats,
    rot: Floats,
    depth: Floats,
    speed: Floats,
    on_place: Floats,
    sunk: Floats,
    settled: Floats,
    out: Floats,
) -> float:
    """Fill out with one tyre's load, contact point, forces and return its stored energy [J].

    speed (6, 6) may be zeros. out: load, edge force ahead and to the left, damping part of the load, contact x, y, z,
    heading x, y, upright, compression, power lost; moment about the heading by which the push of walls, which act at
    the floor's top, differs from one at the contact; moment of edges and walls that turns the heading.
    sunk (strips,): 1 from when a strip was down in a place until it is back at the floor's height; kept between steps.
    2 from when the wheel lay on its side until the strip is clear of the floor: it carries nothing so long.
    A wall that a leaning wheel is pressed against pulls it down: the load may then be below zero.
    settled: rubber is stiffer at once by a share of the load that it has not settled to, and gives that up with time;
    so a slow sway loses as great a part of its energy a swing as a quick bounce.
    """
    tyre = plant.tyre[i]
    b = int(tyre[at.T_BODY])
    r = rot[b]
    hx, hy, hz = turned(r, tyre[at.T_X], tyre[at.T_Y], tyre[at.T_Z])
    ax, ay, az = wheel_axis(tyre, r)
    upright = sqrt(max(0.0, 1.0 - az * az))
    out[:] = 0.0
    settled[2, :] = 0.0
    if upright < FLATTEST or (upright < WEDGED and (sunk[0] == 1.0 or sunk[at.STRIPS - 1] == 1.0)):
        sunk[:] = 2.0
        return 0.0
    out[9] = upright
    ex, ey = ay / upright, -ax / upright
    dx, dy = -az * ax / upright, -az * ay / upright
    load, energy, side_x, side_y = 0.0, 0.0, 0.0, 0.0
    cx, cy, cz, lost, height, excess = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    up, lean, turn = 0.0, 0.0, 0.0
    lever = tyre[at.T_W] / at.STRIPS
    for j in range(at.STRIPS):
        o = (j - (at.STRIPS - 1) / 2) * lever
        sx, sy, sz = hx + o * ax, hy + o * ay, hz + o * az
        x, y, z = position[b, 0] + sx, position[b, 1] + sy, position[b, 2] + sz + plant.give[i]
        # places are met where the tread meets the floor's top, which a leaning wheel carries aside of its hub
        sloping = plant.ramp.shape[0] > 0 and way(plant.ramp[0], x, y) > -tyre[at.T_R]
        top = rise(plant.ramp[0], x, y) if sloping else 0.0
        reach = (z - top) / upright
        if sunk[j] == 2.0:
            if reach <= tyre[at.T_R]:
                continue
            sunk[j] = 0.0
        low = sunk[j] > 0.0
        if sloping:
            force, u, lx, ly, along, level, twist, share = ramp_strip(
                tyre, plant.ramp[0], x - reach * dx, y - reach * dy, z, ex, ey, upright
            )
        else:
            force, u, lx, ly, along, level, twist, share = strip(
                tyre, x - reach * dx, y - reach * dy, z, ex, ey, upright, plant.place, depth, on_place, low
            )
        if reach > tyre[at.T_R] - tyre[at.T_RIM]:
            sunk[j] = 0.0
        elif share > 0.5:
            sunk[j] = 1.0
        if force <= 0.0:
            continue
        h = (z - level) / upright
        v = point_velocity(speed[b], sx - h * dx, sy - h * dy, sz - h * upright)
        rate = -v[2] / upright
        if sloping:  # a slope is pressed in square to itself, and damps so
            v = point_velocity(speed[b], sx, sy, sz)
            rate -= (lx * v[0] + ly * v[1]) / (force * upright)
        fresh = tyre[at.T_GIVES] * settled[1, j] * (force - settled[0, j]) if settled[0, j] >= 0.0 else 0.0
        damped = max(0.0, force * (1.0 + tyre[at.T_CHI] * rate) + fresh)
        settled[2, j] = force
        if sloping:
            lx, ly, twist = damped / force * lx, damped / force * ly, damped / force * twist
            lean -= top * (ly * ex - lx * ey)
        # edges and walls meet the wheel's own plane: they push along axis and heading
        lift = -(lx * dx + ly * dy) / upright
        aside = -(sx - reach * dx) * ey + (sy - reach * dy) * ex - (hy * ex - hx * ey)
        up += lift
        lean += aside * lift
        turn += twist - aside * (lx * ex + ly * ey)
        lost += (damped - force) * rate * upright
        excess += damped - force
        load += damped
        energy += u
        side_x += lx
        side_y += ly
        height += damped * h
        cx += damped * (x - h * dx + along * ex)
        cy += damped * (y - h * dy + along * ey)
        cz += damped * (level - plant.give[i])
    if load <= 0.0:
        return energy
    h = height / load
    out[1], out[2], out[3] = side_x * ex + side_y * ey, -side_x * ey + side_y * ex, excess
    out[4], out[5], out[6] = cx / load, cy / load, cz / load
    out[0] = load + up
    aside = -(out[4] - position[b, 0] - hx) * ey + (out[5] - position[b, 1] - hy) * ex
    out[12], out[13] = lean - aside * up + out[6] * out[2], turn
    out[7], out[8], out[9], out[10], out[11] = ex, ey, upright, tyre[at.T_R] - h, lost
    return energy


def apply_tyre(
    b: int,
    axis: tuple[float, float, float],
    position: Floats,
    wrench: Floats,
    lossy: Floats,
    out: Floats,
    hub: tuple[float, float, float],
    drag: float,
    side: float,
) -> None:
    """Add one tyre's forces to its carrier: load and side at the contact, drag at hub height; axis: of the wheel."""
    ex, ey = out[7], out[8]
    px, py, pz = out[4] - position[b, 0], out[5] - position[b, 1], out[6] - position[b, 2]
    tx, ty = -ey, ex
    # friction acts where its bristles are bent: ahead of the hub or behind it on an edge
    add_force(wrench, b, px, py, pz, side * tx, side * ty, 0.0)
    add_force(lossy, b, px, py, pz, side * tx, side * ty, 0.0)
    # the load acts straight below the hub: its lever ahead turns the wheel, not the truck
    along = (px - hub[0]) * ex + (py - hub[1]) * ey
    px, py = px - along * ex, py - along * ey
    add_force(wrench, b, px, py, pz, out[2] * tx, out[2] * ty, out[0])
    add_force(wrench, b, px, py, hub[2], drag * ex, drag * ey, 0.0)
    add_force(wrench, b, hub[0], hub[1], hub[2], out[1] * ex, out[1] * ey, 0.0)
    # a leaning wheel's heading turns about the line from the floor to its hub, not about the vertical
    bend = out[13] * axis[2] / (out[9] * out[9])
    wrench[b, 3] += out[12] * ex - bend * axis[0]
    wrench[b, 4] += out[12] * ey - bend * axis[1]
    wrench[b, 5] += out[13]
    add_force(lossy, b, px, py, pz, 0.0, 0.0, out[3])
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
    out, on_place = mem.tyre, mem.place_load[0]
    place_force, place_area, place_slope = mem.place_load[1], mem.place_load[2], mem.place_load[3]
    mem.place_load[:, :] = 0.0
    stored, pull = 0.0, 0.0
    if cmd[k, at.K_KEEPS] > 0.0 and cmd[k, at.K_BRAKE] == 0.0 and rot[at.CHASSIS, 2, 2] > DRIVEN:
        pull = speed_hold(plant)
    for i in range(n):
        tyre = plant.tyre[i]
        b = int(tyre[at.T_BODY])
        r = rot[b]
        ax, ay, az = wheel_axis(tyre, r)
        on_place[:] = 0.0
        settle(mem.settled[i], dt)
        energy = tyre_normal(i, plant, position, rot, mem.depth, speed, on_place, mem.sunk[i], mem.settled[i], out)
        load, e = max(out[0], 0.0), i * at.N_TYRE_RECORD
        hub = turned(r, tyre[at.T_X], tyre[at.T_Y], tyre[at.T_Z])
        ex, ey = out[7], out[8]
        px, py, pz = out[4] - position[b, 0], out[5] - position[b, 1], out[6] - position[b, 2]
        lever = tyre[at.T_R] - out[10]
        along, across, travel = 0.0, 0.0, 0.0
        if load > 0.0:
            c = point_velocity(speed[b], px, py, pz)
            ahead = (px - hub[0]) * ex + (py - hub[1]) * ey
            v = point_velocity(speed[b], px - ahead * ex, py - ahead * ey, hub[2])
            travel = v[0] * ex + v[1] * ey
            along = travel - mem.spin[i] * lever
            across = -c[0] * ey + c[1] * ex
        mu, climb = tyre[at.T_MU], 0.0
        if plant.zone.shape[0] > 0:
            bent, energy, mu, climb = on_zone(
                i, plant, mem, position, rot, speed, on_place, out, energy, travel, dt, k * dt
            )
            stored += bent
            load = max(out[0], 0.0)
        left_behind = roll_on(tyre, abs(mem.spin[i]) * lever * dt, out[10], mem.bristle[i])
        drive, brake = tyre[at.T_BRAKED] * cmd[k, at.K_DRIVE], tyre[at.T_BRAKED] * cmd[k, at.K_BRAKE]
        if pull > 0.0 and load > 0.0:
            wish = cmd[k, at.K_SPEED] * (1.0 - cmd[k, at.K_CURVE] * tyre[at.T_ASIDE])
            past = mem.spin[i] * lever - wish
            if past * (wish - travel) <= SPINS * abs(wish - travel):
                drive += tyre[at.T_BRAKED] * (wish - travel) * pull * lever
        # brake and drive act between wheel and truck: a truck that pitches on locked wheels takes them along
        carried = speed[b, 3] * ax + speed[b, 4] * ay + speed[b, 5] * az
        inertia, w0 = tyre[at.T_IW], mem.spin[i]
        rolls = w0
        if load > 0.0 and tyre[at.T_KT] * (lever * dt) ** 2 > GRIPS * GRIPS * inertia:
            grip = tyre[at.T_KT] * dt + tyre[at.T_CT]
            pushed = lever * (tyre[at.T_KT] * mem.bristle[i, 0] + grip * along)
            rolls, _ = spin(w0, carried, inertia + grip * lever * lever * dt, pushed, drive, brake, dt)
            along = travel - rolls * lever
        drag, side, bx, by, rubbed = bristle(
            mem.bristle[i, 0], mem.bristle[i, 1], along, across, dt, load, mu, tyre[at.T_KT], tyre[at.T_CT]
        )
        mem.bristle[i, 0], mem.bristle[i, 1] = bx, by
        rubbed += left_behind
        w1, held = spin(w0, carried, inertia, -drag * lever, drive, brake, dt)
        mem.spin[i] = w1
        turned_by = (0.5 * (w0 + w1) - carried) * dt
        mem.energy[at.E_WORK] += drive * turned_by
        mem.energy[at.E_DISSIPATED] += rubbed + out[11] * dt - held * turned_by
        mem.energy[at.E_DISSIPATED] += drag * lever * (0.5 * (w0 + w1) - rolls) * dt
        mem.energy[at.E_KINETIC] += 0.5 * tyre[at.T_IW] * w1 * w1
        turns = drive + held
        add_torque(wrench, b, -turns * ax, -turns * ay, -turns * az)
        add_torque(mem.lossy, b, -turns * ax, -turns * ay, -turns * az)
        out[1] += climb
        if out[10] > 0.0:
            apply_tyre(b, (ax, ay, az), position, wrench, mem.lossy, out, hub, drag, side)
            add_force(mem.lossy, b, hub[0], hub[1], hub[2], climb * ex, climb * ey, 0.0)
            compression = max(out[10], 1e-6)
            for j in range(m):
                if on_place[j] > 0.0 and load > 0.0:
                    place_force[j] += on_place[j]
                    place_area[j] += on_place[j] / load * 2.0 * tyre[at.T_W] * sqrt(2.0 * tyre[at.T_R] * compression)
                    place_slope[j] += 1.5 * on_place[j] / compression
        else:  # lets go faster than rubber follows, or lies on its side: what the tread gives up is lost
            mem.energy[at.E_DISSIPATED] += mem.tyre_energy[i] - energy
        mem.tyre_energy[i] = energy
        stored += energy + 0.5 * tyre[at.T_KT] * (bx * bx + by * by)
        row[e + at.R_LOAD], row[e + at.R_DRAG], row[e + at.R_SIDE] = load, drag + out[1], side + out[2]
        row[e + at.R_COMPRESSION], row[e + at.R_SPIN] = max(out[10], 0.0), w1
        row[e + at.R_CX], row[e + at.R_CY], row[e + at.R_CZ] = out[4], out[5], out[6]
    if plant.zone.shape[0] > 0:
        for i in range(n):
            e = i * at.N_TYRE_RECORD
            mem.stood[i, 0], mem.stood[i, 1], mem.stood[i, 2] = row[e + at.R_CX], row[e + at.R_CY], row[e + at.R_LOAD]
    sink(dt, plant, cmd[k], mem, place_force, place_area, place_slope)
    for j in range(m):
        if mem.lowered[j] == mem.depth[j] == BEGUN:
            place = plant.place[j]
            let_down(-1, j, (place[at.P_X], place[at.P_Y], place[at.P_HX], 0.0), plant, mem, position, rot)
    return stored


def roll_on(tyre: Floats, way: float, compression: float, bent: Floats) -> float:
    """Let a wheel's bristles (2,) leave the floor behind as it rolls on by a way [m]; return what they held [J].

    The tread that comes in at the front is not bent: over half the length of contact what was bent is gone to 1/e. So a
    wheel that rolls at a small angle to its heading is pushed aside by stiffness x half the length x the angle, as a
    row of bristles would be, until friction ends it.
    """
    if way <= 0.0 or compression <= 0.0:
        return 0.0
    held = bent[0] * bent[0] + bent[1] * bent[1]
    if held == 0.0:
        return 0.0
    stays = 1.0 / (1.0 + way / sqrt(2.0 * tyre[at.T_R] * compression))
    bent[0] *= stays
    bent[1] *= stays
    lost: float = 0.5 * tyre[at.T_KT] * held * (1.0 - stays * stays)
    return lost


def settle(settled: Floats, dt: float) -> None:
    """Let the strips of a tyre settle to their elastic loads for the first half of a step dt [s], or begin there.

    Half by the load before, half by that after (the trapezoidal rule): as good in a long step as in many short ones.
    """
    half = 0.5 * dt / SETTLES
    for j in range(at.STRIPS):
        load = settled[2, j]
        if load >= 0.0:
            missing = settled[1, j] * (load - settled[0, j]) if settled[0, j] >= 0.0 else 0.0
            settled[0, j] = load - (1.0 - half) * missing
            settled[1, j] = 1.0 / (1.0 + half)


def steering(tyre: Floats, curve: float) -> float:
    """Return the sine of the angle to the left by which a wheel is steered on a way of a curvature [1/m].

    It stands square to the line from its hub to the middle of the turn, which lies on the drive axle's line.
    """
    if curve == 0.0 or tyre[at.T_BEHIND] == 0.0:
        return 0.0
    back, out = -tyre[at.T_BEHIND] * curve, 1.0 - tyre[at.T_ASIDE] * curve
    sine: float = back / sqrt(back * back + out * out)
    return sine


def held_energy(i: int, plant: Plant, mem: Memory, position: Floats, rot: Floats) -> float:
    """Return what a tyre stores where it is [J], before anything of this step is done."""
    # scratch; what lost energy was cleared for this step, so its speeds stand for none
    out, on_place, still, settled = mem.tyre, mem.place_load[0], mem.lossy, mem.settled[plant.tyre.shape[0]]
    energy: float = tyre_normal(i, plant, position, rot, mem.depth, still, on_place, mem.sunk[i], settled, out)
    return energy


def steer(plant: Plant, now: Floats, mem: Memory, position: Floats, rot: Floats) -> None:
    """Steer the wheels as commanded; what their tyres gain by it is work."""
    for i in range(plant.tyre.shape[0]):
        sine = steering(plant.tyre[i], now[at.K_CURVE])
        if sine != plant.tyre[i, at.T_STEER]:
            before = held_energy(i, plant, mem, position, rot)
            plant.tyre[i, at.T_STEER] = sine
            after = held_energy(i, plant, mem, position, rot)
            mem.tyre_energy[i] = after
            mem.energy[at.E_WORK] += after - before


def speed_hold(plant: Plant) -> float:
    """Return the force of each driven tyre for a speed that is short by 1 m/s [N s/m]: the truck follows in HOLD."""
    mass, count = 0.0, 0.0
    for b in range(at.N_BODY):
        mass += plant.mass[b]
    for i in range(plant.tyre.shape[0]):
        count += plant.tyre[i, at.T_BRAKED]
    hold: float = mass / (HOLD * max(count, 1.0))
    return hold


def on_zone(  # noqa: PLR0913 - floats and arrays only: compiled code has a structure unpacked at every call
    i: int,
    plant: Plant,
    mem: Memory,
    position: Floats,
    rot: Floats,
    speed: Floats,
    on_place: Floats,
    out: Floats,
    energy: float,
    travel: float,
    dt: float,
    time: float,
) -> tuple[float, float, float, float]:
    """Let the floor's zone act on tyre i, which stores an energy [J].

    Return what the bent floor stores, what the tyre does then [J], friction, and drag of climbing [N]. Where its own
    place goes on with it, or begins anew, it stands in another: what it stores less is the floor's.
    """
    tyre, own = plant.tyre[i], plant.place.shape[0] - plant.tyre.shape[0] + i
    z, mu, climb = zone_at(plant.zone, out[4], out[5]) if out[0] > 0.0 else -1, tyre[at.T_MU], 0.0
    if z >= 0:
        place, deep = plant.place[own], mem.depth[own]
        before = place[at.P_X], place[at.P_Y], place[at.P_HX], deep
        half = sqrt(2.0 * tyre[at.T_R] * max(out[10], 1e-6))
        climb = ground(i, z, plant, mem, out, on_place, half, travel, dt, time)
        mu *= plant.zone[z, at.Z_MU]
        if deep > 0.0 and (place[at.P_X] != before[0] or place[at.P_Y] != before[1]):
            rises, held = mem.depth[own], energy
            if rises > 0.0:  # the work of what it rises is booked already
                mem.depth[own] = deep
                let_down(i, own, before, plant, mem, position, rot)
            on_place[:] = 0.0
            energy = tyre_normal(i, plant, position, rot, mem.depth, speed, on_place, mem.sunk[i], mem.settled[i], out)
            mem.depth[own] = rises
            mem.energy[at.E_FLOOR] += held - energy
            mem.tyre_energy[i] -= held - energy
    stiff = plant.zone[z, at.Z_K] if z >= 0 else 0.0
    bent = bend(i, plant, mem, max(out[0], 0.0), out[3], max(out[10], 1e-6), stiff)
    return bent, energy, mu, climb


def let_down(
    i: int, n: int, before: tuple[float, float, float, float], plant: Plant, mem: Memory, position: Floats, rot: Floats
) -> None:
    """Book what tyres but i store less since place n has gone on or begun.

    before: its middle x, y, half its length and its depth till then [m].
    """
    place = plant.place[n]
    now = place[at.P_X], place[at.P_Y], place[at.P_HX], mem.depth[n]
    for j in range(plant.tyre.shape[0]):
        if j != i and is_over(j, place, plant.tyre[j, at.T_R], plant, mem):
            after = held_energy(j, plant, mem, position, rot)
            place[at.P_X], place[at.P_Y], place[at.P_HX], mem.depth[n] = before
            let_go = held_energy(j, plant, mem, position, rot) - after
            place[at.P_X], place[at.P_Y], place[at.P_HX], mem.depth[n] = now
            mem.energy[at.E_FLOOR] += let_go
            mem.tyre_energy[j] -= let_go


def given_depths(plant: Plant, now: Floats, mem: Memory, position: Floats, rot: Floats) -> None:
    """Set the commanded depth of places; what the tyres lose by it goes to the floor's account."""
    m = plant.place.shape[0]
    changed = False
    for j in range(m):
        if now[at.K_PLACE + j] > at.BY_LAW and now[at.K_PLACE + j] != mem.depth[j]:
            changed = True
    if not changed:
        return
    for i in range(plant.tyre.shape[0]):
        mem.energy[at.E_FLOOR] += held_energy(i, plant, mem, position, rot)
    for j in range(m):
        if now[at.K_PLACE + j] > at.BY_LAW:
            mem.depth[j] = now[at.K_PLACE + j]
    for i in range(plant.tyre.shape[0]):
        mem.tyre_energy[i] = held_energy(i, plant, mem, position, rot)
        mem.energy[at.E_FLOOR] -= mem.tyre_energy[i]
