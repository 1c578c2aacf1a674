"""After a run: where its report is, and one setting with another value, as it can be typed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from tipline.commands.next_steps import after_run
from tipline.model.examples import example_of
from tipline.runs.endings import EndingChange
from tipline.scenario import read
from tipline.scenario.spec import FloorTurns
from tipline.units import restate

HIGH = "front-tyre-breaks-through-load-high"


def report(change: EndingChange | None) -> Any:
    return SimpleNamespace(spread=None if change is None else SimpleNamespace(stays_until=change, change=None))


def test_the_setting_is_the_nearest_that_ends_otherwise() -> None:
    case = read(HIGH)
    change = EndingChange("hole depth", "length", 0.118, 0.107, "down", 0.05, 0.2)
    said = after_run(report(change), case, HIGH, Path("runs/x")).splitlines()
    assert said == ["Report: runs/x/report.html", f"Change one thing: tipline run {HIGH} --set event.0.depth='107 mm'"]
    read(HIGH, {"event.0.depth": "107 mm"})
    other = replace(change, what="lifted weight")
    assert "--set event.0.depth='94.4 mm'" in after_run(report(other), case, HIGH, Path("x"))  # 0.8 of 118 mm
    assert "--set event.0.depth='94.4 mm'" in after_run(report(None), case, HIGH, Path("x"))


def test_a_film_is_told_of_where_there_is_one(tmp_path: Path) -> None:
    (tmp_path / "replay.mp4").touch()
    assert f"Film: {tmp_path / 'replay.mp4'}" in after_run(report(None), read(HIGH), HIGH, tmp_path).splitlines()


def test_an_angle_that_is_missing_is_asked_for_in_degrees() -> None:
    assert example_of(FloorTurns.model_fields["towards"]) == '"90 deg"'


@pytest.mark.parametrize(("si", "us"), [("20 degC", "68 degF"), ("-10 degC to 45 degC", "14 degF to 113 degF")])
def test_temperatures_follow_the_units(si: str, us: str) -> None:
    assert restate(f"its surface has {si}: warm", "us") == f"its surface has {us}: warm"
