"""Keep OpenBLAS to one thread: a second one only waits on matrices as small as ours, and pytest has a worker a core.

Take Ctrl-C also where a shell that runs the tests in the background has it ignored, or a command that a test called
left it so, as it does at its end: they raise it themselves.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable, Iterator, Mapping
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from tipline.scenario import Case

settings.register_profile("on any machine", deadline=None)  # no test goes by how fast the machine is
settings.load_profile("on any machine")

LONGEST = {
    "test_accounts", "test_batch_memory", "test_every_value", "test_everyday_draws", "test_first_screen",
    "test_isolated", "test_spoiled", "test_sweep", "test_whole", "test_words",
}  # fmt: skip
"""Files with a test of a quarter of a minute and more."""
STATICS = Path(__file__).parent / "statics"
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.dont_write_bytecode = False  # whatever the shell says: each worker and hundreds of children would read all anew
os.environ["PYTHONDONTWRITEBYTECODE"] = ""


def pytest_sessionstart(session: pytest.Session) -> None:
    """Before the workers start."""
    if session.config.getoption("numprocesses", None) and not hasattr(session.config, "workerinput"):
        from compile_ahead import compile_ahead

        compile_ahead()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with the files whose tests take long one by one: at the end one worker would wait for the other."""
    items.sort(key=lambda item: item.path.stem not in LONGEST)


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]) -> Iterator[None]:
    """Skip where pybullet is absent what steps a world of it; a run that wants it without being asked is a failure."""
    outcome = yield
    if call.excinfo is None or find_spec("pybullet") is not None:
        return
    names = [entry.name for entry in call.excinfo.traceback]
    if names[-1] == "load_pybullet" and "simulate" not in names:
        report = outcome.get_result()
        report.outcome, report.longrepr = "skipped", (str(item.path), 0, "Skipped: pybullet is not installed")


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item: pytest.Function) -> None:
    """Find poses by compiled code but where the search itself is tested; take requests to end as at the start."""
    from poses import find_poses

    _take_requests_to_end()
    find_poses(compiled=STATICS not in item.path.parents and "plain_poses" not in item.fixturenames)


def _take_requests_to_end() -> None:
    """Take them as Python does: a command that a test called passes them over, or ends the process after one."""
    signal.set_wakeup_fd(-1)
    for end, taken in ((signal.SIGINT, signal.default_int_handler), (signal.SIGTERM, signal.SIG_DFL)):
        if signal.getsignal(end) is signal.SIG_IGN:
            signal.signal(end, taken)


@pytest.fixture
def plain_poses() -> None:
    """Have poses found as a command finds them."""


@pytest.fixture
def make(tmp_path: Path) -> Callable[..., Case]:
    """Read a case from text, with overrides by key."""
    from tipline import scenario

    def read(text: str, overrides: Mapping[str, str] | None = None) -> Case:
        path = tmp_path / "case.toml"
        path.write_text(text, encoding="utf-8")
        return scenario.read(path, dict(overrides or {}))

    return read
