"""Runs made up by hand: a rigid truck is turned or moved in a way whose answers are known in closed form."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

import oracle_lines
import oracle_motion
from cases import HUNG, Make, changed, rated_text
from played import played
from tipline.endings import RULES, Decided
from tipline.geometry.outline import crest_rows
from tipline.kernels import layout as at
from tipline.kernels.crests import crest_height
from tipline.kernels.watching import O_PIVOTS
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.report import sections, summary
from tipline.results import Channel, Run
from tipline.runs.assessment import assess_run
from tipline.runs.outcome import seen_of
from tipline.scenario import Case
from tipline.statics.barrier import rigid_energies
from tipline.statics.truck import Truck, truck_of

Array = np.ndarray
STEP = 0.005


@dataclass(frozen=True)
class Turn:
    """A truck turned over its left tip line, and the numbers of that."""

    run: Run
    truck: Truck
    angle: Array
    rate: Array
    radius: float
    start: float
    inertia: float
    weight: float


def made_run(
    truck: Truck,
    time: Array,
    poses: Array,
    velocities: Array,
    loads: Array,
    body: Array | None = None,
    contact: Array | None = None,
) -> Run:
    """Put a run together from what moves; gravity level, nothing else commanded, tyres press on outer strips."""
    zero = np.zeros(len(time))
    names = truck.build.tyres
    channels = {f"tyre_load.{name}": Channel(loads[:, i], "N", name) for i, name in enumerate(names)}
    if contact is None:
        rot = oracle_motion.rotations(poses[:, :, 3:])
        position = poses[:, :, :3] + np.einsum("nbij,bj->nbi", rot, truck.build.centre - truck.assembly.centre)
        treads = oracle_lines.treads(truck.plant.tyre, position, rot)
        contact = np.stack([treads[:, i, 2 if "left" in name else 0] for i, name in enumerate(names)], axis=1)
        contact[:, :, 2] = 0.0
    for i, name in enumerate(names):
        for c, axis in enumerate("xyz"):
            channels[f"tyre_contact_{axis}.{name}"] = Channel(contact[:, i, c], "m", name)
        for other in ("tyre_drag", "tyre_side", "tyre_compression", "wheel_speed"):
            channels[f"{other}.{name}"] = Channel(zero, "", name)
    for name in ("gravity_x", "gravity_y", "commanded_ax", "commanded_ay"):
        channels[name] = Channel(zero, "m/s2", name)
    channels["gravity_z"] = Channel(zero - G, "m/s2", "gravity z")
    for name, unit in (("energy.elastic", "J"), ("axle_angle", "rad"), ("rope_force", "N")):
        channels[name] = Channel(zero, unit, name)
    channels["body_force"] = Channel(zero if body is None else body, "N", "body force")
    channels["load_floor_force"] = Channel(zero, "N", "floor on the load")
    meta = {
        "centres": truck.assembly.centre.tolist(),
        "time_step_s": STEP,
        "energy_error": 0.0,
        "places": [],
        "stands_at_start": True,
    }
    return Run(time, poses, velocities, channels, at.BODIES, names, meta)


def turned(
    case: Case, over: Callable[[Array], Array], seconds: float = 3.0, body: bool = False, step: float = STEP
) -> Turn:
    """Turn the rigid truck about its left line by ``over`` (time -> angle); the right tyres are off meanwhile."""
    truck = truck_of(case)
    time = np.arange(0.0, seconds, step)
    angle = over(time)
    rate = np.gradient(angle, step)
    hubs = truck.plant.tyre[:, at.T_X : at.T_Z + 1] + truck.build.centre[truck.plant.tyre[:, 0].astype(int)]
    out = np.array([0.0, 1.0, 0.0])
    front, _, rear, _ = truck.outline.outermost
    tyre = truck.plant.tyre
    foot = [hubs[i] + out * tyre[i, at.T_W] / 3 - np.array([0.0, 0.0, tyre[i, at.T_R]]) for i in (rear, front)]
    along = (foot[1] - foot[0]) / np.linalg.norm(foot[1] - foot[0])
    turns = Rotation.from_rotvec(-angle[:, None] * along)
    poses, velocities = np.zeros((len(time), 6, 7)), np.zeros((len(time), 6, 6))
    for b, centre in enumerate(truck.assembly.centre):
        arm = turns.apply(centre - foot[0])
        poses[:, b, :3], poses[:, b, 3:] = foot[0] + arm, turns.as_quat()
        velocities[:, b, 3:] = -rate[:, None] * along
        velocities[:, b, :3] = np.cross(velocities[:, b, 3:], arm)
    mass, centre = truck.assembly.mass, truck.assembly.centre
    middle = mass @ centre / mass.sum() - foot[0]
    away = middle - (middle @ along) * along
    arms = centre - foot[0] - ((centre - foot[0]) @ along)[:, None] * along
    about = float(mass @ (arms**2).sum(axis=1) + sum(along @ inertia @ along for inertia in truck.assembly.inertia))
    weight = float(mass.sum()) * G
    left = np.array(["left" in name for name in truck.build.tyres])
    share = weight / len(left)
    loads = np.where(left, 2 * share, 0.0) * (angle > 0)[:, None] + share * (angle <= 0)[:, None]
    pressed = np.where((angle > 1.2) & body, 0.5 * weight, 0.0)
    radius, start = float(np.linalg.norm(away)), math.atan2(float(np.hypot(away[0], away[1])), away[2])
    run = made_run(truck, time, poses, velocities, loads, pressed)
    return Turn(run, truck, angle, rate, radius, start, about, weight)


def smooth(end: float, begin: float = 0.5, over: float = 1.5) -> Callable[[Array], Array]:
    def angle(time: Array) -> Array:
        s = np.clip((time - begin) / over, 0.0, 1.0)
        return end * s * s * (3.0 - 2.0 * s)

    return angle


def there_and_back(top: float) -> Callable[[Array], Array]:
    return lambda time: top * np.where((time > 0.5) & (time < 1.5), np.sin(np.pi * (time - 0.5)), 0.0) ** 2


@pytest.fixture
def fixed_axle(make: Make) -> Case:
    """Truck B without its inner twins, outer treads in line, front and rear: the side lines run straight along it."""
    case = make(rated_text("demo-truck-b", mass="10 t"))
    front, steer = case.machine.drive_axle.tyre[0], case.machine.steer_axle
    across = front.across + front.width / 3 - steer.tyre[0].width / 3
    tyres = (changed(steer.tyre[0], across=across), changed(steer.tyre[1], across=-across))
    drive = changed(case.machine.drive_axle, tyre=(front, case.machine.drive_axle.tyre[-1]))
    return replace(case, machine=changed(case.machine, steer_axle=changed(steer, tyre=tyres), drive_axle=drive))


@pytest.mark.slow
def test_the_distance_of_a_turned_truck_is_that_of_its_centre(fixed_axle: Case) -> None:
    turn = turned(fixed_axle, smooth(0.9))
    apart = played(turn.run, fixed_axle).series("distance.left")
    expected = turn.radius * np.sin(turn.start - turn.angle)
    leans = turn.angle > 0.1  # before, the share that is taken to bear on the middle of the treads counts
    assert apart[leans] == pytest.approx(expected[leans], abs=1e-9)
    assert apart == pytest.approx(expected, abs=5e-3)


def test_energy_left_falls_by_height_and_speed(fixed_axle: Case) -> None:
    turn = turned(fixed_axle, smooth(0.9))
    kinetic = 0.5 * turn.inertia * turn.rate**2
    barrier = turn.weight * turn.radius * (1.0 - np.cos(turn.start - turn.angle))
    left = played(turn.run, fixed_axle).series("energy_left.left")
    assert left == pytest.approx(barrier - kinetic, rel=1e-6, abs=1e-3)


def test_at_rest_the_energy_left_is_that_of_the_compliant_crest(fixed_axle: Case) -> None:
    truck = truck_of(fixed_axle)
    pose = truck.solve(truck.gravity(0.0, 0.0), truck.start(1.0))
    poses = np.zeros((4, 6, 7))
    centres = [pose.position[b] + pose.rot[b] @ (truck.assembly.centre[b] - truck.build.centre[b]) for b in range(6)]
    hook = pose.position[at.CARRIAGE] + pose.rot[at.CARRIAGE] @ truck.plant.link[at.L_HX : at.L_HZ + 1]
    rot = pose.rot.copy()
    rot[at.LOAD] = rot[at.CARRIAGE]
    centres[at.LOAD] = hook
    poses[:, :, :3], poses[:, :, 3:] = centres, Rotation.from_matrix(rot).as_quat()
    loads = np.tile(pose.loads, (4, 1))
    contact = np.tile(pose.tyre[:, 4:7], (4, 1, 1))
    run = made_run(truck, np.arange(4) * STEP, poses, np.zeros((4, 6, 6)), loads, contact=contact)
    energies = {"front": 4e3, "back": 5e4, "left": 3e4, "right": 3e4}
    seen = played(run, fixed_axle, rigid_energies(truck, pose) - np.array(list(energies.values())))
    for line, energy in energies.items():
        assert seen.series(f"energy_left.{line}") == pytest.approx(energy, rel=2e-3), line
    for line, value in pose.distances.items():
        assert seen.series(f"distance.{line}") == pytest.approx(value, abs=1e-6), line


def test_driving_along_is_not_energy_to_tip_but_sliding_aside_is(fixed_axle: Case) -> None:
    turn = turned(fixed_axle, lambda time: 0.0 * time, 0.5)
    ahead, aside = turn.run.velocities.copy(), turn.run.velocities.copy()
    ahead[:, :, 0], aside[:, :, 1] = 2.0, 2.0
    still, driving, sliding = (
        played(replace(turn.run, velocities=speeds), fixed_axle).series("energy_left.left")
        for speeds in (turn.run.velocities, ahead, aside)
    )
    assert driving == pytest.approx(still, abs=1e-6)
    assert still - sliding == pytest.approx(0.5 * turn.weight / G * 4.0, rel=1e-9)


def test_going_over_has_no_way_back_from_when_the_centre_is_above_the_line(fixed_axle: Case) -> None:
    turn = turned(fixed_axle, smooth(1.5))
    report = assess_run(played(turn.run, fixed_axle), fixed_axle)
    first = float(turn.run.time[int(np.argmax(turn.angle > turn.start))])
    assert report.outcome.truck == "over"
    assert report.outcome.direction == "left"
    assert report.outcome.lead == "over to the left"
    assert report.no_return == pytest.approx(first, abs=1.5 * STEP)
    assert report.distances["left"][0] == pytest.approx(0.0, abs=0.02)
    assert report.distances["left"][1] == pytest.approx(first, abs=2 * STEP)
    assert report.steer_axle_share > 0.0


def test_over_stays_over_when_it_lies_on_its_side(fixed_axle: Case) -> None:
    turn = turned(fixed_axle, smooth(1.5), body=True)
    assert seen_of(played(turn.run, fixed_axle)).truck == "over"


def test_leaning_and_coming_back_is_lifted(fixed_axle: Case) -> None:
    turn = turned(fixed_axle, there_and_back(0.1))
    report = assess_run(played(turn.run, fixed_axle), fixed_axle)
    assert report.outcome.truck == "tyre-lifted"
    assert report.outcome.direction is None
    assert report.no_return is None
    low = turn.radius * math.sin(turn.start - 0.1)
    assert report.distances["left"] == pytest.approx((low, 1.0), abs=2 * STEP)
    texts = [text for _, text in report.events]
    assert "the rear-right tyre leaves the floor" in texts
    assert "the rear-right tyre is back on the floor" in texts


@pytest.mark.slow
def test_leaning_past_the_line_and_coming_back_is_still_not_over(fixed_axle: Case) -> None:
    turn = turned(fixed_axle, there_and_back(0.77))
    assert turn.start < 0.77 < RULES.fallen
    report = assess_run(played(turn.run, fixed_axle), fixed_axle)
    assert report.outcome.truck == "tyre-lifted"
    assert report.distances["left"][0] < 0.0


def test_past_the_line_and_beyond_45_degrees_is_over_whatever_it_rolls_back_to(fixed_axle: Case) -> None:
    """A lifted load that lands beside the truck may hold it up again at less."""
    turn = turned(fixed_axle, there_and_back(0.9))
    carried = Channel(np.where(turn.run.time > 1.5, 0.3 * turn.weight, 0.0), "N", "body force")
    outcome = assess_run(played(turn.run.with_channels({"body_force": carried}), fixed_axle), fixed_axle).outcome
    assert (outcome.truck, outcome.direction) == ("over", "left")


def test_a_tyre_that_stays_up_is_told_as_off_the_floor(fixed_axle: Case) -> None:
    turn = turned(fixed_axle, smooth(0.05))
    assert assess_run(played(turn.run, fixed_axle), fixed_axle).outcome.truck == "tyre-off"


@pytest.mark.slow
@pytest.mark.parametrize(("touch", "word"), [(0.1, "tyre-off"), (0.3, "tyre-lifted"), (1.6, "tyre-lifted")])
def test_a_touch_in_each_swing_leaves_a_rocking_tyre_up(fixed_axle: Case, touch: float, word: str) -> None:
    """Swings of 2 s: 0.1 s is 5 % of one, 0.3 s is 15 %; where the run ends within the swing does not matter."""
    turn = turned(fixed_axle, lambda time: 0.02 * np.sin(np.pi * time), seconds=4.0)
    name, words = turn.run.tyres[0], set()
    for shift in (0.0, 0.5, 1.0, 1.5):
        values = turn.run.series(f"tyre_load.{name}").copy()
        values[(turn.run.time > 1.0) & ((turn.run.time + shift) % 2.0 > touch)] = 0.0
        run = turn.run.with_channels({f"tyre_load.{name}": Channel(values, "N", name)})
        words.add(seen_of(played(run, fixed_axle)).truck)
    assert words == {word}


LOW = np.full(4, 1e7)
"""What springs would give [J], were crests so low that energy decides nothing."""


@pytest.mark.slow
def test_a_truck_that_rocks_evenly_with_a_tyre_off_is_decided_and_one_that_rocks_more_is_not(fixed_axle: Case) -> None:
    """Whatever energy the rocking has."""
    for grows, expected in ((0.0, True), (0.2, False)):
        turn = turned(fixed_axle, lambda time, g=grows: 0.02 * (1.0 + g * time) * np.sin(np.pi * time), seconds=8.0)
        name = turn.run.tyres[0]
        values = turn.run.series(f"tyre_load.{name}").copy()
        values[(turn.run.time > 1.0) & (turn.run.time % 2.0 > 0.5)] = 0.0
        run = turn.run.with_channels({f"tyre_load.{name}": Channel(values, "N", name)})
        seen = seen_of(played(run, fixed_axle, LOW))
        assert seen.decided == ("swings evenly" if expected else "")
        assert (seen.truck == "undecided") is not expected


@pytest.mark.slow
def test_standing_still_is_down_and_decided(fixed_axle: Case) -> None:
    turn = turned(fixed_axle, lambda time: 0.0 * time)
    report = assess_run(played(turn.run, fixed_axle), fixed_axle)
    assert (report.outcome.truck, report.outcome.floor) == ("down", "held")
    assert seen_of(played(turn.run, fixed_axle)).decided == Decided.REST


@pytest.mark.slow
def test_a_truck_carried_by_something_else_is_resting(fixed_axle: Case) -> None:
    turn = turned(fixed_axle, smooth(0.3))
    carried = Channel(np.where(turn.run.time > 1.0, 0.3 * turn.weight, 0.0), "N", "body force")
    run = turn.run.with_channels({"body_force": carried})
    assert assess_run(played(run, fixed_axle), fixed_axle).outcome.truck == "resting"


@pytest.mark.slow
def test_still_turning_with_too_much_energy_is_undecided(fixed_axle: Case) -> None:
    turn = turned(fixed_axle, lambda time: 0.02 * np.clip(time - 0.5, 0.0, None) ** 2, seconds=2.2)
    assert turn.angle[-1] < turn.start
    unknown = seen_of(played(turn.run, fixed_axle, LOW))
    assert (unknown.truck, unknown.decided) == ("undecided", "")
    assert seen_of(played(turn.run, fixed_axle)).decided == "energy too small to tip"


@pytest.mark.slow
def test_a_tyre_off_for_less_than_ten_milliseconds_counts_as_loaded(fixed_axle: Case) -> None:
    turn = turned(fixed_axle, lambda time: 0.0 * time, step=0.002)
    name = turn.run.tyres[0]
    for samples, off in ((3, False), (6, True)):
        values = turn.run.series(f"tyre_load.{name}").copy()
        values[400 : 400 + samples] = 0.005 * values[0]
        run = turn.run.with_channels({f"tyre_load.{name}": Channel(values, "N", name)})
        assert (name in seen_of(played(run, fixed_axle)).off) == off


def test_a_truck_with_hardly_any_load_on_its_steer_axle_is_too_light_to_steer(fixed_axle: Case) -> None:
    turn = turned(fixed_axle, lambda time: 0.0 * time)
    steer = [name for name in turn.run.tyres if name.startswith("rear")]
    light = {f"tyre_load.{name}": Channel(turn.run.series(f"tyre_load.{name}").copy(), "N", name) for name in steer}
    for channel in light.values():
        channel.values[(turn.run.time > 1.2) & (turn.run.time < 1.4)] *= 0.05
    report = assess_run(played(turn.run.with_channels(light), fixed_axle), fixed_axle)
    assert report.outcome.truck == "down, too light to steer"
    assert report.steer_axle_share < 0.05


def braked(case: Case, deceleration: float) -> tuple[Run, Truck]:
    """Drive straight at 3 m/s and brake evenly from 1 s on, the truck rigid and level."""
    truck = truck_of(case)
    time = np.arange(0.0, 1.8, STEP)
    held = np.clip(time - 1.0, 0.0, None)
    poses, velocities = np.zeros((len(time), 6, 7)), np.zeros((len(time), 6, 6))
    poses[:, :, :3], poses[:, :, 6] = truck.assembly.centre, 1.0
    poses[:, :, 0] += (3.0 * time - 0.5 * deceleration * held**2)[:, None]
    velocities[:, :, 0] = (3.0 - deceleration * held)[:, None]
    loads = np.full((len(time), len(truck.build.tyres)), 4e4)
    return made_run(truck, time, poses, velocities, loads), truck


@pytest.mark.parametrize(("deceleration", "word"), [(2.8, "kept"), (3.1, "slid")])
def test_a_load_fixed_on_the_forks_would_slide_when_braked_harder_than_friction(
    make: Make, deceleration: float, word: str
) -> None:
    case = make(rated_text("demo-truck-a"), {"load.friction_on_forks": "0.3"})
    seen = seen_of(played(braked(case, deceleration)[0], case))
    assert seen.lifted_load == word
    assert bool(seen.load_events) == (word != "kept")


@pytest.mark.parametrize(("deceleration", "word"), [(3.5, "kept"), (3.9, "dropped")])
def test_a_tall_load_would_topple_when_braked_harder_than_reach_over_height(
    make: Make, deceleration: float, word: str
) -> None:
    # reach to the load's front edge 0.45 m, centre 1.2 m up: 9.81 * 0.45 / 1.2 = 3.68 m/s2
    settings = {
        "load.friction_on_forks": "0.9",
        "load.height_of_centre": "1.2 m",
        "load.size": '["0.9 m", "1 m", "2.4 m"]',
    }
    case = make(rated_text("demo-truck-a"), settings)
    assert seen_of(played(braked(case, deceleration)[0], case)).lifted_load == word


def test_the_fork_face_holds_a_load_that_is_pushed_back(make: Make) -> None:
    case = make(rated_text("demo-truck-a"), {"load.friction_on_forks": "0.3"})
    assert seen_of(played(braked(case, -3.5)[0], case)).lifted_load == "kept"


def test_a_commanded_stop_moves_the_balance_point_by_height_times_its_ratio(make: Make) -> None:
    case = make(rated_text("demo-truck-a"))
    run, truck = braked(case, 1.0)
    told = Channel(np.where(run.time > 1.0, -1.0, 0.0), "m/s2", "commanded")
    apart = played(run.with_channels({"commanded_ax": told}), case).series("distance.front")
    mass, centre = truck.assembly.mass, truck.assembly.centre
    height = float(mass @ centre[:, 2] / mass.sum())
    assert apart[0] - apart[-1] == pytest.approx(height / G, rel=1e-9)


def test_the_rope_pulls_where_the_hung_load_is(make: Make) -> None:
    """A load swung ahead, its rope bearing its weight, takes hook height times the tangent off the front."""
    case = make(HUNG)
    truck = truck_of(case)
    time = np.arange(3) * STEP
    poses = np.zeros((3, 6, 7))
    poses[:, :, :3], poses[:, :, 6] = truck.assembly.centre, 1.0
    hook = np.asarray(truck.assembly.points.hook)
    hanging = hook - truck.assembly.centre[at.LOAD]
    angle = np.array([0.0, 0.1, 0.0])
    swing = Rotation.from_rotvec(np.outer(-angle, [0.0, 1.0, 0.0]))
    poses[:, at.LOAD, :3], poses[:, at.LOAD, 3:] = hook - swing.apply(hanging), swing.as_quat()
    loads = np.full((3, 4), 3e4)
    mass = truck.load_mass
    run = made_run(truck, time, poses, np.zeros((3, 6, 6)), loads)
    pull = Channel(mass * G / np.cos(angle), "N", "rope")
    seen = played(run.with_channels({"rope_force": pull}), case)
    total = truck.assembly.mass.sum()
    lost = seen.series("distance.front")[0] - seen.series("distance.front")[1]
    assert lost == pytest.approx(mass * math.tan(0.1) * hook[2] / total, rel=1e-6)
    below = float(np.linalg.norm(hanging))
    held = seen.series("energy_left.back")[0] - seen.series("energy_left.back")[1]
    assert held == pytest.approx(mass * G * below * (1 - math.cos(0.1)), rel=1e-6)


@pytest.mark.parametrize(("shed", "told"), [("", [2 * STEP]), ('[[event]]\nkind = "load_shed"\nat = "5 ms"\n', [])])
def test_a_rope_goes_slack_where_its_load_has_not_been_shed_before(make: Make, shed: str, told: list[float]) -> None:
    case = make(HUNG + shed)
    truck = truck_of(case)
    time = np.arange(5) * STEP
    poses = np.zeros((5, 6, 7))
    poses[:, :, :3], poses[:, :, 6] = truck.assembly.centre, 1.0
    run = made_run(truck, time, poses, np.zeros((5, 6, 6)), np.full((5, 4), 3e4))
    pull = Channel(np.array([1e4, 1e4, 0.0, 0.0, 1e4]), "N", "rope")
    report = assess_run(played(run.with_channels({"rope_force": pull}), case), case)
    assert [when for when, what in report.events if what == "the rope goes slack"] == pytest.approx(told)


@pytest.mark.parametrize(
    ("speed", "event", "told"),
    [
        ("0 km/h", "", True),
        ("3 km/h", "", False),
        ("0 km/h", '[[event]]\nkind = "drive"\nat = "0 s"\nspeed = "1 km/h"\n', False),
    ],
)
def test_a_truck_that_was_to_stand_rolls_or_slides_and_one_that_drives_does_not(
    make: Make, speed: str, event: str, told: bool
) -> None:
    case = make(HUNG + event, {"setup.speed": speed})
    time = np.arange(5) * STEP
    poses = np.zeros((5, 6, 7))
    poses[:, :, :3], poses[:, :, 6] = truck_of(case).assembly.centre, 1.0
    run = played(made_run(truck_of(case), time, poses, np.zeros((5, 6, 6)), np.full((5, 4), 3e4)), case)
    assert run.watched is not None
    report = assess_run(replace(run, watched=replace(run.watched, away=(0.24, 0.004))), case)
    rolls = [(when, what) for when, what in report.events if "rolls or slides" in what]
    assert rolls == ([(0.004, "the truck rolls or slides, 240 mm by the end")] if told else [])


def test_an_outside_force_shifts_the_balance_point_by_its_moment(fixed_axle: Case) -> None:
    turn = turned(fixed_axle, lambda time: 0.0 * time, 0.2)
    point = [-1.0, 0.0, 2.5]
    zero = np.zeros(len(turn.run.time))
    run = turn.run.with_channels(
        {
            "outside_x.0": Channel(zero, "N", "x"),
            "outside_y.0": Channel(zero + 8e3, "N", "y"),
            "outside_z.0": Channel(zero, "N", "z"),
        }
    )
    run = replace(run, meta={**run.meta, "outside": [{"body": at.CHASSIS, "point": point}]})
    pushed, alone = (played(one, fixed_axle).series("balance_y") for one in (run, turn.run))
    assert alone[0] == pytest.approx(0.0, abs=1e-9)
    assert pushed[0] == pytest.approx(8e3 * 2.5 / turn.weight, rel=1e-9)


def test_on_its_stop_a_pivoting_axle_reaches_less_far_than_a_fixed_one(make: Make) -> None:
    truck = truck_of(make(rated_text("demo-truck-a")))
    row = truck.outline.row.copy()
    row[O_PIVOTS] = 0.0
    locked = replace(truck.outline, row=row)
    centre = truck.assembly.mass @ truck.assembly.centre / truck.assembly.mass.sum() - truck.build.centre[at.CHASSIS]
    own, stiff = (
        [crest_height(line, *centre) for line in crest_rows(truck.build, truck.plant, one)]
        for one in (truck.outline, locked)
    )
    assert own[2] == pytest.approx(own[3], rel=1e-12)
    assert own[2] < stiff[2] - 1e-4
    assert own[0] == stiff[0]


def test_the_added_channels_are_on_the_run_and_a_page_can_be_made(fixed_axle: Case) -> None:
    turn = turned(fixed_axle, there_and_back(0.1))
    report = assess_run(played(turn.run, fixed_axle), fixed_axle)
    for name in ("distance.front", "distance.right", "energy_left.left", "steer_axle_share", "balance_x"):
        assert name in report.run.channels
    assert report.run.series("distance.left").min() == report.distances["left"][0]
    facts = summary.run_summary(report)
    assert summary.text(facts).count("NaN") == 0
    assert facts["outcome"]["truck"] == "tyre-lifted"
    assert sections.run_page(report).lead == report.heading == report.ended
