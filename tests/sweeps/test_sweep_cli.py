"""The sweep command: folder, exit codes, the answer read back, resume without a folder named; the shipped sweeps."""

from __future__ import annotations

import json
import resource
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import failing
import numpy as np
import pyarrow.parquet as pq
import pytest
from typer.testing import CliRunner, Result

from tipline import cli
from tipline.commands.sweep import sweep
from tipline.sweeps import execute
from tipline.sweeps.job import Row
from tipline.sweeps.store import Store

Invoke = Callable[..., Result]

SWEEP = """
title = "holes and slabs"
question = "what decides"
scenario = "front-tyre-breaks-through-load-high"
method = "latin-hypercube"
runs = 12
[set]
"run.duration" = "2.5 s"
"run.extend_to" = "2.5 s"
[[variable]]
key = "event.0.depth"
least = "60 mm"
most = "160 mm"
"""


@pytest.fixture
def invoke(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Invoke:
    monkeypatch.chdir(tmp_path)
    Path("sweep.toml").write_text(SWEEP, encoding="utf-8")
    return lambda *words: CliRunner().invoke(cli.app, [str(word) for word in words])


def test_a_sweep_leaves_its_folder_and_says_what_it_found(invoke: Invoke) -> None:
    result = invoke("sweep", "sweep.toml", "--out", "out", "--quiet")
    assert result.exit_code == 0, result.stderr
    assert {path.name for path in Path("out").iterdir()} == {
        "sweep.html", "report.json", "summary.json", "sweep.json", "sweep.parquet", "shares.svg", "effects.svg",
        "inputs.svg", "inputs",
    }  # fmt: skip
    assert {path.name for path in Path("out/inputs").iterdir()} == {
        "sweep.toml", "front-tyre-breaks-through-load-high.toml", "demo-truck-a.toml", "demo-hall-a.toml",
        "resolved.toml",
    }  # fmt: skip
    told = json.loads(Path("out/summary.json").read_text(encoding="utf-8"))
    table = pq.read_table("out/sweep.parquet")
    over = int(np.sum(table.column("truck").to_numpy(zero_copy_only=False) == "over"))
    assert told["with_outcome"]["count"] == over
    assert f"{over} of 12 runs went over" in " ".join(result.stdout.split())
    page = Path("out/sweep.html").read_text(encoding="utf-8").replace("\u00a0", " ")
    assert f"{over} of 12 runs went over" in page
    assert page.count("<figure ") == 3
    assert "Fewer than 100 runs: the shares are rough." in page


@pytest.mark.slow
def test_json_units_and_no_pictures(invoke: Invoke) -> None:
    result = invoke(
        "sweep", "sweep.toml", "--set", "runs=3", "--out", "out", "--json", "--no-pictures", "--units", "us"
    )
    assert result.exit_code == 0, result.stderr
    assert json.loads(result.stdout)["rows"] == 3
    assert not list(Path("out").glob("*.svg"))
    assert "any value from 2.36 in to 6.3 in" in Path("out/sweep.html").read_text(encoding="utf-8").replace(
        "\u00a0", " "
    )


@pytest.mark.slow
def test_interrupted_it_says_what_is_kept_and_resume_finds_the_folder(
    invoke: Invoke, monkeypatch: pytest.MonkeyPatch
) -> None:
    write = Store.write

    def interrupted(store: Store, number: int, rows: Sequence[Row]) -> None:
        if number == 4:
            raise KeyboardInterrupt
        write(store, number, rows)

    with monkeypatch.context() as patch:
        patch.setattr(Store, "write", interrupted)
        result = invoke("sweep", "sweep.toml", "--quiet")
    assert result.exit_code == 130
    assert "4 of 12 rows are kept in runs/sweep-sweep; go on with --resume" in result.stderr
    assert invoke("sweep", "sweep.toml", "--out", "runs/sweep-sweep", "--quiet").exit_code == 2
    again = invoke("sweep", "sweep.toml", "--resume", "--quiet")
    assert again.exit_code == 0, again.stderr
    assert "\nWritten to runs/sweep-sweep/\nReport: runs/sweep-sweep/sweep.html\n" in again.stdout
    assert len(pq.read_table("runs/sweep-sweep/sweep.parquet")) == 12


@pytest.mark.parametrize("more", [(), ("--out", "absent")])
def test_resume_without_a_sweep_to_go_on_with_is_exit_2(invoke: Invoke, more: tuple[str, ...]) -> None:
    result = invoke("sweep", "sweep.toml", "--resume", "--quiet", *more)
    assert result.exit_code == 2
    assert "there is no sweep to go on with. Leave --resume out to begin it" in " ".join(result.stderr.split())
    assert not Path("absent").exists()
    assert not Path("runs").exists()


def test_a_wrong_file_is_one_message_and_exit_2(invoke: Invoke) -> None:
    result = invoke("sweep", "sweep.toml", "--set", "method=guess")
    assert result.exit_code == 2
    assert result.stderr.splitlines()[-1].startswith("tipline: from --set: method")
    assert not Path("runs").exists()


@pytest.mark.parametrize(("count", "size"), [("-1", "small"), ("0", "small"), ("1000", "large")])
def test_a_number_of_workers_that_cannot_be_is_told_with_what_can(invoke: Invoke, count: str, size: str) -> None:
    result = invoke("sweep", "sweep.toml", "--workers", count, "--out", "out")
    assert result.exit_code == 2
    told = " ".join(result.stderr.replace("│", " ").split())
    assert f"'--workers': {count} is too {size}. Give a whole number from 1 to 256" in told
    assert not Path("out").exists()


@pytest.mark.parametrize(
    ("limit", "said"), [("5", "a number without a unit"), ("0.5 s", "must be from 1 s to 29 days")]
)
def test_a_time_for_a_run_that_cannot_be_is_refused(invoke: Invoke, limit: str, said: str) -> None:
    result = invoke("sweep", "sweep.toml", "--give-up-after", limit, "--quiet")
    assert result.exit_code == 2
    assert f"--give-up-after = {limit}: {said}" in " ".join(result.stderr.split())
    assert not Path("runs").exists()


@pytest.mark.slow
def test_a_sweep_without_any_result_exits_3(invoke: Invoke, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(execute, "each_row", failing.no_row)
    result = invoke("sweep", "sweep.toml", "--out", "out", "--quiet")
    assert result.exit_code == 3
    assert "no run has a result" in result.stdout.lower()
    assert "12 of 12 rows have no result: no run here" in " ".join(result.stdout.split())


@pytest.mark.slow
def test_a_file_that_the_disk_does_not_take_is_told(invoke: Invoke, tmp_path: Path) -> None:
    """The system's own limit on the size of a file, smaller than a chunk's file."""
    done = subprocess.run(
        [sys.executable, "-m", "tipline", "sweep", "sweep.toml", "--out", "out", "--quiet"],
        capture_output=True,
        text=True,
        check=False,
        cwd=tmp_path,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (8192, 8192)),
    )
    assert done.returncode == 2
    assert "File too large; 0 of 12 rows are kept in out. Make room" in done.stderr
    assert "Traceback" not in done.stderr
    assert not list((tmp_path / "out" / "parts").iterdir())
    assert invoke("sweep", "sweep.toml", "--out", "out", "--quiet", "--resume").exit_code == 0


@pytest.mark.slow
def test_trucks_with_other_tyres_may_stand_in_one_sweep(invoke: Invoke) -> None:
    text = SWEEP.replace('"latin-hypercube"\nruns = 12', '"grid"').replace(
        'least = "60 mm"\nmost = "160 mm"', 'values = ["80 mm"]'
    )
    text = text.replace("front-tyre-breaks-through-load-high", "unladen-counterweight-out-falls-back")
    text = text[: text.index("[[variable]]")] + (
        '[[variable]]\nkey = "machine"\nvalues = ["demo-truck-a", "demo-truck-c"]\n'
    )
    Path("sweep.toml").write_text(text, encoding="utf-8")
    table = sweep("sweep.toml").table
    assert list(table.column("machine")) == ["demo-truck-a", "demo-truck-c"]


@pytest.mark.slow
def test_the_shipped_sweep_of_slopes_agrees_with_statics() -> None:
    """Sideways at 4 m the deformed statics tip at 26.5 %; the slow turn goes over within a percent of slope above."""
    changes = {"variable.0.values": '["90 deg"]', "variable.1.values": '["4 m"]'}
    (found,) = sweep("slope-at-which-it-goes-over", changes).report.thresholds
    at = 100.0 * np.tan(found.at)
    print(f"\nswept {at:.2f} %, statics 26.5 %")
    assert 26.0 < at < 27.5
    assert found.direction == "left"


@pytest.mark.slow
def test_the_shipped_sweep_of_a_breakthrough_depends_on_depth_most() -> None:
    """And none of the lowest third of depths tips: the hole-depth limit of the set-up lies above it."""
    report = sweep("one-front-tyre-breaks-through", {"runs": "120"}).report
    assert report.lost == 0
    assert report.effects[0].label == "hole depth"
    low, _, high = report.effects[0].groups
    assert low.share.share < 0.1
    assert high.share.share > 0.9
    assert report.asked is not None
    assert 0.35 < report.asked.share < 0.75
