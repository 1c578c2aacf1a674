"""The film's timing, its marking, and that a broken-off film leaves nothing.

Measured.

A scene of the film takes a core 40 ms: 20 to render, 10 to smooth its edges in the finished picture (28 with OpenGL's
own FXAA, 70 with four samples a pixel), 10 to pose and hand over; sorting what is seen through, which lies in order
anyway, took 16 more. Labels and panel take 13, the encoder 12. Scenes are drawn by as many processes as there are
cores, each with one thread; labels and panel are set in order by the one that asks, so the film is the same. The
camera fits the first sample and moves only as far as keeps truck and load in the picture, so that its place does not
tell the ending.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tipline.view import movie
from tipline.view.moments import Stills, moments
from tipline.view.movie import FPS, Film, schedule, slow_parts
from tipline.view.story import Story


def test_slow_motion_runs_through_cause_and_worst_moment(make_story: Callable[..., Story]) -> None:
    assert slow_parts(make_story()) == (pytest.approx((0.85, 2.05)),)  # close together: in one
    story = replace(make_story(), worst_time=2.5)
    first, second = slow_parts(story)
    assert first == pytest.approx((0.85, 1.45))
    assert second == pytest.approx((story.worst_time - 0.35, story.worst_time + 0.35))
    for shot in schedule(story):
        slow = any(start <= story.time[shot.index] < stop - 0.01 for start, stop in (first, second))
        if slow:
            assert shot.speed == "1/4 speed"


def test_a_fall_is_slow_up_to_its_landing(make_story: Callable[..., Story]) -> None:
    story = replace(make_story(), no_return=1.7, landing=3.6)
    first, second = slow_parts(story)
    assert first == pytest.approx((0.85, 1.45))
    assert second == pytest.approx((2.0, 3.95))
    sudden = replace(story, no_return=3.5)
    assert slow_parts(sudden)[1] == pytest.approx((3.25, 3.95))
    at_once = replace(story, no_return=1.1, landing=1.5)
    assert slow_parts(at_once) == (pytest.approx((0.85, 1.85)),)


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
    assert slow_parts(story) == ()
    assert {shot.speed for shot in schedule(story)} == {""}


def test_stills_are_rest_worst_landing_end(make_story: Callable[..., Story]) -> None:
    story = make_story()
    fallen = moments(replace(story, landing=3.6))
    assert [name for name, _, _ in fallen] == ["rest", "worst", "landing", "end"]
    assert fallen[2][2].startswith("The landing, 3.60 s")
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

    with closing(Film(make_story(), draft=True)) as film, pytest.raises(KeyboardInterrupt):
        film.write(tmp_path / "replay.mp4", stop)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
@pytest.mark.usefixtures("opengl")
def test_a_draft_film_is_h264_marked_and_of_the_stated_length(make_story: Callable[..., Story], tmp_path: Path) -> None:
    import imageio_ffmpeg

    story, path, told = make_story(2.0, over=False, samples=101), tmp_path / "replay.mp4", []
    with closing(Film(story, draft=True)) as film:
        film.write(path, told.append)
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

    with closing(Stills(make_story(), "us")) as stills:
        done = stills.write(tmp_path)
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
        movie.encoder(tmp_path / "x.mp4", (640, 360), make_story())
