"""`lesson`: a lesson file as one page."""

from __future__ import annotations

from typing import Annotated

import typer

from tipline.cli.options import Out, Quiet, Units, UnitsOption
from tipline.cli.streams import show
from tipline.cli.work import own_stem, result_folder, working

__all__ = ["lesson"]


def lesson(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A lesson file, or the name of a shipped one.")],
    out: Out = None,
    units: UnitsOption = Units.si,
    quiet: Quiet = False,
) -> None:
    """Make a lesson of pairs of runs: one page that a class is walked through, with notes and a handout to print."""
    with working(quiet) as progress:
        from tipline.commands import lesson as command
        from tipline.commands.next_steps import after_lesson

        with result_folder(out, own_stem("lesson", file)) as (target, folder):
            command.write_lesson(command.lesson(file, units.value, progress), folder)
        progress.close()
        show(after_lesson(target))
