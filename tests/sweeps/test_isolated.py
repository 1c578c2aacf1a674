"""A run that ends its process, or never ends, costs its own row, with one process, with two, and after a resume."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import failing
import pyarrow.parquet as pq
import pytest

from tipline import children
from tipline.commands.sweep import sweep
from tipline.errors import TiplineError
from tipline.scenario.sweep_reader import read_sweep
from tipline.sweeps import execute, isolated
from tipline.sweeps.execute import run_missing
from tipline.sweeps.isolated import Child, Lost, rows_apart
from tipline.sweeps.job import Job, each_row, job_of, run_rows
from tipline.sweeps.store import Store

HEAD = """
title = "t"
scenario = "front-tyre-breaks-through-load-high"
[set]
"run.duration" = "2.5 s"
"run.extend_to" = "2.5 s"
"""
DRAWN = 'method = "monte-carlo"\nruns = 120\n' + HEAD  # three runs a chunk
DEPTH = '[[variable]]\nkey = "event.0.depth"\nleast = "60 mm"\nmost = "160 mm"\n'
PATIENCE = 600.0
FAILS = 7
Fails = Callable[[dict[int, str]], Path]
COMMAND = (
    "import failing; from tipline.sweeps import execute; execute.each_row = failing.each_row; "
    "from tipline.__main__ import main; main()"
)
"""The command line with rows that fail."""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "sweep.toml"
    path.write_text(DRAWN + DEPTH, encoding="utf-8")
    return path


@pytest.fixture
def fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Fails:
    """Let runs fail, each in such a way; return the file of who tried them."""

    def so(how: dict[int, str]) -> Path:
        noted = tmp_path / "noted"
        noted.unlink(missing_ok=True)
        monkeypatch.setenv("FAILING", json.dumps(how))
        monkeypatch.setenv("NOTED", str(noted))
        monkeypatch.setattr(execute, "each_row", failing.each_row)
        return noted

    return so


def begun(file: Path, out: Path) -> tuple[Job, Store]:
    made = job_of(read_sweep(file))
    return made, Store(out, made)


def table(file: Path, out: Path, workers: int, limit: float = PATIENCE) -> bytes:
    made, kept = begun(file, out)
    run_missing(made, kept, limit, workers)
    return kept.finish().read_bytes()


def wait(happens: Callable[[], bool], seconds: float = 120.0) -> None:
    end = time.monotonic() + seconds
    while not happens():
        assert time.monotonic() < end, "it did not happen"
        time.sleep(0.02)


def tried(noted: Path) -> list[int]:
    """The processes that tried a run that fails."""
    return [int(line.split()[1]) for line in noted.read_text(encoding="utf-8").splitlines()] if noted.exists() else []


def prefixed(monkeypatch: pytest.MonkeyPatch, statement: str) -> None:
    """Have every child execute a statement before it serves."""
    plain = "from importlib import import_module;"
    assert plain in children.COMMAND
    monkeypatch.setattr(children, "COMMAND", children.COMMAND.replace(plain, f"{statement}; {plain}"))


def gone(pid: int) -> bool:
    return not Path(f"/proc/{pid}").exists()


@pytest.mark.slow
def test_a_run_that_ends_its_process_or_never_ends_costs_its_own_row(file: Path, tmp_path: Path, fails: Fails) -> None:
    reasons = {
        7: "the run ended the process it ran in, and again when it was tried alone",
        8: "the run took longer than 2 s, and again when it was tried alone",
        80: "the run ended the process it ran in; when it was tried alone it took longer than 2 s",
        81: "the run ran out of memory, and again when it was tried alone",
    }
    made = job_of(read_sweep(file))
    good, tables = run_rows(made, range(made.rows)), []
    for workers in (1, 2):
        noted = fails({7: "kill", 8: "hang", 80: "segfault hang", 81: "memory"})
        tables.append(table(file, tmp_path / str(workers), workers, limit=2.0))
        processes = tried(noted)
        assert len(set(processes)) == len(processes) == 8
        assert all(gone(pid) for pid in processes)
    assert tables[0] == tables[1]
    rows = pq.read_table(tmp_path / "1" / "sweep.parquet").to_pylist()
    for index, reason in reasons.items():
        assert (rows[index]["truck"], rows[index]["reason"]) == ("no result", reason)
        assert rows[index]["event.0.depth"] == good[index]["event.0.depth"]
    rows, good = ([row for row in those if row["run"] not in reasons] for those in (rows, good))
    assert repr(rows) == repr([{name: row.get(name) for name in rows[0]} for row in good])


@pytest.mark.slow
def test_processes_of_one_sweep_go_on_with_the_next_and_end_when_nobody_needs_them(tmp_path: Path) -> None:
    """One that has ended while it waited, as one nobody asks for long does, is begun anew."""
    files = [tmp_path / f"{number}.toml" for number in (1, 2, 3)]
    for own, depth in zip(files, ("160 mm", "150 mm", "140 mm"), strict=True):
        own.write_text(DRAWN.replace("120", "12") + DEPTH.replace("160 mm", depth), encoding="utf-8")
    alone = [table(own, tmp_path / f"{own.stem} alone", 2) for own in files]
    with execute.idle_children() as idle:
        pids, tables = [], []
        for own in files:
            made, kept = begun(own, tmp_path / own.stem)
            run_missing(made, kept, PATIENCE, 2, idle=idle)
            tables.append(kept.finish().read_bytes())
            pids.append({child.pid for child in idle})
            if own is files[1]:
                os.kill(max(pid for pid in pids[-1] if pid), signal.SIGKILL)
    assert tables == alone
    assert pids[0] == pids[1]
    assert len(pids[1] & pids[2]) == 1
    assert all(gone(pid) for those in pids for pid in those if pid)


@pytest.mark.slow
def test_resumed_after_the_parent_was_killed_beside_such_a_run_the_table_is_whole(
    file: Path, tmp_path: Path, fails: Fails
) -> None:
    fails({FAILS: "kill"})
    want = table(file, tmp_path / "want", 1)
    noted = fails({FAILS: "kill"})
    surroundings = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    words = [sys.executable, "-c", COMMAND, "sweep", str(file), "--workers", "1", "--out", str(tmp_path / "out")]
    for resume in ([], ["--resume"]):
        seen = len(tried(noted))
        going = subprocess.Popen([*words, *resume, "--quiet"], stderr=subprocess.PIPE, env=surroundings)
        wait(lambda seen=seen: len(tried(noted)) > seen)  # type: ignore[misc]
        going.kill()
        going.communicate()
    assert not (tmp_path / "out" / "sweep.parquet").exists()
    done = subprocess.run(
        [*words, "--resume", "--quiet"], capture_output=True, text=True, check=False, env=surroundings
    )
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "out" / "sweep.parquet").read_bytes() == want
    assert json.loads((tmp_path / "out" / "summary.json").read_text(encoding="utf-8"))["without_result"] == 1


@pytest.mark.slow
def test_a_run_that_never_ends_does_not_outlive_a_killed_parent(file: Path, tmp_path: Path, fails: Fails) -> None:
    noted = fails({FAILS: "hang"})
    words = [sys.executable, "-c", COMMAND, "sweep", str(file), "--give-up-after", "3 s", "--out", str(tmp_path / "o")]
    going = subprocess.Popen(
        words, stderr=subprocess.DEVNULL, env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    )
    wait(lambda: len(tried(noted)) == 1)
    going.kill()
    going.wait()
    (child,) = tried(noted)
    assert not gone(child)
    wait(lambda: gone(child), 30.0)


@pytest.mark.slow
@pytest.mark.parametrize("workers", [1, 2])
def test_ctrl_c_does_not_wait_for_a_run_that_never_ends(file: Path, tmp_path: Path, fails: Fails, workers: int) -> None:
    noted = fails({FAILS: "hang"})
    words = [sys.executable, "-c", COMMAND, "sweep", str(file), "--quiet", "--out", str(tmp_path / "o")]
    going = subprocess.Popen(
        [*words, "--workers", str(workers)],
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)},
    )
    wait(lambda: len(tried(noted)) == 1)
    os.killpg(going.pid, signal.SIGINT)
    _, said = going.communicate(timeout=60)  # a run may take an hour
    assert said.startswith("tipline: interrupted; ")
    assert said.count("\n") == 1
    (child,) = tried(noted)
    assert gone(child)


@pytest.mark.slow
@pytest.mark.parametrize("method", ["monte-carlo", "threshold"])
def test_the_limit_is_for_one_run_whatever_a_chunk_or_a_row_takes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, method: str
) -> None:
    """Three runs a chunk, or five and more a row, each of a third of a second and all in a process of their own."""
    if method == "threshold":
        sought = '[threshold]\nkey = "event.0.depth"\nleast = "60 mm"\nmost = "160 mm"\nwithin = "50 mm"\n'
        text = 'method = "threshold"\n' + HEAD + sought
    else:
        text = DRAWN + DEPTH
    (tmp_path / "sweep.toml").write_text(text, encoding="utf-8")
    made = job_of(read_sweep(tmp_path / "sweep.toml"))
    indices = range(min(4, made.rows))
    child = Child(made, failing.slow_row, 1.0)
    try:
        assert repr(child.rows(indices)) == repr(run_rows(made, indices))
    finally:
        child.bury()


@pytest.mark.slow
def test_a_run_that_runs_out_of_memory_costs_its_own_row_and_the_page_says_so(
    file: Path, tmp_path: Path, fails: Fails
) -> None:
    noted = fails({FAILS: "memory"})
    result = sweep(file, {"runs": "12"}, tmp_path / "out")
    assert [index for index, word in enumerate(result.table.column("truck")) if word == "no result"] == [FAILS]
    assert len(set(tried(noted))) == 2
    why = "1 of 12 rows have no result: the run ran out of memory, and again when it was tried alone"
    assert any(why in text for text in result.report.sentences)
    assert result.report.lost == 1


@pytest.mark.slow
@pytest.mark.parametrize("workers", [0, 1])
def test_a_run_that_the_system_refuses_something_costs_its_own_row(
    file: Path, tmp_path: Path, fails: Fails, monkeypatch: pytest.MonkeyPatch, workers: int
) -> None:
    noted = fails({FAILS: "disk"})
    monkeypatch.setattr(execute, "run_rows", failing.run_rows)
    result = sweep(file, {"runs": "12"}, tmp_path / "out", workers=workers)
    assert [index for index, word in enumerate(result.table.column("truck")) if word == "no result"] == [FAILS]
    told = "the run was refused something by the system (No space left on device)"
    assert result.table.column("reason")[FAILS].startswith(told)
    assert len(set(tried(noted))) == workers + 1, "once more alone, in another process"


@pytest.mark.slow
def test_a_child_that_is_held_from_outside_is_ended_by_its_parents_clock(
    file: Path, tmp_path: Path, fails: Fails, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(isolated, "GRACE", 1.0)
    noted = fails({FAILS: "stop"})
    result = sweep(file, {"runs": "12"}, tmp_path / "out", give_up_after="2 s")
    assert [index for index, word in enumerate(result.table.column("truck")) if word == "no result"] == [FAILS]
    assert result.table.column("reason")[FAILS].startswith("the run took longer than 2 s, and again when")
    assert all(gone(pid) for pid in tried(noted))


@pytest.mark.slow
def test_a_child_held_while_it_waits_costs_no_row(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(isolated, "GRACE", 0.5)
    made = job_of(read_sweep(file))
    child = Child(made, each_row, 2.0)
    try:
        first = child.rows([1])
        held = child.pid
        assert held is not None
        os.kill(held, signal.SIGSTOP)
        assert repr([*first, *child.rows([2])]) == repr(run_rows(made, [1, 2]))
        assert child.pid != held
    finally:
        child.bury()


@pytest.mark.slow
def test_a_process_that_ended_as_it_waited_is_started_anew_and_costs_no_row(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = job_of(read_sweep(file))
    prefixed(monkeypatch, "import tipline.sweeps.isolated as i; i.IDLE = 0.2")
    child = Child(made, each_row, PATIENCE)
    try:
        first = child.rows([1, 0])
        before = child.pid
        assert before is not None
        os.waitid(os.P_PID, before, os.WEXITED | os.WNOWAIT)
        assert repr([*first, *child.rows([5])]) == repr(run_rows(made, [1, 0, 5]))
        assert child.pid != before
    finally:
        child.bury()


@pytest.mark.slow
def test_a_scenario_that_ends_the_process_as_it_is_does_not_stop_the_sweep(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = job_of(read_sweep(file))
    prefixed(monkeypatch, "import os, tipline.sweeps.isolated as i; i.warm = lambda _: os._exit(3)")
    child = Child(made, each_row, PATIENCE)
    try:
        assert repr(child.rows([3])) == repr(run_rows(made, [3]))
    finally:
        child.bury()


@pytest.mark.parametrize("before_it_is_asked", [False, True])
def test_processes_that_cannot_start_are_told(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, before_it_is_asked: bool
) -> None:
    class Ended(subprocess.Popen[bytes]):
        def __init__(self, *words: Any, **ways: Any) -> None:
            super().__init__(*words, **ways)
            os.waitid(os.P_PID, self.pid, os.WEXITED | os.WNOWAIT)

    if before_it_is_asked:
        monkeypatch.setattr(subprocess, "Popen", Ended)
    made, kept = begun(file, tmp_path / "out")
    monkeypatch.setattr(children, "COMMAND", "raise SystemExit(1)")
    with pytest.raises(TiplineError, match=r"no process for the runs can be started.*; 0 of 120 rows are kept in"):
        run_missing(made, kept, PATIENCE)
    monkeypatch.setattr(sys, "executable", str(tmp_path / "nothing"))
    with pytest.raises(TiplineError, match="can be started: No such file"):
        run_missing(made, kept, PATIENCE)


@pytest.mark.slow
def test_on_a_worker_of_a_cluster_runs_are_made_in_a_child_kept_for_the_next(file: Path, fails: Fails) -> None:
    fails({FAILS: "kill"})
    made = job_of(read_sweep(file))
    isolated.waiting.clear()
    rows = [*rows_apart(made, failing.each_row, PATIENCE, [6]), *rows_apart(made, failing.each_row, PATIENCE, [7, 8])]
    assert rows[1] == Lost(FAILS, "ended the process it ran in")
    assert repr([rows[0], rows[2]]) == repr(run_rows(made, [6, 8]))
    (kept,) = isolated.waiting
    other = rows_apart(made, each_row, PATIENCE + 1.0, [7])
    assert repr(other) == repr(run_rows(made, [7]))
    assert kept.pid is None
    (last,) = isolated.waiting
    last.bury()
    isolated.waiting.clear()


@pytest.mark.slow
def test_a_script_needs_no_guard_whatever_it_asks_for(file: Path, tmp_path: Path) -> None:
    script = tmp_path / "script.py"
    script.write_text(
        f"import tipline\nprint(tipline.sweep({str(file)!r}, {{'runs': '3'}}, workers=2).report.rows)\n",
        encoding="utf-8",
    )
    done = subprocess.run(
        [sys.executable, str(script)],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)},
    )
    assert (done.stdout, done.stderr) == ("3\n", "")
