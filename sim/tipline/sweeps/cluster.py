"""Workers of a dask cluster, by the address of its scheduler. Each makes its rows in a child of its own."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING

from tipline.errors import InputError, MissingPart
from tipline.sweeps.isolated import CrewLost, Lost, Task, Work, rows_apart
from tipline.sweeps.job import Job, Row, version_here

if TYPE_CHECKING:
    from distributed import Client, Future

__all__ = ["Cluster", "cluster"]

_PATIENCE = "10s"
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
        raise MissingPart(msg, install="pip install 'tipline[sweeps]'") from error
    try:
        client = Client(scheduler, timeout=_PATIENCE)
        client.wait_for_workers(1, timeout=_PATIENCE)
    except (OSError, TimeoutError, ValueError) as error:
        msg = f"no scheduler with a worker answers there ({type(error).__name__})"
        remedy = "Start one with dask scheduler and dask worker, and give its address, as tcp://127.0.0.1:8786"
        raise InputError(msg, key="--scheduler", value=scheduler, remedy=remedy) from error
    with client:
        found = set(client.run(version_here).values())
        if found != {version_here()}:
            msg = f"its workers have version {', '.join(sorted(map(str, found)))} of tipline, this is {version_here()}"
            raise InputError(msg, key="--scheduler", value=scheduler, remedy="Install the same version everywhere")
        given = Cluster(job, work, limit, client)
        try:
            yield given
        except BaseException:
            given.cancel()
            raise


class Cluster:
    """The workers of a client."""

    def __init__(self, job: Job, work: Work, limit: float, client: Client) -> None:
        from distributed import as_completed

        self._asked, self._client = (job, work, limit), client
        self._coming = as_completed()
        self._given: dict[Future, Task] = {}
        self.ahead = _AHEAD * max(1, sum(client.nthreads().values()))

    def give(self, task: Task) -> None:
        """Have a task done."""
        future = self._client.submit(rows_apart, *self._asked, list(task.indices), pure=False, retries=0)
        self._given[future] = task
        self._coming.add(future)

    def take(self) -> tuple[Task, list[Row | Lost]]:
        """Wait for a task that is done; return it and what it gave."""
        from distributed import KilledWorker

        while True:
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

    def cancel(self) -> None:
        """Give up what was given."""
        self._client.cancel(list(self._given), force=True)
