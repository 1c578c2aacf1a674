"""What an engine with joints tells, in the form the kernels take: joint coordinates cost it less to tell than bodies.

A state buffer (ROWS, 13) holds the six bodies, then what was read of chassis and load as bodies and of the joints, then
coordinates and speeds as in `kernels.dynamics`, then scratch. Calls (CALLS, 3) are the
reduced wrenches in the order in which they are applied, and where two of them act.

Arrays:

q, out (4,) [1]: quaternions
"""

from math import isfinite, nan

from tipline.kernels import dynamics
from tipline.kernels import layout as at
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.vector import back_turned, quaternion_product, rotation

ROWS = 36
OWN, OWN_LOAD, JOINTS, X_ROW, SCRATCH = 6, 7, 8, 9, 12
"""Rows: chassis and load as read (as in rows 0 to 5), the joints; where coordinates, then speeds, and scratch begin."""
J_AXLE, J_AXLE_RATE, J_MAST, J_MAST_TURN, J_LIFT, J_LIFT_RATE, J_SLIDE, J_SLIDE_RATE = (0, 1, 2, 6, 9, 10, 11, 12)
"""Columns of the row of joints; the mast's quaternion and turning are in the frame its engine keeps for it."""

CALLS = 10
(C_FORCE, C_TORQUE, C_AXLE, C_MAST, C_CARRIAGE, C_SLIDE, C_LOAD_FORCE, C_LOAD_TORQUE, C_AT_CARRIAGE, C_AT_SLIDE) = (
    range(CALLS)
)
"""Rows of calls: torques for axle and mast, forces for carriage and slide; the centres of the last two."""


def bodies_from_joints(state: Floats, plant: Plant, mem: Memory) -> None:
    """Fill rows 0 to 5 of a state buffer with the bodies' states, in the engine's frames, from what was read."""
    own, load, joints, frame = state[OWN], state[OWN_LOAD], state[JOINTS], plant.frame
    flat = state.reshape(state.size)
    x = flat[13 * X_ROW : 13 * X_ROW + dynamics.N_X]
    u = flat[13 * X_ROW + dynamics.N_X : 13 * X_ROW + dynamics.N_X + dynamics.N_U]
    back, part = mem.tyre[0:4], mem.tyre[4:8]
    for j in range(3):
        x[j], u[j], u[3 + j] = own[j], own[7 + j], own[10 + j]
        x[dynamics.X_LOAD + j] = load[j]
        u[dynamics.U_LOAD + j], u[dynamics.U_LOAD_TURN + j] = load[7 + j], load[10 + j]
    for j in range(4):
        x[dynamics.X_LOAD_TURN + j] = load[3 + j]
    quaternion_product(own[3:7], frame[at.CHASSIS], x[dynamics.X_TURN : dynamics.X_TURN + 4])
    x[dynamics.X_AXLE], u[dynamics.U_AXLE] = joints[J_AXLE], joints[J_AXLE_RATE]
    x[dynamics.X_LIFT], u[dynamics.U_LIFT] = joints[J_LIFT], joints[J_LIFT_RATE]
    x[dynamics.X_SLIDE], u[dynamics.U_SLIDE] = joints[J_SLIDE], joints[J_SLIDE_RATE]
    unframed(frame[at.MAST], back)
    quaternion_product(back, joints[J_MAST : J_MAST + 4], part)
    quaternion_product(part, frame[at.MAST], x[dynamics.X_MAST : dynamics.X_MAST + 4])
    rotation(frame[at.MAST], mem.axes)
    turning = back_turned(mem.axes, joints[J_MAST_TURN], joints[J_MAST_TURN + 1], joints[J_MAST_TURN + 2])
    u[dynamics.U_MAST], u[dynamics.U_MAST + 1], u[dynamics.U_MAST + 2] = turning
    dynamics.place_bodies(x, u, plant.mass, plant.axle, plant.mast, plant.link, mem.turn, state)
    for b in range(at.AXLE, at.LOAD):
        unframed(frame[b], back)
        quaternion_product(state[b, 3:7], back, part)
        for j in range(4):
            state[b, 3 + j] = part[j]
    for j in range(4):
        state[at.CHASSIS, 3 + j], state[at.LOAD, 3 + j] = own[3 + j], load[3 + j]


def unframed(q: Floats, out: Floats) -> None:
    """Fill out with the turning back of the unit quaternion q."""
    out[0], out[1], out[2], out[3] = -q[0], -q[1], -q[2], q[3]


def fill_calls(state: Floats, wrench: Floats, calls: Floats) -> None:
    """Fill calls (CALLS, 3) from wrenches (6, 6) that `kernels.reduce` has reduced, and the bodies' states."""
    for j in range(3):
        calls[C_FORCE, j], calls[C_TORQUE, j] = wrench[at.CHASSIS, j], wrench[at.CHASSIS, 3 + j]
        calls[C_AXLE, j], calls[C_MAST, j] = wrench[at.AXLE, 3 + j], wrench[at.MAST, 3 + j]
        calls[C_CARRIAGE, j], calls[C_SLIDE, j] = wrench[at.CARRIAGE, j], wrench[at.COUNTERWEIGHT, j]
        calls[C_LOAD_FORCE, j], calls[C_LOAD_TORQUE, j] = wrench[at.LOAD, j], wrench[at.LOAD, 3 + j]
        calls[C_AT_CARRIAGE, j], calls[C_AT_SLIDE, j] = state[at.CARRIAGE, j], state[at.COUNTERWEIGHT, j]


def fastest(state: Floats, wrench: Floats) -> float:
    """Return the greatest speed of a body [m/s or rad/s], nan where a state or a wrench (6, 6) is not finite."""
    most, total = 0.0, 0.0
    for b in range(at.N_BODY):
        for j in range(7):
            total += state[b, j]
        for j in range(7, 13):
            most = max(most, abs(state[b, j]))
            total += state[b, j]
        for j in range(6):
            total += wrench[b, j]
    # a sum is finite only if all it adds is
    return most if isfinite(total) else nan
