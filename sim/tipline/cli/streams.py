"""What is printed: on stdout for who reads it, on stderr for who waits; a stream that takes nothing ends nothing."""

from __future__ import annotations

import os
import sys
import warnings
from typing import Any, TextIO

import typer

from tipline.errors import CacheNote, InputError
from tipline.printable import printable

__all__ = ["hold_streams", "show", "tell", "told_note"]


def hold_streams() -> None:
    """Put nothing in the place of a stream that is closed, which the next file that is opened would take."""
    for number, name, mode in ((0, "stdin", "r"), (1, "stdout", "w"), (2, "stderr", "w")):
        if getattr(sys, name) is None:
            nothing = os.open(os.devnull, os.O_RDWR)  # the least number that is free: this one
            setattr(sys, name, os.fdopen(nothing, mode, encoding="utf-8"))
            if nothing != number:
                os.dup2(nothing, number)


def told_note(
    message: Warning | str, category: type[Warning], filename: str, lineno: int, file: Any = None, line: Any = None
) -> None:
    """Tell a note of ours in one line, and any other warning as Python does."""
    ours = issubclass(category, CacheNote)
    tell(f"tipline: {message}" if ours else warnings.formatwarning(message, category, filename, lineno, line).rstrip())


def show(text: str) -> None:
    """Print on stdout; that nobody reads it, or no more of it, changes neither what is written nor the exit code."""
    try:
        typer.echo(printable(text))
    except BrokenPipeError:
        _give_up(sys.stdout)
    except OSError as error:
        _give_up(sys.stdout)
        msg = f"what was to be printed could not be: {error.strerror or error}"
        raise InputError(msg, remedy="Print it elsewhere; a folder that was to be written is there") from error


def tell(text: str, *, end: bool = True, anew: bool = False) -> None:
    """Print on stderr, likewise; ``anew``: over the line that is there. Where it takes nothing nobody is told."""
    try:
        typer.echo("\r" * anew + printable(text), err=True, nl=end)
    except OSError:
        _give_up(sys.stderr)


def _give_up(stream: TextIO) -> None:
    """Let further text of a stream go nowhere, what it still holds included."""
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, stream.fileno())
    os.close(nothing)
