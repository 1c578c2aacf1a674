"""A film's frames by several processes are those of one, in order; whoever stops leaves no process behind."""

from __future__ import annotations

import os
import pickle
import signal
import sys
import threading
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import numpy as np
import pytest

from tipline.children import start_child
from tipline.errors import MissingPart
from tipline.view import drawers, frames, gl
from tipline.view.drawers import Drawers, Scenery, View
from tipline.view.frames import Frames, drawn_here
from tipline.view.story import Story

SIZE = (320, 200)

pytestmark = [pytest.mark.usefixtures("opengl"), pytest.mark.slow]


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Let few frames be worth a process, and two be the most; note the processes that are started."""
    pids: list[int] = []
    start = drawers.start_child

    def noted(*args: object) -> object:
        process = start(*args)  # type: ignore[arg-type]
        pids.append(process.pid)
        return process

    monkeypatch.setattr(drawers, "start_child", noted)
    monkeypatch.setattr(frames, "WORTH", 2)
    monkeypatch.setattr(frames, "most_drawers", lambda: 2)
    return pids


def both(started: list[int]) -> list[int]:
    """Wait for both processes to be started."""
    while len(started) < 2:
        time.sleep(0.005)
    return started


def status(pid: int) -> list[str]:
    return Path(f"/proc/{pid}/status").read_text(encoding="utf-8").splitlines()


def alive(pid: int) -> bool:
    return Path(f"/proc/{pid}").exists()


def test_two_processes_draw_what_one_draws(
    make_story: Callable[..., Story], started: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    story, indices = make_story(2.0), [0, 130, 150, 170, 200, 260, 400]
    two = list(Frames(story, SIZE, "si", indices))
    assert len(started) == 2
    assert not any(alive(pid) for pid in started)
    monkeypatch.setattr(frames, "most_drawers", lambda: 1)
    one = list(Frames(story, SIZE, "si", indices))
    assert len(started) == 2
    for a, b in zip(one, two, strict=True):
        assert np.array_equal(a.image, b.image)
        assert np.array_equal(a.parts, b.parts)


def test_what_is_ready_draws_stills_and_film_and_is_left_to_who_started_it(
    make_story: Callable[..., Story], started: list[int]
) -> None:
    """Stills by one process, which then draws of the film what the other has not: each picture as drawn here."""
    story = make_story(2.0)
    with closing(Drawers(2, together=1)) as ready:
        scenery, views = Scenery(story, SIZE, "si", fine=2), [View(0, arrows=False, fine=1), View(300)]
        stills = ready.begin(scenery, views, 1)
        film = Frames(story, SIZE, "si", list(range(0, 240, 4)), ready)
        for drawn, here in zip(stills, drawn_here(scenery, views), strict=True):
            assert np.array_equal(drawn.image, here.image)
        assert len(list(film)) == 60
        assert len(started) == 2
        assert all(alive(pid) for pid in started)
    assert not any(alive(pid) for pid in started)


def test_who_stops_early_leaves_no_process(make_story: Callable[..., Story], started: list[int]) -> None:
    drawn = Frames(make_story(2.0), SIZE, "si", list(range(0, 200, 4)))
    next(drawn)
    assert all(alive(pid) for pid in both(started))
    drawn.close()
    assert not any(alive(pid) for pid in started)


def test_processes_start_before_anything_is_to_be_drawn(started: list[int]) -> None:
    ready = Drawers(2, together=2)
    both(started)
    ready.close()
    assert not any(alive(pid) for pid in started)


def test_processes_that_are_ended_at_once_are_not_started_later(started: list[int]) -> None:
    """The second waits for the first to have loaded what draws; it is not begun when that one is ended."""
    threads = threading.active_count()
    ready = Drawers(2, together=1)
    ready.close()
    assert threading.active_count() == threads
    assert len(started) < 2
    assert not any(alive(pid) for pid in started)


def test_that_nothing_draws_here_is_found_once_and_said_before_a_process_starts(
    make_story: Callable[..., Story], started: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(gl, "probe", lambda: "no OpenGL library was found")
    with pytest.raises(MissingPart, match="no OpenGL library"):
        Frames(make_story(2.0), SIZE, "si", list(range(200)))
    with closing(Drawers(2, together=2)) as ready, pytest.raises(MissingPart, match="no OpenGL library"):
        Frames(make_story(2.0), SIZE, "si", list(range(200)), ready)
    assert not started


def test_that_no_process_can_be_started_is_said(
    make_story: Callable[..., Story], started: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "executable", "/nothing/there")
    with pytest.raises(MissingPart, match="no process that draws can be started: No such file"):
        next(Frames(make_story(2.0), SIZE, "si", list(range(200))))


def test_ctrl_c_does_not_reach_a_process_that_draws(make_story: Callable[..., Story], started: list[int]) -> None:
    """Not as it loads either: the signal is kept from it from its first moment."""
    drawn = Frames(make_story(2.0), SIZE, "si", list(range(200)))
    held = [int(line.split()[1], 16) for pid in both(started) for line in status(pid) if line.startswith("SigBlk")]
    drawn.close()
    assert [bool(mask & 1 << signal.SIGINT - 1) for mask in held] == [True, True]


def test_a_process_that_ends_is_said(make_story: Callable[..., Story], started: list[int]) -> None:
    drawn = Frames(make_story(2.0), SIZE, "si", list(range(200)))
    next(drawn)
    os.kill(both(started)[1], signal.SIGKILL)
    with pytest.raises(MissingPart, match="ended before its time"):
        list(drawn)
    assert not any(alive(pid) for pid in started)


def test_a_process_whose_task_is_cut_off_ends_without_a_word(capfd: pytest.CaptureFixture[str]) -> None:
    """As where who asked was ended while it handed the task over: that is told by the end of what it hands over."""
    with start_child("tipline.view.drawers", os.environ) as process:
        assert process.stdin is not None
        process.stdin.write(pickle.dumps(list(range(1000)))[:100])
    assert process.returncode == -signal.SIGTERM
    assert capfd.readouterr().err == ""


def test_a_process_that_draws_ends_when_who_asked_is_gone(make_story: Callable[..., Story]) -> None:
    """Not as late as at its next frame: it may be loading, or wait for that to be taken."""
    with start_child("tipline.view.drawers", os.environ) as process:
        assert process.stdin is not None
        process.stdin.write(pickle.dumps(Scenery(make_story(2.0), SIZE, "si")))
        for index in range(200):
            process.stdin.write(pickle.dumps(View(index)))
        process.stdin.close()
        assert process.wait(timeout=60) == -signal.SIGTERM
