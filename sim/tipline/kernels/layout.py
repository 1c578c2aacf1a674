"""Columns of the arrays that the kernels read and write.

Bodies keep one order everywhere. A body that is merged into its host has mass 0 and no points.
All local points are in body axes from the body's centre of mass.

Arrays that functions of this room share have one name and shape everywhere; what a module holds beside them, or takes
otherwise, stands in its own list:

position (6, 3) [m]: centres of the bodies in the world
rot (6, 3, 3) [1]: rotations from body axes to the world's
r (3, 3) [1]: one of them
speed (6, 6) [m/s, rad/s]: velocity and turning of each body, world
wrench (n, 6) [N, N m]: force and torque about the centre of each body, world; calls follow where an engine is told
lossy (6, 6) [N, N m]: what of them loses energy
raw (n, 13) [SI]: centre, quaternion, velocity, turning of each body
cmd (steps, columns) [SI]: commands, columns K_*; one row of them where a single step is looked at
now (columns,) [SI]: the row of commands in force
row (columns,) [SI]: of the record, or what of it is left from a part's first column on
rec, record (steps, columns) [SI]: the record, or one row of it for all steps
tyre (N_TYRE,) [SI]: what a tyre is, columns T_*
place (N_PLACE,) [SI]: a place on the floor, columns P_*
places (n, N_PLACE) [SI]: all of them
zone (N_ZONE,) [SI]: a zone of the floor, columns Z_*
zones (n, N_ZONE) [SI]: all of them
ramp (N_RAMP,) [SI]: columns G_*
depth (n,) [m]: of each place
on_place (n,) [N]: load of a tyre on each place
outline (columns,) [m]: what tip lines and crests are found by, columns O_* of `watching`
foot (N_FOOT, 4) [m]: ends of the tip lines and the level of the floor there
tyres (columns,) [SI]: the record's row from its tyres on
columns (N_WATCHED,) [SI]: its last ones, what is watched
sum (6,) [N, N m]: forces and moments about the origin
sums (2, 6) [N, N m]: those of all that presses, and of all but the steer axle
axes (3, 3) [1]: a column each
state (n, 13) [SI]: as in `reading`
buffer (n,) [SI]: all of plant, memory and watch, as `packed.pack` has them
v (6,) [m/s, rad/s]: velocity and turning of a body
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

CHASSIS, AXLE, MAST, CARRIAGE, COUNTERWEIGHT, LOAD = range(6)
BODIES = ("chassis", "axle", "mast", "carriage", "counterweight", "load")
N_BODY = 6

STRIPS = 3
"""Strips across a tread: at -1/3, 0 and +1/3 of the tread width, one third of the stiffness each."""

# tyre parameters
(
    T_BODY, T_X, T_Y, T_Z,  # carrier body and hub [m]
    T_R, T_W,  # outer radius, tread width [m]
    T_K,  # line stiffness of the whole width: N per m of contact length per m of compression [N/m2]
    T_HARD,  # hardening coefficient of the cubic term [1/m2]
    T_RIM, T_K_RIM,  # compression at which the rim is felt [m]; added line stiffness [N/m2]
    T_CHI,  # damping: force = elastic * (1 + chi * compression rate) [s/m]
    T_MU, T_KT, T_CT,  # friction; bristle stiffness [N/m] and damping [N s/m]
    T_IW,  # spin inertia [kg m2]
    T_BRAKED,  # 1 on the drive axle, 0 on tyres that roll free
    T_BEHIND, T_ASIDE,  # hub behind the middle of the drive axle, and to its left [m]
    T_STEER,  # sine of the angle to the left by which the wheel is steered; the kernels keep it
    T_GIVES,  # share by which rubber is stiffer at once than when it has settled
) = range(20)  # fmt: skip
N_TYRE = 20


# axle joint
(A_CX, A_CY, A_CZ, A_AX, A_AY, A_AZ, A_STOP, A_K, A_C, A_PULLS, A_PIN, A_STOP_RIGHT) = range(12)
N_AXLE = 12
"""A_C*, A_A*: pivot in chassis and in axle; stop angle to the left, A_STOP_RIGHT to the right; stiffness, damping;
A_PULLS 1 = spring (fixed), 0 = stop; A_PIN: damping by the pin's own friction."""

# mast joint: point in chassis, point in mast, stiffness, damping, half play about x, y, z
(M_CX, M_CY, M_CZ, M_MX, M_MY, M_MZ, M_KX, M_KY, M_KZ, M_DX, M_DY, M_DZ, M_PX, M_PY, M_PZ) = range(15)
N_MAST = 15

# chain (carriage on mast), slide (counterweight on chassis), rope (hook on carriage, top on load)
(L_CH_K, L_CH_C, L_SL_K, L_SL_C, L_HX, L_HY, L_HZ, L_TX, L_TY, L_TZ, L_RO_K, L_RO_C) = range(12)
(L_CX, L_CY, L_CZ, L_SX, L_SY, L_SZ, L_UX, L_UZ, L_TOP, L_FOOT) = range(12, 22)
N_LINK = 22
"""L_C*: carriage centre in mast axes from the mast's centre at set-up; L_S*: slider centre in chassis axes likewise;
L_U*: direction of lift in the mast's x, z (body axes are the truck's at set-up, so a tilted mast lifts aslant);
L_TOP, L_FOOT: lift at the mast's end stops."""

# contact points of bodies against the floor
(C_BODY, C_X, C_Y, C_Z, C_K, C_CHI, C_MU, C_KT, C_CT, C_ARM, C_C, C_MOST) = range(12)
N_POINT = 12
"""C_CHI, C_C: damping that grows with the force, and that does not; C_MOST: both times step at most [kg]: more would
throw a body back that lands fast;
C_ARM: how far the point lies from the centre of its body, so that a body high up is passed over quickly."""

# boxes about the solids of bodies, that may meet those of other bodies
(B_BODY, B_X, B_Y, B_Z, B_HX, B_HY, B_HZ, B_COS, B_SIN, B_ROUND, B_ARM) = range(11)
N_BOX = 11
"""B_X..Z: its middle in its body; B_HX..HZ: half its sizes, in body axes turned about y by the tilt at set-up;
B_ROUND: radius of the ball about it; B_ARM: how far its corners lie from the centre of its body."""

# pairs of boxes that may meet: their rows, spring, damping and friction of each contact of theirs
(Q_A, Q_B, Q_K, Q_CHI, Q_MOST, Q_MU, Q_KT, Q_CT, Q_RESTS, Q_C) = range(10)
N_PAIR = 10
"""Q_CHI, Q_C: damping that grows with the force, and that does not; Q_MOST: damping of all its contacts times step at
most [kg]: more would throw the bodies apart; Q_RESTS 1: a free load and what carries it."""
CORNERS, CROSSINGS, N_KEPT = 16, 144, 4
"""Contacts of a pair: corners of both; edges of one with edges of the other; what is kept of each (see `meeting`)."""
(X_GIVEN, X_TOUCHES, X_BEFORE, X_FORCE, X_LIFT, X_WAS, X_WAY) = range(7)
N_MEETS = 9
"""Of a pair: energy its contacts gave up in this step [J], how many there are, energy given up in the step before; the
forces of its contacts, and by how much they lift the truck [N]; how many there were in the step before; the way (3) in
which the last that gave up pushed the first box."""

# places on the floor
(
    P_X, P_Y, P_COS, P_SIN, P_HX, P_HY, P_LAW, P_YIELD, P_HARDEN, P_RATE, P_MOST, P_AREA, P_ZONE, P_AT, P_LOAD,
    P_KNEE, P_AFTER, P_REACH, P_MIDDLE,
) = range(19)  # fmt: skip
N_PLACE = 19
LAW_GIVEN, LAW_YIELDING, LAW_PLUG, LAW_CREEPING = range(4)
"""P_LAW: 0 = depth as commanded; 1 = yields: pressure [Pa], hardening [Pa/m], speed at twice it [m/s], bottom [m];
2 = plug: friction [N], resistance [N s/m], -, bottom [m]; 3 = creeps: speed at 1 MPa [m/s], power, scale, bottom [m].
P_AREA: area that carries [m2], 0 = the tyre's patch; P_ZONE, P_AT: zone and time of opening, where a tyre opened it;
P_LOAD: load on it in the step before [N]; P_KNEE: depth [m], 0 = none, past which it hardens by P_AFTER [Pa/m];
P_REACH, P_MIDDLE: half the way its tyre has rolled in it [m], and where the middle of that lies ahead of the place's.
With zones, the last places are the tyres' own, in the order of the tyres: unused while P_HX is 0."""

# zones of the floor: rectangle, law, friction over the floor's own, bending stiffness, parameters of the law
(
    Z_X, Z_Y, Z_COS, Z_SIN, Z_HX, Z_HY, Z_LAW, Z_MU, Z_K, Z_WHOLE, Z_AREA,
    Z_YIELD, Z_HARDEN, Z_RATE, Z_MOST, Z_HOLDS, Z_DEPTH, Z_LET, Z_SLOW, Z_HOLE_X, Z_HOLE_Y,
    Z_KNEE, Z_AFTER, Z_TOGETHER, Z_WITHIN,
) = range(25)  # fmt: skip
N_ZONE = 25
ZONE_FIRM, ZONE_SOFT, ZONE_HOLDS, ZONE_CREEPS = range(4)
"""Z_K: 0 = rigid; Z_WHOLE 1 = sinks as one (cover, spreader); Z_YIELD..MOST, KNEE, AFTER: as the place's law;
Z_HOLDS: tyre load at which it lets the tyre through, to Z_DEPTH, against friction Z_LET, resistance Z_SLOW, in a hole
Z_HOLE; Z_TOGETHER: load of all tyres on it within Z_WITHIN of each other at which it lets them through [N, m]."""

# a ramp in the floor: a point of the edge where it begins, its direction, slope as a ratio (below 0 it falls), length
(G_X, G_Y, G_COS, G_SIN, G_TAN, G_LONG) = range(6)
N_RAMP = 6

# command table
(
    K_GX, K_GY, K_GZ, K_BRAKE, K_DRIVE, K_TILT, K_LIFT, K_SLIDE, K_ROPE, K_HELD, K_ACC, K_SPEED, K_KEEPS, K_CURVE,
    K_YAWS, K_EVEN,
) = range(16)  # fmt: skip
K_PLACE = 16
"""Gravity; torque for each braked and each driven tyre [N m]; tilt [rad]; lift, slide [m]; rope rest length [m]; rope
held 0 or 1; commanded forward acceleration (recorded only); commanded speed [m/s], and whether the drive keeps it, 0 or
1; curvature of the way of the drive axle's middle, to the left positive [1/m], and commanded angular acceleration about
the vertical (recorded only) [rad/s2]; rows to the next at which what is commanded takes
another course, 64 at most.
Then one column a place (its depth, below 0 above the floor; BY_LAW from when its law is at work), then three a push."""
BY_LAW = -1.0

# memory
(E_KINETIC, E_GRAVITY, E_ELASTIC, E_DISSIPATED, E_WORK, E_FLOOR, E_PREVIOUS_ELASTIC) = range(7)
N_ENERGY = 7

# one row a tyre in the record
(R_LOAD, R_DRAG, R_SIDE, R_COMPRESSION, R_CX, R_CY, R_CZ, R_SPIN) = range(8)
N_TYRE_RECORD = 8
# the record's other single values
(
    R_AXLE,
    R_AXLE_TORQUE,
    R_MAST_X,
    R_MAST_Y,
    R_MAST_Z,
    R_MAST_TX,
    R_MAST_TY,
    R_MAST_TZ,
    R_CHAIN,
    R_ROPE,
    R_BODY_FORCE,
    R_SUPPORT,
    R_LIFT,
    R_LOAD_FLOOR,
) = range(14)
N_SINGLE = 14

# what is watched, at the end of the record's row: distances to the tip and swing lines [m], energy left for each tip
# line [J], the balance point [m], the steer axle's share of the tyre loads
(W_DISTANCE, W_ENERGY, W_BALANCE, W_STEER) = (0, 6, 10, 12)
N_WATCHED = 13

Floats = NDArray[np.float64]


class Plant(NamedTuple):
    """The truck, its load and the floor places as the kernels read them (arrays of float64)."""

    frame: Floats  # (6, 4) quaternion xyzw from the frame an engine stores to body axes
    mass: Floats  # (6,) [kg]
    inertia: Floats  # (6, 3, 3) about the centre, body axes [kg m2]
    tyre: Floats  # (n, N_TYRE)
    axle: Floats  # (N_AXLE,)
    mast: Floats  # (N_MAST,)
    link: Floats  # (N_LINK,)
    point: Floats  # (n, N_POINT)
    place: Floats  # (n, N_PLACE)
    push: Floats  # (n, 4) body and local point
    zone: Floats  # (n, N_ZONE) zones of the floor, later ones on top
    give: Floats  # (n,) how far the floor under each tyre bends [m]; the kernels keep it
    ramp: Floats  # (n, N_RAMP) none or one
    box: Floats  # (n, N_BOX)
    pair: Floats  # (n, N_PAIR)


class Memory(NamedTuple):
    """What the kernels remember from one step to the next."""

    bristle: Floats  # (n, 2) along and across each tyre [m]
    spin: Floats  # (n,) [rad/s]
    tyre_energy: Floats  # (n,) [J]
    point_bristle: Floats  # (n, 4): x, y [m]; 1 touched, 2 below an edge, 3 over a place, 4 back from it; level [m]
    sunk: Floats  # (n, STRIPS) 1 where a strip is down in a place
    bent: Floats  # (n,) [J] that the floor under each tyre holds, bent, and has taken up in bending
    depth: Floats  # (n,) [m] of each place
    lowered: Floats  # (n,) [m] by which each place sank in the step before
    energy: Floats  # (N_ENERGY,) [J]
    gravity: Floats  # (3,) of the step before
    lossy: Floats  # (6, 6) wrenches of the step before that lose energy: damping and friction
    speed: Floats  # (6, 6) of the step before
    place_load: Floats  # (4, n) force on each place by one tyre, force, area and stiffness by all [scratch]
    state: Floats  # (6, 3) centres [scratch]
    turn: Floats  # (6, 3, 3) rotations [scratch]
    now: Floats  # (6, 6) velocities [scratch]
    stood: Floats  # (n, 3) where each tyre met the floor in the step before [m, m], and its load [N]
    tyre: Floats  # (14,) of one tyre [scratch]
    axes: Floats  # (3, 3) of one body [scratch]
    wait: Floats  # (n + 4,) time [s] to the next look at each pair of boxes; any, as it was set; corners, as it was set
    meets: Floats  # (n, N_MEETS) of each pair
    corners: Floats  # (n, CORNERS, N_KEPT) of each pair
    crossings: Floats  # (n, CROSSINGS, N_KEPT) of each pair
    middles: Floats  # (2, 3) of one pair [scratch]
    frames: Floats  # (2, 3, 3) of one pair [scratch]
    settled: Floats  # (n + 1, 3, STRIPS) load [N] to which each strip settled by the middle of this step, below 0 none
    # yet; part of what is missing that is so still at its end; its elastic load then, below 0 none; the last: scratch


def record_width(tyres: int, places: int) -> int:
    """Return the number of columns of a record row."""
    return 1 + 13 * N_BODY + N_TYRE_RECORD * tyres + N_SINGLE + places + 6 + N_WATCHED


def new_memory(plant: Plant) -> Memory:
    """Return a memory at rest for this plant."""
    n, m, p, q = len(plant.tyre), len(plant.point), len(plant.place), len(plant.pair)
    return Memory(
        np.zeros((n, 2)),
        np.zeros(n),
        np.zeros(n),
        np.zeros((m, 4)),
        np.zeros((n, STRIPS)),
        np.zeros(n),
        np.zeros(p),
        np.zeros(p),
        np.zeros(N_ENERGY),
        np.zeros(3),
        np.zeros((N_BODY, 6)),
        np.zeros((N_BODY, 6)),
        np.zeros((4, p)),
        np.zeros((N_BODY, 3)),
        np.zeros((N_BODY, 3, 3)),
        np.zeros((N_BODY, 6)),
        np.zeros((n, 3)),
        np.zeros(14),
        np.zeros((3, 3)),
        np.zeros(q + 4),
        np.zeros((q, N_MEETS)),
        np.zeros((q, CORNERS, N_KEPT)),
        np.zeros((q, CROSSINGS, N_KEPT)),
        np.zeros((2, 3)),
        np.zeros((2, 3, 3)),
        np.full((n + 1, 3, STRIPS), -1.0),
    )
