"""`repeat`: a result made again from its own folder."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tipline.cli.exits import DIFFERS
from tipline.cli.options import JsonList, Quiet
from tipline.cli.work import print_json, show_page, working

__all__ = ["repeat"]


def repeat(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="The folder that a command left, as runs/NAME.")],
    json: JsonList = False,
    quiet: Quiet = False,
) -> None:
    """Run a folder's own inputs again: identical, the same in every figure reported, or differs, and in what."""
    with working(quiet) as progress:
        from tipline.commands import repeat as command

        result = command.repeat(folder, progress)
        progress.close()
        if json:
            print_json(result.summary())
        else:
            show_page(result.page)
        if result.grade == "differs":
            raise typer.Exit(DIFFERS)
