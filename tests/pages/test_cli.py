"""The command line starts fast, turns errors into one message and an exit code, and leaves nothing half-written."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from types import SimpleNamespace

import pytest
from typer.testing import CliRunner, Result

import tipline
from few import slow_but, slow_cases
from tipline import cli
from tipline.cli.progress import Progress
from tipline.errors import InputError, MissingPart, NumericalError
from tipline.model.shipped import list_shipped

HEAVY = ("vtkmodules", "pyvista", "pybullet", "pandas", "numpy", "numba", "matplotlib", "scipy", "pyarrow", "trimesh")

Invoke = Callable[..., Result]


@pytest.fixture
def invoke(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Invoke:
    monkeypatch.chdir(tmp_path)
    return lambda *words: CliRunner().invoke(cli.app, [str(word) for word in words])


def fail_with(error: BaseException) -> Callable[..., None]:
    def stand_in(*_: object, **__: object) -> None:
        raise error

    return stand_in


def imported(*words: str) -> set[str]:
    """Give the top-level packages that a command imports."""
    command = [sys.executable, "-X", "importtime", "-m", "tipline", *words]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode in (0, 4), done.stderr[-2000:]
    lines = [line for line in done.stderr.splitlines() if line.startswith("import time:")]
    return {line.rpartition("|")[2].strip().partition(".")[0] for line in lines}


def test_help_imports_nothing_heavy() -> None:
    names = imported("--help")
    assert "typer" in names
    assert names.isdisjoint(HEAVY), names & set(HEAVY)


@pytest.mark.parametrize(
    "floor",
    slow_but(["demo-hall-b", "demo-hall-d", "demo-hall-e", "demo-site-b", "demo-yard-c", "demo-yard-e"], "demo-hall-b"),
)
def test_check_asks_every_kind_of_floor_with_numpy_alone(floor: str) -> None:
    """Loading any of these takes longer than the answer."""
    names = imported("check", "service-stop-load-high", "--set", f"floor={floor}", "--quiet")
    heavy = set(HEAVY) - {"numpy", "trimesh"}
    assert {"numpy", "tipline"} <= names
    assert names.isdisjoint(heavy), names & heavy


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/status").is_file(), reason="reads the number of threads from /proc")
def test_no_threads_stand_by_for_matrices_as_small_as_ours() -> None:
    code = """
import sys
from tipline.cli import main
sys.argv = ["tipline", "check", "service-stop-load-high", "--quiet"]
try:
    main()
except SystemExit:
    print(next(line for line in open("/proc/self/status") if line.startswith("Threads")))
"""
    environment = {name: value for name, value in os.environ.items() if not name.startswith("OPENBLAS")}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=environment)
    # the main one, and the one that sees to it that a request to end is met in time
    assert done.stdout.split()[-2:] == ["Threads:", "2"]


@pytest.mark.parametrize(
    "name", ["run", "check", "floor", "slopes", "loads", "fit", "sweep", "list", "schema", "self-test"]
)
def test_every_command_has_help(invoke: Invoke, name: str) -> None:
    result = invoke(name, "--help")
    assert result.exit_code == 0
    assert name in result.output


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (InputError("must be greater than 0", file="a.toml", line=3, key="load.mass", value='"-5 t"'), 2),
        (NumericalError("the energy does not close", time=1.25, quantity="energy"), 3),
        (MissingPart("the simulation needs pybullet", install="pip install pybullet"), 1),
        (OSError(28, "No space left on device", "runs/x"), 2),
        (KeyboardInterrupt(), 130),
    ],
)
@pytest.mark.parametrize("command", ["run", "check"])
def test_errors_become_one_message_and_a_code(
    invoke: Invoke, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, command: str, error: BaseException, code: int
) -> None:
    from tipline.commands import check, run

    monkeypatch.setattr(run, "run", fail_with(error))
    monkeypatch.setattr(check, "check", fail_with(error))
    result = invoke(command, "anything", "--out", tmp_path / "deep" / "out")
    assert result.exit_code == code
    assert "Traceback" not in result.output
    assert result.stdout == ""
    assert "tipline: " in result.stderr
    assert (str(error) or "interrupted") in result.stderr
    assert not isinstance(error, OSError) or "Make room" in result.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("setting", ["event.0.depth", "=95 mm", ""])
def test_a_setting_without_key_or_value_is_refused(invoke: Invoke, setting: str) -> None:
    result = invoke("run", "anything", "--set", setting)
    assert result.exit_code == 2
    assert "--set" in result.stderr
    assert '"event.0.depth=95 mm"' in result.stderr


def test_version_is_told(invoke: Invoke) -> None:
    result = invoke("--version")
    assert result.exit_code == 0
    assert result.stdout == f"tipline {tipline.__version__}\n"


@pytest.mark.parametrize("words", [("list",), *slow_cases(("list", "--json"), ("schema",), ("--help",))])
def test_a_reader_that_stops_early_gets_no_complaint(words: tuple[str, ...]) -> None:
    command = [sys.executable, "-m", "tipline", *words]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as child:
        assert child.stdout is not None
        child.stdout.close()
        assert child.stderr is not None
        assert child.stderr.read() == b""


def test_an_interruption_while_loading_is_one_line() -> None:
    code = (
        "import sys\n"
        "class Interrupting:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        "        if name == 'typer': raise KeyboardInterrupt\n"
        "sys.meta_path.insert(0, Interrupting())\n"
        "from tipline.__main__ import main\n"
        "main()"
    )
    done = subprocess.run([sys.executable, "-c", code, "list"], capture_output=True, text=True, check=False)
    assert done.returncode == 130
    assert done.stderr == "tipline: interrupted; nothing was left behind\n"


def test_a_misspelt_scenario_gets_a_short_answer(invoke: Invoke) -> None:
    for name in ("no-such-scenario", "absent.toml", "."):
        result = invoke("check", name)
        assert result.exit_code == 2
        assert len(result.stderr) < 250, result.stderr
    assert "is a folder" in invoke("check", ".").stderr


def test_an_unknown_option_is_bad_input(invoke: Invoke) -> None:
    assert invoke("run", "anything", "--outt", "x").exit_code == 2
    assert invoke("run", "anything", "--units", "metric").exit_code == 2
    assert invoke("runn").exit_code == 2


@pytest.mark.parametrize("command", ["run", "check"])
def test_a_target_that_holds_something_stops_before_any_work(
    invoke: Invoke, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    module = import_module(f"tipline.commands.{command}")
    monkeypatch.setattr(module, command, fail_with(AssertionError("work has started")))
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "mine").write_text("1")
    result = invoke(command, "anything", "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert "something there already" in result.stderr


@pytest.mark.parametrize("live", [True, False])
def test_a_long_stage_tells_the_time_left(
    live: bool, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    clock = [0.0]
    monkeypatch.setattr("sys.stderr.isatty", lambda: live)
    monkeypatch.setattr("time.monotonic", lambda: clock[0])
    progress = Progress(quiet=False)
    for second, part in ((0.0, 0.2), (2.0, 0.25), (20.0, 0.6), (22.0, 0.61), (40.0, 1.0)):
        clock[0] = second
        progress("running 10 rows", part)
    progress.close()
    said = capsys.readouterr().err
    assert "60 %, about 20 s left" in said  # 0.4 in 20 s; what was there at the start does not count
    assert said.startswith("running 10 rows ...")
    assert ("61 %, about 21 s left" in said) == live
    assert ("\r" in said) == live
    assert "100 %" in said


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("run", "missing argument 'SCENARIO'. A scenario file, or the name of a shipped one. For example tipline run "
        "front-tyre-breaks-through-load-high; tipline list shows them all. See tipline run --help"),
        ("run a b", "got unexpected extra argument(s) (b). Write it as tipline run SCENARIO, with options after it. "
                    "See tipline run --help"),
        ("run a --floor-spread few", "invalid value for '--floor-spread': not a whole number. Further runs on floors "
                                     "drawn from what may be there. See tipline run --help"),
        ("check a --units imperial", "invalid value for '--units': 'imperial' is not one of 'si', 'us'. "
                                     "See tipline check --help"),
        ("check a --json=yes", "option '--json' does not take a value. Print the summary as JSON instead of the page; "
                               "in SI, whatever --units. See tipline check --help"),
        ("check a --unit us", "See tipline check --help"),
        ("floor", "missing argument 'FLOOR|SCENARIO'. A floor, or a scenario on it: a file or a shipped name. "
                  "For example tipline floor demo-hall-c; tipline list shows them all. See tipline floor --help"),
        ("floor a --route", "option '--route' requires an argument. A way over the floor; needs a scenario. "
                            "See tipline floor --help"),
        ("slopes a --ramps 13", "invalid value for '--ramps': 13 is too large. Give a whole number from 0 to 12. "
                                "See tipline slopes --help"),
        ("sweep a --workers two", "invalid value for '--workers': not a whole number. Processes on this computer that "
                                  "make the runs. See tipline sweep --help"),
        ("export a", "missing option '--format'. Choose from: urdf, mjcf, glb. See tipline export --help"),
        ("list all", "'all' is no kind of shipped file. Give one of machines, floors, stocks, scenarios, sweeps, "
                     "incidents, lessons"),
        ("schema truck", "invalid value for 'KIND': 'truck' is not one of 'scenario', 'machine', 'floor', 'stock', "
                         "'sweep', 'incident', 'lesson'. See tipline schema --help"),
        ("self-test --fast", "no such option: --fast. See tipline self-test --help"),
        ("chek a", "no such command 'chek'. Did you mean 'check', 'schema'? See tipline --help"),
        ("--fast", "no such option: --fast. See tipline --help"),
    ],
)  # fmt: skip
def test_a_line_typed_wrong_gets_one_message_with_a_remedy(invoke: Invoke, line: str, told: str) -> None:
    result = invoke(*line.split())
    assert result.exit_code == 2
    assert isinstance(result.exception, SystemExit)
    assert result.stdout == ""
    assert result.stderr.startswith("tipline: ")
    assert result.stderr.endswith(f"{told}\n")
    assert result.stderr.count("\n") == 1


def test_the_name_alone_says_what_to_type_first(invoke: Invoke) -> None:
    result = invoke()
    assert result.exit_code == 2
    told = "tipline list", "tipline check front-tyre", "tipline run front-tyre", "tipline --help"
    assert all(line in result.stdout for line in told)


@pytest.mark.parametrize("command", ["run", "check", "floor", "slopes", "loads", "fit", "sweep"])
def test_a_command_without_a_name_gives_one_to_try(invoke: Invoke, command: str) -> None:
    result = invoke(command)
    assert result.exit_code == 2
    name = re.search(rf"For example tipline {command} ([a-z-]+).*; tipline list shows them all", result.stderr)
    assert name is not None
    kinds = {"floor": "floor", "sweep": "sweep", "loads": "machine", "fit": "machine"}
    assert name[1] in list_shipped()[kinds.get(command, "scenario")]


def test_a_shipped_file_of_every_kind_is_copied_to_change(invoke: Invoke, tmp_path: Path) -> None:
    for names in list_shipped().values():
        assert invoke("list", "--copy", names[0]).stdout.startswith(
            f"Written to {names[0]}.toml\nChange it, then: tipline "
        )
    truck = tmp_path / "demo-truck-a.toml"
    assert 'origin = "demo"' in truck.read_text(encoding="utf-8")
    changed = truck.read_text(encoding="utf-8").replace('wheelbase = "1.90 m"', 'wheelbase = "2.10 m"')
    truck.write_text(changed, encoding="utf-8")
    assert tipline.check("service-stop-load-low", {"machine": "./demo-truck-a.toml"}).demo.startswith("machine")
    again = invoke("list", "--copy", "demo-truck-a")
    assert again.exit_code == 2
    assert "nothing is written over it" in again.stderr
    assert truck.read_text(encoding="utf-8") == changed
    absent = invoke("list", "--copy", "demo-truck-z")
    assert absent.exit_code == 2
    assert "tipline list" in absent.stderr


@pytest.mark.slow
@pytest.mark.parametrize("words", [("check", "service-stop-load-high"), ("floor", "demo-site-b", "--no-pictures")])
def test_json_stays_in_si_whatever_units_the_page_has(invoke: Invoke, words: tuple[str, ...]) -> None:
    """One rule for all commands, told in --help: figures for programs do not follow --units, the page does."""
    told = {
        units: invoke(*words, "--json", "--quiet", "--units", units, "--out", units).stdout for units in ("si", "us")
    }
    assert told["si"] == told["us"] != ""
    pages = {units: Path(units, "report.html").read_text(encoding="utf-8") for units in told}
    assert "lbf" in pages["us"]
    assert "lbf" not in pages["si"]
    assert "JSON stays in SI" in " ".join(re.sub("[\u2500-\u257f]", " ", invoke(words[0], "--help").stdout).split())


def test_no_example_of_the_help_is_in_quotes_that_a_windows_prompt_does_not_know() -> None:
    """Quotes that hold a value: what stands after "as", or has a number or a key at its head."""
    import typer

    commands = typer.main.get_command(cli.app).commands  # type: ignore[attr-defined]
    helps = [(name, str(getattr(param, "help", ""))) for name, command in commands.items() for param in command.params]
    assert len(helps) > 100
    assert [(name, text) for name, text in helps if re.search(r"\bas '|'[\d[{]|='", text, re.IGNORECASE)] == []


def test_readme_and_help_count_the_questions_of_a_lift() -> None:
    from tipline.asking.questions import QUESTIONS

    assert len(QUESTIONS) == 13
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    assert readme.count("thirteen questions") == 3
    told = CliRunner().invoke(cli.app, ["start", "--help"]).output
    assert "Ask thirteen questions" in " ".join(told.split())


@pytest.mark.parametrize(
    ("command", "file", "of"),
    [("sweep", "one-front-tyre-breaks-through", "rows"), ("reconstruct", "truck-on-its-side-by-the-press", "runs")],
)
def test_who_interrupts_the_report_of_many_runs_is_told_that_all_are_kept(
    invoke: Invoke, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, command: str, file: str, of: str
) -> None:
    """The runs lie in their folder by then: 40 and 44 of two causes, or 84 rows; --resume only writes the report."""
    module = import_module(f"tipline.commands.{command}")
    report = SimpleNamespace(rows=84, causes=[SimpleNamespace(runs=40), SimpleNamespace(runs=44)])

    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(module, command, lambda *_: SimpleNamespace(report=report))
    monkeypatch.setattr(module, f"write_{command}", stopped)
    folder = tmp_path / "of mine"
    result = invoke(command, file, "--out", str(folder))
    assert result.exit_code == 130
    kept = f'interrupted; 84 of 84 {of} are kept in {folder}; go on with --resume --out "{folder}"'
    assert kept in " ".join(result.stderr.split())
