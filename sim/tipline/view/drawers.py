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
from itertools import groupby
from typing import IO, TYPE_CHECKING, Self, cast

from tipline.children import cores, end_with_asker, left_to_others, start_child
from tipline.errors import TiplineError
from tipline.units import System
from tipline.view import gl
from tipline.view.camera import fit, travel
from tipline.view.repeats import drawn_at
from tipline.view.scene import Frame, Scene
from tipline.view.story import Array, Story

if TYPE_CHECKING:
    import subprocess

__all__ = ["WORTH", "Frames", "serve"]

WORTH = 40
"""So many frames pay for loading another process (our choice: it takes as long as some thirty frames)."""
_MOST = 8
_AHEAD = 48
"""How many frames all together may be ahead of the one that is wanted (our choice: some 80 MB of a film's pictures)."""


class Frames:
    """The scene at each of some samples, in order, drawn ahead from the moment that this is made; it is to be closed.

    Samples in which nothing has moved share a frame. One that has ended, or failed, is closed.

    Raises
    ------
    MissingPart
        OpenGL is absent.
    TiplineError
        A process that draws cannot be started, or ended.
    """

    def __init__(
        self, story: Story, size: tuple[int, int], system: System, indices: Sequence[int], processes: int | None = None
    ) -> None:
        aspect = size[0] / size[1]
        steps = travel(story, aspect, fit(story, aspect))
        shown = drawn_at(story, steps, indices)
        different = [index for index, _ in groupby(shown)]
        count = min(processes or min(cores(), _MOST), max(len(different) // WORTH, 1))
        self._crew: list[_Drawer] = []
        if count > 1:
            gl.require()  # once for all of them
            tasks = (pickle.dumps((story, size, system, steps, different[k::count])) for k in range(count))
            self._crew = [_Drawer(task, _AHEAD // count) for task in tasks]
            self._drawn = self._by_crew(len(different))
        else:
            self._drawn = _here(story, size, system, steps, different)
        self._frames = self._repeated(shown)
        try:
            for drawer in self._crew:
                drawer.start()
        except BaseException:
            self.close()
            raise

    def __iter__(self) -> Self:
        return self

    def __next__(self) -> Frame:
        try:
            return next(self._frames)
        except BaseException:
            self.close()
            raise

    def close(self) -> None:
        """End the processes that draw."""
        self._frames.close()
        self._drawn.close()
        for drawer in self._crew:
            drawer.stop()

    def _by_crew(self, count: int) -> Generator[Frame, None, None]:
        for number in range(count):
            yield self._crew[number % len(self._crew)].next()

    def _repeated(self, shown: Sequence[int]) -> Generator[Frame, None, None]:
        for _, alike in groupby(shown):
            frame = next(self._drawn)
            for _ in alike:
                yield frame


def _here(
    story: Story, size: tuple[int, int], system: System, steps: Array, indices: Sequence[int]
) -> Generator[Frame, None, None]:
    with Scene(story, size, system, steps=steps) as scene:
        for index in indices:
            yield scene.draw(index)


class _Drawer:
    """A process that draws its share of the frames, and a thread that takes them in."""

    def __init__(self, task: bytes, ahead: int) -> None:
        self._task = task
        self._made: queue.Queue[Frame | TiplineError] = queue.Queue(ahead)
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
    """Draw what is asked by standard input, and hand each frame over by standard output; end with who asked."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # who asked ends this process
    frames_out = os.dup(1)
    os.dup2(2, 1)  # what libraries print must not come between the frames
    with contextlib.suppress(EOFError, BrokenPipeError, pickle.UnpicklingError), os.fdopen(frames_out, "wb") as out:
        story, size, system, steps, indices = pickle.load(sys.stdin.buffer)
        end_with_asker()
        with Scene(story, size, system, steps=steps, tried=True) as scene:
            for index in indices:
                pickle.dump(scene.draw(index), out, protocol=5)
                out.flush()
