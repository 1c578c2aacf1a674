"""The exit codes that a command ends with by itself; an error and an interrupt bring their own."""

from __future__ import annotations

from collections.abc import Sequence

import typer

__all__ = ["BAD_INPUT", "DIFFERS", "LIMIT_EXCEEDED", "NUMERICAL_FAILURE", "end_beyond_limit"]

BAD_INPUT = 2
NUMERICAL_FAILURE = 3
LIMIT_EXCEEDED = 4
DIFFERS = 5


def end_beyond_limit(exceeded: Sequence[str]) -> None:
    """End with the code for it where a planning limit is exceeded; each is named."""
    if exceeded:
        raise typer.Exit(LIMIT_EXCEEDED)
