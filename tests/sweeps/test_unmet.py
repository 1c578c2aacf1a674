"""What a row of a sweep did not meet: by where its truck was told to drive, and how it ended."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import pytest

from tipline import scenario
from tipline.commands.floor import floor
from tipline.scenario.unmet import as_told
from tipline.sweeps.unmet import counted, unmet

RAMP = "stop-on-the-way-down-a-ramp"
LID = "driving-onto-a-trench-lid"
SOFT = "front-tyre-sinks-in-soft-ground"


def ended(truck: str = "down", time: float = 8.0, **depths: float) -> SimpleNamespace:
    return SimpleNamespace(truck=truck, time=time, peak_depth=depths)


def row(name: str, changes: dict[str, str], result: SimpleNamespace) -> str:
    case = scenario.read(name, changes)
    return unmet(case.inputs, case.floor, result)  # type: ignore[arg-type]


def test_a_ramp_is_met_or_not_by_the_way_that_is_driven() -> None:
    """At 1 m/s for 4 s the drive tyres, 0 ahead of the middle of their axle, come to 4 m."""
    driven = {
        "setup.speed": "1 m/s", "run.duration": "4 s", "run.extend_to": "4 s",
        "event": '[{kind = "ramp", begins = "BEGINS", slope = "3 %"}]',
    }  # fmt: skip
    for begins, met in (("3.9 m", True), ("4.2 m", False)):
        changes = {key: text.replace("BEGINS", begins) for key, text in driven.items()}
        assert row(RAMP, changes, ended(time=4.0)) == ("" if met else "the ramp was not reached")
        case = scenario.read(RAMP, changes)
        told = list(as_told(case.inputs, case.floor))
        assert told == (
            [] if met else ["As told to drive the ramp is not reached: the nearest tyre comes to 200 mm from it."]
        )
    changes = {key: text.replace("BEGINS", "3.9 m") for key, text in driven.items()}
    assert row(RAMP, changes, ended("over", 2.0)) == "the ramp was not reached"


def test_a_truck_that_stops_before_the_cover_meets_none() -> None:
    assert row(LID, {}, ended()) == ""
    assert row(LID, {"setup.position": '["8 m", "9 m"]', "setup.heading": "0 deg"}, ended()) == (
        "no tyre came onto any cover or hole of the floor"
    )


def test_soft_ground_that_did_not_sink_and_events_after_the_fall() -> None:
    name = scenario.read(SOFT).scenario.event[0].under[0]  # type: ignore[union-attr]
    assert row(SOFT, {}, ended(**{name: 0.04})) == ""
    assert row(SOFT, {}, ended(**{name: 0.0004})) == f"the soft place under {name} never yielded"
    assert row("front-tyre-breaks-through-load-high", {}, ended("over", 0.6)) == (
        "event.0, breakthrough, had not begun when the truck was down"
    )
    assert row("front-tyre-breaks-through-load-high", {}, ended("down", 0.6)) == ""


def test_rows_are_counted() -> None:
    assert counted(["", "a was not reached", "b never yielded; a was not reached", None]) == (
        "In 2 of 4 runs a was not reached.",
        "In 1 of 4 runs b never yielded.",
    )


@pytest.mark.slow
@pytest.mark.parametrize(("end", "told"), [('["9 m", "9 m"]', True), ('["5 m", "2 m"]', False)])
def test_a_route_is_judged_by_where_it_leads(tmp_path: Path, end: str, told: bool) -> None:
    """Beside the trench of demo-hall-d, at 4 to 4.6 m, or over it."""
    way = tmp_path / "way.toml"
    way.write_text(f'path = [["5 m", "9 m"], {end}]\n', encoding="utf-8")
    changes = {"floor": "demo-hall-d", "setup.position": '["5 m", "9 m"]'}
    report = floor("service-stop-load-low", changes, route=way).report
    said = [one for one in report.not_met if one.startswith("Along the route no tyre comes onto any of the 4 covers")]
    assert bool(said) is told
    assert not any(one.startswith("As ") for one in report.not_met)
