"""Runs in a process of their own: one that ends its process, or never ends, costs its own row only.

A child makes rows one after another and hands each over as it is made, so it is known which run it died in. Before each
run it sets a timer in C (`faulthandler`) that ends the process even from a compiled loop that never lets go of Python's
lock, also when nobody waits for it any more. One that is held from outside is ended by a clock of its parent.
"""

from __future__ import annotations

import contextlib
import faulthandler
import math
import os
import pickle
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import IO, Any, cast

from tipline.children import start_child
from tipline.errors import TiplineError
from tipline.kernels.compiled import code_folder
from tipline.sweeps.job import Job, Row, warm

__all__ = [
    "GRACE",
    "IDLE",
    "Child",
    "CrewLost",
    "Lost",
    "Stopped",
    "Task",
    "Work",
    "refused_by_system",
    "rows_apart",
    "serve",
    "waiting",
]  # fmt: skip

Work = Callable[[Job, Sequence[int], Callable[[], None]], Iterable[Row]]
"""Makes rows of a job one by one, and calls before each run."""
ENDED = "ended the process it ran in"
NO_MEMORY = "ran out of memory"
_LATE = "took longer than {:g} s"
GRACE = 10.0
"""How long [s] a child that is held from outside, so that its own timer does not work, is let be beyond what it may
take: our choice, that on a busy computer the child's own comes first."""
_LOADING = 1800.0
"""How long [s] a child may take to load, and where need be compile, what it runs: our choice, on a slow and busy
computer."""
IDLE = 60.0
"""How long [s] a child waits for work before it ends (our choice)."""
_NO_CHILD = "no process for the runs can be started"
_PICKLED = b"\x80"
"""How every answer begins; what the timer writes begins otherwise."""


@dataclass(frozen=True)
class Lost:
    """A run without a row: its index, and what it did, as a predicate."""

    index: int
    did: str


@dataclass(frozen=True)
class Task:
    """Rows of one chunk that are made together; ``lost``: the first try of a run that is tried again."""

    chunk: int
    indices: Sequence[int]
    lost: Lost | None = None
    given: int = 0


class CrewLost(TiplineError):  # noqa: N818 - what was lost
    """Nobody is there any more who makes rows."""


class Stopped(TiplineError):  # noqa: N818 - no fault: it was asked to
    """A child was stopped from outside."""


class _Gone(Exception):  # noqa: N818 - met by the sentence that asks
    """A child's process is there no more; ``did`` as in `Lost`."""

    def __init__(self, did: str) -> None:
        super().__init__(did)
        self.did = did


class Child:
    """A process that makes rows of a job, started when it is needed and anew when a run has ended it.

    ``limit``: how long a run may take [s]. One thread asks it at a time; any may stop it.
    """

    def __init__(self, job: Job, work: Work, limit: float) -> None:
        self._process: subprocess.Popen[bytes] | None = None
        self._clock: _Clock | None = None
        self._lock, self._stopped = threading.Lock(), False
        self.turn_to(job, work, limit)

    def start(self) -> None:
        """Have a process that has loaded what it runs.

        Raises
        ------
        Stopped
            It was stopped from outside.
        CrewLost
            Processes end as they start.
        """
        if self._process is not None:
            return
        for first in (True, False):  # the scenario as it is may be what ends the process
            with contextlib.suppress(_Gone):
                self._launch(first)
                return
            self.bury()
        raise CrewLost(_NO_CHILD)

    def rows(self, indices: Sequence[int]) -> list[Row | Lost]:
        """Return a row for each index, or that it was lost; raises as `start`, and what a run could not cope with."""
        rows: list[Row | Lost] = []
        while len(rows) < len(indices):
            new = self._process is None
            self.start()
            rows += self._some(indices[len(rows) :], new=new)
        return rows

    def turn_to(self, job: Job, work: Work, limit: float) -> None:
        """Make rows of a job from now on, in the process that is there, if one is."""
        self.marks, self._limit = (job.fingerprint, limit), limit
        self._packed = pickle.dumps((job, work, limit))
        if self._process is not None:
            try:
                self._ask(self._packed)
            except _Gone:
                self.bury()

    @property
    def pid(self) -> int | None:
        """The number of its process, None where it has none."""
        process = self._process
        return None if process is None else process.pid

    def stop(self) -> None:
        """End the process for good, with nothing left of it once this returns."""
        with self._lock:
            self._stopped = True
            process = self._process
        if process is not None:
            process.kill()
            process.wait()

    def bury(self) -> None:
        """Clear away what is left of the process."""
        process, self._process = self._process, None
        if process is None:
            return
        if self._clock is not None:
            self._clock.end()
        process.kill()
        process.wait()
        for stream in (process.stdin, process.stdout):
            with contextlib.suppress(OSError):
                cast("IO[bytes]", stream).close()

    def _launch(self, first: bool) -> None:
        code_folder()
        surroundings = os.environ | {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
        with self._lock:
            if self._stopped:
                raise Stopped
            try:
                self._process = start_child(__name__, surroundings)
            except OSError as error:
                msg = f"{_NO_CHILD}: {error.strerror or error}"
                raise CrewLost(msg) from error
        self._clock = _Clock(self._process)
        self._clock.allow(_LOADING + GRACE)
        self._ask(self._packed + pickle.dumps(first))
        self._answer(_LOADING)

    def _some(self, indices: Sequence[int], *, new: bool) -> list[Row | Lost]:
        """Return what was made up to the end, or up to and with the run that the process did not survive."""
        rows: list[Row | Lost] = []
        begun = new  # one that has waited for long ends by itself, which is no run's fault
        try:
            cast("_Clock", self._clock).allow(self._limit + GRACE)
            self._ask(pickle.dumps(list(indices)))
            while len(rows) < len(indices):
                answer = self._answer(self._limit)
                begun = True
                if isinstance(answer, MemoryError):
                    raise _Gone(NO_MEMORY)
                if isinstance(answer, OSError):
                    raise _Gone(refused_by_system(answer))
                if isinstance(answer, BaseException):
                    raise answer
                if answer is not None:  # else a run begins
                    rows.append(answer)
            cast("_Clock", self._clock).rest()
        except _Gone as gone:
            self.bury()
            if self._stopped:
                raise Stopped from None
            if begun:
                rows.append(Lost(indices[len(rows)], gone.did))
        return rows

    def _ask(self, packed: bytes) -> None:
        stream = cast("subprocess.Popen[bytes]", self._process).stdin
        try:
            cast("IO[bytes]", stream).write(packed)
            cast("IO[bytes]", stream).flush()
        except OSError as error:
            raise _Gone(ENDED) from error

    def _answer(self, within: float) -> Any:
        clock, stream = cast("_Clock", self._clock), cast("Any", self._process).stdout
        clock.allow(within + GRACE)
        head = stream.peek(1)[:1]
        if head != _PICKLED:
            raise _Gone(_LATE.format(self._limit) if head or clock.late else ENDED)
        try:
            return pickle.load(stream)
        except (EOFError, pickle.UnpicklingError) as error:
            raise _Gone(ENDED) from error


class _Clock:
    """Ends a process that is let be for too long, on a thread of this process that sleeps till then."""

    def __init__(self, process: subprocess.Popen[bytes]) -> None:
        self.late = False
        self._process = process
        self._until = self._sleeps_to = math.inf
        self._over = False
        self._changed = threading.Condition()
        threading.Thread(target=self._watch, name="clock", daemon=True).start()

    def allow(self, seconds: float) -> None:
        """Let it be for so long from now; a sleeper that wakes before looks again, so that most calls wake none."""
        self._until = time.monotonic() + seconds
        if self._until < self._sleeps_to:
            self._wake()

    def rest(self) -> None:
        """Let it be."""
        self._until = math.inf

    def end(self) -> None:
        """Watch no more."""
        self._over = True
        self._wake()

    def _wake(self) -> None:
        with self._changed:
            self._changed.notify()

    def _watch(self) -> None:
        with self._changed:
            while not self._over:
                left = self._until - time.monotonic()
                if left <= 0.0:
                    self.late = True
                    self._process.kill()
                    return
                self._sleeps_to = self._until
                self._changed.wait(None if left == math.inf else min(left, threading.TIMEOUT_MAX))


def refused_by_system(error: OSError) -> str:
    """Say of a run that the system refused it something, as a predicate."""
    return f"was refused something by the system ({error.strerror or error})"


def serve() -> None:
    """Be a child, until nobody asks any more."""
    answers = os.dup(1)
    os.dup2(2, 1)  # what libraries print must not come between the answers
    with contextlib.suppress(EOFError, BrokenPipeError), os.fdopen(answers, "wb", buffering=0) as out:
        _serve(sys.stdin.buffer, out)


def _serve(pipe: IO[bytes], out: IO[bytes]) -> None:
    def within(seconds: float) -> None:
        faulthandler.dump_traceback_later(seconds, exit=True, file=out.fileno())

    def say(answer: object) -> None:
        out.write(_packed(answer))

    within(_LOADING)
    job, work, limit = pickle.load(pipe)
    if pickle.load(pipe):
        warm(job)
    say(None)

    def begin() -> None:
        within(limit)
        say(None)

    while True:
        within(IDLE)
        order = pickle.load(pipe)
        if isinstance(order, tuple):
            job, work, limit = order
            continue
        begin()
        try:
            for row in work(job, order, begin):
                say(row)
        except MemoryError:
            say(MemoryError())
        except OSError as error:
            say(OSError(error.errno, error.strerror or str(error)))
        except Exception as error:  # noqa: BLE001 - whatever it is, it is raised where it is waited for
            say(error)


def _packed(answer: object) -> bytes:
    """Return an answer as it goes over; an error that does not survive that, as its text."""
    packed = pickle.dumps(answer)
    if isinstance(answer, BaseException):
        try:
            pickle.loads(packed)
        except (TypeError, AttributeError):
            packed = pickle.dumps(TiplineError(f"{type(answer).__name__}: {answer}"))
    return packed


waiting: list[Child] = []
"""Children of this process that wait for the next call."""
_free_lock = threading.Lock()


def rows_apart(job: Job, work: Work, limit: float, indices: Sequence[int]) -> list[Row | Lost]:
    """Make rows in a child of this process, kept for the next call; for no rows only have it ready."""
    with _of(job, work, limit) as child:
        if not indices:
            child.start()
        return child.rows(indices)


@contextlib.contextmanager
def _of(job: Job, work: Work, limit: float) -> Iterator[Child]:
    with _free_lock:
        fit = next((child for child in waiting if child.marks == (job.fingerprint, limit)), None)
        old = [child for child in waiting if child.marks != (job.fingerprint, limit)]
        waiting[:] = [child for child in waiting if child not in old and child is not fit]
        child = fit or Child(job, work, limit)
    for idle in old:
        idle.bury()
    try:
        yield child
    except BaseException:
        child.bury()
        raise
    with _free_lock:
        waiting.append(child)
