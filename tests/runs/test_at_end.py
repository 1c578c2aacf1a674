"""Ends of runs made up by hand: places, angles and marks are those of solid geometry.

The load is a box of 0.9 x 1.0 x 1.0 m on forks at 1 m: it reaches from x = 0.62 to 1.52 m, its middle is 1.5 m up. Of
the truck the widest points are its steps, 0.83 m to each side, and the middle of the drive axle is 0.36 m up.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, radians, sin

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from cases import Make, rated_text
from tipline.geometry import assemble
from tipline.kernels import layout as at
from tipline.results import Channel, Run
from tipline.runs.at_end import at_end
from tipline.scenario import Case

Pose = tuple[Rotation, tuple[float, float, float]]
STILL: Pose = (Rotation.identity(), (0.0, 0.0, 0.0))
TYRES = ("front-left", "front-right", "rear-left", "rear-right")


@pytest.fixture
def case(make: Make) -> Case:
    return make(rated_text("demo-truck-a", mass="6 t", height="1.0 m"))


def played(case: Case, truck: Sequence[Pose], load: Sequence[Pose], every: float = 0.5) -> Run:
    """A run of poses, each a rotation about the truck's origin at set-up and where that origin comes to."""
    centres = assemble(case.machine, case.scenario.setup, case.load).centre
    poses = np.zeros((len(truck), 6, 7))
    for k, pair in enumerate(zip(truck, load, strict=True)):
        for body in range(6):
            turn, shift = pair[body == at.LOAD]
            poses[k, body, :3], poses[k, body, 3:] = turn.apply(centres[body]) + shift, turn.as_quat()
    zero = np.zeros(len(truck))
    channels = {
        f"{name}.{tyre}": Channel(zero, "", name)
        for name in ("tyre_contact_x", "tyre_contact_y", "tyre_contact_z", "tyre_drag", "tyre_side", "tyre_load",
                     "tyre_compression", "wheel_speed")
        for tyre in TYRES
    }  # fmt: skip
    time = every * np.arange(len(truck))
    return Run(time, poses, np.zeros((len(truck), 6, 6)), channels, at.BODIES, TYRES, {"centres": centres.tolist()})


def test_a_truck_that_stands_turned_by_30_degrees_is_where_it_was_put(case: Case) -> None:
    put: Pose = (Rotation.from_euler("z", 30, degrees=True), (2.0, -1.0, 0.0))
    end = at_end(played(case, [STILL, put], [STILL, put]), case)
    assert end.time == 0.5
    assert end.truck.place == pytest.approx((2.0, -1.0, 0.36), abs=1e-9)
    assert end.truck.moved == pytest.approx((2.0, -1.0), abs=1e-9)
    assert (end.truck.heading, end.truck.turned) == pytest.approx((radians(30), radians(30)), abs=1e-9)
    assert (end.truck.roll, end.truck.pitch) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert (end.truck.down, end.truck.at_rest) == ("underside", True)
    load = end.lifted_load
    assert load is not None
    assert load.place == pytest.approx((2.0 + 1.07 * cos(radians(30)), -1.0 + 1.07 * sin(radians(30)), 1.5), abs=1e-4)
    assert end.marks == ()


def test_ways_are_told_as_the_truck_stood_at_the_start(case: Case) -> None:
    """It starts along y and goes 1 m on along it: ahead, not to the left."""
    along_y = Rotation.from_euler("z", 90, degrees=True)
    first, second = (along_y, (0.0, 0.0, 0.0)), (along_y, (0.25, 1.0, 0.0))
    end = at_end(played(case, [first, second], [first, second]), case)
    assert end.truck.moved == pytest.approx((1.0, -0.25), abs=1e-9)
    assert (end.truck.heading, end.truck.turned) == pytest.approx((radians(90), 0.0), abs=1e-9)


def test_a_truck_on_its_left_side_has_marked_the_floor_by_its_steps(case: Case) -> None:
    over: Pose = (Rotation.from_euler("x", -90, degrees=True), (0.0, 3.0, 0.829))
    end = at_end(played(case, [STILL, STILL, over], [STILL, STILL, STILL]), case)
    assert end.truck.roll == pytest.approx(radians(-90))
    assert end.truck.pitch == pytest.approx(0.0, abs=1e-9)
    assert end.truck.down == "left side"
    assert end.truck.place == pytest.approx((0.0, 3.36, 0.829), abs=1e-9)
    assert {mark.corner: mark.first for mark in end.marks} == {
        "step front left": pytest.approx((-0.43, 3.26), abs=1e-9),
        "step rear left": pytest.approx((-0.73, 3.26), abs=1e-9),
    }
    assert all((mark.body, mark.since, mark.scraped, mark.at_end) == ("truck", 1.0, 0.0, True) for mark in end.marks)


@pytest.mark.parametrize(
    ("turn", "down", "roll", "pitch"),
    [
        ("x", "right side", 60.0, 0.0), ("y", "front", 0.0, 60.0), ("-y", "rear", 0.0, -60.0),
        ("2x", "top", 150.0, 0.0),
    ],
)  # fmt: skip
def test_the_side_that_is_down_has_its_name(case: Case, turn: str, down: str, roll: float, pitch: float) -> None:
    rotation = Rotation.from_euler(turn[-1], roll + pitch, degrees=True)
    lies: Pose = (rotation, (0.0, 0.0, 5.0))
    truck = at_end(played(case, [STILL, lies], [STILL, STILL]), case).truck
    assert truck.down == down
    assert truck.roll == pytest.approx(radians(roll), abs=1e-9)
    assert truck.pitch == pytest.approx(radians(pitch), abs=1e-9)


def test_a_dropped_load_marks_the_floor_where_its_corners_strike_and_scrape(case: Case) -> None:
    """It falls with its left side 20 degrees down, strikes with an edge and goes 0.3 m on to the left on it."""
    turn = Rotation.from_euler("x", -20, degrees=True)
    low = turn.apply((0.62, 0.5, 1.0))  # the rear one of the two corners of the edge that is lowest
    first, second = (turn, (0.0, 0.0, -0.001 - low[2])), (turn, (0.0, 0.3, -0.001 - low[2]))
    end = at_end(played(case, [STILL] * 4, [STILL, first, second, STILL]), case)
    assert [(mark.body, mark.corner) for mark in end.marks] == [
        ("lifted load", "bottom front left"),
        ("lifted load", "bottom rear left"),
    ]
    front, rear = end.marks
    assert (front.since, front.at_end) == (0.5, False)
    assert rear.first == pytest.approx((0.62, low[1]))
    assert low[1] == pytest.approx(0.5 * cos(radians(20)) + 1.0 * sin(radians(20)))
    assert rear.last == pytest.approx((0.62, low[1] + 0.3))
    assert (front.scraped, rear.scraped) == pytest.approx((0.3, 0.3))
    assert front.first[0] == pytest.approx(1.52)


def test_a_corner_over_a_hole_touches_nothing_until_its_bottom(case: Case) -> None:
    over: Pose = (Rotation.from_euler("x", -90, degrees=True), (0.0, 3.0, 0.82))
    run = played(case, [STILL, over], [STILL, STILL])
    x, y = -0.43 + 0.2 * cos(0.3), 3.26 + 0.2 * sin(0.3)  # long and narrow, about its own heading
    place = {"index": 0, "x": x, "y": y, "heading": 0.3, "size": [0.6, 0.1]}
    hole = Run(**{**vars(run), "meta": {**run.meta, "places": [place]}})
    deep = {
        depth: hole.with_channels({"place_depth.0": Channel(np.full(2, depth), "m", "")}) for depth in (0.005, 0.02)
    }
    corners = {depth: {mark.corner for mark in at_end(one, case).marks} for depth, one in deep.items()}
    assert corners == {0.005: {"step front left", "step rear left"}, 0.02: {"step rear left"}}


def test_a_tyre_skids_where_its_friction_is_used_up_and_it_slides(case: Case) -> None:
    """At 1 m/s for 2 s on a floor of friction 0.65: one wheel is locked, one rolls, one is off the floor, one grips."""
    steps, friction, load, speed = 21, 0.65, 40e3, 1.0
    run = played(case, [(Rotation.identity(), (0.1 * k, 0.0, 0.0)) for k in range(steps)], [STILL] * steps, every=0.1)
    run.velocities[:, :, 0] = speed
    x = 0.1 * np.arange(steps)
    bears = {"front-left": load, "front-right": load, "rear-left": 0.0, "rear-right": load}
    pulls = {"front-left": friction * load, "front-right": friction * load, "rear-left": 0.0, "rear-right": 0.1 * load}
    spins = {"front-left": 0.0, "front-right": speed / 0.36, "rear-left": 0.0, "rear-right": 0.0}
    own: dict[str, Channel] = {}
    for tyre in TYRES:
        own[f"tyre_contact_x.{tyre}"] = Channel(x, "m", "")
        for name, values in (("tyre_load", bears), ("tyre_drag", pulls), ("wheel_speed", spins)):
            own[f"{name}.{tyre}"] = Channel(np.full(steps, values[tyre]), "", "")
    tyres = {tyre.tyre: tyre for tyre in at_end(run.with_channels(own), case).tyres}
    assert tyres["front-left"].skidded == pytest.approx(2.0)
    assert [tyres[tyre].skidded for tyre in TYRES[1:]] == [0.0, 0.0, 0.0]
    assert tyres["front-left"].place == pytest.approx((2.0, 0.0))
    assert [tyres[tyre].on_floor for tyre in TYRES] == [True, True, False, True]
    assert (tyres["front-left"].until, tyres["front-left"].depth) == (2.0, 0.0)
