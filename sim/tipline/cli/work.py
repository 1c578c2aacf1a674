"""What every command does around its own work: tell errors, show progress, open a folder, print what came of it."""

from __future__ import annotations

import errno
import shutil
from collections.abc import Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from tipline.cli.exits import BAD_INPUT
from tipline.cli.progress import Progress
from tipline.cli.signals import Request, interrupted_by, leave
from tipline.cli.streams import show, tell
from tipline.errors import TiplineError, as_typed
from tipline.printable import shell_word

if TYPE_CHECKING:
    from tipline.commands.delivered import Delivered
    from tipline.report.page import Page

__all__ = [
    "all_kept",
    "errors_told",
    "kept_folder",
    "named_folder",
    "own_stem",
    "print_json",
    "result_folder",
    "say",
    "show_page",
    "working",
]


@contextmanager
def errors_told() -> Iterator[None]:
    """Turn what can go wrong into one message on stderr and an exit code, without a traceback."""
    with as_typed():
        try:
            yield
        except TiplineError as error:
            tell(f"tipline: {error}")
            raise typer.Exit(error.exit_code) from None
        except OSError as error:
            remedy = ". Make room, or give --out a folder on another disk" if error.errno == errno.ENOSPC else ""
            tell(f"tipline: {error}{remedy}")
            raise typer.Exit(BAD_INPUT) from None
        except typer.Exit:
            raise
        except (KeyboardInterrupt, Exception) as error:
            if not isinstance(error, KeyboardInterrupt) and Request.met:  # else a library made it of the interrupt
                raise
            tell("tipline: interrupted; nothing was left behind")
            raise typer.Exit(interrupted_by()) from None


@contextmanager
def working(quiet: bool) -> Iterator[Progress]:
    """Show progress while a command works, and tell what goes wrong in it."""
    with errors_told(), Progress(quiet) as progress:
        yield progress


@contextmanager
def kept_folder(out: Path | None, stem: str, progress: Progress, *, resume: bool, of: str) -> Iterator[Path]:
    """Give the folder of a command of many runs, with ``resume`` the last one begun where none is named.

    Interrupted, it ends by saying how many of them (``of``: what they are called) are kept, and how to go on.
    """
    from tipline.commands.folder import last_name
    from tipline.commands.sweep import Interrupted

    last = last_name(Path("runs"), stem) if resume else None
    try:
        with named_folder(out or last, stem) as target:
            yield target
    except Interrupted as stopped:
        progress.close()
        kept = f"{stopped.kept} of {stopped.rows} {of} are kept in {target}"
        tell(f"tipline: interrupted; {kept}; go on with --resume --out {shell_word(str(target))}")
        leave(interrupted_by())


@contextmanager
def all_kept(rows: int) -> Iterator[None]:
    """Tell one who interrupts what comes after the runs that all of them are kept."""
    from tipline.commands.sweep import Interrupted

    try:
        yield
    except KeyboardInterrupt:
        raise Interrupted(rows, rows) from None


def own_stem(kind: str, subject: str | Path) -> str:
    """Name a folder under runs/ after a kind of result and the file, or the shipped name, that it is of."""
    return f"{kind}-{Path(subject).stem or kind}"


def named_folder(out: Path | None, name: str) -> AbstractContextManager[Path]:
    """Give the folder that is asked for, else one of its own under runs/."""
    from tipline.commands.folder import own_name

    return nullcontext(out) if out is not None else own_name(Path("runs"), name)


@contextmanager
def result_folder(out: Path | None, name: str) -> Iterator[tuple[Path, Path]]:
    """Give the folder a result is to have, and the one to write it in until it is whole."""
    from tipline.commands.folder import new_folder

    with named_folder(out, name) as target, new_folder(target) as folder:
        yield target, folder


def say(delivered: Delivered, json: bool, progress: Progress, where: str) -> None:
    """Print what came of a command: its page and where that is written, or its summary as JSON."""
    progress.close()
    if json:
        from tipline.report import summary

        show(summary.text(delivered.summary).rstrip("\n"))
        return
    show_page(delivered.page, where)


def show_page(page: Page, where: str = "") -> None:
    """Print a page as wide as the terminal, and where it is written."""
    from tipline.report import text

    width = min(text.WIDTH, shutil.get_terminal_size((text.WIDTH, 0)).columns)
    show(text.page_text(page, width) + (f"\n\n{where}" if where else ""))


def print_json(value: Mapping[str, Any] | list[dict[str, Any]]) -> None:
    """Print records as JSON, every letter as it is."""
    from json import dumps

    show(dumps(value, indent=2, ensure_ascii=False, allow_nan=False))
