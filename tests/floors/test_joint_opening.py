"""A joint of which one knows how wide its crack stands open: interlock by the opening, in place of a band."""

from __future__ import annotations

import pytest

from tipline import scenario
from tipline.errors import InputErrors
from tipline.floors.answers.demand import demand
from tipline.floors.known.of_zone import zone_bands
from tipline.mechanics.joints import interlock_transfer, planning_stress_transfer
from tipline.model import read_floor
from tipline.model.reader import unusual_in_floor

HALL = "demo-hall-c"
JOINT = "zone.0.joint.0"
SCENE = "stop-with-the-load-up-breaks-a-slab"


def transfer(opening: str):
    floor = read_floor(HALL, {f"{JOINT}.opening": opening})
    return zone_bands(floor.zone[0], floor).joints[0]


def test_it_falls_with_the_opening_and_its_ends_are_a_cold_day_and_a_fine_place() -> None:
    """By hand: 0.15 / 0.85 e^0.9 = 0.434 at 0.9 mm; 0.205 at 1.4 mm, 0.586 at 0.7 mm."""
    band = transfer("0.9 mm")
    assert (band.likely, band.low, band.high) == pytest.approx((0.434, 0.205, 0.586), abs=5e-4)
    assert "0.9 mm" in band.note or "900" in band.note
    assert transfer("0.1 mm").high == 0.9
    assert transfer("5 mm").likely < 0.002
    wide = [interlock_transfer(mm * 1e-3) for mm in (0.0, 0.5, 1.0, 2.0, 20.0)]
    assert wide == sorted(wide, reverse=True)


def test_a_fine_crack_takes_a_quarter_off_the_stress_at_its_edge() -> None:
    """A tyre at the joint, where a wide crack leaves all of it: 0.75, the most that planning leaves to a joint."""
    still = {"event": "[]", "setup.speed": "0 km/h", "setup.position": '["17 m", "5.5 m"]'}

    def worst(opening: str) -> float:
        case = scenario.read(SCENE, {**still, "floor.zone.0.joints": "all told", f"floor.{JOINT}.opening": opening})
        answers = demand(case, detail=False, advice=False).answers
        return next(answer.of_limit.likely for answer in answers if answer.mode == "bending at a joint")

    assert planning_stress_transfer(0.9) == 0.25
    assert worst("0.1 mm") / worst("8 mm") == pytest.approx(0.75, rel=0.005)


@pytest.mark.parametrize(
    ("changes", "key", "words"),
    [
        ({f"{JOINT}.load_transfer": "60 %"}, f"{JOINT}.opening", "is told too"),
        ({f"{JOINT}.kind": "isolation"}, f"{JOINT}.opening", "of kind isolation"),
        ({f"{JOINT}.opening": "30 mm"}, f"{JOINT}.opening", "at most 20 mm"),
    ],
)
def test_what_does_not_go_together_is_refused(changes: dict[str, str], key: str, words: str) -> None:
    with pytest.raises(InputErrors) as caught:
        read_floor(HALL, {f"{JOINT}.opening": "1 mm", **changes})
    (problem,) = caught.value.problems
    assert (problem.key, words in problem.reason) == (key, True)


def test_an_opening_in_cm_is_asked_about() -> None:
    assert [asked.key for asked in unusual_in_floor(HALL, {f"{JOINT}.opening": "1.5 cm"})] == [f"{JOINT}.opening"]
