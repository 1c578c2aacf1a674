"""After a command: where its report is, and one setting with another value, as it can be typed."""

from __future__ import annotations

import shlex
import sys
import tomllib
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from typer.testing import CliRunner

from cases import SHORT_SWEEPS
from tipline.cli import app, main
from tipline.cli.options import overrides_of
from tipline.commands.listing import shipped
from tipline.commands.next_steps import after_file, after_run
from tipline.commands.start import answers_text
from tipline.errors import InputError
from tipline.model.examples import example_of
from tipline.model.reader import read_machine
from tipline.runs.endings import EndingChange
from tipline.scenario import read
from tipline.scenario.incident_reader import read_incident
from tipline.scenario.spec import FloorTurns
from tipline.scenario.sweep_reader import read_sweep
from tipline.units import restate

HIGH = "front-tyre-breaks-through-load-high"


def report(change: EndingChange | None) -> Any:
    return SimpleNamespace(spread=None if change is None else SimpleNamespace(stays_until=change, change=None))


def test_the_setting_is_the_nearest_that_ends_otherwise() -> None:
    case = read(HIGH)
    change = EndingChange("hole depth", "length", 0.118, 0.107, "down", 0.05, 0.2)
    said = after_run(report(change), case, HIGH, Path("runs/x"), {"load.mass": "5 t"}).splitlines()
    again = f'tipline run {HIGH} --set "load.mass=5 t" --set "event.0.depth=107 mm"'
    assert said == ["Written to runs/x/", f"Change one thing: {again}"]
    read(HIGH, {"event.0.depth": "107 mm"})
    other = replace(change, what="lifted weight")
    assert '--set "event.0.depth=94.4 mm"' in after_run(report(other), case, HIGH, Path("x"))  # 0.8 of 118 mm
    assert '--set "event.0.depth=94.4 mm"' in after_run(report(None), case, HIGH, Path("x"))
    assert case.load is not None
    mass = EndingChange("lifted weight", "mass", case.load.mass, 4200.0, "down", 4000.0, 5000.0)
    assert '--set "load.mass=4.2 tonne"' in after_run(report(mass), case, HIGH, Path("x"))


def test_of_two_events_the_one_that_the_change_is_of_is_set() -> None:
    """The stop on the ramp, where another stop, not another ramp, ends otherwise."""
    case = read("stop-on-the-way-down-a-ramp", {"event.1.deceleration": "1.2 m/s2"})
    (index,) = (place for place, event in enumerate(case.scenario.event) if event.kind == "service_stop")
    here = case.scenario.event[index].deceleration
    assert here is not None
    change = EndingChange("deceleration", "acceleration", here, 1.0, "down", 0.5, 2.0)
    assert f'--set "event.{index}.deceleration=1 m/s2"' in after_run(report(change), case, HIGH, Path("x"))


@pytest.mark.parametrize(("kind", "typed"), [("scenario", 'tipline run "my lift.toml"'), ("machine", "tipline loads")])
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


ON_SLAB = "stop-with-the-load-up-breaks-a-slab"
SOFT = "what-buys-most-on-soft-ground"
SHORT = tuple(word for key, value in SHORT_SWEEPS[SOFT].items() for word in ("--set", f"{key}={value}"))
WEIGHED = 'weighings=[{total = "10.6 t", slabs = 2, attachment = "forks"}]'
ANSWERS = {"load": "5.2 t, nameplate", "plate": "12.25 t, 0.6 m, 5.5 m", "load_size": "1.8 m x 1.4 m x 1.6 m",
           "floor": "slab, 0.2 m, soil", "height": "3.2 m", "held": "jib, 1.6 m"}  # fmt: skip
PRINTED: dict[tuple[str, ...], tuple[str, ...]] = {
    ("check", ON_SLAB): ("Simulate it", "Change one thing"),
    ("check", "unladen-counterweight-out-falls-back", "--out", "out"): (
        "Written to",
        "Report",
        "Simulate it",
        "Change one thing",
    ),
    ("floor", ON_SLAB, "--set", "load.mass=5 t"): (
        "Written to",
        "Report",
        "Wheel-load sheet, to print",
        "Choose spreaders",
        "Change one thing",
    ),
    ("floor", "demo-hall-c"): ("Written to", "Report", "Set a truck on it"),
    ("slopes", "turn-with-the-load-up", "--heights", "1", "--directions", "8"): (
        "Written to",
        "Report",
        "Set another beside it",
    ),
    ("loads", "demo-truck-c"): ("Written to", "Report", "Ask about another load"),
    ("sweep", SOFT, *SHORT): ("Written to", "Report", "Look at one run"),
    ("reconstruct", "truck-on-its-side-by-the-press", "--set", "runs=20", "--workers", "1"): (
        "Written to",
        "Report",
        "See it",
        "Make more runs",
    ),
    ("fit", "demo-truck-a", "--set", WEIGHED): (
        "Written to",
        "Report",
        "Fitted file",
        "Use it",
        "After another weighing",
    ),
    ("start", "--answers", "lift.toml"): (
        "Written to",
        "Report",
        "Simulate it",
        "Change one thing",
        "After another answer",
    ),
}
"""What is typed, and how each line begins that says what is there and what to do next."""
DEAR = ("floor", "sweep", "reconstruct", "fit", "start")


@pytest.mark.parametrize(
    "typed",
    [
        pytest.param(typed, id=" ".join(typed[:2]), marks=[pytest.mark.slow] if typed[0] in DEAR else [])
        for typed in PRINTED
    ],
)
def test_each_command_says_what_there_is_and_what_to_do_next(
    typed: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each file that is named is there, and each command that is named can be typed: what it reads is read."""
    monkeypatch.chdir(tmp_path)
    Path("lift.toml").write_text(answers_text(ANSWERS), encoding="utf-8")
    bare = () if typed[0] in ("fit", "start") else ("--no-pictures",)
    done = CliRunner().invoke(app, [*typed, "--quiet", *bare])
    assert done.exit_code in (0, 4), done.stderr
    lines = done.stdout.rstrip().rpartition("\n\n")[2].splitlines()
    assert len(lines) == len(PRINTED[typed])
    for line, begins in zip(lines, PRINTED[typed], strict=True):
        assert line.startswith(begins), line
        _, sign, rest = line.partition(": ")
        if begins == "Set a truck on it":
            assert tomllib.loads(rest.partition("with ")[2].partition(" in it")[0]) == {"floor": typed[1]}
        if rest.startswith("tipline "):
            read_back(shlex.split(rest.partition(", with floor")[0]))
        else:
            assert (tmp_path / (rest if sign else line.removeprefix("Written to "))).exists(), line


def read_back(words: list[str]) -> None:
    """Read what a command names with its settings; what cannot be raises."""
    command, subject = words[1:3]
    settings = overrides_of([word for before, word in pairwise(words) if before == "--set"])
    readers = {
        "run": read,
        "check": read,
        "floor": read,
        "slopes": read,
        "sweep": read_sweep,
        "reconstruct": read_incident,
    }
    if command in readers:
        readers[command](subject, settings)
    elif command in ("loads", "fit"):
        read_machine(subject, settings)
    elif command == "start":
        assert Path(words[3]).exists()
    else:
        assert command == "new"
    beside = [word for before, word in pairwise(words) if before == "--beside"]
    assert all(read(subject, overrides_of([change])) for change in beside)


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
        (("fit",), 'For example tipline fit demo-truck-a --set "weighings='),
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
