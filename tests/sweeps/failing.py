"""Rows of which some fail as the environment says.

FAILING: how, by index; where it names two ways, the first try and those after it. NOTED: a file of who tried them.
"""

from __future__ import annotations

import ctypes
import errno
import json
import os
import signal
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from tipline.sweeps import job
from tipline.sweeps.batch import BatchResult
from tipline.sweeps.job import Job, Row


def hang() -> None:
    """Never end, and never let go of Python's lock."""
    ctypes.PyDLL(None).sleep(100_000)


def lacks_memory() -> None:
    np.empty(1 << 58)


def lacks_disk() -> None:
    raise OSError(errno.ENOSPC, "No space left on device")


def stop() -> None:
    """Be held from outside."""
    os.kill(os.getpid(), signal.SIGSTOP)


HOW: dict[str, Callable[[], object]] = {
    "kill": lambda: os.kill(os.getpid(), signal.SIGKILL),
    "segfault": lambda: ctypes.string_at(0),
    "hang": hang,
    "stop": stop,
    "memory": lacks_memory,
    "disk": lacks_disk,
}


def each_row(made: Job, indices: Sequence[int], before: Callable[[], None]) -> Iterator[Row]:
    asked, noted = json.loads(os.environ["FAILING"]), Path(os.environ["NOTED"])
    for index in indices:
        before()
        if str(index) in asked:
            with noted.open("a", encoding="utf-8") as file:
                file.write(f"{index} {os.getpid()}\n")
            ways = asked[str(index)].split()
            tries = [line.split()[0] for line in noted.read_text(encoding="utf-8").splitlines()].count(str(index))
            HOW[ways[min(tries, len(ways)) - 1]]()
        yield from job.each_row(made, [index], before)


def run_rows(made: Job, indices: Sequence[int]) -> list[Row]:
    return list(each_row(made, indices, lambda: None))


def slow_row(made: Job, indices: Sequence[int], before: Callable[[], None]) -> Iterator[Row]:
    """Rows of which each run takes a third of a second more."""
    ended = job._ended

    def slowly(*of: Any, **how: Any) -> BatchResult | str:
        time.sleep(0.35)
        return ended(*of, **how)

    job._ended = slowly  # in this process, which is a child's
    yield from job.each_row(made, indices, before)


def no_row(made: Job, indices: Sequence[int], _before: Callable[[], None]) -> Iterator[Row]:
    yield from (job.lost_row(made, index, "no run here") for index in indices)
