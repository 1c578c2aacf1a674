"""Whole runs compiled by a process beside this one, while this one compiles and does what comes before them."""

from __future__ import annotations

import contextlib
import os
import pickle
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import IO, TYPE_CHECKING, cast

import numpy as np

from tipline.children import start_child
from tipline.engines.prepare import unposed
from tipline.engines.rolled import bodies_of, own_axes
from tipline.engines.watching import watch_of
from tipline.kernels import layout as at
from tipline.kernels.compiled import compiled, left_to
from tipline.kernels.compiled import kept as kept_code

if TYPE_CHECKING:
    from tipline.scenario.case import Case

__all__ = ["compiled_beside", "serve"]

_KERNEL = "roll_out"


@contextmanager
def compiled_beside(case: Case) -> Iterator[None]:
    """Have whole runs compiled beside the block, if that was never done; who first needs them waits for it.

    Where no process can be started, or it fails, they are compiled in this one when they are needed.
    """
    if kept_code(_KERNEL):
        yield
        return
    try:
        process = start_child(__name__, os.environ)
    except OSError:
        yield
        return
    stream = cast("IO[bytes]", process.stdin)
    with contextlib.suppress(OSError):
        pickle.dump(replace(case, cells=()), stream)
        stream.close()
    left_to(_KERNEL, process.wait)
    try:
        yield
    finally:
        process.kill()
        process.wait()
        cast("IO[bytes]", process.stdout).close()


def serve() -> None:
    """Compile whole runs for the types of a case that comes in by standard input; no step is done."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # who asked ends this process
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)  # what goes wrong here is met, and told, by who asked
    case = pickle.load(sys.stdin.buffer)
    prepared, _ = unposed(case)
    dt, plant = case.scenario.run.time_step, own_axes(prepared.build.plant)
    row = np.zeros((1, at.record_width(len(plant.tyre), len(plant.place))))
    table, memory, watch = prepared.commands.table, prepared.memory, watch_of(prepared, dt)
    compiled(_KERNEL)(0, 0, dt, bodies_of(prepared), plant, table, memory, watch, row)
