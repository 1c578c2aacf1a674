"""Spoiled files of every kind, read and asked: an answer or one message with what to do, in time, and no traceback.

Drawn by Hypothesis from a fixed seed, so that a failure comes again. A few of each in the fast set; those
marked slow, 700 readings of each file and 60 calls of each command, take some two minutes of processor time in all.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest
from hostile import data_of, spoiled, text_of
from hypothesis import HealthCheck, Phase, given, settings
from typer.testing import CliRunner

from tipline import cli, scenario
from tipline.errors import InputError, InputErrors, TiplineError
from tipline.model import read_floor, read_machine, read_stock
from tipline.model.shipped import Kind, list_shipped
from tipline.scenario.sweep_reader import read_sweep

SCREENS = 24 * 80
LONGEST = 20.0
"""Processor time [s] that one input may take."""
FEW_READ, MANY_READ = 15, 700
FEW_ASKED, MANY_ASKED = 3, 60
READERS: dict[Kind, Callable[[Path], object]] = {
    "scenario": scenario.read,
    "machine": read_machine,
    "floor": read_floor,
    "stock": read_stock,
    "sweep": read_sweep,
}
PICKED = {kind: [name for place, name in enumerate(names) if place % 3 == 0] for kind, names in list_shipped().items()}
SCENARIO = "service-stop-load-high"
QUICK = ("--no-pictures", "--spread", "0", "--floor-spread", "0", "--set", "run.duration=0.1 s")
ON_A_SLAB = ("--set", "floor=demo-hall-c")
COMMANDS: dict[str, tuple[Kind, tuple[str, ...]]] = {
    "check": ("scenario", ("check", "FILE", "--out", "OUT")),
    "check-machine": ("machine", ("check", SCENARIO, "--set", "machine=FILE")),
    "check-floor": ("floor", ("check", SCENARIO, "--set", "floor=FILE")),
    "floor": ("floor", ("floor", "FILE", "--no-pictures", "--out", "OUT")),
    "export": ("machine", ("export", SCENARIO, "--format", "glb", "--set", "machine=FILE", "--out", "OUT")),
}
LONG_COMMANDS: dict[str, tuple[Kind, tuple[str, ...]]] = {
    "stock": ("stock", ("floor", SCENARIO, *ON_A_SLAB, "--stock", "FILE", "--no-pictures", "--out", "OUT")),
    "run": ("scenario", ("run", "FILE", *QUICK, "--out", "OUT")),
    "slopes": ("machine", ("slopes", SCENARIO, "--heights", "1", "--set", "machine=FILE", *QUICK[:1], "--out", "OUT")),
    "sweep": ("sweep", ("sweep", "FILE", "--set", "runs=2", "--no-pictures", "--out", "OUT")),
}  # fmt: skip


def try_spoiled(kind: Kind, name: str, examples: int, use: Callable[[str], None]) -> None:
    @settings(
        max_examples=examples,
        derandomize=True,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(spoiled(data_of(kind, name)))
    def tried(made: dict[str, object]) -> None:
        begun = time.process_time()
        use(text_of(made))
        assert time.process_time() - begun < LONGEST

    tried()


@pytest.mark.parametrize("examples", [FEW_READ, pytest.param(MANY_READ, marks=pytest.mark.slow)])
@pytest.mark.parametrize(("kind", "name"), [(kind, name) for kind, names in PICKED.items() for name in names])
def test_a_spoiled_file_is_read_or_refused_with_what_to_do(
    tmp_path: Path, kind: Kind, name: str, examples: int
) -> None:
    def use(text: str) -> None:
        path = tmp_path / f"{kind}.toml"
        path.write_text(text, encoding="utf-8")
        try:
            READERS[kind](path)
        except TiplineError as error:
            assert isinstance(error, InputError), text
            assert len(str(error)) <= SCREENS, str(error)
            for found in error.problems if isinstance(error, InputErrors) else (error,):
                assert found.remedy not in ("", "Correct it", "Add it"), str(found)

    try_spoiled(kind, name, examples, use)


@pytest.mark.parametrize(
    ("command", "examples"),
    [
        *((name, FEW_ASKED) for name in COMMANDS),
        *(pytest.param(name, MANY_ASKED, marks=pytest.mark.slow) for name in (*COMMANDS, *LONG_COMMANDS)),
    ],
)
def test_a_command_asked_of_a_spoiled_file_answers_or_says_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str, examples: int
) -> None:
    monkeypatch.chdir(tmp_path)
    kind, words = (COMMANDS | LONG_COMMANDS)[command]
    count = 0

    def use(text: str) -> None:
        nonlocal count
        count += 1
        Path("own.toml").write_text(text, encoding="utf-8")
        typed = [word.replace("FILE", "own.toml").replace("OUT", f"out-{count}") for word in words]
        result = CliRunner().invoke(cli.app, typed)
        assert result.exception is None or isinstance(result.exception, SystemExit), text
        assert result.exit_code in (0, 2, 3, 4), result.stderr
        last = result.stderr.rpartition("tipline: ")[2]
        assert len(last) <= SCREENS
        assert result.exit_code != 2 or not Path(f"out-{count}").exists()

    name = PICKED[kind][0]
    use(text_of(data_of(kind, name)))  # as it is: what has to be compiled first is no fault of a spoiled one
    try_spoiled(kind, name, examples, use)
