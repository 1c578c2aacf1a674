"""The film of a run: H.264, every frame marked, slow motion through the event and said so on the frame."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image

from tipline.errors import MissingPart
from tipline.view.frame import Composer
from tipline.view.scene import Scene
from tipline.view.story import Story, System, nearest

__all__ = ["FPS", "Shot", "draw_film", "schedule", "slow_part"]

FPS = 25
_SLOW = 4  # times slower through the event
_BEFORE, _AFTER = 0.15, 0.35  # run time shown slowly on either side of the event [s]
_LEAST_SLOW, _MOST_SLOW = 0.8, 2.5  # [s] of run time
_MOST_REAL = 16.0  # [s] of film outside the slow part; a longer run is shown faster
_HOLD = 2.4  # the end stands still for this long [s]

Progress = Callable[[float], None]


@dataclass(frozen=True)
class Shot:
    """One frame of film: the sample shown, how fast, and whether the run has ended."""

    index: int
    speed: str
    ended: bool = False


def slow_part(story: Story) -> tuple[float, float] | None:
    """Give start and stop [s] of what is shown slowly, or None where nothing happens.

    It runs from the last cause before the worst moment to a little after that moment; of a long time, the end.
    """
    causes = [mark.time for mark in story.marks if mark.cause]
    times = causes or [mark.time for mark in story.marks]
    if not times:
        return None
    earlier = [time for time in times if time <= story.worst_time]
    start = max(max(earlier, default=min(times)) - _BEFORE, float(story.time[0]))
    stop = max(story.worst_time + _AFTER, start + _LEAST_SLOW)
    return max(start, stop - _MOST_SLOW), min(stop, float(story.time[-1]))


def schedule(story: Story, fps: int = FPS) -> list[Shot]:
    """Give the frames of the film in order."""
    first, last = float(story.time[0]), float(story.time[-1])
    slow = slow_part(story) or (last, last)
    fast = max(1, int(np.ceil((last - first - (slow[1] - slow[0])) / _MOST_REAL)))
    shots, time = [], first
    while time < last - 1e-9:
        within = slow[0] - 1e-9 <= time < slow[1] - 1e-9
        shots.append(Shot(nearest(story.time, time), f"1/{_SLOW} speed" if within else _speed(fast)))
        if within:
            time = min(time + 1.0 / (fps * _SLOW), slow[1])
        else:
            time += fast / fps
            if time > slow[0] and shots[-1].index < nearest(story.time, slow[0]):
                time = slow[0]  # the slow part begins where it should, however fast the film came there
    end = Shot(len(story.time) - 1, "", ended=True)
    return [*shots, *[end] * round(_HOLD * fps)]


def draw_film(
    story: Story, path: Path, draft: bool = False, system: System = "si", progress: Progress | None = None
) -> None:
    """Draw the film to `path`; a film that is broken off leaves nothing behind.

    Raises
    ------
    MissingPart
        imageio-ffmpeg or OpenGL is absent.
    """
    part = path.with_name(f".{path.stem}.part{path.suffix}")
    try:
        _write(story, part, draft, system, progress)
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise


def _write(story: Story, path: Path, draft: bool, system: System, progress: Progress | None) -> None:
    composer = Composer(story, draft, system)
    lay = composer.layout
    shots = schedule(story)
    last: tuple[Shot, bytes] | None = None
    with Scene(story, lay.view, system) as scene, closing(_encoder(path, (lay.width, lay.height), story)) as film:
        film.send(None)
        for count, shot in enumerate(shots):
            if last is None or last[0] != shot:
                picture = composer.picture(scene.draw(shot.index), shot.index, shot.speed, shot.ended)
                last = (shot, _bytes(picture))
            film.send(last[1])
            if progress:
                progress((count + 1) / len(shots))


def _encoder(path: Path, size: tuple[int, int], story: Story):  # type: ignore[no-untyped-def]
    try:
        import imageio_ffmpeg
    except ImportError as error:
        msg = "imageio-ffmpeg is not installed; install it with: pip install imageio-ffmpeg"
        raise MissingPart(msg) from error
    return imageio_ffmpeg.write_frames(
        str(path),
        size,
        fps=FPS,
        codec="libx264",
        quality=None,
        macro_block_size=8,
        ffmpeg_log_level="error",
        output_params=[
            *("-crf", "21", "-preset", "veryfast", "-threads", "2", "-movflags", "+faststart"),
            *("-fflags", "+bitexact", "-flags:v", "+bitexact"),
            *("-metadata", f"title={story.title}", "-metadata", f"comment={'; '.join(story.marking)}"),
        ],
    )


def _speed(fast: int) -> str:
    return "" if fast == 1 else f"{fast} times speed"


def _bytes(picture: Image.Image) -> bytes:
    return picture.convert("RGB").tobytes()
