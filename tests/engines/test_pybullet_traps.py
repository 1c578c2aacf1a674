"""What pybullet does without being asked, or without a word, and that the truck's world is not touched by it.

Many tests measure twice: as built, and with one call of the world changed, where the trap must show. Traps that the
design avoids altogether are tested as such: what is not called cannot bite.

Measured.

pybullet traps. `engines/guards.py` refuses bodies that pybullet would freeze or strip without a word, and a step too
long for any spring; `engines/world.py` reads number, order and joints of the links, masses, inertias and places back
before a run starts (a force on a link that is not there ends the process; `changeDynamics` with an activation state
beside an inertia sends the inertia to the base; a spherical joint turns in the child's principal axes); the watch in
`engines/simulate.py` stops what is too fast, not a number, or gains energy, since pybullet clamps speeds at 100.
`tests/engines/test_pybullet_traps.py` and `test_refused_builds.py` have each trap: as built, and with one call
changed, where it must show.
"""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from few import slow_but
from memory import in_use
from spoiled import DT, SLIDES, Array, Change, Spoiled, entered, nothing, states, without
from tipline.endings import RULES
from tipline.engines import world as world_module
from tipline.engines.prepare import Prepared
from tipline.engines.simulate import simulate
from tipline.engines.world import World
from tipline.errors import MissingPart, NumericalError
from tipline.kernels import equilibrium as rest
from tipline.kernels import layout as at
from tipline.kernels import reading
from tipline.scenario.profiles import move
from trucks import FORKS, FREE, HUNG, G, case, hole, ledger_left, run, series, start, with_memory

LEVEL = {"machine.mast.roller_play": "0 deg"}
of_the_library = pytest.mark.skipif(find_spec("pybullet") is None, reason="pybullet is not installed")


def moved_to(prepared: Prepared, speed: tuple[float, ...] = (), turn: tuple[float, ...] = ()) -> Prepared:
    """The same start with a speed [m/s] and turning [rad/s] of the chassis."""
    raw = prepared.raw.copy()
    raw[at.CHASSIS, 7:10], raw[at.CHASSIS, 10:13] = speed or (0.0, 0.0, 0.0), turn or (0.0, 0.0, 0.0)
    return replace(prepared, raw=raw)


def present(prepared: Prepared) -> list[int]:
    return [body for body in range(at.N_BODY) if prepared.build.plant.mass[body] > 0.0]


# what the library adds of its own


def speed_after_a_fall(**changed: Change) -> Array:
    """Fall speed of every body after 1 s without any force but gravity, over g t."""
    prepared = start(HUNG)
    with entered(prepared, **changed) as world:
        world.set_gravity(np.array([0.0, 0.0, -G]))
        for _ in range(1000):
            world.step()
        return -states(world)[present(prepared), 9] / G


def test_nothing_damps_a_falling_truck() -> None:
    """Left to itself the library takes more than a tenth of the speed in 1 s."""
    assert speed_after_a_fall() == pytest.approx(1.0, abs=1e-9)
    assert speed_after_a_fall(changeDynamics=without("linearDamping", "angularDamping"))[0] < 0.9


def joint_rates(prepared: Prepared, **changed: Change) -> Array:
    """Turning of axle and mast and sliding of the carriage against their parents, pushed for 0.1 s by 500 N m or N."""
    with entered(prepared, **changed) as world:
        for _ in range(100):
            raw = states(world)
            world.torque_on(world.truck, 0, (500.0, 0.0, 0.0), 2, world.client)
            world.torque_on(world.truck, 1, (0.0, 500.0, 0.0), 2, world.client)
            world.force_on(world.truck, 2, (0.0, 0.0, 500.0), raw[at.CARRIAGE, :3].tolist(), 2, world.client)
            world.step()
        raw = states(world)
    slide = raw[at.CARRIAGE, 7:10] - raw[at.MAST, 7:10]
    slide -= np.cross(raw[at.MAST, 10:13], raw[at.CARRIAGE, :3] - raw[at.MAST, :3])
    return np.array([raw[at.AXLE, 10] - raw[0, 10], raw[at.MAST, 11] - raw[0, 11], slide[2]])


def test_no_motor_holds_a_joint() -> None:
    """Each turns or slides at least as fast as if its parent stood still; a default motor holds it against 500."""
    prepared = start(HUNG)
    plant = prepared.build.plant
    arm, lift = plant.mast[at.M_MX : at.M_MZ + 1], plant.link[at.L_CX : at.L_CZ + 1]
    pin = plant.axle[at.A_AX : at.A_AZ + 1]
    inertia, mass, reach = plant.inertia, plant.mass, lift - arm
    about = np.array(
        [
            inertia[at.AXLE][0, 0] + mass[at.AXLE] * (pin[1] ** 2 + pin[2] ** 2),
            inertia[at.MAST][1, 1] + mass[at.MAST] * (arm[0] ** 2 + arm[2] ** 2)
            + inertia[at.CARRIAGE][1, 1] + mass[at.CARRIAGE] * (reach[0] ** 2 + reach[2] ** 2),
            mass[at.CARRIAGE],
        ]
    )  # fmt: skip
    rates = joint_rates(prepared)
    assert (rates > 0.98 * 500.0 * 0.1 / about).all(), rates
    held = joint_rates(prepared, setJointMotorControl2=nothing)
    assert np.abs(held[[0, 2]]).max() < 1e-3 * rates[[0, 2]].min()


def test_no_limit_of_the_library_stops_the_axle() -> None:
    """Past its stop by far, with no force of ours, it turns on as before: the stop is a spring of ours only."""
    prepared = start(FORKS)
    with entered(prepared) as world:
        for _ in range(20):
            world.torque_on(world.truck, 0, (20e3, 0.0, 0.0), 2, world.client)
            world.step()
        before = states(world)[[at.AXLE, at.CHASSIS], 10]
        for _ in range(1500):
            world.step()
        after = states(world)[[at.AXLE, at.CHASSIS], 10]
        angle = world.bullet.getJointState(world.truck, 0, physicsClientId=world.client)[0]
    assert abs(angle) > 10.0 * float(prepared.build.plant.axle[at.A_STOP])
    assert after[0] - after[1] == pytest.approx(before[0] - before[1], rel=0.05)


def pushed_after_rest(**changed: Change) -> float:
    """Speed of the chassis over F t / m of the whole, pushed for 0.1 s after 5 s at rest."""
    prepared = start(FORKS)
    with entered(prepared, **changed) as world:
        for _ in range(5000):
            world.step()
        for _ in range(100):
            place = states(world)[at.CHASSIS, :3].tolist()
            world.force_on(world.truck, -1, (1e4, 0.0, 0.0), place, 2, world.client)
            world.step()
        return float(states(world)[at.CHASSIS, 7] / (1e4 * 0.1 / prepared.build.plant.mass.sum()))


def sleepy(true: Change, *words: Any, **named: Any) -> Any:
    if "activationState" in named:
        named["activationState"] = world_module.load_pybullet().ACTIVATION_STATE_ENABLE_SLEEPING
    return true(*words, **named)


def test_a_truck_at_rest_does_not_fall_asleep() -> None:
    """Forces from outside would not wake it: a truck over a hole would stay in the air."""
    assert pushed_after_rest() > 0.95
    assert pushed_after_rest(changeDynamics=sleepy) < 0.01


def test_bodies_have_no_shape_that_could_touch() -> None:
    """Lifted load put into the middle of the chassis: neither feels the other, and no contact is listed."""
    prepared = start(HUNG)
    raw = prepared.raw.copy()
    raw[at.LOAD, :3] = raw[at.CHASSIS, :3]
    with entered(replace(prepared, raw=raw)) as world:
        p, client = world.bullet, world.client
        for item, link in [(world.truck, link) for link in (-1, *world.links)] + [(world.load, -1)]:
            assert not p.getCollisionShapeData(item, link, physicsClientId=client)
        for _ in range(200):
            world.step()
        assert not p.getContactPoints(physicsClientId=client)
        assert np.abs(states(world)[present(prepared), 7:]).max() < 1e-12


USED = {
    "connect", "disconnect", "setTimeStep", "setGravity", "createMultiBody", "changeDynamics", "getDynamicsInfo",
    "getNumJoints", "getJointInfo", "setJointMotorControl2", "setJointMotorControlMultiDof", "resetJointState",
    "resetJointStateMultiDof", "resetBasePositionAndOrientation", "resetBaseVelocity", "getBasePositionAndOrientation",
    "getBaseVelocity", "getJointStatesMultiDof", "getLinkStates", "applyExternalForce", "applyExternalTorque",
    "stepSimulation",
}  # fmt: skip


@pytest.mark.parametrize("text", [HUNG + SLIDES, FREE], ids=["hung, counterweight moves", "free on forks"])
def test_a_run_calls_these_functions_of_the_library_and_no_others(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """No constraint between bodies, no file loaded, no substeps, no reset, no sensor of a joint, no mass matrix."""
    library = Spoiled()
    monkeypatch.setattr(world_module, "load_pybullet", lambda: library)
    run(text + hole("front-left", "60 mm"), run__duration="0.7 s")
    assert set(library.called) == USED
    assert library.called["createMultiBody"] == 2


def test_motors_are_only_ever_told_to_let_go(monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[tuple[Any, Any]] = []

    def listen(true: Change, *words: Any, **named: Any) -> Any:
        told.append((words[2], named["force"]))
        return true(*words, **named)

    library = Spoiled(setJointMotorControl2=listen, setJointMotorControlMultiDof=listen)
    monkeypatch.setattr(world_module, "load_pybullet", lambda: library)
    run(HUNG + SLIDES, run__duration="0.5 s")
    assert len(told) == 4
    assert all(not np.any(force) for _, force in told)


def test_a_step_is_one_step() -> None:
    """Substeps would hold our springs' forces while the bodies move on."""
    with entered(start(HUNG)) as world:
        told = world.bullet.getPhysicsEngineParameters(physicsClientId=world.client)
    assert told["fixedTimeStep"] == DT
    assert told["numSubSteps"] in (0, 1)


# what is read


def drift_of_the_mast(**changed: Change) -> float:
    """How far the mast seems to fall behind a chassis that coasts at 3 m/s [m]."""
    prepared = moved_to(start(HUNG), speed=(3.0, 0.0, 0.0))
    with entered(prepared, **changed) as world:
        before = states(world)
        for _ in range(10):
            world.step()
        after = states(world)
    apart = [raw[at.MAST, :3] - raw[at.CHASSIS, :3] for raw in (before, after)]
    return float(np.abs(apart[1] - apart[0]).max())


def test_links_are_read_as_they_stand_now_and_not_one_step_ago() -> None:
    """One step at 3 m/s is 3 mm."""

    def stale(true: Change, truck: int, links: list[int], speeds: int, _fresh: int, client: int) -> Any:
        return true(truck, links, speeds, 0, client)

    assert drift_of_the_mast() < 1e-9
    assert drift_of_the_mast(getLinkStates=stale) == pytest.approx(3e-3, rel=1e-3)


def test_speeds_read_are_those_of_the_centres_of_mass() -> None:
    """A truck that coasts and turns about an oblique axis: each centre moves by its speed times the step."""
    prepared = moved_to(start(HUNG), (1.0, -2.0, 0.5), (0.3, -0.4, 0.5))
    with entered(prepared) as world:
        for _ in range(5):
            before = states(world)
            world.step()
            after = states(world)
            way = (after - before)[present(prepared), :3]
            assert way == pytest.approx(DT * after[present(prepared), 7:10], abs=1e-3 * DT)
    apart = np.abs(prepared.build.centre[at.CHASSIS] - prepared.build.centre[at.MAST]).max()
    assert apart * 0.3 > 0.1  # a speed of another point would be off by as much


def link_frame(true: Change, *words: Any) -> Any:
    return [(row[4], row[5], *row[2:]) for row in true(*words)]


def test_reading_the_frame_of_the_joint_instead_of_the_mass_is_noticed() -> None:
    with pytest.raises(NumericalError, match="axle stands"), entered(start(HUNG), getLinkStates=link_frame):
        pass


def test_poses_of_a_run_are_in_the_truck_s_axes_and_not_in_principal_axes() -> None:
    """The chassis' principal axes lie some degrees off; at rest the truck leans by less than half a degree."""
    prepared, result = start(HUNG), run(HUNG, run__duration="0.1 s")
    off, lean = Rotation.from_quat([prepared.build.axes[at.CHASSIS], result.poses[0, at.CHASSIS, 3:]]).magnitude()
    assert np.degrees(off) > 5.0
    assert np.degrees(lean) < 0.5
    assert series(result, "pitch")[0] == pytest.approx(prepared.q[rest.Q_PITCH], abs=1e-6)


def test_forces_of_a_row_belong_to_the_pose_of_that_row() -> None:
    """Read before the step: at 2 m/s the contact lies under the hub of the same row, 2 mm behind that of the next."""
    result, made = run(FORKS, {"setup.speed": "2 m/s"}, run__duration="0.3 s"), start(FORKS).build
    turns = Rotation.from_quat(result.poses[:, at.CHASSIS, 3:])
    hub = result.poses[:, at.CHASSIS, :3] + turns.apply(made.plant.tyre[0, at.T_X : at.T_Z + 1])
    contact = series(result, "tyre_contact_x.front-left")
    assert contact == pytest.approx(hub[:, 0], abs=1e-4)
    assert hub[1:, 0] - contact[:-1] == pytest.approx(2e-3, abs=1e-4)


# what is built


def momentum(prepared: Prepared, raw: Array, speeds: Array, inertia: Array) -> tuple[Array, Array]:
    """Momentum and angular momentum about the common centre of bodies at raw that move at speeds (6, 6)."""
    from tipline.kernels.vector import quaternion_product, rotation

    plant = prepared.build.plant
    bodies = present(prepared)
    centre = plant.mass[bodies] @ raw[bodies, :3] / plant.mass.sum()
    push, spin, q, turn = np.zeros(3), np.zeros(3), np.empty(4), np.zeros((3, 3))
    for body in bodies:
        quaternion_product(raw[body, 3:7], plant.frame[body], q)
        rotation(q, turn)
        push += plant.mass[body] * speeds[body, :3]
        spin += turn @ inertia[body] @ turn.T @ speeds[body, 3:]
        spin += plant.mass[body] * np.cross(raw[body, :3] - centre, speeds[body, :3])
    return push, spin


def test_a_body_that_tumbles_keeps_its_energy() -> None:
    """The library turns bodies in explicit steps; at 2.3 rad/s about an oblique axis 1e-4 is lost or won in 3 s."""
    prepared = start(HUNG)
    raw, plant = prepared.raw.copy(), prepared.build.plant
    raw[at.LOAD, 10:13] = 1.0, 2.0, 0.5

    def turning(told: Array) -> float:
        turn = Rotation.from_quat(told[at.LOAD, 3:7]) * Rotation.from_quat(plant.frame[at.LOAD])
        own = turn.inv().apply(told[at.LOAD, 10:13])
        return float(own @ plant.inertia[at.LOAD] @ own)

    with entered(replace(prepared, raw=raw)) as world:
        before = turning(states(world))
        for _ in range(3000):
            world.step()
        assert turning(states(world)) == pytest.approx(before, rel=1e-3)


SMALL = 100.0
"""A torque [N m] so small that no body moves in the step."""


@pytest.mark.parametrize("axis", range(3))
@pytest.mark.parametrize("text", [HUNG + SLIDES, FORKS], ids=["hung, counterweight apart", "forks"])
def test_a_unit_torque_gives_the_angular_momentum_of_the_whole_tensors(text: str, axis: int) -> None:
    """On every body in turn; the tensors' diagonals alone would give another answer.

    The truck stands turned by 30 deg: frame and load have no products of inertia to a side, so a torque about the
    truck's own y would not tell a whole tensor from its diagonal.
    """
    prepared = start(text, {**LEVEL, "setup.heading": "30 deg"})
    inertia = prepared.build.plant.inertia
    diagonal = np.array([np.diag(np.diag(tensor)) for tensor in inertia])
    torque, off = SMALL * np.eye(3)[axis], 0.0
    with entered(prepared) as world:
        for body in present(prepared):
            world.place()
            raw = states(world)
            before = momentum(prepared, raw, raw[:, 7:], inertia)
            item, link = (world.load, -1) if body == at.LOAD else (world.truck, world.link.get(body, -1))
            world.torque_on(item, link, torque.tolist(), 2, world.client)
            world.step()
            speeds = states(world)[:, 7:]
            push, spin = momentum(prepared, raw, speeds, inertia)
            assert np.abs(push - before[0]).max() < 1e-5 * SMALL * DT
            assert spin - before[1] == pytest.approx(torque * DT, abs=1e-5 * SMALL * DT), at.BODIES[body]
            other = momentum(prepared, raw, speeds, diagonal)
            off = max(off, float(np.abs(other[1] - before[1] - torque * DT).max()))
    assert off > 1e-2 * SMALL * DT


# what would break down without a word


@pytest.mark.parametrize("kilograms", [5, 60, 200])
@pytest.mark.parametrize("way", ["dropped", "free on forks"])
def test_a_light_load_does_not_explode_on_what_it_touches(way: str, kilograms: int) -> None:
    """Corners as stiff as a heavy load's would throw it away at 100 m/s."""
    changes = {"load.mass": f"{kilograms} kg", "load.rigging_weight": "0 kg"}
    text = FREE + hole("front-left", "60 mm")
    if way == "dropped":
        text = HUNG + '[[event]]\nkind = "load_shed"\nat = "0.2 s"\n'
        changes |= {"load.size": '["0.3 m", "0.3 m", "0.3 m"]', "load.height_of_centre": "0.15 m"}
    result = run(text, changes, run__duration="3.5 s")
    missing, through = ledger_left(result)
    assert missing < max(0.02 * through, 25.0)
    assert np.abs(result.velocities[:, at.LOAD, :3]).max() < 14.0
    assert np.abs(result.velocities[-100:, at.LOAD, :3]).max() < 1.5


def test_the_library_stops_at_100_and_the_watch_before() -> None:
    """An explosion does not become a number that is none: it stays at 100 m/s."""
    with entered(start(FORKS)) as world:
        place = states(world)[at.CHASSIS, :3].tolist()
        world.force_on(world.truck, -1, (1e12, 0.0, 0.0), place, 2, world.client)
        world.step()
        fastest = np.abs(states(world)[at.CHASSIS, 7:10]).max()
    assert fastest <= 100.0 + 1e-9
    assert 0.9 * fastest > RULES.fastest


def broken(monkeypatch: pytest.MonkeyPatch, force: float) -> None:
    """From 0.3 s on a force that nobody asked for acts on the chassis."""
    apply, count = World.apply, [0]

    def spoiled(self: World, wrench: Array) -> None:
        count[0] += 1
        told = wrench.copy()
        if count[0] > 300:
            told[at.CHASSIS, 2] = force
        apply(self, told)

    monkeypatch.setattr(World, "apply", spoiled)


@of_the_library
def test_a_force_that_is_no_number_stops_the_run(monkeypatch: pytest.MonkeyPatch) -> None:
    """The library takes it without a word; the state that follows is caught within 20 steps."""
    broken(monkeypatch, float("nan"))
    with pytest.raises(NumericalError, match="not a finite number") as caught:
        run(FORKS + "# with a force that is no number\n", run__duration="0.6 s")
    assert caught.value.time == pytest.approx(0.31, abs=0.02)


@of_the_library
def test_an_explosion_stops_the_run(monkeypatch: pytest.MonkeyPatch) -> None:
    broken(monkeypatch, 1e10)
    with pytest.raises(NumericalError, match="beyond 50"):
        run(FORKS, run__duration="0.6 s")


@pytest.mark.parametrize("text", [HUNG, HUNG + SLIDES, FREE], ids=["hung", "counterweight apart", "free on forks"])
def test_forces_go_to_links_that_are_there(text: str) -> None:
    """A force on a link that is not there ends the process (tested below): the numbers are held to the build's."""
    used: set[tuple[int, int]] = set()

    def listen(_true: Change, item: int, link: int, *words: Any) -> None:
        used.add((item, link))
        assert words[-2] == world_module.load_pybullet().WORLD_FRAME

    prepared = with_memory(start(text))
    with entered(prepared, applyExternalForce=listen, applyExternalTorque=listen) as world:
        states(world)
        world.apply(np.zeros((reading.CALLS, 3)))
        there = {(world.truck, -1)} | {(world.truck, link) for link in range(len(world.link))}
        there |= {(world.load, -1)} if world.load >= 0 else set()
    assert used == there


BAD_LINK = """
from tipline.engines.world import load_pybullet
p = load_pybullet()
p.connect(p.DIRECT)
body = p.createMultiBody(1.0)
p.applyExternalForce(body, 7, (0, 0, 1), (0, 0, 0), p.WORLD_FRAME)
print("alive")
"""


@pytest.mark.slow
@of_the_library
def test_a_bad_link_number_still_ends_the_process_without_a_message() -> None:
    """Should this fail with a newer library, the guard on the links has lost one of its reasons."""
    done = subprocess.run([sys.executable, "-c", BAD_LINK], capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode < 0
    assert not done.stdout


# what the library's own contacts and motors get wrong


def sideways(angle: float, rate: float, mu: float, seconds: float) -> tuple[Array, Array, Array]:
    """Turn the floor sideways; return time, pull along over across the forks, and the load's way across them [m]."""
    turns = f'[[event]]\nkind = "floor_turns"\nat = "0.2 s"\nslope = "{angle} deg"\ntowards = "90 deg"\n'
    changes = {
        "load.friction_on_forks": f"{mu}", "load.mass": "3 t", "floor.friction.solid": "1.5",
        "setup.counterweight_extension": "0 m", "machine.drive.parking_brake_force": "400 kN",
    } | LEVEL  # fmt: skip
    length = f"{seconds} s"
    result = run(FREE + turns + f'rate = "{rate} deg/s"\n', changes, run__duration=length, run__extend_to=length)
    forks = Rotation.from_quat(result.poses[:, at.CARRIAGE, 3:]).inv()
    pull = forks.apply(np.column_stack([series(result, f"gravity_{axis}") for axis in "xyz"]))
    way = forks.apply(result.poses[:, at.LOAD, :3] - result.poses[:, at.CARRIAGE, :3])[:, 1]
    return result.time, np.hypot(pull[:, 0], pull[:, 1]) / -pull[:, 2], np.abs(way - way[0])


@pytest.mark.parametrize("mu", slow_but([0.1, 0.15], 0.15))
def test_a_free_load_slides_at_its_friction_and_not_before(mu: float) -> None:
    """The library's contacts slip 7 % early or creep; ours bend by less than 0.2 mm up to 0.99 of the friction."""
    time, ratio, way = sideways(14.0, 1.0, mu, 11.0)
    assert way[int(np.argmax(ratio > 0.99 * mu))] < 2e-4
    sliding = int(np.argmax(np.gradient(way, time) > 2e-3))
    assert mu < ratio[sliding] < 1.03 * mu


@pytest.mark.slow
def test_a_free_load_does_not_creep_below_its_friction() -> None:
    """Ten seconds at about 80 % of the angle at which it slides: less than 0.01 mm."""
    _, ratio, way = sideways(4.4, 4.4, 0.1, 13.0)
    assert 0.75 < ratio[3000] / 0.1 < 0.85
    assert abs(way[-1] - way[3000]) < 1e-5


@pytest.mark.parametrize(("distance", "speed", "stop"), [(2.0, 0.4, 0.3), (-0.05, 0.4, 0.1), (0.8, 0.3, 0.3)])
def test_lift_tilt_and_slide_are_never_told_a_sudden_speed(distance: float, speed: float, stop: float) -> None:
    """A jump of the speed told would be a blow: begun over 0.3 s, ended over the stop, never faster than told."""
    time = np.arange(0.0, 8.0, DT)
    way = move(time, 0.5, distance, speed, stop)
    rate = np.diff(way) / DT
    assert np.abs(rate).max() <= speed * (1.0 + 1e-9)
    assert np.abs(np.diff(rate)).max() / DT <= 1.01 * speed / min(stop, 0.3)
    assert way[-1] == pytest.approx(distance)


# clients and the terminal


def test_without_the_library_the_message_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pybullet", None)
    with pytest.raises(MissingPart, match="pip install pybullet"):
        simulate(case(FORKS, run__duration="0.1 s"), engine="pybullet")


def test_a_world_begins_without_gravity_and_leaves_other_clients_alone() -> None:
    """Nobody's gravity, step or bodies come in, and ours do not go out."""
    p = world_module.load_pybullet()
    other = p.connect(p.DIRECT)
    try:
        p.setGravity(0.0, 0.0, -3.0, physicsClientId=other)
        ball = p.createMultiBody(1.0, physicsClientId=other)
        with entered(start(FORKS)) as world:
            told = p.getPhysicsEngineParameters(physicsClientId=world.client)
            assert [told[f"gravityAcceleration{axis}"] for axis in "XYZ"] == [0.0, 0.0, 0.0]
            world.set_gravity(np.array([0.0, 0.0, -G]))
            for _ in range(100):
                world.step()
            assert states(world)[0, 9] == pytest.approx(-0.1 * G, rel=1e-9)
        told = p.getPhysicsEngineParameters(physicsClientId=other)
        assert told["gravityAccelerationZ"] == -3.0
        assert told["fixedTimeStep"] != DT
        assert p.getNumBodies(physicsClientId=other) == 1
        assert p.getBaseVelocity(ball, physicsClientId=other)[0] == (0.0, 0.0, 0.0)
    finally:
        p.disconnect(other)


def test_earlier_runs_and_open_clients_change_no_bit() -> None:
    text = HUNG + hole("front-left", "60 mm")
    first = run(text, run__duration="1 s")
    p = world_module.load_pybullet()
    others = [p.connect(p.DIRECT) for _ in range(3)]
    try:
        run(FREE, run__duration="0.3 s")
        second = run(text, run__duration="1 s")
    finally:
        for other in others:
            p.disconnect(other)
    assert first.poses.tobytes() == second.poses.tobytes()
    assert first.velocities.tobytes() == second.velocities.tobytes()


@pytest.mark.slow
def test_a_hundred_worlds_leave_nothing_behind() -> None:
    """An open client holds some 30 MB: a hundred would be gigabytes."""
    prepared = start(HUNG)
    clients = []
    for count in range(110):
        if count == 10:
            before = in_use()
        with World(prepared, DT) as world:
            world.step()
            clients.append(world.client)
    assert in_use().since(before).megabytes < 1.0
    assert len(set(clients)) == 1


def test_a_world_that_was_refused_leaves_no_client() -> None:
    p, prepared = world_module.load_pybullet(), start(HUNG)
    prepared.raw[at.MAST, 0] += 1e-3
    worlds = []
    for _ in range(3):
        world = World(prepared, DT)
        worlds.append(world)
        with pytest.raises(NumericalError, match="mast stands"), world:
            pass
    assert not any(p.getConnectionInfo(world.client)["isConnected"] for world in worlds)


QUIET = """
import sys
sys.path.insert(0, sys.argv[1])
from trucks import HUNG, hole, run
run(HUNG + hole("front-left", "60 mm"), run__duration="0.6 s")
"""


@pytest.mark.slow
def test_a_run_writes_nothing_of_the_library_on_the_terminal() -> None:
    """Neither the banner nor its warnings: a page or JSON on stdout stays whole."""
    here = str(Path(__file__).parents[1] / "shared")
    done = subprocess.run([sys.executable, "-c", QUIET, here], capture_output=True, text=True, check=True, timeout=120)
    assert done.stdout == ""
    assert done.stderr == ""


CLOSED = """
from tipline.engines.world import _is_open, load_pybullet
before = [_is_open(handle) for handle in (1, 2)]
load_pybullet()
raise SystemExit(before == [_is_open(handle) for handle in (1, 2)] and 7 + 2 * before[0] + before[1])
"""


@pytest.mark.slow
@of_the_library
@pytest.mark.parametrize(("closed", "told"), slow_but([("", 10), (">&-", 8), ("2>&-", 9), (">&- 2>&-", 7)], ">&- 2>&-"))
def test_the_library_loads_on_a_closed_terminal_and_leaves_it_closed(closed: str, told: int) -> None:
    """A service may have neither stdout nor stderr."""
    done = subprocess.run(["sh", "-c", f"'{sys.executable}' -c '{CLOSED}' {closed}"], check=False, timeout=60)
    assert done.returncode == told
