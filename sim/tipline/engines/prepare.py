"""From a case to everything an engine starts from: plant, commands, places and the pose at rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, isfinite, sin, sqrt
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from tipline.engines.commands import CommandTable, PlaceOrder, brief_commands, commands, place_orders
from tipline.engines.laid import grip, lay
from tipline.engines.stand import stand
from tipline.engines.taken_to import side_taken
from tipline.engines.truck import Packed, pack
from tipline.errors import InputError, NumericalError
from tipline.geometry.ground import ZoneLaw, floor_rise, zone_laws
from tipline.geometry.plant import Build, quaternion_of
from tipline.kernels import equilibrium as rest
from tipline.kernels import layout as at
from tipline.kernels.compiled import compiled
from tipline.kernels.ground import zone_at
from tipline.kernels.vector import quaternion_product
from tipline.model.load import LiftedLoad
from tipline.scenario.spec import Scenario, Swing
from tipline.units import MILLIMETRE

if TYPE_CHECKING:
    from tipline.geometry.assembly import Assembly
    from tipline.geometry.boxes import Box
    from tipline.scenario.case import Case

__all__ = ["Prepared", "fill_place", "prepare", "size_of", "unposed"]

Array = NDArray[np.float64]

_BENDINGS, _BENT = 12, 1e-9
"""How often at most the pose is found anew as the floor bends under it, and the change [m] that ends it (numerical)."""


@dataclass(frozen=True)
class Prepared:
    """What every engine starts from.

    Attributes
    ----------
    packed : the truck by itself; build : it on its places, as it moves
    commands : table over the longest time the run may take
    orders : places on the floor, in the order of the plant's rows
    zones : how the floor answers the tyres
    posed_from : what its pose follows from, beside the truck
    raw : (6, 13) states at time zero in the engine's frame (see kernels.layout)
    q : unknowns of the pose [m, rad], as in `kernels.equilibrium`
    memory : bristles and spins at time zero
    stands : whether the set-up has an equilibrium; if not, it starts level and is let go
    notes : what a reader should know
    """

    case: Case
    packed: Packed
    build: Build
    commands: CommandTable
    orders: tuple[PlaceOrder, ...]
    zones: tuple[ZoneLaw, ...]
    posed_from: _PosedFrom
    raw: Array
    q: Array
    memory: at.Memory
    stands: bool
    notes: tuple[str, ...]

    @property
    def assembly(self) -> Assembly:
        """The truck's parts."""
        return self.packed.assembly


def prepare(
    case: Case,
    dt: float | None = None,
    zones: Sequence[ZoneLaw] | None = None,
    like: Prepared | None = None,
    *,
    brief: bool = False,
) -> Prepared:
    """Make the truck, its commands and its pose at rest; zones as told, else those of the floor that say so themselves.

    like: another, of which truck and pose are taken where they are the same. brief: the commands only as far as what
    they say last lasts.

    Raises
    ------
    NumericalError
        The equilibrium solver failed, or the time step is too long for a spring of the truck.
    InputError
        The scenario asks for what cannot be simulated.
    """
    parts = _made_from(case, dt, zones, like, brief=brief)
    if like is not None and parts.packed is like.packed and parts.posed_from == like.posed_from:
        return replace(like, case=case, commands=parts.commands, orders=parts.orders)
    still, moving = parts.on_floor()
    packed, taken = parts.packed, parts.posed_from.taken
    pose = _Rest(case.scenario, case.load, still, moving, parts.commands, taken, packed.assembly.boxes)
    raw, notes = pose.raw(), (*pose.notes, *packed.notes)
    return _prepared(case, parts, moving, raw, pose.q, pose.memory(), stands=pose.stands, notes=notes)


def unposed(case: Case) -> tuple[Prepared, Build]:
    """Make all that `prepare` makes but the pose, every body at the origin; and the truck that its pose is found with.

    Nothing of it needs compiled code.
    """
    parts = _made_from(case, None, None, None, brief=False)
    still, moving = parts.on_floor()
    raw, q, memory = np.zeros((6, 13)), np.zeros(rest.N_Q), at.new_memory(moving.plant)
    return _prepared(case, parts, moving, raw, q, memory, stands=False, notes=parts.packed.notes), still


class _PosedFrom(NamedTuple):
    """What a pose follows from, beside the truck: see `_Rest`."""

    placed: list[tuple[int, PlaceOrder, tuple[float, float, float]]]
    at_first: bytes
    taken: int
    swings: list[Swing]
    stand: float


class _MadeFrom(NamedTuple):
    """What a run is made from: its truck, places on its floor and their laws, its commands, what its pose is from."""

    packed: Packed
    orders: tuple[PlaceOrder, ...]
    laws: tuple[ZoneLaw, ...]
    commands: CommandTable
    posed_from: _PosedFrom

    def on_floor(self) -> tuple[Build, Build]:
        """Return the truck on its places, as it stands and as it moves."""
        still, moving = self.packed.on_firm_floor()
        for index, order, where in self.posed_from.placed:
            fill_place(moving.plant, index, order, *where)
            fill_place(still.plant, index, order, *where)
        return still, moving


def _prepared(
    case: Case, parts: _MadeFrom, moving: Build, raw: Array, q: Array, memory: at.Memory, *, stands: bool,
    notes: tuple[str, ...],
) -> Prepared:  # fmt: skip
    packed, orders, laws, command_table, posed_from = parts
    return Prepared(case, packed, moving, command_table, orders, laws, posed_from, raw, q, memory, stands, notes)


def _made_from(
    case: Case, dt: float | None, zones: Sequence[ZoneLaw] | None, like: Prepared | None, *, brief: bool
) -> _MadeFrom:
    step, scenario = dt or case.scenario.run.time_step, case.scenario
    names = [tyre.name for tyre in (*case.machine.drive_axle.tyre, *case.machine.steer_axle.tyre)]
    laws = zone_laws(case.floor, case.machine.drive_axle.tyre[0].kind) if zones is None else tuple(zones)
    orders = place_orders(case.inputs, case.floor, names, laws)
    packed, users = pack(case, laws, len(orders), step, None if like is None else like.packed)
    longest = max(scenario.run.duration, scenario.run.extend_to) + 2 * step
    before = like.commands if like is not None and packed is like.packed else None
    command_table = (brief_commands if brief else commands)(case, orders, users, packed.moving, step, longest, before)
    placed = [(index, order, order.where) for index, order in enumerate(orders) if order.where is not None]
    swings = [event for event in scenario.event if isinstance(event, Swing)]
    taken, at_first = side_taken(case.inputs, orders, laws), command_table.table[0].tobytes()
    return _MadeFrom(
        packed, orders, laws, command_table, _PosedFrom(placed, at_first, taken, swings, scenario.run.stand)
    )


def fill_place(plant: at.Plant, index: int, order: PlaceOrder, x: float, y: float, heading: float) -> None:
    """Put a place where it belongs."""
    row = plant.place[index]
    row[at.P_X], row[at.P_Y], row[at.P_COS], row[at.P_SIN] = x, y, cos(heading), sin(heading)
    row[at.P_HX], row[at.P_HY], row[at.P_LAW] = order.size[0] / 2, order.size[1] / 2, order.law
    row[at.P_YIELD], row[at.P_HARDEN], row[at.P_RATE], row[at.P_MOST] = order.soil


class _Found(NamedTuple):
    """A pose at rest: stored energy [J], unknowns (8,), and what the search fills."""

    energy: float
    q: Array
    position: Array
    rot: Array
    tyre: Array


class _Rest:
    """The pose at rest of a set-up, in the form an engine starts from."""

    def __init__(
        self,
        scenario: Scenario,
        load: LiftedLoad | None,
        still: Build,
        moving: Build,
        command_table: CommandTable,
        taken: int,
        boxes: tuple[Box, ...],
    ) -> None:
        self._scenario, self._load, self._boxes = scenario, load, boxes
        self._still, self._moving, self._taken = still, moving, taken
        plant = still.plant
        self._position, self._rot = np.zeros((6, 3)), np.zeros((6, 3, 3))
        self._tyre = np.zeros((len(plant.tyre), 14))
        self._gravity = command_table.table[0, [at.K_GX, at.K_GY, at.K_GZ]].copy()
        depth = command_table.table[0, at.K_PLACE : at.K_PLACE + len(plant.place)]
        self._depth = np.where(depth > at.BY_LAW, depth, 0.0)
        self._depth[plant.place[:, at.P_HX] == 0.0] = 0.0
        self.notes: list[str] = []
        self.q = np.zeros(rest.N_Q)
        self.stands = self._solve()
        self.course = np.zeros((0, 0))
        if self.stands and scenario.run.stand > 0.0 and len(plant.zone) > 0:
            self._stand(scenario.run.stand)

    def _solve(self) -> bool:
        plant = self._still.plant
        poses: list[_Found] = []
        first = 1.0 if self._taken >= 0 else -1.0
        for side in (first, -first) if plant.mast[at.M_PX] > 0.0 else (0.0,):
            q = np.zeros(rest.N_Q)
            q[rest.Q_MAST_X], q[rest.Q_MAST_Y] = side * plant.mast[at.M_PX], plant.mast[at.M_PY]
            if poses:  # the same on the other side, and the mast at the other end of its play
                q = rest.mirrored(poses[0].q, self._scenario.setup.heading)
            status, energy = self._find(q)
            if status == rest.STANDS:
                poses.append(_Found(energy, *(array.copy() for array in (q, self._position, self._rot, self._tyre))))
        best = self._chosen(poses)
        if best is None:
            self.q = self._held_level()
            self._forces(self.q)
            self.notes.append(
                "the set-up has no equilibrium: the truck starts level, held by nothing, and is let go at time zero"
            )
        else:
            self.q = best.q
            self._position[:], self._rot[:], self._tyre[:] = best.position, best.rot, best.tyre
        return best is not None and self._bend()

    def _bend(self) -> bool:
        """Let the floor bend under the truck at rest, and the truck come down with it; whether it still stands."""
        still, moving = self._still.plant, self._moving.plant
        for _ in range(_BENDINGS if still.zone[:, at.Z_K].any() else 0):
            before = still.give.copy()
            for i, tyre in enumerate(self._tyre):
                z = zone_at(still.zone, tyre[4], tyre[5])
                k = still.zone[z, at.Z_K] if z >= 0 else 0.0
                still.give[i] = moving.give[i] = max(tyre[0], 0.0) / k if k > 0.0 else 0.0
            if np.abs(still.give - before).max() < _BENT:
                break
            if self._find(self.q)[0] != rest.STANDS:
                return False
        return True

    def _find(self, q: Array) -> tuple[int, float]:
        """Find the equilibrium from q, in place, and fill the rest; return the solver's status and the energy there."""
        status, _, size, _, energy = compiled("solve")(
            q, self._still.plant, self._gravity, np.zeros((6, 6)), self._still.home, self._depth, np.zeros(3),
            self._position, self._rot, self._tyre, np.zeros((rest.N_Q, rest.N_Q)), False, *rest.USUAL,
        )  # fmt: skip
        if status == rest.FAILED:
            away = f"residual {size:.2g} of the weight" if isfinite(size) else "the search ran away"
            msg = f"no equilibrium found, {away}"
            raise NumericalError(msg, time=0.0, quantity="pose at rest", remedy="Check masses and stiffnesses")
        return int(status), float(energy)

    def _chosen(self, poses: list[_Found]) -> _Found | None:
        """Return which of the poses it starts from; None: there is none.

        The mast leans away from the side to which the truck is taken; where it is taken to none, the lower pose. Mirror
        images lie alike, and rounding must not choose between them.
        """
        away = [pose for pose in poses if self._taken * pose.q[rest.Q_MAST_X] > 0.0]
        if away or not poses:
            return away[0] if away else None
        weight = float(self._still.plant.mass.sum() * size_of(self._gravity))
        lowest = poses[0]
        for pose in poses[1:]:
            if pose.energy < lowest.energy - 1e-7 * weight:
                lowest = pose
        return lowest

    def _stand(self, seconds: float) -> None:
        """Let the floor sink under the standing truck before time zero."""
        still, moving = self._still, self._moving
        others = () if moving is still else (moving.plant,)
        stood = stand(still.plant, others, still.home, self._gravity, self._depth, self.q, seconds)
        self.q, self._depth[:], self.stands, self.course = stood.q, stood.depth, stood.stands, stood.course
        deepest = float(stood.depth.max(initial=0.0)) / MILLIMETRE
        ending = "" if stood.ending == "stood" else f"; then {stood.ending}"
        self.notes.append(f"before time zero it stood {stood.seconds:.4g} s: deepest place {deepest:.3g} mm{ending}")
        self._forces(self.q)

    def _forces(self, q: Array) -> None:
        """Fill positions, rotations and tyres at q, where a search would leave it."""
        rest.residual(
            q, self._still.plant, self._gravity, np.zeros((6, 6)), self._still.home, self._depth, np.zeros(3),
            self._position, self._rot, self._tyre, np.zeros(rest.N_Q),
        )  # fmt: skip

    def _held_level(self) -> Array:
        """Return the level pose at which the tyres carry the weight."""
        from scipy.optimize import brentq

        plant, weight = self._still.plant, float(-self._gravity[2] * self._still.plant.mass.sum())
        q = np.zeros(rest.N_Q)
        q[rest.Q_MAST_X], q[rest.Q_MAST_Y] = plant.mast[at.M_PX], plant.mast[at.M_PY]
        carried = float(plant.mass[at.CARRIAGE] + plant.mass[at.LOAD])
        q[rest.Q_LIFT] = carried * self._gravity[2] / plant.link[at.L_CH_K]

        def missing(height: float) -> float:
            q[rest.Q_HEIGHT] = height
            self._forces(q)
            return float(self._tyre[:, 0].sum() - weight)

        q[rest.Q_HEIGHT] = brentq(missing, -0.1, 0.01, xtol=1e-10)
        return q

    def raw(self) -> Array:
        """Return the states (6, 13) at time zero in the engine's frames."""
        moving, raw = self._moving, np.zeros((6, 13))
        if moving is not self._still:
            rest.pose(self.q, moving.plant, moving.home, 0.0, self._position, self._rot)
        raw[:, :3] = self._position
        load, plant = self._load, moving.plant
        if load is not None and plant.mass[at.LOAD] > 0.0:
            if load.hung_by is not None:
                raw[at.LOAD, :3] = self._hung()
            else:
                raw[at.LOAD, :3] = lay(moving, self._boxes, self._position, self._rot, self._gravity)
                self._position[at.LOAD] = raw[at.LOAD, :3]
        for body in range(6):
            quaternion_product(quaternion_of(self._rot[body]), moving.axes[body], raw[body, 3:7])
        heading, speed = self._scenario.setup.heading, self._scenario.setup.speed
        raw[:, 7], raw[:, 8] = speed * cos(heading), speed * sin(heading)
        self._refuse_below_floor(raw)
        return raw

    def _hung(self) -> Array:
        """Place the hung load under the hook along gravity (or at its swing), rope stretched by its weight."""
        plant, heading = self._moving.plant, self._scenario.setup.heading
        hook = self._position[at.CARRIAGE] + self._rot[at.CARRIAGE] @ plant.link[at.L_HX : at.L_HZ + 1]
        down = self._gravity / size_of(self._gravity)
        turn = np.zeros((3, 3))
        rest.exponential(0.0, 0.0, heading, turn)
        turn = _turn_to(turn @ plant.link[at.L_TX : at.L_TZ + 1], -down) @ turn
        for event in self._scenario.event:
            if isinstance(event, Swing):
                azimuth = heading + event.towards
                lean = np.zeros((3, 3))
                rest.exponential(event.angle * sin(azimuth), -event.angle * cos(azimuth), 0.0, lean)
                turn, down = lean @ turn, lean @ down
        pull = float(plant.mass[at.LOAD]) * size_of(self._gravity)
        hung_by = self._load.hung_by if self._load is not None else None
        length = (hung_by or 0.0) + pull / plant.link[at.L_RO_K]
        self._rot[at.LOAD] = turn
        top: Array = hook + length * down
        return top - turn @ plant.link[at.L_TX : at.L_TZ + 1]

    def _refuse_below_floor(self, raw: Array) -> None:
        point = self._moving.plant.point
        body = point[:, at.C_BODY].astype(np.intp)
        x, y, z = (raw[body, :3] + (self._rot[body] @ point[:, at.C_X : at.C_Z + 1, None])[:, :, 0]).T
        height = z - floor_rise(self._moving.plant.ramp, x, y)
        for low in np.flatnonzero(height < -0.02):
            below = -height[low] / MILLIMETRE
            msg = f"a corner of the {at.BODIES[body[low]]} would start {below:.0f} mm below the floor"
            raise InputError(msg, key="setup", remedy="Raise the load or the forks.")

    def memory(self) -> at.Memory:
        """Return bristles bent by the forces at rest, and spins that match the speed."""
        plant, speed = self._moving.plant, self._scenario.setup.speed
        memory = at.new_memory(plant)
        if self.stands:
            memory.bristle[:, 1] = -self._tyre[:, 13] / plant.tyre[:, at.T_KT]
            if speed == 0.0:
                memory.bristle[:, 0] = -self._tyre[:, 12] / plant.tyre[:, at.T_KT]
        memory.spin[:] = speed / (plant.tyre[:, at.T_R] - self._tyre[:, 10])
        if (plant.pair[:, at.Q_RESTS] > 0.0).any():
            grip(self._moving, memory, self._position, self._rot, self._gravity)
        memory.depth[:] = self._depth
        for i, give in enumerate(plant.give):
            z = zone_at(plant.zone, self._tyre[i, 4], self._tyre[i, 5])
            memory.bent[i] = 0.5 * plant.zone[z, at.Z_K] * give * give if z >= 0 else 0.0
        memory.gravity[:] = self._gravity
        return memory


def _turn_to(vector: Array, goal: Array) -> Array:
    """Return the shortest rotation (3, 3) that turns a vector into the direction of a unit vector."""
    (x, y, z), (a, b, c), turn = vector.tolist(), goal.tolist(), np.zeros((3, 3))
    axis = np.array((y * c - z * b, z * a - x * c, x * b - y * a))
    size = sqrt(axis @ axis)
    if size > 0.0:
        axis *= np.arctan2(size, float(vector @ goal)) / size
    rest.exponential(float(axis[0]), float(axis[1]), float(axis[2]), turn)
    return turn


def size_of(vector: Array) -> float:
    """Return the length of a vector (n,), in its own unit, as numpy's norm to the bit."""
    return sqrt(vector @ vector)
