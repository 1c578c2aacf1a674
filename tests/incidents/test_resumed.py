"""A case that was stopped, killed, or made on a cluster: tables and figures as of one made whole in this process."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from time import sleep

import pytest

import tipline
from tipline.commands.reconstruct import ReconstructResult
from tipline.report.incident import incident_summary

pytestmark = pytest.mark.slow
NAME = "truck-forward-on-its-load"
CHANGES = {"runs": 20, "rounds": 1, "keeps_up.runs": 0}


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("incident") / "whole"


@pytest.fixture(scope="module")
def whole(kept: Path) -> ReconstructResult:
    result = tipline.reconstruct(NAME, CHANGES, kept, workers=0)
    assert [len(tables) for tables in result.tables] == [2, 2, 2]
    return result


def same(result: ReconstructResult, whole: ReconstructResult) -> None:
    """Refuse what is not the same bits."""
    data = [[table.data for table in tables] for tables in result.tables]
    assert data == [[table.data for table in tables] for tables in whole.tables]
    assert incident_summary(result.report) == incident_summary(whole.report)


@pytest.mark.parametrize("stage", ["running 60 runs of 3 causes", "running 10 more"])
def test_a_case_broken_off_goes_on_to_the_same_bits(stage: str, tmp_path: Path, whole: ReconstructResult) -> None:
    """Stopped before the second cause, and in a round; then resumed."""

    def stop(said: str, part: float | None) -> None:
        if said.startswith(stage) and part is not None and part > 0.5:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        tipline.reconstruct(NAME, CHANGES, tmp_path / "broken", workers=0, progress=stop)
    same(tipline.reconstruct(NAME, CHANGES, tmp_path / "broken", workers=0, resume=True), whole)


def test_a_case_killed_midway_goes_on_to_the_same_bits(tmp_path: Path, whole: ReconstructResult) -> None:
    """The process ends without a word as it is in the first round."""
    out = tmp_path / "killed"
    typed = [f"--set={key}={value}" for key, value in CHANGES.items()]
    going = subprocess.Popen(
        [sys.executable, "-m", "tipline", "reconstruct", NAME, *typed, "--workers=1", "--out", str(out), "--quiet"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    until(lambda: (out / "runs" / "1-round-1").exists() or going.poll() is not None)
    going.kill()
    assert going.wait() == -9
    assert not (out / "summary.json").exists()
    same(tipline.reconstruct(NAME, CHANGES, out, workers=0, resume=True), whole)


def until(ready: Callable[[], bool]) -> None:
    """Look again until it is so."""
    while not ready():
        sleep(0.01)


def test_a_case_on_a_cluster_has_the_same_bits(tmp_path: Path, kept: Path, whole: ReconstructResult) -> None:
    """A scheduler with one worker, on this computer, makes the runs of a cause and its round anew."""
    distributed = pytest.importorskip("distributed")
    there = shutil.copytree(kept, tmp_path / "there")
    for place in ("1", "1-round-1"):
        shutil.rmtree(there / "runs" / place)
    with distributed.LocalCluster(n_workers=1, threads_per_worker=1, dashboard_address=None, processes=True) as cluster:
        address = cluster.scheduler_address
        same(tipline.reconstruct(NAME, CHANGES, there, scheduler=address, resume=True), whole)
    assert json.loads(json.dumps(incident_summary(whole.report), allow_nan=False))
