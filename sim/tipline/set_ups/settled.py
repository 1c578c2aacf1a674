"""Many set-ups of one truck at once, each as it stands with tyres, mast and chain giving under a load.

The same springs as in a pose at rest, in the plane along the truck: it answers in one go for thousands of set-ups what
a pose answers for one. Tyres press by their own law, the mast turns about its joint past half its play, the chain
stretches; a hung load acts at its hook.

Source: [TextbookMechanics]
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import atan2, cos, hypot, sin

import numpy as np
from numpy.typing import NDArray

from tipline.geometry.assembly import BODIES, assemble
from tipline.geometry.mast_spring import mast_spring
from tipline.geometry.plant import compressions
from tipline.geometry.setting import heights
from tipline.geometry.solids import tilted
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.model.machine import Machine, Tyre
from tipline.scenario.spec import Setup
from tipline.set_ups.cells import CARRYING, Cells

__all__ = ["MachineSprings", "SetUpParts", "SettledParts", "standing"]

Array = NDArray[np.float64]
_FRAME, _AXLE, _MAST, _CARRIAGE, _LOAD = range(5)
_TURNS = 3
"""Steps until the mast's angle no longer changes: each leaves about the square of the one before."""
_TABLE, _MOST_PRESSED = 160, 6.0
"""Loads at which a tyre's law is asked, up to so many times its rating; between them lines over load^(2/3)."""


@dataclass(frozen=True)
class MachineSprings:
    """What gives in a machine: how far its tyres are pressed by the load on an axle, its mast, its chain."""

    machine: Machine

    def drive(self, load: Array) -> Array:
        """Return how far the drive tyres are pressed [m] with this much on their axle (n,) [N], shared evenly."""
        return _pressed(self._drive, load / len(self.machine.drive_axle.tyre))

    def steer(self, load: Array) -> Array:
        """Return how far the steer tyres are pressed [m] with this much on their axle (n,) [N]."""
        return _pressed(self._steer, load / len(self.machine.steer_axle.tyre))

    @property
    def _drive(self) -> tuple[Array, Array]:
        return _law(self.machine.drive_axle.tyre[0])

    @property
    def _steer(self) -> tuple[Array, Array]:
        return _law(self.machine.steer_axle.tyre[0])


@lru_cache(maxsize=64)
def _law(tyre: Tyre) -> tuple[Array, Array]:
    bent = np.linspace(0.0, (_MOST_PRESSED * tyre.rated_load) ** (2.0 / 3.0), _TABLE)
    return bent, compressions(tyre, bent**1.5)


def _pressed(law: tuple[Array, Array], load: Array) -> Array:
    depth: Array = np.interp(np.maximum(load, 0.0) ** (2.0 / 3.0), *law)
    return depth


@dataclass(frozen=True)
class SettledParts:
    """Where the parts (n, 4, 3) and the load are, from the floor under the drive axle and along the floor [m].

    ``wheelbase`` is between the contacts, ``pressed`` how far the drive tyres are pressed.
    """

    centre: Array
    load_x: Array
    load_z: Array
    wheelbase: Array
    pressed: Array


@dataclass(frozen=True)
class SetUpParts:
    """Set-ups as parts, not yet settled: frame with counterweight and slabs, steer axle, mast, carriage.

    ``mass`` (n, 4) [kg], ``centre`` (n, 4, 3) and ``load`` (n, 2), x and z [m] in the truck frame; ``joint`` (n, 2) of
    the mast and its ``stiff`` (n, 2), ahead and sideways [N m/rad]; ``tilt`` [rad], back positive.
    """

    springs: MachineSprings
    mass: Array
    centre: Array
    joint: Array
    stiff: Array
    load: Array
    tilt: float

    def __len__(self) -> int:
        return len(self.mass)

    def picked(self, which: NDArray[np.int64]) -> SetUpParts:
        """Return some of the set-ups, by their places (m,) [1]."""
        here = self.mass[which], self.centre[which], self.joint[which], self.stiff[which], self.load[which]
        return SetUpParts(self.springs, *here, self.tilt)

    def kept(self, flags: NDArray[np.bool_]) -> SetUpParts:
        """Return the set-ups that are flagged, itself where all are; flags (n,) [1]."""
        return self if flags.all() else self.picked(np.flatnonzero(flags))

    @cached_property
    def weight(self) -> Array:
        """Mass of each truck without a load (n,) [kg]."""
        return np.asarray(self.mass.sum(axis=1))

    @cached_property
    def _places(self) -> Array:
        """Places (2, 5, n) of the parts and the load: x, then z."""
        places = np.concatenate((self.centre[..., [0, 2]], self.load[:, None]), axis=1)
        return np.ascontiguousarray(places.transpose(2, 1, 0))

    def settled(self, load: Array, slope: Array | float, steer_share: Array | float) -> SettledParts:
        """Settle under loads (n,) [kg] on a floor that falls ahead by a slope (tangent), with this share on the axle.

        What is asked is a truck about to leave one axle, or with a known share of its weight on it, so the tyres'
        loads are known before the pose is.
        """
        machine = self.springs.machine
        angle = np.arctan(np.asarray(slope, dtype=np.float64))
        pressing = G * np.cos(angle) * (self.weight + load)
        front = self.springs.drive((1.0 - np.asarray(steer_share)) * pressing)
        rear = self.springs.steer(np.asarray(steer_share) * pressing)
        hub, hub_behind = machine.drive_axle.tyre[0].diameter / 2, machine.steer_axle.tyre[0].diameter / 2
        apart, rise = hypot(machine.wheelbase, hub - hub_behind), atan2(hub - hub_behind, machine.wheelbase)
        pitch = rise - np.arcsin((hub - front - hub_behind + rear) / apart)
        x, z = self._stretched(load)
        joint_x, joint_z = self.joint.T
        away_x, away_z = x[_MAST:] - joint_x, z[_MAST:] - joint_z
        turn = self._mast_angle(load, away_x, away_z, pitch + angle)
        turned_x, turned_z = _rolled(away_x, away_z, turn)
        x[_MAST:], z[_MAST:] = turned_x + joint_x, turned_z + joint_z
        x, z = _rolled(x, z - hub, pitch)
        z += hub - front
        centre = np.zeros((3, _LOAD, len(self)))
        centre[0], centre[2] = x[:_LOAD], z[:_LOAD]
        return SettledParts(centre.transpose(2, 1, 0), x[_LOAD], z[_LOAD], apart * np.cos(rise - pitch), front)

    def _stretched(self, load: Array) -> tuple[Array, Array]:
        """Return x and z (5, n) of frame, axle, mast, carriage and load with the chain stretched along the mast."""
        chain = self.springs.machine.mast.chain_stiffness
        down = G * cos(self.tilt) * (self.mass[:, _CARRIAGE] + load) / chain
        x, z = self._places.copy()
        x[_CARRIAGE:] += down * sin(self.tilt)
        z[_CARRIAGE:] -= down * cos(self.tilt)
        return x, z

    def _mast_angle(self, load: Array, away_x: Array, away_z: Array, lean: Array) -> Array:
        """Return how far the mast turns ahead about its joint (n,), its play taken up to the side that it weighs on.

        ``away_x``, ``away_z`` (3, n) from the joint to mast, carriage and load; ``lean`` (n,) of the truck. By Newton's
        method: what the turn itself adds to the moment is small beside the mast's stiffness, so it bends little.
        """
        play, stiff = 0.5 * self.springs.machine.mast.roller_play, self.stiff[:, 0]
        ahead, up = (
            self.mass[:, _MAST] * away[0] + self.mass[:, _CARRIAGE] * away[1] + load * away[2]
            for away in (away_x, away_z)
        )
        turn = np.zeros(len(self))
        for _ in range(_TURNS):
            c, s = np.cos(lean + turn), np.sin(lean + turn)
            moment = G * (ahead * c + up * s)
            over = turn - play * np.sign(moment) - moment / stiff
            turn = turn - over / (1.0 - G * (up * c - ahead * s) / stiff)
        return turn


def _rolled(x: Array, z: Array, turn: Array) -> tuple[Array, Array]:
    """Turn x and z ahead by an angle."""
    c, s = np.cos(turn), np.sin(turn)
    return x * c + z * s, z * c - x * s


def standing(
    springs: MachineSprings, cells: Cells, rise: Array, *, carried: bool = False, tilt: float = 0.0
) -> SetUpParts:
    """Put the truck together for every set-up at its own height, or as it carries a load, with the mast tilted back.

    ``rise`` (n,) [m] and more : height of the load's centre above the forks; of a jib it is not used.
    """
    machine = springs.machine
    mass, centre = np.zeros((len(cells), 4)), np.zeros((len(cells), 4, 3))
    joint, stiff, load = (np.zeros((len(cells), 2)) for _ in range(3))
    slabs, which_slabs = np.unique(cells.slabs, return_inverse=True)
    for k, count in enumerate(slabs.tolist()):
        base = assemble(machine, Setup(attachment="none", fork_height=0.0, ballast_slabs=count))
        own = which_slabs == k
        frame, heavy = BODIES.index("chassis"), BODIES.index("counterweight")
        out = base.centre[heavy] - np.outer(cells.extension[own], (1.0, 0.0, 0.0))
        total = base.mass[frame] + base.mass[heavy]
        mass[own, _FRAME] = total
        centre[own, _FRAME] = (base.mass[frame] * base.centre[frame] + base.mass[heavy] * out) / total
        mass[own, _AXLE], centre[own, _AXLE] = base.mass[1], base.centre[1]
    for own in cells.alike(carried=carried):
        cell = own[0]
        setup = _setup(
            machine,
            float(cells.centre[cell]) if cells.jib[cell] else None,
            float(cells.height[cell]),
            tilt,
            carried=carried,
        )
        built = assemble(machine, setup)
        for part in (_MAST, _CARRIAGE):
            mass[own, part], centre[own, part] = built.mass[part], built.centre[part]
        joint[own] = built.points.mast_joint[[0, 2]]
        if built.points.hook is not None:
            load[own] = built.points.hook[[0, 2]]
        else:
            at = np.column_stack((
                machine.carriage.face + cells.centre[own],
                np.zeros(len(own)),
                built.points.fork_height + rise[own],
            ))  # fmt: skip
            load[own] = tilted(at, tilt, machine.mast.tilt_axis)[:, [0, 2]]
        spring = mast_spring(machine, built.points.fork_height, float(load[own, 1].mean()))
        stiff[own] = spring.fore_aft, spring.sideways
    return SetUpParts(springs, mass, centre, joint, stiff, load, tilt)


def _setup(machine: Machine, reach: float | None, height: float, tilt: float, *, carried: bool) -> Setup:
    """Return the set-up of forks, or of a jib at a reach, at a height; carried low it keeps the pin of its height."""
    if reach is None:
        return Setup(attachment="forks", fork_height=CARRYING if carried else height, tilt=tilt)
    setup = Setup(attachment="jib", hook_height=height, jib_reach=reach, tilt=tilt)
    if not carried:
        return setup
    pin = heights(machine, setup).rise
    return Setup(attachment="jib", hook_height=CARRYING + pin, jib_reach=reach, jib_rise=pin, tilt=tilt)
