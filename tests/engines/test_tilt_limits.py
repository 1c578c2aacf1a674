"""The floor turned slowly until a tyre is off: statics, pybullet, the batch engine and MuJoCo, on three trucks.

A truck that a turning floor lifts off is a little behind its rest: the faster the floor turns, the later.

Measured.

Side forces. Turned sideways, statics and engines stay 1 to 1.5 % apart however slowly: statics shares the side force
by load, in the engine it is as the tyres were loaded on the way. Ahead they meet within 0.3 %.
"""

from __future__ import annotations

import numpy as np
import pytest

from mujoco_twin import simulate_twin
from tipline.kernels import layout as at
from tipline.results import Run
from tipline.slope_limits.asked import at_height
from tipline.slope_limits.assessment import assess_slopes
from tipline.slope_limits.solving import SetUp
from trucks import Array, case, loads, play, rolled, series, start

HEAD = """
title = "The floor turns slowly"
machine = "{machine}"
floor = "demo-hall-a"
[setup]
attachment = "forks"
fork_height = "{height}"
counterweight_extension = "1 m"
ballast_slabs = {slabs}
[load]
mass = "{mass}"
size = ["1.2 m", "1.4 m", "1.2 m"]
height_of_centre = "0.6 m"
[run]
duration = "{seconds} s"
extend_to = "{seconds} s"
"""
TRUCKS = {"demo-truck-a": ("3 m", 2, "8 t"), "demo-truck-b": ("3 m", 4, "14 t"), "demo-truck-c": ("2.5 m", 2, "4 t")}
WAYS = {"ahead": "0 deg", "left": "90 deg"}
TURN = '[[event]]\nkind = "floor_turns"\nat = "0.2 s"\nslope = "{slope} %"\ntowards = "{way}"\nrate = "{rate} deg/s"\n'
FIRM = {"machine.drive.parking_brake_force": "500 kN", "floor.friction": "1.5", "machine.mast.roller_play": "0 deg"}
REST = 1e-3


def text(machine: str, way: str, rate: float, slope: float) -> str:
    """The set-up of a truck, and a floor that turns beyond its limit."""
    height, slabs, mass = TRUCKS[machine]
    seconds = 0.3 + float(np.degrees(np.arctan(slope / 100.0))) / rate
    head = HEAD.format(machine=machine, height=height, slabs=slabs, mass=mass, seconds=f"{seconds:.2f}")
    return head + TURN.format(slope=slope, way=WAYS[way], rate=rate)


def off_at(forces: Array, gravity: Array) -> float:
    """Slope at which the first tyre has a thousandth of its load left."""
    gone = (forces < REST * forces[0]).any(axis=1)
    assert gone.any()
    pull = gravity[int(np.argmax(gone))]
    return float(np.hypot(pull[0], pull[1]) / -pull[2])


def told(run: Run) -> float:
    return off_at(loads(run), np.column_stack([series(run, f"gravity_{axis}") for axis in "xyz"]))


@pytest.mark.slow
@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("machine", TRUCKS)
def test_statics_and_three_engines_lift_a_tyre_at_the_same_slope(machine: str, way: str) -> None:
    """The engines are one within 0.05 %. At 0.25 deg/s they meet statics within 0.3 % ahead, within 1.5 % to the left.

    Sideways the difference does not shrink with the rate: how front and rear tyres share the side force is by load in
    statics, and in the engine by how they were loaded on the way. At 1 deg/s all are within 2.5 %.
    """
    still = at_height(case(text(machine, way, 1.0, 40.0), FIRM), float(TRUCKS[machine][0].split()[0]))
    one = assess_slopes([SetUp(still)], 8).maps[0]
    static = float(np.tan(one.limits["lifts"][one.at(0.0 if way == "ahead" else np.pi / 2)]))
    words = text(machine, way, 1.0, round(115.0 * static, 1))
    seconds = case(words, FIRM).scenario.run.duration
    ours, twin = play(start(words, FIRM), seconds), simulate_twin(start(words, FIRM), seconds)
    third = rolled(start(words, FIRM), seconds)
    first = 1 + 13 * at.N_BODY + at.R_LOAD
    columns = [first + i * at.N_TYRE_RECORD for i in range(len(ours.tyres))]
    record = third.record[: third.k]
    gravity = third.prepared.commands.table[: third.k, [at.K_GX, at.K_GY, at.K_GZ]]
    found = {"pybullet": told(ours), "MuJoCo": told(twin), "compiled": off_at(record[:, columns], gravity)}
    slow = text(machine, way, 0.25, round(115.0 * static, 1))
    slowly = told(play(start(slow, FIRM), case(slow, FIRM).scenario.run.duration))
    print(f"\n{machine} {way}: statics {100 * static:.3f} %, {found}, slowly {100 * slowly:.3f} %")
    assert found["MuJoCo"] == pytest.approx(found["pybullet"], rel=5e-4)
    assert found["compiled"] == pytest.approx(found["pybullet"], rel=5e-4)
    assert found["pybullet"] == pytest.approx(static, rel=0.025)
    assert slowly == pytest.approx(static, rel=0.003 if way == "ahead" else 0.015)
