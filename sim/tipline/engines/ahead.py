"""Kernels compiled by processes beside this one, while this one compiles and does what comes before them."""

from __future__ import annotations

import contextlib
import os
import pickle
import signal
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import IO, TYPE_CHECKING, cast

from tipline.children import start_child
from tipline.engines.prepare import unposed
from tipline.engines.rolled import Rolling
from tipline.engines.stepped import Stepped
from tipline.engines.world import World
from tipline.kernels.compiled import kept, left_to, make
from tipline.results import COMPILED, PYBULLET

if TYPE_CHECKING:
    from tipline.scenario.case import Case

__all__ = ["compiled_beside", "serve"]

_KERNELS = {PYBULLET: Stepped.kernel, COMPILED: Rolling.kernel}


@contextmanager
def compiled_beside(case: Case, engines: Sequence[str]) -> Iterator[None]:
    """Have the kernels of engines compiled beside the block, each by a process, if that was never done.

    Who needs a kernel waits for it. Where no process can be started, or it fails, the kernel is compiled in this one
    when it is needed.
    """
    begun: list[subprocess.Popen[bytes]] = []
    try:
        with contextlib.suppress(OSError):
            for engine in engines:
                if not kept(_KERNELS[engine]):
                    begun.append(start_child(__name__, os.environ))
                    left_to(_KERNELS[engine], begun[-1].wait)
                    with cast("IO[bytes]", begun[-1].stdin) as stream:
                        pickle.dump((engine, replace(case, cells=())), stream)
        yield
    finally:
        for process in begun:
            process.kill()
            process.wait()
            cast("IO[bytes]", process.stdout).close()


def serve() -> None:
    """Compile the kernel of an engine for a case, both told by standard input; no step is done."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # who asked ends this process
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)  # what goes wrong here is met, and told, by who asked
    engine, case = pickle.load(sys.stdin.buffer)
    prepared, _ = unposed(case)
    step = case.scenario.run.time_step
    loop = Rolling(prepared) if engine == COMPILED else Stepped(prepared, World(prepared, step))
    make(loop.kernel, loop.arguments(0, 0))
