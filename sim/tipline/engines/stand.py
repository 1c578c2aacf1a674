"""Slow time: a truck that stands for minutes on ground that yields or creeps, from one equilibrium to the next.

Same laws as the simulation (kernels), without motion: each step finds the pose at rest, takes the load on each place,
and lets the places sink for a while that is short against what they sink. It ends with the time, where no equilibrium
is left, or where a corner of the truck reaches the floor: from the last pose the simulation goes on.

Source: [Own]
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from tipline.errors import NumericalError
from tipline.kernels import equilibrium as rest
from tipline.kernels import layout as at
from tipline.kernels.compiled import compiled
from tipline.kernels.ground import MARGIN, open_place, sink, zone_at
from tipline.kernels.wheels import tyre_normal

__all__ = ["Stood", "stand"]

Array = NDArray[np.float64]

FINEST = 2e-4
"""Sinking in one step that the step is chosen for [m] (numerical)."""
LONGEST_SHARE = 0.02
"""Longest step as a share of the whole time (numerical)."""
MOST_STEPS = 20000
TOUCH = 2e-3
"""Clearance [m] at which a corner counts as down (numerical)."""


@dataclass(frozen=True)
class Stood:
    """How the truck stood: pose q (8,) [m, rad] and depths (places,) [m] at the end, and the course (n, columns) [SI].

    course: time, depths, tyre loads, roll, pitch
    ending: "stood", "no pose at rest was left" or "the truck touched the floor".
    """

    q: Array
    depth: Array
    seconds: float
    stands: bool
    ending: str
    course: Array


class _Standing:
    """The truck at rest with places that sink."""

    def __init__(self, plant: at.Plant, home: Array, gravity: Array, depth: Array) -> None:
        self.plant, self._home, self._gravity, self.depth = plant, home, gravity, depth
        n = len(plant.tyre)
        self._position, self._rot, self.tyre = np.zeros((6, 3)), np.zeros((6, 3, 3)), np.zeros((n, 14))
        self._memory = at.new_memory(plant)
        self._k, self._ready = np.zeros((rest.N_Q, rest.N_Q)), False

    def solve(self, q: Array) -> bool:
        """Find the equilibrium from q, in place; whether there is one near."""
        status = compiled("solve")(
            q, self.plant, self._gravity, np.zeros((6, 6)), self._home, self.depth, np.zeros(3),
            self._position, self._rot, self.tyre, self._k, self._ready, *rest.USUAL,
        )[0]  # fmt: skip
        if status == rest.FAILED:
            msg = "no equilibrium found while the floor sinks"
            raise NumericalError(msg, quantity="pose at rest", remedy="Shorten run.stand")
        self._ready = bool(status == rest.STANDS)
        return self._ready

    def touches(self) -> bool:
        """Whether a corner of the truck or its load has come down to the floor."""
        point = self.plant.point
        body = point[:, at.C_BODY].astype(np.intp)
        held = (self.plant.mass[body] > 0.0) & (body != at.LOAD)
        up = np.einsum("ni,ni->n", self._rot[body][:, 2], point[:, at.C_X : at.C_Z + 1])
        return bool((self._position[body, 2] + up)[held].min() < TOUCH)

    def open_all(self, others: tuple[at.Plant, ...]) -> None:
        """Open a place under every tyre that stands on a zone that sinks."""
        first = len(self.plant.place) - len(self.plant.tyre)
        for i, (row, tyre) in enumerate(zip(self.plant.tyre, self.tyre, strict=True)):
            z = zone_at(self.plant.zone, tyre[4], tyre[5])
            if z < 0 or self.plant.zone[z, at.Z_LAW] not in (at.ZONE_SOFT, at.ZONE_CREEPS) or tyre[0] <= 0.0:
                continue
            zone, whole = self.plant.zone[z], self.plant.zone[z, at.Z_WHOLE] > 0.0
            if whole and (self.plant.place[first:, at.P_ZONE][self.plant.place[first:, at.P_HX] > 0.0] == z).any():
                continue
            for plant in (self.plant, *others):
                place = plant.place[first + i]
                open_place(place, zone, z, tyre[4], tyre[5], tyre[7], tyre[8], 0.0)
                if not whole:
                    place[at.P_HX] = sqrt(2.0 * row[at.T_R] * (tyre[10] + zone[at.Z_MOST])) + MARGIN
                    place[at.P_HY] = row[at.T_W] * (0.5 + 0.5 / at.STRIPS) + MARGIN
            self.depth[first + i] = 1e-6

    def sink(self, dt: float) -> None:
        """Let the places sink for dt under the loads of the pose last solved."""
        m = len(self.plant.place)
        force, area, on, out = np.zeros(m), np.zeros(m), np.zeros(m), np.zeros(14)
        still, settled = np.zeros((6, 6)), np.full((3, at.STRIPS), -1.0)
        for i, row in enumerate(self.plant.tyre):
            on[:] = 0.0
            tyre_normal(
                i, self.plant, self._position, self._rot, self.depth, still, on, np.zeros(at.STRIPS), settled, out
            )
            if out[0] <= 0.0:
                continue
            force += on
            area += on / out[0] * 2.0 * row[at.T_W] * sqrt(2.0 * row[at.T_R] * max(out[10], 1e-6))
        # no tangent stiffness of the tyre: the truck comes down with the floor, the load stays
        self._memory.depth[:] = self.depth
        sink(dt, self.plant, np.full(at.K_PLACE + m, -1.0), self._memory, force, area, np.zeros(m))
        self.depth[:] = self._memory.depth


def stand(
    plant: at.Plant, others: tuple[at.Plant, ...], home: Array, gravity: Array, depth: Array, q: Array, seconds: float
) -> Stood:
    """Stand for a time [s] on zones that sink.

    plant has the zones and the truck as at rest; others get the same places opened. Depths (n,) are of all places.

    Raises
    ------
    NumericalError
        The equilibrium solver failed, or the time would need more steps than are allowed.
    """
    still = _Standing(plant, home, gravity, depth.copy())
    q, time, dt, course = q.copy(), 0.0, 1e-3, []
    stands, ending = still.solve(q), "stood"
    still.open_all(others)
    for _ in range(MOST_STEPS):
        course.append((time, *still.depth, *still.tyre[:, 0], q[rest.Q_ROLL], q[rest.Q_PITCH]))
        if time >= seconds or ending != "stood":
            return Stood(q, still.depth, time, stands, ending, np.array(course))
        before, kept = still.depth.copy(), q.copy()
        dt = min(dt, seconds - time, LONGEST_SHARE * seconds)
        still.sink(dt)
        most = float((still.depth - before).max(initial=0.0))  # no place: nothing that sinks
        stands = still.solve(q)
        time += dt
        if not stands:
            q[:] = kept  # the last pose at rest; the floor has sunk on from there
            ending = "no pose at rest was left"
        elif still.touches():
            ending = "the truck touched the floor"
        dt *= min(2.0, max(0.2, 0.8 * FINEST / max(most, 1e-12)))
    msg = f"{time:.3g} s of {seconds:.3g} s reached in {MOST_STEPS} steps"
    raise NumericalError(msg, quantity="standing time", remedy="Shorten run.stand")
