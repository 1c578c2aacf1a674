from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar, root

import oracle_lines
import tipline
from cases import HUNG, RATED, Make, changed, rated_text, stiffened
from few import slow_but
from tipline.commands.check import page_of
from tipline.commands.delivered import Wishes
from tipline.endings import LINES
from tipline.errors import NumericalError
from tipline.kernels import layout as at
from tipline.kernels.tyre import whole_strip
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.oracles.energy import hole_depth_limit, hole_depth_limit_disc
from tipline.oracles.tipping import pivoting_axle_threshold
from tipline.pose.assessment import assess_pose
from tipline.report import sections, summary
from tipline.scenario import read
from tipline.statics import barrier, limits
from tipline.statics import truck as statics
from tipline.statics.together import least_share, loaded_pose
from tipline.statics.truck import truck_of

ALL = tuple(RATED)


@pytest.mark.parametrize("machine", ALL)
def test_tyre_loads_sum_to_the_weight(make: Make, machine: str) -> None:
    report = assess_pose(make(rated_text(machine)))
    assert sum(report.tyre_loads.values()) == pytest.approx(report.weight, rel=1e-8)


@pytest.mark.parametrize("machine", ALL)
def test_about_nine_tenths_stand_on_the_drive_axle_at_the_rated_set_up(make: Make, machine: str) -> None:
    # common practice, no source
    share = assess_pose(make(rated_text(machine))).axle_share["drive"]
    assert 0.85 <= share <= 0.95


@pytest.mark.parametrize("machine", ALL)
def test_axle_shares_follow_the_lever_rule_of_the_balance_point(make: Make, machine: str) -> None:
    case = make(rated_text(machine))
    report = assess_pose(case)
    assert report.axle_share["steer"] == pytest.approx(-report.balance_point[0] / case.machine.wheelbase, abs=2e-3)


def test_a_load_off_the_middle_mirrors_with_it(make: Make) -> None:
    left = assess_pose(make(rated_text("demo-truck-b"), {"load.centre_offset": '["0 m", "80 mm"]'}))
    right = assess_pose(make(rated_text("demo-truck-b"), {"load.centre_offset": '["0 m", "-80 mm"]'}))
    assert left.distances["left"] == pytest.approx(right.distances["right"], abs=1e-7)
    assert left.distances["right"] == pytest.approx(right.distances["left"], abs=1e-7)
    assert left.distances["left"] < left.distances["right"] - 0.04
    assert left.tyre_loads["front-left-outer"] == pytest.approx(right.tyre_loads["front-right-outer"], rel=1e-6)
    assert left.hole_depth_limits["left"] == pytest.approx(right.hole_depth_limits["right"], rel=1e-5)


def test_place_and_heading_change_nothing(make: Make) -> None:
    offset = {"load.centre_offset": '["0 m", "60 mm"]'}
    here = assess_pose(make(rated_text("demo-truck-a"), offset))
    turned = {"setup.heading": "73 deg", "setup.position": '["3 m", "-5 m"]'}
    there = assess_pose(make(rated_text("demo-truck-a"), {**offset, **turned}))
    assert dict(there.distances) == pytest.approx(dict(here.distances), abs=1e-7)
    assert dict(there.tyre_loads) == pytest.approx(dict(here.tyre_loads), rel=1e-7)
    assert there.balance_point == pytest.approx(here.balance_point, abs=1e-7)
    assert dict(there.hole_depth_limits) == pytest.approx(dict(here.hole_depth_limits), rel=1e-4)
    alone = [value for _, value, _ in here.holds_against]
    assert [value for _, value, _ in there.holds_against] == pytest.approx(alone, rel=1e-3)


def test_four_tyres_under_a_stiff_frame_share_as_a_plate_on_springs_does(make: Make) -> None:
    """Second route: the frame as a rigid plate on four tyre laws; an offset load makes all four loads differ."""
    case = make(rated_text("demo-truck-b", mass="15 t"), {"load.centre_offset": '["0 m", "100 mm"]'})
    machine = case.machine
    stiff = stiffened(case).machine
    steer = changed(machine.steer_axle, frame_torsion_stiffness=1e11)
    drive = changed(machine.drive_axle, tyre=(machine.drive_axle.tyre[0], machine.drive_axle.tyre[-1]))
    case = replace(case, machine=changed(machine, mast=stiff.mast, steer_axle=steer, drive_axle=drive))
    truck = truck_of(case)
    pose = truck.solve(truck.gravity(0.0, 0.0), truck.start(1.0))
    masses, centres = truck.plant.mass.copy(), truck.build.centre.copy()
    centres[at.LOAD] = centres[at.CARRIAGE] + truck.plant.link[at.L_HX : at.L_HZ + 1]
    weight = masses.sum() * G
    x, y, z = masses @ centres / masses.sum()
    rows = truck.plant.tyre
    where = [(0.0, 1.05), (0.0, -1.05), (-machine.wheelbase, 0.86), (-machine.wheelbase, -0.86)]

    def loads(unknown: np.ndarray) -> np.ndarray:
        sunk, roll, pitch = unknown
        found = []
        for row, (px, py) in zip(rows, where, strict=True):
            strips = [
                whole_strip(row, row[at.T_R] - (sunk - roll * (py + o * row[at.T_W] / 3) + pitch * px))
                for o in (-1, 0, 1)
            ]
            found.append(sum(force for force, _ in strips))
        return np.array(found)

    def unbalanced(unknown: np.ndarray) -> list[float]:
        sunk, roll, pitch = unknown
        n, at_x, at_y = loads(unknown), x + z * pitch, y - z * roll
        contact = [
            sum(
                (py + o * row[at.T_W] / 3)
                * whole_strip(row, row[at.T_R] - (sunk - roll * (py + o * row[at.T_W] / 3) + pitch * px))[0]
                for o in (-1, 0, 1)
            )
            for row, (px, py) in zip(rows, where, strict=True)
        ]
        along = sum(load * (px + row[at.T_R] * pitch) for load, row, (px, _) in zip(n, rows, where, strict=True))
        return [n.sum() / weight - 1.0, sum(contact) / weight - at_y, along / weight - at_x]

    solved = root(unbalanced, [0.01, 0.0, 0.0], tol=1e-12)
    assert solved.success
    assert pose.loads == pytest.approx(loads(solved.x), rel=3e-3)
    assert np.ptp(pose.loads[:2]) > 5e3


def test_the_slope_limit_of_a_stiff_truck_is_the_threshold_of_its_pivoting_axle(make: Make) -> None:
    case = stiffened(make(rated_text("demo-truck-a", mass="6 t")), width=0.01)
    truck = truck_of(case)
    pose = truck.solve(truck.gravity(0.0, 0.0), truck.start(1.0))
    found = limits.search(
        truck,
        pose,
        lambda x, near: truck.solve(truck.gravity(x, np.pi / 2), near),
        0.7 * limits.rigid_slope(truck, pose, np.pi / 2),
        limits.STEEPEST,
        lambda _: {},
    )
    frame = [at.CHASSIS, at.MAST, at.CARRIAGE, at.LOAD]
    points = pose.position.copy()
    points[at.LOAD] = pose.position[at.CARRIAGE] + pose.rot[at.CARRIAGE] @ truck.plant.link[at.L_HX : at.L_HZ + 1]
    centre = truck.plant.mass[frame] @ points[frame] / truck.plant.mass[frame].sum()
    share = -centre[0] / case.machine.wheelbase
    expected = pivoting_axle_threshold(2 * 0.66, share, centre[2], case.machine.steer_axle.pivot_height)
    assert found.line == "swing.left"
    assert math.tan(found.tips) == pytest.approx(expected, rel=0.01)


def test_a_frame_on_a_pivot_is_held_by_its_drive_tyre_of_the_other_side_alone(make: Make) -> None:
    truck = truck_of(make(rated_text("demo-truck-a")))
    pose = truck.solve(truck.gravity(0.0, 0.0), truck.start(1.0))
    held = limits.holding_loads(truck, pose)
    loads = dict(zip(truck.build.tyres, pose.loads, strict=True))
    assert held["swing.left"] == loads["front-right"]
    assert held["swing.right"] == loads["front-left"]
    assert held["front"] == pytest.approx(loads["rear-left"] + loads["rear-right"])


@pytest.mark.parametrize("azimuth", [0.0, np.pi / 2, np.pi, 0.9])
def test_it_stands_just_short_of_a_slope_limit_and_no_longer_just_beyond(make: Make, azimuth: float) -> None:
    truck = truck_of(make(rated_text("demo-truck-b")))
    pose = truck.solve(truck.gravity(0.0, 0.0), truck.start(1.0))
    found = limits.search(
        truck,
        pose,
        lambda x, near: truck.solve(truck.gravity(x, azimuth), near),
        0.7 * limits.rigid_slope(truck, pose, azimuth),
        limits.STEEPEST,
        lambda _: {},
    )
    short = truck.solve(truck.gravity(0.98 * found.tips, azimuth), pose.q)
    beyond = truck.solve(truck.gravity(1.03 * found.tips, azimuth), pose.q)
    assert short.stands
    assert min(limits.holding_loads(truck, beyond).values()) == 0.0 or not beyond.stands


def test_a_parked_truck_rolls_backwards_when_its_light_drive_axle_has_no_more_friction(make: Make) -> None:
    """A rigid truck nose uphill: tan = mu (1 - s) / (1 + mu h / L), s the steer share."""
    text = rated_text("demo-truck-a", mass="1 t", height="0.3 m")
    case = stiffened(make(text, {"setup.counterweight_extension": "0 m"}))
    drive = changed(case.machine.drive, parking_brake_force=1e9)
    case = replace(case, machine=changed(case.machine, drive=drive))
    report = assess_pose(case)
    truck = truck_of(case)
    pose = truck.solve(truck.gravity(0.0, 0.0), truck.start(1.0))
    points = pose.position.copy()
    points[at.LOAD] = pose.position[at.CARRIAGE] + pose.rot[at.CARRIAGE] @ truck.plant.link[at.L_HX : at.L_HZ + 1]
    height = float(truck.plant.mass @ points[:, 2] / truck.plant.mass.sum())
    mu, wheelbase = float(truck.plant.tyre[0, at.T_MU]), case.machine.wheelbase
    expected = mu * report.axle_share["drive"] / (1.0 + mu * height / wheelbase)
    found = {label: value for label, value, _ in report.holds_against}["slope falling behind (rolls)"]
    assert math.tan(found) == pytest.approx(expected, rel=0.02)


def test_the_parking_brake_holds_no_more_than_its_force(make: Make) -> None:
    case = make(rated_text("demo-truck-a", mass="2 t", height="0.3 m"))
    case = replace(case, machine=changed(case.machine, drive=changed(case.machine.drive, parking_brake_force=10e3)))
    report = assess_pose(case)
    found = {label: value for label, value, _ in report.holds_against}["slope falling ahead (rolls)"]
    assert math.sin(found) == pytest.approx(10e3 / report.weight, rel=0.01)


@pytest.mark.parametrize("text", [HUNG, rated_text("demo-truck-a"), rated_text("demo-truck-b", height="0.5 m")])
def test_all_limits_at_once_leave_exactly_the_planned_share_and_no_direction_is_worse(make: Make, text: str) -> None:
    case = make(text)
    report = assess_pose(case)
    box, truck = report.together, truck_of(case)
    assert box is not None
    level = {**report.distances, **{f"swing.{side}": value for side, value in report.swing.items()}}
    poses = [truck.solve(truck.gravity(0.0, 0.0), truck.start(lean)) for lean in (1.0, -1.0)]
    least = math.inf
    for azimuth in np.radians(np.arange(0.0, 360.0, 20.0)):
        for sense in (1.0, -1.0):
            near = poses[0] if math.sin(azimuth) >= 0.0 else poses[1]
            pose = loaded_pose(truck, box.slope, azimuth, sense * box.deceleration, near)
            least = min(least, least_share(pose, level)[0])
    governing = loaded_pose(truck, box.slope, box.azimuth, box.deceleration * (1 if box.forward else -1), poses[0])
    assert least_share(governing, level)[0] == pytest.approx(0.25, abs=1e-3)
    assert least >= 0.25 - 2e-3


@pytest.mark.parametrize(("friction", "tilt"), [("0.15", "0 deg"), ("0.3", "0 deg"), ("0.3", "2 deg")])
def test_a_load_on_the_forks_keeps_a_quarter_of_its_friction_in_the_box(make: Make, friction: str, tilt: str) -> None:
    """By hand: pulled 1 % down the floor and braked by a, forks leaning ahead by e, it needs tan(atan(a/g) + .01 + e).

    Of a low load, which tips the truck only by 4 m/s2; 2 t, so that mast and tyres lean little.
    """
    text = rated_text("demo-truck-a", mass="2 t", height="0.3 m")
    case = make(text, {"load.friction_on_forks": friction, "setup.tilt": tilt})
    report = assess_pose(case)
    box, truck, back = report.together, truck_of(case), math.radians(float(tilt.split(maxsplit=1)[0]))
    assert box is not None
    assert (box.line, box.azimuth, box.forward) == ("on the forks", 0.0, True)
    near = truck.solve(truck.gravity(0.0, 0.0), truck.start(1.0))
    pose = loaded_pose(truck, box.slope, 0.0, box.deceleration, near)
    lean = math.asin(-pose.rot[at.CARRIAGE][2, 0])
    need = math.tan(math.atan(box.deceleration / G) + box.slope + lean - back)
    rest = near.rot[at.CARRIAGE][2, 0]
    at_rest = max(0.0, math.tan(math.asin(-rest) - back))
    assert float(friction) - need == pytest.approx(0.25 * (float(friction) - at_rest), abs=2e-3)


def test_a_load_that_would_slip_at_rest_allows_no_stop(make: Make) -> None:
    """Forks tilted ahead by 3 degrees, which is 0.052, and friction of 0.05."""
    settings = {"setup.tilt": "-3 deg", "load.friction_on_forks": "0.05"}
    box = assess_pose(make(rated_text("demo-truck-a", mass="2 t", height="0.3 m"), settings)).together
    assert box is not None
    assert box.deceleration == 0.0


def test_where_the_planned_slope_would_take_more_it_takes_half_of_what_may_be_used(make: Make) -> None:
    """100 mm to the front line at 7.05 m: of the 75 % that may be used the slope leaves half to the stop."""
    case = make(HUNG, {"load.mass": "7 t"})
    report = assess_pose(case)
    box, truck = report.together, truck_of(case)
    assert box is not None
    assert box.slope < 0.01
    pose = truck.solve(truck.gravity(0.0, 0.0), truck.start(1.0))
    fallen = loaded_pose(truck, box.slope, 0.0, 0.0, pose)
    assert fallen.distances["front"] / report.distances["front"] == pytest.approx(1.0 - 0.75 / 2.0, abs=2e-3)


def test_a_hung_load_counts_twice_in_a_stop(make: Make) -> None:
    truck = truck_of(make(HUNG))
    pose = truck.solve(truck.gravity(0.0, 0.0), truck.start(1.0))
    braked = loaded_pose(truck, 0.0, 0.0, 0.2, pose)
    assert braked.force[0] == pytest.approx(0.2 * (truck.plant.mass.sum() + truck.load_mass), rel=1e-9)


@pytest.mark.usefixtures("plain_poses")
def test_a_rest_pose_that_cannot_be_computed_is_an_error_and_not_a_fall(
    make: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    case = make(HUNG)
    monkeypatch.setattr(statics.solver, "solve", lambda *_: (statics.solver.FAILED, 80, 0.1, 0.0, 0.0))
    with pytest.raises(NumericalError, match="no pose at rest was found"):
        assess_pose(case)


@pytest.mark.parametrize(
    ("mass", "height"),
    slow_but([("0.5 t", "4.5 m"), ("3 t", "2 m"), ("11 t", "4.5 m"), ("18 t", "0.3 m")], "11 t"),
)
@pytest.mark.parametrize("slope", slow_but(["0 %", "5 %"], "5 %"))
def test_every_set_up_gets_an_answer(make: Make, mass: str, height: str, slope: str) -> None:
    settings = {"setup.slope": slope, "setup.slope_towards": "110 deg"}
    for machine in ALL:
        report = assess_pose(make(rated_text(machine, mass, height), settings))
        assert report.stands
        assert all(math.isfinite(value) and value >= 0.0 for _, value, _ in report.holds_against)


def test_a_smaller_planned_share_allows_less(make: Make) -> None:
    case = make(HUNG)
    half, most = assess_pose(case, planning_share=0.4), assess_pose(case, planning_share=0.75)
    assert half.together is not None
    assert most.together is not None
    assert half.together.deceleration < 0.7 * most.together.deceleration


def test_a_load_that_is_too_heavy_goes_over_the_front_at_the_stated_share_of_it(make: Make) -> None:
    case = make(HUNG, {"load.mass": "9 t"})
    report = assess_pose(case)
    assert report.stands == "tips over the front line"
    assert report.over == "front"
    assert report.exceeded == ("it does not stand",)
    truck = truck_of(case)
    level = truck.gravity(0.0, 0.0)
    assert truck.with_load(0.99 * report.fold_factor * truck.load_mass).solve(level, truck.start(1.0)).stands
    assert not truck.with_load(1.01 * report.fold_factor * truck.load_mass).solve(level, truck.start(1.0)).stands


def test_without_a_load_and_all_slabs_out_it_falls_back(make: Make) -> None:
    text = rated_text("demo-truck-a").split("[load]", maxsplit=1)[0].replace("ballast_slabs = 2", "ballast_slabs = 6")
    report = assess_pose(make(text))
    assert report.over == "back"
    assert math.isnan(report.fold_factor)


def test_the_drop_that_could_tip_a_rigid_truck_is_that_of_its_disc_wheels_and_outer_strips(make: Make) -> None:
    case = stiffened(make(rated_text("demo-truck-b", mass="12 t")))
    truck = truck_of(case)
    pose = truck.solve(truck.gravity(0.0, 0.0), truck.start(1.0))
    height = _height(truck, pose)
    for line, radius in (("left", 0.0), ("right", 0.0), ("front", float(truck.plant.tyre[0, at.T_R]))):
        drop = barrier.crest(truck, pose, line).energy / -pose.force[2]
        treads = oracle_lines.treads(truck.plant.tyre, pose.position, pose.rot)
        edge = oracle_lines.edges(oracle_lines.outline(truck.plant), treads)[line]
        reach = float(oracle_lines.distance(edge, pose.force, pose.moment))
        expected = (
            hole_depth_limit_disc(reach, height, radius, 0.0, "lengthways")
            if radius
            else hole_depth_limit(reach, height)
        )
        assert drop == pytest.approx(expected, rel=0.02), line


def _height(truck: object, pose: object) -> float:
    points = pose.position.copy()  # type: ignore[attr-defined]
    link = truck.plant.link[at.L_HX : at.L_HZ + 1]  # type: ignore[attr-defined]
    points[at.LOAD] = pose.position[at.CARRIAGE] + pose.rot[at.CARRIAGE] @ link  # type: ignore[attr-defined]
    return float(truck.plant.mass @ points[:, 2] / truck.plant.mass.sum())  # type: ignore[attr-defined]


@pytest.mark.parametrize("radius", [0.1, 0.35])
def test_the_rigid_limit_is_how_high_the_centre_rises_when_turned_over_a_wheel(radius: float) -> None:
    """By brute force: turn a disc of this radius with the centre fixed to it, and follow how high the centre stands."""
    x, height = 0.4, 2.1

    def sunk(angle: float) -> float:
        return -(radius + math.sin(angle) * x + math.cos(angle) * (height - radius))

    top = -float(minimize_scalar(sunk, bounds=(0.0, 1.2), method="bounded", options={"xatol": 1e-12}).fun)
    assert hole_depth_limit_disc(x, height, radius, 0.0, "lengthways") == pytest.approx(top - height, rel=1e-9)


def test_springs_lower_the_drop_that_could_tip(make: Make) -> None:
    case = make(rated_text("demo-truck-b", mass="12 t"))
    soft, hard = assess_pose(case), assess_pose(stiffened(case))
    assert soft.hole_depth_limits["left"] < 0.9 * hard.hole_depth_limits["left"]


def test_a_drop_just_as_deep_brings_what_the_crest_asks_for(make: Make) -> None:
    truck = truck_of(make(rated_text("demo-truck-b", mass="12 t")))
    pose = truck.solve(truck.gravity(0.0, 0.0), truck.start(1.0))
    energy = barrier.crest(truck, pose, "left").energy
    depth = barrier.hole_depth(truck, pose, "left", energy)
    left = [i for i, name in enumerate(truck.build.tyres) if "left" in name]
    stored = sum(3 * whole_strip(truck.plant.tyre[i], truck.plant.tyre[i, at.T_R] - pose.tyre[i, 10])[1] for i in left)
    assert depth > pose.tyre[left, 10].max()
    assert -pose.force[2] * depth - stored == pytest.approx(energy, rel=1e-6)


def test_a_hung_or_moving_load_has_no_hole_depth_limit(make: Make) -> None:
    assert not assess_pose(make(HUNG)).hole_depth_limits
    assert not assess_pose(make(rated_text("demo-truck-a"), {"setup.speed": "3 km/h"})).hole_depth_limits
    assert set(assess_pose(make(rated_text("demo-truck-a"))).hole_depth_limits) == set(LINES)


def test_the_mast_leans_to_the_worse_side_of_its_play(make: Make) -> None:
    case = make(rated_text("demo-truck-a"))
    tight = replace(case, machine=changed(case.machine, mast=changed(case.machine.mast, roller_play=0.0)))
    with_play, without = assess_pose(case), assess_pose(tight)
    assert with_play.distances["left"] == pytest.approx(with_play.distances["right"], abs=1e-6)
    assert with_play.distances["left"] < without.distances["left"] - 0.005
    assert with_play.distances["front"] < without.distances["front"]


def test_more_weight_than_the_plate_has_is_a_limit_exceeded(make: Make) -> None:
    assert not assess_pose(make(rated_text("demo-truck-a"))).exceeded
    for mass, exceeds in (("12.4 t", True), ("12251.3 kg", True), ("12251.1 kg", False)):  # 12.25 t and 0.1 per mille
        over = assess_pose(make(rated_text("demo-truck-a"), {"load.mass": mass}))
        assert any("capacity plate" in text for text in over.exceeded) is exceeds, mass


def test_a_stop_that_is_planned_harder_than_the_box_allows_is_a_limit_exceeded(make: Make) -> None:
    text = HUNG + '[[event]]\nat = "1 s"\nkind = "service_stop"\n'
    report = assess_pose(make(text, {"setup.speed": "5 km/h"}))
    assert any("service stop" in text for text in report.exceeded)


def test_more_weight_up_to_the_stated_extra_still_stands(make: Make) -> None:
    case = make(HUNG)
    extra = next(value for label, value, _ in assess_pose(case).holds_against if label.startswith("more weight"))
    truck = truck_of(case)
    level = truck.gravity(0.0, 0.0)
    assert truck.with_load(truck.load_mass + 0.98 * extra).solve(level, truck.start(1.0)).stands
    assert not truck.with_load(truck.load_mass + 1.03 * extra).solve(level, truck.start(1.0)).stands


def test_on_its_own_slope_the_loads_still_carry_the_normal_part_of_the_weight(make: Make) -> None:
    report = assess_pose(
        make(rated_text("demo-truck-b", height="0.5 m"), {"setup.slope": "4 %", "setup.slope_towards": "90 deg"})
    )
    assert sum(report.tyre_loads.values()) == pytest.approx(report.weight * math.cos(math.atan(0.04)), rel=1e-8)
    assert report.distances["left"] < report.distances["right"] - 0.05


RATED_B = rated_text("demo-truck-b").replace('"rated"', '"rated"\nmeant = ["load.mass"]')


@pytest.mark.parametrize("text", [HUNG, RATED_B, HUNG.replace('"5 t"', '"9 t"')])
def test_a_page_and_a_summary_can_be_made_from_it(make: Make, text: str) -> None:
    report = tipline.check(make(text))
    said = page_of(report, Wishes())
    assert said.page.lead.removesuffix(", if an unusual value is meant") == report.heading
    assert report.stands in report.heading.lower()
    assert report.heading.lower() != "stands at rest", "never without its nearest limit"
    assert summary.text(said.summary).count("NaN") == 0


def test_stopping_distance_and_deceleration_in_the_box_agree(make: Make) -> None:
    rows = {label: value for label, value, _ in assess_pose(make(HUNG), planning_share=0.75).holds_only_while}
    stop = next(value for label, value in rows.items() if label.startswith("no stop shorter"))
    speed = brentq(lambda v: v * v / (2 * rows["deceleration with the load's swing at most"]) - stop, 0.0, 10.0)
    assert speed == pytest.approx(5 / 3.6, rel=1e-6)


def test_where_no_crest_is_found_page_and_summary_say_so_and_no_more() -> None:
    """The search ran out at a lean of 56 degrees: the page said that the truck would lean 70 degrees or more."""
    found = read("service-stop-load-low", {"setup.speed": "0 m/s"})
    report = assess_pose(found)
    said = (
        "no pose in which the truck balances over its back line was found within a lean of about 70 degrees; "
        "there may be one all the same"
    )
    (table,) = sections.hole_depths(report, "si")
    assert dict(table.rows)["back"] == f"not known: {said}"
    assert dict(table.rows)["front"] == "107 mm"
    because = summary.pose_summary(report)["null_because"]
    assert because["hole_depth_limit_mm.back"] == because["energy_to_tip_kJ.back"] == said
    ran = tipline.run("service-stop-load-low", {"setup.speed": "0 m/s", "event": "[]"}, spread=0)
    assert summary.run_summary(ran.report)["null_because"]["hole_depth_limit_mm.back"] == said


def test_the_nearest_limit_says_which_side_it_leaves_out() -> None:
    """No crest is found over the back line of this set-up at 70 degrees, so the depth there is not among its limits."""
    standing = read("service-stop-load-low", {"setup.speed": "0 km/h"})
    report = assess_pose(standing)
    assert [side for side, depth in report.hole_depth_limits.items() if math.isnan(depth)] == ["back"]
    assert report.heading == (
        "Stands at rest; nearest limit: letting the drive pedal go; how deep a hole under the back side could tip it "
        "is not known"
    )
    sides = replace(report, hole_depth_limits={"front": math.nan, "back": 0.1, "left": math.nan, "right": 0.1})
    assert sides.heading.endswith("; how deep a hole under the front or left side could tip it is not known")
    known = replace(report, hole_depth_limits=dict.fromkeys(("front", "back", "left", "right"), 0.1))
    assert known.heading == "Stands at rest; nearest limit: letting the drive pedal go"
