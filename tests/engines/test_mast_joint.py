"""The mast's joint: at ease where its command has it, its law by hand, and its moments under their own names."""

from __future__ import annotations

import numpy as np
import pytest

from tipline.kernels import equilibrium as rest
from tipline.kernels import layout as at
from tipline.kernels.links import axle_and_mast
from trucks import FORKS, G, run, series, start

DT, TILT, RATE = 1e-3, 0.02, 0.3


def moments(ahead: float, faster: float) -> tuple[float, ...]:
    """Moments of the mast's joint, ``ahead`` [rad] of a tilting command and ``faster`` [rad/s]; then its constants."""
    plant = start(FORKS).build.plant
    mast = plant.mast.copy()
    mast[at.M_PX : at.M_PZ + 1] = 0.0
    plant = plant._replace(mast=mast)
    rot, speed = np.tile(np.eye(3), (6, 1, 1)), np.zeros((6, 6))
    rest.exponential(0.0, TILT + ahead, 0.0, rot[at.MAST])
    speed[at.MAST, 4] = RATE + faster
    cmd, row = np.zeros((2, at.K_PLACE + len(plant.place))), np.zeros(at.N_SINGLE)
    cmd[0, at.K_TILT], cmd[1, at.K_TILT] = TILT, TILT + RATE * DT
    axle_and_mast(0, DT, plant, cmd, at.new_memory(plant), rot, speed, np.zeros((6, 6)), row)
    return row[at.R_MAST_TX], row[at.R_MAST_TY], row[at.R_MAST_TZ], mast[at.M_KY], mast[at.M_DY]


def test_a_mast_that_is_where_its_command_has_it_feels_nothing() -> None:
    assert moments(0.0, 0.0)[:3] == pytest.approx((0.0, 0.0, 0.0), abs=1e-3)


def test_a_mast_ahead_of_its_command_is_held_back_by_stiffness_and_damping() -> None:
    sideways, held, twist, stiffness, damping = moments(0.01, 0.1)
    assert held == pytest.approx(-0.01 * stiffness - 0.1 * damping, rel=1e-9)
    assert (sideways, twist) == pytest.approx((0.0, 0.0), abs=1e-3)
    _, behind, _, _, _ = moments(-0.01, 0.0)
    assert behind == pytest.approx(0.01 * stiffness, rel=1e-9)


def test_recorded_moments_of_the_mast_are_the_levers_of_what_hangs_on_it() -> None:
    """Mast, carriage and load about the joint, in the chassis' axes, on a floor that falls 6 % to the left."""
    changes = {"setup.slope": "6 %", "setup.slope_towards": "90 deg"}
    made, result = start(FORKS, changes).build, run(FORKS, changes, run__duration="1 s")
    x, y, z, w = result.poses[-1, at.CHASSIS, 3:]
    rot = np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    )
    joint = result.poses[-1, at.CHASSIS, :3] + rot @ made.plant.mast[at.M_CX : at.M_CZ + 1]
    pull = np.array([series(result, f"gravity_{axis}")[-1] for axis in "xyz"])
    assert np.linalg.norm(pull) == pytest.approx(G)
    carried = [at.MAST, at.CARRIAGE, at.LOAD]
    arms = result.poses[-1, carried, :3] - joint
    about = rot.T @ (made.plant.mass[carried, None] * np.cross(arms, pull)).sum(axis=0)
    found = np.array([series(result, f"mast_moment_{axis}")[-1] for axis in "xyz"])
    assert abs(about[0]) > 3e3
    assert about[1] > 3e4
    assert found == pytest.approx(-about, rel=0.01, abs=150.0)
