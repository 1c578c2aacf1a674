"""Rest: the engine holds the pose that statics found, and no force is missing."""

from __future__ import annotations

from dataclasses import replace
from math import atan, degrees

import numpy as np
import pytest

from tipline.engines.prepare import Prepared
from tipline.geometry.plant import quaternion_of
from tipline.kernels import equilibrium as rest
from tipline.kernels import layout as at
from tipline.kernels.vector import quaternion_product
from tipline.oracles.statics import tyre_loads
from tipline.statics.truck import truck_of
from trucks import EMPTY, FORKS, FREE, HUNG, G, case, loads, play, run, series, start, with_memory

UPHILL = {"setup.slope": "10 %", "setup.slope_towards": "180 deg"}


@pytest.mark.parametrize("text", [HUNG, FORKS, FREE, EMPTY], ids=["hung", "forks", "free on forks", "unladen"])
def test_forces_after_five_seconds_are_those_of_statics(text: str) -> None:
    """Within 1e-6 of each tyre's load, a load that lies free on the forks within 2e-5; the truck does not drift."""
    result = run(text, run__duration="5 s")
    assert result.meta["stands_at_start"]
    near = 2e-5 if text == FREE else 1e-6
    tyres = loads(result)
    assert tyres[-1] == pytest.approx(tyres[0], rel=near)
    assert np.abs(tyres / tyres[0] - 1.0).max() < 10.0 * near
    assert np.abs(result.poses[-1, 0, :3] - result.poses[0, 0, :3]).max() < 1e-6


@pytest.mark.parametrize("text", [HUNG, FORKS, EMPTY], ids=["hung", "forks", "unladen"])
def test_tyre_loads_add_up_to_the_weight(text: str) -> None:
    made = start(text).build
    result = run(text, run__duration="1 s")
    assert loads(result).sum(axis=1) == pytest.approx(float(made.plant.mass.sum()) * G, rel=1e-7)


def test_forces_along_and_across_hold_a_sloping_truck() -> None:
    """The tyres carry the normal part of the weight, drag and side forces the rest; only drive tyres drag."""
    changes = {"setup.slope": "8 %", "setup.slope_towards": "140 deg"}
    weight = float(start(FORKS, changes).build.plant.mass.sum()) * G
    result = run(FORKS, changes, run__duration="3 s")
    drag = np.array([series(result, f"tyre_drag.{name}")[-1] for name in result.tyres])
    side = np.array([series(result, f"tyre_side.{name}")[-1] for name in result.tyres])
    alpha = atan(0.08)
    assert loads(result)[-1].sum() == pytest.approx(weight * np.cos(alpha), rel=1e-6)
    assert drag.sum() == pytest.approx(-weight * np.sin(alpha) * np.cos(np.radians(140.0)), rel=1e-3)
    assert side.sum() == pytest.approx(-weight * np.sin(alpha) * np.sin(np.radians(140.0)), rel=1e-3)
    assert np.abs(drag[2:]).max() < 1.0


@pytest.mark.parametrize("text", [HUNG, FORKS], ids=["hung", "forks"])
def test_a_braked_truck_does_not_creep_on_ten_percent(text: str) -> None:
    """Nose up, 15 s: less than 0.01 mm."""
    result = run(text, UPHILL, run__duration="15 s")
    assert result.meta["stands_at_start"]
    moved = result.poses[-1, at.CHASSIS, :3] - result.poses[0, at.CHASSIS, :3]
    assert np.abs(moved).max() < 1e-5, moved


@pytest.mark.slow
@pytest.mark.parametrize("mu", [0.3, 0.4])
def test_braked_truck_nose_uphill_slides_where_its_drive_axle_lets_go(mu: float) -> None:
    """tan = mu (1 - s_r) / (1 + mu h / L), shares and height of the truck as it stands there; within 0.5 %."""
    turning = '[[event]]\nkind = "floor_turns"\nat = "0.2 s"\nslope = "25 deg"\ntowards = "180 deg"\nrate = "1 deg/s"\n'
    changes = {
        "machine.drive.parking_brake_force": "400 kN",
        "floor.friction.solid": f"{mu}",
        "setup.counterweight_extension": "0 m",
    }
    result = run(FORKS + turning, changes, run__duration="20 s", run__extend_to="20 s")
    share = np.hypot(series(result, "tyre_drag.front-left"), series(result, "tyre_side.front-left"))
    slipping = int(np.argmax(share > 0.99999 * mu * series(result, "tyre_load.front-left")))
    assert slipping > 0
    gravity = np.array([series(result, f"gravity_{axis}")[slipping] for axis in "xyz"])
    slope = np.hypot(gravity[0], gravity[1]) / -gravity[2]

    mass = start(FORKS + turning, changes).build.plant.mass
    present = mass > 0.0
    centre = (mass[present, None] * result.poses[slipping, present, :3]).sum(axis=0) / mass.sum()
    front, rear = (series(result, f"tyre_contact_x.{name}")[slipping] for name in ("front-left", "rear-left"))
    share_rear, height, base = (front - centre[0]) / (front - rear), centre[2], front - rear
    formula = mu * (1.0 - share_rear) / (1.0 + mu * height / base)
    assert slope == pytest.approx(formula, rel=0.005), (degrees(atan(slope)), degrees(atan(formula)))


def shaken(prepared: Prepared) -> Prepared:
    """The same truck let go 12 mm high, leaning 0.4 deg and pitched 0.3 deg, with nothing bent beforehand."""
    made = replace(with_memory(prepared), raw=prepared.raw.copy(), q=prepared.q.copy())
    plant, q = made.build.plant, prepared.q.copy()
    q[rest.Q_HEIGHT] += 0.012
    q[rest.Q_ROLL] += 0.007
    q[rest.Q_PITCH] -= 0.005
    q[rest.Q_AXLE] = 0.0
    position, rot = np.zeros((6, 3)), np.zeros((6, 3, 3))
    rest.pose(q, plant, made.build.home, 0.0, position, rot)
    for body in range(6):
        if plant.mass[body] > 0.0 and body != at.LOAD:
            made.raw[body, :3] = position[body]
            turned = np.empty(4)
            quaternion_product(quaternion_of(rot[body]), made.build.axes[body], turned)
            made.raw[body, 3:7] = turned
    made.q[:] = q
    for field in (made.memory.bristle, made.memory.spin):
        field[:] = 0.0
    return made


@pytest.mark.slow
def test_a_long_settling_from_a_wrong_pose_ends_at_the_pose_of_statics() -> None:
    """Dropped 12 mm, leaning and pitched, 12 s: each load within 1e-5, height and lean within 0.01 mm and 1e-5 rad.

    Tyres are damped ten times and their bristles soft: friction would keep what it was bent to on the way down.
    """
    changes = {f"machine.drive_axle.tyre.{side}.damping_ratio": "50 %" for side in ("front-left", "front-right")}
    changes |= {f"machine.steer_axle.tyre.{side}.damping_ratio": "50 %" for side in ("rear-left", "rear-right")}
    changes |= {"run.duration": "12 s", "machine.mast.roller_play": "0 deg"}
    changes["run.time_step"] = "0.4 ms"
    good = start(FORKS, changes)
    still = play(with_memory(good), 0.01)
    wrong = shaken(good)
    wrong.build.plant.tyre[:, at.T_KT] = 100.0
    wrong.build.plant.tyre[:, at.T_CT] *= 0.1
    settled = play(wrong, 12.0)
    assert loads(settled)[0] != pytest.approx(loads(still)[0], rel=0.2)
    assert loads(settled)[-1] == pytest.approx(loads(still)[0], rel=1e-5)
    assert settled.poses[-1, 0, 2] == pytest.approx(still.poses[0, 0, 2], abs=1e-5)
    for name in ("roll", "pitch", "axle_angle", "mast_angle_y"):
        assert series(settled, name)[-1] == pytest.approx(series(still, name)[0], abs=1e-5)


def test_fixed_axle_truck_rests_as_statics_say() -> None:
    """Twin drive tyres and a steer axle on a torsion spring: the same code path holds."""
    text = FORKS.replace("demo-truck-a", "demo-truck-b").replace('"1.2 m"\nballast', '"0 m"\nballast')
    assert case(text).machine.steer_axle.kind == "fixed"
    result = run(text, run__duration="5 s")
    tyres = loads(result)
    assert len(result.tyres) > 4
    assert tyres[-1] == pytest.approx(tyres[0], rel=1e-6)


@pytest.mark.slow
def test_loads_are_those_of_the_potential_least_found_by_check():
    """A truck of six tyres on a fixed axle over drawn floors, its poses by `check`'s search for the least potential.

    Each tyre as a spring as stiff as its own load over its own compression there; the twist of frame and axle lowers
    the floor under the steer tyres. Found: within 1e-5 of the weight.
    """
    truck, rng, clear = truck_of(case(EMPTY, {"machine": "demo-truck-b"})), np.random.default_rng(3), 0
    body = truck.plant.tyre[:, at.T_BODY].astype(int)
    for _ in range(60):
        give = rng.uniform(0.0, 0.03, len(body))
        uneven = replace(truck, plant=truck.plant._replace(give=give), _rests={})
        pose = uneven.rest(uneven.gravity(0.0, 0.0), 1.0, strict=True)
        assert pose.stands
        hub = pose.position[body] + np.einsum("ijk,ik->ij", pose.rot[body], truck.plant.tyre[:, at.T_X : at.T_Z + 1])
        where = np.where(pose.loads[:, None] > 0.0, pose.tyre[:, 4:6], hub[:, :2])
        weight = -pose.force[2]
        balance = np.array([pose.moment[1], -pose.moment[0]]) / weight
        compression = np.where(pose.loads > 0.0, pose.tyre[:, 10], 1.0)
        stiffness = np.where(pose.loads > 0.0, pose.loads / compression, 3e6)
        sinkage = give + np.where(body == at.AXLE, pose.q[rest.Q_AXLE] * where[:, 1], 0.0)
        found = tyre_loads(weight, balance, where, stiffness, sinkage)
        clear += int((pose.loads == 0.0).any())
        assert found == pytest.approx(pose.loads, abs=5e-5 * weight)
    assert clear > 30
