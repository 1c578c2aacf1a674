"""A request to end is met in time, also where a library lets Python have no say for long, as a compiler does.

Python heeds a signal between two of its own instructions only. The system's part of it is done at once: it wakes a
thread, which waits for the main one and in the end ends the process in its place.
"""

from __future__ import annotations

import os
import shutil
import signal
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from tipline.children import left_to_others

__all__ = ["PATIENCE", "half_written", "hold_to"]

PATIENCE = 4.0
"""How long [s] the main thread may take to heed a request to end and to clear up."""

_half_written: set[Path] = set()


@contextmanager
def half_written(folder: Path) -> Iterator[None]:
    """Know of a folder that must not stay if the process is ended in the middle of it."""
    _half_written.add(folder)
    try:
        yield
    finally:
        _half_written.discard(folder)


def hold_to(ends: Sequence[signal.Signals], tell: Callable[[], None]) -> None:
    """End this process when it has not done so itself a while after one of the signals; ``tell`` is called before."""
    if not hasattr(signal, "set_wakeup_fd"):
        return
    read, write = os.pipe()
    os.set_blocking(write, False)
    signal.set_wakeup_fd(write, warn_on_full_buffer=False)
    threading.Thread(target=_wait, args=(read, {int(end) for end in ends}, tell), name="deadline", daemon=True).start()


def _wait(read: int, ends: set[int], tell: Callable[[], None]) -> None:
    left_to_others()
    while (number := os.read(read, 1)[0]) not in ends:
        pass
    time.sleep(PATIENCE)
    for folder in list(_half_written):
        shutil.rmtree(folder, ignore_errors=True)
    tell()
    os._exit(128 + number)
