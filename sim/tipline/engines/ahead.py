"""The kernel that steps a run, compiled by a process beside this one, which compiles and does what comes before it."""

from __future__ import annotations

import contextlib
import gc
import os
import pickle
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from typing import IO, TYPE_CHECKING, cast

from tipline.children import end_with_asker, start_child
from tipline.engines.prepare import unposed
from tipline.engines.rolled import Rolling
from tipline.kernels.compiled import kept, left_to, make

if TYPE_CHECKING:
    from tipline.scenario.case import Case

__all__ = ["compiled_beside", "serve"]

KERNEL = "roll_out"


@contextmanager
def compiled_beside(
    case: Case, idle: Callable[[], None] | None = None, meanwhile: Callable[[], None] | None = None
) -> Iterator[None]:
    """Have the kernel that steps a run compiled beside the block, by a process, if that was never done.

    Who needs it waits for it, and does ``meanwhile`` first. Where no process can be started, or it fails, it is
    compiled in this one when it is needed. ``idle`` is called once one core is enough for what is left to do: before
    the block where nothing is compiled, else by who waits.
    """
    process: subprocess.Popen[bytes] | None = None
    begin = idle or _nothing
    try:
        with contextlib.suppress(OSError):
            if kept(KERNEL):
                begin()
            else:
                process = start_child(__name__, os.environ)
                left_to(KERNEL, partial(_wait, process, begin, meanwhile or _nothing))
                stream = cast("IO[bytes]", process.stdin)  # left open: it ends with this process
                pickle.dump(replace(case, cells=()), stream)
                stream.flush()
        yield
    finally:
        if process is not None:
            process.kill()
            process.wait()
            for pipe in (process.stdin, process.stdout):
                with contextlib.suppress(OSError):
                    cast("IO[bytes]", pipe).close()


def _nothing() -> None: ...


def _wait(process: subprocess.Popen[bytes], *first: Callable[[], None]) -> None:
    for call in first:
        call()
    process.wait()


def serve() -> None:
    """Compile the kernel for a case that is told by standard input; no step is done, and it ends with who asked."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # who asked ends this process
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)  # what goes wrong here is met, and told, by who asked
    case = pickle.load(sys.stdin.buffer)
    end_with_asker()
    prepared, _ = unposed(case)
    make(KERNEL, Rolling(prepared).arguments(0, 0))
    gc.freeze()  # to look through what numba leaves takes a second, and it goes with the process
