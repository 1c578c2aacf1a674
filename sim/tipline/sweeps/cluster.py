"""Workers of dask, by the address of their scheduler: each makes its rows in a child of its own."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING

from tipline.errors import InputError, MissingPart, argument
from tipline.sweeps.interrupts import WHILE, Undisturbed
from tipline.sweeps.isolated import CrewLost, Lost, Task, Work, rows_apart
from tipline.sweeps.job import Job, Row, version_here

if TYPE_CHECKING:
    from distributed import Client, Future

__all__ = ["PATIENCE", "Cluster", "cluster"]

PATIENCE = "10s"
_SOON, _LATE = 2.0, 60.0
"""How long [s] the end of what dask has begun is waited for, after an error or Ctrl-C and else (our
choice)."""
_LOOK = 0.02
"""How often [s] it is looked whether a task is done (our choice)."""
_GIVEN = 5
"""How often a task is given out anew because a worker, or what it had made, was lost."""
_AHEAD = 3
"""Tasks given out for each thread of the workers."""


@contextmanager
def cluster(job: Job, work: Work, limit: float, scheduler: str) -> Iterator[Cluster]:
    """Give access to the cluster at an address.

    Raises
    ------
    InputError
        Nobody answers there, or its workers have another version.
    MissingPart
        dask is not installed.
    """
    try:
        from distributed import Client
    except ImportError as error:
        msg = "runs on a cluster need dask"
        raise MissingPart(msg, install='pip install "tipline[sweeps]"') from error

    def joined() -> Client:
        client = stack.enter_context(Client(scheduler, timeout=PATIENCE))
        client.wait_for_workers(1, timeout=PATIENCE)
        return client

    with _begun() as (apart, stack):
        try:
            client = apart.do(joined)
        except (OSError, TimeoutError, ValueError) as error:
            msg = f"no scheduler with a worker answers there ({type(error).__name__})"
            remedy = "Start one with dask scheduler and dask worker, and give its address, as tcp://127.0.0.1:8786"
            raise InputError(msg, key=argument("scheduler"), value=scheduler, remedy=remedy) from error
        versions = set(apart.do(lambda: client.run(version_here)).values())
        if versions != {version_here()}:
            msg = (
                f"its workers have version {', '.join(sorted(map(str, versions)))} of tipline, this is {version_here()}"
            )
            raise InputError(
                msg, key=argument("scheduler"), value=scheduler, remedy="Install the same version everywhere"
            )
        given = Cluster(job, work, limit, client)
        try:
            yield given
        except BaseException:
            apart.try_for(_SOON, given.cancel)
            raise


@contextmanager
def _begun() -> Iterator[tuple[Undisturbed, ExitStack]]:
    """Give a thread in which dask begins and ends, and what it has begun; not waited for long after Ctrl-C."""
    apart, stack, patience = Undisturbed(), ExitStack(), _SOON
    try:
        yield apart, stack
        patience = _LATE
    finally:
        apart.try_for(patience, stack.close)
        apart.end()


class Cluster:
    """The workers of a client."""

    def __init__(self, job: Job, work: Work, limit: float, client: Client) -> None:
        from distributed import as_completed

        self._asked, self._client = (job, work, limit), client
        self._coming = as_completed(loop=client.loop)
        self._given: dict[Future, Task] = {}
        self.ahead = _AHEAD * max(1, sum(client.nthreads().values()))

    def give(self, task: Task) -> None:
        """Have a task done."""
        future = self._client.submit(rows_apart, *self._asked, list(task.indices), pure=False, retries=0)
        self._given[future] = task
        self._coming.add(future)

    def take(self) -> tuple[Task, list[Row | Lost]] | None:
        """Return a task that is done and what it gave; None if there is none for a while."""
        from distributed import KilledWorker

        end = time.monotonic() + WHILE
        while time.monotonic() < end:
            if not self._coming.has_ready():
                time.sleep(_LOOK)
                continue
            done: Future = next(self._coming)
            task = self._given.pop(done)
            if done.status == "finished":
                rows: list[Row | Lost] = done.result()
                done.release()
                return task, rows
            error = done.exception() if done.status == "error" else None
            if error is not None and not isinstance(error, KilledWorker):
                raise error
            if self._client.status != "running":
                msg = "the scheduler was lost"
                raise CrewLost(msg)
            if task.given == _GIVEN:
                msg = "the workers of the cluster end again and again"
                raise CrewLost(msg)
            done.release()
            self.give(replace(task, given=task.given + 1))
        return None

    def cancel(self) -> None:
        """Give up what was given."""
        self._client.cancel(list(self._given), force=True)
