"""A request to end is heeded wherever Python raises it first, and nothing is broken off half-way by it."""

from __future__ import annotations

import signal
import subprocess
import sys
import threading
import time
from concurrent.futures import Future

import pytest

from tipline.sweeps.interrupts import Undisturbed, heed, heeded, waited_for


class Raising:
    """Raises the signal in a callback whose exceptions Python drops, as that of a library may be."""

    def __del__(self) -> None:
        signal.raise_signal(signal.SIGINT)


def test_a_request_that_is_lost_in_a_callback_is_heeded_later(monkeypatch: pytest.MonkeyPatch) -> None:
    lost: list[object] = []
    monkeypatch.setattr(sys, "unraisablehook", lost.append)
    with heeded():
        heed()
        held = [Raising()]
        held.clear()
        assert len(lost) == 1, "Python has dropped it"
        with pytest.raises(KeyboardInterrupt):
            heed()
        never: Future[None] = Future()
        with pytest.raises(KeyboardInterrupt):
            waited_for(never)
    heed()
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


LOST = """
import signal
from tipline import cli

class Raising:
    def __del__(self):
        {}

def app():
    Raising()
    print("went on")

cli.app = app
cli.main()
"""


@pytest.mark.parametrize(("raised", "told"), [("signal.raise_signal(signal.SIGINT)", False), ("1 / 0", True)])
def test_the_command_line_says_nothing_of_a_request_that_a_callback_swallowed(raised: str, told: bool) -> None:
    done = subprocess.run([sys.executable, "-c", LOST.format(raised)], capture_output=True, text=True, check=True)
    assert done.stdout == "went on\n"
    assert ("Exception ignored" in done.stderr) is told, done.stderr


def test_a_signal_that_nobody_takes_here_stays_with_the_system() -> None:
    before = signal.getsignal(signal.SIGTERM)
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    try:
        with heeded():
            assert signal.getsignal(signal.SIGTERM) == signal.SIG_IGN
    finally:
        signal.signal(signal.SIGTERM, before)


def test_what_is_apart_is_not_broken_off_and_its_end_is_not_waited_for_longer() -> None:
    apart, whole = Undisturbed(), threading.Event()

    def long() -> None:
        time.sleep(1.0)
        whole.set()

    threading.Timer(0.2, signal.raise_signal, (signal.SIGINT,)).start()
    begin = time.monotonic()
    with heeded(), pytest.raises(KeyboardInterrupt):
        apart.do(long)
    apart.try_for(0.1, lambda: None)
    assert time.monotonic() - begin < 0.9
    assert not whole.is_set()
    assert whole.wait(5.0)
    apart.end()


def test_what_goes_wrong_apart_is_raised_where_it_is_waited_for() -> None:
    def late() -> None:
        raise TimeoutError("its own")

    apart = Undisturbed()
    with pytest.raises(TimeoutError, match="its own"):
        apart.do(late)
    apart.end()
