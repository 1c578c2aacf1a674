"""A request to end is kept until it is heeded, and nothing of a library's is broken off in the middle by it.

Python raises it wherever the main thread is at: in a callback of a library it would be lost, where a library starts or
ends its processes it would leave them half-way, and where vtk loads or draws it would end this process.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, wait
from contextlib import contextmanager
from queue import SimpleQueue
from types import FrameType
from typing import Any, TypeVar

from tipline.children import left_to_others

__all__ = ["WHILE", "Undisturbed", "heed", "heeded", "unbroken", "waited_for"]

T = TypeVar("T")
WHILE = 0.2
"""How long [s] is waited for something before it is looked whether there was a request to end (our choice)."""
_ENDS = (signal.SIGINT, signal.SIGTERM)


class _Requests:
    """Whether there was one that is not heeded yet."""

    waiting = False


@contextmanager
def heeded() -> Iterator[None]:
    """Keep requests to end for `heed`, beside what is done with them anyway; in the main thread, which gets them."""

    def kept(go_on: Callable[[], object]) -> None:
        _Requests.waiting = True
        go_on()

    _Requests.waiting = False
    with _taken_by(kept):
        try:
            yield
        finally:
            _Requests.waiting = False


@contextmanager
def unbroken() -> Iterator[None]:
    """Hold a request to end back while a library is at what it does not survive being broken off; raise it after that.

    What the library made of itself meanwhile, an error too, gives way to it. For what takes seconds at most: a process
    that is held for longer is ended (`deadline`).
    """
    held: list[Callable[[], object]] = []
    over = False

    def kept(go_on: Callable[[], object]) -> None:
        if over:
            go_on()
        else:
            held.append(go_on)

    try:
        with _taken_by(kept):
            try:
                yield
            finally:
                over = True
    finally:
        for go_on in held[:1]:
            go_on()


@contextmanager
def _taken_by(take: Callable[[Callable[[], object]], None]) -> Iterator[None]:
    """Have a request to end handed over as a call that does what is done with it anyway; in the main thread only."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = {end: handler for end in _ENDS if callable(handler := signal.getsignal(end))}

    def taken(number: int, frame: FrameType | None) -> None:
        take(lambda: before[signal.Signals(number)](number, frame))

    try:
        for end in before:
            signal.signal(end, taken)
        yield
    finally:
        for end, handler in before.items():
            signal.signal(end, handler)


def heed() -> None:
    """Raise KeyboardInterrupt if there was a request to end, wherever it was raised first and lost."""
    if _Requests.waiting:
        raise KeyboardInterrupt


def waited_for(done: Future[T]) -> T:
    """Return what comes of something; a request to end is not kept waiting."""
    while True:
        try:
            return done.result(WHILE)
        except TimeoutError:
            if done.done():  # its own
                raise
            heed()


class Undisturbed:
    """A thread for what is not to be broken off in the middle; whoever waits for it can be.

    ``at_it``: whether one is still at what was waited for in vain.
    """

    at_it = False

    def __init__(self) -> None:
        self._asked: SimpleQueue[tuple[Callable[[], Any], Future[Any]] | None] = SimpleQueue()
        threading.Thread(target=self._work, name="undisturbed", daemon=True).start()

    def do(self, what: Callable[[], T]) -> T:
        """Return what comes of a call, as `waited_for`."""
        return waited_for(self._begun(what))

    def try_for(self, seconds: float, what: Callable[[], object]) -> None:
        """Have a call made that is waited for so long only, and not broken off if it takes longer."""
        if wait([self._begun(what)], seconds).not_done:
            Undisturbed.at_it = True

    def end(self) -> None:
        """Let the thread end when it has done what it was asked."""
        self._asked.put(None)

    def _begun(self, what: Callable[[], T]) -> Future[T]:
        done: Future[T] = Future()
        self._asked.put((what, done))
        return done

    def _work(self) -> None:
        left_to_others()
        while (job := self._asked.get()) is not None:
            what, done = job
            try:
                done.set_result(what())
            except BaseException as error:  # noqa: BLE001 - it is raised where it is waited for
                done.set_exception(error)
        Undisturbed.at_it = False
