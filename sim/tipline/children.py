"""Processes of this program's own: with no module of the current folder, and without loading the main script again."""

from __future__ import annotations

import contextlib
import os
import pickle
import signal
import subprocess
import sys
import threading
from collections.abc import Mapping
from typing import IO, cast

__all__ = ["COMMAND", "cores", "end_with_asker", "left_to_others", "start_child"]

COMMAND = (
    "import sys, pickle; sys.path[:] = pickle.load(sys.stdin.buffer); "
    "from importlib import import_module; import_module({module!r}).serve()"
)


def cores() -> int:
    """Return how many cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def start_child(module: str, surroundings: Mapping[str, str]) -> subprocess.Popen[bytes]:
    """Start a process that calls ``serve`` of a module of ours; what it is asked comes in by its standard input.

    One that ends at once is met by whoever asks it.

    Raises
    ------
    OSError
        No process can be started.
    """
    process = subprocess.Popen(
        [sys.executable, "-P", "-c", COMMAND.format(module=module)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env=dict(surroundings),
    )
    pipe = cast("IO[bytes]", process.stdin)
    with contextlib.suppress(OSError):
        pipe.write(pickle.dumps(sys.path))
        pipe.flush()
    return process


def left_to_others() -> None:
    """Keep Ctrl-C from this thread and the processes that it starts: it is for the main one to end them."""
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})


def end_with_asker() -> None:
    """End this process by SIGTERM when its standard input does: who asked is there no more. Nobody else reads that."""
    threading.Thread(target=_wait_for_asker, name="asker", daemon=True).start()


def _wait_for_asker() -> None:
    with contextlib.suppress(OSError):
        while os.read(0, 64):
            pass
    os.kill(os.getpid(), signal.SIGTERM)
