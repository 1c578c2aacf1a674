"""A request to end is met within five seconds whatever Python is at, with the exit code of its signal."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

HELD = """
import hashlib, pathlib, sys
from tipline import cli
from tipline.commands.folder import new_folder
from tipline.__main__ import main

def held():
    with new_folder(pathlib.Path("out")) as work:
        (work / "half").write_text("1")
        print("begun", flush=True)
        hashlib.pbkdf2_hmac("sha256", b"", b"", 10**9)  # Python has no say for minutes

cli.app = held
main()
"""
IN_TEXT = """
import os, signal
from tipline import cli
from tipline.__main__ import main

def ended():
    try:
        exec("import os, signal, time; os.kill(os.getpid(), signal.SIGTERM); time.sleep(9)")
    except KeyboardInterrupt:
        raise SystemExit(143) from None

cli.app = ended
main()
"""


@pytest.mark.slow
@pytest.mark.parametrize("end", [signal.SIGINT, signal.SIGTERM])
def test_a_process_that_a_library_holds_ends_in_time_and_leaves_nothing(tmp_path: Path, end: signal.Signals) -> None:
    streams = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    with subprocess.Popen([sys.executable, "-c", HELD], cwd=tmp_path, text=True, **streams) as process:  # type: ignore[call-overload]
        assert process.stdout.readline() == "begun\n"
        assert len(list(tmp_path.iterdir())) == 1
        time.sleep(0.5)  # until it is held
        asked = time.monotonic()
        process.send_signal(end)
        _, told = process.communicate(timeout=60)
        took = time.monotonic() - asked
    assert process.returncode == 128 + end
    assert told == "tipline: interrupted; what was finished is kept\n"
    assert 3.9 < took < 30.0  # the library would hold it for minutes; computers may be busy
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("end", [signal.SIGINT, signal.SIGTERM])
def test_a_request_before_a_command_is_read_has_the_exit_code_of_its_signal(end: signal.Signals) -> None:
    program = f"""
import os
from tipline import cli
from tipline.__main__ import main
cli.app = lambda: os.kill(os.getpid(), {int(end)})
main()
"""
    done = subprocess.run([sys.executable, "-c", program], check=False, timeout=60, capture_output=True)
    assert (done.returncode, done.stderr) == (128 + end, b"tipline: interrupted; nothing was left behind\n")


def test_an_interrupt_in_text_that_is_executed_leaves_the_exit_code(tmp_path: Path) -> None:
    """A module that is run would be ended by SIGINT, whatever the signal was."""
    (tmp_path / "in_text.py").write_text(IN_TEXT, encoding="utf-8")
    done = subprocess.run([sys.executable, "-m", "in_text"], cwd=tmp_path, check=False, timeout=60)
    assert done.returncode == 143
