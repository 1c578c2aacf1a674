"""What is being made: a child process a job, what it has told so far, and its end, whatever that is."""

from __future__ import annotations

import json
import os
import pickle
import secrets
import shutil
import signal
import subprocess
import tempfile
import threading
import time
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import IO, Any, cast

from tipline.children import start_child
from tipline.commands.folder import free_name
from tipline.deadline import PATIENCE
from tipline.errors import InputError
from tipline.workbench.begun import BEGUN
from tipline.workbench.worker import BenchTask

__all__ = ["MOST_AT_ONCE", "BenchJob", "Jobs"]

MOST_AT_ONCE = 2
"""How many jobs are made at a time, on a computer that shows pages beside them (our choice)."""
_KEPT = 50
"""How many jobs are remembered (our choice)."""


@dataclass
class BenchJob:
    """One result on its way. ``state``: running, done, cancelled, refused (``words`` say why) or crashed.

    ``outcome``: part and how it ended, as soon as that is known; ``drawn``: in how many of the further runs so far the
    truck stayed up, and how many these are; ``replay``: whether it can be played already. ``ending``: whether it was
    asked to end.
    """

    task: BenchTask
    key: str = field(default_factory=lambda: secrets.token_urlsafe(12))
    state: str = "running"
    stage: str = "starting"
    part: float | None = None
    outcome: tuple[tuple[str, str], ...] = ()
    drawn: tuple[int, int] | None = None
    replay: bool = False
    words: str = ""
    begun: float = field(default_factory=time.monotonic)
    took: float | None = None
    ending: bool = False

    @property
    def running(self) -> bool:
        """Whether it is still being made."""
        return self.state == "running"

    @property
    def folder(self) -> Path:
        """Where the result is, or will be."""
        return Path(self.task.folder)

    @property
    def seconds(self) -> float:
        """How long it took, or takes so far [s]."""
        return time.monotonic() - self.begun if self.took is None else self.took

    def heard(self, news: Mapping[str, Any]) -> None:
        """Take in a line of the child."""
        if "stage" in news:
            self.stage, self.part = str(news["stage"]), news.get("part")
        if "outcome" in news:
            self.outcome = tuple((str(part), str(how)) for part, how in news["outcome"])
        if "drawn" in news:
            up, count = news["drawn"]
            self.drawn = int(up), int(count)
        self.replay = self.replay or "replay" in news
        if "refused" in news:
            self.words = str(news["refused"])
            self.state = "numerical" if news.get("numerical") else "refused"
        elif "cancelled" in news:
            self.state = "cancelled"
        elif "done" in news:
            self.state = "done"


class Jobs:
    """All jobs of these pages; results go into folders under ``runs``.

    ``key``: who knows it may begin a work and look at results; other accounts of this computer do not.
    """

    def __init__(self, runs: Path) -> None:
        self.runs = runs
        self.key = secrets.token_urlsafe(18)
        self._jobs: dict[str, BenchJob] = {}
        self._processes: dict[str, subprocess.Popen[bytes]] = {}
        self._ended = False
        self._spare: subprocess.Popen[bytes] | None = None
        self._early = Path(tempfile.mkdtemp(prefix="tipline-pages-"))

    def get(self, key: str) -> BenchJob | None:
        """Give a job by its key."""
        return self._jobs.get(key)

    @property
    def at_work(self) -> set[str]:
        """The names of the folders that jobs are at work on."""
        return {job.folder.name for job in self._jobs.values() if job.running}

    def early(self, key: str) -> Path:
        """Give the folder of what a job leaves before its result is whole."""
        return self._early / key

    def start(self, task: BenchTask, stem: str = "") -> BenchJob:
        """Start a job; with a stem its result goes into the first free folder of that name.

        Raises
        ------
        InputError
            As many as are made at a time are being made, one in the same folder is, or no process can be started.
        """
        if sum(job.running for job in self._jobs.values()) >= MOST_AT_ONCE:
            msg = f"{MOST_AT_ONCE} results are being made already"
            raise InputError(msg, remedy="Wait until one is there, or cancel it")
        if not stem and any(job.running and job.task.folder == task.folder for job in self._jobs.values()):
            msg = "is being worked on already"
            raise InputError(msg, key="run", value=repr(Path(task.folder).name), remedy="Wait until that is done")
        job = BenchJob(task)
        early = self.early(job.key)
        folder = self._free(stem) if stem else Path(task.folder)
        job.task = replace(task, early=str(early), folder=str(folder))
        try:
            early.mkdir()
            process = self._child()
        except OSError as error:
            msg = f"no process can be started ({error.strerror})"
            raise InputError(msg, remedy="Close other programs") from error
        self._jobs[job.key], self._processes[job.key] = job, process
        self._forget()
        threading.Thread(target=self._listen, args=(job, process), name=f"job {job.key}", daemon=True).start()
        return job

    def warm(self) -> None:
        """Have a child that has loaded what a run needs before the next job is started."""
        if not self._ended and (self._spare is None or self._spare.poll() is not None):
            with suppress(OSError):
                self._spare = _start()

    @property
    def spare(self) -> int | None:
        """The number of the child that waits for the next job, None where there is none."""
        return None if self._spare is None else self._spare.pid

    def _child(self) -> subprocess.Popen[bytes]:
        spare, self._spare = self._spare, None
        return spare if spare is not None and spare.poll() is None else _start()

    def _free(self, stem: str) -> Path:
        """Give a folder that is not there, and that no running job is to write."""
        name, count = stem, 1
        while (place := free_name(self.runs, name)) in {job.folder for job in self._jobs.values() if job.running}:
            count += 1
            name = f"{stem}-{count}"
        return place

    def cancel(self, job: BenchJob) -> None:
        """Ask a job to end; one that does not heed it is ended."""
        process = self._processes.get(job.key)
        if process is None or not job.running:
            return
        job.ending = True
        process.send_signal(signal.SIGTERM)
        late = threading.Timer(PATIENCE + 2.0, process.kill)
        late.daemon = True
        late.start()

    def end(self) -> None:
        """End all that is still being made, and remove what was seen before it was whole."""
        self._ended = True
        started = [*self._processes.values(), *([] if self._spare is None else [self._spare])]
        for process in started:
            process.send_signal(signal.SIGTERM)
        for process in started:
            with suppress(subprocess.TimeoutExpired):
                process.wait(PATIENCE + 2.0)
            process.kill()
        shutil.rmtree(self._early, ignore_errors=True)

    def _listen(self, job: BenchJob, process: subprocess.Popen[bytes]) -> None:
        """Tell a child its task, of which one that is loading takes in little at once, and take in what it says."""
        try:
            with suppress(BrokenPipeError):
                pipe = cast("IO[bytes]", process.stdin)
                pickle.dump(job.task, pipe)
                pipe.flush()
            for line in cast("IO[bytes]", process.stdout):
                with suppress(ValueError, TypeError):  # a line that is no news
                    news = json.loads(line)
                    if isinstance(news, dict):
                        job.heard(news)
        finally:
            self._ended_with(job, process.wait())
            for each in (process.stdin, process.stdout):
                with suppress(OSError):
                    cast("IO[bytes]", each).close()
            self._processes.pop(job.key, None)

    def _ended_with(self, job: BenchJob, code: int) -> None:
        """Take in that a child has ended, where it did not say how."""
        job.took = time.monotonic() - job.begun
        if not job.running:
            return
        if job.ending:
            job.state = "cancelled"
            return
        how = f"signal {-code}" if code < 0 else f"exit code {code}"
        kept = job.task.command in BEGUN and job.folder.is_dir()
        left = "What was made is kept; go on with it" if kept else "Nothing of it was kept; start it once more"
        job.words = f"Its process ended before it was done ({how}). {left}."
        job.state = "crashed"

    def _forget(self) -> None:
        """Forget the oldest jobs beyond those that are remembered."""
        ended = [job for job in self._jobs.values() if not job.running]
        for job in ended[: max(0, len(self._jobs) - _KEPT)]:
            del self._jobs[job.key]
            shutil.rmtree(self.early(job.key), ignore_errors=True)


def _start() -> subprocess.Popen[bytes]:
    return start_child("tipline.workbench.worker", {**os.environ, "OPENBLAS_NUM_THREADS": "1"})
