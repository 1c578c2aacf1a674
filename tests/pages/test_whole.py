"""The program as a user starts it: what it prints, what it leaves, and what it leaves when it is stopped."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

import tipline
from cases import brief_breakthrough
from tipline.results import Run

SCENARIO = brief_breakthrough("Front-left tyre breaks through, short", 'mass = "4 t"\nweight_from = "drawing"')


ON_A_SLAB = (
    *(
        "--spread",
        "0",
        "--floor-spread",
        "500",
        "--set",
        "floor=demo-hall-c",
        "--set",
        "setup.position=['6 m', '4.5 m']",
    ),
    *("--set", "load.mass=1.5 t", "--set", "setup.speed=6 km/h", "--set", "run.extend_to=0.5 s"),
)
"""The truck rolling over a slab whose strength is a wide band: every draw is a run of its own."""


@pytest.fixture
def scenario(tmp_path: Path) -> Path:
    path = tmp_path / "mini.toml"
    path.write_text(SCENARIO, encoding="utf-8")
    return path


def tipline_command(*words: object, cwd: Path, before: str = "") -> subprocess.CompletedProcess[str]:
    """Run the command line in a child, after `before` (Python text)."""
    code = f"{before}\nfrom tipline.cli import main\nmain()"
    command = [sys.executable, "-c", code, *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, check=False, cwd=cwd)


def names_in(folder: Path) -> list[str]:
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())


def test_run_leaves_a_whole_folder_and_prints_the_page(scenario: Path, tmp_path: Path) -> None:
    done = tipline_command("run", scenario, "--no-pictures", cwd=tmp_path)
    assert done.returncode == 0, done.stderr[-2000:]
    folder = tmp_path / "runs" / "mini"
    assert names_in(folder) == [
        "inputs/demo-hall-a.toml",
        "inputs/demo-truck-a.toml",
        "inputs/mini.toml",
        "inputs/resolved.toml",
        "replay.html",
        "report.html",
        "report.json",
        "run.parquet",
        "summary.json",
    ]
    summary = json.loads((folder / "summary.json").read_text(encoding="utf-8"))
    assert summary["scenario"] == "Front-left tyre breaks through, short"
    assert summary["demo"] is True
    assert summary["left_out"] == ["stills, film and plots: not asked for (--no-pictures)"]
    run = Run.from_parquet(folder / "run.parquet")
    loads = sum(run.series(f"tyre_load.{name}", "kN")[0] for name in run.tyres)
    assert loads == pytest.approx(summary["rest"]["weight_kN"], rel=1e-3)
    for name, peak in summary["peak"]["tyre_loads_kN"].items():
        assert np.max(run.series(f"tyre_load.{name}", "kN")) == pytest.approx(peak["value"], rel=1e-5)
    assert summary["outcome"]["heading"] in done.stdout
    assert "DEMO" in done.stdout
    assert "Written to runs/mini/" in done.stdout
    assert "simulating ..." in done.stderr
    assert "simulating the spread ..." in done.stderr
    assert summary["spread"]["runs"] == 50
    assert f"stayed up in {summary['spread']['stayed_up']} of 50 runs" in done.stdout


@pytest.mark.slow
def test_json_prints_the_summary_and_nothing_else(scenario: Path, tmp_path: Path) -> None:
    words = ("--no-pictures", "--json", "--quiet", "--out", "a", "--spread", 0)
    done = tipline_command("run", scenario, *words, cwd=tmp_path)
    assert done.returncode == 0, done.stderr[-2000:]
    summary = json.loads((tmp_path / "a" / "summary.json").read_text(encoding="utf-8"))
    assert json.loads(done.stdout) == summary
    assert done.stderr == ""


@pytest.mark.slow
def test_without_a_spread_only_that_is_said_of_it(scenario: Path, tmp_path: Path) -> None:
    words = ("--no-pictures", "--quiet", "--out", "a", "--spread", 0)
    done = tipline_command("run", scenario, *words, cwd=tmp_path)
    assert done.returncode == 0, done.stderr[-2000:]
    summary = json.loads((tmp_path / "a" / "summary.json").read_text(encoding="utf-8"))
    assert summary["spread"] is None
    assert "--spread 0" in summary["null_because"]["spread"]
    assert summary["null_because"]["spread"] in summary["left_out"]
    page = (tmp_path / "a" / "report.html").read_text(encoding="utf-8").replace("\u00a0", " ")
    for told in (" ".join(done.stdout.split()), " ".join(page.split())):
        assert "no further runs were asked for (--spread 0, or run.spread in the scenario)" in told
        assert told.count("could go either way") == 1
        for words_of_it in ("stayed up in", "Over the range of load", "What was varied", "This one by"):
            assert words_of_it not in told, words_of_it


@pytest.mark.slow
def test_check_prints_a_page_and_leaves_a_folder_only_when_asked(scenario: Path, tmp_path: Path) -> None:
    done = tipline_command("check", scenario, cwd=tmp_path)
    assert done.returncode in (0, 4), done.stderr[-2000:]
    assert "This holds only while" in done.stdout
    assert names_in(tmp_path) == ["mini.toml"]
    done = tipline_command("check", scenario, "--out", "pose", cwd=tmp_path)
    assert done.returncode in (0, 4), done.stderr[-2000:]
    assert {"report.html", "summary.json", "inputs/resolved.toml"} <= set(names_in(tmp_path / "pose"))


def test_check_imports_no_engine_and_no_pictures(scenario: Path, tmp_path: Path) -> None:
    heavy = ("pybullet", "numba", "pyvista", "vtkmodules", "matplotlib", "pandas", "pyarrow")
    before = f"""
import sys
for name in {heavy!r}:
    sys.modules[name] = None
"""
    done = tipline_command("check", scenario, cwd=tmp_path, before=before)
    assert done.returncode in (0, 4), done.stderr[-2000:]


@pytest.mark.slow
def test_without_pybullet_run_leaves_the_same_files_and_says_who_worked_it_out(scenario: Path, tmp_path: Path) -> None:
    hidden, words = "import sys; sys.modules['pybullet'] = None", ("--no-pictures", "--spread", 0)
    for out, before in (("with", ""), ("without", hidden)):
        done = tipline_command("run", scenario, *words, "--out", out, cwd=tmp_path, before=before)
        assert done.returncode == 0, done.stderr[-2000:]
    assert names_in(tmp_path / "with") == names_in(tmp_path / "without")
    given, other = (json.loads((tmp_path / out / "summary.json").read_text("utf-8")) for out in ("with", "without"))
    assert given["outcome"] == other["outcome"]
    assert other["engine"] == "compiled"
    page = (tmp_path / "without" / "report.html").read_text(encoding="utf-8").replace("\u00a0", " ")
    assert "Tipline's own compiled engine" in page.replace("&#39;", "'")
    done = tipline_command("run", scenario, "--engine", "pybullet", "--out", "asked", cwd=tmp_path, before=hidden)
    assert done.returncode == 1
    assert "pybullet is not installed" in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "asked").exists()


@pytest.mark.slow
def test_without_opengl_the_rest_is_delivered(scenario: Path, tmp_path: Path) -> None:
    before = "from tipline.view import gl\ngl.probe = lambda *_: 'no OpenGL library was found'"
    done = tipline_command("run", scenario, "--out", "a", "--spread", 0, cwd=tmp_path, before=before)
    assert done.returncode == 0, done.stderr[-2000:]
    assert "no OpenGL library was found" in done.stdout
    names = names_in(tmp_path / "a")
    assert {"report.html", "run.parquet", "summary.json"} <= set(names)
    assert not [name for name in names if name.endswith((".mp4", ".png", ".jpg"))]
    assert "data:image/svg" in (tmp_path / "a" / "report.html").read_text(encoding="utf-8"), "plots need no OpenGL"


@pytest.mark.slow
def test_a_floor_that_may_break_is_run_over_the_range_of_its_strength(tmp_path: Path) -> None:
    name = "stop-with-the-load-up-breaks-a-slab"
    words = ("--spread", 0, "--no-pictures", "--set", "load.mass=3.6 t", "--set", "run.duration=2.5 s")
    done = tipline_command("run", name, *words, "--floor-spread", 8, "--out", "a", cwd=tmp_path)
    assert done.returncode == 0, done.stderr[-2000:]
    assert "simulating the range of the floor's strength ..." in done.stderr
    found = json.loads((tmp_path / "a" / "summary.json").read_text(encoding="utf-8"))["floor_spread"]
    assert found["runs"] == 8
    assert 0 < found["broke"] < 8
    assert sum(found["truck"].values()) == 8
    assert found["could_go_either_way"] is True
    strength = found["breaks_at_tyre_load_kN"]
    assert strength["low"] < strength["likely"] < strength["high"]
    assert f"The floor breaks in {found['broke']} of 8 runs." in done.stdout
    done = tipline_command("run", name, *words, "--floor-spread", 0, "--json", "--quiet", "--out", "b", cwd=tmp_path)
    assert json.loads(done.stdout)["floor_spread"] is None
    assert done.stderr == ""
    done = tipline_command("run", name, "--floor-spread", 501, cwd=tmp_path)
    assert done.returncode == 2
    assert "--floor-spread" in done.stderr


@pytest.mark.parametrize(
    ("ending", "stage", "settings"),
    [
        pytest.param(
            signal.SIGINT,
            "simulating",
            ("--set", "run.duration=100 s", "--set", "run.extend_to=100 s"),
            marks=pytest.mark.slow,
        ),
        pytest.param(
            signal.SIGTERM,
            "simulating",
            ("--set", "run.duration=100 s", "--set", "run.extend_to=100 s"),
            marks=pytest.mark.slow,
        ),
        pytest.param(signal.SIGINT, "simulating the spread", ("--spread", "500"), marks=pytest.mark.slow),
        pytest.param(signal.SIGINT, "simulating the range of the floor's strength", ON_A_SLAB, marks=pytest.mark.slow),
        pytest.param(signal.SIGTERM, "simulating the range of the floor's strength", ON_A_SLAB, marks=pytest.mark.slow),
    ],
)
def test_stopping_a_run_leaves_nothing(
    scenario: Path, tmp_path: Path, ending: signal.Signals, stage: str, settings: tuple[str, ...]
) -> None:
    command = [sys.executable, "-m", "tipline", "run", str(scenario), "--no-pictures", *settings]
    with subprocess.Popen(command, cwd=tmp_path, stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as child:
        assert child.stderr is not None
        for line in child.stderr:
            if stage in line:
                break
        time.sleep(0.2)
        for _ in range(3):  # the impatient ones must not disturb the clearing up
            child.send_signal(ending)
            time.sleep(0.05)
        out, err = child.communicate(timeout=30)
    assert child.returncode == 128 + ending, err
    assert "interrupted" in err
    assert "Traceback" not in err
    known = stage.startswith("simulating the ")  # further runs, after the outcome has been told
    assert [line.partition(":")[0] for line in out.split("\n") if line] == ["truck", "lifted load", "floor"] * known
    assert [path.name for path in tmp_path.iterdir()] == ["mini.toml"]


@pytest.mark.slow
def test_a_bad_value_gives_one_message_and_writes_nothing(scenario: Path, tmp_path: Path) -> None:
    done = tipline_command("run", scenario, "--set", "event.0.depth=95", cwd=tmp_path)
    assert done.returncode == 2
    assert "event.0.depth" in done.stderr
    assert "Traceback" not in done.stderr
    assert names_in(tmp_path) == ["mini.toml"]


@pytest.mark.slow
def test_run_with_pictures_puts_them_into_the_report(scenario: Path, tmp_path: Path) -> None:
    """Without the film, which takes most of the time: `tests/browser/test_report_page.py` has one made."""
    from tipline.view import gl

    missing = gl.probe()
    if missing:
        pytest.skip(missing)
    done = tipline_command("run", scenario, "--draft", "--no-film", "--out", "a", "--spread", 0, cwd=tmp_path)
    assert done.returncode == 0, done.stderr[-2000:]
    page = (tmp_path / "a" / "report.html").read_text(encoding="utf-8")
    assert page.count('<img src="data:image/png') == 3
    assert page.count('<img src="data:image/svg') == 3
    summary = json.loads((tmp_path / "a" / "summary.json").read_text(encoding="utf-8"))
    assert sorted(summary["left_out"]) == ["film: not asked for (--no-film)", summary["null_because"]["spread"]]


@pytest.mark.slow
def test_python_gives_typed_results(scenario: Path) -> None:
    result = tipline.run(scenario, {"event.0.depth": "40 mm"}, spread=0)
    assert isinstance(result.run, Run)
    assert result.case.scenario.event[0].depth == pytest.approx(0.04)
    assert set(result.report.distances) == {"front", "back", "left", "right"}
    assert len(repr(result)) < 7000, "no arrays in it"
    assert repr(result.run).startswith("<Run 'Front-left tyre breaks through, short': ")
    assert repr(result.case).startswith("<Case 'Front-left tyre breaks through, short': machine 'demo-truck-a'")
    pose = tipline.check(result.case)
    assert sum(pose.tyre_loads.values()) == pytest.approx(pose.weight, rel=1e-6)


def test_importing_the_package_imports_nothing_heavy() -> None:
    code = "import sys, tipline; print(*sorted(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert not {"numpy", "pydantic", "pybullet", "pyvista"} & set(done.stdout.split())
