"""Progress on stderr."""

from __future__ import annotations

import sys
import time

from tipline.cli.signals import Request
from tipline.cli.streams import tell

__all__ = ["Progress"]

SOON, LONG = 3.0, 15.0
"""From when on [s] a stage says how long it will take; how often [s] it does where each time is a new line."""


class Progress:
    """Stage names on stderr: one line a stage, with the part done and the time left where the stage tells it.

    On a terminal the line is renewed; elsewhere a stage that takes long gets a further line now and then.
    """

    def __init__(self, quiet: bool) -> None:
        self._quiet = quiet
        self._live = sys.stderr.isatty()
        self._stage = ""
        self._said = ""
        self._told = self._begun = 0.0
        self._first = 0.0

    def __enter__(self) -> Progress:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def __call__(self, stage: str, part: float | None) -> None:
        """Tell of a stage, and of the part of it that is done, 0 to 1, where that is known."""
        if not Request.met:
            raise KeyboardInterrupt
        if self._quiet:
            return
        now = time.monotonic()
        if stage != self._stage:
            self.close()
            self._stage, self._begun, self._first, self._told = stage, now, part or 0.0, now
            tell(f"{stage} ...", end=not self._live)
        if part is None or not (self._live or now - self._told > LONG):
            return
        said = f"{stage} ... {int(100 * part)} %{self._left(part, now)}"
        if said != self._said:
            blank = " " * max(0, len(self._said) - len(said))
            tell(f"{said}{blank}", end=not self._live, anew=self._live)
            self._said, self._told = said, now

    def _left(self, part: float, now: float) -> str:
        """Say how long the rest takes at the pace so far, once that is known."""
        gone, done = now - self._begun, part - self._first
        if gone < SOON or done <= 0.0 or part >= 1.0:
            return ""
        left = gone / done * (1.0 - part)
        said = (
            f"{left:.0f} s" if left < 100.0 else f"{left / 60.0:.0f} min" if left < 6000.0 else f"{left / 3600.0:.0f} h"
        )
        return f", about {said} left"

    def close(self) -> None:
        """End the line of the stage that is shown."""
        if self._live and self._stage and not self._quiet:
            tell("")
        self._stage, self._said = "", ""
