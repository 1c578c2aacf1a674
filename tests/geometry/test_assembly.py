"""The assembled truck: closed parts, stated masses and centres, parts where the set-up puts them."""

import itertools
import math
import subprocess
import sys
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from tipline.errors import InputError
from tipline.geometry import BODIES, Assembly, assemble
from tipline.mechanics import mass
from tipline.model.load import LiftedLoad
from tipline.model.machine import Machine
from tipline.model.reader import read_machine
from tipline.scenario.spec import Setup

CHASSIS, AXLE, MAST, CARRIAGE, COUNTERWEIGHT, LOAD = range(6)
TRUCKS = {letter: read_machine(f"demo-truck-{letter}") for letter in "abc"}
HUNG = LiftedLoad(mass=2500, size=(1.1, 1.0, 1.2), height_of_centre=0.5, rigging_weight=80, hung_by=0.8)
SEATED = LiftedLoad(mass=3000, size=(1.2, 1.0, 1.1), height_of_centre=0.45)


def box_inertia(mass: float, size: tuple[float, float, float]) -> np.ndarray:
    """A solid box: m (b^2 + c^2) / 12 about each axis."""
    square = np.square(np.asarray(size))
    return np.diag(mass / 12.0 * (square.sum() - square))


@pytest.fixture(params=TRUCKS)
def machine(request: pytest.FixtureRequest) -> Machine:
    return TRUCKS[request.param]


def on_forks(machine: Machine, load: LiftedLoad | None = None, **change: Any) -> Assembly:
    return assemble(machine, Setup(**{"attachment": "forks", "fork_height": 0.5, **change}), load)


def on_jib(machine: Machine, load: LiftedLoad | None = HUNG, **change: Any) -> Assembly:
    assert machine.jib is not None
    reach = machine.jib.reach_pins[1]
    return assemble(machine, Setup(**{"attachment": "jib", "jib_reach": reach, "hook_height": 3.2, **change}), load)


def changed(machine: Machine, part: str, **change: Any) -> Machine:
    return machine.model_copy(update={part: getattr(machine, part).model_copy(update=change)})


def test_every_part_is_closed_and_turns_outward(machine: Machine) -> None:
    for built in (on_forks(machine, SEATED, tilt=0.05, ballast_slabs=3), on_jib(machine)):
        for part in built.parts:
            assert part.mesh.is_watertight, part.name
            assert part.mesh.is_winding_consistent, part.name
            assert part.mesh.volume > 0.0, part.name


def test_part_names_differ_and_drawn_ropes_weigh_nothing(machine: Machine) -> None:
    parts = on_jib(machine, ballast_slabs=2).parts
    assert len({part.name for part in parts}) == len(parts)
    assert [part.name for part in parts if part.mass == 0.0] == ["rope"]


def test_bodies_have_the_stated_masses(machine: Machine) -> None:
    assert machine.ballast_slab is not None
    assert machine.jib is not None
    built = on_jib(machine, ballast_slabs=3)
    stated = [
        machine.chassis.mass,
        machine.steer_axle.mass,
        machine.mast.mass,
        machine.carriage.mass + machine.jib.mass,
        machine.counterweight.mass + 3 * machine.ballast_slab.mass,
        HUNG.mass + HUNG.rigging_weight,
    ]
    assert built.mass == pytest.approx(stated)
    for body in range(len(BODIES)):
        assert sum(part.mass for part in built.parts if part.body == body) == pytest.approx(stated[body])


def test_no_load_is_a_body_without_mass(machine: Machine) -> None:
    built = on_forks(machine)
    assert built.mass[LOAD] == 0.0
    assert not [part for part in built.parts if part.body == LOAD]


def test_every_body_can_exist(machine: Machine) -> None:
    built = on_jib(machine, ballast_slabs=2, tilt=-0.03)
    for body, name in enumerate(BODIES):
        mass.check(built.mass[body], built.inertia[body], name)
        least, middle, most = np.linalg.eigvalsh(built.inertia[body])
        assert least > 0.0, name
        assert most <= (least + middle) * (1.0 + 1e-9), name


def test_inertia_agrees_with_trimesh(machine: Machine) -> None:
    built = on_forks(machine)
    axle = [part for part in built.parts if part.body == AXLE]
    density = machine.steer_axle.mass / sum(part.mesh.volume for part in axle)
    masses = [density * part.mesh.volume for part in axle]
    centres = [part.mesh.center_mass for part in axle]
    whole = mass.combine(masses, centres, [density * part.mesh.moment_inertia for part in axle])
    assert built.centre[AXLE] == pytest.approx(whole.centre, abs=1e-9)
    assert np.allclose(built.inertia[AXLE], whole.inertia, rtol=1e-8, atol=1e-6)


def test_inertia_of_the_slider_is_near_that_of_its_box(machine: Machine) -> None:
    built = on_forks(machine)
    box = box_inertia(machine.counterweight.mass, machine.counterweight.size)
    # The beams of the slider add to a plain box: within half as much again about x, more about y and z.
    assert 0.8 < built.inertia[COUNTERWEIGHT][0, 0] / box[0, 0] < 1.2
    assert 0.9 < built.inertia[COUNTERWEIGHT][2, 2] / box[2, 2] < 2.5


def test_a_stated_centre_holds_and_the_inertia_is_about_it(machine: Machine) -> None:
    built = on_forks(machine)
    assert built.centre[CHASSIS] == pytest.approx(machine.chassis.centre)
    free = on_forks(changed(machine, "chassis", centre=None))
    assert np.allclose(free.inertia[CHASSIS], built.inertia[CHASSIS])
    assert abs(free.centre[CHASSIS][0] - built.centre[CHASSIS][0]) < 0.35


def test_only_what_lies_off_the_middle_is_off_the_middle(machine: Machine) -> None:
    built = on_forks(changed(machine, "chassis", centre=None), ballast_slabs=2)
    assert built.centre[[AXLE, MAST, CARRIAGE, COUNTERWEIGHT], 1] == pytest.approx(0.0, abs=1e-9)
    assert abs(built.centre[CHASSIS][1]) < 0.02  # levers and exhaust are on one side


def test_tyres_stand_on_the_floor_and_nothing_is_in_it(machine: Machine) -> None:
    built = on_forks(machine, fork_height=0.12)
    tyres = [part for part in built.parts if part.kind == "tyre"]
    assert [part.name for part in tyres] == [
        tyre.name for axle in (machine.drive_axle, machine.steer_axle) for tyre in axle.tyre
    ]
    for part in tyres:
        assert part.vertices[:, 2].min() == pytest.approx(0.0, abs=1e-9)
    assert min(part.vertices[:, 2].min() for part in built.parts) > -1e-9


def test_tyres_have_their_size_and_place(machine: Machine) -> None:
    parts = {part.name: part for part in on_forks(machine).parts}
    for x, axle in ((0.0, machine.drive_axle), (-machine.wheelbase, machine.steer_axle)):
        for tyre in axle.tyre:
            low, high = parts[tyre.name].mesh.bounds
            assert high - low == pytest.approx([tyre.diameter, tyre.width, tyre.diameter], abs=0.005)
            assert 0.5 * (low + high) == pytest.approx([x, tyre.across, tyre.diameter / 2], abs=0.005)


def test_chassis_keeps_its_stated_outline(machine: Machine) -> None:
    c, parts = machine.chassis, {part.name: part for part in on_forks(machine).parts}
    shell = np.concatenate([parts[name].vertices for name in ("hull", "pod left", "pod right")])
    assert shell.min(axis=0) == pytest.approx([c.rear, -c.width / 2, c.belly_clearance])
    assert shell.max(axis=0)[:2] == pytest.approx([c.front, c.width / 2])
    assert parts["overhead guard"].vertices[:, 2].max() == pytest.approx(c.guard_height)


def test_fork_height_raises_carriage_attachment_and_seated_load(machine: Machine) -> None:
    low, high = on_forks(machine, SEATED, fork_height=0.4), on_forks(machine, SEATED, fork_height=3.4)
    for body in (CARRIAGE, LOAD):
        assert high.centre[body] - low.centre[body] == pytest.approx([0.0, 0.0, 3.0], abs=1e-9)
        assert np.allclose(high.inertia[body], low.inertia[body])
    assert high.centre[CHASSIS] == pytest.approx(low.centre[CHASSIS])


def test_mast_stages_share_the_rise(machine: Machine) -> None:
    def bottom(height: float, stage: int) -> float:
        part = next(part for part in on_forks(machine, fork_height=height).parts if part.name == f"mast stage {stage}")
        return float(part.vertices[:, 2].min())

    share = 3.0 / machine.mast.stages
    assert [bottom(3.0, k + 1) for k in range(3)] == pytest.approx(
        [machine.mast.foot_height + k * share for k in range(3)]
    )


def test_the_centre_of_the_mast_rises_with_the_forks(machine: Machine) -> None:
    low, high = on_forks(machine, fork_height=0.0), on_forks(machine, fork_height=3.0)
    rise = high.centre[MAST][2] - low.centre[MAST][2]
    assert 0.8 < rise < 1.2  # three stages: about a third of the fork's rise
    stated = changed(machine, "mast", centre=(0.2, 0.0, 1.5))
    assert on_forks(stated, fork_height=3.0).centre[MAST] == pytest.approx([0.2, 0.0, 2.5])


def test_stages_stay_engaged_at_full_height(machine: Machine) -> None:
    m = machine.mast
    assert m.top_fork_height / m.stages < 0.8 * (m.lowered_height - m.foot_height)


def test_the_counterweight_slides_back_with_its_slabs(machine: Machine) -> None:
    home = on_forks(machine, ballast_slabs=2)
    out = on_forks(machine, ballast_slabs=2, counterweight_extension=0.5)
    assert out.centre[COUNTERWEIGHT] - home.centre[COUNTERWEIGHT] == pytest.approx([-0.5, 0.0, 0.0])
    assert np.allclose(out.inertia[COUNTERWEIGHT], home.inertia[COUNTERWEIGHT])
    assert on_forks(machine).centre[COUNTERWEIGHT] == pytest.approx(machine.counterweight.centre)


def test_slabs_stack_without_gap_or_overlap(machine: Machine) -> None:
    assert machine.ballast_slab is not None
    most = machine.ballast_slab.most
    slabs = [part for part in on_forks(machine, ballast_slabs=most).parts if part.kind == "ballast"]
    bounds = [part.mesh.bounds for part in slabs]
    assert len(slabs) == most
    top = machine.counterweight.centre[2] + machine.counterweight.size[2] / 2
    assert bounds[0][0][2] == pytest.approx(top, abs=0.002)
    for below, above in itertools.pairwise(bounds):
        assert above[0][2] == pytest.approx(below[1][2])


def test_tilting_back_turns_mast_carriage_and_seated_load_about_the_axis(machine: Machine) -> None:
    angle = math.radians(4)
    level, back = on_forks(machine, SEATED), on_forks(machine, SEATED, tilt=angle)
    x, z = machine.mast.tilt_axis
    for body in (MAST, CARRIAGE, LOAD):
        before, after = level.centre[body] - (x, 0.0, z), back.centre[body] - (x, 0.0, z)
        assert np.linalg.norm(before) == pytest.approx(np.linalg.norm(after))
        turned = math.atan2(after[2], after[0]) - math.atan2(before[2], before[0])
        assert turned == pytest.approx(angle)
    assert back.centre[CHASSIS] == pytest.approx(level.centre[CHASSIS])
    assert back.points.mast_joint[0] < level.points.mast_joint[0]


def test_a_seated_load_touches_the_fork_face_and_the_fork_top(machine: Machine) -> None:
    built = on_forks(machine, SEATED, fork_height=0.8)
    corners = np.array([point.position for point in built.contacts if point.body == LOAD])
    assert corners[:, 0].min() == pytest.approx(machine.carriage.face)
    assert corners[:, 2].min() == pytest.approx(0.8)
    assert built.points.fork_face_x == pytest.approx(machine.carriage.face)
    assert built.points.fork_top_z == pytest.approx(0.8)
    assert built.centre[LOAD] == pytest.approx([machine.carriage.face + 0.6, 0.0, 0.8 + 0.45])
    bounds = [part.mesh.bounds for part in built.parts if part.body == LOAD]
    assert np.min([low for low, _ in bounds], axis=0) == pytest.approx(corners.min(axis=0), abs=1e-9)
    assert np.max([high for _, high in bounds], axis=0) == pytest.approx(corners.max(axis=0), abs=1e-9)


def test_a_load_centre_is_from_the_fork_face_to_the_centre_of_gravity(machine: Machine) -> None:
    load = SEATED.model_copy(update={"load_centre": 0.9, "centre_offset": (0.1, -0.05)})
    built = on_forks(machine, load)
    assert built.centre[LOAD][:2] == pytest.approx([machine.carriage.face + 0.9, -0.05])
    corners = np.array([point.position for point in built.contacts if point.body == LOAD])
    assert corners[:, 0].min() == pytest.approx(machine.carriage.face + 0.9 - 0.1 - 0.6)


def test_a_hung_load_hangs_with_its_centre_under_the_hook(machine: Machine) -> None:
    load = HUNG.model_copy(update={"centre_offset": (0.12, -0.08)})
    for tilt in (0.0, 0.05):
        built = on_jib(machine, load, tilt=tilt)
        hook, top = built.points.hook, built.points.load_top
        assert hook is not None
        assert top is not None
        assert hook - top == pytest.approx([0.0, 0.0, 0.8])
        assert built.centre[LOAD][:2] == pytest.approx(hook[:2])
        corners = np.array([point.position for point in built.contacts if point.body == LOAD])
        assert corners[:, 2].max() == pytest.approx(top[2])
        assert corners[:, :2].mean(axis=0) == pytest.approx(hook[:2] - (0.12, -0.08))
    assert machine.jib is not None
    level = on_jib(machine, load).points.hook
    assert level == pytest.approx([machine.carriage.face + machine.jib.reach_pins[1], 0.0, 3.2])


def test_the_lowest_rise_that_reaches_is_taken(machine: Machine) -> None:
    assert machine.jib is not None
    low, *_, high = machine.jib.rise_pins
    assert on_jib(machine).points.fork_height == pytest.approx(3.2 - low)
    top = machine.mast.top_fork_height + high
    assert on_jib(machine, hook_height=top).points.fork_height == pytest.approx(machine.mast.top_fork_height)


def test_the_bowl_of_the_hook_is_at_the_hook_datum(machine: Machine) -> None:
    built = on_jib(machine)
    hook = next(part for part in built.parts if part.name == "hook")
    assert built.points.hook is not None
    under = np.abs(hook.vertices[:, 0] - built.points.hook[0]) < 1e-6
    heights = hook.vertices[under & (hook.vertices[:, 2] < built.points.hook[2] + 0.01), 2]
    assert heights.max() == pytest.approx(built.points.hook[2])
    assert heights.min() < built.points.hook[2] - 0.01


def test_joints_lie_where_the_machine_says(machine: Machine) -> None:
    points = on_forks(machine).points
    assert points.pivot == pytest.approx([-machine.wheelbase, 0.0, machine.steer_axle.pivot_height])
    assert points.mast_joint[2] == pytest.approx(machine.mast.joint_height)
    assert points.stop_angle == (machine.steer_axle.stop or 0.0)
    assert points.hook is None
    assert points.load_top is None


def test_contact_points_come_in_mirrored_pairs(machine: Machine) -> None:
    built = on_jib(machine, ballast_slabs=2)
    found = {point.name: point for point in built.contacts}
    assert len(found) == len(built.contacts)
    for name, point in found.items():
        if name.endswith("-left"):
            other = found[name[:-5] + "-right"]
            assert other.body == point.body
            assert other.position == pytest.approx(point.position * (1, -1, 1))
    wanted = {"belly-front-left", "counterweight-rear-left", "mast-foot-left", "mast-top-left", "guard-front-left"}
    assert wanted | {"sill-front-left", "jib-end-left", "load-bottom-front-left"} <= set(found)
    assert "fork-tip-left" in {point.name for point in on_forks(machine).contacts}


def test_contact_points_lie_on_their_body(machine: Machine) -> None:
    built = on_forks(machine, SEATED, ballast_slabs=2)
    for point in built.contacts:
        cloud = np.concatenate([part.vertices for part in built.parts if part.body == point.body])
        assert (point.position >= cloud.min(axis=0) - 0.02).all(), point.name
        assert (point.position <= cloud.max(axis=0) + 0.02).all(), point.name


@pytest.mark.parametrize(
    ("change", "load", "key"),
    [
        ({"attachment": "forks"}, None, "setup.fork_height"),
        ({"attachment": "forks", "fork_height": 9.0}, None, "setup"),
        ({"attachment": "jib", "hook_height": 3.0}, None, "setup.jib_reach"),
        ({"attachment": "jib", "jib_reach": 1.0}, None, "setup.hook_height"),
        ({"attachment": "jib", "jib_reach": 1.0, "hook_height": 1.2}, HUNG, "setup.hook_height"),
        ({"attachment": "jib", "jib_reach": 1.0, "hook_height": 3.0}, SEATED, "load.hung_by"),
        ({"attachment": "none"}, SEATED, "setup.attachment"),
        (
            {"attachment": "forks", "fork_height": 0.4},
            SEATED.model_copy(update={"load_centre": 0.3}),
            "load.load_centre",
        ),
    ],
)
def test_what_cannot_be_put_together_is_refused(change: dict[str, Any], load: LiftedLoad | None, key: str) -> None:
    with pytest.raises(InputError) as caught:
        assemble(TRUCKS["a"], Setup(**change), load)
    assert caught.value.key == key
    assert caught.value.remedy


@pytest.mark.parametrize("missing", ["forks", "jib"])
def test_an_attachment_the_machine_lacks_is_refused(missing: str) -> None:
    bare = TRUCKS["a"].model_copy(update={missing: None})
    with pytest.raises(InputError, match=f"has no {missing}"):
        assemble(bare, Setup(attachment=missing, fork_height=0.5, jib_reach=1.0))
    assert assemble(bare, Setup(attachment="none")).mass[CARRIAGE] == pytest.approx(bare.carriage.mass)


SCALE = st.floats(0.5, 2.0)


@pytest.mark.slow
@given(letter=st.sampled_from("abc"), scales=st.lists(SCALE, min_size=9, max_size=9), height=st.floats(0.0, 4.0))
@settings(max_examples=30, deadline=None)
def test_any_machine_gives_bodies_that_can_exist(letter: str, scales: list[float], height: float) -> None:
    truck = TRUCKS[letter]
    c, cw, m, a = truck.chassis, truck.counterweight, truck.mast, truck.steer_axle
    odd = truck.model_copy(
        update={
            "wheelbase": truck.wheelbase * scales[0],
            "chassis": c.model_copy(
                update={
                    "centre": None, "width": c.width * scales[1], "front": c.front * scales[2],
                    "rear": c.rear * scales[3], "deck_height": c.deck_height * scales[4],
                }
            ),
            "counterweight": cw.model_copy(update={"size": tuple(s * scales[5] for s in cw.size)}),
            "mast": m.model_copy(update={"width": m.width * scales[6], "channel_depth": m.channel_depth * scales[7]}),
            "steer_axle": a.model_copy(update={"pivot_height": a.pivot_height * scales[8]}),
        }
    )  # fmt: skip
    built = on_forks(odd, SEATED, fork_height=height, ballast_slabs=2)
    assert min(part.mass for part in built.parts) > 0.0
    for body, name in enumerate(BODIES):
        mass.check(built.mass[body], built.inertia[body], name)
        least, middle, most = np.linalg.eigvalsh(built.inertia[body])
        assert least > 0.0, name
        assert most <= (least + middle) * (1.0 + 1e-9), name


@pytest.mark.slow
def test_geometry_does_not_load_the_mesh_library_until_a_mesh_is_asked_for() -> None:
    code = "import sys, tipline.geometry; print([m for m in ('trimesh', 'scipy', 'networkx') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_slab_is_drawn_with_cut_corners_over_a_shallow_joint(machine: Machine) -> None:
    """Corners cut by 1/8 of its length, a joint of 8 % of its thickness, 90 % as long and 92 % as wide (our choice)."""
    assert machine.ballast_slab is not None
    long, wide, thick = machine.ballast_slab.size
    part = next(part for part in on_forks(machine, ballast_slabs=1).parts if part.name == "ballast slab 1")
    plate = (long * wide - 2.0 * (long / 8.0) ** 2) * 0.92 * thick
    joint = 0.9 * long * 0.92 * wide * 0.08 * thick
    drawn = trimesh.Trimesh(part.vertices, part.faces, process=False)
    assert drawn.volume == pytest.approx(plate + joint, rel=1e-9)


def test_levers_stand_upright_under_their_knobs(machine: Machine) -> None:
    """Three, 60 mm apart: each as far to the right at its foot as at its head (our choice)."""
    levers = next(part for part in on_forks(machine).parts if part.name == "levers")
    middle = levers.vertices[:, 2].mean()
    for end in (levers.vertices[:, 2] < middle, levers.vertices[:, 2] > middle):
        across = np.sort(levers.vertices[end, 1]).reshape(3, -1).mean(axis=1)
        assert np.diff(across) == pytest.approx([0.06, 0.06], abs=1e-6)
