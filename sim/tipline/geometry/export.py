"""The truck in its set-up for other programs: URDF, MJCF and glTF, with the masses and joints of its bodies.

Bodies that are one at rest are one here: the counterweight is part of the chassis, a load on the forks of the carriage.
Frames lie along the truck's axes (x ahead, y left, z up), in the centres of mass, in URDF in the joints. The chassis is
the root. Names are those of the bodies.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from tipline.geometry.assembly import BODIES, Assembly, assemble
from tipline.geometry.plant import Build, build, static_hosts
from tipline.kernels import layout as at
from tipline.mechanics.constants import STANDARD_GRAVITY
from tipline.model.load import LiftedLoad
from tipline.model.machine import Machine
from tipline.scenario.spec import Scenario

if TYPE_CHECKING:
    from tipline.scenario import Case

__all__ = ["FORMATS", "Exported", "Format", "export"]

Array = NDArray[np.float64]
Format = Literal["urdf", "mjcf", "glb"]
FORMATS: tuple[Format, ...] = ("urdf", "mjcf", "glb")
_FAR = 1e6
"""Effort [N, N m] and speed given where a format wants one and nothing is known (our choice: no limit)."""


@dataclass(frozen=True)
class Exported:
    """Files by name, and in words what the format holds and what it cannot hold."""

    files: dict[str, bytes]
    holds: tuple[str, ...]
    leaves_out: tuple[str, ...]


def export(case: Case, form: Format) -> Exported:
    """Give a case's truck, in its set-up at time zero, as the files of a format.

    Raises
    ------
    InputError
        The set-up asks for what the machine does not have.
    """
    assembly = assemble(case.machine, case.scenario.setup, case.load)
    hosts, about = static_hosts(case.load), _title(case)
    truck = build(case.machine, case.scenario.setup, assembly, case.floor, case.load, hosts)
    if form == "glb":
        return _glb(about, assembly, truck, demo=bool(case.demo))
    meshes = _meshes(assembly, truck)
    files = {f"meshes/{name}.stl": data for name, data in meshes.items()}
    if form == "urdf":
        text = _urdf(about, case.machine, case.scenario, truck, list(meshes))
        return Exported({"truck.urdf": text.encode(), **files}, _URDF_HOLDS, _urdf_lacks(case.load, truck))
    text = _mjcf(about, case.load, truck, list(meshes))
    return Exported({"truck.xml": text.encode(), **files}, _MJCF_HOLDS, _mjcf_lacks(case.load, truck))


_BODIES_HELD = "mass, centre and full inertia of every body, as they are simulated here"
_URDF_HOLDS = (
    _BODIES_HELD,
    "steer axle on its pivot with its stops, tilt of the mast and height of the carriage with their ends",
    "tyres as cylinders for contact; all solids as meshes",
)
_MJCF_HOLDS = (
    _BODIES_HELD,
    "steer axle with its stops or its frame torsion; stiffness and damping of mast and lift chain",
    "a rope that only pulls; tyres as cylinders in contact with a floor, with the floor's friction; solids as meshes",
)

_LOCKED = (
    "a tyre that rolls: tyres are part of their axle, so that they push along as well as across; the slope at which a "
    "pivoting axle swings then depends on the other program's friction (a tenth either way was seen)"
)


def _urdf_lacks(load: LiftedLoad | None, truck: Build) -> tuple[str, ...]:
    out = [
        "give of tyres, mast and chain: the truck is stiff",
        "roller play, drive and brake",
        _LOCKED,
    ]
    if truck.plant.axle[at.A_PULLS] > 0.0:
        out.append("frame torsion of a fixed steer axle: it is one with the chassis, rigidly")
    if load is not None and load.hung_by is not None:
        out.append("the rope: the hung load is held where it hangs at rest, and does not swing")
    return tuple(out)


def _mjcf_lacks(load: LiftedLoad | None, truck: Build) -> tuple[str, ...]:
    out = [
        "the tyres' law: contact is the solver's own soft one, so that tyre loads differ where more than three places "
        "carry (a fixed steer axle, twin tyres)",
        "one stiffness serves all turns of the mast's joint (fore and aft), and roller play is left out",
        "drive and brake",
        _LOCKED,
    ]
    if load is not None and load.hung_by is not None:
        out.append(
            f"the rope's damping, {truck.plant.link[at.L_RO_C] / 1e3:.3g} kN s/m while it is taut: a tendon's would "
            "push and pull while the rope is slack, so the tendon has none, and a load that was caught rings on"
        )
    if load is not None and load.hung_by is None and load.on_forks == "free":
        out.append("a load free on the forks: it is fixed to the carriage")
    return tuple(out)


def _numbers(values: Array | Sequence[float]) -> str:
    return " ".join(f"{value + 0.0:.12g}" for value in values)


def _present(truck: Build) -> list[int]:
    return [body for body in range(at.N_BODY) if truck.plant.mass[body] > 0.0]


def _root(body: int, truck: Build) -> int:
    while body in truck.hosts:
        body = truck.hosts[body]
    return body


def _meshes(assembly: Assembly, truck: Build) -> dict[str, bytes]:
    """Give one mesh a body as STL, corners from the body's centre of mass."""
    import trimesh

    out = {}
    for body in _present(truck):
        parts = [part.mesh for part in assembly.parts if _root(part.body, truck) == body]
        if parts:
            whole = trimesh.util.concatenate(parts)
            whole.apply_translation(-truck.centre[body])
            out[BODIES[body]] = bytes(whole.export(file_type="stl"))
    return out


def _glb(about: str, assembly: Assembly, truck: Build, *, demo: bool) -> Exported:
    """Give a scene of painted parts, y up as the format wants it, a node a body with its mass among its extras."""
    import trimesh

    scene = trimesh.Scene(base_frame="truck", metadata={"about": about})
    up = np.array([[1.0, 0, 0, 0], [0, 0, 1.0, 0], [0, -1.0, 0, 0], [0, 0, 0, 1.0]])
    for body in _present(truck):
        place = np.eye(4)
        place[:3, 3] = truck.centre[body]
        facts = {
            "mass_kg": float(truck.plant.mass[body]),
            "inertia_kg_m2": truck.plant.inertia[body].tolist(),
            "demo": demo,
        }
        scene.graph.update(frame_to=BODIES[body], frame_from="truck", matrix=up @ place, metadata=facts)
    for number, part in enumerate(assembly.parts):
        body = _root(part.body, truck)
        mesh = part.mesh.copy()
        mesh.apply_translation(-truck.centre[body])
        colour = [*(round(255 * share) for share in part.colour), 255]
        mesh.visual = trimesh.visual.TextureVisuals(
            material=trimesh.visual.material.PBRMaterial(
                baseColorFactor=colour, metallicFactor=0.0, roughnessFactor=0.9
            )
        )
        name = f"{BODIES[body]}-{number}-{part.name}".replace(" ", "-")
        scene.add_geometry(mesh, node_name=name, geom_name=name, parent_node_name=BODIES[body])
    holds = ("all solids in their colours", "a node a body in its centre of mass, with mass and inertia as its extras")
    lacks = ("joints, contact and anything that moves",)
    return Exported({"truck.glb": bytes(scene.export(file_type="glb"))}, holds, lacks)


def _tyres(truck: Build, body: int) -> list[tuple[str, Array]]:
    rows = truck.plant.tyre
    return [(name, row) for name, row in zip(truck.tyres, rows, strict=True) if int(row[at.T_BODY]) == body]


def _urdf(about: str, machine: Machine, scenario: Scenario, truck: Build, meshes: list[str]) -> str:
    lines = [
        '<?xml version="1.0"?>',
        f"<!-- {about} -->",
        '<robot name="truck">',
        '  <mujoco><compiler fusestatic="false" discardvisual="false" strippath="false"/></mujoco>',
    ]
    for body in _present(truck):
        lines += _urdf_link(truck, body, meshes)
    lines += _urdf_joints(machine, scenario, truck)
    return "\n".join([*lines, "</robot>", ""])


def _shift(truck: Build, body: int) -> Array:
    """Return where the frame of a link lies from its centre of mass: in the joint it turns about."""
    if body == at.AXLE:
        return truck.plant.axle[at.A_AX : at.A_AZ + 1]
    return truck.plant.mast[at.M_MX : at.M_MZ + 1] if body == at.MAST else np.zeros(3)


def _urdf_link(truck: Build, body: int, meshes: list[str]) -> list[str]:
    i, name, shift = truck.plant.inertia[body], BODIES[body], _shift(truck, body)
    about = f'ixx="{i[0, 0]:.12g}" ixy="{i[0, 1]:.12g}" ixz="{i[0, 2]:.12g}"'
    rest = f'iyy="{i[1, 1]:.12g}" iyz="{i[1, 2]:.12g}" izz="{i[2, 2]:.12g}"'
    centre = f'<origin xyz="{_numbers(-shift)}" rpy="0 0 0"/>'
    lines = [
        f'  <link name="{name}">',
        f'    <inertial>{centre}<mass value="{truck.plant.mass[body]:.12g}"/><inertia {about} {rest}/></inertial>',
    ]
    if name in meshes:
        lines.append(f'    <visual>{centre}<geometry><mesh filename="meshes/{name}.stl"/></geometry></visual>')
    for tyre, row in _tyres(truck, body):
        place = f'<origin xyz="{_numbers(row[at.T_X : at.T_Z + 1] - shift)}" rpy="{np.pi / 2:.12g} 0 0"/>'
        shape = f'<cylinder radius="{row[at.T_R]:.12g}" length="{row[at.T_W]:.12g}"/>'
        lines.append(f'    <collision name="{tyre}">{place}<geometry>{shape}</geometry></collision>')
    return [*lines, "  </link>"]


def _urdf_joints(machine: Machine, scenario: Scenario, truck: Build) -> list[str]:
    plant, tilt = truck.plant, scenario.setup.tilt
    axle, mast, link, spec = plant.axle, plant.mast, plant.link, machine.mast
    swing = None if axle[at.A_PULLS] > 0.0 else (-axle[at.A_STOP_RIGHT], axle[at.A_STOP])
    ends = (tilt - spec.tilt_back, tilt + spec.tilt_forward)
    out = [
        _urdf_joint(truck, "axle", at.AXLE, at.CHASSIS, axle[at.A_CX : at.A_CZ + 1], (1, 0, 0), swing, _FAR),
        _urdf_joint(truck, "mast", at.MAST, at.CHASSIS, mast[at.M_CX : at.M_CZ + 1], (0, 1, 0), ends, spec.tilt_speed),
    ]
    way, reach = (link[at.L_UX], 0.0, link[at.L_UZ]), (link[at.L_FOOT], link[at.L_TOP])
    there = link[at.L_CX : at.L_CZ + 1]
    lift = _urdf_joint(truck, "lift", at.CARRIAGE, at.MAST, there, way, reach, spec.lift_speed)
    out.append(lift.replace("revolute", "prismatic"))
    if at.LOAD in _present(truck):
        there = truck.centre[at.LOAD] - truck.centre[at.CARRIAGE]
        out.append(_urdf_joint(truck, "rope", at.LOAD, at.CARRIAGE, there, (0, 0, 1), None, _FAR))
    return out


def _urdf_joint(
    truck: Build,
    name: str,
    child: int,
    parent: int,
    there: Array,
    axis: Sequence[float],
    ends: tuple[float, float] | None,
    speed: float,
) -> str:
    """Join two links; there: the joint from the parent's centre of mass."""
    kind, limit = "fixed", ""
    if ends is not None:
        kind = "revolute"
        limit = f'<limit lower="{ends[0]:.12g}" upper="{ends[1]:.12g}" effort="{_FAR:g}" velocity="{speed:.12g}"/>'
        limit = f'<axis xyz="{_numbers(axis)}"/>{limit}'
    place = _numbers(there - _shift(truck, parent))
    return (
        f'  <joint name="{name}" type="{kind}"><parent link="{BODIES[parent]}"/><child link="{BODIES[child]}"/>'
        f'<origin xyz="{place}" rpy="0 0 0"/>{limit}</joint>'
    )


def _title(case: Case) -> str:
    demo = f"DEMO, invented {case.demo}: " if case.demo else ""
    return f"{demo}{case.scenario.title}. Computed; an estimate".replace("--", "-").replace("<", "").replace(">", "")


def _mjcf(about: str, load: LiftedLoad | None, truck: Build, meshes: list[str]) -> str:
    plant, link = truck.plant, truck.plant.link
    axle, mast = plant.axle, plant.mast
    up = _numbers((link[at.L_UX], 0.0, link[at.L_UZ]))
    if axle[at.A_PULLS] > 0.0:
        spring = f'stiffness="{axle[at.A_K]:.12g}" damping="{axle[at.A_C]:.12g}" limited="false"'
    else:
        spring = f'limited="true" range="{-axle[at.A_STOP_RIGHT]:.12g} {axle[at.A_STOP]:.12g}"'
    pivot = f'<joint name="axle" type="hinge" axis="1 0 0" pos="{_numbers(axle[at.A_AX : at.A_AZ + 1])}" {spring}/>'
    flex = (
        f'<joint name="mast" type="ball" pos="{_numbers(mast[at.M_MX : at.M_MZ + 1])}" '
        f'stiffness="{mast[at.M_KY]:.12g}" damping="{mast[at.M_DY]:.12g}"/>'
    )
    lift = (
        f'<joint name="lift" type="slide" axis="{up}" stiffness="{link[at.L_CH_K]:.12g}" '
        f'damping="{link[at.L_CH_C]:.12g}" range="{link[at.L_FOOT]:.12g} {link[at.L_TOP]:.12g}" limited="true"/>'
    )
    hung = at.LOAD in _present(truck)
    hook = f'<site name="hook" pos="{_numbers(link[at.L_HX : at.L_HZ + 1])}"/>' if hung else ""
    assets = "".join(f'<mesh name="{name}" file="{name}.stl" inertia="shell"/>' for name in meshes)
    inner = _mjcf_body(truck, at.AXLE, at.CHASSIS, pivot, meshes) + "</body>"
    inner += _mjcf_body(truck, at.MAST, at.CHASSIS, flex, meshes)
    inner += _mjcf_body(truck, at.CARRIAGE, at.MAST, lift, meshes) + hook + "</body></body>"
    world = _mjcf_body(truck, at.CHASSIS, None, '<freejoint name="truck"/>', meshes) + inner + "</body>"
    tendon = ""
    if hung and load is not None and load.hung_by is not None:
        top = f'<site name="top" pos="{_numbers(link[at.L_TX : at.L_TZ + 1])}"/>'
        world += _mjcf_body(truck, at.LOAD, None, '<freejoint name="load"/>', meshes) + top + "</body>"
        tendon = (
            f'<tendon><spatial name="rope" stiffness="{link[at.L_RO_K]:.12g}" '
            f'springlength="0 {load.hung_by:.12g}"><site site="hook"/><site site="top"/></spatial></tendon>'
        )
    return (
        f"<!-- {about} -->\n"
        '<mujoco model="truck">\n<compiler angle="radian" autolimits="true" meshdir="meshes" balanceinertia="false"/>\n'
        f'<option timestep="0.001" gravity="0 0 {-STANDARD_GRAVITY}" integrator="implicitfast" cone="elliptic"/>\n'
        f"<asset>{assets}</asset>\n<worldbody>\n"
        '<geom name="floor" type="plane" size="50 50 1"/>\n'
        f"{world}\n</worldbody>\n{tendon}\n</mujoco>\n"
    )


def _mjcf_body(truck: Build, body: int, parent: int | None, joint: str, meshes: list[str]) -> str:
    place = truck.centre[body] - (0.0 if parent is None else truck.centre[parent])
    i, name = truck.plant.inertia[body], BODIES[body]
    full = _numbers((i[0, 0], i[1, 1], i[2, 2], i[0, 1], i[0, 2], i[1, 2]))
    text = (
        f'\n<body name="{name}" pos="{_numbers(place)}">{joint}'
        f'<inertial pos="0 0 0" mass="{truck.plant.mass[body]:.12g}" fullinertia="{full}"/>'
    )
    if name in meshes:
        text += f'<geom type="mesh" mesh="{name}" contype="0" conaffinity="0" group="1" mass="0"/>'
    for tyre, row in _tyres(truck, body):
        text += (
            f'<geom name="{tyre}" type="cylinder" size="{row[at.T_R]:.12g} {row[at.T_W] / 2:.12g}" '
            f'pos="{_numbers(row[at.T_X : at.T_Z + 1])}" euler="{np.pi / 2:.12g} 0 0" mass="0" '
            f'friction="{row[at.T_MU]:.12g} 0.005 0.0001" group="3"/>'
        )
    return text
