"""Greatest and least loads: two routes to each, the plate, the rules, what cannot be asked."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from math import atan, degrees, inf, pi
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.shared.plausible_trucks import drawn_truck

import tipline
from tipline import scenario
from tipline.closing_in import closed_in
from tipline.errors import InputError
from tipline.model.machine import Machine
from tipline.model.reader import read_machine
from tipline.report.loads import loads_page
from tipline.set_ups import limits
from tipline.set_ups.assessment import LoadsReport, Wanted, assess_loads
from tipline.set_ups.cells import Cells, asked_from
from tipline.set_ups.on_floor import FloorPlace, case_with
from tipline.set_ups.rules import LoadRules, rules_from
from tipline.set_ups.settled import MachineSprings, SettledParts, SetUpParts, standing
from tipline.statics.truck import Truck, truck_of

STACKING, TRAVELLING, LATERAL = 0.035, 0.18, 0.06
Array = NDArray[np.float64]
SetUp = tuple[str, bool, float, float, int, float]
"""Machine, on the jib, load centre or reach, extension, slabs, height of fork or hook."""
SET_UPS: tuple[SetUp, ...] = (
    ("demo-truck-a", False, 0.6, 1.2, 2, 5.55),
    ("demo-truck-a", False, 0.9, 1.2, 6, 0.3),
    ("demo-truck-a", True, 1.6, 0.0, 2, 6.45),
    ("demo-truck-b", False, 1.2, 1.0, 8, 3.6),
    ("demo-truck-b", True, 1.7, 0.0, 0, 1.3),
    ("demo-truck-c", False, 0.5, 0.0, 2, 4.6),
    ("demo-truck-c", True, 1.1, 1.0, 5, 2.4),
)


def cells_at(*asked: SetUp) -> Cells:
    columns = [np.array(column) for column in zip(*(one[1:] for one in asked), strict=True)]
    return Cells(columns[0].astype(bool), *(column.astype(float) for column in columns[1:3]), columns[3], columns[4])


def together(asked: SetUp, *, tilt: float = 0.0) -> SetUpParts:
    machine = read_machine(asked[0])
    return standing(MachineSprings(machine), cells_at(asked), np.array([min(asked[2], 0.6)]), tilt=tilt)


def case_of(folder: Path, asked: SetUp, mass: float, tilt: float = 0.0) -> scenario.Case:
    """The same set-up as a case, with a small load whose centre is there."""
    return scenario.read(written(folder, asked, mass, tilt))


def written(folder: Path, asked: SetUp, mass: float, tilt: float = 0.0) -> Path:
    """The file of a set-up."""
    machine, hangs, centre, extension, slabs, height = asked
    up = min(centre, 0.6)
    place = (
        f'attachment = "jib"\njib_reach = "{centre} m"\nhook_height = "{height} m"\n'
        if hangs
        else f'attachment = "forks"\nfork_height = "{height} m"\n'
    )
    load = 'hung_by = "0.1 m"\n' if hangs else f'load_centre = "{centre} m"\n'
    size = (1.0, 2.0, 1.0) if hangs else (min(1.0, 2.0 * centre), 2.0, 2.0 * up)
    text = (
        f'title = "A set-up"\nmachine = "{machine}"\nfloor = "demo-hall-a"\n[setup]\ntilt = "{degrees(tilt)} deg"\n'
        f'counterweight_extension = "{extension} m"\nballast_slabs = {slabs}\n{place}'
        f'[load]\nmass = "{mass} kg"\nsize = ["{size[0]} m", "{size[1]} m", "{size[2]} m"]\n'
        f'height_of_centre = "{size[2] / 2} m"\n{load}'
    )
    file = folder / "set-up.toml"
    file.write_text(text, encoding="utf-8")
    return file


def heaviest_that_stands(truck: Truck, slope: float, azimuth: float = 0.0) -> float:
    """By bisection on whether the pose that `check` solves stands on that slope, to 1e-4 of the load."""

    def falls(load: float) -> bool:
        laden = truck.with_load(load)
        return not laden.rest(laden.gravity(atan(slope), azimuth), 1.0).stands

    return closed_in(falls, 100.0, 6e4, part=1e-4, most=60)[0]


@pytest.mark.parametrize(
    "asked", [*SET_UPS[:1], *(pytest.param(asked, marks=pytest.mark.slow) for asked in SET_UPS[1:])], ids=str
)
def test_two_routes_give_the_same_greatest_load_on_a_slope_ahead(asked: SetUp, tmp_path: Path) -> None:
    """The formula for many set-ups at once, and bisection on the pose of `check`; tyres and mast give in both.

    They differ by no more than the width of the bisection: 0.02 %.
    """
    found = float(limits.on_slope(together(asked), STACKING)[0])
    by_pose = heaviest_that_stands(truck_of(case_of(tmp_path, asked, 1000.0)), STACKING)
    assert found == pytest.approx(by_pose, rel=2e-4)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
def test_two_routes_agree_on_drawn_trucks_too(seed: int, tmp_path: Path) -> None:
    """Trucks of 3 to 55 t rated that could be built, at a drawn height, load centre and extension.

    Within 0.05 %; 0.025 % was measured at most, of the largest.
    """
    draw = random.Random(seed)
    changes, _, _ = drawn_truck(draw)
    name = changes["machine"]
    machine = read_machine(name, {key.removeprefix("machine."): text for key, text in changes.items() if "." in key})
    step = machine.counterweight.step or 0.1
    out = step * draw.randrange(int(machine.counterweight.stroke / step + 1e-9) + 1)
    height = round(draw.uniform(0.3, machine.mast.top_fork_height), 2)
    asked: SetUp = (name, False, round(draw.uniform(0.5, 0.9), 2), out, draw.randrange(3), height)
    truck = standing(MachineSprings(machine), cells_at(asked), np.array([min(asked[2], 0.6)]))
    found = float(limits.on_slope(truck, STACKING)[0])
    own = scenario.read(written(tmp_path, asked, 1000.0), changes)
    assert found > 500.0
    assert found == pytest.approx(heaviest_that_stands(truck_of(own), STACKING), rel=5e-4)


def test_the_pose_that_is_bisected_is_that_of_check(tmp_path: Path) -> None:
    """At 0.1 % less than the greatest load `check` says that it stands on the slope, at 0.1 % more that it tips."""
    asked = SET_UPS[0]
    most = float(limits.on_slope(together(asked), STACKING)[0])
    slope = {"setup.slope": atan(STACKING), "setup.slope_towards": 0.0, "machine.drive.parking_brake_force": 1e6}
    below = tipline.check(case_of(tmp_path, asked, 0.999 * most), slope)
    above = tipline.check(case_of(tmp_path, asked, 1.001 * most), slope)
    assert below.over is None
    assert below.axle_share["steer"] < 0.002
    assert above.over == "front"


@pytest.mark.slow
def test_travelling_tilted_back_is_met_by_the_pose_too(tmp_path: Path) -> None:
    asked = SET_UPS[1]
    tilt = read_machine(asked[0]).mast.tilt_back
    found = float(limits.on_slope(together(asked, tilt=tilt), TRAVELLING)[0])
    by_pose = heaviest_that_stands(truck_of(case_of(tmp_path, asked, 1000.0, tilt)), TRAVELLING)
    assert found == pytest.approx(by_pose, rel=2e-4)


@pytest.mark.parametrize("asked", [SET_UPS[0], SET_UPS[5]], ids=str)
def test_shares_of_the_axles_are_those_of_the_pose(asked: SetUp, tmp_path: Path) -> None:
    """Under the load that leaves 10 % on the steer axle, and under the one that keeps 60 % on the drive axle."""
    truck, pose = together(asked), truck_of(case_of(tmp_path, asked, 1000.0))
    most, least = float(limits.on_steer_axle(truck, 0.10)[0]), float(limits.least_on_drive(truck, 0.60)[0])
    for load, share in ((most, 0.10), (least, 0.40)):
        loads = pose.with_load(load).rest(pose.gravity(0.0, 0.0), 1.0).loads
        assert loads[2:].sum() / loads.sum() == pytest.approx(share, abs=2e-5)


def test_the_drive_tyres_carry_their_rating_under_the_load_that_they_set(tmp_path: Path) -> None:
    asked = SET_UPS[0]
    load = float(limits.drive_tyres(together(asked))[0])
    pose = truck_of(case_of(tmp_path, asked, load))
    assert pose.rest(pose.gravity(0.0, 0.0), 1.0).loads[:2].sum() == pytest.approx(2 * 98e3, rel=2e-3)


def test_what_falls_back_empty_stands_with_the_least_load(tmp_path: Path) -> None:
    """Demo truck A, 1.2 m out, 6 slabs, on a floor that falls behind by 3.5 %: 2 % more stands, 2 % less does not."""
    asked = ("demo-truck-a", False, 0.6, 1.2, 6, 0.3)
    load = float(limits.least_behind(together(asked), STACKING)[0])
    pose = truck_of(case_of(tmp_path, asked, load))
    stands = [pose.with_load(f * load).rest(pose.gravity(atan(STACKING), pi), 1.0).stands for f in (0.98, 1.02)]
    assert stands == [False, True]


@pytest.mark.parametrize(("asked", "line"), [(SET_UPS[0], "swing.left"), (SET_UPS[3], "left")], ids=str)
def test_the_side_slope_is_near_that_of_the_pose(asked: SetUp, line: str, tmp_path: Path) -> None:
    """Leaning as on the slope that it holds: within 5 %; of twins the middle counts, so that B holds more than told."""
    tilt = read_machine(asked[0]).mast.tilt_back
    truck, pose = together(asked, tilt=tilt), truck_of(case_of(tmp_path, asked, 8000.0, tilt))
    held = 0.1
    for _ in range(6):
        held = float(limits.leans_aside(truck, np.array([8000.0]), held)[0])

    def past(slope: float) -> bool:
        found = pose.rest(pose.gravity(atan(slope), pi / 2), 1.0)
        return not found.stands or found.distances[line] < 0.0

    by_pose = closed_in(past, 0.0, 0.6, part=1e-3)[0]
    assert held == pytest.approx(by_pose, rel=0.05)


def test_a_side_slope_that_all_loads_hold_takes_nothing_and_one_that_none_holds_takes_all() -> None:
    truck = together(SET_UPS[0], tilt=0.08)
    most = np.array([12e3])
    assert limits.on_side_slope(truck, 0.01, most)[0] == 12e3
    assert limits.on_side_slope(truck, 0.9, most)[0] == 0.0
    held = float(limits.leans_aside(truck, most, 0.2)[0])
    left = limits.on_side_slope(truck, 0.2, most)[0]
    assert held >= 0.2 or 0.0 <= left < 12e3


@pytest.fixture(scope="module")
def report() -> LoadsReport:
    return tipline.loads("demo-truck-a").report


def test_nothing_above_the_plate_is_given(report: LoadsReport) -> None:
    """Every load in rows and table is one of the plate's; set-ups that it does not state have none."""
    rows = report.rows()
    plate = {row.load for row in read_machine("demo-truck-a").capacity_plate}
    given = [row["greatest_kg"] for row in rows if row["greatest_kg"] is not None]
    assert set(given) <= plate
    assert len(given) == 60
    off = [row for row in rows if row["greatest_kg"] is None]
    assert {row["governed_by"] for row in off} == {"not a rated set-up"}
    # extension and slabs on the plate together, at more than its load centre, or apart: not rated
    stated = {(0.0, 0), (0.0, 2), (0.6, 2), (1.2, 2), (1.2, 6)}
    for row in rows:
        on = (row["extension_m"], row["slabs"]) in stated
        if row["attachment"] == "forks" and row["load_centre_m"] == 0.6:
            assert (row["greatest_kg"] is not None) == on, row


def test_without_a_plate_the_least_rule_is_given_and_named() -> None:
    machine = read_machine("demo-truck-a").model_copy(update={"capacity_plate": ()})
    found = tipline.loads(machine, grid={"heights": [5.55], "centres": [0.6], "extensions": [1.2], "slabs": [2]}).report
    row = found.rows()[0]
    assert not found.has_plate
    # 10 % of the weight on the steer axle comes before the slopes: 11.56 t, by the pose in the test above
    assert row["greatest_kg"] == pytest.approx(11560.0, abs=10.0)
    assert (row["governed_by"], row["part_of_nearest_rule"]) == ("steer axle", pytest.approx(1.0))
    assert row["tips_at_times"] == pytest.approx(14640.0 / 11560.0, abs=2e-3)
    # under 503.4 kg the pose of `check` has 15.00 % of the weight on the drive axle
    assert row["least_kg"] == pytest.approx(503.4, abs=0.5)


def test_a_plate_row_is_asked_at_its_own_load_centre_and_height(report: LoadsReport) -> None:
    """Up to 0.90 m the row for 6 slabs gives 12.25 t; at 1.0 m it gives nothing."""
    machine = read_machine("demo-truck-a")
    asked = asked_from(machine, {"centres": [0.9, 1.0], "extensions": [1.2], "slabs": [6], "heights": [0.3, 5.55]})
    found = assess_loads(machine, replace(asked, reaches=()), LoadRules())
    assert [row["greatest_kg"] for row in found.rows()] == [12250.0, 12250.0, None, None]


def test_where_a_load_cannot_be_let_go_of(report: LoadsReport) -> None:
    """As the plate's note says of demo truck A: 1.2 m out with 6 slabs it falls back without a load."""
    back = {(one.extension, one.slabs) for one in report.unladen if one.tips_back}
    assert back == {(1.2, 6)}
    held = tipline.check("unladen-counterweight-out-falls-back")
    assert held.over == "back"


def test_rules_of_thumb_are_on_the_safe_side_for_a_longer_load_centre_only(report: LoadsReport) -> None:
    """29 CFR 1910.178 App. A about the fork face; the handbook's about the drive axle is nearer to one both ways."""
    longer = [one for one in report.reduced if one.centre > 0.6]
    shorter = [one for one in report.reduced if one.centre < 0.6]
    assert longer
    assert shorter
    assert all(one.by_face < 1.0 for one in longer)
    assert all(one.by_face > 1.0 for one in shorter)
    assert all(abs(one.by_axle - 1.0) < abs(one.by_face - 1.0) for one in report.reduced)


def test_a_set_up_is_found_among_others_as_alone() -> None:
    """By each rule, to rounding: those that are found leave the search, and the others keep their places."""
    machine = read_machine("demo-truck-a")
    several = [asked for asked in SET_UPS if asked[0] == "demo-truck-a"] * 2
    several += [("demo-truck-a", jib, at, out, 6, up) for _, jib, at, out, _, up in several[:3]]
    rise = np.array([0.0 if asked[1] else asked[2] for asked in several])
    truck = standing(MachineSprings(machine), cells_at(*several), rise)
    rules: tuple[Callable[[SetUpParts], Array], ...] = (
        lambda truck: limits.on_slope(truck, STACKING),
        lambda truck: limits.on_steer_axle(truck, 0.1),
        limits.drive_tyres,
        lambda truck: limits.least_on_drive(truck, 0.5),
        lambda truck: limits.least_behind(truck, 0.1),
        lambda truck: limits.on_side_slope(truck, 0.15, np.linspace(4e3, 16e3, len(several))[-len(truck) :]),
    )
    for rule in rules:
        together_ = rule(truck)
        assert (together_ > 0.0).any()
        last = truck.picked(np.array([len(several) - 1]))
        assert rule(last)[0] == pytest.approx(together_[-1], rel=1e-12)
    for place in range(len(several)):
        alone = limits.on_slope(truck.picked(np.array([place])), STACKING)
        assert alone[0] == pytest.approx(limits.on_slope(truck, STACKING)[place], rel=1e-12)


def test_ten_thousand_set_ups_are_settled_a_few_times_each(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the search costs, counted: a set-up that is found is not asked again.

    23 times were counted, by four rules that search, two for least loads and a side slope; 82 when every set-up was
    asked until the last was found. What that takes: `tests/benchmarks/test_loads.py`.
    """
    machine = read_machine("demo-truck-a").model_copy(update={"jib": None})
    grid = {
        "centres": np.linspace(0.5, 1.4, 10), "extensions": np.linspace(0.0, 1.2, 13),
        "slabs": range(7), "heights": np.linspace(0.3, 5.55, 11),
    }  # fmt: skip
    settled, asked = SetUpParts.settled, 0

    def counted(self: SetUpParts, load: Array, slope: Array | float, steer_share: Array | float) -> SettledParts:
        nonlocal asked
        asked += len(load)
        return settled(self, load, slope, steer_share)

    monkeypatch.setattr(SetUpParts, "settled", counted)
    found = assess_loads(machine, asked_from(machine, grid), LoadRules())
    assert len(found.cells) == 10010
    assert asked < 30 * len(found.cells), asked / len(found.cells)


def test_the_numbers_of_the_rules_can_be_replaced() -> None:
    assert rules_from({"steer_share": "20 %", "per_speed": 0.014}) == replace(
        LoadRules(), steer_share=0.2, per_speed=0.014
    )
    stricter = tipline.loads("demo-truck-a", rules=["steer_share=20 %"], grid={"heights": [5.55]}).report
    usual = tipline.loads("demo-truck-a", grid={"heights": [5.55]}).report
    assert (stricter.greatest["steer axle"] < usual.greatest["steer axle"]).all()
    assert LoadRules().unladen_of(6000.0, 20.0) == pytest.approx(0.37)  # 15 + 1.1 x 20 %
    assert LoadRules().unladen_of(4000.0, 40.0) == 0.40
    assert (LoadRules().stacking_of(None), LoadRules().stacking_of(4999.0), LoadRules().stacking_of(5000.0)) == (
        0.04,
        0.04,
        0.035,
    )


def test_a_load_that_is_asked_about_is_held_against_every_set_up() -> None:
    found = tipline.loads("demo-truck-a", load="8 t", load_centre="0.7 m", grid={"heights": [5.55]}).report
    assert found.wanted is not None
    assert (found.wanted.mass, found.wanted.centre, found.wanted.jib) == (8000.0, 0.7, False)
    assert found.for_wanted.sum() == 9
    used = found.used(8000.0)[found.for_wanted]
    assert used.min() < 1.0 < used.max() < inf


@pytest.mark.slow
def test_a_floor_is_asked_as_the_floor_command_asks_it() -> None:
    """8 t on the forks of demo truck A in demo hall C: the same ratio to the planning limit, and it is exceeded."""
    one = {"centres": [0.7], "reaches": [1.0], "extensions": [1.2], "slabs": [2], "heights": [0.3]}
    where = {"floor": "demo-hall-c", "position": "6 m, 4 m"}
    found = tipline.loads("demo-truck-a", grid=one, load="8 t", load_centre="0.7 m", **where).report
    (here,) = found.floor
    case = case_with(FloorPlace("demo-truck-a", "demo-hall-c", (6.0, 4.0)), {}, Wanted(8000.0, 0.7), 1.2, 2, 1.2)
    worst = tipline.floor(case).report.worst
    assert worst is not None
    assert here.ratio == pytest.approx(worst.of_limit.high)
    assert here.ratio > 1.0
    assert found.demo == "machine and floor"
    assert "On the floor, by set-up" in {section.title for section in loads_page(found).sections}


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: tipline.loads("demo-truck-a", stock="demo-stock-a"), "spreaders lie on a floor, and none is given"),
        (lambda: tipline.loads("demo-truck-a", position="6 m, 4 m"), "position = 6 m, 4 m: is a place on a floor, and"),
        (lambda: tipline.loads("demo-truck-a", position="6 m"), "needs two lengths, x and y"),
        (lambda: tipline.loads("demo-truck-a", floor="demo-hall-z"), 'Did you mean "demo-hall-'),
        (lambda: tipline.loads("demo-truck-a", floor="demo-hall-c", position="6 m"), "needs two lengths, x and y"),
        (lambda: tipline.loads("demo-truck-a", floor="demo-hall-c", position="6, 4"), "position = 6: "),
        (lambda: tipline.loads("demo-truck-z"), 'Did you mean "demo-truck-'),
        (lambda: tipline.loads("demo-truck-a", grid={"height": [1.0]}), "is nothing that can be asked. Give one of"),
        (lambda: tipline.loads("demo-truck-a", grid={"heights": "high"}), "heights = high"),
        (lambda: tipline.loads("demo-truck-a", grid={"heights": []}), "names none"),
        (lambda: tipline.loads("demo-truck-a", grid={"extensions": "0.55 m"}), "must be on a step of 100 mm"),
        (lambda: tipline.loads("demo-truck-a", grid={"extensions": [1.5]}), "must be 0 m to 1.2 m"),
        (lambda: tipline.loads("demo-truck-a", grid={"slabs": [7]}), "must be whole numbers from 0 to 6"),
        (lambda: tipline.loads("demo-truck-a", grid={"reaches": [1.7]}), "is no pin of the jib; it has 1 m, 1.3 m"),
        (lambda: tipline.loads("demo-truck-a", grid={"centres": np.linspace(0.5, 1, 10**5)}), "at most 200000 set-ups"),
        (lambda: tipline.loads("demo-truck-a", load="8 t"), "load = 8 t: needs load_centre on the forks, or reach"),
        (lambda: tipline.loads("demo-truck-a", load="8", load_centre=0.6), "load = 8: "),
        (lambda: tipline.loads("demo-truck-a", load=-1.0, load_centre=0.6), "must be greater than 0"),
        (lambda: tipline.loads("demo-truck-a", load=1e3, reach=1.7), "reach = 1.7: is no pin of the jib"),
        (lambda: tipline.loads("demo-truck-a", reach=1.6), "reach = 1.6: belongs to a load that is asked about"),
        (lambda: tipline.loads("demo-truck-a", rules=["steer"]), "rules = steer: needs a name and a number"),
        (lambda: tipline.loads("demo-truck-a", rules={"steer": 0.1}), "is no number of these rules"),
        (lambda: tipline.loads("demo-truck-a", rules={"steer_share": 1.0}), "must be from 0 to below 1"),
        (lambda: tipline.loads(5), "machine = 5: is not a file or a name"),
        (lambda: tipline.loads(read_machine("demo-truck-a"), {"wheelbase": "2 m"}), "was read already"),
    ],
)
def test_what_cannot_be_asked_is_told_with_a_remedy(ask, words: str) -> None:
    with pytest.raises(InputError) as error:
        ask()
    assert words in str(error.value)
    assert str(error.value).count("\n") == 0


def test_a_machine_without_forks_or_jib_is_refused() -> None:
    bare: Machine = read_machine("demo-truck-a").model_copy(update={"forks": None, "jib": None})
    with pytest.raises(InputError, match="names no set-up that the machine can do"):
        tipline.loads(bare)
