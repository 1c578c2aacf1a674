"""The truck as a pybullet multibody: build, read states, apply wrenches, step. The one file that talks to pybullet.

Every force is ours (kernels); pybullet integrates the bodies and keeps the joints. Damping, motors, sleeping and
contacts of its own are switched off.

Source: [Own]
"""

from __future__ import annotations

import os
import struct
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from types import TracebackType
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipline.engines.guards import refuse_impossible_bodies
from tipline.errors import MissingPart, NumericalError
from tipline.geometry.plant import quaternion_of
from tipline.kernels import equilibrium as rest
from tipline.kernels import layout as at
from tipline.kernels import reading
from tipline.kernels.vector import quaternion_product
from tipline.units import MILLIMETRE

if TYPE_CHECKING:
    from tipline.engines.prepare import Prepared

__all__ = ["World", "load_pybullet"]

Array = NDArray[np.float64]

_CLEAR = (0.0, 0.0, 0.0)
_pack_bodies: Callable[..., None] = struct.Struct("78d").pack_into
_pack_joints: Callable[..., None] = struct.Struct("39d").pack_into
_JOINTS_AT = 8 * 13 * reading.OWN
_ABSENT, _OUT = (0.0,) * 13, (0.0, 0.0)
_NO_TURN = (0.0, 0.0, 0.0, 0.0)
_LINKS_WITHOUT_SLIDE = 3
_WORLD_FRAME = 2


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep the library's banner, printed by C code, off the terminal; a stream that was closed stays so."""
    for stream in (sys.stdout, sys.stderr):
        if stream is not None:
            stream.flush()
    handles = [handle for handle in (1, 2) if _is_open(handle)]
    null = os.open(os.devnull, os.O_WRONLY)
    kept = {handle: os.dup(handle) for handle in handles}
    try:
        for handle in kept:
            os.dup2(null, handle)
        yield
    finally:
        for handle, copy in kept.items():
            os.dup2(copy, handle)
            os.close(copy)
        os.close(null)


def _is_open(handle: int) -> bool:
    try:
        os.fstat(handle)
    except OSError:
        return False
    return True


def load_pybullet() -> Any:
    """Import pybullet without its banner.

    Raises
    ------
    MissingPart
        It is not installed.
    """
    try:
        with _quiet():
            import pybullet
    except ImportError as error:
        msg = (
            "pybullet is not installed (ready-made for Linux x86_64 with Python 3.11); the compiled engine needs it not"
        )
        raise MissingPart(msg, install="pip install pybullet") from error
    return pybullet


class World:
    """One multibody (and a loose load) in its own physics client; use as a context manager."""

    def __init__(self, prepared: Prepared, dt: float) -> None:
        self.bullet = load_pybullet()
        self._prepared, self._dt = prepared, dt
        self.client = -1
        # bound once: they are called at every step
        self._base, self._speed = self.bullet.getBasePositionAndOrientation, self.bullet.getBaseVelocity
        self._joints, self._step = self.bullet.getJointStatesMultiDof, self.bullet.stepSimulation
        self.force_on, self.torque_on = self.bullet.applyExternalForce, self.bullet.applyExternalTorque
        self.truck, self.load = -1, -1
        self.link: dict[int, int] = {}
        self.links: list[int] = []
        self._at_chassis = self._at_load = _CLEAR
        self.at_carriage: Sequence[float] = _CLEAR
        self.at_slide: Sequence[float] = _CLEAR

    def __enter__(self) -> World:
        refuse_impossible_bodies(self._prepared.build, self._prepared.raw)
        self.client = self.bullet.connect(self.bullet.DIRECT)
        try:
            self.bullet.setTimeStep(self._dt, physicsClientId=self.client)
            self.bullet.setGravity(*_CLEAR, physicsClientId=self.client)
            self._build()
        except BaseException:
            self.bullet.disconnect(self.client)  # a client takes some 30 MB, and nobody leaves what was not entered
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.bullet.disconnect(self.client)

    def _build(self) -> None:
        build, raw = self._prepared.build, self._prepared.raw
        plant, mass = build.plant, build.plant.mass
        chassis = build.centre[at.CHASSIS]
        joints: list[tuple[int, int, int, Array, tuple[float, float, float]]] = []
        pivot = chassis + plant.axle[at.A_CX : at.A_CZ + 1]
        foot = chassis + plant.mast[at.M_CX : at.M_CZ + 1]
        up = (float(plant.link[at.L_UX]), 0.0, float(plant.link[at.L_UZ]))
        joints.append((at.AXLE, at.CHASSIS, self.bullet.JOINT_REVOLUTE, pivot, (1.0, 0.0, 0.0)))
        joints.append((at.MAST, at.CHASSIS, self.bullet.JOINT_SPHERICAL, foot, (0.0, 0.0, 1.0)))
        joints.append((at.CARRIAGE, at.MAST, self.bullet.JOINT_PRISMATIC, build.centre[at.CARRIAGE], up))
        if mass[at.COUNTERWEIGHT] > 0.0:
            where = build.centre[at.COUNTERWEIGHT]
            joints.append((at.COUNTERWEIGHT, at.CHASSIS, self.bullet.JOINT_PRISMATIC, where, (-1.0, 0.0, 0.0)))
        self.link = {body: index for index, (body, *_) in enumerate(joints)}
        frame = {at.CHASSIS: chassis} | {body: where for body, _, _, where, _ in joints}
        self.truck = self.bullet.createMultiBody(
            baseMass=float(mass[at.CHASSIS]),
            basePosition=raw[at.CHASSIS, :3].tolist(),
            baseInertialFrameOrientation=build.axes[at.CHASSIS].tolist(),
            linkMasses=[float(mass[body]) for body, *_ in joints],
            linkCollisionShapeIndices=[-1] * len(joints),
            linkVisualShapeIndices=[-1] * len(joints),
            linkPositions=[(where - frame[parent]).tolist() for _, parent, _, where, _ in joints],
            linkOrientations=[(0.0, 0.0, 0.0, 1.0)] * len(joints),
            linkInertialFramePositions=[(build.centre[body] - where).tolist() for body, _, _, where, _ in joints],
            linkInertialFrameOrientations=[build.axes[body].tolist() for body, *_ in joints],
            linkParentIndices=[0 if parent == at.CHASSIS else self.link[parent] + 1 for _, parent, *_ in joints],
            linkJointTypes=[kind for _, _, kind, _, _ in joints],
            linkJointAxis=[list(axis) for *_, axis in joints],
            flags=self.bullet.URDF_MAINTAIN_LINK_ORDER,
            physicsClientId=self.client,
        )
        if mass[at.LOAD] > 0.0:
            self.load = self.bullet.createMultiBody(
                baseMass=float(mass[at.LOAD]),
                basePosition=raw[at.LOAD, :3].tolist(),
                baseInertialFrameOrientation=build.axes[at.LOAD].tolist(),
                physicsClientId=self.client,
            )
        self.links = list(self.link.values())
        self._refuse_wrong_links(joints)
        self.tame()
        self.place()
        self._refuse_wrong_build()

    def _refuse_wrong_links(self, joints: list[tuple[int, int, int, Array, tuple[float, float, float]]]) -> None:
        """Compare number, order, kind and parent of the links with what was meant.

        `apply` names links by number: an effect on one that is not there would end the process without a message.
        """
        count = self.bullet.getNumJoints(self.truck, physicsClientId=self.client)
        held = [self.bullet.getJointInfo(self.truck, link, physicsClientId=self.client) for link in range(count)]
        seen = [(info[2], info[16]) for info in held]
        meant = [(kind, -1 if parent == at.CHASSIS else self.link[parent]) for _, parent, kind, _, _ in joints]
        if seen != meant or list(self.link)[:_LINKS_WITHOUT_SLIDE] != [at.AXLE, at.MAST, at.CARRIAGE]:
            msg = f"the links are {seen} (kind of joint, parent) instead of {meant}"
            raise NumericalError(msg, time=0.0, quantity="built model", remedy="Report this with the input files")

    def tame(self) -> None:
        """Give every link its own inertia and switch off damping, motors and sleeping."""
        build, client = self._prepared.build, {"physicsClientId": self.client}
        own = {at.CHASSIS: (self.truck, -1)} | {body: (self.truck, link) for body, link in self.link.items()}
        if self.load >= 0:
            own[at.LOAD] = (self.load, -1)
        for body, (item, link) in own.items():
            self.bullet.changeDynamics(
                item, link, localInertiaDiagonal=build.moments[body].tolist(), linearDamping=0.0, angularDamping=0.0,
                jointDamping=0.0, **client,
            )  # fmt: skip
            # on its own: together with an inertia this flag sends the inertia to the base, whatever the link
            self.bullet.changeDynamics(
                item, -1, activationState=self.bullet.ACTIVATION_STATE_DISABLE_SLEEPING, **client
            )
        for body, link in self.link.items():
            if body == at.MAST:
                self.bullet.setJointMotorControlMultiDof(
                    self.truck, link, self.bullet.POSITION_CONTROL, targetPosition=[0.0, 0.0, 0.0, 1.0],
                    positionGain=0.0, velocityGain=0.0, force=[0.0, 0.0, 0.0], **client,
                )  # fmt: skip
            else:
                self.bullet.setJointMotorControl2(self.truck, link, self.bullet.VELOCITY_CONTROL, force=0.0, **client)

    def place(self) -> None:
        """Set the pose and the speed at time zero."""
        raw, q, client = self._prepared.raw, self._prepared.q, {"physicsClientId": self.client}
        self.bullet.resetBasePositionAndOrientation(self.truck, raw[0, :3].tolist(), raw[0, 3:7].tolist(), **client)
        self.bullet.resetBaseVelocity(self.truck, raw[0, 7:10].tolist(), raw[0, 10:13].tolist(), **client)
        turn, joint, axes = np.zeros((3, 3)), np.empty(4), self._prepared.build.axes[at.MAST]
        rest.exponential(q[rest.Q_MAST_X], q[rest.Q_MAST_Y], q[rest.Q_MAST_Z], turn)
        # pybullet turns a spherical joint in the child's principal axes
        quaternion_product(quaternion_of(turn), axes, joint)
        quaternion_product(axes * (-1.0, -1.0, -1.0, 1.0), joint.copy(), joint)
        self.bullet.resetJointState(self.truck, self.link[at.AXLE], float(q[rest.Q_AXLE]), **client)
        self.bullet.resetJointState(self.truck, self.link[at.CARRIAGE], float(q[rest.Q_LIFT]), **client)
        self.bullet.resetJointStateMultiDof(self.truck, self.link[at.MAST], joint.tolist(), **client)
        if self.load >= 0:
            self.bullet.resetBasePositionAndOrientation(self.load, raw[5, :3].tolist(), raw[5, 3:7].tolist(), **client)
            self.bullet.resetBaseVelocity(self.load, raw[5, 7:10].tolist(), raw[5, 10:13].tolist(), **client)

    def _refuse_wrong_build(self) -> None:
        """Compare what pybullet holds with what was meant: places and turning of every body, and the masses."""
        build = self._prepared.build
        seen, want, mass = np.zeros((6, 13)), self._prepared.raw, build.plant.mass
        self.read(seen)
        for body, link in ({at.CHASSIS: -1} | self.link).items():
            held = self.bullet.getDynamicsInfo(self.truck, link, physicsClientId=self.client)
            if not np.allclose((held[0], *held[2]), (mass[body], *build.moments[body]), rtol=1e-6):
                msg = f"the {at.BODIES[body]} has mass or inertia {held[0]:g}, {held[2]} instead of what was given"
                raise NumericalError(msg, time=0.0, quantity="built model", remedy="Report this with the input files")
        for body in range(6):
            if mass[body] == 0.0:
                continue
            off = float(np.abs(seen[body, :3] - want[body, :3]).max())
            turned = 1.0 - abs(float(seen[body, 3:7] @ want[body, 3:7]))
            if off > 1e-6 or turned > 1e-9:
                msg = f"the {at.BODIES[body]} stands {off / MILLIMETRE:.3g} mm and {turned:.2g} from where it was put"
                raise NumericalError(msg, time=0.0, quantity="built model", remedy="Report this with the input files")

    def read(self, raw: Array) -> None:
        """Fill raw (6, 13) [SI] with centre, quaternion and velocities of every body, as pybullet has them.

        A run reads its joints instead (`read_joints`), which takes less time.
        """
        client, truck = self.client, self.truck
        links = self.bullet.getLinkStates(truck, self.links, 1, 1, client)
        joined = [value for link in links for part in (0, 1, 6, 7) for value in link[part]]
        slide = () if len(links) > _LINKS_WITHOUT_SLIDE else _ABSENT
        chassis, load = self._body(truck), self._body(self.load) if self.load >= 0 else _ABSENT
        _pack_bodies(raw, 0, *chassis, *joined, *slide, *load)
        self.at_carriage = links[2][0]
        self.at_slide = links[-1][0]

    def _body(self, item: int) -> tuple[float, ...]:
        place, turn = self._base(item, self.client)
        v, w = self._speed(item, self.client)
        return (*place, *turn, *v, *w)

    def read_joints(self, state: Array) -> None:
        """Fill a state buffer (ROWS, 13) [SI] of `kernels.reading` with what pybullet has of chassis, load and joints.

        The bodies' own states follow by `bodies_from_joints`, and are those of `read` to rounding.
        """
        client, truck, load = self.client, self.truck, self.load
        place, turn = self._base(truck, client)
        v, w = self._speed(truck, client)
        axle, mast, lift, *more = self._joints(truck, self.links, client)
        slide = (more[0][0][0], more[0][1][0]) if more else _OUT
        self._at_chassis = place
        if load >= 0:
            at_load, turned = self._base(load, client)
            vl, wl = self._speed(load, client)
            self._at_load = at_load
        else:
            at_load, turned, vl, wl = _CLEAR, _NO_TURN, _CLEAR, _CLEAR
        _pack_joints(
            state, _JOINTS_AT, *place, *turn, *v, *w, *at_load, *turned, *vl, *wl,
            *axle[0], *axle[1], *mast[0], *mast[1], *lift[0], *lift[1], *slide,
        )  # fmt: skip

    def apply(self, calls: Array) -> None:
        """Apply the calls (CALLS, 3) [N, N m] of a step (`kernels.reading`): what joints hold is on the chassis.

        pybullet takes the arm of a force on a link from where the link was when a step last began, or `read` asked for
        links; so a force at the centre is given at the centre of then.
        """
        # in the order of the rows; names cost less than looking rows up
        force, torque, axle, mast, carriage, slide, load_force, load_torque, at_carriage, at_slide = calls.tolist()
        client, truck, force_on, torque_on = self.client, self.truck, self.force_on, self.torque_on
        force_on(truck, -1, force, self._at_chassis, _WORLD_FRAME, client)
        torque_on(truck, -1, torque, _WORLD_FRAME, client)
        torque_on(truck, 0, axle, _WORLD_FRAME, client)
        torque_on(truck, 1, mast, _WORLD_FRAME, client)
        force_on(truck, 2, carriage, self.at_carriage, _WORLD_FRAME, client)
        self.at_carriage = at_carriage
        if len(self.links) > _LINKS_WITHOUT_SLIDE:
            force_on(truck, 3, slide, self.at_slide, _WORLD_FRAME, client)
            self.at_slide = at_slide
        if self.load >= 0:
            force_on(self.load, -1, load_force, self._at_load, _WORLD_FRAME, client)
            torque_on(self.load, -1, load_torque, _WORLD_FRAME, client)

    def set_gravity(self, gravity: Array) -> None:
        """Turn gravity (3,) [m/s2]."""
        self.bullet.setGravity(*gravity.tolist(), physicsClientId=self.client)

    def step(self) -> None:
        """Advance by one step."""
        self._step(self.client)
