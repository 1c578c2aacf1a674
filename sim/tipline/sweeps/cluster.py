"""Workers of dask: of a cluster, by the address of its scheduler, or of one made on this computer and on loopback only.

Each makes its rows in a child of its own.
"""

from __future__ import annotations

import logging
import os
import shutil
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from multiprocessing import resource_tracker
from pathlib import Path
from tempfile import TemporaryDirectory
from types import ModuleType
from typing import TYPE_CHECKING

from tipline.errors import InputError, MissingPart, argument
from tipline.kernels.compiled import code_folder
from tipline.sweeps.interrupts import WHILE, Undisturbed, heed
from tipline.sweeps.isolated import CrewLost, Lost, Task, Work, rows_apart
from tipline.sweeps.job import Job, Row, version_here

if TYPE_CHECKING:
    from distributed import Client, Future

__all__ = ["PATIENCE", "Cluster", "cluster", "has_dask", "local_cluster"]

PATIENCE = "10s"
_SOON, _LATE = 2.0, 60.0
"""How long [s] the end of what dask has begun is waited for, after an error or Ctrl-C and else (our
choice)."""
_SCRATCH = "dask-"
_LOOK = 0.02
"""How often [s] it is looked whether a task is done (our choice)."""
_GIVEN = 5
"""How often a task is given out anew because a worker, or what it had made, was lost."""
_AHEAD = 3
"""Tasks given out for each thread of the workers."""
_LOOPBACK = "127.0.0.1"
_SETTINGS = {
    "distributed.nanny.pre-spawn-environ": {},  # would be set here too, and stay
    "distributed.worker.profile.enabled": False,
    "distributed.worker.use-file-locking": False,
    "distributed.scheduler.worker-ttl": "60s",  # one that is held from outside is ended and begun anew
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
def local_cluster(job: Job, work: Work, limit: float, workers: int, folder: Path) -> Iterator[Cluster]:
    """Give so many workers on this computer; ``folder``: where dask may have its folders while it lasts.

    Raises
    ------
    CrewLost
        They cannot be started.
    """
    heed()  # it took a while to load
    code_folder()  # chosen once, for all of them
    with ExitStack() as last, _same_environment(), _begun() as (apart, stack):
        last.callback(_clear, folder)
        os.environ["PYTHONSAFEPATH"] = "1"  # what lies in the current folder is not theirs to load
        _start_tracker()
        try:
            client = apart.do(lambda: stack.enter_context(_local_client(workers, folder)))
        except (OSError, RuntimeError) as error:
            msg = f"no workers can be started on this computer: {error}"
            raise CrewLost(msg) from error
        given = Cluster(job, work, limit, client)
        given.give(Task(-1, ()))  # the first of all compiles what the others find on disk
        while given.take() is None:
            heed()
        yield given


def _start_tracker() -> None:
    """Start Python's tracker of what processes share, which is to clear up in silence."""
    before = os.environ.get("PYTHONWARNINGS")
    quiet = "ignore::UserWarning:multiprocessing.resource_tracker"
    os.environ["PYTHONWARNINGS"] = f"{before},{quiet}" if before else quiet
    try:
        resource_tracker.ensure_running()
    finally:
        if before is None:
            del os.environ["PYTHONWARNINGS"]
        else:
            os.environ["PYTHONWARNINGS"] = before


def _clear(folder: Path) -> None:
    """Take away dask's folders where it has not done so itself in the time that it was given."""
    for left in folder.glob(f"{_SCRATCH}*") if Undisturbed.at_it else ():
        shutil.rmtree(left, ignore_errors=True)


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


@contextmanager
def _local_client(workers: int, folder: Path) -> Iterator[Client]:
    """Give a client of workers that nobody on another computer can reach, and that say nothing."""
    import dask
    from distributed import Client, LocalCluster

    with (
        _silent(),
        _without_script(),
        TemporaryDirectory(prefix=_SCRATCH, dir=folder, ignore_cleanup_errors=True) as scratch,
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
        ) as cluster_here,
        Client(cluster_here, set_as_default=False) as client,
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
