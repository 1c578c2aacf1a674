"""Poses found from a twin on the other side, or from a truck that is near, are those found from nothing."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from tests.shared.spec_sheet import answers_of, sheet_of

import tipline
from tipline.asking.odd import case_of_answers
from tipline.kernels import equilibrium as solver
from tipline.pose.leans import both_leans
from tipline.scenario import Case
from tipline.statics.truck import Pose, truck_of

MORE = {"height": "2 m", "load": 3000.0}


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How often the forces in a pose are asked for, counted from here on."""
    count, residual = [0], solver.residual

    def counted(*arguments: Any) -> float:
        count[0] += 1
        return residual(*arguments)

    monkeypatch.setattr(solver, "residual", counted)
    return count


def own_lift() -> Case:
    """A lift with a truck of which a spec sheet is all that is known."""
    return case_of_answers(answers_of(sheet_of("demo-truck-a"), MORE["load"], MORE["height"]))


def aside(case: Case, metres: float, part: float = 1.0) -> Case:
    """The same with the load's centre to the left and part of its weight."""
    load = case.load
    assert load is not None
    ahead, _ = load.centre_offset
    return replace(case, load=load.model_copy(update={"centre_offset": (ahead, metres), "mass": part * load.mass}))


def poses_of(case: Case, near: tuple[Pose, ...] = ()) -> tuple[Pose, Pose]:
    """Both leans of a case, of a truck that keeps nothing yet."""
    truck = truck_of(replace(case))
    return both_leans(truck, truck.gravity(*case.slope), near)


def test_the_pose_to_the_other_side_of_an_even_truck_costs_two_looks(asked: list[int]) -> None:
    truck = truck_of(own_lift())
    level = truck.gravity(0.0, 0.0)
    left = truck.rest(level, 1.0)
    begun = asked[0]
    right = truck.rest(level, -1.0)
    assert asked[0] - begun == 2
    anew = truck.solve(level, truck.start(-1.0))
    assert right.q == pytest.approx(anew.q, abs=1e-7)
    assert right.q[solver.Q_MAST_X] == pytest.approx(-left.q[solver.Q_MAST_X], abs=1e-7)
    assert abs(right.q[solver.Q_MAST_X]) > 1e-3


@pytest.mark.parametrize("metres", [0.0, 0.01, 0.3, -0.3])
@pytest.mark.parametrize("part", [0.7, 1.3])
def test_from_a_truck_that_is_near_the_poses_are_the_same(metres: float, part: float, asked: list[int]) -> None:
    """With the load aside the mast leans that way whichever way it is asked to."""
    case = own_lift()
    near, other = poses_of(case), aside(case, metres, part)
    begun = asked[0]
    found = poses_of(other, near)
    middle = asked[0]
    anew = poses_of(other)
    assert middle - begun < asked[0] - middle
    for one, same in zip(found, anew, strict=True):
        assert one.stands
        assert one.q == pytest.approx(same.q, abs=1e-6)
        assert one.loads == pytest.approx(same.loads, rel=1e-5)
    assert (found[0] is found[1]) == (metres != 0.0)


@pytest.mark.slow
def test_a_check_of_an_own_truck_looks_at_few_poses(asked: list[int]) -> None:
    """2805 looks were counted, 5658 before poses were found from their twins and from those near."""
    case = own_lift()
    found = tipline.check(case)
    assert found.not_known is not None
    assert asked[0] < 3300
