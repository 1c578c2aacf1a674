"""A request to end, by Ctrl-C or SIGTERM: met once, and never while what it stopped is cleared away."""

from __future__ import annotations

import math
import os
import signal
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, NoReturn

import typer

from tipline.cli.streams import tell
from tipline.deadline import hold_to

if TYPE_CHECKING:
    from types import FrameType

__all__ = ["Request", "interrupted_by", "leave", "taken_as_interrupts"]

PATIENCE = 5.0
"""How long [s] a further Ctrl-C is passed over, while what the first one stopped is cleared away."""


class Request:
    """The request to end that is being met: when it came, and by which signal.

    ``met``: that it reached the command; ``told``: that it was told. Where Python raises it in a callback of a library
    it does not get there, and is raised anew at the next stage.
    """

    at = -math.inf
    by = signal.SIGINT
    met = True
    told = False


@contextmanager
def taken_as_interrupts() -> Iterator[None]:
    """Take both signals as Ctrl-C while this lasts; after it all is done, and they are passed over."""

    def interrupt(signum: int, _frame: FrameType | None) -> None:
        if time.monotonic() - Request.at > PATIENCE:  # a second one must not disturb the clearing up after the first
            Request.at, Request.by, Request.met = time.monotonic(), signal.Signals(signum), False
            raise KeyboardInterrupt(signum)

    ends = (signal.SIGINT, signal.SIGTERM)
    for end in ends:
        signal.signal(end, interrupt)
    sys.unraisablehook = _told_unless_kept
    hold_to(ends, _told_late)
    try:
        yield
    finally:
        for end in ends:  # all is done; Python still puts its libraries away
            signal.signal(end, signal.SIG_IGN)


def _told_late() -> None:
    if not Request.told:
        tell("tipline: interrupted; what was finished is kept")


def _told_unless_kept(lost: sys.UnraisableHookArgs) -> None:
    """Say nothing of a request to end that a callback of a library swallowed: it is kept, and heeded later."""
    if not isinstance(lost.exc_value, KeyboardInterrupt):
        sys.__unraisablehook__(lost)


def interrupted_by() -> int:
    """Return the exit code of a command that was asked to end: 130 by Ctrl-C, 143 by SIGTERM."""
    Request.met = Request.told = True
    return 128 + Request.by


def leave(code: int) -> NoReturn:
    """End an interrupted sweep, also where workers are not put away yet: they see that this process has gone."""
    from tipline.sweeps.interrupts import Undisturbed

    if Undisturbed.at_it:
        os._exit(code)  # their library would wait for them; what is finished is on disk, and all is told
    raise typer.Exit(code) from None
