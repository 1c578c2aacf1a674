"""Closed forms of a rigid truck, met by the statics that `check` answers from on a truck as near rigid as can be."""

from __future__ import annotations

from dataclasses import replace
from math import atan

import numpy as np
import pytest

from tipline import scenario
from tipline.kernels import layout as at
from tipline.mechanics.rating import least_load, load_by_slope_test, load_by_steer_axle
from tipline.mechanics.statics import allowable_load, load_moment
from tipline.model.machine import MastSection
from tipline.oracles.mast import overhanging_beam
from tipline.oracles.rating import residual_load
from tipline.oracles.statics import (
    axle_loads,
    balance_point,
    slope_gravity,
    tipping_load,
)
from tipline.oracles.tipping import backward_threshold, braking_threshold
from tipline.selftest.textbook_trucks import textbook_truck
from tipline.statics.truck import Pose, truck_of

G = 9.80665
WHEELBASE, HEIGHT = 2.0, 0.6
TRUCK = (5000.0, -1.2)


def pose(load: float, ahead: float, pull: tuple[float, float, float] = (0.0, 0.0, -G)) -> Pose:
    """The truck with a load ahead of the front axle, under a pull."""
    truck = textbook_truck((TRUCK, (load, ahead)), WHEELBASE, HEIGHT)
    return truck.solve(np.array(pull), truck.start(0.0))


def front_share(found: Pose) -> float:
    return float(found.loads[:2].sum() / found.loads.sum())


def test_the_balance_point_on_a_slope_is_where_the_axle_loads_say() -> None:
    """5 % down ahead, 3 t 0.8 m ahead: both axles to 1e-5."""
    gravity = slope_gravity(atan(0.05), 0.0)
    mass, centre = [TRUCK[0], 3000.0], [(TRUCK[1], 0.0, HEIGHT), (0.8, 0.0, HEIGHT)]
    balance = balance_point(mass, centre, gravity)
    found = pose(3000.0, 0.8, tuple(gravity))
    front, rear = axle_loads(8000.0 * -gravity[2], float(balance[0]), WHEELBASE)
    assert (found.loads[:2].sum(), found.loads[2:].sum()) == pytest.approx((front, rear), rel=1e-5)
    assert -found.moment[1] / found.force[2] == pytest.approx(float(balance[0]), abs=1e-4)


@pytest.mark.parametrize("ahead", [0.6, 0.8])
def test_a_load_tips_it_where_its_moment_is_that_of_the_truck(ahead: float) -> None:
    """0.2 % less stands with the rear tyres all but off, 0.2 % more does not stand."""
    most = tipping_load([TRUCK[0]], [TRUCK[1]], ahead)
    moment = load_moment(tipping_load([TRUCK[0]], [TRUCK[1]], 0.6) * G, 0.6)
    assert most * G == pytest.approx(allowable_load(moment, ahead))
    below, above = pose(0.998 * most, ahead), pose(1.002 * most, ahead)
    assert 1.0 < below.loads[2:].sum() < 0.003 * below.loads.sum()
    assert not above.stands or above.loads[2:].sum() < 1.0


def test_least_and_most_load_leave_the_shares_they_are_made_for() -> None:
    """At least 60 % on the front axle, at least 15 % on the rear one."""
    least = float(least_load([TRUCK[0]], [(TRUCK[1], 0.0, HEIGHT)], WHEELBASE, 0.8, 0.60))
    most = float(load_by_steer_axle([TRUCK[0]], [(TRUCK[1], 0.0, HEIGHT)], WHEELBASE, 0.8, 0.15))
    assert 0.0 < least < most
    assert front_share(pose(least, 0.8)) == pytest.approx(0.60, abs=1e-5)
    assert front_share(pose(most, 0.8)) == pytest.approx(0.85, abs=1e-5)


def test_braking_lifts_the_rear_axle_at_the_threshold() -> None:
    """Its deceleration over gravity, within 0.5 %."""
    mass, centre = [TRUCK[0], 3000.0], [(TRUCK[1], 0.0, HEIGHT), (0.8, 0.0, HEIGHT)]
    ratio = braking_threshold(mass, centre)
    below, above = (pose(3000.0, 0.8, (share * ratio * G, 0.0, -G)) for share in (0.995, 1.005))
    assert 1.0 < below.loads[2:].sum() < 0.01 * below.loads.sum()
    assert not above.stands or above.loads[2:].sum() < 1.0


def test_a_slope_test_finds_the_load_that_tips_it_there_with_an_attachment_or_without() -> None:
    """4 % down ahead, 0.8 m ahead; an attachment of 400 kg at 0.5 m takes some of it: rear tyres all but off."""
    truck, slope = ([TRUCK[0]], [(TRUCK[1], 0.0, HEIGHT)]), 0.04
    pull = tuple(slope_gravity(atan(slope), 0.0))
    bare = float(load_by_slope_test(*truck, 0.8, HEIGHT, slope))
    left = residual_load(*truck, 400.0, 0.5, HEIGHT, 0.8, HEIGHT, slope)
    assert left < bare
    for load, more in ((bare, ()), (left, ((400.0, 0.5),))):
        found = textbook_truck((TRUCK, *more, (0.998 * load, 0.8)), WHEELBASE, HEIGHT)
        loads = found.solve(np.array(pull), found.start(0.0)).loads
        assert 1.0 < loads[2:].sum() < 0.003 * loads.sum()


def test_it_falls_back_down_a_slope_behind_at_the_threshold() -> None:
    """Rear-heavy, 1.9 m behind the front axle: the front tyres carry nothing at the threshold, some before."""
    heavy = (5000.0, -1.9)
    ratio = backward_threshold([heavy[0]], [(heavy[1], 0.0, HEIGHT)], WHEELBASE)
    truck = textbook_truck((heavy,), WHEELBASE, HEIGHT)
    loads = truck.solve(slope_gravity(atan(0.99 * ratio), np.pi), truck.start(0.0)).loads
    assert 1.0 < loads[:2].sum() < 0.01 * loads.sum()


def test_a_mast_of_one_stage_gives_as_the_overhanging_beam() -> None:
    """Channels of 200 x 75 x 12 x 16 mm, 2 x 2498 cm4: under the load's moment the carriage goes and turns alike."""
    case = scenario.read("service-stop-load-low")
    machine = case.machine
    section = MastSection(depth=0.2, flange=0.075, web=0.012, flange_thickness=0.016, tie_spacing=1.0)
    told = dict.fromkeys(("joint_height", "stiffness_fore_aft", "stiffness_sideways"))
    bends = {**told, "section": (section,), "stages": 1, "lowered_height": 4.0, "tilt_cylinder_height": 1.16}
    update = {
        "mast": machine.mast.model_copy(update=bends),
        "carriage": machine.carriage.model_copy(update={"height": 1e-4}),
    }
    setup = case.scenario.setup.model_copy(update={"fork_height": 2.84})
    scene = case.scenario.model_copy(update={"setup": setup})
    truck = truck_of(replace(case, machine=machine.model_copy(update=update), scenario=scene))
    row = truck.plant.mast
    lever = machine.mast.foot_height + 2.84 - (truck.build.centre[at.CHASSIS, 2] + row[at.M_CZ])
    second = 2.0 * (75.0 * 200.0**3 - 63.0 * 168.0**3) / 12.0 * 1e-12
    beam = overhanging_beam(1.16 - machine.mast.tilt_axis[1], 3.0 - 1.16, 2.1e11 * second)
    assert lever / row[at.M_KY] == pytest.approx(beam[0, 1], rel=1e-3)
    assert 1.0 / row[at.M_KY] == pytest.approx(beam[1, 1], rel=1e-3)
