"""A run in compiled code alone: the same forces and the same watch, on bodies in joint coordinates."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.engines.loop import LOOKS, Loop
from tipline.kernels import dynamics as joint
from tipline.kernels import equilibrium as rest
from tipline.kernels import layout as at
from tipline.kernels import reading
from tipline.kernels.compiled import compiled
from tipline.kernels.vector import quaternion_product
from tipline.results import COMPILED

if TYPE_CHECKING:
    from tipline.engines.prepare import Prepared

__all__ = ["Rolling", "own_axes", "state_of"]

Array = NDArray[np.float64]


class Rolling(Loop):
    """One run under way in compiled code."""

    engine, looks, reads = COMPILED, LOOKS, False

    def __init__(self, prepared: Prepared, losses: Array | None = None) -> None:
        super().__init__(prepared, own_axes(prepared.build.plant), state_of(prepared), losses)

    def _advance(self, begin: int, stop: int) -> float:
        self.k, _ = compiled("roll_out")(*self.arguments(begin, stop))
        return float(np.abs(self._memory.now).max())


def own_axes(plant: at.Plant) -> at.Plant:
    """Return the plant with each body's axes as the frame that its state is kept in."""
    frame = np.zeros((at.N_BODY, 4))
    frame[:, 3] = 1.0
    return plant._replace(frame=frame)


def state_of(prepared: Prepared) -> Array:
    """Return a state buffer (ROWS, 13) [SI] with joint coordinates and speeds at time zero."""
    raw, q, frame = prepared.raw, prepared.q, prepared.build.plant.frame
    state = np.zeros((reading.ROWS, 13))
    both = state[reading.X_ROW : reading.SCRATCH].reshape(-1)
    x, u = both[: joint.N_X], both[joint.N_X :]
    for body, place, speed in ((at.CHASSIS, joint.X_PLACE, joint.U_SPEED), (at.LOAD, joint.X_LOAD, joint.U_LOAD)):
        x[place : place + 3] = raw[body, :3]
        quaternion_product(raw[body, 3:7], frame[body], x[place + 3 : place + 7])
        u[speed : speed + 6] = raw[body, 7:]
    x[joint.X_AXLE], x[joint.X_LIFT] = q[rest.Q_AXLE], q[rest.Q_LIFT]
    angle = q[[rest.Q_MAST_X, rest.Q_MAST_Y, rest.Q_MAST_Z]]
    size = sqrt(angle @ angle)
    share = np.sin(size / 2) / size if size > 0.0 else 0.5
    x[joint.X_MAST : joint.X_MAST + 4] = [*(share * angle), np.cos(size / 2)]
    return state
