"""Weighings of a machine file against the file's own masses: told first where they do not agree."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import tipline
from tipline.errors import InputError
from tipline.model import read_machine
from tipline.model.shipped import find, list_shipped
from tipline.pose.weighings import weighed
from tipline.report import sections, summary, text
from tipline.report.weighings import disagreement

OWN_TOTAL = 10_200.0
"""Of demo truck A with forks and 2 ballast slabs, by the head of its file [kg]."""
EMPTY = """
title = "Unladen"
machine = "own.toml"
floor = "demo-hall-a"
[setup]
attachment = "forks"
fork_height = "0.1 m"
ballast_slabs = 2
"""


def own(folder: Path, weighing: str = "") -> Path:
    """Write demo truck A as a user's own with a weighing, and a scenario with it; give the scenario."""
    machine = find("machine", "demo-truck-a")[0].read_text(encoding="utf-8")
    machine = machine.replace("demo = true", "demo = false", 1).replace('origin = "demo"', 'origin = "told"', 1)
    (folder / "own.toml").write_text(f"{machine}\n{weighing}", encoding="utf-8")
    scenario = folder / "unladen.toml"
    scenario.write_text(EMPTY, encoding="utf-8")
    return scenario


STANDS = (
    "stands at rest; nearest limit: letting the drive pedal go; how deep a hole under the back side could tip it is "
    "not known"
)


def ticket(**readings: str) -> str:
    """Give a weighing with forks and 2 slabs."""
    return '[[weighings]]\nattachment = "forks"\nslabs = 2\n' + "".join(f'{k} = "{v}"\n' for k, v in readings.items())


def test_a_ticket_two_and_a_half_tonnes_off_is_told_first_in_check(tmp_path: Path) -> None:
    pose = tipline.check(own(tmp_path, ticket(total="7.6 t")))
    assert pose.weighings[0].misfit == {"total": pytest.approx(OWN_TOTAL - 7_600.0)}
    page = sections.pose_page(pose)
    wrong = "the machine file is 2.6 tonne heavier in all than weighed"
    assert page.lead == f"{wrong}; by the file: {STANDS}"
    assert page.sections[0].title == "Scales and machine file do not agree"
    assert page.sections[0].brief
    shown = text.page_text(page)
    assert shown.index("2.6 tonne") < shown.index("Distance to each tip line")
    told = json.loads(summary.text(summary.pose_summary(pose)))["weighings"]
    assert told[0]["file_more_by_kg"] == {"total": pytest.approx(2600.0)}
    assert not told[0]["agrees"]


def test_it_is_told_first_in_run_too(tmp_path: Path) -> None:
    report = tipline.run(
        own(tmp_path, ticket(total="12.8 t")), {"run.duration": "0.2 s", "run.extend_to": "0.2 s"}, spread=0
    ).report
    page = sections.run_page(report)
    assert page.lead.startswith("the machine file is 2.6 tonne lighter in all than weighed; by the file: ")
    assert page.sections[0].title == "Scales and machine file do not agree"
    assert summary.run_summary(report)["weighings"][0]["file_more_by_kg"]["total"] == pytest.approx(-2600.0)


def test_axles_are_compared_with_those_of_the_truck_at_rest(tmp_path: Path) -> None:
    """By masses and centres as drawn it is what `check` finds on tyres and a mast that give, within 0.3 %."""
    pose = tipline.check(own(tmp_path, ticket(drive_axle="3.0 t", steer_axle="7.2 t")))
    one = pose.weighings[0]
    assert one.own["drive axle"] == pytest.approx(pose.axle_share["drive"] * OWN_TOTAL, rel=3e-3)
    assert one.own["steer axle"] == pytest.approx(pose.axle_share["steer"] * OWN_TOTAL, rel=3e-3)
    assert one.misfit["total"] == pytest.approx(0.0, abs=1.0)
    assert one.misfit["drive axle"] == pytest.approx(613.2, abs=1.0), "3.61 t by the file"
    assert one.disagrees
    assert "613 kg heavier on the drive axle" in disagreement(pose.weighings)


def test_a_lifted_load_counts_at_its_load_centre(tmp_path: Path) -> None:
    """By levers about the steer axle: 2 t at 0.6 m before the fork face."""
    loaded = ticket(lifted_load="2 t", load_centre="0.6 m", drive_axle="6.0 t", total="12.2 t")
    machine = read_machine(own(tmp_path, loaded).parent / "own.toml")
    one = weighed(machine)[0]
    lever = machine.wheelbase + machine.carriage.face + 0.6
    assert one.own["total"] == pytest.approx(OWN_TOTAL + 2000.0)
    assert one.own["drive axle"] == pytest.approx(3613.2 + 2000.0 * lever / machine.wheelbase, abs=2.0)
    unknown = read_machine(own(tmp_path, loaded.replace('load_centre = "0.6 m"\n', "")).parent / "own.toml")
    assert set(weighed(unknown)[0].reading) == {"total"}
    assert "load_centre is not stated" in weighed(unknown)[0].note


@pytest.mark.slow
def test_what_a_driver_and_fuel_weigh_is_no_disagreement(tmp_path: Path) -> None:
    """2 % of 10.2 t are 204 kg."""
    for reading, agrees in (("10.0 t", True), ("10.38 t", True), ("9.9 t", False), ("10.5 t", False)):
        pose = tipline.check(own(tmp_path, ticket(total=reading)))
        assert pose.weighings[0].disagrees is not agrees, reading
        assert (disagreement(pose.weighings) == "") is agrees
    pose = tipline.check(own(tmp_path, ticket(total="10.3 t")))
    page = sections.pose_page(pose)
    assert page.lead == f"S{STANDS[1:]}"
    assert "Scales and machine file agree" in [section.title for section in page.sections]


@pytest.mark.parametrize(
    ("weighing", "words"),
    [
        (ticket(), "has no reading"),
        (ticket(drive_axle="3 t", steer_axle="7 t", total="8 t"), "add up to 10 tonne"),
        (ticket(total="10 t", load_centre="0.6 m"), "no lifted_load"),
        (ticket(total="10 t", extension="9 m"), "cannot be pinned there"),
        (ticket(total="10 t").replace("slabs = 2", "slabs = 40"), "takes at most"),
        (ticket(total="10 t", lifted_load="2 t").replace('"forks"', '"none"'), "nothing carries it"),
    ],
)
def test_a_weighing_that_cannot_be_is_refused(tmp_path: Path, weighing: str, words: str) -> None:
    with pytest.raises(InputError, match=words) as refused:
        tipline.check(own(tmp_path, weighing))
    assert "weighings.0" in str(refused.value)


@pytest.mark.parametrize("name", list_shipped()["machine"])
def test_shipped_machines_raise_none_of_it(name: str) -> None:
    assert not any(one.disagrees for one in weighed(read_machine(name)))
