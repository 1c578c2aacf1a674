"""Scenes drawn by processes beside this one, which may be started before it is known what is to be drawn.

Every process draws in one thread, as a second one of OpenGL's own takes 4 % more, and in a scene of its own; what a
frame shows does not depend on who drew it, so each takes the next one that nobody has taken.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import signal
import sys
import threading
from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from queue import SimpleQueue
from typing import IO, TYPE_CHECKING, Any, cast

from tipline.children import left_to_others, start_child
from tipline.errors import MissingPart
from tipline.units import System
from tipline.view import gl
from tipline.view.camera import Camera
from tipline.view.story import Array, Story

if TYPE_CHECKING:
    import subprocess

    from tipline.view.scene import Frame, Scene

__all__ = ["Drawers", "Scenery", "Series", "View", "serve"]

_AHEAD = 120
"""How many frames of a series may be ahead of the one that is wanted (our choice: some 200 MB of a film's pictures,
about as many as are drawn before stills, plots and replay are done)."""
_ASKED = 2
"""How many frames a process is asked for at once, so that it need not wait for who takes them."""

_PATIENCE = 1.0
"""How long [s] the trial render is waited for by who ends what draws; it takes half of it (our choice)."""


@dataclass(frozen=True)
class Scenery:
    """What a scene is made from, as it takes it; `steps`: how far the camera goes (n, 3) [m], where that is known."""

    story: Story
    size: tuple[int, int]
    system: System
    fine: int = 1
    steps: Array | None = None

    def scene(self, *, tried: bool = False) -> Scene:
        """Make the scene; ``tried``: who asks has found that this computer draws."""
        from tipline.view.scene import Scene

        return Scene(self.story, self.size, self.system, fine=self.fine, steps=self.steps, tried=tried)


@dataclass(frozen=True)
class View:
    """What one frame shows, as a scene is asked for it."""

    index: int
    camera: Camera | None = None
    arrows: bool = True
    fine: int | None = None

    def of(self, scene: Scene) -> Frame:
        """Draw it."""
        return scene.draw(self.index, self.camera, self.arrows, self.fine)


class Drawers:
    """So many processes that draw; they load what draws at once, `together` of them at a time. To be closed.

    What goes wrong with one is raised where a frame is waited for.
    """

    def __init__(self, count: int, together: int) -> None:
        self._changed = threading.Condition()
        self._series: list[Series] = []
        self._error: MissingPart | None = None
        self.closed = False
        loading = threading.Semaphore(together)
        self._crew = [_Drawer(self, loading) for _ in range(count)]
        try:
            for drawer in self._crew:
                drawer.start()
        except BaseException:
            self.close()
            raise

    def __len__(self) -> int:
        return len(self._crew)

    def begin(self, scenery: Scenery, views: Sequence[View], most: int) -> Series:
        """Have the views of a scene drawn, after those begun before, by at most so many of the processes.

        Raises
        ------
        MissingPart
            OpenGL is absent.
        """
        gl.require()  # once for all of them
        series = Series(self, scenery, views, most)
        with self._changed:
            self._series.append(series)
            self._changed.notify_all()
        return series

    def close(self) -> None:
        """End the processes."""
        self.closed = True
        for drawer in self._crew:
            drawer.stop()
        with self._changed:
            self._changed.notify_all()
        for drawer in self._crew:
            drawer.leave()

    def taken_by(self, drawer: _Drawer, *, wait: bool) -> tuple[Series, int] | None:
        """Give a process the next frame to draw, where there is one; None: there is none, after waiting it is over."""
        with self._changed:
            while not self.closed and self._error is None:
                for series in self._series:
                    number = series.taken_by(drawer)
                    if number is not None:
                        return series, number
                if not wait:
                    break
                self._changed.wait()
        return None

    def put(self, series: Series, number: int, frame: Frame) -> None:
        """Take a frame in."""
        with self._changed:
            series.drawn[number] = frame
            self._changed.notify_all()

    def wanted(self, series: Series, number: int) -> Frame:
        """Return a frame when it is there."""
        with self._changed:
            while number not in series.drawn:
                if self._error is not None:
                    raise self._error
                self._changed.wait()
            self._changed.notify_all()
            return series.drawn.pop(number)

    def drop(self, series: Series) -> None:
        """Have no more of a series drawn."""
        with self._changed:
            if series in self._series:
                self._series.remove(series)

    def fail(self, why: str) -> None:
        """Note that a process is lost."""
        with self._changed:
            self._error = self._error or MissingPart(why)
            self._changed.notify_all()


class Series:
    """Frames of one scene, in order, drawn ahead from the moment that they are begun."""

    def __init__(self, drawers: Drawers, scenery: Scenery, views: Sequence[View], most: int) -> None:
        self._drawers, self._views, self._most = drawers, tuple(views), most
        self.task = pickle.dumps(scenery)
        self.drawn: dict[int, Frame] = {}
        self._by: list[_Drawer] = []
        self._taken = self._given = 0

    def __iter__(self) -> Iterator[Frame]:
        return self

    def __next__(self) -> Frame:
        if self._given == len(self._views):
            raise StopIteration
        frame = self._drawers.wanted(self, self._given)
        self._given += 1
        return frame

    def close(self) -> None:
        """Have no more of them drawn."""
        self._drawers.drop(self)

    def taken_by(self, drawer: _Drawer) -> int | None:
        """Give the number of the next frame that a process is to draw, if one is to be drawn now, and by that one."""
        if drawer not in self._by and len(self._by) == self._most:
            return None
        if self._taken == min(len(self._views), self._given + _AHEAD):
            return None
        if drawer not in self._by:
            self._by.append(drawer)
        self._taken += 1
        return self._taken - 1

    def view(self, number: int) -> View:
        """Return what a frame is to show."""
        return self._views[number]


class _Drawer:
    """A process that draws, and a thread that asks it and takes in what it has drawn."""

    def __init__(self, drawers: Drawers, loading: threading.Semaphore) -> None:
        self._drawers, self._loading = drawers, loading
        self._process: subprocess.Popen[bytes] | None = None
        self._lock, self._stopped = threading.Lock(), False
        self._thread = threading.Thread(target=self._work, daemon=True)

    def start(self) -> None:
        self._thread.start()

    def leave(self) -> None:
        """Wait for the thread of one that is stopped: it may be at the trial render, whose process ends by itself."""
        if self._thread.is_alive():
            self._thread.join(_PATIENCE)

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

    def _work(self) -> None:
        """Start the process in this thread, which Ctrl-C does not break off between its start and its being known."""
        left_to_others()
        try:
            with self._loading:
                process = self._begun()
                if process is None:
                    return
                with contextlib.suppress(EOFError, OSError, ValueError, pickle.UnpicklingError):
                    pickle.load(cast("IO[bytes]", process.stdout))  # it has loaded what draws
        except OSError as error:
            self._drawers.fail(f"no process that draws can be started: {error.strerror or error}")
            return
        with contextlib.suppress(EOFError, OSError, ValueError, pickle.UnpicklingError):
            self._ask(cast("IO[bytes]", process.stdin), cast("IO[bytes]", process.stdout))
        self._drawers.fail("a process that draws ended before its time")

    def _begun(self) -> subprocess.Popen[bytes] | None:
        """Start the process where this computer draws, and nobody has ended it already."""
        if self._drawers.closed or gl.probe() is not None:
            return None
        with self._lock:
            if not self._stopped:
                self._process = start_child(__name__, os.environ | {"LP_NUM_THREADS": "0"})
            return self._process

    def _ask(self, asks: IO[bytes], answers: IO[bytes]) -> None:
        """Hand over what is to be drawn, and take it in, until there is no more."""
        shown: Series | None = None
        due: deque[tuple[Series, int]] = deque()
        while True:
            while len(due) < _ASKED:
                taken = self._drawers.taken_by(self, wait=not due)
                if taken is None:
                    break
                series, number = taken
                if series is not shown:
                    asks.write(series.task)
                    shown = series
                pickle.dump(series.view(number), asks)
                asks.flush()
                due.append(taken)
            if not due:
                return
            frame = pickle.load(answers)
            self._drawers.put(*due.popleft(), frame)


def serve() -> None:
    """Draw what is asked by standard input, and hand each frame over by standard output; end with who asked."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # who asked ends this process
    frames_out = os.dup(1)
    os.dup2(2, 1)  # what libraries print must not come between the frames
    requests: SimpleQueue[Scenery | View] = SimpleQueue()
    threading.Thread(target=_listen, args=(requests,), name="asker", daemon=True).start()
    gl.choose_backend()
    os.environ["ALLOW_PLOTTING"] = "true"  # who asks has tried it
    import pyvista.plotting  # noqa: F401 - by itself pyvista loads it as late as its first plotter

    with contextlib.suppress(BrokenPipeError), os.fdopen(frames_out, "wb") as out:
        _hand_over(None, out)
        scene: Scene | None = None
        while True:
            what = requests.get()
            if isinstance(what, View):
                _hand_over(what.of(cast("Scene", scene)), out)
                continue
            if scene is not None:
                scene.close()
            scene = what.scene(tried=True)
    os.kill(os.getpid(), signal.SIGTERM)  # nobody takes it; Python would tell of what vtk still holds


def _hand_over(what: Any, out: IO[bytes]) -> None:
    pickle.dump(what, out, protocol=5)
    out.flush()


def _listen(requests: SimpleQueue[Scenery | View]) -> None:
    """Take in what is asked; end this process by SIGTERM when its standard input does: who asked is there no more."""
    with contextlib.suppress(EOFError, OSError, pickle.UnpicklingError):
        while True:
            requests.put(pickle.load(sys.stdin.buffer))
    os.kill(os.getpid(), signal.SIGTERM)
