"""What another process compiles is what this one calls, and who needs it waits for it."""

from __future__ import annotations

import io
import os
import select
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tipline.engines import ahead
from tipline.engines.loop import Loop
from tipline.engines.prepare import Prepared, prepare, unposed
from tipline.engines.rolled import Rolling
from tipline.engines.stepped import Stepped
from tipline.engines.world import World
from tipline.kernels import compiled as kernels
from tipline.results import COMPILED, ENGINES
from trucks import FREE, HUNG, case, hole

HELD = FREE + hole("rear-left", "60 mm")


class Process:
    """A process that notes what is done with it."""

    def __init__(self, noted: list[str]) -> None:
        self.stdin, self.stdout, self._noted = io.BytesIO(), io.BytesIO(), noted

    def wait(self) -> None:
        self._noted.append("waited for")

    def kill(self) -> None:
        self._noted.append("ended")


def loop_of(engine: str, prepared: Prepared) -> Loop:
    if engine == COMPILED:
        return Rolling(prepared)
    pytest.importorskip("pybullet")
    return Stepped(prepared, World(prepared, 1e-3))


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize("text", [HUNG, HELD])
def test_a_case_without_its_pose_has_the_types_of_every_run(engine: str, text: str) -> None:
    """numba takes compiled code by the types of what a kernel is called with: one form of it serves every engine."""
    typeof = kernels.register().typeof
    ahead_of_it = [typeof(value) for value in Rolling(unposed(case(text))[0]).arguments(0, 0)]
    assert ahead_of_it == [typeof(value) for value in loop_of(engine, prepare(case(HUNG))).arguments(0, 1)]


def test_who_needs_a_kernel_waits_for_the_process_that_compiles_it(monkeypatch: pytest.MonkeyPatch) -> None:
    noted: list[str] = []
    process = Process(noted)
    monkeypatch.setattr(ahead, "kept", lambda _: False)
    monkeypatch.setattr(ahead, "start_child", lambda *_: noted.append("started") or process)
    kernels.compiled.cache_clear()
    with ahead.compiled_beside(case(HUNG), lambda: noted.append("idle"), lambda: noted.append("done meanwhile")):
        assert noted == ["started"]
        kernels.compiled("solve")
        assert noted == ["started"]
        for _ in range(2):
            kernels.compiled("roll_out")
            assert noted == ["started", "idle", "done meanwhile", "waited for"]
        assert not process.stdin.closed, "it ends when this is closed"
    assert noted == ["started", "idle", "done meanwhile", "waited for", "ended", "waited for"]
    assert process.stdin.closed


def test_where_all_is_compiled_a_core_is_idle_from_the_first(monkeypatch: pytest.MonkeyPatch) -> None:
    noted: list[str] = []
    monkeypatch.setattr(ahead, "kept", lambda _: True)
    with ahead.compiled_beside(case(HUNG), lambda: noted.append("idle"), lambda: noted.append("done meanwhile")):
        assert noted == ["idle"]


def test_where_no_process_can_be_started_nothing_is_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: Any) -> None:
        raise OSError

    monkeypatch.setattr(ahead, "kept", lambda _: False)
    monkeypatch.setattr(ahead, "start_child", refused)
    with ahead.compiled_beside(case(HUNG)):
        assert kernels.compiled("roll_out").py_func.__name__ == "roll_out"


ASKS = """
import sys, time
sys.path[:] = sys.argv[1:]
from tipline.engines import ahead
from trucks import HUNG, case
start = ahead.start_child
def told(*of):
    process = start(*of)
    print(process.pid, flush=True)
    return process
ahead.start_child = told
with ahead.compiled_beside(case(HUNG)):
    print("asked", flush=True)
    time.sleep(600)
"""


@pytest.mark.slow
def test_the_process_that_compiles_ends_with_who_asked_for_it(tmp_path: Path) -> None:
    """Who is killed ends nothing: that its pipe is closed then is what tells. It compiled on for most of a minute."""
    nothing_kept = {name: value for name, value in os.environ.items() if name != "NUMBA_CACHE_DIR"}
    nothing_kept["XDG_CACHE_HOME"] = str(tmp_path)
    words = [sys.executable, "-c", ASKS, *sys.path]
    with subprocess.Popen(words, stdout=subprocess.PIPE, env=nothing_kept) as asker:
        assert asker.stdout is not None
        child = os.pidfd_open(int(asker.stdout.readline()))
        assert asker.stdout.readline() == b"asked\n"
        assert select.select([child], [], [], 0.0)[0] == [], "it is there while it is asked"
        asker.kill()
    assert select.select([child], [], [], 300.0)[0] == [child]
    os.close(child)
    assert not list(tmp_path.rglob("*.roll_out-*.nbi")), "it ended before it had compiled anything"
