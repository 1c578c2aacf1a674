"""What the floor under a tyre does: it bends, yields, creeps, or holds until it lets the tyre through.

A zone is a rectangle of floor with a law. Where a tyre first loads a zone that can sink, a place opens under it,
square to the wheel; each tyre has one place of its own to open, so it breaks through once (a cover or a spreader is
one place for all). A tyre that rolls beyond where it has been draws its place along: fresh ground comes in at the front
with no sinkage, so the depth under the tyre falls by the share of it in the wheel's way through the ground, and the
tyre pays for the climb with drag: depth over length of contact, times load, which is the work of compaction in a rut
(Bekker 1956, from memory). A rut has one depth, that under its tyre now.

Source: [Perzyna1966] (yielding), [Own] (places, ruts, plugs, creep)

Arrays:

out (14,) [SI]: as in `wheels.tyre_normal`
force, area, slope (n,) [N, m2, N/m]: of all tyres on each place
"""

from math import exp, log1p, sqrt

from tipline.kernels import layout as at
from tipline.kernels.joints import soil_depth
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.vector import turned

MARGIN = 0.05
"""How far a place reaches beyond the patch, ahead and aside (our choice: what heaves and spalls beside it) [m]."""
BEGUN = 1e-6
"""Depth of a place that begins to sink [m] (numerical)."""
ROLLS = 5e-3
"""Speed above which a tyre rolls onto fresh ground; below it the truck only sways (our choice) [m/s]."""


def zone_at(zones: Floats, x: float, y: float) -> int:
    """Return the last zone that holds a point, or -1."""
    for z in range(zones.shape[0] - 1, -1, -1):
        row = zones[z]
        dx, dy = x - row[at.Z_X], y - row[at.Z_Y]
        u, v = row[at.Z_COS] * dx + row[at.Z_SIN] * dy, -row[at.Z_SIN] * dx + row[at.Z_COS] * dy
        if abs(u) <= row[at.Z_HX] and abs(v) <= row[at.Z_HY]:
            return z
    return -1


def bend(i: int, plant: Plant, mem: Memory, load: float, damping: float, compression: float, k: float) -> float:
    """Let the floor under tyre i bend with stiffness k [N/m] (0 = rigid); return the energy stored before it does [J].

    One Newton step a time step towards load = k * give: the floor is far stiffer than the tyre. What the tyre gives up
    and the bent floor does not hold is the floor's: nothing as long as the two are in balance, so that it counts where
    the tyre comes onto a floor of another stiffness. damping: the part of the load that no spring holds [N].
    """
    before, after = plant.give[i], 0.0
    slope = 1.5 * load / max(compression, 1e-6)
    if k > 0.0 and load > 0.0:
        after = max(0.0, before + (load / k - before) / (1.0 + slope / k))
    further = after - before
    stored: float = 0.5 * k * before * before
    mem.energy[at.E_FLOOR] += mem.bent[i] - stored
    mem.bent[i] = stored + (load - damping - 0.5 * slope * further) * further
    plant.give[i] = after
    return stored


def open_place(place: Floats, zone: Floats, z: int, x: float, y: float, ex: float, ey: float, time: float) -> None:
    """Begin a place of a zone's law at a tyre; a zone that sinks as a whole gives it its own outline."""
    if zone[at.Z_WHOLE] > 0.0:
        place[at.P_X], place[at.P_Y] = zone[at.Z_X], zone[at.Z_Y]
        place[at.P_COS], place[at.P_SIN] = zone[at.Z_COS], zone[at.Z_SIN]
        place[at.P_HX], place[at.P_HY] = zone[at.Z_HX], zone[at.Z_HY]
    else:
        place[at.P_X], place[at.P_Y], place[at.P_COS], place[at.P_SIN] = x, y, ex, ey
    law = zone[at.Z_LAW]
    place[at.P_AREA], place[at.P_ZONE], place[at.P_AT] = zone[at.Z_AREA], z, time
    if law == at.ZONE_HOLDS:
        place[at.P_LAW], place[at.P_YIELD], place[at.P_HARDEN] = at.LAW_PLUG, zone[at.Z_LET], zone[at.Z_SLOW]
        place[at.P_MOST] = zone[at.Z_DEPTH]
    else:
        place[at.P_LAW] = at.LAW_YIELDING if law == at.ZONE_SOFT else at.LAW_CREEPING
        place[at.P_YIELD], place[at.P_HARDEN] = zone[at.Z_YIELD], zone[at.Z_HARDEN]
        place[at.P_RATE], place[at.P_MOST] = zone[at.Z_RATE], zone[at.Z_MOST]
        place[at.P_KNEE], place[at.P_AFTER] = zone[at.Z_KNEE], zone[at.Z_AFTER]


def reaches(place: Floats, x: float, y: float, need: float, width: float) -> bool:
    """Whether a tyre at (x, y), whose patch reaches `need` ahead [m], is still in a place or at its edge."""
    dx, dy = x - place[at.P_X], y - place[at.P_Y]
    along = place[at.P_COS] * dx + place[at.P_SIN] * dy
    across = -place[at.P_SIN] * dx + place[at.P_COS] * dy
    return bool(abs(along) < place[at.P_HX] + need and abs(across) < place[at.P_HY] + width)


def is_over(j: int, place: Floats, need: float, plant: Plant, mem: Memory) -> bool:
    """Whether tyre j is over a place or `need` [m] ahead or behind it."""
    tyre = plant.tyre[j]
    b = int(tyre[at.T_BODY])
    x, y, _ = turned(mem.turn[b], tyre[at.T_X], tyre[at.T_Y], tyre[at.T_Z])
    return reaches(place, mem.state[b, 0] + x, mem.state[b, 1] + y, need, tyre[at.T_W])


def holds_another(i: int, place: Floats, need: float, plant: Plant, mem: Memory) -> bool:
    """Whether a tyre other than i is over a place or its edge: it may bear on an end of it alone, or be in the air."""
    holds = False
    for j in range(plant.tyre.shape[0]):
        holds = holds or (j != i and is_over(j, place, need, plant, mem))
    return holds


def take_over(place: Floats, zones: Floats, z: int) -> None:
    """Give a tyre's rut the soil of the next zone, where it is a rut on both; a hole stays one till the tyre is out.

    A tyre has one place of its own: opened afresh under a tyre that is down in it, the floor would come up at once.
    """
    before = int(place[at.P_ZONE])
    if zones[z, at.Z_LAW] == at.ZONE_HOLDS or zones[before, at.Z_LAW] == at.ZONE_HOLDS:
        return
    if zones[z, at.Z_WHOLE] > 0.0 or zones[before, at.Z_WHOLE] > 0.0:
        return
    x, y, along, across = place[at.P_X], place[at.P_Y], place[at.P_COS], place[at.P_SIN]
    open_place(place, zones[z], z, x, y, along, across, place[at.P_AT])


def lengthen(place: Floats, along: float, need: float) -> None:
    """Let a place reach `need` [m] to both sides of a tyre `along` from its middle; its far end stays where it is.

    There another tyre may stand beside it, whose floor it must not take.
    """
    low, high = min(-place[at.P_HX], along - need), max(place[at.P_HX], along + need)
    shift = 0.5 * (low + high)
    place[at.P_X] += shift * place[at.P_COS]
    place[at.P_Y] += shift * place[at.P_SIN]
    place[at.P_HX] = 0.5 * (high - low)
    place[at.P_MIDDLE] -= shift


def find_place(i: int, z: int, plant: Plant) -> int:
    """Return the place that tyre i uses in zone z: the whole zone's if that is open, else the tyre's own."""
    own: int = plant.place.shape[0] - plant.tyre.shape[0] + i
    if plant.zone[z, at.Z_WHOLE] > 0.0:
        for j in range(plant.place.shape[0]):
            if plant.place[j, at.P_HX] > 0.0 and plant.place[j, at.P_ZONE] == z:
                return j
    return own


def beside(i: int, z: int, plant: Plant, mem: Memory, x: float, y: float) -> float:
    """Return what the other tyres put on a zone within its reach of a tyre [N], as they did in the step before."""
    reach, load = plant.zone[z, at.Z_WITHIN], 0.0
    if reach <= 0.0:
        return 0.0
    for j in range(plant.tyre.shape[0]):
        if j != i and mem.stood[j, 2] > 0.0:
            dx, dy = mem.stood[j, 0] - x, mem.stood[j, 1] - y
            if dx * dx + dy * dy <= reach * reach and zone_at(plant.zone, mem.stood[j, 0], mem.stood[j, 1]) == z:
                load += mem.stood[j, 2]
    return load


def ground(  # noqa: C901 - one branch a law of the floor
    i: int,
    z: int,
    plant: Plant,
    mem: Memory,
    out: Floats,
    on_place: Floats,
    half: float,
    travel: float,
    dt: float,
    time: float,
) -> float:
    """Open or draw along the place of tyre i in zone z; return the drag of climbing out of its own rut [N].

    out as in `tyre_normal`, on_place the load of this tyre on each place, half [m] half the patch length, travel [m/s].
    """
    zone, load = plant.zone[z], out[0]
    law = zone[at.Z_LAW]
    if law == at.ZONE_FIRM or load <= 0.0:
        return 0.0
    j = find_place(i, z, plant)
    place = plant.place[j]
    x, y, ex, ey = out[4], out[5], out[7], out[8]
    if law == at.ZONE_HOLDS:
        if place[at.P_HX] > 0.0 and place[at.P_ZONE] == z:
            return 0.0
        if load <= zone[at.Z_HOLDS] and load + beside(i, z, plant, mem, x, y) <= zone[at.Z_TOGETHER]:
            return 0.0
    tyre = plant.tyre[i]
    # the wheel's chord at the floor's top, so that it does not ride on the ends of its own place
    chord = sqrt(2.0 * tyre[at.T_R] * (max(out[10], 0.0) + mem.depth[j]))
    need = chord + MARGIN
    if place[at.P_HX] > 0.0 and place[at.P_ZONE] == z and zone[at.Z_WHOLE] == 0.0:
        along = place[at.P_COS] * (x - place[at.P_X]) + place[at.P_SIN] * (y - place[at.P_Y])
        s = along - place[at.P_MIDDLE]
        over = abs(s) - place[at.P_REACH]
        if over < 4.0 * need:
            if over > 0.0:
                place[at.P_MIDDLE] += 0.5 * (over if s > 0.0 else -over)
                place[at.P_REACH] += 0.5 * over
            lengthen(place, along, need)
            if over <= 0.0 or abs(travel) < ROLLS or s * travel <= 0.0:
                return 0.0
            share = mem.depth[j] / (half + chord)
            rise = share * min(over, abs(travel) * dt)
            carried = max(place[at.P_LOAD], on_place[j])
            mem.depth[j] -= rise
            mem.energy[at.E_FLOOR] -= carried * rise
            drag: float = carried * rise / max(abs(travel) * dt, 1e-6)
            mem.energy[at.E_DISSIPATED] += drag * abs(travel) * dt
            return -drag if travel > 0.0 else drag
        if place[at.P_LOAD] > 0.0 or holds_another(i, place, need, plant, mem):
            return 0.0
    elif place[at.P_HX] > 0.0 and place[at.P_ZONE] == z:
        return 0.0
    elif place[at.P_HX] > 0.0 and reaches(place, x, y, need, tyre[at.T_W]):
        take_over(place, plant.zone, z)
        return 0.0
    elif place[at.P_HX] > 0.0 and (
        place[at.P_LAW] == at.LAW_PLUG or place[at.P_LOAD] > 0.0 or holds_another(i, place, need, plant, mem)
    ):
        return 0.0  # a hole stays where it is: closed, it would lift another tyre that has come to it
    carried = 0.0
    for n in range(plant.place.shape[0]):
        if n != j:
            carried += on_place[n]
    if carried > 0.5 * load:
        return 0.0  # it rolls in a place that is there already
    open_place(place, zone, z, x, y, ex, ey, time)
    place[at.P_REACH] = place[at.P_MIDDLE] = 0.0
    if zone[at.Z_WHOLE] == 0.0:
        if law == at.ZONE_HOLDS:
            place[at.P_HX], place[at.P_HY] = zone[at.Z_HOLE_X] / 2.0, zone[at.Z_HOLE_Y] / 2.0
        else:
            place[at.P_HX] = need
            place[at.P_HY] = tyre[at.T_W] * (0.5 + 0.5 / at.STRIPS) + MARGIN
    mem.depth[j] = mem.lowered[j] = 0.0  # it sinks from the next step on, when all tyres have met it
    return 0.0


def sink(dt: float, plant: Plant, now: Floats, mem: Memory, force: Floats, area: Floats, slope: Floats) -> None:
    """Let every place that sinks by itself do so under its tyres for one step.

    The work of sinking is that of the mean of the loads before and after it, and so is booked a step later.
    """
    for j in range(plant.place.shape[0]):
        place = plant.place[j]
        law = place[at.P_LAW]
        if law == at.LAW_GIVEN or place[at.P_HX] == 0.0 or now[at.K_PLACE + j] > at.BY_LAW:
            continue
        mem.energy[at.E_FLOOR] += 0.5 * (place[at.P_LOAD] + force[j]) * mem.lowered[j]
        place[at.P_LOAD] = force[j]
        before = mem.depth[j]
        if before == 0.0:
            mem.depth[j] = mem.lowered[j] = BEGUN
            continue
        on = place[at.P_AREA] if place[at.P_AREA] > 0.0 else area[j]
        if law == at.LAW_YIELDING:
            start, harden = place[at.P_YIELD], place[at.P_HARDEN]
            if 0.0 < place[at.P_KNEE] < before:
                start += (harden - place[at.P_AFTER]) * place[at.P_KNEE]
                harden = place[at.P_AFTER]
            mem.depth[j] = soil_depth(
                before,
                force[j],
                on,
                slope[j],
                start,
                harden,
                place[at.P_RATE],
                place[at.P_MOST],
                dt,
            )
        elif law == at.LAW_PLUG:
            mem.depth[j] = plug_depth(
                before, force[j], slope[j], place[at.P_YIELD], place[at.P_HARDEN], place[at.P_MOST], dt
            )
        elif force[j] > 0.0 and on > 0.0:
            mem.depth[j] = creep_depth(
                before, force[j] / on, place[at.P_YIELD], place[at.P_HARDEN], place[at.P_RATE], place[at.P_MOST], dt
            )
        mem.lowered[j] = mem.depth[j] - before


def plug_depth(
    depth: float, force: float, slope: float, friction: float, resistance: float, most: float, dt: float
) -> float:
    """Return the depth [m] of a plug that a tyre pushes through a slab, after dt.

    It slides at (force - friction) / resistance [N s/m], one linearised implicit step, and never slower than 0.3 m/s:
    what has broken out falls on by itself.
    """
    rate = max(force - friction, 0.0) / (resistance + slope * dt)
    return min(depth + dt * max(rate, 0.3), most)


def creep_depth(
    depth: float, pressure: float, rate: float, power: float, scale: float, most: float, dt: float
) -> float:
    """Return the depth [m] that a standing tyre has pressed into creeping asphalt, after dt.

    z' = rate * (p / 1 MPa)^power * exp(-z / scale), less towards most; scale, rate and power come from the user's own
    indentation test. Implicit in z where it matters: the step is exact for the exponential law.
    """
    start = rate * (pressure * 1e-6) ** power
    x = depth / scale
    if x > 30.0:
        return depth
    grown = scale * (x + log1p(start * dt / scale * exp(-x)))
    return min(depth + (grown - depth) * max(0.0, 1.0 - depth / most), most)
