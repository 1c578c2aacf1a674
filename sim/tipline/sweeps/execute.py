"""Run the chunks of a sweep that are missing: on this computer, or on a cluster; the rows are the same.

A worker here is a child of this process; those of a cluster are dask's, and each has such a child.
However many are asked for, no run is made in this process, so that one that ends its process or never ends costs its
own row: it is tried once more with nothing beside it, then marked. What is finished is on disk, whatever happens next.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from queue import Empty, SimpleQueue
from typing import Protocol

from tipline.children import left_to_others
from tipline.errors import TiplineError, argument
from tipline.kernels.compiled import kept
from tipline.sweeps.cluster import cluster
from tipline.sweeps.interrupts import WHILE, heed, waited_for
from tipline.sweeps.isolated import Child, CrewLost, Lost, Task, refused_by_system
from tipline.sweeps.job import Job, Row, each_row, lost_row, run_rows
from tipline.sweeps.store import Store

__all__ = ["idle_children", "run_missing"]

Tell = Callable[[int], None]
"""Called with the number of rows that are on disk."""


def run_missing(
    job: Job,
    store: Store,
    limit: float,
    workers: int = 1,
    scheduler: str | None = None,
    tell: Tell | None = None,
    idle: list[Child] | None = None,
) -> None:
    """Make the rows that are not on disk yet.

    Parameters
    ----------
    job, store : the sweep and its folder
    limit : how long a run may take [s], where it is not in this process
    workers : how many on this computer; none means this process, which a run can then end
    scheduler : address of a dask scheduler, in place of them
    tell : told how many rows are there
    idle : processes of a sweep before this one (`idle_children`), which go on with this one and wait there again

    Raises
    ------
    InputError
        The disk is full; nobody answers at the scheduler's address, or its workers have another version.
    MissingPart
        A scheduler was given and dask is not installed.
    TiplineError
        The scheduler was lost, or no process can be started.
    """
    missing = store.missing()
    if not missing:
        return
    sharing = _Sharing(job, store, tell or _silent)
    try:
        if scheduler is not None:
            with ExitStack() as stack:
                try:
                    crew = stack.enter_context(cluster(job, each_row, limit, scheduler))
                except TiplineError:
                    store.withdraw()
                    raise
                sharing.run(missing, crew)
        elif workers > 0:
            with _children(job, min(workers, len(missing)), limit, idle) as here:
                sharing.run(missing, here)
        else:
            for number in missing:
                sharing.keep(Task(number, store.indices(number)), _rows_here(job, store.indices(number)))
    except CrewLost as error:
        kept = f"{store.rows_there()} of {job.rows} rows are kept in {store.folder}"
        msg = f"{error}; {kept}; go on with {argument('resume')}"
        raise TiplineError(msg) from error


def _rows_here(job: Job, indices: Sequence[int]) -> list[Row]:
    """Make rows in this process; one that the system refuses something costs itself only."""
    rows: list[Row] = []
    for index in indices:
        try:
            rows += run_rows(job, [index])
        except OSError as error:
            rows.append(lost_row(job, index, f"the run {refused_by_system(error)}"))
    return rows


def _silent(_rows: int) -> None:
    """Tell nobody."""


class _Crew(Protocol):
    """Whoever does tasks; ``ahead``: so many are given at a time."""

    ahead: int

    def give(self, task: Task) -> None:
        """Have a task done."""

    def take(self) -> tuple[Task, Sequence[Row | Lost]] | None:
        """Return a task that is done and what it gave; None if there is none for a while."""


@contextmanager
def idle_children() -> Iterator[list[Child]]:
    """Give a place in which the processes of one sweep wait for the next; on the way out end them."""
    idle: list[Child] = []
    try:
        yield idle
    finally:
        for child in idle:
            child.bury()


@contextmanager
def _children(job: Job, workers: int, limit: float, idle: list[Child] | None) -> Iterator[_Children]:
    """Give so many processes; on the way out let them wait for another job, or end them."""
    children = [] if idle is None else [idle.pop() for _ in range(min(workers, len(idle)))]
    pool = ThreadPoolExecutor(workers, initializer=left_to_others)
    try:
        for child in children:
            child.turn_to(job, each_row, limit)
        children += [Child(job, each_row, limit) for _ in range(workers - len(children))]
        if not kept("roll_out"):
            waited_for(pool.submit(children[0].start))  # the first of all compiles what the others find on disk
        yield _Children(children, pool)
        if idle is not None:
            idle += children
            children = []
    finally:
        pool.shutdown(wait=False, cancel_futures=True)
        for child in children:
            child.stop()
        pool.shutdown()
        for child in children:
            child.bury()


class _Children:
    """Processes on this computer, a thread of this one for each."""

    def __init__(self, children: Sequence[Child], pool: ThreadPoolExecutor) -> None:
        self._pool = pool
        self._free: SimpleQueue[Child] = SimpleQueue()
        self._done: SimpleQueue[tuple[Task, Future[list[Row | Lost]]]] = SimpleQueue()
        for child in children:
            self._free.put(child)
        self.ahead = len(children) + 1

    def give(self, task: Task) -> None:
        """Have a task done."""
        self._pool.submit(self._do, task.indices).add_done_callback(lambda done: self._done.put((task, done)))

    def take(self) -> tuple[Task, list[Row | Lost]] | None:
        """Return a task that is done and what it gave; None if there is none for a while."""
        try:
            task, done = self._done.get(timeout=WHILE)
        except Empty:
            return None
        return task, done.result()

    def _do(self, indices: Sequence[int]) -> list[Row | Lost]:
        child = self._free.get()
        try:
            return child.rows(indices)
        finally:
            self._free.put(child)


class _Sharing:
    """Chunks shared out over a crew, so many ahead, and written here as they come back."""

    def __init__(self, job: Job, store: Store, say: Tell) -> None:
        self._job, self._store, self._say = job, store, say
        self._there = store.rows_there()
        self._suspect: deque[Task] = deque()
        self._parts: dict[int, dict[int, Row]] = {}

    def run(self, missing: Sequence[int], crew: _Crew) -> None:
        """Make these chunks; a suspect as soon as what was given before is done, so that its chunk can be written."""
        self._say(self._there)
        waiting, given = deque(Task(number, self._store.indices(number)) for number in missing), 0
        while waiting or self._suspect or given:
            while waiting and not self._suspect and given < crew.ahead:
                crew.give(waiting.popleft())
                given += 1
            if self._suspect and not given:
                crew.give(self._suspect.popleft())
                given = 1
            heed()
            if (done := crew.take()) is not None:
                given -= 1
                self.keep(*done)

    def keep(self, task: Task, rows: Sequence[Row | Lost]) -> None:
        """Write a chunk once all its rows are there."""
        rows_of_chunk = self._parts.setdefault(task.chunk, {})
        for row in rows:
            if not isinstance(row, Lost):
                rows_of_chunk[row["run"]] = row
            elif task.lost is None:
                self._suspect.append(Task(task.chunk, [row.index], lost=row))
            else:
                rows_of_chunk[row.index] = lost_row(self._job, row.index, _reason(task.lost, row))
        whole = self._store.indices(task.chunk)
        if len(rows_of_chunk) < len(whole):
            return
        self._store.write(task.chunk, [rows_of_chunk[index] for index in whole])
        del self._parts[task.chunk]
        self._there += len(whole)
        self._say(self._there)


def _reason(first: Lost, second: Lost) -> str:
    """Say what a run did, both times that it was tried."""
    if first.did == second.did:
        return f"the run {first.did}, and again when it was tried alone"
    return f"the run {first.did}; when it was tried alone it {second.did}"
