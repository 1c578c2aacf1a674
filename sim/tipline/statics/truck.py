"""The truck of a case at rest: poses under any gravity, their tyre loads and distances.

A lifted load acts as a weight at the hook, and on the forks as a weight at its own centre, fixed to the carriage; so
its weight can be changed without building the truck anew. The kernels run uncompiled here, a pose takes milliseconds;
who has numba loaded anyway asks for them compiled, and gets the same pose to rounding in a fiftieth of the time.

Source: [TextbookMechanics]
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import isfinite
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipline.endings import LINES
from tipline.errors import NumericalError
from tipline.geometry.assembly import Assembly, assemble
from tipline.geometry.outline import Outline, outline
from tipline.geometry.plant import Build, build, gravity
from tipline.kernels import equilibrium as solver
from tipline.kernels import layout as at
from tipline.kernels import tiplines
from tipline.kernels import watching as w
from tipline.kernels.uncompiled import for_python, plant_for_python
from tipline.scenario import Case

__all__ = ["Pose", "Truck", "solve_compiled", "truck_of"]

Array = NDArray[np.float64]
_EDGE = 1e-6
"""Part of the play within which a mast is at its edge (numerical)."""


@dataclass(frozen=True)
class Pose:
    """One solved pose under one gravity.

    ``q`` (8,) [m, rad] as in the equilibrium kernel, ``stiffness`` (8, 8) [N/m, N, N m] at it; ``gravity`` (3,) [m/s2];
    ``position`` (6, 3) [m], ``rot`` (6, 3, 3) of the bodies; ``tyre`` (n, 14) state of each tyre; ``force`` [N],
    ``moment`` [N m] (3,) about the origin: all that presses on the tyres. ``distances`` to tip and swing lines [m], and
    the ``ends`` (3,) [m] of each.
    """

    stands: bool
    q: Array
    gravity: Array
    stiffness: Array
    position: Array
    rot: Array
    tyre: Array
    force: Array
    moment: Array
    distances: dict[str, float]
    ends: dict[str, tuple[Array, Array]]

    @property
    def loads(self) -> Array:
        """Tyre loads (n,) [N]."""
        return self.tyre[:, 0]


@dataclass(frozen=True)
class Truck:
    """A truck in its set-up, ready to be solved; in ``plant`` the lifted load is a weight on the carriage."""

    case: Case
    assembly: Assembly
    build: Build
    plant: at.Plant
    outline: Outline
    _rests: dict[tuple[bytes, float, bool], Pose] = field(default_factory=dict, repr=False, compare=False)

    @property
    def load_mass(self) -> float:
        """Gross load [kg]."""
        return float(self.plant.mass[at.LOAD])

    @cached_property
    def plain(self) -> at.Plant:
        """The plant in arrays of Python's own floats."""
        return plant_for_python(self.plant)

    @property
    def hung(self) -> bool:
        """Whether the lifted load hangs on a rope."""
        return self.case.load is not None and self.case.load.hung_by is not None

    def with_load(self, mass: float) -> Truck:
        """Return the truck with another gross load [kg] at the same place."""
        masses = self.plant.mass.copy()
        masses[at.LOAD] = mass
        return Truck(self.case, self.assembly, self.build, self.plant._replace(mass=masses), self.outline)

    def gravity(self, slope: float, azimuth: float) -> Array:
        """Return gravity (3,) [m/s2] in the world for a floor that falls towards an azimuth from the heading [rad]."""
        return gravity(slope, azimuth + self.case.scenario.setup.heading)

    def ahead(self) -> Array:
        """Return the unit vector (3,) along the heading."""
        heading = self.case.scenario.setup.heading
        return np.array([np.cos(heading), np.sin(heading), 0.0])

    def start(self, lean: float) -> Array:
        """Return a start q (8,) [m, rad], the mast's play to one side (lean +1 left, -1 right), else as it weighs."""
        q = np.zeros(solver.N_Q)
        carried = self.plant.mass[at.MAST : at.CARRIAGE + 1]
        arm = self.build.centre[at.MAST : at.CARRIAGE + 1, 0] - self.assembly.points.mast_joint[0]
        moment = float(carried @ arm)
        if self.load_mass > 0.0:
            moment += self.load_mass * (self._load_point()[0] - self.assembly.points.mast_joint[0])
        q[solver.Q_MAST_X] = -lean * self.plant.mast[at.M_PX]
        q[solver.Q_MAST_Y] = self.plant.mast[at.M_PY] * (1.0 if moment >= 0.0 else -1.0)
        return q

    def _load_point(self) -> Array:
        point: Array = self.build.centre[at.CARRIAGE] + self.plant.link[at.L_HX : at.L_HZ + 1]
        return point

    def rest(self, pull: Array, lean: float, *, strict: bool = False, compiled: bool = False) -> Pose:
        """Return the pose under gravity ``pull`` (3,) [m/s2], the mast's play to one side as in `start`.

        One that stands, or falls by a strict search, is kept. A search that ends with the play on the other side, or
        nowhere, is made once more from the other side's pose mirrored; where there is no pose on the side that is
        asked for, it is the other one.

        Raises
        ------
        NumericalError
            As in `solve`.
        """
        key = self._key(pull, lean, compiled)
        if key not in self._rests:
            other = self._rests.get(self._key(pull, -lean, compiled))
            pose = self._resting(pull, lean, other, strict=strict, compiled=compiled)
            if not (pose.stands or strict):
                return pose
            self._rests[key] = pose
        return self._rests[key]

    @staticmethod
    def _key(pull: Array, lean: float, compiled: bool) -> tuple[bytes, float, bool]:
        return np.asarray(pull, dtype=np.float64).tobytes(), lean, compiled

    def _resting(self, pull: Array, lean: float, other: Pose | None, *, strict: bool, compiled: bool) -> Pose:
        """Search for a pose at rest; from that on the other side mirrored where it is known: mostly its twin."""
        twin = None
        if other is not None and self.leans(other, -lean):
            twin = self.solve(pull, self._mirrored(other), compiled=compiled)
            if self.leans(twin, lean):
                return twin
        pose = self.solve(pull, self.start(lean), strict=strict, compiled=compiled)
        if self.leans(pose, lean):
            return pose
        if twin is None:
            other = pose if pose.stands else self.solve(pull, self.start(-lean), strict=strict, compiled=compiled)
            twin = self.solve(pull, self._mirrored(other), compiled=compiled) if other.stands else pose
            if strict and not other.stands:
                self._rests[self._key(pull, -lean, compiled)] = other  # it was tried from both sides
        return twin if self.leans(twin, lean) or not pose.stands else pose

    def rest_near(self, pull: Array, near: Sequence[Pose]) -> None:
        """Find the poses at rest under gravity ``pull`` (3,) [m/s2] to either side from those of a truck that is near.

        ``near``: its mast's play to the left, and to the right; one where it hangs still. They are kept for `rest`,
        nothing where one does not stand. A side is tried from its own and from the other one's mirrored, as there.
        """
        pose = self.solve(pull, near[0])
        twin = pose if self.hangs_still(pose) or not pose.stands else self.solve(pull, self._mirrored(pose))
        if not twin.stands:
            return
        side = 1.0 if self.leans(pose, 1.0) else -1.0
        if side > 0.0 and not self.leans(twin, -side):
            twin = self.solve(pull, near[-1])
        self._rests[self._key(pull, side, False)] = pose
        self._rests[self._key(pull, -side, False)] = twin if self.leans(twin, -side) else pose

    def _mirrored(self, pose: Pose) -> Pose:
        """Return a pose to start from, its unknowns mirrored in the truck's own middle plane, its stiffness kept."""
        return replace(pose, q=solver.mirrored(pose.q, self.case.scenario.setup.heading))

    def leans(self, pose: Pose, lean: float) -> bool:
        """Whether a pose stands with the mast's play on a side; one whose mast hangs still does not lean otherwise."""
        return pose.stands and (self.hangs_still(pose) or lean * pose.q[solver.Q_MAST_X] < 0.0)

    def hangs_still(self, pose: Pose) -> bool:
        """Whether a mast without play, or one that hangs within it, stands the same whichever way it is asked to lean.

        Stable within its play it is more so outside: there is no other pose.
        """
        play = self.plant.mast[at.M_PX]
        return bool(play == 0.0 or abs(pose.q[solver.Q_MAST_X]) < (1.0 - _EDGE) * play)

    def solve(
        self,
        pull: Array,
        start: Array | Pose,
        on_load: Array | None = None,
        *,
        strict: bool = False,
        compiled: bool = False,
    ) -> Pose:
        """Find the pose under gravity ``pull`` (3,); ``on_load`` (3,) [N] is a further force on the load.

        From a pose nearby the search takes over its stiffness, which is quicker than from bare unknowns (8,). At the
        edge of falling a search may end nowhere; that counts as not standing, which errs to the near side of a limit.
        ``compiled`` loads numba.

        Raises
        ------
        NumericalError
            The search found neither a pose nor a fall, and ``strict`` is on.
        """
        outside = np.zeros((6, 6))
        if on_load is not None:
            outside[at.LOAD, :3] = on_load
        search, form, plant = self._search(compiled=compiled)
        position, rot, tyre = form(np.zeros((6, 3))), form(np.zeros((6, 3, 3))), form(np.zeros((len(plant.tyre), 14)))
        fixed = plant, form(pull), form(outside), form(self.build.home), form(np.zeros(0)), form(np.zeros(3))
        status, iterations, left = solver.FAILED, 0, 0.0
        for reuse in (True, False) if isinstance(start, Pose) and start.stands else (False,):
            k = form(start.stiffness if isinstance(start, Pose) else np.zeros((solver.N_Q, solver.N_Q)))
            q = form(start.q if isinstance(start, Pose) else start)
            status, iterations, left, *_ = search(q, *fixed, position, rot, tyre, k, reuse, *solver.USUAL)
            if status != solver.FAILED:
                break
        stood = _Stood(self, pull, on_load, *(for_python(array) for array in (position, rot, tyre)))
        q, k, position, rot, tyre = (array.astype(np.float64) for array in (q, k, position, rot, tyre))
        if status == solver.FAILED and strict:
            away = f"force left over {left:.1e} of the weight" if isfinite(left) else "the search ran away"
            msg = f"no pose at rest was found in {iterations} steps ({away})"
            raise NumericalError(
                msg,
                quantity="equilibrium",
                remedy="Check stiffnesses and roller play of the machine, or change the set-up a little",
            )
        force, moment = stood.pressing()
        apart, ends = stood.distances(), stood.ends()
        return Pose(status == solver.STANDS, q, pull, k, position, rot, tyre, force, moment, apart, ends)

    def _search(self, *, compiled: bool) -> tuple[Callable[..., Any], Callable[[Array], Array], at.Plant]:
        """Return the kernel that finds a pose, what copies an array into the form it takes, and the truck in that."""
        if not (compiled or _COMPILED):
            return solver.solve, for_python, self.plain
        from tipline.kernels.compiled import compiled as kernel

        return kernel("solve"), np.array, self.plant


class _Stood:
    """Tip lines in a pose, by the kernel that watches a run: uncompiled, on arrays of Python's own floats."""

    def __init__(
        self, truck: Truck, pull: Array, on_load: Array | None, position: Array, rot: Array, tyre: Array
    ) -> None:
        self._truck, self._plant, self._row = truck, truck.plain, for_python(truck.outline.row)
        self._position, self._rot = position, rot
        self._foot, self._sums = for_python(np.zeros((tiplines.N_FOOT, 4))), for_python(np.zeros((2, 6)))
        record = for_python(np.zeros((len(tyre), at.N_TYRE_RECORD)))
        record[:, at.R_LOAD], record[:, at.R_CX : at.R_CZ + 1] = tyre[:, 0], tyre[:, 4:7]
        places = for_python(np.zeros(len(truck.plant.place)))
        tiplines.contacts(self._plant, places, position, rot, self._row, record.reshape(-1), self._foot)
        gravity = (float(pull[0]), float(pull[1]), float(pull[2]))
        load, whole, frame = truck.load_mass, self._sums[0], self._sums[1]
        tiplines.weighing(gravity, load, self._plant, position, rot, self._row, whole, frame)
        if on_load is not None:
            point = tiplines.hook(self._plant, position, rot)
            for sum in (whole, frame):
                tiplines.add_at(*point, float(on_load[0]), float(on_load[1]), float(on_load[2]), sum)

    def pressing(self) -> tuple[Array, Array]:
        """Return the force (3,) and moment about the origin (3,) of all that presses on the tyres."""
        whole = self._sums[0].astype(np.float64)
        return whole[:3], whole[3:]

    def distances(self) -> dict[str, float]:
        """Return the distance to each tip line, and to the swing lines of a pivoting axle [m]."""
        out, row = for_python(np.zeros(w.N_LINES)), self._row
        load = self._truck.load_mass
        _, *middle = tiplines.carried_centre(load, self._plant, self._position, self._rot, row, False)
        centre = (middle[0], middle[1], middle[2])
        tiplines.distances(self._plant, self._rot, row, self._foot, self._sums, centre, out)
        return {name: float(value) for name, value in zip(_names(self._truck), out, strict=False)}

    def ends(self) -> dict[str, tuple[Array, Array]]:
        """Both ends (3,) of each line."""
        foot = self._foot[:, :3].astype(np.float64)
        return {
            name: (foot[start], foot[end])
            for name, start, end in zip(_names(self._truck), tiplines.START, tiplines.END, strict=False)
        }


def _names(truck: Truck) -> tuple[str, ...]:
    return (*LINES, "swing.left", "swing.right") if truck.outline.pivots else LINES


_COMPILED: list[bool] = []


def solve_compiled() -> None:
    """Find every pose of this process by compiled kernels: for one that stays, and is asked for many."""
    _COMPILED[:] = [True]


_KEPT: list[Truck] = []


def truck_of(case: Case) -> Truck:
    """Build the truck of a case in its set-up at time zero; the last one is kept for who asks next of that case."""
    if not _KEPT or _KEPT[0].case is not case:
        _KEPT[:] = [_built(case)]
    return _KEPT[0]


def _built(case: Case) -> Truck:
    setup = case.scenario.setup
    assembly = assemble(case.machine, setup, case.load)
    standing = replace(assembly, contacts=(), boxes=())  # at rest it stands on its tyres, and no body meets another
    built = build(case.machine, setup, standing, case.floor, case.load, {at.COUNTERWEIGHT: at.CHASSIS})
    plant = built.plant._replace(tyre=_gripping(case, built))
    if case.load is not None and case.load.hung_by is None:
        link = plant.link.copy()
        link[at.L_HX : at.L_HZ + 1] = built.centre[at.LOAD] - built.centre[at.CARRIAGE]
        plant = plant._replace(link=link)
    return Truck(case, assembly, built, plant, outline(built, plant, hangs=True))


def _gripping(case: Case, built: Build) -> Array:
    """Return the plant's tyres with the friction of the part of the floor that each stands on."""
    setup, floor, rows = case.scenario.setup, case.floor, built.plant.tyre.copy()
    c, s = np.cos(setup.heading), np.sin(setup.heading)
    tyres = [(0.0, tyre) for tyre in case.machine.drive_axle.tyre]
    tyres += [(-case.machine.wheelbase, tyre) for tyre in case.machine.steer_axle.tyre]
    for row, (x, tyre) in zip(rows, tyres, strict=True):
        place = setup.position[0] + c * x - s * tyre.across, setup.position[1] + s * x + c * tyre.across
        row[at.T_MU] *= floor.friction_at(place, tyre.kind) / floor.friction.against(tyre.kind)
    return rows
