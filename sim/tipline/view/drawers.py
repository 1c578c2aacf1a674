"""The scene drawn by as many processes as there are cores: a film's frames, in order, those that look alike once.

Every process has a scene of its own and draws every k-th frame with one thread; what a frame shows does not depend on
who drew it. With one core, or few frames, the scene is drawn in this process.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import queue
import signal
import sys
import threading
from collections.abc import Generator, Sequence
from contextlib import closing
from itertools import groupby
from typing import IO, TYPE_CHECKING, cast

from tipline.children import cores, left_to_others, start_child
from tipline.errors import TiplineError
from tipline.units import System
from tipline.view import gl
from tipline.view.camera import fit, travel
from tipline.view.repeats import drawn_at
from tipline.view.scene import Frame, Scene
from tipline.view.story import Array, Story

if TYPE_CHECKING:
    import subprocess

__all__ = ["WORTH", "frames", "serve"]

WORTH = 40
"""So many frames pay for loading another process (our choice: it takes as long as some thirty frames)."""
_MOST = 8
_AHEAD = 3
"""How many frames a process may be ahead of the one that is wanted."""


def frames(
    story: Story, size: tuple[int, int], system: System, indices: Sequence[int], processes: int | None = None
) -> Generator[Frame, None, None]:
    """Yield the scene at each sample in order; samples in which nothing has moved share one.

    Raises
    ------
    MissingPart
        OpenGL is absent.
    TiplineError
        A process that draws cannot be started, or ended.
    """
    aspect = size[0] / size[1]
    steps = travel(story, aspect, fit(story, aspect))
    shown = drawn_at(story, steps, indices)
    different = [index for index, _ in groupby(shown)]
    count = min(processes or min(cores(), _MOST), max(len(different) // WORTH, 1))
    with closing(_each(story, size, system, steps, different, count)) as drawn:
        for _, alike in groupby(shown):
            frame = next(drawn)
            for _ in alike:
                yield frame


def _each(
    story: Story, size: tuple[int, int], system: System, steps: Array, indices: Sequence[int], count: int
) -> Generator[Frame, None, None]:
    if count == 1:
        with Scene(story, size, system, steps=steps) as scene:
            for index in indices:
                yield scene.draw(index)
        return
    gl.require()  # once for all of them
    crew = [_Drawer(pickle.dumps((story, size, system, steps, list(indices[k::count])))) for k in range(count)]
    try:
        for drawer in crew:
            drawer.start()
        for number in range(len(indices)):
            yield crew[number % count].next()
    finally:
        for drawer in crew:
            drawer.stop()


class _Drawer:
    """A process that draws its share of the frames, and a thread that takes them in."""

    def __init__(self, task: bytes) -> None:
        self._task = task
        self._made: queue.Queue[Frame | TiplineError] = queue.Queue(_AHEAD)
        self._process: subprocess.Popen[bytes] | None = None
        self._lock, self._stopped = threading.Lock(), False

    def start(self) -> None:
        threading.Thread(target=self._draw, daemon=True).start()

    def next(self) -> Frame:
        frame = self._made.get()
        if isinstance(frame, TiplineError):
            raise frame
        return frame

    def stop(self) -> None:
        with self._lock:
            self._stopped = True
            process = self._process
        if process is None:
            return
        process.kill()
        process.wait()
        for stream in (process.stdin, process.stdout):
            with contextlib.suppress(OSError):
                cast("IO[bytes]", stream).close()

    def _draw(self) -> None:
        """Start the process in this thread, which Ctrl-C does not break off between its start and its being known."""
        left_to_others()
        end = "a process that draws the film ended before its time"
        try:
            with self._lock:
                if self._stopped:
                    return
                self._process = start_child(__name__, os.environ | {"LP_NUM_THREADS": "1"})
        except OSError as error:
            end = f"no process that draws the film can be started: {error.strerror or error}"
        else:
            self._take(self._process)
        with contextlib.suppress(queue.Full):
            self._made.put(TiplineError(end), timeout=60.0 if not self._stopped else 0.0)

    def _take(self, process: subprocess.Popen[bytes]) -> None:
        with contextlib.suppress(EOFError, OSError, ValueError, pickle.UnpicklingError):
            cast("IO[bytes]", process.stdin).write(self._task)
            cast("IO[bytes]", process.stdin).flush()
            while not self._stopped:
                frame = pickle.load(cast("IO[bytes]", process.stdout))
                while not self._stopped:
                    with contextlib.suppress(queue.Full):
                        self._made.put(frame, timeout=0.2)
                        break


def serve() -> None:
    """Draw what is asked by standard input, and hand each frame over by standard output."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # who asked ends this process
    frames_out = os.dup(1)
    os.dup2(2, 1)  # what libraries print must not come between the frames
    with contextlib.suppress(EOFError, BrokenPipeError), os.fdopen(frames_out, "wb") as out:
        story, size, system, steps, indices = pickle.load(sys.stdin.buffer)
        with Scene(story, size, system, steps=steps, tried=True) as scene:
            for index in indices:
                pickle.dump(scene.draw(index), out, protocol=5)
                out.flush()
