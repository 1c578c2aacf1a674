"""From a run to what is drawn: parts, tyres, lines, places, rope and cause, on a demo truck that stands still."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from tipline.geometry import BODIES, assemble
from tipline.results import Channel, Run
from tipline.scenario import read
from tipline.scenario.case import Case
from tipline.view.story import Story
from tipline.view.tell import tell

SCENARIO = """
title = "A tyre breaks through"
machine = "{machine}"
floor = "demo-hall-a"
[setup]
position = ["6 m", "4 m"]
heading = "90 deg"
{setup}
[load]
mass = "2 t"
size = ["1.2 m", "1.0 m", "1.0 m"]
height_of_centre = "0.5 m"
{load}
{event}
"""
JIB = 'attachment = "jib"\nhook_height = "4.6 m"\njib_reach = "1.6 m"'
FORKS = 'attachment = "forks"\nfork_height = "1 m"'
HOLE = (
    '[[event]]\nat = "0.5 s"\nkind = "breakthrough"\nunder = "rear-right"\ndepth = "100 mm"\nhole = ["0.6 m", "0.4 m"]'
)
LINES = ("front", "back", "left", "right")


def case_of(folder: Path, setup: str, load: str = "", event: str = "", machine: str = "demo-truck-a") -> Case:
    path = folder / "case.toml"
    path.write_text(SCENARIO.format(machine=machine, setup=setup, load=load, event=event), encoding="utf-8")
    return read(path)


def run_of(case: Case, rise: float = 0.0, places: tuple[dict[str, Any], ...] = (), samples: int = 5) -> Run:
    """A truck that stands where its set-up puts it; the carriage and what hangs on it rise by `rise`."""
    assembly = assemble(case.machine, case.scenario.setup, case.load)
    tyres = tuple(tyre.name for tyre in (*case.machine.drive_axle.tyre, *case.machine.steer_axle.tyre))
    time = np.linspace(0.0, 1.0, samples)
    turn = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])  # 90 deg
    poses = np.zeros((samples, 6, 7))
    poses[..., :3] = np.asarray(assembly.centre) @ turn.T + [6.0, 4.0, 0.0]
    poses[..., 3:] = [0.0, 0.0, np.sqrt(0.5), np.sqrt(0.5)]
    for body in (BODIES.index("carriage"), BODIES.index("load")):
        poses[:, body, 2] += rise * time
    names = [f"distance.{line}" for line in (*LINES, "swing.left", "swing.right")]
    names += [f"tyre_load.{tyre}" for tyre in tyres]
    names += [
        "gravity_x",
        "gravity_y",
        "roll",
        "pitch",
        "rope_force",
        "balance_x",
        "balance_y",
        "body_force",
        "load_floor_force",
    ]
    channels = {name: Channel(np.full(samples, 0.5), "", name) for name in names}
    channels["gravity_z"] = Channel(np.full(samples, -9.8), "m/s2", "")
    for place in places:
        channels[f"place_depth.{place['index']}"] = Channel(place.pop("depth") * time, "m", "")
    meta = {"centres": np.asarray(assembly.centre).tolist(), "places": list(places)}
    return Run(time, poses, np.zeros((samples, 6, 6)), channels, BODIES, tyres, meta)


def report_of(case: Case, run: Run | None = None, no_return: float | None = None) -> Any:
    return SimpleNamespace(
        run=run,
        no_return=no_return,
        title=case.scenario.title,
        run_id="0123abcd",
        demo=True,
        assumed_count=11,
        distances={"front": (0.4, 0.5), "back": (0.9, 0.0), "left": (-0.05, 0.75), "right": (0.3, 0.25)},
        swing={"left": (0.2, 0.5), "right": (0.3, 0.5)},
        events=((0.75, "rear-left tyre off the floor"), (0.5, "floor gives way under rear-right")),
        outcome=SimpleNamespace(truck="over", lifted_load="kept", floor="broke", direction="left"),
        lightest_tyre=("front-right", 0.0, 0.75),
        doubts=("stayed up in 41 of 50 runs",),
        ended="The truck goes over to the left",
        nearest=("left", -0.05, 0.75),
    )


def told(case: Case, run: Run, no_return: float | None = None) -> Story:
    return tell(run, report_of(case, run, no_return), case)


def test_the_story_tells_that_it_could_go_either_way(tmp_path: Path) -> None:
    case = case_of(tmp_path, FORKS)
    story = told(case, run_of(case))
    assert story.doubts == ("stayed up in 41 of 50 runs",)
    assert story.assumed == 11  # as the page counts them, the floor's bands among them


def test_parts_and_tyres_stand_where_the_setup_puts_them(tmp_path: Path) -> None:
    case = case_of(tmp_path, FORKS)
    story = told(case, run_of(case))
    assert np.allclose(story.matrices[0, :, :3, 3], [6.0, 4.0, 0.0], atol=1e-9)
    tyre = {tyre.name: tyre for tyre in story.tyres}["front-left"]
    across = case.machine.drive_axle.tyre[0].across
    assert np.allclose(tyre.contact[0], [6.0 - across, 4.0, 0.0], atol=1e-9)  # left of a truck that points to +y
    assert {mark.cause for mark in story.marks} == {False}


def test_tip_lines_run_through_the_middles_of_the_tyres(tmp_path: Path) -> None:
    case = case_of(tmp_path, FORKS)
    lines = {line.name: line for line in told(case, run_of(case)).lines}
    front, rear = (
        max(axle.tyre, key=lambda t: t.across) for axle in (case.machine.drive_axle, case.machine.steer_axle)
    )
    out = front.across, rear.across
    assert np.allclose(lines["left"].ends[0], [[6 - out[0], 4, 0], [6 - out[1], 4 - case.machine.wheelbase, 0]])
    assert np.allclose(lines["front"].ends[0][0], [6 - front.across, 4, 0])
    assert np.allclose(lines["swing.left"].ends[0][1], [6, 4 - case.machine.wheelbase, 0])
    assert lines["left"].worst == -0.05


def test_the_worst_moment_is_that_of_the_line_it_went_over(tmp_path: Path) -> None:
    case = case_of(tmp_path, FORKS)
    story = told(case, run_of(case))
    assert story.worst_time == 0.75
    assert story.worst_words == "the balance point is 50 mm past the left tip line, the farthest"
    assert story.outcome == ("The truck goes over to the left",)


def test_down_never_stands_alone(tmp_path: Path) -> None:
    case = case_of(tmp_path, FORKS)
    run = run_of(case)
    report = report_of(case, run)
    report.outcome.truck, report.outcome.direction, report.steer_axle_share = "down", None, 0.234
    report.ended = "The truck stays on its tyres"
    told = tell(run, report, case, "us").outcome
    assert told == ("The truck stays on its tyres", "lightest tyre front-right, 0 lbf; least on the steer axle 23 %")


def test_the_hole_is_the_cause_else_the_lightest_tyre(tmp_path: Path) -> None:
    hole = case_of(tmp_path, FORKS, event=HOLE)
    story = told(hole, run_of(hole))
    assert story.look[0] == -hole.machine.wheelbase
    assert story.look[1] < 0
    assert story.cause_words == "the floor gives way under rear-right"
    assert [mark.cause for mark in story.marks] == [True, False]
    plain = case_of(tmp_path, FORKS)
    story = told(plain, run_of(plain))
    assert story.look[0] == 0
    assert story.look[1] < 0


def test_places_lie_where_the_run_put_them_and_only_if_they_came_about(tmp_path: Path) -> None:
    case = case_of(tmp_path, FORKS, event=HOLE)
    made = {
        "index": 0,
        "source": "breakthrough",
        "x": 2.0,
        "y": 1.0,
        "heading": np.pi / 2,
        "size": [0.6, 0.4],
        "depth": 0.1,
        "tyre": "front-left",
        "law": "given",
        "zone": "",
    }
    never = {**made, "index": 1, "depth": 0.0}
    soft = {**made, "index": 2, "source": "soft_place", "law": "yielding"}
    strip = {**made, "index": 3, "source": "floor", "law": "yielding", "zone": "clay strip"}
    story = told(case, run_of(case, places=(made, never, soft, strip)))
    assert [place.kind for place in story.places] == ["hole", "soft", "soft"]
    assert [place.name for place in story.places] == ["hole", "soft place", "clay strip"]
    assert [place.planned for place in story.places] == [True, True, False]
    hole = story.places[0]
    assert np.allclose(np.ptp(hole.outline, axis=0), [0.4, 0.6])  # turned by 90 deg
    assert np.allclose(hole.outline.mean(axis=0), [2.0, 1.0])
    assert hole.depth[-1] == pytest.approx(0.1)


def test_the_rope_runs_from_hook_to_load_and_ends_when_it_parts(tmp_path: Path) -> None:
    case = case_of(tmp_path, JIB, 'hung_by = "0.9 m"')
    story = told(case, run_of(case))
    assert story.hook is not None
    assert story.load_top is not None
    assert np.allclose(story.hook[0] - story.load_top[0], [0, 0, 0.9])
    assert not any(solid.kind == "rope" for solid in story.solids)
    run = run_of(case)
    run.poses[-1, BODIES.index("load"), 2] -= 2.0
    parted = told(case, run)
    assert parted.hook is not None
    assert np.isnan(parted.hook[-1]).all()
    on_forks = case_of(tmp_path, FORKS)
    assert told(on_forks, run_of(on_forks)).hook is None


def test_mast_stages_slide_as_the_carriage_rises(tmp_path: Path) -> None:
    case = case_of(tmp_path, FORKS)
    still = told(case, run_of(case))
    assert still.rise is None
    story = told(case, run_of(case, rise=1.5))
    assert story.rise is not None
    assert story.rise[-1] == pytest.approx(1.0)
    stages = [solid for solid in story.solids if solid.name.startswith("mast stage")]
    moved = [float(solid.rise[:, 2].max()) for solid in stages if solid.rise is not None]
    assert moved[0] == pytest.approx(0.0, abs=1e-9)
    assert moved[-1] > 0.3
    assert moved == sorted(moved)


def test_distances_end_at_the_point_of_no_return(tmp_path: Path) -> None:
    case = case_of(tmp_path, FORKS)
    line = told(case, run_of(case), no_return=0.5).lines[0]
    assert np.isfinite(line.distance).tolist() == [True, True, True, False, False]
    assert np.isfinite(line.ends).all()


def test_what_hangs_in_the_air_makes_no_tip_line_and_nothing_counts_past_the_point_of_no_return(tmp_path: Path) -> None:
    """Both rear tyres carry nothing at the last sample but one: no back line there; the front line stays."""
    case = case_of(tmp_path, FORKS)
    run = run_of(case)
    for tyre in ("rear-left", "rear-right"):
        run.series(f"tyre_load.{tyre}")[-2] = 0.0
    story = told(case, run, no_return=0.5)
    lines = {line.name: np.isfinite(line.ends).all(axis=(1, 2)) for line in story.lines}
    assert lines["back"].tolist() == [True, True, True, False, True]
    assert lines["front"].all()
    assert np.isfinite(story.balance).all(axis=1).tolist() == [True, True, True, False, False]


def test_a_truck_on_its_side_has_no_tip_lines(tmp_path: Path) -> None:
    case = case_of(tmp_path, FORKS)
    run = run_of(case)
    run.poses[-1, :, 3:] = [np.sin(np.pi / 4), 0.0, 0.0, np.cos(np.pi / 4)]
    ends = told(case, run).lines[0].ends
    assert np.isfinite(ends[:-1]).all()
    assert np.isnan(ends[-1]).all()


def test_the_landing_is_the_first_touch_after_it_was_clear_of_the_floor(tmp_path: Path) -> None:
    case = case_of(tmp_path, FORKS)
    run = run_of(case)
    quiet = {"body_force": Channel(np.zeros(5), "N", ""), "load_floor_force": Channel(np.zeros(5), "N", "")}
    run = replace(run, channels={**run.channels, **quiet})
    assert told(case, run).landing is None
    force = np.array([5e3, 0.0, 0.0, 7e3, 7e3])  # the load stands on the floor at first
    landed = replace(run, channels={**run.channels, "load_floor_force": Channel(force, "N", "")})
    assert told(case, landed).landing == pytest.approx(float(run.time[3]))
    assert told(case, landed, no_return=float(run.time[4])).landing == pytest.approx(float(run.time[4]))


def test_a_push_ends_on_the_outside_of_what_it_pushes(tmp_path: Path) -> None:
    """4 kN along the world's x on the load's centre, which lies across the truck there: the load is 1 m wide."""
    case = case_of(tmp_path, FORKS)
    run = run_of(case)
    load = BODIES.index("load")
    centre = np.asarray(assemble(case.machine, case.scenario.setup, case.load).centre)[load]
    force = np.array([0.0, 0.0, 2e3, 4e3, 4e3])
    pushed = {f"outside_{axis}.0": Channel(force * (axis == "x"), "N", "") for axis in "xyz"}
    outside = [{"body": load, "point": centre.tolist(), "kind": "push"}]
    run = replace(run, channels={**run.channels, **pushed}, meta={**run.meta, "outside": outside})
    (drawn,) = tell(run, report_of(case, run), case).forces
    assert drawn.name == "push on the load"
    assert drawn.force[:, 0] == pytest.approx(force)
    assert drawn.point == pytest.approx(np.tile(run.poses[0, load, :3] - [0.5, 0.0, 0.0], (5, 1)), abs=1e-9)
