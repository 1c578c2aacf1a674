"""From where to where a lift goes by answers, whatever nobody knows of it: the whole invented truck lies inside.

Measured, of the truck's own figure, forks of demo trucks A, B, C: with a full spec sheet a front tyre is 16 to 28 %
wide with the load low and 18 to 30 % with it high, with little but the plate known 56 to 84 %. Rear tyres, which carry
what is left, are 29 to 45 % wide with the load low, 70 to 130 % with it high, up to 311 % with little known. The truck
itself lies at 14 to 50 % of a range from its nearer end, at 27 % or more with a full spec sheet.
"""

from __future__ import annotations

import random
import re
from dataclasses import replace
from functools import cache
from math import tan

import pytest
from tests.shared.few import slow_but, slow_cases
from tests.shared.plausible_trucks import drawn_truck
from tests.shared.spec_sheet import TRUCKS, answers_of, sheet_of_machine

import tipline
from tipline import scenario
from tipline.asking.odd import case_of_answers
from tipline.endings import LINES
from tipline.geometry.assembly import assemble
from tipline.model.reader import read_machine
from tipline.pose.not_known import Bracket
from tipline.report.not_known import knowing
from tipline.scenario.spec import Setup
from tipline.sweeps.bad_end import not_known_of
from tipline.sweeps.ends import AtRest, BadEnds, ends_of, held_slope, stood

LOW, HIGH = "0.3 m", "top"
QUESTIONS = (
    "load_size", "load", "load_centre", "plate", "weight", "axles", "tyres", "fork_face", "counterweight", "slabs",
)  # fmt: skip
MOST = 13e3
"""Load [kg] up to which a cube of 1.2 m is no denser than steel."""
KEPT = {"counterweight": "?, ?, {stroke}", "slabs": "{slabs}"}
"""Of these a don't know leaves how far out, and how many: whoever stands before the truck sees that."""


@cache
def truck_of(name: str, height: str, own: tuple[tuple[str, str], ...] = ()) -> tuple[AtRest, dict[str, str]]:
    """The invented truck itself at rest, and the answers of somebody who holds its spec sheet."""
    changes = dict(own)
    sheet = sheet_of_machine(read_machine(name, {key.removeprefix("machine."): text for key, text in own}))
    top = str(sheet["lift_height"]) if height == HIGH else height
    part = 0.6 if height == LOW else 0.9
    load = min(part * float(str(sheet["rated_load"]).split()[0]), MOST)
    changes |= {
        "machine": name, "setup.counterweight_extension": str(sheet["counterweight_stroke"]),
        "setup.ballast_slabs": sheet["rated_slabs"], "setup.fork_height": top, "load.mass": load,
        "load.size": ["1.2 m", "1.2 m", "1.2 m"], "load.load_centre": "0.6 m", "load.height_of_centre": "0.6 m",
    }  # fmt: skip
    return stood(scenario.read("service-stop-load-low", changes)), answers_of(sheet, load, top)


def without(answers: dict[str, str], *questions: str) -> dict[str, str]:
    """The answers with some questions answered as not known."""
    stroke, slabs = answers["counterweight"].split(", ")[2], answers["slabs"].split(", ")[0]
    left = {key: text for key, text in answers.items() if key not in questions}
    return left | {key: KEPT[key].format(stroke=stroke, slabs=slabs) for key in questions if key in KEPT}


def spare_of(bracket: Bracket, value: float) -> float:
    """How far a value lies from the nearer end of a range, as a part of the range; a half is its middle."""
    return min(value - bracket.low, bracket.high - value) / (bracket.high - bracket.low)


def outside(full: AtRest, ends: BadEnds) -> list[str]:
    """What of the truck lies outside: distances, and tyre loads, of twins and a tyre taken for them the sum."""
    found = []
    for line, value in full.distances.items():
        if line in ends.likely.distances:
            bracket = ends.distance(line)
            found += [] if bracket.low <= value <= bracket.high else [f"{line}: {value} not in {bracket}"]
    for side in ("front-left", "front-right", "rear-left", "rear-right"):
        held = [ends.load(name) for name in ends.likely.most if name.startswith(side)]
        value = sum(load for name, load in full.most.items() if name.startswith(side))
        low, high = sum(one.low for one in held), sum(one.high for one in held)
        found += [] if low <= value <= high else [f"{side}: {value} not in {low} to {high}"]
    return found


@pytest.mark.parametrize("name", slow_but(TRUCKS, "demo-truck-a"))
@pytest.mark.parametrize(
    "unknown",
    [*slow_cases(()), *slow_cases(("axles",)), ("load", "tyres"), *slow_cases(QUESTIONS[2:])],
    ids=str,
)
def test_the_whole_truck_lies_inside_with_the_load_low(
    name: str, unknown: tuple[str, ...], record_property: pytest.RecordProperty
) -> None:
    full, answers = truck_of(name, LOW)
    ends = ends_of(case_of_answers(without(answers, *unknown)))
    assert outside(full, ends) == []
    spare = {line: spare_of(ends.distance(line), full.distances[line]) for line in LINES if line in full.distances}
    assert min(spare.values()) > 0.1, spare
    record_property(f"{name} {unknown} least part of a range to its nearer end", f"{min(spare.values()):.0%}")
    record_property(f"{name} {unknown} front", f"{ends.distance('front').width:.0%}")


@pytest.mark.slow
@pytest.mark.parametrize("height", [LOW, HIGH])
@pytest.mark.parametrize("name", TRUCKS)
def test_the_whole_truck_lies_inside_with_every_question_in_turn_not_known(name: str, height: str) -> None:
    full, answers = truck_of(name, height)
    found = {one: outside(full, ends_of(case_of_answers(without(answers, one)))) for one in QUESTIONS}
    assert {one: problems for one, problems in found.items() if problems} == {}


@pytest.mark.slow
def test_twenty_drawn_trucks_lie_inside_their_own_ranges() -> None:
    found = {}
    for seed in range(20):
        draw = random.Random(seed)
        changes, _, _ = drawn_truck(draw)
        height, unknown = draw.choice([LOW, HIGH]), draw.sample(QUESTIONS[3:], 2)
        full, answers = truck_of(changes.pop("machine"), height, tuple(changes.items()))
        ends = ends_of(case_of_answers(without(answers, *unknown)))
        problems = outside(full, ends) if full.line and ends.likely.line else []
        found |= {(seed, height, *unknown): problems} if problems else {}
    assert found == {}


def test_a_range_ends_where_all_that_is_not_known_meets() -> None:
    """All of it at once reaches farther than any of it alone, and every end is the figure of a truck that could be."""
    _, answers = truck_of("demo-truck-a", LOW)
    ends = ends_of(case_of_answers(without(answers, "weight", "fork_face")))
    alone = [one.distances["front"] for pair in ends.pairs for one in pair]
    front = ends.distance("front")
    assert front.low < min(alone) - 0.03
    assert front.high >= max(alone)
    corner = ends.worst_for(lambda one: one.distances.get("front", 0.0))
    assert stood(ends.corner(corner)).distances["front"] == pytest.approx(front.low, abs=1e-6)


def test_the_load_counts_in_the_height_of_centre_where_it_is() -> None:
    """11 t of load at 6.15 m over 10.2 t of truck and mast: by its parts as put together, the tyres' give aside."""
    full, _ = truck_of("demo-truck-a", HIGH)
    machine = read_machine("demo-truck-a")
    built = assemble(machine, Setup(attachment="forks", fork_height=5.5, ballast_slabs=2, counterweight_extension=1.2))
    load = min(0.9 * 12250.0, MOST)
    moments = float(built.mass @ built.centre[:, 2]) + load * (5.5 + 0.6)
    assert full.height == pytest.approx(moments / (built.mass.sum() + load), rel=0.02)
    assert full.height > 3.0


@pytest.mark.slow
def test_a_slope_by_a_few_poses_is_the_one_that_check_closes_in_on() -> None:
    """Ahead, aside and behind, of a lift low and high: within 2 % of the slope that `check` searches pose by pose."""
    for height in (LOW, HIGH):
        _, answers = truck_of("demo-truck-c", height)
        case = case_of_answers(answers)
        # on a floor that nothing slides or rolls on, so that it is the tip that is told
        case = replace(case, floor=case.floor.model_copy(update={"friction": case.floor.friction.model_copy(
            update=dict.fromkeys(("solid", "band", "pneumatic"), 2.0))}))  # fmt: skip
        likely, told = stood(case), dict(row[:2] for row in tipline.check(case).holds_against)
        for line, words in (
            ("front", "ahead (tips over the front line)"),
            ("swing.left", "left (frame swings to the left)"),
        ):
            held = held_slope(case, line, likely)
            assert held == pytest.approx(tan(told[f"slope falling {words}"]), rel=0.02), (height, line)


def test_a_pose_from_one_nearby_is_the_pose_from_nowhere() -> None:
    _, answers = truck_of("demo-truck-c", LOW)
    ends = ends_of(case_of_answers(without(answers, "weight")))
    for place in range(len(ends.knobs)):
        corner = tuple(1 if place == other else 0 for other in range(len(ends.knobs)))
        cold, warm = stood(ends.corner(corner)), ends.pairs[place][1]
        assert warm.most == pytest.approx(cold.most, rel=1e-5)
        assert warm.distances == pytest.approx(cold.distances, abs=1e-6)


SMALL = {
    "load_size": "0.9 x 0.8 x 1.1 m", "load": "900 kg, weighed", "load_centre": "scales 480 kg, 420 kg, 0.8 m",
    "held": "forks", "height": "2.6 m", "plate": "2 t, 500 mm, 3.3 m", "weight": "3.1 t, 1.45 t",
    "axles": "1.35 m, 0.92 m, 0.88 m, pivoting", "tyres": "0.46 m, 0.17 m, solid, single", "fork_face": "0.32 m",
    "counterweight": "no", "slabs": "none", "floor": "rigid",
}  # fmt: skip


def test_what_hardly_changes_anything_is_not_worth_a_measurement() -> None:
    """Of a small truck of which much is told no sentence says that a slope goes from 22 % to 22 %."""
    known = not_known_of(case_of_answers(SMALL))
    assert known is not None
    assert all(gain.after == gain.before or gain.after - gain.before >= 0.005 for gain in known.gains)
    told = re.findall(r"goes from (\S+) % to (\S+) %", " ".join(knowing(known, "si")))
    assert all(before != after for before, after in told), told


@pytest.mark.slow
def test_kinds_that_nobody_told_are_in_the_range_and_named() -> None:
    """A fixed axle tips over its own tyres, not over its pivot: with it the distance to the side goes farther."""
    _, answers = truck_of("demo-truck-a", LOW)
    told = answers["axles"].removesuffix(", pivoting")
    ends = ends_of(case_of_answers(answers | {"axles": told}))
    known = ends_of(case_of_answers(answers))
    assert [words.split(":")[0] for words, _ in ends.kinds] == ["", "Steer axle"]
    assert ends.distance("left").high > known.distance("left").high + 0.03
    assert known.kinds == (("", known.case),)
