"""The same truck in a second engine: MuJoCo integrates, the same compiled kernels give the forces.

No contacts, no damping of MuJoCo's own. With `own_springs` it also carries the mast (stiffness of its ball joint) and
the rope (a tendon that only pulls) by itself.
"""

from __future__ import annotations

from dataclasses import replace
from types import TracebackType

import mujoco
import numpy as np
from numpy.typing import NDArray

from tipline.engines.prepare import Prepared
from tipline.engines.record import to_run
from tipline.engines.stepped import Stepped
from tipline.geometry.plant import Build
from tipline.kernels import equilibrium as rest
from tipline.kernels import layout as at
from tipline.kernels import reading
from tipline.kernels.vector import quaternion_product
from tipline.results import Run

Array = NDArray[np.float64]
_JOINTS = {at.AXLE: at.CHASSIS, at.MAST: at.CHASSIS, at.CARRIAGE: at.MAST, at.COUNTERWEIGHT: at.CHASSIS}

JOINT_COLUMNS = (
    ("axle", reading.J_AXLE, reading.J_AXLE_RATE),
    ("lift", reading.J_LIFT, reading.J_LIFT_RATE),
    ("slide", reading.J_SLIDE, reading.J_SLIDE_RATE),
)
CALLS_OF = {
    at.CHASSIS: (reading.C_FORCE, reading.C_TORQUE),
    at.AXLE: (None, reading.C_AXLE),
    at.MAST: (None, reading.C_MAST),
    at.CARRIAGE: (reading.C_CARRIAGE, None),
    at.COUNTERWEIGHT: (reading.C_SLIDE, None),
    at.LOAD: (reading.C_LOAD_FORCE, reading.C_LOAD_TORQUE),
}


def in_body_axes(prepared: Prepared) -> Prepared:
    """Return the same start told in body axes, as MuJoCo keeps them."""
    raw, plant = prepared.raw.copy(), prepared.build.plant
    for body in range(at.N_BODY):
        quaternion_product(prepared.raw[body, 3:7], plant.frame[body], raw[body, 3:7])
    frame = np.zeros((at.N_BODY, 4))
    frame[:, 3] = 1.0
    memory = at.Memory(*(field.copy() for field in prepared.memory))
    return replace(prepared, build=replace(prepared.build, plant=plant._replace(frame=frame)), raw=raw, memory=memory)


def model_text(made: Build, dt: float, own_springs: bool, gravity: str = "0 0 0") -> str:
    """Write the bodies and joints as a model: frames at the centres of mass, along the truck's axes."""
    plant, centre = made.plant, made.centre
    mast, link = plant.mast, plant.link

    def numbers(values: Array) -> str:
        return " ".join(f"{value:.17g}" for value in values)

    def inertial(body: int) -> str:
        i = plant.inertia[body]
        full = numbers(np.array([i[0, 0], i[1, 1], i[2, 2], i[0, 1], i[0, 2], i[1, 2]]))
        return f'<inertial pos="0 0 0" mass="{plant.mass[body]:.17g}" fullinertia="{full}"/>'

    def opened(body: int, joint: str) -> str:
        place = numbers(centre[body] - centre[_JOINTS[body]])
        return f'<body name="{at.BODIES[body]}" pos="{place}">{joint}{inertial(body)}'

    spring = f'stiffness="{mast[at.M_KX]:.17g}"' if own_springs else ""
    up = numbers(np.array([link[at.L_UX], 0.0, link[at.L_UZ]]))
    axle = f'<joint name="axle" type="hinge" axis="1 0 0" pos="{numbers(plant.axle[at.A_AX : at.A_AZ + 1])}"/>'
    ball = f'<joint name="mast" type="ball" {spring} pos="{numbers(mast[at.M_MX : at.M_MZ + 1])}"/>'
    hook = f'<site name="hook" pos="{numbers(link[at.L_HX : at.L_HZ + 1])}"/>'
    lift = f'<joint name="lift" type="slide" axis="{up}"/>'
    bodies = (
        opened(at.AXLE, axle) + "</body>" + opened(at.MAST, ball) + opened(at.CARRIAGE, lift) + hook + "</body></body>"
    )
    if plant.mass[at.COUNTERWEIGHT] > 0.0:
        bodies += opened(at.COUNTERWEIGHT, '<joint name="slide" type="slide" axis="-1 0 0"/>') + "</body>"
    load = tendon = ""
    if plant.mass[at.LOAD] > 0.0:
        top = f'<site name="top" pos="{numbers(link[at.L_TX : at.L_TZ + 1])}"/>'
        load = f'<body name="load"><freejoint name="load"/>{inertial(at.LOAD)}{top}</body>'
        if own_springs:
            tendon = (
                f'<tendon><spatial stiffness="{link[at.L_RO_K]:.17g}" springlength="0 ROPE">'
                '<site site="hook"/><site site="top"/></spatial></tendon>'
            )
    return (
        '<mujoco><compiler angle="radian" autolimits="true"/>'
        f'<option timestep="{dt:.17g}" gravity="{gravity}" integrator="Euler">'
        '<flag contact="disable" constraint="disable"/></option>'
        f'<worldbody><body name="chassis"><freejoint name="truck"/>{inertial(at.CHASSIS)}{bodies}</body>'
        f"{load}</worldbody>"
        f"{tendon}</mujoco>"
    )


class TwinWorld:
    """MuJoCo in the place of the product's world: enter, read, read_joints, apply, set_gravity, step."""

    def __init__(self, prepared: Prepared, dt: float, own_springs: bool = False) -> None:
        text = model_text(prepared.build, dt, own_springs)
        if own_springs:
            text = text.replace("ROPE", f"{prepared.commands.table[0, at.K_ROPE]:.17g}")
        self.model = mujoco.MjModel.from_xml_string(text)
        self.data = mujoco.MjData(self.model)
        self._bodies = [
            (body, self.model.body(at.BODIES[body]).id)
            for body in range(at.N_BODY)
            if prepared.build.plant.mass[body] > 0.0
        ]
        self._slides = prepared.build.plant.mass[at.COUNTERWEIGHT] > 0.0
        self._speed = np.zeros(6)
        self._ready = False
        self._place(prepared)

    def __enter__(self) -> TwinWorld:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._ready = False

    def _place(self, prepared: Prepared) -> None:
        raw, q, data = prepared.raw, prepared.q, self.data
        free = {"truck": at.CHASSIS} | ({"load": at.LOAD} if prepared.build.plant.mass[at.LOAD] > 0.0 else {})
        turn = np.zeros((3, 3))
        for name, body in free.items():
            data.joint(name).qpos[:] = [*raw[body, :3], raw[body, 6], *raw[body, 3:6]]
            quat = np.array([raw[body, 6], *raw[body, 3:6]])
            matrix = np.zeros(9)
            mujoco.mju_quat2Mat(matrix, quat)
            turn = matrix.reshape(3, 3)
            data.joint(name).qvel[:] = [*raw[body, 7:10], *(turn.T @ raw[body, 10:13])]
        data.joint("axle").qpos[0] = q[rest.Q_AXLE]
        data.joint("lift").qpos[0] = q[rest.Q_LIFT]
        angle = np.array([q[rest.Q_MAST_X], q[rest.Q_MAST_Y], q[rest.Q_MAST_Z]])
        size = float(np.linalg.norm(angle))
        mujoco.mju_axisAngle2Quat(
            data.joint("mast").qpos, angle / size if size > 0.0 else np.array([1.0, 0.0, 0.0]), size
        )

    def set_gravity(self, gravity: Array) -> None:
        self.model.opt.gravity[:] = gravity
        self._ready = False

    def _look(self) -> None:
        if not self._ready:
            mujoco.mj_step1(self.model, self.data)
            self._ready = True

    def read(self, raw: Array) -> None:
        self._look()
        for body, index in self._bodies:
            quat = self.data.xquat[index]
            mujoco.mj_objectVelocity(self.model, self.data, mujoco.mjtObj.mjOBJ_BODY, index, self._speed, 0)
            raw[body, :3] = self.data.xipos[index]
            raw[body, 3:7] = quat[1], quat[2], quat[3], quat[0]
            raw[body, 7:10], raw[body, 10:13] = self._speed[3:], self._speed[:3]

    def read_joints(self, state: Array) -> None:
        raw, joints, data = np.zeros((at.N_BODY, 13)), state[reading.JOINTS], self.data
        self.read(raw)
        state[reading.OWN], state[reading.OWN_LOAD] = raw[at.CHASSIS], raw[at.LOAD]
        for name, place, rate in JOINT_COLUMNS:
            if name != "slide" or self._slides:
                joints[place], joints[rate] = data.joint(name).qpos[0], data.joint(name).qvel[0]
        quat = data.joint("mast").qpos
        joints[reading.J_MAST : reading.J_MAST + 4] = quat[1], quat[2], quat[3], quat[0]
        joints[reading.J_MAST_TURN : reading.J_MAST_TURN + 3] = data.joint("mast").qvel

    def apply(self, calls: Array) -> None:
        """Everything acts at the bodies' centres of mass; a torque alone acts wherever it is given."""
        for body, index in self._bodies:
            force, torque = CALLS_OF[body]
            self.data.xfrc_applied[index, :3] = 0.0 if force is None else calls[force]
            self.data.xfrc_applied[index, 3:] = 0.0 if torque is None else calls[torque]

    def step(self) -> None:
        self._look()
        mujoco.mj_step2(self.model, self.data)
        self._ready = False


def simulate_twin(prepared: Prepared, seconds: float, own_springs: bool = False) -> Run:
    """Step a start in MuJoCo for a time, with the product's own loop."""
    told = in_body_axes(prepared)
    dt = prepared.case.scenario.run.time_step
    kept = told
    if own_springs:
        mast, link = told.build.plant.mast.copy(), told.build.plant.link.copy()
        mast[at.M_KX : at.M_DZ + 1] = 0.0
        mast[at.M_KX : at.M_KX + 3] = 1e-3  # next to nothing: what watches the run divides by it
        link[at.L_RO_K] = link[at.L_RO_C] = 0.0
        kept = replace(told, build=replace(told.build, plant=told.build.plant._replace(mast=mast, link=link)))
    with TwinWorld(told, dt, own_springs) as world:
        loop = Stepped(kept, world)  # type: ignore[arg-type]
        if own_springs:
            loop.look = lambda k, fastest: None  # type: ignore[method-assign]
        loop.advance_to(seconds, None)
        return to_run(loop, 0.0)
