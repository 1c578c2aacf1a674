"""A mast whose file gives channels in place of a stiffness."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.shared.cases import truck_of_channels

import tipline
from tipline.commands.check import page_of
from tipline.commands.delivered import Wishes
from tipline.errors import InputErrors
from tipline.geometry.mast_spring import mast_spring
from tipline.model.machine import Machine
from tipline.model.reader import read_machine
from tipline.report import text


@pytest.fixture
def machine(tmp_path: Path) -> Machine:
    return read_machine(str(truck_of_channels(tmp_path)))


def test_it_is_softer_the_higher_the_forks_and_its_joint_goes_up(machine: Machine) -> None:
    """Rotation by hand at the top, E I of the two channels 20.6 MN m2: the pieces of constant moment, thirds of others.

    Carriage 0.78 / 3, stage 0.62, overlap 2 x 0.64 / 3, 1.21, 2 x 0.64 / 3, to the cylinders; then 0.875 / 3.
    """
    low, high = mast_spring(machine, 0.3, 1.1), mast_spring(machine, 5.55, 6.35)
    assert high.fore_aft < 0.2 * low.fore_aft
    assert high.sideways < 0.3 * low.sideways
    assert low.height < 1.0 < high.height
    section = machine.mast.section[0]
    second = (section.flange * section.depth**3 - 0.065 * 0.14**3) / 6.0
    ei, cylinders = 2.1e11 * second, 0.36 + 0.62 * 1.25 + 0.1
    stages = [(0.16 + k * 1.85, 2.65 + k * 1.85) for k in range(3)]
    grip = stages[2][1] - 0.78
    long = 0.78 / 3 + (grip - stages[1][1]) + 2 * 0.64 / 3 + (stages[2][0] - stages[0][1])
    long += 2 * 0.64 / 3 + (stages[1][0] - cylinders) + (cylinders - 0.36) / 3
    turn = long / ei
    assert 1.0 / high.fore_aft == pytest.approx(turn, rel=1e-9)


def test_less_overlap_makes_it_softer(tmp_path: Path) -> None:
    whole = read_machine(str(truck_of_channels(tmp_path)))
    less = read_machine(str(truck_of_channels(tmp_path, more='overlap = "0.4 m"\n')))
    assert mast_spring(less, 5.55).sideways < 0.98 * mast_spring(whole, 5.55).sideways
    low = read_machine(str(truck_of_channels(tmp_path, more='tilt_cylinder_height = "0.8 m"\n')))
    assert mast_spring(low, 5.55).fore_aft != pytest.approx(mast_spring(whole, 5.55).fore_aft, rel=1e-3)


def test_ties_farther_apart_make_it_softer_aside_and_not_ahead(machine: Machine) -> None:
    wide = machine.mast.section[0].model_copy(update={"tie_spacing": 1.6})
    mast = machine.mast.model_copy(update={"section": (wide,)})
    loose = mast_spring(machine.model_copy(update={"mast": mast}), 5.0, 6.0)
    tight = mast_spring(machine, 5.0, 6.0)
    assert loose.fore_aft == tight.fore_aft
    assert loose.sideways < 0.8 * tight.sideways


def test_with_the_forks_on_the_floor_it_gives_next_to_nothing(machine: Machine) -> None:
    down, low = mast_spring(machine, 0.0, 0.5), mast_spring(machine, 0.3, 0.8)
    assert down.fore_aft >= low.fore_aft
    assert down.sideways > 1e6


def test_check_answers_by_it_and_says_so(tmp_path: Path) -> None:
    """Softer at full height than the told 9 MN m/rad: the load hangs farther ahead, and the page says by what."""
    scene = "service-stop-load-low"
    changes = {"setup.fork_height": "5.5 m", "load.mass": "6 t", "setup.speed": "0 km/h", "event": "[]"}
    told, own_truck = (
        tipline.check(scene, changes),
        tipline.check(scene, {**changes, "machine": str(truck_of_channels(tmp_path))}),
    )
    assert own_truck.distances["front"] < told.distances["front"] - 0.003
    words = " ".join(text.page_text(page_of(own_truck, Wishes()).page).split())
    assert "By the channels of its stages, at this fork height, it gives as a joint 3." in words
    assert "MN m/rad ahead" in words
    assert "By the channels" not in text.page_text(page_of(told, Wishes()).page)


@pytest.mark.parametrize(
    ("changes", "key", "words"),
    [
        ({"keep": ("joint_height",)}, "mast.joint_height", "the sections of the stages too"),
        ({"sections": 2}, "mast.section", "one for all 3 stages"),
        ({"sections": 0}, "mast.joint_height", "is missing"),
        ({"more": 'overlap = "0.9 m"\n'}, "mast.overlap", "at most 640 mm"),
        ({"more": 'tilt_cylinder_height = "0.3 m"\n'}, "mast.tilt_cylinder_height", "above the tilt axis"),
    ],
)
def test_what_does_not_go_together_is_refused(tmp_path: Path, changes: dict, key: str, words: str) -> None:  # type: ignore[type-arg]
    with pytest.raises(InputErrors) as caught:
        read_machine(str(truck_of_channels(tmp_path, **changes)))
    problem = next(problem for problem in caught.value.problems if problem.key == key)
    assert words in problem.reason
    assert problem.remedy
