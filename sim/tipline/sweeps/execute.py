"""Run the chunks of a sweep that are missing: in this process, in some here, or on a cluster; the rows are the same.

A worker process that dies costs its chunk a second try, run by run; a run that ends its process twice, the second time
with nothing beside it, is marked as lost. What is finished is on disk, whatever happens next.
"""

from __future__ import annotations

import logging
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from tipline.errors import InputError, MissingPart, TiplineError
from tipline.sweeps.job import Job, Row, lost_row, run_rows, version_here, warm
from tipline.sweeps.store import Store

if TYPE_CHECKING:
    from distributed import Client, Future

__all__ = ["has_dask", "run_missing"]

Tell = Callable[[int], None]
"""Called with the number of rows that are on disk."""
LOST = "the run ended the process it ran in, and again when it was tried alone"
_PATIENCE = "10s"
_GIVEN = 5
"""How often a chunk is given out anew because its result was lost with a worker."""
_AHEAD = 3
"""Tasks given out for each thread of the workers."""


def has_dask() -> bool:
    """Whether runs can be shared out over processes."""
    from importlib.util import find_spec

    return find_spec("distributed") is not None


def run_missing(
    job: Job, store: Store, workers: int = 1, scheduler: str | None = None, tell: Tell | None = None
) -> None:
    """Make the rows that are not on disk yet.

    Parameters
    ----------
    job, store : the sweep and its folder
    workers : how many processes on this computer; one or none means this one
    scheduler : address of a dask scheduler, in place of them
    tell : told how many rows are there

    Raises
    ------
    InputError
        The disk is full; nobody answers at the scheduler's address, or its workers have another version.
    MissingPart
        A scheduler was given and dask is not installed.
    """
    say = tell or _silent
    missing = store.missing()
    if not missing:
        return
    if scheduler is None:
        warm(job)
    say(store.rows_there())
    if scheduler is None and (workers <= 1 or not has_dask()):
        there = store.rows_there()
        for number in missing:
            rows = run_rows(job, store.indices(number))
            store.write(number, rows)
            there += len(rows)
            say(there)
        return
    with _client(workers, scheduler) as client:
        _Shared(job, store, client, say).run(missing)


def _silent(_rows: int) -> None:
    """Tell nobody."""


def work(job: Job, indices: Sequence[int]) -> list[Row]:
    """Make rows in a worker."""
    return run_rows(job, indices)


@contextmanager
def _client(workers: int, scheduler: str | None) -> Iterator[Client]:
    try:
        import dask
        from distributed import Client, LocalCluster
    except ImportError as error:
        msg = "runs on a cluster need dask"
        raise MissingPart(msg, install="pip install 'tipline[sweeps]'") from error
    if scheduler is not None:
        with _remote(scheduler) as client:
            yield client
        return
    quiet = logging.getLogger("distributed")
    level = quiet.level
    settings = {
        "distributed.scheduler.allowed-failures": 0,
        "distributed.worker.preload": ["import signal; signal.signal(signal.SIGINT, signal.SIG_IGN)"],
        "distributed.worker.profile.enabled": False,
        "distributed.comm.timeouts.connect": "30s",
    }
    try:
        quiet.setLevel(logging.CRITICAL)
        with dask.config.set(settings):
            made = LocalCluster(
                n_workers=workers,
                threads_per_worker=1,
                processes=True,
                host="127.0.0.1",
                dashboard_address="127.0.0.1:0",
                silence_logs=logging.CRITICAL,
            )
            with made as cluster, Client(cluster) as client:
                yield client
    finally:
        quiet.setLevel(level)


@contextmanager
def _remote(scheduler: str) -> Iterator[Client]:
    from distributed import Client

    try:
        client = Client(scheduler, timeout=_PATIENCE)
        client.wait_for_workers(1, timeout=_PATIENCE)
    except (OSError, TimeoutError, ValueError) as error:
        msg = f"no scheduler with a worker answers there ({type(error).__name__})"
        remedy = "Start one with dask scheduler and dask worker, and give its address, as tcp://127.0.0.1:8786"
        raise InputError(msg, key="--scheduler", value=scheduler, remedy=remedy) from error
    with client:
        found = set(client.run(_version).values())
        if found != {version_here()}:
            msg = f"its workers have version {', '.join(sorted(map(str, found)))} of tipline, this is {version_here()}"
            raise InputError(msg, key="--scheduler", value=scheduler, remedy="Install the same version everywhere")
        yield client


def _version() -> str:
    """Return the version that a worker has."""
    return version_here()


@dataclass
class _Task:
    """Rows of one chunk that are made together; ``alone``: with nothing beside them."""

    chunk: int
    indices: Sequence[int]
    alone: bool = False
    given: int = 0


@dataclass
class _Gathered:
    """A chunk that is made run by run after its worker died."""

    rows: dict[int, Row] = field(default_factory=dict)


class _Shared:
    """Chunks shared out over the workers of a client, so many ahead, and written here as they come back."""

    def __init__(self, job: Job, store: Store, client: Client, say: Tell) -> None:
        self._job, self._store, self._client, self._say = job, store, client, say
        self._there = store.rows_there()
        self._waiting: deque[_Task] = deque()
        self._suspect: deque[_Task] = deque()
        self._given: dict[Future, _Task] = {}
        self._parts: dict[int, _Gathered] = {}

    def run(self, missing: Sequence[int]) -> None:
        """Make these chunks."""
        from distributed import as_completed

        self._waiting.extend(_Task(number, self._store.indices(number)) for number in missing)
        ahead = _AHEAD * max(1, sum(self._client.nthreads().values()))
        try:
            coming = as_completed()
            while self._waiting or self._suspect or self._given:
                while self._waiting and len(self._given) < ahead:
                    coming.add(self._submit(self._waiting.popleft()))
                if not self._given and self._suspect:
                    coming.add(self._submit(self._suspect.popleft()))
                done: Future = next(coming)
                self._take(self._given.pop(done), done)
                done.release()
        except BaseException:
            self._client.cancel(list(self._given), force=True)
            raise

    def _submit(self, task: _Task) -> Future:
        future = self._client.submit(work, self._job, list(task.indices), pure=False, retries=0)
        self._given[future] = task
        return future

    def _take(self, task: _Task, done: Future) -> None:
        from distributed import KilledWorker

        if done.status == "finished":
            self._keep(task, done.result())
            return
        error = done.exception() if done.status == "error" else None
        if isinstance(error, KilledWorker):
            self._again(task)
        elif error is not None:
            raise error
        elif self._client.status == "running" and task.given < _GIVEN:
            # what a worker had finished, and not yet handed over, went with it: make it again
            self._waiting.appendleft(replace(task, given=task.given + 1))
        else:
            msg = f"the scheduler was lost; {self._there} of {self._job.rows} rows are kept in {self._store.folder}"
            raise TiplineError(msg)

    def _again(self, task: _Task) -> None:
        """Try the runs of a worker that died again, each by itself."""
        if task.alone:
            self._keep(task, [lost_row(self._job, task.indices[0], LOST)])
        elif len(task.indices) == 1:
            self._suspect.append(_Task(task.chunk, task.indices, alone=True))
        else:
            self._waiting.extendleft(_Task(task.chunk, [index]) for index in reversed(task.indices))

    def _keep(self, task: _Task, rows: Sequence[Row]) -> None:
        """Write a chunk once all its rows are there."""
        whole = self._store.indices(task.chunk)
        if len(rows) < len(whole):
            gathered = self._parts.setdefault(task.chunk, _Gathered()).rows
            gathered |= {row["run"]: row for row in rows}
            if len(gathered) < len(whole):
                return
            rows = [gathered[index] for index in whole]
            del self._parts[task.chunk]
        self._store.write(task.chunk, rows)
        self._there += len(rows)
        self._say(self._there)
