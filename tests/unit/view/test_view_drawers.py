"""A film's frames by several processes are those of one, in order; whoever stops leaves no process behind."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from tipline.errors import TiplineError
from tipline.view import drawers
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
    monkeypatch.setattr(drawers, "_WORTH", 2)
    return pids


def alive(pid: int) -> bool:
    return Path(f"/proc/{pid}").exists()


def test_two_processes_draw_what_one_draws(
    make_story: Callable[..., Story], started: list[int], tmp_path: Path
) -> None:
    story, indices = make_story(2.0), [0, 130, 150, 170, 200, 260, 400]
    one = list(drawers.frames(story, SIZE, "si", indices, 1))
    assert not started
    two = list(drawers.frames(story, SIZE, "si", indices, 2))
    assert len(started) == 2
    for a, b in zip(one, two, strict=True):
        assert np.array_equal(a.image, b.image)
        assert np.array_equal(a.parts, b.parts)
    assert not any(alive(pid) for pid in started)


def test_who_stops_early_leaves_no_process(make_story: Callable[..., Story], started: list[int]) -> None:
    drawn = drawers.frames(make_story(2.0), SIZE, "si", list(range(0, 200, 4)), 2)
    next(drawn)
    assert all(alive(pid) for pid in started)
    drawn.close()
    assert len(started) == 2
    assert not any(alive(pid) for pid in started)


def test_a_process_that_ends_is_said(make_story: Callable[..., Story], started: list[int]) -> None:
    import os
    import signal

    drawn = drawers.frames(make_story(2.0), SIZE, "si", list(range(200)), 2)
    next(drawn)
    os.kill(started[1], signal.SIGKILL)
    with pytest.raises(TiplineError, match="ended before its time"):
        list(drawn)
    assert not any(alive(pid) for pid in started)
