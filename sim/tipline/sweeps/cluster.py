"""Workers of dask: of a cluster, by the address of its scheduler, or of one made on this computer and on loopback only.

Each makes its rows in a child of its own.
"""

from __future__ import annotations

import logging
import os
import signal
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from multiprocessing import resource_tracker
from pathlib import Path
from tempfile import TemporaryDirectory
from types import ModuleType
from typing import TYPE_CHECKING

from tipline.errors import InputError, MissingPart
from tipline.kernels.compiled import code_folder
from tipline.sweeps.isolated import CrewLost, Lost, Task, Work, rows_apart
from tipline.sweeps.job import Job, Row, version_here

if TYPE_CHECKING:
    from distributed import Client, Future

__all__ = ["Cluster", "cluster", "has_dask", "local_cluster"]

_PATIENCE = "10s"
_GIVEN = 5
"""How often a task is given out anew because a worker, or what it had made, was lost."""
_AHEAD = 3
"""Tasks given out for each thread of the workers."""
_LOOPBACK = "127.0.0.1"
_SETTINGS = {
    "distributed.nanny.pre-spawn-environ": {},  # would be set here too, and stay
    "distributed.worker.profile.enabled": False,
    "distributed.worker.use-file-locking": False,
}


def has_dask() -> bool:
    """Whether runs can be shared out by dask."""
    try:
        import distributed  # noqa: F401 - whether it is there
    except ImportError:
        return False
    return True


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


@contextmanager
def local_cluster(job: Job, work: Work, limit: float, workers: int, folder: Path) -> Iterator[Cluster]:
    """Give so many workers on this computer; ``folder``: where dask may have its folders while it lasts.

    Raises
    ------
    CrewLost
        They cannot be started.
    """
    code_folder()  # chosen once, for all of them
    with _same_environment(), ExitStack() as stack:
        os.environ["PYTHONSAFEPATH"] = "1"  # what lies in the current folder is not theirs to load
        with _uninterrupted():
            try:
                client = stack.enter_context(_local_client(workers, folder))
            except (OSError, RuntimeError) as error:
                msg = f"no workers can be started on this computer: {error}"
                raise CrewLost(msg) from error
            ending = stack.pop_all()
        try:
            given = Cluster(job, work, limit, client)
            given.give(Task(-1, ()))  # the first of all compiles what the others find on disk
            given.take()
            yield given
        finally:
            with _uninterrupted():
                ending.close()


@contextmanager
def _local_client(workers: int, folder: Path) -> Iterator[Client]:
    """Give a client of workers that nobody on another computer can reach, and that say nothing."""
    import dask
    from distributed import Client, LocalCluster

    with (
        _silent(),
        _without_script(),
        TemporaryDirectory(prefix="dask-", dir=folder) as scratch,
        dask.config.set(_SETTINGS | {"temporary-directory": scratch}),  # the scheduler's too
        LocalCluster(
            n_workers=workers,
            threads_per_worker=1,
            processes=True,
            host=_LOOPBACK,
            dashboard_address=f"{_LOOPBACK}:0",
            scheduler_kwargs={"dashboard": False},
            silence_logs=logging.CRITICAL,
            memory_limit=0,
            preload=["tipline.sweeps.preload"],
        ) as made,
        Client(made, set_as_default=False) as client,
    ):
        yield client


@contextmanager
def _same_environment() -> Iterator[None]:
    """Take away afterwards what workers are told by the environment of this process, by us and by dask."""
    before = set(os.environ)
    try:
        yield
    finally:
        for name in set(os.environ) - before:
            del os.environ[name]


@contextmanager
def _silent() -> Iterator[None]:
    """Keep what dask says of workers that end from the screen; what matters of it is told in our words."""
    logger = logging.getLogger("distributed")
    level = logger.level
    logger.setLevel(logging.CRITICAL)
    try:
        yield
    finally:
        logger.setLevel(level)


@contextmanager
def _without_script() -> Iterator[None]:
    """Keep new workers from running the main script over again, so that none needs to be written for it."""
    script = sys.modules["__main__"]
    sys.modules["__main__"] = ModuleType("__main__")
    try:
        yield
    finally:
        sys.modules["__main__"] = script


@contextmanager
def _uninterrupted() -> Iterator[None]:
    """Put Ctrl-C off to the end; processes and threads started meanwhile never get it: this one ends them."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    resource_tracker.ensure_running()  # as it starts it lets Ctrl-C through again
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


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
