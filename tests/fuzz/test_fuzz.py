"""Spoiled files, settings and command lines: an answer or one message with what to do, in time, and no traceback.

Drawn by Hypothesis from a fixed seed, so that a failure comes again. A few of each in the fast set; those marked slow
are 6000 and more in all, over every kind of file and every command, and so many times that where `SPOILED` says so:
SPOILED=4 for 20 000 and more. `test_there_are_as_many_as_we_say` counts them.
"""

from __future__ import annotations

import os
import re
import time
from collections.abc import Callable, Iterable
from math import ceil
from pathlib import Path
from random import Random

import pytest
from hostile import TYPED, data_of, settings, spoiled, text_of
from hypothesis import HealthCheck, Phase, given
from hypothesis import settings as drawn
from hypothesis import strategies as st
from typer.testing import CliRunner

from tipline import cli, scenario
from tipline.errors import InputError, InputErrors, TiplineError
from tipline.model import read_floor, read_machine, read_stock
from tipline.model.reader import unusual_in_floor, unusual_in_stock
from tipline.model.shipped import list_shipped
from tipline.scenario.incident_reader import read_incident
from tipline.scenario.lesson import read_lesson
from tipline.scenario.route import read_route, unusual_in_route
from tipline.scenario.sweep_reader import read_sweep
from tipline.scenario.unmet import as_told

COLUMNS, ROWS = 80, 24
"""A screen."""
LONGEST = 20.0
"""Processor time [s] that one input may take."""
GENERAL = re.compile(r"(Correct|Change|Use|Raise|Lower|Give|Add|Write)( [a-z]+){0,5}", re.ASCII)
"""Remedies of no more than some words, none of them a key, a figure or an example."""


def looked_through(case: scenario.Case) -> None:
    assert all(one.remedy for one in case.unusual)
    assert all(sentence.endswith(".") for sentence in (*case.told, *as_told(case.inputs, case.floor)))


def _case(path: Path) -> None:
    looked_through(scenario.read(path))


def _floor(path: Path) -> None:
    read_floor(path)
    unusual_in_floor(path)


def _stock(path: Path) -> None:
    read_stock(path)
    unusual_in_stock(path)


def _route(path: Path) -> None:
    read_route(path)
    unusual_in_route(path)


READERS: dict[str, Callable[[Path], object]] = {
    "scenario": _case, "machine": read_machine, "floor": _floor, "stock": _stock, "sweep": read_sweep, "route": _route,
    "incident": read_incident, "lesson": lambda path: read_lesson(str(path)),
}  # fmt: skip
SHIPPED: dict[str, list[str]] = {**list_shipped(), "route": ["way"]}  # type: ignore[dict-item]
TIMES = int(os.environ.get("SPOILED", "1"))
MANY_READ = {
    "scenario": 1800,
    "machine": 1200,
    "floor": 1500,
    "stock": 500,
    "sweep": 300,
    "route": 400,
    "incident": 90,
    "lesson": 60,
}
"""How many of each kind are read, shared among the files of that kind."""
MANY_SET = 400
FEW_READ, FEW_ASKED = 4, 2
SCENARIO = "service-stop-load-high"
QUICK = ("--no-pictures", "--spread", "0", "--floor-spread", "0", "--set", "run.duration=0.1 s")
ON_A_SLAB = ("--set", "floor=demo-hall-c")
COMMANDS: dict[str, tuple[str, int, tuple[str, ...]]] = {
    "check": ("scenario", 60, ("check", "FILE", "--out", "OUT")),
    "check-machine": ("machine", 40, ("check", SCENARIO, "--set", "machine=FILE")),
    "check-floor": ("floor", 40, ("check", SCENARIO, "--set", "floor=FILE")),
    "floor": ("floor", 40, ("floor", "FILE", "--no-pictures", "--out", "OUT")),
    "route": ("route", 12, ("floor", SCENARIO, *ON_A_SLAB, "--route", "FILE", "--no-pictures", "--out", "OUT")),
    "export": ("machine", 30, ("export", SCENARIO, "--format", "glb", "--set", "machine=FILE", "--out", "OUT")),
}
LONG_COMMANDS: dict[str, tuple[str, int, tuple[str, ...]]] = {
    "stock": ("stock", 20, ("floor", SCENARIO, *ON_A_SLAB, "--stock", "FILE", "--no-pictures", "--out", "OUT")),
    "run": ("scenario", 20, ("run", "FILE", *QUICK, "--out", "OUT")),
    "slopes": ("machine", 20, ("slopes", SCENARIO, "--heights=1", "--set", "machine=FILE", QUICK[0], "--out", "OUT")),
    "sweep": ("sweep", 12, ("sweep", "FILE", "--set", "runs=2", "--no-pictures", "--out", "OUT")),
}  # fmt: skip
ALL_COMMANDS = COMMANDS | LONG_COMMANDS
OPTIONS: dict[str, tuple[str, ...]] = {
    "check": ("--set", "--out", "--units", "--strict", "--json"),
    "floor": ("--route", "--stock", "--set", "--out", "--units", "--no-pictures"),
    "export": ("--format", "--set", "--out"),
    "run": ("--set", "--spread", "--floor-spread", "--out", "--units"),
    "slopes": ("--heights", "--beside", "--directions", "--simulate", "--ramps", "--set", "--out"),
    "sweep": ("--workers", "--scheduler", "--give-up-after", "--set", "--out", "--resume"),
    "list": ("--json",), "schema": ("--json",), "self-test": ("--json",),
    "loads": ("--load", "--load-centre", "--heights", "--slabs", "--rule", "--set", "--out", "--units"),
    "fit": ("--set", "--out", "--units"), "new": ("--units",), "start": ("--out", "--units"),
    "reconstruct": ("--workers", "--set", "--out", "--units", "--resume"), "replay": ("--out",), "repeat": ("--json",),
    "report": ("--out", "--units", "--paper"), "lesson": ("--out", "--units"),
}  # fmt: skip
MANY_TYPED = 20
"""Command lines of each command that are typed wrong."""


def try_each(examples: int, use: Callable[[int], None]) -> None:
    @drawn(
        max_examples=examples,
        derandomize=True,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(st.integers(0, 2**63))
    def tried(number: int) -> None:
        for again in (False, True):  # what had to be compiled first is no fault of the input
            begun = time.process_time()
            use(number)
            if (took := time.process_time() - begun) < LONGEST:
                break
            assert not again, f"{took} s"

    tried()


def fits_a_screen(text: str) -> bool:
    return sum(max(1, ceil(len(line) / COLUMNS)) for line in text.splitlines()) <= ROWS


def says_what_to_write(error: InputError) -> bool:
    """A figure, an example, a key or a choice stands in the remedy, or a bound in the reason of a short one."""
    if GENERAL.fullmatch(error.remedy) is None:
        return error.remedy != ""
    return re.search(r'[0-9"_]|must|is given|not one of|belongs to', error.reason) is not None


def held(error: TiplineError, text: str) -> None:
    assert isinstance(error, InputError), text
    assert fits_a_screen(f"tipline: {error}"), str(error)
    for found in error.problems if isinstance(error, InputErrors) else (error,):
        assert says_what_to_write(found), str(found)


def shared(kind: str, name: str) -> int:
    names = SHIPPED[kind]
    return TIMES * (MANY_READ[kind] // len(names) + (names.index(name) < MANY_READ[kind] % len(names)))


def few_and_many(files: Iterable[tuple[str, str]]) -> list[object]:
    fast = [(kind, name, FEW_READ) for kind, name in files]
    return [*fast, *(pytest.param(kind, name, shared(kind, name), marks=pytest.mark.slow) for kind, name in files)]


@pytest.mark.parametrize(
    ("kind", "name", "examples"), few_and_many([(kind, name) for kind, names in SHIPPED.items() for name in names])
)
def test_a_spoiled_file_is_read_or_refused_with_what_to_do(tmp_path: Path, kind: str, name: str, examples: int) -> None:
    data, path = data_of(kind, name), tmp_path / f"{kind}.toml"

    def use(number: int) -> None:
        text = text_of(spoiled(data, number))
        path.write_text(text, encoding="utf-8")
        try:
            READERS[kind](path)
        except TiplineError as error:
            held(error, text)

    try_each(examples, use)


@pytest.mark.parametrize("part", range(4))
@pytest.mark.parametrize("examples", [FEW_READ, pytest.param(TIMES * MANY_SET // 4, marks=pytest.mark.slow)])
def test_spoiled_settings_are_taken_or_refused_with_what_to_do(part: int, examples: int) -> None:
    names = SHIPPED["scenario"][part::4]
    data = [data_of("scenario", name) for name in names]
    start = [{"machine": data_of("machine", one["machine"]), "floor": data_of("floor", one["floor"])} for one in data]

    def use(number: int) -> None:
        which = number % len(names)
        typed = settings({**data[which], **start[which]}, number)
        try:
            looked_through(scenario.read(names[which], typed))
        except TiplineError as error:
            held(error, str(typed))

    try_each(examples, use)


def asked_for(typed: list[str], out: Path) -> None:
    result = CliRunner().invoke(cli.app, typed)
    assert result.exception is None or isinstance(result.exception, SystemExit), typed
    assert result.exit_code in (0, 2, 3, 4), (typed, result.stderr)
    if result.exit_code in (2, 3):
        message = "tipline: " + result.stderr.rpartition("tipline: ")[2]
        assert fits_a_screen(message), message
        assert message.rstrip() != "tipline:", typed
    assert result.exit_code != 2 or not out.exists()


@pytest.mark.parametrize(
    ("command", "examples"),
    [
        *((name, FEW_ASKED) for name in COMMANDS),
        *(pytest.param(name, TIMES * many, marks=pytest.mark.slow) for name, (_, many, _) in ALL_COMMANDS.items()),
    ],
)
def test_a_command_asked_of_a_spoiled_file_answers_or_says_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str, examples: int
) -> None:
    monkeypatch.chdir(tmp_path)
    kind, _, words = ALL_COMMANDS[command]
    data = [data_of(kind, name) for name in SHIPPED[kind]]
    count = 0

    def use(number: int) -> None:
        nonlocal count
        count += 1
        Path("own.toml").write_text(text_of(spoiled(data[number % len(data)], number)), encoding="utf-8")
        asked_for(
            [word.replace("FILE", "own.toml").replace("OUT", f"out-{count}") for word in words], Path(f"out-{count}")
        )

    try_each(examples, use)


def typed_wrong(command: str, number: int) -> list[str]:
    """A command line with something that nobody should type in the place of its subject or of one or two options."""
    draw = Random(number)
    subject = {
        "floor": "demo-hall-c",
        "sweep": "one-front-tyre-breaks-through",
        "list": "",
        "self-test": "",
        "schema": "",
        "loads": "demo-truck-a",
        "fit": "demo-truck-a",
        "new": "machine",
        "start": "--answers=nowhere.toml",
        **dict.fromkeys(("lesson", "reconstruct", "replay", "repeat", "report"), "nowhere"),
    }
    typed = [command, subject.get(command, SCENARIO)] if subject.get(command, SCENARIO) else [command]
    if command in ("list", "self-test") or draw.random() < 0.3:
        typed[1:2] = [draw.choice(TYPED[2:])]
    for option in draw.choices(OPTIONS[command], k=draw.randint(1, 2)):
        typed += [option, draw.choice(TYPED)]
    return [*typed, "--no-pictures"] if command == "run" else typed  # right ones would draw a film


@pytest.mark.parametrize("command", OPTIONS)
@pytest.mark.parametrize("examples", [FEW_ASKED, pytest.param(TIMES * MANY_TYPED, marks=pytest.mark.slow)])
def test_a_command_typed_wrong_says_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str, examples: int
) -> None:
    monkeypatch.chdir(tmp_path)
    try_each(
        examples,
        lambda number: asked_for(typed_wrong(command, number), Path("nowhere")),
    )


def test_there_are_as_many_as_we_say() -> None:
    asked = sum(many for _, many, _ in ALL_COMMANDS.values()) + MANY_TYPED * len(OPTIONS)
    assert TIMES >= 1
    assert sum(MANY_READ.values()) + MANY_SET + asked >= 6000
    # `open` waits for a browser: what it is told wrong is asked where its pages are
    assert {*OPTIONS, "open"} == {one.name for one in cli.app.registered_commands if one.name} | {
        one.callback.__name__ for one in cli.app.registered_commands if one.name is None
    }
