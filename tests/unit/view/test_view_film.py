"""The film's timing, its marking, and that a broken-off film leaves nothing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tipline.view import movie
from tipline.view.moments import draw_stills, moments
from tipline.view.movie import FPS, draw_film, schedule, slow_part
from tipline.view.story import Story


def test_slow_motion_runs_through_the_event(make_story: Callable[..., Story]) -> None:
    story = make_story()
    part = slow_part(story)
    assert part is not None
    assert part[0] < 1.0 < story.worst_time < part[1]
    for shot in schedule(story):
        within = part[0] <= story.time[shot.index] < part[1] - 0.01
        if within:
            assert shot.speed == "1/4 speed"


def test_film_time_never_runs_back_and_ends_at_the_end(make_story: Callable[..., Story]) -> None:
    story = make_story()
    shots = schedule(story)
    index = [shot.index for shot in shots]
    assert index == sorted(index)
    assert index[0] == 0
    assert shots[-1].ended
    assert index[-1] == len(story.time) - 1
    slow = [story.time[shot.index] for shot in shots if shot.speed]
    assert np.diff(slow).max() <= 1.0 / FPS / 4 + 0.011


def test_a_long_run_is_shown_faster_and_says_so(make_story: Callable[..., Story]) -> None:
    story = make_story()
    story = replace(story, time=story.time * 20, worst_time=story.worst_time * 20)
    shots = schedule(story)
    assert len(shots) < 40 * FPS
    assert any(shot.speed.endswith("times speed") for shot in shots)


def test_a_run_without_events_has_no_slow_part(make_story: Callable[..., Story]) -> None:
    story = replace(make_story(), marks=())
    assert slow_part(story) is None
    assert {shot.speed for shot in schedule(story)} == {""}


def test_stills_are_rest_worst_end(make_story: Callable[..., Story]) -> None:
    story = make_story()
    found = moments(story)
    assert [name for name, _, _ in found] == ["rest", "worst", "end"]
    assert story.time[found[1][1]] == pytest.approx(story.worst_time, abs=0.01)
    assert "1.70 s" in found[1][2]
    assert "over, left" in found[2][2]


@pytest.mark.slow
@pytest.mark.usefixtures("opengl")
def test_a_film_broken_off_leaves_nothing(make_story: Callable[..., Story], tmp_path: Path) -> None:
    def stop(part: float) -> None:
        if part > 0.03:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        draw_film(make_story(), tmp_path / "replay.mp4", draft=True, progress=stop)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
@pytest.mark.usefixtures("opengl")
def test_a_draft_film_is_h264_marked_and_of_the_stated_length(make_story: Callable[..., Story], tmp_path: Path) -> None:
    import imageio_ffmpeg

    story, path, told = make_story(2.0, over=False, samples=101), tmp_path / "replay.mp4", []
    draw_film(story, path, draft=True, progress=told.append)
    assert [item.name for item in tmp_path.iterdir()] == ["replay.mp4"]
    reader = imageio_ffmpeg.read_frames(str(path))
    facts = next(reader)
    reader.close()
    assert facts["codec"] == "h264"
    assert facts["size"] == (640, 360)
    assert facts["duration"] == pytest.approx(len(schedule(story)) / FPS, abs=0.1)
    assert told[-1] == 1.0
    assert b"computed, not recorded; run a1b2c3d4; 7 values assumed; DEMO" in path.read_bytes()


@pytest.mark.slow
@pytest.mark.usefixtures("opengl")
def test_stills_are_files_with_captions(make_story: Callable[..., Story], tmp_path: Path) -> None:
    from PIL import Image

    done = draw_stills(make_story(), tmp_path, "us")
    assert [path.name for path, _ in done] == ["still-rest.png", "still-worst.png", "still-end.png"]
    for path, caption in done:
        with Image.open(path) as picture:
            assert picture.size == (1280, 720)
        assert "tyre" not in caption


def test_a_missing_encoder_is_said(
    make_story: Callable[..., Story], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import sys

    from tipline.errors import MissingPart

    monkeypatch.setitem(sys.modules, "imageio_ffmpeg", None)
    with pytest.raises(MissingPart, match="pip install imageio-ffmpeg"):
        movie._encoder(tmp_path / "x.mp4", (640, 360), make_story())


def test_of_a_long_event_the_end_is_slow(make_story: Callable[..., Story]) -> None:
    story = make_story()
    story = replace(story, time=story.time * 5, worst_time=15.0)
    part = slow_part(story)
    assert part is not None
    assert part[0] > 12.0
    assert part[1] > 15.0
