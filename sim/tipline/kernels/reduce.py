"""Wrenches in the form that costs an engine with joints the fewest calls.

A joint carries to the parent whatever does no work on it: of the axle's wrench only the torque about its pin moves the
axle, of the mast's only the moment about its joint, of the carriage's and the slider's only the force along the slide.
The rest acts on the parent alike. The motion is the same; only the joints' own reactions, which nobody reads, differ.

Arrays:

pin (3, 3) [1]: its first column is the pin
"""

from tipline.kernels import layout as at
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.vector import add_force, turned


def slide_to_parent(child: int, parent: int, ux: float, uy: float, uz: float, position: Floats, wrench: Floats) -> None:
    """Leave a sliding child the force along its slide (ux, uy, uz); give the rest to its parent."""
    along = wrench[child, 0] * ux + wrench[child, 1] * uy + wrench[child, 2] * uz
    fx, fy, fz = wrench[child, 0] - along * ux, wrench[child, 1] - along * uy, wrench[child, 2] - along * uz
    x = position[child, 0] - position[parent, 0]
    y = position[child, 1] - position[parent, 1]
    z = position[child, 2] - position[parent, 2]
    add_force(wrench, parent, x, y, z, fx, fy, fz)
    for j in range(3):
        wrench[parent, 3 + j] += wrench[child, 3 + j]
        wrench[child, 3 + j] = 0.0
    wrench[child, 0], wrench[child, 1], wrench[child, 2] = along * ux, along * uy, along * uz


def hinge_to_parent(
    child: int, parent: int, px: float, py: float, pz: float, pin: Floats, free: bool, position: Floats, wrench: Floats
) -> None:
    """Leave a hinged child its moment about the joint (world point p); its parent takes force and what the joint holds.

    free: a ball joint, which holds no moment; else only the moment about the pin (a column of a rotation) is left.
    """
    fx, fy, fz = wrench[child, 0], wrench[child, 1], wrench[child, 2]
    x, y, z = position[child, 0] - px, position[child, 1] - py, position[child, 2] - pz
    mx = wrench[child, 3] + y * fz - z * fy
    my = wrench[child, 4] + z * fx - x * fz
    mz = wrench[child, 5] + x * fy - y * fx
    kx, ky, kz = mx, my, mz
    if not free:
        turn = mx * pin[0, 0] + my * pin[1, 0] + mz * pin[2, 0]
        kx, ky, kz = turn * pin[0, 0], turn * pin[1, 0], turn * pin[2, 0]
    x, y, z = px - position[parent, 0], py - position[parent, 1], pz - position[parent, 2]
    add_force(wrench, parent, x, y, z, fx, fy, fz)
    wrench[parent, 3] += mx - kx
    wrench[parent, 4] += my - ky
    wrench[parent, 5] += mz - kz
    wrench[child, 0] = wrench[child, 1] = wrench[child, 2] = 0.0
    wrench[child, 3], wrench[child, 4], wrench[child, 5] = kx, ky, kz


def reduce(plant: Plant, mem: Memory, wrench: Floats) -> None:
    """Reduce the wrenches (6, 6) of a step just done, in place."""
    position, turn = mem.state, mem.turn
    ux, uy, uz = turned(turn[at.MAST], plant.link[at.L_UX], 0.0, plant.link[at.L_UZ])
    slide_to_parent(at.CARRIAGE, at.MAST, ux, uy, uz, position, wrench)
    r = turn[at.CHASSIS]
    if plant.mass[at.COUNTERWEIGHT] > 0.0:
        slide_to_parent(at.COUNTERWEIGHT, at.CHASSIS, -r[0, 0], -r[1, 0], -r[2, 0], position, wrench)
    x, y, z = turned(r, plant.mast[at.M_CX], plant.mast[at.M_CY], plant.mast[at.M_CZ])
    x, y, z = x + position[at.CHASSIS, 0], y + position[at.CHASSIS, 1], z + position[at.CHASSIS, 2]
    hinge_to_parent(at.MAST, at.CHASSIS, x, y, z, r, True, position, wrench)
    x, y, z = turned(r, plant.axle[at.A_CX], plant.axle[at.A_CY], plant.axle[at.A_CZ])
    x, y, z = x + position[at.CHASSIS, 0], y + position[at.CHASSIS, 1], z + position[at.CHASSIS, 2]
    hinge_to_parent(at.AXLE, at.CHASSIS, x, y, z, r, False, position, wrench)
