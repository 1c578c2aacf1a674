"""A film's frames by several processes are those of one, in order; whoever stops leaves no process behind."""

from __future__ import annotations

import os
import pickle
import signal
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from tipline.children import start_child
from tipline.errors import MissingPart, TiplineError
from tipline.view import drawers, gl
from tipline.view.story import Story

SIZE = (320, 200)

pytestmark = [pytest.mark.usefixtures("opengl"), pytest.mark.slow]


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Let few frames be worth a process, and note the processes that are started."""
    pids: list[int] = []
    start = drawers.start_child

    def noted(*args: object) -> object:
        process = start(*args)  # type: ignore[arg-type]
        pids.append(process.pid)
        return process

    monkeypatch.setattr(drawers, "start_child", noted)
    monkeypatch.setattr(drawers, "WORTH", 2)
    return pids


def status(pid: int) -> list[str]:
    return Path(f"/proc/{pid}/status").read_text(encoding="utf-8").splitlines()


def alive(pid: int) -> bool:
    return Path(f"/proc/{pid}").exists()


def test_two_processes_draw_what_one_draws(
    make_story: Callable[..., Story], started: list[int], tmp_path: Path
) -> None:
    story, indices = make_story(2.0), [0, 130, 150, 170, 200, 260, 400]
    one = list(drawers.Frames(story, SIZE, "si", indices, 1))
    assert not started
    two = list(drawers.Frames(story, SIZE, "si", indices, 2))
    assert len(started) == 2
    for a, b in zip(one, two, strict=True):
        assert np.array_equal(a.image, b.image)
        assert np.array_equal(a.parts, b.parts)
    assert not any(alive(pid) for pid in started)


def test_who_stops_early_leaves_no_process(make_story: Callable[..., Story], started: list[int]) -> None:
    drawn = drawers.Frames(make_story(2.0), SIZE, "si", list(range(0, 200, 4)), 2)
    next(drawn)
    assert all(alive(pid) for pid in started)
    drawn.close()
    assert len(started) == 2
    assert not any(alive(pid) for pid in started)


def test_processes_start_before_a_frame_is_asked_for(make_story: Callable[..., Story], started: list[int]) -> None:
    drawn = drawers.Frames(make_story(2.0), SIZE, "si", list(range(0, 200, 4)), 2)
    while len(started) < 2:
        time.sleep(0.005)
    drawn.close()
    assert not any(alive(pid) for pid in started)


def test_that_nothing_draws_here_is_found_once_and_said_before_a_process_starts(
    make_story: Callable[..., Story], started: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(gl, "probe", lambda: "no OpenGL library was found")
    with pytest.raises(MissingPart, match="no OpenGL library"):
        next(drawers.Frames(make_story(2.0), SIZE, "si", list(range(200)), 2))
    assert not started


def test_that_no_process_can_be_started_is_said(
    make_story: Callable[..., Story], started: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "executable", "/nothing/there")
    with pytest.raises(TiplineError, match="no process that draws the film can be started: No such file"):
        next(drawers.Frames(make_story(2.0), SIZE, "si", list(range(200)), 2))


def test_ctrl_c_does_not_reach_a_process_that_draws(make_story: Callable[..., Story], started: list[int]) -> None:
    """Not as it loads either: the signal is kept from it from its first moment."""
    drawn = drawers.Frames(make_story(2.0), SIZE, "si", list(range(200)), 2)
    taken = threading.Thread(target=lambda: next(drawn))
    taken.start()
    while len(started) < 2:
        time.sleep(0.005)
    held = [int(line.split()[1], 16) for pid in started for line in status(pid) if line.startswith("SigBlk")]
    taken.join()
    drawn.close()
    assert [bool(mask & 1 << signal.SIGINT - 1) for mask in held] == [True, True]


def test_a_process_that_ends_is_said(make_story: Callable[..., Story], started: list[int]) -> None:
    drawn = drawers.Frames(make_story(2.0), SIZE, "si", list(range(200)), 2)
    next(drawn)
    os.kill(started[1], signal.SIGKILL)
    with pytest.raises(TiplineError, match="ended before its time"):
        list(drawn)
    assert not any(alive(pid) for pid in started)


def test_a_process_whose_task_is_cut_off_ends_without_a_word() -> None:
    """As where who asked was ended while it handed the task over."""
    with start_child("tipline.view.drawers", os.environ) as process:
        assert process.stdin is not None
        process.stdin.write(pickle.dumps(list(range(1000)))[:100])
    assert process.returncode == 0


def test_a_process_that_draws_ends_when_who_asked_is_gone(make_story: Callable[..., Story]) -> None:
    """Not as late as at its next frame: it may be loading, or wait for that to be taken."""
    story = make_story(2.0)
    with start_child("tipline.view.drawers", os.environ) as process:
        assert process.stdin is not None
        process.stdin.write(pickle.dumps((story, SIZE, "si", np.zeros((len(story.time), 3)), list(range(200)))))
        process.stdin.close()
        assert process.wait(timeout=60) == -signal.SIGTERM
