"""What another process compiles is what this one calls, and who needs it waits for it."""

from __future__ import annotations

import io
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
    monkeypatch.setattr(ahead, "kept", lambda _: False)
    monkeypatch.setattr(ahead, "start_child", lambda *_: noted.append("started") or Process(noted))
    kernels.compiled.cache_clear()
    with ahead.compiled_beside(case(HUNG), lambda: noted.append("done meanwhile")):
        assert noted == ["started"]
        kernels.compiled("solve")
        assert noted == ["started"]
        for _ in range(2):
            kernels.compiled("roll_out")
            assert noted == ["started", "done meanwhile", "waited for"]
    assert noted == ["started", "done meanwhile", "waited for", "ended", "waited for"]


def test_where_no_process_can_be_started_nothing_is_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: Any) -> None:
        raise OSError

    monkeypatch.setattr(ahead, "kept", lambda _: False)
    monkeypatch.setattr(ahead, "start_child", refused)
    with ahead.compiled_beside(case(HUNG)):
        assert kernels.compiled("roll_out").py_func.__name__ == "roll_out"
