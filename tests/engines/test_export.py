"""The exported truck read by other programs: masses, centres, inertias, and tyre loads where the format has contact."""

from __future__ import annotations

import io
from collections import Counter
from pathlib import Path

import mujoco
import numpy as np
import pytest
import trimesh

from tipline import scenario
from tipline.geometry.assembly import assemble
from tipline.geometry.export import export
from tipline.geometry.plant import build, static_hosts
from tipline.kernels import layout as at
from tipline.selftest import recorded
from tipline.statics.truck import truck_of

HUNG, FORKS, FIXED = "front-tyre-breaks-through-load-low", "floor-falls-diagonally", "floor-turned-until-something-goes"
MODEL = {"urdf": "truck.urdf", "mjcf": "truck.xml"}


def load(name: str, form: str, folder: Path, **changes: str) -> mujoco.MjModel:
    case = scenario.read(name, {key.replace("__", "."): value for key, value in changes.items()})
    for file, data in export(case, form).files.items():
        (folder / file).parent.mkdir(exist_ok=True)
        (folder / file).write_bytes(data)
    return mujoco.MjModel.from_xml_path(str(folder / MODEL[form]))


@pytest.mark.parametrize("form", MODEL)
@pytest.mark.parametrize("name", [HUNG, FORKS, FIXED])
def test_masses_centres_and_inertias_are_those_of_the_engine(name: str, form: str, tmp_path: Path) -> None:
    case = scenario.read(name)
    setup = case.scenario.setup
    assembly = assemble(case.machine, setup, case.load)
    made = build(case.machine, setup, assembly, case.floor, case.load, static_hosts(case.load))
    model = load(name, form, tmp_path)
    data = mujoco.MjData(model)
    mujoco.mj_forward(model, data)
    bodies = [body for body in range(at.N_BODY) if made.plant.mass[body] > 0.0]
    assert model.nbody == 1 + len(bodies)
    root = 0.0 if form == "mjcf" else made.centre[at.CHASSIS]
    for body in bodies:
        index = model.body(at.BODIES[body]).id
        assert model.body_mass[index] == pytest.approx(made.plant.mass[body], rel=1e-9)
        assert data.xipos[index] + root == pytest.approx(made.centre[body], abs=1e-6)
        turn = data.ximat[index].reshape(3, 3)
        inertia = turn @ np.diag(model.body_inertia[index]) @ turn.T
        assert inertia == pytest.approx(made.plant.inertia[body], abs=1e-6 * np.abs(made.plant.inertia[body]).max())


def test_urdf_is_read_by_pybullet_with_its_meshes(tmp_path: Path) -> None:
    """It looks for meshes beside the file; a plain reader of the format knows no folder of another program."""
    pybullet = pytest.importorskip("pybullet")
    case = scenario.read(HUNG)
    load(HUNG, "urdf", tmp_path)
    client = pybullet.connect(pybullet.DIRECT)
    try:
        flags = pybullet.URDF_USE_INERTIA_FROM_FILE
        body = pybullet.loadURDF(str(tmp_path / "truck.urdf"), flags=flags, physicsClientId=client)
        links = range(-1, pybullet.getNumJoints(body, physicsClientId=client))
        masses = [pybullet.getDynamicsInfo(body, link, physicsClientId=client)[0] for link in links]
        drawn = {part[4].decode() for part in pybullet.getVisualShapeData(body, physicsClientId=client)}
    finally:
        pybullet.disconnect(client)
    assembly = assemble(case.machine, case.scenario.setup, case.load)
    made = build(case.machine, case.scenario.setup, assembly, case.floor, case.load, static_hosts(case.load))
    assert sum(masses) == pytest.approx(made.plant.mass.sum(), rel=1e-6)
    assert any(name.endswith("meshes/chassis.stl") for name in drawn)


def test_joints_have_their_ends(tmp_path: Path) -> None:
    machine = scenario.read(FORKS).machine
    model = load(FORKS, "urdf", tmp_path)
    assert model.joint("axle").range == pytest.approx([-machine.steer_axle.stop, machine.steer_axle.stop])
    assert model.joint("mast").range == pytest.approx([-machine.mast.tilt_back, machine.mast.tilt_forward])
    travel = model.joint("lift").range
    assert travel[1] - travel[0] == pytest.approx(machine.mast.top_fork_height + 0.06, abs=1e-9)


@pytest.mark.slow
@pytest.mark.parametrize("name", [HUNG, FORKS])
def test_tyre_loads_at_rest_are_those_of_statics(name: str, tmp_path: Path) -> None:
    """A pivoting axle, three places that carry, no roller play: within 2 %; contact, rope, mast are MuJoCo's own."""
    truck = truck_of(scenario.read(name, {"machine.mast.roller_play": "0 deg"}))
    wanted = dict(zip(truck.build.tyres, truck.solve(truck.gravity(0.0, 0.0), truck.start(1.0)).loads, strict=True))
    model = load(name, "mjcf", tmp_path, machine__mast__roller_play="0 deg")
    # the swing after the start dies out slowly; more damping changes nothing at rest
    model.dof_damping[:] += 0.05 * np.abs(model.dof_M0)
    model.dof_damping[model.joint("mast").dofadr[0] : model.joint("mast").dofadr[0] + 3] *= 8.0
    data, found, count, force = mujoco.MjData(model), Counter(), 0, np.zeros(6)
    while data.time < 14.0:
        mujoco.mj_step(model, data)
        if data.time > 8.0:
            count += 1
            for i in range(data.ncon):
                mujoco.mj_contactForce(model, data, i, force)
                pair = data.contact[i].geom
                found[model.geom(int(max(pair))).name] += force[0]
    for tyres in (("front-left", "front-right"), ("rear-left", "rear-right")):
        got = sum(found[tyre] for tyre in tyres) / count
        ours = sum(wanted[tyre] for tyre in tyres)
        assert got == pytest.approx(ours, rel=0.02), tyres
        told = f"mujoco-contact-{'hung' if name == HUNG else 'forks'}-{'drive' if 'front-left' in tyres else 'steer'}"
        assert recorded(told).pair == pytest.approx((ours / 1e3, got / 1e3), rel=1e-3)


def test_a_slack_rope_neither_pushes_nor_pulls(tmp_path: Path) -> None:
    """The load raised by 0.1 m: at any speed nothing acts on it but weight. 0.01 m below: stiffness alone."""
    case = scenario.read(HUNG)
    model = load(HUNG, "mjcf", tmp_path)
    data, first = mujoco.MjData(model), model.joint("load").dofadr[0]
    place = model.joint("load").qposadr[0] + 2
    for raised, speed in ((0.1, -3.0), (0.1, 3.0), (-0.01, -1.0)):
        mujoco.mj_resetData(model, data)
        data.qpos[place] += raised
        data.qvel[first + 2] = speed
        mujoco.mj_forward(model, data)
        setup = case.scenario.setup
        assembly = assemble(case.machine, setup, case.load)
        link = build(case.machine, setup, assembly, case.floor, case.load, static_hosts(case.load)).plant.link
        expected = max(0.0, -raised) * link[at.L_RO_K]
        assert data.qfrc_passive[first : first + 3] == pytest.approx([0.0, 0.0, expected], abs=1e-6 * link[at.L_RO_K])
    told = [text for text in export(case, "mjcf").leaves_out if "rope" in text]
    assert len(told) == 1
    assert "kN s/m while it is taut" in told[0]


def test_gltf_read_back_has_every_part_where_it_is_and_the_masses() -> None:
    case = scenario.read(FORKS)
    assembly = assemble(case.machine, case.scenario.setup, case.load)
    made = export(case, "glb")
    scene = trimesh.load(io.BytesIO(made.files["truck.glb"]), file_type="glb")
    assert len(scene.geometry) == len(assembly.parts)
    corners = np.concatenate([part.vertices for part in assembly.parts])
    low, high = corners.min(axis=0), corners.max(axis=0)
    # y is up in the format, ahead stays x, left is away from the viewer
    assert scene.bounds[0] == pytest.approx([low[0], low[2], -high[1]], abs=1e-5)
    assert scene.bounds[1] == pytest.approx([high[0], high[2], -low[1]], abs=1e-5)
    nodes = {name: scene.graph[name][0] for name in ("chassis", "axle", "mast", "carriage")}
    built = build(case.machine, case.scenario.setup, assembly, case.floor, case.load, static_hosts(case.load))
    for name, place in nodes.items():
        body = at.BODIES.index(name)
        x, y, z = built.centre[body]
        assert place[:3, 3] == pytest.approx([x, z, -y], abs=1e-6)
        extras = scene.graph.transforms.edge_data[scene.graph.base_frame, name]["metadata"]
        assert extras["mass_kg"] == pytest.approx(built.plant.mass[body])
        assert np.array(extras["inertia_kg_m2"]) == pytest.approx(built.plant.inertia[body])
        assert extras["demo"] is True
    # a closed solid keeps its volume through the format
    volumes = sum(abs(part.mesh.volume) for part in assembly.parts if part.mesh.is_watertight)
    read = sum(abs(mesh.volume) for mesh in scene.geometry.values() if mesh.is_watertight)
    assert read == pytest.approx(volumes, rel=1e-3)


@pytest.mark.parametrize("form", [*MODEL, "glb"])
def test_what_comes_from_an_invented_truck_says_so(form: str) -> None:
    case = scenario.read(FORKS)
    assert case.demo
    name = "truck.glb" if form == "glb" else MODEL[form]
    text = export(case, form).files[name]
    for words in (b"DEMO, invented machine", b"an estimate"):
        assert words in text, words


def test_what_a_format_cannot_hold_is_said() -> None:
    assert any("rope" in text for text in export(scenario.read(HUNG), "urdf").leaves_out)
    assert any("frame torsion" in text for text in export(scenario.read(FIXED), "urdf").leaves_out)
    assert any("twin" in text for text in export(scenario.read(FIXED), "mjcf").leaves_out)
