"""Slope limits by direction: symmetric, equal to formulas in stiff cases, and to poses solved one by one."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import inf, pi, tan

import numpy as np
import pytest

from cases import HUNG, Make, stiffened
from tipline.kernels import layout as at
from tipline.kernels import slopes as kernel
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.oracles.tipping import braking_threshold, fixed_axle_threshold, parts_threshold
from tipline.pose.assessment import assess_pose
from tipline.scenario import Case, read
from tipline.slope_limits import solving as slopes
from tipline.slope_limits.asked import at_height
from tipline.slope_limits.assessment import assess_slopes
from tipline.slope_limits.maps import WHAT, across
from tipline.slope_limits.solving import SetUp
from tipline.statics.together import loaded_pose
from tipline.statics.truck import truck_of


@pytest.fixture(scope="module")
def forks() -> Case:
    return read("floor-falls-diagonally")


def limits_of(case: Case, directions: int, brake: float = inf) -> np.ndarray:
    """Ask the kernel itself in every direction; nothing is mirrored."""
    job = slopes.SlopeJob(SetUp(case), truck_of(case), directions)
    from tipline.kernels.compiled import compiled

    out = np.full((directions, kernel.N_LIMIT), np.nan)
    job.call(compiled("slope_limits"), job.azimuth, slopes.way_of(brake), out)
    return out


def test_a_symmetric_truck_has_a_symmetric_map_though_every_direction_is_followed(forks: Case) -> None:
    found = limits_of(forks, 24, 4e4)
    mirror = found[-np.arange(24) % 24]
    for column in range(len(WHAT)):
        assert np.isnan(found[:, column]).tolist() == np.isnan(mirror[:, column]).tolist()
        known = np.isfinite(found[:, column])
        assert found[known, column] == pytest.approx(mirror[known, column], abs=2e-4)
    assert found[:, kernel.SIDE].tolist() == (-mirror[:, kernel.SIDE]).tolist()


def test_the_mirrored_half_of_a_map_is_what_is_found_there(forks: Case) -> None:
    report = assess_slopes([SetUp(forks)], 24)
    alone = limits_of(forks, 24, forks.machine.drive.parking_brake_force)
    one = report.maps[0]
    for column, name in enumerate(WHAT):
        assert one.limits[name] == pytest.approx(alone[:, column], abs=2e-4, nan_ok=True), name
    right = one.at(-pi / 2)
    assert one.side[right] == "right"
    assert one.line[right] == "right"
    assert one.tyre[right] == "front-left"


def test_a_truck_off_its_middle_is_not_mirrored(forks: Case) -> None:
    load = forks.load.model_copy(update={"centre_offset": (0.0, 0.15)})
    one = assess_slopes([SetUp(replace(forks, load=load))], 24).maps[0]
    assert one.first[one.at(pi / 2)] < 0.9 * one.first[one.at(-pi / 2)]


def test_a_stiff_truck_meets_the_formulas_of_tipping(make: Make) -> None:
    """Front by the braking threshold within 1 %; the swing by the parts the frame carries within 2 %.

    The formula turns about the middle of the outer third of the tread. On tyres as hard as these a pose stops counting
    as standing before that: its friction follows the load, so that the symmetric part of its stiffness is not all.
    """
    case = stiffened(make(HUNG))
    truck = truck_of(case)
    plant, centre = truck.plant, truck.build.centre.copy()
    centre[at.LOAD] = centre[at.CARRIAGE] + plant.link[at.L_HX : at.L_HZ + 1]
    found = limits_of(case, 8)
    mass = plant.mass
    front = braking_threshold(mass[mass > 0.0], centre[mass > 0.0])
    assert tan(found[0, kernel.TIPS]) == pytest.approx(front, rel=0.01)
    carried = (mass > 0.0) & (np.arange(at.N_BODY) != at.AXLE)
    tyre = case.machine.drive_axle.tyre
    track = tyre[0].across - tyre[1].across + 2.0 / 3.0 * tyre[0].width
    swing = parts_threshold(
        mass[carried], centre[carried], track, case.machine.wheelbase, case.machine.steer_axle.pivot_height
    )
    assert tan(found[2, kernel.SWINGS]) == pytest.approx(swing, rel=0.02)


def test_a_stiff_fixed_axle_tips_by_the_formula_of_its_tracks() -> None:
    """Sideways within 1 %, its outermost strips as the tip line."""
    case = stiffened(read("floor-turned-until-something-goes"))
    truck = truck_of(case)
    mass, centre = truck.plant.mass, truck.build.centre.copy()
    centre[at.LOAD] = centre[at.CARRIAGE] + truck.plant.link[at.L_HX : at.L_HZ + 1]
    middle = mass @ centre / mass.sum()
    drive, steer = case.machine.drive_axle.tyre, case.machine.steer_axle.tyre
    widths = [
        2.0 * max(one.across for one in tyres) + 2.0 / 3.0 * max(tyres, key=lambda one: one.across).width
        for tyres in (drive, steer)
    ]
    formula = fixed_axle_threshold(*widths, -middle[0] / case.machine.wheelbase, middle[2])
    assert tan(limits_of(case, 4)[1, kernel.TIPS]) == pytest.approx(formula, rel=0.01)


def slope_about(mass: np.ndarray, centre: np.ndarray, start: np.ndarray, end: np.ndarray, azimuth: float) -> float:
    """Slope (its tangent) at which weights have no moment left about a line: own derivation, rigid."""
    along, moment = end - start, mass @ (centre - start)
    level, down = np.array([0.0, 0.0, -1.0]), np.array([np.cos(azimuth), np.sin(azimuth), 0.0])
    return float(-(along @ np.cross(moment, level)) / (along @ np.cross(moment, down)))


def turned_about(line: np.ndarray, angle: float) -> np.ndarray:
    """Rotation matrix about a line (Rodrigues)."""
    x, y, z = line / np.linalg.norm(line)
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return np.eye(3) + np.sin(angle) * cross + (1.0 - np.cos(angle)) * cross @ cross


def test_a_stiff_truck_tips_in_every_direction_over_its_triangle_and_then_its_quadrilateral(forks: Case) -> None:
    """Over the front line from 0 to 45 deg; from 105 to 135 deg, on its stop, over the outer tyres: within 1 %.

    On the stop the frame has turned about the line from front tyre to pivot until it leans by the stop to the axle.
    """
    case = stiffened(at_height(forks, 3.0))
    truck, machine = truck_of(case), case.machine
    mass, centre = truck.plant.mass, truck.build.centre.copy()
    centre[at.LOAD] = centre[at.CARRIAGE] + truck.plant.link[at.L_HX : at.L_HZ + 1]
    drive, steer = machine.drive_axle.tyre[0], machine.steer_axle.tyre[0]
    front = np.array([0.0, drive.across + drive.width / 3.0, 0.0])
    rear = np.array([-machine.wheelbase, steer.across + steer.width / 3.0, 0.0])
    pivot = np.array([-machine.wheelbase, 0.0, machine.steer_axle.pivot_height])
    one = assess_slopes([SetUp(case)], 24).maps[0]
    for degrees in (0, 15, 30, 45):
        azimuth = np.radians(degrees)
        formula = slope_about(mass, centre, front * [1, -1, 1], front, azimuth)
        assert one.line[one.at(azimuth)] == "front"
        assert tan(one.limits["tips"][one.at(azimuth)]) == pytest.approx(formula, rel=0.01), degrees
    # of a turn about that line, the part along the truck's axis closes the stop
    line = pivot - front
    turn = turned_about(line, machine.steer_axle.stop * np.linalg.norm(line) / machine.wheelbase)
    for body in range(at.N_BODY):
        if body != at.AXLE:
            centre[body] = pivot + turn @ (centre[body] - pivot)
    for degrees in (105, 120, 135):
        azimuth = np.radians(degrees)
        formula = slope_about(mass, centre, front, rear, azimuth)
        assert one.on_stop[one.at(azimuth)]
        assert one.line[one.at(azimuth)] == "left"
        assert tan(one.limits["tips"][one.at(azimuth)]) == pytest.approx(formula, rel=0.01), degrees


def test_the_four_main_directions_are_those_of_a_check(forks: Case) -> None:
    """Two searches, one compiled and fine, one by extrapolation to a hundredth: within 2 %."""
    still = at_height(forks, forks.fork_height)
    one = assess_slopes([SetUp(still)], 8).maps[0]
    told = {label: value for label, value, kind in assess_pose(still).holds_against if kind == "slope"}
    for name, azimuth, column in (("ahead", 0.0, "tips"), ("left", pi / 2, "swings"), ("behind", pi, "rolls")):
        rows = [value for label, value in told.items() if label.startswith(f"slope falling {name} (")]
        assert min(rows) == pytest.approx(one.limits[column][one.at(azimuth)], rel=0.02), name


def test_just_below_a_limit_it_stands_and_just_above_it_does_not(forks: Case) -> None:
    truck = truck_of(forks)
    found = limits_of(forks, 8)
    for index, azimuth in ((0, 0.0), (1, pi / 4), (7, -pi / 4)):
        tips, pose = found[index, kernel.TIPS], truck.start(1.0 if azimuth >= 0.0 else -1.0)
        for share in (0.0, 0.5, 0.9, 0.98):
            pose = truck.solve(truck.gravity(share * tips, azimuth), pose)
            assert pose.stands
        assert not truck.solve(truck.gravity(1.02 * tips, azimuth), pose).stands


def test_higher_is_never_steeper_ahead(forks: Case) -> None:
    heights = (0.5, 2.0, 3.5, 5.0)
    report = assess_slopes([SetUp(at_height(forks, height)) for height in heights], 8)
    ahead = [one.first[one.at(0.0)] for one in report.maps]
    assert all(low >= high - 1e-3 for low, high in pairwise(ahead))
    assert report.stops[0].forward[0] > report.stops[0].forward[-1]


def test_a_load_on_slippery_forks_slips_first_where_the_floor_falls_ahead(forks: Case) -> None:
    """Friction of 0.1, level forks, a stiff truck: the slope it slips at is the friction."""
    load = forks.load.model_copy(update={"friction_on_forks": 0.1})
    one = assess_slopes([SetUp(stiffened(replace(forks, load=load)))], 8).maps[0]
    assert one.what[one.at(0.0)] == "load slips"
    assert tan(one.first[one.at(0.0)]) == pytest.approx(0.1, abs=2e-3)
    assert np.isnan(one.limits["load slips"][one.at(pi)])


def test_a_check_says_where_a_load_on_the_forks_slips_as_the_slopes_do() -> None:
    """Truck A with 9 t at 0.3 m, friction 0.3: a stop is told to 1 %, before it tips, and slopes ahead and aside."""
    still = at_height(read("service-stop-load-low"), 0.3)
    report = assess_slopes([SetUp(still)], 8)
    one, told = report.maps[0], {label: value for label, value, _ in assess_pose(still).holds_against}
    stop = told["steady deceleration driving forward (the load slips on the forks)"]
    assert stop == pytest.approx(report.stops[0].forward[0], rel=0.01)
    assert stop == pytest.approx(0.3 * G, rel=0.08)  # less the lean of tyres and mast
    assert stop < told["steady deceleration driving forward (tips over the front line)"]
    for name, azimuth in (("ahead", 0.0), ("left", pi / 2)):
        slips = told[f"slope falling {name} (the load slips on the forks)"]
        assert tan(slips) == pytest.approx(tan(one.limits["load slips"][one.at(azimuth)]), rel=0.01), name
    assert "slope falling behind (the load slips on the forks)" not in told, "the fork face holds it"


def test_turn_and_stop_follow_from_the_sideways_and_forward_pull(make: Make) -> None:
    case = stiffened(make(HUNG))
    report = assess_slopes([SetUp(case)], 8)
    one, turn, stop = report.maps[0], report.turns[0], report.stops[0]
    assert turn.pull / G == pytest.approx(tan(one.limits["lifts"][one.at(pi / 2)]), rel=5e-3)
    assert np.array(turn.speed) ** 2 / np.array(turn.radius) == pytest.approx(turn.pull, rel=1e-9)
    # a hung load counts twice in a stop: its share of what tips is the one at the hook
    truck = truck_of(case)
    mass, centre = truck.plant.mass, truck.build.centre.copy()
    centre[at.LOAD] = centre[at.CARRIAGE] + truck.plant.link[at.L_HX : at.L_HZ + 1]
    held, turned = -mass @ centre[:, 0], mass @ centre[:, 2] + mass[at.LOAD] * centre[at.LOAD, 2]
    assert stop.forward[0] / G == pytest.approx(held / turned, rel=0.01)


def test_a_set_up_that_falls_on_the_level_is_told_and_exceeds() -> None:
    case = read("unladen-counterweight-out-falls-back")
    report = assess_slopes([SetUp(at_height(case, case.fork_height))], 8)
    assert not report.maps[0].stands
    assert "does not stand on a level floor" in report.exceeded[0]
    assert (report.maps[0].first == 0.0).all()


def test_kernel_compiled_or_not_gives_the_same(forks: Case) -> None:
    job = slopes.SlopeJob(SetUp(forks), truck_of(forks), 8)
    out = np.full((1, kernel.N_LIMIT), np.nan)
    job.call(kernel.slope_limits, np.array([pi / 4]), slopes.way_of(), out)
    assert out[0] == pytest.approx(limits_of(forks, 8)[1], abs=1e-5, nan_ok=True)


def test_a_stiff_truck_that_brakes_downhill_tips_by_the_sum_of_slope_and_stop(make: Make) -> None:
    """tan(s) + a/(g cos(s)) is the threshold of braking on the level, a hung load's part of the stop twice: 1 %."""
    case = stiffened(make(HUNG))
    truck = truck_of(case)
    mass, centre = truck.plant.mass, truck.build.centre.copy()
    centre[at.LOAD] = centre[at.CARRIAGE] + truck.plant.link[at.L_HX : at.L_HZ + 1]
    held, turned, hook = -mass @ centre[:, 0], mass @ centre[:, 2], mass[at.LOAD] * centre[at.LOAD, 2]
    gentle = case.machine.drive.model_copy(update={"service_deceleration": 0.3, "pedal_lift_deceleration": 0.4})
    case = replace(case, machine=case.machine.model_copy(update={"drive": gentle}))
    found = assess_slopes([SetUp(case)], 8).braking
    assert [(one.stop, one.sense) for one in found] == [
        ("service stop", 1), ("service stop", -1), ("pedal lift", 1), ("pedal lift", -1),
    ]  # fmt: skip
    for one in found:
        if one.sense > 0:
            slope = float(one.first[one.at(0.0)])
            stop = one.deceleration / (G * np.cos(slope))
            assert tan(slope) * turned + stop * (turned + hook) == pytest.approx(held, rel=0.01)
            assert one.line[one.at(0.0)] == "front"


def test_braking_limits_are_where_single_poses_stop_standing(forks: Case) -> None:
    """Another route: the pose with slope and stop at once; and the harder stop has the lower limit."""
    still = at_height(forks, 2.0)
    truck = truck_of(still)
    service, _, lift, _ = assess_slopes([SetUp(still)], 8).braking
    assert service.first[service.at(0.0)] > lift.first[lift.at(0.0)] > 0.0
    pose = truck.start(1.0)
    for share, stands in ((0.5, True), (0.95, True), (1.05, False)):
        pose = loaded_pose(truck, share * float(service.first[0]), 0.0, service.deceleration, pose)
        assert pose.stands == stands


def test_a_stop_that_is_too_much_on_the_level_leaves_no_slope(forks: Case) -> None:
    service = assess_slopes([SetUp(at_height(forks, 5.0))], 8).braking[0]
    assert (service.first == 0.0).all()
    assert set(service.what) == {"tips"}


def test_a_ramp_with_a_stop_on_it_is_set_beside_standing_and_braking() -> None:
    case = read("stop-on-the-way-down-a-ramp")
    report = assess_slopes([SetUp(case)], 8)
    asked = {one.name: one for one in report.needed}
    standing, stop = asked["the ramp down, standing on it"], asked["the ramp down, the service stop on it"]
    assert standing.asked == stop.asked == pytest.approx(np.arctan(0.07))
    assert stop.limit < stop.asked < standing.limit
    assert stop.limit == report.braking[0].first[0]
    assert any("the ramp down, the service stop on it: 7 %" in text for text in report.exceeded)


def test_how_much_lower_the_lower_tyres_stand() -> None:
    """10 % on a track of 1.3 m and a wheelbase of 2 m: 130 mm across sideways, 200 mm along ahead, by hand."""
    slope = np.arctan(0.1)
    assert across(slope, pi / 2, 1.3, 2.0) == pytest.approx((0.13, 0.0))
    assert across(slope, pi, 1.3, 2.0) == pytest.approx((0.0, 0.2))
    assert across(slope, pi / 6, 1.3, 2.0) == pytest.approx((0.065, 0.1 * 3.0**0.5))


@pytest.mark.parametrize("tilt", [-3.0, 0.0, 4.0])
@pytest.mark.parametrize("slope", [2.0, 8.0])
def test_a_load_on_tilted_forks_slides_by_the_slope_less_the_tilt(slope: float, tilt: float) -> None:
    """On a floor that falls ahead: friction less tan(slope - tilt), nothing where the fork face holds it; topples by
    its height times that. Of a load 1.2 m high at its centre, 0.5 m from its front edge."""
    from math import cos, radians, sin, tan

    from tipline.kernels import slopes as kernel

    s, t = radians(slope), radians(tilt)
    forks, value = np.zeros(7), np.zeros(8)
    forks[kernel.F_MU], forks[kernel.F_COS], forks[kernel.F_SIN] = 0.3, cos(t), sin(t)
    forks[kernel.F_HEIGHT], forks[kernel.F_AHEAD], forks[kernel.F_HALF] = 1.2, 0.5, 9.0
    kernel.hold_load(s, 0.0, np.zeros(5), forks, np.tile(np.eye(3), (6, 1, 1)), value)
    assert value[kernel.V_SLIP] == pytest.approx(0.3 - max(0.0, tan(s - t)), abs=1e-12)
    assert value[kernel.V_TOPPLE] == pytest.approx(0.5 - 1.2 * tan(s - t), abs=1e-12)
