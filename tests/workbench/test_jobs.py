"""Jobs: how many at a time, and that a child ends when nobody is there any more who asked."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Mapping
from pathlib import Path

import pytest

from tipline.commands.run import run
from tipline.errors import InputError
from tipline.workbench import jobs as room
from tipline.workbench.bench import FIRST
from tipline.workbench.jobs import MOST_AT_ONCE, BenchJob, Jobs
from tipline.workbench.worker import MOMENT, BenchTask


def test_what_loads_the_engine_ahead_is_a_run_that_is_not_refused() -> None:
    result = run(FIRST, MOMENT, spread=0, floor_spread=0)
    assert result.run.time[-1] == pytest.approx(0.02, abs=1e-3)


def test_what_a_child_tells_is_taken_in() -> None:
    job = BenchJob(BenchTask("run", "", ""))
    for news in (
        {"stage": "simulating", "part": 0.5},
        {"outcome": [["truck", "went over"], ["floor", "held"]]},
        {"replay": "replay.html"},
        {"drawn": [3, 10]},
    ):
        job.heard(news)
    assert (job.stage, job.part, job.outcome) == ("simulating", 0.5, (("truck", "went over"), ("floor", "held")))
    assert (job.replay, job.drawn, job.running) == (True, (3, 10), True)
    job.heard({"refused": "the search ran away", "numerical": True})
    assert (job.state, job.words, job.running) == ("numerical", "the search ran away", False)


def test_a_child_that_takes_nothing_in_yet_keeps_nobody_waiting_and_is_cancelled(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def still_loading(module: str, surroundings: Mapping[str, str]) -> subprocess.Popen[bytes]:
        return subprocess.Popen(["/bin/sleep", "600"], stdin=subprocess.PIPE, stdout=subprocess.PIPE)

    monkeypatch.setattr(room, "start_child", still_loading)
    jobs = Jobs(tmp_path / "runs")
    job = jobs.start(BenchTask("run", "", "", FIRST, files={"large.toml": "#" * 900_000}), "lift")
    jobs.cancel(job)
    for _ in range(600):
        if not job.running:
            break
        time.sleep(0.05)
    assert (job.state, job.words) == ("cancelled", "")
    jobs.end()


@pytest.mark.slow
def test_so_many_are_made_at_a_time_each_in_a_folder_of_its_own_and_all_end_with_who_asked(tmp_path: Path) -> None:
    jobs = Jobs(tmp_path / "runs")
    started = [
        jobs.start(BenchTask("run", "", "", FIRST, options={"stills": False}), "lift") for _ in range(MOST_AT_ONCE)
    ]
    assert len({job.folder for job in started}) == MOST_AT_ONCE
    with pytest.raises(InputError, match="results are being made already"):
        jobs.start(BenchTask("run", "", "", FIRST), "lift")
    jobs.end()
    for _ in range(600):
        if not any(job.running for job in started):
            break
        time.sleep(0.1)
    assert {job.state for job in started} <= {"cancelled", "crashed"}
    assert not (tmp_path / "runs").exists() or not list((tmp_path / "runs").iterdir())


@pytest.mark.slow
def test_a_child_whose_parent_has_gone_ends(tmp_path: Path) -> None:
    code = (
        "import sys, time; from pathlib import Path; from tipline.workbench.jobs import Jobs; "
        "jobs = Jobs(Path(sys.argv[1])); jobs.warm(); print(jobs.spare, flush=True); time.sleep(600)"
    )
    with subprocess.Popen(
        [sys.executable, "-P", "-c", code, str(tmp_path)], stdout=subprocess.PIPE, text=True
    ) as parent:
        assert parent.stdout is not None
        child = int(parent.stdout.readline())
        os.kill(child, 0)
        parent.send_signal(signal.SIGKILL)
    for _ in range(1200):
        stat = Path(f"/proc/{child}/stat")
        if not stat.exists() or stat.read_text().rpartition(")")[2].split()[0] == "Z":
            break
        time.sleep(0.1)
    else:
        pytest.fail("it is still there")
