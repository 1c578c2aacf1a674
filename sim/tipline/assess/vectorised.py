"""Many set-ups or many directions of gravity at once: distances to the tip lines as arrays.

`rigid_distances` takes the truck undeformed and is plain array algebra, for maps over loads, heights and slopes.
`compliant_distances` solves every pose with the compiled kernels, for what springs and play do to one set-up.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tipline.assess import lines
from tipline.assess.statics import Truck
from tipline.kernels import equilibrium as solver
from tipline.kernels import layout as at

__all__ = ["Solved", "compliant_distances", "poses", "rigid_distances"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Solved:
    """Poses under n gravities: ``stands`` (n,), tyre ``loads`` (n, tyres) [N], ``distances`` (n,) [m] by line.

    Where the truck does not stand, loads and distances are nan.
    """

    stands: NDArray[np.bool_]
    loads: Array
    distances: dict[str, Array]


def rigid_distances(
    truck: Truck,
    gravity: ArrayLike,
    load: ArrayLike | None = None,
    lift: ArrayLike = 0.0,
    extension: ArrayLike = 0.0,
) -> dict[str, Array]:
    """Return the distances to each tip and swing line of n rigid set-ups, (n,) [m] by line.

    Parameters
    ----------
    gravity : (n, 3) or (3,)
        Effective gravity in truck axes [m/s2]: slope and commanded acceleration taken in.
    load : (n,) or float
        Gross load at its place [kg]; the case's own when left out.
    lift, extension : (n,) or float
        Carriage and load raised, counterweight slid back, against the set-up [m].
    """
    plant, assembly = truck.plant, truck.assembly
    pull = np.atleast_2d(np.asarray(gravity, dtype=np.float64))
    loads = np.asarray(truck.load_mass if load is None else load, dtype=np.float64)
    raised, slid = np.asarray(lift, dtype=np.float64), np.asarray(extension, dtype=np.float64)
    n = np.broadcast_shapes(pull.shape[:1], loads.shape, raised.shape, slid.shape)
    way = np.array([plant.link[at.L_UX], 0.0, plant.link[at.L_UZ]])
    own, mass, centre = assembly.mass, plant.mass, truck.build.centre
    hook = centre[at.CARRIAGE] + plant.link[at.L_HX : at.L_HZ + 1]
    bare = [at.CHASSIS, at.AXLE, at.MAST, at.CARRIAGE]
    moment = np.broadcast_to(mass[bare] @ centre[bare] + loads[..., None] * hook, (*n, 3)).copy()
    moment += ((own[at.CARRIAGE] + loads) * raised)[..., None] * way
    moment[..., 0] -= own[at.COUNTERWEIGHT] * slid
    total = np.broadcast_to(mass[bare].sum() + loads, n)
    rot, position = np.tile(np.eye(3), (at.N_BODY, 1, 1)), centre.copy()
    middles = lines.treads(plant.tyre, position, rot)[:, (at.STRIPS - 1) // 2]
    foot = lines.feet(truck.outline, plant.tyre, position, rot, np.ones(len(middles)), middles)
    force, turning = total[..., None] * pull, np.cross(moment, pull)
    axle = mass[at.AXLE] * pull
    frame, frame_turning = force - axle, turning - np.cross(centre[at.AXLE], axle)
    middle = (moment - mass[at.AXLE] * centre[at.AXLE]) / (total - mass[at.AXLE])[..., None]
    ends = lines.line_ends(truck.outline, foot, position, rot)
    return lines.distances(truck.outline, ends, rot, (force, turning), (frame, frame_turning), middle)


def poses(truck: Truck, q: Array) -> tuple[Array, Array]:
    """Return position (n, 6, 3) and rotation (n, 6, 3, 3) of the bodies at unknowns q (n, 8), as the kernel for one."""
    plant, home = truck.plant, truck.build.home
    zero = np.zeros(len(q))
    n = len(q)
    position, rot = np.zeros((n, at.N_BODY, 3)), np.tile(np.eye(3), (n, at.N_BODY, 1, 1))
    base = _turn(np.array([[0.0, 0.0, home[2]]]))
    r = _turn(np.column_stack((q[:, solver.Q_ROLL], q[:, solver.Q_PITCH], zero))) @ base
    rot[:, at.CHASSIS] = rot[:, at.COUNTERWEIGHT] = r
    foot = np.column_stack((np.full(n, home[0]), np.full(n, home[1]), q[:, solver.Q_HEIGHT]))
    position[:, at.CHASSIS] = foot - r @ home[3:6]
    rot[:, at.AXLE] = r @ _turn(np.column_stack((q[:, solver.Q_AXLE], zero, zero)))
    rot[:, at.MAST] = rot[:, at.CARRIAGE] = r @ _turn(q[:, solver.Q_MAST_X : solver.Q_MAST_Z + 1])
    for body, row, first, second in (
        (at.AXLE, plant.axle, at.A_CX, at.A_AX),
        (at.MAST, plant.mast, at.M_CX, at.M_MX),
    ):
        joint = position[:, at.CHASSIS] + r @ row[first : first + 3]
        position[:, body] = joint - rot[:, body] @ row[second : second + 3]
    link = plant.link
    away = link[at.L_CX : at.L_CZ + 1] + q[:, solver.Q_LIFT, None] * np.array([link[at.L_UX], 0.0, link[at.L_UZ]])
    position[:, at.CARRIAGE] = position[:, at.MAST] + np.einsum("nij,nj->ni", rot[:, at.MAST], away)
    position[:, at.COUNTERWEIGHT] = position[:, at.CHASSIS] + r @ link[at.L_SX : at.L_SZ + 1]
    return position, rot


def _turn(vector: Array) -> Array:
    """Return the rotations (n, 3, 3) of rotation vectors (n, 3)."""
    x, y, z = vector.T
    t = np.sqrt(x * x + y * y + z * z)
    s, c = np.sinc(t / np.pi), 0.5 * np.sinc(0.5 * t / np.pi) ** 2
    rows = (
        (1 - c * (y * y + z * z), c * x * y - s * z, c * x * z + s * y),
        (c * x * y + s * z, 1 - c * (x * x + z * z), c * y * z - s * x),
        (c * x * z - s * y, c * y * z + s * x, 1 - c * (x * x + y * y)),
    )
    return np.asarray(np.stack([np.stack(row, axis=-1) for row in rows], axis=-2))


def compliant_distances(truck: Truck, gravities: Array, lean: float = 1.0) -> Solved:
    """Solve one set-up under many gravities (n, 3) in the world [m/s2]; neighbours should differ little.

    ``lean`` says to which side the mast's play lies at the start, +1 left, -1 right. Loads numba.
    """
    from tipline.kernels.compiled import compiled

    n, plant = len(gravities), truck.plant
    starts, loads, status = np.zeros((n, solver.N_Q)), np.zeros((n, len(plant.tyre))), np.zeros(n)
    contacts = np.zeros((*loads.shape, 3))
    starts[0] = truck.start(lean)
    compiled("solve_many")(
        starts, plant, np.ascontiguousarray(gravities), truck.build.home, np.zeros(0), np.zeros(3), loads, contacts,
        status,
    )  # fmt: skip
    stands = status == solver.STANDS
    position, rot = poses(truck, starts)
    carried = position.copy()
    carried[:, at.LOAD] = position[:, at.CARRIAGE] + rot[:, at.CARRIAGE] @ plant.link[at.L_HX : at.L_HZ + 1]
    foot = lines.feet(truck.outline, plant.tyre, position, rot, loads, contacts)
    ends = lines.line_ends(truck.outline, foot, position, rot)
    forces = plant.mass[:, None] * gravities[:, None, :]
    on_frame = np.arange(at.N_BODY) != at.AXLE
    whole, frame = lines.resultant(forces, carried), lines.resultant(forces[:, on_frame], carried[:, on_frame])
    mass = plant.mass * on_frame
    centre = np.einsum("b,nbi->ni", mass, carried) / mass.sum()
    distances = lines.distances(truck.outline, ends, rot, whole, frame, centre)
    known = {name: np.where(stands, apart, np.nan) for name, apart in distances.items()}
    return Solved(stands, np.where(stands[:, None], loads, np.nan), known)
