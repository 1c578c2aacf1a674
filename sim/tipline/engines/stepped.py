"""A run step by step: the kernels give the forces, pybullet moves the bodies."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.engines.loop import Loop
from tipline.kernels import layout as at
from tipline.kernels import reading
from tipline.kernels import watching as w
from tipline.kernels.compiled import compiled
from tipline.results import PYBULLET

if TYPE_CHECKING:
    from tipline.engines.prepare import Prepared
    from tipline.engines.world import World

__all__ = ["Stepped"]

Array = NDArray[np.float64]


class Stepped(Loop):
    """One run under way in pybullet."""

    engine, looks, reads = PYBULLET, 1, True

    def __init__(self, prepared: Prepared, world: World, losses: Array | None = None) -> None:
        super().__init__(prepared, prepared.build.plant, np.zeros((reading.ROWS, 13)), losses)
        self.world, self.calls = world, self.wrench[at.N_BODY :].reshape(reading.CALLS, 3)
        self._gravities = prepared.commands.table[:, [at.K_GX, at.K_GY, at.K_GZ]]
        changes = np.flatnonzero((np.diff(self._gravities, axis=0) != 0.0).any(axis=1)) + 1
        self._turns = {0, *changes.tolist()}

    def _advance(self, begin: int, stop: int) -> float:
        _, _, dt, reads, state, *arrays = self.arguments(begin, stop)
        step, world, calls, turns, fastest = compiled("roll_out"), self.world, self.calls, self._turns, 0.0
        ends = self.watch.rule[w.R_GOES_ON] == 0.0
        read, apply, advance = world.read_joints, world.apply, world.step
        for k in range(begin, stop):
            if k in turns:
                world.set_gravity(self._gravities[k])
            read(state)
            _, fastest = step(k, k + 1, dt, reads, state, *arrays)
            apply(calls)
            advance()
            self.k = k + 1
            if ends and self.ended:
                break
        return fastest
