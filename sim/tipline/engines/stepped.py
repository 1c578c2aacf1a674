"""A run step by step: the kernels give the forces, pybullet moves the bodies."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipline.engines.loop import Loop
from tipline.engines.watching import watch_of
from tipline.kernels import layout as at
from tipline.kernels import reading
from tipline.kernels.compiled import compiled
from tipline.kernels.packed import pack
from tipline.results import PYBULLET

if TYPE_CHECKING:
    from tipline.engines.prepare import Prepared
    from tipline.engines.world import World

__all__ = ["Stepped"]

Array = NDArray[np.float64]


class Stepped(Loop):
    """One run under way in pybullet."""

    engine, kernel, looks = PYBULLET, "packed_step", 1

    def __init__(self, prepared: Prepared, world: World, losses: Array | None = None) -> None:
        dt = prepared.case.scenario.run.time_step
        packed = pack(prepared.build.plant, prepared.memory, watch_of(prepared, dt, losses))
        self.buffer, self.index, plant, memory, watch = packed
        super().__init__(prepared, plant, memory, watch)
        self.world = world
        self.state, self.wrench = np.zeros((reading.ROWS, 13)), np.zeros((6 + reading.CALLS // 2, 6))
        self._raw, self.calls = self.state[:6], self.wrench[6:].reshape(reading.CALLS, 3)
        self._gravities = prepared.commands.table[:, [at.K_GX, at.K_GY, at.K_GZ]]
        changes = np.flatnonzero((np.diff(self._gravities, axis=0) != 0.0).any(axis=1)) + 1
        self._turns = {0, *changes.tolist()}

    def advance_to(self, end: float, progress: Callable[[float], None] | None) -> None:
        """Step as `Loop` says, and take over the places that tyres opened."""
        super().advance_to(end, progress)
        self.prepared.build.plant.place[:] = self._plant.place

    def arguments(self, begin: int, stop: int) -> tuple[Any, ...]:
        """Return what `packed_step` is called with for the first of the steps."""
        table, record = self.prepared.commands.table, self.record
        return begin, self.dt, self.state, table, self.wrench, record, self.buffer, self.index

    def _advance(self, begin: int, stop: int) -> float:
        _, dt, state, table, wrench, record, buffer, index = self.arguments(begin, stop)
        step, world, calls, turns, fastest = compiled(self.kernel), self.world, self.calls, self._turns, 0.0
        read, apply, advance = world.read_joints, world.apply, world.step
        for k in range(begin, stop):
            if k in turns:
                world.set_gravity(self._gravities[k])
            read(state)
            fastest = step(k, dt, state, table, wrench, record, buffer, index)
            apply(calls)
            advance()
        self.k = stop
        return fastest
