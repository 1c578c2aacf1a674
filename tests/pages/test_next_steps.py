"""After a run: where its report is, and one setting with another value, as it can be typed."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from tipline.cli import main
from tipline.commands.listing import shipped
from tipline.commands.next_steps import after_file, after_run
from tipline.errors import InputError
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
    assert case.load is not None
    mass = EndingChange("lifted weight", "mass", case.load.mass, 4200.0, "down", 4000.0, 5000.0)
    assert "--set load.mass='4.2 tonne'" in after_run(report(mass), case, HIGH, Path("x"))


def test_of_two_events_the_one_that_the_change_is_of_is_set() -> None:
    """The stop on the ramp, where another stop, not another ramp, ends otherwise."""
    case = read("stop-on-the-way-down-a-ramp", {"event.1.deceleration": "1.2 m/s2"})
    (index,) = (place for place, event in enumerate(case.scenario.event) if event.kind == "service_stop")
    here = case.scenario.event[index].deceleration
    assert here is not None
    change = EndingChange("deceleration", "acceleration", here, 1.0, "down", 0.5, 2.0)
    assert f"--set event.{index}.deceleration='1 m/s2'" in after_run(report(change), case, HIGH, Path("x"))


@pytest.mark.parametrize(("kind", "typed"), [("scenario", "tipline run 'my lift.toml'"), ("machine", "tipline loads")])
def test_a_file_that_was_begun_says_what_reads_it(kind: str, typed: str) -> None:
    assert after_file(kind, Path("my lift.toml")).startswith(f"Change it, then: {typed}")


def test_the_name_that_begins_as_typed_is_meant() -> None:
    """By letters alone "front-tyre-breaks" is nearer to "both-front-tyres-break-through"."""
    with pytest.raises(InputError, match=f'Did you mean "{HIGH}"'):
        read("front-tyre-breaks")


def test_only_one_kind_is_listed() -> None:
    assert list(shipped("scenarios")) == list(shipped("scenario")) == ["scenario"]
    with pytest.raises(InputError, match="Give one of machines, floors, stocks, scenarios, sweeps"):
        shipped("trucks")


def test_a_film_is_told_of_where_there_is_one(tmp_path: Path) -> None:
    (tmp_path / "replay.mp4").touch()
    assert f"Film: {tmp_path / 'replay.mp4'}" in after_run(report(None), read(HIGH), HIGH, tmp_path).splitlines()


def test_an_angle_that_is_missing_is_asked_for_in_degrees() -> None:
    assert example_of(FloorTurns.model_fields["towards"]) == '"90 deg"'


@pytest.mark.parametrize(("si", "us"), [("20 degC", "68 degF"), ("-10 degC to 45 degC", "14 degF to 113 degF")])
def test_temperatures_follow_the_units(si: str, us: str) -> None:
    assert restate(f"its surface has {si}: warm", "us") == f"its surface has {us}: warm"


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (("lesson",), "For example tipline lesson tyre-breaks-through"),
        (("lesson", "tyre-break-through"), 'Did you mean "tyre-breaks-through"?'),
        (("reconstruct",), "For example tipline reconstruct truck-on-its-side-by-the-press"),
        (("reconstruct", "truck-on-its-side-by-the-pres"), 'Did you mean "truck-on-its-side-by-the-press"?'),
        (("replay",), "as runs/NAME"),
        (("repeat",), "as runs/NAME"),
        (("report",), "tipline: FOLDER: needs one folder, two to compare, or --method alone. Name the folder that a"),
        (("fit",), "For example tipline fit demo-truck-a --set weighings="),
        (("fit", "demo-truck-z"), 'Did you mean "demo-truck-a"?'),
        (("floor", "demo-hal-c"), 'no shipped floor of that name. Did you mean "demo-hall-c"?'),
        (("floor", "stop-with-the-load-up"), 'Did you mean "stop-with-the-load-up-breaks-a-slab"?'),
        (("start", "--answers", "nowhere.toml"), "Check the name of the file"),
    ],
)  # fmt: skip
def test_what_is_typed_wrong_says_what_to_type(
    typed: tuple[str, ...],
    told: str,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "argv", ["tipline", *typed])
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 2
    assert told in " ".join(capsys.readouterr().err.split())
