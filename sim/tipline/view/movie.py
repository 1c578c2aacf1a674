"""The film of a run: H.264, every frame marked, slow motion through cause and fall and said so on the frame."""

from __future__ import annotations

import logging
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from tipline.errors import MissingPart
from tipline.units import System
from tipline.view.drawers import Drawers
from tipline.view.frame import Composer
from tipline.view.frames import Frames
from tipline.view.story import Story, nearest

__all__ = ["FPS", "Film", "Shot", "encoder", "schedule", "slow_parts"]

FPS = 25
_SLOW = 4  # times slower through the cause and the fall
_BEFORE = 0.15  # run time shown slowly before the cause [s]
_CAUSE = 0.6  # how much of it in all
_FALL = 1.6  # before the landing; the last of a fall is what a class wants to see
_AFTER = 0.35  # after the landing, and on either side of the worst moment of a run without one
_MOST_REAL = 16.0  # [s] of film outside the slow part; a longer run is shown faster
_HOLD = 2.4  # the end stands still for this long [s]

Progress = Callable[[float], None]
logging.getLogger("imageio_ffmpeg").addHandler(logging.NullHandler())  # a film that is broken off is told by us


@dataclass(frozen=True)
class Shot:
    """One frame of film: the sample shown, how fast, and whether the run has ended."""

    index: int
    speed: str
    ended: bool = False


def slow_parts(story: Story) -> tuple[tuple[float, float], ...]:
    """Give start and stop [s] of each part that is shown slowly, in order; none where nothing happens.

    The last cause before the worst moment; then the fall up to the landing or, where nothing falls, the worst moment.
    """
    first, last = float(story.time[0]), float(story.time[-1])
    times = [mark.time for mark in story.marks if mark.cause] or [mark.time for mark in story.marks]
    if not times:
        return ()
    cause = max((time for time in times if time <= story.worst_time), default=min(times))
    parts = [(cause - _BEFORE, cause - _BEFORE + _CAUSE)]
    if story.landing is None:
        parts.append((story.worst_time - _AFTER, story.worst_time + _AFTER))
    else:
        falls = story.landing if story.no_return is None else story.no_return - _BEFORE
        parts.append((min(max(falls, story.landing - _FALL), story.landing - _AFTER), story.landing + _AFTER))
    (start, stop), (again, until) = sorted((max(start, first), min(stop, last)) for start, stop in parts)
    return ((start, max(stop, until)),) if again <= stop else ((start, stop), (again, until))


def schedule(story: Story, fps: int = FPS) -> list[Shot]:
    """Give the frames of the film in order."""
    first, last = float(story.time[0]), float(story.time[-1])
    slow = slow_parts(story)
    usual = last - first - sum(stop - start for start, stop in slow)
    fast = max(1, int(np.ceil(usual / _MOST_REAL)))
    shots, time = [], first
    while time < last - 1e-9:
        within = next((stop for start, stop in slow if start - 1e-9 <= time < stop - 1e-9), None)
        shots.append(Shot(nearest(story.time, time), _speed(fast) if within is None else f"1/{_SLOW} speed"))
        if within is not None:
            time = min(time + 1.0 / (fps * _SLOW), within)
        else:
            begins = [start for start, _ in slow if time < start - 1e-9]
            time = min([time + fast / fps, *begins])  # a slow part begins where it should, however fast the film came
    end = Shot(len(story.time) - 1, "", ended=True)
    return [*shots, *[end] * round(_HOLD * fps)]


class Film:
    """A film whose scenes are drawn ahead from the moment that this is made; it is to be closed.

    Raises
    ------
    MissingPart
        imageio-ffmpeg or OpenGL is absent.
    """

    def __init__(
        self, story: Story, draft: bool = False, system: System = "si", drawers: Drawers | None = None
    ) -> None:
        _library()
        self._composer = Composer(story, draft, system)
        self._shots = schedule(story)
        different = [shot.index for shot, _ in groupby(self._shots)]
        self._scenes = Frames(story, self._composer.layout.view, system, different, drawers)

    def close(self) -> None:
        """Draw no more of it."""
        self._scenes.close()

    def write(self, path: Path, progress: Progress | None = None) -> None:
        """Write it to `path`, once; a film that is broken off leaves nothing behind."""
        part = path.with_name(f".{path.stem}.part{path.suffix}")
        try:
            self._write(part, progress)
            part.replace(path)
        except BaseException:
            part.unlink(missing_ok=True)
            raise

    def _write(self, path: Path, progress: Progress | None) -> None:
        composer, shots = self._composer, self._shots
        lay = composer.layout
        with closing(encoder(path, (lay.width, lay.height), composer.story)) as film:
            film.send(None)
            picture = b""
            for count, shot in enumerate(shots):
                if not count or shots[count - 1] != shot:
                    picture = _bytes(composer.picture(next(self._scenes), shot.index, shot.speed, shot.ended))
                film.send(picture)
                if progress:
                    progress((count + 1) / len(shots))


def _library() -> Any:
    """Load what encodes; raises MissingPart where it is absent."""
    try:
        import imageio_ffmpeg
    except ImportError as error:
        msg = "imageio-ffmpeg is not installed; install it with: pip install imageio-ffmpeg"
        raise MissingPart(msg) from error
    return imageio_ffmpeg


def encoder(path: Path, size: tuple[int, int], story: Story):  # type: ignore[no-untyped-def]
    """Return what takes frames and writes a film of them to `path`; raises MissingPart where nothing can."""
    return _library().write_frames(
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
    return picture.tobytes()
